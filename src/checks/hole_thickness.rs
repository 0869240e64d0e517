//! Diameter of a hole against the thickness it goes through.

use super::{Finding, Rule, Verdict, at_least};
use crate::flat::FlatPattern;
use crate::piece::HoleShape;

pub(super) const RULE: Rule = Rule {
    code: "hole-thickness",
    rule: "a hole is at least as wide as the steel is thick",
    why: "a thin drill in thick steel wanders, snaps, and cannot clear its chips in a hand drill",
    source: "common practice, no source: diameter at least the thickness",
    holds: "round holes and slots that are drilled; not punched or cut by machine",
};

pub(super) fn check(flat: &FlatPattern) -> Vec<Finding> {
    let worst = flat
        .holes
        .iter()
        .filter_map(|h| match h.shape {
            HoleShape::Round { diameter } => Some((diameter, h)),
            HoleShape::Slot { width, .. } => Some((width, h)),
            _ => None,
        })
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((diameter, hole)) = worst else { return vec![] };
    let limit = flat.thickness.to_mm();
    let says = format!(
        "{}: the smallest hole, {} `{}`, is {diameter:.1} mm in steel of {limit:.1} mm",
        flat.piece, hole.letter, hole.name
    );
    let mut f = at_least(&RULE, &flat.part, diameter, limit, Verdict::Warn, says);
    f.names = vec![hole.name.clone()];
    vec![f]
}
