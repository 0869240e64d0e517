//! Fillet welds: throat, strength per length, and how small is too small.

use crate::handbook::Citation;
use crate::handbook::material::STEEL_KG_PER_M3;
use crate::handbook::sources::{Ledger, PLANE};
use crate::units::{Force, Length, Mass, Stress};

/// Where the strength formula is from.
pub const EN_STRENGTH: Citation = Citation::quoted("EN 1993-1-8", "4.5.3.3, simplified method");
/// Where the least legs are from.
pub const AWS_LEGS: Citation = Citation::quoted("AWS D1.1:2025", "Table 7.7");

/// Where the length that counts is from.
pub const EN_RUNS: Citation = Citation::quoted("EN 1993-1-8", "4.5.1");
/// Where [`LEAST_THROAT`] is from.
pub const EN_THROAT: Citation = Citation::quoted("EN 1993-1-8", "4.5.2(2)");
/// Where the greatest leg is from.
pub const AISC_LEG: Citation = Citation::quoted("AISC 360", "J2.2b");
/// Where the allowable shear is from.
pub const AWS_STRESS: Citation = Citation::quoted("AWS D1.1", "allowable shear on the throat, 0.30 F_EXX");

/// Partial factor for joints, gamma M2, as recommended.
const GAMMA_M2: f64 = 1.25;

/// Throat of an equal-leg fillet.
///
/// # Formula
/// `a = z / sqrt 2`
/// # Source
/// Geometry.
/// # Holds for
/// Flat faces, equal legs.
pub fn throat(leg: Length) -> Length {
    leg * std::f64::consts::FRAC_1_SQRT_2
}

/// Leg of an equal-leg fillet of a throat.
///
/// # Formula
/// `z = a sqrt 2`
/// # Source
/// Geometry.
/// # Holds for
/// As [`throat`].
pub fn leg(throat: Length) -> Length {
    throat * std::f64::consts::SQRT_2
}

/// Shear strength of the weld metal on the throat, whatever way the load runs.
///
/// # Formula
/// `fvw = fu / (sqrt 3 bw 1.25)`, with the tensile strength of the weaker part and the correlation factor of its grade
/// # Source
/// [`EN_STRENGTH`].
/// # Holds for
/// Fillets in structural steel, electrodes at least as strong.
pub fn en_strength(tensile: Stress, correlation: f64) -> Stress {
    tensile / (3.0_f64.sqrt() * correlation * GAMMA_M2)
}

/// Length of a run that counts, never below zero.
///
/// # Formula
/// `l - 2 a`
/// # Source
/// [`EN_RUNS`].
/// # Holds for
/// Runs that are not carried round the corners.
pub fn en_effective_length(run: Length, throat: Length) -> Length {
    (run - throat * 2.0).max(Length::ZERO)
}

/// Shortest run that may be counted on.
///
/// # Formula
/// `max(6 a, 30 mm)`
/// # Source
/// [`EN_RUNS`].
/// # Holds for
/// Load-carrying fillets.
pub fn en_shortest_run(throat: Length) -> Length {
    (throat * 6.0).max(Length::mm(30.0))
}

/// Smallest throat to design with.
///
/// # Source
/// EN 1993-1-8, 4.5.2(2), as quoted in a secondary source.
pub const LEAST_THROAT: Length = Length::mm(3.0);

/// What one run carries.
///
/// # Formula
/// `F = fvw a (l - 2 a)`
/// # Source
/// [`EN_STRENGTH`].
/// # Holds for
/// As [`en_strength`] and [`en_effective_length`].
pub fn en_run(run: Length, throat: Length, tensile: Stress, correlation: f64) -> Force {
    let area_mm2 = throat.to_mm() * en_effective_length(run, throat).to_mm();
    Force::newtons(en_strength(tensile, correlation).to_mpa() * area_mm2)
}

/// Thickness up to (in) and least leg (in).
const AWS_ROWS: &[(f64, f64)] = &[(0.25, 0.125), (0.5, 0.1875), (0.75, 0.25), (f64::INFINITY, 0.3125)];
/// Slack against the rows' edges, in: 6.35 mm is 1/4 in whatever the float says.
const ROW_SLACK_IN: f64 = 1e-7;

