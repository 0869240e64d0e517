//! Exact search for small jobs: dynamic programming over sub-multisets of the
//! pieces, one limited bar at a time, then bars without limit.
//!
//! A state is how many pieces of each kind are cut, as one mixed-radix number;
//! its value is the least cost of cutting exactly these with the bars seen so
//! far. Costs add up (the longest remainder is a minimum of negatives, which
//! is monotone too), so the least cost per state is enough. States whose cost
//! plus a bound on the rest is beyond a known plan are dropped.

use crate::cut::bars::chain::Chain;
use crate::cut::bars::model::{Class, Cost, Filled, Problem, Solution};
use crate::cut::effort::Budget;

/// Most states tried: above this the tables would no longer stay in memory
/// that every home machine has (40 bytes a state and 4 a state and round).
pub(super) const MAX_STATES: usize = 1 << 19;
/// Most table entries for the way back, over all rounds.
const MAX_ENTRIES: usize = 1 << 25;
/// States passed over in the time of one step.
const STATES_PER_STEP: u64 = 16;
/// No entry.
const NONE: u32 = u32::MAX;

/// States of the search, or none if they are too many.
pub(super) fn states(problem: &Problem) -> Option<usize> {
    let mut states = 1_usize;
    for kind in &problem.kinds {
        states = states.checked_mul(kind.count as usize + 1)?;
        if states > MAX_STATES {
            return None;
        }
    }
    Some(states)
}

/// How the search ended.
pub(super) enum Outcome {
    /// The best plan there is.
    Best(Solution),
    /// Nothing is better than the plan that was given.
    NoneBetter,
    /// Too large, or the steps ran out.
    GaveUp,
}

struct Search<'a> {
    problem: &'a Problem,
    /// Weight of one piece of a kind in a state's number.
    stride: Vec<usize>,
    /// Smallest size from a kind on.
    smallest_from: Vec<i64>,
    cost: Vec<Option<Cost>>,
    /// Sum of sizes cut in a state.
    cut: Vec<i64>,
    best: Cost,
    total: i64,
    /// Least that a piece of each kind takes, and the room that this gives away.
    low: Vec<i64>,
    extra: i64,
    /// What sets of pieces take, where their order matters.
    chain: Option<Chain<'a>>,
}

/// Finds the best plan that costs at most `best`, if the steps suffice.
pub(super) fn solve(problem: &Problem, best: &Cost, budget: &mut Budget) -> Outcome {
    let Some(states) = states(problem) else {
        return Outcome::GaveUp;
    };
    let pieces = problem.pieces() as usize;
    let endless = |class: usize| match problem.classes[class].count {
        None => true,
        Some(n) => n as usize >= pieces,
    };
    let mut rounds: Vec<usize> = Vec::new();
    for class in (0..problem.classes.len()).filter(|&c| !endless(c)) {
        let room = problem.classes[class].room + problem.low_extra();
        let fits = problem.kinds.iter().any(|k| problem.low_size(k) <= room);
        let count = problem.classes[class].count.unwrap_or(0) as usize;
        rounds.extend(std::iter::repeat_n(class, if fits { count } else { 0 }));
    }
    if rounds.len().saturating_mul(states) > MAX_ENTRIES {
        return Outcome::GaveUp;
    }
    let shop: Vec<usize> = (0..problem.classes.len()).filter(|&c| endless(c)).collect();
    let mut search = Search::new(problem, states, best);
    let mut ways: Vec<Vec<u32>> = Vec::new();
    for (round, &class) in rounds.iter().enumerate() {
        let rest: i64 = rounds[round..].iter().map(|&c| problem.classes[c].room + search.extra).sum();
        match search.limited_round(class, rest, budget) {
            Some(way) => ways.push(way),
            None => return Outcome::GaveUp,
        }
    }
    let Some(bought) = search.endless_round(&shop, budget) else {
        return Outcome::GaveUp;
    };
    match search.cost[states - 1] {
        Some(cost) if cost <= *best => Outcome::Best(search.read_back(&rounds, &ways, &bought)),
        _ => Outcome::NoneBetter,
    }
}

