//! Inside radius of a bend against the thickness.

use super::{Finding, Rule, Verdict, at_least};
use crate::handbook::bend_radius::{Grain, advised};
use crate::handbook::material;
use crate::piece::{Form, Piece, Step};

pub(super) const RULE: Rule = Rule {
    code: "bend-radius",
    rule: "the inside radius of a bend is at least what the material wants, bent cold across the rolling direction: 1.5 thicknesses for mild steel",
    why: "a tighter bend cracks on its outside, at once or later under load",
    source: "AISC Manual Table 10-13 and ASTM A6 Appendix X4 (1.5 t for A36), from memory, unconfirmed; dealers' guides allow 1 t up to 1/4 in",
    holds: "cold bends across the rolling direction, thicknesses of the handbook's tables",
};

pub(super) fn check(piece: &Piece) -> Vec<Finding> {
    let Form::Strip(strip) = &piece.form else { return vec![] };
    let tightest = strip
        .steps
        .iter()
        .filter_map(|s| match s {
            Step::Bend(b) => Some(b.inside_radius.to_mm()),
            Step::Flat(_) => None,
        })
        .min_by(f64::total_cmp);
    let Some(radius) = tightest else { return vec![] };
    let class = material::find(&piece.stock.material).map(|m| m.bend_class);
    let Some(least) = class.and_then(|c| advised(c, strip.thickness, Grain::Across)) else {
        return vec![Finding {
            code: RULE.code.to_string(),
            part: piece.part.clone(),
            verdict: Verdict::Note,
            value: Some(radius),
            limit: None,
            unit: "mm",
            says: format!("{}: no radius is known for this material and thickness: make a test bend", piece.name),
            source: RULE.source.to_string(),
            ..Finding::default()
        }];
    };
    let limit = least.to_mm();
    // A bar is rolled along its length, so its bends run across; cut out of plate they may not.
    let along = class.and_then(|c| advised(c, strip.thickness, Grain::Along)).unwrap_or(least).to_mm();
    let says = format!(
        "{}: tightest inside radius {radius:.1} mm, good practice is {limit:.1} mm; cut out of plate with the rolling direction along the bend {along:.1} mm",
        piece.name
    );
    vec![at_least(&RULE, &piece.part, radius, limit, Verdict::Warn, says)]
}
