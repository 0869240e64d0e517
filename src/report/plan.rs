//! The cut plan of a whole job: one group for all demands that share stock.

use crate::cut::{BarPlan, Stage, Uncut};
use crate::geom::Point;
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

impl Demand {
    /// Its stable key, `part/piece`.
    pub fn key(&self) -> String {
        format!("{}/{}", self.part, self.piece)
    }
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
    /// Parts are cut round their true outlines; else as rectangles, along straight lines.
    pub free: bool,
    /// The aims with their proofs.
    pub stages: Vec<Stage>,
    /// Pieces uncut, money and steel lost are proved.
    pub proved: bool,
    /// The plates opened.
    pub sheets: Vec<Sheet>,
    /// What could not be cut.
    pub uncut: Vec<Uncut>,
    /// Plates that nothing can be cut from, in words.
    pub notes: Vec<String>,
}

/// One plate that is opened; places in mm from its lower left corner.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Index into the entries.
    pub stock: usize,
    /// Its id.
    pub id: String,
    /// It has to be bought.
    pub bought: bool,
    /// Its price, 1/10,000 of the money in use.
    pub price: i64,
    /// Its corners.
    pub outline: Vec<Point>,
    /// Holes that are in it already.
    pub holes: Vec<Vec<Point>>,
    /// What is cut out of it.
    pub placements: Vec<Placed>,
    /// Straight cuts in their order; none where shapes are cut freely.
    pub cuts: Vec<SheetCut>,
    /// What is left of it.
    pub leftovers: Vec<Rest>,
}

/// A piece on a plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// Index into the demands.
    pub demand: usize,
    /// Which one of that demand, from 1.
    pub copy: u32,
    /// Its corners as it lies; arcs as chords.
    pub outline: Vec<Point>,
    /// Openings that are large enough to see.
    pub holes: Vec<Vec<Point>>,
    /// Lower left corner of the box round it.
    pub at: Point,
    /// Extent of that box along x and y.
    pub size: Point,
    /// How far it is turned, degrees counter-clockwise.
    pub turn_deg: f64,
}

/// A straight cut.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetCut {
    /// One end of the mark.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// How to set it, in words; may be empty.
    pub set: String,
}

/// What is left of a plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Rest {
    /// Its corners.
    pub outline: Vec<Point>,
    /// Holes in it.
    pub holes: Vec<Vec<Point>>,
    /// Large enough to go back.
    pub kept: bool,
    /// The largest rectangle in it: lower left corner, and extent.
    pub rectangle: (Point, Point),
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
    /// Squared off each raw end, mm.
    pub trim_mm: f64,
    /// Shortest remainder that goes back, mm.
    pub keep_mm: f64,
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
        bars.chain(self.sheets.iter().flat_map(|g| &g.uncut)).map(|u| u.count).sum()
    }

    /// Every piece of stock that is cut, bars first: id, price (1/10,000), whether it is bought.
    pub fn stock(&self) -> impl Iterator<Item = (&str, i64, bool)> {
        let bars = self.bars.iter().flat_map(|g| &g.plan.bars).map(|b| (b.id.as_str(), b.price, b.bought));
        bars.chain(self.sheets.iter().flat_map(|g| &g.sheets).map(|s| (s.id.as_str(), s.price, s.bought)))
    }

    /// Money for new stock, 1/10,000.
    pub fn money(&self) -> i64 {
        self.stock().map(|s| s.1).sum()
    }

    /// Whether every group's plan is proved.
    pub fn proved(&self) -> bool {
        self.bars.iter().all(|g| g.plan.proved) && self.sheets.iter().all(|g| g.proved)
    }
}
