//! Section properties, held against published tables and against an integration
//! that knows nothing of the library: the width of the section, strip by strip.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::handbook::material::STEEL_KG_PER_M3;
use droprack::handbook::section::{Properties, Shape};
use droprack::handbook::section_radii::{TubeMake, angle_radii, tube_corners};
use droprack::units::Length;

const PUBLISHED: &str = include_str!("sections/published.txt");

/// One line: the shape whose moments are printed, the shape whose mass is, the
/// numbers as printed.
struct Line {
    text: &'static str,
    shape: Shape,
    heavy: Shape,
    printed: Vec<&'static str>,
    american: bool,
}

fn mm(v: f64) -> Length {
    Length::mm(v)
}

fn tube(make: TubeMake, depth: f64, width: f64, wall: f64) -> Shape {
    let c = tube_corners(make, mm(wall));
    Shape::RectTube { depth: mm(depth), width: mm(width), wall: mm(wall), outer_radius: c.outer, inner_radius: c.inner }
}

fn round_tube(outside: f64, wall: f64) -> Shape {
    Shape::RoundTube { outside: mm(outside), wall: mm(wall) }
}

fn angle(s: &[f64]) -> Shape {
    Shape::Angle {
        upright: mm(s[0]),
        across: mm(s[1]),
        thickness: mm(s[2]),
        root_radius: mm(s[3]),
        toe_radius: mm(s[4]),
    }
}

fn lines() -> Vec<Line> {
    let all = PUBLISHED.lines().filter(|l| !l.starts_with('#') && !l.is_empty());
    all.map(|text| {
        let (left, right) = text.split_once(" : ").unwrap();
        let mut words = left.split(' ');
        let kind = words.next().unwrap();
        let s: Vec<f64> = words.map(|w| w.parse().unwrap()).collect();
        let inch: Vec<f64> = s.iter().map(|v| v * 25.4).collect();
        let (shape, heavy) = match kind {
            "cold" => (tube(TubeMake::ColdFormed, s[0], s[1], s[2]), None),
            "hot" => (tube(TubeMake::HotFinished, s[0], s[1], s[2]), None),
            "round" => (round_tube(s[0], s[1]), None),
            "angle" => (angle(&s), None),
            "hss" => {
                let by = |wall| tube(TubeMake::American, inch[0], inch[1], wall);
                (by(inch[3]), Some(by(inch[2])))
            }
            "pipe" => (round_tube(inch[0], inch[2]), Some(round_tube(inch[0], inch[1]))),
            other => panic!("no kind {other}"),
        };
        let american = heavy.is_some();
        Line { text, shape, heavy: heavy.unwrap_or(shape), printed: right.split(' ').collect(), american }
    })
    .collect()
}

/// Half a unit of the last figure, and a hundredth of it for what the tables'
/// own rounding of pi and of the density may move; besides it the share that
/// the head of the table allows.
fn tolerance(printed: &str, kind: &str, nth: usize) -> f64 {
    let plain = printed.trim_start_matches('~');
    let places = plain.split_once('.').map_or(0, |(_, p)| p.len());
    let share = match (kind, nth) {
        ("pipe", 0) => 0.02,
        ("pipe", _) => 0.01,
        ("hss", _) => 0.005,
        _ if plain != printed => 0.01,
        _ => 0.0,
    };
    0.505 * 10_f64.powi(-(places as i32)) + share * plain.parse::<f64>().unwrap()
}

