//! The packet to print: what was measured, the order of work, findings, what to
//! buy, saw list, plates, and the lines for whoever accepts the work.

use super::Outcome;
use super::buy::buy_list;
use super::facts::{shop_sheet, work_facts};
use super::make::{PAPER_CAUTION, cut_from};
use super::pictures::Scenes;
use crate::assembly::PartStands;
use crate::checks::Verdict;
use crate::drawing::picture::Picture;
use crate::drawing::{Block, Page, Paper, PaperUnits, Rows, SawBar, draw_document, draw_saw_list, draw_sheet_list};
use crate::export::pdf::write_pdf;
use crate::expr::Value;
use crate::flat::FlatPattern;
use crate::job::PaperChoice;
use crate::report::{
    CAUTIONS, CUT_SIDE, PartSheet, WorkFacts, document_text, findings_blocks, saw_advice, saw_list, sheet_list,
};
use crate::units::{Dim, System, show_quantity, trimmed};
use std::collections::BTreeMap;

/// Highest the picture of the whole job stands on the cover, mm.
const COVER_PICTURE_MM: f64 = 95.0;

/// The whole packet.
///
/// # Errors
/// A sentence, when the file cannot be made.
pub(super) fn packet(outcome: &Outcome, scenes: &Scenes) -> Result<Vec<u8>, String> {
    let job = &outcome.loaded.job;
    let paper = upright(job.paper);
    let facts = work_facts(outcome);
    let mut pages = draw_document(&job.name, &cover(outcome, &facts, scenes.job.as_ref()), paper);
    pages.extend(draw_document("Order of work", &facts.order()[1..], paper));
    pages.extend(draw_document("Findings", &findings_blocks(&outcome.worked.findings), paper));
    pages.extend(draw_document("Buy list", &buy_list(outcome).blocks(), paper));
    let bars = saw_list(&outcome.plan, job.units);
    pages.extend(cut_pages(outcome, &bars, paper));
    pages.extend(draw_document("Shop sheet", &shop_sheet(outcome, &bars).blocks(), paper));
    pages.extend(draw_document("Parts", &part_sheets(outcome, scenes), paper));
    pages.extend(draw_document("Sign-off", &facts.sign_off()[1..], paper));
    Ok(write_pdf(&format!("Packet: {}", job.name), &pages, &[])?.bytes)
}

/// The order of work and the sign-off as text.
pub(super) fn order_text(outcome: &Outcome) -> String {
    let facts = work_facts(outcome);
    let bars = saw_list(&outcome.plan, outcome.loaded.job.units);
    let shop = shop_sheet(outcome, &bars).blocks();
    let blocks: Vec<Block> = facts.order().into_iter().skip(1).chain(shop).chain(facts.sign_off()).collect();
    document_text("Order of work", &blocks)
}

/// Picture, cautions, what was measured, what must be held.
pub(super) fn cover(outcome: &Outcome, facts: &WorkFacts, assembly: Option<&Picture>) -> Vec<Block> {
    let job = &outcome.loaded.job;
    let mut out: Vec<Block> = assembly.map(|p| Block::Picture(p.clone(), COVER_PICTURE_MM)).into_iter().collect();
    out.push(Block::Heading("Cautions".into()));
    out.push(Block::Caution(CAUTIONS.replace('\n', " ")));
    let mut said: Vec<&str> = vec![];
    for p in &outcome.worked.pieces {
        said.extend(p.cautions.iter().map(String::as_str).filter(|c| !said.contains(c)).collect::<Vec<_>>());
    }
    out.extend(said.into_iter().map(|c| Block::Caution(c.to_string())));
    out.extend(facts.cautions().into_iter().map(Block::Caution));
    let rows = values(outcome, false);
    if !rows.is_empty() {
        out.push(Block::Heading("What was measured: tick what you have measured twice".into()));
        out.push(Block::Table(Rows { heads: vec!["name", "value", "as written"], rows, tick: true }));
    }
    let rows: Vec<Vec<String>> = job.loads.iter().map(|l| load_row(l, job.units)).collect();
    if !rows.is_empty() {
        out.push(Block::Heading("What must be held, safety factor included".into()));
        let heads = vec!["load", "mass", "along", "across", "up", "down", "factor"];
        out.push(Block::Table(Rows { heads, rows, tick: false }));
        out.extend(job.loads.iter().map(|l| Block::Say(format!("{}: {}.", l.name, l.source))));
    }
    let rows = by_owner(values(outcome, true));
    if !rows.is_empty() {
        out.push(Block::Heading("What the layouts make of it".into()));
        out.push(Block::Table(Rows { heads: vec!["of", "values"], rows, tick: false }));
    }
    out
}

