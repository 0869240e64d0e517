//! How tight a metal may be bent before the outside cracks.

use crate::handbook::Citation;
use crate::handbook::material::BendClass;
use crate::handbook::sources::Ledger;
use crate::units::Length;

/// Which way the bend line runs to the direction the plate was rolled in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grain {
    /// Bend line across the rolling direction: the kind way.
    Across,
    /// Bend line along the rolling direction, or direction unknown.
    Along,
}

/// One step of a table: up to this thickness, this many thicknesses.
struct Step {
    up_to: Length,
    radius_in_thicknesses: f64,
}

const A36_GUIDE: Citation =
    Citation::quoted("Steel reference guide, inside radii for cold forming", "p. 87, A36, bend axis across the grain");
const GRADE_50_GUIDE: Citation = Citation::quoted(
    "Steel reference guide, inside radii for cold forming",
    "p. 87, Grade 50, bend axis across the grain",
);
const ALUMINIUM: Citation = Citation::memory("Aluminum Association, minimum bend radii", "sheet of 3 mm");
const STAINLESS: Citation = Citation::practice("annealed stainless, 1 t");
const ALONG: Citation =
    Citation::memory("AISC Steel Construction Manual, Part 10", "half as much again along the grain");

/// Where [`advised`] is from.
pub const ADVISED: Citation = Citation::practice("bend radius to plan with: 1.5 t across the grain, 2 t along it");
const DIN_TABLE: Citation = Citation::quoted("DIN 6935", "Table 1, tensile strength up to 390 MPa")
    .noting("as quoted in a secondary source; along the grain as EN 10025-2 prints it for S235");

const A36_STEPS: &[Step] = &[
    Step { up_to: Length::inches(0.250), radius_in_thicknesses: 1.0 },
    Step { up_to: Length::inches(0.500), radius_in_thicknesses: 1.5 },
    Step { up_to: Length::inches(1.0), radius_in_thicknesses: 2.0 },
];
const GRADE_50_STEPS: &[Step] = &[
    Step { up_to: Length::inches(0.187), radius_in_thicknesses: 1.5 },
    Step { up_to: Length::inches(0.229), radius_in_thicknesses: 2.0 },
    Step { up_to: Length::inches(0.500), radius_in_thicknesses: 2.5 },
];
/// Aluminium and stainless: one row, for the thicknesses a home brake takes.
const THIN: Length = Length::mm(6.5);
const STAINLESS_STEPS: &[Step] = &[Step { up_to: THIN, radius_in_thicknesses: 1.0 }];
const SOFT_ALUMINIUM_STEPS: &[Step] = &[Step { up_to: THIN, radius_in_thicknesses: 1.0 }];
const HARD_ALUMINIUM_STEPS: &[Step] = &[Step { up_to: THIN, radius_in_thicknesses: 3.0 }];

/// Slack when a thickness is compared with a step, mm: 1/4 in typed as 6.35
/// must not fall into the next row by float noise.
const STEP_SLACK_MM: f64 = 1e-6;

/// The smallest inside radius the tables allow, and where it is from; `None`
/// if the metal is thicker than its table.
///
/// Bends along the grain get half as much again.
///
/// # Source
/// As returned with the value; S275 is read from the Grade 50 rows.
pub fn minimum(class: BendClass, thickness: Length, grain: Grain) -> Option<(Length, Citation)> {
    let (steps, source) = match class {
        BendClass::MildSteel => (A36_STEPS, A36_GUIDE),
        BendClass::StrongSteel => (GRADE_50_STEPS, GRADE_50_GUIDE),
        BendClass::Stainless => (STAINLESS_STEPS, STAINLESS),
        BendClass::SoftAluminium => (SOFT_ALUMINIUM_STEPS, ALUMINIUM),
        BendClass::HardAluminium => (HARD_ALUMINIUM_STEPS, ALUMINIUM),
    };
    let step = steps.iter().find(|s| thickness.to_mm() <= s.up_to.to_mm() + STEP_SLACK_MM)?;
    let radius = thickness * step.radius_in_thicknesses;
    Some(match grain {
        Grain::Across => (radius, source),
        Grain::Along => (radius * 1.5, ALONG),
    })
}

