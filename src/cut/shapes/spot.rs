//! Where a part may lie among those laid already: everything that stands in its
//! way, and how good a place is.

use crate::cut::shapes::form::Form;
use crate::cut::shapes::ring::P;
use crate::cut::shapes::zone::Zone;
use std::sync::Arc;

/// Everything that stands in one part's way, for one way it may lie.
#[derive(Debug, Default)]
pub(super) struct Scene {
    /// Room for the origin by boxes alone.
    pub lo: P,
    pub hi: P,
    /// Zones, and where their own origin lies.
    pub zones: Vec<(Arc<Zone>, P)>,
}

/// What is best: the least `x` times the first plus `y` times the second.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rule {
    pub x: f64,
    pub y: f64,
}

impl Rule {
    pub fn score(self, x: f64, y: f64) -> f64 {
        self.x * x + self.y * y
    }
}

impl Scene {
    /// The point is allowed; exact.
    pub fn allows(&self, p: P) -> bool {
        p.x >= self.lo.x
            && p.y >= self.lo.y
            && p.x <= self.hi.x
            && p.y <= self.hi.y
            && !self.zones.iter().any(|(zone, at)| zone.holds(p.minus(*at)))
    }

    /// Looks no farther than a part in this form can come to lie against what
    /// was in a box: a gap's polygon reaches at most 4 % beyond its circle.
    pub fn only_near(&mut self, form: &Form, (lo, hi): (P, P), gap: i64) {
        let far = gap + gap / 20 + 10;
        self.lo = P::new(self.lo.x.max(lo.x - far - form.hi.x), self.lo.y.max(lo.y - far - form.hi.y));
        self.hi = P::new(self.hi.x.min(hi.x + far - form.lo.x), self.hi.y.min(hi.y + far - form.lo.y));
    }

    /// Whole nanometres beside a proposed point, the best allowed one.
    pub fn nearest_allowed(&self, point: [f64; 2], rule: Rule, limit: f64) -> Option<(P, f64)> {
        let near = [libm::round(point[0]) as i64, libm::round(point[1]) as i64];
        let mut best: Option<(P, f64)> = None;
        for ring in 0..=2_i64 {
            for dx in -ring..=ring {
                for dy in -ring..=ring {
                    if dx.abs().max(dy.abs()) != ring {
                        continue;
                    }
                    let p = P::new(near[0] + dx, near[1] + dy);
                    let score = rule.score(p.x as f64, p.y as f64);
                    if score < best.map_or(limit, |b| b.1) && self.allows(p) {
                        best = Some((p, score));
                    }
                }
            }
            if best.is_some() {
                break;
            }
        }
        best
    }
}
