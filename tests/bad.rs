//! Faulty files: each carries the expected message as a comment above its
//! faulty line, `# error 9: code: part of the message`, with the column of the
//! fault. Nothing else may be told, the program ends with 2, and nothing is
//! written. `# note 9: ...` expects a note of a file that is good all the same.
//! Where the fault lies in a text of several lines, the comment stands above
//! it and counts the lines: `# error +2 5: ...`.
//!
//! `DROPRACK_REWRITE=1 cargo test --test bad` writes what is told into the
//! files: read every change before you keep it.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end
#![allow(clippy::disallowed_methods)] // the switch rewrites its own files

use droprack::diag::{Diagnostic, Severity, Shown, line_and_column};
use droprack::run::{Request, check_template, run};
use droprack::source::Disk;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad")
}

fn toml_files(inner: &str) -> Vec<PathBuf> {
    let mut all: Vec<PathBuf> = fs::read_dir(folder().join(inner))
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .collect();
    all.sort();
    all
}

/// What is told of a file, and the files that it reaches into.
fn told(path: &Path) -> (Vec<Diagnostic>, Vec<Shown>, bool) {
    let kind = path.parent().and_then(|p| p.file_name()).unwrap();
    if kind == "templates" {
        return match check_template(&Disk, path) {
            Ok(r) => (r.notes, r.shown, true),
            Err(t) => (t.diagnostics, t.shown, false),
        };
    }
    let request = if kind == "bins" {
        Request { job: folder().join("jobs/plain.toml"), bin: Some(path.to_path_buf()) }
    } else {
        Request { job: path.to_path_buf(), bin: None }
    };
    match run(&Disk, &request) {
        Ok(o) => {
            let notes = o.loaded.notes.iter().chain(&o.worked.notes).cloned().collect();
            (notes, o.loaded.sources.shown().to_vec(), true)
        }
        Err(t) => (t.diagnostics, t.shown, false),
    }
}

/// Line, column, severity, code, part of the message.
#[derive(Debug, PartialEq)]
struct Fault {
    line: usize,
    column: usize,
    error: bool,
    code: String,
    message: String,
}

fn comment(line: &str) -> Option<(bool, &str)> {
    let rest = line.trim_start_matches('\u{feff}').strip_prefix("# ")?;
    rest.strip_prefix("error ").map(|r| (true, r)).or_else(|| rest.strip_prefix("note ").map(|r| (false, r)))
}

fn expected(text: &str) -> Vec<Fault> {
    let lines: Vec<&str> = text.lines().collect();
    let mut out = vec![];
    for (i, line) in lines.iter().enumerate() {
        let Some((error, rest)) = comment(line) else { continue };
        let below = (i + 1..lines.len()).find(|j| comment(lines[*j]).is_none()).unwrap_or(i) + 1;
        let (place, rest) = rest.split_once(": ").unwrap();
        let (code, message) = rest.split_once(": ").unwrap();
        let (more, column) = match place.strip_prefix('+') {
            Some(p) => p.split_once(' ').map(|(m, c)| (m.parse().unwrap(), c)).unwrap(),
            None => (0, place),
        };
        // A fault of the file as a whole stands at its first place.
        let line = if column == "0" { 1 } else { below + more };
        let column = column.parse().unwrap();
        out.push(Fault { line, column, error, code: code.to_string(), message: message.to_string() });
    }
    out
}

fn found(d: &Diagnostic, shown: &[Shown], file: &str) -> Option<Fault> {
    let label = d.labels.first()?;
    let text = shown.get(label.file.0).filter(|s| s.name == file)?;
    let whole = label.span == (0..0);
    let (line, column) = if whole { (1, 0) } else { line_and_column(&text.text, label.span.start) };
    let error = d.severity == Severity::Error;
    Some(Fault { line, column, error, code: d.code.to_string(), message: d.message.clone() })
}

