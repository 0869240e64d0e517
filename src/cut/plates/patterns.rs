//! Patterns: the sets of blanks that come out of one plate by through cuts and
//! leave no more than a limit of it, all of them or the best of them.
//!
//! Rectangles are built of smaller ones, set by set. A rectangle within a
//! pattern has no more waste in it than the whole, so those beyond the limit
//! are left out; that leaves few if the limit is tight.
//!
//! # Source
//! P. Y. Wang, Two algorithms for constrained two-dimensional cutting stock
//! problems, Operations Research 31 (1983), for the build-up with a limit on
//! waste; from memory.

use crate::cut::effort::Budget;
use crate::cut::plates::build::{Build, Join};
use crate::cut::plates::sets::{Blanks, Set};
use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

/// What comes out of a plate, and the area of it that is left, square units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Pattern {
    pub set: Set,
    pub waste: i64,
}

/// What is looked for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wanted {
    /// Sides of the plate, units, kerf added.
    pub plate: (i64, i64),
    /// Blanks that may be used.
    pub allowed: Set,
    /// Most area that may be left, square units.
    pub limit: i64,
    /// Most rectangles kept of one number of blanks.
    pub beam: usize,
}

/// The patterns found, least left first.
#[derive(Clone, Debug, Default)]
pub(super) struct Listing {
    pub patterns: Vec<Pattern>,
    /// No pattern within the limit is missing.
    pub complete: bool,
}

/// A rectangle built of blanks.
#[derive(Clone, Copy)]
struct Node {
    set: Set,
    length: i64,
    width: i64,
    waste: i64,
    /// The first kind in it.
    low: u8,
    /// Axis of the last join; 2 for a blank.
    root: u8,
    from: Join,
}

/// A rectangle as the second part of a join.
#[derive(Clone, Copy)]
struct Second {
    across: i64,
    along: i64,
    waste: i64,
    set: Set,
    low: u8,
    id: u32,
}

/// A build-up in progress.
struct Growth<'a> {
    blanks: &'a Blanks,
    wanted: Wanted,
    spare: Set,
    /// Sums of up to two sides, and the least side.
    sums: Vec<i64>,
    least: i64,
    nodes: Vec<Node>,
    /// Where the rectangles of a number of blanks begin.
    levels: Vec<usize>,
    /// By number of blanks: what may be joined along x and along y, sorted by
    /// the size across.
    seconds: Vec<[Vec<Second>; 2]>,
    complete: bool,
}

/// Quick numbers for sets; the order of the table is never walked.
#[derive(Default)]
struct Mix(u64);

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 29)
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        }
    }

    fn write_u128(&mut self, n: u128) {
        let folded = (n as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ ((n >> 64) as u64).rotate_left(31);
        self.0 = (self.0 ^ folded).wrapping_mul(0xD6E8_FEB8_6659_FD93);
    }
}

/// Rectangles of one number of blanks by set; those of a set stand in a chain.
#[derive(Default)]
struct Level {
    first: HashMap<Set, u32, BuildHasherDefault<Mix>>,
    nodes: Vec<(Node, u32, bool)>,
}

/// End of a chain.
const NONE: u32 = u32::MAX;

impl Level {
    /// Keeps a rectangle unless one no larger is known for its set.
    fn push(&mut self, node: Node) {
        let head = self.first.entry(node.set).or_insert(NONE);
        let mut at = *head;
        while at != NONE {
            let (other, next, on) = &mut self.nodes[at as usize];
            if *on && other.length <= node.length && other.width <= node.width {
                return;
            }
            *on &= !(node.length <= other.length && node.width <= other.width);
            at = *next;
        }
        self.nodes.push((node, *head, true));
        *head = self.nodes.len() as u32 - 1;
    }
}

