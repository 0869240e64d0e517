//! The drilling templates read back from the finished file: every hole at true
//! size, whole on one sheet at least, on both papers.

// A file that cannot be read back is a failed test.
#![allow(clippy::unwrap_used)]

use droprack::drawing::{self, JobHeader, Paper, PaperUnits};
use droprack::export::pdf::write_pdf;
use droprack::export::svg::write_svg;
use droprack::flat::{BendLine, FaceView, FlatHole, FlatPattern};
use droprack::geom::{Bounds, Loop, Point, rectangle};
use droprack::piece::{BendTurn, Face, Hand, HoleShape, Stock};
use droprack::units::{Angle, Length, Mass};
use lopdf::Document;
use readback::{MM, Path, number, paths};

mod readback;

/// Full circles on the layer of the holes: centre, diameter, clip.
fn circles(paths: &[Path]) -> Vec<(Point, f64, Bounds)> {
    // Full turns only; an ellipse has eight curves too, but is not as wide as high.
    let rim = |p: &&Path| {
        let square = |b: Bounds| (b.width() - b.height()).abs() < 1e-3;
        p.layer == "L1" && p.curves == 8 && p.lines == 0 && Bounds::of(p.points.clone()).is_some_and(square)
    };
    paths
        .iter()
        .filter(rim)
        .map(|p| {
            let q = &p.points[..8];
            let c = q.iter().fold(Point::default(), |a, b| a + *b * 0.125);
            (c, q.iter().map(|b| b.distance(c)).sum::<f64>() / 4.0, p.clip.expect("holes are drawn in a window"))
        })
        .collect()
}

struct Dice(u64);
impl Dice {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
    fn between(&mut self, a: f64, b: f64) -> f64 {
        a + (b - a) * self.next()
    }
}

fn letter(i: usize) -> String {
    let c = |n: usize| char::from(b'A' + n as u8);
    if i < 26 { c(i).to_string() } else { format!("{}{}", c(i / 26 - 1), c(i % 26)) }
}

fn blank(form: &'static str, length: f64, width: f64) -> FlatPattern {
    FlatPattern {
        part: "front tank mount".into(),
        piece: form.into(),
        copies: 2,
        hand: (form == "strip").then_some(Hand::Left),
        form,
        stock: Stock {
            shape: "flat bar".into(),
            size: vec![Length::mm(width), Length::mm(5.0)],
            material: "S235JR".into(),
        },
        length: Length::mm(length),
        width: Length::mm(width),
        thickness: Length::mm(5.0),
        outline: rectangle(Point::default(), length, width, 0.0),
        cut_outs: vec![],
        bend_lines: vec![],
        holes: vec![],
        faces: vec![],
        ends_deg: None,
        mass: Mass::kg(length * width * 5.0 * 7.85e-6),
        volume_mm3: length * width * 5.0,
        wrap: droprack::flat::Wrap::None,
        cut_lines: vec![],
        hash: "0123456789ab".into(),
        notes: vec!["Ream the bores to size after welding; deburr both sides.".into()],
        cautions: vec!["A load-bearing mount: have the welds looked at before the first run.".into()],
    }
}

fn hole(i: usize, face: &str, shape: HoleShape, x: f64, y: f64) -> FlatHole {
    FlatHole { letter: letter(i), name: "bolt".into(), face: face.into(), shape, at: Point::new(x, y), flat: None }
}

fn strip(length: f64, width: f64, bends: &[f64]) -> FlatPattern {
    let mut p = blank("strip", length, width);
    p.bend_lines = bends
        .iter()
        .enumerate()
        .map(|(i, &x)| BendLine {
            from: Point::new(x, 0.0),
            to: Point::new(x, width),
            tangent_left: x - 5.0,
            tangent_right: x + 5.0,
            angle: Angle::degrees(90.0),
            inside_radius: Length::mm(4.0),
            turn: if i % 2 == 0 { BendTurn::Up } else { BendTurn::Down },
            k: 0.42,
        })
        .collect();
    p
}

