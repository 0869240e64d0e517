//! The sketches of a pedal: pivot, pad, push rod and cylinder from the side, the arm
//! as one sees it from the seat.

use super::{BEHIND, SIDE, View};
use crate::drawing::measuring::MeasuringSheet;
use crate::geom::Point;
use crate::layout::PedalSet;
use crate::units::Length;

/// A sheet a view, with the readings that are asked for.
pub fn pedal_sheets(told: &PedalSet, asked: &dyn Fn(&str) -> bool) -> Vec<MeasuringSheet> {
    let mut out = vec![];
    side(told, asked).done(&mut out);
    front(told, asked).done(&mut out);
    out
}

fn unit(from: Point, to: Point) -> Point {
    let far = from.distance(to);
    if far < 1e-6 { Point::new(1.0, 0.0) } else { (to - from) * (1.0 / far) }
}

fn pair(p: Point) -> (f64, f64) {
    (p.x, p.y)
}

/// From the side, the front of the vehicle at the left.
fn side<'a>(told: &PedalSet, asked: &'a dyn Fn(&str) -> bool) -> View<'a> {
    let mut v = View::new(&told.name, "seen from the side", asked);
    let [pivot, pad, pin, seat] = [told.pivot, told.pad, told.pin, told.seat].map(|p| SIDE.seen(p));
    let push = SIDE.seen(told.push);
    let arm = unit(pivot, pad);
    let square = Point::new(-arm.y, arm.x);
    let far = pivot.distance(pad).max(1.0);
    v.lines(&[pair(pivot), pair(pad)], "", false);
    v.lines(&[pair(pad - square * (far * 0.12)), pair(pad + square * (far * 0.12))], "", false);
    v.lines(&[pair(pin), pair(seat)], "rod", false);
    v.round(pin, far * 0.05, "", false);
    let sleeve = told.sleeve.to_mm().max(far * 0.12);
    v.round(pivot, sleeve, "", false);
    // The cylinder behind the seat of the rod, as long as the piston goes and a little.
    let across = Point::new(-push.y, push.x) * (far * 0.07);
    let (mouth, end) = (seat - push * (far * 0.04), seat + push * (told.stroke.to_mm() * 2.0).max(far * 0.3));
    let walls = [mouth + across, end + across, end - across, mouth - across, mouth + across];
    v.lines(&walls.map(pair), "", true);
    v.word(pair((mouth + end) * 0.5 + Point::new(0.0, far * 0.09)), "cylinder");
    v.word((pad.x + far * 0.22, pad.y), "pad");
    v.word((pivot.x - far * 0.2, pivot.y), "pivot");
    let b = v.bounds();
    let joint = told.joint.map_or(far * 0.4, Length::to_mm);
    let away = square * (far * 0.22) * if square.dot(seat - pivot) > 0.0 { -1.0 } else { 1.0 };
    let at = pivot + arm * joint;
    if asked("joint") {
        let half = square * (far * 0.07);
        v.lines(&[pair(at - half), pair(at + half)], "", false);
        v.word(pair(at - away * 0.9 - Point::new(0.0, far * 0.03)), "joint");
        v.lines(&[pair(pivot), pair(pivot + away * 1.25)], "", true);
        v.lines(&[pair(at), pair(at + away * 1.25)], "", true);
    }
    v.tape("joint", pair(pivot + away), pair(at + away));
    v.tape("stroke", pair(seat - across * 1.8), pair(seat - across * 1.8 + push * told.stroke.to_mm()));
    v.tape(
        "sleeve",
        pair(pivot + arm * -sleeve - square * (sleeve / 2.0)),
        pair(pivot + arm * -sleeve + square * (sleeve / 2.0)),
    );
    for (key, at) in [("pivot", pivot), ("pad", pad), ("pin", pin), ("seat", seat)] {
        v.place(key, at, &SIDE, &b);
    }
    v
}

/// From the seat, looking forward: the arm's width and how far it is moved sideways.
fn front<'a>(told: &PedalSet, asked: &'a dyn Fn(&str) -> bool) -> View<'a> {
    let mut v = View::new(&told.name, "seen from the seat", asked);
    let high = told.pivot.z.max(told.pad.z);
    let low = told.pivot.z.min(told.pad.z).min(high - 1.0);
    let tall = high - low;
    let half = (told.arm_width.to_mm() / 2.0).max(tall * 0.05);
    let moved = told.offset.map_or(0.0, Length::to_mm);
    let joint = high - told.joint.map_or(tall * 0.4, Length::to_mm);
    let x = told.pivot.x;
    v.boxed((x - half, low), (x + half, joint), "", false);
    v.boxed((x + moved - half, joint), (x + moved + half, high), "", false);
    v.boxed((x - half * 1.8, low - tall * 0.1), (x + half * 1.8, low), "pad", false);
    v.lines(&[(x - tall * 0.35, high), (x + tall * 0.35, high)], "pivot", true);
    let b = v.bounds();
    v.tape("arm_width", (x - half, low + tall * 0.2), (x + half, low + tall * 0.2));
    v.tape("offset", (x, joint), (x + moved, joint));
    for (key, z) in [("pivot", told.pivot.z), ("pad", told.pad.z)] {
        v.place(key, Point::new(x, z), &BEHIND, &b);
    }
    v
}
