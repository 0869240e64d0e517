"""The workshop instances solved by a general solver (HiGHS, MIT licence), and
how much longer it takes than the planner.

    BARS_JSON=target/bars.json cargo bench --bench bars
    python3 -m venv target/outside && target/outside/bin/pip install highspy
    target/outside/bin/python tests/outside/bars_highs.py target/bars.json [seconds]

The model is the plain one: a whole number of each piece in each bar; a bar
that is bought is one of a row of equal ones. Money first, then waste at that
money. It shares nothing with the planner but the instance files.
"""

import json
import math
import pathlib
import sys
import time

import highspy

FOLDER = pathlib.Path(__file__).parent.parent / "published" / "bars"


def instances(name):
    now = None
    for line in (FOLDER / name).read_text().splitlines():
        words = line.split()
        if not words:
            continue
        if words[0] == "instance":
            now = {"name": words[1], "stock": [], "piece": [], "kerf": 0, "keeper": 0}
        elif words[0] == "stock":
            now["stock"].append((int(words[1]), None if words[2] == "*" else int(words[2]), int(words[3])))
        elif words[0] == "piece":
            now["piece"].append((int(words[1]), int(words[2])))
        elif words[0] in ("kerf", "keeper"):
            now[words[0]] = int(words[1])
        elif words[0] == "end":
            yield now


def model(inst, money, seconds):
    """A model with the least money as its aim, or the least waste at a given
    sum of money; gives the value and whether it is proved."""
    h = highspy.Highs()
    h.setOptionValue("output_flag", False)
    h.setOptionValue("time_limit", float(max(seconds, 0.01)))
    h.setOptionValue("threads", 1)
    h.setOptionValue("mip_rel_gap", 0.0)
    kerf, keeper = inst["kerf"], inst["keeper"]
    need = sum((l + kerf) * n for l, n in inst["piece"])
    integer = highspy.HighsVarType.kInteger
    cuts = [[] for _ in inst["piece"]]
    cost, waste = [], []
    for length, count, price in inst["stock"]:
        times = count if count is not None else min(math.ceil(need / (length + kerf)) + 1, 40)
        row = []
        for _ in range(times):
            used = h.addVariable(lb=0, ub=1, type=integer)
            held = []
            for i, (l, n) in enumerate(inst["piece"]):
                most = min(n, (length + kerf) // (l + kerf))
                if most > 0:
                    x = h.addVariable(lb=0, ub=most, type=integer)
                    held.append((x, l + kerf))
                    cuts[i].append(x)
            total = sum(x * s for x, s in held)
            h.addConstr(total <= (length + kerf) * used)
            if price:
                cost.append(used * price)
            if money is not None:
                keep = h.addVariable(lb=0, ub=1, type=integer)
                lost = h.addVariable(lb=0, ub=length)
                h.addConstr(total + keeper * keep <= (length + kerf) * used + kerf * -1 * keep)
                h.addConstr(lost >= length * used - total - length * keep)
                waste.append(lost)
            row.append(used)
        for a, b in zip(row, row[1:]):
            h.addConstr(a >= b)
    for xs, (_, n) in zip(cuts, inst["piece"]):
        h.addConstr(sum(xs) == n)
    if money is not None and cost:
        h.addConstr(sum(cost) <= money)
    aim = sum(waste) if money is not None else (sum(cost) if cost else None)
    if aim is None:
        return 0, True
    h.minimize(aim)
    done = h.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return round(h.getInfo().objective_function_value), done


def main():
    ours = json.loads(pathlib.Path(sys.argv[1]).read_text())
    limit = float(sys.argv[2]) if len(sys.argv) > 2 else 60.0
    ratios, disagree, proved = [], [], 0
    for inst in instances("shop.txt"):
        mine = ours[inst["name"]]
        start = time.process_time()
        money, sure = model(inst, None, limit)
        waste, sure_waste = model(inst, money, limit - (time.process_time() - start)) if sure else (None, False)
        seconds = time.process_time() - start
        if sure and sure_waste:
            proved += 1
            ratios.append(seconds / mine["seconds"])
            if mine["proved"] and (money, waste) != (mine["money"], mine["waste"]):
                disagree.append(inst["name"])
        print(f"{inst['name']:24} HiGHS {seconds:8.2f} s {'proved' if sure and sure_waste else 'open'} "
              f"({money}, {waste}); planner {mine['seconds']:.4f} s ({mine['money']}, {mine['waste']})", flush=True)
    mean = math.exp(sum(map(math.log, ratios)) / len(ratios)) if ratios else float("nan")
    print(f"HiGHS proved {proved}; geometric mean of the ratios {mean:.0f}; disagreements: {disagree or 'none'}")
    sys.exit(bool(disagree))


if __name__ == "__main__":
    main()
