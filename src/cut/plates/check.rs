//! The last look at every plate plan before it is handed out.

use crate::cut::plates::outline::{trim_of, usable};
use crate::cut::plates::steel::Span;
use crate::cut::plates::{BlankDemand, PlateRules, PlateStock, Rect, SheetUse};

/// Blanks have their size, lie within the sound steel, and are a kerf apart.
pub(super) fn sound(demands: &[BlankDemand], stock: &[PlateStock], rules: &PlateRules, sheet: &SheetUse) -> bool {
    let plate = &stock[sheet.stock];
    let Ok(steel) = usable(plate, rules) else {
        return false;
    };
    let trim = trim_of(plate, rules);
    let kerf = rules.kerf.0.max(0);
    let within = |r: &Rect| {
        let span = Span { low: (r.x.0, r.y.0), high: (r.x.0 + r.length.0, r.y.0 + r.width.0) };
        steel.holds(&span.grown(trim))
    };
    let apart = |a: &Rect, b: &Rect| {
        let beside = |a: i64, size: i64, b: i64| a + size + kerf <= b;
        beside(a.x.0, a.length.0, b.x.0)
            || beside(b.x.0, b.length.0, a.x.0)
            || beside(a.y.0, a.width.0, b.y.0)
            || beside(b.y.0, b.width.0, a.y.0)
    };
    let rects: Vec<Rect> = sheet.placements.iter().map(|p| p.rect).collect();
    let sizes = sheet.placements.iter().all(|p| {
        let wanted = &demands[p.demand];
        let lies = if p.turned { (p.rect.width, p.rect.length) } else { (p.rect.length, p.rect.width) };
        lies == (wanted.length, wanted.width) && (wanted.may_turn || !p.turned)
    });
    let clear = (0..rects.len()).all(|i| rects[..i].iter().all(|other| apart(&rects[i], other)));
    sizes && rects.iter().all(within) && clear
}
