//! The same blanks out of the same plates with more left worth keeping: first
//! by how each plate is divided, then by what two plates share out anew.

use crate::cut::effort::Budget;
use crate::cut::plates::limits::{AREA_UNIT, Sheet};
use crate::cut::plates::pack::{Free, Packed};
use crate::cut::plates::patterns::{self, Wanted};
use crate::cut::plates::pool::Pool;
use crate::cut::plates::sets::Set;
use std::collections::BTreeMap;

/// Steps for the whole of it.
const STEPS: u64 = 12_000_000;
/// Steps to share out two plates anew.
const PAIR_STEPS: u64 = 200_000;
/// Steps to find the ways to build one set.
const BUILD_STEPS: u64 = 50_000;

/// Worth of what is left: area kept, the largest piece kept (square
/// micrometres), fewest cuts (negative); more is better.
type Worth = (i64, i64, i64);

/// The plates with their sets, and what is known of others.
struct Tidy<'a> {
    pool: &'a Pool<'a>,
    /// By shelf and set; nothing if it was not found out how to build it.
    known: BTreeMap<(usize, Set), Option<(Worth, Packed)>>,
}

/// Plates as good or better; they hold the same blanks and cost the same.
pub(super) fn improve(pool: &Pool, sheets: Vec<Sheet>, budget: &mut Budget) -> Vec<Sheet> {
    let mut share = budget.share(STEPS);
    let mut tidy = Tidy { pool, known: BTreeMap::new() };
    let mut plan: Vec<(usize, Set)> = sheets.iter().map(|s| (s.shelf, pool.set_of(&s.packed))).collect();
    let Some(mut best) = tidy.sum(&plan, &mut share) else {
        budget.give_back(share);
        return sheets;
    };
    let mut better = true;
    while better && share.left() > 0 {
        better = false;
        for a in 0..plan.len() {
            for b in 0..a {
                if let Some((worth, sets)) = tidy.pair(&plan, (a, b), best, &mut share) {
                    (plan[a].1, plan[b].1) = sets;
                    (best, better) = (worth, true);
                }
            }
        }
    }
    budget.give_back(share);
    tidy.sheets(&plan).unwrap_or(sheets)
}

/// Worth of several plates.
fn add(a: Worth, b: Worth) -> Worth {
    (a.0 + b.0, a.1.max(b.1), a.2 + b.2)
}

