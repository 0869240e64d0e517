//! The last look at every layout before it is handed out: whole numbers only,
//! from the outlines as laid, without the zones of the search.

use crate::cut::shapes::pieces::convex_pieces;
use crate::cut::shapes::ring::{P, Ring, area2, around, edges, place_of, segments_meet, side};

/// Steel with its outline and holes, all counter-clockwise.
#[derive(Clone, Debug)]
pub(super) struct Body {
    pub outer: Ring,
    pub holes: Vec<Ring>,
}

impl Body {
    fn rings(&self) -> impl Iterator<Item = &Ring> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    /// Inside the steel, not on its border.
    fn holds(&self, p: P) -> bool {
        place_of(&self.outer, p) > 0 && self.holes.iter().all(|h| place_of(h, p) < 0)
    }
}

/// The square of the distance of a point from a segment is at least gap2.
fn point_clear(p: P, a: P, b: P, gap: i64) -> bool {
    let (way, to) = (b.minus(a), p.minus(a));
    let gap2 = i128::from(gap) * i128::from(gap);
    let along = way.dot(to);
    if along <= 0 {
        return to.dot(to) >= gap2;
    }
    let length2 = way.dot(way);
    if along >= length2 {
        let off = p.minus(b);
        return off.dot(off) >= gap2;
    }
    // Coordinates end at 30 m and gaps at 0.1 m: gap2 * length2 stays below
    // 2^118, and a product whose square would not fit is larger than that.
    let cross = way.cross(to).unsigned_abs();
    cross >= 1 << 63 || cross * cross >= (gap2 * length2).unsigned_abs()
}

/// Two segments keep the gap, above 0.
fn segments_clear(a: P, b: P, c: P, d: P, gap: i64) -> bool {
    let beyond = a.x.min(b.x) - c.x.max(d.x) >= gap
        || c.x.min(d.x) - a.x.max(b.x) >= gap
        || a.y.min(b.y) - c.y.max(d.y) >= gap
        || c.y.min(d.y) - a.y.max(b.y) >= gap;
    beyond
        || (!segments_meet(a, b, c, d)
            && point_clear(a, c, d, gap)
            && point_clear(b, c, d, gap)
            && point_clear(c, a, b, gap)
            && point_clear(d, a, b, gap))
}

/// All rings of one body keep the gap from all rings of another.
fn rings_clear(a: &Body, b: &Body, gap: i64) -> bool {
    a.rings().all(|ra| {
        b.rings().all(|rb| {
            let ((alo, ahi), (blo, bhi)) = (around(ra), around(rb));
            alo.x - bhi.x >= gap
                || blo.x - ahi.x >= gap
                || alo.y - bhi.y >= gap
                || blo.y - ahi.y >= gap
                || edges(ra).all(|(p, q)| edges(rb).all(|(r, s)| segments_clear(p, q, r, s, gap)))
        })
    })
}

/// The insides of two convex pieces have no common point: one edge parts them.
fn pieces_apart(a: &[P], b: &[P]) -> bool {
    let parts = |x: &[P], y: &[P]| edges(x).any(|(p, q)| y.iter().all(|&c| side(p, q, c) <= 0));
    parts(a, b) || parts(b, a)
}

fn all_apart(a: &[Ring], b: &[Ring]) -> bool {
    a.iter().all(|p| b.iter().all(|q| pieces_apart(p, q)))
}

/// Two parts keep the gap; with none they may touch, but not overlap.
fn apart(a: &Body, b: &Body, gap: i64) -> bool {
    if gap > 0 {
        return rings_clear(a, b, gap) && !a.holds(b.outer[0]) && !b.holds(a.outer[0]);
    }
    let ((alo, ahi), (blo, bhi)) = (around(&a.outer), around(&b.outer));
    if alo.x >= bhi.x || blo.x >= ahi.x || alo.y >= bhi.y || blo.y >= ahi.y {
        return true;
    }
    match (convex_pieces(&a.outer, &a.holes), convex_pieces(&b.outer, &b.holes)) {
        (Some(a), Some(b)) => all_apart(&a, &b),
        _ => false,
    }
}

/// A leftover keeps the gap from all parts; it has more than that in hand, so
/// without a gap it still must not touch.
pub(super) fn leftover_clear(left: &Body, parts: &[(Body, i128)], gap: i64) -> bool {
    parts.iter().all(|(part, _)| {
        rings_clear(left, part, gap.max(1)) && !left.holds(part.outer[0]) && !part.holds(left.outer[0])
    })
}

