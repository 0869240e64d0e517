"""The scrap bin under hard conditions: killed, crowded, on a full disk.

Usage: ledger.py DROPRACK [KILLS]. Prints what it did; stops at the first bin
that is damaged or change that was told as done and is not there.
"""

import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import tomllib

TOOL = os.path.abspath(sys.argv[1])
KILLS = int(sys.argv[2]) if len(sys.argv) > 2 else 60
PLAN = """{"job": "Juniper", "cut_plan": {"groups": [{"shape": "flat bar", "size": "40 x 3 mm", "material": "mild steel", "bars": []}],
"sheets": [], "stock": [], "saw": {"kerf_mm": 3.0, "trim_mm": 0.0, "keep_mm": 200.0}}}"""


def tool(bin_, *words, **more):
    return subprocess.run([TOOL, "bin", "--bin", bin_, *words], capture_output=True, text=True, **more)


def ids(bin_):
    with open(bin_, "rb") as f:
        return [o["id"] for o in tomllib.load(f).get("offcut", [])]


def plan_for(folder, id_, length):
    """A plan that cuts one piece from a bar."""
    import json

    plan = json.loads(PLAN)
    plan["cut_plan"]["groups"][0]["bars"] = [{
        "stock": id_, "bought": False, "length_mm": length, "price": 0.0, "remainder_mm": length - 103.0, "kept": True,
        "cuts": [{"part": "strap", "from_mm": 0.0, "to_mm": 100.0, "left_end_deg": 90.0, "right_end_deg": 90.0}]}]
    plan["cut_plan"]["stock"] = [{
        "id": id_, "shape": "flat bar", "size": "40 x 3 mm", "material": "mild steel", "length_mm": length,
        "doubt_mm": 2.0, "unusable_mm": [], "left_end_deg": 90.0, "right_end_deg": 90.0}]
    os.makedirs(folder, exist_ok=True)
    with open(f"{folder}/job.json", "w") as f:
        json.dump(plan, f)


