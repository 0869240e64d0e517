//! Plates from a job and a bin to the plan, its JSON and its paper: rectangles
//! along straight lines, true outlines, odd remnants. Distances are worked out
//! here again, point against side.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::cut::Effort;
use droprack::drawing::{Item, Page, Paper, Text, draw_sheet_list};
use droprack::geom::Point;
use droprack::report::{Sheet, SheetGroup, plan_csv, plan_json, plan_text, sheet_list};
use droprack::run::{Outcome, Request, run_with};
use droprack::source::Memory;
use droprack::units::System;
use std::path::PathBuf;

fn outcome(job: &str, bin: &str) -> Outcome {
    let mut memory = Memory::default();
    memory.0.insert(PathBuf::from("job.toml"), format!("job = \"Plates\"\nbin = \"bin.toml\"\n{job}"));
    memory.0.insert(PathBuf::from("bin.toml"), bin.to_string());
    let request = Request { job: PathBuf::from("job.toml"), bin: None };
    run_with(&memory, &request, Effort::QUICK).unwrap_or_else(|t| panic!("{:?}", t.diagnostics))
}

fn blank(name: &str, length: &str, width: &str, make: u32, more: &str) -> String {
    format!(
        "[[blank]]\nname = \"{name}\"\nsize = \"5 mm\"\nlength = \"{length}\"\nwidth = \"{width}\"\nmake = {make}\n{more}\n"
    )
}

const STRAIGHT: &str = "[saw]\nkerf = \"2 mm\"\nkeep_plate = \"40 x 60 mm\"\n";
const FREE: &str = "[saw]\nkerf = \"2 mm\"\nkeep_plate = \"40 x 60 mm\"\ncuts = \"free\"\ngap = \"4 mm\"\n";
/// An L with a hole in its foot: 300 mm along, 200 up.
const ODD: &str = r#"
[[offcut]]
id = "P-1"
shape = "plate"
size = "5 mm"
outline = ["0 mm, 0 mm", "300 mm, 0 mm", "300 mm, 90 mm", "110 mm, 90 mm", "110 mm, 200 mm", "0 mm, 200 mm"]
[[offcut.hole]]
at = ["250 mm", "45 mm"]
size = "30 mm"
"#;

fn sides(corners: &[Point]) -> Vec<(Point, Point)> {
    (0..corners.len()).map(|i| (corners[i], corners[(i + 1) % corners.len()])).collect()
}

fn to_side(p: Point, (a, b): (Point, Point)) -> f64 {
    let d = b - a;
    let t = ((p - a).dot(d) / d.dot(d).max(1e-12)).clamp(0.0, 1.0);
    p.distance(a + d * t)
}

/// Distance between two outlines that do not cross.
fn apart(a: &[Point], b: &[Point]) -> f64 {
    let one = |a: &[Point], b: &[Point]| {
        a.iter().flat_map(|p| sides(b).into_iter().map(|s| to_side(*p, s))).fold(f64::INFINITY, f64::min)
    };
    one(a, b).min(one(b, a))
}

/// Even and odd crossings of a ray.
fn inside(p: Point, corners: &[Point]) -> bool {
    let mut odd = false;
    for (a, b) in sides(corners) {
        if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x) {
            odd = !odd;
        }
    }
    odd
}

fn middle(corners: &[Point]) -> Point {
    let b = droprack::geom::Bounds::of(corners.iter().copied()).unwrap();
    (b.low + b.high) * 0.5
}

