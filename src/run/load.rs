//! Reading a job with its templates and its bin.

use super::Request;
use crate::diag::{Diagnostic, Severity, Shown};
use crate::job::{Job, read_job};
use crate::source::{Files, SourceMap, Text, nearest, safe_name};
use crate::stock::{Bin, read_bin};
use crate::template::{BUILT_IN, Template, read_template};
use sha2::{Digest, Sha256};
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

fn hash(texts: &[&str]) -> String {
    let mut h = Sha256::new();
    for t in texts {
        // The length keeps two texts from running into each other.
        h.update((t.len() as u64).to_le_bytes());
        h.update(t.as_bytes());
    }
    h.finalize().iter().take(6).map(|b| format!("{b:02x}")).collect()
}

/// The name that a path is shown under: as given, with forward slashes.
fn shown_name(path: &Path) -> String {
    path.display().to_string().replace('\\', "/")
}

/// Read a job, its templates and its bin.
///
/// # Errors
/// All diagnostics at once.
pub fn load(files: &dyn Files, request: &Request) -> Result<Loaded, Trouble> {
    let mut sources = SourceMap::default();
    let mut out = vec![];
    let text = match files.read(&request.job) {
        Ok(t) => t,
        Err(e) => {
            let d = Diagnostic::bare("file", format!("cannot read {}: {e}", shown_name(&request.job)));
            let d = d.help("give the path of a job file, or make one with: droprack new DIR");
            return Err(Trouble { diagnostics: vec![d], shown: vec![] });
        }
    };
    let file = sources.add(&shown_name(&request.job), &text);
    let job = read_job(file, sources.text(file).to_string().as_str(), &mut out);
    let folder = request.job.parent().unwrap_or(Path::new("")).to_path_buf();
    let mut templates: Vec<Template> = vec![];
    for part in &job.parts {
        if templates.iter().all(|t| t.name != part.template.value) {
            templates.extend(find_template(files, &folder, &part.template, &mut sources, &mut out));
        }
    }
    let (bin, bin_hash) = load_bin(files, request, &job, &folder, &mut sources, &mut out);
    let (notes, errors): (Vec<_>, Vec<_>) = out.into_iter().partition(|d| d.severity != Severity::Error);
    // A file that is not even TOML was not understood: what would follow is noise.
    if errors.iter().any(|d| d.code == "toml-syntax") {
        return Err(Trouble { diagnostics: errors, shown: sources.shown().to_vec() });
    }
    let texts: Vec<&str> = sources.shown().iter().map(|s| s.text.as_str()).collect();
    let input_hash = hash(&texts);
    Ok(Loaded { job, templates, bin, bin_hash, input_hash, notes, errors, sources })
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
            let template = read_template(file, &text, out);
            if template.name != name.value {
                let message = format!("this file is called {file_name}, but its template is `{}`", template.name);
                out.push(Diagnostic::error("template-name", message, file, 0..0).help("give both the same name"));
            }
            return Some(template);
        }
    }
    if let Some((_, text)) = built_in {
        let file = sources.add(&format!("built-in template {}", name.value), text);
        return Some(read_template(file, text, out));
    }
    let known: Vec<&str> = BUILT_IN.iter().map(|t| t.0).collect();
    let near = nearest(&name.value, known.iter().copied()).map(|n| format!("did you mean \"{n}\"?"));
    let looked = format!(
        "looked for {}.toml beside the job and in its folder templates; built in: {}",
        safe_name(&name.value),
        known.join(", ")
    );
    let message = format!("there is no template \"{}\"", name.value);
    out.push(Diagnostic::error("unknown-template", message, name.file, name.span.clone()).help_if(near).help(looked));
    None
}

fn load_bin(
    files: &dyn Files,
    request: &Request,
    job: &Job,
    folder: &Path,
    sources: &mut SourceMap,
    out: &mut Vec<Diagnostic>,
) -> (Bin, String) {
    let named = request.bin.clone().or_else(|| job.bin.as_ref().map(|t| folder.join(&t.value)));
    let path = match named {
        Some(p) => p,
        None => match nearest_bin(files, folder) {
            Some(p) => p,
            None => return (Bin::default(), String::new()),
        },
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

/// The nearest `bin.toml` from the job's folder upwards.
fn nearest_bin(files: &dyn Files, folder: &Path) -> Option<PathBuf> {
    let start = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let whole = std::path::absolute(start).unwrap_or_else(|_| start.to_path_buf());
    whole.ancestors().map(|a| a.join("bin.toml")).find(|p| files.exists(p))
}

/// All built-in templates, and those beside `folder`.
pub fn templates() -> Vec<Template> {
    let mut sources = SourceMap::default();
    BUILT_IN
        .iter()
        .map(|(name, text)| {
            let file = sources.add(name, text);
            read_template(file, text, &mut vec![])
        })
        .collect()
}
