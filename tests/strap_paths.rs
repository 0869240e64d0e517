//! The strap's line round random tanks against an independent one: a dense
//! polygon, moved outwards edge by edge, and the monotone chain round it and
//! the ears.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

mod dice;

use dice::Dice;
use droprack::geom::{Point, Segment};
use droprack::layout::{SectionCorner, SectionShape, outline_of, strap_path};
use droprack::units::Length;
use std::f64::consts::{PI, TAU};

/// Directions between two samples of an arc, radians.
const STEP: f64 = 0.004;

/// Corners with radii, as points close together. The centre of a corner is where the two sides, each moved
/// inwards by the radius, cross.
fn dense(corners: &[(f64, f64, f64)]) -> Vec<(f64, f64)> {
    let n = corners.len();
    let area: f64 = (0..n).map(|i| (corners[i], corners[(i + 1) % n])).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum();
    let order: Vec<(f64, f64, f64)> =
        if area > 0.0 { corners.to_vec() } else { corners.iter().rev().copied().collect() };
    let mut out = vec![];
    for i in 0..n {
        let (p, q, s) = (order[(i + n - 1) % n], order[i], order[(i + 1) % n]);
        let unit = |a: (f64, f64, f64), b: (f64, f64, f64)| {
            let (x, y) = (b.0 - a.0, b.1 - a.1);
            let l = (x * x + y * y).sqrt();
            (x / l, y / l)
        };
        let (d, e) = (unit(p, q), unit(q, s));
        let bend = (d.0 * e.1 - d.1 * e.0).atan2(d.0 * e.0 + d.1 * e.1);
        if q.2 == 0.0 || bend.abs() < 1e-12 {
            out.push((q.0, q.1));
            continue;
        }
        // Inwards of the bend: left where it bends left.
        let side = bend.signum();
        let (n1, n2) = ((-d.1 * side, d.0 * side), (-e.1 * side, e.0 * side));
        // q + r n1 + a d = q + r n2 + b e, solved for a.
        let (rx, ry) = ((n2.0 - n1.0) * q.2, (n2.1 - n1.1) * q.2);
        let a = (rx * e.1 - ry * e.0) / (d.0 * e.1 - d.1 * e.0);
        let c = (q.0 + n1.0 * q.2 + a * d.0, q.1 + n1.1 * q.2 + a * d.1);
        let from = (-n1.1).atan2(-n1.0);
        let steps = (bend.abs() / STEP).ceil() as usize;
        out.extend(
            (0..=steps)
                .map(|k| from + bend * k as f64 / steps as f64)
                .map(|t| (c.0 + q.2 * t.cos(), c.1 + q.2 * t.sin())),
        );
    }
    out
}