def killed(folder):
    """Additions, bookings and undos, each killed at some moment."""
    random.seed(5)
    bin_ = f"{folder}/bin.toml"
    with open(f"{folder}/job.toml", "w") as f:
        f.write('job = "Juniper"\n')
    assert tool(bin_, "add", "flat bar 40 x 3 mm, 1000 mm").returncode == 0
    start = time.monotonic()
    tool(bin_, "add", "flat bar 40 x 3 mm, 1000 mm")
    usual = time.monotonic() - start
    done = survived = 0
    for n in range(KILLS):
        before = ids(bin_)
        kind = random.choice(["add", "add", "book", "undo"])
        if kind == "add":
            words = ["add", "flat bar 40 x 3 mm, 1000 mm"]
        elif kind == "undo":
            words = ["undo"]
        else:
            with open(bin_, "rb") as f:
                first = tomllib.load(f)["offcut"][-1]
            plan_for(f"{folder}/out", first["id"], float(first["length"].split()[0]))
            words = ["book", f"{folder}/job.toml", "--out", f"{folder}/out"]
        child = subprocess.Popen([TOOL, "bin", "--bin", bin_, *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        time.sleep(random.random() * usual * 1.3)
        child.send_signal(signal.SIGKILL)
        out, _ = child.communicate()
        after = ids(bin_)
        if child.returncode == 0:
            done += 1
            assert after != before, f"{n}: {words} was told as done: {out}"
        if kind == "add":
            assert after[: len(before)] == before and len(after) - len(before) in (0, 1), (n, before, after)
        survived += after != before
        if len(after) < 3:
            assert tool(bin_, "add", "flat bar 40 x 3 mm, 1000 mm").returncode == 0
    # The next change settles what was cut short, and every record reads.
    assert tool(bin_, "add", "flat bar 20 x 5 mm, 1 m").returncode == 0
    assert not [n for n in os.listdir(folder) if n.endswith(".new")], os.listdir(folder)
    assert not [n for n in os.listdir(f"{folder}/bin.history") if n.endswith(".pending")]
    for name in os.listdir(f"{folder}/bin.history"):
        with open(f"{folder}/bin.history/{name}", "rb") as f:
            tomllib.load(f)
    print(f"killed {KILLS} times: {done} had ended, {survived} changes landed whole, no bin damaged, none told and lost")


def crowded(folder, writers, each):
    bin_ = f"{folder}/bin.toml"
    script = f'for i in $(seq {each}); do "{TOOL}" bin --bin "{bin_}" add "flat bar 40 x 3 mm, 1 m, note $1-$i" >/dev/null || exit 1; done'
    all_ = [subprocess.Popen(["sh", "-c", script, "sh", str(w)]) for w in range(writers)]
    assert all(p.wait() == 0 for p in all_)
    found = ids(bin_)
    assert len(found) == len(set(found)) == writers * each, len(found)
    print(f"{writers} writers at once, {each} additions each: all {len(found)} there, no id twice")


def refused(bin_, what, **more):
    with open(bin_, "rb") as f:
        old = f.read()
    run = tool(bin_, "add", "flat bar 40 x 3 mm, 1 m, note " + "x" * 3000, **more)
    with open(bin_, "rb") as f:
        assert f.read() == old, what
    assert run.returncode == 2 and "error" in run.stderr and "panicked" not in run.stderr, (what, run.stderr)
    print(f"{what}: refused, the old file is whole: {run.stderr.splitlines()[0]}")


def full_disk(folder):
    if os.geteuid() != 0 or subprocess.run(["mount", "-t", "tmpfs", "-o", "size=128k", "tmpfs", folder], capture_output=True).returncode:
        print("disk full: no small file system can be mounted here; left out")
        return
    try:
        bin_ = f"{folder}/bin.toml"
        assert tool(bin_, "add", "flat bar 40 x 3 mm, 1 m").returncode == 0
        filler = os.open(f"{folder}/filler", os.O_CREAT | os.O_WRONLY)
        try:
            while True:
                os.write(filler, b"x" * 1024)
        except OSError:
            os.close(filler)
        refused(bin_, "disk full")
        os.remove(f"{folder}/filler")
        assert tool(bin_, "add", "flat bar 40 x 3 mm, 1 m").returncode == 0
    finally:
        subprocess.run(["umount", folder], check=False)


def read_only(folder):
    bin_ = f"{folder}/bin.toml"
    os.chmod(folder, 0o755)
    assert tool(bin_, "add", "flat bar 40 x 3 mm, 1 m").returncode == 0
    os.chmod(folder, 0o555)
    root = os.geteuid() == 0
    refused(bin_, "read-only folder", user=65534 if root else None)
    os.chmod(folder, 0o755)


def links_and_rights(folder):
    bin_ = f"{folder}/bin.toml"
    assert tool(bin_, "add", "flat bar 40 x 3 mm, 1 m").returncode == 0
    os.chmod(bin_, 0o640)
    os.symlink("bin.toml", f"{folder}/link.toml")
    assert tool(f"{folder}/link.toml", "add", "flat bar 40 x 3 mm, 1 m").returncode == 0
    assert os.path.islink(f"{folder}/link.toml") and os.stat(bin_).st_mode & 0o777 == 0o640 and len(ids(bin_)) == 2
    print("through a symbolic link: the link and the rights of the file stay")


def main():
    base = tempfile.mkdtemp()
    os.chmod(base, 0o755)
    try:
        for work in [killed, lambda f: crowded(f, 8, max(5, KILLS // 10)), full_disk, read_only, links_and_rights]:
            folder = tempfile.mkdtemp(dir=base)
            os.chmod(folder, 0o755)
            work(folder)
        if os.path.isdir("/dev/shm"):
            other = tempfile.mkdtemp(dir="/dev/shm")
            try:
                assert tool(f"{other}/bin.toml", "add", "flat bar 40 x 3 mm, 1 m").returncode == 0
                print("bin on another file system than the temporary folder: written")
            finally:
                shutil.rmtree(other)
    finally:
        shutil.rmtree(base, ignore_errors=True)


main()
