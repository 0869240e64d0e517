//! Sums of convex pieces, and the polygon that stands for the gap.
//!
//! # Source
//! The sum of two convex polygons by merging their edges by direction, and the
//! no-fit polygon as the union of the sums of convex pieces: Bennell &
//! Oliveira 2008, "The geometry of nesting problems: a tutorial", EJOR 184,
//! from memory.

use crate::cut::shapes::ring::{P, Ring, edges, side};

/// Directions the gap polygon touches its circle in, whatever the parts: its
/// corners stand 4 % of the gap outside the circle at most.
const REGULAR: usize = 12;
/// What the gap polygon keeps in hand where its corners cannot be exact, nm:
/// rounding to whole nanometres moves a corner by less than one.
const IN_HAND: f64 = 2.0;
/// Directions count as one where the circle leaves the tangent by less than
/// this between them, nm: what is in hand would else reach beyond the tangent.
const SAME_DIRECTION: f64 = 5.0;

/// Most directions taken from one outline; edges beyond them keep up to 4 % of
/// the gap more.
const MOST_DIRECTIONS: usize = 8;
/// Below this the square around the circle stands for it, nm.
const SMALLEST_ROUND: i64 = 1_000;

/// Half a turn's order of directions: upper half first.
fn upper(v: P) -> bool {
    v.y > 0 || (v.y == 0 && v.x > 0)
}

/// Index of the lowest, then leftmost corner: its next edge is the first in
/// the order of directions.
fn lowest(ring: &[P]) -> usize {
    (0..ring.len()).min_by_key(|&i| (ring[i].y, ring[i].x)).unwrap_or(0)
}

/// Minkowski sum of two convex counter-clockwise rings; exact.
pub(super) fn sum(a: &[P], b: &[P]) -> Ring {
    if let [only] = b {
        return a.iter().map(|p| p.plus(*only)).collect();
    }
    let (n, m) = (a.len(), b.len());
    let (la, lb) = (lowest(a), lowest(b));
    let (mut i, mut j) = (0, 0);
    let mut out = Vec::with_capacity(n + m);
    while i < n || j < m {
        let (p, q) = (a[(la + i) % n], b[(lb + j) % m]);
        out.push(p.plus(q));
        let ea = a[(la + i + 1) % n].minus(p);
        let eb = b[(lb + j + 1) % m].minus(q);
        let turn = match (i < n, j < m) {
            (true, false) => 1,
            (false, true) => -1,
            _ if upper(ea) != upper(eb) => {
                if upper(ea) {
                    1
                } else {
                    -1
                }
            }
            _ => ea.cross(eb).signum(),
        };
        i += usize::from(turn >= 0);
        j += usize::from(turn <= 0);
    }
    out
}

/// The same piece seen through the origin; it stays counter-clockwise.
pub(super) fn mirrored(piece: &[P]) -> Ring {
    piece.iter().map(|p| P::new(-p.x, -p.y)).collect()
}

/// Outward directions of the longest edges that are at least as long as the
/// gap, rad: there the gap polygon has to be exact.
pub(super) fn long_edge_directions(ring: &[P], gap: i64) -> Vec<f64> {
    let mut long: Vec<(i128, f64)> = Vec::new();
    for (a, b) in edges(ring) {
        let way = b.minus(a);
        if way.dot(way) >= i128::from(gap) * i128::from(gap) {
            long.push((way.dot(way), libm::atan2(-(way.x as f64), way.y as f64)));
        }
    }
    long.sort_by(|k, l| l.0.cmp(&k.0).then(k.1.total_cmp(&l.1)));
    long.truncate(MOST_DIRECTIONS);
    long.into_iter().map(|l| l.1).collect()
}