/// Least leg of a single-pass fillet for the base metal's thickness, the
/// thicker part unless the process is low in hydrogen; it need not exceed the
/// thinner part.
///
/// # Source
/// AWS D1.1:2025 Table 7.7, as quoted in a secondary source.
pub fn aws_least_leg(thickness: Length, cyclic: bool) -> Length {
    let row = AWS_ROWS.iter().find(|r| thickness.to_inches() <= r.0 + ROW_SLACK_IN);
    let legs = Length::inches(row.map_or(0.3125, |r| r.1));
    // Footnote c: not under 3/16 in where the load comes and goes.
    if cyclic { legs.max(Length::inches(0.1875)) } else { legs }
}

/// Greatest leg along a plate's edge.
///
/// # Formula
/// `t` under 1/4 in, `t - 1/16 in` above
/// # Source
/// [`AISC_LEG`].
/// # Holds for
/// Fillets along an edge, not built out.
pub fn greatest_leg(thickness: Length) -> Length {
    if thickness.to_inches() < 0.25 - ROW_SLACK_IN { thickness } else { thickness - Length::inches(0.0625) }
}

/// Allowable shear per length of an equal-leg fillet by electrode strength, newtons per mm.
///
/// # Formula
/// `0.30 F_EXX z / sqrt 2`
/// # Source
/// [`AWS_STRESS`].
/// # Holds for
/// Loads along the weld; static.
pub fn aws_allowable_n_per_mm(electrode: Stress, leg: Length) -> f64 {
    0.30 * electrode.to_mpa() * throat(leg).to_mm()
}

/// Metal that fills an equal-leg fillet with a flat face.
///
/// # Formula
/// `m = a^2 L rho`: legs of `a sqrt 2` enclose a triangle of `a^2`.
/// # Source
/// Geometry; density of [`STEEL_KG_PER_M3`].
/// # Holds for
/// Steel; a bead that stands proud takes more, spatter and stubs are not in it.
pub fn deposit(throat: Length, length: Length) -> Mass {
    Mass::kg(throat.to_mm() * throat.to_mm() * length.to_mm() * STEEL_KG_PER_M3 * 1e-9)
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    for (up_to, _) in AWS_ROWS {
        to.row(format!("least leg up to {up_to} in"), AWS_LEGS);
    }
    to.row("least throat", EN_THROAT);
    to.formulas(&["throat", "leg", "deposit"], PLANE);
    to.formulas(&["en_strength", "en_run"], EN_STRENGTH);
    to.formulas(&["en_effective_length", "en_shortest_run"], EN_RUNS);
    to.formulas(&["greatest_leg"], AISC_LEG);
    to.formulas(&["aws_allowable_n_per_mm"], AWS_STRESS);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn throat_and_leg_undo_each_other() {
        let z = Length::mm(5.0);
        assert!((leg(throat(z)) - z).abs().to_mm() < 1e-12);
    }

    #[test]
    fn the_deposit_is_the_triangle_between_the_legs() {
        // Throat 4 mm: legs 5.657 mm, 16 mm2; a metre of it weighs 0.1256 kg.
        let z = leg(Length::mm(4.0)).to_mm();
        let metal = deposit(Length::mm(4.0), Length::mm(1000.0)).to_kg();
        assert!((metal - z * z / 2.0 * 1000.0 * 7850e-9).abs() < 1e-12 && (metal - 0.1256).abs() < 1e-9);
    }

    #[test]
    fn a_run_shorter_than_its_craters_carries_nothing() {
        let a = Length::mm(4.0);
        assert_eq!(en_run(Length::mm(7.0), a, Stress::mpa(360.0), 0.8), Force::ZERO);
    }

    #[test]
    fn the_least_leg_grows_with_the_plate_and_for_cyclic_load() {
        let legs: Vec<f64> = [0.1, 0.25, 0.26, 0.5, 0.6, 2.0]
            .iter()
            .map(|t| aws_least_leg(Length::inches(*t), false).to_inches())
            .collect();
        let expected = [0.125, 0.125, 0.1875, 0.1875, 0.25, 0.3125];
        assert!(legs.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-9));
        assert_eq!(aws_least_leg(Length::mm(3.0), true), Length::inches(0.1875));
    }
}
