//! What a job says of its paper: printer correction, long pieces, rolls, things
//! that are there already, wraps with their end curves.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::drawing::{MARGIN_MM, Paper, PaperUnits, draw_printer_test};
use droprack::export::pdf::write_pdf;
use droprack::run::{Made, Request, Trouble, make, run};
use droprack::source::Memory;
use lopdf::Document;
use readback::{MM, Path, number, paths};
use std::path::PathBuf;

mod readback;

const TUBE: &str = "template = \"coped\"\nsays = \"a coped tube\"\n\
    [ask.main]\nwhat = \"tube that it sits on\"\nkind = \"length\"\nusual = \"60 mm\"\n\
    [ask.lean]\nwhat = \"angle between the axes\"\nkind = \"angle\"\nusual = \"90 deg\"\n\
    [section]\nlength = \"160 mm\"\nleft_end = \"lean\"\nleft_cope = \"main\"\nright_end = \"60 deg\"\n\
    [stock]\nshape = \"round tube\"\nsize = [\"42 mm\", \"3 mm\"]\nmaterial = \"mild steel\"\n";

fn try_job(text: &str, beside: &[(&str, &str)]) -> Result<Made, Trouble> {
    let mut files = Memory::default();
    files.0.insert(PathBuf::from("job.toml"), format!("job = \"paper\"\nbin = \"bin.toml\"\n{text}"));
    files.0.insert(PathBuf::from("bin.toml"), String::new());
    files.0.insert(PathBuf::from("coped.toml"), TUBE.to_string());
    for (name, text) in beside {
        files.0.insert(std::path::absolute(".").unwrap().join(name), (*text).to_string());
    }
    run(&files, &Request { job: PathBuf::from("job.toml"), bin: None }).map(|o| make(&o).unwrap())
}

fn pdf(text: &str, beside: &[(&str, &str)]) -> Document {
    let made = try_job(text, beside).unwrap_or_else(|t| panic!("{:?}", t.diagnostics));
    let (_, bytes) = made.folder.files().find(|f| f.0 == "drilling-templates.pdf").unwrap();
    Document::load_mem(bytes).unwrap()
}

fn all_paths(file: &Document) -> Vec<Vec<Path>> {
    file.get_pages().values().map(|id| paths(file, *id)).collect()
}

/// Sizes of the check bars on a page, x and y.
fn bars(page: &[Path]) -> (f64, f64) {
    let fills = page.iter().filter(|q| q.filled && q.layer == "L5" && q.points.len() >= 12);
    let boxes: Vec<_> = fills.filter_map(|q| droprack::geom::Bounds::of(q.points.clone())).collect();
    let x = boxes.iter().map(|b| b.width()).fold(0.0, f64::max);
    let y = boxes.iter().map(|b| b.height()).fold(0.0, f64::max);
    (x, y)
}

const CUT: &str = "[[blank]]\nname = \"b\"\nsize = \"3 mm\"\nlength = \"120 mm\"\nwidth = \"90 mm\"\n";

#[test]
fn a_printer_that_shrinks_is_drawn_for_larger() {
    for (text, beside) in [
        (format!("{CUT}[printer]\nx = \"99 mm\"\ny = \"101 mm\"\n"), vec![]),
        (CUT.to_string(), vec![("printer.toml", "[printer]\nx = \"99 mm\"\ny = \"101 mm\"\n")]),
    ] {
        let file = pdf(&text, &beside);
        let (x, y) = bars(&all_paths(&file)[0]);
        // Upright page: what comes out of this printer is 100 mm both ways.
        assert!((x * 0.99 - 100.0).abs() < 1e-3 && (y * 1.01 - 100.0).abs() < 1e-3, "{x} {y}");
    }
    let (x, y) = bars(&all_paths(&pdf(CUT, &[]))[0]);
    assert!((x - 100.0).abs() < 1e-3 && (y - 100.0).abs() < 1e-3);
}

