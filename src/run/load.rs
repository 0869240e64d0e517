//! Reading a job with its templates and its bin.

use super::Request;
use super::library::Library;
use crate::diag::{Diagnostic, Severity, Shown};
use crate::job::{Job, Printer, read_job, read_printer};
use crate::source::{Files, SourceMap, hash, kind_of_file};
use crate::stock::{Bin, read_bin};
use crate::template::Template;
use crate::units::System;
use std::path::{Path, PathBuf};

/// Why nothing was made.
#[derive(Clone, Debug)]
pub struct Trouble {
    /// What is wrong.
    pub diagnostics: Vec<Diagnostic>,
    /// The files that the places lie in.
    pub shown: Vec<Shown>,
}

/// A job with all that it needs.
#[derive(Clone, Debug)]
pub struct Loaded {
    /// All texts.
    pub sources: SourceMap,
    /// The job.
    pub job: Job,
    /// Templates that its parts use.
    pub templates: Vec<Template>,
    /// The bin; empty when there is none.
    pub bin: Bin,
    /// Hash of the bin's text; empty without a bin.
    pub bin_hash: String,
    /// Hash of everything that was read.
    pub input_hash: String,
    /// Notes and warnings.
    pub notes: Vec<Diagnostic>,
    /// Faults; with any of them nothing is made, but the rest is still checked.
    pub errors: Vec<Diagnostic>,
}

impl Loaded {
    /// The part of the job that a part or a lettered copy of it belongs to.
    pub(super) fn part_of(&self, name: &str) -> Option<&crate::job::Part> {
        // A copy's part is called after the part and a letter.
        self.job.parts.iter().filter(|p| name.starts_with(p.name.as_str())).max_by_key(|p| p.name.len())
    }

    /// The template of a part by the name of the part, or of one of its copies:
    /// a copy is called after its part and a letter.
    pub(super) fn template_of(&self, part: &str) -> Option<&Template> {
        let part = self.part_of(part)?;
        self.templates.iter().find(|t| t.name == part.template.value)
    }
}

/// The name that a path is shown under: as given, with forward slashes.
pub(super) fn shown_name(path: &Path) -> String {
    path.display().to_string().replace('\\', "/")
}

/// A file that cannot be read.
pub(super) fn cannot_read(path: &Path, e: &std::io::Error) -> Trouble {
    let d = Diagnostic::bare("file", format!("cannot read {}: {e}", shown_name(path)));
    let d = d.help("give the path of a job file, or make one with: droprack new DIR");
    Trouble { diagnostics: vec![d], shown: vec![] }
}

/// A template or a bin in the place of the job is told as such, not key by key.
fn not_a_job(path: &Path, text: &str) -> Result<(), Trouble> {
    let what = match kind_of_file(text) {
        Some("template") => "a template: look through it with droprack check, or name it in a job",
        Some("bin") => "a scrap bin: name it in a job with bin = \"...\", or give it with --bin",
        _ => return Ok(()),
    };
    let (is, help) = what.split_once(": ").unwrap_or((what, ""));
    let d = Diagnostic::bare("not-a-job", format!("{} is {is}, not a job", shown_name(path)));
    Err(Trouble { diagnostics: vec![d.help(help)], shown: vec![] })
}

/// Read a job, its templates and its bin.
///
/// # Errors
/// All diagnostics at once.
pub fn load(files: &dyn Files, request: &Request) -> Result<Loaded, Trouble> {
    let mut sources = SourceMap::default();
    let mut out = vec![];
    let text = files.read(&request.job).map_err(|e| cannot_read(&request.job, &e))?;
    not_a_job(&request.job, &text)?;
    let file = sources.add(&shown_name(&request.job), &text);
    let mut job = read_job(file, sources.text(file).to_string().as_str(), &mut out);
    let folder = request.job.parent().unwrap_or(Path::new("")).to_path_buf();
    let mut library = Library::new(files, &folder);
    let mut templates: Vec<Template> = vec![];
    for part in &job.parts {
        if templates.iter().all(|t| t.name != part.template.value) {
            let found = library.find(&part.template, &mut sources, &mut out);
            templates.extend(found.map(std::sync::Arc::unwrap_or_clone));
        }
    }
    if job.printer.is_none() {
        job.printer = load_printer(files, &folder, job.units, &mut sources, &mut out);
    }
    let (bin, bin_hash) = load_bin(files, request, &job, &folder, &mut sources, &mut out);
    let bin = bin.for_job(&job.name);
    let (notes, errors): (Vec<_>, Vec<_>) = out.into_iter().partition(|d| d.severity != Severity::Error);
    // A file that is not even TOML was not understood: what would follow is noise.
    if errors.iter().any(|d| d.code == "toml-syntax") {
        return Err(Trouble { diagnostics: errors, shown: sources.shown().to_vec() });
    }
    let texts: Vec<&str> = sources.shown().iter().map(|s| s.text.as_str()).collect();
    let input_hash = hash(&texts);
    Ok(Loaded { job, templates, bin, bin_hash, input_hash, notes, errors, sources })
}

fn load_bin(
    files: &dyn Files,
    request: &Request,
    job: &Job,
    folder: &Path,
    sources: &mut SourceMap,
    out: &mut Vec<Diagnostic>,
) -> (Bin, String) {
    let Some(path) = bin_path(files, request.bin.clone(), job, folder) else {
        return (Bin::default(), String::new());
    };
    match files.read(&path) {
        Ok(text) => {
            let file = sources.add(&shown_name(&path), &text);
            let text = sources.text(file).to_string();
            (read_bin(file, &text, out), hash(&[&text]))
        }
        Err(e) => {
            let message = format!("cannot read the bin {}: {e}", shown_name(&path));
            let d = match &job.bin {
                Some(t) if request.bin.is_none() => Diagnostic::error("file", message, t.file, t.span.clone()),
                _ => Diagnostic::bare("file", message),
            };
            out.push(d.help("check the path, or leave `bin` out to plan without one"));
            (Bin::default(), String::new())
        }
    }
}

/// The bin of a job: told, named in the job, or the nearest one upwards.
pub(super) fn bin_path(files: &dyn Files, told: Option<PathBuf>, job: &Job, folder: &Path) -> Option<PathBuf> {
    let named = told.or_else(|| job.bin.as_ref().map(|t| folder.join(&t.value)));
    named.or_else(|| nearest_bin(files, folder))
}

/// The nearest `printer.toml` from the job's folder upwards: one printer serves many jobs.
fn load_printer(
    files: &dyn Files,
    folder: &Path,
    units: System,
    sources: &mut SourceMap,
    out: &mut Vec<Diagnostic>,
) -> Option<Printer> {
    let path = nearest_file(files, folder, "printer.toml")?;
    let text = files.read(&path).ok()?;
    let file = sources.add(&shown_name(&path), &text);
    let text = sources.text(file).to_string();
    read_printer(file, &text, units, out)
}

/// The nearest `bin.toml` from the job's folder upwards.
pub(super) fn nearest_bin(files: &dyn Files, folder: &Path) -> Option<PathBuf> {
    nearest_file(files, folder, "bin.toml")
}

fn nearest_file(files: &dyn Files, folder: &Path, name: &str) -> Option<PathBuf> {
    let start = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let whole = std::path::absolute(start).unwrap_or_else(|_| start.to_path_buf());
    whole.ancestors().map(|a| a.join(name)).find(|p| files.exists(p))
}
