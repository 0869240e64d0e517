//! Shafts through tilted plates, and single universal joints.

use crate::units::{Angle, Length};

/// Long axis of the ellipse that a bore along a tilted shaft leaves on the plate's face.
///
/// # Formula
/// `d / cos(tilt)`
/// # Source
/// Geometry of a plane through a cylinder. Derived here.
pub fn oblique_major(diameter: Length, tilt: Angle) -> Length {
    diameter / tilt.cos()
}

/// Length of a straight opening, square to the plate, that a tilted shaft passes.
///
/// # Formula
/// `d / cos(tilt) + thickness tan(tilt)`
/// # Source
/// Geometry: the ellipses on both faces, shifted by the thickness. Derived here.
pub fn straight_opening(diameter: Length, tilt: Angle, thickness: Length) -> Length {
    oblique_major(diameter, tilt) + thickness * tilt.tan()
}

/// Least and greatest speed ratio of a single universal joint.
///
/// # Formula
/// `cos(b)` to `1 / cos(b)`
/// # Source
/// Textbook kinematics of the Hooke joint: w2/w1 = cos b / (1 - sin2 b cos2 a).
pub fn joint_ratio(bend: Angle) -> (f64, f64) {
    (bend.cos(), 1.0 / bend.cos())
}

/// Output angle of a single universal joint for an input angle.
///
/// # Formula
/// `tan(out) = tan(in) / cos(b)`
/// # Source
/// Textbook kinematics of the Hooke joint.
pub fn joint_angle(input: Angle, bend: Angle) -> Angle {
    Angle::radians(libm::atan(input.tan() / bend.cos()))
}