#[test]
fn every_published_section_comes_out_of_the_library() {
    let all = lines();
    let mut faults = vec![];
    let mut numbers = 0;
    for l in &all {
        let (p, heavy) = (l.shape.properties().unwrap(), l.heavy.properties().unwrap());
        let mass = heavy.mass_kg_per_m(STEEL_KG_PER_M3);
        let found = if l.american {
            let i = 25.4_f64;
            let lb_per_ft = mass * 0.3048 / 0.453_592_37;
            let x = [p.area_mm2 / i.powi(2), lb_per_ft, p.inertia_x_mm4 / i.powi(4), p.modulus_x_mm3 / i.powi(3)];
            [x[0], x[1], x[2], x[3], p.inertia_y_mm4 / i.powi(4), p.modulus_y_mm3 / i.powi(3)]
        } else {
            let x = [p.area_mm2 / 1e2, mass, p.inertia_x_mm4 / 1e4, p.modulus_x_mm3 / 1e3];
            [x[0], x[1], x[2], x[3], p.inertia_y_mm4 / 1e4, p.modulus_y_mm3 / 1e3]
        };
        let kind = l.text.split(' ').next().unwrap();
        for (nth, (printed, found)) in l.printed.iter().zip(found).enumerate().filter(|(_, n)| *n.0 != "-") {
            numbers += 1;
            let want: f64 = printed.trim_start_matches('~').parse().unwrap();
            // Both sides, and not-a-number fails.
            let close = (found - want).abs() <= tolerance(printed, kind, nth);
            if !close {
                faults.push(format!("{}: found {found}, printed {printed}", l.text));
            }
        }
    }
    println!("{} sections, {numbers} published numbers", all.len());
    assert!(faults.is_empty(), "{} of {numbers}:\n{}", faults.len(), faults.join("\n"));
    assert!(all.len() >= 118 && numbers >= 551, "{} sections, {numbers} numbers; both may only rise", all.len());
}

#[test]
fn the_fillets_of_the_handbook_are_those_of_the_table() {
    for l in lines() {
        let Shape::Angle { upright, across, root_radius, toe_radius, .. } = l.shape else { continue };
        let r = angle_radii(upright, across).unwrap_or_else(|| panic!("{}: no radii", l.text));
        assert_eq!((r.root, r.toe), (root_radius, toe_radius), "{}", l.text);
    }
}

/// Strips of each piece between two corners: the midpoint rule. At the end of
/// an arc the width falls like a square root, so the error goes with the strip
/// to the power 1.5: under 1e-6 of the arc's own part.
const STRIPS: u32 = 50_000;
/// Largest part by which the integration and the library may differ.
const INTEGRATION: f64 = 1e-6;

/// A section seen along one axis: heights at which its outline changes, and its
/// pieces of chord (from, to) at a height between.
struct Chords {
    breaks: Vec<f64>,
    at: Box<dyn Fn(f64) -> Vec<(f64, f64)>>,
}

/// How far an arc of radius `r` stands back from its corner at a depth `d` under the edge.
fn back(r: f64, d: f64) -> f64 {
    if d >= r { 0.0 } else { r - (r * r - (r - d) * (r - d)).max(0.0).sqrt() }
}

fn chords(shape: &Shape) -> Chords {
    match *shape {
        Shape::Flat { width, thickness } => {
            let (w, h) = (width.to_mm(), thickness.to_mm());
            Chords { breaks: vec![0.0, h], at: Box::new(move |_| vec![(0.0, w)]) }
        }
        Shape::RoundBar { diameter } => ring(diameter.to_mm() / 2.0, 0.0),
        Shape::RoundTube { outside, wall } => {
            let r = outside.to_mm() / 2.0;
            ring(r, r - wall.to_mm())
        }
        Shape::RectTube { depth, width, wall, outer_radius, inner_radius } => {
            let (w, h, t) = (width.to_mm(), depth.to_mm(), wall.to_mm());
            let (ro, ri) = (outer_radius.to_mm(), inner_radius.to_mm());
            let at = move |y: f64| {
                let o = back(ro, y.min(h - y));
                if y <= t || y >= h - t {
                    return vec![(o, w - o)];
                }
                let i = t + back(ri, (y - t).min(h - t - y));
                vec![(o, i), (w - i, w - o)]
            };
            Chords { breaks: vec![0.0, t, ro, t + ri, h - t - ri, h - ro, h - t, h], at: Box::new(at) }
        }
        Shape::Angle { upright, across, thickness, root_radius, toe_radius } => {
            let (w, h, t) = (across.to_mm(), upright.to_mm(), thickness.to_mm());
            let (root, toe) = (root_radius.to_mm(), toe_radius.to_mm());
            let at = move |y: f64| {
                if y < t {
                    return vec![(0.0, w - back(toe, t - y))];
                }
                vec![(0.0, t + back(root, y - t) - back(toe, h - y))]
            };
            Chords { breaks: vec![0.0, t - toe, t, t + root, h - toe, h], at: Box::new(at) }
        }
        Shape::Channel { .. } => unreachable!("no channel is integrated by chords"),
    }
}

