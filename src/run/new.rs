//! A folder to start from: a commented job and bin, a template skeleton, and
//! the measuring sheet to take to the vehicle.

use super::measure::measuring_sheet;
use crate::drawing::{Paper, PaperUnits, draw_measuring, draw_printer_test};
use crate::export::pdf::write_pdf;
use crate::source::{Obj, OutFolder, quoted};
use crate::template::{BUILT_IN, Template};
use crate::units::{System, parse_length};
use std::collections::BTreeMap;

const JOB: &str = include_str!("../../templates/jobs/starter/job.toml");
const BIN: &str = include_str!("../../templates/jobs/starter/bin.toml");
const SKELETON: &str = include_str!("../../templates/jobs/starter/skeleton.toml");

/// What a job is called whose builder gave no name.
pub(super) const FIRST_TITLE: &str = "My first bracket";

/// What a new folder shall hold.
#[derive(Clone, Debug, Default)]
pub struct Start {
    /// What is being built; empty for the starter job.
    pub title: String,
    /// Units of the tape.
    pub inch: bool,
    /// Names of the templates; empty for the starter job.
    pub parts: Vec<String>,
    /// A template to start: of this name.
    pub template: Option<String>,
    /// Answers for the first of the parts, by the name of the question.
    pub answers: Vec<(String, String)>,
}

/// The files of a new job folder.
///
/// # Errors
/// A sentence: a template that is not there, or a name that cannot be one.
pub fn new_folder(start: &Start, templates: &[Template]) -> Result<OutFolder, String> {
    let mut folder = OutFolder::default();
    if let Some(name) = &start.template {
        folder.add(&format!("{name}.toml"), skeleton(name)?.into_bytes())?;
        return Ok(folder);
    }
    let mut chosen = vec![];
    for name in &start.parts {
        let found = templates.iter().find(|t| t.name == *name);
        chosen.push(found.ok_or_else(|| format!("there is no template {name}; droprack parts lists them"))?);
    }
    let job = if start.parts.is_empty() && start.title.is_empty() && !start.inch {
        JOB.to_string()
    } else {
        job_text(start, &chosen)
    };
    if chosen.is_empty() {
        chosen = templates.iter().filter(|t| t.name == "bearing-plate").collect();
    }
    let system = if start.inch { System::Inch } else { System::Metric };
    let paper = if start.inch { Paper::Letter } else { Paper::A4 };
    let sheets: Vec<_> = chosen.iter().map(|t| measuring_sheet(t, system)).collect();
    let title = if start.title.is_empty() { FIRST_TITLE } else { &start.title };
    let pdf = write_pdf("Measuring sheet", &draw_measuring(&sheets, title, paper), &[])?;
    folder.add("job.toml", job.into_bytes())?;
    folder.add("bin.toml", if start.inch { inch_bin() } else { BIN.to_string() }.into_bytes())?;
    folder.add("measuring-sheet.pdf", pdf.bytes)?;
    // One's own templates come along, those that they use too: a job looks for them beside itself.
    let with_used = chosen.iter().flat_map(|t| [vec![*t], t.all_used()].concat());
    let own: BTreeMap<&str, &str> = with_used
        .filter(|t| BUILT_IN.iter().all(|b| b.0 != t.name || b.1 != t.text))
        .map(|t| (t.name.as_str(), t.text.as_str()))
        .collect();
    for (name, text) in own {
        folder.add(&format!("{name}.toml"), text.as_bytes().to_vec())?;
    }
    Ok(folder)
}

/// A template to start from: the skeleton, or a built-in one under its own name to be changed.
fn skeleton(name: &str) -> Result<String, String> {
    if let Some((_, text)) = BUILT_IN.iter().find(|t| t.0 == name) {
        return Ok((*text).to_string());
    }
    if crate::source::safe_name(name) != name || name.is_empty() || ["job", "bin"].contains(&name) {
        return Err(format!("\"{name}\" cannot be a template's name: use small letters, digits and dashes"));
    }
    Ok(SKELETON.replace("NAME", name))
}

/// A commented job with every question of the chosen templates. What is told of the
/// first part stands in it: readings once, under `[measured]`, and taken by name.
pub(super) fn job_text(start: &Start, chosen: &[&Template]) -> String {
    let (units, sizes, unit) = if start.inch { ("inch", "inch", "in") } else { ("mm", "metric", "mm") };
    let title = if start.title.is_empty() { FIRST_TITLE } else { &start.title };
    let mut out = format!(
        "form = 1\njob = {}\nunits = \"{units}\"                     # how bare lengths are read and results are printed\n\
         sizes = \"{sizes}\"                 # which usual sizes the templates offer\nbin = \"bin.toml\"                   # the scrap bin beside this file\n\n",
        quoted(title)
    );
    out += &match chosen.first().map_or_else(String::new, |t| readings(start, t)) {
        none if none.is_empty() => format!(
            "# Readings of the measuring sheet can stand here, each once, with a name:\n[measured]\n# rail.gap = \"... {unit}\"\n"
        ),
        some => format!("# What was measured, each once, with a name:\n[measured]\n{some}"),
    };
    for (i, t) in chosen.iter().enumerate() {
        out += &format!(
            "\n# {}\n[[part]]\nname = {}\ntemplate = {}\nmake = 1\n",
            one_line(&t.says),
            quoted(&part_name(t)),
            quoted(&t.name)
        );
        let told = if i == 0 { start.answers.as_slice() } else { &[] };
        t.obj.named("ask").iter().for_each(|(name, _, ask)| out += &question(start, t, name, ask, told));
    }
    if chosen.is_empty() {
        out += "\n[[cut]]                            # a plain length of bar\nname = \"brace\"\nshape = \"flat bar\"\n";
        out += if start.inch {
            "size = \"1 x 1/8 in\"\nlength = \"12 in\"\n"
        } else {
            "size = \"25 x 3 mm\"\nlength = \"300 mm\"\n"
        };
    }
    out
}

