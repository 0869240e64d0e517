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
mod mesh;
mod mesher;
mod round;
mod section;
mod sheet;
mod shell;
mod strip_guard;
mod triangulate;

#[cfg(test)]
mod random_tests;
#[cfg(test)]
mod tests;

pub use mesh::Mesh;

use crate::piece::{Form, Piece, surface_mm2, volume_mm3};
use crate::space::{Box3, Point3};
use std::sync::Arc;

/// How far a mesh may lie from the true surface, mm, unless asked otherwise:
/// finer than a layer of any home printer, and small files.
pub const USUAL_CHORD_MM: f64 = 0.1;

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
    pub mesh: Arc<Mesh>,
    /// Volume, mm3, exact (from the outlines, not from the mesh).
    pub volume_mm3: f64,
    /// Surface, mm2, exact (from the outlines, not from the mesh).
    pub area_mm2: f64,
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

thread_local! {
    /// Whether this thread is inside the kernel.
    static IN_KERNEL: std::cell::Cell<bool> = const { std::cell::Cell::new(false) };
}

/// Runs the kernel; `None` when it panicked, and nothing is printed then.
fn quietly<T>(run: impl FnOnce() -> T + std::panic::UnwindSafe) -> Option<T> {
    static HOOK: std::sync::Once = std::sync::Once::new();
    HOOK.call_once(|| {
        let usual = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |info| {
            if !IN_KERNEL.get() {
                usual(info);
            }
        }));
    });
    let before = IN_KERNEL.replace(true);
    let out = std::panic::catch_unwind(run);
    IN_KERNEL.set(before);
    out.ok()
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
    // The kernel is not ours: what it may still stumble over ends here, told as
    // the fault of this piece.
    let made = quietly(|| -> Result<_, SolidFault> {
        let (faces, ways_through) = match &piece.form {
            Form::Plate(p) => (sheet::plate(p)?, p.holes.len()),
            Form::Strip(s) => (sheet::strip(s)?, s.holes.len()),
            Form::Section(s) => section::section(s)?,
        };
        let solid = shell::close(faces)?;
        let volume_mm3 = volume_mm3(piece);
        let mut chord = chord_mm;
        let mut mesh = mesher::mesh(&solid, chord)?;
        // Small round stock loses more than its share at the usual chord.
        while !gate::volume_is_near(&mesh, volume_mm3) && chord > 1e-3 {
            chord /= 4.0;
            mesh = mesher::mesh(&solid, chord)?;
        }
        Ok((mesh, volume_mm3, ways_through))
    });
    let (mesh, volume_mm3, ways_through) = made.unwrap_or_else(|| {
        Err(SolidFault::NotBuildable(
            "the solid kernel gave up on this piece; please report it with the job".to_string(),
        ))
    })?;
    gate::check(&mesh, volume_mm3, ways_through)?;
    let Box3 { low, high } = mesh.bounds().expect("a mesh that passed the gate has points");
    Ok(Body {
        volume_mm3,
        area_mm2: surface_mm2(piece),
        centre_of_gravity: mesh.centre_of_gravity(),
        low,
        high,
        ways_through,
        mesh: Arc::new(mesh),
    })
}