/// An angle with a mitred end: flat leg and upright leg (y down).
fn section(length: f64) -> FlatPattern {
    let mut p = blank("section", length, 40.0);
    let corner = |x: f64, y: f64| Point::new(x, y);
    let mitre = Loop::straight(&[corner(0.0, 0.0), corner(length, 0.0), corner(length, 40.0), corner(40.0, 40.0)]);
    p.outline = mitre.clone();
    p.faces = vec![
        FaceView { face: Face::Top, word: "flat leg".into(), outline: mitre, y_down: false },
        FaceView {
            face: Face::Front,
            word: "upright leg".into(),
            outline: rectangle(Point::default(), length, 40.0, 0.0),
            y_down: true,
        },
    ];
    p.ends_deg = Some((45.0, 90.0));
    p.holes = vec![
        hole(0, "flat leg", HoleShape::Round { diameter: 10.5 }, 70.0, 22.0),
        hole(1, "upright leg", HoleShape::Round { diameter: 8.5 }, 30.0, 12.0),
        hole(2, "upright leg", HoleShape::Slot { length: 22.0, width: 9.0, lies: 0.5 }, 110.0, 25.0),
    ];
    p
}

fn pieces() -> Vec<FlatPattern> {
    let mut dice = Dice(7);
    let mut out = vec![section(180.0), section(900.0)];
    let mut first = strip(236.0, 40.0, &[60.0, 84.0, 150.0]);
    let round = |d| HoleShape::Round { diameter: d };
    first.holes = vec![
        hole(0, "outside", round(10.5), 20.0, 20.0),
        hole(1, "outside", HoleShape::Slot { length: 24.0, width: 9.0, lies: 0.0 }, 116.0, 20.0),
        hole(2, "outside", HoleShape::Ellipse { major: 26.0, minor: 14.0, lies: 0.3 }, 200.0, 20.0),
    ];
    out.push(first);
    for i in 0..23 {
        let plate = i % 2 == 1;
        let length = dice.between(60.0, 1000.0);
        let width = if plate { dice.between(60.0, 420.0) } else { dice.between(25.0, 80.0) };
        let mut p =
            if plate { blank("plate", length, width) } else { strip(length, width, &[length * 0.4, length * 0.6]) };
        for k in 0..2 + i {
            let d = dice.between(3.0, width.min(60.0) / 2.0);
            let r = d / 2.0 + 2.0;
            let (x, y) = (dice.between(r, length - r), dice.between(r, width - r));
            p.holes.push(hole(k, "outside", round(d), x, y));
        }
        out.push(p);
    }
    out
}

fn job(paper: Paper, units: PaperUnits) -> JobHeader {
    JobHeader::new("Juniper", units, "fedcba9876543210", paper)
}

/// The pages of one piece, read back.
fn read_back(p: &FlatPattern, job: &JobHeader) -> (Document, Vec<Vec<Path>>) {
    let drawn = drawing::draw_templates(std::slice::from_ref(p), job);
    let out = write_pdf("Juniper", &drawn.pages, &drawn.marks).unwrap();
    assert_eq!(out.notes, Vec::<String>::new());
    let file = Document::load_mem(&out.bytes).unwrap();
    let all = file.get_pages().values().map(|id| paths(&file, *id)).collect();
    (file, all)
}

/// Round holes as the paper should show them, from the first one, mirrored where
/// the face is. Only faces seen upright in one view are compared with one another.
fn truth(p: &FlatPattern) -> Vec<Vec<(Point, f64)>> {
    let round = |h: &FlatHole, down: bool| match h.shape {
        HoleShape::Round { diameter } => Some((Point::new(h.at.x, if down { -h.at.y } else { h.at.y }), diameter)),
        _ => None,
    };
    if p.faces.is_empty() {
        return vec![p.holes.iter().filter_map(|h| round(h, false)).collect()];
    }
    let on = |f: &FaceView| p.holes.iter().filter(|h| h.face == f.word).filter_map(|h| round(h, f.y_down)).collect();
    p.faces.iter().map(on).collect()
}

