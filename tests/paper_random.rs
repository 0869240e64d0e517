//! Drilling templates of 500 random pieces of all three forms, on all papers,
//! both ways of drawing long pieces, with and without a printer's correction:
//! read back from the finished file, and looked over for lettering that collides.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end
#![allow(clippy::too_many_lines)] // one walk over what a page shows, in its order

use droprack::drawing::{
    Item, JobHeader, Long, MARGIN_MM, Page, Paper, PaperUnits, PrinterCorrection, Shape, View, draw_templates, views,
    wrapped,
};
use droprack::export::pdf::write_pdf;
use droprack::flat::{FlatPattern, unfold};
use droprack::geom::{Bounds, Point, rectangle};
use droprack::piece::{
    Bend, BendTurn, End, EndShape, Face, FaceHole, Flat, Form, Hole, HoleShape, Piece, Plate, Section, Step, Stock,
    Strip, StripHole, profile_of,
};
use droprack::units::{Angle, Length};
use lopdf::Document;
use readback::{Path, paths};

mod readback;

struct Dice(u64);
impl Dice {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
    fn between(&mut self, a: f64, b: f64) -> f64 {
        a + (b - a) * self.next()
    }
    fn of(&mut self, n: usize) -> usize {
        (self.next() * n as f64) as usize % n
    }
}

fn stock(shape: &str, size: &[f64]) -> Stock {
    Stock { shape: shape.into(), size: size.iter().map(|s| Length::mm(*s)).collect(), material: "mild steel".into() }
}

fn hole(name: &str, shape: HoleShape, x: f64, y: f64) -> Hole {
    Hole { name: name.into(), shape, at: Point::new(x, y), bolt: true }
}

fn shape(d: &mut Dice, room: f64) -> HoleShape {
    let size = d.between(3.0, room.min(20.0));
    match d.of(5) {
        0 => HoleShape::Slot { length: (size * 1.6).min(room), width: size, lies: 0.0 },
        1 => HoleShape::Ellipse { major: (size * 1.3).min(room), minor: size, lies: 0.3 },
        _ => HoleShape::Round { diameter: size },
    }
}

fn plate(d: &mut Dice) -> (Form, Stock) {
    let (l, w, t) = (d.between(60.0, 700.0), d.between(40.0, 400.0), d.between(2.0, 12.0));
    let mut holes = vec![];
    let (nx, ny) = ((l / 60.0) as usize, (w / 60.0) as usize);
    for i in 0..nx {
        for j in 0..ny {
            if d.next() < 0.35 {
                let at = (30.0 + 60.0 * i as f64 + d.between(-3.0, 3.0), 30.0 + 60.0 * j as f64 + d.between(-3.0, 3.0));
                holes.push(hole(&format!("h{i}{j}"), shape(d, 30.0), at.0, at.1));
            }
        }
    }
    let outline = rectangle(Point::default(), l, w, d.between(0.0, 15.0));
    (Form::Plate(Plate { thickness: Length::mm(t), outline, holes }), stock("plate", &[t]))
}

fn strip(d: &mut Dice) -> (Form, Stock) {
    let (w, t) = (d.between(20.0, 80.0), d.between(2.0, 6.0));
    let n = 1 + d.of(5);
    let mut steps = vec![];
    let mut holes = vec![];
    for i in 0..=n {
        let length = d.between(40.0, 320.0);
        if d.next() < 0.7 {
            let at = (d.between(18.0, length - 18.0), w / 2.0);
            holes.push(StripHole {
                step: steps.len(),
                hole: hole(&format!("h{i}"), HoleShape::Round { diameter: d.between(4.0, w * 0.5) }, at.0, at.1),
            });
        }
        steps.push(Step::Flat(Flat { name: format!("flat {i}"), length: Length::mm(length) }));
        if i < n {
            let turn = if d.next() < 0.5 { BendTurn::Up } else { BendTurn::Down };
            let (a, r) = (d.between(10.0, 150.0), d.between(3.0, 40.0));
            steps.push(Step::Bend(Bend { angle: Angle::degrees(a), turn, inside_radius: Length::mm(r), k: 0.42 }));
        }
    }
    let s = Strip {
        width: Length::mm(w),
        thickness: Length::mm(t),
        steps,
        left: EndShape::Square,
        right: EndShape::Rounded,
        holes,
    };
    (Form::Strip(s), stock("flat bar", &[w, t]))
}

