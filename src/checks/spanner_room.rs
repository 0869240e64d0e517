//! Room for the hexagon of a bolt beside a leg or a bend.

use super::{Finding, Rule, Verdict, at_least, bolt_for};
use crate::flat::{FlatHole, FlatPattern};
use crate::handbook::bolts::BoltSize;
use crate::piece::{Form, HoleShape, Piece, Profile};
use crate::units::{Length, System};

pub(super) const RULE: Rule = Rule {
    code: "spanner-room",
    rule: "the corners of a bolt's hexagon turn free of the other leg of an angle and of a bend",
    why: "a nut that jams against the leg feels tight and is not",
    source: "hexagons of the Mechanical Engineer's Data Handbook, 8.2.4, the larger where makers differ; inch by ASME B18.2.1 and B18.2.2, M14 by DIN 931, as quoted in secondary sources",
    holds: "bolts of the handbook, told by their hole; a spanner's own thickness comes on top",
};

fn bolt_of(hole: &FlatHole) -> Option<&'static BoltSize> {
    let across = match hole.shape {
        HoleShape::Round { diameter } => diameter,
        HoleShape::Slot { width, .. } => width,
        _ => return None,
    };
    bolt_for(Length::mm(across), System::Metric)
}

pub(super) fn check(piece: &Piece, flat: &FlatPattern, bolts: &[&str]) -> Vec<Finding> {
    let room = |h: &FlatHole| -> Option<f64> {
        match &piece.form {
            Form::Section(s) => match s.profile {
                Profile::Angle { wall, root_radius, .. } => Some(h.at.y - (wall + root_radius).to_mm()),
                _ => None,
            },
            Form::Strip(_) => flat
                .bend_lines
                .iter()
                .map(|b| (h.at.x - b.tangent_left).abs().min((h.at.x - b.tangent_right).abs()))
                .min_by(f64::total_cmp),
            Form::Plate(_) => None,
        }
    };
    let worst = flat
        .holes
        .iter()
        .filter(|h| bolts.contains(&h.name.as_str()))
        .filter_map(|h| Some((room(h)?, bolt_of(h)?, h)))
        .min_by(|a, b| (a.0 - a.1.across_corners.to_mm() / 2.0).total_cmp(&(b.0 - b.1.across_corners.to_mm() / 2.0)));
    let Some((room, bolt, hole)) = worst else { return vec![] };
    let limit = bolt.across_corners.to_mm() / 2.0;
    let says = format!(
        "{}: hole {} `{}` has {room:.1} mm to the leg or bend; half the corners of {} are {limit:.1} mm",
        flat.piece, hole.letter, hole.name, bolt.name
    );
    let mut f = at_least(&RULE, &flat.part, room, limit, Verdict::Warn, says);
    f.names = vec![hole.name.clone()];
    vec![f]
}
