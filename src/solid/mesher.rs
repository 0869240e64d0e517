//! From exact faces to triangles: each edge is divided once, so neighbours
//! share their points and the skin is closed by construction.
//!
//! ```text
//!   plane            triangles between the divided edges (constrained Delaunay)
//!   ruled            four edges, two of them straight: a band of quads
//!   round, with a    unrolled (arc, axis), triangulated, and long steps round
//!   hole or seam     the axis halved until they keep to the chord
//! ```

use super::SolidFault;
use super::mesh::Mesh;
use super::triangulate::{Rolled, triangles};
use crate::space::Point3;
use std::collections::HashMap;
use std::result::Result;
use truck_modeling::{
    BoundedCurve, Curve, Edge, EdgeID, EuclideanSpace, Face, InnerSpace, ParametricCurve, Solid, Surface, Vector3,
    VertexID,
};

/// Most steps along one edge.
const MOST_STEPS: usize = 4096;
/// Least steps in a curved edge: 24 round a full circle, so that even a small
/// hole looks round.
const LEAST_STEPS: usize = 6;

/// Triangles of a body within `chord_mm` of its true surfaces.
///
/// # Errors
/// [`SolidFault::Gate`] when a face cannot be filled.
pub(super) fn mesh(solid: &Solid, chord_mm: f64) -> Result<Mesh, SolidFault> {
    let faces: Vec<&Face> = solid.boundaries().iter().flat_map(|s| s.face_iter()).collect();
    let mut work = Work { mesh: Mesh::default(), vertices: HashMap::new(), edges: HashMap::new() };
    let steps = divisions(&faces, chord_mm);
    for (index, face) in faces.iter().enumerate() {
        let wires: Vec<Vec<Edge>> = face.boundaries().iter().map(|w| w.edge_iter().cloned().collect()).collect();
        work.mesh.curved.push(!matches!(face.surface(), Surface::Plane(_)));
        let before = work.mesh.triangles.len();
        match (&wires[..], face.surface()) {
            (_, Surface::Plane(_)) => work.plane(&wires, &steps)?,
            ([one], _) if ruled_start(one).is_some() => work.band(one, &steps),
            (_, surface) => work.round(&wires, &surface, &steps, chord_mm)?,
        }
        let made = work.mesh.triangles.len() - before;
        if made == 0 {
            return Err(SolidFault::Gate(format!("face {index} of the body could not be filled")));
        }
        work.mesh.faces.extend(std::iter::repeat_n(index as u32, made));
    }
    Ok(work.mesh)
}

/// Where the two curved edges of a band begin: 0 or 1, if it is one.
fn ruled_start(wire: &[Edge]) -> Option<usize> {
    let straight = |i: usize| matches!(wire[i % 4].curve(), Curve::Line(_));
    (wire.len() == 4).then_some(())?;
    (0..2).find(|&s| !straight(s) && straight(s + 1) && !straight(s + 2) && straight(s + 3))
}

/// Into how many steps each edge is cut; opposite edges of a band into equally many.
fn divisions(faces: &[&Face], chord: f64) -> HashMap<EdgeID, usize> {
    let mut steps: HashMap<EdgeID, usize> = HashMap::new();
    let mut pairs = vec![];
    for face in faces {
        let plane = matches!(face.surface(), Surface::Plane(_));
        for wire in face.absolute_boundaries() {
            let edges: Vec<Edge> = wire.edge_iter().cloned().collect();
            for e in &edges {
                steps.entry(e.id()).or_insert_with(|| steps_of(&e.curve(), chord));
            }
            if !plane && let Some(s) = ruled_start(&edges) {
                pairs.push((edges[s].id(), edges[s + 2].id()));
            }
        }
    }
    // A chain of bands (a bend of several arcs) settles in as many rounds.
    loop {
        let mut changed = false;
        for (a, b) in &pairs {
            let most = steps[a].max(steps[b]);
            for id in [a, b] {
                changed |= steps.insert(*id, most) != Some(most);
            }
        }
        if !changed {
            return steps;
        }
    }
}

