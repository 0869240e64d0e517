//! Offcuts that would nearly do.

use super::Tried;
use crate::cut::Uncut;
use crate::piece::Stock;
use crate::report::Demand;
use crate::run::load::Loaded;
use crate::run::plan::same_stock;
use crate::units::{Length, show_size};
use std::collections::BTreeSet;

/// Sizes nearer than this share are told as near misses: 15 %, our own choice.
const NEAR: f64 = 0.15;

/// Offcuts of nearly the size, for what stays uncut or is bought.
pub(super) fn near_misses(loaded: &Loaded, first: &Tried) -> Vec<String> {
    let mut out: Vec<String> = vec![];
    let wanting =
        |uncut: &[Uncut], bought: Vec<usize>| uncut.iter().map(|u| u.demand).chain(bought).collect::<BTreeSet<usize>>();
    let bars = first.plan.bars.iter().map(|g| {
        let bought = g.plan.bars.iter().filter(|b| b.bought).flat_map(|b| b.cuts.iter().map(|c| c.demand));
        (&g.stock, &g.demands, wanting(&g.plan.uncut, bought.collect()))
    });
    let plates = first.plan.sheets.iter().map(|g| {
        let bought = g.sheets.iter().filter(|s| s.bought).flat_map(|s| s.placements.iter().map(|p| p.demand));
        (&g.stock, &g.demands, wanting(&g.uncut, bought.collect()))
    });
    for (stock, demands, missing) in bars.chain(plates) {
        for d in missing.into_iter().map(|i| &demands[i]) {
            out.extend(near_miss(loaded, stock, d));
        }
    }
    out.dedup();
    out
}

fn near_miss(loaded: &Loaded, stock: &Stock, d: &Demand) -> Option<String> {
    let near = |size: &[Length]| {
        size.len() == stock.size.len()
            && size.iter().zip(&stock.size).all(|(a, b)| (a.to_mm() / b.to_mm() - 1.0).abs() <= NEAR)
    };
    let accepted = |e: &Stock| {
        let own = loaded.job.parts.iter().filter(|p| p.name == d.part).flat_map(|p| &p.accept);
        let cuts = loaded.job.cuts.iter().filter(|c| c.name == d.part).flat_map(|c| &c.accept);
        let blanks = loaded.job.blanks.iter().filter(|b| b.name == d.part).flat_map(|b| &b.accept);
        let mut all = own.chain(cuts).chain(blanks).chain(&loaded.bin.accept);
        all.any(|a| a.allows(&stock.shape, (&stock.size, &stock.material), (&e.size, &e.material)).is_some())
    };
    let found = loaded.bin.entries.iter().find(|e| {
        e.price.is_none()
            && e.stock.shape == stock.shape
            && e.stock.material == stock.material
            && !same_stock(&e.stock, stock)
            && near(&e.stock.size)
            && e.length.to_mm() >= d.length_mm
            && e.width.is_none_or(|w| w.to_mm() >= d.width_mm)
            && !accepted(&e.stock)
    })?;
    let size = show_size(&found.stock.size);
    Some(format!(
        "{}: {} {size} ({}) would be long enough in place of {}; if the part may be made of it, write accept = [\"{size}\"]",
        d.part,
        stock.shape,
        found.id,
        show_size(&stock.size)
    ))
}
