//! The opening for a leaning shaft: a simulated shaft with its clearance goes
//! through what the template cuts, at random tilts and thicknesses, and touches
//! where it should. The shaft is a cylinder sampled point by point: no formula
//! of the program is used.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

mod dice;

use dice::Dice;
use droprack::piece::HoleShape;
use droprack::run::{Request, load, work_out};
use droprack::source::Memory;
use std::fmt::Write as _;
use std::path::PathBuf;

/// Jobs of this many plates; `OBLIQUE_JOBS=40` makes 10,000 plates.
const PLATES: usize = 250;

fn rounded(dice: &mut Dice, low: f64, high: f64, step: f64) -> f64 {
    (dice.within(low, high) / step).round() * step
}

/// What one plate is asked for, mm and degrees.
struct Asked {
    shaft: f64,
    clearance: f64,
    tilt: f64,
    thickness: f64,
}

/// How far a point lies outside of a slot about the origin; below 0 inside.
fn outside_slot(x: f64, y: f64, length: f64, width: f64) -> f64 {
    let straight = (length - width) / 2.0;
    (x - x.clamp(-straight, straight)).hypot(y) - width / 2.0
}

/// The farthest that points of the shaft with its clearance lie outside of the
/// slot: over the whole thickness, and at the faces along and across the lean.
fn simulate(asked: &Asked, length: f64, width: f64) -> (f64, f64, f64) {
    let (r, t) = (asked.shaft / 2.0 + asked.clearance, asked.thickness);
    let (sin, cos) = asked.tilt.to_radians().sin_cos();
    let (mut worst, mut along, mut across) = (f64::MIN, f64::MIN, f64::MIN);
    for level in 0..=8 {
        let z = t * (f64::from(level) / 8.0 - 0.5);
        for k in 0..1440 {
            let (s, c) = (f64::from(k) * std::f64::consts::TAU / 1440.0).sin_cos();
            // A point of the circle square to the axis, moved along the axis to the level.
            let (px, py, pz) = (r * c * cos, r * s, -r * c * sin);
            let far = (z - pz) / cos;
            let (x, y) = (px + far * sin, py);
            let out = outside_slot(x, y, length, width);
            worst = worst.max(out);
            if level == 0 || level == 8 {
                if s.abs() < 1e-9 {
                    along = along.max(out);
                }
                if c.abs() < 1e-9 {
                    across = across.max(out);
                }
            }
        }
    }
    (worst, along, across)
}

#[test]
fn a_leaning_shaft_goes_through_and_touches_where_it_should() {
    let jobs = std::env::var("OBLIQUE_JOBS").ok().and_then(|n| n.parse().ok()).unwrap_or(2);
    let mut dice = Dice(7);
    let mut plates = 0;
    for _ in 0..jobs {
        let mut text = String::from(
            "job = \"openings\"\n[[part]]\nname = \"P\"\ntemplate = \"bearing-plate\"\nwith.bearing = \"pass through\"\nwith.height = \"90 mm\"\n",
        );
        let mut asked = vec![];
        for _ in 0..PLATES {
            let a = Asked {
                shaft: rounded(&mut dice, 12.0, 32.0, 0.5),
                clearance: rounded(&mut dice, 1.0, 8.0, 0.25),
                tilt: rounded(&mut dice, 0.6, 44.9, 0.1),
                thickness: rounded(&mut dice, 3.0, 12.0, 0.5),
            };
            let block = write!(
                text,
                "[[part.copy]]\nwith.shaft = \"{:.1} mm\"\nwith.clearance = \"{} mm\"\nwith.tilt = \"{} deg\"\nwith.thickness = \"{} mm\"\n",
                a.shaft, a.clearance, a.tilt, a.thickness
            );
            block.unwrap();
            asked.push(a);
        }
        let files = Memory([(PathBuf::from("job.toml"), text)].into());
        let loaded = load(&files, &Request { job: PathBuf::from("job.toml"), bin: None }).unwrap();
        let worked = work_out(&loaded).unwrap();
        assert_eq!(worked.flats.len(), PLATES);
        for (a, flat) in asked.iter().zip(&worked.flats) {
            let hole = flat.holes.iter().find(|h| h.name == "shaft opening").unwrap();
            let HoleShape::Slot { length, width, lies } = hole.shape else { panic!("{:?}", hole.shape) };
            assert_eq!(lies, 0.0);
            let (worst, along, across) = simulate(a, length, width);
            let what = format!("shaft {} + {} at {} deg, {} mm", a.shaft, a.clearance, a.tilt, a.thickness);
            assert!(worst < 1e-6, "{what}: {worst} mm of the shaft is in the steel");
            assert!(along > -0.01, "{what}: {} mm free along the lean", -along);
            assert!(across > -0.01, "{what}: {} mm free across the lean", -across);
            plates += 1;
        }
    }
    assert_eq!(plates, jobs * PLATES);
}

