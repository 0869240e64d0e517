//! Changing a file that must never be lost, and that several may write at once:
//! under a lock, beside the old one, on the disk before it is swapped in, with
//! a record of what was done in a folder beside it.
//!
//! ```text
//!   lock -> settle what was cut short -> read -> (the change is worked out)
//!        -> record, pending -> new file beside the old one -> both on the disk
//!        -> has anyone written meanwhile? -> rename -> record, done
//! ```
//!
//! Whatever moment the power goes: the file is the old one or the new one, and
//! the next run sees from the file itself which of the two the record tells of.

use super::out::told;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Digits of a record's number in its name.
const DIGITS: usize = 6;
/// Ending of the record of a change that is in the file.
const DONE: &str = ".toml";
/// Ending of the record of a change that may not be in the file yet.
const PENDING: &str = ".pending";

/// A file under lock. The lock ends with this value.
#[derive(Debug)]
pub struct Guard {
    /// The file itself, behind any link.
    path: PathBuf,
    /// Its text as it was read under the lock; `None` where there is no file yet.
    text: Option<String>,
    history: PathBuf,
    _lock: File,
}

/// The folder of records beside a file: `bin.toml` has `bin.history`.
pub fn history_folder(path: &Path) -> PathBuf {
    let real = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    real.with_extension("history")
}

/// The file of a record in a folder.
fn named(folder: &Path, number: u64, ending: &str) -> PathBuf {
    folder.join(format!("{number:0DIGITS$}{ending}"))
}

fn read_one(folder: &Path, number: u64) -> io::Result<String> {
    let file = named(folder, number, DONE);
    fs::read_to_string(&file).map_err(|e| told(&file, e))
}

/// Numbers of the records in a folder with this ending, rising.
fn numbers(folder: &Path, ending: &str) -> Vec<u64> {
    let Ok(entries) = fs::read_dir(folder) else { return vec![] };
    let number = |e: io::Result<fs::DirEntry>| {
        let name = e.ok()?.file_name().to_string_lossy().into_owned();
        name.strip_suffix(ending)?.parse::<u64>().ok()
    };
    let mut all: Vec<u64> = entries.filter_map(number).collect();
    all.sort_unstable();
    all
}

/// The records of a file, read without a lock: their numbers, rising.
pub fn record_numbers(path: &Path) -> Vec<u64> {
    numbers(&history_folder(path), DONE)
}

/// The text of one record.
///
/// # Errors
/// What the disk said.
pub fn read_record(path: &Path, number: u64) -> io::Result<String> {
    read_one(&history_folder(path), number)
}

impl Guard {
    /// Take the lock of a file (waiting for whoever has it), settle what was cut
    /// short, and read it. `has_landed` tells from a pending record and the text
    /// of the file whether the change of that record is in the file.
    ///
    /// # Errors
    /// What the disk said, with the path; a file with several hard links, which a
    /// rename would part.
    pub fn take(path: &Path, has_landed: &dyn Fn(&str, &str) -> bool) -> io::Result<Guard> {
        let real = match fs::canonicalize(path) {
            Ok(real) => real,
            Err(e) if e.kind() == io::ErrorKind::NotFound => std::path::absolute(path)?,
            Err(e) => return Err(told(path, e)),
        };
        one_name_only(&real)?;
        let lock_path = beside(&real, ".lock");
        // Nothing is ever written into it: it is only held.
        let lock = OpenOptions::new().create(true).truncate(false).write(true).open(&lock_path);
        let lock = lock.map_err(|e| told(&lock_path, e))?;
        lock.lock().map_err(|e| told(&lock_path, e))?;
        let text = read_if_there(&real)?;
        let guard = Guard { history: real.with_extension("history"), path: real, text, _lock: lock };
        guard.settle(has_landed)?;
        Ok(guard)
    }

    /// The text of the file; empty where there is none yet.
    pub fn text(&self) -> &str {
        self.text.as_deref().unwrap_or("")
    }

    /// Number of the last record, if there is one.
    pub fn last_record(&self) -> Option<u64> {
        numbers(&self.history, DONE).pop()
    }

