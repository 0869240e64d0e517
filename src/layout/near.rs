//! What stands near a layout, and how far two straight pieces are apart.

use crate::space::Point3;
use crate::units::Length;

/// Something that must be cleared: a point, or a bar between two points, with a radius.
#[derive(Clone, Debug, PartialEq)]
pub struct Obstacle {
    /// What it is.
    pub name: String,
    /// One end.
    pub from: Point3,
    /// The other; the same for a point.
    pub to: Point3,
    /// Its radius.
    pub radius: Length,
}

/// Shortest distance between two straight pieces.
///
/// # Source
/// Geometry: the shortest link of two segments, ends clamped.
pub(super) fn apart(a: (Point3, Point3), b: (Point3, Point3)) -> f64 {
    let (d, e, r) = (a.1 - a.0, b.1 - b.0, a.0 - b.0);
    let (dd, ee, er) = (d.dot(d), e.dot(e), e.dot(r));
    let (dr, de) = (d.dot(r), d.dot(e));
    let denominator = dd * ee - de * de;
    let clamp = |v: f64| v.clamp(0.0, 1.0);
    let mut s = if denominator > 1e-12 * dd * ee { clamp((de * er - dr * ee) / denominator) } else { 0.0 };
    let mut t = if ee > 0.0 { (de * s + er) / ee } else { 0.0 };
    if !(0.0..=1.0).contains(&t) || ee <= 0.0 {
        t = clamp(t);
        s = if dd > 0.0 { clamp((de * t - dr) / dd) } else { 0.0 };
    }
    (a.0 + d * s - b.0 - e * t).length()
}
