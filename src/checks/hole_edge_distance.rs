//! Distance from a hole's centre to the nearest cut edge.

use super::{Finding, Rule, Verdict, at_least};
use crate::flat::{FlatHole, FlatPattern};
use crate::handbook::holes::{advised_edge, en_end};
use crate::piece::HoleShape;
use crate::units::Length;

pub(super) const RULE: Rule = Rule {
    code: "hole-edge-distance",
    rule: "a bolt hole's centre stays 1.5 hole diameters from every edge; below 1.2 diameters the part fails the check",
    why: "with less steel the bolt tears out through the edge",
    source: "EN 1993-1-8 Table 3.3 (e1, e2 at least 1.2 d0; its table begins at M12), 1.5 d0 as the default of this tool",
    holds: "round holes and slots for bolts; under M12 the factors are scaled by the hole, which the code does not cover",
};

fn across(shape: HoleShape) -> Option<f64> {
    match shape {
        HoleShape::Round { diameter } => Some(diameter),
        HoleShape::Slot { width, .. } => Some(width),
        HoleShape::Ellipse { .. } | HoleShape::Rectangle { .. } => None,
    }
}

/// Edge distance in hole diameters and in mm, from the round end nearest the edge.
fn distance(flat: &FlatPattern, hole: &FlatHole) -> Option<(f64, f64, f64)> {
    let diameter = across(hole.shape)?;
    let outline = flat.faces.iter().find(|f| f.word == hole.face).map_or(&flat.outline, |f| &f.outline);
    let nearest = if matches!(hole.shape, HoleShape::Round { .. }) {
        outline.distance(hole.at)
    } else {
        hole.shape.corners(hole.at).into_iter().map(|p| outline.distance(p)).fold(f64::INFINITY, f64::min)
            + diameter / 2.0
    };
    Some((nearest / diameter, nearest, diameter))
}

pub(super) fn check(flat: &FlatPattern, bolts: &[&str]) -> Vec<Finding> {
    let worst = flat
        .holes
        .iter()
        .filter(|h| bolts.contains(&h.name.as_str()))
        .filter_map(|h| distance(flat, h).map(|d| (d, h)))
        .min_by(|a, b| a.0.0.total_cmp(&b.0.0));
    let Some(((ratio, nearest, diameter), hole)) = worst else { return vec![] };
    let hole_size = Length::mm(diameter);
    let (limit, stop) = (advised_edge(hole_size).to_mm(), en_end(hole_size).to_mm());
    let below = if nearest < stop - 1e-6 { Verdict::Fail } else { Verdict::Warn };
    let says = format!(
        "{}: hole {} `{}` has its centre {nearest:.1} mm from the edge, {ratio:.2} hole diameters; wanted {limit:.1} mm, never below {stop:.1} mm",
        flat.piece, hole.letter, hole.name
    );
    let mut f = at_least(&RULE, &flat.part, nearest, limit, below, says);
    f.names = vec![hole.name.clone()];
    vec![f]
}
