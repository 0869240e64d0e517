//! Column generation at one node: the programme over the patterns met so far,
//! prices from it, and from the prices a bound in whole numbers.
//!
//! # The bound
//!
//! Whatever prices are put on pieces and on the earlier stages' limits, a plan
//! costs at least the worth of all pieces plus, for each bar, the least that
//! any filling of it costs beyond the worth of its pieces (never more than
//! nothing, where the bar may stay unused). The prices come from floating
//! point and are rounded to whole numbers first; from there on everything is
//! integer, so the bound holds however wrong the prices are.
//!
//! # Source
//! Gilmore, Gomory, "A linear programming approach to the cutting stock
//! problem", Operations Research 9, 1961; Farley, "A note on bounding a class
//! of linear programming problems", Operations Research 38, 1990 (both memory,
//! unconfirmed).

use std::collections::HashSet;

use crate::cut::bars::lp::{Ended, Lp};
use crate::cut::bars::price::{Prices, best_fillings};
use crate::cut::bars::task::{Arena, Slot, Task};
use crate::cut::effort::Budget;

/// A reduced cost must be below this to matter.
const IMPROVES: f64 = 1e-7;
/// Rounds of pricing at one node.
const MOST_ROUNDS: u32 = 1_500;
/// Multiplications in one step of the budget.
const WORK_PER_STEP: u64 = 16;

/// What a column of the programme stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tag {
    /// A piece of a kind that stays uncut.
    Missing(usize),
    /// More pieces of a kind than wanted.
    Over(usize),
    /// Bars of a slot that stay unused.
    Unused(usize),
    /// What a limit leaves.
    Spare(usize),
    /// What a limit is exceeded by.
    Beyond(usize),
    /// A pattern in a slot.
    Use(usize, u32),
}

/// A node: what is still to be cut, from which slots, and its programme.
#[derive(Clone)]
pub(super) struct Master {
    /// Pieces to cut, by kind.
    pub wanted: Vec<i64>,
    /// The slots.
    pub slots: Vec<Slot>,
    /// What is left of each limit.
    pub limits: Vec<i64>,
    /// Patterns that are settled.
    pub fixed: Vec<u32>,
    /// What they cost.
    pub paid: i64,
    /// The programme.
    pub lp: Lp,
    /// What its columns stand for.
    pub tags: Vec<Tag>,
    /// Row of each slot that has a count.
    rows: Vec<Option<usize>>,
    /// Row of the first limit.
    pub first_limit: usize,
    known: HashSet<(usize, u32)>,
    /// Cost of a column that only helps the search.
    pub crutch: f64,
}

/// What a node came to.
#[derive(Clone, Debug)]
pub(super) struct Outcome {
    /// No plan through this node costs less, what is paid included.
    pub bound: i64,
    /// The programme needs no crutch.
    pub whole: bool,
    /// No pattern improves it.
    pub optimal: bool,
    /// The prices that gave the bound.
    pub prices: Option<Prices>,
}

impl Master {
    /// A node with the patterns that fit it.
    pub fn new(
        task: &Task,
        arena: &Arena,
        wanted: Vec<i64>,
        slots: Vec<Slot>,
        limits: Vec<i64>,
        patterns: &[u32],
    ) -> Master {
        let kinds = wanted.len();
        let mut rhs: Vec<f64> = wanted.iter().map(|&n| n as f64).collect();
        let mut rows = Vec::new();
        for slot in &slots {
            rows.push(slot.count.map(|n| {
                rhs.push(n as f64);
                rhs.len() - 1
            }));
        }
        let first_limit = rhs.len();
        rhs.extend(limits.iter().map(|&n| n as f64));
        let crutch = task.crutch() as f64;
        let mut node = Master {
            wanted,
            slots,
            limits,
            fixed: Vec::new(),
            paid: 0,
            lp: Lp::new(rhs),
            tags: Vec::new(),
            rows,
            first_limit,
            known: HashSet::new(),
            crutch,
        };
        let mut basis = Vec::new();
        for k in 0..kinds {
            let cost = if task.may_miss { task.aim.missing[k] as f64 } else { crutch };
            let mut entries = vec![(k as u32, 1.0)];
            if task.may_miss {
                for (i, (form, _)) in task.limits.iter().enumerate() {
                    if form.missing[k] != 0 {
                        entries.push(((first_limit + i) as u32, form.missing[k] as f64));
                    }
                }
            }
            basis.push(node.column(cost, entries, Tag::Missing(k)));
        }
        for s in 0..node.slots.len() {
            if let Some(row) = node.rows[s] {
                let cost = if node.slots[s].must { crutch } else { 0.0 };
                basis.push(node.column(cost, vec![(row as u32, 1.0)], Tag::Unused(s)));
            }
        }
        for i in 0..task.limits.len() {
            basis.push(node.column(0.0, vec![((first_limit + i) as u32, 1.0)], Tag::Spare(i)));
            node.column(crutch, vec![((first_limit + i) as u32, -1.0)], Tag::Beyond(i));
        }
        for k in 0..kinds {
            let cost = if task.cover { 0.0 } else { crutch };
            node.column(cost, vec![(k as u32, -1.0)], Tag::Over(k));
        }
        for &id in patterns {
            node.offer(task, arena, id);
        }
        node.lp.start(basis);
        node
    }

