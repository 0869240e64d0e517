//! From the job file as written to the job as meant; every fault is collected.

use super::as_made::{AsMade, as_made};
use super::fields::{CUT, JOB, MOST};
use super::layouts::{Layouts, layouts};
use super::rework::{self, PaperChoice, Printer, Rework};
use crate::diag::{Diagnostic, FileId, Severity};
use crate::expr::{Definition, Faint, Scope, solve, unused};
use crate::handbook::{self, Accept, bend::KMethod, load_case::LoadCase};
use crate::source::{Obj, Text, check_form, read_toml};
use crate::space::Frame;
use crate::units::{Angle, Length, System};
use std::collections::BTreeMap;
use std::ops::Range;

/// Name, place of the name, text of an answer.
pub type Given = (String, Range<usize>, Text);

/// A copy of a part with answers of its own.
#[derive(Clone, Debug)]
pub struct Copy {
    /// Its own name, or `None` for the next letter.
    pub name: Option<String>,
    /// Its answers.
    pub given: Vec<Given>,
    /// `left` or `right`, if told.
    pub hand: Option<String>,
    /// Where it stands on the vehicle, if told.
    pub places: Vec<Frame>,
    /// Place in the job.
    pub span: Range<usize>,
}

/// A part that the job asks for.
#[derive(Clone, Debug)]
pub struct Part {
    /// Name.
    pub name: String,
    /// Name of its template, with its place.
    pub template: Text,
    /// How many.
    pub make: u32,
    /// `left` or `right`, if told.
    pub hand: Option<String>,
    /// Answers.
    pub given: Vec<Given>,
    /// Copies with answers of their own.
    pub copies: Vec<Copy>,
    /// Where it stands on the vehicle, one place for each that is made.
    pub places: Vec<Frame>,
    /// What may stand in for its stock.
    pub accept: Vec<Accept>,
    /// What is known of its steel.
    pub steel: String,
    /// Refusals that are overruled: code and reason.
    pub overrules: Vec<(Text, Text)>,
    /// Place in the job.
    pub span: Range<usize>,
}

/// A length of bar without a template.
#[derive(Clone, Debug)]
pub struct PlainCut {
    /// Name.
    pub name: String,
    /// Shape of stock.
    pub shape: String,
    /// Nominal sizes.
    pub size: Vec<Length>,
    /// Canonical material.
    pub material: String,
    /// Long point to long point.
    pub length: Length,
    /// 90 deg is square.
    pub left_end: Angle,
    /// 90 deg is square.
    pub right_end: Angle,
    /// How many.
    pub make: u32,
    /// What may stand in for its stock.
    pub accept: Vec<Accept>,
    /// Place in the job.
    pub span: Range<usize>,
}

/// A rectangle of plate without a template.
#[derive(Clone, Debug)]
pub struct Blank {
    /// Name.
    pub name: String,
    /// Thickness.
    pub thickness: Length,
    /// Canonical material.
    pub material: String,
    /// Along x.
    pub length: Length,
    /// Along y.
    pub width: Length,
    /// How many.
    pub make: u32,
    /// What may stand in for its stock.
    pub accept: Vec<Accept>,
    /// The rolling direction has to run along its length.
    pub grain: bool,
    /// Place in the job.
    pub span: Range<usize>,
}

/// A job as meant.
#[derive(Clone, Debug)]
pub struct Job {
    /// Its file.
    pub file: FileId,
    /// Its name.
    pub name: String,
    /// Whose workshop.
    pub by: String,
    /// Units that are printed.
    pub units: System,
    /// Usual sizes that templates offer.
    pub sizes: System,
    /// The bin's path, from the job's folder.
    pub bin: Option<Text>,
    /// What is in the printer.
    pub paper: PaperChoice,
    /// What a cutting machine takes; the SVG's lines are moved by half of it.
    pub cutter_kerf: Length,
    /// Long pieces: only their ends, holes and bends are drawn.
    pub long_ends: bool,
    /// What the printer makes of the check bars.
    pub printer: Option<Printer>,
    /// Work on things that are there already.
    pub reworks: Vec<Rework>,
    /// The job's own bend allowance.
    pub bending: Option<KMethod>,
    /// Measured values.
    pub measured: Scope,
    /// What the parts have to hold.
    pub loads: Vec<LoadCase>,
    /// Tank mounts, pedals, steering runs.
    pub layouts: Layouts,
    /// Pieces that came out otherwise.
    pub as_made: Vec<AsMade>,
    /// Parts from templates.
    pub parts: Vec<Part>,
    /// Plain cuts.
    pub cuts: Vec<PlainCut>,
    /// Plain blanks.
    pub blanks: Vec<Blank>,
    /// What is there already on the vehicle.
    pub faint: Vec<Faint>,
}

