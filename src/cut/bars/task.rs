//! One stage of the plan as a programme over patterns: which bars may be
//! used, what a filled bar costs in this stage, and what it may not exceed.
//!
//! All lengths are in the job's own unit: the greatest common divisor of all
//! sizes and rooms, so that workshop jobs have small numbers. Nothing is
//! rounded by that.

use crate::cut::bars::knap::Filling;
use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};
use std::rc::Rc;

/// What a filled bar counts for: a sum over bars and over pieces left uncut.
#[derive(Clone, Debug, Default)]
pub(super) struct Form {
    /// A bar of each class that leaves nothing worth keeping.
    pub used: Vec<i64>,
    /// A bar of each class that leaves a keeper.
    pub kept: Vec<i64>,
    /// Each unit of a remainder that is too short to keep, 0 or more.
    pub slope: i64,
    /// Each unit of a keeper, 0 or less: it has a value.
    pub kept_slope: i64,
    /// One piece of each kind that stays uncut.
    pub missing: Vec<i64>,
}

/// One stage: minimise `aim` while each of `limits` is at most its number.
#[derive(Clone, Debug, Default)]
pub(super) struct Task {
    /// Size of each kind, largest first.
    pub size: Vec<i64>,
    /// Usable length of each class.
    pub full: Vec<i64>,
    /// What the last piece may overhang: its own kerf.
    pub slack: i64,
    /// Shortest remainder kept.
    pub keep: i64,
    /// What is minimised.
    pub aim: Form,
    /// What earlier stages have settled.
    pub limits: Vec<(Form, i64)>,
    /// Pieces may stay uncut; otherwise that is only a crutch of the search.
    pub may_miss: bool,
    /// Only plans that cut every piece are looked for.
    pub all_cut: bool,
    /// More pieces than wanted may be cut: right where that cannot save.
    pub cover: bool,
}

impl Task {
    /// What fits a class.
    pub fn room(&self, class: usize) -> i64 {
        self.full[class] + self.slack
    }

    /// The remainder of a bar.
    pub fn rest(&self, class: usize, sum: i64) -> i64 {
        (self.full[class] - sum).max(0)
    }

    /// Whether a remainder goes back.
    pub fn is_kept(&self, class: usize, sum: i64) -> bool {
        let rest = self.rest(class, sum);
        rest >= self.keep
    }

    /// The longest used length that still leaves a keeper; may be negative.
    pub fn border(&self, class: usize) -> i64 {
        if self.keep <= 0 { self.room(class) } else { self.full[class] - self.keep }
    }

    /// What a filled bar counts for in a form.
    pub fn count(&self, form: &Form, class: usize, sum: i64) -> i64 {
        if self.is_kept(class, sum) { form.kept[class] } else { form.used[class] + form.slope * self.rest(class, sum) }
    }

    /// More than any bar can count for: the price of a piece that the search
    /// leaves out for the time being.
    pub fn crutch(&self) -> i64 {
        let top = |f: &Form| {
            let bars = f.used.iter().chain(&f.kept).map(|c| c.abs()).max().unwrap_or(0);
            let slope = f.slope.max(-f.kept_slope);
            let rest = self.full.iter().max().map_or(0, |l| slope.saturating_mul(*l));
            bars.saturating_add(rest)
        };
        top(&self.aim).saturating_mul(10).saturating_add(10)
    }
}

/// The pieces of one bar of a class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Pattern {
    /// Its class.
    pub class: usize,
    /// Kinds, ascending, with their numbers.
    pub items: Filling,
    /// Sum of the sizes.
    pub sum: i64,
}

impl Pattern {
    /// How many pieces of a kind.
    pub fn of(&self, kind: usize) -> i64 {
        self.items.iter().find(|x| usize::from(x.0) == kind).map_or(0, |x| i64::from(x.1))
    }
}

/// A plain hash (Fowler, Noll, Vo, 64 bits; memory, unconfirmed) with a
/// shift: the keys are our own, so nobody can choose them to collide.
#[derive(Debug)]
struct Mix(u64);

impl Default for Mix {
    fn default() -> Mix {
        Mix(0xcbf2_9ce4_8422_2325)
    }
}

