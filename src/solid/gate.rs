//! The mesh and the gate that every body must pass before anyone sees it.

use super::SolidFault;
use crate::space::Point3;
use std::collections::{BTreeMap, HashMap};
use truck_meshalgo::prelude::*;
use truck_modeling::Solid;

/// Points of the mesh nearer than this are one point, mm: far below the
/// shortest side that is built, far above the kernel's own noise.
const WELD_MM: f64 = 1e-4;
/// A triangle must be higher than this over its longest side, mm.
const SLIVER_MM: f64 = 1e-7;
/// Most that the mesh's volume may differ from the exact one, as a fraction.
const VOLUME_FRACTION: f64 = 0.005;

/// Triangles in space, mm; seen from outside each runs counter-clockwise.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Corners, mm, in the body frame of the piece.
    pub positions: Vec<Point3>,
    /// Three indices into `positions` each.
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    /// The corners of a triangle.
    pub fn corners(&self, triangle: &[u32; 3]) -> [Point3; 3] {
        triangle.map(|i| self.positions[i as usize])
    }

    /// Volume enclosed, mm3, positive when the triangles look outwards.
    pub fn volume_mm3(&self) -> f64 {
        self.moments().0
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

    /// Lowest and highest x, y and z, mm; `None` for an empty mesh.
    pub fn bounds(&self) -> Option<(Point3, Point3)> {
        let first = *self.positions.first()?;
        Some(self.positions.iter().fold((first, first), |(l, h), p| {
            (
                Point3::new(l.x.min(p.x), l.y.min(p.y), l.z.min(p.z)),
                Point3::new(h.x.max(p.x), h.y.max(p.y), h.z.max(p.z)),
            )
        }))
    }

    /// Corners less edges plus faces: 2 for a ball, 2 less for each way through.
    pub fn euler_number(&self) -> i64 {
        let edges = self.edges();
        self.positions.len() as i64 - edges.len() as i64 + self.triangles.len() as i64
    }

    /// Each edge with how often it is run forwards and backwards.
    fn edges(&self) -> BTreeMap<(u32, u32), (u32, u32)> {
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

/// Mesh a body within `chord_mm` of its true surfaces.
///
/// # Errors
/// [`SolidFault::Gate`] when a face gets no mesh.
pub(super) fn mesh(solid: &Solid, chord_mm: f64) -> Result<Mesh, SolidFault> {
    let meshed = solid.triangulation(chord_mm);
    let bare = meshed.boundaries().iter().flat_map(|s| s.iter()).filter(|f| f.surface().is_none()).count();
    if bare > 0 {
        return Err(SolidFault::Gate(format!("{bare} faces of the body could not be meshed")));
    }
    let polygons = meshed.to_polygon();
    let raw: Vec<[Point3; 3]> = polygons
        .faces()
        .triangle_iter()
        .map(|f| {
            f.map(|corner| {
                let p = polygons.positions()[corner.pos];
                Point3::new(p.x, p.y, p.z)
            })
        })
        .collect();
    Ok(welded(&raw))
}

/// Loose triangles with their common corners made one. The grid is only asked,
/// never walked, so its order does not show.
fn welded(raw: &[[Point3; 3]]) -> Mesh {
    let mut grid: HashMap<[i64; 3], Vec<u32>> = HashMap::new();
    let mut mesh = Mesh::default();
    for t in raw {
        let ids = t.map(|p| weld_one(&mut grid, &mut mesh.positions, p));
        if ids[0] != ids[1] && ids[1] != ids[2] && ids[2] != ids[0] {
            mesh.triangles.push(ids);
        }
    }
    mesh
}

fn weld_one(grid: &mut HashMap<[i64; 3], Vec<u32>>, positions: &mut Vec<Point3>, p: Point3) -> u32 {
    let cell = [p.x, p.y, p.z].map(|c| (c / WELD_MM).floor() as i64);
    for i in 0..27 {
        let near = [cell[0] + i % 3 - 1, cell[1] + i / 3 % 3 - 1, cell[2] + i / 9 - 1];
        let found =
            grid.get(&near).and_then(|ids| ids.iter().find(|&&k| (positions[k as usize] - p).length() < WELD_MM));
        if let Some(&k) = found {
            return k;
        }
    }
    let k = positions.len() as u32;
    positions.push(p);
    grid.entry(cell).or_default().push(k);
    k
}

/// Let a mesh through only when it is the skin of one body with the exact
/// volume `volume_mm3` and `ways_through` holes right through it.
///
/// # Errors
/// [`SolidFault::Gate`] with what is wrong.
pub(super) fn check(mesh: &Mesh, volume_mm3: f64, ways_through: usize) -> Result<(), SolidFault> {
    let fault = |what: String| Err(SolidFault::Gate(what));
    if mesh.positions.iter().any(|p| !p.length().is_finite()) || mesh.triangles.is_empty() {
        return fault("the mesh is empty or has points that are no numbers".to_string());
    }
    let (mut open, mut crowded, mut against) = (0, 0, 0);
    for &(forth, back) in mesh.edges().values() {
        match forth + back {
            1 => open += 1,
            2 => against += usize::from(forth != 1),
            _ => crowded += 1,
        }
    }
    if open + crowded + against > 0 {
        return fault(format!(
            "the mesh has {open} open edges, {crowded} edges with over two faces and {against} badly turned ones"
        ));
    }
    let slivers = mesh.triangles.iter().filter(|t| height(mesh.corners(t)) < SLIVER_MM).count();
    if slivers > 0 {
        return fault(format!("the mesh has {slivers} triangles without area"));
    }
    let euler = mesh.euler_number();
    if euler != 2 - 2 * ways_through as i64 {
        return fault(format!("the mesh has Euler number {euler}, but {ways_through} ways lead through the body"));
    }
    if !volume_is_near(mesh, volume_mm3) {
        return fault(format!("the mesh holds {} mm3, the exact body {volume_mm3} mm3", mesh.volume_mm3()));
    }
    Ok(())
}

/// Whether the volume of the mesh is positive and within half a per cent.
pub(super) fn volume_is_near(mesh: &Mesh, volume_mm3: f64) -> bool {
    let got = mesh.volume_mm3();
    got > 0.0 && (got - volume_mm3).abs() <= VOLUME_FRACTION * volume_mm3
}

/// Height of a triangle over its longest side, mm.
pub(super) fn height([a, b, c]: [Point3; 3]) -> f64 {
    let longest = (b - a).length().max((c - b).length()).max((a - c).length());
    if longest == 0.0 { 0.0 } else { (b - a).cross(c - a).length() / longest }
}
