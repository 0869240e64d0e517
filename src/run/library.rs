//! Templates by their names: files beside the job and built-in ones, with the
//! templates that they use.

use super::load::shown_name;
use crate::checks::audit_named;
use crate::diag::{Diagnostic, FileId};
use crate::source::{Files, Memory, SourceMap, Text, kind_of_file, nearest, safe_name};
use crate::template::{BUILT_IN, Find, MOST_DEEP, Template, read_template};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A template that is known under a name: the person's own, or the built-in one.
type Key = (String, bool);

/// Finds templates and reads each of them once.
pub(super) struct Library<'a> {
    files: &'a dyn Files,
    folder: PathBuf,
    known: BTreeMap<Key, Arc<Template>>,
    /// Those that are being read, each with the place where it uses the next one.
    open: Vec<(Key, Option<Text>)>,
    /// The person's own files that were read.
    pub own: Vec<(PathBuf, String)>,
}

impl<'a> Library<'a> {
    /// Templates of a job in this folder.
    pub fn new(files: &'a dyn Files, folder: &Path) -> Library<'a> {
        Library { files, folder: folder.to_path_buf(), known: BTreeMap::new(), open: vec![], own: vec![] }
    }

    /// The template of this name. A user's own one beside the job wins over a built-in
    /// one; what a built-in one uses is built in, as it was tried.
    pub fn find(&mut self, name: &Text, sources: &mut SourceMap, out: &mut Vec<Diagnostic>) -> Option<Arc<Template>> {
        if let Some(last) = self.open.last_mut() {
            last.1 = Some(name.clone());
        }
        let own = if self.open.last().is_some_and(|k| !k.0.1) { None } else { self.own_file(&name.value) };
        let built_in = BUILT_IN.iter().find(|t| t.0 == name.value);
        if own.is_none() && built_in.is_none() {
            out.push(self.unknown(name));
            return None;
        }
        let key = (name.value.clone(), own.is_some());
        if let Some(ring) = self.open.iter().position(|k| k.0 == key) {
            out.push(circle(&self.open[ring..]));
            return None;
        }
        let depth = self.known.get(&key).map_or(0, |t| t.depth());
        if self.open.len() + depth > MOST_DEEP {
            out.push(too_deep(&self.open));
            return None;
        }
        if let Some(t) = self.known.get(&key) {
            return Some(Arc::clone(t));
        }
        let template = match (own, built_in) {
            (Some(path), _) => self.read_own(&path, built_in.is_some(), sources, out),
            (None, Some((_, text))) => {
                let file = sources.add(&format!("built-in template {}", name.value), text);
                self.read((&name.value, false), file, sources, out)
            }
            (None, None) => return None,
        };
        let template = Arc::new(template);
        self.known.insert(key, Arc::clone(&template));
        Some(template)
    }

    /// Read a template and look through it, its named checks too; faults go to `out`.
    pub fn read(
        &mut self,
        key: (&str, bool),
        file: FileId,
        sources: &mut SourceMap,
        out: &mut Vec<Diagnostic>,
    ) -> Template {
        self.open.push(((key.0.to_string(), key.1), None));
        let text = sources.text(file).to_string();
        let find: &mut Find = &mut |name, out| self.find(name, sources, out);
        let mut template = read_template(file, &text, find, out);
        self.open.pop();
        if !template.faulty {
            let before = out.len();
            audit_named(&template, out);
            template.faulty = out.len() > before;
        }
        template
    }

    /// The person's own file of a name. Only a plain name becomes a path: no template
    /// leads out of the job's folder.
    fn own_file(&self, name: &str) -> Option<PathBuf> {
        let file_name = format!("{name}.toml");
        let places = [self.folder.join(&file_name), self.folder.join("templates").join(&file_name)];
        if safe_name(name) == name { places.into_iter().find(|p| self.files.exists(p)) } else { None }
    }

    fn read_own(&mut self, path: &Path, wins: bool, sources: &mut SourceMap, out: &mut Vec<Diagnostic>) -> Template {
        let text = self.files.read(path).unwrap_or_default();
        let name = path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
        let file = sources.add(&shown_name(path), &text);
        if wins {
            let message = format!("template `{name}` is taken from {}, not from the built-in ones", shown_name(path));
            out.push(Diagnostic::bare("own-template", message).as_note());
        }
        self.own.push((path.to_path_buf(), text));
        let template = self.read((&name, true), file, sources, out);
        out.extend(misnamed(&template, path));
        template
    }

    /// A template that is not there.
    fn unknown(&self, name: &Text) -> Diagnostic {
        let plain = safe_name(name.value.trim_end_matches(".toml"));
        let known: Vec<&str> = BUILT_IN.iter().map(|t| t.0).collect();
        let there = self.own_file(&plain).is_some() || known.contains(&plain.as_str());
        let near =
            if there { Some(plain.clone()) } else { nearest(&name.value, known.iter().copied()).map(str::to_string) };
        let near = near.map(|n| format!("did you mean \"{n}\"?"));
        let looked = format!(
            "looked for {plain}.toml beside the job and in its folder templates; built in: {}",
            known.join(", ")
        );
        let message = format!("there is no template \"{}\"", name.value);
        Diagnostic::error("unknown-template", message, name.file, name.span.clone()).help_if(near).help(looked)
    }
}

/// Names and places of templates that use one another, the first one first.
fn chain(code: &'static str, message: &str, open: &[(Key, Option<Text>)], help: &str) -> Diagnostic {
    let mut names: Vec<&str> = open.iter().map(|(k, _)| k.0.as_str()).collect();
    names.extend(open.last().and_then(|o| o.1.as_ref()).map(|t| t.value.as_str()));
    let mut d = Diagnostic::bare(code, format!("{message}: {}", names.join(" -> "))).help(help);
    for ((name, _), at) in open {
        if let Some(t) = at {
            d = d.also(t.file, t.span.clone(), format!("\"{name}\" uses \"{}\"", t.value));
        }
    }
    d
}

/// Templates that use one another in a circle.
fn circle(ring: &[(Key, Option<Text>)]) -> Diagnostic {
    let message = if ring.len() == 1 { "this template uses itself" } else { "these templates use one another" };
    chain("circle-of-templates", message, ring, "take one of these [[uses]] out: such a part would never end")
}

fn too_deep(open: &[(Key, Option<Text>)]) -> Diagnostic {
    let message = format!("templates use one another more than {MOST_DEEP} deep");
    let help = "copy what is needed of the last one into the template that uses it";
    chain("too-many-uses", &message, open, help)
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

/// All built-in templates.
pub fn templates() -> Vec<Template> {
    templates_near(&Memory::default(), Path::new(""), &[])
}

/// All built-in templates, and those of `names` (files of `folder`) that are
/// templates without faults. One of the user's own stands in for a built-in one.
pub fn templates_near(files: &dyn Files, folder: &Path, names: &[PathBuf]) -> Vec<Template> {
    let (mut sources, mut library) = (SourceMap::default(), Library::new(files, folder));
    let mut all: Vec<Template> = BUILT_IN
        .iter()
        .map(|(name, text)| {
            let file = sources.add(name, text);
            library.read((name, false), file, &mut sources, &mut vec![])
        })
        .collect();
    for name in names {
        let Ok(text) = files.read(&folder.join(name)) else { continue };
        if kind_of_file(&text) != Some("template") {
            continue;
        }
        let file = sources.add(&shown_name(name), &text);
        let stem = name.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
        let own = library.read((&stem, true), file, &mut sources, &mut vec![]);
        if !own.faulty && misnamed(&own, name).is_none() {
            all.retain(|t| t.name != own.name);
            all.push(own);
        }
    }
    all
}
