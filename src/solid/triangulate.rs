//! Flat regions with holes cut into triangles.

use super::SolidFault;
use spade::handles::{FixedVertexHandle, InnerTag};
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};
use std::collections::VecDeque;

/// Most rounds of halving; each halves the longest step.
const MOST_ROUNDS: usize = 6;
/// How many corners of a loop an inner edge may not cut off.
const FEW_CORNERS: usize = 24;
/// Most rows and columns of the grid in a round face.
const MOST_LINES: usize = 400;

/// A corner of the region with its number in the mesh.
struct Corner {
    at: Point2<f64>,
    id: u32,
    /// For a point of a loop: the loop, its place there, how many there are.
    place: Option<(usize, usize, usize)>,
}

impl HasPosition for Corner {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        self.at
    }
}

type Cdt = ConstrainedDelaunayTriangulation<Corner>;

/// What holds for an unrolled round face.
pub(super) struct Rolled {
    /// Wanted step round the axis (first coordinate) inside the face, mm.
    pub step: f64,
    /// The face may run out in a feather edge along another round face.
    pub feather: bool,
    /// Number of the first point that is added.
    pub first_new: u32,
}

/// A filled region.
pub(super) struct Filled {
    /// Counter-clockwise triangles.
    pub triangles: Vec<[u32; 3]>,
    /// Points added inside, numbered from `first_new` on.
    pub added: Vec<[f64; 2]>,
}

/// Fill the region between closed loops: what an odd number of loops go round.
///
/// # Errors
/// [`SolidFault::Gate`] when loops touch or cross.
pub(super) fn triangles(loops: &[Vec<(u32, [f64; 2])>], rolled: Option<Rolled>) -> Result<Filled, SolidFault> {
    let fault = |what: &str| SolidFault::Gate(format!("a face of the body cannot be filled: {what}"));
    let mut cdt = Cdt::new();
    for (l, ring) in loops.iter().enumerate() {
        let mut handles: Vec<FixedVertexHandle> = vec![];
        for (i, &(id, [x, y])) in ring.iter().enumerate() {
            let before = cdt.num_vertices();
            let corner = Corner { at: Point2::new(clean(x), clean(y)), id, place: Some((l, i, ring.len())) };
            let h = cdt.insert(corner).map_err(|e| fault(&e.to_string()))?;
            if cdt.num_vertices() == before {
                return Err(fault("two of its corners are one"));
            }
            handles.push(h);
        }
        for i in 0..handles.len() {
            let (a, b) = (handles[i], handles[(i + 1) % handles.len()]);
            if !cdt.can_add_constraint(a, b) {
                return Err(fault("its edges cross"));
            }
            cdt.add_constraint(a, b);
        }
    }
    let mut added = vec![];
    if let Some(r) = rolled {
        for at in grid(loops, r.step) {
            let id = r.first_new + added.len() as u32;
            let corner = Corner { at: Point2::new(clean(at[0]), clean(at[1])), id, place: None };
            cdt.insert(corner).map_err(|e| fault(&e.to_string()))?;
            added.push(at);
        }
        for _ in 0..MOST_ROUNDS {
            if !halve(&mut cdt, &r, &mut added).map_err(|e| fault(&e))? {
                break;
            }
        }
    }
    let inside = inside(&cdt);
    let triangles =
        cdt.inner_faces().filter(|f| inside[f.fix().index()]).map(|f| f.vertices().map(|v| v.data().id)).collect();
    Ok(Filled { triangles, added })
}

/// Points inside a round face where its edges leave a plain band: over the
/// length of each hole and of each rim that is not square, a step apart.
fn grid(loops: &[Vec<(u32, [f64; 2])>], step: f64) -> Vec<[f64; 2]> {
    let all = || loops.iter().flatten().map(|p| p.1);
    let (low, high) = all().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(p[0]), h.max(p[0])));
    let sides: Vec<([f64; 2], [f64; 2])> =
        loops.iter().flat_map(|l| (0..l.len()).map(|i| (l[i].1, l[(i + 1) % l.len()].1))).collect();
    let mut spans: Vec<(f64, f64)> = sides
        .iter()
        .filter(|(a, b)| (a[0] - b[0]).abs() > 1e-9 && (a[1] - b[1]).abs() > 1e-6)
        .map(|(a, b)| (a[1].min(b[1]) - step, a[1].max(b[1]) + step))
        .collect();
    // A seam with a corner in it (where flats end) gets a row across.
    for l in loops {
        for i in 0..l.len() {
            let [a, b, c] = [0, 1, 2].map(|k| l[(i + k) % l.len()].1);
            if (a[0] - b[0]).abs() < 1e-9 && (b[0] - c[0]).abs() < 1e-9 {
                spans.push((b[1], b[1]));
            }
        }
    }
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut joined: Vec<(f64, f64)> = vec![];
    for s in spans {
        match joined.last_mut() {
            Some(last) if s.0 <= last.1 => last.1 = last.1.max(s.1),
            _ => joined.push(s),
        }
    }
    let columns = (((high - low) / step).ceil() as usize).clamp(1, MOST_LINES);
    let mut out = vec![];
    for (from, to) in joined {
        let rows = (((to - from) / step).ceil() as usize).min(MOST_LINES);
        for r in 0..=rows {
            for c in 1..columns {
                let p = [
                    low + (high - low) * c as f64 / columns as f64,
                    from + (to - from) * r as f64 / rows.max(1) as f64,
                ];
                if clear(&sides, p, 0.4 * step) {
                    out.push(p);
                }
            }
        }
    }
    out
}

