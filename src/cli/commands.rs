//! One function a command.

use super::input::Asked;
use super::progress::Progress;
use super::tell::{diagnostics_json, run_json, tell_notes, trouble, width};
use super::watch::watched;
use super::{Command, DONE, FAILED, LOOK, aside, learn, note, quiet, say};
use crate::checks::Verdict;
use crate::cut::Effort;
use crate::report::{
    BreakLine, CAUTIONS, Table, around_json, around_text, check_text, findings_json, flat_text, flats_json, plan_json,
    plan_text, template_check_text, values_json,
};
use crate::run::{Made, Outcome, TemplateReport, check_template, make, summary, usual_out};
use crate::source::{Files, kind_of_file};
use crate::units::{Length, parse_length};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

pub(super) fn run(command: Command) -> u8 {
    match command {
        Command::New(arguments) => super::new::new(&arguments),
        Command::Make { job, out, chord, effort, list, watch } => {
            watched(&job, watch, |asked| make_all(asked, out.clone(), chord.as_deref(), effort.effort(), list))
        }
        Command::Picture(arguments) => super::picture::picture(&arguments),
        Command::Page(arguments) => super::page::page(arguments),
        Command::Check { job, around, watch } => watched(&job, watch, |asked| check(asked, &around)),
        Command::Flat { job } => flat(&job.asked()),
        Command::Cut { job, effort } => cut(&job.asked(), effort.effort()),
        Command::Compare { old, job } => compare(&old, &job.asked()),
        Command::Bin(arguments) => super::bin::run(arguments),
        Command::Parts { name, json } => learn::parts(name.as_deref(), json),
        Command::Explain { sources: true, json, .. } => learn::all_sources(json),
        Command::Explain { topic, json, .. } => learn::manual(topic.as_deref(), json),
        Command::PrinterTest { file, letter } => printer_test(&file, letter),
        Command::Schema { kind } => learn::schema_of(kind),
        Command::Licences => super::learn::licences(),
        Command::Completions { shell } => super::shell::completions(shell),
        Command::ManualPage { folder } => super::shell::manual_pages(folder.as_deref()),
    }
}

pub(super) fn outcome(job: &Asked) -> Result<Outcome, u8> {
    outcome_with(job, Effort::NORMAL)
}

fn outcome_with(job: &Asked, effort: Effort) -> Result<Outcome, u8> {
    let ran = {
        let _told = Progress::of("planning cuts", job.json);
        crate::run::run_with(&job.files, &job.request, effort)
    };
    match ran {
        Ok(o) => {
            tell_notes(&o.loaded.notes, o.loaded.sources.shown());
            tell_notes(&o.worked.notes, o.loaded.sources.shown());
            Ok(o)
        }
        Err(t) => Err(trouble(&t, job.json)),
    }
}

/// With its bodies.
pub(super) fn stood(o: Outcome, chord: Option<Length>, json: bool) -> Outcome {
    let _told = Progress::of("building bodies", json);
    o.standing(chord)
}

/// The exit status of a command that checks or cuts. With `--quiet` what is not in
/// order is one line on standard error.
fn ended(failed: usize, uncut: u32, see: &str) -> u8 {
    if failed == 0 && uncut == 0 {
        return DONE;
    }
    if quiet() {
        let checks = (failed > 0).then(|| format!("{failed} {} FAILED", if failed == 1 { "check" } else { "checks" }));
        let pieces = (uncut > 0)
            .then(|| format!("{uncut} {} cannot be cut from the stock", if uncut == 1 { "piece" } else { "pieces" }));
        let all: Vec<String> = checks.into_iter().chain(pieces).collect();
        note(&format!("{}{see}\n", all.join(", ")));
    }
    LOOK
}

fn failed(o: &Outcome) -> usize {
    o.worked.findings.iter().filter(|f| f.verdict == Verdict::Fail).count()
}

fn make_all(job: &Asked, out: Option<PathBuf>, chord: Option<&str>, effort: Effort, list: bool) -> u8 {
    let chord = match chord.map(chord_of).transpose() {
        Ok(c) => c,
        Err(e) => {
            note(&format!("{e}; nothing was written\n"));
            return FAILED;
        }
    };
    let o = match outcome_with(job, effort) {
        Ok(o) => stood(o, chord, job.json),
        Err(code) => return code,
    };
    let folder = out.unwrap_or_else(|| usual_out(&job.request.job));
    let made = {
        let _told = Progress::of("drawing", job.json);
        make(&o).and_then(|m| m.folder.write(&folder).map_err(|e| e.to_string()).map(|()| m))
    };
    let made = match made {
        Ok(m) => m,
        Err(e) => {
            note(&format!("{e}; nothing was written\n"));
            return FAILED;
        }
    };
    if job.json {
        run_json(&crate::run::whole_json(&o));
    } else if list {
        say(&listing(&folder, &made));
    } else {
        aside(&summary(&o, &made, &folder.display().to_string(), width()));
    }
    ended(failed(&o), o.plan.uncut(), &format!(": see findings.txt and cut-plan.txt in {}", folder.display()))
}

/// Every file with what it is, and what the person must know.
fn listing(folder: &Path, made: &Made) -> String {
    let mut table = Table::new(&["file", "what it is"]);
    for (name, what) in &made.listed {
        table.row(vec![name.clone(), what.clone()]);
    }
    let told: String = made.told.iter().map(|t| format!("* {t}\n")).collect();
    format!("{}\n\n{}\n{told}\n{CAUTIONS}\n", folder.display(), table.text())
}

