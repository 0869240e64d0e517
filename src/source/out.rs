//! The output folder: everything is built beside it and swapped in at the end,
//! so that a run leaves the old results or the new ones, never half of them.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Name of the list of files that a run wrote; only these are ever deleted.
const MANIFEST: &str = "manifest.txt";

/// A name made safe for a file: lowercase letters, digits and dashes.
/// Letters with accents keep their base where that is common (umlauts too).
pub fn safe_name(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars() {
        let plain: String = match c {
            'ä' | 'Ä' => "ae".into(),
            'ö' | 'Ö' => "oe".into(),
            'ü' | 'Ü' => "ue".into(),
            'ß' => "ss".into(),
            'é' | 'è' | 'ê' | 'É' => "e".into(),
            c if c.is_ascii_alphanumeric() => c.to_ascii_lowercase().to_string(),
            c if c.is_alphanumeric() => format!("u{:x}", c as u32),
            _ => "-".into(),
        };
        if plain != "-" || !(out.is_empty() || out.ends_with('-')) {
            out += &plain;
        }
    }
    let out = out.trim_end_matches('-').chars().take(100).collect::<String>();
    if out.is_empty() { "unnamed".to_string() } else { out }
}

/// Most folders of one name beside each other.
const MOST_OF_A_NAME: u32 = 999;
/// Largest size of all results together.
const MOST_BYTES: usize = 500_000_000;

/// Files to be written, by their name below the output folder.
#[derive(Clone, Debug, Default)]
pub struct OutFolder {
    files: BTreeMap<String, Vec<u8>>,
}

impl OutFolder {
    /// Add a file. `name` is `file.ext` or `folder/file.ext`.
    ///
    /// # Errors
    /// A sentence when the name could lead out of the folder or is taken.
    pub fn add(&mut self, name: &str, bytes: Vec<u8>) -> Result<(), String> {
        let parts: Vec<&str> = name.split('/').collect();
        let plain = |p: &&str| {
            !p.is_empty() && !p.starts_with('.') && p.chars().all(|c| c.is_ascii_alphanumeric() || "-_.".contains(c))
        };
        if parts.len() > 2 || !parts.iter().all(plain) || name == MANIFEST {
            return Err(format!("'{name}' cannot be the name of a result"));
        }
        let all: usize = self.files.values().map(Vec::len).sum();
        if all + bytes.len() > MOST_BYTES {
            return Err(format!("the results are larger than {} MB: split the job", MOST_BYTES / 1_000_000));
        }
        if self.files.insert(name.to_string(), bytes).is_some() {
            return Err(format!("two results are called '{name}'; give one of the parts another name"));
        }
        Ok(())
    }

    /// Names and bytes of all files, sorted.
    pub fn files(&self) -> impl Iterator<Item = (&String, &Vec<u8>)> {
        self.files.iter()
    }

    /// Write everything below `folder`.
    ///
    /// Files are first written to a folder beside it; then the files of the last
    /// run (as its manifest lists them) are removed and the new ones moved in.
    /// Files that no run wrote stay.
    ///
    /// # Errors
    /// What the disk said, with the path.
    pub fn write(&self, folder: &Path) -> io::Result<()> {
        let parent = folder.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        fs::create_dir_all(parent).map_err(|e| told(parent, e))?;
        let beside = tempfile::Builder::new().prefix(".droprack-").tempdir_in(parent).map_err(|e| told(parent, e))?;
        let mut names = String::new();
        for (name, bytes) in &self.files {
            let path = beside.path().join(name);
            if let Some(dir) = path.parent() {
                fs::create_dir_all(dir).map_err(|e| told(dir, e))?;
            }
            put(&path, bytes).map_err(|e| told(&path, e))?;
            names += name;
            names.push('\n');
        }
        put(&beside.path().join(MANIFEST), names.as_bytes())?;
        fs::create_dir_all(folder).map_err(|e| told(folder, e))?;
        self.remove_last_run(folder)?;
        for name in self.files.keys().map(String::as_str).chain([MANIFEST]) {
            let to = folder.join(name);
            if let Some(dir) = to.parent() {
                fs::create_dir_all(dir).map_err(|e| told(dir, e))?;
            }
            fs::rename(beside.path().join(name), &to).map_err(|e| told(&to, e))?;
        }
        Ok(())
    }

