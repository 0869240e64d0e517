//! A finished job as one HTML text: it opens from the disk, asks nobody for
//! anything, and works by keyboard, on a phone and on paper.
//!
//! ```text
//!   documents, flat patterns, saw list, plates  -> markup and drawings
//!   meshes and frames                           -> one block of data
//!   page.css, page.js                           -> as they are, known by their hashes
//! ```
//!
//! Nothing that a person wrote reaches the page but through `markup::escaped`;
//! and no script runs on it but the one whose hash stands in its head.

mod bench;
mod blocks;
mod bodies;
mod cuts;
mod first;
mod flat;
mod live;
mod markup;
mod sketch;
mod values;

pub use bench::BENCH_ROOM;
pub use first::{CrossCheck, FirstBox, FirstFrame, OfferCard, cross_html, first_document, offers_html, questions_html};
pub use live::{
    ASSETS, SketchBoxes, Told, ValueBox, against_html, live_blocks, live_body, live_document, live_scenes, plain_html,
    told_html,
};
pub use sketch::SKETCH_ROOM;

use crate::checks::{Finding, Verdict};
use crate::drawing::picture::{Look, Picture, Standing};
use crate::drawing::{Block, SawBar, SheetPicture};
use crate::export::picture::{Shot, write_picture_svg};
use crate::flat::FlatPattern;
use crate::report::findings_blocks;
use crate::units::System;
use markup::{base64, escaped, name};
use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::fmt::Write;

/// How the page looks.
const STYLE: &str = include_str!("page.css");
/// What the page does.
const SCRIPT: &str = include_str!("page.js");

/// Bodies to turn about, and how they are drawn where they are not turned.
#[derive(Clone, Debug)]
pub struct Scene<'a> {
    /// Their lines.
    pub picture: Option<&'a Picture>,
    /// From where the picture is seen.
    pub look: Look,
    /// The bodies.
    pub stands: Vec<Standing<'a>>,
}

/// A part on the page.
#[derive(Clone, Debug)]
pub struct PagePart<'a> {
    /// Name.
    pub name: &'a str,
    /// How many are made; 0 for a thing that is there already.
    pub made: u32,
    /// Its bodies, if it has any.
    pub scene: Option<Scene<'a>>,
    /// Its pieces, each with what it is cut from.
    pub flats: Vec<(&'a FlatPattern, String)>,
    /// What is said of it.
    pub sheet: Vec<Block>,
    /// Sentences more.
    pub says: Vec<String>,
    /// Names of its files beside the page.
    pub files: Vec<String>,
}

/// What the page shows.
#[derive(Clone, Debug)]
pub struct WebPage<'a> {
    /// Name of the job.
    pub job: &'a str,
    /// Cautions, what was measured, what must be held.
    pub cover: Vec<Block>,
    /// Everything put together.
    pub scene: Option<Scene<'a>>,
    /// The parts.
    pub parts: Vec<PagePart<'a>>,
    /// All findings.
    pub findings: &'a [Finding],
    /// Pieces that have no stock.
    pub uncut: u32,
    /// The plan is proved.
    pub proved: bool,
    /// Bars in the order of the saw.
    pub bars: &'a [SawBar],
    /// Plates.
    pub plates: &'a [SheetPicture],
    /// Sentences for whoever cuts.
    pub advice: Vec<String>,
    /// What to buy.
    pub buy: Vec<Block>,
    /// What is done when.
    pub order: Vec<Block>,
    /// Drills, speeds, saw settings.
    pub shop: Vec<Block>,
    /// Lines for whoever accepts the work.
    pub sign_off: Vec<Block>,
    /// Files beside the page, those that belong together, and what they are.
    pub files: Vec<(Vec<String>, String)>,
    /// Unit system.
    pub system: System,
}

/// The page as HTML text.
pub fn web_page(page: &WebPage) -> String {
    let mut out = head(page);
    out += &joined(&blocks_of(page));
    let _ = write!(
        out,
        "</main>\n{FOOT}<script type=\"application/json\" id=\"bodies\">{}</script>\n<script>{SCRIPT}</script>\n</body>\n</html>\n",
        bodies::scenes_json(&scenes_of(page))
    );
    out
}

/// What stands under every sheet.
const FOOT: &str =
    "<footer><p>Nothing here is an approval. A check that is met is a rule that is met, and no release.</p></footer>\n";

