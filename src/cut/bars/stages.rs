//! The aims one after the other: each is brought to its best value and proved
//! before the next one begins, and what is settled stays settled.

use crate::cut::bars::combos::{self, Combo};
use crate::cut::bars::dive::Search;
use crate::cut::bars::improve::{self, Answer, Dice};
use crate::cut::bars::knap::Filling;
use crate::cut::bars::master::Master;
use crate::cut::bars::model::{Cost, Filled, Problem, Solution};
use crate::cut::bars::pool;
use crate::cut::bars::task::{Arena, Form, Slot, Task};
use crate::cut::effort::Budget;

/// Kinds and limited classes together beyond which no programme is set up: its
/// dense inverse would take too long to keep.
const MOST_ROWS: usize = 700;
/// Patterns listed in an end game at first, and with patience.
const FEW_LISTED: usize = 20_000;
const MANY_LISTED: usize = 400_000;
/// Steps for the last aims where everything else is settled, and the part of
/// what is left that their proof may take.
const POLISH_STEPS: u64 = 8_000;
const LAST_PART: u64 = 5_000;
/// Combinations of bought bars looked at one by one.
const MOST_COMBOS: usize = 4_000;

/// A problem on its way to a plan.
pub(super) struct Planner<'a> {
    problem: &'a Problem,
    /// Greatest common divisor of all lengths, nm.
    unit: i64,
    base: Task,
    arena: Arena,
    budget: Budget,
    /// The best plan so far.
    pub solution: Solution,
    /// Its cost.
    pub cost: Cost,
    /// As in [`Answer::bounds`].
    bounds: [i64; 6],
}

fn divisor(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { divisor(b, a % b) }
}