    /// Write everything as new files of a folder that a person works in: no
    /// manifest, and nothing that is there already is touched.
    ///
    /// # Errors
    /// Which file is there already, or what the disk said, with the path.
    pub fn write_new(&self, folder: &Path) -> io::Result<()> {
        // A file that is there with the very same contents is no loss.
        let taken = |(name, bytes): &(&String, &Vec<u8>)| {
            let path = folder.join(name);
            path.exists() && fs::read(path).ok().as_ref() != Some(bytes)
        };
        if let Some((name, _)) = self.files.iter().find(taken) {
            let said = format!("{} is there already; nothing was written", folder.join(name).display());
            return Err(io::Error::new(io::ErrorKind::AlreadyExists, said));
        }
        fs::create_dir_all(folder).map_err(|e| told(folder, e))?;
        let beside = tempfile::Builder::new().prefix(".droprack-").tempdir_in(folder).map_err(|e| told(folder, e))?;
        for (name, bytes) in &self.files {
            put(&beside.path().join(name), bytes).map_err(|e| told(folder, e))?;
        }
        for name in self.files.keys() {
            let to = folder.join(name);
            fs::rename(beside.path().join(name), &to).map_err(|e| told(&to, e))?;
        }
        Ok(())
    }

    /// Write everything as a new folder of `parent` that is called `name`, or
    /// `name-2`, `name-3`, where that is taken: nothing that is there already, be it
    /// a folder, a file or a link, is followed or written over. Its path.
    ///
    /// # Errors
    /// What the disk said, with the path; nothing is left behind then.
    pub fn write_beside(&self, parent: &Path, name: &str) -> io::Result<PathBuf> {
        let name = safe_name(name);
        for n in 1..=MOST_OF_A_NAME {
            let folder = parent.join(if n == 1 { name.clone() } else { format!("{name}-{n}") });
            // Only the one call that makes it knows that nobody else did.
            match fs::create_dir(&folder) {
                Ok(()) => {}
                Err(e) if e.kind() == io::ErrorKind::AlreadyExists => continue,
                Err(e) => return Err(told(&folder, e)),
            }
            if let Err(e) = self.write_new(&folder) {
                self.files.keys().for_each(|f| drop(fs::remove_file(folder.join(f))));
                let _ = fs::remove_dir(&folder);
                return Err(e);
            }
            return Ok(folder);
        }
        let said = format!("{MOST_OF_A_NAME} folders are called {name} already; nothing was written");
        Err(io::Error::new(io::ErrorKind::AlreadyExists, said))
    }

    /// Remove what the last manifest lists and this run does not write again.
    fn remove_last_run(&self, folder: &Path) -> io::Result<()> {
        let Ok(list) = fs::read_to_string(folder.join(MANIFEST)) else { return Ok(()) };
        let mut probe = OutFolder::default();
        for name in list.lines() {
            // The manifest is read back from disk: it is believed no more than any name.
            if self.files.contains_key(name) || probe.add(name, vec![]).is_err() {
                continue;
            }
            let path: PathBuf = folder.join(name);
            if path.is_file() {
                fs::remove_file(path)?;
            }
        }
        Ok(())
    }
}

pub(super) fn told(path: &Path, e: io::Error) -> io::Error {
    io::Error::new(e.kind(), format!("{}: {e}", path.display()))
}

/// Write one file that a command line names, whole or not at all.
///
/// # Errors
/// What the disk said, with the path.
pub fn write_over(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let beside = tempfile::Builder::new().prefix(".droprack-").tempdir_in(folder).map_err(|e| told(folder, e))?;
    let new = beside.path().join("file");
    put(&new, bytes).map_err(|e| told(path, e))?;
    fs::rename(&new, path).map_err(|e| told(path, e))
}

