//! The findings of one part: its template's own checks, named checks, refusals,
//! each with the places that set its numbers.

use super::load::Loaded;
use crate::checks::{
    Duty, Finding, SetBy, Verdict, check_named, may_be_overruled, overruled, refusals, refuse, unit_of, utilisation,
};
use crate::diag::{Diagnostic, FileId, line_and_column};
use crate::job::{Given, Part};
use crate::piece::{Form, Piece};
use crate::template::{CheckOutcome, Outcome, Template};
use crate::units::{Dim, show_quantity};

/// Every finding that a part's numbers give, refusals last.
pub(super) fn part_findings(
    loaded: &Loaded,
    part: &Part,
    name: &str,
    given: &[Given],
    (template, said): (&Template, &Outcome),
    pieces: &[Piece],
) -> Vec<Finding> {
    let job = &loaded.job;
    let mut findings: Vec<Finding> = vec![];
    for c in &said.checks {
        let mut f = finding(c, name, loaded);
        f.set_by = set_by(loaded, c.set_by.clone());
        findings.push(f);
    }
    for call in &said.named {
        for mut f in check_named(call, name, job.units, job.sizes) {
            f.set_by = set_by(loaded, call.set_by.clone());
            findings.push(f);
        }
    }
    let scrap = |g: &Given| is_scrap(&g.2.value);
    let duty = Duty {
        holds: template.holds(),
        welded: template.says_so("welded") || !said.welds.is_empty(),
        steel: if given.iter().any(scrap) { "unknown scrap" } else { &part.steel },
        double_d: pieces.iter().any(has_flats),
        certified: template.says_so("certified"),
    };
    findings.extend(refuse(name, &duty));
    findings.into_iter().map(|f| overrule(f, part)).collect()
}

/// Words for steel that nobody knows; it counts as the weakest grade.
pub(super) fn is_scrap(material: &str) -> bool {
    matches!(material.to_lowercase().trim(), "unknown steel" | "scrap steel")
}

/// Most places that one finding names.
const MOST_PLACES: usize = 6;

/// Places as file and line.
pub(super) fn set_by(loaded: &Loaded, places: Vec<(FileId, std::ops::Range<usize>, String)>) -> Vec<SetBy> {
    let mut out: Vec<SetBy> = vec![];
    for (file, span, says) in places {
        let Some(shown) = loaded.sources.shown().get(file.0) else { continue };
        let line = line_and_column(&shown.text, span.start).0;
        let place = SetBy { file: shown.name.clone(), line, says };
        if out.len() < MOST_PLACES && !out.contains(&place) {
            out.push(place);
        }
    }
    // What the person wrote comes before what the template offers.
    let own = loaded.sources.shown().first().map(|s| s.name.clone()).unwrap_or_default();
    out.sort_by_key(|p| (p.file != own, p.file.clone(), p.line));
    out
}

/// A bar with flats at one of its ends.
fn has_flats(piece: &Piece) -> bool {
    matches!(&piece.form, Form::Section(s) if s.left.flats.is_some() || s.right.flats.is_some())
}

/// A refusal that the person answers for stays to look at, with the reason.
fn overrule(f: Finding, part: &Part) -> Finding {
    match part.overrules.iter().find(|o| o.0.value == f.code) {
        Some((_, reason)) if f.verdict == Verdict::Fail && may_be_overruled(&f.code) => overruled(f, &reason.value),
        _ => f,
    }
}

/// Tell what is overruled and is no refusal.
pub(super) fn wrong_overrules(loaded: &Loaded, out: &mut Vec<Diagnostic>) {
    for (code, _) in loaded.job.parts.iter().flat_map(|p| &p.overrules) {
        if !may_be_overruled(&code.value) {
            let message = format!("\"{}\" is no refusal that can be overruled", code.value);
            let d = Diagnostic::error("overrule", message, code.file, code.span.clone());
            out.push(d.help(format!("these can be: {}", refusals().join(", "))));
        }
    }
}

/// A template's own check as a finding.
fn finding(check: &CheckOutcome, part: &str, loaded: &Loaded) -> Finding {
    let verdict = match (check.met, check.only_warns) {
        (true, _) => Verdict::Meets,
        (false, true) => Verdict::Warn,
        (false, false) => Verdict::Fail,
    };
    let show = |q: Option<(f64, Dim)>| q.map(|(v, d)| show_quantity(v, d, loaded.job.units));
    let numbers = match (show(check.value), show(check.limit)) {
        (Some(v), Some(l)) => format!(" ({v} against {l})"),
        _ => String::new(),
    };
    let advice = if check.met { String::new() } else { format!(". {}", check.otherwise) };
    let numbers_of = check.value.zip(check.limit);
    // Which side the limit is on is only known from how it came out.
    let used = numbers_of.and_then(|(v, l)| utilisation(v.0, l.0, (v.0 >= l.0) == check.met));
    Finding {
        code: check.code.clone(),
        part: part.to_string(),
        verdict,
        value: check.value.map(|v| v.0),
        limit: check.limit.map(|v| v.0),
        unit: check.value.map_or("", |v| unit_of(v.1)),
        utilisation: used,
        says: format!("{}{numbers}{advice}", check.name),
        source: check.source.clone(),
        ..Finding::default()
    }
}
