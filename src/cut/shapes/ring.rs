//! Rings of whole nanometres: orientation, area, and the faults that make an
//! outline no outline.

use crate::cut::Nm;
use crate::cut::OutlineFault;

/// Farthest a corner may lie from the origin, 10 m: products of two
/// differences then stay far inside 128 bits, and so do their squares where
/// they are compared.
pub(super) const FARTHEST: i64 = 10_000_000_000;
/// Most corners of one outline with its holes.
pub(super) const MAX_CORNERS: usize = 4_000;

/// A point or a vector, nm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct P {
    pub x: i64,
    pub y: i64,
}

/// A closed chain of corners, the last joined to the first.
pub(super) type Ring = Vec<P>;

impl P {
    pub fn new(x: i64, y: i64) -> P {
        P { x, y }
    }

    pub fn plus(self, other: P) -> P {
        P { x: self.x + other.x, y: self.y + other.y }
    }

    pub fn minus(self, other: P) -> P {
        P { x: self.x - other.x, y: self.y - other.y }
    }

    /// Twice the area of the triangle that two vectors span, positive if the
    /// second lies counter-clockwise of the first.
    #[inline]
    pub fn cross(self, other: P) -> i128 {
        i128::from(self.x) * i128::from(other.y) - i128::from(self.y) * i128::from(other.x)
    }

    pub fn dot(self, other: P) -> i128 {
        i128::from(self.x) * i128::from(other.x) + i128::from(self.y) * i128::from(other.y)
    }
}

/// Positive if c lies left of the line from a to b.
#[inline]
pub(super) fn side(a: P, b: P, c: P) -> i128 {
    b.minus(a).cross(c.minus(a))
}

/// The edges of a ring.
pub(super) fn edges(ring: &[P]) -> impl Iterator<Item = (P, P)> + '_ {
    ring.iter().copied().zip(ring.iter().copied().cycle().skip(1))
}

/// Twice the signed area, positive if counter-clockwise.
pub(super) fn area2(ring: &[P]) -> i128 {
    edges(ring).map(|(a, b)| a.cross(b)).sum()
}

/// Lowest and highest corner of the box around points.
pub(super) fn around(points: &[P]) -> (P, P) {
    let first = points.first().copied().unwrap_or_default();
    points.iter().fold((first, first), |(lo, hi), p| {
        (P::new(lo.x.min(p.x), lo.y.min(p.y)), P::new(hi.x.max(p.x), hi.y.max(p.y)))
    })
}

/// c lies on the segment from a to b, its ends included.
fn on_segment(a: P, b: P, c: P) -> bool {
    side(a, b, c) == 0 && c.minus(a).dot(c.minus(b)) <= 0
}

/// Two segments have a point in common, ends included.
pub(super) fn segments_meet(a: P, b: P, c: P, d: P) -> bool {
    if a.x.max(b.x) < c.x.min(d.x)
        || c.x.max(d.x) < a.x.min(b.x)
        || a.y.max(b.y) < c.y.min(d.y)
        || c.y.max(d.y) < a.y.min(b.y)
    {
        return false;
    }
    let (c_side, d_side) = (side(a, b, c).signum(), side(a, b, d).signum());
    let (a_side, b_side) = (side(c, d, a).signum(), side(c, d, b).signum());
    if c_side * d_side < 0 && a_side * b_side < 0 {
        return true;
    }
    on_segment(a, b, c) || on_segment(a, b, d) || on_segment(c, d, a) || on_segment(c, d, b)
}

/// Where a point lies: 1 inside, 0 on the ring, -1 outside.
pub(super) fn place_of(ring: &[P], p: P) -> i8 {
    let mut inside = false;
    for (a, b) in edges(ring) {
        if on_segment(a, b, p) {
            return 0;
        }
        if (a.y > p.y) != (b.y > p.y) && (side(a, b, p) > 0) == (b.y > a.y) {
            inside = !inside;
        }
    }
    if inside { 1 } else { -1 }
}

