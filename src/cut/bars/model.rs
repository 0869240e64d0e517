//! The planner's inner problem: piece types, bar classes, and the cost of a plan.

/// What a plan costs; ordered field by field, so smaller is better.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::cut) struct Cost {
    /// Pieces that stay uncut.
    pub uncut: i64,
    /// Price of the bars opened, 1/10,000.
    pub money: i64,
    /// Remainders too short to keep, nm.
    pub waste: i64,
    /// Change in the number of items in the bin: an offcut used up is one
    /// less, a bought bar that leaves a keeper is one more.
    pub items: i64,
    /// The longest remainder kept, negative, nm.
    pub short: i64,
}

impl Cost {
    /// Both together.
    #[inline]
    pub fn plus(self, other: Cost) -> Cost {
        Cost {
            uncut: self.uncut + other.uncut,
            money: self.money + other.money,
            waste: self.waste + other.waste,
            items: self.items + other.items,
            short: self.short.min(other.short),
        }
    }

    /// Already worse than `best` in a part that can only grow.
    #[inline]
    pub fn beyond(&self, best: &Cost) -> bool {
        (self.uncut, self.money, self.waste) > (best.uncut, best.money, best.waste)
    }
}

/// Pieces that are alike for the search.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::cut) struct Kind {
    /// Length with its allowance, nm.
    pub size: i64,
    /// Length alone, nm.
    pub length: i64,
    /// How many.
    pub count: u32,
}

/// Bars that are alike for the search.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::cut) struct Class {
    /// Usable length plus the smallest allowance: the sum of sizes that fits, nm.
    pub room: i64,
    /// Price of one, 1/10,000.
    pub price: i64,
    /// How many; `None` is as many as wanted.
    pub count: Option<u32>,
}

/// One bar of a solution.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::cut) struct Filled {
    /// Index of its class.
    pub class: usize,
    /// Indices of its kinds, ascending, repeated.
    pub kinds: Vec<usize>,
}

/// A set of filled bars; what is not in them is uncut.
#[derive(Clone, Debug, Default)]
pub(in crate::cut) struct Solution {
    /// The bars.
    pub bars: Vec<Filled>,
}

/// Kinds (largest size first) and classes, with the rules.
#[derive(Clone, Debug, Default)]
pub(in crate::cut) struct Problem {
    /// Largest size first.
    pub kinds: Vec<Kind>,
    /// Bar classes.
    pub classes: Vec<Class>,
    /// Shortest remainder kept, nm.
    pub keep: i64,
    /// Smallest allowance of all pieces, already in every room, nm.
    pub allowance: i64,
}

impl Problem {
    /// Cost of one bar of a class whose pieces' sizes add up to `sum`.
    #[inline]
    pub fn bar_cost(&self, class: usize, sum: i64) -> Cost {
        let class = &self.classes[class];
        let rest = (class.room - self.allowance - sum).max(0);
        let kept = rest >= self.keep;
        Cost {
            uncut: 0,
            money: class.price,
            waste: if kept { 0 } else { rest },
            items: i64::from(kept) - i64::from(class.count.is_some()),
            short: if kept { -rest } else { 0 },
        }
    }

    /// Sum of the sizes of some pieces.
    pub fn sum(&self, kinds: &[usize]) -> i64 {
        kinds.iter().map(|&k| self.kinds[k].size).sum()
    }

    /// How many pieces there are.
    pub fn pieces(&self) -> u64 {
        self.kinds.iter().map(|k| u64::from(k.count)).sum()
    }

    /// Pieces of each kind that a solution leaves uncut.
    pub fn left_over(&self, solution: &Solution) -> Vec<u32> {
        let mut left: Vec<u32> = self.kinds.iter().map(|k| k.count).collect();
        for bar in &solution.bars {
            for &kind in &bar.kinds {
                left[kind] -= 1;
            }
        }
        left
    }

    /// Bars of each class that a solution leaves unused.
    pub fn unused(&self, solution: &Solution) -> Vec<Option<u32>> {
        let mut left: Vec<Option<u32>> = self.classes.iter().map(|c| c.count).collect();
        for bar in &solution.bars {
            if let Some(count) = &mut left[bar.class] {
                *count -= 1;
            }
        }
        left
    }

    /// Cost of a whole solution.
    pub fn cost(&self, solution: &Solution) -> Cost {
        let mut cost = Cost::default();
        for bar in &solution.bars {
            cost = cost.plus(self.bar_cost(bar.class, self.sum(&bar.kinds)));
        }
        cost.uncut = self.left_over(solution).into_iter().map(i64::from).sum();
        cost
    }
}
