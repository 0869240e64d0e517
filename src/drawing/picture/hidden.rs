//! What stands before an edge: each triangle that covers it takes off the part
//! of the edge that lies behind it.

use super::edges::Shown;
use super::{Standing, Turned, flat};
use crate::geom::{Bounds, Point};
use crate::space::Point3;
use std::cell::RefCell;

/// Nearer than this an edge lies on a triangle, not behind it, mm: twice the
/// usual chord of a mesh would show bodies through each other, half of it would
/// break lines where two bodies touch.
const BEHIND_MM: f64 = 0.12;
/// A visible bit shorter than this is noise, and so is such a gap, mm.
const BIT_MM: f64 = 0.03;

/// A triangle that looks at the viewer.
struct Cover {
    triangle: u32,
    corners: [Point3; 3],
}

/// The triangles of one body that can hide something, sorted into cells.
struct Veil {
    body: usize,
    covers: Vec<Cover>,
    cells: Vec<Vec<u32>>,
    bounds: Bounds,
    /// Nearest to the viewer.
    nearest: f64,
    cell: f64,
    across: usize,
    up: usize,
    /// For each triangle the last edge that has asked for it.
    asked: RefCell<(u32, Vec<u32>)>,
}

/// All that can hide something in a view.
pub(super) struct Screen {
    veils: Vec<Veil>,
}

impl Veil {
    fn new(body: usize, standing: &Standing, turned: &Turned) -> Option<Veil> {
        let mut covers = vec![];
        for (i, t) in standing.mesh.triangles.iter().enumerate() {
            let corners = turned.corners(t);
            if (corners[1] - corners[0]).cross(corners[2] - corners[0]).z > 1e-12 {
                covers.push(Cover { triangle: i as u32, corners });
            }
        }
        let bounds = Bounds::of(covers.iter().flat_map(|c| c.corners.map(flat)))?;
        let nearest = covers.iter().flat_map(|c| c.corners).map(|p| p.z).fold(f64::NEG_INFINITY, f64::max);
        let area = (bounds.width() * bounds.height()).max(1e-6);
        let wanted = libm::sqrt(area / (covers.len() as f64 + 1.0) * 2.0);
        let cell = wanted.max(bounds.width().max(bounds.height()) / 300.0).max(1e-3);
        let across = (bounds.width() / cell) as usize + 1;
        let up = (bounds.height() / cell) as usize + 1;
        let asked = RefCell::new((0, vec![0; covers.len()]));
        let cells = vec![vec![]; across * up];
        let mut veil = Veil { body, covers, cells, bounds, nearest, cell, across, up, asked };
        for i in 0..veil.covers.len() {
            let b = Bounds::of(veil.covers[i].corners.map(flat)).unwrap_or(bounds);
            let (x0, y0) = veil.at(b.low);
            let (x1, y1) = veil.at(b.high);
            for y in y0..=y1 {
                for x in x0..=x1 {
                    veil.cells[y * across + x].push(i as u32);
                }
            }
        }
        Some(veil)
    }

    fn at(&self, p: Point) -> (usize, usize) {
        let index = |v: f64, n: usize| ((v / self.cell) as usize).min(n - 1);
        let low = self.bounds.low;
        (index((p.x - low.x).max(0.0), self.across), index((p.y - low.y).max(0.0), self.up))
    }
}

impl Screen {
    pub fn new(bodies: &[Standing], turned: &[Turned]) -> Screen {
        let solid = bodies.iter().zip(turned).enumerate().filter(|(_, b)| !b.0.faint);
        Screen { veils: solid.filter_map(|(body, (s, t))| Veil::new(body, s, t)).collect() }
    }

