//! Findings: what should not be made although it can be, each with its rule,
//! its numbers and its source. A finding is never a release.

mod bend_radius;
mod clash;
mod hole_edge_distance;
mod hole_near_bend;
mod hole_pitch;
mod mating_holes;
mod short_flange;
mod weight;

pub use weight::weight_note;

use crate::assembly::Assembly;
use crate::flat::FlatPattern;
use crate::piece::{Form, Hole, Piece};

/// How a check came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Worth knowing; nothing is wrong.
    Note,
    /// Within the limit.
    Meets,
    /// Outside good practice.
    Warn,
    /// Outside the limit: the print says so on its face.
    Fail,
}

impl Verdict {
    /// The word for it in files.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Note => "note",
            Verdict::Meets => "meets",
            Verdict::Warn => "warn",
            Verdict::Fail => "fail",
        }
    }
}

/// The outcome of one check.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Kebab-case code; a template's own check is `template/slug`.
    pub code: String,
    /// Part it belongs to.
    pub part: String,
    /// How it came out.
    pub verdict: Verdict,
    /// What was found, in `unit`; `None` for a check that has no number.
    pub value: Option<f64>,
    /// The limit, in `unit`.
    pub limit: Option<f64>,
    /// `mm`, `deg`, ... or empty.
    pub unit: &'static str,
    /// One sentence, with the names of holes and flats.
    pub says: String,
    /// Rule and source.
    pub source: String,
}

/// What a check is, as data for `explain` and the manual.
#[derive(Clone, Copy, Debug)]
pub struct Rule {
    /// Code of its findings.
    pub code: &'static str,
    /// The rule in one sentence.
    pub rule: &'static str,
    /// Why it matters.
    pub why: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

/// Every check of this room.
pub const RULES: &[Rule] = &[
    bend_radius::RULE,
    clash::RULE,
    hole_edge_distance::RULE,
    hole_near_bend::RULE,
    hole_pitch::RULE,
    mating_holes::RULE,
    short_flange::RULE,
    weight::RULE,
];

/// What the bodies say where they stand together; what is said of all of them is
/// told of `whole`.
pub fn check_assembly(assembly: &Assembly, whole: &str) -> Vec<Finding> {
    let mut out = mating_holes::check(assembly, whole);
    out.extend(clash::check(assembly));
    out
}

/// All findings of one piece, worst first, then by code.
pub fn check_piece(piece: &Piece, flat: &FlatPattern) -> Vec<Finding> {
    let mut out = vec![];
    out.extend(bend_radius::check(piece));
    out.extend(short_flange::check(piece));
    out.extend(hole_near_bend::check(flat));
    let bolts = bolt_holes(piece);
    out.extend(hole_edge_distance::check(flat, &bolts));
    out.extend(hole_pitch::check(flat, &bolts));
    out.sort_by(|a, b| b.verdict.cmp(&a.verdict).then_with(|| a.code.cmp(&b.code)));
    out
}

/// Names of the holes that bolts pull in.
fn bolt_holes(piece: &Piece) -> Vec<&str> {
    let holes: Vec<&Hole> = match &piece.form {
        Form::Plate(p) => p.holes.iter().collect(),
        Form::Strip(s) => s.holes.iter().map(|h| &h.hole).collect(),
        Form::Section(s) => s.holes.iter().map(|h| &h.hole).collect(),
    };
    holes.into_iter().filter(|h| h.bolt).map(|h| h.name.as_str()).collect()
}

/// A finding on a length that must be at least a limit, with a verdict for
/// falling below it.
fn at_least(rule: &Rule, part: &str, value_mm: f64, limit_mm: f64, below: Verdict, says: String) -> Finding {
    // A tenth of a micrometre keeps float noise out of the verdict.
    let meets = value_mm >= limit_mm - 1e-4;
    Finding {
        code: rule.code.to_string(),
        part: part.to_string(),
        verdict: if meets { Verdict::Meets } else { below },
        value: Some(value_mm),
        limit: Some(limit_mm),
        unit: "mm",
        says,
        source: rule.source.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::RULES;

    #[test]
    fn every_rule_says_what_why_and_whence_under_a_code_of_its_own() {
        let mut codes: Vec<&str> = RULES.iter().map(|r| r.code).collect();
        codes.sort_unstable();
        codes.dedup();
        assert_eq!(codes.len(), RULES.len());
        for r in RULES {
            assert!(r.rule.len() > 20 && r.why.len() > 20 && r.source.len() > 10, "{}", r.code);
            assert!(r.code.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{}", r.code);
        }
    }
}
