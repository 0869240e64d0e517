//! The best allowed place for a part among those laid already.
//!
//! The room for the part's origin is halved again and again. What one patch of
//! a zone covers altogether is passed over, and patches that do not reach a
//! cell are not looked at there any more; in a cell with few edges left these
//! are walked: where one leaves all other patches, a corner of the allowed
//! region begins, and the best of these corners by a linear rule is the answer.
//! Floats propose a corner, whole numbers decide.

use crate::cut::effort::Budget;
use crate::cut::shapes::ring::P;
use crate::cut::shapes::spot::{Rule, Scene};
use crate::cut::shapes::zone::SLACK;

/// Edges in a cell below which they are walked.
const FEW: usize = 8;
/// Most halvings of the room.
const DEEPEST: u32 = 26;
/// Halvings in a row that may leave as many edges before they are walked.
const IDLE: u32 = 3;
/// How far on a place is tried where it is nearly free, nm: enough for patches
/// that are left at a tenth of a degree.
const AHEAD: [f64; 6] = [0.0, 4.0, 16.0, 64.0, 256.0, 1024.0];
/// Edges looked at in one step of the budget.
const A_STEP: usize = 64;

/// An edge of a patch, where the patch lies in the scene.
#[derive(Clone, Copy, Debug)]
struct Edge {
    /// Inward unit normal and offset: depth = x nx + y ny - d.
    nx: f64,
    ny: f64,
    d: f64,
    /// Its zone, patch and number.
    of: (u32, u32, u32),
}

/// Room kept between calls: the edges that matter in a cell and in those it is
/// a part of, one after the other, those of one patch together.
#[derive(Debug, Default)]
pub(super) struct Scratch {
    edges: Vec<Edge>,
    taken: Vec<(f64, f64)>,
}

/// A part of the room, closed.
#[derive(Clone, Copy, Debug)]
struct Cell {
    lo: [f64; 2],
    hi: [f64; 2],
    /// Halvings left, and those in a row that changed nothing.
    left: u32,
    idle: u32,
}

/// How an edge lies to a cell.
enum Lies {
    /// All of the cell is outside: so is it of the patch.
    Outside,
    Across,
    /// All of the cell is on the inner side.
    Inside,
}

impl Cell {
    fn lies(&self, e: &Edge) -> Lies {
        let (x, y) = ((self.lo[0] + self.hi[0]) / 2.0, (self.lo[1] + self.hi[1]) / 2.0);
        let middle = x * e.nx + y * e.ny - e.d;
        let reach = libm::fabs(e.nx) * (self.hi[0] - x) + libm::fabs(e.ny) * (self.hi[1] - y);
        if middle + reach <= -SLACK {
            Lies::Outside
        } else if middle - reach >= SLACK {
            Lies::Inside
        } else {
            Lies::Across
        }
    }

    /// Least score in it.
    fn least(&self, rule: Rule) -> f64 {
        let low = |k: usize, weight: f64| if weight >= 0.0 { self.lo[k] } else { self.hi[k] };
        rule.score(low(0, rule.x), low(1, rule.y))
    }

    /// Its halves across the longer side, the one with the lower score first.
    fn halves(&self, rule: Rule) -> [Cell; 2] {
        let axis = usize::from(self.hi[1] - self.lo[1] > self.hi[0] - self.lo[0]);
        let middle = (self.lo[axis] + self.hi[axis]) / 2.0;
        let (mut low, mut high) = (*self, *self);
        (low.hi[axis], high.lo[axis]) = (middle, middle);
        (low.left, high.left) = (self.left - 1, self.left - 1);
        if [rule.x, rule.y][axis] >= 0.0 { [low, high] } else { [high, low] }
    }
}

/// A search under way.
struct Hunt<'a> {
    scene: &'a Scene,
    rule: Rule,
    /// Lowest score found, or the one to stay below.
    limit: f64,
    best: Option<P>,
    edges: &'a mut Vec<Edge>,
    taken: &'a mut Vec<(f64, f64)>,
    budget: &'a mut Budget,
}