/// Write a file that was read before, whole or not at all, and only where it
/// still holds what was read. It keeps its permissions; a link stays a link.
///
/// # Errors
/// What the disk said, with the path, or that another program has written the
/// file meanwhile. The file is then as it was.
pub fn write_unchanged(path: &Path, was: &str, text: &str) -> io::Result<()> {
    let real = fs::canonicalize(path).map_err(|e| told(path, e))?;
    let folder = real.parent().unwrap_or(Path::new("."));
    let beside = tempfile::Builder::new().prefix(".droprack-").tempdir_in(folder).map_err(|e| told(folder, e))?;
    let new = beside.path().join("file");
    put(&new, text.as_bytes()).map_err(|e| told(path, e))?;
    let old = fs::metadata(&real).map_err(|e| told(path, e))?;
    fs::set_permissions(&new, old.permissions()).map_err(|e| told(path, e))?;
    fs::File::open(&new).and_then(|f| f.sync_all()).map_err(|e| told(path, e))?;
    if fs::read(&real).map_err(|e| told(path, e))? != was.as_bytes() {
        let said = format!("{} was changed by another program since it was read; nothing was written", path.display());
        return Err(io::Error::other(said));
    }
    fs::rename(&new, &real).map_err(|e| told(path, e))
}

#[allow(clippy::disallowed_methods)] // the one place that writes files
fn put(path: &Path, bytes: &[u8]) -> io::Result<()> {
    fs::write(path, bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_lead_out_of_the_folder() {
        let mut out = OutFolder::default();
        for bad in ["../x", "/x", "a/b/c", "a/../b", "", ".x", "a b", "a\\b", "manifest.txt", "c:x"] {
            assert!(out.add(bad, vec![]).is_err(), "{bad}");
        }
        assert!(out.add("pieces/a--b.svg", vec![]).is_ok());
        assert!(out.add("pieces/a--b.svg", vec![]).is_err());
    }

    #[test]
    fn any_name_becomes_a_plain_one() {
        assert_eq!(safe_name("Tank strap, front"), "tank-strap-front");
        assert_eq!(safe_name("../../etc/passwd"), "etc-passwd");
        assert_eq!(safe_name("Halter für Ölkühler"), "halter-fuer-oelkuehler");
        assert_eq!(safe_name("///"), "unnamed");
        assert_eq!(safe_name("板"), "u677f");
    }

    #[test]
    fn a_new_folder_is_beside_whatever_is_there() {
        let dir = tempfile::tempdir().unwrap();
        let here = dir.path();
        let mut out = OutFolder::default();
        out.add("job.toml", b"new".to_vec()).unwrap();
        put(&here.join("strap"), b"a file").unwrap();
        fs::create_dir(here.join("strap-2")).unwrap();
        #[cfg(unix)]
        std::os::unix::fs::symlink(here.join("nowhere"), here.join("strap-3")).unwrap();
        let made = out.write_beside(here, "../Strap").unwrap();
        assert_eq!(made, here.join(if cfg!(unix) { "strap-4" } else { "strap-3" }));
        assert_eq!(fs::read(made.join("job.toml")).unwrap(), b"new");
        assert!(fs::read(here.join("strap")).unwrap() == b"a file" && !here.join("nowhere").exists());
        assert_eq!(fs::read_dir(here.join("strap-2")).unwrap().count(), 0);
    }

    #[test]
    fn a_second_run_removes_only_what_the_first_one_wrote() {
        let dir = tempfile::tempdir().unwrap();
        let folder = dir.path().join("out");
        let mut first = OutFolder::default();
        first.add("a.txt", b"1".to_vec()).unwrap();
        first.add("pieces/b.txt", b"2".to_vec()).unwrap();
        first.write(&folder).unwrap();
        put(&folder.join("mine.txt"), b"keep").unwrap();
        let mut second = OutFolder::default();
        second.add("c.txt", b"3".to_vec()).unwrap();
        second.write(&folder).unwrap();
        assert!(!folder.join("a.txt").exists() && !folder.join("pieces/b.txt").exists());
        assert!(folder.join("mine.txt").exists() && folder.join("c.txt").exists());
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1, "nothing is left beside the folder");
    }
}