fn section(d: &mut Dice) -> (Form, Stock) {
    let side = d.between(25.0, 70.0);
    let (name, size): (&str, Vec<f64>) = match d.of(4) {
        0 => ("square tube", vec![side, side, 3.0]),
        1 => ("angle", vec![side, side, 4.0]),
        2 => ("round tube", vec![side, 3.0]),
        _ => ("rectangular tube", vec![side, side * 0.6, 2.5]),
    };
    let stock = stock(name, &size);
    let profile = profile_of(&stock).unwrap();
    let length = d.between(80.0, 900.0);
    let end = |d: &mut Dice| {
        let mut e = End::square();
        match d.of(3) {
            0 => e.angle = Angle::degrees(d.between(40.0, 140.0)),
            1 if name == "round tube" => e.cope = Some(Length::mm(side * d.between(0.55, 1.5))),
            _ => {}
        }
        e
    };
    let (left, right) = (end(d), end(d));
    let mut holes = vec![];
    let mut x = 75.0;
    while x < length - 75.0 {
        if d.next() < 0.5 {
            let faces = profile.faces();
            let (face, _, width) = faces[d.of(faces.len())];
            let w = width.to_mm();
            let at = if name == "angle" { w * 0.6 } else { w / 2.0 };
            let size = d.between(4.0, w * 0.25);
            let face_hole = FaceHole {
                face,
                through: d.next() < 0.3 && name.ends_with("tube") && face == Face::Top && name != "round tube",
                hole: hole("bolt", HoleShape::Round { diameter: size }, x, at),
            };
            holes.push(face_hole);
        }
        x += 60.0;
    }
    (Form::Section(Section { profile, length: Length::mm(length), left, right, holes }), stock)
}

fn random_pieces(n: usize) -> Vec<FlatPattern> {
    let mut d = Dice(42);
    let mut out = vec![];
    while out.len() < n {
        let (form, stock) = match out.len() % 3 {
            0 => plate(&mut d),
            1 => strip(&mut d),
            _ => section(&mut d),
        };
        let piece = Piece {
            part: format!("part {}", out.len()),
            name: format!("piece {}", out.len()),
            copies: 1 + d.of(3) as u32,
            hand: None,
            form,
            stock,
            places: vec![],
            notes: vec!["Weld all round".into()],
            cautions: vec!["Mind the tank: no hot work beside it.".into()],
        };
        // What cannot be made is told elsewhere.
        out.extend(unfold(&piece, 7850.0));
    }
    out
}

/// Texts with their boxes on the page, windows moved in; those that a window cuts off are left out.
fn texts(items: &[Item], offset: Point, clip: Option<Bounds>, out: &mut Vec<(String, Bounds)>) {
    for item in items {
        match item {
            Item::Text { text, .. } => {
                let b = text.bounds();
                let b = Bounds { low: b.low + offset, high: b.high + offset };
                let inside = |c: Bounds| {
                    b.low.x >= c.low.x - 0.1
                        && b.high.x <= c.high.x + 0.1
                        && b.low.y >= c.low.y - 0.6
                        && b.high.y <= c.high.y + 0.1
                };
                if clip.is_none_or(inside) {
                    out.push((text.text.clone(), b));
                }
            }
            Item::Window { clip, offset, items } => texts(items, *offset, Some(*clip), out),
            _ => {}
        }
    }
}

/// Rims of holes on the page.
fn rims(items: &[Item], offset: Point, clip: Option<Bounds>, out: &mut Vec<Bounds>) {
    for item in items {
        match item {
            Item::Stroke { layer: droprack::drawing::Layer::Holes, shape, .. } => {
                let b = shape.bounds().unwrap();
                let (mut low, mut high) = (b.low + offset, b.high + offset);
                if let Some(c) = clip {
                    low = Point::new(low.x.max(c.low.x), low.y.max(c.low.y));
                    high = Point::new(high.x.min(c.high.x), high.y.min(c.high.y));
                }
                out.push(Bounds { low, high });
            }
            Item::Window { offset, items, clip } => rims(items, *offset, Some(*clip), out),
            _ => {}
        }
    }
}