    /// The parts of an edge that are seen.
    pub fn visible(&self, body: usize, e: &Shown) -> Vec<(Point, Point)> {
        let (a, b) = (flat(e.from), flat(e.to));
        let long = a.distance(b);
        if long < 1e-9 {
            return vec![];
        }
        let mut hidden: Vec<(f64, f64)> = vec![];
        let (low, high) = (Point::new(a.x.min(b.x), a.y.min(b.y)), Point::new(a.x.max(b.x), a.y.max(b.y)));
        let deepest = e.from.z.min(e.to.z);
        for veil in &self.veils {
            let v = &veil.bounds;
            let beside = low.x > v.high.x || high.x < v.low.x || low.y > v.high.y || high.y < v.low.y;
            if beside || veil.nearest < deepest {
                continue;
            }
            veil.along(a, b, |cover| {
                if veil.body != body || !e.on.contains(&cover.triangle) {
                    hidden.extend(behind(e.from, e.to, &cover.corners));
                }
            });
        }
        hidden.sort_by(|p, q| p.0.total_cmp(&q.0));
        let bit = BIT_MM / long;
        let at = |f: f64| a + (b - a) * f;
        // What is hidden in one go; a shorter gap than a bit would only show as noise.
        let mut gaps: Vec<(f64, f64)> = vec![];
        for h in hidden {
            match gaps.last_mut() {
                Some(last) if h.0 <= last.1 + bit => last.1 = last.1.max(h.1),
                _ => gaps.push(h),
            }
        }
        gaps.retain(|g| g.1 - g.0 > bit.min(0.9));
        let (mut from, mut out) = (0.0, vec![]);
        for (start, end) in gaps.into_iter().chain([(1.0, 1.0)]) {
            if start - from > bit.min(0.9) {
                out.push((at(from), at(start)));
            }
            from = end;
        }
        out
    }
}

impl Veil {
    /// Each triangle near a line once.
    fn along(&self, a: Point, b: Point, mut each: impl FnMut(&Cover)) {
        let mut asked = self.asked.borrow_mut();
        asked.0 += 1;
        let turn = asked.0;
        let ((x0, _), (x1, _)) = (self.at(a), self.at(b));
        let (x0, x1) = (x0.min(x1), x0.max(x1));
        for x in x0..=x1 {
            // The line's heights inside this column.
            let edge = |k: usize| self.bounds.low.x + k as f64 * self.cell;
            let height = |v: f64| {
                let f = if (b.x - a.x).abs() < 1e-12 { 0.0 } else { ((v - a.x) / (b.x - a.x)).clamp(0.0, 1.0) };
                a.y + (b.y - a.y) * f
            };
            let (first, last) =
                (if x == x0 { f64::NEG_INFINITY } else { edge(x) }, if x == x1 { f64::INFINITY } else { edge(x + 1) });
            let (mut p, mut q) = (height(first), height(last));
            if (b.x - a.x).abs() < 1e-12 {
                (p, q) = (a.y, b.y);
            }
            let (_, y0) = self.at(Point::new(0.0, p.min(q)));
            let (_, y1) = self.at(Point::new(0.0, p.max(q)));
            for y in y0..=y1 {
                for &i in &self.cells[y * self.across + x] {
                    if asked.1[i as usize] != turn {
                        asked.1[i as usize] = turn;
                        each(&self.covers[i as usize]);
                    }
                }
            }
        }
    }
}

/// The part of a line, from 0 to 1, that lies inside a triangle and behind it.
fn behind(a: Point3, b: Point3, c: &[Point3; 3]) -> Option<(f64, f64)> {
    // Nothing of it can be behind when both ends are nearer than all corners.
    let nearest = c[0].z.max(c[1].z).max(c[2].z);
    if a.z.min(b.z) > nearest {
        return None;
    }
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    // Keeps the part where a value that runs from `p` to `q` is positive.
    let mut keep = |p: f64, q: f64| {
        if p <= 0.0 && q <= 0.0 {
            return false;
        }
        if p < 0.0 {
            from = from.max(p / (p - q));
        } else if q < 0.0 {
            to = to.min(p / (p - q));
        }
        from < to
    };
    let (pa, pb) = (flat(a), flat(b));
    for k in 0..3 {
        let (u, v) = (flat(c[k]), flat(c[(k + 1) % 3]));
        let side = v - u;
        if !keep(side.cross(pa - u), side.cross(pb - u)) {
            return None;
        }
    }
    let normal = (c[1] - c[0]).cross(c[2] - c[0]);
    let depth = |p: Point3| c[0].z - ((p.x - c[0].x) * normal.x + (p.y - c[0].y) * normal.y) / normal.z - p.z;
    keep(depth(a) - BEHIND_MM, depth(b) - BEHIND_MM).then_some((from, to))
}