/// What a part of a new job is called.
pub(super) fn part_name(t: &Template) -> String {
    t.name.replace('-', " ")
}

/// Whether a question is answered with the tape at the vehicle, once for all.
pub(super) fn is_reading(ask: &Obj) -> bool {
    let on_tape = !ask.texts("tape").is_empty() || ask.text("usual").is_none();
    on_tape && matches!(ask.word("kind"), Some("length" | "angle"))
}

/// What a reading is called in the job: `strap.width` of a tank strap.
pub(super) fn reading_name(t: &Template, ask: &str) -> String {
    let last = t.name.rsplit('-').next().unwrap_or("");
    let group = if last.starts_with(|c: char| c.is_ascii_lowercase()) { last } else { "part" };
    format!("{group}.{ask}")
}

/// Lines of `[measured]` for the readings that are told.
fn readings(start: &Start, t: &Template) -> String {
    let mut out = String::new();
    let system = if start.inch { System::Inch } else { System::Metric };
    for (name, _, ask) in t.obj.named("ask").iter().filter(|a| is_reading(&a.2)) {
        if let Some((_, text)) = start.answers.iter().find(|a| a.0 == *name) {
            // Formulas of measured values read no bare lengths: the unit is written out.
            let bare = parse_length(text, None).is_err() && parse_length(text, Some(system)).is_ok();
            let unit = if start.inch { " in" } else { " mm" };
            let text = if bare && ask.word("kind") == Some("length") { format!("{text}{unit}") } else { text.clone() };
            let what = one_line(ask.word("what").unwrap_or(""));
            out += &format!("{} = {}   # {what}\n", reading_name(t, name), quoted(&text));
        }
    }
    out
}

/// The lines of one question: answered, or as a comment to be filled in.
fn question(start: &Start, t: &Template, name: &str, ask: &Obj, told: &[(String, String)]) -> String {
    let what = one_line(ask.word("what").unwrap_or(""));
    let choices: Vec<String> = ask.texts("choices").iter().map(|c| one_line(&c.value)).collect();
    let choices = if choices.is_empty() { String::new() } else { format!(" ({})", choices.join(" | ")) };
    let line = match told.iter().find(|a| a.0 == name) {
        Some(_) if is_reading(ask) => format!("with.{name} = {}\n", quoted(&reading_name(t, name))),
        Some((_, text)) => format!("with.{name} = {}\n", quoted(text)),
        None => match ask.text("usual_inch").filter(|_| start.inch).or_else(|| ask.text("usual")) {
            Some(u) => format!("# with.{name} = {}\n", quoted(&u.value)),
            None => {
                // Never an example as an answer: it could be left standing.
                let example = ask.word("example").map(|e| format!("for example {}", one_line(e))).unwrap_or_default();
                format!("with.{name} = \"...\"               # FILL IN, {example}\n").replace(", \n", "\n")
            }
        },
    };
    format!("# {what}{choices}\n{line}")
}

/// Words that stay in the comment they stand in.
fn one_line(words: &str) -> String {
    words.replace(|c: char| c.is_control(), " ")
}

/// The starter's bin with inch sizes.
fn inch_bin() -> String {
    let head = "# The scrap bin: change the numbers to what lies on your own rack.\n";
    format!(
        "{head}[saw]\nkerf = \"3/32 in\"                   # what one cut eats\ntrim = \"1/8 in\"                    # squared off each raw end\n\
         keep = \"8 in\"                      # a remainder at least this long goes back\n\n[[offcut]]\nid = \"F-01\"\nshape = \"flat bar\"\n\
         size = \"1 x 1/8 in\"\nlength = \"23-1/2 in\"\n\n[[buy]]\nshape = \"flat bar\"\nsize = \"1 x 1/8 in\"\nlength = \"6 ft\"\nprice = 9.00\n"
    )
}

/// The printer test as a PDF.
///
/// # Errors
/// A sentence, should the page not be writable (our own fault).
pub fn printer_test(letter: bool) -> Result<Vec<u8>, String> {
    let (paper, units) = if letter { (Paper::Letter, PaperUnits::Inch) } else { (Paper::A4, PaperUnits::Metric) };
    write_pdf("Printer test", &[draw_printer_test(paper, units)], &[]).map(|pdf| pdf.bytes)
}
