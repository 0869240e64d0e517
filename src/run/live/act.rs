//! What is written when somebody asks for it: the job, all files, the bin.

use super::{Live, MadeNow, tell};
use crate::cut::Effort;
use crate::page::{Told, told_html};
use crate::run::bin::{AddRequest, BookRequest, add, bin_file, book, undo};
use crate::run::{Trouble, make, run_with};
use crate::source::{Disk, Files, OutFolder, With, write_unchanged};
use serde::Deserialize;
use std::path::PathBuf;

/// What came of it: markup, and whether it was done.
#[derive(Clone, Debug)]
pub struct Act {
    /// Markup to show.
    pub html: String,
    /// It was done.
    pub done: bool,
}

/// An offcut as the form asks for it; empty means not told.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Offcut {
    /// Shape.
    pub shape: String,
    /// Size, with its unit.
    pub size: String,
    /// Sound length; of a plate length x width.
    pub length: String,
    /// What it is made of.
    pub material: String,
    /// Where it lies.
    #[serde(rename = "where")]
    pub place: String,
}

impl Act {
    /// A sentence of what was done.
    fn done(words: &str) -> Act {
        Act { html: format!("<p>{}</p>", crate::page::plain_html(words)), done: true }
    }

    /// A sentence of why not.
    pub fn refused(words: &str) -> Act {
        Act { html: told_html(&[Told::sentence(words)]), done: false }
    }

    fn trouble(t: &Trouble) -> Act {
        let all: Vec<Told> = t.diagnostics.iter().map(|d| tell::told(d, &t.shown)).collect();
        Act { html: told_html(&all), done: false }
    }
}

/// Links to what is printed, as far as it was made.
fn paper_links(folder: &OutFolder) -> String {
    const PAPER: &[(&str, &str)] =
        &[("drilling-templates.pdf", "Drilling templates, full size"), ("packet.pdf", "Packet for the workshop")];
    let there = PAPER.iter().filter(|p| folder.files().any(|f| f.0 == p.0));
    let links: String = there.map(|(file, words)| format!("<li><a href=\"{file}\">{words} (PDF)</a></li>")).collect();
    if links.is_empty() { links } else { format!("<ul class=\"paper\" aria-label=\"To print\">{links}</ul>") }
}

impl Live {
    fn bin(&self) -> Result<PathBuf, Trouble> {
        bin_file(&self.request.job, self.request.bin.clone())
    }

    pub(super) fn other_program(&self) -> Told {
        Told {
            help: vec!["read the file again, which drops what was typed here, and type it anew".to_string()],
            ..Told::sentence(&format!("{} was changed by another program since it was read", self.file_name()))
        }
    }

    /// Take the file's text as it is now; what was typed is dropped.
    pub(super) fn read_again(&mut self) {
        if let Ok(text) = Disk.read(&self.request.job) {
            self.saved.clone_from(&text);
            self.text = text;
            self.was = self.saved_pieces();
        }
    }

    /// The same, asked for.
    pub fn reload(&mut self) -> Act {
        self.read_again();
        Act::done(&format!("{} was read again.", self.file_name()))
    }

    /// Write the job file, whole or not at all. Values that are at fault are saved
    /// too, and it is said that they are.
    pub fn save(&mut self) -> Act {
        if self.text == self.saved {
            return Act::done("Nothing differs from the file.");
        }
        if self.changed_on_disk() {
            return Act { html: told_html(&[self.other_program()]), done: false };
        }
        if let Err(e) = write_unchanged(&self.request.job, &self.saved, &self.text) {
            return Act::refused(&e.to_string());
        }
        self.saved.clone_from(&self.text);
        let before = self.was.take();
        self.was = self.saved_pieces().or(before);
        match self.trouble.as_ref().map(|t| t.diagnostics.len()) {
            None => Act::done(&format!("{} is saved.", self.file_name())),
            Some(1) => Act::done(&format!("{} is saved, with one thing in it that is at fault.", self.file_name())),
            Some(n) => Act::done(&format!("{} is saved, with {n} things in it that are at fault.", self.file_name())),
        }
    }

    /// Make every file, as the command does, in the job's output folder.
    pub fn make(&mut self) -> Act {
        if self.text != self.saved {
            return Act::refused(
                "values differ from the file: save the job first, so that paper and file say the same",
            );
        }
        let files = With { files: &Disk, path: &self.request.job, text: &self.text };
        let outcome = match run_with(&files, &self.request, Effort::NORMAL) {
            Ok(o) => o.standing(None),
            Err(t) => return Act::trouble(&t),
        };
        let bin_hash = outcome.loaded.bin_hash.clone();
        let made = make(&outcome).and_then(|m| m.folder.write(&self.out).map_err(|e| e.to_string()).map(|()| m));
        match made {
            Ok(made) => {
                let said: Vec<String> = made.told.iter().map(|t| format!("{t}.")).collect();
                let words = format!("All files are in {}. {}", self.out.display(), said.join(" "));
                let paper = paper_links(&made.folder);
                self.made = Some(MadeNow { made, text: self.text.clone(), bin_hash, booked: false });
                Act { html: format!("{}{paper}", Act::done(&words).html), done: true }
            }
            Err(e) => Act::refused(&format!("{e}; nothing was written")),
        }
    }

    /// Book the plan of the files that were made here.
    pub fn book(&mut self) -> Act {
        let bin = match self.bin() {
            Ok(bin) => bin,
            Err(t) => return Act::trouble(&t),
        };
        let Some(made) = &self.made else {
            return Act::refused("no files were made here yet: make all files first; their plan is what is booked");
        };
        if made.text != self.text {
            return Act::refused("the files were made of other values: make all files anew, and cut by them");
        }
        let plan = self.out.join("job.json");
        match book(&BookRequest { bin: bin.clone(), plan, ..BookRequest::default() }) {
            Ok(booked) => {
                self.made.iter_mut().for_each(|m| m.booked = true);
                let html = format!(
                    "<pre>{}</pre><p>The cut plan on this page is for cutting all of it once more; the last change of the bin can be taken back.</p>",
                    crate::page::plain_html(booked.text(&bin).trim_end())
                );
                Act { html, done: true }
            }
            Err(t) => Act::trouble(&t),
        }
    }

    /// Take back the last change of the bin.
    pub fn undo(&mut self) -> Act {
        match self.bin().and_then(|bin| undo(&bin)) {
            Ok(u) => Act::done(&format!("took back change {} ({}): {}", u.number, u.what, u.says)),
            Err(t) => Act::trouble(&t),
        }
    }

    /// Add an offcut to the bin.
    pub fn add(&mut self, offcut: &Offcut) -> Act {
        let bin = match self.bin() {
            Ok(bin) => bin,
            Err(t) => return Act::trouble(&t),
        };
        let line = format!("{} {}, {}", offcut.shape, offcut.size, offcut.length);
        let told = |key: &'static str, text: &str| Some((key, text.trim().to_string())).filter(|t| !t.1.is_empty());
        let usual = [told("where", &offcut.place), told("material", &offcut.material)];
        let request = AddRequest {
            bin,
            texts: vec![("the offcut".to_string(), line)],
            usual: usual.into_iter().flatten().collect(),
            skip_bad: false,
        };
        match add(&request) {
            Ok(added) => {
                let all: Vec<String> = added.offcuts.iter().map(|(id, line)| format!("{id}: {line}")).collect();
                Act::done(&format!("{}. Chalk the id on it.", all.join("; ")))
            }
            Err((t, _)) => Act::trouble(&t),
        }
    }
}
