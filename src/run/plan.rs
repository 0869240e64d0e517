//! From flat patterns and the bin to the cut plan.

use super::barred::is_barred;
use super::load::Loaded;
use super::sheets::{Shape, sheet_group};
use super::work::Worked;
use crate::cut::{BarDemand, BarPlan, BarRules, BarStock, BarUse, Effort, EndCut, Mitre, Nm, Turns, plan_bars};
use crate::flat::FlatPattern;
use crate::piece::{Face, Form, Hand, Piece, Profile, Section, Stock};
use crate::report::{BarGroup, CutPlan, Demand, SheetGroup};
use crate::stock::BinEntry;
use crate::units::{Length, same_size, show_size};
use rayon::prelude::*;
use std::collections::BTreeMap;

pub(super) fn nm(l: Length) -> Nm {
    Nm::from_mm_snapped(l.to_mm())
}

pub(super) fn same_stock(a: &Stock, b: &Stock) -> bool {
    a.shape == b.shape && a.material == b.material && same_size(&a.size, &b.size)
}

/// A demand, and what only the planner needs to know of it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Wish {
    pub(super) demand: Demand,
    /// What its mitres run across.
    pub(super) mitre: Mitre,
    /// Its outline, if it is cut from plate.
    pub(super) shape: Shape,
}

/// Pieces that are ripped out of other stock: `part/piece` and that stock.
pub(super) type Rips = BTreeMap<String, Stock>;

/// Plan all cuts of a job: one group for all demands that share stock. The
/// groups are planned side by side; each keeps its own count of steps.
pub fn plan_cuts(loaded: &Loaded, worked: &Worked, effort: Effort) -> CutPlan {
    Planner { loaded, effort, known: vec![] }.plan(worked, &Rips::new())
}

/// Plans, and remembers the groups that it has planned.
pub(super) struct Planner<'a> {
    pub(super) loaded: &'a Loaded,
    pub(super) effort: Effort,
    pub(super) known: Vec<(Stock, Vec<Wish>, Group)>,
}

impl Planner<'_> {
    /// Plan the cuts of what was worked out.
    pub(super) fn plan(&mut self, worked: &Worked, rips: &Rips) -> CutPlan {
        let (loaded, effort) = (self.loaded, self.effort);
        let mut groups: Vec<(Stock, Vec<Wish>)> = vec![];
        let mut wide: Vec<String> = vec![];
        for (piece, flat) in worked.pieces.iter().zip(&worked.flats) {
            let mut demand = demand_of(piece, flat);
            let rip = rips.get(&piece.key());
            demand.rip_mm = rip.and_then(|_| piece.stock.size.first()).map_or(0.0, |w| w.to_mm());
            let plate = from_plate(loaded, piece);
            let stock = rip.or(plate.as_ref()).unwrap_or(&piece.stock);
            let shape = if stock.shape == "plate" { Shape::of(flat, grain(loaded, piece)) } else { Shape::default() };
            if let Some(plate) = &plate {
                demand.width_mm = flat.width.to_mm();
                let (bar, thick) = (show_size(&piece.stock.size), show_size(&plate.size));
                wide.push(format!("{}: cut from plate {thick}, for the bin has no flat bar {bar}", piece.part));
            }
            let wish = Wish { demand, mitre: mitre_of(piece), shape };
            match groups.iter_mut().find(|g| same_stock(&g.0, stock)) {
                Some(g) => g.1.push(wish),
                None => groups.push((stock.clone(), vec![wish])),
            }
        }
        let planned: Vec<(Stock, Vec<Wish>, Group)> = groups
            .into_par_iter()
            .map(|(stock, wishes)| {
                let known = self.known.iter().find(|k| same_stock(&k.0, &stock) && k.1 == wishes);
                let plan =
                    known.map_or_else(|| group(loaded, worked, stock.clone(), wishes.clone(), effort), |k| k.2.clone());
                (stock, wishes, plan)
            })
            .collect();
        let mut plan = CutPlan {
            job: loaded.job.name.clone(),
            bin_hash: loaded.bin_hash.clone(),
            kerf_mm: loaded.bin.saw.kerf.to_mm(),
            trim_mm: loaded.bin.saw.trim.to_mm(),
            keep_mm: loaded.bin.saw.keep.to_mm(),
            notes: wide.into_iter().chain(super::barred::notes(loaded, worked)).collect(),
            ..CutPlan::default()
        };
        for (stock, wishes, group) in planned {
            match &group {
                Group::Bars(g) => plan.bars.push(g.clone()),
                Group::Sheets(g) => {
                    plan.notes.extend(g.notes.iter().cloned());
                    plan.sheets.push(g.clone());
                }
            }
            if !self.known.iter().any(|k| same_stock(&k.0, &stock) && k.1 == wishes) {
                self.known.push((stock, wishes, group));
            }
        }
        // The saw is swung once for all sizes that need it.
        let square = |d: &Demand| d.left_deg == 90.0 && d.right_deg == 90.0;
        plan.bars.sort_by_key(|g| !g.demands.iter().all(square));
        plan
    }
}

