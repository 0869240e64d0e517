//! Distance from the edge of a hole to the bend zone beside it.

use super::{Finding, Rule, Verdict, at_least};
use crate::flat::FlatPattern;

pub(super) const RULE: Rule = Rule {
    code: "hole-near-bend",
    rule: "the edge of a hole stays 2.5 thicknesses (a slot along the bend: 4) plus the inside radius away from the bend line; inside the bend zone it is drilled after bending",
    why: "a hole near a bend is drawn out of round, and the bend cracks or kinks there",
    source: "common practice, no source: 2.5 t + r for holes",
};

/// Distance in thicknesses, radius not counted.
const THICKNESSES: f64 = 2.5;

pub(super) fn check(flat: &FlatPattern) -> Vec<Finding> {
    let thickness = flat.thickness.to_mm();
    let mut out = vec![];
    for bend in &flat.bend_lines {
        let limit = THICKNESSES * thickness + bend.inside_radius.to_mm();
        let nearest = flat
            .holes
            .iter()
            .map(|h| {
                let xs = h.shape.corners(h.at).into_iter().map(|p| (p.x - bend.from.x).abs());
                (xs.fold(f64::INFINITY, f64::min), h)
            })
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((distance, hole)) = nearest else { continue };
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
