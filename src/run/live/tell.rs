//! What the command line would say, sorted to the boxes that it is about.

use crate::diag::{Diagnostic, FileId, Label, Severity, Shown, line_and_column};
use crate::expr::names_in;
use crate::job::Written;
use crate::page::Told;
use crate::run::{Outcome, Trouble};
use std::collections::BTreeSet;

/// Told at the top, and told at boxes, each with the name of its value.
pub(super) type Sorted = (Vec<Told>, Vec<(String, Told)>);

/// The job is always the first file that is read.
const JOB_FILE: FileId = FileId(0);

/// The faults of a job; `changed` are the values that differ from when all was well.
pub(super) fn faults(trouble: &Trouble, values: &[Written], changed: &[String]) -> Sorted {
    sorted(&trouble.diagnostics, &trouble.shown, values, changed)
}

/// What is worth knowing of a job without a fault.
pub(super) fn notes(outcome: &Outcome, values: &[Written]) -> Sorted {
    let all: Vec<Diagnostic> = outcome.loaded.notes.iter().chain(&outcome.worked.notes).cloned().collect();
    let (mut top, at_boxes) = sorted(&all, outcome.loaded.sources.shown(), values, &[]);
    let without = outcome.stood.iter().flat_map(|s| &s.without);
    top.extend(without.map(|(key, why)| Told::sentence(&format!("no body of {key}: {why}"))));
    (top, at_boxes)
}

/// Most that is told at one box; the rest is counted.
const MOST_AT_BOX: usize = 3;

fn sorted(all: &[Diagnostic], shown: &[Shown], values: &[Written], changed: &[String]) -> Sorted {
    let (mut top, mut at_boxes): Sorted = (vec![], vec![]);
    for d in all {
        let told = told(d, shown);
        let mine = names_of(d, shown, values, changed);
        if mine.is_empty() {
            once(&mut top, told);
            continue;
        }
        // Where the fault itself stands elsewhere, its place is told at the box.
        let inside = |w: &Written| d.labels.first().is_some_and(|l| stands_in(l, w));
        for w in mine {
            let at = if inside(w) { String::new() } else { told.at.clone() };
            at_boxes.push((w.name.clone(), Told { at, ..told.clone() }));
        }
    }
    // A single value that was changed last is where the fault came from.
    if let ([only], true, false) = (changed, at_boxes.is_empty(), top.is_empty()) {
        at_boxes.push((only.clone(), top.remove(0)));
    }
    let mut short = vec![];
    for w in values {
        let mut own: Vec<Told> = vec![];
        at_boxes.iter().filter(|b| b.0 == w.name).for_each(|b| once(&mut own, b.1.clone()));
        let more = own.len().saturating_sub(MOST_AT_BOX);
        own.truncate(MOST_AT_BOX);
        if more > 0 {
            own.push(Told::sentence(&format!("and {more} more that follow from it")));
        }
        short.extend(own.into_iter().map(|t| (w.name.clone(), t)));
    }
    (top, short)
}

/// The same sentence of several places is told once, with all of them.
fn once(all: &mut Vec<Told>, new: Told) {
    match all.iter_mut().find(|t| t.message == new.message && t.help == new.help && t.says == new.says) {
        Some(known) if known.at != new.at => {
            let line = new.at.rsplit(' ').next().unwrap_or("").to_string();
            if !known.at.split([' ', ',']).any(|w| w == line) {
                known.at = format!("{}, {line}", known.at);
            }
        }
        Some(_) => {}
        None => all.push(new),
    }
}

fn stands_in(l: &Label, w: &Written) -> bool {
    l.file == JOB_FILE && l.span.start >= w.span.start && l.span.end <= w.span.end
}

/// The values that a fault is about: those it points at, else those that its
/// formula names, as far as they were changed since all was well.
fn names_of<'a>(d: &Diagnostic, shown: &[Shown], values: &'a [Written], changed: &[String]) -> Vec<&'a Written> {
    let pointed: Vec<&Written> = values.iter().filter(|w| d.labels.iter().any(|l| stands_in(l, w))).collect();
    if !pointed.is_empty() {
        return pointed;
    }
    let Some(text) = shown.get(JOB_FILE.0) else { return vec![] };
    let mut named = BTreeSet::new();
    for l in d.labels.iter().filter(|l| l.file == JOB_FILE) {
        names_in(quotes_round(&text.text, l.span.start), &mut named);
    }
    values.iter().filter(|w| named.contains(&w.name) && changed.contains(&w.name)).collect()
}

/// What stands in quotes round a byte of a text, in its line.
fn quotes_round(text: &str, byte: usize) -> &str {
    let (Some(before), Some(after)) = (text.get(..byte), text.get(byte..)) else { return "" };
    let from = before.rfind(['"', '\n']).map_or(0, |i| i + 1);
    // A place that begins with its quote: what stands behind that.
    let (from, after) = after.strip_prefix('"').map_or((from, after), |rest| (byte + 1, rest));
    let to = text.len() - after.len() + after.find(['"', '\n']).unwrap_or(after.len());
    text.get(from..to).unwrap_or("")
}

/// A diagnostic in its own words.
pub(in crate::run) fn told(d: &Diagnostic, shown: &[Shown]) -> Told {
    let first = d.labels.first();
    let at = first.and_then(|l| {
        let s = shown.get(l.file.0)?;
        let (line, _) = line_and_column(&s.text, l.span.start);
        let name = s.name.rsplit('/').next().unwrap_or(&s.name);
        Some(format!("{name}, line {line}"))
    });
    Told {
        message: d.message.clone(),
        says: first.map_or_else(String::new, |l| l.text.clone()),
        help: d.help.clone(),
        at: at.unwrap_or_default(),
        note: d.severity != Severity::Error,
    }
}
