//! A job from nothing: what it must carry, a template that fits, its answers; and
//! the folder with the job in it once that is asked for. Until then nothing is
//! written, and nothing that is typed is more than an answer.
//!
//! ```text
//!   asked --offer--> templates --questions--> boxes --trial--> what is wrong, what lacks
//!   all answered  ->  new folder, through the one door to the disk  ->  a job at work
//! ```

mod offer;
mod picture;
mod questions;
mod trial;

use super::live::Live;
use super::new::{FIRST_TITLE, new_folder};
use super::{Request, Start, templates_near, usual_out};
use crate::drawing::picture::Picture;
use crate::job::line_fault;
use crate::page::{FirstFrame, OfferCard, Told, cross_html, first_document, offers_html, questions_html, told_html};
use crate::source::{Disk, OutFolder, safe_name, toml_files};
use crate::template::Template;
use crate::units::System;
use offer::{Offer, offered, words};
use questions::{Boxes, boxes};
use rayon::prelude::*;
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use trial::{Tried, tried};

/// What the page asks for: everything as it is typed and chosen at the moment.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Asked {
    /// A word of what it must carry; [`NOT_SURE`], or empty where nothing is chosen.
    pub carries: String,
    /// The same of what it is fixed to.
    pub fixed_to: String,
    /// Name of the chosen template; empty for none.
    pub template: String,
    /// What is being built.
    pub title: String,
    /// Inches instead of millimetres.
    pub inch: bool,
    /// Name of the template that the answers are for.
    pub of: String,
    /// Answers by the name of the question; what is empty is not answered.
    pub answers: BTreeMap<String, String>,
    /// Marks of the parts of the page that the browser has.
    pub have: Vec<String>,
}

/// The choice of who does not know; everything is shown then.
pub const NOT_SURE: &str = "?";

/// A job that is not there yet.
pub struct First {
    /// Where the program was started: the new folder comes into it.
    folder: PathBuf,
    bin: Option<PathBuf>,
    out: Option<PathBuf>,
    templates: Vec<Template>,
    /// The picture of each, drawn when it is first offered.
    pictures: Vec<OnceLock<Option<Picture>>>,
    asked: Asked,
    /// What was typed for each template, should one come back to it.
    typed: BTreeMap<String, BTreeMap<String, String>>,
}

impl First {
    /// Start from nothing in a folder. `bin` and `out` are those of the command line.
    pub fn open(folder: PathBuf, bin: Option<PathBuf>, out: Option<PathBuf>) -> First {
        let templates = templates_near(&Disk, &folder, &toml_files(&folder));
        let pictures = templates.iter().map(|_| OnceLock::new()).collect();
        First { folder, bin, out, templates, pictures, asked: Asked::default(), typed: BTreeMap::new() }
    }

    /// Take what the page sent; a word or a name that is not known counts as none.
    fn take(&mut self, mut asked: Asked) {
        let words = words(&self.templates);
        let known = |word: &str, all: &[String]| word == NOT_SURE || all.iter().any(|w| w == word);
        if !known(&asked.carries, &words.carries) {
            asked.carries.clear();
        }
        if !known(&asked.fixed_to, &words.fixed_to) {
            asked.fixed_to.clear();
        }
        asked.title = asked.title.trim().to_string();
        for text in asked.answers.values_mut() {
            *text = text.trim().to_string();
        }
        asked.answers.retain(|_, text| !text.is_empty());
        if self.templates.iter().any(|t| t.name == asked.of) {
            self.typed.insert(asked.of.clone(), asked.answers.clone());
        }
        self.asked = asked;
        let there = self.offer().templates.iter().any(|t| t.name == self.asked.template);
        if !there {
            self.asked.template.clear();
        }
        if self.asked.of != self.asked.template {
            self.asked.answers = self.typed.get(&self.asked.template).cloned().unwrap_or_default();
        }
    }

