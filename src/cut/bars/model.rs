//! The planner's inner problem: piece types, bar classes, and the cost of a plan.

/// What a plan costs; ordered field by field, so smaller is better.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::cut) struct Cost {
    /// Pieces that stay uncut.
    pub uncut: i64,
    /// Worth of the steel taken less that of what goes back, in the problem's
    /// own units; 0 unless what goes back has a value.
    pub net: i64,
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
            net: self.net + other.net,
            money: self.money + other.money,
            waste: self.waste + other.waste,
            items: self.items + other.items,
            short: self.short.min(other.short),
        }
    }

    /// Already worse than `best` in a part that can only grow.
    #[inline]
    pub fn beyond(&self, best: &Cost) -> bool {
        (self.uncut, self.net, self.money, self.waste) > (best.uncut, best.net, best.money, best.waste)
    }
}

/// How a cut lies and what it takes; ends that are equal can share one cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::cut) struct End {
    /// Angle that the saw is set to, millionths of a degree, with the face.
    pub setting: (i64, u8),
    /// What the blade takes along the bar, nm.
    pub blade: i64,
    /// What is saved where one cut serves two such ends, nm.
    pub saved: i64,
}

/// How a piece can lie in the bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::cut) struct Way {
    /// Index of its end towards the start of the bar.
    pub left: u16,
    /// Index of its other end.
    pub right: u16,
    /// How it was turned, as in [`crate::cut::Turned`].
    pub turned: u8,
}

/// Pieces that are alike for the search.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::cut) struct Kind {
    /// Length with its allowance, nm: never less than the piece takes.
    pub size: i64,
    /// Length alone, nm.
    pub length: i64,
    /// How many.
    pub count: u32,
    /// Index of its shape.
    pub shape: usize,
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
    /// What a whole one is worth, in the units of [`Value`]; 0 without.
    pub worth: i64,
}

/// What goes back to the rack is worth `rate` for every `per` nm, in units of
/// `10^-9 / per` of 1/10,000 of the money.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::cut) struct Value {
    /// Worth of one metre, 1/10,000 of the money; 0 for no value.
    pub rate: i64,
    /// Divisor that keeps the numbers small.
    pub per: i64,
}

impl Default for Value {
    fn default() -> Value {
        Value { rate: 0, per: 1 }
    }
}

impl Value {
    /// Worth of a length.
    pub fn of(&self, length: i64) -> i64 {
        (i128::from(length) * i128::from(self.rate) / i128::from(self.per)) as i64
    }

    /// In 1/10,000 of the money, rounded down.
    pub fn money(&self, worth: i64) -> i64 {
        (i128::from(worth) * i128::from(self.per)).div_euclid(1_000_000_000) as i64
    }
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
    /// What goes back is worth.
    pub value: Value,
    /// Ends of all pieces, each once.
    pub ends: Vec<End>,
    /// For each shape the ways in which a piece can lie.
    pub shapes: Vec<Vec<Way>>,
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
            net: class.worth - if kept { self.value.of(rest) } else { 0 },
            money: class.price,
            waste: if kept { 0 } else { rest },
            items: i64::from(kept) - i64::from(class.count.is_some()),
            short: if kept { -rest } else { 0 },
        }
    }

    /// Whether the order of the pieces in a bar changes what they take.
    pub fn is_mitred(&self) -> bool {
        self.ends.len() > 1 || self.ends.iter().any(|e| e.saved > 0)
    }

    /// The least that a piece takes between the most obliging neighbours, nm.
    pub fn low_size(&self, kind: &Kind) -> i64 {
        if !self.is_mitred() {
            return kind.size;
        }
        let half = |w: &Way| (self.net(w.left) + self.net(w.right)).div_euclid(2);
        let least = self.shapes[kind.shape].iter().map(half).min().unwrap_or(0);
        (kind.length + least).max(1)
    }

    /// What an end takes when its cut is shared, nm.
    fn net(&self, end: u16) -> i64 {
        let end = &self.ends[usize::from(end)];
        end.blade - end.saved
    }

    /// What the sum of low sizes may be too much for a whole bar, nm.
    pub fn low_extra(&self) -> i64 {
        if !self.is_mitred() {
            return 0;
        }
        (0..self.ends.len() as u16).map(|e| self.net(e)).max().unwrap_or(0).max(0) / 2 + 1
    }

    /// The problem with low sizes and the extra room: what it cannot do, the
    /// real one cannot do either. Only for bounds on uncut pieces and money.
    pub fn relaxed(&self) -> Problem {
        let mut easy = self.clone();
        for kind in &mut easy.kinds {
            kind.size = self.low_size(kind);
        }
        easy.kinds.sort_by_key(|k| -k.size);
        for class in &mut easy.classes {
            class.room += self.low_extra();
        }
        easy.allowance += self.low_extra();
        easy.ends.clear();
        easy
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
