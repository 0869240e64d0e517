//! What the command line would say, sorted to the boxes that it is about.

use crate::diag::{Diagnostic, FileId, Severity, Shown, line_and_column};
use crate::job::Written;
use crate::page::Told;
use crate::run::{Outcome, Trouble};

/// Told at the top, and told at boxes, each with the name of its value.
pub(super) type Sorted = (Vec<Told>, Vec<(String, Told)>);

/// The job is always the first file that is read.
const JOB_FILE: FileId = FileId(0);

/// The faults of a job.
pub(super) fn faults(trouble: &Trouble, values: &[Written]) -> Sorted {
    sorted(&trouble.diagnostics, &trouble.shown, values)
}

/// What is worth knowing of a job without a fault.
pub(super) fn notes(outcome: &Outcome, values: &[Written]) -> Sorted {
    let all: Vec<Diagnostic> = outcome.loaded.notes.iter().chain(&outcome.worked.notes).cloned().collect();
    let (mut top, at_boxes) = sorted(&all, outcome.loaded.sources.shown(), values);
    let without = outcome.stood.iter().flat_map(|s| &s.without);
    top.extend(without.map(|(key, why)| Told::sentence(&format!("no body of {key}: {why}"))));
    (top, at_boxes)
}

fn sorted(all: &[Diagnostic], shown: &[Shown], values: &[Written]) -> Sorted {
    let (mut top, mut at_boxes) = (vec![], vec![]);
    for d in all {
        let told = told(d, shown);
        let mine = |w: &&Written| {
            let inside =
                |l: &crate::diag::Label| l.file == JOB_FILE && l.span.start >= w.span.start && l.span.end <= w.span.end;
            d.labels.iter().any(inside)
        };
        let names: Vec<&Written> = values.iter().filter(mine).collect();
        if names.is_empty() {
            top.push(told);
            continue;
        }
        // Where the fault itself stands elsewhere, its place is told at the box.
        let main = |w: &Written| d.labels.first().is_some_and(|l| l.file == JOB_FILE && w.span.contains(&l.span.start));
        at_boxes.extend(names.into_iter().map(|w| {
            let at = if main(w) { String::new() } else { told.at.clone() };
            (w.name.clone(), Told { at, ..told.clone() })
        }));
    }
    (top, at_boxes)
}

/// A diagnostic in its own words.
pub(super) fn told(d: &Diagnostic, shown: &[Shown]) -> Told {
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
