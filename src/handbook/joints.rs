//! Universal joints: what a shaft through one joint does when the other turns evenly.

use std::f64::consts::PI;

use crate::handbook::Citation;
use crate::handbook::sources::Ledger;
use crate::units::Angle;

/// Where the joint formulas are from.
pub const SOURCE: Citation =
    Citation::quoted("Kinematics of the Hooke (Cardan) joint", "velocity ratio and angle relation");
/// Where [`equivalent_bend`] is from.
pub const EQUIVALENT: Citation = Citation::memory("SAE AE-7", "universal joint and driveshaft design manual");
/// The largest bend to design a single joint with.
pub const SINGLE_JOINT_LIMIT: (Angle, Citation) =
    (Angle::degrees(30.0), Citation::practice("single needle joint: 30 degrees in design, 35 at most"));

/// Output over input speed at an input position.
///
/// # Formula
/// `w2/w1 = cos b / (1 - sin2 b cos2 th)`
/// # Source
/// [`SOURCE`].
/// # Holds for
/// A joint bent by `bend`, 0 to under 90 degrees; `input` counted from the position where the ratio is greatest.
pub fn ratio(bend: Angle, input: Angle) -> f64 {
    let (sin, cos) = (bend.sin(), input.cos());
    bend.cos() / (1.0 - sin * sin * cos * cos)
}

/// Least ratio in a turn.
///
/// # Formula
/// `cos b`
/// # Source
/// [`SOURCE`].
/// # Holds for
/// As [`ratio`].
pub fn least_ratio(bend: Angle) -> f64 {
    bend.cos()
}

/// Greatest ratio in a turn.
///
/// # Formula
/// `1 / cos b`
/// # Source
/// [`SOURCE`].
/// # Holds for
/// As [`ratio`].
pub fn greatest_ratio(bend: Angle) -> f64 {
    1.0 / bend.cos()
}

/// Greatest less least ratio.
///
/// # Formula
/// `sin2 b / cos b`
/// # Source
/// [`SOURCE`].
/// # Holds for
/// As [`ratio`].
pub fn ratio_swing(bend: Angle) -> f64 {
    bend.sin() * bend.sin() / bend.cos()
}

/// Where the output stands for an input angle, on the same turn.
///
/// # Formula
/// `tan out = tan in / cos b`
/// # Source
/// [`SOURCE`].
/// # Holds for
/// As [`ratio`].
pub fn output_angle(bend: Angle, input: Angle) -> Angle {
    let turns = libm::round(input.to_radians() / PI);
    let within = Angle::radians(input.to_radians() - turns * PI);
    Angle::radians(libm::atan2(within.sin(), within.cos() * bend.cos()) + turns * PI)
}

/// The single bend that swings as much as two joints together.
///
/// # Formula
/// `sqrt(|b1^2 - b2^2|)` with the inner forks in one plane (`in_phase`), where the bends cancel;
/// `sqrt(b1^2 + b2^2)` a quarter turn out, where they add
/// # Source
/// [`EQUIVALENT`].
/// # Holds for
/// Two joints whose three shafts lie in one plane.
pub fn equivalent_bend(first: Angle, second: Angle, in_phase: bool) -> Angle {
    let (a, b) = (first.to_radians(), second.to_radians());
    let square = if in_phase { (a * a - b * b).abs() } else { a * a + b * b };
    Angle::radians(square.sqrt())
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    to.row("largest bend of a single joint", SINGLE_JOINT_LIMIT.1);
    to.formulas(&["ratio", "least_ratio", "greatest_ratio", "ratio_swing", "output_angle"], SOURCE);
    to.formulas(&["equivalent_bend"], EQUIVALENT);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ratio_stays_between_its_published_ends_and_reaches_both() {
        let bend = Angle::degrees(30.0);
        let all: Vec<f64> = (0..360).map(|d| ratio(bend, Angle::degrees(f64::from(d)))).collect();
        let least = all.iter().copied().fold(f64::INFINITY, f64::min);
        let most = all.iter().copied().fold(0.0, f64::max);
        assert!((least - least_ratio(bend)).abs() < 1e-12);
        assert!((most - greatest_ratio(bend)).abs() < 1e-12);
        assert!((most - least - ratio_swing(bend)).abs() < 1e-12);
    }

    #[test]
    fn the_ratio_is_the_slope_of_the_angle_relation() {
        // Both are counted from the position of greatest ratio, so no shift is needed.
        let bend = Angle::degrees(25.0);
        for d in [0.0, 20.0, 45.0, 80.0, 100.0, 200.0, 271.0] {
            let step = 1e-5;
            let at = |x: f64| output_angle(bend, Angle::radians(x)).to_radians();
            let th = Angle::degrees(d).to_radians();
            let slope = (at(th + step) - at(th - step)) / (2.0 * step);
            assert!((slope - ratio(bend, Angle::degrees(d))).abs() < 1e-6, "{d}");
        }
    }

    #[test]
    fn two_equal_joints_in_phase_cancel() {
        let b = Angle::degrees(20.0);
        assert_eq!(equivalent_bend(b, b, true), Angle::ZERO);
        assert!(equivalent_bend(b, b, false) > b);
    }
}
