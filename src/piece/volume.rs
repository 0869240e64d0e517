//! The exact volume of a piece, from its loops and its walk, never from a mesh.

use super::cope::{long_point, saddle};
use super::section::{Face, FaceHole, Profile, Section};
use super::strip::{EndShape, Step, Strip};
use super::{Form, Piece, Plate};
use crate::geom::Point;
use std::f64::consts::PI;

/// Volume of the metal of one piece, mm3. Holes are taken as they are: for a
/// piece whose holes overlap or leave the metal it means nothing.
///
/// # Formula
/// Flats and plates: area times thickness. A bend: `angle * t * (r + t/2) * width`
/// (Pappus: the centroid of the cross-section runs on the middle radius).
/// A section: area of the profile times the length between the two cut planes
/// on the line through its centroid (exact, because both planes are linear).
/// # Source
/// Theorems of Pappus and Guldin; the rest is derived here.
/// # Holds for
/// All forms exactly, but for holes in round walls, which are integrated
/// numerically to about 1e-5 of the hole's own volume.
pub fn volume_mm3(piece: &Piece) -> f64 {
    match &piece.form {
        Form::Strip(s) => strip(s),
        Form::Plate(p) => plate(p),
        Form::Section(s) => section(s),
    }
}

fn plate(p: &Plate) -> f64 {
    let holes: f64 = p.holes.iter().map(|h| h.shape.area()).sum();
    (p.outline.area() - holes) * p.thickness.to_mm()
}

fn strip(s: &Strip) -> f64 {
    let (w, t) = (s.width.to_mm(), s.thickness.to_mm());
    let metal: f64 = s
        .steps
        .iter()
        .map(|step| match step {
            Step::Flat(f) => f.length.to_mm() * t * w,
            Step::Bend(b) => b.angle.to_radians() * t * (b.inside_radius.to_mm() + t / 2.0) * w,
        })
        .sum();
    let holes: f64 = s.holes.iter().map(|h| h.hole.shape.area()).sum();
    metal - (holes + end_loss(s.left, w) + end_loss(s.right, w)) * t
}

/// Area that the finish takes off a square end, mm2.
fn end_loss(end: EndShape, width: f64) -> f64 {
    let rounded = |r: f64| 2.0 * (1.0 - PI / 4.0) * r * r;
    match end {
        EndShape::Square => 0.0,
        EndShape::Rounded => rounded(width / 2.0),
        EndShape::Radius(r) => rounded(r),
        EndShape::Clipped(c) => c * c,
    }
}

/// Volume that a coped end takes off a square one at its long point, mm3:
/// midpoint rule over the ring of the wall, good to about 1e-6 of it.
fn cope_loss(s: &Section, end: super::section::End) -> f64 {
    const RINGS: usize = 24;
    const STEPS: usize = 360;
    let (Profile::RoundTube { outside, wall }, Some(main)) = (s.profile, end.cope) else { return 0.0 };
    let (outer, t) = (outside.to_mm() / 2.0, wall.to_mm());
    let (main, angle) = (main.to_mm(), end.angle.to_radians());
    let first = long_point(main, angle, outer).unwrap_or(0.0);
    let (dr, dt) = (t / RINGS as f64, 2.0 * PI / STEPS as f64);
    let mut sum = 0.0;
    for i in 0..RINGS {
        let r = outer - t + (i as f64 + 0.5) * dr;
        for j in 0..STEPS {
            let a = (j as f64 + 0.5) * dt;
            let x = saddle(main, angle, r * libm::sin(a), r * libm::cos(a)).unwrap_or(first);
            sum += (x - first) * r * dr * dt;
        }
    }
    sum
}

/// Volume that two flats take off the end of a round bar, mm3: two segments of
/// the circle.
///
/// # Formula
/// Segment beyond a chord at half angle `a`: `r^2 (a - sin a cos a)`.
/// # Source
/// Any table of plane figures.
fn flats_loss(s: &Section, end: super::section::End) -> f64 {
    let (Profile::RoundBar { diameter }, Some(f)) = (s.profile, end.flats) else { return 0.0 };
    let r = diameter.to_mm() / 2.0;
    let a = libm::acos((f.across.to_mm() / 2.0 / r).clamp(0.0, 1.0));
    2.0 * r * r * (a - libm::sin(a) * libm::cos(a)) * f.length.to_mm()
}

fn section(s: &Section) -> f64 {
    let centre = s.profile.centroid();
    let metal = s.profile.area_mm2() * (s.right_x_at(centre) - s.left_x_at(centre));
    let ends: f64 = [s.left, s.right].into_iter().map(|e| cope_loss(s, e) + flats_loss(s, e)).sum();
    metal - ends - s.holes.iter().map(|h| hole_volume(&s.profile, h)).sum::<f64>()
}

fn hole_volume(profile: &Profile, hole: &FaceHole) -> f64 {
    let area = hole.hole.shape.area();
    let walls = if hole.through { 2.0 } else { 1.0 };
    match *profile {
        Profile::FlatBar { thickness, .. } => area * thickness.to_mm(),
        Profile::Angle { wall, .. } => area * wall.to_mm(),
        Profile::BoxTube { wall, .. } => area * wall.to_mm() * walls,
        // Nothing lies behind the web; behind one flange is the other.
        Profile::Channel { wall, .. } if hole.face == Face::Top => area * wall.to_mm(),
        Profile::Channel { wall, .. } => area * wall.to_mm() * walls,
        Profile::RoundBar { diameter } => {
            let r = diameter.to_mm() / 2.0;
            round_hole(hole, r, |y| 2.0 * half_chord(r, y))
        }
        Profile::RoundTube { outside, wall } => {
            let (r, t) = (outside.to_mm() / 2.0, wall.to_mm());
            round_hole(hole, r, |y| walls * (half_chord(r, y) - half_chord(r - t, y)))
        }
    }
}