/// Read a job. Faults go to `out`; what is right is returned all the same.
pub fn read_job(file: FileId, text: &str, out: &mut Vec<Diagnostic>) -> Job {
    let obj = read_toml(file, text, &JOB, out);
    check_form(&obj, file, out);
    let units = if obj.word("units") == Some("inch") { System::Inch } else { System::Metric };
    let sizes = match obj.word("sizes") {
        Some("inch") => System::Inch,
        Some(_) => System::Metric,
        None => units,
    };
    let mut measured = measured_values(&obj, units, out);
    let mut layouts = layouts(&obj, file, &mut measured, out);
    let loads = std::mem::take(&mut layouts.loads);
    let mut lower = Lower { file, measured: &measured, out };
    let bending = obj.obj("bending").and_then(|b| lower.bending(b));
    let parts: Vec<Part> = obj.list("part").iter().filter_map(|p| lower.part(p)).collect();
    let cuts = obj.list("cut").iter().filter_map(|c| lower.cut(c)).collect();
    let blanks = obj.list("blank").iter().filter_map(|b| lower.blank(b)).collect();
    let faint = lower.faint(&obj);
    let reworks = rework::reworks(&obj, &measured, lower.out);
    let as_made = as_made(&obj, &measured, lower.out);
    let printer = obj.obj("printer").and_then(|p| rework::printer(p, &measured, units, lower.out));
    let cutter_kerf = measured.field(&obj, "cutter_kerf", lower.out).map_or(Length::ZERO, Length::mm);
    let paper = rework::paper(&obj, &measured, units, lower.out);
    let mut lower = Lower { file, measured: &measured, out };
    lower.names_differ(&obj);
    if ["part", "cut", "blank", "rework", "steering", "tank", "pedal"].iter().all(|k| obj.list(k).is_empty())
        && lower.out.is_empty()
    {
        let d = Diagnostic::error("empty-job", "this job asks for nothing", file, 0..0);
        lower.out.push(d.help("add a [[part]], a [[cut]], a [[blank]] or a [[rework]]"));
    }
    if out.iter().all(|d| d.severity != Severity::Error) {
        let mut texts: Vec<&Text> = vec![];
        obj.each_text(&mut |_, t| texts.push(t));
        let names = obj.values("measured").iter().map(|(n, span, _)| (n.as_str(), span.clone()));
        out.extend(unused(file, names, texts.into_iter(), "is measured"));
    }
    Job {
        file,
        name: obj.word("job").unwrap_or("").to_string(),
        by: obj.word("by").unwrap_or("").to_string(),
        units,
        sizes,
        bin: obj.text("bin").cloned(),
        paper,
        cutter_kerf,
        long_ends: obj.word("long_pieces") == Some("ends"),
        printer,
        reworks,
        bending,
        loads,
        layouts,
        as_made,
        parts,
        cuts,
        blanks,
        faint,
        measured,
    }
}

/// The measured values, worked out.
fn measured_values(obj: &Obj, units: System, out: &mut Vec<Diagnostic>) -> Scope {
    let mut measured = Scope::default();
    let definition =
        |(name, _, text): &(String, _, Text)| Definition { name: name.clone(), text: text.clone(), want: None };
    let definitions: Vec<Definition> = obj.values("measured").iter().map(definition).collect();
    solve(&mut measured, &definitions, out);
    measured.bare = Some(units);
    measured
}

/// Fewest letters of a reason.
const LEAST_REASON: usize = 15;

struct Lower<'a> {
    file: FileId,
    measured: &'a Scope,
    out: &'a mut Vec<Diagnostic>,
}

fn given(obj: &Obj) -> Vec<Given> {
    obj.values("with").to_vec()
}

/// What may stand in for the stock that is asked for.
fn accept(obj: &Obj, out: &mut Vec<Diagnostic>) -> Vec<Accept> {
    obj.texts("accept").iter().filter_map(|t| Accept::read(t, out)).collect()
}