/// What the sheet is made of, top to bottom: the id of each block and its
/// markup. Parts are blocks of their own, `part-1` and on.
fn blocks_of(page: &WebPage) -> Vec<(String, String)> {
    let mut out = vec![("job".to_string(), overview(page))];
    let parts = page.parts.par_iter().enumerate();
    out.par_extend(parts.map(|(i, p)| (format!("part-{}", i + 1), part(p, i, page.system))));
    let mut order = blocks::html(&page.order, 3);
    if !page.shop.is_empty() {
        order += &blocks::html(&page.shop, 3);
    }
    if !page.sign_off.is_empty() {
        let _ = write!(order, "<h3>Sign-off</h3>\n{}", blocks::html(&page.sign_off, 4));
    }
    let rest = [
        ("findings", "Findings", blocks::html(&findings_blocks(page.findings), 3)),
        ("cuts", "Cut plan", cut_plan(page)),
        ("buy", "To buy", blocks::html(&page.buy, 3)),
        ("order", "Order of work", order),
        ("files", "Files", files(page)),
    ];
    out.extend(rest.into_iter().map(|(id, title, inner)| (id.to_string(), section(id, title, &inner))));
    out
}

/// The blocks one after the other, parts inside their section.
fn joined(blocks: &[(String, String)]) -> String {
    let mut out = String::new();
    let is_part = |id: &str| id.starts_with("part-");
    let mut inside = false;
    for (i, (id, html)) in blocks.iter().enumerate() {
        // The section of the parts is there also where there are none.
        if i == 1 {
            out.push_str("<section id=\"parts\" aria-labelledby=\"parts-h\"><h2 id=\"parts-h\">Parts</h2>\n");
            inside = true;
        }
        if inside && !is_part(id) {
            out.push_str("</section>\n");
            inside = false;
        }
        out += html;
    }
    out
}

/// A scene by the id of its block: how far it is turned, what stands in it.
type Placed<'a> = (String, f64, &'a [Standing<'a>]);

fn scenes_of<'a>(page: &'a WebPage) -> Vec<Placed<'a>> {
    std::iter::once(("job".to_string(), page.scene.as_ref()))
        .chain(page.parts.iter().enumerate().map(|(i, p)| (format!("part-{}", i + 1), p.scene.as_ref())))
        .filter_map(|(id, scene)| scene.map(|s| (id, turn(s.look), s.stands.as_slice())))
        .collect()
}

/// Patterns that drawings are filled with.
const DEFS: &str = "<svg class=\"defs\" width=\"0\" height=\"0\" aria-hidden=\"true\"><defs>\
    <pattern id=\"hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">\
    <path d=\"M0 0V6\"/></pattern>\
    <pattern id=\"fine\" width=\"1\" height=\"1\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">\
    <path d=\"M0 0V1\"/></pattern></defs></svg>\n";

/// Everything down to where the job begins.
fn head(page: &WebPage) -> String {
    let hash = |text: &str| base64(&Sha256::digest(text.as_bytes()));
    let title = escaped(page.job);
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; script-src 'sha256-{}'; style-src 'sha256-{}'; \
         img-src data:; base-uri 'none'; form-action 'none'\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n\
         <meta name=\"referrer\" content=\"no-referrer\">\n<link rel=\"icon\" href=\"data:,\">\n<title>{title}</title>\n\
         <style>{STYLE}</style>\n</head>\n<body>\n<a class=\"skip\" href=\"#job\">Skip to the job</a>\n{DEFS}\
         <header><p class=\"over\">Workshop sheet</p><h1>{}</h1></header>\n{}<main>\n",
        hash(SCRIPT),
        hash(STYLE),
        name(page.job),
        nav(page, "")
    )
}

/// Ways to the blocks of the sheet; `first` are list items before them.
fn nav(page: &WebPage, first: &str) -> String {
    let mut parts = String::new();
    for (i, p) in page.parts.iter().enumerate() {
        let _ = write!(parts, "<li><a href=\"#part-{}\">{}</a></li>", i + 1, name(p.name));
    }
    format!(
        "<nav id=\"nav\" aria-label=\"On this sheet\"><ol>{first}<li><a href=\"#job\">The job</a></li>\
         <li class=\"own-line\"><a href=\"#parts\">Parts</a><ol>{parts}</ol></li>\
         <li><a href=\"#findings\">Findings</a></li><li><a href=\"#cuts\">Cut plan</a></li><li><a href=\"#buy\">To buy</a></li>\
         <li><a href=\"#order\">Order of work</a></li><li><a href=\"#files\">Files</a></li></ol></nav>\n"
    )
}

/// An isometric corner lies an eighth of a turn to either side, degrees.
fn turn(look: Look) -> f64 {
    if look == Look::LeftCorner { -45.0 } else { 45.0 }
}

fn section(id: &str, title: &str, inner: &str) -> String {
    format!("<section id=\"{id}\" aria-labelledby=\"{id}-h\"><h2 id=\"{id}-h\">{title}</h2>\n{inner}</section>\n")
}

