//! One plate: blanks are placed one after another into the rectangles that the
//! cuts so far have left.
//!
//! Every blank and every plate is taken a kerf longer and wider than it is;
//! then rectangles that touch are a kerf apart in steel.

use crate::cut::effort::Budget;

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

/// A cut: the mark from one point to another, nm.
pub(super) type Mark = ((i64, i64), (i64, i64));

/// A plate with its blanks.
#[derive(Clone, Debug, Default)]
pub(super) struct Packed {
    pub placed: Vec<Placed>,
    pub cuts: Vec<Mark>,
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
    /// A whole plate, nothing placed.
    pub fn new(whole: Free) -> Packed {
        Packed { free: vec![whole], ..Packed::default() }
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

    /// Frees a blank at the lower left of a rectangle with up to two cuts.
    fn divide(&mut self, free: Free, blank: Free, split: Split, kerf: i64) {
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
        let right = Free {
            x: free.x + blank.length,
            length: dx,
            width: if across_x { free.width } else { blank.width },
            ..free
        };
        let above = Free {
            y: free.y + blank.width,
            length: if across_x { blank.length } else { free.length },
            width: dy,
            ..free
        };
        let x = right.x - kerf;
        let y = above.y - kerf;
        let mark_x = ((x, free.y), (x, free.y + right.width - kerf));
        let mark_y = ((free.x, y), (free.x + above.length - kerf, y));
        let mut cuts = [(dx, mark_x), (dy, mark_y)];
        if !across_x {
            cuts.reverse();
        }
        self.cuts.extend(cuts.iter().filter(|c| c.0 > 0).map(|c| c.1));
        let steel = |f: &Free| f.length > kerf && f.width > kerf;
        self.free.extend([right, above].into_iter().filter(steel));
    }
}

fn turn(blank: Blank, turned: bool) -> (i64, i64) {
    match turned {
        true => (blank.width, blank.length),
        false => (blank.length, blank.width),
    }
}
