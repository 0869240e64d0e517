//! Bodies that want the same space.
//!
//! Both skins are drawn in by [`SKIN_MM`] first: what only touches, or a facet
//! that cuts the corner of a round, is no clash; what still meets overlaps by
//! more than [`CLASH_MM`] somewhere.

use super::tree::{Reach, Tree};
use super::{Assembly, Stand};
use crate::space::{Box3, Point3};
use rayon::prelude::*;

/// Bodies that overlap by less are not told, mm.
pub const CLASH_MM: f64 = 0.3;
/// How far each skin is drawn in, mm: more than the chord of a usual mesh.
const SKIN_MM: f64 = CLASH_MM / 2.0;

/// Two bodies that want the same space.
#[derive(Clone, Debug, PartialEq)]
pub struct Clash {
    /// One of them.
    pub one: String,
    /// The other.
    pub other: String,
    /// Parts they belong to.
    pub parts: [String; 2],
    /// Where, in the frame of the assembly, mm.
    pub at: Point3,
}

/// A body drawn in, in the frame of the assembly.
struct Shrunk<'a> {
    stand: &'a Stand,
    points: Vec<Point3>,
    edges: Vec<[u32; 2]>,
    /// One point of each of its shells.
    shells: Vec<u32>,
    bounds: Box3,
}

/// Every pair of bodies in their places that overlap.
pub fn clashes(assembly: &Assembly) -> Vec<Clash> {
    let stands: Vec<&Stand> = assembly.fitted().collect();
    let bodies: Vec<Shrunk> = stands.into_par_iter().filter_map(shrunk).collect();
    let all = bodies.iter().enumerate();
    let pairs: Vec<(&Shrunk, &Shrunk)> = all
        .flat_map(|(i, a)| bodies[i + 1..].iter().map(move |b| (a, b)))
        .filter(|(a, b)| a.bounds.common(&b.bounds).is_some())
        .collect();
    let one = |(a, b): (&Shrunk, &Shrunk)| {
        meet(a, b).map(|at| Clash {
            one: a.stand.name.clone(),
            other: b.stand.name.clone(),
            parts: [a.stand.part.clone(), b.stand.part.clone()],
            at,
        })
    };
    pairs.into_par_iter().filter_map(one).collect()
}

fn shrunk(stand: &Stand) -> Option<Shrunk<'_>> {
    let mesh = &stand.mesh;
    let mut normals: Vec<Vec<Point3>> = vec![vec![]; mesh.positions.len()];
    let mut edges = Vec::with_capacity(3 * mesh.triangles.len());
    for t in &mesh.triangles {
        let [a, b, c] = mesh.corners(t);
        let n = (b - a).cross(c - a).unit();
        for k in 0..3 {
            let list = &mut normals[t[k] as usize];
            // Triangles of one plane count once.
            if list.iter().all(|m| m.dot(n) < 0.999_9) {
                list.push(n);
            }
            let (u, v) = (t[k], t[(k + 1) % 3]);
            edges.push([u.min(v), u.max(v)]);
        }
    }
    let points: Vec<Point3> =
        mesh.positions.iter().zip(&normals).map(|(p, n)| stand.frame.place(*p + drawn_in(n))).collect();
    let bounds = Box3::of(points.iter().copied())?;
    edges.sort_unstable();
    edges.dedup();
    let shells = shells(points.len(), &edges);
    Some(Shrunk { stand, points, edges, shells, bounds })
}

/// The first point of each connected shell.
fn shells(points: usize, edges: &[[u32; 2]]) -> Vec<u32> {
    let mut up: Vec<u32> = (0..points as u32).collect();
    fn root(up: &mut [u32], mut v: u32) -> u32 {
        while up[v as usize] != v {
            up[v as usize] = up[up[v as usize] as usize];
            v = up[v as usize];
        }
        v
    }
    for [u, v] in edges {
        let (a, b) = (root(&mut up, *u), root(&mut up, *v));
        up[a.max(b) as usize] = a.min(b);
    }
    (0..points as u32).filter(|&v| up[v as usize] == v).collect()
}

/// The shift that moves a corner in by [`SKIN_MM`] from each of its planes, by
/// least squares where there are more than three.
fn drawn_in(normals: &[Point3]) -> Point3 {
    // A trace on the diagonal keeps corners of one or two planes solvable.
    let mut m = [[1e-7, 0.0, 0.0], [0.0, 1e-7, 0.0], [0.0, 0.0, 1e-7]];
    let mut r = [0.0; 3];
    for n in normals {
        let v = [n.x, n.y, n.z];
        for i in 0..3 {
            for j in 0..3 {
                m[i][j] += v[i] * v[j];
            }
            r[i] -= SKIN_MM * v[i];
        }
    }
    let row = |i: usize| Point3::new(m[i][0], m[i][1], m[i][2]);
    let (a, b, c) = (row(0), row(1), row(2));
    let det = a.dot(b.cross(c));
    if det.abs() < 1e-30 {
        return Point3::default();
    }
    let s = (b.cross(c) * r[0] + c.cross(a) * r[1] + a.cross(b) * r[2]) * (1.0 / det);
    // A needle's corner would run far: it is held back.
    let most = 4.0 * SKIN_MM;
    if s.length() > most { s.unit() * most } else { s }
}