impl Scene {
    /// The best allowed corner with a score below the limit.
    pub fn best(&self, rule: Rule, limit: f64, scratch: &mut Scratch, budget: &mut Budget) -> Option<(P, f64)> {
        let Scratch { edges, taken } = scratch;
        edges.clear();
        budget.spend(2);
        let room = Cell {
            lo: [self.lo.x as f64, self.lo.y as f64],
            hi: [self.hi.x as f64, self.hi.y as f64],
            left: DEEPEST,
            idle: 0,
        };
        let mut hunt = Hunt { scene: self, rule, limit, best: None, edges, taken, budget };
        if !hunt.all_edges(&room) {
            hunt.search(room, 0);
        }
        hunt.best.map(|p| (p, hunt.limit))
    }
}

impl Hunt<'_> {
    /// Lists the edges that cross the room; true if one patch covers it all.
    fn all_edges(&mut self, room: &Cell) -> bool {
        let mut looked = 0;
        for (z, (zone, at)) in self.scene.zones.iter().enumerate() {
            let shift = [at.x as f64, at.y as f64];
            let beside = |lo: P, hi: P| {
                lo.x as f64 + shift[0] > room.hi[0]
                    || hi.x as f64 + shift[0] < room.lo[0]
                    || lo.y as f64 + shift[1] > room.hi[1]
                    || hi.y as f64 + shift[1] < room.lo[1]
            };
            if beside(zone.lo, zone.hi) {
                continue;
            }
            for (k, patch) in zone.patches.iter().enumerate() {
                if beside(patch.lo, patch.hi) {
                    continue;
                }
                let first = self.edges.len();
                let mut outside = false;
                for (i, h) in patch.half.iter().enumerate() {
                    looked += 1;
                    let d = h[2] + h[0] * shift[0] + h[1] * shift[1];
                    let edge = Edge { nx: h[0], ny: h[1], d, of: (z as u32, k as u32, i as u32) };
                    match room.lies(&edge) {
                        Lies::Outside => {
                            outside = true;
                            break;
                        }
                        Lies::Across => self.edges.push(edge),
                        Lies::Inside => {}
                    }
                }
                if outside {
                    self.edges.truncate(first);
                } else if self.edges.len() == first {
                    self.budget.spend((looked / A_STEP) as u64);
                    return true;
                }
            }
        }
        self.budget.spend((looked / A_STEP) as u64);
        false
    }

    /// Searches a cell; the edges from `first` on are those that matter in it.
    fn search(&mut self, cell: Cell, first: usize) {
        let last = self.edges.len();
        let few = last - first <= FEW || cell.left == 0 || cell.idle == IDLE;
        if few {
            self.walk_all(&cell, first, last);
            return;
        }
        for mut half in cell.halves(self.rule) {
            if half.least(self.rule) >= self.limit || self.budget.left() == 0 {
                continue;
            }
            if !self.edges_in(&half, first, last) {
                half.idle = if self.edges.len() - last == last - first { cell.idle + 1 } else { 0 };
                self.search(half, last);
            }
            self.edges.truncate(last);
        }
    }

    /// Of some edges, lists behind them those that matter in a cell; true if one
    /// patch covers it all.
    fn edges_in(&mut self, cell: &Cell, first: usize, last: usize) -> bool {
        let mut k = first;
        let mut covered = false;
        while k < last && !covered {
            let (zone, patch, _) = self.edges[k].of;
            let start = self.edges.len();
            let mut outside = false;
            while k < last && (self.edges[k].of.0, self.edges[k].of.1) == (zone, patch) {
                let edge = self.edges[k];
                if !outside {
                    match cell.lies(&edge) {
                        Lies::Outside => outside = true,
                        Lies::Across => self.edges.push(edge),
                        Lies::Inside => {}
                    }
                }
                k += 1;
            }
            if outside {
                self.edges.truncate(start);
            } else {
                covered = self.edges.len() == start;
            }
        }
        self.budget.spend(((k - first + A_STEP / 2) / A_STEP) as u64);
        covered
    }

    /// Walks all edges that matter in a cell, and the borders of the room.
    fn walk_all(&mut self, cell: &Cell, first: usize, last: usize) {
        let (lo, hi) = (self.scene.lo, self.scene.hi);
        let size = [cell.hi[0] - cell.lo[0], cell.hi[1] - cell.lo[1]];
        if cell.lo[1] == lo.y as f64 {
            self.walk(cell.lo, [size[0], 0.0], (first, last, last));
        }
        if cell.lo[0] == lo.x as f64 {
            self.walk(cell.lo, [0.0, size[1]], (first, last, last));
        }
        if cell.hi[1] == hi.y as f64 {
            self.walk(cell.hi, [-size[0], 0.0], (first, last, last));
        }
        if cell.hi[0] == hi.x as f64 {
            self.walk(cell.hi, [0.0, -size[1]], (first, last, last));
        }
        for k in first..last {
            let (zone, patch, i) = self.edges[k].of;
            let (zone, at) = &self.scene.zones[zone as usize];
            let ring = &zone.patches[patch as usize].ring;
            let (a, b) = (ring[i as usize].plus(*at), ring[(i as usize + 1) % ring.len()].plus(*at));
            let start = [a.x as f64, a.y as f64];
            let way = [(b.x - a.x) as f64, (b.y - a.y) as f64];
            let Some((from, to)) = clip_to_box(start, way, cell.lo, cell.hi) else { continue };
            let start = [start[0] + way[0] * from, start[1] + way[1] * from];
            self.walk(start, [way[0] * (to - from), way[1] * (to - from)], (first, last, k));
        }
        self.budget.spend((((last - first) * (last - first + 4)) / A_STEP) as u64);
    }

    /// Takes the first allowed point along a way with a score below the limit;
    /// the patch of the edge that is walked does not stand in its way.
    fn walk(&mut self, at: [f64; 2], way: [f64; 2], (first, last, walked): (usize, usize, usize)) {
        let (mut at, mut way) = (at, way);
        if self.rule.score(way[0], way[1]) < 0.0 {
            at = [at[0] + way[0], at[1] + way[1]];
            way = [-way[0], -way[1]];
        }
        if self.rule.score(at[0], at[1]) >= self.limit {
            return;
        }
        let own = self.edges.get(walked).filter(|_| walked < last).map(|e| (e.of.0, e.of.1));
        self.taken.clear();
        let mut k = first;
        while k < last {
            let patch = (self.edges[k].of.0, self.edges[k].of.1);
            let start = k;
            while k < last && (self.edges[k].of.0, self.edges[k].of.1) == patch {
                k += 1;
            }
            if own == Some(patch) {
                continue;
            }
            if let Some(part) = clip(&self.edges[start..k], at, way) {
                if part.0 <= 0.0 && part.1 >= 1.0 {
                    return;
                }
                self.taken.push(part);
            }
        }
        self.taken.sort_unstable_by(|k, l| k.0.total_cmp(&l.0).then(k.1.total_cmp(&l.1)));
        self.first_free(at, way);
    }

    /// The first allowed point along a way between the parts of it that are
    /// taken, sorted.
    fn first_free(&mut self, at: [f64; 2], way: [f64; 2]) {
        let mut t = 0.0;
        let mut next = 0;
        let length = libm::hypot(way[0], way[1]).max(1.0);
        loop {
            while next < self.taken.len() && (self.taken[next].0 < t || self.taken[next].0 <= 0.0) {
                t = f64::max(t, self.taken[next].1);
                next += 1;
            }
            // A patch that is left at a shallow angle is left by its slack some way on.
            let until = self.taken.get(next).map_or(1.0, |part| part.0);
            for ahead in AHEAD {
                let on = t + ahead / length;
                let point = [at[0] + way[0] * on, at[1] + way[1] * on];
                if on > 1.0 || self.rule.score(point[0], point[1]) >= self.limit {
                    break;
                }
                if let Some((p, score)) = self.scene.nearest_allowed(point, self.rule, self.limit) {
                    (self.best, self.limit) = (Some(p), score);
                    return;
                }
                if on >= until {
                    break;
                }
            }
            let Some(&(_, end)) = self.taken.get(next) else { return };
            t = f64::max(t, end);
            next += 1;
        }
    }
}

/// The part of a way that lies deeper than the slack inside some edges of one
/// patch, as shares of its length.
fn clip(edges: &[Edge], at: [f64; 2], way: [f64; 2]) -> Option<(f64, f64)> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for e in edges {
        let start = at[0] * e.nx + at[1] * e.ny - e.d - SLACK;
        let slope = way[0] * e.nx + way[1] * e.ny;
        if libm::fabs(slope) < 1e-12 {
            if start <= 0.0 {
                return None;
            }
        } else {
            let t = -start / slope;
            if slope > 0.0 {
                from = from.max(t)
            } else {
                to = to.min(t)
            }
            if from >= to {
                return None;
            }
        }
    }
    Some((from, to))
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

#[cfg(test)]
mod tests;
