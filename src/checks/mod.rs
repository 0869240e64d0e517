//! Findings: what should not be made although it can be, each with its rule,
//! its numbers and its source. A finding is never a release.

mod as_made;
mod beam_bending;
mod beam_shear;
mod bend_radius;
mod bending_torsion;
mod bolt_bearing;
mod bolt_combined;
mod bolt_group;
mod bolt_shear;
mod bolt_tension;
mod bush_couple;
mod clash;
mod cross_hole;
mod refusal;
mod springback;
mod spanner_room;
mod hole_on_fillet;
mod hole_thickness;
mod ear_bending;
mod ear_prying;
mod edge_overlap;
mod hanger_section;
mod hole_edge_distance;
mod hole_near_bend;
mod hole_pitch;
mod judged;
mod liner_pressure;
mod mating_holes;
mod misalignment;
mod named;
mod pad_give;
mod pedal_set;
mod plate_bending;
mod rail_bolts;
mod rail_wall;
mod rubber_pad;
mod shaft_clearance;
mod shaft_torsion;
mod short_flange;
mod steering_beside;
mod steering_run;
mod strap_pull;
mod tank_mount;
mod tube_crush;
mod weight;
mod weld_ring;
mod weld_runs;
mod weld_size;
mod weld_strength;

pub use as_made::{
    Advice, advise_length, advise_unmatched, as_made_finding, keeps_length, may_be_shim, may_be_slot, slot_for,
};
pub use hole_near_bend::after_bending;
pub use judged::{Judged, unit_of, utilisation};
pub use named::{Argument, ArgumentKind, Named, audit_named, bolt_for, check_named, example_of, judge};
pub use pedal_set::check_pedal;
pub use refusal::{Duty, Offcut, bars, may_be_overruled, overruled, refusals, refuse};
pub use steering_run::check_steering;
pub use tank_mount::check_tank;
pub use weight::weight_note;

use crate::assembly::Assembly;
use crate::flat::FlatPattern;
use crate::piece::{Form, Hole, Piece};

/// How a check came out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Worth knowing; nothing is wrong.
    #[default]
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
#[derive(Clone, Debug, Default, PartialEq)]
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
    /// Share of the limit that is used up: 1 is the limit itself; `None` without numbers.
    pub utilisation: Option<f64>,
    /// One sentence, with the names of holes and flats.
    pub says: String,
    /// Rule and source.
    pub source: String,
    /// Names of the holes or flats it is about, to find them in the template.
    pub names: Vec<String>,
    /// The places that set the numbers.
    pub set_by: Vec<SetBy>,
    /// The smallest single change that would meet the rule, in words; empty for none.
    pub mend: String,
}

/// A place in the job or the template that set a number of a finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SetBy {
    /// The file, as it was given.
    pub file: String,
    /// Line in it, from 1.
    pub line: usize,
    /// What stands there.
    pub says: String,
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
    /// What it holds for.
    pub holds: &'static str,
}

/// The rules that look at pieces, bodies and parts by themselves.
const GEOMETRY: [&Rule; 13] = [
    &as_made::RULE,
    &hole_on_fillet::RULE,
    &hole_thickness::RULE,
    &spanner_room::RULE,
    &springback::RULE,
    &bend_radius::RULE,
    &clash::RULE,
    &hole_edge_distance::RULE,
    &hole_near_bend::RULE,
    &hole_pitch::RULE,
    &mating_holes::RULE,
    &short_flange::RULE,
    &weight::RULE,
];

/// The named checks, which templates tell their numbers.
pub const NAMED: &[Named] = &[
    beam_bending::CHECK,
    beam_shear::CHECK,
    bending_torsion::CHECK,
    refusal::ARM_CHECK,
    refusal::SHAFT_CHECK,
    bolt_bearing::CHECK,
    bolt_combined::CHECK,
    bolt_group::CHECK,
    bolt_shear::CHECK,
    bolt_tension::CHECK,
    bush_couple::CHECK,
    cross_hole::CHECK,
    ear_bending::CHECK,
    ear_prying::CHECK,
    edge_overlap::CHECK,
    liner_pressure::CHECK,
    misalignment::CHECK,
    pad_give::CHECK,
    plate_bending::CHECK,
    rail_bolts::CHECK,
    rail_wall::CHECK,
    rubber_pad::CHECK,
    shaft_clearance::CHECK,
    shaft_torsion::CHECK,
    strap_pull::CHECK,
    tube_crush::CHECK,
    weld_ring::CHECK,
    weld_runs::CHECK,
    weld_size::CHECK,
];

/// Every rule of this room, geometry first.
pub fn rules() -> impl Iterator<Item = &'static Rule> {
    let named = NAMED.iter().map(|n| n.rule);
    let refusals = refusal::RULES.into_iter().filter(|r| NAMED.iter().all(|n| n.rule.code != r.code));
    GEOMETRY
        .into_iter()
        .chain(steering_run::RULES)
        .chain(tank_mount::RULES)
        .chain(pedal_set::RULES)
        .chain(refusals)
        .chain(named)
}

/// The named check of this code.
pub fn named(code: &str) -> Option<&'static Named> {
    NAMED.iter().find(|n| n.rule.code == code)
}

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
    out.extend(springback::check(piece));
    out.extend(hole_near_bend::check(flat));
    out.extend(hole_thickness::check(flat));
    out.extend(hole_on_fillet::check(piece, flat));
    let bolts = bolt_holes(piece);
    out.extend(hole_edge_distance::check(flat, &bolts));
    out.extend(hole_pitch::check(flat, &bolts));
    out.extend(spanner_room::check(piece, flat, &bolts));
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
        utilisation: utilisation(value_mm, limit_mm, true),
        says,
        source: rule.source.to_string(),
        ..Finding::default()
    }
}

#[cfg(test)]
mod tests {
    use super::rules;

    #[test]
    fn every_rule_says_what_why_and_whence_under_a_code_of_its_own() {
        let mut codes: Vec<&str> = rules().map(|r| r.code).collect();
        codes.sort_unstable();
        codes.dedup();
        assert_eq!(codes.len(), rules().count());
        for r in rules() {
            assert!(r.rule.len() > 20 && r.why.len() > 20 && r.source.len() > 10 && r.holds.len() > 10, "{}", r.code);
            assert!(r.code.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{}", r.code);
        }
    }
}