/// Steps that keep a curve within `chord` of its polyline.
fn steps_of(curve: &Curve, chord: f64) -> usize {
    if matches!(curve, Curve::Line(_)) {
        return 1;
    }
    let (t0, t1) = curve.range_tuple();
    let at = |f: f64| curve.subs(t0 + (t1 - t0) * f);
    let mut n = LEAST_STEPS;
    while n < MOST_STEPS {
        let far = |i: usize| {
            let (a, b) = (at(i as f64 / n as f64), at((i + 1) as f64 / n as f64));
            let m = at((i as f64 + 0.5) / n as f64);
            let along = (b - a).normalize();
            let off = m - a;
            (off - along * off.dot(along)).magnitude()
        };
        let worst = (0..n).map(far).fold(0.0, f64::max);
        if worst <= chord {
            break;
        }
        // The distance falls with the square of the step.
        let wanted = (n as f64 * libm::sqrt(worst / chord) * 1.02).ceil() as usize;
        n = wanted.clamp(n + 1, MOST_STEPS);
    }
    n
}

struct Work {
    mesh: Mesh,
    vertices: HashMap<VertexID, u32>,
    /// Points of each edge, from its absolute front to its back.
    edges: HashMap<EdgeID, Vec<u32>>,
}

impl Work {
    fn point(&mut self, p: truck_modeling::Point3) -> u32 {
        self.mesh.positions.push(ours(p.to_vec()));
        self.mesh.positions.len() as u32 - 1
    }

    fn vertex(&mut self, v: &truck_modeling::Vertex) -> u32 {
        if let Some(&i) = self.vertices.get(&v.id()) {
            return i;
        }
        let i = self.point(v.point());
        self.vertices.insert(v.id(), i);
        i
    }

    /// The points of an edge in its own direction, both ends included.
    fn edge(&mut self, e: &Edge, steps: &HashMap<EdgeID, usize>) -> Vec<u32> {
        if !self.edges.contains_key(&e.id()) {
            let n = steps[&e.id()];
            let curve = e.curve();
            let (t0, t1) = curve.range_tuple();
            let mut ids = vec![self.vertex(e.absolute_front())];
            for i in 1..n {
                let p = curve.subs(t0 + (t1 - t0) * i as f64 / n as f64);
                ids.push(self.point(p));
            }
            ids.push(self.vertex(e.absolute_back()));
            self.edges.insert(e.id(), ids);
        }
        let ids = &self.edges[&e.id()];
        if e.orientation() { ids.clone() } else { ids.iter().rev().copied().collect() }
    }

    /// The points of a closed wire, none twice.
    fn ring(&mut self, wire: &[Edge], steps: &HashMap<EdgeID, usize>) -> Vec<u32> {
        let mut out = vec![];
        for e in wire {
            let ids = self.edge(e, steps);
            out.extend(&ids[..ids.len() - 1]);
        }
        out
    }

    fn at(&self, id: u32) -> Point3 {
        self.mesh.positions[id as usize]
    }

    fn plane(&mut self, wires: &[Vec<Edge>], steps: &HashMap<EdgeID, usize>) -> Result<(), SolidFault> {
        let rings: Vec<Vec<u32>> = wires.iter().map(|w| self.ring(w, steps)).collect();
        // Twice the area of all rings as a vector: it looks out of the metal.
        let origin = self.at(rings[0][0]);
        let mut area = Point3::default();
        for ring in &rings {
            for i in 0..ring.len() {
                let (a, b) = (self.at(ring[i]) - origin, self.at(ring[(i + 1) % ring.len()]) - origin);
                area = area + a.cross(b);
            }
        }
        let z = area.unit();
        let x = z.any_square();
        let y = z.cross(x);
        let flat = |work: &Work, id: u32| {
            let p = work.at(id) - origin;
            [p.dot(x), p.dot(y)]
        };
        let loops: Vec<Vec<(u32, [f64; 2])>> =
            rings.iter().map(|r| r.iter().map(|&id| (id, flat(self, id))).collect()).collect();
        let filled = triangles(&loops, None)?;
        for t in filled.triangles {
            self.mesh.triangles.push(t);
            self.mesh.normals.push([z; 3]);
        }
        Ok(())
    }