fn overview(page: &WebPage) -> String {
    let count = |v: Verdict| page.findings.iter().filter(|f| f.verdict == v).count();
    let pieces: u32 = page.parts.iter().filter(|p| p.made > 0).flat_map(|p| &p.flats).map(|f| f.0.copies).sum();
    let parts: u32 = page.parts.iter().map(|p| p.made).sum();
    let stock = match (page.uncut, page.proved) {
        (0, true) => "every piece has its stock; the plan is proved".to_string(),
        (0, false) => "every piece has its stock; not every group is proved the best".to_string(),
        (n, _) => format!("{n} pieces have no stock yet"),
    };
    let fact = |n: String, what: &str, id: &str| format!("<li><a href=\"#{id}\"><b>{n}</b> {what}</a></li>");
    let mut inner = figure(page.scene.as_ref(), "job", page.job);
    let _ = write!(
        inner,
        "<ul class=\"facts\">{}{}{}{}{}</ul>\n<p>Cut plan: {stock}.</p>\n",
        fact(parts.to_string(), "parts", "parts"),
        fact(pieces.to_string(), "pieces of steel", "cuts"),
        fact(count(Verdict::Fail).to_string(), "findings do not meet their rule", "findings"),
        fact(count(Verdict::Warn).to_string(), "to be looked at", "findings"),
        fact(count(Verdict::Meets).to_string(), "meet their rule", "findings"),
    );
    inner += &blocks::html(&page.cover, 3);
    section("job", "The job", &inner)
}

/// The still picture, and the button that puts bodies in its place.
fn figure(scene: Option<&Scene>, id: &str, what: &str) -> String {
    let Some(scene) = scene else { return String::new() };
    let svg = scene.picture.map_or_else(String::new, |p| {
        write_picture_svg("", &[Shot { name: String::new(), picture: p.clone(), shaded: None }])
    });
    format!(
        "<figure class=\"view\"><div class=\"still\" role=\"img\" aria-label=\"Picture of {0}\">{svg}</div>\n\
         <p class=\"take\"><button type=\"button\" data-scene=\"{id}\" data-name=\"{0}\" hidden>Turn it about in 3D</button></p></figure>\n",
        escaped(what)
    )
}

fn part(p: &PagePart, i: usize, system: System) -> String {
    let id = format!("part-{}", i + 1);
    let made = if p.made > 1 { format!(" <small>make {}</small>", p.made) } else { String::new() };
    let mut out =
        format!("<article id=\"{id}\" aria-labelledby=\"{id}-h\"><h3 id=\"{id}-h\">{}{made}</h3>\n", name(p.name));
    out += &figure(p.scene.as_ref(), &id, p.name);
    p.says.iter().for_each(|s| out += &format!("<p>{}</p>\n", escaped(s)));
    let mut cautions: Vec<&str> = vec![];
    for c in p.flats.iter().flat_map(|f| &f.0.cautions) {
        if !cautions.contains(&c.as_str()) {
            cautions.push(c);
        }
    }
    // What failed or is to be looked at comes before everything else.
    let (open, rest): (Vec<Block>, Vec<Block>) = p.sheet.iter().cloned().partition(|b| matches!(b, Block::Caution(_)));
    out += &blocks::html(&open, 4);
    cautions.into_iter().for_each(|c| out += &format!("<p class=\"caution\">{}</p>\n", escaped(c)));
    for (k, (flat, from)) in p.flats.iter().enumerate() {
        out += &flat::figure(flat, &format!("{id}-{}", k + 1), from, system);
    }
    out += &blocks::html(&rest, 4);
    if !p.files.is_empty() {
        out.push_str("<ul class=\"files\" aria-label=\"Files of this part\">");
        for f in &p.files {
            let short = f.rsplit('/').next().unwrap_or(f);
            let _ = write!(out, "<li><a href=\"{}\">{}</a></li>", escaped(f), escaped(short));
        }
        out.push_str("</ul>\n");
    }
    out.push_str("</article>\n");
    out
}

fn cut_plan(page: &WebPage) -> String {
    let mut out = String::new();
    if page.uncut > 0 {
        let _ = writeln!(out, "<p class=\"caution\">{} pieces have no stock: see cut-plan.txt.</p>", page.uncut);
    }
    page.advice.iter().for_each(|s| out += &format!("<p>{}</p>\n", escaped(s)));
    out += &cuts::bars(page.bars, page.system);
    out += &cuts::plates(page.plates);
    out
}

fn files(page: &WebPage) -> String {
    if page.files.is_empty() {
        return "<p>None is made of what stands here yet.</p>\n".to_string();
    }
    let link = |file: &String| format!("<a href=\"{0}\">{0}</a>", escaped(file));
    let others = page.files.iter().filter(|f| f.0 != ["index.html"]);
    let rows = others.map(|(files, what)| vec![files.iter().map(link).collect::<Vec<_>>().join("<br>"), escaped(what)]);
    let rows: Vec<Vec<String>> = rows.collect();
    let note = "<p>They lie in the folder of this page; those of each part and piece stand with it.</p>\n";
    format!("{note}{}", markup::table(&["file".to_string(), "what it is".to_string()], &rows, &[]))
}
