//! Bolts: stress areas, proof loads, torque, resistances.

use crate::units::{Force, Length, Moment, Stress};
use std::f64::consts::PI;

/// Partial factor gamma M2 (EN 1993-1-8:2005, Table 2.1, recommended value).
const GAMMA_M2: f64 = 1.25;

/// Stress area of a metric thread, mm2.
///
/// # Formula
/// `pi/4 (d - 0.9382 P)^2`
/// # Source
/// ISO 898-1:2013, 9.1.6.1 and its table of stress areas.
pub fn metric_stress_area(diameter: Length, pitch: Length) -> f64 {
    let d = diameter.to_mm() - 0.938_194 * pitch.to_mm();
    PI / 4.0 * d * d
}

/// Stress area of a unified inch thread, square inches.
///
/// # Formula
/// `0.7854 (D - 0.9743 / n)^2`
/// # Source
/// ASME B1.1, appendix B, from memory, unconfirmed.
pub fn inch_stress_area(diameter: Length, threads_per_inch: f64) -> f64 {
    let d = diameter.to_inches() - 0.9743 / threads_per_inch;
    0.7854 * d * d
}

/// Proof load: stress area times proof stress.
///
/// # Formula
/// `As * Sp`
/// # Source
/// ISO 898-1:2013, tables of proof loads (Sp 225 for 4.6, 580 for 8.8, 830 for 10.9).
pub fn proof_load(area_mm2: f64, proof_stress: Stress) -> Force {
    Force::newtons(area_mm2 * proof_stress.to_mpa())
}

/// Tightening torque.
///
/// # Formula
/// `K D F`, K about 0.20 dry; scatter of 30 % either way.
/// # Source
/// SAE J429 torque tables of the trade (75 % of proof load, K = 0.20).
pub fn tightening_torque(nut_factor: f64, diameter: Length, clamp: Force) -> Moment {
    clamp * (diameter * nut_factor)
}

/// Shear resistance of one bolt with the thread in the shear plane.
///
/// # Formula
/// `av fub As / gamma_M2`, av 0.6 (4.6, 5.6, 8.8) or 0.5 (10.9 and others)
/// # Source
/// EN 1993-1-8:2005, Table 3.4.
pub fn shear_resistance(tensile: Stress, area_mm2: f64, factor: f64) -> Force {
    Force::newtons(factor * tensile.to_mpa() * area_mm2 / GAMMA_M2)
}

/// Tension resistance of one bolt.
///
/// # Formula
/// `0.9 fub As / gamma_M2`
/// # Source
/// EN 1993-1-8:2005, Table 3.4.
pub fn tension_resistance(tensile: Stress, area_mm2: f64) -> Force {
    Force::newtons(0.9 * tensile.to_mpa() * area_mm2 / GAMMA_M2)
}

/// Bearing resistance of the plate at one bolt.
///
/// # Formula
/// `k1 ab fu d t / gamma_M2`, `ab = min(e1/3d0, p1/3d0 - 1/4, fub/fu, 1)`,
/// `k1 = min(2.8 e2/d0 - 1.7, 1.4 p2/d0 - 1.7, 2.5)`; distances are
/// (e1, e2, p1, p2) in mm.
/// # Source
/// EN 1993-1-8:2005, Table 3.4.
pub fn bearing_resistance(
    diameter: Length,
    hole: Length,
    thickness: Length,
    plate_tensile: Stress,
    bolt_tensile: Stress,
    distances: (f64, f64, f64, f64),
) -> Force {
    let (e1, e2, p1, p2) = distances;
    let d0 = hole.to_mm();
    let k1 = (2.8 * e2 / d0 - 1.7).min(1.4 * p2 / d0 - 1.7).min(2.5);
    let ab = (e1 / (3.0 * d0)).min(p1 / (3.0 * d0) - 0.25).min(bolt_tensile / plate_tensile).min(1.0);
    Force::newtons(k1 * ab * plate_tensile.to_mpa() * diameter.to_mm() * thickness.to_mm() / GAMMA_M2)
}
