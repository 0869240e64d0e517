//! Whether all blanks come out of a choice of plates: one pattern for each
//! plate, no blank twice, and together no more left over than the plates have
//! to spare.
//!
//! Of each plate all patterns are known up to a limit on what they leave. Either
//! its pattern is one of those, or the plate leaves more than the limit; not many
//! do at once, since all together have little to spare. So for each group of
//! plates that may: the others take patterns from their lists, and the group
//! shares what is left, pattern by pattern.

use crate::cut::effort::Budget;
use crate::cut::plates::patterns::{self, Pattern, Wanted};
use crate::cut::plates::pool::Pool;
use crate::cut::plates::sets::Set;

/// Most groups of plates that are looked at.
const GROUPS: usize = 2_000;

/// What is known about a choice of plates.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Verdict {
    /// No through cuts free all blanks.
    Refuted,
    /// These patterns do, by shelf.
    Filled(Vec<(usize, Set)>),
    /// The steps ran out.
    Unknown,
}

/// A plate with the patterns that may still be chosen, least left first.
struct Open {
    plate: usize,
    patterns: Vec<Pattern>,
}

/// A search in progress: blanks shared out to plates, which are counted from 0.
struct Hunt<'a> {
    pool: &'a Pool<'a>,
    /// Shelf of each plate.
    plates: &'a [usize],
    /// Area that all of them leave.
    slack: i64,
    /// Plates that take no pattern from a list, largest last.
    free: Vec<usize>,
    /// Each plate leaves more than this if it is free.
    floors: Vec<i64>,
    chosen: Vec<(usize, Set)>,
}

/// Blanks to share out, and what the plates chosen so far leave.
#[derive(Clone, Copy)]
struct Rest {
    blanks: Set,
    left: i64,
}

/// Decides by the lists there are.
pub(super) fn decide(pool: &Pool, plates: &[usize], budget: &mut Budget) -> Verdict {
    let slack = pool.slack(plates);
    let least: i64 = plates.iter().map(|&s| pool.least(s)).sum();
    // What a plate adds to the least that all leave if it is beyond its list.
    let more = |p: usize| pool.stacks[plates[p]].done + 1 - pool.least(plates[p]);
    let mut groups = vec![Vec::new()];
    for p in 0..plates.len() {
        for g in 0..groups.len() {
            let mut group: Vec<usize> = groups[g].clone();
            group.push(p);
            if least + group.iter().map(|&p| more(p)).sum::<i64>() <= slack {
                groups.push(group);
            }
        }
        if groups.len() > GROUPS {
            return Verdict::Unknown;
        }
    }
    groups.sort_by_key(|g| (g.len(), g.clone()));
    for mut free in groups {
        // The largest comes last: what is in it is known then.
        free.sort_by_key(|&p| (pool.stacks[plates[p]].area, p));
        let listed = (0..plates.len()).filter(|p| !free.contains(p));
        let open: Vec<Open> =
            listed.map(|plate| Open { plate, patterns: pool.stacks[plates[plate]].exact.clone() }).collect();
        if open.iter().any(|o| o.patterns.is_empty()) {
            continue;
        }
        let floors = plates.iter().map(|&s| pool.stacks[s].done).collect();
        let mut hunt = Hunt { pool, plates, slack, free, floors, chosen: Vec::new() };
        match hunt.share(&open, Rest { blanks: pool.blanks.all, left: 0 }, budget) {
            Some(false) => {}
            None => return Verdict::Unknown,
            Some(true) => {
                let plan = hunt.chosen.iter().map(|&(p, set)| (plates[p], set)).collect();
                return Verdict::Filled(plan);
            }
        }
    }
    Verdict::Refuted
}

/// Shares blanks out to a few plates so that none is left over, if there is a
/// way: patterns by shelf. `None` if the steps ran out.
pub(super) fn share_out(
    pool: &Pool,
    plates: &[usize],
    blanks: Set,
    budget: &mut Budget,
) -> Option<Option<Vec<(usize, Set)>>> {
    let slack = plates.iter().map(|&s| pool.stacks[s].area).sum::<i64>() - pool.blanks.area(blanks);
    let mut free: Vec<usize> = (0..plates.len()).collect();
    free.sort_by_key(|&p| (pool.stacks[plates[p]].area, p));
    let mut hunt = Hunt { pool, plates, slack, free, floors: vec![-1; plates.len()], chosen: Vec::new() };
    let found = slack >= 0 && hunt.split(&hunt.free.clone(), Rest { blanks, left: 0 }, budget)?;
    Some(found.then(|| hunt.chosen.iter().map(|&(p, set)| (plates[p], set)).collect()))
}

