//! Where a job comes from: a file, or standard input under its own name.

use super::JobArguments;
use super::watch::{Stamp, stamp};
use crate::run::Request;
use crate::source::{Disk, Files, With};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// Longest text that is read from standard input, bytes.
const LONGEST_INPUT: u64 = 4_000_000;
/// What standard input is called in messages. As a path it lies in the current
/// folder, so templates and bin are looked for there.
const STANDARD_INPUT: &str = "standard input";

/// The whole of standard input.
///
/// # Errors
/// A phrase: it cannot be read, is not UTF-8, or is longer than any job or bin.
pub(super) fn read_input() -> Result<String, String> {
    let mut text = String::new();
    let read = io::stdin().lock().take(LONGEST_INPUT + 1).read_to_string(&mut text);
    match read.map_err(|e| e.to_string())? {
        n if n as u64 > LONGEST_INPUT => Err(format!("it is longer than {LONGEST_INPUT} bytes")),
        _ => Ok(text),
    }
}

/// The disk, with the job's text in it where that came from standard input.
pub(super) struct Source {
    input: Option<Result<String, String>>,
    /// Each file that was asked for, as it stood at that moment.
    seen: RefCell<BTreeMap<PathBuf, Stamp>>,
}

impl Source {
    /// Each file that was asked for, also where there was none, and how it stood then.
    pub(super) fn seen(&self) -> BTreeMap<PathBuf, Stamp> {
        self.seen.borrow().clone()
    }
    fn see(&self, path: &Path) {
        self.seen.borrow_mut().entry(path.to_path_buf()).or_insert_with(|| stamp(path));
    }
}

impl Files for Source {
    fn read(&self, path: &Path) -> io::Result<String> {
        self.see(path);
        match &self.input {
            Some(Ok(text)) => With { files: &Disk, path: Path::new(STANDARD_INPUT), text }.read(path),
            Some(Err(why)) if path == Path::new(STANDARD_INPUT) => Err(io::Error::other(why.clone())),
            _ => Disk.read(path),
        }
    }
    fn exists(&self, path: &Path) -> bool {
        self.see(path);
        Disk.exists(path) || self.input.is_some() && path == Path::new(STANDARD_INPUT)
    }
}

/// A job as it was asked for: its files, its request, and whether JSON is wanted.
pub(super) struct Asked {
    pub(super) files: Source,
    pub(super) request: Request,
    pub(super) json: bool,
}

impl JobArguments {
    /// The job's request; `-` reads standard input, once.
    pub(super) fn asked(&self) -> Asked {
        let from_input = self.job == Path::new("-");
        let input = from_input.then(read_input);
        let job = if from_input { PathBuf::from(STANDARD_INPUT) } else { self.job.clone() };
        Asked {
            files: Source { input, seen: RefCell::default() },
            request: Request { job, bin: self.bin.clone() },
            json: self.json,
        }
    }
}
