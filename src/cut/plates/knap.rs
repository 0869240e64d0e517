//! The most value out of one plate by through cuts: a best-first build-up of
//! rectangles from blanks, with bounds from dynamic programming.
//!
//! # Source
//! K. V. Viswanathan and A. Bagchi, Best-first search methods for constrained
//! two-dimensional cutting stock problems, Operations Research 41 (1993), for
//! the build-up and the bound outside a rectangle; V. Cung, M. Hifi and B. Le
//! Cun, Constrained two-dimensional cutting stock problems: a best-first
//! branch-and-bound algorithm, International Transactions in Operational
//! Research 7 (2000), for the knapsack bound and duplicates; M. Dolatabadi, A.
//! Lodi and M. Monaci, Exact algorithms for the two-dimensional guillotine
//! knapsack, Computers and Operations Research 39 (2012), for the use as a test
//! whether all blanks come out of a plate. All three from memory.

use crate::cut::effort::Budget;
use crate::cut::plates::build::{Build, Join};
use crate::cut::plates::sets::gcd;
use std::collections::{BinaryHeap, HashMap};

/// Words of packed counts.
const WORDS: usize = 4;
/// How often each kind is used, packed with a spare bit each.
type Counts = [u64; WORDS];
/// Most grid lines along a side; more are put together, which weakens bounds.
const LINES: usize = 150;
/// Largest area, in common units, for the knapsack by area.
const AREA_CELLS: i128 = 300_000;
/// Most rectangles kept: about 100 bytes each.
const MOST_NODES: usize = 3_000_000;

/// A kind of blank for one plate, kerf added.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kind {
    pub length: i64,
    pub width: i64,
    pub value: i64,
    pub count: u32,
    pub may_turn: bool,
}

impl Kind {
    fn area(&self) -> i128 {
        i128::from(self.length) * i128::from(self.width)
    }

    fn lies(&self) -> impl Iterator<Item = (i64, i64, bool)> {
        let turned = self.may_turn && self.length != self.width;
        let second = turned.then_some((self.width, self.length, true));
        [Some((self.length, self.width, false)), second].into_iter().flatten()
    }
}

/// What a search found out.
#[derive(Clone, Debug)]
pub(super) struct Answer {
    /// Best value found above the floor, with the way to build it.
    pub best: Option<(i64, Build)>,
    /// No way of cutting is worth more.
    pub bound: i64,
}

/// Grid lines along one side.
struct Lines {
    at: Vec<i64>,
    /// Largest length that counts as this line.
    top: Vec<i64>,
}

/// One built rectangle.
#[derive(Clone, Copy)]
struct Node {
    length: i64,
    width: i64,
    value: i64,
    bound: i64,
    counts: Counts,
    from: Join,
}

/// A plate with its bounds.
struct Search<'a> {
    length: i64,
    width: i64,
    kinds: &'a [Kind],
    x: Lines,
    y: Lines,
    /// Most value inside a rectangle, by lines.
    inside: Vec<i64>,
    /// Most value of the plate beside a rectangle in its corner.
    beside: Vec<i64>,
    /// Kinds by value for area, best first.
    order: Vec<usize>,
    place: Vec<(usize, u32, u32)>,
    spare: Counts,
    guard: Counts,
}

