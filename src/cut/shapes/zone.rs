//! Zones: where the origin of a part must not come, beside another part or
//! beside the edge of a sheet.
//!
//! A zone is a union of open convex patches, each the sum of a convex piece of
//! what stands still, the gap polygon, and a mirrored convex piece of the part.
//! Two regions share an inner point exactly if two of their pieces do, so the
//! union is exact, and a point on the border of all patches it touches is
//! allowed: that is how a part exactly as wide as its remnant fits, though the
//! allowed region has no area.
//!
//! # Source
//! No-fit polygons: Bennell & Oliveira 2008, EJOR 184; sums by pieces as in
//! Behar & Lien 2011, "Fast and robust 2D Minkowski sum using reduced
//! convolution"; both from memory.

use crate::cut::shapes::ring::{P, Ring, around, edges, place_of, side};

/// How deep a point must lie in a patch, nm, to be passed over when places are
/// proposed; whole numbers decide afterwards.
pub(super) const SLACK: f64 = 1.5;

/// An open convex region.
#[derive(Clone, Debug)]
pub(super) struct Patch {
    pub ring: Ring,
    pub lo: P,
    pub hi: P,
    /// Inward unit normal and offset of each edge: depth = x nx + y ny - d.
    pub half: Vec<[f64; 3]>,
}

impl Patch {
    pub fn new(ring: Ring) -> Patch {
        let (lo, hi) = around(&ring);
        let half = edges(&ring)
            .map(|(a, b)| {
                let (x, y) = ((b.x - a.x) as f64, (b.y - a.y) as f64);
                let length = libm::sqrt(x * x + y * y);
                let (nx, ny) = (-y / length, x / length);
                [nx, ny, nx * a.x as f64 + ny * a.y as f64]
            })
            .collect();
        Patch { ring, lo, hi, half }
    }

    /// The point lies inside, not only on the border; exact.
    #[inline]
    pub fn holds(&self, p: P) -> bool {
        p.x > self.lo.x
            && p.y > self.lo.y
            && p.x < self.hi.x
            && p.y < self.hi.y
            && edges(&self.ring).all(|(a, b)| side(a, b, p) > 0)
    }

    /// Covers another patch altogether.
    fn covers(&self, other: &Patch) -> bool {
        self.lo.x <= other.lo.x
            && self.lo.y <= other.lo.y
            && self.hi.x >= other.hi.x
            && self.hi.y >= other.hi.y
            && other.ring.iter().all(|&p| place_of(&self.ring, p) >= 0)
    }
}

/// Where a part's origin must not come.
#[derive(Clone, Debug, Default)]
pub(super) struct Zone {
    pub patches: Vec<Patch>,
    pub lo: P,
    pub hi: P,
}

impl Zone {
    /// From convex rings.
    pub fn new(rings: Vec<Ring>) -> Zone {
        let all: Vec<Patch> = rings.into_iter().filter(|r| r.len() > 2).map(Patch::new).collect();
        let mut patches: Vec<Patch> = Vec::with_capacity(all.len());
        for (i, patch) in all.iter().enumerate() {
            let twin = |o: &Patch| patch.covers(o);
            let idle = all.iter().enumerate().any(|(j, o)| j != i && o.covers(patch) && (j < i || !twin(o)));
            if !idle {
                patches.push(patch.clone());
            }
        }
        let corners: Vec<P> = patches.iter().flat_map(|p| [p.lo, p.hi]).collect();
        let (lo, hi) = around(&corners);
        Zone { patches, lo, hi }
    }

    /// The point is forbidden; exact.
    #[inline]
    pub fn holds(&self, p: P) -> bool {
        p.x > self.lo.x
            && p.y > self.lo.y
            && p.x < self.hi.x
            && p.y < self.hi.y
            && self.patches.iter().any(|patch| patch.holds(p))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rectangle(x: i64, y: i64, length: i64, width: i64) -> Ring {
        vec![P::new(x, y), P::new(x + length, y), P::new(x + length, y + width), P::new(x, y + width)]
    }

    #[test]
    fn a_border_is_allowed_and_the_inside_is_not() {
        let zone = Zone::new(vec![rectangle(0, 0, 1000, 1000), rectangle(500, 0, 1500, 1000)]);
        assert!(zone.holds(P::new(1, 1)) && zone.holds(P::new(1000, 500)) && zone.holds(P::new(1999, 999)));
        assert!(!zone.holds(P::new(0, 500)) && !zone.holds(P::new(2000, 500)) && !zone.holds(P::new(700, 1000)));
    }

    #[test]
    fn what_another_patch_covers_is_dropped() {
        let zone =
            Zone::new(vec![rectangle(0, 0, 1000, 1000), rectangle(0, 0, 1000, 1000), rectangle(10, 0, 500, 500)]);
        assert_eq!(zone.patches.len(), 1);
    }
}
