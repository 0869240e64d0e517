//! The shortest way to lay pieces one behind the other.
//!
//! Where two ends that meet have the same cut plane, one cut serves both and
//! the wedge between them is not lost: the next piece then begins before the
//! long point of the one before. A piece may be turned where its section is
//! the same after the turn, so that its ends come to suit its neighbours.
//!
//! The last end on the bar is part of the state, so the answer is exact; it is
//! found once for every set of pieces that is met.

use crate::cut::bars::model::{Problem, Way};

/// Sets of pieces up to so many sub-sets are laid exactly; above that each
/// piece is laid as well as it goes behind the one before.
const MOST_SETS: usize = 6_000;

/// Length used and changes of the saw's angle: smaller is better.
type Laid = (i64, i64);

/// One piece as it is laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::cut) struct Link {
    /// Its kind.
    pub kind: usize,
    /// How it lies.
    pub way: Way,
}

/// Pieces that may lie in one bar, kinds with their numbers. A set of them is
/// one number, each kind a digit.
pub(super) struct Chain<'a> {
    problem: &'a Problem,
    kinds: Vec<(usize, usize)>,
    stride: Vec<usize>,
    /// For each set of pieces and each end that can be last: the best, once it
    /// is known.
    best: Vec<Option<Option<Laid>>>,
    /// Sets and ends worked out.
    pub work: u64,
}

impl Problem {
    /// Distance from the long point of one end to the next piece's, nm.
    pub fn gap(&self, right: u16, left: u16) -> i64 {
        let (a, b) = (&self.ends[usize::from(right)], &self.ends[usize::from(left)]);
        if right == left && a.saved > 0 { a.blade - a.saved } else { a.blade.max(b.blade) }
    }

    /// Changes of the saw's angle where two ends meet.
    fn changes(&self, right: u16, left: u16) -> i64 {
        let (a, b) = (&self.ends[usize::from(right)], &self.ends[usize::from(left)]);
        i64::from(a.setting != b.setting)
    }

    /// Length that pieces take from the first long point to the end of the
    /// last blade, laid as short as they go; kinds ascending, repeated.
    pub fn sum(&self, kinds: &[usize]) -> i64 {
        if !self.is_mitred() {
            return kinds.iter().map(|&k| self.kinds[k].size).sum();
        }
        self.laid(kinds).0
    }

    /// The pieces in the order in which they are shortest, then need the
    /// fewest changes of angle, and the length that they take.
    pub fn laid(&self, kinds: &[usize]) -> (i64, Vec<Link>) {
        let mut chain = Chain::new(self, kinds);
        let sets = chain.kinds.iter().map(|k| k.1 + 1).try_fold(1_usize, usize::checked_mul);
        match sets {
            Some(n) if n <= MOST_SETS => {
                chain.best = vec![None; n * self.ends.len()];
                chain.exact()
            }
            _ => chain.greedy(),
        }
    }
}

