//! Length of the flats at the two ends, which a vice or a brake must hold.

use super::{Finding, Rule, Verdict, at_least};
use crate::piece::{Bend, Form, Piece, Step};

pub(super) const RULE: Rule = Rule {
    code: "short-flange",
    rule: "the straight end beside a bend is at least 2 thicknesses long beyond its tangent line",
    why: "a shorter end cannot be held and comes out curved instead of bent",
    source: "common practice, no source: flange height at least 2 t + r over the inside",
    holds: "the two ends of a strip",
};

/// Least straight metal beyond the tangent line, in thicknesses.
const LEAST: f64 = 2.0;

pub(super) fn check(piece: &Piece) -> Vec<Finding> {
    let Form::Strip(strip) = &piece.form else { return vec![] };
    let is_bend = |s: Option<&Step>| matches!(s, Some(Step::Bend(Bend { .. })));
    let n = strip.steps.len();
    if n < 3 {
        return vec![];
    }
    let limit = LEAST * strip.thickness.to_mm();
    [(0, 1), (n - 1, n - 2)]
        .into_iter()
        .filter_map(|(end, beside)| match &strip.steps[end] {
            Step::Flat(f) if is_bend(strip.steps.get(beside)) => {
                let length = f.length.to_mm();
                let says =
                    format!("{}: end `{}` is {length:.1} mm straight, a bend needs {limit:.1} mm", piece.name, f.name);
                Some(at_least(&RULE, &piece.part, length, limit, Verdict::Warn, says))
            }
            _ => None,
        })
        .collect()
}