    /// The text of a record.
    ///
    /// # Errors
    /// What the disk said.
    pub fn record(&self, number: u64) -> io::Result<String> {
        read_one(&self.history, number)
    }

    /// Write the file anew, with the record of the change under the next number.
    /// When this returns, both are on the disk.
    ///
    /// # Errors
    /// What the disk said, with the path, or that another program has written the
    /// file meanwhile. The file is then as it was.
    pub fn write(self, text: &str, record: &str) -> io::Result<u64> {
        let number = self.last_record().map_or(1, |n| n + 1);
        let pending = named(&self.history, number, PENDING);
        let new = beside(&self.path, ".new");
        if let Err(e) = self.prepared(text, record, &pending, &new) {
            // What cannot be removed is swept by the next run.
            let _ = fs::remove_file(&new);
            let _ = fs::remove_file(&pending);
            return Err(e);
        }
        fs::rename(&new, &self.path).map_err(|e| told(&self.path, e))?;
        sync_folder(&self.path)?;
        let done = named(&self.history, number, DONE);
        fs::rename(&pending, &done).map_err(|e| told(&done, e))?;
        sync_folder(&done)?;
        Ok(number)
    }

    fn prepared(&self, text: &str, record: &str, pending: &Path, new: &Path) -> io::Result<()> {
        fs::create_dir_all(&self.history).map_err(|e| told(&self.history, e))?;
        put_down(pending, record.as_bytes())?;
        sync_folder(pending)?;
        put_down(new, text.as_bytes())?;
        if let Ok(old) = fs::metadata(&self.path) {
            fs::set_permissions(new, old.permissions()).map_err(|e| told(new, e))?;
        }
        // An editor takes no lock: what it has written meanwhile is not written over.
        if read_if_there(&self.path)? != self.text {
            let said =
                format!("{} was changed by another program meanwhile; run the command again", self.path.display());
            return Err(io::Error::other(said));
        }
        Ok(())
    }

    /// What a run that was cut short has left behind.
    fn settle(&self, has_landed: &dyn Fn(&str, &str) -> bool) -> io::Result<()> {
        let new = beside(&self.path, ".new");
        if new.exists() {
            fs::remove_file(&new).map_err(|e| told(&new, e))?;
        }
        for number in numbers(&self.history, PENDING) {
            let pending = named(&self.history, number, PENDING);
            let record = fs::read_to_string(&pending).unwrap_or_default();
            if has_landed(&record, self.text()) {
                let done = named(&self.history, number, DONE);
                fs::rename(&pending, &done).map_err(|e| told(&done, e))?;
            } else {
                fs::remove_file(&pending).map_err(|e| told(&pending, e))?;
            }
        }
        Ok(())
    }
}

/// A hidden file beside a file.
fn beside(path: &Path, ending: &str) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!(".{name}{ending}"))
}

fn read_if_there(path: &Path) -> io::Result<Option<String>> {
    match fs::read_to_string(path) {
        Ok(text) => Ok(Some(text)),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(e) => Err(told(path, e)),
    }
}

/// Writes a new file and waits until it is on the disk.
fn put_down(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let written = File::create(path).and_then(|mut f| {
        f.write_all(bytes)?;
        f.sync_all()
    });
    written.map_err(|e| told(path, e))
}

/// Waits until the names in the folder of a file are on the disk.
#[cfg(unix)]
fn sync_folder(path: &Path) -> io::Result<()> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    File::open(folder).and_then(|f| f.sync_all()).map_err(|e| told(folder, e))
}

/// Other systems keep the names of a folder in order by themselves.
#[cfg(not(unix))]
fn sync_folder(_: &Path) -> io::Result<()> {
    Ok(())
}

#[cfg(unix)]
fn one_name_only(path: &Path) -> io::Result<()> {
    use std::os::unix::fs::MetadataExt;
    match fs::metadata(path) {
        Ok(m) if m.nlink() > 1 => {
            let said = format!(
                "{} is one of {} hard links to the same file, which a safe write would part; make the others symbolic links",
                path.display(),
                m.nlink()
            );
            Err(io::Error::other(said))
        }
        _ => Ok(()),
    }
}

#[cfg(not(unix))]
fn one_name_only(_: &Path) -> io::Result<()> {
    Ok(())
}
