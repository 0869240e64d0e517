//! Meshes as binary STL, in mm.

use crate::solid::Mesh;

/// Bytes before the count of triangles.
///
/// # Source
/// Binary STL as commonly written: 80 bytes of text, a 32-bit count, then 50
/// bytes a triangle (normal, three corners as 32-bit floats, two spare bytes),
/// little end first. Common practice, no source.
const HEADER_BYTES: usize = 80;
/// Bytes of one triangle.
const TRIANGLE_BYTES: usize = 50;

/// A mesh as binary STL, mm, with `name` in the header. The same mesh and name
/// give the same bytes.
pub fn write_stl(name: &str, mesh: &Mesh) -> Vec<u8> {
    let mut bytes = header(name);
    bytes.reserve(4 + TRIANGLE_BYTES * mesh.triangles.len());
    bytes.extend((mesh.triangles.len() as u32).to_le_bytes());
    for t in &mesh.triangles {
        let [a, b, c] = mesh.corners(t);
        let square = (b - a).cross(c - a);
        let long = square.length();
        let normal = if long > 0.0 { square * (1.0 / long) } else { square };
        for p in [normal, a, b, c] {
            for v in [p.x, p.y, p.z] {
                // Minus nought is written as nought.
                bytes.extend((v as f32 + 0.0).to_le_bytes());
            }
        }
        bytes.extend([0, 0]);
    }
    bytes
}

/// The name and the unit, as plain text, filled up with spaces. It must not
/// begin with `solid`, the mark of the text form.
fn header(name: &str) -> Vec<u8> {
    let plain: String = name.chars().map(|c| if c.is_ascii_graphic() || c == ' ' { c } else { '_' }).collect();
    let mut bytes = format!("mm; {plain}").into_bytes();
    bytes.resize(HEADER_BYTES, b' ');
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::space::Point3;

    /// A corner of a cube, cut off: four points, four triangles, volume 1000/6.
    fn corner() -> Mesh {
        let p = |x: f64, y: f64, z: f64| Point3::new(x, y, z);
        Mesh {
            positions: vec![p(0.0, 0.0, 0.0), p(10.0, 0.0, 0.0), p(0.0, 10.0, 0.0), p(0.0, 0.0, 10.0)],
            triangles: vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]],
            ..Mesh::default()
        }
    }

    fn float(bytes: &[u8], at: usize) -> f32 {
        f32::from_le_bytes(bytes[at..at + 4].try_into().unwrap())
    }

    #[test]
    fn bytes_read_back_as_the_same_triangles() {
        let mesh = corner();
        let bytes = write_stl("plate--left", &mesh);
        assert_eq!(bytes.len(), 84 + 50 * 4);
        assert_eq!(u32::from_le_bytes(bytes[80..84].try_into().unwrap()), 4);
        assert!(!bytes.starts_with(b"solid") && bytes.starts_with(b"mm; plate--left"));
        for (k, t) in mesh.triangles.iter().enumerate() {
            let start = 84 + 50 * k;
            for (c, p) in mesh.corners(t).iter().enumerate() {
                let at = start + 12 + 12 * c;
                let read = [float(&bytes, at), float(&bytes, at + 4), float(&bytes, at + 8)];
                assert_eq!(read, [p.x as f32, p.y as f32, p.z as f32]);
            }
        }
        // The bottom looks down, the slant face evenly out.
        assert_eq!([float(&bytes, 84), float(&bytes, 88), float(&bytes, 92)], [0.0, 0.0, -1.0]);
        let third = libm::sqrt(1.0 / 3.0) as f32;
        assert!((float(&bytes, 84 + 150) - third).abs() < 1e-6);
    }

    #[test]
    fn a_long_or_foreign_name_fits_the_header() {
        let bytes = write_stl(&"ü".repeat(200), &corner());
        assert_eq!(bytes.len(), 284);
        assert!(bytes[..80].is_ascii());
    }
}
