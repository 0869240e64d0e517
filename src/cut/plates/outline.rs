//! What can be wrong with the outline of a plate.

use crate::cut::plates::carve;
use crate::cut::plates::steel::{Piece, Point, edges, inside, touch, twice_area};
use crate::cut::plates::{PlateRules, PlateStock};
use crate::cut::{MAX_LENGTH, Nm, OutlineFault};

/// Longest side of a plate or blank, 10 m: areas in square micrometres of
/// [`crate::cut::MAX_BLANKS`] blanks then add up within the integer, kerfs
/// included.
pub(super) const MAX_SIDE: Nm = Nm(MAX_LENGTH.0 / 100);
/// Shortest side, 1 um: no area is then below its unit.
pub(super) const MIN_SIDE: Nm = Nm(1_000);
/// Most corners of a plate, its holes included.
pub const MAX_CORNERS: usize = 200;

/// What is wrong with a plate's outline, if anything: a plate with a fault is
/// left aside by [`crate::cut::plan_plates`].
pub fn outline_fault(plate: &PlateStock, rules: &PlateRules) -> Option<OutlineFault> {
    usable(plate, rules).err()
}

pub(super) fn points(ring: &[(Nm, Nm)]) -> Vec<Point> {
    ring.iter().map(|p| (p.0.0, p.1.0)).collect()
}

/// The trim that a plate loses.
pub(super) fn trim_of(plate: &PlateStock, rules: &PlateRules) -> i64 {
    if plate.raw { rules.trim.0.clamp(0, MAX_SIDE.0) } else { 0 }
}

/// The steel of a plate, or why it is none.
pub(super) fn usable(plate: &PlateStock, rules: &PlateRules) -> Result<Piece, OutlineFault> {
    let outline = points(&plate.outline);
    let holes: Vec<Vec<Point>> = plate.holes.iter().map(|h| points(h)).collect();
    let all = || std::iter::once(&outline).chain(&holes);
    if all().any(|r| r.len() < 3) {
        return Err(OutlineFault::TooFewCorners);
    }
    if all().map(Vec::len).sum::<usize>() > MAX_CORNERS {
        return Err(OutlineFault::TooManyCorners);
    }
    let in_range = |v: i64| (0..=MAX_SIDE.0).contains(&v);
    let (x, y) = (outline.iter().map(|p| p.0), outline.iter().map(|p| p.1));
    let low = (x.clone().min().unwrap_or(0), y.clone().min().unwrap_or(0));
    let high = (x.max().unwrap_or(0), y.max().unwrap_or(0));
    if low != (0, 0) {
        let far = !in_range(low.0) || !in_range(low.1);
        return Err(if far { OutlineFault::OutOfRange } else { OutlineFault::NotAtOrigin });
    }
    if !in_range(high.0) || !in_range(high.1) {
        return Err(OutlineFault::OutOfRange);
    }
    if holes.iter().flatten().any(|p| !in_range(p.0) || !in_range(p.1)) {
        return Err(OutlineFault::HoleOutside);
    }
    // A bow tie may have no area either: that it crosses itself says more.
    if crosses(&outline) {
        return Err(if flat(&outline) { OutlineFault::NoArea } else { OutlineFault::CrossesItself });
    }
    if holes.iter().any(|h| crosses(h)) {
        return Err(OutlineFault::HoleCrossesItself);
    }
    if high.0 < MIN_SIDE.0 || high.1 < MIN_SIDE.0 {
        return Err(OutlineFault::OutOfRange);
    }
    if all().any(|r| twice_area(r) == 0) {
        return Err(OutlineFault::NoArea);
    }
    check_holes(&outline, &holes)?;
    let piece = Piece::new(&outline, &holes);
    let trim = trim_of(plate, rules);
    if trim > 0 && carve::largest(&piece, trim).is_none() {
        return Err(OutlineFault::TooNarrow);
    }
    Ok(piece)
}

/// All corners lie on one line.
fn flat(ring: &[Point]) -> bool {
    let d = |a: Point, b: Point| (i128::from(b.0) - i128::from(a.0), i128::from(b.1) - i128::from(a.1));
    let Some(&far) = ring.iter().find(|p| **p != ring[0]) else {
        return true;
    };
    let u = d(ring[0], far);
    ring.iter().all(|p| {
        let v = d(ring[0], *p);
        u.0 * v.1 == u.1 * v.0
    })
}

/// Edges of a ring that are not neighbours touch, or neighbours run back.
fn crosses(ring: &[Point]) -> bool {
    let edges: Vec<(Point, Point)> = edges(ring).collect();
    let n = edges.len();
    let back = |a: (Point, Point), b: (Point, Point)| {
        let d = |p: Point, q: Point| (i128::from(q.0) - i128::from(p.0), i128::from(q.1) - i128::from(p.1));
        let (u, v) = (d(a.0, a.1), d(b.0, b.1));
        u == (0, 0) || u.0 * v.1 == u.1 * v.0 && u.0 * v.0 + u.1 * v.1 < 0
    };
    (0..n).any(|i| {
        back(edges[i], edges[(i + 1) % n]) || (i + 2..n).any(|j| !(i == 0 && j == n - 1) && touch(edges[i], edges[j]))
    })
}

fn check_holes(outline: &[Point], holes: &[Vec<Point>]) -> Result<(), OutlineFault> {
    let meet = |a: &[Point], b: &[Point]| edges(a).any(|e| edges(b).any(|f| touch(e, f)));
    let within = |ring: &[Point], p: Point| inside(ring, (2 * p.0, 2 * p.1));
    for (i, hole) in holes.iter().enumerate() {
        if meet(outline, hole) || !within(outline, hole[0]) {
            return Err(OutlineFault::HoleOutside);
        }
        for other in &holes[..i] {
            if meet(hole, other) || within(other, hole[0]) || within(hole, other[0]) {
                return Err(OutlineFault::HolesMeet);
            }
        }
    }
    Ok(())
}
