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

/// The simulation would see a slot that is too short or too narrow.
#[test]
fn too_small_an_opening_is_seen() {
    let a = Asked { shaft: 20.0, clearance: 2.0, tilt: 30.0, thickness: 6.0 };
    let (width, length) = (24.0, 24.0 / 30_f64.to_radians().cos() + 6.0 * 30_f64.to_radians().tan());
    assert!(simulate(&a, length, width).0 < 1e-9);
    assert!(simulate(&a, length - 0.1, width).0 > 0.04);
    assert!(simulate(&a, length, width - 0.1).0 > 0.04);
}