/// Every piece in the steel, at least so far from each other and from the edge.
fn check(g: &SheetGroup, s: &Sheet, between: f64, edge: f64) {
    const NOISE: f64 = 1e-5;
    for (i, p) in s.placements.iter().enumerate() {
        let corner = p.outline[0] + (middle(&p.outline) - p.outline[0]) * 1e-6;
        assert!(inside(corner, &s.outline), "{}: outside", g.demands[p.demand].part);
        for h in &s.holes {
            assert!(!inside(corner, h) && !inside(middle(h), &p.outline), "{}: over a hole", g.demands[p.demand].part);
            assert!(apart(&p.outline, h) >= edge - NOISE);
        }
        assert!(apart(&p.outline, &s.outline) >= edge - NOISE);
        for q in &s.placements[i + 1..] {
            let d = apart(&p.outline, &q.outline);
            assert!(d >= between - NOISE, "{d} between {:?} and {:?}", p.at, q.at);
            let within = |a: &[Point], b: &[Point], holes: &[Vec<Point>]| {
                inside(a[0], b) && !holes.iter().any(|h| inside(a[0], h))
            };
            assert!(!within(&p.outline, &q.outline, &q.holes) && !within(&q.outline, &p.outline, &p.holes));
        }
    }
}

fn placed(o: &Outcome) -> usize {
    o.plan.sheets.iter().flat_map(|g| &g.sheets).map(|s| s.placements.len()).sum()
}

#[test]
fn rectangles_come_out_of_an_odd_remnant() {
    let job = [blank("Gusset", "105 mm", "80 mm", 2, ""), blank("Tab", "60 mm", "40 mm", 3, "")].concat();
    let o = outcome(&job, &format!("{STRAIGHT}{ODD}"));
    assert_eq!((o.plan.uncut(), placed(&o)), (0, 5));
    let g = &o.plan.sheets[0];
    assert!(!g.free);
    for s in &g.sheets {
        check(g, s, 2.0, 0.0);
        assert_eq!(s.outline.len(), 6);
        assert!(!s.cuts.is_empty() && s.cuts.iter().all(|c| !c.set.is_empty()));
    }
    // A blank that only the whole box would hold stays uncut.
    let o = outcome(&blank("Plate", "250 mm", "150 mm", 1, ""), &format!("{STRAIGHT}{ODD}"));
    assert_eq!(o.plan.uncut(), 1);
}

#[test]
fn true_outlines_keep_the_gap() {
    let job = [blank("Gusset", "100 mm", "80 mm", 2, ""), blank("Tab", "60 mm", "40 mm", 2, "")].concat();
    let o = outcome(&job, &format!("{FREE}{ODD}"));
    assert_eq!((o.plan.uncut(), placed(&o)), (0, 4));
    let g = &o.plan.sheets[0];
    assert!(g.free);
    for s in &g.sheets {
        check(g, s, 4.0, 4.0);
        assert!(s.cuts.is_empty());
    }
    let json = plan_json(&o.plan);
    let sheet = &json["sheets"][0];
    assert_eq!(sheet["cut"], "free");
    assert_eq!(sheet["placements"].as_array().unwrap().len(), 4);
    assert_eq!(sheet["outline"].as_array().unwrap().len(), 6);
    assert_eq!(plan_csv(&o.plan).lines().count(), 5);
}

#[test]
fn thick_plate_is_cut_straight_where_the_torch_ends() {
    let bin = format!("{}free_up_to = \"4 mm\"\n{ODD}", FREE);
    assert!(!outcome(&blank("Tab", "60 mm", "40 mm", 1, ""), &bin).plan.sheets[0].free);
    let bin = format!("{}free_up_to = \"5 mm\"\n{ODD}", FREE);
    assert!(outcome(&blank("Tab", "60 mm", "40 mm", 1, ""), &bin).plan.sheets[0].free);
}

#[test]
fn a_plate_that_nothing_comes_out_of_is_told() {
    let narrow =
        "[[offcut]]\nid = \"P-9\"\nshape = \"plate\"\nsize = \"5 mm\"\nlength = \"300 mm\"\nwidth = \"7 mm\"\n";
    let o = outcome(&blank("Tab", "60 mm", "40 mm", 1, ""), &format!("{FREE}{ODD}{narrow}"));
    assert!(o.plan.notes.iter().any(|n| n.starts_with("P-9 is left aside")), "{:?}", o.plan.notes);
    assert_eq!(o.plan.uncut(), 0);
}

