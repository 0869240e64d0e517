//! A job at work: its measured values change in memory, everything is worked
//! out anew, and the file is written only when that is asked for.
//!
//! ```text
//!   text in memory --load, work_out, plan, stand--> sheet --page--> blocks by id
//!   what the browser has (hashes)  ->  only what differs goes there
//! ```

mod act;
mod keep;
mod sketches;
mod tell;

pub use act::{Act, Offcut};
pub(in crate::run) use tell::told;

use super::compare::against;
use super::page::with_page;
use super::{Made, Outcome, Request, Trouble, Worked, mend, substitutes};
use crate::cut::Effort;
use crate::diag::Diagnostic;
use crate::flat;
use crate::job::{Written, divisions, with_value, written_values};
use crate::page::{Told, ValueBox, against_html, live_blocks, live_body, live_document, live_scenes, told_html};
use crate::solid::Mesh;
use crate::source::{Disk, Files, OutFolder, With};
use crate::units::System;
use keep::{Kept, mesh_key};
use rayon::prelude::*;
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::hash::{DefaultHasher, Hasher};
use std::path::PathBuf;
use std::sync::Arc;

/// What a browser has already.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Have {
    /// Hash of each block by its id.
    pub blocks: BTreeMap<String, String>,
    /// Keys of bodies.
    pub bodies: BTreeSet<String>,
}

/// A job at work.
pub struct Live {
    request: Request,
    /// Folder that all files are made in.
    out: PathBuf,
    /// The file as it was read or saved last.
    saved: String,
    /// The text with the changes.
    text: String,
    /// The last text without a fault; the saved one before there was any.
    good: String,
    /// The pieces of the saved job; `None` where that is at fault.
    was: Option<Vec<flat::Made>>,
    kept: Kept,
    sheet: Sheet,
    /// What is wrong with the values as they are.
    trouble: Option<Trouble>,
    made: Option<MadeNow>,
    /// The folder that this job was just written into, in words; empty for a job that was there.
    begun: String,
}

/// The last sheet without a fault.
#[derive(Default)]
struct Sheet {
    blocks: Vec<(String, String, String)>,
    scenes: Value,
    meshes: BTreeMap<String, Arc<Mesh>>,
    notes: Vec<Told>,
    at_boxes: Vec<(String, Told)>,
    /// The fit has not been looked at, and the whole job not been drawn.
    pending: bool,
    /// Units of the job; none before there was a sheet.
    units: Option<System>,
}

/// Files that were made, and of what.
struct MadeNow {
    made: Made,
    text: String,
    bin_hash: String,
    /// The bin has changed by their own booking.
    booked: bool,
}

impl Live {
    /// Open a job; a fault in it is told on the page.
    ///
    /// # Errors
    /// A file that cannot be read.
    pub fn open(request: Request, out: PathBuf) -> Result<Live, Trouble> {
        let text = Disk.read(&request.job).map_err(|e| super::load::cannot_read(&request.job, &e))?;
        let mut live = Live {
            request,
            out,
            saved: text.clone(),
            good: text.clone(),
            text,
            was: None,
            kept: Kept::default(),
            sheet: Sheet::default(),
            trouble: None,
            made: None,
            begun: String::new(),
        };
        live.was = live.saved_pieces();
        Ok(live)
    }

    /// The same job, written by the page a moment ago: its page says what comes next.
    pub(in crate::run) fn just_begun(mut self, folder: &str) -> Live {
        self.begun = folder.to_string();
        self
    }

    fn saved_pieces(&self) -> Option<Vec<flat::Made>> {
        let files = With { files: &Disk, path: &self.request.job, text: &self.saved };
        let loaded = super::load(&files, &self.request).ok()?;
        let worked = super::work_out(&loaded).ok()?;
        Some(worked.flats.iter().map(flat::Made::of).collect())
    }

    /// The frame of the page.
    pub fn page(&self) -> String {
        let values = written_values(&self.text);
        let units = self.units();
        let boxes: Vec<ValueBox> = values.into_iter().map(|w| value_box(w, units)).collect();
        let files = With { files: &Disk, path: &self.request.job, text: &self.text };
        let loaded = super::load(&files, &self.request);
        let sketches = loaded.map_or_else(|_| vec![], |l| sketches::sketches(&l.job, &l.templates, &self.text));
        live_document(&self.title(), &self.file_name(), &self.begun, &boxes, &sketches, crate::handbook::SHAPES)
    }

