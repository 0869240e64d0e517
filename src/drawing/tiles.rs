//! Which part of a drawing goes on which sheet, so that every hole is whole on one.
//!
//! ```text
//!   sheet 1  [=================]
//!   sheet 2               [=================]
//!                         |<->|  overlap: at least the largest hole with its
//!                                cross hairs; a seam moves left where a label
//!                                or a larger hole would be cut
//! ```

use super::art::{Art, Keep};
use super::marks::{REGISTRATION_REACH_MM, registration};
use super::page::{Item, grown, holds, overlap};
use crate::geom::{Bounds, Point};

/// Two sheets share this much at least, mm: room for a registration mark.
pub const LEAST_OVERLAP_MM: f64 = 15.0;
/// More sheets than this for one piece are not drawn: nobody tapes them together.
pub const MOST_TILES: usize = 200;

/// How a drawing is divided.
#[derive(Clone, Debug, PartialEq)]
pub struct Tiling {
    /// The part of the drawing on each sheet: row by row from the top, left to right.
    pub windows: Vec<Bounds>,
    /// Sheets side by side.
    pub columns: usize,
    /// Registration marks, drawing coordinates, mm; each lies on two sheets at least.
    pub marks: Vec<Point>,
}

/// Divides the drawing into windows of at most `width` by `height` mm; `None`
/// when that takes more than [`MOST_TILES`].
pub fn tile(art: &Art, width: f64, height: f64) -> Option<Tiling> {
    let spans = |f: fn(&Bounds) -> (f64, f64)| art.keeps.iter().map(|k| f(&k.bounds)).collect::<Vec<_>>();
    let holes = |f: fn(&Bounds) -> f64, room: f64| {
        let sizes = art.keeps.iter().filter(|k| k.letter.is_some()).map(|k| f(&k.bounds));
        sizes.filter(|s| *s <= room / 2.0).fold(LEAST_OVERLAP_MM, f64::max)
    };
    let b = art.bounds;
    let across = starts(b.low.x, b.high.x, width, holes(Bounds::width, width), &spans(|b| (b.low.x, b.high.x)))?;
    // Rows are counted from the top, as they are read.
    let down = starts(-b.high.y, -b.low.y, height, holes(Bounds::height, height), &spans(|b| (-b.high.y, -b.low.y)))?;
    if across.len() * down.len() > MOST_TILES {
        return None;
    }
    let mut windows = vec![];
    for top in &down {
        for left in &across {
            let low = Point::new(*left, (-top - height).max(b.low.y));
            windows.push(Bounds { low, high: Point::new((left + width).min(b.high.x), -top) });
        }
    }
    let marks = seam_marks(art, &windows, across.len());
    Some(Tiling { windows, columns: across.len(), marks })
}

/// Where the windows of length `room` start to cover `low` to `high`.
///
/// Every span no longer than `room` is whole in one window: a window begins
/// before any span that the windows so far cut.
fn starts(low: f64, high: f64, room: f64, least_overlap: f64, spans: &[(f64, f64)]) -> Option<Vec<f64>> {
    const NOISE_MM: f64 = 1e-6;
    let mut out = vec![low];
    let mut at = low;
    while at + room < high - NOISE_MM {
        let end = at + room;
        let cut = |s: &&(f64, f64)| s.1 > end + NOISE_MM && s.0 > at + NOISE_MM && s.1 - s.0 <= room;
        let next = spans.iter().filter(cut).map(|s| s.0).fold(end - least_overlap, f64::min);
        at = next;
        out.push(at);
        if out.len() > MOST_TILES {
            return None;
        }
    }
    Some(out)
}