    fn offer(&self) -> Offer<'_> {
        offered(&self.templates, &self.asked.carries, &self.asked.fixed_to)
    }

    fn chosen(&self) -> Option<&Template> {
        self.templates.iter().find(|t| t.name == self.asked.template && !self.asked.template.is_empty())
    }

    fn units(&self) -> System {
        if self.asked.inch { System::Inch } else { System::Metric }
    }

    fn start(&self, template: &Template) -> Start {
        Start {
            title: self.asked.title.clone(),
            inch: self.asked.inch,
            parts: vec![template.name.clone()],
            template: None,
            answers: self.asked.answers.clone().into_iter().collect(),
        }
    }

    fn title(&self) -> &str {
        if self.asked.title.is_empty() { FIRST_TITLE } else { &self.asked.title }
    }

    /// Where the new folder would be made, for a person to read.
    fn place(&self) -> String {
        let whole = std::path::absolute(self.folder.join(safe_name(self.title())));
        whole.unwrap_or_else(|_| self.folder.clone()).display().to_string()
    }

    /// The whole page.
    pub fn page(&self) -> String {
        let words = words(&self.templates);
        let frame = FirstFrame {
            carries: (&words.carries, &self.asked.carries),
            fixed_to: (&words.fixed_to, &self.asked.fixed_to),
            not_sure: NOT_SURE,
            title: &self.asked.title,
            usual_title: FIRST_TITLE,
            inch: self.asked.inch,
            offers: &self.offers(),
            questions: &self.questions(),
        };
        first_document(&frame)
    }

    /// Markup of the templates that are offered.
    fn offers(&self) -> String {
        let offer = self.offer();
        let all = self.templates.par_iter().zip(&self.pictures);
        let cards: Vec<OfferCard> = all
            .filter(|(t, _)| offer.templates.iter().any(|o| o.name == t.name))
            .map(|(t, drawn)| OfferCard {
                name: &t.name,
                says: &t.says,
                picture: drawn.get_or_init(|| picture::picture(t)).as_ref(),
                chosen: t.name == self.asked.template,
            })
            .collect();
        offers_html(&offer.says, &cards)
    }

    /// Markup of the chosen template's questions.
    fn questions(&self) -> String {
        let Some(t) = self.chosen() else { return String::new() };
        let Boxes { boxes, later } = boxes(t, self.units(), &self.asked.answers);
        questions_html(&t.name, &t.says, questions::sketch(t, self.units()).as_ref(), &boxes, &later)
    }

    /// What becomes of what is asked for: offers, boxes, faults, and what lacks.
    pub fn state(&mut self, asked: Asked) -> Value {
        self.take(asked);
        self.answer().0
    }

    /// The state, and whether all is there that a job needs.
    fn answer(&self) -> (Value, bool) {
        let (carries, fixed_to) = (&self.asked.carries, &self.asked.fixed_to);
        let offers = format!("offers {carries}|{fixed_to}");
        let questions = format!("questions {}|{}", self.asked.template, self.asked.inch);
        let block = |id: &str, key: String, html: &dyn Fn() -> String| {
            let had = self.asked.have.contains(&key);
            json!({ "id": id, "key": key, "html": if had { Value::Null } else { json!(html()) } })
        };
        let blocks = [block("offers", offers, &|| self.offers()), block("questions", questions, &|| self.questions())];
        let title_fault = line_fault(&self.asked.title).map(|f| told_html(&[Told::sentence(&f)])).unwrap_or_default();
        let mut state = json!({
            "blocks": blocks, "template": self.asked.template, "title": title_fault, "fields": [], "top": "",
            "cross": "", "status": "", "ready": false,
        });
        let Some(t) = self.chosen() else { return (state, false) };
        let Boxes { boxes, .. } = boxes(t, self.units(), &self.asked.answers);
        let Tried { top, at_boxes, failed } = tried(&self.start(t), t);
        let mut wrong = 0;
        let fields: Vec<Value> = boxes
            .iter()
            .map(|b| {
                let own: Vec<Told> = at_boxes.iter().filter(|a| a.0 == b.name).map(|a| a.1.clone()).collect();
                wrong += usize::from(!own.is_empty());
                let (less, more) = b.steps.clone().map_or((Value::Null, Value::Null), |s| (json!(s.0), json!(s.1)));
                json!({ "name": b.name, "told": told_html(&own), "wrong": !own.is_empty(), "usual": b.usual_words(),
                        "less": less, "more": more, "lacks": b.needed && b.text.is_empty() })
            })
            .collect();
        let lacks: Vec<&str> =
            boxes.iter().filter(|b| b.needed && b.text.is_empty()).map(|b| b.name.as_str()).collect();
        let at_fault = wrong + top.len() + usize::from(!title_fault.is_empty());
        let ready = lacks.is_empty() && at_fault == 0;
        state["fields"] = json!(fields);
        state["top"] = json!(told_html(&top));
        state["cross"] = json!(cross_html(&questions::cross_checks(t, self.units(), &self.asked.answers)));
        state["ready"] = json!(ready);
        state["status"] = json!(status(&lacks, at_fault, failed, &self.place()));
        (state, ready)
    }

    /// Make the folder, if all is there; the job in it at work, or the state that says
    /// why not.
    ///
    /// # Errors
    /// The state, with what is wrong in it; nothing was written then.
    pub fn begin(&mut self, asked: Asked) -> Result<Live, Value> {
        self.take(asked);
        let (mut state, ready) = self.answer();
        let refused = |state: &mut Value, words: &str| {
            state["top"] = json!(told_html(&[Told::sentence(words)]));
            Err(state.take())
        };
        let Some(t) = self.chosen().filter(|_| ready) else { return Err(state) };
        let written = new_folder(&self.start(t), &self.templates).and_then(|f: OutFolder| {
            f.write_beside(&self.folder, self.title()).map_err(|e| format!("{e}; nothing was written"))
        });
        let folder = match written {
            Ok(folder) => folder,
            Err(words) => return refused(&mut state, &words),
        };
        let job = folder.join("job.toml");
        let out = self.out.clone().unwrap_or_else(|| self.folder.join(usual_out(&job)));
        let request = Request { job, bin: self.bin.clone() };
        Live::open(request, out).map(|live| live.just_begun(&whole(&folder))).or_else(|t| {
            let said: Vec<String> = t.diagnostics.into_iter().map(|d| d.message).collect();
            refused(&mut state, &said.join("; "))
        })
    }
}

fn whole(path: &Path) -> String {
    std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf()).display().to_string()
}

/// One sentence of how far it is.
fn status(lacks: &[&str], at_fault: usize, failed: usize, place: &str) -> String {
    let things = |n: usize, one: &str, many: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {many}") };
    if !lacks.is_empty() {
        return format!("{} still to answer: {}.", things(lacks.len(), "question", "questions"), lacks.join(", "));
    }
    if at_fault > 0 {
        return format!("{} to put right above.", things(at_fault, "thing", "things"));
    }
    let look = match failed {
        0 => String::new(),
        n => format!(" {} not met with these answers: the sheet says which, and what would meet it.", {
            things(n, "check is", "checks are")
        }),
    };
    format!(
        "All is there. Nothing is written yet; the new folder will be {place}, or the next number where that is taken.{look}"
    )
}
