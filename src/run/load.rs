//! Reading a job with its templates and its bin.

use super::Request;
use crate::checks::audit_named;
use crate::diag::{Diagnostic, Severity, Shown};
use crate::job::{Job, Printer, read_job, read_printer};
use crate::source::{Files, SourceMap, Text, hash, kind_of_file, nearest, safe_name};
use crate::stock::{Bin, read_bin};
use crate::template::{BUILT_IN, Template, read_template};
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
fn shown_name(path: &Path) -> String {
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
    let mut templates: Vec<Template> = vec![];
    for part in &job.parts {
        if templates.iter().all(|t| t.name != part.template.value) {
            templates.extend(find_template(files, &folder, &part.template, &mut sources, &mut out));
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

/// Read a template and look through it, its named checks too; faults go to `out`.
pub(super) fn read_whole(file: crate::diag::FileId, text: &str, out: &mut Vec<Diagnostic>) -> Template {
    let mut template = read_template(file, text, out);
    if !template.faulty {
        let before = out.len();
        audit_named(&template, out);
        template.faulty = out.len() > before;
    }
    template
}

/// A user's own template beside the job wins over a built-in one.
fn find_template(
    files: &dyn Files,
    folder: &Path,
    name: &Text,
    sources: &mut SourceMap,
    out: &mut Vec<Diagnostic>,
) -> Option<Template> {
    let built_in = BUILT_IN.iter().find(|t| t.0 == name.value);
    // Only a plain name becomes a path: no template leads out of the job's folder.
    if safe_name(&name.value) == name.value {
        let file_name = format!("{}.toml", name.value);
        for path in [folder.join(&file_name), folder.join("templates").join(&file_name)] {
            if !files.exists(&path) {
                continue;
            }
            let text = files.read(&path).unwrap_or_default();
            let file = sources.add(&shown_name(&path), &text);
            if built_in.is_some() {
                let message = format!(
                    "template `{}` is taken from {}, not from the built-in ones",
                    name.value,
                    shown_name(&path)
                );
                out.push(Diagnostic::bare("own-template", message).as_note());
            }
            let text = sources.text(file).to_string();
            let template = read_whole(file, &text, out);
            out.extend(misnamed(&template, &path));
            return Some(template);
        }
    }
    if let Some((_, text)) = built_in {
        let file = sources.add(&format!("built-in template {}", name.value), text);
        return Some(read_whole(file, text, out));
    }
    let plain = safe_name(name.value.trim_end_matches(".toml"));
    let beside = [folder.join(format!("{plain}.toml")), folder.join("templates").join(format!("{plain}.toml"))];
    let known: Vec<&str> = BUILT_IN.iter().map(|t| t.0).collect();
    let near = if beside.iter().any(|p| files.exists(p)) || known.contains(&plain.as_str()) {
        Some(plain.clone())
    } else {
        nearest(&name.value, known.iter().copied()).map(str::to_string)
    };
    let near = near.map(|n| format!("did you mean \"{n}\"?"));
    let looked =
        format!("looked for {}.toml beside the job and in its folder templates; built in: {}", plain, known.join(", "));
    let message = format!("there is no template \"{}\"", name.value);
    out.push(Diagnostic::error("unknown-template", message, name.file, name.span.clone()).help_if(near).help(looked));
    None
}

/// A template's file is called after it, so that a job can find it. Standard
/// input has no such name.
pub(super) fn misnamed(template: &Template, path: &Path) -> Option<Diagnostic> {
    path.extension()?;
    let stem = path.file_stem()?.to_string_lossy();
    let text = template.obj.text("template").filter(|_| *stem != *template.name)?;
    let message = format!("this file is called {stem}.toml, but its template is \"{}\"", template.name);
    let d = Diagnostic::error("template-name", message, text.file, text.span.clone());
    Some(d.help("give both the same name"))
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

/// All built-in templates.
pub fn templates() -> Vec<Template> {
    templates_near(&crate::source::Memory::default(), Path::new(""), &[])
}

/// All built-in templates, and those of `names` (files of `folder`) that are
/// templates without faults. One of the user's own stands in for a built-in one.
pub fn templates_near(files: &dyn Files, folder: &Path, names: &[PathBuf]) -> Vec<Template> {
    let mut sources = SourceMap::default();
    let mut all: Vec<Template> = BUILT_IN
        .iter()
        .map(|(name, text)| {
            let file = sources.add(name, text);
            read_whole(file, text, &mut vec![])
        })
        .collect();
    for name in names {
        let Ok(text) = files.read(&folder.join(name)) else { continue };
        if kind_of_file(&text) != Some("template") {
            continue;
        }
        let file = sources.add(&shown_name(name), &text);
        let own = read_whole(file, sources.text(file).to_string().as_str(), &mut vec![]);
        if !own.faulty && misnamed(&own, name).is_none() {
            all.retain(|t| t.name != own.name);
            all.push(own);
        }
    }
    all
}