#[test]
fn each_faulty_file_tells_its_faults_and_nothing_else() {
    let (mut faults, mut files, mut all) = (vec![], 0, 0);
    for path in ["jobs", "templates", "bins"].iter().flat_map(|f| toml_files(f)) {
        let text = fs::read_to_string(&path).unwrap();
        if std::env::var_os("DROPRACK_REWRITE").is_some() {
            rewrite(&path);
            continue;
        }
        let wanted = expected(&text);
        if wanted.is_empty() {
            continue; // a good file that faulty ones lean on
        }
        files += 1;
        all += wanted.len();
        let name = path.display().to_string();
        let (diagnostics, shown, done) = told(&path);
        assert_eq!(done, wanted.iter().all(|w| !w.error), "{name}");
        let mut left: Vec<&Fault> = wanted.iter().collect();
        for d in &diagnostics {
            let f = found(d, &shown, &name);
            let at = f.as_ref().and_then(|f| {
                left.iter().position(|w| {
                    (w.line, w.column, w.error, &w.code) == (f.line, f.column, f.error, &f.code)
                        && f.message.contains(&w.message)
                })
            });
            match at {
                Some(i) => drop(left.remove(i)),
                None => faults.push(format!("{name}: not expected: {f:?} {}: {}", d.code, d.message)),
            }
            if d.help.is_empty() {
                faults.push(format!("{name}: no way out is told: {}", d.message));
            }
        }
        faults.extend(left.iter().map(|w| format!("{name}: not told: {w:?}")));
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    if std::env::var_os("DROPRACK_REWRITE").is_none() {
        assert!(files >= 120 && all >= 170, "{files} files, {all} faults: they may only grow");
    }
}

#[test]
fn one_file_with_25_faults_tells_all_of_them() {
    let path = folder().join("jobs/twenty-five.toml");
    let (diagnostics, ..) = told(&path);
    assert_eq!(diagnostics.len(), 25);
    assert_eq!(expected(&fs::read_to_string(path).unwrap()).len(), 25);
}

/// Put what is told into the file, above each faulty line.
fn rewrite(path: &Path) {
    let text = fs::read_to_string(path).unwrap();
    let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let plain: Vec<&str> = text.split_inclusive('\n').filter(|l| comment(l).is_none()).collect();
    fs::write(path, plain.concat()).unwrap();
    let (diagnostics, shown, _) = told(path);
    let mut lines: Vec<String> = plain.iter().map(|l| (*l).to_string()).collect();
    let mut all: Vec<Fault> =
        diagnostics.iter().filter_map(|d| found(d, &shown, &path.display().to_string())).collect();
    all.sort_by_key(|f| std::cmp::Reverse((f.line, f.column)));
    for f in all {
        // Not into the middle of a text of several lines.
        let inside = |n: usize| lines[..n].concat().matches("\"\"\"").count() % 2 == 1;
        let mut at = f.line - 1;
        while inside(at) {
            at -= 1;
        }
        let more = f.line - 1 - at;
        let place = if more > 0 { format!("+{more} {}", f.column) } else { f.column.to_string() };
        let word = if f.error { "error" } else { "note" };
        // No path of this machine goes into a file.
        let message = f.message.lines().next().unwrap().split(env!("CARGO_MANIFEST_DIR")).next().unwrap().trim_end();
        let line = format!("# {word} {place}: {}: {message}{end}", f.code);
        lines.insert(at, line);
    }
    fs::write(path, lines.concat()).unwrap();
}

#[test]
fn bad_input_ends_with_2_and_writes_nothing() {
    let place = tempfile::tempdir().unwrap();
    for job in toml_files("jobs") {
        if expected(&fs::read_to_string(&job).unwrap()).iter().all(|f| !f.error) {
            continue;
        }
        let out = place.path().join("out");
        let done =
            Command::new(env!("CARGO_BIN_EXE_droprack")).arg("make").arg(&job).arg("--out").arg(&out).output().unwrap();
        assert_eq!(done.status.code(), Some(2), "{}", job.display());
        assert!(!done.stderr.is_empty() && done.stdout.is_empty(), "{}", job.display());
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 0, "{} left something behind", job.display());
    }
}

#[test]
fn json_tells_the_same_faults_with_their_places() {
    let job = folder().join("jobs/twenty-five.toml");
    let done = Command::new(env!("CARGO_BIN_EXE_droprack")).arg("check").arg(&job).arg("--json").output().unwrap();
    let object: serde_json::Value = serde_json::from_slice(&done.stdout).unwrap();
    let list = object["diagnostics"].as_array().unwrap();
    assert_eq!(list.len(), 25);
    for d in list {
        assert!(d["code"].is_string() && d["message"].is_string() && d["help"][0].is_string(), "{d}");
        assert!(
            d["line"].is_u64() && d["column"].is_u64() && d["file"].as_str().unwrap().ends_with("twenty-five.toml")
        );
    }
    let kept = Command::new(env!("CARGO_BIN_EXE_droprack"))
        .args(["check"])
        .arg(&job)
        .env("NO_COLOR", "1")
        .env("COLUMNS", "60")
        .output()
        .unwrap();
    let text = String::from_utf8(kept.stderr).unwrap();
    assert!(!text.contains('\u{1b}'), "colour although it was refused");
    assert!(text.lines().all(|l| l.chars().count() <= 100), "a line is far wider than the terminal");
}
