//! The surface of a piece, from its loops and its walk, never from a mesh: what
//! paint, plating and rust see.

use super::cope::saddle;
use super::hole::HoleShape;
use super::section::{End, Face, FaceHole, Profile, Section};
use super::strip::{EndShape, Step, Strip};
use super::{Form, Piece, Plate};
use crate::geom::{Loop, Point};
use std::f64::consts::{PI, SQRT_2, TAU};

/// Surface of one piece, mm2, inside of tubes and walls of holes included.
///
/// # Formula
/// Plates and flats: both faces and edge length times thickness. A bend: its
/// two skins `angle * r * width` and `angle * (r + t) * width` and its two
/// sides. A section: the line integral of its length round the profile, and
/// both end faces. Holes take their opening off both faces and add their wall.
/// # Source
/// Theorems of Pappus and Guldin for the bends; the rest is derived here.
/// # Holds for
/// All forms exactly; copes and holes in round walls are integrated numerically
/// to about 1e-4 of themselves.
pub fn surface_mm2(piece: &Piece) -> f64 {
    match &piece.form {
        Form::Plate(p) => plate(p),
        Form::Strip(s) => strip(s),
        Form::Section(s) => section(s),
    }
}

/// What a hole through a flat wall of thickness `t` changes.
fn flat_hole(shape: &HoleShape, t: f64) -> f64 {
    rim(shape) * t - 2.0 * shape.area()
}

/// Length of the rim of a hole, mm.
fn rim(shape: &HoleShape) -> f64 {
    match shape.outline(Point::default()) {
        Some(l) => l.perimeter(),
        None => polyline_length(&shape.corners(Point::default())),
    }
}

fn polyline_length(corners: &[Point]) -> f64 {
    (0..corners.len()).map(|i| corners[i].distance(corners[(i + 1) % corners.len()])).sum()
}

fn plate(p: &Plate) -> f64 {
    let t = p.thickness.to_mm();
    let holes: f64 = p.holes.iter().map(|h| flat_hole(&h.shape, t)).sum();
    2.0 * p.outline.area() + p.outline.perimeter() * t + holes
}

fn strip(s: &Strip) -> f64 {
    let (w, t) = (s.width.to_mm(), s.thickness.to_mm());
    let mut sum = 0.0;
    for step in &s.steps {
        sum += match step {
            Step::Flat(f) => 2.0 * f.length.to_mm() * (w + t),
            Step::Bend(b) => {
                let (a, r) = (b.angle.to_radians(), b.inside_radius.to_mm());
                a * (2.0 * r + t) * (w + t)
            }
        };
    }
    // What an end has in faces and in edge, beside a square one.
    for end in [s.left, s.right] {
        let rounded = |r: f64| ((4.0 - PI) * r * r / 2.0, w + (PI - 4.0) * r);
        let (lost, edge) = match end {
            EndShape::Square => (0.0, w),
            EndShape::Rounded => rounded(w / 2.0),
            EndShape::Radius(r) => rounded(r),
            EndShape::Clipped(c) => (c * c, w + (2.0 * SQRT_2 - 4.0) * c),
        };
        sum += edge * t - 2.0 * lost;
    }
    sum + s.holes.iter().map(|h| flat_hole(&h.hole.shape, t)).sum::<f64>()
}

fn section(s: &Section) -> f64 {
    let (outer, inner) = s.profile.loops();
    let loops: Vec<Loop> = std::iter::once(outer).chain(inner).collect();
    let length = |p: Point| s.right_x_at(p) - s.left_x_at(p);
    let mut sum: f64 = loops.iter().map(|l| round_the(l, &length)).sum();
    for end in [s.left, s.right] {
        sum += end_face(s, end) - flats_change(s, end);
        sum -= loops.iter().map(|l| cope_side(s, end, l)).sum::<f64>();
    }
    sum + s.holes.iter().map(|h| hole_change(&s.profile, h)).sum::<f64>()
}

/// Line integral of `value` round a loop: three-point Gauss on each side.
fn round_the(l: &Loop, value: &dyn Fn(Point) -> f64) -> f64 {
    let far = libm::sqrt(0.15);
    let weights = [(0.5 - far, 5.0 / 18.0), (0.5, 8.0 / 18.0), (0.5 + far, 5.0 / 18.0)];
    let part =
        |s: &crate::geom::Segment| s.length() * weights.iter().map(|(f, w)| w * value(s.point_at(*f))).sum::<f64>();
    l.quartered().segments().iter().map(part).sum()
}

/// Area of an end face.
fn end_face(s: &Section, end: End) -> f64 {
    if let (Some(main), Profile::RoundTube { outside, wall }) = (end.cope, s.profile) {
        return cope_face(main.to_mm(), end.angle.to_radians(), outside.to_mm() / 2.0, wall.to_mm());
    }
    let slope = end.slope();
    s.profile.area_mm2() * libm::sqrt(1.0 + slope * slope)
}

/// Area of a coped end: the part of the main tube that the wall touches.
///
/// # Formula
/// On a cylinder of radius `R`, with the turn `u` about its axis and the way
/// `v` along it, the branch's axis at the angle `a`: `out = R sin u`, and for
/// each `u` the branch's ring covers a length `2 sqrt(r^2 - out^2) / sin a`.
/// # Source
/// Derived here.
fn cope_face(main: f64, angle: f64, outer: f64, wall: f64) -> f64 {
    const STEPS: usize = 2_000;
    let chord = |r: f64, out: f64| libm::sqrt((r * r - out * out).max(0.0));
    let half = libm::asin((outer / main).min(1.0));
    let step = 2.0 * half / STEPS as f64;
    (0..STEPS)
        .map(|i| main * libm::sin(-half + (i as f64 + 0.5) * step))
        .map(|out| 2.0 * (chord(outer, out) - chord(outer - wall, out)) / libm::sin(angle) * main * step)
        .sum()
}

