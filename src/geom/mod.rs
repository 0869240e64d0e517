//! Plane geometry in millimetres with true arcs: outlines, distances, areas.
//!
//! ```text
//!   y
//!   ^      counter-clockwise loops hold metal, x to the right, y up,
//!   |      angles counter-clockwise from x
//!   +--> x
//! ```
//!
//! The bare `f64` of this room are millimetres and radians. This is the only
//! room that sees the `geo` crate.

mod chords;
mod ellipse;
mod measure;
mod meet;
mod offset;
mod outline;
mod point;
mod shapes;

pub use ellipse::ellipse_offset;
pub use measure::{Inside, Region, gap_between, is_simple, loop_inside, point_inside};
pub use meet::meets_itself;
pub use offset::offset;
pub use outline::{Arc, Loop, Segment, Side, Turn};
pub use point::{Bounds, Point};
pub use shapes::{Corner, CornerFinish, circle, ellipse_polygon, hull_of_circles, polygon, rectangle, slot};

/// Two points nearer than this are one point, mm: far below anything a
/// workshop can make, far above the noise of double precision at 10 m.
pub const SAME_POINT_MM: f64 = 1e-7;

/// Chord error when an arc must become straight pieces for a test of overlap,
/// mm. Ten times finer than the 0.001 mm that the paper is held to.
pub const CHORD_MM: f64 = 1e-4;