/// Takes out corners that stand twice or in the middle of a straight edge.
fn without_idle_corners(points: &[P]) -> Ring {
    let mut ring: Ring = points.to_vec();
    loop {
        let n = ring.len();
        if n < 3 {
            return ring;
        }
        let idle = |i: usize| {
            let (a, b, c) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
            // A spike, where the edge turns back on itself, stays and is found later.
            b == c || (side(a, b, c) == 0 && b.minus(a).dot(c.minus(b)) > 0)
        };
        let Some(first) = (0..n).find(|&i| idle(i)) else {
            return ring;
        };
        // Neighbours are not judged in the same pass: each removal changes them.
        let mut kept = Vec::with_capacity(n);
        let mut last_gone = false;
        for (i, &corner) in ring.iter().enumerate() {
            last_gone = i >= first && !last_gone && !(i + 1 == n && first == 0) && idle(i);
            if !last_gone {
                kept.push(corner);
            }
        }
        ring = kept;
    }
}

fn is_simple(ring: &[P]) -> bool {
    let n = ring.len();
    for i in 0..n {
        let (a, b) = (ring[i], ring[(i + 1) % n]);
        let c = ring[(i + 2) % n];
        if side(a, b, c) == 0 && b.minus(a).dot(c.minus(b)) < 0 {
            return false;
        }
        for j in i + 2..n {
            if i == 0 && j == n - 1 {
                continue;
            }
            if segments_meet(a, b, ring[j], ring[(j + 1) % n]) {
                return false;
            }
        }
    }
    true
}

/// One ring as given, cleaned and turned counter-clockwise.
fn read_ring(points: &[(Nm, Nm)]) -> Result<Ring, OutlineFault> {
    let far = |n: Nm| n.0 > FARTHEST || n.0 < -FARTHEST;
    if points.len() > MAX_CORNERS || points.iter().any(|p| far(p.0) || far(p.1)) {
        return Err(OutlineFault::OutOfRange);
    }
    let points: Ring = points.iter().map(|p| P::new(p.0.0, p.1.0)).collect();
    let mut ring = without_idle_corners(&points);
    if ring.len() < 3 {
        return Err(if points.len() < 3 { OutlineFault::TooFewCorners } else { OutlineFault::NoArea });
    }
    if !is_simple(&ring) {
        let flat = edges(&ring).all(|(_, b)| side(ring[0], ring[1], b) == 0);
        return Err(if flat { OutlineFault::NoArea } else { OutlineFault::CrossesItself });
    }
    if area2(&ring) < 0 {
        ring.reverse();
    }
    Ok(ring)
}

/// An outline with holes, all rings counter-clockwise. The fault names the
/// hole it is about; `None` is the outline itself.
pub(super) fn read_outline(
    outline: &[(Nm, Nm)],
    holes: &[Vec<(Nm, Nm)>],
) -> Result<(Ring, Vec<Ring>), (Option<usize>, OutlineFault)> {
    if holes.iter().map(Vec::len).sum::<usize>() + outline.len() > MAX_CORNERS {
        return Err((None, OutlineFault::OutOfRange));
    }
    let outer = read_ring(outline).map_err(|f| (None, f))?;
    let mut rings: Vec<Ring> = Vec::new();
    for (h, hole) in holes.iter().enumerate() {
        let ring = read_ring(hole).map_err(|f| (Some(h), f))?;
        let meets = |other: &[P]| edges(&ring).any(|(a, b)| edges(other).any(|(c, d)| segments_meet(a, b, c, d)));
        if meets(&outer) || place_of(&outer, ring[0]) < 0 {
            return Err((Some(h), OutlineFault::HoleOutside));
        }
        let nested = |other: &Ring| place_of(other, ring[0]) > 0 || place_of(&ring, other[0]) > 0;
        if rings.iter().any(|other| meets(other) || nested(other)) {
            return Err((Some(h), OutlineFault::HolesMeet));
        }
        rings.push(ring);
    }
    Ok((outer, rings))
}
