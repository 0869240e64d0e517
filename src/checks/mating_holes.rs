//! Holes of neighbours that one bolt goes through.

use super::{Finding, Rule, Verdict};
use crate::assembly::{Assembly, MATE_MM, Mated, Misfit, mates};

pub(super) const RULE: Rule = Rule {
    code: "mating-holes",
    rule: "holes that one bolt goes through lie in one line, within 0.01 mm as drawn",
    why: "what does not line up on the drawing is reamed out of line in the frame, and one edge carries the load",
    source: "common practice, no source; 0.01 mm is the noise of the numbers, not a workshop tolerance",
    holds: "holes and bolts that have a place in their part or on the vehicle",
};

pub(super) fn check(assembly: &Assembly, whole: &str) -> Vec<Finding> {
    let Mated { pairs, misfits } = mates(assembly);
    let finding = |part: &str, verdict, value, says: String| Finding {
        code: RULE.code.to_string(),
        part: part.to_string(),
        verdict,
        value,
        limit: Some(MATE_MM),
        unit: "mm",
        says,
        source: RULE.source.to_string(),
        ..Finding::default()
    };
    if misfits.is_empty() {
        let says = format!("{pairs} pairs of holes and bolts that belong together lie in one line");
        return if pairs > 0 { vec![finding(whole, Verdict::Meets, Some(0.0), says)] } else { vec![] };
    }
    misfits
        .iter()
        .map(|(part, m)| {
            let (value, says) = match m {
                Misfit::OffLine { one, other, off_mm } => {
                    (Some(*off_mm), format!("`{one}` and `{other}` are {off_mm:.2} mm out of line"))
                }
                Misfit::TooThick { bolt, hole, by_mm } => {
                    (Some(*by_mm), format!("`{bolt}` is {by_mm:.2} mm too thick for `{hole}`"))
                }
                Misfit::NoHole { bolt } => (None, format!("`{bolt}` goes through no hole where it stands")),
            };
            finding(part, Verdict::Fail, value, says)
        })
        .collect()
}
