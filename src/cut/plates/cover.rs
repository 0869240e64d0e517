//! A search for one pattern for each plate so that all blanks are cut: what is
//! left over gains weight until it finds its place.
//!
//! # Source
//! Weights on rows of a covering problem that grow while they stay uncovered:
//! C. Gao, T. Weise and J. Li, A weighting-based local search heuristic
//! algorithm for the set covering problem, IEEE CEC 2014, from memory.

use crate::cut::effort::Budget;
use crate::cut::plates::fill::Dice;
use crate::cut::plates::mend::Mender;
use crate::cut::plates::pool::Pool;
use crate::cut::plates::sets::Set;

/// Weight of a blank of the mean area.
const UNIT: i64 = 1 << 10;

/// The patterns of one plate by the kinds in them.
struct Flat {
    /// Kind and count of all patterns one after another.
    entries: Vec<(u8, u8)>,
    /// Where each pattern begins.
    starts: Vec<u32>,
}

impl Flat {
    fn pattern(&self, at: usize) -> &[(u8, u8)] {
        &self.entries[self.starts[at] as usize..self.starts[at + 1] as usize]
    }

    fn len(&self) -> usize {
        self.starts.len() - 1
    }
}

/// Patterns chosen, and the area of the blanks that they leave out.
#[derive(Clone, Debug)]
pub(super) struct Cover {
    pub uncut: i64,
    pub plan: Vec<(usize, Set)>,
}

/// A choice of patterns.
struct State<'a> {
    pool: &'a Pool<'a>,
    plates: &'a [usize],
    flats: &'a [Flat],
    chosen: Vec<usize>,
    /// Blanks of each kind still missing; below 0 if too many are cut.
    missing: Vec<i32>,
    weights: Vec<i64>,
    dice: Dice,
}

fn flat(pool: &Pool, shelf: usize) -> Flat {
    let mut flat = Flat { entries: Vec::new(), starts: vec![0] };
    for pattern in &pool.stacks[shelf].rough {
        for (k, sort) in pool.blanks.sorts.iter().enumerate() {
            let count = sort.count(pattern.set);
            if count > 0 {
                flat.entries.push((k as u8, count.min(255) as u8));
            }
        }
        flat.starts.push(flat.entries.len() as u32);
    }
    flat
}

/// The best choice found for some plates; it ends as soon as all is cut.
pub(super) fn search(pool: &Pool, plates: &[usize], seed: u64, budget: &mut Budget) -> Option<Cover> {
    let flats: Vec<Flat> = plates.iter().map(|&s| flat(pool, s)).collect();
    if plates.is_empty() || flats.iter().any(|f| f.len() == 0) {
        return None;
    }
    let sorts = &pool.blanks.sorts;
    let mean = (pool.blanks.area(pool.blanks.all) / pool.task.items.len() as i64).max(1);
    let weight = |area: i64| ((i128::from(area) * i128::from(UNIT) / i128::from(mean)) as i64).max(1);
    let base: Vec<i64> = sorts.iter().map(|s| weight(s.area)).collect();
    let mut state = State {
        pool,
        plates,
        flats: &flats,
        chosen: vec![usize::MAX; plates.len()],
        missing: sorts.iter().map(|s| s.items.len() as i32).collect(),
        weights: base.clone(),
        dice: Dice(seed),
    };
    for plate in (0..plates.len()).rev() {
        state.improve(plate, None, budget);
    }
    let mut best = state.cover();
    let mut mender = Mender::default();
    let mut idle = 0;
    while best.uncut > 0 && budget.left() > 0 {
        let plate = state.dice.below(plates.len());
        if state.improve(plate, None, budget) {
            let uncut = state.uncut();
            if uncut < best.uncut {
                best = state.cover();
            }
            idle = 0;
            continue;
        }
        idle += 1;
        if idle > plates.len() {
            idle = 0;
            let uncut = state.uncut();
            if uncut <= best.uncut
                && let Some(plan) = mender.mend(pool, &state.cover().plan, budget)
            {
                return Some(Cover { uncut: 0, plan });
            }
            state.force(&base, budget);
        }
    }
    Some(best)
}

impl State<'_> {
    fn uncut(&self) -> i64 {
        let sorts = &self.pool.blanks.sorts;
        self.missing.iter().zip(sorts).map(|(m, s)| i64::from((*m).max(0)) * s.area).sum()
    }

    fn cover(&self) -> Cover {
        let set = |(&plate, &chosen): (&usize, &usize)| {
            (plate, self.pool.stacks[plate].rough.get(chosen).map_or(0, |p| p.set))
        };
        Cover { uncut: self.uncut(), plan: self.plates.iter().zip(&self.chosen).map(set).collect() }
    }

    fn put(&mut self, plate: usize, pattern: usize, sign: i32) {
        if pattern != usize::MAX {
            for &(k, n) in self.flats[plate].pattern(pattern) {
                self.missing[k as usize] -= sign * i32::from(n);
            }
        }
    }

    /// Chooses the best pattern of a plate, one with a certain kind if asked
    /// for; true if the weight missing falls.
    fn improve(&mut self, plate: usize, with: Option<u8>, budget: &mut Budget) -> bool {
        let before = self.chosen[plate];
        self.put(plate, before, -1);
        let flat = &self.flats[plate];
        let worth = |pattern: usize| {
            let gain = |e: &(u8, u8)| {
                let missing = self.missing[e.0 as usize].max(0).min(i32::from(e.1));
                self.weights[e.0 as usize] * i64::from(missing)
            };
            flat.pattern(pattern).iter().map(gain).sum::<i64>()
        };
        let had = if before == usize::MAX { -1 } else { worth(before) };
        // Of equal ones the first from a random place on is taken, rather not
        // the one that was there.
        let from = self.dice.below(flat.len());
        let (mut best, mut chosen) = (-1, usize::MAX);
        for pattern in (from..flat.len()).chain(0..from) {
            if with.is_some_and(|k| !flat.pattern(pattern).iter().any(|e| e.0 == k)) {
                continue;
            }
            let value = worth(pattern);
            if value > best && pattern != before {
                (best, chosen) = (value, pattern);
            }
        }
        budget.spend(1 + flat.entries.len() as u64 / 20);
        if chosen == usize::MAX || (with.is_none() && best < had) {
            chosen = before;
        }
        self.chosen[plate] = chosen;
        self.put(plate, chosen, 1);
        best > had
    }

    /// Out of a dead end: what is missing gains weight, and one of it is cut.
    fn force(&mut self, base: &[i64], budget: &mut Budget) {
        let missing: Vec<usize> = (0..base.len()).filter(|&k| self.missing[k] > 0).collect();
        for &k in &missing {
            self.weights[k] += base[k] / 8 + 1;
        }
        if missing.is_empty() {
            return;
        }
        let kind = missing[self.dice.below(missing.len())] as u8;
        let plate = self.dice.below(self.plates.len());
        self.improve(plate, Some(kind), budget);
    }
}