impl<'a> Search<'a> {
    fn new(problem: &'a Problem, states: usize, best: &Cost) -> Search<'a> {
        let kinds = problem.kinds.len();
        let mut stride = vec![1; kinds];
        for k in (0..kinds.saturating_sub(1)).rev() {
            stride[k] = stride[k + 1] * (problem.kinds[k + 1].count as usize + 1);
        }
        let low: Vec<i64> = problem.kinds.iter().map(|k| problem.low_size(k)).collect();
        let mut cut = vec![0; states];
        for (k, kind) in problem.kinds.iter().enumerate() {
            let radix = kind.count as usize + 1;
            for (state, sum) in cut.iter_mut().enumerate() {
                *sum += low[k] * (state / stride[k] % radix) as i64;
            }
        }
        let mut cost = vec![None; states];
        cost[0] = Some(Cost::default());
        Search {
            problem,
            stride,
            smallest_from: (0..kinds).map(|k| low[k..].iter().copied().min().unwrap_or(0)).collect(),
            extra: problem.low_extra(),
            low,
            chain: problem.is_mitred().then(|| Chain::whole(problem, states)),
            total: cut[states - 1],
            cost,
            cut,
            best: *best,
        }
    }

    /// Pieces of each kind not yet cut in a state.
    fn missing(&self, state: usize, out: &mut Vec<u32>) {
        out.clear();
        for (k, kind) in self.problem.kinds.iter().enumerate() {
            let radix = kind.count as usize + 1;
            out.push(kind.count - (state / self.stride[k] % radix) as u32);
        }
    }

    /// Steps that reading one state's number takes.
    fn decode_steps(&self) -> u64 {
        1 + self.problem.kinds.len() as u64 / 3
    }

    /// The least that the pieces not cut in a state still cost, when `rest`
    /// of room in limited bars is left: the dearer way round of every class
    /// that costs money is ignored, so this is never too high.
    fn money_to_come(&self, state: usize, rest: i64) -> i64 {
        let need = self.total - self.cut[state] - rest - self.extra;
        if need <= 0 {
            return 0;
        }
        let price = |c: &Class| {
            let money = i128::from(need) * i128::from(c.price);
            let room = i128::from(c.room + self.extra);
            let whole = (money + room - 1) / room;
            i64::try_from(whole).unwrap_or(i64::MAX)
        };
        self.problem.classes.iter().map(price).min().unwrap_or(0)
    }

    /// The cost of a state, unless no plan through it can be wanted.
    fn alive(&self, state: usize, rest: i64) -> Option<Cost> {
        let cost = self.cost[state]?;
        let mut bound = cost;
        if cost.uncut == self.best.uncut {
            bound.money = bound.money.saturating_add(self.money_to_come(state, rest));
        }
        (!bound.beyond(&self.best)).then_some(cost)
    }

    /// One bar of a limited class, used or not; the way back per state.
    fn limited_round(&mut self, class: usize, rest: i64, budget: &mut Budget) -> Option<Vec<u32>> {
        let mut way = vec![NONE; self.cost.len()];
        let mut missing = Vec::new();
        let decode = self.decode_steps();
        let room = self.problem.classes[class].room + self.extra;
        if !budget.spend(self.cost.len() as u64 / STATES_PER_STEP) {
            return None;
        }
        // Downwards, so that a bar is not used twice in one round.
        for state in (0..self.cost.len()).rev() {
            let Some(base) = self.alive(state, rest) else {
                continue;
            };
            self.missing(state, &mut missing);
            let mut fill = Fill {
                search: self,
                classes: &[class],
                base,
                from: state,
                steps: decode,
                found: |cost: &mut Option<Cost>, to: usize, new: Cost, _| {
                    if cost.is_none_or(|old| new < old) {
                        *cost = Some(new);
                        way[to] = state as u32;
                    }
                },
            };
            fill.extend(&mut missing, 0, state, 0, room);
            let steps = fill.steps;
            if !budget.spend(steps) {
                return None;
            }
        }
        Some(way)
    }

    /// Bars without limit: the first kind that is missing goes into the next
    /// bar, or one piece of it stays uncut.
    fn endless_round(&mut self, shop: &[usize], budget: &mut Budget) -> Option<Vec<(u32, u32)>> {
        let mut way = vec![(NONE, NONE); self.cost.len()];
        let mut missing = Vec::new();
        let decode = self.decode_steps();
        let room = shop.iter().map(|&c| self.problem.classes[c].room + self.extra).max();
        for state in 0..self.cost.len() {
            let Some(base) = self.alive(state, 0) else {
                continue;
            };
            self.missing(state, &mut missing);
            let Some(first) = missing.iter().position(|&n| n > 0) else {
                continue;
            };
            let kind = self.problem.kinds[first];
            let to = state + self.stride[first];
            let mut uncut = base;
            uncut.uncut += 1;
            if !uncut.beyond(&self.best) && self.cost[to].is_none_or(|old| uncut < old) {
                self.cost[to] = Some(uncut);
                way[to] = (state as u32, NONE);
            }
            let Some(left) = room.map(|r| r - self.low[first]).filter(|&r| r >= 0) else {
                continue;
            };
            missing[first] -= 1;
            let mut fill = Fill {
                search: self,
                classes: shop,
                base,
                from: state,
                steps: decode,
                found: |cost: &mut Option<Cost>, to: usize, new: Cost, class: usize| {
                    if cost.is_none_or(|old| new < old) {
                        *cost = Some(new);
                        way[to] = (state as u32, class as u32);
                    }
                },
            };
            let size = kind.size;
            fill.offer(to, size);
            fill.extend(&mut missing, first, to, size, left);
            let steps = fill.steps;
            if !budget.spend(steps) {
                return None;
            }
        }
        Some(way)
    }

    /// The bars that lead to the full state.
    fn read_back(&self, rounds: &[usize], ways: &[Vec<u32>], bought: &[(u32, u32)]) -> Solution {
        let mut solution = Solution::default();
        let mut state = self.cost.len() - 1;
        while bought[state].0 != NONE {
            let (from, class) = bought[state];
            if class != NONE {
                solution.bars.push(self.filled(class as usize, state - from as usize));
            }
            state = from as usize;
        }
        for (&class, way) in rounds.iter().zip(ways).rev() {
            if way[state] != NONE {
                let from = way[state] as usize;
                solution.bars.push(self.filled(class, state - from));
                state = from;
            }
        }
        solution
    }

    /// What a set of pieces takes, given the sum of its sizes; and the steps.
    fn taken(&mut self, set: usize, sum: i64) -> (i64, u64) {
        match &mut self.chain {
            None => (sum, 0),
            Some(chain) => {
                let before = chain.work;
                let taken = chain.taken(set);
                (taken, (chain.work - before) * (1 + self.stride.len() as u64))
            }
        }
    }

    /// The bar whose pieces make up a difference between two states.
    fn filled(&self, class: usize, difference: usize) -> Filled {
        let mut kinds = Vec::new();
        for (k, kind) in self.problem.kinds.iter().enumerate() {
            let radix = kind.count as usize + 1;
            kinds.extend(std::iter::repeat_n(k, difference / self.stride[k] % radix));
        }
        Filled { class, kinds }
    }
}

/// Every filling of one bar from one state.
struct Fill<'s, 'a, F> {
    search: &'s mut Search<'a>,
    classes: &'s [usize],
    base: Cost,
    /// State before the bar.
    from: usize,
    steps: u64,
    found: F,
}

impl<F: FnMut(&mut Option<Cost>, usize, Cost, usize)> Fill<'_, '_, F> {
    /// Offers a filling to the state it leads to.
    fn offer(&mut self, to: usize, sum: i64) {
        let (sum, steps) = self.search.taken(to - self.from, sum);
        self.steps += steps;
        for &class in self.classes {
            if sum <= self.search.problem.classes[class].room {
                let new = self.base.plus(self.search.problem.bar_cost(class, sum));
                if !new.beyond(&self.search.best) {
                    (self.found)(&mut self.search.cost[to], to, new, class);
                }
            }
        }
    }

    /// Adds one more piece, of a kind from `from` on, in every way.
    fn extend(&mut self, missing: &mut [u32], from: usize, to: usize, sum: i64, left: i64) {
        for kind in from..missing.len() {
            if self.search.smallest_from[kind] > left {
                return;
            }
            let size = self.search.problem.kinds[kind].size;
            let low = self.search.low[kind];
            if missing[kind] == 0 || low > left {
                continue;
            }
            missing[kind] -= 1;
            self.steps += 1;
            let next = to + self.search.stride[kind];
            self.offer(next, sum + size);
            self.extend(missing, kind, next, sum + size, left - low);
            missing[kind] += 1;
        }
    }
}
