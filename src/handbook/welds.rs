//! Fillet welds by the simplified method.

use crate::units::{Force, Length, Stress};

/// Throat of a fillet with legs of equal length.
///
/// # Formula
/// `leg / sqrt 2`
/// # Source
/// Geometry; EN 1993-1-8:2005, Figure 4.3.
pub fn fillet_throat(leg: Length) -> Length {
    leg / std::f64::consts::SQRT_2
}

/// Design shear strength of a fillet weld.
///
/// # Formula
/// `fu / (sqrt 3 * bw * 1.25)`
/// # Source
/// EN 1993-1-8:2005, 4.5.3.3; bw 0.80 (S235), 0.85 (S275), 0.90 (S355).
pub fn fillet_strength(tensile: Stress, correlation: f64) -> Stress {
    tensile / (libm::sqrt(3.0) * correlation * 1.25)
}

/// Resistance of one run of fillet weld; its ends count off a throat each.
///
/// # Formula
/// `(l - 2 a) a fvw`
/// # Source
/// EN 1993-1-8:2005, 4.5.1 and 4.5.3.3.
pub fn weld_run(length: Length, throat: Length, strength: Stress) -> Force {
    Force::newtons((length - throat * 2.0).to_mm() * throat.to_mm() * strength.to_mpa())
}
