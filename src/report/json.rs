//! The stable JSON of every command: lengths in mm with six decimals, keys
//! with their units.

use super::bin::entry_json;
use super::plan::{CutPlan, Demand, Sheet, SheetGroup, Substitute};
use super::saw::{chalk_numbers, saw_bars};
use crate::checks::Finding;
use crate::cut::{Nm, Stage, Turned, Uncut, UncutReason};
use crate::drawing::Stop;
use crate::expr::Value as FormulaValue;
use crate::flat::{FlatHole, FlatPattern};
use crate::geom::{Loop, Point, Turn};
use crate::piece::{BendTurn, Hand, HoleShape, Stock};
use crate::units::{Dim, System, show_size};
use serde_json::{Map, Value, json};

/// A number with six decimals at most, and never minus zero.
pub(super) fn num(v: f64) -> Value {
    let r = libm::round(v * 1e6) / 1e6;
    json!(if r == 0.0 { 0.0 } else { r })
}

fn point(p: Point) -> Value {
    json!([num(p.x), num(p.y)])
}

fn loop_json(l: &Loop) -> Value {
    let side = |s: &crate::geom::Side| match s.arc {
        None => json!({ "to": point(s.to) }),
        Some(a) => {
            let turn = if a.turn == Turn::Left { "left" } else { "right" };
            json!({ "to": point(s.to), "centre": point(a.centre), "turn": turn })
        }
    };
    Value::Array(l.sides.iter().map(side).collect())
}

fn stock_json(stock: &Stock) -> Value {
    json!({ "shape": stock.shape, "size": show_size(&stock.size) })
}

fn hole_json(h: &FlatHole) -> Value {
    let mut m = Map::new();
    m.insert("letter".into(), json!(h.letter));
    m.insert("name".into(), json!(h.name));
    m.insert("face".into(), json!(h.face));
    if let Some(flat) = &h.flat {
        m.insert("flat".into(), json!(flat));
    }
    let (word, sizes) = match h.shape {
        HoleShape::Round { diameter } => ("round", vec![("diameter_mm", diameter)]),
        HoleShape::Slot { length, width, lies } => {
            ("slot", vec![("length_mm", length), ("width_mm", width), ("angle_deg", lies.to_degrees())])
        }
        HoleShape::Ellipse { major, minor, lies } => {
            ("ellipse", vec![("major_mm", major), ("minor_mm", minor), ("angle_deg", lies.to_degrees())])
        }
        HoleShape::Rectangle { length, width, lies, .. } => {
            ("rectangle", vec![("length_mm", length), ("width_mm", width), ("angle_deg", lies.to_degrees())])
        }
    };
    m.insert("shape".into(), json!(word));
    m.insert("x_mm".into(), num(h.at.x));
    m.insert("y_mm".into(), num(h.at.y));
    for (k, v) in sizes {
        m.insert(k.into(), num(v));
    }
    if let HoleShape::Rectangle { corner_radius, .. } = h.shape {
        m.insert("corner_radius_mm".into(), num(corner_radius));
    }
    Value::Object(m)
}

fn flat_json(f: &FlatPattern) -> Value {
    let bends: Vec<Value> = f
        .bend_lines
        .iter()
        .map(|b| {
            json!({
                "from": point(b.from), "to": point(b.to), "angle_deg": num(b.angle.to_degrees()),
                "inside_radius_mm": num(b.inside_radius.to_mm()),
                "direction": if b.turn == BendTurn::Up { "up" } else { "down" },
                "tangents_mm": [num(b.tangent_left), num(b.tangent_right)], "k": num(b.k),
            })
        })
        .collect();
    let faces: Vec<Value> =
        f.faces.iter().map(|v| json!({ "face": v.word, "outline": loop_json(&v.outline) })).collect();
    let mut m = Map::new();
    let mut put = |k: &str, v: Value| {
        m.insert(k.to_string(), v);
    };
    put("part", json!(f.part));
    put("piece", json!(f.piece));
    put("copies", json!(f.copies));
    put("hand", json!(f.hand.map(|h| if h == Hand::Left { "left" } else { "right" })));
    put("form", json!(f.form));
    put("material", json!(f.stock.material));
    put("stock", stock_json(&f.stock));
    put("length_mm", num(f.length.to_mm()));
    put("width_mm", num(f.width.to_mm()));
    put("thickness_mm", num(f.thickness.to_mm()));
    put("outline", loop_json(&f.outline));
    put("cut_outs", Value::Array(f.cut_outs.iter().map(loop_json).collect()));
    put("bend_lines", Value::Array(bends));
    put("holes", Value::Array(f.holes.iter().map(hole_json).collect()));
    if !faces.is_empty() {
        put("faces", Value::Array(faces));
    }
    if let Some((left, right)) = f.ends_deg {
        put("left_end_deg", num(left));
        put("right_end_deg", num(right));
    }
    put("mass_kg", num(f.mass.to_kg()));
    put("hash", json!(f.hash));
    put("notes", json!(f.notes));
    Value::Object(m)
}

/// The usual cautions on one line.
fn cautions() -> String {
    super::text::CAUTIONS.replace('\n', " ")
}

