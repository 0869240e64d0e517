//! The one door to the file system, and its stand-in in memory for tests.

use crate::diag::{FileId, Shown};
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

/// Where texts come from.
pub trait Files {
    /// The text of a file.
    ///
    /// # Errors
    /// When it cannot be read or is not UTF-8.
    fn read(&self, path: &Path) -> io::Result<String>;
    /// Whether there is such a file.
    fn exists(&self, path: &Path) -> bool;
}

/// The disk.
#[derive(Clone, Copy, Debug, Default)]
pub struct Disk;

impl Files for Disk {
    fn read(&self, path: &Path) -> io::Result<String> {
        std::fs::read_to_string(path)
    }
    fn exists(&self, path: &Path) -> bool {
        path.is_file()
    }
}

/// TOML files of a folder and of its folder `templates`, by name, sorted.
pub fn toml_files(folder: &Path) -> Vec<PathBuf> {
    let mut out = vec![];
    for inner in ["", "templates"] {
        let Ok(entries) = std::fs::read_dir(folder.join(inner)) else { continue };
        let names = entries.filter_map(|e| Some(PathBuf::from(inner).join(e.ok()?.file_name())));
        out.extend(names.filter(|n| n.extension().is_some_and(|e| e == "toml")));
    }
    out.sort();
    out
}

/// Files in memory.
#[derive(Clone, Debug, Default)]
pub struct Memory(pub BTreeMap<PathBuf, String>);

impl Files for Memory {
    fn read(&self, path: &Path) -> io::Result<String> {
        self.0.get(path).cloned().ok_or_else(|| io::Error::new(io::ErrorKind::NotFound, "no such file"))
    }
    fn exists(&self, path: &Path) -> bool {
        self.0.contains_key(path)
    }
}

/// The texts of this run, so that diagnostics can show their places.
#[derive(Clone, Debug, Default)]
pub struct SourceMap {
    files: Vec<Shown>,
}

impl SourceMap {
    /// Take a text under the name the user knows it by. A byte-order mark is dropped.
    pub fn add(&mut self, name: &str, text: &str) -> FileId {
        let text = text.trim_start_matches('\u{feff}').to_string();
        self.files.push(Shown { name: name.to_string(), text });
        FileId(self.files.len() - 1)
    }
    /// The text of a file.
    pub fn text(&self, file: FileId) -> &str {
        self.files.get(file.0).map_or("", |f| &f.text)
    }
    /// All files, for drawing diagnostics.
    pub fn shown(&self) -> &[Shown] {
        &self.files
    }
}

/// Files with one text in the place of what one of them holds.
pub struct With<'a> {
    /// The others.
    pub files: &'a dyn Files,
    /// The file that is not read.
    pub path: &'a Path,
    /// What it holds instead.
    pub text: &'a str,
}

impl Files for With<'_> {
    fn read(&self, path: &Path) -> io::Result<String> {
        if path == self.path { Ok(self.text.to_string()) } else { self.files.read(path) }
    }
    fn exists(&self, path: &Path) -> bool {
        path == self.path || self.files.exists(path)
    }
}
