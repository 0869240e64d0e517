//! Binary STL in millimetres.

use crate::solid::Mesh;

/// A mesh as binary STL: 80 bytes of heading, the count, 50 bytes a triangle.
/// The heading names the piece; it must not begin with `solid`, which readers
/// take for the text form.
///
/// # Source
/// The binary form of the stereolithography interface specification (3D Systems, 1989).
pub fn write_stl(name: &str, mesh: &Mesh) -> Vec<u8> {
    let mut out = Vec::with_capacity(84 + 50 * mesh.triangles.len());
    let heading: String = format!("droprack, mm: {name}").chars().filter(char::is_ascii).take(80).collect();
    out.extend_from_slice(heading.as_bytes());
    out.resize(80, b' ');
    out.extend_from_slice(&(mesh.triangles.len() as u32).to_le_bytes());
    for t in &mesh.triangles {
        let [a, b, c] = t.map(|i| mesh.positions[i as usize]);
        let side = |p: [f64; 3], q: [f64; 3]| [q[0] - p[0], q[1] - p[1], q[2] - p[2]];
        let (u, v) = (side(a, b), side(a, c));
        let n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
        let length = libm::sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
        let unit = if length > 0.0 { n.map(|c| c / length) } else { [0.0; 3] };
        for corner in [unit, a, b, c] {
            for value in corner {
                // Minus zero would make two runs of mirrored parts differ for nothing.
                out.extend_from_slice(&((value + 0.0) as f32).to_le_bytes());
            }
        }
        out.extend_from_slice(&[0, 0]);
    }
    out
}
