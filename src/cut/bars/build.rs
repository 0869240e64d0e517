//! First plans: bars are filled one after another, each as full as it gets.

use crate::cut::bars::model::{Filled, Problem, Solution};
use crate::cut::effort::Budget;

/// Most steps for filling one bar.
const FILL_STEPS: u32 = 3_000;

/// How a first plan is made.
#[derive(Clone, Copy, Debug)]
pub(super) struct Recipe {
    /// Limited bars in the order of the classes (shortest first) or reversed.
    pub longest_first: bool,
    /// Every bar takes the largest piece left that fits it.
    pub largest_in: bool,
    /// The bought class to use where it can be used; otherwise best value.
    pub only: Option<usize>,
    /// Bits that leave out some of the limited bars at first; 0 leaves none.
    pub skip: u64,
}

/// Search for the fullest filling of one bar.
struct Fullest<'a> {
    problem: &'a Problem,
    steps: u32,
    /// Kinds that may still be looked at, used up ones included.
    looks: u32,
    best: i64,
    best_kinds: Vec<usize>,
    stack: Vec<usize>,
}

impl Fullest<'_> {
    fn search(&mut self, left: &mut [u32], from: usize, sum: i64, room: i64) {
        if sum > self.best {
            self.best = sum;
            self.best_kinds.clone_from(&self.stack);
        }
        let small = self.problem.kinds[from..].partition_point(|k| sum + k.size > room);
        for kind in from + small..left.len() {
            if self.steps == 0 || self.looks == 0 || self.best == room {
                return;
            }
            self.looks -= 1;
            let size = self.problem.kinds[kind].size;
            if left[kind] == 0 {
                continue;
            }
            self.steps -= 1;
            left[kind] -= 1;
            self.stack.push(kind);
            self.search(left, kind, sum + size, room);
            self.stack.pop();
            left[kind] += 1;
        }
    }
}

/// The fullest filling found for one bar, and its sum.
fn fill(problem: &Problem, left: &mut [u32], class: usize, largest_in: bool, budget: &mut Budget) -> (i64, Vec<usize>) {
    let room = problem.classes[class].room;
    let mut fullest = Fullest {
        problem,
        steps: FILL_STEPS,
        looks: 8 * FILL_STEPS,
        best: 0,
        best_kinds: Vec::new(),
        stack: Vec::new(),
    };
    let fits = |k: &usize| left[*k] > 0 && problem.kinds[*k].size <= room;
    let Some(first) = (0..left.len()).find(fits) else {
        return (0, Vec::new());
    };
    if largest_in {
        left[first] -= 1;
        fullest.stack.push(first);
        fullest.search(left, first, problem.kinds[first].size, room);
        left[first] += 1;
    } else {
        fullest.search(left, first, 0, room);
    }
    let looked = 8 * FILL_STEPS - fullest.looks;
    budget.spend(u64::from(FILL_STEPS - fullest.steps) + u64::from(looked / 8) + 1 + left.len() as u64 / 8);
    (fullest.best, fullest.best_kinds)
}

/// Makes a plan after a recipe.
pub(super) fn build(problem: &Problem, recipe: Recipe, budget: &mut Budget) -> Solution {
    let mut left: Vec<u32> = problem.kinds.iter().map(|k| k.count).collect();
    let mut solution = Solution::default();
    let limited = limited_bars(problem, recipe.longest_first);
    let skipped = |i: usize| recipe.skip >> (i % 64) & 1 == 1;
    for pass in 0..2 {
        for (i, &class) in limited.iter().enumerate() {
            if skipped(i) != (pass == 1) {
                continue;
            }
            let (_, kinds) = fill(problem, &mut left, class, recipe.largest_in, budget);
            take(&mut solution, &mut left, class, kinds);
        }
        // Bars left out come back only for what cannot be bought.
        buy(problem, recipe, &mut left, &mut solution, budget);
    }
    shrink(problem, &mut solution);
    solution
}

fn take(solution: &mut Solution, left: &mut [u32], class: usize, kinds: Vec<usize>) {
    if kinds.is_empty() {
        return;
    }
    for &kind in &kinds {
        left[kind] -= 1;
    }
    solution.bars.push(Filled { class, kinds });
}

/// Limited bars, one entry each, those that cost nothing first.
fn limited_bars(problem: &Problem, longest_first: bool) -> Vec<usize> {
    let pieces = problem.pieces() as usize;
    let mut order: Vec<usize> = (0..problem.classes.len()).collect();
    if longest_first {
        order.reverse();
    }
    order.sort_by_key(|&c| problem.classes[c].price > 0);
    let times = |c: usize| problem.classes[c].count.map_or(0, |n| (n as usize).min(pieces));
    order.into_iter().flat_map(|c| std::iter::repeat_n(c, times(c))).collect()
}

/// Fills bought bars until nothing more fits one.
fn buy(problem: &Problem, recipe: Recipe, left: &mut [u32], solution: &mut Solution, budget: &mut Budget) {
    let shop: Vec<usize> = (0..problem.classes.len()).filter(|&c| problem.classes[c].count.is_none()).collect();
    loop {
        let rest: i64 = left.iter().zip(&problem.kinds).map(|(&n, k)| i64::from(n) * k.size).sum();
        if rest == 0 {
            return;
        }
        let last = shop
            .iter()
            .filter(|&&c| problem.classes[c].room >= rest)
            .min_by_key(|&&c| (problem.classes[c].price, problem.classes[c].room));
        let mut options: Vec<(usize, i64, Vec<usize>)> = Vec::new();
        for &class in &shop {
            if last.is_none_or(|&l| l == class) {
                let (sum, kinds) = fill(problem, left, class, recipe.largest_in, budget);
                options.push((class, sum, kinds));
            }
        }
        options.retain(|o| o.1 > 0);
        if options.iter().any(|o| Some(o.0) == recipe.only) {
            options.retain(|o| Some(o.0) == recipe.only);
        }
        options.sort_by(|a, b| {
            let price = |o: &(usize, i64, Vec<usize>)| i128::from(problem.classes[o.0].price);
            (price(a) * i128::from(b.1)).cmp(&(price(b) * i128::from(a.1))).then(b.1.cmp(&a.1))
        });
        let Some((class, _, kinds)) = options.into_iter().next() else {
            return;
        };
        take(solution, left, class, kinds);
    }
}

/// Moves the contents of each bar to the unused bar that costs least.
pub(super) fn shrink(problem: &Problem, solution: &mut Solution) {
    let mut unused = problem.unused(solution);
    for bar in &mut solution.bars {
        let sum = problem.sum(&bar.kinds);
        let now = problem.bar_cost(bar.class, sum);
        let better = (0..problem.classes.len())
            .filter(|&c| unused[c] != Some(0) && problem.classes[c].room >= sum)
            .map(|c| (problem.bar_cost(c, sum), c))
            .min();
        if let Some((cost, class)) = better
            && cost < now
        {
            for (c, change) in [(bar.class, 1), (class, -1)] {
                if let Some(n) = &mut unused[c] {
                    *n = n.wrapping_add_signed(change);
                }
            }
            bar.class = class;
        }
    }
}
