//! From flat patterns and plates in the bin to a plate plan.

use super::load::Loaded;
use super::plan::{Wish, nm};
use crate::cut::{
    BlankDemand, Datum, Effort, Nm, OutlineFault, PlateCut, PlateRules, PlateStock, Rect, ShapeDemand, ShapeOwner,
    ShapeRect, ShapeRules, ShapeSheet, ShapeStock, Turning, outline_fault, plan_plates, plan_shapes,
};
use crate::flat::FlatPattern;
use crate::geom::{Bounds, Loop, Point};
use crate::piece::Stock;
use crate::report::{Placed, Rest, Sheet, SheetCut, SheetGroup};
use crate::stock::{BinEntry, Saw};
use crate::units::{Length, show_length};

/// Arcs become chords that keep to them within this, mm: far below what a
/// torch or a jigsaw can follow.
const CHORD_MM: f64 = 0.05;
/// Openings narrower than this hold no other part and are not looked into, mm.
const SMALL_OPENING_MM: f64 = 12.0;

/// The outline of a piece as it is cut from plate.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Shape {
    /// Corners, arcs as chords outside of them.
    pub outline: Vec<Point>,
    /// Openings large enough for another piece, arcs as chords inside of them.
    pub openings: Vec<Vec<Point>>,
    /// The rolling direction has to run along the piece.
    pub grain: bool,
}

impl Shape {
    pub(super) fn of(flat: &FlatPattern, grain: bool) -> Shape {
        let holes = flat.holes.iter().filter_map(|h| h.shape.outline(h.at));
        let large = |l: &Loop| l.bounds().is_some_and(|b| b.width().min(b.height()) >= SMALL_OPENING_MM);
        Shape {
            outline: flat.outline.chords_around(CHORD_MM),
            openings: flat
                .cut_outs
                .iter()
                .cloned()
                .chain(holes)
                .filter(large)
                .map(|l| l.chords_within(CHORD_MM))
                .collect(),
            grain,
        }
    }
}

/// Whether plate of this thickness is cut round any shape.
fn is_free(saw: Saw, stock: &Stock) -> bool {
    let thick = stock.size.first().copied().unwrap_or_default();
    saw.free && saw.free_up_to.is_none_or(|most| thick <= most)
}

/// The plan of one thickness: rectangles along straight lines, or true outlines.
pub(super) fn sheet_group(
    loaded: &Loaded,
    stock: Stock,
    wishes: Vec<Wish>,
    entries: Vec<BinEntry>,
    effort: Effort,
) -> SheetGroup {
    let saw = loaded.bin.saw;
    let free = is_free(saw, &stock);
    let mut group = SheetGroup {
        stock,
        free,
        demands: wishes.iter().map(|w| w.demand.clone()).collect(),
        entries,
        stages: vec![],
        proved: false,
        sheets: vec![],
        uncut: vec![],
        notes: vec![],
    };
    if free {
        by_shape(&mut group, &wishes, saw, effort);
    } else {
        by_straight_cuts(&mut group, loaded, &wishes, effort);
    }
    group
}

fn by_straight_cuts(group: &mut SheetGroup, loaded: &Loaded, wishes: &[Wish], effort: Effort) {
    let saw = loaded.bin.saw;
    let wanted: Vec<BlankDemand> = wishes
        .iter()
        .map(|w| BlankDemand {
            key: w.demand.key(),
            length: Nm::from_mm_snapped(w.demand.length_mm),
            width: Nm::from_mm_snapped(w.demand.width_mm),
            count: w.demand.count,
            may_turn: !w.shape.grain,
        })
        .collect();
    let plates: Vec<PlateStock> = group
        .entries
        .iter()
        .map(|e| PlateStock {
            id: e.id.clone(),
            outline: corners(&corners_of(e)),
            holes: e.holes.iter().map(|h| corners(h)).collect(),
            price: e.price.unwrap_or(0),
            count: if e.price.is_some() { None } else { Some(1) },
            // The bin gives the sound part of a plate: nothing is trimmed off.
            raw: false,
        })
        .collect();
    let (keep_short, keep_long) = (nm(saw.keep_plate.0), nm(saw.keep_plate.1));
    let rules = PlateRules { kerf: nm(saw.kerf), trim: nm(saw.trim), keep_short, keep_long };
    for (plate, entry) in plates.iter().zip(&group.entries) {
        group.notes.extend(outline_fault(plate, &rules).map(|f| left_aside(entry, f)));
    }
    let plan = plan_plates(&wanted, &plates, &rules, effort);
    let rectangle = |r: Rect| (point((r.x, r.y)), Point::new(r.length.to_mm(), r.width.to_mm()));
    let sheets = plan.sheets.into_iter().map(|s| {
        let entry = &group.entries[s.stock];
        let placements = s.placements.into_iter().map(|p| {
            let (at, size) = rectangle(p.rect);
            let turn_deg = if p.turned { 90.0 } else { 0.0 };
            Placed { demand: p.demand, copy: p.copy, outline: box_corners(at, size), holes: vec![], at, size, turn_deg }
        });
        let leftovers = s.leftovers.into_iter().map(|l| Rest {
            outline: points(&l.outline),
            holes: l.holes.iter().map(|h| points(h)).collect(),
            kept: l.kept,
            rectangle: l.useful.map(rectangle).unwrap_or_default(),
        });
        Sheet {
            stock: s.stock,
            id: s.id,
            bought: s.bought,
            price: s.price,
            outline: corners_of(entry),
            holes: entry.holes.clone(),
            placements: placements.collect(),
            cuts: s.cuts.iter().map(|c| cut_words(c, loaded)).collect(),
            leftovers: leftovers.collect(),
        }
    });
    (group.sheets, group.stages, group.proved, group.uncut) = (sheets.collect(), plan.stages, plan.proved, plan.uncut);
}

