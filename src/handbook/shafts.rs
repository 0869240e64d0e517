//! Steering shafts in torsion: a hole drilled across, and the smallest section.

use std::f64::consts::PI;

use crate::handbook::Citation;
use crate::handbook::sources::{Ledger, STATICS};
use crate::units::{Length, Moment, Stress};

/// Where one fit of the factor at a cross hole is from.
pub const CROSS_HOLE_ROARK: Citation = Citation::quoted(
    "Roark's Formulas for Stress and Strain",
    "Table 17.1, radial hole in a hollow or solid circular shaft, torsional loading",
);
/// Where the other is from.
pub const CROSS_HOLE_PETERSON: Citation = Citation::quoted(
    "Peterson's Stress Concentration Factors",
    "torsion of a tube or bar of circular section with a transverse hole",
);

/// Coefficients of hole over shaft for a solid shaft, first work.
const ROARK: [f64; 4] = [4.0, -6.793, 38.382, -44.576];
/// The same of the second.
const PETERSON: [f64; 4] = [4.0, -6.055, 32.764, -38.33];
/// Largest hole over shaft that both fits hold for.
pub const LARGEST_CROSS_HOLE: f64 = 0.4;

/// Greatest pull at the edge of a hole across a solid shaft, over the shear stress of the shaft without it.
///
/// # Formula
/// `4 - 6.793 x + 38.382 x2 - 44.576 x3` and `4 - 6.055 x + 32.764 x2 - 38.33 x3`, the greater; `x` hole over shaft
/// # Source
/// [`CROSS_HOLE_ROARK`], [`CROSS_HOLE_PETERSON`]: two fits of the same measurements.
/// # Holds for
/// A hole through the middle of a solid round shaft, up to 0.4 of its diameter, stress below yield; `None` outside.
pub fn cross_hole_factor(diameter: Length, hole: Length) -> Option<f64> {
    let x = hole.to_mm() / diameter.to_mm();
    let fit = |c: [f64; 4]| c.iter().rev().fold(0.0, |sum, c| sum * x + c);
    (0.0..=LARGEST_CROSS_HOLE).contains(&x).then(|| fit(ROARK).max(fit(PETERSON)))
}

/// Shear stress of a round shaft in the section that a cross hole leaves.
///
/// # Formula
/// `T / (pi D3 / 16 - d D2 / 6 - d3 / 6)`: the strip of the hole is taken off the polar moment
/// # Source
/// Elementary torsion theory.
/// # Holds for
/// A hole through the middle; `None` where nothing is left.
pub fn cross_hole_net(torque: Moment, diameter: Length, hole: Length) -> Option<Stress> {
    let (big, d) = (diameter.to_mm(), hole.to_mm());
    let modulus = PI * big * big * big / 16.0 - d * big * big / 6.0 - d * d * d / 6.0;
    (modulus > 0.0 && d >= 0.0).then(|| Stress::mpa(torque.to_newton_mm() / modulus))
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    to.row("fit of the factor at a cross hole", CROSS_HOLE_ROARK);
    to.row("second fit of the factor at a cross hole", CROSS_HOLE_PETERSON);
    to.formulas(&["cross_hole_factor"], CROSS_HOLE_ROARK);
    to.formulas(&["cross_hole_net"], STATICS);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is left of a round section beside a strip, summed up cell by cell.
    fn polar_left(big: f64, d: f64) -> f64 {
        const CELLS: u32 = 1200;
        let step = big / f64::from(CELLS);
        let middle = |i: u32| (f64::from(i) + 0.5) * step - big / 2.0;
        let mut sum = 0.0;
        for i in 0..CELLS {
            for j in 0..CELLS {
                let (x, y) = (middle(i), middle(j));
                if x * x + y * y <= big * big / 4.0 && y.abs() > d / 2.0 {
                    sum += (x * x + y * y) * step * step;
                }
            }
        }
        sum
    }

    #[test]
    fn the_section_that_is_left_is_no_larger_than_the_one_summed_up() {
        for d in [0.0, 2.0, 5.0, 7.6] {
            let tau = cross_hole_net(Moment::newton_mm(1.0), Length::mm(19.0), Length::mm(d)).map(Stress::to_mpa);
            let summed = 9.5 / polar_left(19.0, d);
            let ratio = tau.unwrap_or(0.0) / summed;
            // The strip reaches a little over the round: on the safe side.
            assert!((0.999..1.06).contains(&ratio), "{d}: {ratio}");
        }
    }

    #[test]
    fn a_small_hole_pulls_four_times_the_shear_and_both_fits_agree() {
        let at = |d: f64| cross_hole_factor(Length::mm(10.0), Length::mm(d));
        assert_eq!(at(0.0), Some(4.0));
        for i in 0..=40 {
            let x = f64::from(i) / 100.0;
            let fit = |c: [f64; 4]| c.iter().rev().fold(0.0, |sum, c| sum * x + c);
            assert!((fit(ROARK) / fit(PETERSON) - 1.0).abs() < 0.05, "{x}");
        }
        assert!(at(4.01).is_none() && at(-0.1).is_none() && at(f64::NAN).is_none());
    }
}
