//! What `droprack bin` prints: tables, sums, bookings, as words and as JSON.

use crate::report::{CAUTIONS, Table};
use crate::run::bin as ledger;
use crate::run::bin::{Booked, Listed};
use crate::units::{Length, Mass, System, show_length, show_mass, show_size};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::Path;

fn size_of(l: &Listed, system: System) -> String {
    let wide = l.entry.width.map(|w| format!(" x {}", show_length(w, system))).unwrap_or_default();
    let shaped = if l.entry.outline.is_empty() { "" } else { ", shaped" };
    format!("{}{wide}{shaped}", show_length(l.entry.length, system))
}

pub(super) fn list_text(bin: &Path, all: &[Listed], system: System) -> String {
    let mut table = Table::new(&["id", "shape", "size", "length", "where", "to know"]);
    for l in all {
        let e = &l.entry;
        let mut know = e.remarks();
        know.extend((e.stock.material != "mild steel").then(|| e.stock.material.clone()));
        know.extend(e.facts.keep.then(|| "kept back".to_string()));
        know.extend((!e.facts.held_for.is_empty()).then(|| format!("held for {}", e.facts.held_for)));
        know.extend((!e.unusable.is_empty()).then(|| format!("{} bad spans", e.unusable.len())));
        let cells = [&e.id, &e.stock.shape, &show_size(&e.stock.size), &size_of(l, system), &e.place, &know.join(", ")];
        table.row(cells.iter().map(|c| (*c).clone()).collect());
    }
    let mut sums = Table::new(&["shape", "size", "material", "offcuts", "together", "weight"]);
    for ((shape, size, material), t) in totals(all) {
        let together = if shape == "plate" { String::new() } else { show_sum(t.1, system) };
        let weight = t.2.map_or("-".to_string(), |m| show_mass(m, system));
        sums.row(vec![shape, size, material, t.0.to_string(), together, weight]);
    }
    if all.is_empty() {
        return format!("{}: no such offcut\n", bin.display());
    }
    format!("{}\n\n{}\n{}", bin.display(), table.text(), sums.text())
}

fn show_sum(length: Length, system: System) -> String {
    match system {
        System::Metric => format!("{:.2} m", length.to_mm() / 1000.0),
        System::Inch => format!("{:.1} ft", length.to_inches() / 12.0),
    }
}

/// Shape, size, material.
type Size = (String, String, String);
/// How many, their length together, their weight.
type Sum = (usize, Length, Option<Mass>);
type Totals = BTreeMap<Size, Sum>;

fn totals(all: &[Listed]) -> Totals {
    let mut out = Totals::new();
    for l in all {
        let s = &l.entry.stock;
        let key = (s.shape.clone(), show_size(&s.size), s.material.clone());
        let t = out.entry(key).or_insert((0, Length::ZERO, Some(Mass::kg(0.0))));
        t.0 += 1;
        t.1 += l.entry.length;
        t.2 = t.2.zip(l.mass).map(|(a, b)| a + b);
    }
    out
}

pub(super) fn totals_json(all: &[Listed]) -> Value {
    let one = |((shape, size, material), t): (Size, Sum)| {
        let round = |v: f64| json!(libm::round(v * 1e3) / 1e3);
        json!({ "shape": shape, "size": size, "material": material, "offcuts": t.0,
                "length_m": if shape == "plate" { Value::Null } else { round(t.1.to_mm() / 1000.0) },
                "mass_kg": t.2.map_or(Value::Null, |m| round(m.to_kg())) })
    };
    totals(all).into_iter().map(one).collect()
}

pub(super) fn booked_json(b: &Booked) -> Value {
    let mm = |v: i64| json!(v as f64 / 1e6);
    let account = |a: &ledger::Account| {
        json!({ "id": a.id, "length_mm": mm(a.length), "pieces_mm": mm(a.pieces), "back_mm": mm(a.back),
                "waste_mm": mm(a.waste), "kerf_mm": mm(a.kerf), "trim_mm": mm(a.trim) })
    };
    let back = |b: &(String, String)| json!({ "id": b.0, "says": b.1 });
    json!({ "job": b.job, "change": b.number, "out": b.out, "bought": b.bought,
            "back": b.back.iter().map(back).collect::<Vec<_>>(), "bars": b.accounts.iter().map(account).collect::<Vec<_>>(),
            "cautions": CAUTIONS.replace('\n', " ") })
}