/// Lists patterns, nothing out of the plate among them if that is within the
/// limit.
pub(super) fn list(blanks: &Blanks, wanted: Wanted, budget: &mut Budget) -> Listing {
    let mut growth = Growth::new(blanks, wanted);
    growth.grow(budget);
    let whole = wanted.plate.0 * wanted.plate.1;
    let left = |n: &Node| whole - (n.length * n.width - n.waste);
    let mut patterns: Vec<Pattern> = growth
        .nodes
        .iter()
        .map(|n| Pattern { set: n.set, waste: left(n) })
        .chain([Pattern { set: 0, waste: whole }])
        .filter(|p| p.waste <= wanted.limit)
        .collect();
    patterns.sort_unstable_by_key(|p| (p.waste, p.set));
    patterns.dedup();
    Listing { patterns, complete: growth.complete }
}

/// Ways to build a set that comes out of a plate, none of them within another.
pub(super) fn builds(blanks: &Blanks, plate: (i64, i64), set: Set, budget: &mut Budget) -> Vec<Build> {
    let limit = plate.0 * plate.1 - blanks.area(set);
    let mut growth = Growth::new(blanks, Wanted { plate, allowed: set, limit, beam: usize::MAX });
    growth.grow(budget);
    growth.nodes.iter().filter(|n| n.set == set).map(|n| growth.build(&n.from)).collect()
}

/// Whether a set of blanks comes out of a plate; `None` if the steps ran out.
pub(super) fn comes_out(blanks: &Blanks, plate: (i64, i64), set: Set, budget: &mut Budget) -> Option<bool> {
    let limit = plate.0 * plate.1 - blanks.area(set);
    let mut growth = Growth::new(blanks, Wanted { plate, allowed: set, limit, beam: usize::MAX });
    growth.grow(budget);
    let found = growth.nodes.iter().any(|n| n.set == set);
    (found || growth.complete).then_some(found)
}

