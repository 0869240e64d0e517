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
//! In this order: the least area of blanks that stay uncut; the least money;
//! the least steel lost (plates opened, less blanks, less leftovers worth
//! keeping); the largest single leftover worth keeping; the fewest plates
//! opened; the fewest cuts. Each has a bound in whole numbers. Uncut blanks and
//! money are proved by searches as well; the bounds of the later aims are rough.
//!
//! # Plates of any outline
//!
//! Straight cuts right across the piece in hand, parallel to x or y and over
//! holes if need be, free rectangles; blanks are cut out of these. A bound for
//! such a plate is one for the box around it and for its area, so it holds for
//! every way of cutting.

mod build;
mod carve;
mod check;
mod cover;
#[cfg(test)]
mod every;
mod exact;
mod fill;
mod knap;
mod knapsack;
mod lay;
mod limits;
mod mend;
mod outline;
mod pack;
mod patterns;
mod pool;
mod prove;
mod search;
mod sets;
mod steel;
mod tidy;
mod tile;

pub use knapsack::{KnapsackItem, KnapsackPlacement, KnapsackPlan, knapsack_plate};
pub use outline::{MAX_CORNERS, outline_fault};

use crate::cut::{Effort, Nm, Stage, Uncut};

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
    /// Its corners in order, either way round: edges must not cross, and the
    /// lower left corner of the box around it is (0, 0). [`outline_fault`] says
    /// what is wrong with one.
    pub outline: Vec<(Nm, Nm)>,
    /// Corners of holes inside it, apart from each other and from the edge.
    pub holes: Vec<Vec<(Nm, Nm)>>,
    /// Price of one in 1/10,000 of the money in use; 0 for an offcut.
    pub price: i64,
    /// How many there are; `None` is bought, as many as wanted.
    pub count: Option<u32>,
    /// Its edges, those of holes too, are raw and lose the trim.
    pub raw: bool,
}

impl PlateStock {
    /// One sound rectangle without a price: an offcut.
    pub fn rectangle(id: impl Into<String>, length: Nm, width: Nm) -> PlateStock {
        let zero = Nm::ZERO;
        let outline = vec![(zero, zero), (length, zero), (length, width), (zero, width)];
        PlateStock { id: id.into(), outline, holes: Vec::new(), price: 0, count: Some(1), raw: false }
    }
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

/// The edge of the piece in hand from which a mark is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Datum {
    /// The edge of least x.
    Left,
    /// The edge of greatest x.
    Right,
    /// The edge of least y.
    Lower,
    /// The edge of greatest y.
    Upper,
}

/// A through cut of one of the pieces there are at that moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlateCut {
    /// One end of the mark, (x, y): where it comes into the piece.
    pub from: (Nm, Nm),
    /// The other end; the mark is parallel to x or to y, and the blade takes
    /// the kerf on the side of larger x (or y).
    pub to: (Nm, Nm),
    /// The box around the piece in hand that is divided.
    pub hand: Rect,
    /// The edge of that box to measure from: the longer straight one of the two.
    pub datum: Datum,
    /// From the datum edge to the mark; below 0 if only the blade's far side
    /// meets the piece, to skim it.
    pub distance: Nm,
}

/// What is left of a plate beside its blanks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Leftover {
    /// Its corners where it lay, counter-clockwise.
    pub outline: Vec<(Nm, Nm)>,
    /// Holes in it.
    pub holes: Vec<Vec<(Nm, Nm)>>,
    /// Large enough to go back to the rack: a rectangle worth keeping lies in it.
    pub kept: bool,
    /// The largest rectangle found in it, whether worth keeping or not.
    pub useful: Option<Rect>,
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
    /// Through cuts in order; each divides one piece left by those before.
    pub cuts: Vec<PlateCut>,
    /// All that is left beside the blanks, strips and corners included.
    pub leftovers: Vec<Leftover>,
}

/// The plan for one group of plates.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlatePlan {
    /// In their order: `uncut` (area, square micrometres, each blank rounded
    /// down), `money` (1/10,000), `waste` (area lost, square micrometres,
    /// rounded down over all plates), `leftover` (largest one kept, by the
    /// rectangle in it; the bound is from above), `items` (plates opened), `cuts`.
    pub stages: Vec<Stage>,
    /// Uncut blanks, money and waste are proved.
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
    for sheet in &found.sheets {
        let made = lay::lay_out(&task, stock, sheet);
        if let Some(made) = made.filter(|m| check::sound(demands, stock, rules, m)) {
            sheets.push(made);
            continue;
        }
        // Never seen; a plan that breaks a promise is not handed out.
        debug_assert!(false, "an unsound plate plan");
        uncut.extend(sheet.packed.placed.iter().map(|p| task.uncut(p.item)));
    }
    uncut.extend(found.uncut.iter().map(|&item| task.uncut(item)));
    let stages = limits::stages(&task, demands, &sheets, &uncut, &found);
    PlatePlan { proved: stages[..3].iter().all(|s| s.proved), stages, sheets, uncut }
}
