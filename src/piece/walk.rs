//! From a walk as the template gives it (flats to the inside, outside or middle
//! line) to the strip with its straight lengths.

use super::strip::{Bend, BendTurn, Flat, Step};
use crate::units::{Angle, Length};

/// Which line of a corner a flat is given to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measured {
    /// To the corner of the inside surfaces.
    Inside,
    /// To the corner of the outside surfaces.
    Outside,
    /// To the corner of the middle lines.
    Middle,
    /// Straight metal only, tangent line to tangent line.
    Straight,
}

/// One step as written, with its numbers worked out.
#[derive(Clone, Debug, PartialEq)]
pub enum WalkStep {
    /// A flat, measured as told.
    Flat {
        /// Name that holes use.
        name: String,
        /// Length to the line it is measured to.
        length: Length,
        /// Which line.
        measured: Measured,
    },
    /// A bend.
    Bend {
        /// How far the metal turns, positive.
        angle: Angle,
        /// Up or down.
        turn: BendTurn,
        /// Inside radius.
        inside_radius: Length,
    },
}

/// A flat shorter than this is none: the bends beside it join, mm.
const NO_FLAT_MM: f64 = 1e-6;

/// Work out the straight lengths. Flats of no length vanish and bends of one
/// turn and radius that then touch become one bend. `k` gives the neutral line
/// for an inside radius.
///
/// # Formula
/// setback at a bend = `tan(angle / 2) * line radius`, line radius = inside
/// radius (inside), + thickness (outside), + thickness / 2 (middle).
/// # Source
/// Outside setback `tan(A/2) (R + T)`: FAA-H-8083-31, Airframe Handbook vol. 1,
/// chapter 4, for 90 deg; the other lines follow by the same tangent.
/// # Errors
/// A sentence when a flat is measured to the corner of a bend of 180 deg or
/// more, which has no corner.
pub fn build_steps(walk: &[WalkStep], thickness: Length, k: &dyn Fn(Length) -> f64) -> Result<Vec<Step>, String> {
    let walk = joined(walk);
    let mut steps = vec![];
    for (i, step) in walk.iter().enumerate() {
        match step {
            WalkStep::Bend { angle, turn, inside_radius } => steps.push(Step::Bend(Bend {
                angle: *angle,
                turn: *turn,
                inside_radius: *inside_radius,
                k: k(*inside_radius),
            })),
            WalkStep::Flat { name, length, measured } => {
                let mut straight = *length;
                let beside = [i.checked_sub(1).and_then(|j| walk.get(j)), walk.get(i + 1)];
                for neighbour in beside.into_iter().flatten() {
                    straight -= setback(neighbour, *measured, thickness, name)?;
                }
                steps.push(Step::Flat(Flat { name: name.clone(), length: straight }));
            }
        }
    }
    Ok(steps)
}

fn setback(bend: &WalkStep, measured: Measured, thickness: Length, flat: &str) -> Result<Length, String> {
    let WalkStep::Bend { angle, inside_radius, .. } = bend else { return Ok(Length::ZERO) };
    let line = match measured {
        Measured::Straight => return Ok(Length::ZERO),
        Measured::Inside => *inside_radius,
        Measured::Outside => *inside_radius + thickness,
        Measured::Middle => *inside_radius + thickness / 2.0,
    };
    if angle.to_degrees() > 175.0 {
        return Err(format!(
            "flat `{flat}` is measured to the corner of a bend of {:.0} deg, which has no corner",
            angle.to_degrees()
        ));
    }
    Ok(line * (*angle / 2.0).tan())
}

fn joined(walk: &[WalkStep]) -> Vec<WalkStep> {
    let mut out: Vec<WalkStep> = vec![];
    for step in walk {
        match (step, out.last_mut()) {
            (WalkStep::Flat { length, .. }, _) if length.abs().to_mm() < NO_FLAT_MM => {}
            (
                WalkStep::Bend { angle, turn, inside_radius },
                Some(WalkStep::Bend { angle: before, turn: same, inside_radius: radius }),
            ) if turn == same && (*inside_radius - *radius).abs().to_mm() < NO_FLAT_MM => *before += *angle,
            _ => out.push(step.clone()),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::piece::{EndShape, Strip};

    fn flat(length: f64, measured: Measured) -> WalkStep {
        WalkStep::Flat { name: "a".into(), length: Length::mm(length), measured }
    }
    fn bend(degrees: f64, radius: f64) -> WalkStep {
        WalkStep::Bend { angle: Angle::degrees(degrees), turn: BendTurn::Up, inside_radius: Length::mm(radius) }
    }

    #[test]
    fn an_l_measured_outside_inside_and_in_the_middle_is_one_l() {
        let thickness = Length::mm(3.0);
        let lengths: Vec<f64> = [(Measured::Outside, 50.0), (Measured::Inside, 47.0), (Measured::Middle, 48.5)]
            .iter()
            .map(|&(m, l)| {
                let steps = build_steps(&[flat(l, m), bend(90.0, 5.0), flat(l, m)], thickness, &|_| 0.4).unwrap();
                let strip = Strip {
                    width: Length::mm(30.0),
                    thickness,
                    steps,
                    left: EndShape::Square,
                    right: EndShape::Square,
                    holes: vec![],
                };
                strip.developed_length().to_mm()
            })
            .collect();
        assert!((lengths[0] - lengths[1]).abs() < 1e-9 && (lengths[0] - lengths[2]).abs() < 1e-9, "{lengths:?}");
    }

    #[test]
    fn a_flat_of_no_length_joins_its_bends() {
        let walk = [
            flat(40.0, Measured::Straight),
            bend(90.0, 50.0),
            flat(0.0, Measured::Straight),
            bend(90.0, 50.0),
            flat(40.0, Measured::Straight),
        ];
        let steps = build_steps(&walk, Length::mm(3.0), &|_| 0.5).unwrap();
        assert_eq!(steps.len(), 3);
        assert!(matches!(&steps[1], Step::Bend(b) if (b.angle.to_degrees() - 180.0).abs() < 1e-9));
    }

    #[test]
    fn a_half_turn_has_no_corner_to_measure_to() {
        let walk = [flat(40.0, Measured::Inside), bend(180.0, 50.0), flat(40.0, Measured::Inside)];
        assert!(build_steps(&walk, Length::mm(3.0), &|_| 0.5).is_err());
    }

    #[test]
    fn a_half_turn_round_a_tank_has_the_length_of_its_middle_line() {
        // pi (150 + 3 + 1.5): D = 300 tank, 3 mm liner, 3 mm strap, neutral line in the middle
        // (DIN 6935: r/s above 5, k = 1).
        let walk = [flat(10.0, Measured::Straight), bend(180.0, 153.0), flat(10.0, Measured::Straight)];
        let steps = build_steps(&walk, Length::mm(3.0), &|_| 0.5).unwrap();
        let strip = Strip {
            width: Length::mm(30.0),
            thickness: Length::mm(3.0),
            steps,
            left: EndShape::Square,
            right: EndShape::Square,
            holes: vec![],
        };
        assert!((strip.developed_length().to_mm() - 20.0 - 485.38).abs() < 0.01);
    }
}