impl<'a> Chain<'a> {
    fn new(problem: &'a Problem, kinds: &[usize]) -> Chain<'a> {
        let mut counted: Vec<(usize, usize)> = Vec::new();
        for &k in kinds {
            match counted.iter_mut().find(|c| c.0 == k) {
                Some(c) => c.1 += 1,
                None => counted.push((k, 1)),
            }
        }
        let mut stride = vec![1_usize; counted.len()];
        for i in (0..counted.len().saturating_sub(1)).rev() {
            stride[i] = stride[i + 1].saturating_mul(counted[i + 1].1 + 1);
        }
        Chain { problem, kinds: counted, stride, best: Vec::new(), work: 0 }
    }

    /// All pieces of a problem that has so many sets.
    pub fn whole(problem: &'a Problem, sets: usize) -> Chain<'a> {
        let all: Vec<usize> =
            (0..problem.kinds.len()).flat_map(|k| std::iter::repeat_n(k, problem.kinds[k].count as usize)).collect();
        let mut chain = Chain::new(problem, &all);
        chain.best = vec![None; sets * problem.ends.len()];
        chain
    }

    /// Length that a set takes, the last blade included.
    pub fn taken(&mut self, set: usize) -> i64 {
        let problem = self.problem;
        let blade = |end: u16| problem.ends[usize::from(end)].blade;
        (0..problem.ends.len() as u16)
            .filter_map(|end| self.best(set, end).map(|b| b.0 + blade(end)))
            .min()
            .unwrap_or(0)
    }

    fn number(&self, set: usize, i: usize) -> usize {
        set / self.stride[i] % (self.kinds[i].1 + 1)
    }

    fn ways(&self, kind: usize) -> &'a [Way] {
        &self.problem.shapes[self.problem.kinds[kind].shape]
    }

    /// The best way to lay a set with a given end last.
    fn best(&mut self, set: usize, last: u16) -> Option<Laid> {
        let at = set * self.problem.ends.len() + usize::from(last);
        if let Some(known) = self.best[at] {
            return known;
        }
        self.work += 1;
        let mut best: Option<Laid> = None;
        for i in 0..self.kinds.len() {
            if self.number(set, i) == 0 {
                continue;
            }
            let kind = self.kinds[i].0;
            let length = self.problem.kinds[kind].length;
            let rest = set - self.stride[i];
            for way in self.ways(kind).iter().filter(|w| w.right == last) {
                let before = self.before(rest, way.left);
                let turn = self.turn(*way);
                if let Some((used, changes)) = before {
                    let laid = (used + length, changes + turn);
                    if best.is_none_or(|b| laid < b) {
                        best = Some(laid);
                    }
                }
            }
        }
        self.best[at] = Some(best);
        best
    }

    /// Changes of angle between the two ends of one piece.
    fn turn(&self, way: Way) -> i64 {
        self.problem.changes(way.left, way.right)
    }

    /// The best way to lay what comes before an end, the gap included.
    fn before(&mut self, set: usize, left: u16) -> Option<Laid> {
        if set == 0 {
            return Some((0, 0));
        }
        (0..self.problem.ends.len() as u16)
            .filter_map(|right| {
                let (used, changes) = self.best(set, right)?;
                Some((used + self.problem.gap(right, left), changes + self.problem.changes(right, left)))
            })
            .min()
    }

    fn exact(&mut self) -> (i64, Vec<Link>) {
        let mut set: usize = self.kinds.iter().zip(&self.stride).map(|(k, s)| k.1 * s).sum();
        let last = (0..self.problem.ends.len() as u16)
            .filter_map(|end| {
                let (used, changes) = self.best(set, end)?;
                Some(((used + self.problem.ends[usize::from(end)].blade, changes), end))
            })
            .min();
        let Some(((total, _), mut end)) = last else {
            return (0, Vec::new());
        };
        let mut links = Vec::new();
        while set > 0 {
            let want = self.best(set, end);
            let Some((i, way)) = self.step_back(set, end, want) else {
                break;
            };
            links.push(Link { kind: self.kinds[i].0, way });
            set -= self.stride[i];
            let previous = (0..self.problem.ends.len() as u16)
                .filter_map(|right| {
                    let (used, changes) = self.best(set, right)?;
                    let gap = self.problem.gap(right, way.left);
                    Some(((used + gap, changes + self.problem.changes(right, way.left)), right))
                })
                .min();
            end = previous.map_or(0, |p| p.1);
        }
        links.reverse();
        (total, links)
    }

    /// The piece that is last in the best way; short pieces come last.
    fn step_back(&mut self, set: usize, end: u16, want: Option<Laid>) -> Option<(usize, Way)> {
        for i in (0..self.kinds.len()).rev() {
            if self.number(set, i) == 0 {
                continue;
            }
            let kind = self.kinds[i].0;
            let length = self.problem.kinds[kind].length;
            for &way in self.ways(kind).iter().filter(|w| w.right == end) {
                let turn = self.turn(way);
                let before = self.before(set - self.stride[i], way.left);
                if before.map(|(u, c)| (u + length, c + turn)) == want {
                    return Some((i, way));
                }
            }
        }
        None
    }

    /// Each piece as short as it goes behind the one before, long ones first.
    fn greedy(&self) -> (i64, Vec<Link>) {
        let mut left: Vec<(usize, usize)> = self.kinds.clone();
        let mut links: Vec<Link> = Vec::new();
        let mut used = 0;
        while left.iter().any(|k| k.1 > 0) {
            let end = links.last().map(|l| l.way.right);
            let cost = |way: &Way| match end {
                Some(end) => (self.problem.gap(end, way.left), self.problem.changes(end, way.left)),
                None => (0, 0),
            };
            let next = left
                .iter()
                .enumerate()
                .filter(|x| x.1.1 > 0)
                .flat_map(|(i, &(kind, _))| self.ways(kind).iter().map(move |&way| (cost(&way), i, kind, way)))
                .min_by_key(|n| (n.0, n.1));
            let Some(((gap, _), i, kind, way)) = next else { break };
            left[i].1 -= 1;
            used += gap + self.problem.kinds[kind].length;
            links.push(Link { kind, way });
        }
        let blade = links.last().map_or(0, |l| self.problem.ends[usize::from(l.way.right)].blade);
        (used + blade, links)
    }
}