impl Lines {
    /// All sums of sizes up to a side; thinned out if there are too many.
    fn new(side: i64, sizes: &[(i64, u32)]) -> Lines {
        let mut sums = vec![0];
        let mut complete = true;
        'all: for &(size, count) in sizes {
            for _ in 0..count {
                let more: Vec<i64> = sums.iter().map(|s| s + size).filter(|s| *s <= side).collect();
                let before = sums.len();
                sums.extend(more);
                sums.sort_unstable();
                sums.dedup();
                if sums.len() == before {
                    break;
                }
                if sums.len() > 40 * LINES {
                    complete = false;
                    break 'all;
                }
            }
        }
        if sums.last() != Some(&side) {
            sums.push(side);
        }
        let mut at = sums;
        if !complete || at.len() > LINES {
            // The first line above 0 is the smallest size: below it lies nothing.
            complete = false;
            let least = sizes.first().map_or(side, |s| s.0);
            let step = |i: i64| least + ((i128::from(side - least) * i128::from(i)) / (LINES as i128 - 2)) as i64;
            at = (0..LINES as i64 - 1).map(step).collect();
            at.insert(0, 0);
            at.dedup();
        }
        let top = |i: usize| match at.get(i + 1) {
            Some(next) if !complete => next - 1,
            _ => at[i],
        };
        let top = (0..at.len()).map(top).collect();
        Lines { at, top }
    }

    /// The last line at or below a length.
    fn index(&self, length: i64) -> usize {
        self.at.partition_point(|a| *a <= length).saturating_sub(1)
    }
}

/// Least value for which the search is made, and how far it may go.
pub(super) struct Limit<'a> {
    /// Only more than this is of interest.
    pub floor: i64,
    pub budget: &'a mut Budget,
}

/// The most value out of a plate whose sides have the kerf added. `None` in the
/// answer's best if nothing above the floor was found.
pub(super) fn solve(length: i64, width: i64, kinds: &[Kind], limit: Limit) -> Answer {
    let mut search = Search::new(length, width, kinds, limit.budget);
    let root = search.inside.last().copied().unwrap_or(0).min(search.by_area(&[0; WORDS], search.whole()));
    if root <= limit.floor {
        return Answer { best: None, bound: limit.floor };
    }
    if !search.pack_counts() {
        return Answer { best: None, bound: root };
    }
    search.build_up(root, limit)
}

