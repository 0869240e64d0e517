//! The best allowed place for a part among those laid already.
//!
//! The borders of all zones are walked; where a border leaves every other zone
//! a corner of the allowed region begins, and the best of these corners by a
//! linear rule is the answer. Floats propose a corner, whole numbers decide.

use crate::cut::effort::Budget;
use crate::cut::shapes::ring::P;
use crate::cut::shapes::zone::{SLACK, Zone};
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

/// Room kept between calls.
#[derive(Debug, Default)]
pub(super) struct Scratch {
    /// Lowest score, start and way of a border within the room.
    walks: Vec<(f64, [f64; 2], [f64; 2])>,
    taken: Vec<(f64, f64)>,
    /// Zone and patch that covered the last border altogether: the next border
    /// is mostly near and covered by the same.
    last: (usize, usize),
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

    /// The best allowed corner with a score below the limit.
    pub fn best(&self, rule: Rule, limit: f64, scratch: &mut Scratch, budget: &mut Budget) -> Option<(P, f64)> {
        let Scratch { walks, taken, last } = scratch;
        walks.clear();
        self.list_walks(rule, limit, walks);
        budget.spend(2 + walks.len() as u64 / 4);
        walks.sort_unstable_by(|a, b| {
            (a.0.total_cmp(&b.0)).then_with(|| a.1[0].total_cmp(&b.1[0])).then_with(|| a.1[1].total_cmp(&b.1[1]))
        });
        let mut best: Option<(P, f64)> = None;
        for &(least, at, way) in walks.iter() {
            let limit = best.map_or(limit, |b| b.1);
            if least >= limit {
                break;
            }
            if let Some(found) = self.walk(at, way, rule, limit, (taken, last), budget) {
                best = Some(found);
            }
            if budget.left() == 0 {
                break;
            }
        }
        best
    }

    /// Every border within the room, turned so that the score rises along it.
    fn list_walks(&self, rule: Rule, limit: f64, walks: &mut Vec<(f64, [f64; 2], [f64; 2])>) {
        let (lo, hi) = ([self.lo.x as f64, self.lo.y as f64], [self.hi.x as f64, self.hi.y as f64]);
        let size = [hi[0] - lo[0], hi[1] - lo[1]];
        let mut push = |at: [f64; 2], way: [f64; 2]| {
            let Some((from, to)) = clip_to_box(at, way, lo, hi) else { return };
            let mut start = [at[0] + way[0] * from, at[1] + way[1] * from];
            let mut way = [way[0] * (to - from), way[1] * (to - from)];
            if rule.score(way[0], way[1]) < 0.0 {
                start = [start[0] + way[0], start[1] + way[1]];
                way = [-way[0], -way[1]];
            }
            let least = rule.score(start[0], start[1]);
            if least < limit {
                walks.push((least, start, way));
            }
        };
        push(lo, [size[0], 0.0]);
        push(lo, [0.0, size[1]]);
        push(hi, [-size[0], 0.0]);
        push(hi, [0.0, -size[1]]);
        for (zone, at) in &self.zones {
            if zone.lo.x + at.x > self.hi.x
                || zone.hi.x + at.x < self.lo.x
                || zone.lo.y + at.y > self.hi.y
                || zone.hi.y + at.y < self.lo.y
            {
                continue;
            }
            let shift = [at.x as f64, at.y as f64];
            for b in &zone.borders {
                push([b.at[0] + shift[0], b.at[1] + shift[1]], b.way);
            }
        }
    }

    /// The first allowed point along a way with a score below the limit.
    fn walk(
        &self,
        at: [f64; 2],
        way: [f64; 2],
        rule: Rule,
        limit: f64,
        (taken, last): (&mut Vec<(f64, f64)>, &mut (usize, usize)),
        budget: &mut Budget,
    ) -> Option<(P, f64)> {
        taken.clear();
        if let Some((zone, shift)) = self.zones.get(last.0)
            && let Some(patch) = zone.patches.get(last.1)
            && patch
                .clip([at[0] - shift.x as f64, at[1] - shift.y as f64], way, SLACK)
                .is_some_and(|part| part.0 <= 0.0 && part.1 >= 1.0)
        {
            budget.spend(1);
            return None;
        }
        let end = [at[0] + way[0], at[1] + way[1]];
        let lo = [at[0].min(end[0]), at[1].min(end[1])];
        let hi = [at[0].max(end[0]), at[1].max(end[1])];
        let mut steps = 1;
        for (z, (zone, shift)) in self.zones.iter().enumerate() {
            let s = [shift.x as f64, shift.y as f64];
            let beside = |l: P, h: P| {
                l.x as f64 + s[0] >= hi[0]
                    || h.x as f64 + s[0] <= lo[0]
                    || l.y as f64 + s[1] >= hi[1]
                    || h.y as f64 + s[1] <= lo[1]
            };
            if beside(zone.lo, zone.hi) {
                continue;
            }
            let from = [at[0] - s[0], at[1] - s[1]];
            for (k, patch) in zone.patches.iter().enumerate() {
                if beside(patch.lo, patch.hi) {
                    continue;
                }
                steps += 1 + patch.ring.len() as u64 / 16;
                if let Some(part) = patch.clip(from, way, SLACK) {
                    if part.0 <= 0.0 && part.1 >= 1.0 {
                        budget.spend(steps);
                        *last = (z, k);
                        return None;
                    }
                    taken.push(part);
                }
            }
        }
        budget.spend(steps);
        taken.sort_unstable_by(|k, l| k.0.total_cmp(&l.0).then(k.1.total_cmp(&l.1)));
        self.first_free(at, way, rule, limit, taken)
    }

    /// The first allowed point along a way between the parts of it that are
    /// taken, sorted.
    fn first_free(
        &self,
        at: [f64; 2],
        way: [f64; 2],
        rule: Rule,
        limit: f64,
        taken: &[(f64, f64)],
    ) -> Option<(P, f64)> {
        let mut t = 0.0;
        let mut next = 0;
        loop {
            while next < taken.len() && (taken[next].0 < t || taken[next].0 <= 0.0) {
                t = f64::max(t, taken[next].1);
                next += 1;
            }
            let point = [at[0] + way[0] * t, at[1] + way[1] * t];
            if t > 1.0 || rule.score(point[0], point[1]) >= limit {
                return None;
            }
            if let Some(found) = self.nearest_allowed(point, rule, limit) {
                return Some(found);
            }
            // The proposal was in the slack of some zone: go on to where the
            // next one ends.
            let (_, end) = *taken.get(next)?;
            t = f64::max(t, end);
            next += 1;
        }
    }

    /// Whole nanometres beside a proposed point, the best allowed one.
    fn nearest_allowed(&self, point: [f64; 2], rule: Rule, limit: f64) -> Option<(P, f64)> {
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

/// The part of a segment inside a closed box, as shares of its length.
fn clip_to_box(at: [f64; 2], way: [f64; 2], lo: [f64; 2], hi: [f64; 2]) -> Option<(f64, f64)> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for k in 0..2 {
        if libm::fabs(way[k]) < 1e-9 {
            if at[k] < lo[k] || at[k] > hi[k] {
                return None;
            }
            continue;
        }
        let (a, b) = ((lo[k] - at[k]) / way[k], (hi[k] - at[k]) / way[k]);
        from = from.max(a.min(b));
        to = to.min(a.max(b));
    }
    (from <= to).then_some((from, to))
}
