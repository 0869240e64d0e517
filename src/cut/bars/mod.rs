//! Bars: what is wanted, what there is, the saw's rules, and the plan.
//!
//! # The model
//!
//! A piece is marked from long point to long point. The blade beside an end
//! takes `kerf / sin(angle)` along the bar. Neighbours lie as far apart as the
//! wider of the two blades between them; where both ends have the same cut
//! plane, one cut serves both, they lie one blade apart in that plane, and the
//! wedge between them is saved. A piece may be turned where its section allows
//! ([`Turns`]). Pieces fit a bar when all this, the last blade included, is at
//! most its usable length and the narrowest blade of the job, which the last
//! piece may go without.
//!
//! The remainder is what is usable beyond the last blade. If it is shorter
//! than `keep` it is waste; otherwise it goes back to the rack.
//!
//! # What is best
//!
//! In this order: the fewest pieces that stay uncut, the least money, the least
//! waste, the fewest items left in the bin (an offcut used up is one less, a
//! bought bar that leaves a keeper one more), the longest single remainder,
//! the fewest settings of the saw's angle. Each has a bound; the plan counts as
//! proved when the first three are. A bound on a later aim holds among plans
//! that are as good in the aims before.

pub(super) mod bound;
mod build;
mod canon;
mod chain;
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

use crate::cut::{Effort, MAX_LENGTH, Nm};

/// Most pieces that one plan takes; a workshop order is some hundreds.
pub const MAX_PIECES: u32 = 10_000;

/// Shortest stub that a saw's vice holds safely. Source: common practice, no
/// source found.
pub const CLAMPABLE: Nm = Nm(50_000_000);

/// How one end of a piece is cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndCut {
    /// Angle between the cut and the bar's long axis, degrees, inside the
    /// metal at the edge y = 0 of the mitred face; 90 is square, below 90 that
    /// edge is the longer one. Planned from 10 to 170; a piece outside that
    /// stays uncut.
    pub angle_deg: f64,
}

impl EndCut {
    /// A square end.
    pub const SQUARE: EndCut = EndCut { angle_deg: 90.0 };
}

/// Turns of a piece after which its section lies in the bar as before.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Turns {
    /// End for end with the mitred face up: half a turn about that face's
    /// normal. Right where the section is the same when the mitred face is
    /// mirrored left to right.
    pub flat: bool,
    /// End for end with the mitred face down: half a turn about the line
    /// across that face. Right where the section is the same upside down.
    pub over: bool,
    /// Half a turn about the bar's own axis.
    pub roll: bool,
}

/// How a piece was turned to be laid.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Turned {
    /// As it is wanted.
    #[default]
    Not,
    /// End for end, the mitred face up.
    Flat,
    /// End for end, the mitred face down.
    Over,
    /// About the bar's axis.
    Roll,
}

/// The face that a piece's mitres run across.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Mitre {
    /// Which face; only mitres across the same face can share a cut.
    pub face: u8,
    /// Width of that face, the depth of the cut; 0 for square pieces, or where
    /// no cut may be shared (ends across different faces). A piece so short
    /// that its own cut planes would meet within the depth shares none.
    pub depth: Nm,
    /// Turns that the section allows.
    pub turns: Turns,
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
    /// What the mitres run across.
    pub mitre: Mitre,
}

impl BarDemand {
    /// Pieces with square ends.
    pub fn square(key: &str, length: Nm, count: u32) -> BarDemand {
        BarDemand {
            key: key.to_string(),
            length,
            count,
            left: EndCut::SQUARE,
            right: EndCut::SQUARE,
            mitre: Mitre::default(),
        }
    }
}

/// Bars of one kind that can be used.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BarStock {
    /// Its name in the bin; decides the order between equal bars.
    pub id: String,
    /// Length, end to end.
    pub length: Nm,
    /// Price of one in 1/10,000 of the money in use; 0 for an offcut.
    pub price: i64,
    /// How many there are; `None` is bought, as many as wanted.
    pub count: Option<u32>,
    /// The end that marks are measured from is raw and loses the trim.
    pub left_raw: bool,
    /// The far end is raw and loses the trim.
    pub right_raw: bool,
    /// How much shorter it may really be than it was measured: kept in reserve
    /// at the far end.
    pub doubt: Nm,
    /// Lost at the end that marks are measured from, besides the trim: a slant.
    pub left_lost: Nm,
    /// The same at the far end.
    pub right_lost: Nm,
}

