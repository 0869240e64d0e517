//! Bends: allowances, setbacks, the K of the neutral line.

use crate::units::{Angle, Length};
use std::f64::consts::{FRAC_PI_2, PI};

/// Whose neutral line is used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BendMethod {
    /// DIN 6935: by radius over thickness.
    Din6935,
    /// Machinery's Handbook: one constant for soft, one for hard metal.
    Machinery {
        /// Bronze, hard copper, cold-rolled steel, spring steel.
        hard: bool,
    },
    /// From the person's own test bend: K of the thickness.
    Tested(f64),
}

/// Length of the neutral line in a bend.
///
/// # Formula
/// `angle * (radius + K * thickness)`, angle in radians.
/// # Source
/// Definition of the bend allowance; Machinery's Handbook, 31st ed., p. 1421.
pub fn allowance(angle: Angle, inside_radius: Length, thickness: Length, k: f64) -> Length {
    (inside_radius + thickness * k) * angle.to_radians()
}

/// Length of stock in a bend, soft steel and aluminium or hard metal.
///
/// # Formula
/// 90 deg: `0.64 T + 1.57 R` (half-hard copper, soft steel, aluminium: eq. 33),
/// `0.71 T + 1.57 R` (bronze, hard copper, cold-rolled and spring steel: eq. 34);
/// other angles in proportion.
/// # Source
/// Machinery's Handbook, 31st ed., p. 1421, formulas (33) and (34).
pub fn machinery_length(angle: Angle, inside_radius: Length, thickness: Length, hard: bool) -> Length {
    let t = if hard { 0.71 } else { 0.64 };
    (thickness * t + inside_radius * 1.57) * (angle.to_degrees() / 90.0)
}

/// Distance from a bend's tangent line to the corner of its outside surfaces.
///
/// # Formula
/// `tan(angle / 2) * (radius + thickness)`
/// # Source
/// FAA-H-8083-31, Aviation Maintenance Technician Handbook, Airframe vol. 1, ch. 4 (90 deg: SB = R + T).
pub fn outside_setback(angle: Angle, inside_radius: Length, thickness: Length) -> Length {
    (inside_radius + thickness) * (angle / 2.0).tan()
}

/// Correction factor k of DIN 6935; it multiplies half the thickness.
///
/// # Formula
/// `0.65 + 0.5 log10(r / s)` up to r/s = 5, 1 above; never below 0.
/// # Source
/// DIN 6935, as quoted in handbook pages for metalworking trades.
/// # Holds for
/// Cold bending of steel; r/s from about 0.1.
pub fn din_6935_k(inside_radius: Length, thickness: Length) -> f64 {
    let ratio = inside_radius / thickness;
    if ratio > 5.0 { 1.0 } else { (0.65 + 0.5 * libm::log10(ratio)).max(0.0) }
}

/// Compensation value v of DIN 6935, taken off the sum of the outside legs.
///
/// # Formula
/// opening angle b to 90 deg: `2 (r + s) - pi (180 - b)/180 (r + k s / 2)`;
/// 90 to 165 deg: `2 (r + s) tan((180 - b)/2) - ...`; above 165 deg: 0.
/// # Source
/// DIN 6935, as quoted in handbook pages for metalworking trades.
pub fn din_6935_compensation(opening: Angle, inside_radius: Length, thickness: Length) -> Length {
    let b = opening.to_degrees();
    if b > 165.0 {
        return Length::ZERO;
    }
    let k = din_6935_k(inside_radius, thickness);
    let arc = (inside_radius + thickness * (k / 2.0)) * (PI * (180.0 - b) / 180.0);
    let legs = if b <= 90.0 { 1.0 } else { Angle::degrees((180.0 - b) / 2.0).tan() };
    (inside_radius + thickness) * (2.0 * legs) - arc
}

/// Flat length of an angle with outside legs `a` and `b`, before rounding.
///
/// # Formula
/// `a + b - v`
/// # Source
/// DIN 6935; the worked example gives 31.23 mm for a = 16, b = 21, s = 5, r = 6, 90 deg.
pub fn din_6935_flat_length(a: Length, b: Length, opening: Angle, inside_radius: Length, thickness: Length) -> Length {
    a + b - din_6935_compensation(opening, inside_radius, thickness)
}

/// K of the thickness for a method: the neutral line's place from the inside.
///
/// # Formula
/// DIN 6935: `k / 2`. Machinery's Handbook: `0.64 / (pi/2)` or `0.71 / (pi/2)`.
/// # Source
/// As named; the conversion is arithmetic.
pub fn k_of(method: BendMethod, inside_radius: Length, thickness: Length) -> f64 {
    match method {
        BendMethod::Din6935 => din_6935_k(inside_radius, thickness) / 2.0,
        BendMethod::Machinery { hard } => (if hard { 0.71 } else { 0.64 }) / FRAC_PI_2,
        BendMethod::Tested(k) => k,
    }
}

/// Least distance from a hole's edge to a bend.
///
/// # Formula
/// `2.5 thickness + radius`
/// # Source
/// Common practice, no source.
pub fn hole_to_bend(inside_radius: Length, thickness: Length) -> Length {
    thickness * 2.5 + inside_radius
}
