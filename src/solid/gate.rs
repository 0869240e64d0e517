//! The gate that every mesh must pass before anyone sees it.

use super::SolidFault;
use super::mesh::Mesh;
use crate::space::Point3;

/// A triangle must be higher than this over its longest side, mm.
const SLIVER_MM: f64 = 1e-4;
/// Most that the mesh's volume may differ from the exact one, as a fraction.
pub(super) const VOLUME_FRACTION: f64 = 0.002;

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
    let edges = mesh.edges();
    for &(forth, back) in edges.values() {
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
    let euler = mesh.euler_of(edges.len());
    if euler != 2 - 2 * ways_through as i64 {
        return fault(format!("the mesh has Euler number {euler}, but {ways_through} ways lead through the body"));
    }
    if !volume_is_near(mesh, volume_mm3) {
        return fault(format!("the mesh holds {} mm3, the exact body {volume_mm3} mm3", mesh.volume_mm3()));
    }
    Ok(())
}

/// Whether the volume of the mesh is positive and within [`VOLUME_FRACTION`].
pub(super) fn volume_is_near(mesh: &Mesh, volume_mm3: f64) -> bool {
    let got = mesh.volume_mm3();
    got > 0.0 && (got - volume_mm3).abs() <= VOLUME_FRACTION * volume_mm3
}

/// Height of a triangle over its longest side, mm.
pub(super) fn height([a, b, c]: [Point3; 3]) -> f64 {
    let longest = (b - a).length().max((c - b).length()).max((a - c).length());
    if longest == 0.0 { 0.0 } else { (b - a).cross(c - a).length() / longest }
}
