//! Quantities and their text: lengths, angles, forces and the rest, as types
//! whose inside unit is fixed (mm, radian, N, N mm, kg, MPa).
//!
//! A bare number never stands for a quantity across a room's door; where an
//! `f64` must (points of plane geometry), its name or docs carry the unit.

mod dim;
mod quantity;
mod scan;
mod size;
mod text;

pub use dim::{Dim, UNITS, Unit, find_unit, unit_help};
pub use quantity::{Angle, Force, KG_PER_LB, Length, MM_PER_INCH, Mass, Moment, N_PER_LBF, STANDARD_GRAVITY, Stress};
pub use scan::{Literal, TextFault, scan};
pub use size::{parse_size, same_size, show_size};
pub use text::{
    System, parse_angle, parse_length, parse_quantity, show_angle, show_length, show_length_with_rounding, show_mass,
    show_quantity, trimmed,
};
