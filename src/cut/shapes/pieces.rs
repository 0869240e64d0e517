//! An outline with holes cut into convex pieces, exactly, at its own corners.
//!
//! # Source
//! Ear clipping after joining the holes to the outline by bridges (Held 2001,
//! "FIST", Algorithmica 30), and the merging of triangles into convex pieces
//! (Hertel & Mehlhorn 1983, "Fast triangulation of simple polygons"); both
//! from memory.

use crate::cut::shapes::ring::{P, Ring, area2, around, edges, segments_meet, side};

/// Convex pieces, counter-clockwise, that cover the region and do not overlap.
/// `None` if the region could not be divided, which no test has seen.
pub(super) fn convex_pieces(outer: &[P], holes: &[Ring]) -> Option<Vec<Ring>> {
    let whole = area2(outer) - holes.iter().map(|h| area2(h)).sum::<i128>();
    let joined = join_holes(outer, holes)?;
    let triangles = clip_ears(joined)?;
    let covered: i128 = triangles.iter().map(|t| area2(t)).sum();
    (covered == whole).then(|| merge(triangles))
}

/// Makes one ring of an outline and its holes by bridges walked both ways.
fn join_holes(outer: &[P], holes: &[Ring]) -> Option<Ring> {
    let mut ring: Ring = outer.to_vec();
    let mut waiting: Vec<Ring> = holes
        .iter()
        .map(|h| {
            let mut hole = h.clone();
            hole.reverse();
            hole
        })
        .collect();
    waiting.sort_by_key(|h| around(h).0);
    while !waiting.is_empty() {
        let (which, bridge) =
            waiting.iter().enumerate().find_map(|(w, _)| Some((w, find_bridge(&ring, &waiting, w)?)))?;
        let hole = waiting.remove(which);
        let (at, from) = bridge;
        let mut next = ring[..=at].to_vec();
        next.extend(hole[from..].iter().chain(&hole[..=from]));
        next.extend(&ring[at..]);
        ring = next;
    }
    Some(ring)
}

/// The shortest bridge from a corner of the ring to a corner of a hole that
/// meets nothing on its way.
fn find_bridge(ring: &[P], holes: &[Ring], which: usize) -> Option<(usize, usize)> {
    let hole = &holes[which];
    let mut ways: Vec<(i128, usize, usize)> = Vec::new();
    for (i, &a) in ring.iter().enumerate() {
        for (j, &b) in hole.iter().enumerate() {
            let way = b.minus(a);
            if in_corner(ring, i, b) {
                ways.push((way.dot(way), i, j));
            }
        }
    }
    ways.sort_unstable();
    let clear = |a: P, b: P| {
        let free = |(c, d): (P, P)| {
            if c == a || d == a || c == b || d == b {
                // Meets the bridge at its end; wrong only if a corner lies on it.
                let other = if c == a || c == b { d } else { c };
                return other == a || other == b || side(a, b, other) != 0 || other.minus(a).dot(other.minus(b)) > 0;
            }
            !segments_meet(a, b, c, d)
        };
        edges(ring).all(free) && holes.iter().all(|h| edges(h).all(free))
    };
    ways.into_iter().find(|&(_, i, j)| clear(ring[i], hole[j])).map(|(_, i, j)| (i, j))
}

/// The direction to a point leads into the region at a corner of a ring.
fn in_corner(ring: &[P], i: usize, to: P) -> bool {
    let n = ring.len();
    let (before, at, after) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
    let (left_in, left_out) = (side(before, at, to) > 0, side(at, after, to) > 0);
    if side(before, at, after) >= 0 { left_in && left_out } else { left_in || left_out }
}

fn in_triangle(t: [P; 3], p: P) -> bool {
    side(t[0], t[1], p) >= 0 && side(t[1], t[2], p) >= 0 && side(t[2], t[0], p) >= 0
}

/// The corner is convex and its triangle holds no other corner.
fn is_ear(ring: &[P], i: usize) -> bool {
    let n = ring.len();
    let t = [ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]];
    if side(t[0], t[1], t[2]) <= 0 {
        return false;
    }
    (0..n).all(|k| {
        let p = ring[k];
        if t.contains(&p) {
            return true;
        }
        !in_triangle(t, p)
    }) && cut_leads_inside(ring, i)
}

/// The diagonal that cuts off an ear lies inside at both its ends: a bridge
/// brings corners that stand twice, and a diagonal could leave through one.
fn cut_leads_inside(ring: &[P], i: usize) -> bool {
    let n = ring.len();
    let (before, after) = ((i + n - 1) % n, (i + 1) % n);
    let inside = |at: usize, to: P| {
        let (b, a, c) = (ring[(at + n - 1) % n], ring[at], ring[(at + 1) % n]);
        let (s1, s2) = (side(b, a, to), side(a, c, to));
        if side(b, a, c) > 0 { s1 >= 0 && s2 >= 0 } else { s1 >= 0 || s2 >= 0 }
    };
    n == 3 || (inside(before, ring[after]) && inside(after, ring[before]))
}

fn clip_ears(mut ring: Ring) -> Option<Vec<[P; 3]>> {
    let mut triangles = Vec::with_capacity(ring.len());
    let mut start = 0;
    while ring.len() > 2 {
        let n = ring.len();
        // Corners in line carry no area and may stand in the way of an ear.
        if let Some(idle) = (0..n).find(|&i| {
            let (a, b, c) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
            side(a, b, c) == 0 && (a == c || a == b || b == c)
        }) {
            ring.remove(idle);
            continue;
        }
        let ear = (0..n).map(|k| (start + k) % n).find(|&i| is_ear(&ring, i));
        let Some(i) = ear else {
            let idle = (0..n).find(|&i| side(ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]) == 0)?;
            ring.remove(idle);
            continue;
        };
        triangles.push([ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]]);
        ring.remove(i);
        start = i;
    }
    Some(triangles)
}