fn ring(outer: f64, inner: f64) -> Chords {
    let half = move |r: f64, y: f64| (r * r - (y - outer) * (y - outer)).max(0.0).sqrt();
    let at = move |y: f64| {
        let (o, i) = (half(outer, y), half(inner, y));
        vec![(outer - o, outer - i), (outer + i, outer + o)]
    };
    Chords { breaks: vec![0.0, outer - inner, outer + inner, 2.0 * outer], at: Box::new(at) }
}

/// Area, centroid up and across, second moments about both axes through it.
fn integrated(shape: &Shape) -> [f64; 5] {
    let c = chords(shape);
    let mut breaks = c.breaks.clone();
    breaks.sort_by(f64::total_cmp);
    let (mut a, mut up, mut across, mut xx, mut yy) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for piece in breaks.windows(2).filter(|p| p[1] > p[0]) {
        let dy = (piece[1] - piece[0]) / f64::from(STRIPS);
        for i in 0..STRIPS {
            let y = piece[0] + (f64::from(i) + 0.5) * dy;
            for (from, to) in (c.at)(y) {
                let w = to - from;
                a += w * dy;
                up += y * w * dy;
                xx += (y * y + dy * dy / 12.0) * w * dy;
                across += (to * to - from * from) / 2.0 * dy;
                yy += (to * to * to - from * from * from) / 3.0 * dy;
            }
        }
    }
    let (cy, cx) = (up / a, across / a);
    [a, cy, cx, xx - a * cy * cy, yy - a * cx * cx]
}

/// What differs by more than [`INTEGRATION`], in words.
fn differs(shape: &Shape, p: &Properties) -> Option<String> {
    let [a, cy, cx, ix, iy] = integrated(shape);
    let (w, h) = shape.envelope();
    let pairs = [
        ("area", p.area_mm2, a),
        ("centroid up", p.centroid_up_mm, cy),
        ("centroid across", p.centroid_across_mm, cx),
        ("second moment x", p.inertia_x_mm4, ix),
        ("second moment y", p.inertia_y_mm4, iy),
        ("modulus x", p.modulus_x_mm3, ix / cy.max(h.to_mm() - cy)),
        ("modulus y", p.modulus_y_mm3, iy / cx.max(w.to_mm() - cx)),
    ];
    // Both sides, and not-a-number fails.
    let close = |found: f64, want: f64| (found / want - 1.0).abs() <= INTEGRATION;
    let off = pairs.iter().find(|(_, found, want)| !close(*found, *want));
    off.map(|(what, found, want)| format!("{shape:?}: {what} {found}, integrated {want}"))
}

#[test]
fn every_section_is_the_sum_of_its_strips() {
    let mut shapes: Vec<Shape> = lines().iter().map(|l| l.shape).collect();
    for (w, t) in [(20.0, 3.0), (25.0, 3.0), (30.0, 3.0), (30.0, 5.0), (40.0, 5.0), (50.0, 6.0)] {
        shapes.push(Shape::Flat { width: mm(w), thickness: mm(t) });
        shapes.push(Shape::Flat { width: mm(t), thickness: mm(w) });
    }
    for d in [6.0, 12.0, 16.0, 20.0, 25.0, 25.4] {
        shapes.push(Shape::RoundBar { diameter: mm(d) });
    }
    // The same angle lying the other way round, a sharp one, and a tube without corners.
    shapes.push(angle(&[40.0, 60.0, 5.0, 6.0, 3.0]));
    shapes.push(angle(&[50.8, 50.8, 6.35, 0.0, 0.0]));
    let sharp =
        |r| Shape::RectTube { depth: mm(30.0), width: mm(50.0), wall: mm(3.0), outer_radius: r, inner_radius: r };
    shapes.push(sharp(Length::ZERO));
    let faults: Vec<String> = shapes.iter().filter_map(|s| differs(s, &s.properties().unwrap())).collect();
    println!("{} sections integrated", shapes.len());
    assert!(faults.is_empty(), "{} of {}:\n{}", faults.len(), shapes.len(), faults.join("\n"));
    assert!(shapes.len() >= 139, "{}; the number may only rise", shapes.len());
}

#[test]
fn the_integration_notices_a_fillet_that_is_a_tenth_too_large() {
    let (right, wrong) = (angle(&[40.0, 40.0, 4.0, 6.0, 3.0]), angle(&[40.0, 40.0, 4.0, 6.6, 3.0]));
    assert_eq!(differs(&right, &right.properties().unwrap()), None);
    assert!(differs(&wrong, &right.properties().unwrap()).is_some());
}
