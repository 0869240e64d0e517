//! One plate: blanks are placed one after another into the rectangles that the
//! cuts so far have left.
//!
//! Every blank and every plate is taken a kerf longer and wider than it is;
//! then rectangles that touch are a kerf apart in steel.

use crate::cut::effort::Budget;
use crate::cut::plates::carve::Step;
use crate::cut::plates::steel::Span;

/// Which rectangle a blank goes into.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fit {
    /// The one with the least area left over.
    Area,
    /// The one with the least left over along one side.
    Side,
    /// The one lowest, then farthest left.
    Corner,
}

/// Which of the two cuts that free a blank goes through first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Split {
    /// The one that leaves the largest single rectangle.
    Largest,
    /// Across x first, always.
    AcrossX,
    /// Across y first, always.
    AcrossY,
    /// The one that leaves the more even pair.
    Even,
}

/// All fits and splits, for the search.
pub(super) const FITS: [Fit; 3] = [Fit::Area, Fit::Side, Fit::Corner];
/// All splits.
pub(super) const SPLITS: [Split; 4] = [Split::Largest, Split::AcrossX, Split::AcrossY, Split::Even];

/// A rectangle with the kerf added on its far sides, nm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Free {
    pub x: i64,
    pub y: i64,
    pub length: i64,
    pub width: i64,
}

impl Free {
    /// The steel without the kerf.
    pub fn steel(&self, kerf: i64) -> Span {
        Span { low: (self.x, self.y), high: (self.x + self.length - kerf, self.y + self.width - kerf) }
    }

    /// A rectangle of steel, kerf added.
    pub fn around(steel: &Span, kerf: i64) -> Free {
        Free { x: steel.low.0, y: steel.low.1, length: steel.extent(0) + kerf, width: steel.extent(1) + kerf }
    }
}

/// A blank to place, kerf added, nm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Blank {
    pub length: i64,
    pub width: i64,
    pub may_turn: bool,
}

/// A blank placed: its item, place and whether it is turned.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed {
    pub item: usize,
    pub place: Free,
    pub turned: bool,
}

/// A plate with its blanks.
#[derive(Clone, Debug, Default)]
pub(super) struct Packed {
    pub placed: Vec<Placed>,
    pub steps: Vec<Step>,
    pub free: Vec<Free>,
}

fn area(length: i64, width: i64) -> i128 {
    i128::from(length) * i128::from(width)
}

/// How good a rectangle is for a blank; smaller is better.
fn score(fit: Fit, free: &Free, length: i64, width: i64) -> (i128, i128) {
    let (dx, dy) = (free.length - length, free.width - width);
    let spare = area(free.length, free.width) - area(length, width);
    match fit {
        Fit::Area => (spare, i128::from(dx.min(dy))),
        Fit::Side => (i128::from(dx.min(dy)), spare),
        Fit::Corner => (i128::from(free.y), i128::from(free.x)),
    }
}

impl Packed {
    /// Some rectangles, nothing placed.
    pub fn new(free: Vec<Free>) -> Packed {
        Packed { free, ..Packed::default() }
    }

    /// Places a blank in the best rectangle, if there is one.
    pub fn place(&mut self, item: usize, blank: Blank, fit: Fit, split: Split, kerf: i64, budget: &mut Budget) -> bool {
        budget.spend(1 + self.free.len() as u64 / 4);
        let mut best: Option<((i128, i128), usize, bool)> = None;
        for (i, free) in self.free.iter().enumerate() {
            for turned in [false, true] {
                let (length, width) = turn(blank, turned);
                if turned && !blank.may_turn || length > free.length || width > free.width {
                    continue;
                }
                let option = (score(fit, free, length, width), i, turned);
                if best.is_none_or(|b| option < b) {
                    best = Some(option);
                }
            }
        }
        let Some((_, index, turned)) = best else {
            return false;
        };
        let free = self.free.swap_remove(index);
        let (length, width) = turn(blank, turned);
        let place = Free { length, width, ..free };
        self.placed.push(Placed { item, place, turned });
        self.divide(free, place, split, kerf);
        true
    }

    /// Divides a region at a length (axis 0) or width (axis 1) from its corner.
    pub fn part(&mut self, region: Free, axis: usize, size: i64, kerf: i64) -> (Free, Free) {
        let (near, far, at) = match axis {
            0 => (
                Free { length: size, ..region },
                Free { x: region.x + size, length: region.length - size, ..region },
                region.x + size - kerf,
            ),
            _ => (
                Free { width: size, ..region },
                Free { y: region.y + size, width: region.width - size, ..region },
                region.y + size - kerf,
            ),
        };
        self.steps.push(Step { axis, at, within: region.steel(kerf) });
        (near, far)
    }

    /// Frees a blank at the lower left of a rectangle with up to two cuts.
    pub fn divide(&mut self, free: Free, blank: Free, split: Split, kerf: i64) {
        let (dx, dy) = (free.length - blank.length, free.width - blank.width);
        let across_x = match split {
            Split::AcrossX => true,
            Split::AcrossY => false,
            Split::Largest | Split::Even => {
                let x_first = area(dx, free.width).max(area(blank.length, dy));
                let y_first = area(free.length, dy).max(area(dx, blank.width));
                (x_first >= y_first) == (split == Split::Largest)
            }
        };
        let mut hand = free;
        for axis in if across_x { [0, 1] } else { [1, 0] } {
            let (spare, size) = if axis == 0 { (dx, blank.length) } else { (dy, blank.width) };
            if spare > 0 {
                let (near, far) = self.part(hand, axis, size, kerf);
                hand = near;
                if far.length > kerf && far.width > kerf {
                    self.free.push(far);
                }
            }
        }
    }
}

fn turn(blank: Blank, turned: bool) -> (i64, i64) {
    match turned {
        true => (blank.width, blank.length),
        false => (blank.length, blank.width),
    }
}