/// Joins neighbours across their common edges, the longest first, while they
/// stay convex. What could not be joined once cannot be later: pieces only grow.
fn merge(triangles: Vec<[P; 3]>) -> Vec<Ring> {
    let mut pieces: Vec<Ring> = triangles.into_iter().map(|t| t.to_vec()).collect();
    let mut common: Vec<(i128, P, P)> = Vec::new();
    let mut all: Vec<(P, P)> = pieces.iter().flat_map(|p| edges(p)).collect();
    all.sort_unstable();
    for &(p, q) in &all {
        if p < q && all.binary_search(&(q, p)).is_ok() {
            let way = q.minus(p);
            common.push((-way.dot(way), p, q));
        }
    }
    common.sort_unstable();
    for (_, p, q) in common {
        let holds = |piece: &Ring, from: P, to: P| edges(piece).any(|e| e == (from, to));
        let one = pieces.iter().position(|r| holds(r, p, q));
        let other = pieces.iter().position(|r| holds(r, q, p));
        let (Some(i), Some(j)) = (one, other) else { continue };
        if let Some(joined) = join(&pieces[i], &pieces[j]) {
            pieces[i.min(j)] = joined;
            pieces.remove(i.max(j));
        }
    }
    pieces
}

/// Two convex pieces joined at a common edge, if the whole is convex.
fn join(a: &[P], b: &[P]) -> Option<Ring> {
    let (n, m) = (a.len(), b.len());
    for i in 0..n {
        let (p, q) = (a[i], a[(i + 1) % n]);
        for j in 0..m {
            if b[j] != q || b[(j + 1) % m] != p {
                continue;
            }
            // From q once around a to p, then from p once around b to q.
            let mut ring: Ring = (0..n).map(|k| a[(i + 1 + k) % n]).collect();
            ring.extend((1..m - 1).map(|k| b[(j + 1 + k) % m]));
            let r = ring.len();
            let convex = (0..r).all(|k| side(ring[k], ring[(k + 1) % r], ring[(k + 2) % r]) >= 0);
            return convex.then(|| straightened(&ring));
        }
    }
    None
}

/// Without corners in the middle of an edge, which joining leaves behind.
fn straightened(ring: &[P]) -> Ring {
    let n = ring.len();
    (0..n).filter(|&i| side(ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]) != 0).map(|i| ring[i]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cut::shapes::ring::place_of;

    fn ring(points: &[(i64, i64)]) -> Ring {
        points.iter().map(|&(x, y)| P::new(x, y)).collect()
    }

    fn convex(piece: &[P]) -> bool {
        let n = piece.len();
        (0..n).all(|k| side(piece[k], piece[(k + 1) % n], piece[(k + 2) % n]) > 0)
    }

    #[test]
    fn an_angle_is_two_pieces_and_a_frame_four() {
        let angle = ring(&[(0, 0), (100, 0), (100, 20), (20, 20), (20, 100), (0, 100)]);
        assert_eq!(convex_pieces(&angle, &[]).map(|p| p.len()), Some(2));
        let outer = ring(&[(0, 0), (100, 0), (100, 100), (0, 100)]);
        let hole = ring(&[(30, 30), (70, 30), (70, 70), (30, 70)]);
        assert_eq!(convex_pieces(&outer, &[hole]).map(|p| p.len()), Some(4));
    }

    #[test]
    fn random_outlines_with_holes_are_covered_exactly() {
        let mut seed = 7_u64;
        let mut below = |n: i64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) as i64 % n
        };
        for round in 0..2_000 {
            let n = 3 + below(20);
            let star = |n: i64, low: i64, high: i64, middle: P, below: &mut dyn FnMut(i64) -> i64| -> Ring {
                (0..n)
                    .map(|k| {
                        let angle = k as f64 / n as f64 * std::f64::consts::TAU;
                        let r = (low + below(high - low)) as f64;
                        middle.plus(P::new(
                            libm::round(r * libm::cos(angle)) as i64,
                            libm::round(r * libm::sin(angle)) as i64,
                        ))
                    })
                    .collect()
            };
            let outer = star(n.max(8), 700, 1000, P::new(0, 0), &mut below);
            let mut holes = Vec::new();
            for (x, y) in [(-250, -250), (250, -250), (-250, 250), (250, 250)] {
                if below(2) == 0 {
                    holes.push(star(3 + below(9), 50, 240, P::new(x, y), &mut below));
                }
            }
            let pieces = convex_pieces(&outer, &holes).unwrap_or_else(|| panic!("round {round}: {outer:?} {holes:?}"));
            assert!(pieces.iter().all(|p| convex(p)), "round {round}");
            for _ in 0..50 {
                let p = P::new(below(2200) - 1100, below(2200) - 1100);
                let inside = pieces.iter().filter(|q| place_of(q, p) > 0).count();
                let meant = place_of(&outer, p) > 0 && holes.iter().all(|h| place_of(h, p) < 0);
                let edge = pieces.iter().any(|q| place_of(q, p) == 0);
                assert!(edge || inside == usize::from(meant), "round {round} {p:?}");
            }
        }
    }
}