/// A part lies in a plate and keeps the edge gap.
fn within(part: &Body, plate: &Body, edge: i64) -> bool {
    if edge > 0 {
        return rings_clear(part, plate, edge)
            && plate.holds(part.outer[0])
            && plate.holes.iter().all(|h| !part.holds(h[0]));
    }
    // Steel inside steel: no common point with a frame around the plate.
    let ((plo, phi), (lo, hi)) = (around(&part.outer), around(&plate.outer));
    if plo.x < lo.x || plo.y < lo.y || phi.x > hi.x || phi.y > hi.y {
        return false;
    }
    let far = 1_000;
    let frame = vec![
        P::new(lo.x - far, lo.y - far),
        P::new(hi.x + far, lo.y - far),
        P::new(hi.x + far, hi.y + far),
        P::new(lo.x - far, hi.y + far),
    ];
    let outside = convex_pieces(&frame, std::slice::from_ref(&plate.outer));
    match (convex_pieces(&part.outer, &part.holes), outside) {
        (Some(steel), Some(outside)) => {
            all_apart(&steel, &outside)
                && plate.holes.iter().all(|h| convex_pieces(h, &[]).is_some_and(|h| all_apart(&steel, &h)))
        }
        _ => false,
    }
}

/// All parts lie within the plate, keep the gap from each other, and have the
/// area they should have (twice it is given).
pub(super) fn sound(parts: &[(Body, i128)], plate: &Body, gap: i64, edge: i64) -> bool {
    // Rounding the corners of a turned part moves each edge by less than a
    // nanometre.
    let area = |(body, area): &(Body, i128)| {
        let now = area2(&body.outer) - body.holes.iter().map(|h| area2(h)).sum::<i128>();
        let length: i128 =
            body.rings().flat_map(|r| edges(r)).map(|(a, b)| i128::from((b.x - a.x).abs() + (b.y - a.y).abs())).sum();
        (now - area).abs() <= 2 * length + 100
    };
    parts.iter().all(|p| area(p) && within(&p.0, plate, edge))
        && (0..parts.len()).all(|i| (0..i).all(|j| apart(&parts[i].0, &parts[j].0, gap)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rectangle(x: i64, y: i64, length: i64, width: i64) -> Ring {
        vec![P::new(x, y), P::new(x + length, y), P::new(x + length, y + width), P::new(x, y + width)]
    }

    fn body(outer: Ring, holes: Vec<Ring>) -> (Body, i128) {
        let area = area2(&outer) - holes.iter().map(|h| area2(h)).sum::<i128>();
        (Body { outer, holes }, area)
    }

    #[test]
    fn a_nanometre_too_near_is_found() {
        let plate = body(rectangle(0, 0, 100_000, 50_000), vec![rectangle(80_000, 10_000, 5_000, 5_000)]).0;
        let part = |x, y| body(rectangle(x, y, 10_000, 10_000), vec![]);
        assert!(sound(&[part(2_000, 2_000), part(15_000, 2_000)], &plate, 3_000, 2_000));
        assert!(!sound(&[part(2_000, 2_000), part(14_999, 2_000)], &plate, 3_000, 2_000));
        assert!(!sound(&[part(1_999, 2_000)], &plate, 3_000, 2_000));
        assert!(!sound(&[part(69_000, 2_000)], &plate, 3_000, 2_000));
        assert!(!sound(&[part(77_000, 7_000)], &plate, 3_000, 2_000), "around the hole");
        assert!(!sound(&[part(200_000, 7_000)], &plate, 3_000, 2_000), "outside");
        assert!(sound(&[part(0, 0), part(10_000, 0)], &plate, 0, 0), "touching without a gap");
        assert!(!sound(&[part(0, 0), part(9_999, 0)], &plate, 0, 0));
        assert!(!sound(&[part(77_000, 7_000)], &plate, 0, 0));
        let ring = body(rectangle(20_000, 5_000, 30_000, 30_000), vec![rectangle(25_000, 10_000, 20_000, 20_000)]);
        assert!(sound(&[ring.clone(), part(28_000, 13_000)], &plate, 3_000, 2_000));
        assert!(!sound(&[ring.clone(), part(27_999, 13_000)], &plate, 3_000, 2_000));
        assert!(sound(&[ring.clone(), part(25_000, 10_000)], &plate, 0, 0));
        assert!(!sound(&[ring.clone(), ring], &plate, 0, 0));
    }
}