#[test]
fn a_printer_that_is_far_out_is_refused() {
    let wrong = format!("{CUT}[printer]\nx = \"94 mm\"\ny = \"100 mm\"\n");
    let told = try_job(&wrong, &[]).unwrap_err();
    assert!(
        told.diagnostics.iter().any(|d| d.code == "outside-limits" && d.message.contains("6.0 %")),
        "{:?}",
        told.diagnostics
    );
}

#[test]
fn the_test_page_keeps_its_margin_on_both_papers() {
    for (paper, units) in [(Paper::A4, PaperUnits::Metric), (Paper::Letter, PaperUnits::Inch)] {
        let page = draw_printer_test(paper, units);
        for item in &page.items {
            let b = item.bounds().unwrap();
            let inside = b.low.x >= MARGIN_MM - 0.01
                && b.low.y >= MARGIN_MM - 1.0
                && b.high.x <= page.width - MARGIN_MM + 0.01
                && b.high.y <= page.height - MARGIN_MM + 0.01;
            assert!(inside, "{paper:?}: {item:?}");
        }
        let file = Document::load_mem(&write_pdf("t", &[page], &[]).unwrap().bytes).unwrap();
        let (x, y) = bars(&all_paths(&file)[0]);
        let want = if units == PaperUnits::Metric { 100.0 } else { 101.6 };
        assert!((x - want).abs() < 1e-3 && (y - want).abs() < 1e-3);
    }
}

/// The end curves of a wrap against the closed formulas, from the file.
#[test]
fn fish_mouth_and_mitre_are_the_true_curves_and_the_wrap_is_the_girth() {
    for lean in [90.0_f64, 60.0, 75.0] {
        let text = format!("[[part]]\nname = \"T\"\ntemplate = \"coped\"\nwith.lean = \"{lean} deg\"\n");
        let file = pdf(&text, &[]);
        let page = all_paths(&file).into_iter().flatten();
        let cut = page.filter(|p| p.layer == "L0").max_by_key(|p| p.points.len()).unwrap();
        let (r, big, a) = (21.0, 30.0, lean.to_radians());
        let low = cut.points.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
        let high = cut.points.iter().map(|p| p.y).fold(0.0, f64::max);
        let girth = std::f64::consts::PI * 42.0;
        assert!((high - low - girth).abs() < 1e-3, "{} for {girth}", high - low);
        let left = cut.points.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
        // Turn from the top line, and how far behind its first point each end lies.
        let turn = |y: f64| (y - low) / r - std::f64::consts::PI;
        let saddle = |t: f64| (r * t.sin() * a.cos() + (big * big - r * r * t.cos() * t.cos()).sqrt()) / a.sin();
        let first = (0..36_000).map(|i| saddle(f64::from(i) * 0.01_f64.to_radians())).fold(f64::INFINITY, f64::min);
        let slope = 1.0 / 60.0_f64.to_radians().tan();
        let mitre = |t: f64| 160.0 - (r + r * t.sin()) * slope;
        let (mut checked, mut worst) = (0, 0.0_f64);
        for p in &cut.points {
            let (x, t) = (p.x - left, turn(p.y));
            let want = if x < 80.0 { saddle(t) - first } else { mitre(t) };
            worst = worst.max((x - want).abs());
            checked += 1;
        }
        assert!(checked > 600 && worst < 1e-3, "{checked} points at {lean} deg, worst {worst}");
    }
}

#[test]
fn a_thick_branch_on_a_thin_tube_is_told() {
    let told = try_job("[[part]]\nname = \"T\"\ntemplate = \"coped\"\nwith.main = \"30 mm\"\n", &[]).unwrap_err();
    assert_eq!(told.diagnostics[0].code, "impossible-end");
}

const LONG: &str = "[[part]]\nname = \"Strap\"\ntemplate = \"tank-strap\"\nwith.section = \"rectangle\"\nwith.width = \"700 mm\"\nwith.height = \"300 mm\"\n";