fn half_chord(radius: f64, y: f64) -> f64 {
    libm::sqrt((radius * radius - y * y).max(0.0))
}

/// Volume of a hole in round stock of radius `radius`, where the drill meets
/// `depth(y)` mm of metal at `y` from the centre line.
///
/// # Formula
/// Green: the integral of `depth` over the opening is the line integral of
/// `x depth(y) dy` round it; two-point Gauss rule on each short side.
/// # Source
/// Green's theorem (any calculus text).
fn round_hole(hole: &FaceHole, radius: f64, depth: impl Fn(f64) -> f64) -> f64 {
    let at = Point::new(0.0, hole.hole.at.y - radius);
    let corners = hole.hole.shape.corners(at);
    let (n, offset) = (corners.len(), 0.5 / libm::sqrt(3.0));
    let mut volume = 0.0;
    let mut area = 0.0;
    for i in 0..n {
        let (p, q) = (corners[i], corners[(i + 1) % n]);
        for f in [0.5 - offset, 0.5 + offset] {
            let m = p + (q - p) * f;
            volume += m.x * depth(m.y) * (q.y - p.y) / 2.0;
        }
        area += p.cross(q) / 2.0;
    }
    // The straight corners lie inside the true opening: make up for the difference.
    if area > 0.0 { volume * hole.hole.shape.area() / area } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom;
    use crate::piece::{Bend, BendTurn, End, Flat, Hole, HoleShape, Stock, StripHole};
    use crate::units::{Angle, Length};

    fn mm(v: f64) -> Length {
        Length::mm(v)
    }

    fn piece(form: Form) -> Piece {
        let stock = Stock { shape: "flat bar".into(), size: vec![], material: "steel".into() };
        Piece {
            part: "test".into(),
            name: "piece".into(),
            copies: 1,
            hand: None,
            form,
            stock,
            places: vec![],
            notes: vec![],
            cautions: vec![],
        }
    }

    fn hole(diameter: f64, x: f64, y: f64) -> Hole {
        Hole { name: "h".into(), shape: HoleShape::Round { diameter }, at: Point::new(x, y), bolt: true }
    }

    #[test]
    fn a_rounded_bent_strip_is_flats_and_a_ring_segment() {
        let flat = |l: f64| Step::Flat(Flat { name: "f".into(), length: mm(l) });
        let bend = Bend { angle: Angle::degrees(90.0), turn: BendTurn::Up, inside_radius: mm(6.0), k: 0.4 };
        let s = Strip {
            width: mm(40.0),
            thickness: mm(5.0),
            steps: vec![flat(60.0), Step::Bend(bend), flat(30.0)],
            left: EndShape::Rounded,
            right: EndShape::Clipped(3.0),
            holes: vec![StripHole { step: 0, hole: hole(11.0, 20.0, 20.0) }],
        };
        // Quarter ring between radius 6 and 11.
        let ring = PI / 4.0 * (121.0 - 36.0) * 40.0;
        let plan = 60.0 * 40.0 - (20.0 * 40.0 - PI * 200.0) + 30.0 * 40.0 - 9.0 - PI * 30.25;
        assert!((volume_mm3(&piece(Form::Strip(s))) - (ring + plan * 5.0)).abs() < 1e-6);
    }

    #[test]
    fn a_plate_is_area_times_thickness() {
        let p = Plate {
            thickness: mm(6.0),
            outline: geom::rectangle(Point::default(), 100.0, 60.0, 0.0),
            holes: vec![hole(10.0, 20.0, 20.0)],
        };
        assert!((volume_mm3(&piece(Form::Plate(p))) - 6.0 * (6000.0 - PI * 25.0)).abs() < 1e-9);
    }

    #[test]
    fn a_bar_mitred_both_ways_is_a_trapezoid() {
        let end = End { angle: Angle::degrees(45.0), across: Face::Top, cope: None, flats: None };
        let s = Section {
            profile: Profile::FlatBar { width: mm(30.0), thickness: mm(8.0) },
            length: mm(200.0),
            left: end,
            right: end,
            holes: vec![],
        };
        // Parallel sides 200 and 140.
        assert!((volume_mm3(&piece(Form::Section(s))) - 170.0 * 30.0 * 8.0).abs() < 1e-6);
    }

    #[test]
    fn two_equal_cylinders_meet_in_the_body_of_archimedes() {
        // The common body of two equal crossing cylinders has volume 16 r^3 / 3
        // (Archimedes, The Method): a hole as wide as the bar takes just that.
        let s = Section {
            profile: Profile::RoundBar { diameter: mm(20.0) },
            length: mm(100.0),
            left: End::square(),
            right: End::square(),
            holes: vec![FaceHole { face: Face::Top, through: true, hole: hole(20.0, 50.0, 10.0) }],
        };
        let taken = PI * 100.0 * 100.0 - volume_mm3(&piece(Form::Section(s)));
        assert!((taken - 16.0 * 1000.0 / 3.0).abs() < 0.2, "{taken}");
    }
}