/// The radius to plan with where the sources disagree on mild steel; never under [`minimum`].
///
/// # Formula
/// `1.5 t` across the grain, `2 t` along it
/// # Source
/// [`ADVISED`]: one guide allows 1 t up to 1/4 in, AISC is remembered as 1.5 t, ASTM A6 is quoted as 2 t for plates.
/// # Holds for
/// Thicknesses that [`minimum`] has; `None` above.
pub fn advised(class: BendClass, thickness: Length, grain: Grain) -> Option<Length> {
    let (least, _) = minimum(class, thickness, grain)?;
    let plan = match grain {
        Grain::Across => thickness * 1.5,
        Grain::Along => thickness * 2.0,
    };
    Some(least.max(plan))
}

/// DIN 6935 Table 1, steel of tensile strength up to 390 MPa: thickness up to,
/// least radius across the grain, along it (mm).
const DIN_ROWS: &[(f64, f64, f64)] = &[
    // Along the grain the next thicker row counts.
    (1.0, 1.0, 1.6),
    (1.5, 1.6, 1.6),
    (2.5, 2.5, 2.5),
    (3.0, 3.0, 3.0),
    (4.0, 5.0, 6.0),
    (5.0, 6.0, 8.0),
    (6.0, 8.0, 10.0),
    (7.0, 10.0, 12.0),
    (8.0, 12.0, 16.0),
    (10.0, 16.0, 20.0),
];

/// DIN 6935's least inside radius for S235, up to 10 mm.
///
/// # Source
/// DIN 6935 Table 1, along the grain EN 10025-2, as quoted in secondary sources.
pub fn din_minimum_s235(thickness: Length, grain: Grain) -> Option<(Length, Citation)> {
    let row = DIN_ROWS.iter().find(|r| thickness.to_mm() <= r.0 + STEP_SLACK_MM)?;
    let radius = match grain {
        Grain::Across => row.1,
        Grain::Along => row.2,
    };
    Some((Length::mm(radius), DIN_TABLE))
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    let steps = [
        ("A36", A36_STEPS, A36_GUIDE),
        ("Grade 50", GRADE_50_STEPS, GRADE_50_GUIDE),
        ("stainless", STAINLESS_STEPS, STAINLESS),
        ("soft aluminium", SOFT_ALUMINIUM_STEPS, ALUMINIUM),
        ("hard aluminium", HARD_ALUMINIUM_STEPS, ALUMINIUM),
    ];
    for (metal, steps, source) in steps {
        for s in steps {
            to.row(format!("least bend radius of {metal} up to {:.2} mm", s.up_to.to_mm()), source);
        }
    }
    to.row("least bend radius along the grain", ALONG);
    for (up_to, ..) in DIN_ROWS {
        to.row(format!("least bend radius of S235 up to {up_to} mm"), DIN_TABLE);
    }
    to.formulas(&["advised"], ADVISED);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_inch_is_still_in_the_first_row() {
        let (r, source) = minimum(BendClass::MildSteel, Length::mm(6.35), Grain::Across).unwrap();
        assert!((r.to_inches() - 0.25).abs() < 1e-12);
        assert!(source.confirmed);
    }

    #[test]
    fn along_the_grain_is_never_tighter() {
        for class in [BendClass::MildSteel, BendClass::StrongSteel, BendClass::HardAluminium] {
            for t in [1.0, 3.0, 5.0, 6.0] {
                let t = Length::mm(t);
                let across = minimum(class, t, Grain::Across).unwrap().0;
                let along = minimum(class, t, Grain::Along).unwrap().0;
                assert!(along > across);
                assert!(advised(class, t, Grain::Across).unwrap() >= across);
            }
        }
        for (_, across, along) in DIN_ROWS {
            assert!(along >= across);
        }
    }

    #[test]
    fn past_the_table_there_is_no_answer() {
        assert!(minimum(BendClass::Stainless, Length::mm(12.0), Grain::Across).is_none());
        assert!(din_minimum_s235(Length::mm(12.0), Grain::Across).is_none());
    }
}