/// A convex polygon around the circle of the gap. It touches the circle in
/// the directions of x and y exactly, and to 5 nm in twelve regular and in all
/// the given directions; nowhere is it inside the circle.
pub(super) fn gap_polygon(gap: i64, directions: &[f64]) -> Ring {
    if gap == 0 {
        return vec![P::default()];
    }
    if gap < SMALLEST_ROUND {
        return vec![P::new(-gap, -gap), P::new(gap, -gap), P::new(gap, gap), P::new(-gap, gap)];
    }
    let tau = std::f64::consts::TAU;
    let step = tau / REGULAR as f64;
    let mut all: Vec<f64> = (0..REGULAR).map(|k| k as f64 * step).collect();
    let same = libm::sqrt(2.0 * SAME_DIRECTION / gap as f64).max(1e-3);
    for d in directions {
        let d = if *d < 0.0 { d + tau } else { *d };
        let near = |k: &f64| libm::fabs(k - d) < same || libm::fabs(libm::fabs(k - d) - tau) < same;
        if !all.iter().any(near) {
            all.push(d);
        }
    }
    all.sort_by(f64::total_cmp);
    let n = all.len();
    let mut ring: Ring = Vec::with_capacity(n);
    for k in 0..n {
        let (from, to) = (all[k], all[(k + 1) % n] + if k + 1 == n { tau } else { 0.0 });
        let (middle, half) = ((from + to) / 2.0, (to - from) / 2.0);
        let far = (gap as f64 + IN_HAND) / libm::cos(half);
        let (x, y) = (far * libm::cos(middle), far * libm::sin(middle));
        let mut corner = P::new(libm::round(x) as i64, libm::round(y) as i64);
        // Edges along x and y lie exactly at the gap.
        for direction in [from, to] {
            let quarter = libm::round(direction / (tau / 4.0));
            if libm::fabs(direction - quarter * tau / 4.0) < 1e-9 {
                exact_at_axis(&mut corner, quarter as i64 % 4, gap);
            }
        }
        ring.push(corner);
    }
    hull(ring)
}

/// Convex hull by the monotone chain (Andrew 1979, from memory),
/// counter-clockwise, without corners in a straight edge. Rounding to whole
/// nanometres can dent a ring whose corners stand close.
pub(super) fn hull(mut points: Ring) -> Ring {
    points.sort_unstable();
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let half = |points: &mut dyn Iterator<Item = P>| {
        let mut chain: Ring = Vec::new();
        for p in points {
            while chain.len() > 1 && side(chain[chain.len() - 2], chain[chain.len() - 1], p) <= 0 {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut ring = half(&mut points.iter().copied());
    ring.extend(half(&mut points.iter().rev().copied()));
    ring
}

/// Moves a corner onto the line that touches the circle in a direction of x or
/// y; the other coordinate goes out by a nanometre to stay around the circle.
fn exact_at_axis(corner: &mut P, quarter: i64, gap: i64) {
    match quarter {
        0 => *corner = P::new(gap, corner.y + corner.y.signum() * 2),
        1 => *corner = P::new(corner.x + corner.x.signum() * 2, gap),
        2 => *corner = P::new(-gap, corner.y + corner.y.signum() * 2),
        _ => *corner = P::new(corner.x + corner.x.signum() * 2, -gap),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cut::shapes::ring::{area2, around};

    #[test]
    fn squares_add_up_to_a_square() {
        let square = |s: i64| vec![P::new(0, 0), P::new(s, 0), P::new(s, s), P::new(0, s)];
        let both = sum(&square(10), &square(7));
        assert_eq!(both.len(), 4);
        assert_eq!(area2(&both), 2 * 17 * 17);
        assert_eq!(around(&sum(&square(10), &mirrored(&square(7)))), (P::new(-7, -7), P::new(10, 10)));
    }

    #[test]
    fn the_gap_polygon_is_never_inside_its_circle() {
        for gap in [1_000, 50_000, 396_875, 3_000_000, 4_000_001, 99_999_999] {
            for extra in [vec![], vec![0.3], vec![0.1, 0.7, 2.0, -1.0, -2.9], vec![0.002, 1.569, -1.5]] {
                let ring = gap_polygon(gap, &extra);
                let convex = |k: usize| side(ring[k], ring[(k + 1) % ring.len()], ring[(k + 2) % ring.len()]) > 0;
                assert!((0..ring.len()).all(convex), "{gap} {extra:?} {ring:?}");
                for (a, b) in edges(&ring) {
                    let (cross, way) = (a.cross(b), b.minus(a));
                    assert!(cross * cross >= i128::from(gap) * i128::from(gap) * way.dot(way), "{gap} {a:?} {b:?}");
                }
                assert_eq!(around(&ring), (P::new(-gap, -gap), P::new(gap, gap)));
            }
        }
    }
}