impl<'a> Search<'a> {
    fn new(length: i64, width: i64, kinds: &'a [Kind], budget: &mut Budget) -> Search<'a> {
        let sizes = |side: i64, pick: fn((i64, i64, bool)) -> i64| {
            let mut list: Vec<(i64, u32)> = Vec::new();
            for kind in kinds {
                for lies in kind.lies().filter(|l| l.0 <= length && l.1 <= width) {
                    let size = pick(lies);
                    list.push((size, kind.count.min((side / size.max(1)) as u32)));
                }
            }
            list.sort_unstable();
            list
        };
        let (x, y) = (Lines::new(length, &sizes(length, |l| l.0)), Lines::new(width, &sizes(width, |l| l.1)));
        let mut order: Vec<usize> = (0..kinds.len()).collect();
        order.sort_by(|&a, &b| {
            let (p, q) = (&kinds[a], &kinds[b]);
            (i128::from(q.value) * p.area()).cmp(&(i128::from(p.value) * q.area())).then(a.cmp(&b))
        });
        let (inside, beside) = (Vec::new(), Vec::new());
        let mut search = Search {
            length,
            width,
            kinds,
            x,
            y,
            inside,
            beside,
            order,
            place: Vec::new(),
            spare: [0; WORDS],
            guard: [0; WORDS],
        };
        search.fill_inside(budget);
        search
    }

    fn whole(&self) -> i128 {
        i128::from(self.length) * i128::from(self.width)
    }

    /// Most value of the blanks not yet used on an area, divisible blanks.
    fn by_area(&self, counts: &Counts, area: i128) -> i64 {
        let (mut left, mut value) = (area, 0_i64);
        for &k in &self.order {
            let kind = &self.kinds[k];
            let used = self.place.get(k).map_or(0, |p| (counts[p.0] >> p.1) & ((1 << p.2) - 1));
            let rest = i64::from(kind.count) - used as i64;
            let size = kind.area();
            if i128::from(rest) * size <= left {
                left -= i128::from(rest) * size;
                value += kind.value * rest;
            } else {
                return value + (i128::from(kind.value) * left / size) as i64;
            }
        }
        value
    }

    /// Most value inside each rectangle: blanks without limit by through cuts
    /// (Gilmore and Gomory 1966, from memory), capped by the knapsack by area.
    fn fill_inside(&mut self, budget: &mut Budget) {
        let (nx, ny) = (self.x.at.len(), self.y.at.len());
        budget.spend((nx * ny * (nx + ny)) as u64 / 16);
        let mut inside = vec![0_i64; nx * ny];
        for kind in self.kinds {
            for (length, width, _) in kind.lies().filter(|l| l.0 <= self.length && l.1 <= self.width) {
                let first = (self.x.index(length), self.y.index(width));
                let cell = &mut inside[first.0 * ny + first.1];
                *cell = (*cell).max(kind.value);
            }
        }
        let cells = self.area_cells();
        let parts = |lines: &Lines, i: usize| -> Vec<(usize, usize)> {
            let top = lines.top[i];
            let half = (1..=i).take_while(|&c| 2 * lines.at[c] <= top);
            half.map(|c| (c, lines.index(top - lines.at[c]))).collect()
        };
        let across: Vec<_> = (0..nx).map(|i| parts(&self.x, i)).collect();
        let along: Vec<_> = (0..ny).map(|j| parts(&self.y, j)).collect();
        for i in 0..nx {
            for j in 0..ny {
                let at = i * ny + j;
                let mut best = inside[at];
                if i > 0 {
                    best = best.max(inside[at - ny]);
                }
                if j > 0 {
                    best = best.max(inside[at - 1]);
                }
                // On thinned lines a part may be put on the whole's own line;
                // then only the cap below holds.
                for &(c, d) in &across[i] {
                    let sum = if d < i { inside[c * ny + j].saturating_add(inside[d * ny + j]) } else { i64::MAX };
                    best = best.max(if inside[c * ny + j] > 0 { sum } else { 0 });
                }
                for &(c, d) in &along[j] {
                    let sum = if d < j { inside[i * ny + c].saturating_add(inside[i * ny + d]) } else { i64::MAX };
                    best = best.max(if inside[i * ny + c] > 0 { sum } else { 0 });
                }
                let area = i128::from(self.x.top[i]) * i128::from(self.y.top[j]);
                let cap = match &cells {
                    Some((unit, table)) => table[((area / unit) as usize).min(table.len() - 1)],
                    None => self.by_area(&[0; WORDS], area),
                };
                inside[at] = best.min(cap);
            }
        }
        self.inside = inside;
    }

    /// Most value of the plate that can be added to a rectangle in its corner.
    fn fill_beside(&mut self, budget: &mut Budget) {
        let (nx, ny) = (self.x.at.len(), self.y.at.len());
        budget.spend((nx * ny * (nx + ny)) as u64 / 16);
        let least = |pick: fn(&Kind) -> i64| self.kinds.iter().map(pick).min().unwrap_or(0);
        let short = least(|k| if k.may_turn { k.length.min(k.width) } else { k.length });
        let low = least(|k| if k.may_turn { k.length.min(k.width) } else { k.width });
        let coarse = |lines: &Lines, least: i64| lines.at.iter().zip(&lines.top).any(|(a, t)| t - a >= least);
        let mut beside = vec![0_i64; nx * ny];
        if coarse(&self.x, short) || coarse(&self.y, low) {
            beside.fill(i64::MAX / 4);
            self.beside = beside;
            return;
        }
        let gaps = |lines: &Lines, i: usize| -> Vec<(usize, usize)> {
            (i + 1..lines.at.len()).map(|c| (c, lines.index(lines.top[c] - lines.at[i]))).collect()
        };
        let across: Vec<_> = (0..nx).map(|i| gaps(&self.x, i)).collect();
        let along: Vec<_> = (0..ny).map(|j| gaps(&self.y, j)).collect();
        for i in (0..nx).rev() {
            for j in (0..ny).rev() {
                let right = across[i].iter().map(|&(c, d)| beside[c * ny + j].saturating_add(self.inside[d * ny + j]));
                let above = along[j].iter().map(|&(c, d)| beside[i * ny + c].saturating_add(self.inside[i * ny + d]));
                beside[i * ny + j] = right.chain(above).max().unwrap_or(0);
            }
        }
        self.beside = beside;
    }

    /// The bounded knapsack by area in common units, if they are few: most value
    /// by area, and the unit.
    fn area_cells(&self) -> Option<(i128, Vec<i64>)> {
        let common = |side: i64, pick: fn(&Kind) -> i64| {
            self.kinds.iter().fold(side, |g, k| gcd(g, if k.may_turn { gcd(k.length, k.width) } else { pick(k) }))
        };
        let unit = i128::from(common(self.length, |k| k.length)) * i128::from(common(self.width, |k| k.width));
        let cells = self.whole() / unit.max(1);
        if cells > AREA_CELLS || unit <= 0 {
            return None;
        }
        let mut most = vec![0_i64; cells as usize + 1];
        for kind in self.kinds {
            let (mut left, mut lot) = (i64::from(kind.count), 1);
            while left > 0 {
                let times = lot.min(left);
                let size = kind.area() / unit * i128::from(times);
                if size <= cells {
                    for area in (size as usize..most.len()).rev() {
                        most[area] = most[area].max(most[area - size as usize] + kind.value * times);
                    }
                }
                (left, lot) = (left - times, lot * 2);
            }
        }
        Some((unit, most))
    }

    /// Finds a place for each kind's count; false if there is none.
    fn pack_counts(&mut self) -> bool {
        let (mut word, mut bit) = (0, 0);
        for kind in self.kinds {
            let most = u64::from(kind.count.min(1 << 20));
            let bits = 64 - most.leading_zeros() + 1;
            if bit + bits > 64 {
                (word, bit) = (word + 1, 0);
            }
            if word >= WORDS {
                return false;
            }
            self.place.push((word, bit, bits - 1));
            self.spare[word] |= ((1 << (bits - 1)) - 1 - most) << bit;
            self.guard[word] |= 1 << (bit + bits - 1);
            bit += bits;
        }
        true
    }

    fn add(&self, a: &Counts, b: &Counts) -> Option<Counts> {
        let mut sum = [0; WORDS];
        for w in 0..WORDS {
            sum[w] = a[w] + b[w];
            if (sum[w] + self.spare[w]) & self.guard[w] != 0 {
                return None;
            }
        }
        Some(sum)
    }

    fn bound_beside(&self, length: i64, width: i64) -> i64 {
        self.beside[self.x.index(length) * self.y.at.len() + self.y.index(width)]
    }

    fn build_up(&mut self, root: i64, limit: Limit) -> Answer {
        let budget = limit.budget;
        self.fill_beside(budget);
        let mut open = Open { nodes: Vec::new(), heap: BinaryHeap::new(), known: HashMap::new() };
        let mut best: Option<(i64, Join)> = None;
        let mut floor = limit.floor;
        for (k, kind) in self.kinds.iter().enumerate() {
            for (length, width, turned) in kind.lies().filter(|l| l.0 <= self.length && l.1 <= self.width) {
                let mut counts = [0; WORDS];
                counts[self.place[k].0] = 1 << self.place[k].1;
                let rest = self.by_area(&counts, self.whole() - kind.area());
                let bound = kind.value.saturating_add(rest.min(self.bound_beside(length, width))).min(root);
                let from = Join::Blank { kind: k, turned };
                if kind.value > floor {
                    (floor, best) = (kind.value, Some((kind.value, from)));
                }
                open.push(Node { length, width, value: kind.value, bound, counts, from });
            }
        }
        let mut closed: Vec<u32> = Vec::new();
        let mut bound = root;
        while let Some((f, _, std::cmp::Reverse(id))) = open.heap.pop() {
            bound = bound.min(f);
            if f <= floor {
                bound = floor;
                break;
            }
            let node = open.nodes[id as usize];
            if open.dominated(&node) {
                continue;
            }
            closed.push(id);
            if !budget.spend(4 + closed.len() as u64 / 2) || open.nodes.len() > MOST_NODES {
                break;
            }
            for &other in &closed {
                self.pair(&mut open, id, other, &mut floor, &mut best);
            }
            if floor >= root {
                bound = floor;
                break;
            }
            if open.heap.is_empty() {
                bound = floor;
            }
        }
        Answer { best: best.map(|(value, join)| (value, open.build(&join, self.kinds))), bound: bound.max(floor) }
    }

    /// Puts two rectangles side by side and one above the other.
    fn pair(&self, open: &mut Open, a: u32, b: u32, floor: &mut i64, best: &mut Option<(i64, Join)>) {
        let (p, q) = (open.nodes[a as usize], open.nodes[b as usize]);
        let fits = [p.length + q.length <= self.length, p.width + q.width <= self.width];
        if !fits[0] && !fits[1] {
            return;
        }
        let Some(counts) = self.add(&p.counts, &q.counts) else {
            return;
        };
        let value = p.value + q.value;
        for axis in (0..2).filter(|a| fits[*a]) {
            let (length, width) = match axis {
                0 => (p.length + q.length, p.width.max(q.width)),
                _ => (p.length.max(q.length), p.width + q.width),
            };
            let from = Join::Pair { parts: (a, b), axis };
            if value > *floor {
                (*floor, *best) = (value, Some((value, from)));
            }
            let rough = value.saturating_add(self.bound_beside(length, width)).min(p.bound).min(q.bound);
            if rough <= *floor {
                continue;
            }
            let area = self.whole() - i128::from(length) * i128::from(width);
            let bound = rough.min(value.saturating_add(self.by_area(&counts, area)));
            if bound > *floor {
                open.push_new(Node { length, width, value, bound, counts, from });
            }
        }
    }
}

/// Rectangles built, and those still to be paired.
struct Open {
    nodes: Vec<Node>,
    heap: BinaryHeap<(i64, i64, std::cmp::Reverse<u32>)>,
    /// Sizes for each set of blanks; only asked, never walked through.
    known: HashMap<Counts, Vec<(i64, i64)>>,
}

impl Open {
    fn push(&mut self, node: Node) {
        self.known.entry(node.counts).or_default().push((node.length, node.width));
        self.heap.push((node.bound, node.value, std::cmp::Reverse(self.nodes.len() as u32)));
        self.nodes.push(node);
    }

    /// Unless the same blanks are known in a rectangle no larger.
    fn push_new(&mut self, node: Node) {
        let sizes = self.known.entry(node.counts).or_default();
        if sizes.iter().any(|s| s.0 <= node.length && s.1 <= node.width) {
            return;
        }
        sizes.retain(|s| !(node.length <= s.0 && node.width <= s.1));
        self.push(node);
    }

    /// A smaller rectangle with the same blanks was found since.
    fn dominated(&self, node: &Node) -> bool {
        let smaller = |s: &(i64, i64)| s.0 <= node.length && s.1 <= node.width && *s != (node.length, node.width);
        self.known.get(&node.counts).is_some_and(|sizes| sizes.iter().any(smaller))
    }

    fn build(&self, join: &Join, kinds: &[Kind]) -> Build {
        match *join {
            Join::Blank { kind, turned } => {
                let k = &kinds[kind];
                let size = if turned { (k.width, k.length) } else { (k.length, k.width) };
                Build::Blank { kind, turned, size }
            }
            Join::Pair { parts: (a, b), axis } => {
                let part = |id: u32| self.build(&self.nodes[id as usize].from, kinds);
                Build::pair(axis, part(a), part(b))
            }
        }
    }
}
