//! Faulty files: each carries the expected message as a comment above its
//! faulty line, `# error: code: part of the message`. Nothing else may be told,
//! the program ends with 2, and nothing is written.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::diag::line_and_column;
use droprack::run::{Request, run};
use droprack::source::Disk;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn jobs() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad");
    let mut all: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .filter(|p| fs::read_to_string(p).unwrap().contains("job = "))
        .collect();
    all.sort();
    all
}

/// (file, line of the faulty line, code, part of the message)
type Told = (String, usize, String, String);

fn expected(name: &str, text: &str) -> Vec<Told> {
    let lines: Vec<&str> = text.lines().collect();
    let mut out = vec![];
    for (i, line) in lines.iter().enumerate() {
        if let Some(rest) = line.strip_prefix("# error: ") {
            let (code, message) = rest.split_once(": ").unwrap();
            let faulty = (i + 1..lines.len()).find(|j| !lines[*j].starts_with("# error: ")).unwrap_or(i);
            out.push((name.to_string(), faulty + 1, code.to_string(), message.to_string()));
        }
    }
    out
}

#[test]
fn each_faulty_file_tells_its_faults_and_nothing_else() {
    let (mut faults, mut told) = (vec![], 0);
    let jobs = jobs();
    for job in &jobs {
        let trouble = match run(&Disk, &Request { job: job.clone(), bin: None }) {
            Ok(_) => {
                faults.push(format!("{}: no fault was told", job.display()));
                continue;
            }
            Err(t) => t,
        };
        let mut wanted: Vec<Told> = trouble.shown.iter().flat_map(|s| expected(&s.name, &s.text)).collect();
        assert!(!wanted.is_empty(), "{}: expects nothing", job.display());
        told += wanted.len();
        for d in &trouble.diagnostics {
            let place = d.labels.first().map(|l| {
                let shown = &trouble.shown[l.file.0];
                (shown.name.clone(), line_and_column(&shown.text, l.span.start).0)
            });
            let found = wanted.iter().position(|w| {
                place.as_ref().is_some_and(|p| p.0 == w.0 && (p.1 == w.1 || d.code == "empty-job"))
                    && d.code == w.2
                    && d.message.contains(&w.3)
            });
            match found {
                Some(i) => drop(wanted.remove(i)),
                None => faults.push(format!("{}: not expected at {place:?}: {}: {}", job.display(), d.code, d.message)),
            }
            if d.help.is_empty() && d.labels.len() < 2 && d.code != "formula" {
                faults.push(format!("{}: no way out is told: {}", job.display(), d.message));
            }
        }
        faults.extend(wanted.iter().map(|w| format!("{}: not told: {w:?}", job.display())));
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(jobs.len() >= 35 && told >= 43, "{} files, {told} faults: they may only grow", jobs.len());
}

#[test]
fn bad_input_ends_with_2_and_writes_nothing() {
    let place = tempfile::tempdir().unwrap();
    for job in jobs() {
        let out = place.path().join("out");
        let done =
            Command::new(env!("CARGO_BIN_EXE_droprack")).arg("make").arg(&job).arg("--out").arg(&out).output().unwrap();
        assert_eq!(done.status.code(), Some(2), "{}", job.display());
        assert!(!done.stderr.is_empty() && done.stdout.is_empty(), "{}", job.display());
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 0, "{} left something behind", job.display());
    }
}