type V = [f64; 3];

fn dot(a: V, b: V) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: V, b: V) -> V {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// `a + b k`.
fn plus(a: V, b: V, k: f64) -> V {
    [a[0] + b[0] * k, a[1] + b[1] * k, a[2] + b[2] * k]
}

fn unit(a: V) -> V {
    plus([0.0; 3], a, 1.0 / dot(a, a).sqrt())
}

/// A run and the plate that it goes through.
struct Through {
    joints: [V; 2],
    at: V,
    face_to: V,
    shaft: f64,
    clearance: f64,
    thickness: f64,
}

/// One at random, on whole tenths of a millimetre, its shaft at 1 to 50 degrees to the plate's normal.
fn through(dice: &mut Dice) -> Through {
    loop {
        let mut any = |span: f64| -> V { std::array::from_fn(|_| rounded(dice, -span, span, 0.1)) };
        let (a, b, face) = (any(300.0), any(300.0), any(100.0));
        let along = plus(b, a, -1.0);
        let (long, far) = (dot(along, along).sqrt(), dot(face, face).sqrt());
        if long < 250.0 || far < 30.0 {
            continue;
        }
        let tilt = (dot(along, face).abs() / long / far).acos().to_degrees();
        // A plate that lies nearly flat has no level way that a person could find.
        if !(1.0..50.0).contains(&tilt) || face[2].abs() > 0.95 * far {
            continue;
        }
        let at = plus(a, along, dice.within(0.3, 0.7));
        return Through {
            joints: [a, b],
            at,
            face_to: plus(at, face, 1.0),
            shaft: rounded(dice, 12.0, 30.0, 0.5),
            clearance: rounded(dice, 1.0, 6.0, 0.25),
            thickness: rounded(dice, 3.0, 10.0, 0.5),
        };
    }
}

fn three(v: V) -> String {
    format!("[\"{} mm\", \"{} mm\", \"{} mm\"]", v[0], v[1], v[2])
}

/// The job text of one run with its plate, which takes every number from the run by name.
fn run_text(i: usize, t: &Through) -> String {
    let [a, b] = t.joints;
    let along = unit(plus(b, a, -1.0));
    let (column, gear) = (plus(a, along, -100.0), plus(b, along, 100.0));
    format!(
        "[[steering]]\nname = \"run {i}\"\ncolumn = {}\nbox = {}\nshaft = \"{} mm\"\nreach = \"40 mm\"\nbore = \"35 mm\"\n\
         [[steering.joint]]\nat = {}\n[[steering.joint]]\nat = {}\n\
         [[steering.support]]\nname = \"wall\"\nkind = \"opening\"\nat = {}\nface_to = {}\nthickness = \"{} mm\"\nclearance = \"{} mm\"\n\
         [[part]]\nname = \"P{i}\"\ntemplate = \"bearing-plate\"\nwith.bearing = \"pass through\"\nwith.height = \"110 mm\"\n\
         with.shaft = \"run_{i}.shaft\"\nwith.tilt = \"run_{i}.wall.tilt\"\nwith.turn = \"run_{i}.wall.turn\"\n\
         with.thickness = \"run_{i}.wall.thickness\"\nwith.clearance = \"run_{i}.wall.clearance\"\n",
        three(column),
        three(gear),
        t.shaft,
        three(a),
        three(b),
        three(t.at),
        three(t.face_to),
        t.thickness,
        t.clearance
    )
}

/// The farthest that points of the shaft with its clearance lie outside of the
/// slot, the plate standing in space as it was measured; and the same for a
/// shaft that is a tenth of a millimetre thicker all round.
fn simulate_in_space(t: &Through, length: f64, width: f64, lies: f64) -> (f64, f64) {
    let normal = unit(plus(t.face_to, t.at, -1.0));
    let level = unit(cross([0.0, 0.0, 1.0], normal));
    let up = cross(normal, level);
    let way = unit(plus(t.joints[1], t.joints[0], -1.0));
    let side = unit(cross(way, normal));
    let other = cross(way, side);
    let (sin, cos) = lies.sin_cos();
    let farthest = |r: f64| {
        let mut worst = f64::MIN;
        for k in 0..720 {
            let (s, c) = (f64::from(k) * std::f64::consts::TAU / 720.0).sin_cos();
            let rim = plus(plus([0.0; 3], side, r * c), other, r * s);
            for face in [-0.5, 0.0, 0.5] {
                // Along the shaft to the face of the plate.
                let k = (face * t.thickness - dot(rim, normal)) / dot(way, normal);
                let p = plus(rim, way, k);
                let (x, y) = (dot(p, level), dot(p, up));
                worst = worst.max(outside_slot(x * cos + y * sin, y * cos - x * sin, length, width));
            }
        }
        worst
    };
    let r = t.shaft / 2.0 + t.clearance;
    (farthest(r), farthest(r + 0.1))
}

#[test]
fn what_a_run_says_of_its_opening_lets_its_own_shaft_through() {
    let mut dice = Dice(11);
    let all: Vec<Through> = (0..200).map(|_| through(&mut dice)).collect();
    let mut text = String::from("job = \"runs\"\n");
    // Parts and runs are both lists: all of one kind need not stand together.
    all.iter().enumerate().for_each(|(i, t)| text.push_str(&run_text(i, t)));
    let files = Memory([(PathBuf::from("job.toml"), text)].into());
    let loaded = load(&files, &Request { job: PathBuf::from("job.toml"), bin: None }).unwrap();
    let worked = work_out(&loaded).unwrap();
    assert_eq!(worked.flats.len(), 200);
    for (i, (t, flat)) in all.iter().zip(&worked.flats).enumerate() {
        let hole = flat.holes.iter().find(|h| h.name == "shaft opening").unwrap();
        let HoleShape::Slot { length, width, lies } = hole.shape else { panic!("{:?}", hole.shape) };
        let (fits, thicker) = simulate_in_space(t, length, width, lies);
        assert!(fits < 1e-6, "run {i}: {fits} mm of the shaft is in the steel");
        assert!(thicker > 0.05, "run {i}: the opening is {} mm too large", 0.1 - thicker);
        let told = format!("run {i}");
        let said = worked.findings.iter().find(|f| f.code == "steering-held" && f.part == told).unwrap();
        assert!(said.value.unwrap() < 1e-6, "{}", said.says);
    }
}

/// The simulation would see a slot that is too short or too narrow.
#[test]
fn too_small_an_opening_is_seen() {
    let a = Asked { shaft: 20.0, clearance: 2.0, tilt: 30.0, thickness: 6.0 };
    let (width, length) = (24.0, 24.0 / 30_f64.to_radians().cos() + 6.0 * 30_f64.to_radians().tan());
    assert!(simulate(&a, length, width).0 < 1e-9);
    assert!(simulate(&a, length - 0.1, width).0 > 0.04);
    assert!(simulate(&a, length, width - 0.1).0 > 0.04);
}