#[test]
fn the_rolling_direction_is_kept() {
    let plate =
        "[[offcut]]\nid = \"P-1\"\nshape = \"plate\"\nsize = \"5 mm\"\nlength = \"120 mm\"\nwidth = \"200 mm\"\n";
    for head in [STRAIGHT, FREE] {
        let bin = format!("{head}{plate}");
        let any = outcome(&blank("Bracket", "180 mm", "100 mm", 1, ""), &bin);
        assert_eq!((any.plan.uncut(), any.plan.sheets[0].sheets[0].placements[0].turn_deg % 180.0), (0, 90.0));
        let along = outcome(&blank("Bracket", "180 mm", "100 mm", 1, "grain = \"along\""), &bin);
        assert_eq!(along.plan.uncut(), 1);
    }
}

#[test]
fn a_strip_wider_than_any_bar_comes_out_of_plate() {
    let job = r#"
[[cut]]
name = "Wide stay"
shape = "flat bar"
size = "120 x 5 mm"
length = "180 mm"
"#;
    let plate =
        "[[offcut]]\nid = \"P-1\"\nshape = \"plate\"\nsize = \"5 mm\"\nlength = \"400 mm\"\nwidth = \"125 mm\"\n";
    let o = outcome(job, &format!("{STRAIGHT}{plate}"));
    assert_eq!((o.plan.uncut(), placed(&o), o.plan.bars.len()), (0, 1, 0));
    assert!(o.plan.notes.iter().any(|n| n.contains("Wide stay") && n.contains("plate 5 mm")), "{:?}", o.plan.notes);
    let size = o.plan.sheets[0].sheets[0].placements[0].size;
    assert_eq!((size.x, size.y), (180.0, 120.0));
    // With a bar of that size in the bin, it is the bar.
    let bar = "[[offcut]]\nid = \"F-1\"\nshape = \"flat bar\"\nsize = \"120 x 5 mm\"\nlength = \"300 mm\"\n";
    let o = outcome(job, &format!("{STRAIGHT}{plate}{bar}"));
    assert_eq!((o.plan.uncut(), placed(&o), o.plan.bars.len()), (0, 0, 1));
}

#[test]
fn the_paper_shows_every_piece_and_no_two_words_meet() {
    let job = [
        blank("Gusset of the rear frame", "105 mm", "80 mm", 2, ""),
        blank("Tab", "60 mm", "40 mm", 3, ""),
        blank("Washer", "14 mm", "14 mm", 6, ""),
    ]
    .concat();
    for head in [STRAIGHT, FREE] {
        let more =
            "[[offcut]]\nid = \"P-2\"\nshape = \"plate\"\nsize = \"5 mm\"\nlength = \"900 mm\"\nwidth = \"90 mm\"\n";
        let o = outcome(&job, &format!("{head}{ODD}{more}"));
        assert_eq!(o.plan.uncut(), 0);
        let list = sheet_list(&o.plan, System::Metric);
        let pages = draw_sheet_list("Plates", &["Head.".to_string()], &list, &["Foot.".to_string()], Paper::A4);
        let mut rows = 0;
        for page in &pages {
            let all = texts(page);
            for (i, a) in all.iter().enumerate() {
                let (la, ha) = (a.bounds().low, a.bounds().high);
                assert!(la.x > 11.0 && ha.x < 199.0 && la.y > 10.0 && ha.y < 286.0, "{a:?}");
                rows += usize::from(list.iter().flat_map(|s| &s.pieces).any(|p| p.chalk == a.text));
                for b in &all[i + 1..] {
                    let (lb, hb) = (b.bounds().low, b.bounds().high);
                    let clear = ha.x <= lb.x + 0.2 || hb.x <= la.x + 0.2 || ha.y <= lb.y + 0.9 || hb.y <= la.y + 0.9;
                    assert!(clear, "{a:?} and {b:?}");
                }
            }
        }
        assert!(rows >= list.iter().map(|s| s.pieces.len()).sum::<usize>());
        assert!(plan_text(&o.plan, System::Metric).contains("places from the lower left corner"));
    }
}

fn texts(page: &Page) -> Vec<&Text> {
    page.items
        .iter()
        .filter_map(|i| match i {
            Item::Text { text, .. } if !text.text.is_empty() => Some(text),
            _ => None,
        })
        .collect()
}
