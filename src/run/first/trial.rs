//! The job as it would be written, worked out in memory: what is wrong with it, at
//! the box that it is about, in the words of the command line.

use crate::checks::Verdict;
use crate::diag::{FileId, Label, Severity};
use crate::job::{line_fault, read_job, written_values};
use crate::page::Told;
use crate::run::live::told;
use crate::run::new::{job_text, reading_name};
use crate::run::{Loaded, Request, Start, Trouble, load, work_out};
use crate::source::Memory;
use crate::template::{BUILT_IN, Template};
use std::ops::Range;
use std::path::PathBuf;

/// What a trial says.
#[derive(Default)]
pub(super) struct Tried {
    /// About no box.
    pub top: Vec<Told>,
    /// About a box, by the name of its question.
    pub at_boxes: Vec<(String, Told)>,
    /// How many checks are not met.
    pub failed: usize,
}

/// The job is the first file that is read.
const JOB_FILE: FileId = FileId(0);

/// Most that is told at one box.
const MOST_AT_BOX: usize = 3;

pub(super) fn tried(start: &Start, t: &Template) -> Tried {
    let mut out = Tried::default();
    let mut whole = start.clone();
    // What cannot stand in a job at all is told, and tried without.
    whole.answers.retain(|(name, text)| match line_fault(text) {
        Some(fault) => {
            out.at_boxes.push((name.clone(), Told::sentence(&fault)));
            false
        }
        None => true,
    });
    whole.answers.retain(|(name, _)| t.obj.named("ask").iter().any(|a| a.0 == *name));
    let text = job_text(&whole, &[t]);
    match worked(&text, t) {
        Ok(failed) => out.failed = failed,
        Err(trouble) => sorted(&trouble, &places(&text, t), &whole, &mut out),
    }
    out
}

/// How many checks are not met.
fn worked(text: &str, t: &Template) -> Result<usize, Trouble> {
    let worked = work_out(&loaded(text, t)?)?;
    Ok(worked.findings.iter().filter(|f| f.verdict == Verdict::Fail).count())
}

/// A job of this template that is nowhere but in memory.
pub(super) fn loaded(text: &str, t: &Template) -> Result<Loaded, Trouble> {
    let mut files = Memory::default();
    files.0.insert(PathBuf::from("job.toml"), text.to_string());
    files.0.insert(PathBuf::from("bin.toml"), String::new());
    if BUILT_IN.iter().all(|b| b.1 != t.text) {
        files.0.insert(PathBuf::from(format!("{}.toml", t.name)), t.text.clone());
    }
    load(&files, &Request { job: PathBuf::from("job.toml"), bin: None })
}

/// Where in the job each answer stands: as the reading, and where the part takes it.
fn places(text: &str, t: &Template) -> Vec<(String, Range<usize>)> {
    let mut out = vec![];
    let written = written_values(text);
    for part in read_job(JOB_FILE, text, &mut vec![]).parts {
        for (name, at, value) in part.given {
            let reading = written.iter().find(|w| w.name == reading_name(t, &name) && w.name == value.value);
            out.extend(reading.map(|w| (name.clone(), w.span.clone())));
            out.push((name, at.start..value.span.end));
        }
    }
    out
}

fn sorted(trouble: &Trouble, places: &[(String, Range<usize>)], start: &Start, out: &mut Tried) {
    let inside = |l: &Label, at: &Range<usize>| {
        l.file == JOB_FILE && l.span.start >= at.start && l.span.end <= at.end && !l.span.is_empty()
    };
    for d in trouble.diagnostics.iter().filter(|d| d.severity == Severity::Error) {
        let words = told(d, &trouble.shown);
        let first = |l: &Label| places.iter().find(|p| inside(l, &p.1));
        let Some((name, _)) = d.labels.iter().find_map(first) else {
            // It points into files that are not there yet.
            out.top.push(Told { at: String::new(), ..words });
            continue;
        };
        // What lacks is counted by the page: a box that nobody has come to yet is no fault.
        if start.answers.iter().all(|a| a.0 != *name) {
            continue;
        }
        let own = out.at_boxes.iter().filter(|b| b.0 == *name);
        let known = own.clone().any(|b| b.1.message == words.message);
        if !known && own.count() < MOST_AT_BOX {
            out.at_boxes.push((name.clone(), Told { at: String::new(), ..words }));
        }
    }
}
