//! The patterns known of each shelf, and plans made of patterns.

use crate::cut::effort::Budget;
use crate::cut::plates::limits::{Sheet, Shelf, Task};
use crate::cut::plates::pack::{Free, Packed};
use crate::cut::plates::patterns::{self, Listing, Pattern, Wanted};
use crate::cut::plates::sets::{Blanks, Set};
use rayon::prelude::*;

/// Most rectangles of one number of blanks that are built for the search.
const BEAM: usize = 200;
/// Patterns of a shelf that the search chooses from.
const ROUGH: usize = 6_000;
/// Steps for the patterns of one shelf of the search.
const ROUGH_STEPS: u64 = 1_500_000;
/// Steps to build a pattern that is known.
const BUILD_STEPS: u64 = 20_000_000;

/// Patterns of one shelf.
#[derive(Clone, Debug, Default)]
pub(super) struct Stack {
    /// Sides in common units, kerf added.
    pub size: (i64, i64),
    pub area: i64,
    /// All patterns that leave no more than `done`, least left first.
    pub exact: Vec<Pattern>,
    /// -1 if there is no list.
    pub done: i64,
    /// A list up to this limit was too long to make.
    pub blocked: i64,
    /// Good patterns for the search, not all.
    pub rough: Vec<Pattern>,
}

/// Patterns of all shelves of a task.
pub(super) struct Pool<'a> {
    pub task: &'a Task,
    pub blanks: Blanks,
    pub stacks: Vec<Stack>,
}

/// A plate that is a sound rectangle.
pub(super) fn plain(shelf: &Shelf) -> bool {
    let whole = |r: &Free| (r.length, r.width) == shelf.around;
    shelf.ways.first().is_some_and(|w| w.rects.len() == 1 && whole(&w.rects[0]))
}

impl<'a> Pool<'a> {
    /// Nothing if a shelf that is of use is no rectangle, or the blanks are of
    /// too many kinds.
    pub fn new(task: &'a Task) -> Option<Pool<'a>> {
        let blanks = Blanks::new(task)?;
        if !task.shelves.iter().all(plain) {
            return None;
        }
        let stack = |s: &Shelf| {
            let size = (s.around.0 / blanks.unit, s.around.1 / blanks.unit);
            Stack { size, area: size.0 * size.1, done: -1, blocked: i64::MAX, ..Stack::default() }
        };
        let stacks = task.shelves.iter().map(stack).collect();
        Some(Pool { task, blanks, stacks })
    }

    /// Area that some plates leave beside all blanks.
    pub fn slack(&self, plates: &[usize]) -> i64 {
        plates.iter().map(|&s| self.stacks[s].area).sum::<i64>() - self.blanks.area(self.blanks.all)
    }

    /// What is left of a plate at least, whatever is cut out of it.
    pub fn least(&self, shelf: usize) -> i64 {
        let stack = &self.stacks[shelf];
        stack.exact.first().map_or(stack.done + 1, |p| p.waste)
    }

    /// Lists good patterns of each shelf for the search; `slack` is what all
    /// plates may leave.
    pub fn sketch(&mut self, slack: i64, budget: &mut Budget) {
        let blanks = &self.blanks;
        let steps = ROUGH_STEPS.min(budget.left() / (3 * self.stacks.len() as u64).max(1));
        let shares: Vec<Budget> = self.stacks.iter().map(|_| budget.share(steps)).collect();
        let made: Vec<(Vec<Pattern>, Budget)> = self
            .stacks
            .par_iter()
            .zip(shares)
            .map(|(stack, mut share)| {
                let limit = slack.min(stack.area / 4);
                let wanted = Wanted { plate: stack.size, allowed: blanks.all, limit, beam: BEAM };
                let found = patterns::list(blanks, wanted, &mut share);
                (largest(blanks, found.patterns), share)
            })
            .collect();
        for (stack, (rough, share)) in self.stacks.iter_mut().zip(made) {
            stack.rough = rough;
            budget.give_back(share);
        }
    }

    /// Lists all patterns of some shelves up to a limit each, if the steps for
    /// one shelf suffice.
    pub fn extend(&mut self, wanted: &[(usize, i64)], steps: u64, budget: &mut Budget) {
        let blanks = &self.blanks;
        let shares: Vec<Budget> = wanted.iter().map(|_| budget.share(steps)).collect();
        let made: Vec<(Listing, Budget)> = wanted
            .par_iter()
            .zip(shares)
            .map(|(&(s, limit), mut share)| {
                let plate = self.stacks[s].size;
                let wanted = Wanted { plate, allowed: blanks.all, limit, beam: usize::MAX };
                (patterns::list(blanks, wanted, &mut share), share)
            })
            .collect();
        for (&(s, limit), (listing, share)) in wanted.iter().zip(made) {
            budget.give_back(share);
            let stack = &mut self.stacks[s];
            if listing.complete {
                (stack.exact, stack.done) = (listing.patterns, limit);
            } else {
                stack.blocked = limit;
            }
        }
    }

    /// The plate of a shelf, kerf added.
    pub fn whole(&self, shelf: usize) -> Option<Free> {
        let shape = &self.task.shelves[shelf];
        let first = shape.ways.first()?.rects.first()?;
        Some(Free { x: first.x, y: first.y, length: shape.around.0, width: shape.around.1 })
    }

    /// The blanks on a plate as a set.
    pub fn set_of(&self, packed: &Packed) -> Set {
        let one = |item: usize| self.blanks.sorts.iter().find(|s| s.items.contains(&item)).map_or(0, |s| s.one());
        packed.placed.iter().map(|p| one(p.item)).sum()
    }

    /// The plates with the blanks of patterns, each blank once; patterns may
    /// hold blanks that are cut elsewhere.
    pub fn sheets(&self, plan: &[(usize, Set)]) -> Option<Vec<Sheet>> {
        let mut given = vec![0_usize; self.blanks.sorts.len()];
        let mut sheets = Vec::new();
        for &(shelf, set) in plan {
            let whole = self.whole(shelf)?;
            let mut wanted = 0;
            for (sort, given) in self.blanks.sorts.iter().zip(&given) {
                let count = (sort.count(set) as usize).min(sort.items.len() - given);
                wanted += sort.one() * count as u128;
            }
            if wanted == 0 {
                continue;
            }
            let mut budget = Budget::new(BUILD_STEPS);
            let builds = patterns::builds(&self.blanks, self.stacks[shelf].size, wanted, &mut budget);
            let build = builds.first()?;
            let mut packed = Packed::default();
            let mut item = |kind: usize| {
                given[kind] += 1;
                self.blanks.sorts[kind].items[given[kind] - 1]
            };
            build.lay(whole, self.task.kerf, &mut item, &mut packed);
            sheets.push(Sheet { shelf, way: 0, packed });
        }
        Some(sheets)
    }
}

/// The first patterns, without those that are parts of others.
fn largest(blanks: &Blanks, patterns: Vec<Pattern>) -> Vec<Pattern> {
    let mut kept: Vec<(Pattern, Set)> = Vec::new();
    for pattern in patterns {
        if kept.len() >= ROUGH {
            break;
        }
        if !kept.iter().any(|k| blanks.within(pattern.set, k.1)) {
            kept.push((pattern, blanks.spare(pattern.set)));
        }
    }
    kept.into_iter().map(|k| k.0).collect()
}
