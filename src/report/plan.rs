//! The cut plan of a whole job: one group for all demands that share stock.

use crate::cut::{BarPlan, PlatePlan};
use crate::piece::Stock;
use crate::stock::BinEntry;

/// What a group asks for, beside what the planner knows of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// Part's name.
    pub part: String,
    /// Piece's name.
    pub piece: String,
    /// `LEFT` or `RIGHT`; empty where there are no hands.
    pub hand: &'static str,
    /// How many.
    pub count: u32,
    /// Long point to long point, or the blank's length, mm.
    pub length_mm: f64,
    /// The blank's width, mm; 0 for bars.
    pub width_mm: f64,
    /// Left end, degrees; 90 is square.
    pub left_deg: f64,
    /// Right end, degrees; 90 is square.
    pub right_deg: f64,
    /// Face that the mitres run across, in words; empty for square ends.
    pub across: String,
    /// Cut from wider flat bar: to rip to this width, mm; 0 for nothing.
    pub rip_mm: f64,
}

/// Stock that stands in for what was asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Substitute {
    /// The part, plain cut or blank.
    pub part: String,
    /// What was asked for.
    pub wanted: Stock,
    /// What is taken.
    pub taken: Stock,
    /// It is ripped to the size asked for; else the part was worked out anew with it.
    pub ripped: bool,
    /// Why it was taken, in words.
    pub why: String,
}

/// All demands on one size of bar, and their plan.
#[derive(Clone, Debug, PartialEq)]
pub struct BarGroup {
    /// Shape, size, material.
    pub stock: Stock,
    /// The demands, in the planner's order.
    pub demands: Vec<Demand>,
    /// The bin's entries of this size, in the planner's order.
    pub entries: Vec<BinEntry>,
    /// The plan.
    pub plan: BarPlan,
}

/// All demands on one thickness of plate, and their plan.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetGroup {
    /// Shape, size, material.
    pub stock: Stock,
    /// The demands, in the planner's order.
    pub demands: Vec<Demand>,
    /// The bin's entries of this size, in the planner's order.
    pub entries: Vec<BinEntry>,
    /// The plan.
    pub plan: PlatePlan,
}

/// The cut plan of a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CutPlan {
    /// Name of the job.
    pub job: String,
    /// Hash of the bin that it was made from; empty without a bin.
    pub bin_hash: String,
    /// Kerf of the saw, mm.
    pub kerf_mm: f64,
    /// Bars.
    pub bars: Vec<BarGroup>,
    /// Plates.
    pub sheets: Vec<SheetGroup>,
    /// What stands in for other stock.
    pub substitutes: Vec<Substitute>,
    /// What else the person should know of the stock: near misses, substitutes
    /// that were not taken.
    pub notes: Vec<String>,
}

impl CutPlan {
    /// How many pieces stay uncut.
    pub fn uncut(&self) -> u32 {
        let bars = self.bars.iter().flat_map(|g| &g.plan.uncut);
        bars.chain(self.sheets.iter().flat_map(|g| &g.plan.uncut)).map(|u| u.count).sum()
    }

    /// Money for new stock, 1/10,000.
    pub fn money(&self) -> i64 {
        let bars = self.bars.iter().flat_map(|g| &g.plan.bars).map(|b| b.price);
        bars.chain(self.sheets.iter().flat_map(|g| &g.plan.sheets).map(|s| s.price)).sum()
    }

    /// Whether every group's plan is proved.
    pub fn proved(&self) -> bool {
        self.bars.iter().all(|g| g.plan.proved) && self.sheets.iter().all(|g| g.plan.proved)
    }
}