#[test]
fn every_hole_is_true_and_whole_on_one_sheet() {
    let (mut worst, mut holes) = (0.0f64, 0);
    for (paper, units) in [(Paper::A4, PaperUnits::Metric), (Paper::Letter, PaperUnits::Inch)] {
        let printable = |w: f64, h: f64| Bounds { low: Point::new(12.0, 12.0), high: Point::new(w - 12.0, h - 12.0) };
        for p in pieces() {
            let (file, pages) = read_back(&p, &job(paper, units));
            let views = drawing::views(&p, 30.0);
            let mut whole = vec![false; p.holes.len()];
            for (id, page) in file.get_pages().values().zip(&pages) {
                let media: Vec<f64> = file
                    .get_dictionary(*id)
                    .unwrap()
                    .get(b"MediaBox")
                    .unwrap()
                    .as_array()
                    .unwrap()
                    .iter()
                    .map(|o| number(o) * MM)
                    .collect();
                let area = printable(media[2], media[3]);
                // The finished edge fixes where the drawing stands on this sheet.
                let Some(edge) = page.iter().find(|q| q.layer == "L0") else { continue };
                let view = views.iter().find(|v| {
                    let b = Bounds::of(edge.points.clone()).unwrap();
                    (v.bounds.width() - b.width()).abs() < 1e-3 && (v.bounds.height() - b.height()).abs() < 1e-3
                });
                let b = Bounds::of(edge.points.clone()).unwrap();
                let offset = b.low - view.expect("the outline is one of the views").bounds.low;
                for (c, d, clip) in circles(page) {
                    assert!(clip.low.x >= area.low.x - 1e-3 && clip.high.x <= area.high.x + 1e-3);
                    assert!(clip.low.y >= area.low.y - 1e-3 && clip.high.y <= area.high.y + 1e-3);
                    let reach = d / 2.0 + drawing::HAIR_MM;
                    let inside = c.x - reach >= clip.low.x
                        && c.x + reach <= clip.high.x
                        && c.y - reach >= clip.low.y
                        && c.y + reach <= clip.high.y;
                    let drawn = views.iter().flat_map(|v| &v.holes).filter_map(|h| match h.shape {
                        HoleShape::Round { diameter } => {
                            let e = (h.at + offset).distance(c).max((diameter - d).abs());
                            Some((e, h.letter.clone()))
                        }
                        _ => None,
                    });
                    let (e, name) = drawn.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
                    worst = worst.max(e);
                    assert!(e < 1e-3, "{}: hole {name} is {e} mm off", p.key());
                    if inside {
                        whole[p.holes.iter().position(|h| h.letter == name).unwrap()] = true;
                    }
                }
            }
            for (h, whole) in p.holes.iter().zip(whole) {
                if matches!(h.shape, HoleShape::Round { .. }) {
                    assert!(whole, "{} of {} mm: hole {} is whole nowhere", p.form, p.length.to_mm(), h.letter);
                    holes += 1;
                }
            }
        }
    }
    assert!(holes > 500, "only {holes} holes were compared");
    println!("{holes} holes, worst {worst:.1e} mm");
}

#[test]
fn a_face_seen_from_outside_is_mirrored_where_its_y_runs_down() {
    let p = section(180.0);
    let (_, pages) = read_back(&p, &job(Paper::A4, PaperUnits::Metric));
    let found = circles(&pages[0]);
    let want = truth(&p);
    let place = |d: f64| found.iter().find(|c| (c.1 - d).abs() < 1e-3).unwrap().0;
    let (a, b) = (place(10.5), place(8.5));
    // Heel edges 30 mm apart; the flat leg reads up from its heel, the upright leg down.
    assert!((a.x - b.x - (want[0][0].0.x - want[1][0].0.x)).abs() < 1e-3);
    assert!((a.y - b.y - (22.0 + 30.0 + 12.0)).abs() < 1e-3, "{} {}", a.y, b.y);
}

