//! Quantities and their text: lengths, angles, forces and the rest, as types
//! whose inside unit is fixed (mm, radian, N, N mm, kg, MPa).
//!
//! A bare number never stands for a quantity across a room's door; where an
//! `f64` must (points of plane geometry), its name or docs carry the unit.

mod quantity;

pub use quantity::{Angle, Force, Length, Mass, Moment, Stress};
