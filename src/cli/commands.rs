//! One function a command.

use super::{Command, DONE, FAILED, JobArguments, LOOK, note, say};
use crate::checks::Verdict;
use crate::diag::{Diagnostic, Severity, Shown, draw, line_and_column};
use crate::report::{
    CAUTIONS, check_text, findings_json, flat_text, flats_json, parts_text, plan_json, plan_text, template_text,
    values_json,
};
use crate::run::{Outcome, Request, Trouble, make, new_folder, templates};
use crate::source::{Disk, nearest, safe_name};
use serde_json::{Value, json};
use std::io::IsTerminal;
use std::path::{Path, PathBuf};

pub(super) fn run_json(value: &Value) {
    say(&format!("{}\n", serde_json::to_string_pretty(value).unwrap_or_default()));
}

pub(super) fn run(command: Command) -> u8 {
    match command {
        Command::New { dir } => new(&dir),
        Command::Make { job, out } => make_all(&job, out),
        Command::Check { job } => check(&job),
        Command::Flat { job } => flat(&job),
        Command::Cut { job } => cut(&job),
        Command::Parts { name, json } => parts(name.as_deref(), json),
    }
}

fn colour() -> bool {
    std::io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none()
}

fn diagnostics_json(diagnostics: &[Diagnostic], shown: &[Shown]) -> Value {
    let one = |d: &Diagnostic| {
        let place = d.labels.first().and_then(|l| shown.get(l.file.0).map(|s| (s, l)));
        let (file, line, column) = place.map_or((Value::Null, Value::Null, Value::Null), |(s, l)| {
            let (line, column) = line_and_column(&s.text, l.span.start);
            (json!(s.name), json!(line), json!(column))
        });
        let severity = match d.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        };
        json!({ "severity": severity, "code": d.code, "message": d.message, "file": file, "line": line, "column": column, "help": d.help })
    };
    json!({ "diagnostics": diagnostics.iter().map(one).collect::<Vec<_>>() })
}

fn trouble(t: &Trouble, as_json: bool) -> u8 {
    note(&draw(&t.diagnostics, &t.shown, colour()));
    let n = t.diagnostics.len();
    note(&format!("{n} {} to mend; nothing was written\n", if n == 1 { "thing" } else { "things" }));
    if as_json {
        run_json(&diagnostics_json(&t.diagnostics, &t.shown));
    }
    FAILED
}

fn outcome(job: &JobArguments) -> Result<Outcome, u8> {
    let request = Request { job: job.job.clone(), bin: job.bin.clone() };
    match crate::run::run(&Disk, &request) {
        Ok(o) => {
            note(&draw(&o.loaded.notes, o.loaded.sources.shown(), colour()));
            note(&draw(&o.worked.notes, o.loaded.sources.shown(), colour()));
            Ok(o)
        }
        Err(t) => Err(trouble(&t, job.json)),
    }
}

fn failed(o: &Outcome) -> bool {
    o.worked.findings.iter().any(|f| f.verdict == Verdict::Fail)
}

fn new(dir: &Path) -> u8 {
    if dir.join("job.toml").exists() || dir.join("bin.toml").exists() {
        note(&format!("{} holds a job or a bin already; nothing was written\n", dir.display()));
        return FAILED;
    }
    let written = new_folder().and_then(|f| f.write(dir).map_err(|e| e.to_string()));
    match written {
        Ok(()) => {
            say(&format!(
                "{0}/job.toml and {0}/bin.toml are there. Change the numbers, then:\n\n  droprack make {0}/job.toml\n",
                dir.display()
            ));
            DONE
        }
        Err(e) => {
            note(&format!("cannot write {e}\n"));
            FAILED
        }
    }
}

/// Usual output folder: `output/` and the name of the job's folder, or of its
/// file where that is not `job.toml`.
fn usual_out(job: &Path) -> PathBuf {
    let stem = job.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let whole = std::path::absolute(job).unwrap_or_else(|_| job.to_path_buf());
    let folder = whole.parent().and_then(Path::file_name).map(|s| s.to_string_lossy().into_owned());
    let name = if stem == "job" { folder.unwrap_or(stem) } else { stem };
    Path::new("output").join(safe_name(&name))
}

fn make_all(job: &JobArguments, out: Option<PathBuf>) -> u8 {
    let o = match outcome(job) {
        Ok(o) => o,
        Err(code) => return code,
    };
    let folder = out.unwrap_or_else(|| usual_out(&job.job));
    let made = match make(&o).and_then(|m| m.folder.write(&folder).map_err(|e| e.to_string()).map(|()| m)) {
        Ok(m) => m,
        Err(e) => {
            note(&format!("{e}; nothing was written\n"));
            return FAILED;
        }
    };
    if job.json {
        run_json(&crate::run::whole_json(&o));
    } else {
        let mut table = crate::report::Table::new(&["file", "what it is"]);
        for (name, what) in &made.listed {
            table.row(vec![name.clone(), what.clone()]);
        }
        say(&format!("{}\n\n{}\n", folder.display(), table.text()));
        for t in &made.told {
            say(&format!("* {t}\n"));
        }
        say(&format!("\n{CAUTIONS}\n"));
    }
    if failed(&o) || o.plan.uncut() > 0 { LOOK } else { DONE }
}

fn check(job: &JobArguments) -> u8 {
    let o = match outcome(job) {
        Ok(o) => o,
        Err(code) => return code,
    };
    if job.json {
        let values = values_json(o.worked.values.iter());
        run_json(
            &json!({ "values": values, "findings": findings_json(&o.worked.findings), "cautions": CAUTIONS.replace('\n', " ") }),
        );
    } else {
        say(&format!("{}\n{CAUTIONS}\n", check_text(&o.worked.findings)));
    }
    if failed(&o) { LOOK } else { DONE }
}

fn flat(job: &JobArguments) -> u8 {
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

fn cut(job: &JobArguments) -> u8 {
    let o = match outcome(job) {
        Ok(o) => o,
        Err(code) => return code,
    };
    if job.json {
        run_json(&plan_json(&o.plan));
    } else {
        say(&format!("{}\n{CAUTIONS}\n", plan_text(&o.plan, o.loaded.job.units)));
    }
    if o.plan.uncut() > 0 { LOOK } else { DONE }
}

fn parts(name: Option<&str>, as_json: bool) -> u8 {
    let all = templates();
    let Some(name) = name else {
        if as_json {
            let list: Vec<Value> = all.iter().map(|t| json!({ "template": t.name, "says": t.says })).collect();
            run_json(&json!({ "templates": list }));
        } else {
            say(&format!("{}\ndroprack parts NAME lists the questions of one.\n", parts_text(&all)));
        }
        return DONE;
    };
    let Some(template) = all.iter().find(|t| t.name == name) else {
        let near = nearest(name, all.iter().map(|t| t.name.as_str()))
            .map(|n| format!("; did you mean {n}?"))
            .unwrap_or_default();
        note(&format!("there is no template {name}{near}\n"));
        return FAILED;
    };
    if as_json {
        let asks: Vec<Value> = template
            .obj
            .named("ask")
            .iter()
            .map(|(n, _, ask)| {
                let choices: Vec<&str> = ask.texts("choices").iter().map(|t| t.value.as_str()).collect();
                json!({ "name": n, "what": ask.word("what"), "kind": ask.word("kind"), "choices": choices,
                        "usual": ask.word("usual"), "at_least": ask.word("at_least"), "at_most": ask.word("at_most") })
            })
            .collect();
        run_json(&json!({ "template": template.name, "says": template.says, "asks": asks }));
    } else {
        say(&template_text(template));
    }
    DONE
}