/// One row for all values of one thing: `tank.front.at` and `tank.front.path`
/// are those of `tank.front`.
fn by_owner(values: Vec<Vec<String>>) -> Vec<Vec<String>> {
    let mut out: Vec<Vec<String>> = vec![];
    for value in values {
        let (owner, name) = value[0].rsplit_once('.').unwrap_or(("", &value[0]));
        let said = format!("{} {}", name.replace('_', " "), value[1]);
        match out.iter_mut().find(|row| row[0] == owner) {
            Some(row) => row[1] += &format!(", {said}"),
            None => out.push(vec![owner.to_string(), said]),
        }
    }
    out
}

/// Measured values in the order of the file, or what the layouts made of them.
fn values(outcome: &Outcome, worked_out: bool) -> Vec<Vec<String>> {
    let (job, scope) = (&outcome.loaded.job, &outcome.loaded.job.measured);
    // What nobody wrote down comes from a layout.
    let here = |n: &&String| scope.formulas.contains_key(*n) != worked_out;
    let mut names: Vec<&String> = scope.values.keys().filter(here).collect();
    names.sort_by_key(|n| scope.origins.get(*n).map(|o| (o.0.0, o.1.start)));
    let row = |n: &String| {
        let value = shown(&scope.values[n], job.units);
        let written = scope.formulas.get(n).map(|t| t.value.clone()).filter(|w| *w != value);
        vec![n.clone(), value, written.unwrap_or_default()]
    };
    names.into_iter().map(row).collect()
}

fn load_row(l: &crate::handbook::load_case::LoadCase, system: System) -> Vec<String> {
    let force = |level: f64| show_quantity(libm::round(l.force(level).to_newtons()), Dim::FORCE, system);
    let mut row = vec![l.name.clone(), crate::units::show_mass(l.mass, system)];
    row.extend(
        [l.levels.along, l.levels.across, l.levels.up, l.levels.down]
            .map(|n| format!("{} ({} g)", force(n), trimmed(n, 1))),
    );
    row.push(trimmed(l.safety, 2));
    row
}

fn shown(value: &Value, system: System) -> String {
    match value {
        Value::Quantity(v, dim) => show_quantity(*v, *dim, system),
        Value::YesNo(yes) => if *yes { "yes" } else { "no" }.to_string(),
        Value::Word(w) => w.clone(),
    }
}

/// Every part, each with its picture.
fn part_sheets(outcome: &Outcome, scenes: &Scenes) -> Vec<Block> {
    let from = cut_from(&outcome.plan);
    let sheet = |p: &PartStands| part_sheet(outcome, p, &from, scenes.parts.get(&p.name));
    outcome.worked.parts.iter().flat_map(sheet).collect()
}

/// One part; `from` tells the stock of each piece.
pub(super) fn part_sheet(
    outcome: &Outcome,
    part: &PartStands,
    from: &BTreeMap<String, String>,
    picture: Option<&Picture>,
) -> Vec<Block> {
    let (job, worked) = (&outcome.loaded.job, &outcome.worked);
    let flats: Vec<&FlatPattern> = part.pieces.iter().filter_map(|i| worked.flats.get(*i)).collect();
    let open = worked.findings.iter().filter(|f| f.part == part.name && f.verdict >= Verdict::Warn);
    let sheet = PartSheet {
        name: &part.name,
        picture,
        from: flats.iter().map(|f| from.get(&f.key()).cloned().unwrap_or_default()).collect(),
        flats,
        hardware: worked.needs.lines_of(&part.name, job.units, job.sizes),
        welds: worked.needs.welds.iter().filter(|w| w.0 == part.name).map(|w| &w.1).collect(),
        open: open.map(|f| f.says.clone()).collect(),
        system: job.units,
    };
    sheet.blocks()
}

/// Saw list and plates.
fn cut_pages(outcome: &Outcome, bars: &[SawBar], paper: Paper) -> Vec<Page> {
    let job = &outcome.loaded.job;
    let head = [
        format!("Job: {}. Tick each row when it is cut, and chalk its number on the piece.", job.name),
        PAPER_CAUTION.to_string(),
    ];
    let mut foot = saw_advice(bars, job.units);
    if bars.is_empty() {
        foot.push("Nothing is cut from bars.".to_string());
    }
    let mut pages = draw_saw_list("Saw list", &head, bars, &foot, paper_units(job.units), paper);
    let plates = sheet_list(&outcome.plan, job.units);
    if !plates.is_empty() {
        let mut foot = vec!["Places are from the lower left corner of the plate as it is drawn.".to_string()];
        if plates.iter().any(|p| !p.cuts.is_empty()) {
            foot.push(CUT_SIDE.to_string());
        }
        pages.extend(draw_sheet_list("Plates", &head, &plates, &foot, paper));
    }
    pages
}

/// The units of what is printed.
pub(super) fn paper_units(system: System) -> PaperUnits {
    if system == System::Inch { PaperUnits::Inch } else { PaperUnits::Metric }
}

/// What words and tables are printed on: a sheet also where templates come off a roll.
fn upright(paper: PaperChoice) -> Paper {
    if paper == PaperChoice::Letter { Paper::Letter } else { Paper::A4 }
}
