//! Bars: what is wanted, what there is, the saw's rules, and the plan.
//!
//! # The model
//!
//! A piece is marked from long point to long point. The blade beside an end
//! takes `kerf / sin(angle)` along the bar, and each piece carries one
//! *allowance*: the wider of its two ends. Neighbours lie at least the
//! allowance of the earlier one apart, and inside a bar the wide allowances
//! come first, so no blade enters a neighbour at either end. Pieces fit a bar
//! when their lengths and allowances are at most its usable length and the
//! smallest allowance of the job, which the last piece may go without. With
//! square ends that is exact; with mitres of several angles in one job, a last
//! piece that is mitred is asked for slightly more than it needs.
//!
//! The remainder is what is usable beyond the last blade. If it is shorter
//! than `keep` it is waste; otherwise it goes back to the rack.
//!
//! # What is best
//!
//! In this order: the least total length of pieces that stay uncut, the least
//! money, the least waste, the fewest bars opened, the longest single
//! remainder kept. The first three carry bounds; the last two are tie-breaks.
//! "Proved" is meant within the model above: two mitred neighbours that could
//! share one slanted cut are not nested.

pub(super) mod bound;
mod build;
mod canon;
mod combos;
mod dive;
mod exact;
mod improve;
mod knap;
mod lay;
mod listing;
mod lp;
mod master;
pub(super) mod model;
mod pool;
mod price;
mod rule;
mod stages;
mod sums;
mod task;
mod tree;

use crate::cut::{Effort, Nm};

/// Most pieces that one plan takes; a workshop order is some hundreds.
pub const MAX_PIECES: u32 = 10_000;

/// How one end of a piece is cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndCut {
    /// Angle between the cut and the bar's long axis, degrees; 90 is square.
    /// Planned from 10 to 170; a piece outside that stays uncut.
    pub angle_deg: f64,
}

impl EndCut {
    /// A square end.
    pub const SQUARE: EndCut = EndCut { angle_deg: 90.0 };
}

/// Pieces of one kind that are wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct BarDemand {
    /// Stable name, `part/piece`; decides the order between equal pieces.
    pub key: String,
    /// Length from long point to long point, above 0, up to
    /// [`crate::cut::MAX_LENGTH`].
    pub length: Nm,
    /// How many.
    pub count: u32,
    /// The end towards the start of the bar.
    pub left: EndCut,
    /// The end away from the start of the bar.
    pub right: EndCut,
}

/// Bars of one kind that can be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BarStock {
    /// Its name in the bin; decides the order between equal bars.
    pub id: String,
    /// Sound length, end to end.
    pub length: Nm,
    /// Price of one in 1/10,000 of the money in use; 0 for an offcut.
    pub price: i64,
    /// How many there are; `None` is bought, as many as wanted.
    pub count: Option<u32>,
    /// The end that marks are measured from is raw and loses the trim.
    pub left_raw: bool,
    /// The far end is raw and loses the trim.
    pub right_raw: bool,
}

/// What the saw takes and what is worth keeping.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BarRules {
    /// Width of a square cut, 0 or more.
    pub kerf: Nm,
    /// Squared off each raw end, the blade included, 0 or more. A bar's usable
    /// length is its length less one trim for each raw end, also at the far
    /// end, because a last piece could otherwise end in the raw end.
    pub trim: Nm,
    /// Shortest remainder that goes back to the rack.
    pub keep: Nm,
}

/// One aim of the plan with its proof.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stage {
    /// `uncut` (total length, nm), `money` (1/10,000) or `waste` (nm).
    pub name: &'static str,
    /// What the plan reaches.
    pub value: i64,
    /// No plan that is as good in the stages before can be below this.
    pub bound: i64,
    /// The value equals the bound, and so do all stages before.
    pub proved: bool,
}

/// One piece in a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BarCut {
    /// Index into the demands as they were given.
    pub demand: usize,
    /// Which one of that demand, from 1.
    pub copy: u32,
    /// Its first long point, from the marked end of the bar.
    pub from: Nm,
    /// Its last long point, from the same end.
    pub to: Nm,
}

/// One bar that is opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BarUse {
    /// Index into the stock as it was given.
    pub stock: usize,
    /// The stock's name.
    pub id: String,
    /// It comes from stock without a count: it has to be bought.
    pub bought: bool,
    /// Its price, 1/10,000 of the money in use.
    pub price: i64,
    /// Pieces in order from the marked end.
    pub cuts: Vec<BarCut>,
    /// Usable length beyond the last blade, the far trim not included.
    pub remainder: Nm,
    /// Raw length still at the far end of the remainder; the steel that goes
    /// back measures `remainder + far_trim` if it is not squared first.
    pub far_trim: Nm,
    /// The remainder is at least `keep` and above 0: it goes back to the rack.
    pub kept: bool,
    /// What counts as waste: the remainder if it is shorter than `keep`.
    pub waste: Nm,
}

/// Why a piece is not in the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UncutReason {
    /// Larger than the usable size of every bar or plate, even alone.
    TooLong,
    /// The stock is used up.
    NoStockLeft,
    /// A size outside the range of its field, or an end angle outside 10 to
    /// 170 degrees.
    BadSize,
    /// Beyond [`MAX_PIECES`] or [`crate::cut::MAX_BLANKS`].
    TooMany,
}

/// Copies of a demand that stay uncut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Uncut {
    /// Index into the demands as they were given.
    pub demand: usize,
    /// First such copy, from 1; the rest follow up to the last.
    pub first_copy: u32,
    /// How many.
    pub count: u32,
    /// Why.
    pub reason: UncutReason,
}

/// The plan for one group of bars.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BarPlan {
    /// `uncut`, `money`, `waste`, in that order.
    pub stages: [Stage; 3],
    /// Every stage is proved.
    pub proved: bool,
    /// The bars opened: offcuts first, longest first.
    pub bars: Vec<BarUse>,
    /// What could not be cut.
    pub uncut: Vec<Uncut>,
}

/// Plans the cutting of bars: the same plan for the same wants and stock in
/// any order, and never a panic, whatever the numbers. The model, and what
/// counts as best, stand at the head of this room's `bars` file.
pub fn plan_bars(demands: &[BarDemand], stock: &[BarStock], rules: &BarRules, effort: Effort) -> BarPlan {
    let canon = canon::Canon::new(demands, stock, rules);
    let answer = improve::solve(&canon.problem, effort);
    lay::lay_out(&canon, demands, stock, rules, &answer)
}
