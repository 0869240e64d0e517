//! Holes that run into the fillet in the corner of an angle or a channel.

use super::{Finding, Rule, Verdict, at_least};
use crate::flat::FlatPattern;
use crate::piece::{Form, Piece, Profile};

pub(super) const RULE: Rule = Rule {
    code: "hole-on-fillet",
    rule: "the edge of a hole in an angle stays clear of the fillet in its corner",
    why: "the drill slides off the slope, and a washer on it bends the bolt",
    source: "geometry; root radii of EN 10056-1, as quoted in a secondary source",
    holds: "angles; a hole is measured from the heel",
};

pub(super) fn check(piece: &Piece, flat: &FlatPattern) -> Vec<Finding> {
    let Form::Section(section) = &piece.form else { return vec![] };
    let Profile::Angle { wall, root_radius, .. } = section.profile else { return vec![] };
    let limit = (wall + root_radius).to_mm();
    let nearest = flat
        .holes
        .iter()
        .map(|h| {
            let low = h.shape.corners(h.at).into_iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
            (low, h)
        })
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((low, hole)) = nearest else { return vec![] };
    let says = format!(
        "{}: the edge of hole {} `{}` is {low:.1} mm from the heel; wall and fillet reach {limit:.1} mm",
        flat.piece, hole.letter, hole.name
    );
    let mut f = at_least(&RULE, &flat.part, low, limit, Verdict::Fail, says);
    f.names = vec![hole.name.clone()];
    vec![f]
}
