//! The same sheet as it is served while measured values change: its frame, what
//! is filled into it, and the words about what was typed.
//!
//! ```text
//!   live_document  the frame with its boxes, once
//!   live_blocks    what stands in it, by id; the script puts in what differs
//!   live_scenes    bodies by the hash of their mesh; the script asks for what it lacks
//! ```

use super::first::{FIRST_SCRIPT, FIRST_STYLE};
use super::markup::{escaped, name};
use super::values::rows;
use super::{DEFS, FOOT, SCRIPT, STYLE, WebPage, blocks_of, bodies, nav, scenes_of};
use crate::drawing::Sketch;
use crate::report::Comparison;
use crate::solid::Mesh;
use serde_json::{Value, json};
use std::fmt::Write;

/// What a changing sheet does beside the still one.
const LIVE_SCRIPT: &str = include_str!("live.js");
/// How its boxes look.
const LIVE_STYLE: &str = include_str!("live.css");

/// Files that a served page asks for: name, kind, text.
pub const ASSETS: &[(&str, &str, &str)] = &[
    ("page.css", "text/css; charset=utf-8", STYLE),
    ("live.css", "text/css; charset=utf-8", LIVE_STYLE),
    ("page.js", "text/javascript; charset=utf-8", SCRIPT),
    ("live.js", "text/javascript; charset=utf-8", LIVE_SCRIPT),
    ("first.css", "text/css; charset=utf-8", FIRST_STYLE),
    ("first.js", "text/javascript; charset=utf-8", FIRST_SCRIPT),
];

/// A measured value with its box.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ValueBox {
    /// Its name.
    pub name: String,
    /// Words of its comment.
    pub says: String,
    /// As typed.
    pub text: String,
    /// One division of the tape less and more, where it can be stepped.
    pub steps: Option<(String, String)>,
}

/// A sketch with the boxes that belong to it.
#[derive(Clone, Debug, PartialEq)]
pub struct SketchBoxes {
    /// Name of the part.
    pub part: String,
    /// The sketch.
    pub sketch: Sketch,
    /// Reading on the sketch, and the measured value that answers it.
    pub boxes: Vec<(String, String)>,
}

/// Something told about what was typed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Told {
    /// What was found.
    pub message: String,
    /// Words at its place.
    pub says: String,
    /// What to do.
    pub help: Vec<String>,
    /// File and line; empty where it stands at its box.
    pub at: String,
    /// Only worth knowing.
    pub note: bool,
}

impl Told {
    /// A sentence by itself.
    pub fn sentence(words: &str) -> Told {
        Told { message: words.to_string(), ..Told::default() }
    }
}

/// Words as markup that means nothing but themselves.
pub fn plain_html(words: &str) -> String {
    escaped(words)
}

/// Several of them as markup; empty for none.
pub fn told_html(all: &[Told]) -> String {
    let mut out = String::new();
    for t in all {
        let (class, word) = if t.note { ("note", "Note: ") } else { ("fault", "") };
        let at = if t.at.is_empty() { String::new() } else { format!(" <span class=\"at\">{}</span>", escaped(&t.at)) };
        let says = if t.says.is_empty() { String::new() } else { format!(" ({})", escaped(&t.says)) };
        let _ = write!(out, "<div class=\"{class}\"><p>{word}{}{says}{at}</p>", escaped(&t.message));
        t.help.iter().for_each(|h| out += &format!("<p class=\"help\">{}</p>", escaped(h)));
        out.push_str("</div>");
    }
    out
}

/// Head of a served page: everything it needs comes from its own address.
pub(super) fn live_head(title: &str, tail: &str) -> String {
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n\
         <meta name=\"referrer\" content=\"no-referrer\">\n<link rel=\"icon\" href=\"data:,\">\n<title>{}</title>\n\
         <link rel=\"stylesheet\" href=\"page.css\">\n<link rel=\"stylesheet\" href=\"live.css\">\n{tail}</head>\n",
        escaped(title)
    )
}

/// The frame of a served sheet. `file` is the name of the job file; `begun` the folder
/// that it was just written into, empty for a job that was there.
pub fn live_document(
    title: &str,
    file: &str,
    begun: &str,
    boxes: &[ValueBox],
    sketches: &[SketchBoxes],
    shapes: &[&str],
) -> String {
    let rows = rows(boxes, sketches);
    let none = if boxes.is_empty() {
        "<p>Nothing stands under [measured] in this job: give a reading a name there, and it gets a box here.</p>\n"
    } else {
        ""
    };
    let empty = |id: &str| format!("<section id=\"{id}\"></section>\n");
    let sheet: String = [
        empty("job"),
        "<section id=\"parts\" aria-labelledby=\"parts-h\"><h2 id=\"parts-h\">Parts</h2>\n</section>\n".to_string(),
        empty("findings"),
        empty("cuts"),
        rack(shapes),
        empty("buy"),
        empty("order"),
        empty("files"),
    ]
    .concat();
    format!(
        "{}<body data-live=\"\">\n<a class=\"skip\" href=\"#measured\">Skip to the measured values</a>\n{DEFS}\
         <header><p class=\"over\">Workshop sheet, at work</p><h1>{}</h1></header>\n<nav id=\"nav\" aria-label=\"On this sheet\"></nav>\n\
         <main>\n<section id=\"measured\" aria-labelledby=\"measured-h\"><h2 id=\"measured-h\">Measured</h2>\n\
         {}<div id=\"top\"></div>\n<form id=\"values\" autocomplete=\"off\">\n{none}{rows}\
         <div class=\"save\"><button type=\"button\" data-act=\"save\">Save {}</button>\
         <button type=\"button\" data-act=\"reload\" hidden>Read the file again</button>\
         <p id=\"unsaved\"></p></div></form>\n<p id=\"told\" role=\"status\"></p>\n\
         <div id=\"against\"></div>\n</section>\n<div id=\"sheet\" aria-busy=\"true\">\n{sheet}</div>\n</main>\n{FOOT}\
         <script type=\"application/json\" id=\"bodies\">{{\"bodies\":{{}},\"scenes\":{{}}}}</script>\n</body>\n</html>\n",
        live_head(title, "<script src=\"page.js\" defer></script>\n<script src=\"live.js\" defer></script>\n"),
        name(title),
        begun_panel(begun),
        escaped(file),
    )
}