/// What a cope takes off the side of one cylinder of a tube.
fn cope_side(s: &Section, end: End, l: &Loop) -> f64 {
    const STEPS: usize = 720;
    let (Some(main), Profile::RoundTube { outside, .. }) = (end.cope, s.profile) else { return 0.0 };
    let (main, angle) = (main.to_mm(), end.angle.to_radians());
    let Some(first) = super::long_point(main, angle, outside.to_mm() / 2.0) else { return 0.0 };
    let r = l.perimeter() / TAU;
    let at = |i: usize| TAU * (i as f64 + 0.5) / STEPS as f64;
    let reach = |t: f64| saddle(main, angle, r * libm::sin(t), r * libm::cos(t)).unwrap_or(first) - first;
    (0..STEPS).map(|i| reach(at(i))).sum::<f64>() * r * TAU / STEPS as f64
}

/// What two flats take away: round skin becomes chord; the steps behind them
/// make up for what the end face loses.
fn flats_change(s: &Section, end: End) -> f64 {
    let (Profile::RoundBar { diameter }, Some(f)) = (s.profile, end.flats) else { return 0.0 };
    let r = diameter.to_mm() / 2.0;
    let a = libm::acos((f.across.to_mm() / 2.0 / r).clamp(0.0, 1.0));
    2.0 * (2.0 * a * r - 2.0 * r * libm::sin(a)) * f.length.to_mm()
}

fn hole_change(profile: &Profile, hole: &FaceHole) -> f64 {
    let shape = &hole.hole.shape;
    let walls = if hole.through { 2.0 } else { 1.0 };
    match *profile {
        Profile::FlatBar { thickness, .. } => flat_hole(shape, thickness.to_mm()),
        Profile::Angle { wall, .. } => flat_hole(shape, wall.to_mm()),
        Profile::Channel { wall, .. } if hole.face == Face::Top => flat_hole(shape, wall.to_mm()),
        Profile::BoxTube { wall, .. } | Profile::Channel { wall, .. } => walls * flat_hole(shape, wall.to_mm()),
        Profile::RoundBar { diameter } => {
            let r = diameter.to_mm() / 2.0;
            round_hole(hole, r, &|y| 2.0 * half_chord(r, y)) - 2.0 * skin(hole, r, r)
        }
        Profile::RoundTube { outside, wall } => {
            let (r, b) = (outside.to_mm() / 2.0, outside.to_mm() / 2.0 - wall.to_mm());
            let wall = round_hole(hole, r, &|y| half_chord(r, y) - half_chord(b, y));
            walls * (wall - skin(hole, r, r) - skin(hole, r, b))
        }
    }
}

fn half_chord(radius: f64, y: f64) -> f64 {
    libm::sqrt((radius * radius - y * y).max(0.0))
}

/// Wall of a hole in round stock that is `depth(y)` deep: round its rim.
fn round_hole(hole: &FaceHole, radius: f64, depth: &dyn Fn(f64) -> f64) -> f64 {
    let corners = hole.hole.shape.corners(Point::new(0.0, hole.hole.at.y - radius));
    (0..corners.len())
        .map(|i| (corners[i], corners[(i + 1) % corners.len()]))
        .map(|(p, q)| p.distance(q) * depth((p.y + q.y) / 2.0))
        .sum()
}

/// Skin that a hole takes off one side of a cylinder of radius `r`, in stock
/// of radius `radius`: strips of the opening, each `r / z` times as wide.
fn skin(hole: &FaceHole, radius: f64, r: f64) -> f64 {
    let corners = hole.hole.shape.corners(Point::new(0.0, hole.hole.at.y - radius));
    (0..corners.len())
        .map(|i| (corners[i], corners[(i + 1) % corners.len()]))
        .map(|(p, q)| {
            let y = (p.y + q.y) / 2.0;
            (p.x + q.x) / 2.0 * (q.y - p.y) * r / half_chord(r, y).max(1e-9)
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom;
    use crate::units::Length;

    #[test]
    fn a_block_with_a_hole_has_the_area_of_its_sides() {
        let p = Plate {
            thickness: Length::mm(10.0),
            outline: geom::rectangle(Point::default(), 50.0, 20.0, 0.0),
            holes: vec![],
        };
        assert!((plate(&p) - 2.0 * (1000.0 + 500.0 + 200.0)).abs() < 1e-9);
        assert!((flat_hole(&HoleShape::Round { diameter: 8.0 }, 10.0) - (PI * 80.0 - PI * 32.0)).abs() < 1e-9);
    }

    #[test]
    fn a_tube_has_two_skins_and_two_rings() {
        let s = Section {
            profile: Profile::RoundTube { outside: Length::mm(40.0), wall: Length::mm(3.0) },
            length: Length::mm(100.0),
            left: End::square(),
            right: End::square(),
            holes: vec![],
        };
        let wanted = PI * (40.0 + 34.0) * 100.0 + 2.0 * PI * (400.0 - 289.0);
        assert!((section(&s) - wanted).abs() < 1e-6);
    }
}