/// The plan of one group.
#[derive(Clone)]
pub(super) enum Group {
    Bars(BarGroup),
    Sheets(SheetGroup),
}

fn group(loaded: &Loaded, worked: &Worked, stock: Stock, wishes: Vec<Wish>, effort: Effort) -> Group {
    let parts: Vec<&str> = wishes.iter().map(|w| w.demand.part.as_str()).collect();
    let own = loaded.bin.entries.iter().filter(|e| same_stock(&e.stock, &stock));
    let entries: Vec<BinEntry> = own.filter(|e| !is_barred(loaded, worked, e, &parts)).cloned().collect();
    if stock.shape == "plate" {
        Group::Sheets(sheet_group(loaded, stock, wishes, entries, effort))
    } else {
        Group::Bars(bar_group(loaded, stock, wishes, entries, effort))
    }
}

/// Plate for a flat bar that is nowhere to be had so wide: where the bin has no
/// bar of this size, but plate of its thickness.
fn from_plate(loaded: &Loaded, piece: &Piece) -> Option<Stock> {
    let [_, thick] = piece.stock.size[..] else { return None };
    let flat = piece.stock.shape == "flat bar" && !matches!(&piece.form, Form::Section(s) if !s.holes.is_empty());
    let square = flat_ends_are_square(piece);
    if !flat || !square || loaded.bin.entries.iter().any(|e| same_stock(&e.stock, &piece.stock)) {
        return None;
    }
    let plate = Stock { shape: "plate".into(), size: vec![thick], material: piece.stock.material.clone() };
    loaded.bin.entries.iter().any(|e| same_stock(&e.stock, &plate)).then_some(plate)
}

/// A mitred bar has no rectangle for a blank.
fn flat_ends_are_square(piece: &Piece) -> bool {
    match &piece.form {
        Form::Section(s) => s.left.is_square() && s.right.is_square(),
        _ => true,
    }
}

/// Whether the rolling direction has to run along a piece: where the job or the
/// template says so, and for what is bent, so that no bend lies along it.
fn grain(loaded: &Loaded, piece: &Piece) -> bool {
    if matches!(piece.form, Form::Strip(_)) {
        return true;
    }
    if let Some(blank) = loaded.job.blanks.iter().find(|b| b.name == piece.part) {
        return blank.grain;
    }
    let template = loaded.template_of(&piece.part);
    let plate = template.and_then(|t| t.piece(&piece.name).obj("plate"));
    plate.and_then(|p| p.word("grain")) == Some("along")
}

/// The face that a piece's mitres run across, and the turns that leave its
/// section as it was.
fn mitre_of(piece: &Piece) -> Mitre {
    let Form::Section(s) = &piece.form else { return Mitre::default() };
    let mitred: Vec<Face> = [s.left, s.right].iter().filter(|e| !e.is_square()).map(|e| e.across).collect();
    let Some(&face) = mitred.first() else { return Mitre::default() };
    // Two ends across different faces: no cut plane is like another's.
    if mitred.iter().any(|f| *f != face) {
        return Mitre { face: u8::MAX, ..Mitre::default() };
    }
    let number = match face {
        Face::Top => 0,
        Face::Front => 1,
        Face::Back => 2,
        Face::Bottom => 3,
    };
    Mitre { face: number, depth: nm(s.profile.face_width(face).unwrap_or(Length::ZERO)), turns: turns(s, face) }
}