#[test]
fn both_papers_carry_exact_check_bars_and_ask_for_no_scaling() {
    for (paper, units, w, h, bar) in
        [(Paper::A4, PaperUnits::Metric, 210.0, 297.0, 100.0), (Paper::Letter, PaperUnits::Inch, 215.9, 279.4, 101.6)]
    {
        for p in pieces() {
            let (file, pages) = read_back(&p, &job(paper, units));
            let view = file.catalog().unwrap().get(b"ViewerPreferences").unwrap().as_dict().unwrap();
            assert_eq!(view.get(b"PrintScaling").unwrap().as_name().unwrap(), b"None");
            for (id, page) in file.get_pages().values().zip(pages) {
                let dict = file.get_dictionary(*id).unwrap();
                assert!(!dict.has(b"UserUnit"));
                let media: Vec<f64> =
                    dict.get(b"MediaBox").unwrap().as_array().unwrap().iter().map(|o| number(o) * MM).collect();
                let (long, short) = (media[2].max(media[3]), media[2].min(media[3]));
                assert!((long - h).abs() < 1e-3 && (short - w).abs() < 1e-3, "{media:?}");
                let fills = page.iter().filter(|q| q.filled && q.layer == "L5" && q.points.len() >= 12);
                let sizes: Vec<Bounds> = fills.filter_map(|q| Bounds::of(q.points.clone())).collect();
                assert!(sizes.iter().any(|b| (b.width() - bar).abs() < 1e-3), "no X bar");
                assert!(sizes.iter().any(|b| (b.height() - bar).abs() < 1e-3), "no Y bar");
            }
        }
    }
}

#[test]
fn the_same_pieces_give_the_same_bytes() {
    let make = || {
        let drawn = drawing::draw_templates(&pieces(), &job(Paper::A4, PaperUnits::Metric));
        write_pdf("Juniper", &drawn.pages, &drawn.marks).unwrap()
    };
    let (a, b) = (make(), make());
    assert!(a.bytes == b.bytes && a.bytes.len() > 10_000);
}

/// Writes the whole set to the path in `PAPER_OUT`, to be looked at.
#[test]
fn the_set_is_written_where_it_can_be_looked_at() {
    let drawn = drawing::draw_templates(&pieces(), &job(Paper::A4, PaperUnits::Metric));
    let out = write_pdf("Juniper", &drawn.pages, &drawn.marks).unwrap();
    assert!(out.bytes.starts_with(b"%PDF-1.7"));
    if let Some(path) = std::env::var_os("PAPER_OUT") {
        use std::io::Write;
        std::fs::File::create(path).unwrap().write_all(&out.bytes).unwrap();
    }
}

#[test]
fn an_svg_is_in_millimetres_with_y_down_and_holes_first() {
    let mut p = blank("plate", 120.0, 60.0);
    p.outline = rectangle(Point::default(), 120.0, 60.0, 10.0);
    p.holes = vec![hole(0, "outside", HoleShape::Round { diameter: 10.5 }, 20.0, 15.0)];
    let svg = write_svg(&p, None).unwrap();
    assert!(svg.contains("width=\"130mm\" height=\"70mm\" viewBox=\"-5 -5 130 70\""), "{svg}");
    assert!(svg.contains("<circle cx=\"20\" cy=\"45\" r=\"5.25\"/>"));
    // Counter-clockwise with y up is drawn without the sweep flag once y runs down.
    assert!(svg.contains("A 10 10 0 0 0 120 50"), "{svg}");
    assert!(svg.find("id=\"holes\"") < svg.find("id=\"cut\""));
    assert_eq!(svg, write_svg(&p, None).unwrap());
}

#[test]
fn a_piece_without_cautions_points_to_none() {
    let says = |p: &FlatPattern| {
        format!("{:?}", drawing::draw_templates(std::slice::from_ref(p), &job(Paper::A4, PaperUnits::Metric)))
    };
    let mut p = strip(500.0, 77.0, &[200.0]);
    p.holes =
        (0..40).map(|i| hole(i, "outside", HoleShape::Round { diameter: 3.0 }, 10.0 + 12.0 * i as f64, 20.0)).collect();
    assert!(says(&p).contains("CAUTION: read page"));
    p.cautions.clear();
    assert!(!says(&p).contains("CAUTION"));
}
