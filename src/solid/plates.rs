//! Plates: a face with openings, swept by the thickness.

use super::bricks::{Axes, Made, face, hole_wire, swept, wire};
use crate::piece::Plate;
use truck_modeling::{Matrix4, Point3, Solid, Vector3};

/// The plate from z = -thickness to z = 0.
pub(super) fn plate(plate: &Plate) -> Made<Solid> {
    let t = plate.thickness.to_mm();
    let axes = Axes { origin: Point3::new(0.0, 0.0, -t), x: Vector3::unit_x(), y: Vector3::unit_y() };
    let openings = plate.holes.iter().map(|h| hole_wire(h.shape, h.at, &axes)).collect();
    let base = face(wire(&plate.outline, &axes), openings, &axes)?;
    Ok(swept(&base, Matrix4::from_translation(Vector3::new(0.0, 0.0, t))))
}
