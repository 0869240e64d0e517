//! The plan as `make` wrote it beside the paper: what was cut is what was printed.

use super::bare;
use crate::run::Trouble;
use crate::source::{Disk, Files, hash};
use serde::Deserialize;
use serde_json::Value;
use std::path::Path;

/// The parts of `job.json` that a booking needs. Lengths in mm with six
/// decimals, which are whole nanometres.
#[derive(Debug, Deserialize)]
struct WholeFile {
    job: String,
    cut_plan: Value,
}

#[derive(Debug, Deserialize)]
struct PlanText {
    groups: Vec<Group>,
    sheets: Vec<Sheet>,
    stock: Vec<Value>,
    saw: SawText,
}

#[derive(Clone, Copy, Debug, Deserialize)]
struct SawText {
    kerf_mm: f64,
    trim_mm: f64,
    keep_mm: f64,
}

#[derive(Debug, Deserialize)]
struct Group {
    shape: String,
    size: String,
    material: String,
    bars: Vec<BarText>,
}

#[derive(Debug, Deserialize)]
struct BarText {
    stock: String,
    bought: bool,
    length_mm: f64,
    price: f64,
    cuts: Vec<CutText>,
    remainder_mm: f64,
    kept: bool,
}

#[derive(Debug, Deserialize)]
struct CutText {
    part: String,
    from_mm: f64,
    to_mm: f64,
    left_end_deg: f64,
    right_end_deg: f64,
}

/// One plate of the plan.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct Sheet {
    pub stock: String,
    pub size: String,
    pub material: String,
    pub bought: bool,
    pub price: f64,
    pub placements: Vec<PlacedText>,
    pub leftovers: Vec<RestText>,
}

/// A piece on a plate.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct PlacedText {
    pub part: String,
}

/// What is left of a plate.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct RestText {
    outline: Vec<Corner>,
    holes: Vec<Vec<Corner>>,
    pub kept: bool,
}

#[derive(Clone, Debug, Deserialize)]
struct Corner {
    to: [f64; 2],
}

impl RestText {
    /// Corners and those of its holes, mm.
    pub fn corners(&self) -> (Vec<[f64; 2]>, Vec<Vec<[f64; 2]>>) {
        let of = |all: &[Corner]| all.iter().map(|c| c.to).collect::<Vec<_>>();
        (of(&self.outline), self.holes.iter().map(|h| of(h)).collect())
    }
}

/// A cut of the plan, nm along the bar.
#[derive(Clone, Debug)]
pub(super) struct PlanCut {
    pub part: String,
    pub from: i64,
    pub to: i64,
    pub left_deg: f64,
    pub right_deg: f64,
}

/// A bar of the plan.
#[derive(Clone, Debug)]
pub(super) struct PlanBar {
    pub stock: String,
    pub shape: String,
    pub size: String,
    pub material: String,
    pub bought: bool,
    pub price: f64,
    pub length: i64,
    pub cuts: Vec<PlanCut>,
    /// What goes back from the far end.
    pub back: Option<i64>,
}

/// The plan.
#[derive(Debug)]
pub(super) struct Plan {
    pub job: String,
    /// Mark of the plan: the same plan is not booked twice.
    pub mark: String,
    pub bars: Vec<PlanBar>,
    pub sheets: Vec<Sheet>,
    /// What it takes from the rack, as it was then.
    pub stock: Vec<Value>,
    pub kerf: i64,
    pub trim: i64,
    pub keep: i64,
}

/// Millimetres with six decimals as whole nanometres.
pub(super) fn nm(mm: f64) -> i64 {
    libm::round(mm * 1e6) as i64
}

/// Largest plan that is read, bytes.
const LARGEST: usize = 200_000_000;

/// Read the plan from `job.json` in the output folder.
pub(super) fn read_plan(path: &Path) -> Result<Plan, Trouble> {
    let name = path.display();
    let help = "make the plan first: droprack make JOB; with another output folder, name it with --out";
    let text = Disk.read(path).map_err(|e| bare("bin-plan", format!("cannot read {name}: {e}"), help))?;
    if text.len() > LARGEST {
        return Err(bare("bin-plan", format!("{name} has {} bytes; {LARGEST} at most", text.len()), help));
    }
    let not_one =
        |e: serde_json::Error| bare("bin-plan", format!("{name} is not what droprack make writes: {e}"), help);
    let file: WholeFile = serde_json::from_str(&text).map_err(not_one)?;
    let mark = hash(&[&file.cut_plan.to_string()]);
    let plan: PlanText = serde_json::from_value(file.cut_plan).map_err(not_one)?;
    let mut bars = vec![];
    for g in plan.groups {
        for b in g.bars {
            let cut = |c: CutText| PlanCut {
                part: c.part,
                from: nm(c.from_mm),
                to: nm(c.to_mm),
                left_deg: c.left_end_deg,
                right_deg: c.right_end_deg,
            };
            bars.push(PlanBar {
                stock: b.stock,
                shape: g.shape.clone(),
                size: g.size.clone(),
                material: g.material.clone(),
                bought: b.bought,
                price: b.price,
                length: nm(b.length_mm),
                cuts: b.cuts.into_iter().map(cut).collect(),
                back: b.kept.then(|| nm(b.remainder_mm)),
            });
        }
    }
    let plan = Plan {
        job: file.job,
        mark,
        bars,
        sheets: plan.sheets,
        stock: plan.stock,
        kerf: nm(plan.saw.kerf_mm),
        trim: nm(plan.saw.trim_mm),
        keep: nm(plan.saw.keep_mm),
    };
    sound(&plan).map_err(|what| bare("bin-plan", format!("{name}: {what}"), help))?;
    Ok(plan)
}

/// A file that was written by hand or cut short is not booked.
fn sound(plan: &Plan) -> Result<(), String> {
    for (i, bar) in plan.bars.iter().enumerate() {
        let inside = bar.cuts.iter().all(|c| 0 <= c.from && c.from < c.to && c.to <= bar.length);
        let rising = bar.cuts.windows(2).all(|w| w[0].from <= w[1].from);
        if !inside || !rising || bar.length > 1_000_000_000_000 {
            return Err(format!("the cuts of bar {} ({}) do not lie on it in order", i + 1, bar.stock));
        }
    }
    Ok(())
}
