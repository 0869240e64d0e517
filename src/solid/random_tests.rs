//! A generator of pieces of all forms, and what must hold for every one.

use super::tests::*;
use super::*;
use crate::geom::{self, Point};
use crate::piece::{
    BendTurn, End, EndShape, Face, Flats, HoleShape, Plate, Profile, Section, Step, Strip, StripHole, long_point,
};
use crate::units::Angle;

/// A small generator of numbers in a range: the same pieces in every run
/// (constants of a 64-bit linear congruential generator by Knuth, MMIX).
struct Dice(u64);

impl Dice {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }
    fn below(&mut self, n: usize) -> usize {
        (self.between(0.0, n as f64) as usize).min(n - 1)
    }
    fn shape(&mut self, size: f64) -> HoleShape {
        let lies = self.between(-1.5, 1.5);
        let small = size * self.between(0.3, 0.7);
        match self.below(4) {
            0 => HoleShape::Round { diameter: size },
            1 => HoleShape::Slot { length: size, width: small, lies },
            2 => HoleShape::Ellipse { major: size, minor: small, lies },
            _ => HoleShape::Rectangle { length: size * 0.8, width: small * 0.8, corner_radius: small * 0.2, lies },
        }
    }
}

fn any_plate(d: &mut Dice) -> Form {
    let (w, h) = (d.between(40.0, 300.0), d.between(40.0, 200.0));
    let outline = geom::rectangle(Point::default(), w, h, d.between(1.0, 18.0));
    let size = d.between(4.0, 12.0);
    let holes = (0..d.below(4)).map(|i| hole(d.shape(size), w * (0.25 + 0.25 * i as f64), h / 2.0)).collect::<Vec<_>>();
    let holes = if w > 64.0 { holes } else { holes.into_iter().take(1).collect() };
    Form::Plate(Plate { thickness: mm(d.between(1.0, 20.0)), outline, holes })
}

fn any_strip(d: &mut Dice) -> Form {
    let (width, thickness) = (d.between(20.0, 80.0), d.between(2.0, 10.0));
    let mut steps = vec![flat(d.between(45.0, 200.0))];
    for i in 0..d.below(4) {
        // Turns that go to and fro, so that the walk does not meet itself.
        let turn = if i % 2 == 0 { BendTurn::Up } else { BendTurn::Down };
        steps.push(bend(d.between(5.0, 110.0), d.between(2.0, 60.0), turn));
        steps.push(flat(d.between(45.0, 200.0)));
    }
    let ends = [EndShape::Square, EndShape::Rounded, EndShape::Radius(6.0), EndShape::Clipped(7.0)];
    let holes = steps
        .iter()
        .enumerate()
        .filter_map(|(step, s)| match s {
            Step::Flat(f) => Some(StripHole { step, hole: hole(d.shape(9.0), f.length.to_mm() / 2.0, width / 2.0) }),
            Step::Bend(_) => None,
        })
        .collect();
    let (left, right) = (ends[d.below(4)], ends[d.below(4)]);
    Form::Strip(Strip { width: mm(width), thickness: mm(thickness), steps, left, right, holes })
}

fn any_section(d: &mut Dice) -> Form {
    let wall = d.between(2.0, 6.0);
    let (a, b) = (d.between(40.0, 100.0), d.between(40.0, 100.0));
    let profile = match d.below(6) {
        0 => Profile::FlatBar { width: mm(a), thickness: mm(wall) },
        1 => Profile::RoundBar { diameter: mm(a / 3.0) },
        2 => Profile::RoundTube { outside: mm(a), wall: mm(wall) },
        3 => Profile::BoxTube {
            width: mm(a),
            height: mm(b),
            wall: mm(wall),
            outside_radius: mm(2.0 * wall),
            inside_radius: mm(wall),
        },
        4 => Profile::Angle {
            flat_leg: mm(a),
            upright_leg: mm(b),
            wall: mm(wall),
            root_radius: mm(wall),
            toe_radius: mm(wall / 2.0),
        },
        _ => Profile::Channel { height: mm(a), flange: mm(b), wall: mm(wall), root_radius: mm(wall) },
    };
    let faces = profile.faces();
    let (mut left, mut right) =
        (end(d.between(40.0, 140.0), faces[d.below(faces.len())].0), end(d.between(40.0, 140.0), Face::Top));
    match profile {
        Profile::RoundTube { outside, .. } => {
            // Sat on a tube as wide as itself, a little wider, or much wider.
            let main = outside * ([0.5, 0.501, 0.6, 1.5][d.below(4)]);
            match d.below(3) {
                0 => left.cope = Some(main),
                1 => right.cope = Some(main),
                _ => {}
            }
        }
        Profile::RoundBar { diameter } if d.below(2) == 0 => {
            let flats = Flats { across: diameter * d.between(0.4, 0.9), length: mm(d.between(5.0, 60.0)) };
            left = End { flats: Some(flats), ..End::square() };
            right = if d.below(2) == 0 { left } else { right };
        }
        _ => {}
    }
    let (face, _, width) = faces[d.below(faces.len())];
    let size = if profile.is_round() { (width.to_mm() / 3.0).min(9.0) } else { 9.0 };
    let holes = match d.below(4) {
        0 if profile.is_round() => vec![],
        _ => vec![face_hole(face, d.below(2) == 0, hole(d.shape(size), 200.0, width.to_mm() / 2.0))],
    };
    Form::Section(Section { profile, length: mm(400.0), left, right, holes })
}

