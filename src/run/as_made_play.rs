//! How much play a bolt has in the holes that it goes through.

use crate::assembly::{Assembly, Kind};
use crate::handbook::{bolts, holes::sizes};
use crate::piece::{Piece, holes};
use crate::units::Length;

/// How far the axes of two holes may be apart so that their bolt still goes
/// through: half of what each hole is wider than the bolt. The bolt is the one
/// that stands there, or the largest of the tables that goes through both.
pub(super) fn play_mm(assembly: &Assembly, names: [&String; 2]) -> f64 {
    let hole = |name: &String| {
        let drills = assembly.stands.iter().flat_map(|s| s.drills.iter().map(move |d| (s, d)));
        let mut named = drills.filter(|(s, d)| format!("{}: {}", s.name, d.name) == *name);
        named.next().map(|(_, d)| d.shape.core() * 2.0)
    };
    let wide: Vec<f64> = names.into_iter().filter_map(hole).collect();
    let least = wide.iter().copied().fold(f64::INFINITY, f64::min);
    let bolt = |name: &String| assembly.stands.iter().find(|s| s.kind == Kind::Bolt && s.name == *name);
    let there = names.into_iter().find_map(|n| bolt(n)?.shank.map(|s| s.0));
    let shank = there.unwrap_or_else(|| largest_bolt_mm(least));
    wide.iter().map(|d| (d - shank).max(0.0) / 2.0).sum()
}

/// The play of a bolt in the first hole of a piece that takes one.
pub(super) fn own_play(piece: &Piece) -> Option<Length> {
    let wide = holes(piece).into_iter().find(|h| h.bolt)?.shape.core() * 2.0;
    Some(Length::mm((wide - largest_bolt_mm(wide)) / 2.0))
}

/// The largest bolt of the tables that goes through a hole, mm.
pub(super) fn largest_bolt_mm(hole: f64) -> f64 {
    let all = sizes().into_iter().filter_map(bolts::find).map(|b| b.diameter.to_mm());
    all.filter(|d| *d < hole).fold(0.0, f64::max)
}