/// Symmetry of the section as seen on a face.
fn turns(section: &Section, face: Face) -> Turns {
    let across_web = matches!(face, Face::Top | Face::Bottom);
    match section.profile {
        Profile::Angle { .. } => Turns::default(),
        Profile::Channel { .. } => Turns { flat: across_web, over: !across_web, roll: false },
        Profile::FlatBar { .. } | Profile::RoundBar { .. } | Profile::RoundTube { .. } | Profile::BoxTube { .. } => {
            Turns { flat: true, over: true, roll: true }
        }
    }
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
        rip_mm: 0.0,
    }
}

/// Offcuts of plates and bars have a count of one; what is bought has none.
fn count(e: &BinEntry) -> Option<u32> {
    if e.price.is_some() { None } else { Some(1) }
}

fn bar_group(loaded: &Loaded, stock: Stock, wishes: Vec<Wish>, entries: Vec<BinEntry>, effort: Effort) -> BarGroup {
    let saw = loaded.bin.saw;
    let wanted: Vec<BarDemand> = wishes
        .iter()
        .map(|Wish { demand: d, mitre, .. }| BarDemand {
            key: d.key(),
            length: Nm::from_mm_snapped(d.length_mm),
            count: d.count,
            left: EndCut { angle_deg: d.left_deg },
            right: EndCut { angle_deg: d.right_deg },
            mitre: *mitre,
        })
        .collect();
    let mut bars: Vec<BarStock> = vec![];
    // Where each bar of the planner lies: its entry, and how far along it.
    let mut places: Vec<(usize, Nm)> = vec![];
    for (e, entry) in entries.iter().enumerate() {
        for (bar, along) in sound_spans(entry) {
            bars.push(bar);
            places.push((e, along));
        }
    }
    let rules = BarRules { kerf: nm(saw.kerf), trim: nm(saw.trim), keep: nm(saw.keep), value: saw.value_of_offcuts };
    let mut plan = plan_bars(&wanted, &bars, &rules, effort);
    put_together(&mut plan, &places);
    let demands = wishes.into_iter().map(|w| w.demand).collect();
    BarGroup { stock, demands, entries, plan }
}

/// The sound spans of a bar, each as a bar of its own, and where each begins.
fn sound_spans(entry: &BinEntry) -> Vec<(BarStock, Nm)> {
    let mut borders = vec![Length::ZERO];
    borders.extend(entry.unusable.iter().flat_map(|s| [s.0, s.1]));
    borders.push(entry.length);
    let last = borders.len() / 2 - 1;
    let spans = borders.chunks(2).enumerate().filter(|(_, s)| s[1] > s[0]);
    spans
        .map(|(i, s)| {
            let bar = BarStock {
                id: entry.id.clone(),
                length: Nm(nm(s[1]).0 - nm(s[0]).0),
                price: entry.price.unwrap_or(0),
                count: count(entry),
                left_raw: i == 0,
                right_raw: i == last,
                doubt: if i == last { nm(entry.doubt) } else { Nm::ZERO },
                left_lost: if i == 0 { nm(entry.slant(entry.ends_deg.0)) } else { Nm::ZERO },
                right_lost: if i == last { nm(entry.slant(entry.ends_deg.1)) } else { Nm::ZERO },
            };
            (bar, nm(s[0]))
        })
        .collect()
}

/// Spans of one bar become one bar again, with marks from its own end. What is
/// told to go back is the longest sound remainder; in the aim for few items
/// each sound span counts as one.
fn put_together(plan: &mut BarPlan, places: &[(usize, Nm)]) {
    let mut whole: Vec<BarUse> = vec![];
    for mut part in plan.bars.drain(..) {
        let (entry, along) = places[part.stock];
        for cut in &mut part.cuts {
            cut.from.0 += along.0;
            cut.to.0 += along.0;
        }
        part.stock = entry;
        match whole.iter_mut().find(|b| b.stock == entry && !b.bought) {
            Some(bar) => {
                bar.cuts.append(&mut part.cuts);
                bar.cuts.sort_by_key(|c| c.from);
                if part.remainder > bar.remainder {
                    (bar.remainder, bar.far_trim, bar.doubt) = (part.remainder, part.far_trim, part.doubt);
                }
                bar.kept |= part.kept;
                bar.waste.0 += part.waste.0;
                bar.short_hold |= part.short_hold;
            }
            None => whole.push(part),
        }
    }
    plan.bars = whole;
}