impl Tidy<'_> {
    /// Worth of all plates.
    fn sum(&mut self, plan: &[(usize, Set)], budget: &mut Budget) -> Option<Worth> {
        plan.iter().try_fold((0, 0, 0), |sum, &(shelf, set)| Some(add(sum, self.worth(shelf, set, budget)?)))
    }

    /// Two plates shared out anew so that all plates together are worth more.
    fn pair(
        &mut self,
        plan: &[(usize, Set)],
        (a, b): (usize, usize),
        best: Worth,
        budget: &mut Budget,
    ) -> Option<(Worth, (Set, Set))> {
        let blanks = &self.pool.blanks;
        let all = plan[a].1 + plan[b].1;
        let (size, other) = (self.pool.stacks[plan[a].0].size, &self.pool.stacks[plan[b].0]);
        let slack = size.0 * size.1 + other.area - blanks.area(all);
        let mut others = (0, 0, 0);
        for (p, &(shelf, set)) in plan.iter().enumerate() {
            if p != a && p != b {
                others = add(others, self.worth(shelf, set, budget)?);
            }
        }
        let mut share = budget.share(PAIR_STEPS);
        let wanted = Wanted { plate: size, allowed: all, limit: slack, beam: usize::MAX };
        let listing = patterns::list(blanks, wanted, &mut share);
        let mut found = None;
        let mut least = best;
        // Where one of the two is left nearly whole comes first.
        let mut patterns = listing.patterns;
        patterns.sort_by_key(|p| (p.waste.min(slack - p.waste), p.waste, p.set));
        for pattern in patterns {
            let rest = all - pattern.set;
            let hopes = self.hope(pattern.waste) + self.hope(slack - pattern.waste);
            if others.0 + hopes < least.0 {
                continue;
            }
            let both = self.worth(plan[a].0, pattern.set, &mut share);
            let both = both.and_then(|w| Some(add(w, self.worth(plan[b].0, rest, &mut share)?)));
            let sum = both.map(|w| add(w, others));
            if let Some(sum) = sum.filter(|s| *s > least) {
                (least, found) = (sum, Some((sum, (pattern.set, rest))));
            }
            if share.left() == 0 {
                break;
            }
        }
        budget.give_back(share);
        found
    }

    /// No more of a plate can be kept if so much of it is left, square
    /// micrometres.
    fn hope(&self, waste: i64) -> i64 {
        let unit = i128::from(self.pool.blanks.unit);
        let area = i128::from(waste) * unit * unit;
        let (short, long) = self.pool.task.keep;
        if area < i128::from(short) * i128::from(long) { 0 } else { (area / AREA_UNIT) as i64 }
    }

    /// Worth of what is left of a plate beside a set.
    fn worth(&mut self, shelf: usize, set: Set, budget: &mut Budget) -> Option<Worth> {
        if let Some(known) = self.known.get(&(shelf, set)) {
            return known.as_ref().map(|k| k.0);
        }
        let made = self.make(shelf, set, budget);
        let worth = made.as_ref().map(|m| m.0);
        self.known.insert((shelf, set), made);
        worth
    }

    /// The best way to divide a plate for a set.
    fn make(&self, shelf: usize, set: Set, budget: &mut Budget) -> Option<(Worth, Packed)> {
        let task = self.pool.task;
        let whole = self.pool.whole(shelf)?;
        if set == 0 {
            // It is not opened.
            let area = (task.shelves[shelf].steel.twice_area() / 2 / AREA_UNIT) as i64;
            return Some(((area, 0, 0), Packed::default()));
        }
        let mut part = budget.share(BUILD_STEPS);
        let builds = patterns::builds(&self.pool.blanks, self.pool.stacks[shelf].size, set, &mut part);
        budget.give_back(part);
        let mut best: Option<(Worth, Packed)> = None;
        for build in builds {
            let extent = build.size();
            // What is right of all blanks or above them is cut off first, or not.
            for first in [&[][..], &[0], &[1], &[0, 1], &[1, 0]] {
                let mut packed = Packed::default();
                let mut hand = whole;
                for &axis in first {
                    let (at, side) = if axis == 0 { (extent.0, hand.length) } else { (extent.1, hand.width) };
                    if at < side {
                        let (near, far) = packed.part(hand, axis, at, task.kerf);
                        hand = near;
                        packed.free.push(far);
                    }
                }
                build.lay(hand, task.kerf, &mut |kind| kind, &mut packed);
                packed.free.retain(|f| f.length > task.kerf && f.width > task.kerf);
                let worth = self.left(&packed);
                if best.as_ref().is_none_or(|b| worth > b.0) {
                    best = Some((worth, packed));
                }
            }
        }
        best
    }

    /// Worth of what is left of a plate.
    fn left(&self, packed: &Packed) -> Worth {
        let task = self.pool.task;
        let kept = packed.free.iter().filter(|f| task.keeps(f.length, f.width));
        let areas = kept.map(|f: &Free| (f.steel(task.kerf).area() / AREA_UNIT) as i64);
        let (sum, most) = areas.fold((0, 0), |(sum, most), area| (sum + area, most.max(area)));
        (sum, most, -(packed.steps.len() as i64))
    }

    /// The plates as they are known best, each item once.
    fn sheets(&self, plan: &[(usize, Set)]) -> Option<Vec<Sheet>> {
        let mut given = vec![0_usize; self.pool.blanks.sorts.len()];
        let mut sheets = Vec::new();
        for &(shelf, set) in plan.iter().filter(|p| p.1 != 0) {
            let (_, mut packed) = self.known.get(&(shelf, set))?.clone()?;
            for placed in &mut packed.placed {
                let kind = placed.item;
                placed.item = *self.pool.blanks.sorts[kind].items.get(given[kind])?;
                given[kind] += 1;
            }
            sheets.push(Sheet { shelf, way: 0, packed });
        }
        Some(sheets)
    }
}