/// `{ "pieces": [...] }` of `flat --json`.
pub fn flats_json(flats: &[FlatPattern]) -> Value {
    json!({ "pieces": flats.iter().map(flat_json).collect::<Vec<_>>(), "cautions": cautions() })
}

/// The findings of `check --json`.
pub fn findings_json(findings: &[Finding]) -> Value {
    let one = |f: &Finding| {
        json!({
            "code": f.code, "part": f.part, "verdict": f.verdict.word(),
            "value": f.value.map(num), "limit": f.limit.map(num), "unit": f.unit,
            "utilisation": f.utilisation.map(num), "says": f.says, "source": f.source, "mend": f.mend,
            "set_by": f.set_by.iter().map(|s| json!({ "file": s.file, "line": s.line, "says": s.says })).collect::<Vec<_>>(),
        })
    };
    Value::Array(findings.iter().map(one).collect())
}

/// Named values with their units.
pub fn values_json<'a>(values: impl Iterator<Item = (&'a String, &'a FormulaValue)>) -> Value {
    let mut m = Map::new();
    for (name, value) in values {
        let (v, unit) = match value {
            FormulaValue::Quantity(v, Dim::LENGTH) => (num(*v), "mm"),
            FormulaValue::Quantity(v, Dim::ANGLE) => (num(*v), "deg"),
            FormulaValue::Quantity(v, Dim::FORCE) => (num(*v), "N"),
            FormulaValue::Quantity(v, Dim::MASS) => (num(*v * 1000.0), "kg"),
            FormulaValue::Quantity(v, Dim::STRESS) => (num(*v), "MPa"),
            FormulaValue::Quantity(v, Dim::MOMENT) => (num(*v / 1000.0), "N m"),
            FormulaValue::Quantity(v, _) => (num(*v), ""),
            FormulaValue::YesNo(b) => (json!(b), ""),
            FormulaValue::Word(w) => (json!(w), ""),
        };
        m.insert(name.clone(), json!({ "value": v, "unit": unit }));
    }
    Value::Object(m)
}

fn mm(nm: Nm) -> Value {
    num(nm.to_mm())
}

fn money(price: i64) -> Value {
    num(price as f64 / 10_000.0)
}

/// Planner's units to the contract's: nm to mm, 1e-6 mm2 to mm2, money.
fn stage_json(s: &Stage, steel: f64) -> Value {
    let unit = match s.name {
        "money" | "net" => 1e-4,
        "items" | "settings" | "cuts" => 1.0,
        _ => steel,
    };
    json!({ "name": s.name, "value": num(s.value as f64 * unit), "bound": num(s.bound as f64 * unit), "proved": s.proved })
}

/// How a piece lies in the bar, in words; empty as it is drawn.
pub(super) fn turned(turned: Turned) -> &'static str {
    match turned {
        Turned::Not => "",
        Turned::Flat => "end for end",
        Turned::Over => "end for end, upside down",
        Turned::Roll => "half a turn about its length",
    }
}

/// Why a piece stays uncut, in words.
pub(super) fn why(reason: UncutReason) -> &'static str {
    match reason {
        UncutReason::TooLong => "longer than every bar or plate of this size",
        UncutReason::NoStockLeft => "no stock of this size is left",
        UncutReason::BadSize => "not a possible size",
        UncutReason::TooMany => "more pieces than one plan takes",
    }
}

fn uncut_json(uncut: &[Uncut], demands: &[Demand]) -> Value {
    let one = |u: &Uncut| {
        let d = &demands[u.demand];
        json!({
            "part": d.part, "piece": d.piece, "count": u.count, "length_mm": num(d.length_mm),
            "width_mm": if d.width_mm > 0.0 { num(d.width_mm) } else { Value::Null }, "why": why(u.reason),
        })
    };
    Value::Array(uncut.iter().map(one).collect())
}

/// The cut plan of `cut --json`.
pub fn plan_json(plan: &CutPlan) -> Value {
    let (numbers, _) = chalk_numbers(plan);
    let mut stop = None;
    let mut groups: Vec<Value> = plan.bars.iter().zip(&numbers).map(|(g, n)| bar_group_json(g, n, &mut stop)).collect();
    let mut sheets = vec![];
    for g in &plan.sheets {
        for s in &g.sheets {
            sheets.push(sheet_json(g, s));
        }
        groups.push(json!({
            "shape": g.stock.shape, "size": show_size(&g.stock.size), "material": g.stock.material,
            "proved": g.proved,
            "stages": g.stages.iter().map(|s| stage_json(s, 1e-6)).collect::<Vec<_>>(),
            "bars": [], "uncut": uncut_json(&g.uncut, &g.demands),
        }));
    }
    // What the plan takes from the rack, as it was then: a booking holds it against the bin.
    let bars = plan.bars.iter().flat_map(|g| g.plan.bars.iter().filter_map(|b| g.entries.get(b.stock)));
    let plates = plan.sheets.iter().flat_map(|g| g.sheets.iter().filter_map(|s| g.entries.get(s.stock)));
    let stock: Vec<Value> = bars.chain(plates).filter(|e| e.price.is_none()).map(entry_json).collect();
    let substitutes: Vec<Value> = plan.substitutes.iter().map(substitute_json).collect();
    json!({
        "job": plan.job, "bin_hash": plan.bin_hash, "groups": groups, "sheets": sheets,
        "saw": { "kerf_mm": num(plan.kerf_mm), "trim_mm": num(plan.trim_mm), "keep_mm": num(plan.keep_mm) },
        "stock": stock, "substitutes": substitutes, "notes": plan.notes, "cautions": cautions(),
    })
}