fn shared(a: &Bounds, b: &Bounds) -> f64 {
    let x = a.high.x.min(b.high.x) - a.low.x.max(b.low.x);
    let y = a.high.y.min(b.high.y) - a.low.y.max(b.low.y);
    if x > 0.0 && y > 0.0 { x.min(y) } else { 0.0 }
}

fn collisions(page: &Page, n: usize, what: &str, faults: &mut Vec<String>) {
    let (mut words, mut holes) = (vec![], vec![]);
    texts(&page.items, Point::default(), None, &mut words);
    rims(&page.items, Point::default(), None, &mut holes);
    for (i, (text, b)) in words.iter().enumerate() {
        for (other, o) in &words[i + 1..] {
            if shared(b, o) > 0.35 {
                faults.push(format!("{what}, page {}: \"{text}\" runs into \"{other}\" by {:.2}", n + 1, shared(b, o)));
            }
        }
        for r in &holes {
            if shared(b, r) > 0.35 {
                faults.push(format!("{what}, page {}: \"{text}\" runs into a hole by {:.2}", n + 1, shared(b, r)));
            }
        }
        let (w, h) = (page.width / page.scale.0, page.height / page.scale.1);
        let edge = MARGIN_MM / page.scale.0.max(page.scale.1) - 1.0;
        if b.low.x < edge || b.low.y < edge || b.high.x > w - edge || b.high.y > h - edge {
            faults.push(format!("{what}, page {}: \"{text}\" leaves the margin", n + 1));
        }
    }
}

fn jobs() -> Vec<(String, JobHeader)> {
    let mut out = vec![];
    for (k, paper) in [Paper::A4, Paper::Letter, Paper::A3].into_iter().enumerate() {
        for long in [Long::Tile, Long::Ends] {
            let units = if paper == Paper::Letter { PaperUnits::Inch } else { PaperUnits::Metric };
            let correction = if (k % 2 == 0) == (long == Long::Tile) {
                PrinterCorrection::from_measured(100.0, 99.1, 100.7)
            } else {
                PrinterCorrection::default()
            };
            let job = JobHeader { long, correction, ..JobHeader::new("Juniper", units, "fedcba9876543210", paper) };
            out.push((format!("{paper:?} {long:?} {}", if correction.is_none() { "plain" } else { "corrected" }), job));
        }
    }
    out
}

/// What the drawing of a piece should show: its view, in its own millimetres.
fn truth(p: &FlatPattern) -> Vec<View> {
    wrapped(p).map_or_else(|| views(p, 30.0), |w| vec![w])
}

/// Paths of a page, the correction taken out again.
fn read(file: &Document, id: lopdf::ObjectId, scale: (f64, f64)) -> Vec<Path> {
    let back = |p: Point| Point::new(p.x / scale.0, p.y / scale.1);
    let mut all = paths(file, id);
    for p in &mut all {
        p.points.iter_mut().for_each(|q| *q = back(*q));
        p.clip = p.clip.map(|c| Bounds { low: back(c.low), high: back(c.high) });
    }
    all
}

/// Sizes and centres of what is on the layer of the holes.
fn found_holes(paths: &[Path]) -> Vec<Bounds> {
    paths.iter().filter(|p| p.layer == "L1").filter_map(|p| Bounds::of(p.points.iter().copied())).collect()
}

#[test]
fn nothing_collides_and_nothing_leaves_the_margin() {
    let pieces = random_pieces(500);
    let mut faults = vec![];
    for (what, job) in jobs() {
        for (n, page) in draw_templates(&pieces, &job).pages.iter().enumerate() {
            collisions(page, n, &what, &mut faults);
        }
    }
    let n = faults.len();
    faults.sort_by_key(|f| f.split_once(": ").map(|p| p.1.to_string()));
    faults.dedup_by_key(|f| f.split_once(": ").map(|p| p.1.to_string()));
    faults.truncate(40);
    assert!(n == 0, "{n} collisions:\n{}", faults.join("\n"));
}

