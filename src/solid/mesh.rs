//! Triangles of a body, welded, and the gate that they must pass.

use std::collections::BTreeMap;
use truck_meshalgo::prelude::{MeshableShape, MeshedShape};
use truck_modeling::Solid;

/// Corners nearer than this are one corner, mm: truck meets its own edges to
/// far better, and no part has a detail so small.
const WELD_MM: f64 = 1e-4;

/// A closed mesh, mm; triangles run counter-clockwise seen from outside.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Corners, mm.
    pub positions: Vec<[f64; 3]>,
    /// Corners of each triangle.
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    /// Enclosed volume, mm3, positive when the triangles face outwards.
    pub fn volume(&self) -> f64 {
        let at = |i: u32| self.positions[i as usize];
        self.triangles
            .iter()
            .map(|t| {
                let [a, b, c] = t.map(at);
                (a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
                    + a[2] * (b[0] * c[1] - b[1] * c[0]))
                    / 6.0
            })
            .sum()
    }

    /// Corners less edges plus triangles: 2 for a ball, 0 for a ring, and 2
    /// less for each hole that goes through.
    pub fn euler_number(&self) -> i64 {
        self.positions.len() as i64 - self.edges().len() as i64 + self.triangles.len() as i64
    }

    /// How often each edge is run along, in its own direction and against it.
    fn edges(&self) -> BTreeMap<(u32, u32), (u32, u32)> {
        let mut edges: BTreeMap<(u32, u32), (u32, u32)> = BTreeMap::new();
        for t in &self.triangles {
            for i in 0..3 {
                let (a, b) = (t[i], t[(i + 1) % 3]);
                let e = edges.entry((a.min(b), a.max(b))).or_default();
                if a < b {
                    e.0 += 1;
                } else {
                    e.1 += 1;
                }
            }
        }
        edges
    }

    /// Smallest box: lower and upper corner, mm.
    pub fn bounds(&self) -> ([f64; 3], [f64; 3]) {
        let mut low = [f64::INFINITY; 3];
        let mut high = [f64::NEG_INFINITY; 3];
        for p in &self.positions {
            for i in 0..3 {
                low[i] = low[i].min(p[i]);
                high[i] = high[i].max(p[i]);
            }
        }
        (low, high)
    }
}

/// Triangulate a body and pass it through the gate.
pub(super) fn mesh_of(solid: &Solid, chord_mm: f64) -> Result<Mesh, String> {
    let meshed = solid.triangulation(chord_mm);
    let bare = meshed.boundaries().iter().flat_map(|s| s.iter()).filter(|f| f.surface().is_none()).count();
    if bare > 0 {
        return Err(format!("{bare} faces have no mesh"));
    }
    let polygons = meshed.to_polygon();
    let p = polygons.positions();
    let triangles = polygons.faces().triangle_iter().map(|f| {
        [0, 1, 2].map(|i| {
            let q = p[f[i].pos];
            [q.x, q.y, q.z]
        })
    });
    let mesh = welded(triangles);
    gate(&mesh)?;
    Ok(mesh)
}

/// One corner for all that meet; triangles without an area fall away.
fn welded(triangles: impl Iterator<Item = [[f64; 3]; 3]>) -> Mesh {
    let mut mesh = Mesh::default();
    let mut grid: BTreeMap<[i64; 3], Vec<u32>> = BTreeMap::new();
    for t in triangles {
        let ids = t.map(|p| corner(&mut mesh, &mut grid, p));
        if ids[0] != ids[1] && ids[1] != ids[2] && ids[2] != ids[0] {
            mesh.triangles.push(ids);
        }
    }
    mesh
}

fn corner(mesh: &mut Mesh, grid: &mut BTreeMap<[i64; 3], Vec<u32>>, p: [f64; 3]) -> u32 {
    let cell = p.map(|c| (c / WELD_MM).floor() as i64);
    for dx in -1..=1 {
        for dy in -1..=1 {
            for dz in -1..=1 {
                for &i in grid.get(&[cell[0] + dx, cell[1] + dy, cell[2] + dz]).into_iter().flatten() {
                    let q = mesh.positions[i as usize];
                    if (0..3).map(|k| (p[k] - q[k]) * (p[k] - q[k])).sum::<f64>() < WELD_MM * WELD_MM {
                        return i;
                    }
                }
            }
        }
    }
    let id = mesh.positions.len() as u32;
    mesh.positions.push(p);
    grid.entry(cell).or_default().push(id);
    id
}

/// No open edge, none with more than two triangles, all facing one way.
fn gate(mesh: &Mesh) -> Result<(), String> {
    if mesh.triangles.is_empty() || mesh.positions.iter().flatten().any(|c| !c.is_finite()) {
        return Err("it has no triangle, or a corner that is no number".to_string());
    }
    let (mut open, mut crowded, mut turned) = (0, 0, 0);
    for (forth, back) in mesh.edges().into_values() {
        match forth + back {
            0 | 1 => open += 1,
            2 if forth == 1 => {}
            2 => turned += 1,
            _ => crowded += 1,
        }
    }
    if open + crowded + turned > 0 {
        return Err(format!("{open} open edges, {crowded} edges with more than two triangles, {turned} turned over"));
    }
    Ok(())
}
