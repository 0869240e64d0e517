//! A folder to start from: a commented job and bin, a template skeleton, and
//! the measuring sheet to take to the vehicle.

use super::measure::measuring_sheet;
use crate::drawing::{Paper, PaperUnits, draw_measuring, draw_printer_test};
use crate::export::pdf::write_pdf;
use crate::source::{OutFolder, quoted};
use crate::template::{BUILT_IN, Template};
use crate::units::System;
use std::collections::BTreeMap;

const JOB: &str = include_str!("../../templates/jobs/starter/job.toml");
const BIN: &str = include_str!("../../templates/jobs/starter/bin.toml");
const SKELETON: &str = include_str!("../../templates/jobs/starter/skeleton.toml");

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
    let title = if start.title.is_empty() { "My first bracket" } else { &start.title };
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

/// A commented job with every question of the chosen templates.
fn job_text(start: &Start, chosen: &[&Template]) -> String {
    let (units, sizes, unit) = if start.inch { ("inch", "inch", "in") } else { ("mm", "metric", "mm") };
    let title = if start.title.is_empty() { "My first bracket" } else { &start.title };
    let mut out = format!(
        "form = 1\njob = {}\nunits = \"{units}\"                     # how bare lengths are read and results are printed\n\
         sizes = \"{sizes}\"                 # which usual sizes the templates offer\nbin = \"bin.toml\"                   # the scrap bin beside this file\n\n\
         # Readings of the measuring sheet can stand here, each once, with a name:\n[measured]\n# rail.gap = \"... {unit}\"\n",
        quoted(title)
    );
    for t in chosen {
        out += &format!(
            "\n# {}\n[[part]]\nname = {}\ntemplate = {}\nmake = 1\n",
            t.says,
            quoted(&t.name.replace('-', " ")),
            quoted(&t.name)
        );
        for (name, _, ask) in t.obj.named("ask") {
            let what = ask.word("what").unwrap_or("");
            let usual = ask.text("usual_inch").filter(|_| start.inch).or_else(|| ask.text("usual"));
            // Never an example as an answer: it could be left standing.
            let example = ask.word("example").map(|e| format!("for example {e}")).unwrap_or_default();
            let choices: Vec<String> = ask.texts("choices").iter().map(|c| c.value.clone()).collect();
            let choices = if choices.is_empty() { String::new() } else { format!(" ({})", choices.join(" | ")) };
            out += &format!("# {what}{choices}\n");
            out += &match usual {
                Some(u) => format!("# with.{name} = {}\n", quoted(&u.value)),
                None => format!("with.{name} = \"...\"               # FILL IN, {example}\n").replace(", \n", "\n"),
            };
        }
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
