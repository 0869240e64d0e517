//! The cut planner: which piece comes out of which bar or plate, in which
//! order, with a bound that says how good the plan is.
//!
//! The room knows lengths, stock and a saw; it knows no parts, no templates
//! and no files, so published cutting-stock data can drive it alone. Every
//! length is a whole number of nanometres ([`Nm`]), so "it fits" is a question
//! about integers. Searches stop on a count of steps ([`Effort`]), never on a
//! clock, so two runs agree.

mod bars;
mod effort;
mod nm;
mod outline_fault;
mod plates;
mod shapes;

pub use bars::{
    BarCut, BarDemand, BarPlan, BarRules, BarStock, BarUse, CLAMPABLE, EndCut, MAX_PIECES, Mitre, Stage, Turned, Turns,
    Uncut, UncutReason, plan_bars,
};
pub use effort::Effort;
pub use nm::{MAX_LENGTH, Nm};
pub use outline_fault::OutlineFault;
pub use plates::{
    BlankDemand, Datum, KnapsackItem, KnapsackPlacement, KnapsackPlan, Leftover, MAX_BLANKS, MAX_CORNERS, Placement,
    PlateCut, PlatePlan, PlateRules, PlateStock, Rect, SheetUse, knapsack_plate, outline_fault, plan_plates,
};
pub use shapes::{
    Corner, MAX_SHAPES, ShapeDemand, ShapeFault, ShapeLeftover, ShapeOwner, ShapePlacement, ShapePlan, ShapeRect,
    ShapeRules, ShapeSheet, ShapeStock, Turning, plan_shapes,
};
