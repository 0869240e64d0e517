//! Everything of a job as files.

use super::Outcome;
use super::buy::buy_list;
use super::facts::drawer;
use super::packet::{order_text, packet, paper_units};
use super::page::index_page;
use super::pictures::{File, Scenes, body_files_of, draw_scenes, piece_pictures};
use super::weights::{bodies_json, weights_text};
use super::work::file_name;
use crate::checks::Verdict;
use crate::drawing::picture::Picture;
use crate::drawing::{JobHeader, Long, Paper, PrinterCorrection, draw_templates};
use crate::export::pdf::write_pdf;
use crate::export::picture::Shot;
use crate::export::svg::write_svg;
use crate::job::PaperChoice;
use crate::report::{
    CAUTIONS, CutPlan, Demand, Summary, check_text, document_text, findings_json, flat_text, flats_json, plan_csv,
    plan_json, plan_text, substitute_words, values_json,
};
use crate::source::{OutFolder, safe_name};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The files of a run, and what the person must know.
#[derive(Clone, Debug)]
pub struct Made {
    /// The files.
    pub folder: OutFolder,
    /// Name of a file and what it is.
    pub listed: Vec<(String, String)>,
    /// Sentences to show at the end.
    pub told: Vec<String>,
}

/// Make every file of a job.
///
/// # Errors
/// A sentence, when a file cannot be made; nothing is written then.
pub fn make(outcome: &Outcome) -> Result<Made, String> {
    let whole;
    let outcome = if outcome.stood.is_some() {
        outcome
    } else {
        whole = outcome.clone().standing(None);
        &whole
    };
    let worked = &outcome.worked;
    let pictures = outcome.stood.as_ref().map_or_else(Vec::new, piece_pictures);
    // The paper needs nothing of the scenes: both are made side by side.
    let (paper, shown) = rayon::join(|| paper(outcome, &pictures), || with_scenes(outcome, &pictures));
    let (paper, Shown { scenes, bodies, packet, texts }) = (paper?, shown?);
    let mut made = Made { folder: OutFolder::default(), listed: vec![], told: paper.notes };
    let kerf = Some(outcome.loaded.job.cutter_kerf).filter(|k| k.to_mm() > 0.0);
    made.folder.add("drilling-templates.pdf", paper.bytes)?;
    for flat in &worked.flats {
        let name = format!("pieces/{}", file_name(&flat.part, &flat.piece));
        made.folder.add(&format!("{name}.svg"), write_svg(flat, kerf)?.into_bytes())?;
    }
    let mut solids = 0;
    if let Some(stood) = &outcome.stood {
        for (name, bytes) in bodies {
            made.folder.add(&name, bytes)?;
        }
        solids = stood.bodies.iter().flatten().count();
        made.told.extend(stood.without.iter().map(|(key, why)| format!("no body of {key}: {why}")));
    }
    made.folder.add("packet.pdf", packet)?;
    for (name, bytes) in texts {
        made.folder.add(name, bytes)?;
    }
    made.listed = listing(worked.flats.len(), paper.pages, solids);
    made.folder.add("index.html", index_page(outcome, &scenes, &made).into_bytes())?;
    tell(outcome, &mut made);
    Ok(made)
}

/// Usual output folder: `output/` and the name of the job's folder, or of its
/// file where that is not `job.toml`.
pub fn usual_out(job: &Path) -> PathBuf {
    let stem = job.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let whole = std::path::absolute(job).unwrap_or_else(|_| job.to_path_buf());
    let folder = whole.parent().and_then(Path::file_name).map(|s| s.to_string_lossy().into_owned());
    let name = if stem == "job" { folder.unwrap_or(stem) } else { stem };
    Path::new("output").join(safe_name(&name))
}