#[test]
fn holes_outlines_and_bends_read_back_within_a_micrometre() {
    let pieces = random_pieces(500);
    let (mut compared, mut worst, mut whole_holes) = (0usize, 0.0f64, 0usize);
    for (what, job) in jobs() {
        let drawn = draw_templates(&pieces, &job);
        let pdf = write_pdf("Juniper", &drawn.pages, &drawn.marks).unwrap();
        let file = Document::load_mem(&pdf.bytes).unwrap();
        let ids: Vec<_> = file.get_pages().values().copied().collect();
        assert_eq!(ids.len(), drawn.pages.len());
        let all: Vec<Vec<Path>> = ids.iter().zip(&drawn.pages).map(|(id, p)| read(&file, *id, p.scale)).collect();
        for (i, p) in pieces.iter().enumerate() {
            // Windows of this piece: by the offset that the model gives them.
            let mut shown: Vec<(usize, Point, Bounds)> = vec![];
            for (n, page) in drawn.pages.iter().enumerate() {
                if n < drawn.marks[i].page {
                    continue;
                }
                for item in &page.items {
                    if let Item::Window { clip, offset, items } = item
                        && items.iter().any(|x| matches!(x, Item::Stroke { shape: Shape::Outline(l), .. } if truth(p).iter().any(|v| v.outline == *l)))
                    {
                        shown.push((n, *offset, *clip));
                    }
                }
                if n > drawn.marks[i].page + 40 {
                    break;
                }
            }
            assert!(!shown.is_empty(), "{what}: {} is nowhere", p.piece);
            for view in truth(p) {
                for h in &view.holes {
                    let want = droprack_rim(&h.shape, h.at);
                    let mut whole = false;
                    for (n, offset, clip) in &shown {
                        let at = Bounds { low: want.low + *offset, high: want.high + *offset };
                        let inside = at.low.x >= clip.low.x
                            && at.high.x <= clip.high.x
                            && at.low.y >= clip.low.y
                            && at.high.y <= clip.high.y;
                        if !inside {
                            continue;
                        }
                        whole = true;
                        let best = found_holes(&all[*n])
                            .into_iter()
                            .map(|b| b.low.distance(at.low).max(b.high.distance(at.high)))
                            .fold(f64::INFINITY, f64::min);
                        worst = worst.max(best);
                        compared += 1;
                    }
                    whole_holes += usize::from(whole);
                    let b = at_most_paper(&job, &want);
                    assert!(whole || !b, "{what}: {} hole {} is whole on no sheet", p.piece, h.letter);
                }
                for (n, offset, clip) in &shown {
                    let corners = view.outline.segments().iter().map(|s| s.from()).collect::<Vec<_>>();
                    let cuts: Vec<Point> =
                        all[*n].iter().filter(|q| q.layer == "L0").flat_map(|q| q.points.clone()).collect();
                    for c in corners
                        .iter()
                        .map(|c| *c + *offset)
                        .filter(|c| c.x > clip.low.x && c.x < clip.high.x && c.y > clip.low.y && c.y < clip.high.y)
                    {
                        let best = cuts.iter().map(|q| q.distance(c)).fold(f64::INFINITY, f64::min);
                        worst = worst.max(best);
                        compared += 1;
                    }
                    let bends: Vec<Point> =
                        all[*n].iter().filter(|q| q.layer == "L2").flat_map(|q| q.points.clone()).collect();
                    for b in &view.bends {
                        for x in [b.tangent_left, b.from.x, b.tangent_right] {
                            let c = Point::new(x, b.from.y) + *offset;
                            if c.x > clip.low.x && c.x < clip.high.x && c.y > clip.low.y && c.y < clip.high.y {
                                let best = bends.iter().map(|q| q.distance(c)).fold(f64::INFINITY, f64::min);
                                worst = worst.max(best);
                                compared += 1;
                            }
                        }
                    }
                }
            }
        }
    }
    assert!(worst < 1e-3, "worst {worst} mm");
    assert!(compared > 20_000 && whole_holes > 5_000, "{compared} places, {whole_holes} holes");
    println!("{compared} places, worst {worst:.1e} mm");
}