    fn column(&mut self, cost: f64, entries: Vec<(u32, f64)>, tag: Tag) -> usize {
        self.tags.push(tag);
        self.lp.add(cost, entries)
    }

    /// Adds a pattern to every slot that takes it; how many did.
    pub fn offer(&mut self, task: &Task, arena: &Arena, id: u32) -> usize {
        let pattern = arena.get(id);
        if pattern.items.iter().any(|&(k, n)| i64::from(n) > self.wanted[usize::from(k)]) {
            return 0;
        }
        let mut added = 0;
        for s in 0..self.slots.len() {
            if self.slots[s].count == Some(0) || !self.slots[s].takes(task, pattern) || !self.known.insert((s, id)) {
                continue;
            }
            self.add_use(task, arena, s, id);
            added += 1;
        }
        added
    }

    /// Adds a pattern to one slot; its column.
    pub fn add_use(&mut self, task: &Task, arena: &Arena, slot: usize, id: u32) -> usize {
        let pattern = arena.get(id);
        let mut entries: Vec<(u32, f64)> = pattern.items.iter().map(|&(k, n)| (u32::from(k), f64::from(n))).collect();
        entries.extend(self.rows[slot].map(|row| (row as u32, 1.0)));
        for (i, (form, _)) in task.limits.iter().enumerate() {
            let v = task.count(form, pattern.class, pattern.sum);
            if v != 0 {
                entries.push(((self.first_limit + i) as u32, v as f64));
            }
        }
        let cost = task.count(&task.aim, pattern.class, pattern.sum) as f64;
        self.column(cost, entries, Tag::Use(slot, id))
    }

    /// Solves the programme by generating patterns, until the bound reaches
    /// `stop`, nothing improves, or the bound has met the value.
    pub fn solve(&mut self, task: &Task, arena: &mut Arena, stop: i64, full: bool, budget: &mut Budget) -> Outcome {
        let mut best: Option<(i64, f64, Prices)> = None;
        let mut optimal = false;
        for _ in 0..MOST_ROUNDS {
            let before = self.lp.work;
            let ended = self.lp.primal(IMPROVES);
            let going = budget.spend((self.lp.work - before) / WORK_PER_STEP + 1);
            if ended != Ended::Optimal || !going {
                break;
            }
            let value = self.lp.objective();
            let prices = Prices::read(task, &self.lp.price, (self.wanted.len(), self.first_limit), self.crutch);
            let priced = best_fillings(task, &self.wanted, &self.slots, &prices, arena, budget);
            let (bound, fine) = priced.bound(task, self, &prices);
            if best.as_ref().is_none_or(|b| fine > b.1) {
                best = Some((bound, fine, prices));
            }
            let top = best.as_ref().map_or(i64::MIN, |b| b.0);
            if top.saturating_add(self.paid) >= stop {
                break;
            }
            let mut added = 0;
            for (s, cost, id) in &priced.patterns {
                let dual = self.rows[*s].map_or(0.0, |row| self.lp.price[row]);
                if cost - dual < -IMPROVES {
                    added += self.offer(task, arena, *id);
                }
            }
            if added == 0 {
                optimal = true;
                break;
            }
            if !full && self.is_whole() && top as f64 >= libm::ceil(value - 1e-4) {
                break;
            }
        }
        let bound = best.as_ref().map_or(i64::MIN / 4, |b| b.0).saturating_add(self.paid);
        Outcome { bound, whole: self.is_whole(), optimal, prices: best.map(|b| b.2) }
    }