/// A place where two bodies meet.
fn meet(a: &Shrunk, b: &Shrunk) -> Option<Point3> {
    let room = a.bounds.common(&b.bounds)?;
    pierced(a, b, room).or_else(|| pierced(b, a, room)).or_else(|| inside(a, b, room).or_else(|| inside(b, a, room)))
}

/// Whether the box round some points reaches into a room.
fn reaches(points: &[Point3], room: Box3) -> bool {
    let clear = |get: fn(&Point3) -> f64| {
        points.iter().all(|p| get(p) < get(&room.low)) || points.iter().all(|p| get(p) > get(&room.high))
    };
    !(clear(|p| p.x) || clear(|p| p.y) || clear(|p| p.z))
}

/// Where an edge of `a` goes through a triangle of `b`: the first edge that does, and of its
/// triangles the first along the room.
fn pierced(a: &Shrunk, b: &Shrunk, room: Box3) -> Option<Point3> {
    let edges: Vec<[Point3; 2]> =
        a.edges.iter().map(|e| e.map(|i| a.points[i as usize])).filter(|e| reaches(e, room)).collect();
    if edges.is_empty() {
        return None;
    }
    let triangles: Vec<[Point3; 3]> =
        b.stand.mesh.triangles.iter().map(|t| t.map(|i| b.points[i as usize])).filter(|t| reaches(t, room)).collect();
    let (tree, slices) = (Tree::of(&triangles), Slices::of(room));
    let mut near = vec![];
    for ends in edges {
        near.clear();
        tree.near(Reach::of(&ends), &mut near);
        let from = slices.of_points(&ends);
        let hits = near.iter().filter_map(|&i| {
            let t = &triangles[i as usize];
            crossing(ends, t).map(|at| ((from.max(slices.of_points(t)), i), at))
        });
        if let Some((_, at)) = hits.min_by_key(|hit| hit.0) {
            return Some(at);
        }
    }
    None
}

/// Slices across the longest side of a room: of several places the one in the lowest slice is told.
struct Slices {
    axis: fn(&Point3) -> f64,
    low: f64,
    step: f64,
}

const SLICES: usize = 64;

impl Slices {
    fn of(room: Box3) -> Slices {
        let size = room.size();
        let axis: fn(&Point3) -> f64 = if size.x >= size.y && size.x >= size.z {
            |p| p.x
        } else if size.y >= size.z {
            |p| p.y
        } else {
            |p| p.z
        };
        Slices { axis, low: axis(&room.low), step: (axis(&size) / SLICES as f64).max(1e-9) }
    }

    /// The lowest slice of some points.
    fn of_points(&self, points: &[Point3]) -> usize {
        let low = points.iter().map(self.axis).fold(f64::INFINITY, f64::min);
        ((low - self.low) / self.step).clamp(0.0, (SLICES - 1) as f64) as usize
    }
}

/// Where a segment goes through a triangle.
fn crossing([p, q]: [Point3; 2], t: &[Point3; 3]) -> Option<Point3> {
    let (d, e1, e2) = (q - p, t[1] - t[0], t[2] - t[0]);
    let h = d.cross(e2);
    let det = e1.dot(h);
    // Along the triangle's plane there is no crossing, only noise.
    if det.abs() < 1e-9 * d.length() * e1.length() * e2.length() {
        return None;
    }
    let s = p - t[0];
    let u = s.dot(h) / det;
    let k = s.cross(e1);
    let v = d.dot(k) / det;
    let f = e2.dot(k) / det;
    (u >= 0.0 && v >= 0.0 && u + v <= 1.0 && (0.0..=1.0).contains(&f)).then(|| p + d * f)
}

/// A point of `a` inside `b`, where no skin is pierced: one body swallowed whole.
fn inside(a: &Shrunk, b: &Shrunk, room: Box3) -> Option<Point3> {
    for &i in &a.shells {
        if !reaches(&[a.points[i as usize]], room) {
            continue;
        }
        let from = a.points[i as usize];
        // A ray may graze an edge: two of three must agree.
        let votes = RAYS.iter().filter(|ray| winds_round(b, from, **ray)).count();
        if votes >= 2 {
            return Some(from);
        }
    }
    None
}

/// Three ways to look out of a body, askew so that no edge is hit along its length.
const RAYS: [Point3; 3] =
    [Point3::new(0.577_1, 0.581_9, 0.573_0), Point3::new(-0.213, 0.911, -0.352), Point3::new(0.418, -0.307, -0.855)];

/// Whether more of the skin is left than entered on the way out: true inside, also
/// where a body is made of shells that overlap.
fn winds_round(b: &Shrunk, from: Point3, ray: Point3) -> bool {
    let far = from + ray * 1e5;
    let mut winding = 0;
    for t in &b.stand.mesh.triangles {
        let corners = t.map(|k| b.points[k as usize]);
        if crossing([from, far], &corners).is_some() {
            let out = (corners[1] - corners[0]).cross(corners[2] - corners[0]).dot(ray);
            winding += if out > 0.0 { 1 } else { -1 };
        }
    }
    winding != 0
}
