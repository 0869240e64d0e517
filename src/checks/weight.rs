//! What a part weighs and where its weight sits.

use super::{Finding, Rule, Verdict};
use crate::units::Mass;

pub(super) const RULE: Rule = Rule {
    code: "weight",
    rule: "a note, no limit: mass, box and centre of gravity of a part, without its bolts",
    why: "what hangs far out shakes loose first, and a wrong measurement often shows as a wrong weight",
    source: "the part's bodies: exact volume times the density of the handbook",
    holds: "bodies of known metal",
};

/// The note of one part, in these words.
pub fn weight_note(part: &str, mass: Mass, says: String) -> Finding {
    Finding {
        code: RULE.code.to_string(),
        part: part.to_string(),
        verdict: Verdict::Note,
        value: Some(mass.to_kg()),
        limit: None,
        unit: "kg",
        says,
        source: RULE.source.to_string(),
        ..Finding::default()
    }
}
