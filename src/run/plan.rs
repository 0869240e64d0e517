//! From flat patterns and the bin to the cut plan.

use super::load::Loaded;
use super::work::Worked;
use crate::cut::{
    BarDemand, BarRules, BarStock, BlankDemand, Effort, EndCut, Nm, PlateRules, PlateStock, plan_bars, plan_plates,
};
use crate::flat::FlatPattern;
use crate::piece::{Form, Hand, Piece, Stock};
use crate::report::{BarGroup, CutPlan, Demand, SheetGroup};
use crate::stock::BinEntry;
use crate::units::{Length, same_size};

fn nm(l: Length) -> Nm {
    Nm::from_mm_snapped(l.to_mm())
}

fn same_stock(a: &Stock, b: &Stock) -> bool {
    a.shape == b.shape && a.material == b.material && same_size(&a.size, &b.size)
}

/// Plan all cuts of a job: one group for all demands that share stock.
pub fn plan_cuts(loaded: &Loaded, worked: &Worked) -> CutPlan {
    let mut groups: Vec<(Stock, Vec<Demand>)> = vec![];
    for (piece, flat) in worked.pieces.iter().zip(&worked.flats) {
        let demand = demand_of(piece, flat);
        match groups.iter_mut().find(|g| same_stock(&g.0, &piece.stock)) {
            Some(g) => g.1.push(demand),
            None => groups.push((piece.stock.clone(), vec![demand])),
        }
    }
    let mut plan = CutPlan {
        job: loaded.job.name.clone(),
        bin_hash: loaded.bin_hash.clone(),
        kerf_mm: loaded.bin.saw.kerf.to_mm(),
        ..CutPlan::default()
    };
    for (stock, demands) in groups {
        let entries: Vec<BinEntry> =
            loaded.bin.entries.iter().filter(|e| same_stock(&e.stock, &stock)).cloned().collect();
        if stock.shape == "plate" {
            plan.sheets.push(sheet_group(loaded, stock, demands, entries));
        } else {
            plan.bars.push(bar_group(loaded, stock, demands, entries));
        }
    }
    plan
}

fn demand_of(piece: &Piece, flat: &FlatPattern) -> Demand {
    let (left_deg, right_deg) = flat.ends_deg.unwrap_or((90.0, 90.0));
    let across = match &piece.form {
        Form::Section(s) if !(s.left.is_square() && s.right.is_square()) => {
            let face = if s.left.is_square() { s.right.across } else { s.left.across };
            s.profile.faces().into_iter().find(|f| f.0 == face).map_or("", |f| f.1)
        }
        _ => "",
    };
    Demand {
        part: flat.part.clone(),
        piece: flat.piece.clone(),
        hand: match flat.hand {
            Some(Hand::Left) => "LEFT",
            Some(Hand::Right) => "RIGHT",
            None => "",
        },
        count: flat.copies,
        length_mm: flat.length.to_mm(),
        width_mm: if piece.stock.shape == "plate" { flat.width.to_mm() } else { 0.0 },
        left_deg,
        right_deg,
        across: across.to_string(),
    }
}

fn key(d: &Demand) -> String {
    format!("{}/{}", d.part, d.piece)
}

/// Offcuts of plates and bars have a count of one; what is bought has none.
fn count(e: &BinEntry) -> Option<u32> {
    if e.price.is_some() { None } else { Some(1) }
}

fn bar_group(loaded: &Loaded, stock: Stock, demands: Vec<Demand>, entries: Vec<BinEntry>) -> BarGroup {
    let saw = loaded.bin.saw;
    let wanted: Vec<BarDemand> = demands
        .iter()
        .map(|d| BarDemand {
            key: key(d),
            length: Nm::from_mm_snapped(d.length_mm),
            count: d.count,
            left: EndCut { angle_deg: d.left_deg },
            right: EndCut { angle_deg: d.right_deg },
        })
        .collect();
    let bars: Vec<BarStock> = entries
        .iter()
        .map(|e| BarStock {
            id: e.id.clone(),
            length: nm(e.length),
            price: e.price.unwrap_or(0),
            count: count(e),
            left_raw: true,
            right_raw: true,
        })
        .collect();
    let rules = BarRules { kerf: nm(saw.kerf), trim: nm(saw.trim), keep: nm(saw.keep) };
    let plan = plan_bars(&wanted, &bars, &rules, Effort::USUAL);
    BarGroup { stock, demands, entries, plan }
}

fn sheet_group(loaded: &Loaded, stock: Stock, demands: Vec<Demand>, entries: Vec<BinEntry>) -> SheetGroup {
    let saw = loaded.bin.saw;
    let wanted: Vec<BlankDemand> = demands
        .iter()
        .map(|d| BlankDemand {
            key: key(d),
            length: Nm::from_mm_snapped(d.length_mm),
            width: Nm::from_mm_snapped(d.width_mm),
            count: d.count,
            may_turn: true,
        })
        .collect();
    let plates: Vec<PlateStock> = entries
        .iter()
        .map(|e| PlateStock {
            id: e.id.clone(),
            length: nm(e.length),
            width: nm(e.width.unwrap_or(Length::ZERO)),
            price: e.price.unwrap_or(0),
            count: count(e),
            // The bin gives the sound rectangle of a plate: nothing is trimmed off.
            raw: false,
        })
        .collect();
    let rules = PlateRules {
        kerf: nm(saw.kerf),
        trim: nm(saw.trim),
        keep_short: nm(saw.keep_plate.0),
        keep_long: nm(saw.keep_plate.1),
    };
    let plan = plan_plates(&wanted, &plates, &rules, Effort::USUAL);
    SheetGroup { stock, demands, entries, plan }
}
