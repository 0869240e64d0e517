//! Distance from the edge of a hole to the bend zone beside it.

use super::{Finding, Rule, Verdict, at_least};
use crate::flat::{BendLine, FlatHole, FlatPattern};
use crate::handbook::bend::{hole_to_bend, slot_to_bend};
use crate::piece::HoleShape;
use crate::units::Length;

pub(super) const RULE: Rule = Rule {
    code: "hole-near-bend",
    rule: "the edge of a hole stays 2.5 thicknesses (a slot along the bend: 4) plus the inside radius away from the bend line; inside the bend zone it is drilled after bending",
    why: "a hole near a bend is drawn out of round, and the bend cracks or kinks there",
    source: "common practice, no source: 2.5 t + r for holes, 4 t + r for slots along the bend",
    holds: "strips of flat bar",
};

/// A slot lies along the bend when it is within this of across the strip, radians.
const ALONG_RAD: f64 = std::f64::consts::FRAC_PI_4;

/// Least distance of a hole's edge from the bend line, mm.
fn limit(hole: &FlatHole, bend: &BendLine, thickness: Length) -> f64 {
    let along_bend = match hole.shape {
        HoleShape::Slot { lies, .. } => libm::fabs(libm::sin(lies)) > libm::sin(ALONG_RAD),
        _ => false,
    };
    let rule = if along_bend { slot_to_bend } else { hole_to_bend };
    rule(thickness, bend.inside_radius).to_mm()
}

/// Letters of the holes that are drilled after bending: nearer to a bend line than the rule allows.
pub fn after_bending(flat: &FlatPattern) -> Vec<String> {
    let near = |h: &&FlatHole| {
        flat.bend_lines.iter().any(|b| {
            let xs = h.shape.corners(h.at).into_iter().map(|p| libm::fabs(p.x - b.from.x));
            xs.fold(f64::INFINITY, f64::min) < limit(h, b, flat.thickness) - 1e-9
        })
    };
    flat.holes.iter().filter(near).map(|h| h.letter.clone()).collect()
}

pub(super) fn check(flat: &FlatPattern) -> Vec<Finding> {
    let mut out = vec![];
    for bend in &flat.bend_lines {
        let nearest = flat
            .holes
            .iter()
            .map(|h| {
                let xs = h.shape.corners(h.at).into_iter().map(|p| (p.x - bend.from.x).abs());
                (xs.fold(f64::INFINITY, f64::min), limit(h, bend, flat.thickness), h)
            })
            .min_by(|a, b| (a.0 - a.1).total_cmp(&(b.0 - b.1)));
        let Some((distance, limit, hole)) = nearest else { continue };
        // A bend that no hole is near would only fill the page with good news.
        if distance > 2.0 * limit {
            continue;
        }
        let in_zone = distance < (bend.tangent_right - bend.tangent_left) / 2.0;
        let after = if in_zone { "; it lies in the bend zone: drill it after bending" } else { "" };
        let says = format!(
            "{}: hole {} `{}` is {distance:.1} mm from the bend line, good practice is {limit:.1} mm{after}",
            flat.piece, hole.letter, hole.name
        );
        out.push(at_least(&RULE, &flat.part, distance, limit, Verdict::Warn, says));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Point;
    use crate::piece::BendTurn;
    use crate::units::Angle;

    #[test]
    fn a_slot_along_the_bend_wants_more_room_than_one_across_it() {
        let bend = BendLine {
            from: Point::new(50.0, 0.0),
            to: Point::new(50.0, 30.0),
            tangent_left: 45.0,
            tangent_right: 55.0,
            angle: Angle::degrees(90.0),
            inside_radius: Length::mm(8.0),
            turn: BendTurn::Up,
            k: 0.4,
        };
        let slot = |degrees: f64| FlatHole {
            letter: "A".into(),
            name: "slot".into(),
            face: "outside".into(),
            shape: HoleShape::Slot { length: 20.0, width: 8.0, lies: Angle::degrees(degrees).to_radians() },
            at: Point::new(20.0, 15.0),
            flat: None,
        };
        // t = 5, r = 8: 2.5 t + r = 20.5 and 4 t + r = 28.
        assert!((limit(&slot(0.0), &bend, Length::mm(5.0)) - 20.5).abs() < 1e-9);
        assert!((limit(&slot(90.0), &bend, Length::mm(5.0)) - 28.0).abs() < 1e-9);
    }
}
