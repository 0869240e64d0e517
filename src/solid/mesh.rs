//! Triangles of a body with what a picture needs to know of them.

use crate::space::{Box3, Frame, Point3};
use std::collections::BTreeMap;

/// Triangles in space, mm; seen from outside each runs counter-clockwise.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Corners, mm, in the body frame of the piece.
    pub positions: Vec<Point3>,
    /// Three indices into `positions` each.
    pub triangles: Vec<[u32; 3]>,
    /// The true surface's normal at the corners of each triangle, unit length.
    pub normals: Vec<[Point3; 3]>,
    /// The face of the body that each triangle lies on.
    pub faces: Vec<u32>,
    /// For each face of the body: whether it is curved.
    pub curved: Vec<bool>,
}

impl Mesh {
    /// Takes in another mesh that stands at `frame`.
    pub fn join(&mut self, other: &Mesh, frame: &Frame) {
        let (points, faces) = (self.positions.len() as u32, self.curved.len() as u32);
        self.positions.extend(other.positions.iter().map(|p| frame.place(*p)));
        self.triangles.extend(other.triangles.iter().map(|t| t.map(|i| i + points)));
        self.normals.extend(other.normals.iter().map(|n| n.map(|d| frame.direct(d))));
        self.faces.extend(other.faces.iter().map(|f| f + faces));
        self.curved.extend(&other.curved);
    }

    /// The corners of a triangle.
    pub fn corners(&self, triangle: &[u32; 3]) -> [Point3; 3] {
        triangle.map(|i| self.positions[i as usize])
    }

    /// Volume enclosed, mm3, positive when the triangles look outwards.
    pub fn volume_mm3(&self) -> f64 {
        self.moments().0
    }

    /// Area of all triangles, mm2.
    pub fn area_mm2(&self) -> f64 {
        self.triangles
            .iter()
            .map(|t| {
                let [a, b, c] = self.corners(t);
                (b - a).cross(c - a).length() / 2.0
            })
            .sum()
    }

    /// Centre of gravity of the enclosed space, mm.
    pub fn centre_of_gravity(&self) -> Point3 {
        let (volume, moment) = self.moments();
        if volume == 0.0 { Point3::default() } else { moment * (1.0 / volume) }
    }

    /// Volume and first moments, by tetrahedra from the first corner of the mesh
    /// (from the origin a far-off body would lose digits).
    fn moments(&self) -> (f64, Point3) {
        let Some(&apex) = self.positions.first() else { return (0.0, Point3::default()) };
        let mut sum = (0.0, Point3::default());
        for t in &self.triangles {
            let [a, b, c] = self.corners(t).map(|p| p - apex);
            let v = a.dot(b.cross(c)) / 6.0;
            sum = (sum.0 + v, sum.1 + (a + b + c) * (v / 4.0));
        }
        (sum.0, sum.1 + apex * sum.0)
    }

    /// The box round it, mm; `None` for an empty mesh.
    pub fn bounds(&self) -> Option<Box3> {
        Box3::of(self.positions.iter().copied())
    }

    /// Corners less edges plus faces: 2 for a ball, 2 less for each way through.
    pub fn euler_number(&self) -> i64 {
        self.euler_of(self.edges().len())
    }

    /// The same where the edges are counted already.
    pub(super) fn euler_of(&self, edges: usize) -> i64 {
        self.positions.len() as i64 - edges as i64 + self.triangles.len() as i64
    }

    /// Each edge with how often it is run forwards and backwards.
    pub(super) fn edges(&self) -> BTreeMap<(u32, u32), (u32, u32)> {
        let mut edges: BTreeMap<(u32, u32), (u32, u32)> = BTreeMap::new();
        for t in &self.triangles {
            for i in 0..3 {
                let (a, b) = (t[i], t[(i + 1) % 3]);
                let seen = edges.entry((a.min(b), a.max(b))).or_default();
                if a < b { seen.0 += 1 } else { seen.1 += 1 }
            }
        }
        edges
    }
}