impl<'a> Growth<'a> {
    fn new(blanks: &'a Blanks, wanted: Wanted) -> Growth<'a> {
        let mut sides: Vec<i64> = Vec::new();
        for sort in blanks.sorts.iter().filter(|s| s.count(wanted.allowed) > 0) {
            sides.extend([sort.length, sort.width]);
        }
        sides.sort_unstable();
        sides.dedup();
        let least = sides.first().copied().unwrap_or(1);
        let mut sums = sides.clone();
        // Three sides reach further than the gaps that are looked at.
        for (i, a) in sides.iter().enumerate() {
            sums.extend(sides[i..].iter().map(|b| a + b).take_while(|s| *s < 3 * least));
        }
        sums.push(0);
        sums.sort_unstable();
        sums.dedup();
        let spare = blanks.spare(wanted.allowed);
        let (nodes, levels, seconds) = (Vec::new(), vec![0], vec![[Vec::new(), Vec::new()]]);
        Growth { blanks, wanted, spare, sums, least, nodes, levels, seconds, complete: true }
    }

    /// What is left of a length beside the blanks, at least.
    #[inline]
    fn gap(&self, length: i64) -> i64 {
        if length >= 3 * self.least {
            return 0;
        }
        length - self.sums[self.sums.partition_point(|s| *s <= length) - 1]
    }

    /// A pattern within the limit may contain a rectangle: right of it and
    /// above it some is left for certain.
    #[inline]
    fn may_grow(&self, length: i64, width: i64, waste: i64) -> bool {
        let (x, y) = (self.wanted.plate.0 - length, self.wanted.plate.1 - width);
        x >= 0
            && y >= 0
            && waste <= self.wanted.limit
            && waste + self.gap(x) * width + self.gap(y) * length <= self.wanted.limit
    }

    fn grow(&mut self, budget: &mut Budget) {
        let mut level = Level::default();
        for (k, sort) in self.blanks.sorts.iter().enumerate().filter(|s| s.1.count(self.wanted.allowed) > 0) {
            for (length, width, turned) in sort.lies().filter(|l| self.may_grow(l.0, l.1, 0)) {
                let from = Join::Blank { kind: k, turned };
                level.push(Node { set: sort.one(), length, width, waste: 0, low: k as u8, root: 2, from });
            }
        }
        self.settle(level);
        let most: u32 = self.blanks.sorts.iter().map(|s| s.count(self.wanted.allowed)).sum();
        for size in 2..=most as usize {
            let mut level = Level::default();
            for first in 1..size {
                for axis in 0..2 {
                    if !self.join(first, size - first, axis, &mut level, budget) {
                        self.complete = false;
                        self.settle(level);
                        return;
                    }
                }
            }
            self.settle(level);
            // A level may be empty while larger ones are not, only if no two
            // levels are left to join.
            if (size / 2 + 1..=size).all(|s| self.seconds[s].iter().all(Vec::is_empty)) {
                return;
            }
        }
    }

    /// Joins each rectangle of some blanks with each of others; false if the
    /// budget ends. The first part has the first kind, and the second is not
    /// itself joined along the axis: a row of parts is built up from its first
    /// in one way, and a better rectangle of some of its parts joins as well.
    fn join(&self, first: usize, second: usize, axis: usize, level: &mut Level, budget: &mut Budget) -> bool {
        let side = if axis == 0 { self.wanted.plate.0 } else { self.wanted.plate.1 };
        let list = &self.seconds[second][axis];
        for id in self.levels[first - 1]..self.levels[first] {
            let a = &self.nodes[id];
            let (along, across) = if axis == 0 { (a.length, a.width) } else { (a.width, a.length) };
            let left = self.wanted.limit - a.waste;
            let (low, high) = (across - left / self.least, across + left / along);
            let from = list.partition_point(|b| b.across < low);
            let mut seen = 0;
            let mut made = 0;
            for b in list[from..].iter().take_while(|b| b.across <= high) {
                seen += 1;
                if b.low < a.low || along + b.along > side || !self.blanks.within(a.set + b.set, self.spare) {
                    continue;
                }
                let beside =
                    if b.across <= across { (across - b.across) * b.along } else { (b.across - across) * along };
                let waste = a.waste + b.waste + beside;
                let (sum, most) = (along + b.along, across.max(b.across));
                let (length, width) = if axis == 0 { (sum, most) } else { (most, sum) };
                if self.may_grow(length, width, waste) {
                    made += 1;
                    let from = Join::Pair { parts: (id as u32, b.id), axis };
                    level.push(Node { set: a.set + b.set, length, width, waste, low: a.low, root: axis as u8, from });
                }
            }
            if !budget.spend(1 + seen / 8 + made * 2) {
                return false;
            }
        }
        true
    }

    /// Ends a level: those of the beam, ready to be joined.
    fn settle(&mut self, level: Level) {
        let mut nodes: Vec<Node> = level.nodes.into_iter().filter(|n| n.2).map(|n| n.0).collect();
        if nodes.len() > self.wanted.beam {
            let share = |n: &Node| (i128::from(n.waste) << 20) / (i128::from(n.length) * i128::from(n.width));
            nodes.sort_by_key(|n| (share(n), n.set, n.length));
            nodes.truncate(self.wanted.beam);
            self.complete = false;
        }
        let start = self.nodes.len();
        self.nodes.extend(nodes);
        let mut seconds = [Vec::new(), Vec::new()];
        for (axis, list) in seconds.iter_mut().enumerate() {
            for (id, n) in self.nodes.iter().enumerate().skip(start).filter(|n| n.1.root != axis as u8) {
                let (along, across) = if axis == 0 { (n.length, n.width) } else { (n.width, n.length) };
                list.push(Second { across, along, waste: n.waste, set: n.set, low: n.low, id: id as u32 });
            }
            list.sort_unstable_by_key(|s| (s.across, s.id));
        }
        self.seconds.push(seconds);
        self.levels.push(self.nodes.len());
    }

    fn build(&self, join: &Join) -> Build {
        match *join {
            Join::Blank { kind, turned } => {
                let b = &self.blanks.sorts[kind].blank;
                let size = if turned { (b.width, b.length) } else { (b.length, b.width) };
                Build::Blank { kind, turned, size }
            }
            Join::Pair { parts: (a, b), axis } => {
                let part = |id: u32| self.build(&self.nodes[id as usize].from);
                Build::pair(axis, part(a), part(b))
            }
        }
    }
}