/// The monotone chain: counter-clockwise, from the leftmost point.
fn hull(mut points: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    points.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    points.dedup();
    let half = |points: &mut dyn Iterator<Item = (f64, f64)>| {
        let mut out: Vec<(f64, f64)> = vec![];
        for p in points {
            while let [.., a, b] = out[..] {
                if (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0) > 0.0 {
                    break;
                }
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut all = half(&mut points.iter().copied());
    all.extend(half(&mut points.iter().rev().copied()));
    all
}

/// A convex polygon moved outwards, its corners rounded.
fn moved_out(polygon: &[(f64, f64)], by: f64) -> Vec<(f64, f64)> {
    let n = polygon.len();
    let normal = |i: usize| {
        let (a, b) = (polygon[i], polygon[(i + 1) % n]);
        (-(b.0 - a.0)).atan2(b.1 - a.1)
    };
    let mut out = vec![];
    for (i, corner) in polygon.iter().enumerate() {
        let (from, to) = (normal((i + n - 1) % n), normal(i));
        let turn = (to - from).rem_euclid(TAU);
        let turn = if turn > PI { 0.0 } else { turn };
        let steps = (turn / STEP).ceil().max(1.0) as usize;
        out.extend(
            (0..=steps)
                .map(|k| from + turn * k as f64 / steps as f64)
                .map(|t| (corner.0 + by * t.cos(), corner.1 + by * t.sin())),
        );
    }
    out
}

/// Length from one point of a hull to another, counter-clockwise; `None` where one is not on it.
fn along(hull: &[(f64, f64)], from: (f64, f64), to: (f64, f64)) -> Option<f64> {
    let at = |p: (f64, f64)| hull.iter().position(|q| *q == p);
    let (mut i, end) = (at(from)?, at(to)?);
    let mut length = 0.0;
    while i != end {
        let j = (i + 1) % hull.len();
        length += (hull[i].0 - hull[j].0).hypot(hull[i].1 - hull[j].1);
        i = j;
    }
    Some(length)
}

/// A random section: what the program is told, and the same as corners.
fn section(dice: &mut Dice, kind: usize) -> (SectionShape, Vec<(f64, f64, f64)>) {
    let (w, h) = (dice.within(120.0, 900.0), dice.within(100.0, 700.0));
    let boxed = |w: f64, h: f64, low: f64, top: f64| {
        vec![(-w / 2.0, 0.0, low), (w / 2.0, 0.0, low), (w / 2.0, h, top), (-w / 2.0, h, top)]
    };
    let mm = Length::mm;
    match kind {
        0 => {
            let r = if dice.below(5) == 0 { 0.0 } else { dice.within(3.0, w.min(h) / 2.0) };
            (SectionShape::Rectangle { width: mm(w), height: mm(h), radius: mm(r) }, boxed(w, h, r, r))
        }
        1 => (SectionShape::Round { width: mm(w) }, boxed(w, w, w / 2.0, w / 2.0)),
        2 => {
            let r = w.min(h) / 2.0;
            (SectionShape::Obround { width: mm(w), height: mm(h) }, boxed(w, h, r, r))
        }
        3 => {
            let r = dice.within(0.0, w / 2.0);
            let h = w / 2.0 + r + dice.within(0.0, 300.0);
            (SectionShape::D { width: mm(w), height: mm(h), radius: mm(r) }, boxed(w, h, w / 2.0, r))
        }
        kind => {
            let n = 3 + dice.below(8);
            let hollow = kind == 5;
            let mut turns: Vec<f64> = (0..n).map(|_| dice.within(0.0, TAU)).collect();
            turns.sort_by(f64::total_cmp);
            let corners: Vec<(f64, f64, f64)> = turns
                .iter()
                .map(|t| {
                    let far = if hollow { dice.within(0.3, 1.0) } else { 1.0 };
                    let r = if dice.below(6) == 0 { 0.0 } else { dice.within(1.0, 40.0) };
                    (w / 2.0 * far * t.cos(), h / 2.0 * far * t.sin(), r)
                })
                .collect();
            let told = corners.iter().map(|c| SectionCorner { at: Point::new(c.0, c.1), radius: mm(c.2) }).collect();
            (SectionShape::Corners(told), corners)
        }
    }
}

/// How two pieces that follow one another run where they meet, radians, and how far they are apart, mm.
fn joint(a: &Segment, b: &Segment) -> (f64, f64) {
    let way = |s: &Segment, f: f64| match *s {
        Segment::Line { from, to } => (to - from).unit(),
        Segment::Arc { start_angle, sweep, .. } => Point::at_angle(start_angle + sweep * f + PI / 2.0),
    };
    let (u, v) = (way(a, 1.0), way(b, 0.0));
    (u.cross(v).atan2(u.dot(v)).abs(), a.to().distance(b.from()))
}

/// The path runs from ear to ear without a kink or a gap, its radii are those of
/// corners and what lies between, and it is nowhere nearer to `steel` than it
/// should be. Yields the worst kink, rad.
fn well_formed(
    pieces: &[Segment],
    ears: [(f64, f64); 2],
    corners: &[(f64, f64, f64)],
    off: f64,
    steel: &[(f64, f64)],
) -> f64 {
    let mut worst = 0.0_f64;
    for w in pieces.windows(2) {
        let (kink, gap) = joint(&w[0], &w[1]);
        worst = worst.max(kink);
        assert!(kink < 1e-6 && gap < 1e-6, "{w:?}");
    }
    let [l, r] = ears.map(|e| Point::new(e.0, e.1));
    assert!(pieces[0].from().distance(l) < 1e-9);
    assert!(pieces.last().unwrap().to().distance(r) < 1e-9);
    for s in pieces {
        if let Segment::Arc { radius, .. } = s {
            let known = corners.iter().any(|c| (radius - off - c.2).abs() < 1e-9);
            assert!(known, "radius {radius} at {off}");
        }
        let near = |p: Point| steel.iter().map(|q| (q.0 - p.x).hypot(q.1 - p.y)).fold(f64::INFINITY, f64::min);
        assert!([0.0, 0.3, 0.5, 0.8, 1.0].iter().all(|f| near(s.point_at(*f)) > off - 0.01), "{s:?}");
    }
    worst
}

#[test]
fn the_strap_lies_as_an_independent_line_does() {
    let wanted: u32 = std::env::var("STRAP_CASES").map_or(1_000, |v| v.parse().unwrap());
    let mut dice = Dice(1_709);
    let (mut done, mut refused, mut worst, mut kinks) = (0, 0, 0.0_f64, 0.0_f64);
    let (mut hollow, mut upright, mut shadowed) = (0, 0, 0);
    let mut kind = 0;
    while done < wanted {
        let (shape, corners) = section(&mut dice, kind);
        let Ok(outline) = outline_of(&shape) else {
            refused += 1;
            assert!(refused < 50 * wanted, "nearly all sections are refused");
            continue;
        };
        let off = dice.within(1.0, 20.0);
        // The program puts the lowest point and the middle of the width at nought; so does this.
        let raw = dense(&corners);
        let low = raw.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
        let (left, right) = raw.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |b, p| (b.0.min(p.0), b.1.max(p.0)));
        let top = raw.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max) - low;
        let placed: Vec<_> = raw.iter().map(|p| (p.0 - (left + right) / 2.0, p.1 - low)).collect();
        let half = outline.bounds().unwrap().width() / 2.0;
        assert!((half - (right - left) / 2.0).abs() < 1e-3 * (1.0 + half / 100.0));
        let tight = moved_out(&hull(placed.clone()), off);
        let legs = dice.below(2) == 0;
        let ear = |dice: &mut Dice, side: f64| {
            let x = if legs { half + off } else { half * dice.within(0.3, 1.0) + off + dice.within(0.0, 250.0) };
            (side * x, if legs { top * dice.within(0.95, 1.4) } else { top + off + dice.within(0.5, 200.0) })
        };
        let (l, r) = (ear(&mut dice, -1.0), ear(&mut dice, 1.0));
        let mut with = tight.clone();
        // An upright leg lies on the hull's own side: a hair outwards the ear is a corner of it.
        let (lo, ro) = ((l.0 - 1e-6, l.1), (r.0 + 1e-6, r.1));
        with.extend([lo, ro]);
        let truth = along(&hull(with), lo, ro);
        let got = strap_path(&outline, Length::mm(off), Point::new(l.0, l.1), Point::new(r.0, r.1));
        let (truth, got) = match (truth, got) {
            (Some(t), Ok(g)) => (t, g),
            // One ear in the shadow of the other and the tank: both say that there is no such line.
            (None, Err(_)) => {
                shadowed += 1;
                continue;
            }
            (t, g) => panic!("{shape:?} off {off} ears {l:?} {r:?}: {t:?} against {g:?}"),
        };
        done += 1;
        kind = dice.below(6);
        upright += u32::from(legs);
        hollow += u32::from(matches!(shape, SectionShape::Corners(_)));
        worst = worst.max((got.length.to_mm() - truth).abs());
        assert!((got.length.to_mm() - truth).abs() < 0.01, "{shape:?} off {off} ears {l:?} {r:?}: {got:?}, {truth}");
        let near = if done % 50 == 0 { &placed[..] } else { &[] };
        let kink = well_formed(&got.pieces, [l, r], &corners, off, near);
        kinks = kinks.max(kink);
    }
    println!("{done} straps, worst {worst:.1e} mm, worst kink {kinks:.1e} rad, {refused} sections refused");
    assert!(shadowed < wanted, "{shadowed} with an ear in the shadow");
    assert!(hollow * 5 > done && upright * 4 > done, "{hollow} by corners, {upright} with upright legs");
}