impl Mix {
    fn take(&mut self, n: u64) {
        self.0 = (self.0 ^ n).wrapping_mul(0x0000_0100_0000_01b3);
        self.0 ^= self.0 >> 29;
    }
}

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        self.0
    }
    fn write(&mut self, bytes: &[u8]) {
        bytes.iter().for_each(|&b| self.take(u64::from(b)));
    }
    fn write_u16(&mut self, n: u16) {
        self.take(u64::from(n));
    }
    fn write_usize(&mut self, n: usize) {
        self.take(n as u64);
    }
}

/// All patterns met so far, each once.
#[derive(Default, Debug)]
pub(super) struct Arena {
    /// The patterns by number.
    pub all: Vec<Pattern>,
    known: HashMap<(usize, Filling), u32, BuildHasherDefault<Mix>>,
}

impl Arena {
    /// The number of a pattern; `items` ascending by kind.
    pub fn put(&mut self, task: &Task, class: usize, items: Filling) -> u32 {
        let key = (class, items);
        if let Some(&id) = self.known.get(&key) {
            return id;
        }
        let sum = key.1.iter().map(|&(k, n)| task.size[usize::from(k)] * i64::from(n)).sum();
        let id = self.all.len() as u32;
        self.all.push(Pattern { class, items: key.1.clone(), sum });
        self.known.insert(key, id);
        id
    }

    /// A pattern.
    pub fn get(&self, id: u32) -> &Pattern {
        &self.all[id as usize]
    }
}

/// What a slot's bars may leave.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Leaves {
    /// Anything.
    Any,
    /// A keeper.
    Keeper,
    /// No keeper.
    Nothing,
}

/// Bars of one class that are under the same restrictions.
#[derive(Clone, Debug)]
pub(super) struct Slot {
    /// The class.
    pub class: usize,
    /// How many at most; `None` is as many as wanted.
    pub count: Option<i64>,
    /// All of them have to be used.
    pub must: bool,
    /// At least so many pieces of each kind.
    pub low: Option<Rc<Vec<i64>>>,
    /// At most so many pieces of each kind.
    pub high: Option<Rc<Vec<i64>>>,
    /// What they leave.
    pub leaves: Leaves,
}

impl Slot {
    /// Bars of a class without restriction.
    pub fn free(class: usize, count: Option<i64>) -> Slot {
        Slot { class, count, must: false, low: None, high: None, leaves: Leaves::Any }
    }

    /// No limits on single kinds.
    pub fn is_plain(&self) -> bool {
        self.low.is_none() && self.high.is_none()
    }

    /// Whether a pattern obeys the restrictions.
    pub fn takes(&self, task: &Task, pattern: &Pattern) -> bool {
        if pattern.class != self.class {
            return false;
        }
        let kept = task.is_kept(self.class, pattern.sum);
        let left = match self.leaves {
            Leaves::Any => true,
            Leaves::Keeper => kept,
            Leaves::Nothing => !kept,
        };
        let enough = |low: &Rc<Vec<i64>>| low.iter().enumerate().all(|(k, &n)| n == 0 || pattern.of(k) >= n);
        let few = |high: &Rc<Vec<i64>>| pattern.items.iter().all(|&(k, n)| i64::from(n) <= high[usize::from(k)]);
        left && self.low.as_ref().is_none_or(enough) && self.high.as_ref().is_none_or(few)
    }
}

/// Draws from the room that is there what has to be so: where the spare room
/// of all bars is less than a bar, that bar is used; where it is less than a
/// keeper, none is left. False if the pieces cannot fit.
pub(super) fn tighten(task: &Task, demand: &[i64], slots: &mut [Slot]) -> bool {
    if !task.all_cut || slots.iter().any(|s| s.count.is_none()) {
        return true;
    }
    let holds = |s: &Slot| match s.leaves {
        Leaves::Keeper => task.border(s.class),
        _ => task.room(s.class),
    };
    let there: i128 = slots.iter().map(|s| i128::from(s.count.unwrap_or(0)) * i128::from(holds(s))).sum();
    let need: i128 = demand.iter().zip(&task.size).map(|(&n, &s)| i128::from(n) * i128::from(s)).sum();
    let spare = there - need;
    if spare < 0 {
        return false;
    }
    for slot in slots {
        if i128::from(holds(slot)) > spare {
            slot.must = true;
        }
        let keeper = task.room(slot.class) - task.border(slot.class);
        if slot.leaves == Leaves::Any && i128::from(keeper) > spare {
            slot.leaves = Leaves::Nothing;
        }
    }
    true
}