fn substitute_json(s: &Substitute) -> Value {
    let stock = |s: &Stock| json!({ "shape": s.shape, "size": show_size(&s.size), "material": s.material });
    json!({
        "part": s.part, "wanted": stock(&s.wanted), "taken": stock(&s.taken), "ripped": s.ripped, "why": s.why,
    })
}

fn bar_group_json(g: &super::plan::BarGroup, numbers: &[usize], stop: &mut Option<Nm>) -> Value {
    let listed = saw_bars(g, numbers, System::Metric, stop);
    let bars: Vec<Value> = g
        .plan
        .bars
        .iter()
        .zip(&listed)
        .map(|(b, bar)| {
            let cuts: Vec<Value> = b
                .cuts
                .iter()
                .zip(&bar.lines)
                .map(|(c, l)| {
                    let d = &g.demands[c.demand];
                    json!({
                        "part": d.part, "piece": d.piece, "copy": c.copy, "length_mm": num(d.length_mm),
                        "from_mm": mm(c.from), "to_mm": mm(c.to),
                        "left_end_deg": num(c.left.angle_deg), "right_end_deg": num(c.right.angle_deg),
                        "across": d.across, "hand": d.hand,
                        "turned": turned(c.turned), "shared_cut": c.shared,
                        "rip_to_mm": if d.rip_mm > 0.0 { num(d.rip_mm) } else { Value::Null }, "chalk": l.chalk,
                        "stop_mm": if l.stop == Stop::ByMark { Value::Null } else { num(d.length_mm) },
                        "left_then_mm": num(l.left_then.to_mm()),
                    })
                })
                .collect();
            let length = g.entries.get(b.stock).map_or(0.0, |e| e.length.to_mm());
            json!({
                "stock": b.id, "size": show_size(&g.stock.size), "bought": b.bought, "length_mm": num(length),
                "price": money(b.price), "cuts": cuts,
                "remainder_mm": num(b.remainder.to_mm() + if b.kept { b.far_trim.to_mm() } else { 0.0 }), "kept": b.kept,
                "doubt_mm": mm(b.doubt), "short_hold": b.short_hold,
            })
        })
        .collect();
    json!({
        "shape": g.stock.shape, "size": show_size(&g.stock.size), "material": g.stock.material,
        "proved": g.plan.proved,
        "stages": g.plan.stages.iter().map(|s| stage_json(s, if s.name == "uncut" { 1.0 } else { 1e-6 })).collect::<Vec<_>>(),
        "bars": bars, "uncut": uncut_json(&g.plan.uncut, &g.demands),
    })
}

fn corners_json(corners: &[Point]) -> Value {
    // As in a flat pattern, the first side starts where the last one ends.
    let order = corners.iter().skip(1).chain(corners.first());
    Value::Array(order.map(|c| json!({ "to": point(*c) })).collect())
}

fn sheet_json(g: &SheetGroup, s: &Sheet) -> Value {
    let loops = |all: &[Vec<Point>]| Value::Array(all.iter().map(|l| corners_json(l)).collect());
    let placements: Vec<Value> = s
        .placements
        .iter()
        .map(|p| {
            let d = &g.demands[p.demand];
            json!({
                "part": d.part, "piece": d.piece, "copy": p.copy, "x_mm": num(p.at.x), "y_mm": num(p.at.y),
                "turn_deg": num(p.turn_deg), "outline": corners_json(&p.outline), "holes": loops(&p.holes),
            })
        })
        .collect();
    let cuts: Vec<Value> =
        s.cuts.iter().map(|c| json!({ "from": point(c.from), "to": point(c.to), "set": c.set })).collect();
    let leftovers: Vec<Value> = s
        .leftovers
        .iter()
        .map(|l| {
            let (low, size) = l.rectangle;
            json!({
                "outline": corners_json(&l.outline), "holes": loops(&l.holes), "kept": l.kept,
                "rectangle": { "at": point(low), "length_mm": num(size.x), "width_mm": num(size.y) },
            })
        })
        .collect();
    let waste = g.stages.iter().find(|s| s.name == "waste").map_or(0, |s| s.bound);
    json!({
        "stock": s.id, "size": show_size(&g.stock.size), "material": g.stock.material, "bought": s.bought, "price": money(s.price),
        "cut": if g.free { "free" } else { "straight" },
        "outline": corners_json(&s.outline), "holes": loops(&s.holes),
        "proved": g.proved, "bound": num(waste as f64 * 1e-6),
        "placements": placements, "cuts": cuts, "leftovers": leftovers,
    })
}