#[test]
fn a_roll_takes_a_long_piece_whole_and_ends_leave_the_middle_out() {
    let pages = |text: &str| all_paths(&pdf(text, &[])).len();
    let (tiled, ends) = (pages(LONG), pages(&format!("long_pieces = \"ends\"\n{LONG}")));
    assert!(tiled >= 6, "{tiled}");
    assert!(ends < tiled, "{ends} pages for the ends, {tiled} for tiles");
    let roll = pdf(&format!("paper = \"roll\"\nroll_width = \"610 mm\"\n{LONG}"), &[]);
    let id = *roll.get_pages().values().next().unwrap();
    let media = roll.get_dictionary(id).unwrap().get(b"MediaBox").unwrap().as_array().unwrap().clone();
    let (w, h) = (number(&media[2]) * MM, number(&media[3]) * MM);
    assert!(w > 1_200.0 && (h - 610.0).abs() < 1e-3, "{w} {h}");
    assert!(try_job(&format!("paper = \"roll\"\n{LONG}"), &[]).is_err(), "a roll without its width");
}

const REWORK: &str = "[[rework]]\nname = \"frame lug\"\nx_edge = \"rear edge of the lug\"\ny_edge = \"its lower edge\"\n\
    length = \"120 mm\"\nwidth = \"60 mm\"\nmaterial = \"unknown\"\n\
    [[rework.hole]]\nname = \"new bolt\"\nat = [\"30 mm\", \"25 mm\"]\nsize = \"10.5 mm\"\n\
    [[rework.hole]]\nname = \"slot\"\nat = [\"80 mm\", \"30 mm\"]\nshape = \"slot\"\nlength = \"30 mm\"\nwidth = \"9 mm\"\n\
    [[rework.cut]]\nname = \"trim\"\nfrom = [\"100 mm\", \"0 mm\"]\nto = [\"120 mm\", \"20 mm\"]\n";

#[test]
fn rework_is_paper_only() {
    let made = try_job(REWORK, &[]).unwrap();
    let names: Vec<&String> = made.folder.files().map(|f| f.0).collect();
    assert!(names.iter().all(|n| !n.starts_with("pieces/")), "{names:?}");
    let (_, bytes) = made.folder.files().find(|f| f.0 == "drilling-templates.pdf").unwrap();
    let page = all_paths(&Document::load_mem(bytes).unwrap()).remove(0);
    let rims = page.iter().filter(|p| p.layer == "L1").count();
    assert_eq!(rims, 2);
    let told = try_job(&REWORK.replace("[\"30 mm\", \"25 mm\"]", "[\"3 mm\", \"25 mm\"]"), &[]).unwrap_err();
    assert_eq!(told.diagnostics[0].code, "hole-outside");
}

#[test]
fn bookmarks_lead_to_every_part_and_piece() {
    let two = format!("{LONG}{CUT}");
    let file = pdf(&two, &[]);
    let catalog = file.catalog().unwrap();
    let outline = file.get_dictionary(catalog.get(b"Outlines").unwrap().as_reference().unwrap()).unwrap();
    assert_eq!(outline.get(b"Count").unwrap().as_i64().unwrap(), 2);
    let first = file.get_dictionary(outline.get(b"First").unwrap().as_reference().unwrap()).unwrap();
    assert!(first.has(b"First") && first.has(b"Next") && first.has(b"Dest"));
    for layer in ["Cut line", "Holes", "Bend lines", "Letters and notes"] {
        let utf16: Vec<u8> = layer.encode_utf16().flat_map(u16::to_be_bytes).collect();
        let there = file.objects.values().any(|o| {
            o.as_dict().is_ok_and(|d| {
                d.get(b"Name").is_ok_and(|n| n.as_str().is_ok_and(|s| s == layer.as_bytes() || s.ends_with(&utf16)))
            })
        });
        assert!(there, "no layer {layer}");
    }
}
