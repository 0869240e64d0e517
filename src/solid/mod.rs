//! Closed bodies of pieces and their meshes; the only room that sees `truck`.
//!
//! ```text
//!   plate, strip: outside face at z = 0, metal below, x along, y across;
//!   the first flat of a strip lies in the xy plane, an up bend rises to +z
//!
//!        z ^            | up bend         the other forms stand as the
//!          |            |                 room `piece` draws them
//!        0 +---outside--'
//!          +==metal=====-------> x
//! ```
//!
//! A body that cannot be built exactly is said, never silently simplified; and
//! each mesh passes a gate before it leaves this room.

mod contour;
mod gate;
mod section;
mod sheet;
mod shell;
mod strip_guard;

#[cfg(test)]
mod tests;

pub use gate::Mesh;

use crate::piece::{Form, Piece, volume_mm3};
use crate::space::Point3;

/// How far a mesh may lie from the true surface, mm, unless asked otherwise:
/// finer than a layer of any home printer, and small files.
pub const USUAL_CHORD_MM: f64 = 0.05;

/// Why a piece has no body.
#[derive(Clone, Debug, PartialEq)]
pub enum SolidFault {
    /// A size is no number, nought or too small or large to mesh.
    BadSize(String),
    /// The piece is possible or impossible to make, but no exact body of it can be built.
    NotBuildable(String),
    /// The mesh came out wrong and was held back.
    Gate(String),
}

impl std::fmt::Display for SolidFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            SolidFault::BadSize(s) | SolidFault::NotBuildable(s) => f.write_str(s),
            SolidFault::Gate(s) => write!(f, "the mesh of this piece was held back: {s}"),
        }
    }
}

impl std::error::Error for SolidFault {}

/// A closed body in the body frame of its piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Body {
    /// Skin, within the chord that was asked for.
    pub mesh: Mesh,
    /// Volume, mm3, exact (from the outlines, not from the mesh).
    pub volume_mm3: f64,
    /// Centre of gravity, mm, of the mesh: right to about the chord.
    pub centre_of_gravity: Point3,
    /// Lowest x, y and z of the mesh, mm.
    pub low: Point3,
    /// Highest x, y and z of the mesh, mm.
    pub high: Point3,
    /// Holes right through the body, each wall of a tube for itself, and the
    /// bore of a tube; checked against the Euler number of the mesh.
    pub ways_through: usize,
}

/// The body of a piece, meshed within [`USUAL_CHORD_MM`].
///
/// # Errors
/// As [`build_body_within`].
pub fn build_body(piece: &Piece) -> Result<Body, SolidFault> {
    build_body_within(piece, USUAL_CHORD_MM)
}

/// The body of a piece, meshed within `chord_mm` (0.001 to 5 mm) of its true
/// surfaces, or finer where small round stock needs it to keep its volume.
///
/// # Errors
/// [`SolidFault::BadSize`] and [`SolidFault::NotBuildable`] for what cannot be
/// built, [`SolidFault::Gate`] for a mesh that came out wrong.
pub fn build_body_within(piece: &Piece, chord_mm: f64) -> Result<Body, SolidFault> {
    if !(1e-3..=5.0).contains(&chord_mm) {
        return Err(SolidFault::BadSize(format!("a chord of {chord_mm} mm; give one from 0.001 mm to 5 mm")));
    }
    let (faces, ways_through) = match &piece.form {
        Form::Plate(p) => (sheet::plate(p)?, p.holes.len()),
        Form::Strip(s) => (sheet::strip(s)?, s.holes.len()),
        Form::Section(s) => section::section(s)?,
    };
    let solid = shell::close(faces)?;
    let volume_mm3 = volume_mm3(piece);
    let mut chord = chord_mm;
    let mut mesh = gate::mesh(&solid, chord)?;
    // Small round stock loses more than half a per cent at the usual chord.
    while !gate::volume_is_near(&mesh, volume_mm3) && chord > 2e-3 {
        chord /= 4.0;
        mesh = gate::mesh(&solid, chord)?;
    }
    gate::check(&mesh, volume_mm3, ways_through)?;
    let (low, high) = mesh.bounds().expect("a mesh that passed the gate has points");
    Ok(Body { volume_mm3, centre_of_gravity: mesh.centre_of_gravity(), low, high, ways_through, mesh })
}