    fn title(&self) -> String {
        let (job, _) = self.read();
        if job.name.is_empty() { self.file_name() } else { job.name }
    }

    fn file_name(&self) -> String {
        self.request.job.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned())
    }

    fn read(&self) -> (crate::job::Job, Vec<Diagnostic>) {
        let mut out = vec![];
        let mut sources = crate::source::SourceMap::default();
        let file = sources.add("job", &self.text);
        (crate::job::read_job(file, sources.text(file).to_string().as_str(), &mut out), out)
    }

    /// The job's own units; what was worked out knows them, anything else is read for them.
    fn units(&self) -> System {
        match self.sheet.units {
            Some(units) if self.trouble.is_none() && self.good == self.text => units,
            _ => self.read().0.units,
        }
    }

    /// A file that was made, by its name.
    pub fn file(&self, name: &str) -> Option<Vec<u8>> {
        let made = self.made.as_ref()?;
        made.made.folder.files().find(|f| f.0 == name).map(|f| f.1.clone())
    }

    /// Everything as it stands, with the fit and the drawing of the whole job; with
    /// `Effort::NORMAL` the plan is the one that files are made of.
    pub fn state(&mut self, have: &Have, effort: Effort) -> Value {
        self.look_at_disk();
        self.work(effort, true);
        self.answer(have)
    }

    /// Another text for a measured value. The quick answer: parts, plan, checks and
    /// bodies; the fit of the bodies and the drawing of the whole job come with the
    /// next `state`, and until then the answer says that they are pending.
    ///
    /// # Errors
    /// A sentence, where there is no such value or the text cannot be one at all.
    pub fn change(&mut self, name: &str, value: &str, have: &Have) -> Result<Value, String> {
        self.look_at_disk();
        self.text = with_value(&self.text, name, value)?;
        self.work(Effort::QUICK, false);
        Ok(self.answer(have))
    }

    /// Without changes of our own, the file's newest text is the one that counts.
    fn look_at_disk(&mut self) {
        if self.text == self.saved && self.changed_on_disk() {
            self.read_again();
        }
    }

    fn changed_on_disk(&self) -> bool {
        Disk.read(&self.request.job).is_ok_and(|t| t != self.saved)
    }

    /// Work everything out; a fault leaves the last sheet.
    fn work(&mut self, effort: Effort, whole: bool) {
        let outcome = self.worked_out(effort);
        self.trouble = match outcome {
            Ok((outcome, compared)) => {
                self.fill(outcome, compared, whole);
                self.good.clone_from(&self.text);
                None
            }
            Err(t) => Some(t),
        };
    }

    /// The pipeline, and what the change does to pieces of the saved job.
    fn worked_out(&self, effort: Effort) -> Result<(Outcome, Option<String>), Trouble> {
        let files = With { files: &Disk, path: &self.request.job, text: &self.text };
        let loaded = super::load(&files, &self.request)?;
        let worked = super::work_out(&loaded)?;
        let was = self.was.as_ref().filter(|_| self.text != self.saved);
        let plan = |worked: Worked| {
            let (mut worked, plan) = substitutes::with_substitutes(&loaded, worked, effort);
            mend::mend(&loaded, &mut worked);
            (worked, plan)
        };
        let copy = worked.clone();
        let ((worked, plan), compared) =
            rayon::join(|| plan(copy), || was.map(|was| against_html(&against(was, &loaded, &worked, Effort::QUICK))));
        Ok((Outcome { loaded, worked, plan, stood: None }, compared))
    }

    /// The sheet of an outcome.
    fn fill(&mut self, outcome: Outcome, compared: Option<String>, whole: bool) {
        let outcome = self.kept.standing(outcome, whole);
        let Some(stood) = &outcome.stood else { return };
        let scenes = self.kept.scenes(&outcome.worked.pieces, stood, whole);
        let nothing = Made { folder: OutFolder::default(), listed: vec![], told: vec![] };
        let of_this = |m: &&MadeNow| m.text == self.text && (m.booked || m.bin_hash == outcome.loaded.bin_hash);
        let current = self.made.as_ref().filter(of_this);
        let made = current.map_or(&nothing, |m| &m.made);
        let key = |m: &Mesh| format!("b{:016x}", mesh_key(m));
        let (blocks, scenes, keys) = with_page(&outcome, &scenes, made, |page| {
            let (scenes, meshes) = live_scenes(page, &key);
            let keys: Vec<(*const Mesh, String)> =
                meshes.into_iter().map(|(k, m)| (std::ptr::from_ref(m), k)).collect();
            (live_blocks(page), scenes, keys)
        });
        let stands = stood.parts.iter().flat_map(|(_, a)| &a.stands).chain(&stood.job.stands);
        let mut meshes = BTreeMap::new();
        for s in stands {
            if let Some((_, key)) = keys.iter().find(|k| std::ptr::eq(k.0, Arc::as_ptr(&s.mesh))) {
                meshes.entry(key.clone()).or_insert_with(|| Arc::clone(&s.mesh));
            }
        }
        let (notes, at_boxes) = tell::notes(&outcome, &written_values(&self.text));
        let mut blocks: Vec<(String, String, String)> =
            blocks.into_iter().map(|(id, html)| (id, hash_of(&html), html)).collect();
        let compared = compared.unwrap_or_else(|| self.nothing_to_compare().to_string());
        blocks.push(("against".into(), hash_of(&compared), format!("<div id=\"against\">{compared}</div>")));
        let units = Some(outcome.loaded.job.units);
        self.sheet = Sheet { blocks, scenes, meshes, notes, at_boxes, pending: !whole, units };
    }

    fn nothing_to_compare(&self) -> &'static str {
        if self.was.is_some() {
            ""
        } else {
            "<p class=\"why\">The saved job is at fault; there are no pieces of it to hold this against.</p>"
        }
    }

    /// What a browser needs that has so much.
    fn answer(&self, have: &Have) -> Value {
        let values = written_values(&self.text);
        let changed = differing(&values, &written_values(&self.saved));
        let units = self.units();
        let told = match &self.trouble {
            Some(t) => tell::faults(t, &values, &differing(&values, &written_values(&self.good))),
            None => (self.sheet.notes.clone(), self.sheet.at_boxes.clone()),
        };
        let (mut top, at_boxes) = told;
        if self.changed_on_disk() {
            top.insert(0, self.other_program());
        }
        let fields: Vec<Value> = values
            .into_iter()
            .map(|w| {
                let own: Vec<Told> = at_boxes.iter().filter(|b| b.0 == w.name).map(|b| b.1.clone()).collect();
                let wrong = own.iter().any(|t| !t.note);
                let changed = changed.contains(&w.name);
                let b = value_box(w, units);
                let (less, more) = b.steps.map_or((Value::Null, Value::Null), |s| (json!(s.0), json!(s.1)));
                json!({ "name": b.name, "text": b.text, "less": less, "more": more, "told": told_html(&own),
                        "wrong": wrong, "changed": changed })
            })
            .collect();
        let block = |(id, hash, html): &(String, String, String)| match have.blocks.get(id) == Some(hash) {
            true => json!({ "id": id, "hash": hash }),
            false => json!({ "id": id, "hash": hash, "html": html }),
        };
        let lacks: Vec<(&String, &Arc<Mesh>)> =
            self.sheet.meshes.iter().filter(|m| !have.bodies.contains(m.0)).collect();
        let bodies: BTreeMap<&String, Value> = lacks.into_par_iter().map(|(k, m)| (k, live_body(m))).collect();
        json!({
            "fields": fields, "top": told_html(&top), "stale": self.trouble.is_some(), "pending": self.sheet.pending,
            "unsaved": self.text != self.saved, "elsewhere": self.changed_on_disk(),
            "blocks": self.sheet.blocks.iter().map(block).collect::<Vec<_>>(),
            "scenes": self.sheet.scenes, "bodies": bodies,
        })
    }
}

fn value_box(w: Written, units: System) -> ValueBox {
    ValueBox { steps: divisions(&w.text, units), name: w.name, says: w.comment, text: w.text }
}

/// Names of the values that are written otherwise.
fn differing(now: &[Written], before: &[Written]) -> Vec<String> {
    let same = |w: &&Written| before.iter().all(|b| b.name != w.name || b.text != w.text);
    now.iter().filter(same).map(|w| w.name.clone()).collect()
}

fn hash_of(html: &str) -> String {
    let mut h = DefaultHasher::new();
    h.write(html.as_bytes());
    format!("{:016x}", h.finish())
}
