//! The plates of a plan, as they are drawn and ticked off.

use super::plan::{CutPlan, Sheet, SheetGroup};
use super::saw::{chalk, chalk_numbers, from_where, name};
use super::text::money;
use crate::drawing::{SheetPicture, SheetPiece, SheetRest};
use crate::geom::Point;
use crate::units::{Length, System, show_length, show_size, trimmed};

/// On which side of its mark a straight cut takes its width.
pub const CUT_SIDE: &str = "A cut's mark is a line; the blade takes its width right of it, or above it.";

/// All plates of the plan.
pub fn sheet_list(plan: &CutPlan, system: System) -> Vec<SheetPicture> {
    let (_, numbers) = chalk_numbers(plan);
    let groups = plan.sheets.iter().zip(&numbers);
    groups.flat_map(|(g, n)| g.sheets.iter().map(|s| one(g, s, n, system)).collect::<Vec<_>>()).collect()
}

fn one(g: &SheetGroup, s: &Sheet, numbers: &[usize], system: System) -> SheetPicture {
    let show = |v: f64| show_length(Length::mm(v), system);
    let entry = g.entries.get(s.stock);
    let length = entry.map_or(Length::ZERO, |e| e.length);
    let width = entry.and_then(|e| e.width).unwrap_or(Length::ZERO);
    let sides = (show_length(length, system), show_length(width, system));
    let price = if s.price > 0 { format!(", price {}", money(s.price)) } else { String::new() };
    let pieces = s.placements.iter().map(|p| {
        let d = &g.demands[p.demand];
        let turn = if p.turn_deg == 0.0 { String::new() } else { format!(", turned {} deg", trimmed(p.turn_deg, 1)) };
        SheetPiece {
            chalk: chalk(numbers[p.demand], p.copy, d.count),
            outline: p.outline.clone(),
            holes: p.holes.clone(),
            cells: [show(p.at.x), show(p.at.y), show(p.size.x), show(p.size.y), format!("{}{turn}", name(d))],
        }
    });
    let rests = s.leftovers.iter().map(|l| {
        let (at, size) = l.rectangle;
        SheetRest {
            outline: l.outline.clone(),
            rectangle: (at, size),
            words: l.kept.then(|| format!("back: {} x {}", show(size.x), show(size.y))),
        }
    });
    SheetPicture {
        stock: format!("plate {}, {}", show_size(&g.stock.size), g.stock.material),
        which: format!("{}{price}, {} x {}", from_where(&s.id, entry, s.bought), sides.0, sides.1),
        outline: s.outline.clone(),
        holes: s.holes.clone(),
        pieces: pieces.collect(),
        cuts: s.cuts.iter().map(|c| (c.from, c.to, c.set.clone())).collect(),
        rests: rests.collect(),
        sides,
        says: says(s, system),
    }
}

/// What goes back, in sentences.
pub(super) fn says(s: &Sheet, system: System) -> Vec<String> {
    let show = |v: f64| show_length(Length::mm(v), system);
    let back = s.leftovers.iter().filter(|l| l.kept);
    back.map(|l| {
        let size: Point = l.rectangle.1;
        let whole = l.outline.len() == 4 && l.holes.is_empty();
        let shape = if whole { "" } else { " is the largest rectangle in what" };
        format!("{} x {}{shape} goes back into the bin", show(size.x), show(size.y))
    })
    .collect()
}
