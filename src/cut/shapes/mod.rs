//! Shapes: parts with their true outlines laid into plates of any outline,
//! holes included, as a plasma torch or a jigsaw cuts them.
//!
//! # The model
//!
//! Every part keeps the gap from every other and the edge gap from every edge
//! of its plate, measured straight across in any direction. A part may lie
//! inside a hole of another part. All corners are whole nanometres, no working
//! grid lies between: quarter turns are exact, other turns round each corner
//! (0.71 nm at most) and the gaps hold for the outline as it is laid.
//!
//! The gap is a polygon around its circle: exact along x and y, 5 nm more
//! along the longest slanted edges, 4 % of the gap more at most elsewhere.
//!
//! # What is best
//!
//! In this order: the least area of parts that stay uncut, the least money,
//! the least steel lost (opened, less parts, less leftovers worth keeping), the
//! largest rectangle in a leftover, the fewest plates opened. Plans are
//! searched; uncut area and money carry a bound by area and by what fits
//! where, and are proved only if the plan reaches it.

mod check;
mod form;
mod grow;
mod hunt;
mod lay;
mod limits;
mod pieces;
mod plan;
mod rest;
mod ring;
mod search;
mod spot;
mod task;
mod thrift;
mod zone;

use crate::cut::{Effort, Nm, OutlineFault, Stage, Uncut};

/// Most parts that one plan takes.
pub const MAX_SHAPES: u32 = 2_000;

/// A corner, (x, y).
pub type Corner = (Nm, Nm);

/// How a part may be turned on the plate.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Turning {
    /// Quarter turns, and turns that lay one of its long slanted edges along x
    /// or y, to a whole minute of arc.
    #[default]
    Free,
    /// As drawn or half a turn: the grain runs along x.
    Grain,
    /// As drawn only.
    Fixed,
    /// These only, whole minutes of arc counter-clockwise (21,600 are a full
    /// turn); the first 64 are looked at.
    Minutes(Vec<u32>),
}

/// Parts of one kind that are wanted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ShapeDemand {
    /// Stable name, `part/piece`; decides the order between equal parts.
    pub key: String,
    /// Corners in either direction around, within 10 m of the origin; arcs as
    /// chords outside the arc. The first corner is not repeated.
    pub outline: Vec<Corner>,
    /// Its holes the same way, chords inside the hole.
    pub holes: Vec<Vec<Corner>>,
    /// How many.
    pub count: u32,
    /// How it may lie.
    pub turns: Turning,
}

/// Plates of one kind that can be used.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ShapeStock {
    /// Its name in the bin; decides the order between equal plates.
    pub id: String,
    /// Corners as for a part; arcs as chords inside the steel.
    pub outline: Vec<Corner>,
    /// What has been cut out already.
    pub holes: Vec<Vec<Corner>>,
    /// Price of one in 1/10,000 of the money in use; 0 for an offcut.
    pub price: i64,
    /// How many there are; `None` is bought, as many as wanted.
    pub count: Option<u32>,
}

/// What the torch needs and which leftovers are worth keeping.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ShapeRules {
    /// Least distance between parts, 0 to 100 mm.
    pub gap: Nm,
    /// Least distance of a part from an edge of the plate or of a hole in it,
    /// 0 to 100 mm.
    pub edge: Nm,
    /// A leftover goes back if the short side of the largest rectangle found
    /// in it is at least this ...
    pub keep_short: Nm,
    /// ... and its long side at least this.
    pub keep_long: Nm,
}

/// Whose outline is at fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShapeOwner {
    /// Index into the demands as given; its parts stay uncut.
    Demand(usize),
    /// Index into the stock as given; it is not used.
    Stock(usize),
}

/// An outline that cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShapeFault {
    /// Whose it is.
    pub whose: ShapeOwner,
    /// The hole at fault; `None` is the outline itself.
    pub hole: Option<usize>,
    /// What is wrong.
    pub fault: OutlineFault,
}

/// A rectangle with its sides along x and y.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShapeRect {
    /// Left side.
    pub x: Nm,
    /// Lower side.
    pub y: Nm,
    /// Extent along x.
    pub length: Nm,
    /// Extent along y.
    pub width: Nm,
}

/// One part on a plate.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShapePlacement {
    /// Index into the demands as they were given.
    pub demand: usize,
    /// Which one of that demand, from 1.
    pub copy: u32,
    /// Turned about the part's own origin, minutes of arc counter-clockwise.
    pub turn: u32,
    /// Where the part's own origin lies on the plate.
    pub at: Corner,
    /// The outline as laid, corner for corner as it was given.
    pub outline: Vec<Corner>,
    /// The holes as laid.
    pub holes: Vec<Vec<Corner>>,
}

/// What is left of a plate, in one piece.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShapeLeftover {
    /// Its outline, the gap around the parts taken off: whole micrometres, at
    /// most 20 um off, and never nearer to a part than the gap.
    pub outline: Vec<Corner>,
    /// Its holes, where parts lay inside.
    pub holes: Vec<Vec<Corner>>,
    /// Large enough to go back to the rack.
    pub kept: bool,
    /// The largest rectangle found in it with its sides along x and y; it may
    /// miss some that is larger. `None` if nothing of note was found.
    pub rect: Option<ShapeRect>,
}

/// One plate that is opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShapeSheet {
    /// Index into the stock as it was given.
    pub stock: usize,
    /// The stock's name.
    pub id: String,
    /// It comes from stock without a count: it has to be bought.
    pub bought: bool,
    /// Its price, 1/10,000 of the money in use.
    pub price: i64,
    /// The parts, from left to right.
    pub placements: Vec<ShapePlacement>,
    /// What is left, largest first; pieces below 100 mm2 are not listed.
    pub leftovers: Vec<ShapeLeftover>,
}

/// The plan for one group of plates.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShapePlan {
    /// `uncut` (area of parts), `money` (1/10,000), `waste` (area), `leftover`
    /// (area of the largest useful rectangle; no plan is above its bound) and
    /// `items` (plates), in this order; areas in square micrometres (1e-6
    /// mm2), each part and plate rounded down.
    pub stages: Vec<Stage>,
    /// Uncut area, money and lost steel are proved.
    pub proved: bool,
    /// The plates opened.
    pub sheets: Vec<ShapeSheet>,
    /// What could not be cut.
    pub uncut: Vec<Uncut>,
    /// Outlines that could not be used.
    pub faults: Vec<ShapeFault>,
}

/// Plans the cutting of parts by their true outlines: the same plan for the
/// same wants and stock in any order, and never a panic. The model, and what
/// counts as best, stand at the head of this room's `shapes` file.
pub fn plan_shapes(demands: &[ShapeDemand], stock: &[ShapeStock], rules: &ShapeRules, effort: Effort) -> ShapePlan {
    let task = task::Task::new(demands, stock, rules);
    let layout = search::solve(&task, effort);
    plan::finish(&task, demands, stock, &layout)
}