/// Round rims that are whole on the page: centre and diameter.
fn whole_circles(items: &[Item], offset: Point, clip: Option<Bounds>, out: &mut Vec<serde_json::Value>) {
    for item in items {
        match item {
            Item::Stroke {
                layer: droprack::drawing::Layer::Holes, shape: Shape::Arc { centre, radius, .. }, ..
            } => {
                let c = *centre + offset;
                let reach = radius + 1.0;
                let whole = clip.is_none_or(|b| {
                    c.x - reach > b.low.x && c.x + reach < b.high.x && c.y - reach > b.low.y && c.y + reach < b.high.y
                });
                if whole {
                    out.push(serde_json::json!([c.x, c.y, radius * 2.0]));
                }
            }
            Item::Window { offset, items, clip } => whole_circles(items, *offset, Some(*clip), out),
            _ => {}
        }
    }
}

/// Writes a set of pages and where its holes and bars are, into the folder of
/// `PAPER_TRUTH`, for a renderer outside of this project (`tests/outside/paper.py`).
#[test]
fn truth_for_an_outside_renderer() {
    let pieces = random_pieces(45);
    let job = JobHeader::new("Juniper", PaperUnits::Metric, "fedcba9876543210", Paper::A4);
    let drawn = draw_templates(&pieces, &job);
    let pages: Vec<serde_json::Value> = drawn
        .pages
        .iter()
        .map(|p| {
            let mut circles = vec![];
            whole_circles(&p.items, Point::default(), None, &mut circles);
            let bars: Vec<serde_json::Value> = p
                .items
                .iter()
                .filter_map(|i| match i {
                    Item::Fill { layer: droprack::drawing::Layer::Frame, outline }
                        if outline.segments().len() >= 12 =>
                    {
                        let b = outline.bounds()?;
                        Some(serde_json::json!([b.low.x, b.low.y, b.high.x, b.high.y]))
                    }
                    _ => None,
                })
                .collect();
            assert_eq!(bars.len(), 2, "two check bars on every page");
            serde_json::json!({ "width": p.width, "height": p.height, "circles": circles, "bars": bars })
        })
        .collect();
    assert!(pages.iter().map(|p| p["circles"].as_array().unwrap().len()).sum::<usize>() > 60);
    if let Some(folder) = std::env::var_os("PAPER_TRUTH") {
        use std::io::Write;
        let folder = std::path::PathBuf::from(folder);
        let put =
            |name: &str, bytes: &[u8]| std::fs::File::create(folder.join(name)).unwrap().write_all(bytes).unwrap();
        put("paper.pdf", &write_pdf("Juniper", &drawn.pages, &drawn.marks).unwrap().bytes);
        put("paper.json", serde_json::Value::Array(pages).to_string().as_bytes());
    }
}

/// Box round a rim as the file's curves end: at the quarter points.
fn droprack_rim(shape: &HoleShape, at: Point) -> Bounds {
    match *shape {
        // The ends of the curves of an ellipse lie at every eighth of its own turn.
        HoleShape::Ellipse { major, minor, lies } => Bounds::of((0..8).map(|k| {
            let t = f64::from(k) * std::f64::consts::FRAC_PI_4;
            at + Point::new(major / 2.0 * libm::cos(t), minor / 2.0 * libm::sin(t)).turned(lies)
        }))
        .unwrap(),
        _ => shape.outline(at).unwrap().bounds().unwrap(),
    }
}

/// Whether a rim with its hairs and letter can be whole on one sheet at all.
fn at_most_paper(job: &JobHeader, rim: &Bounds) -> bool {
    let (w, h) = job.paper.size_mm();
    rim.width() < w - 60.0 && rim.height() < h - 160.0
}
