//! Which edges of a body a view has to show: sharp ones, the lines where a
//! bend begins, and the limits of round faces.

use super::strokes::Pen;
use super::{Standing, Turned};
use crate::solid::Mesh;
use crate::space::Point3;

/// True normals that differ by more than this make an edge sharp: cos of 10 deg.
const SHARP_COS: f64 = 0.985;
/// A triangle is seen when its normal leans to the viewer by more than this.
const SEEN: f64 = 1e-6;
/// Where a flat runs into a round, a thin line shows it, unless it is as short
/// as the wall of a slot, mm.
const SHORT_TANGENT_MM: f64 = 12.0;

/// An edge that a view has to show, as far as nothing stands before it.
pub(super) struct Shown {
    pub pen: Pen,
    /// Ends, in the view.
    pub from: Point3,
    pub to: Point3,
    /// The two triangles of its own body that it lies on.
    pub on: [u32; 2],
}

/// The edges of a mesh in order, each with the first and the last triangle at it.
pub(super) type Sides = Vec<((u32, u32), [u32; 2])>;

/// All edges of a mesh; every look at it needs the same ones.
pub(super) fn sides(mesh: &Mesh) -> Sides {
    let mut all: Vec<(u32, u32, u32)> = Vec::with_capacity(3 * mesh.triangles.len());
    for (i, t) in mesh.triangles.iter().enumerate() {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            all.push((a.min(b), a.max(b), i as u32));
        }
    }
    all.sort_unstable();
    let mut out = Sides::with_capacity(all.len() / 2);
    for (a, b, i) in all {
        match out.last_mut() {
            Some(last) if last.0 == (a, b) => last.1[1] = i,
            _ => out.push(((a, b), [i; 2])),
        }
    }
    out
}

/// The edges of one body that a view shows or hides behind others.
pub(super) fn shown(body: &Standing, sides: &Sides, turned: &Turned) -> Vec<Shown> {
    let mesh = body.mesh;
    let leans: Vec<f64> = mesh
        .triangles
        .iter()
        .map(|t| {
            let [a, b, c] = turned.corners(t);
            (b - a).cross(c - a).unit().z
        })
        .collect();
    let seen = |t: u32| leans[t as usize] > SEEN;
    let mut out = vec![];
    for &((a, b), on) in sides {
        let [s, t] = on;
        if !seen(s) && !seen(t) && !body.faint {
            continue;
        }
        let same_face = mesh.faces[s as usize] == mesh.faces[t as usize];
        let pen = if seen(s) != seen(t) || (!same_face && is_sharp(body, a, b, on)) {
            Pen::Edge
        } else if !same_face && is_tangent(body, on) && long_enough(body, a, b) && !body.faint {
            Pen::Tangent
        } else {
            continue;
        };
        let pen = if body.faint { Pen::Faint } else { pen };
        out.push(Shown { pen, from: turned.points[a as usize], to: turned.points[b as usize], on });
    }
    out
}

/// The true normals on both sides differ at either end.
fn is_sharp(body: &Standing, a: u32, b: u32, [s, t]: [u32; 2]) -> bool {
    let normal = |tri: u32, v: u32| {
        let k = body.mesh.triangles[tri as usize].iter().position(|&i| i == v).unwrap_or(0);
        body.mesh.normals[tri as usize][k]
    };
    [a, b].iter().any(|&v| normal(s, v).dot(normal(t, v)) < SHARP_COS)
}

/// A plane meets a round.
fn is_tangent(body: &Standing, [s, t]: [u32; 2]) -> bool {
    let curved = |tri: u32| body.mesh.curved[body.mesh.faces[tri as usize] as usize];
    curved(s) != curved(t)
}

fn long_enough(body: &Standing, a: u32, b: u32) -> bool {
    (body.mesh.positions[a as usize] - body.mesh.positions[b as usize]).length() > SHORT_TANGENT_MM
}