    /// No crutch is in use.
    fn is_whole(&self) -> bool {
        self.lp.basis.iter().zip(&self.lp.value).all(|(&j, &x)| x < 1e-6 || self.lp.cost(j) < self.crutch)
    }

    /// The patterns in use: slot, pattern, how often.
    pub fn in_use(&self) -> Vec<(usize, u32, f64)> {
        let mut out: Vec<(usize, u32, f64)> = Vec::new();
        for (&j, &x) in self.lp.basis.iter().zip(&self.lp.value) {
            if x > 1e-7
                && let Tag::Use(s, id) = self.tags[j]
            {
                out.push((s, id, x));
            }
        }
        out.sort_by_key(|a| (a.0, a.1));
        out
    }

    /// Patterns worth handing on to nodes below: in use, or not much dearer.
    pub fn near(&self, most: usize) -> Vec<u32> {
        let mut list: Vec<(f64, u32)> = (0..self.lp.columns())
            .filter_map(|j| match self.tags[j] {
                Tag::Use(_, id) => Some((if self.lp.is_basic(j) { -1.0 } else { self.lp.reduced(j) }, id)),
                _ => None,
            })
            .collect();
        list.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut ids = Vec::new();
        let mut seen = HashSet::new();
        for (_, id) in list {
            if seen.insert(id) {
                ids.push(id);
                if ids.len() == most {
                    break;
                }
            }
        }
        ids
    }

    /// Whether a pattern can be settled once more in a slot.
    pub fn can_settle(&self, arena: &Arena, slot: usize, id: u32) -> bool {
        self.slots[slot].count != Some(0)
            && arena.get(id).items.iter().all(|&(k, n)| i64::from(n) <= self.wanted[usize::from(k)])
    }

    /// Settles a pattern; call [`Master::settled`] after the last one.
    pub fn settle(&mut self, task: &Task, arena: &Arena, slot: usize, id: u32) {
        let pattern = arena.get(id);
        for &(k, n) in &pattern.items {
            self.wanted[usize::from(k)] -= i64::from(n);
        }
        if let Some(n) = &mut self.slots[slot].count {
            *n -= 1;
        }
        for (left, (form, _)) in self.limits.iter_mut().zip(&task.limits) {
            *left -= task.count(form, pattern.class, pattern.sum);
        }
        self.fixed.push(id);
        self.paid += task.count(&task.aim, pattern.class, pattern.sum);
    }

    /// Brings the programme up to date with what was settled; false if it
    /// could not be kept.
    pub fn settled(&mut self, arena: &Arena) -> bool {
        let mut bumped = Vec::new();
        for j in 0..self.tags.len() {
            if let Tag::Use(s, id) = self.tags[j]
                && !self.can_settle(arena, s, id)
            {
                if self.lp.is_basic(j) {
                    bumped.push(j);
                } else {
                    self.lp.switch(j, false);
                }
            }
        }
        let mut rhs: Vec<f64> = self.wanted.iter().map(|&n| n as f64).collect();
        rhs.extend(self.slots.iter().filter_map(|s| s.count).map(|n| n as f64));
        rhs.extend(self.limits.iter().map(|&n| n as f64));
        self.lp.set_rhs(&rhs);
        if self.lp.dual() != Ended::Optimal {
            return false;
        }
        for &j in &bumped {
            self.lp.set_cost(j, self.lp.cost(j) + self.crutch);
            self.lp.switch(j, false);
        }
        self.lp.reprice();
        true
    }

    /// Row of a slot, if its number is limited.
    pub fn row(&self, slot: usize) -> Option<usize> {
        self.rows[slot]
    }
}