fn any_form(d: &mut Dice, i: usize) -> Form {
    match i % 3 {
        0 => any_plate(d),
        1 => any_strip(d),
        _ => any_section(d),
    }
}

#[test]
fn a_thousand_pieces_all_pass_the_gate_and_keep_volume_and_area() {
    let mut d = Dice(7);
    for i in 0..1000 {
        let p = piece(any_form(&mut d, i));
        let b = build_body(&p).unwrap_or_else(|f| panic!("{i}: {f}\n{:?}", p.form));
        let far = (b.mesh.volume_mm3() - b.volume_mm3).abs() / b.volume_mm3;
        assert!(far <= 0.002, "{i}: {far} {:?}", p.form);
        let far = (b.mesh.area_mm2() - b.area_mm2).abs() / b.area_mm2;
        assert!(far <= 0.005, "{i}: area {far} {:?}", p.form);
        assert_eq!(b.mesh.euler_number(), 2 - 2 * b.ways_through as i64, "{i}");
        if i % 20 == 0 {
            assert!(build_body(&p).unwrap() == b, "{i}: a second run differs");
        }
    }
}

#[test]
fn volume_and_area_come_nearer_as_the_chord_shrinks() {
    let mut d = Dice(11);
    for i in 0..60 {
        let p = piece(any_form(&mut d, i));
        let far = |chord: f64| {
            let b = build_body_within(&p, chord).unwrap_or_else(|f| panic!("{i}: {f}"));
            // No point of the mesh is farther than the chord from the true skin.
            let allowed = chord * b.area_mm2 / b.volume_mm3;
            let v = (b.mesh.volume_mm3() - b.volume_mm3).abs() / b.volume_mm3;
            assert!(v <= allowed.min(0.002), "{i}: {v} at {chord} {:?}", p.form);
            (v, (b.mesh.area_mm2() - b.area_mm2).abs() / b.area_mm2)
        };
        let (fine, finest) = (far(0.02), far(0.002));
        assert!(finest.0 <= fine.0.max(2e-5), "{i}: volume {fine:?} {finest:?} {:?}", p.form);
        assert!(finest.1 <= fine.1.max(2e-4) && finest.1 < 1e-3, "{i}: area {fine:?} {finest:?} {:?}", p.form);
    }
}

#[test]
fn normals_look_out_of_the_metal() {
    let mut d = Dice(13);
    for i in 0..60 {
        let p = piece(any_form(&mut d, i));
        let b = build_body(&p).unwrap_or_else(|f| panic!("{i}: {f} {:?}", p.form));
        for (t, normals) in b.mesh.triangles.iter().zip(&b.mesh.normals) {
            let [x, y, z] = b.mesh.corners(t);
            let square = (y - x).cross(z - x).unit();
            for n in normals {
                assert!((n.length() - 1.0).abs() < 1e-9 && n.dot(square) > 0.85, "{i}: {} {:?}", n.dot(square), p.form);
            }
        }
    }
}

#[test]
fn a_cope_keeps_to_its_main_tube_even_where_both_are_equally_wide() {
    for (main, degrees) in [(90.0, 90.0), (35.0, 60.0), (30.06, 90.0), (30.0, 90.0), (30.0, 60.0), (31.0, 120.0)] {
        for right in [false, true] {
            let angle = Angle::degrees(degrees);
            let cope = End { angle, cope: Some(mm(main)), ..End::square() };
            let (l, r) = if right { (End::square(), cope) } else { (cope, End::square()) };
            let profile = Profile::RoundTube { outside: mm(60.0), wall: mm(5.0) };
            let s = Section { profile, length: mm(400.0), left: l, right: r, holes: vec![] };
            let b =
                build_body_within(&piece(Form::Section(s)), 0.02).unwrap_or_else(|f| panic!("{main} {degrees}: {f}"));
            assert!((-1e-6..0.1).contains(&b.low.x) && (399.9..400.000001).contains(&b.high.x), "{main} {degrees}");
            // The end's points keep their distance from the main axis; none is nearer.
            let first = long_point(main, angle.to_radians(), 30.0).unwrap();
            let (sin, cos) = (libm::sin(angle.to_radians()), libm::cos(angle.to_radians()));
            let mut on = 0;
            for p in &b.mesh.positions {
                let x = if right { 400.0 - p.x } else { p.x } + first;
                let far = libm::hypot(p.y * cos - x * sin, p.z);
                assert!(far > main - 1e-5, "{main} {degrees}: {far}");
                on += usize::from(far < main + 1e-5);
            }
            assert!(on > 100, "{main} {degrees}: {on} points on the main tube");
        }
    }
}