    /// A band between two curved edges of equally many steps.
    fn band(&mut self, wire: &[Edge], steps: &HashMap<EdgeID, usize>) {
        let s = ruled_start(wire).unwrap_or(0);
        let (first, second) = (&wire[s], &wire[(s + 2) % 4]);
        let a = self.edge(first, steps);
        let mut b = self.edge(second, steps);
        b.reverse();
        let n = a.len() - 1;
        let curve = first.curve();
        let (t0, t1) = curve.range_tuple();
        let sense = if first.orientation() { 1.0 } else { -1.0 };
        let normal = |i: usize| {
            let f = if first.orientation() { i as f64 } else { (n - i) as f64 } / n as f64;
            let along = ours(curve.der(t0 + (t1 - t0) * f)) * sense;
            along.cross(self.at(b[i]) - self.at(a[i])).unit()
        };
        let normals: Vec<Point3> = (0..=n).map(normal).collect();
        for i in 0..n {
            let j = i + 1;
            let (ai, aj, bi, bj) = (a[i], a[j], b[i], b[j]);
            let (one, other) = ((self.at(bj) - self.at(ai)).length(), (self.at(bi) - self.at(aj)).length());
            let (ni, nj) = (normals[i], normals[j]);
            let pair = if one <= other + 1e-9 {
                [([ai, aj, bj], [ni, nj, nj]), ([ai, bj, bi], [ni, nj, ni])]
            } else {
                [([ai, aj, bi], [ni, nj, ni]), ([aj, bj, bi], [nj, nj, ni])]
            };
            for (t, n) in pair {
                self.mesh.triangles.push(t);
                self.mesh.normals.push(n);
            }
        }
    }

    /// A face on a round surface, unrolled.
    fn round(
        &mut self,
        wires: &[Vec<Edge>],
        surface: &Surface,
        steps: &HashMap<EdgeID, usize>,
        chord: f64,
    ) -> Result<(), SolidFault> {
        let Surface::RevolutedCurve(turned) = surface else {
            return Err(SolidFault::Gate("a free surface with a hole in it cannot be filled".to_string()));
        };
        let (origin, axis) = (ours(turned.entity().origin().to_vec()), ours(turned.entity().axis()).unit());
        let rings: Vec<Vec<u32>> = wires.iter().map(|w| self.ring(w, steps)).collect();
        let arm = |p: Point3| {
            let from = p - origin;
            from - axis * from.dot(axis)
        };
        // The middle direction of all points, so that no angle is near half a turn.
        let sum = rings.iter().flatten().fold(Point3::default(), |s, &id| s + arm(self.at(id)).unit());
        let x = (sum - axis * sum.dot(axis)).unit();
        let y = axis.cross(x);
        let radius = arm(self.at(rings[0][0])).length();
        let flat = |p: Point3| {
            let a = arm(p);
            [radius * libm::atan2(a.dot(y), a.dot(x)), (p - origin).dot(axis)]
        };
        let mut loops: Vec<Vec<(u32, [f64; 2])>> =
            rings.iter().map(|r| r.iter().map(|&id| (id, flat(self.at(id)))).collect()).collect();
        let area = |l: &[(u32, [f64; 2])]| {
            (0..l.len()).map(|i| (l[i].1, l[(i + 1) % l.len()].1)).map(|(p, q)| p[0] * q[1] - q[0] * p[1]).sum::<f64>()
        };
        // Looking at the axis the wires run clockwise: seen from there, it is all mirrored.
        let outwards = if loops.iter().map(|l| area(l)).sum::<f64>() > 0.0 { 1.0 } else { -1.0 };
        loops.iter_mut().flatten().for_each(|p| p.1[0] *= outwards);
        let longest = 2.0 * libm::acos((1.0 - chord / radius).max(0.5)) * radius;
        let step = longest.min(radius * std::f64::consts::FRAC_PI_2 / LEAST_STEPS as f64) / 1.2;
        let feather = wires.first().is_some_and(|w| w.iter().any(|e| matches!(e.curve(), Curve::BSplineCurve(_))));
        let first_new = self.mesh.positions.len() as u32;
        let filled = triangles(&loops, Some(Rolled { step, feather, first_new }))?;
        for [u, v] in &filled.added {
            let turn = u * outwards / radius;
            let p = origin + axis * *v + (x * libm::cos(turn) + y * libm::sin(turn)) * radius;
            self.mesh.positions.push(p);
        }
        for t in filled.triangles {
            self.mesh.normals.push(t.map(|id| arm(self.at(id)).unit() * outwards));
            self.mesh.triangles.push(t);
        }
        Ok(())
    }
}

fn ours(v: Vector3) -> Point3 {
    Point3::new(v.x, v.y, v.z)
}