/// What comes next for a job that was just begun: paper.
fn begun_panel(folder: &str) -> String {
    if folder.is_empty() {
        return String::new();
    }
    format!(
        "<div id=\"begun\"><p><b>The job is written.</b> It lies in <bdi>{}</bdi>, with a scrap bin to change to what lies on \
         your own rack, and a measuring sheet to print.</p>\n\
         <p>Look through the findings on this sheet, then make the paper:</p>\
         <div class=\"acts\"><button type=\"button\" data-act=\"make\" data-told=\"begun-told\">Make all files to print</button></div>\
         <div id=\"begun-told\" role=\"status\"></div></div>\n",
        escaped(folder)
    )
}

/// What is done at the rack: offcuts in, files made, the plan booked.
fn rack(shapes: &[&str]) -> String {
    let options: String = shapes.iter().map(|s| format!("<option>{}</option>", escaped(s))).collect();
    let ask = |id: &str, label: &str, example: &str| {
        format!(
            "<p><label for=\"{id}\">{label}</label><input id=\"{id}\" name=\"{id}\" type=\"text\" maxlength=\"200\" \
             spellcheck=\"false\" placeholder=\"{example}\"></p>"
        )
    };
    format!(
        "<section id=\"rack\" aria-labelledby=\"rack-h\"><h2 id=\"rack-h\">Make and book</h2>\n<div class=\"acts\">\
         <button type=\"button\" data-act=\"make\">Make all files</button>\
         <button type=\"button\" data-act=\"book\">Book this plan</button>\
         <button type=\"button\" data-act=\"undo\">Take back the last change of the bin</button></div>\n\
         <p>Book when the steel is cut: what was used leaves the bin, what is worth keeping goes back under a new id. \
         What is booked is the plan of the files that were made.</p>\n<div id=\"rack-told\" role=\"status\"></div>\n\
         <h3>An offcut more</h3>\n<form id=\"offcut\" autocomplete=\"off\">\
         <p><label for=\"shape\">Shape</label><select id=\"shape\" name=\"shape\">{options}</select></p>{}{}{}{}\
         <p><button type=\"submit\">Add to the bin</button></p></form>\n<div id=\"offcut-told\" role=\"status\"></div></section>\n",
        ask("size", "Size, with the unit", "40 x 3 mm"),
        ask("length", "Sound length, plates length x width", "872 mm"),
        ask("material", "Made of, if not mild steel", ""),
        ask("where", "Where it lies", "rack A"),
    )
}

/// What the sheet is filled with, by id.
pub fn live_blocks(page: &WebPage) -> Vec<(String, String)> {
    let own = "<li><a href=\"#measured\">Measured</a></li>";
    let mut out = vec![("nav".to_string(), nav(page, own))];
    out.extend(blocks_of(page));
    out
}

/// The scenes of a sheet, and the meshes that stand in them by their key.
pub fn live_scenes<'a>(page: &'a WebPage, key: &dyn Fn(&Mesh) -> String) -> (Value, Vec<(String, &'a Mesh)>) {
    let mut meshes: Vec<(String, &Mesh)> = vec![];
    let mut all = serde_json::Map::new();
    for (id, turn, stands) in scenes_of(page) {
        let list: Vec<Value> = stands
            .iter()
            .map(|s| {
                let known = meshes.iter().find(|m| std::ptr::eq(m.1, s.mesh)).map(|m| m.0.clone());
                let body = known.unwrap_or_else(|| {
                    meshes.push((key(s.mesh), s.mesh));
                    meshes.last().map_or_else(String::new, |m| m.0.clone())
                });
                bodies::stand_json(s, json!(body))
            })
            .collect();
        all.insert(id, json!({ "turn": turn, "stands": list }));
    }
    (Value::Object(all), meshes)
}

/// A body for the script.
pub fn live_body(mesh: &Mesh) -> Value {
    bodies::body(mesh)
}

/// What a change does to pieces that are made already: what is lost first.
pub fn against_html(all: &Comparison) -> String {
    let mut out =
        "<h3>Against the saved job</h3>\n<p class=\"why\">If its pieces are made already:</p>\n<ul class=\"against\">"
            .to_string();
    let touched = all.rows.iter().filter(|r| r.word() != "stays");
    for r in touched {
        let says = r.says(all.system);
        let colon = if says.is_empty() { String::new() } else { format!(": {}", escaped(&says)) };
        let _ = write!(out, "<li><b>{}</b> {}{colon}</li>", r.word(), name(&r.key));
    }
    let stay: Vec<String> = all.rows.iter().filter(|r| r.word() == "stays").map(|r| name(&r.key)).collect();
    if !stay.is_empty() {
        let _ = write!(out, "<li><b>stays</b> {}</li>", stay.join(", "));
    }
    out.push_str("</ul>\n");
    all.sums().iter().for_each(|s| out += &format!("<p>{}</p>\n", escaped(s)));
    out
}
