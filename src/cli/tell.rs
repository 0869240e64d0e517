//! What the terminal shows: diagnostics in colour or not, in its width, or as JSON.

use super::{FAILED, note, quiet, say};
use crate::diag::{Diagnostic, Severity, Shown, draw, line_and_column};
use crate::run::Trouble;
use serde_json::{Value, json};
use std::io::IsTerminal;

/// Width of lines where nothing is known of the terminal.
const USUAL_WIDTH: usize = 100;

/// Columns of the terminal; `COLUMNS` wins, as in every shell.
pub(super) fn width() -> usize {
    let told = std::env::var("COLUMNS").ok().and_then(|c| c.parse::<usize>().ok());
    let seen = terminal_size::terminal_size_of(std::io::stderr()).map(|(w, _)| usize::from(w.0));
    told.or(seen).unwrap_or(USUAL_WIDTH).clamp(40, 140)
}

fn colour() -> bool {
    // The convention: set and not empty means no colour.
    let refused = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
    std::io::stderr().is_terminal() && !refused
}

/// Draw on standard error.
pub(super) fn tell(diagnostics: &[Diagnostic], shown: &[Shown]) {
    note(&draw(diagnostics, shown, colour(), width()));
}

/// Draw what is worth knowing on standard error; with `--quiet` only what is wrong.
pub(super) fn tell_notes(diagnostics: &[Diagnostic], shown: &[Shown]) {
    let heard = |d: &&Diagnostic| !quiet() || d.severity == Severity::Error;
    let heard: Vec<Diagnostic> = diagnostics.iter().filter(heard).cloned().collect();
    tell(&heard, shown);
}

/// One JSON object on standard output.
pub(super) fn run_json(value: &Value) {
    say(&format!("{}\n", serde_json::to_string_pretty(value).unwrap_or_default()));
}

/// Diagnostics as a list: code, message, file, line, column, help.
pub(super) fn diagnostics_json(diagnostics: &[Diagnostic], shown: &[Shown]) -> Value {
    let place = |l: &crate::diag::Label| {
        let s = shown.get(l.file.0)?;
        let (line, column) = line_and_column(&s.text, l.span.start);
        let (end_line, end_column) = line_and_column(&s.text, l.span.end);
        Some(
            json!({ "file": s.name, "line": line, "column": column, "end_line": end_line, "end_column": end_column, "says": l.text }),
        )
    };
    let one = |d: &Diagnostic| {
        let severity = match d.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        };
        let places: Vec<Value> = d.labels.iter().filter_map(place).collect();
        let first = |key: &str| places.first().map_or(Value::Null, |p| p[key].clone());
        json!({ "severity": severity, "code": d.code, "message": d.message, "file": first("file"), "line": first("line"),
                "column": first("column"), "places": places, "help": d.help })
    };
    Value::Array(diagnostics.iter().map(one).collect())
}

/// Bad input: told on standard error, and as JSON where that was asked for.
pub(super) fn trouble(t: &Trouble, as_json: bool) -> u8 {
    tell(&t.diagnostics, &t.shown);
    let n = t.diagnostics.len();
    note(&format!("{n} {} to mend; nothing was written\n", if n == 1 { "thing" } else { "things" }));
    if as_json {
        run_json(&json!({ "diagnostics": diagnostics_json(&t.diagnostics, &t.shown) }));
    }
    FAILED
}