/// Whether a point lies inside the loops and no nearer than `room` to any side.
fn clear(sides: &[([f64; 2], [f64; 2])], p: [f64; 2], room: f64) -> bool {
    let mut odd = false;
    for (a, b) in sides {
        let (d, q) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
        let long = d[0] * d[0] + d[1] * d[1];
        let f = ((q[0] * d[0] + q[1] * d[1]) / long).clamp(0.0, 1.0);
        if libm::hypot(q[0] - d[0] * f, q[1] - d[1] * f) < room {
            return false;
        }
        if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0] + d[0] * q[1] / d[1] {
            odd = !odd;
        }
    }
    odd
}

/// Numbers next to nought that the triangulation refuses.
fn clean(v: f64) -> f64 {
    if v.abs() < 1e-12 { 0.0 } else { v }
}

/// Put a point in the middle of each inner edge that reaches too far round or
/// cuts off a corner.
fn halve(cdt: &mut Cdt, rolled: &Rolled, added: &mut Vec<[f64; 2]>) -> Result<bool, String> {
    let inside = inside(cdt);
    let inner = |f: Option<spade::handles::FixedFaceHandle<InnerTag>>| f.is_some_and(|f| inside[f.index()]);
    let mut middles = vec![];
    for e in cdt.undirected_edges().filter(|e| !e.is_constraint_edge()) {
        let [a, b] = e.positions();
        let d = e.as_directed();
        let [p, q] = e.vertices().map(|v| v.data().place);
        let far = (a.x - b.x).abs() > 1.2 * rolled.step;
        if (far || rolled.feather && cuts_a_corner(p, q)) && inner(d.face().as_inner().map(|f| f.fix())) {
            middles.push([(a.x + b.x) / 2.0, (a.y + b.y) / 2.0]);
        }
    }
    for [x, y] in &middles {
        let id = rolled.first_new + added.len() as u32;
        let before = cdt.num_vertices();
        let corner = Corner { at: Point2::new(clean(*x), clean(*y)), id, place: None };
        cdt.insert(corner).map_err(|e| e.to_string())?;
        if cdt.num_vertices() > before {
            added.push([*x, *y]);
        }
    }
    Ok(!middles.is_empty())
}

/// Whether an edge cuts off a few corners of a loop. Where two round faces meet
/// at a feather edge, both would be cut along the same line.
fn cuts_a_corner(p: Option<(usize, usize, usize)>, q: Option<(usize, usize, usize)>) -> bool {
    match (p, q) {
        (Some((a, i, n)), Some((b, j, _))) => a == b && i.abs_diff(j).min(n - i.abs_diff(j)) <= FEW_CORNERS,
        _ => false,
    }
}

/// Which triangles lie inside: walked from the outside in, changing at every
/// edge of a loop.
fn inside(cdt: &Cdt) -> Vec<bool> {
    let n = cdt.num_all_faces();
    let mut seen: Vec<Option<bool>> = vec![None; n];
    seen[cdt.outer_face().fix().index()] = Some(false);
    let mut queue = VecDeque::new();
    // The hull's edges have the outer face on their far side.
    for e in cdt.convex_hull() {
        let d = if e.face().is_outer() { e.rev() } else { e };
        let face = d.face().fix().index();
        if seen[face].is_none() {
            seen[face] = Some(e.is_constraint_edge());
            queue.push_back(d.face().fix());
        }
    }
    while let Some(face) = queue.pop_front() {
        let here = seen[face.index()].unwrap_or(false);
        let Some(inner) = cdt.face(face).as_inner() else { continue };
        for e in inner.adjacent_edges() {
            let next = e.rev().face();
            let i = next.fix().index();
            if seen[i].is_none() {
                seen[i] = Some(here ^ e.is_constraint_edge());
                queue.push_back(next.fix());
            }
        }
    }
    seen.into_iter().map(|s| s.unwrap_or(false)).collect()
}