/// How a straight cut is marked.
fn cut_words(c: &PlateCut, loaded: &Loaded) -> SheetCut {
    let show = |n: Nm| show_length(Length::mm(n.to_mm()), loaded.job.units);
    let edge = match c.datum {
        Datum::Left => "left",
        Datum::Right => "right",
        Datum::Lower => "lower",
        Datum::Upper => "upper",
    };
    let set = if c.distance < Nm::ZERO {
        format!("skim the {edge} edge of the piece in hand, {} x {}", show(c.hand.length), show(c.hand.width))
    } else {
        format!(
            "{} from the {edge} edge of the piece in hand, {} x {}",
            show(c.distance),
            show(c.hand.length),
            show(c.hand.width)
        )
    };
    SheetCut { from: point(c.from), to: point(c.to), set }
}

fn by_shape(group: &mut SheetGroup, wishes: &[Wish], saw: Saw, effort: Effort) {
    let wanted: Vec<ShapeDemand> = wishes
        .iter()
        .map(|w| ShapeDemand {
            key: w.demand.key(),
            outline: corners(&w.shape.outline),
            holes: w.shape.openings.iter().map(|h| corners(h)).collect(),
            count: w.demand.count,
            turns: if w.shape.grain { Turning::Grain } else { Turning::Free },
        })
        .collect();
    let plates: Vec<ShapeStock> = group
        .entries
        .iter()
        .map(|e| ShapeStock {
            id: e.id.clone(),
            outline: corners(&corners_of(e)),
            holes: e.holes.iter().map(|h| corners(h)).collect(),
            price: e.price.unwrap_or(0),
            count: if e.price.is_some() { None } else { Some(1) },
        })
        .collect();
    let (keep_short, keep_long) = (nm(saw.keep_plate.0), nm(saw.keep_plate.1));
    let rules = ShapeRules { gap: nm(saw.gap), edge: nm(saw.gap), keep_short, keep_long };
    let plan = plan_shapes(&wanted, &plates, &rules, effort.for_shapes());
    group.sheets = plan.sheets.iter().map(|s| shape_sheet(s, &group.entries[s.stock])).collect();
    for f in plan.faults.iter().filter(|f| f.fault != OutlineFault::NoTurn) {
        if let ShapeOwner::Stock(i) = f.whose {
            group.notes.push(left_aside(&group.entries[i], f.fault));
        }
    }
    group.stages = plan.stages;
    (group.proved, group.uncut) = (plan.proved, plan.uncut);
}

/// A plate that nothing can be cut from, in words.
fn left_aside(entry: &BinEntry, fault: OutlineFault) -> String {
    format!("{} is left aside: {}", entry.id, fault.words())
}

fn shape_sheet(s: &ShapeSheet, entry: &BinEntry) -> Sheet {
    let placements = s.placements.iter().map(|p| {
        let outline = points(&p.outline);
        let zero = Bounds { low: Point::default(), high: Point::default() };
        let around = Bounds::of(outline.iter().copied()).unwrap_or(zero);
        Placed {
            demand: p.demand,
            copy: p.copy,
            at: around.low,
            size: around.high - around.low,
            outline,
            holes: p.holes.iter().map(|h| points(h)).collect(),
            turn_deg: f64::from(p.turn) / 60.0,
        }
    });
    let rectangle = |r: ShapeRect| (point((r.x, r.y)), Point::new(r.length.to_mm(), r.width.to_mm()));
    let leftovers = s.leftovers.iter().map(|l| Rest {
        outline: points(&l.outline),
        holes: l.holes.iter().map(|h| points(h)).collect(),
        kept: l.kept,
        rectangle: l.rect.map(rectangle).unwrap_or_default(),
    });
    Sheet {
        stock: s.stock,
        id: s.id.clone(),
        bought: s.bought,
        price: s.price,
        outline: corners_of(entry),
        holes: entry.holes.clone(),
        placements: placements.collect(),
        cuts: vec![],
        leftovers: leftovers.collect(),
    }
}

fn corners(points: &[Point]) -> Vec<(Nm, Nm)> {
    points.iter().map(|p| (Nm::from_mm_snapped(p.x), Nm::from_mm_snapped(p.y))).collect()
}

fn points(corners: &[(Nm, Nm)]) -> Vec<Point> {
    corners.iter().copied().map(point).collect()
}

fn point(p: (Nm, Nm)) -> Point {
    Point::new(p.0.to_mm(), p.1.to_mm())
}

fn box_corners(low: Point, size: Point) -> Vec<Point> {
    vec![low, Point::new(low.x + size.x, low.y), low + size, Point::new(low.x, low.y + size.y)]
}

/// The corners of a plate in the bin.
fn corners_of(entry: &BinEntry) -> Vec<Point> {
    if entry.outline.is_empty() {
        let size = Point::new(entry.length.to_mm(), entry.width.unwrap_or(Length::ZERO).to_mm());
        return box_corners(Point::default(), size);
    }
    entry.outline.clone()
}
