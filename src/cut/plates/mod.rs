//! Plates: rectangular blanks out of rectangular plates by through cuts, as a
//! shear, a bandsaw or a grinder along a straight edge makes them.
//!
//! # The model
//!
//! A through cut runs from edge to edge of the rectangle it divides. Its mark
//! is the line `from`-`to`; the blade takes the kerf on the side of larger x
//! (or larger y), so both sides of a cut are a kerf apart. A raw plate first
//! loses the trim along all four edges.
//!
//! # What is best
//!
//! In this order: the least area of blanks that stay uncut, the least money,
//! the least area lost (opened, less blanks, less leftovers worth keeping),
//! the fewest plates opened, the largest single leftover. Plans are searched,
//! not listed exhaustively: money and uncut blanks carry a bound by area and
//! by what fits where, and are proved only if the plan reaches it. Blanks are
//! freed one at a time by two cuts, so some deep nestings are never tried.

mod check;
mod limits;
mod pack;
mod search;

use crate::cut::{Effort, Nm, Stage, Uncut, UncutReason};

/// Most blanks that one plan takes.
pub const MAX_BLANKS: u32 = 2_000;

/// Rectangular blanks of one kind that are wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BlankDemand {
    /// Stable name, `part/piece`; decides the order between equal blanks.
    pub key: String,
    /// Along the blank's own x, 1 um to 10 m.
    pub length: Nm,
    /// Across it, 1 um to 10 m.
    pub width: Nm,
    /// How many.
    pub count: u32,
    /// May lie a quarter turn on the plate (no grain or bend line forbids it).
    pub may_turn: bool,
}

/// Plates of one kind that can be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlateStock {
    /// Its name in the bin; decides the order between equal plates.
    pub id: String,
    /// Sound length, along x.
    pub length: Nm,
    /// Sound width, along y.
    pub width: Nm,
    /// Price of one in 1/10,000 of the money in use; 0 for an offcut.
    pub price: i64,
    /// How many there are; `None` is bought, as many as wanted.
    pub count: Option<u32>,
    /// Its four edges are raw and lose the trim.
    pub raw: bool,
}

/// What the saw takes and which leftovers are worth keeping.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlateRules {
    /// Width of a cut, 0 or more.
    pub kerf: Nm,
    /// Taken off each raw edge, the blade included, 0 or more.
    pub trim: Nm,
    /// A leftover goes back if its short side is at least this ...
    pub keep_short: Nm,
    /// ... and its long side at least this.
    pub keep_long: Nm,
}

/// A rectangle on a plate; x and y from its lower left corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rect {
    /// Left edge.
    pub x: Nm,
    /// Lower edge.
    pub y: Nm,
    /// Extent along x.
    pub length: Nm,
    /// Extent along y.
    pub width: Nm,
}

/// One blank on a plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Placement {
    /// Index into the demands as they were given.
    pub demand: usize,
    /// Which one of that demand, from 1.
    pub copy: u32,
    /// Where it lies; turned if it lies a quarter turn.
    pub rect: Rect,
    /// It lies a quarter turn: its length runs along y.
    pub turned: bool,
}

/// A through cut of one of the rectangles there are at that moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlateCut {
    /// One end of the mark, (x, y).
    pub from: (Nm, Nm),
    /// The other end; the mark is parallel to x or to y.
    pub to: (Nm, Nm),
}

/// What is left of a plate beside its blanks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Leftover {
    /// Where it lay.
    pub rect: Rect,
    /// Large enough to go back to the rack.
    pub kept: bool,
}

/// One plate that is opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetUse {
    /// Index into the stock as it was given.
    pub stock: usize,
    /// The stock's name.
    pub id: String,
    /// It comes from stock without a count: it has to be bought.
    pub bought: bool,
    /// Its price, 1/10,000 of the money in use.
    pub price: i64,
    /// Blanks in the order in which the cuts free them.
    pub placements: Vec<Placement>,
    /// Through cuts in order; each divides one rectangle left by those before.
    pub cuts: Vec<PlateCut>,
    /// All rectangles left, trimmed edges not included.
    pub leftovers: Vec<Leftover>,
}

/// The plan for one group of plates.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlatePlan {
    /// `uncut` and `waste` in square micrometres (1e-6 mm2, each plate rounded
    /// down), `money` in 1/10,000; in the order uncut, money, waste. A waste
    /// of 0 is the only one that is proved.
    pub stages: [Stage; 3],
    /// Every stage is proved.
    pub proved: bool,
    /// The plates opened.
    pub sheets: Vec<SheetUse>,
    /// What could not be cut.
    pub uncut: Vec<Uncut>,
}

/// Plans the cutting of rectangular blanks by through cuts: the same plan for
/// the same wants and stock in any order, and never a panic. The model, and
/// what counts as best, stand at the head of this room's `plates` file.
pub fn plan_plates(demands: &[BlankDemand], stock: &[PlateStock], rules: &PlateRules, effort: Effort) -> PlatePlan {
    let task = limits::Task::new(demands, stock, rules);
    let found = search::solve(&task, effort);
    let mut uncut = task.refused.clone();
    let mut sheets = Vec::new();
    for sheet in found.sheets {
        let made = limits::in_callers_terms(&task, stock, &sheet);
        if check::sound(demands, stock, rules, &made) {
            sheets.push(made);
            continue;
        }
        // Never seen; a plan that breaks a promise is not handed out.
        debug_assert!(false, "an unsound plate plan");
        uncut.extend(made.placements.iter().map(|p| Uncut {
            demand: p.demand,
            first_copy: p.copy,
            count: 1,
            reason: UncutReason::NoStockLeft,
        }));
    }
    uncut.extend(found.uncut.iter().map(|&item| Uncut {
        demand: task.items[item].demand,
        first_copy: task.items[item].copy,
        count: 1,
        reason: UncutReason::NoStockLeft,
    }));
    let stages = limits::stages(&task, demands, &sheets, &uncut);
    PlatePlan { proved: stages.iter().all(|s| s.proved), stages, sheets, uncut }
}
