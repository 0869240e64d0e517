//! From a piece to a checked mesh.

use super::mesh::{self, Mesh};
use super::{plates, sections, strips};
use crate::piece::{Form, Piece, Step, volume_mm3};
use std::fmt;

/// Why a piece has no mesh.
#[derive(Clone, Debug, PartialEq)]
pub enum SolidFault {
    /// A shape that this room cannot build exactly; it is said, never simplified.
    NotBuildable(String),
    /// The mesh was built, but the gate stopped it.
    Gate(String),
}

impl fmt::Display for SolidFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SolidFault::NotBuildable(why) => write!(f, "{why}"),
            SolidFault::Gate(why) => write!(f, "the mesh did not pass its check: {why}"),
        }
    }
}

/// A piece as a closed mesh.
#[derive(Clone, Debug)]
pub struct Body {
    /// The mesh, mm, in the piece's body frame.
    pub mesh: Mesh,
    /// Exact volume of the piece, mm3.
    pub volume_mm3: f64,
    /// Volume that the mesh encloses, mm3.
    pub mesh_volume_mm3: f64,
}

/// Furthest that a mesh's volume may be from the exact one, as a fraction.
const VOLUME_TOLERANCE: f64 = 0.004;
/// Finest chord tried, mm: below it truck's triangulation becomes slow, and
/// far below (1e-6) it panics.
const FINEST_MM: f64 = 1e-3;
/// Smallest size that is built, mm: zero sizes make truck hang.
const SMALLEST_MM: f64 = 1e-2;

/// Build the body of a piece and mesh it with this chord error, mm, or a finer
/// one where the volume asks for it.
///
/// # Errors
/// What cannot be built, or what the gate found.
pub fn build_body(piece: &Piece, chord_mm: f64) -> Result<Body, SolidFault> {
    check_sizes(piece)?;
    let exact = volume_mm3(piece);
    let solid = match &piece.form {
        Form::Plate(p) => plates::plate(p),
        Form::Strip(s) => strips::strip(s),
        Form::Section(s) => sections::section(s),
    }
    .map_err(SolidFault::NotBuildable)?;
    let mut chord = if chord_mm.is_finite() { chord_mm.clamp(FINEST_MM, 1.0) } else { 0.1 };
    loop {
        let meshed = mesh::mesh_of(&solid, chord).map_err(SolidFault::Gate)?;
        let volume = meshed.volume();
        let off = (volume / exact - 1.0).abs();
        if off <= VOLUME_TOLERANCE {
            return Ok(Body { mesh: meshed, volume_mm3: exact, mesh_volume_mm3: volume });
        }
        if chord / 2.0 < FINEST_MM || volume <= 0.0 {
            return Err(SolidFault::Gate(format!("its volume is {volume:.1} mm3, the piece has {exact:.1} mm3")));
        }
        chord /= 2.0;
    }
}

/// Every size finite and above zero, before truck sees it.
fn check_sizes(piece: &Piece) -> Result<(), SolidFault> {
    let ok = |v: f64| v.is_finite() && v > SMALLEST_MM;
    let fine = match &piece.form {
        Form::Plate(p) => {
            ok(p.thickness.to_mm()) && ok(p.outline.area()) && p.holes.iter().all(|h| h.shape.is_possible())
        }
        Form::Strip(s) => {
            let step = |st: &Step| match st {
                Step::Flat(f) => ok(f.length.to_mm()),
                Step::Bend(b) => {
                    ok(b.inside_radius.to_mm()) && b.angle.to_degrees() > 0.05 && b.angle.to_degrees() < 360.0
                }
            };
            ok(s.width.to_mm())
                && ok(s.thickness.to_mm())
                && s.steps.iter().all(step)
                && s.holes.iter().all(|h| h.hole.shape.is_possible())
        }
        Form::Section(s) => {
            let (outer, inner) = s.profile.loops();
            ok(s.length.to_mm())
                && ok(outer.area())
                && inner.iter().all(|l| ok(l.area()))
                && s.holes.iter().all(|h| h.hole.shape.is_possible())
        }
    };
    let exact = volume_mm3(piece);
    if fine && exact.is_finite() && exact > 0.0 {
        Ok(())
    } else {
        Err(SolidFault::NotBuildable("a size of the piece is zero, negative or no number".to_string()))
    }
}