impl Hunt<'_> {
    /// What free plates leave at least.
    fn least(&self, free: &[usize]) -> i64 {
        free.iter().map(|&p| self.floors[p] + 1).sum()
    }

    /// Chooses patterns for the plates with lists; `None` if the steps ran out.
    fn share(&mut self, open: &[Open], rest: Rest, budget: &mut Budget) -> Option<bool> {
        let Some(next) = (0..open.len()).min_by_key(|&o| open[o].patterns.len()) else {
            return self.split(&self.free.clone(), rest, budget);
        };
        let size: usize = open.iter().map(|o| o.patterns.len()).sum();
        if !budget.spend(8 + size as u64 / 4) {
            return None;
        }
        if !self.may_end(open, rest) {
            return Some(false);
        }
        let blanks = &self.pool.blanks;
        let least: i64 = open.iter().map(|o| o.patterns.first().map_or(0, |p| p.waste)).sum();
        let own = open[next].patterns.first().map_or(0, |p| p.waste);
        for &pattern in &open[next].patterns {
            let left = rest.left + pattern.waste;
            let ample = self.slack - left - (least - own) - self.least(&self.free);
            if ample < 0 {
                break;
            }
            let now = Rest { blanks: rest.blanks - pattern.set, left };
            let spare = blanks.spare(now.blanks);
            let filter = |o: &Open| {
                let first = o.patterns.first().map_or(0, |p| p.waste);
                let fits = |p: &&Pattern| p.waste - first <= ample && blanks.within(p.set, spare);
                Open { plate: o.plate, patterns: o.patterns.iter().filter(fits).copied().collect() }
            };
            let others = open.iter().enumerate().filter(|o| o.0 != next).map(|o| filter(o.1));
            let others: Vec<Open> = others.collect();
            if others.iter().any(|o| o.patterns.is_empty()) {
                continue;
            }
            self.chosen.push((open[next].plate, pattern.set));
            match self.share(&others, now, budget) {
                Some(false) => {}
                end => return end,
            }
            self.chosen.pop();
        }
        Some(false)
    }

    /// What the plates leave at least is within the slack, and blanks that no
    /// list has left have room on the free plates.
    fn may_end(&self, open: &[Open], rest: Rest) -> bool {
        let least: i64 = open.iter().map(|o| o.patterns.first().map_or(0, |p| p.waste)).sum();
        if rest.left + least + self.least(&self.free) > self.slack {
            return false;
        }
        let unions: Vec<Set> = open.iter().map(|o| o.patterns.iter().fold(0, |u, p| u | p.set)).collect();
        let mut room: i64 = self.free.iter().map(|&f| self.pool.stacks[self.plates[f]].area).sum();
        room -= self.least(&self.free);
        for sort in &self.pool.blanks.sorts {
            let elsewhere: u32 = unions.iter().map(|&u| sort.count(u)).sum();
            let must = sort.count(rest.blanks).saturating_sub(elsewhere);
            if must == 0 {
                continue;
            }
            room -= i64::from(must) * sort.area;
            let holds = |f: &usize| {
                let size = self.pool.stacks[self.plates[*f]].size;
                sort.lies().any(|l| l.0 <= size.0 && l.1 <= size.1)
            };
            if room < 0 || !self.free.iter().any(holds) {
                return false;
            }
        }
        true
    }

    /// Shares blanks out to plates without lists.
    fn split(&mut self, free: &[usize], rest: Rest, budget: &mut Budget) -> Option<bool> {
        let blanks = &self.pool.blanks;
        let Some((&plate, others)) = free.split_first() else {
            return Some(rest.blanks == 0);
        };
        let size = self.pool.stacks[self.plates[plate]].size;
        if others.is_empty() {
            if size.0 * size.1 - blanks.area(rest.blanks) <= self.floors[plate] {
                return Some(false);
            }
            let comes = rest.blanks == 0 || patterns::comes_out(blanks, size, rest.blanks, budget)?;
            if comes {
                self.chosen.push((plate, rest.blanks));
            }
            return Some(comes);
        }
        let limit = self.slack - rest.left - self.least(others);
        let wanted = Wanted { plate: size, allowed: rest.blanks, limit, beam: usize::MAX };
        let listing = patterns::list(blanks, wanted, budget);
        if !listing.complete {
            return None;
        }
        let floor = self.floors[plate];
        for pattern in listing.patterns.into_iter().filter(|p| p.waste > floor) {
            let now = Rest { blanks: rest.blanks - pattern.set, left: rest.left + pattern.waste };
            self.chosen.push((plate, pattern.set));
            match self.split(others, now, budget) {
                Some(false) => {}
                end => return end,
            }
            self.chosen.pop();
        }
        Some(false)
    }
}