/// A file at the top of the folder.
type Text = (&'static str, Vec<u8>);

/// All that needs the pictures of parts and job, or nothing of the kind.
struct Shown {
    scenes: Scenes,
    /// Meshes and pictures.
    bodies: Vec<File>,
    packet: Vec<u8>,
    texts: Vec<Text>,
}

fn with_scenes(outcome: &Outcome, pictures: &[Option<Shot>]) -> Result<Shown, String> {
    let scenes = outcome.stood.as_ref().map_or_else(Scenes::default, |s| draw_scenes(&outcome.worked.pieces, s));
    let files = || outcome.stood.as_ref().map_or(Ok(vec![]), |s| body_files_of(&outcome.worked, s, pictures, &scenes));
    let (bodies, (packet, texts)) =
        rayon::join(files, || rayon::join(|| packet(outcome, &scenes), || text_files(outcome)));
    let (bodies, packet) = (bodies?, packet?);
    Ok(Shown { scenes, bodies, packet, texts })
}

/// What is read as text or by other programs.
fn text_files(outcome: &Outcome) -> Vec<Text> {
    let (worked, plan, system) = (&outcome.worked, &outcome.plan, outcome.loaded.job.units);
    let listed = |text: String| format!("{}\n\n{CAUTIONS}\n", text.trim_end()).into_bytes();
    let mut out = vec![
        ("order-of-work.txt", listed(order_text(outcome))),
        ("cut-plan.csv", plan_csv(plan).into_bytes()),
        ("cut-plan.txt", listed(plan_text(plan, system))),
        ("flat-patterns.txt", listed(flat_text(&worked.flats, system))),
        ("findings.txt", listed(check_text(&worked.findings))),
        ("buy-list.txt", listed(document_text("Buy list", &buy_list(outcome).blocks()))),
        ("job.json", to_bytes(&whole_json(outcome))),
    ];
    out.extend(outcome.stood.as_ref().map(|s| ("weights.txt", listed(weights_text(worked, s, system)))));
    out
}

/// The files as they are told at the end, and what each is.
fn listing(flats: usize, pages: usize, bodies: usize) -> Vec<(String, String)> {
    vec![
        ("index.html".into(), "to look at, on a phone too: parts in 3D, holes to measure, findings, cut plan".into()),
        ("drilling-templates.pdf".into(), format!("{pages} pages, 1:1; print at actual size and measure both bars")),
        ("pieces/".into(), format!("{flats} flat patterns (SVG); {bodies} bodies (STL, GLB) with a picture each")),
        (
            "parts/, assembly.*".into(),
            "each part and the whole job put together: picture (PNG, SVG), bodies (GLB)".into(),
        ),
        (
            "packet.pdf".into(),
            "to print: what was measured, order of work, findings, buy list, saw list, plates, sign-off".into(),
        ),
        ("cut-plan.txt, .csv".into(), "the saw list: which piece from which stock, with its marks".into()),
        (
            "order-of-work.txt".into(),
            "what is done when; drills and speeds, saw settings; the lines of the sign-off".into(),
        ),
        ("flat-patterns.txt".into(), "developed lengths, bend lines, holes".into()),
        ("findings.txt".into(), "checks with their sources".into()),
        ("weights.txt".into(), "mass, surface, box and centre of gravity of every piece and part".into()),
        ("buy-list.txt".into(), "bolts, rubber, weld, paint, steel, money".into()),
        ("job.json".into(), "all of it for other programs".into()),
    ]
}

/// What every sheet says, whatever the part.
pub(super) const PAPER_CAUTION: &str =
    "Not an approval: follow local law and inspection; ask a licensed engineer in doubt.";

/// The drilling templates.
struct Templates {
    bytes: Vec<u8>,
    notes: Vec<String>,
    pages: usize,
}

fn paper(outcome: &Outcome, pictures: &[Option<Shot>]) -> Result<Templates, String> {
    let (job, worked) = (&outcome.loaded.job, &outcome.worked);
    let header = header(outcome, pictures);
    // A page of a part with a failed finding says so.
    let mut flats = worked.flats.clone();
    for flat in &mut flats {
        let failed = worked.findings.iter().filter(|f| f.part == flat.part && f.verdict == Verdict::Fail);
        let lines: Vec<String> = failed.map(|f| format!("CHECK FAILED: {}", f.says)).collect();
        flat.cautions.splice(0..0, lines);
        flat.cautions.push(PAPER_CAUTION.to_string());
    }
    flats.extend(worked.reworks.iter().cloned());
    let drawn = draw_templates(&flats, &header);
    if drawn.pages.len() > MOST_PAGES {
        return Err(format!("the paper has {} pages, {MOST_PAGES} at most: split the job", drawn.pages.len()));
    }
    let pdf = write_pdf(&format!("Drilling templates: {}", job.name), &drawn.pages, &drawn.marks)?;
    Ok(Templates { bytes: pdf.bytes, notes: pdf.notes, pages: drawn.pages.len() })
}

/// More paper than this is a slip of the pen.
const MOST_PAGES: usize = 3_000;

/// What the pages say of the job and its printer.
fn header(outcome: &Outcome, pictures: &[Option<Shot>]) -> JobHeader {
    let job = &outcome.loaded.job;
    let paper = match job.paper {
        PaperChoice::A4 => Paper::A4,
        PaperChoice::A3 => Paper::A3,
        PaperChoice::Letter => Paper::Letter,
        PaperChoice::Roll(width) => Paper::Roll(width.to_mm()),
    };
    let correction = job.printer.map_or_else(PrinterCorrection::default, |p| {
        PrinterCorrection::from_measured(p.bar.to_mm(), p.x.to_mm(), p.y.to_mm())
    });
    JobHeader {
        correction,
        long: if job.long_ends { Long::Ends } else { Long::Tile },
        drawer: drawer(job.sizes),
        cut_from: cut_from(&outcome.plan),
        pictures: by_key(outcome, pictures),
        ..JobHeader::new(&job.name, paper_units(job.units), &outcome.loaded.input_hash, paper)
    }
}

/// The pictures by `part/piece`.
fn by_key(outcome: &Outcome, pictures: &[Option<Shot>]) -> BTreeMap<String, Picture> {
    let pieces = outcome.worked.pieces.iter().zip(pictures);
    pieces.filter_map(|(p, shot)| Some((p.key(), shot.as_ref()?.picture.clone()))).collect()
}

/// The stock of each piece, by `part/piece`: ids in the order of the plan.
pub(super) fn cut_from(plan: &CutPlan) -> BTreeMap<String, String> {
    let mut out: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut put = |d: &Demand, id: &str| {
        let id = if d.rip_mm > 0.0 { format!("{id}, ripped") } else { id.to_string() };
        let list = out.entry(format!("{}/{}", d.part, d.piece)).or_default();
        if !list.contains(&id) {
            list.push(id);
        }
    };
    for g in &plan.bars {
        for b in &g.plan.bars {
            b.cuts.iter().for_each(|c| put(&g.demands[c.demand], &b.id));
        }
    }
    for g in &plan.sheets {
        for s in &g.sheets {
            s.placements.iter().for_each(|p| put(&g.demands[p.demand], &s.id));
        }
    }
    out.into_iter().map(|(k, v)| (k, v.join(", "))).collect()
}

fn to_bytes(value: &Value) -> Vec<u8> {
    let mut text = serde_json::to_string_pretty(value).unwrap_or_default();
    text.push('\n');
    text.into_bytes()
}

/// Everything in one object.
pub fn whole_json(outcome: &Outcome) -> Value {
    let worked = &outcome.worked;
    json!({
        "form": 1,
        "job": outcome.loaded.job.name,
        "input_hash": outcome.loaded.input_hash,
        "cautions": CAUTIONS.replace('\n', " "),
        "values": values_json(worked.values.iter()),
        "findings": findings_json(&worked.findings),
        "flat": flats_json(&worked.flats),
        "needs": buy_list(outcome).json(),
        "cut_plan": plan_json(&outcome.plan),
        "bodies": outcome.stood.as_ref().map_or(Value::Array(vec![]), |s| bodies_json(worked, s)),
    })
}

/// The two or three things that the person must know.
fn tell(outcome: &Outcome, made: &mut Made) {
    made.told.extend(findings_say(outcome));
    made.told.extend(outcome.plan.substitutes.iter().map(substitute_words));
    made.told.push(plan_says(&outcome.plan));
}

/// How many findings ask for attention; nothing when none does.
fn findings_say(outcome: &Outcome) -> Option<String> {
    let count = |v: Verdict| outcome.worked.findings.iter().filter(|f| f.verdict == v).count();
    match (count(Verdict::Fail), count(Verdict::Warn)) {
        (0, 0) => None,
        (0, 1) => Some("1 finding to look at: see findings.txt".to_string()),
        (0, w) => Some(format!("{w} findings to look at: see findings.txt")),
        (f, w) => Some(format!("{f} checks FAILED, {w} to look at: see findings.txt before you cut")),
    }
}

/// Whether all pieces have their stock, and what is proved of the plan.
fn plan_says(plan: &CutPlan) -> String {
    match plan.uncut() {
        0 if plan.proved() => {
            "every piece has its stock; the plan is proved: none needs less money, none wastes less".to_string()
        }
        0 => "every piece has its stock; not every group is proved the best: see cut-plan.txt".to_string(),
        1 => "1 piece cannot be cut from the bin: see cut-plan.txt".to_string(),
        uncut => format!("{uncut} pieces cannot be cut from the bin: see cut-plan.txt"),
    }
}

/// What matters of the files that were written into `folder`, on one screen of
/// `width` columns.
pub fn summary(outcome: &Outcome, made: &Made, folder: &str, width: usize) -> String {
    let first = ["index.html", "packet.pdf", "drilling-templates.pdf"];
    let plan_says = plan_says(&outcome.plan);
    // Findings and plan have lines of their own.
    let apart = [findings_say(outcome).unwrap_or_default(), plan_says.clone()];
    let told: Vec<String> = made.told.iter().filter(|t| !apart.contains(t)).cloned().collect();
    let text = Summary {
        buy: &buy_list(outcome),
        plan: &outcome.plan,
        plan_says: &plan_says,
        findings: &outcome.worked.findings,
        told: &told,
        first: &first,
        more: made.folder.files().count().saturating_sub(first.len()),
        folder,
    };
    text.text(width)
}