/// Two marks in each overlap, as far apart as what is already drawn allows.
fn seam_marks(art: &Art, windows: &[Bounds], columns: usize) -> Vec<Point> {
    let mut out: Vec<Point> = vec![];
    for (i, w) in windows.iter().enumerate() {
        let right = (i + 1) % columns != 0;
        for (next, upright) in [(right.then_some(i + 1), true), (Some(i + columns), false)] {
            let Some(other) = next.and_then(|n| windows.get(n)) else { continue };
            let shared = Bounds {
                low: Point::new(w.low.x.max(other.low.x), w.low.y.max(other.low.y)),
                high: Point::new(w.high.x.min(other.high.x), w.high.y.min(other.high.y)),
            };
            for mark in two_marks(art, &shared, upright, &out) {
                out.push(mark);
            }
        }
    }
    out
}

/// The first and the last free place along the middle of an overlap.
fn two_marks(art: &Art, shared: &Bounds, upright: bool, before: &[Point]) -> Vec<Point> {
    const STEP_MM: f64 = 1.0;
    let inset = REGISTRATION_REACH_MM + 1.0;
    let middle = (shared.low + shared.high) * 0.5;
    let (low, high) = if upright { (shared.low.y, shared.high.y) } else { (shared.low.x, shared.high.x) };
    let count = ((high - low - 2.0 * inset) / STEP_MM).floor().max(0.0) as usize;
    let place = |i: usize| {
        let v = low + inset + i as f64 * STEP_MM;
        if upright { Point::new(middle.x, v) } else { Point::new(v, middle.y) }
    };
    let crowded = |p: &Point| {
        let b = grown(Bounds { low: *p, high: *p }, REGISTRATION_REACH_MM);
        let keeps = art.keeps.iter().filter(|k| overlap(&k.bounds, &b)).count();
        keeps + before.iter().filter(|o| o.distance(*p) < 2.0 * REGISTRATION_REACH_MM).count()
    };
    let places: Vec<Point> = (0..=count).map(place).collect();
    // The nearest to each end among the least crowded of its half.
    let half = places.len().div_ceil(2);
    let (lower, upper) = places.split_at(half);
    let first = lower.iter().min_by_key(|p| crowded(p));
    let last = upper.iter().rev().min_by_key(|p| crowded(p));
    first.into_iter().chain(last).copied().collect()
}

/// What a window shows: marks, every shape that reaches into it, and the texts
/// that are whole in it.
pub fn seen(art: &Art, marks: &[Point], window: &Bounds) -> Vec<Item> {
    let marks = marks.iter().flat_map(|p| registration(*p));
    let near = grown(*window, 1.0);
    art.items
        .iter()
        .cloned()
        .chain(marks)
        .filter(|i| {
            i.bounds().is_some_and(|b| match i {
                Item::Text { .. } => holds(window, &b),
                _ => overlap(&near, &grown(b, 1e-3)),
            })
        })
        .collect()
}

/// The keeps that lie whole in no window: they are larger than the paper.
pub fn never_whole<'a>(art: &'a Art, windows: &[Bounds]) -> Vec<&'a Keep> {
    art.keeps.iter().filter(|k| !windows.iter().any(|w| holds(w, &k.bounds))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_span_is_whole_in_one_window() {
        let spans: Vec<(f64, f64)> =
            (0..60).map(|i| (f64::from(i) * 17.3, f64::from(i) * 17.3 + 11.0 + f64::from(i % 7) * 9.0)).collect();
        let high = 1200.0;
        let at = starts(0.0, high, 170.0, 15.0, &spans).expect("a few windows");
        for s in &spans {
            assert!(at.iter().any(|a| s.0 >= a - 1e-6 && s.1 <= a + 170.0 + 1e-6), "{s:?} is cut");
        }
        assert!(at.windows(2).all(|w| w[0] + 170.0 - w[1] >= 15.0 - 1e-9 && w[1] > w[0]));
        assert!(at[at.len() - 1] + 170.0 >= high);
    }

    #[test]
    fn a_drawing_without_end_is_not_tiled() {
        assert_eq!(starts(0.0, 1e9, 170.0, 15.0, &[]), None);
    }
}