impl BarStock {
    /// Where the first piece may begin, from the marked end.
    pub(super) fn start(&self, trim: Nm) -> i64 {
        let lost = self.left_lost.0.clamp(0, MAX_LENGTH.0);
        lost + if self.left_raw { trim.0 } else { 0 }
    }

    /// What is not used at the far end: trim, slant and reserve.
    pub(super) fn reserve(&self, trim: Nm) -> i64 {
        let lost = self.right_lost.0.clamp(0, MAX_LENGTH.0) + self.doubt.0.clamp(0, MAX_LENGTH.0);
        lost + if self.right_raw { trim.0 } else { 0 }
    }
}

/// What the saw takes and what is worth keeping.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct BarRules {
    /// Width of a square cut, 0 or more.
    pub kerf: Nm,
    /// Squared off each raw end, the blade included, 0 or more. A bar's usable
    /// length is its length less one trim for each raw end, also at the far
    /// end, because a last piece could otherwise end in the raw end.
    pub trim: Nm,
    /// Shortest remainder that goes back to the rack.
    pub keep: Nm,
    /// What a metre that goes back is worth, 1/10,000 of the money in use; 0
    /// for none. With a value, the steel taken from the rack is charged too,
    /// and the plan of the least net worth lost comes before the least money.
    /// No more counts than what bought steel costs by the metre.
    pub value: i64,
}

/// One aim of the plan with its proof.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stage {
    /// `uncut` (pieces; for plates their area), `net` (1/10,000; only where
    /// what goes back has a value), `money` (1/10,000), `waste`
    /// (nm; for plates an area), and for bars `items` (left in the bin),
    /// `remainder` (the longest, nm) and `settings` (of the saw's angle).
    pub name: &'static str,
    /// What the plan reaches.
    pub value: i64,
    /// No plan that is as good in the stages before can be below this; for
    /// `remainder` none can be above.
    pub bound: i64,
    /// The value equals the bound, and so do all stages before.
    pub proved: bool,
}

/// One piece in a bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarCut {
    /// Index into the demands as they were given.
    pub demand: usize,
    /// Which one of that demand, from 1.
    pub copy: u32,
    /// Its first long point, from the marked end of the bar.
    pub from: Nm,
    /// Its last long point, from the same end.
    pub to: Nm,
    /// The end towards the start of the bar as it lies, turned or not.
    pub left: EndCut,
    /// The other end as it lies.
    pub right: EndCut,
    /// How the piece was turned.
    pub turned: Turned,
    /// The cut at its right end is the next piece's left end too.
    pub shared: bool,
}

/// One bar that is opened.
#[derive(Clone, Debug, PartialEq)]
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
    /// Length still at the far end of the remainder that the plan does not
    /// count on: raw end, slant, and what the measuring may have been out by.
    /// The steel that goes back measures `remainder + far_trim` at most.
    pub far_trim: Nm,
    /// The part of `far_trim` that is doubt of the measurement.
    pub doubt: Nm,
    /// The remainder is at least `keep` and above 0: it goes back to the rack.
    pub kept: bool,
    /// What counts as waste: the remainder if it is shorter than `keep`.
    pub waste: Nm,
    /// What is held by the vice at the last cut (the last piece and what lies
    /// beyond it) is shorter than [`CLAMPABLE`].
    pub short_hold: bool,
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
#[derive(Clone, Debug, PartialEq)]
pub struct BarPlan {
    /// All aims, in their order.
    pub stages: Vec<Stage>,
    /// Uncut pieces, money and waste are proved.
    pub proved: bool,
    /// The bars opened, in an order in which the saw is seldom set anew; else
    /// offcuts first, longest first.
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