impl<'a> Planner<'a> {
    /// Starts from a plan.
    pub fn new(problem: &'a Problem, solution: Solution, budget: Budget) -> Planner<'a> {
        let mut unit = problem.allowance;
        for kind in &problem.kinds {
            unit = divisor(unit, kind.size);
        }
        for class in &problem.classes {
            unit = divisor(unit, class.room);
        }
        let unit = unit.max(1);
        let kinds = problem.kinds.len();
        let none = || Form {
            used: vec![0; problem.classes.len()],
            kept: vec![0; problem.classes.len()],
            slope: 0,
            kept_slope: 0,
            missing: vec![0; kinds],
        };
        let base = Task {
            size: problem.kinds.iter().map(|k| k.size / unit).collect(),
            full: problem.classes.iter().map(|c| (c.room - problem.allowance) / unit).collect(),
            slack: problem.allowance / unit,
            // Nothing left is no keeper where keepers have a value.
            keep: (problem.keep.div_euclid(unit) + i64::from(problem.keep % unit != 0))
                .max(i64::from(problem.value.rate > 0)),
            aim: none(),
            limits: Vec::new(),
            may_miss: false,
            all_cut: true,
            cover: false,
        };
        let cost = problem.cost(&solution);
        Planner { problem, unit, base, arena: Arena::default(), budget, solution, cost, bounds: [0; 6] }
    }

    /// Runs all stages.
    pub fn run(mut self, dice: &mut Dice) -> Answer {
        let limited = self.problem.classes.iter().filter(|c| c.count.is_some()).count();
        // The programmes know no order of pieces within a bar.
        let small = self.problem.kinds.len() + limited <= MOST_ROWS && !self.problem.is_mitred();
        let floor = improve::floor(self.problem);
        self.bounds[3] = self.least_items();
        self.bounds[4] = self.longest_rest();
        self.bounds[0] = floor.uncut;
        if self.cost.uncut > self.bounds[0] && small {
            self.uncut();
        }
        let mut settled = self.cost.uncut == self.bounds[0];
        if settled && self.cost.uncut == 0 {
            self.bounds[1] = floor.money;
        }
        let valued = self.problem.value.rate > 0;
        if settled && valued {
            if small && self.cost.uncut == 0 {
                self.net();
            }
            // What comes after is a tie-break among plans of the same net worth.
            settled = false;
        }
        if settled && self.cost.money > self.bounds[1] && small {
            self.money();
        }
        settled &= self.cost.money == self.bounds[1];
        if settled && self.cost.uncut == 0 {
            self.bounds[2] = floor.waste;
        }
        if settled && self.cost.waste > self.bounds[2] && small {
            self.waste();
        }
        settled &= self.cost.waste == self.bounds[2];
        self.polish(dice);
        if settled && self.cost.items > self.bounds[3] && small {
            self.items();
        }
        Answer { solution: self.solution, cost: self.cost, bounds: self.bounds }
    }

    /// Every offcut used up: no plan changes the number of items by less.
    fn least_items(&self) -> i64 {
        let counts = self.problem.classes.iter().filter_map(|c| c.count);
        -counts.map(i64::from).sum::<i64>().min(self.problem.pieces() as i64)
    }

    /// The longest bar that holds one piece, negative: no remainder is longer.
    fn longest_rest(&self) -> i64 {
        let least = self.problem.kinds.iter().map(|k| self.problem.low_size(k)).min().unwrap_or(0);
        let rest = self.problem.classes.iter().map(|c| c.room - self.problem.allowance - least).max().unwrap_or(0);
        -(if rest >= self.problem.keep { rest.max(0) } else { 0 })
    }

    /// Solves parts again for the last aims, or for all that is still open.
    fn polish(&mut self, dice: &mut Dice) {
        let known = self.bounds;
        let floor = Cost { uncut: known[0], net: known[5], money: known[1], waste: known[2], items: 0, short: 0 };
        let now = &self.cost;
        let open = (now.uncut, now.net) != (floor.uncut, floor.net)
            || (self.problem.value.rate == 0 && (now.money, now.waste) != (floor.money, floor.waste));
        let mut share = self.budget.share(if open { self.budget.left() / 2 } else { POLISH_STEPS });
        improve::improve(self.problem, &mut self.solution, &floor, &mut share, dice);
        self.budget.give_back(share);
        self.cost = self.problem.cost(&self.solution);
    }

    /// Fewest items in the bin, at the least waste.
    fn items(&mut self) {
        if self.cost.uncut > 0 {
            return;
        }
        let Some(list) = combos::list(self.problem, self.cost.money, self.cost.money, 16) else { return };
        let classes = self.problem.classes.clone();
        let mut task = self.task(|aim| {
            for (c, class) in classes.iter().enumerate() {
                aim.kept[c] = i64::from(class.count.is_none());
                aim.used[c] = aim.kept[c] - 1;
            }
        });
        let mut waste = self.base.aim.clone();
        waste.slope = 1;
        task.limits.push((waste, self.cost.waste / self.unit));
        let mut least = i64::MAX;
        for combo in list.iter().filter(|c| !combos::too_small(self.problem, c)) {
            let slots = combos::slots(self.problem, combo);
            let steps = self.budget.left() / LAST_PART;
            let (bound, _) = self.search(&task, slots, self.cost.items, self.bounds[3], 0, steps);
            least = least.min(bound);
        }
        self.bounds[3] = self.bounds[3].max(least.min(self.cost.items));
    }

    fn demand(&self) -> Vec<i64> {
        self.problem.kinds.iter().map(|k| i64::from(k.count)).collect()
    }

    /// All classes as they are.
    fn slots(&self) -> Vec<Slot> {
        let count = |c: usize| self.problem.classes[c].count.map(i64::from);
        (0..self.problem.classes.len()).map(|c| Slot::free(c, count(c))).collect()
    }

    /// Each class with a number: bars that are as many as wanted by the money
    /// that may be spent.
    fn counted(&self, money: i64) -> Vec<Slot> {
        let pieces = self.problem.pieces() as i64;
        let mut slots = self.slots();
        for slot in &mut slots {
            let price = self.problem.classes[slot.class].price;
            let most = if price > 0 { money / price } else { pieces };
            slot.count = Some(slot.count.unwrap_or(pieces).min(most.min(pieces)));
        }
        slots
    }

    /// A task whose aim is set by a form.
    fn task(&self, set: impl Fn(&mut Form)) -> Task {
        let mut task = self.base.clone();
        set(&mut task.aim);
        task
    }

    fn price_form(&self, form: &mut Form) {
        let prices: Vec<i64> = self.problem.classes.iter().map(|c| c.price).collect();
        form.used.clone_from(&prices);
        form.kept = prices;
    }

    /// The plan's patterns as the arena knows them.
    fn patterns(&mut self, task: &Task) -> Vec<u32> {
        let bars = self.solution.bars.clone();
        bars.into_iter()
            .map(|bar| {
                let mut items: Filling = Vec::new();
                for kind in bar.kinds {
                    match items.last_mut() {
                        Some(last) if usize::from(last.0) == kind => last.1 += 1,
                        _ => items.push((kind as u16, 1)),
                    }
                }
                self.arena.put(task, bar.class, items)
            })
            .collect()
    }

    /// Takes a plan over if it is better in all.
    fn adopt(&mut self, patterns: &[u32]) {
        let bars = patterns
            .iter()
            .map(|&id| {
                let p = self.arena.get(id);
                let kinds = p.items.iter().flat_map(|&(k, n)| std::iter::repeat_n(usize::from(k), usize::from(n)));
                Filled { class: p.class, kinds: kinds.collect() }
            })
            .collect();
        let solution = Solution { bars };
        let cost = self.problem.cost(&solution);
        if cost < self.cost {
            self.cost = cost;
            self.solution = solution;
        }
    }

    /// Searches one task; the bound it reached. Plans found are taken over.
    fn search(
        &mut self,
        task: &Task,
        slots: Vec<Slot>,
        target: i64,
        floor: i64,
        listed: usize,
        steps: u64,
    ) -> (i64, bool) {
        let demand = self.demand();
        let patterns = self.patterns(task);
        let mut share = self.budget.share(steps);
        let mut search =
            Search { task, demand: &demand, arena: &mut self.arena, target, best: None, budget: &mut share };
        let bound = search.tree(slots, patterns, floor, floor, listed);
        let best = search.best.take();
        self.budget.give_back(share);
        let found = best.is_some();
        if let Some(plan) = best {
            self.adopt(&plan);
        }
        (bound, found)
    }

    /// Fewest pieces uncut.
    fn uncut(&mut self) {
        let mut task = self.task(|aim| aim.missing.fill(1));
        task.may_miss = true;
        task.all_cut = false;
        let slots = self.counted(i64::MAX);
        let left = self.budget.left() / 3;
        let (bound, _) = self.search(&task, slots, self.cost.uncut, self.bounds[0], FEW_LISTED, left);
        self.bounds[0] = self.bounds[0].max(bound.min(self.cost.uncut));
    }

    /// Least net worth: money and steel taken, less what goes back.
    fn net(&mut self) {
        let value = self.problem.value;
        let whole = i128::from(value.rate) * i128::from(self.unit);
        // Only then does a remainder's worth grow evenly with its length.
        if whole % i128::from(value.per) != 0 {
            return;
        }
        let worth: Vec<i64> = self.problem.classes.iter().map(|c| c.worth).collect();
        let task = self.task(|aim| {
            aim.used.clone_from(&worth);
            aim.kept.clone_from(&worth);
            aim.kept_slope = -value.of(self.unit);
        });
        let most = self.cost.net;
        let mut slots = self.counted(i64::MAX);
        for slot in &mut slots {
            // A bar loses at least what its steel that is not kept is worth.
            let class = slot.class;
            let lost = worth[class] - value.of(self.base.full[class] * self.unit);
            if lost > 0 {
                slot.count = slot.count.map(|n| n.min(most / lost));
            }
        }
        let steps = self.budget.left() * 3 / 4;
        let (bound, _) = self.search(&task, slots, self.cost.net, self.bounds[5], FEW_LISTED, steps);
        self.bounds[5] = self.bounds[5].max(bound.min(self.cost.net));
    }

    /// Least money, at the fewest pieces uncut.
    fn money(&mut self) {
        let mut task = self.task(|aim| self.price_form(aim));
        if self.cost.uncut > 0 {
            self.limit_uncut(&mut task);
            let left = self.budget.left() / 2;
            let slots = self.counted(self.cost.money);
            let (bound, _) = self.search(&task, slots, self.cost.money, self.bounds[1], FEW_LISTED, left);
            self.bounds[1] = self.bounds[1].max(bound.min(self.cost.money));
            return;
        }
        task.cover = true;
        if self.money_root(&task) {
            return;
        }
        self.money_combos();
    }

    fn limit_uncut(&self, task: &mut Task) {
        let mut form = self.base.aim.clone();
        form.missing.fill(1);
        task.limits.push((form, self.cost.uncut));
        task.may_miss = true;
        task.all_cut = false;
    }

    /// Programme, dives and, with bought bars only, the end game; true once
    /// money is proved.
    fn money_root(&mut self, task: &Task) -> bool {
        let demand = self.demand();
        let patterns = self.patterns(task);
        let only_bought = self.problem.classes.iter().all(|c| c.count.is_none());
        let slots = self.slots();
        let steps = self.budget.left();
        let mut share = self.budget.share(if only_bought { steps } else { steps / 3 });
        let mut search = Search {
            task,
            demand: &demand,
            arena: &mut self.arena,
            target: self.cost.money,
            best: None,
            budget: &mut share,
        };
        let bound = money_search(&mut search, slots, patterns, self.bounds[1], only_bought, self.problem);
        let best = search.best.take();
        self.budget.give_back(share);
        if let Some(plan) = best {
            self.adopt(&plan);
        }
        self.bounds[1] = self.bounds[1].max(bound).min(self.cost.money);
        self.bounds[1] >= self.cost.money
    }

    /// Lists the combinations of bought bars that are cheaper than the plan
    /// and refutes them one by one.
    fn money_combos(&mut self) {
        let Some(mut list) = combos::list(self.problem, self.bounds[1], self.cost.money - 1, MOST_COMBOS) else {
            return;
        };
        // Dear ones first: one that is refuted refutes all that it dominates.
        list.sort_by(|a, b| b.money.cmp(&a.money).then(a.counts.cmp(&b.counts)));
        let mut task = self.task(|aim| aim.missing.fill(1));
        task.may_miss = true;
        let mut refuted: Vec<Combo> = Vec::new();
        let mut open: Option<i64> = None;
        for combo in list {
            if combo.money >= self.cost.money {
                continue;
            }
            if combos::too_small(self.problem, &combo)
                || refuted.iter().any(|r| combos::dominates(self.problem, r, &combo))
            {
                continue;
            }
            let slots = combos::slots(self.problem, &combo);
            let steps = self.budget.left() / 4;
            let before = self.cost.money;
            let (bound, found) = self.search(&task, slots, 1, 0, 0, steps);
            if found || self.cost.money < before {
                continue;
            }
            if bound >= 1 {
                refuted.push(combo);
            } else {
                open = Some(open.map_or(combo.money, |o: i64| o.min(combo.money)));
            }
        }
        self.bounds[1] = open.map_or(self.cost.money, |o| o.clamp(self.bounds[1], self.cost.money));
    }

    /// Least waste at the least money.
    fn waste(&mut self) {
        let mut task = self.task(|aim| aim.slope = 1);
        let uncut = self.cost.uncut;
        if uncut > 0 {
            self.limit_uncut(&mut task);
        }
        let target = self.cost.waste / self.unit;
        let floor = self.bounds[2] / self.unit;
        let money = self.cost.money;
        let list = combos::list(self.problem, money, money, 64).filter(|_| uncut == 0);
        let steps = self.budget.left();
        let bound = match list {
            Some(list) => {
                let list: Vec<Combo> = list.into_iter().filter(|c| !combos::too_small(self.problem, c)).collect();
                let mut least = i64::MAX;
                for combo in list {
                    let slots = combos::slots(self.problem, &combo);
                    let target = target.min(self.cost.waste / self.unit);
                    let steps = self.budget.left();
                    let (bound, _) = self.search(&task, slots, target, floor, MANY_LISTED.min(FEW_LISTED * 4), steps);
                    least = least.min(bound);
                }
                least
            }
            None => {
                let mut form = self.base.aim.clone();
                self.price_form(&mut form);
                task.limits.push((form, money));
                let slots = self.counted(money);
                self.search(&task, slots, target, floor, FEW_LISTED, steps).0
            }
        };
        let now = self.cost.waste / self.unit;
        self.bounds[2] = self.bounds[2].max(bound.min(now) * self.unit).min(self.cost.waste);
    }
}

/// The search for least money from the programme at the root.
fn money_search(
    search: &mut Search<'_>,
    slots: Vec<Slot>,
    patterns: Vec<u32>,
    floor: i64,
    only_bought: bool,
    problem: &Problem,
) -> i64 {
    let limits = Vec::new();
    let mut node = Master::new(search.task, search.arena, search.demand.to_vec(), slots, limits, &patterns);
    let out = node.solve(search.task, search.arena, i64::MAX, false, search.budget);
    let up = |v: i64, target: i64| combos::next_sum(problem, v, target);
    let mut bound = up(floor.max(out.bound), search.target);
    if bound >= search.target {
        return bound;
    }
    for thoughts in 0..=1 {
        search.dive(node.clone(), Some(&out), thoughts, 0, bound);
        if search.target <= bound {
            return bound;
        }
        if !only_bought {
            return bound;
        }
    }
    let mut out = node.solve(search.task, search.arena, i64::MAX, true, search.budget);
    bound = up(bound.max(out.bound), search.target);
    for (most, thoughts) in [(FEW_LISTED, 2), (FEW_LISTED, 3), (MANY_LISTED * 5, 0)] {
        // Only sums of prices can be reached: the end game looks below the next.
        while search.target > bound {
            let before = search.target;
            let below = combos::last_sum(problem, search.target - 1);
            if below < bound {
                return search.target;
            }
            search.target = below + 1;
            let closed = pool::close(search, &node, &out, most);
            match closed {
                pool::Closed::Yes if search.target == below + 1 => {
                    search.target = before;
                    return before;
                }
                pool::Closed::Yes => {}
                _ => {
                    if search.target == below + 1 {
                        search.target = before;
                    }
                    break;
                }
            }
        }
        if search.target <= bound || thoughts == 0 {
            return bound;
        }
        search.dive(node.clone(), Some(&out), thoughts, 0, bound);
        out = node.solve(search.task, search.arena, i64::MAX, true, search.budget);
    }
    bound
}

#[cfg(test)]
mod tests;