impl Lower<'_> {
    fn bending(&mut self, obj: &Obj) -> Option<KMethod> {
        if obj.text("k").is_some() {
            return self.measured.field(obj, "k", self.out).map(KMethod::Own);
        }
        obj.word("method").map(|m| if m == "DIN 6935" { KMethod::Din6935 } else { KMethod::MachinerysHandbook })
    }

    fn make(&mut self, obj: &Obj) -> Option<u32> {
        obj.text("make").map_or(Some(1), |t| self.measured.count(t, MOST as u32, self.out))
    }

    fn part(&mut self, obj: &Obj) -> Option<Part> {
        let make = self.make(obj);
        let copies: Vec<Copy> = obj
            .list("copy")
            .iter()
            .map(|c| Copy {
                name: c.word("name").map(str::to_string),
                given: given(c),
                hand: c.word("hand").map(str::to_string),
                places: self.places(c, 1),
                span: c.span.clone(),
            })
            .collect();
        if let (false, Some(text)) = (copies.is_empty(), obj.text("make")) {
            let d = Diagnostic::error(
                "make-and-copies",
                "this part has `make` and copies of its own",
                self.file,
                text.span.clone(),
            );
            self.out.push(d.help("leave `make` out: each [[part.copy]] is made once"));
        }
        let places = self.places(obj, if copies.is_empty() { make.unwrap_or(1) } else { 0 });
        Some(Part {
            name: obj.word("name")?.to_string(),
            template: obj.text("template")?.clone(),
            make: make?,
            hand: obj.word("hand").map(str::to_string),
            given: given(obj),
            copies,
            places,
            accept: accept(obj, self.out),
            steel: obj.word("steel").unwrap_or("known").to_string(),
            overrules: self.overrules(obj),
            span: obj.span.clone(),
        })
    }

    /// A reason is a sentence, not a word.
    fn overrules(&mut self, obj: &Obj) -> Vec<(Text, Text)> {
        let mut out = vec![];
        for o in obj.list("overrule") {
            let (Some(code), Some(reason)) = (o.text("code"), o.text("reason")) else { continue };
            if reason.value.trim().chars().count() < LEAST_REASON {
                let message = "a refusal is overruled with a reason in a sentence".to_string();
                let d = Diagnostic::error("overrule", message, self.file, reason.span.clone());
                self.out.push(d.help("write who looked at it, and why it will hold"));
            } else {
                out.push((code.clone(), reason.clone()));
            }
        }
        out
    }

    /// What is there already on the vehicle.
    fn faint(&mut self, obj: &Obj) -> Vec<Faint> {
        let mut out = vec![];
        for f in obj.list("faint") {
            let places = self.measured.frames(f, self.out);
            if !places.is_empty() {
                out.extend(Faint::read(f, places, self.measured, self.out));
            }
        }
        out
    }

    /// Where a part stands; no more places than are made.
    fn places(&mut self, obj: &Obj, most: u32) -> Vec<Frame> {
        let list = obj.list("place");
        let frames: Vec<Frame> = list.iter().flat_map(|p| self.measured.frames(p, self.out)).collect();
        if frames.len() > most as usize {
            let message = format!("{} places are given, {most} can be filled here", frames.len());
            let d = Diagnostic::error("too-many-places", message, self.file, list[list.len() - 1].span.clone());
            self.out.push(
                d.help("a part has as many places as `make` says; a copy has one, in its own [[part.copy.place]]"),
            );
        }
        frames
    }

    /// Shape, sizes and material of the steel.
    fn steel(&mut self, obj: &Obj, shape: &str) -> Option<(Vec<Length>, String)> {
        let material = match obj.text("material") {
            Some(text) => handbook::material_of(text, self.out),
            None => handbook::material::find("mild steel"),
        };
        let name = material.map_or("mild steel", |m| m.name);
        let size = handbook::size_of(obj.text("size")?, shape, name, self.out)?;
        Some((size, material?.name.to_string()))
    }

    fn length(&mut self, obj: &Obj, key: &str) -> Option<Length> {
        self.measured.field(obj, key, self.out).map(Length::mm)
    }

    fn end(&mut self, obj: &Obj, key: &str) -> Option<Angle> {
        self.measured.field_or_usual(CUT, obj, key, self.out).map(Angle::degrees)
    }

    fn cut(&mut self, obj: &Obj) -> Option<PlainCut> {
        let steel = self.steel(obj, obj.word("shape").unwrap_or(""));
        let length = self.length(obj, "length");
        let left_end = self.end(obj, "left_end");
        let right_end = self.end(obj, "right_end");
        let make = self.make(obj);
        let (size, material) = steel?;
        Some(PlainCut {
            name: obj.word("name")?.to_string(),
            shape: obj.word("shape")?.to_string(),
            size,
            material,
            length: length?,
            left_end: left_end?,
            right_end: right_end?,
            make: make?,
            accept: accept(obj, self.out),
            span: obj.span.clone(),
        })
    }

    fn blank(&mut self, obj: &Obj) -> Option<Blank> {
        let steel = self.steel(obj, "plate");
        let (length, width) = (self.length(obj, "length"), self.length(obj, "width"));
        let make = self.make(obj);
        let (size, material) = steel?;
        Some(Blank {
            name: obj.word("name")?.to_string(),
            thickness: *size.first()?,
            material,
            length: length?,
            width: width?,
            make: make?,
            accept: accept(obj, self.out),
            grain: obj.word("grain") == Some("along"),
            span: obj.span.clone(),
        })
    }

    /// Two things of one name would be one in every list and file.
    fn names_differ(&mut self, obj: &Obj) {
        let mut seen: BTreeMap<String, Range<usize>> = BTreeMap::new();
        for key in ["part", "cut", "blank", "rework"] {
            for o in obj.list(key) {
                let Some(name) = o.text("name") else { continue };
                let plain = crate::source::safe_name(&name.value);
                if let Some(before) = seen.get(&plain) {
                    let message = format!("two things in this job are called \"{}\"", name.value);
                    let d = Diagnostic::error("same-name", message, self.file, name.span.clone());
                    self.out.push(d.help("give each its own name; capitals and marks do not count").also(
                        self.file,
                        before.clone(),
                        "the first one",
                    ));
                } else {
                    seen.insert(plain, name.span.clone());
                }
            }
        }
    }
}