/// How far a mesh may lie from the true surface.
fn chord_of(text: &str) -> Result<Length, String> {
    let chord = parse_length(text, None).map_err(|e| format!("--chord \"{text}\": {}", e.message))?;
    if (0.001..=5.0).contains(&chord.to_mm()) {
        return Ok(chord);
    }
    Err(format!("--chord \"{text}\": 0.001 mm to 5 mm are possible; 0.1 mm is usual"))
}

fn compare(old: &Path, job: &Asked) -> u8 {
    let told = Progress::of("comparing", job.json);
    let compared = crate::run::compare(&job.files, old, &job.request, Effort::NORMAL);
    drop(told);
    match compared {
        Ok(c) if job.json => run_json(&c.json()),
        Ok(c) => say(&format!("{}\n{CAUTIONS}\n", c.text())),
        Err(t) => return trouble(&t, job.json),
    }
    DONE
}

fn printer_test(file: &Path, letter: bool) -> u8 {
    let done = crate::run::printer_test(letter)
        .and_then(|bytes| crate::source::write_over(file, &bytes).map_err(|e| e.to_string()));
    match done {
        Ok(()) => {
            aside(&format!(
                "{} is written: print it at actual size, measure both bars, and follow its lines\n",
                file.display()
            ));
            DONE
        }
        Err(e) => {
            note(&format!("{e}; nothing was written\n"));
            FAILED
        }
    }
}

/// Notes on what was read, for `--json`.
fn notes_json(o: &Outcome) -> Value {
    let all: Vec<_> = o.loaded.notes.iter().chain(&o.worked.notes).cloned().collect();
    diagnostics_json(&all, o.loaded.sources.shown())
}

fn check_of_template(job: &Asked) -> u8 {
    let told = Progress::of("trying the corners of its ranges", job.json);
    let report = check_template(&job.files, &job.request.job);
    drop(told);
    let report: TemplateReport = match report {
        Ok(r) => r,
        Err(t) => return trouble(&t, job.json),
    };
    tell_notes(&report.notes, &report.shown);
    if job.json {
        let breaks: Vec<Value> = report
            .breaks
            .iter()
            .map(|b| {
                let answers: serde_json::Map<String, Value> =
                    b.answers.iter().map(|(n, v)| (n.clone(), json!(v))).collect();
                json!({ "answers": answers, "code": b.code, "message": b.message })
            })
            .collect();
        run_json(
            &json!({ "template": report.name, "tried": report.tried, "made": report.made, "refused": report.refused, "pieces": report.pieces,
            "with_failed_checks": report.with_failed_checks, "breaks": breaks,
            "diagnostics": diagnostics_json(&report.notes, &report.shown), "cautions": CAUTIONS.replace('\n', " ") }),
        );
    } else {
        let breaks: Vec<BreakLine> = report
            .breaks
            .iter()
            .map(|b| BreakLine { answers: &b.answers, code: b.code, message: &b.message })
            .collect();
        let numbers = (report.tried, report.made, report.with_failed_checks, report.refused);
        say(&format!("{}\n{CAUTIONS}\n", template_check_text(&report.name, &report.pieces, numbers, &breaks)));
    }
    if report.breaks.is_empty() { DONE } else { LOOK }
}

fn check(job: &Asked, asks: &[String]) -> u8 {
    if job.files.read(&job.request.job).is_ok_and(|t| kind_of_file(&t) == Some("template")) {
        return check_of_template(job);
    }
    let o = match outcome(job) {
        Ok(o) => stood(o, None, job.json),
        Err(code) => return code,
    };
    let told = Progress::of("trying other readings", job.json);
    let around = crate::run::around(&job.files, &job.request, &o, asks);
    drop(told);
    let around = match around {
        Ok(a) => a,
        Err(t) => return trouble(&t, job.json),
    };
    if job.json {
        let values = values_json(o.worked.values.iter());
        run_json(
            &json!({ "values": values, "findings": findings_json(&o.worked.findings), "around": around_json(&around), "diagnostics": notes_json(&o), "cautions": CAUTIONS.replace('\n', " ") }),
        );
    } else {
        let around = if around.is_empty() { String::new() } else { format!("\n{}", around_text(&around)) };
        say(&format!("{}{around}\n{CAUTIONS}\n", check_text(&o.worked.findings)));
    }
    for (key, why) in o.stood.iter().flat_map(|s| &s.without).filter(|_| !quiet()) {
        note(&format!("no body of {key}: {why}\n"));
    }
    ended(failed(&o), 0, "")
}

fn flat(job: &Asked) -> u8 {
    let o = match outcome(job) {
        Ok(o) => o,
        Err(code) => return code,
    };
    if job.json {
        run_json(&flats_json(&o.worked.flats));
    } else {
        say(&format!("{}{CAUTIONS}\n", flat_text(&o.worked.flats, o.loaded.job.units)));
    }
    DONE
}

fn cut(job: &Asked, effort: Effort) -> u8 {
    let o = match outcome_with(job, effort) {
        Ok(o) => o,
        Err(code) => return code,
    };
    if job.json {
        run_json(&plan_json(&o.plan));
    } else {
        say(&format!("{}\n{CAUTIONS}\n", plan_text(&o.plan, o.loaded.job.units)));
    }
    ended(0, o.plan.uncut(), "")
}
