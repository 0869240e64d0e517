//! Fifty planted faults of the fit, and what must raise no alarm.

use super::*;
use crate::geom::{self, Point};
use crate::piece::{End, Face, FaceHole, Form, Hole, HoleShape, Plate, Profile, Section, Stock};
use crate::solid::build_body;
use crate::units::Length;

fn mm(v: f64) -> Length {
    Length::mm(v)
}

fn piece(name: &str, form: Form) -> Piece {
    Piece {
        part: "test".into(),
        name: name.into(),
        copies: 1,
        hand: None,
        form,
        stock: Stock { shape: "plate".into(), size: vec![], material: "mild steel".into() },
        places: vec![],
        notes: vec![],
        cautions: vec![],
    }
}

fn hole(shape: HoleShape, x: f64, y: f64) -> Hole {
    Hole { name: "bolt".into(), shape, at: Point::new(x, y), bolt: true }
}

/// A plate of 100 x 60 with one hole.
fn plate(thickness: f64, shape: HoleShape, x: f64, y: f64) -> Form {
    let outline = geom::rectangle(Point::default(), 100.0, 60.0, 0.0);
    Form::Plate(Plate { thickness: mm(thickness), outline, holes: vec![hole(shape, x, y)] })
}

fn round(diameter: f64) -> HoleShape {
    HoleShape::Round { diameter }
}

fn tube(side: f64, holes: Vec<FaceHole>) -> Form {
    let (wall, outside_radius, inside_radius) = (mm(3.0), mm(6.0), mm(3.0));
    let profile = Profile::BoxTube { width: mm(side), height: mm(side), wall, outside_radius, inside_radius };
    Form::Section(Section { profile, length: mm(200.0), left: End::square(), right: End::square(), holes })
}

/// A sleeve of 40 mm.
fn sleeve(outside: f64) -> Form {
    let profile = Profile::RoundTube { outside: mm(outside), wall: mm(2.0) };
    Form::Section(Section { profile, length: mm(40.0), left: End::square(), right: End::square(), holes: vec![] })
}

fn at(x: f64, y: f64, z: f64) -> Frame {
    Frame::default().moved(Point3::new(x, y, z))
}

fn bolt(diameter: f64, grip: f64, place: Frame) -> Bolt {
    Bolt { name: "bolt".into(), diameter: mm(diameter), grip: mm(grip), place }
}

/// Pieces in their places, and bolts.
fn stand(pieces: Vec<(Form, Frame)>, bolts: Vec<Bolt>) -> Assembly {
    let pieces: Vec<Piece> = pieces
        .into_iter()
        .enumerate()
        .map(|(i, (form, place))| Piece { places: vec![place], ..piece(&format!("piece {i}"), form) })
        .collect();
    let bodies: Vec<Option<Arc<Body>>> = pieces.iter().map(|p| Some(Arc::new(build_body(p).unwrap()))).collect();
    let part = PartStands {
        name: "test".into(),
        pieces: (0..pieces.len()).collect(),
        made: 1,
        bolts,
        ..PartStands::default()
    };
    Assembly::of_part(&part, &pieces, &bodies)
}

/// Two plates face to face with one bolt through both; the upper one moved.
fn bolted(move_x: f64, move_y: f64, shape: HoleShape) -> Assembly {
    stand(
        vec![
            (plate(6.0, round(9.0), 50.0, 30.0), at(0.0, 0.0, 0.0)),
            (plate(5.0, shape, 50.0, 30.0), at(move_x, move_y, 5.0)),
        ],
        vec![bolt(8.0, 11.0, at(50.0, 30.0, 5.0))],
    )
}

fn sound(a: &Assembly) -> bool {
    let m = mates(a);
    m.misfits.is_empty() && clashes(a).is_empty()
}

/// Numbers of a fixed row between two limits.
fn spread(i: usize, low: f64, high: f64) -> f64 {
    let golden = 0.618_033_988_749_895;
    low + (high - low) * ((i as f64 + 1.0) * golden).fract()
}

#[test]
fn what_fits_raises_no_alarm() {
    let base = bolted(0.0, 0.0, round(9.0));
    assert_eq!(mates(&base).pairs, 3, "hole to hole, and the bolt to both");
    assert!(sound(&base));
    // A slot gives along its length, and only there.
    let slot = HoleShape::Slot { length: 20.0, width: 9.0, lies: 0.0 };
    for i in 0..10 {
        assert!(sound(&bolted(spread(i, -5.4, 5.4), 0.0, slot)), "{i}");
    }
    // Turned part: everything turns with it.
    let turned = Frame::turned(0.3, 1.0, -0.4).moved(Point3::new(10.0, -20.0, 30.0));
    let mut a = bolted(0.0, 0.0, round(9.0));
    a.stands.iter_mut().for_each(|s| s.frame = turned.of(&s.frame));
    assert!(sound(&a) && mates(&a).pairs == 3, "{:?} {:?}", mates(&a), clashes(&a));
    // A sleeve in its hole; a plate on a tube; a tube on a tube's corner.
    let sleeve = sleeve(14.0);
    let through = FaceHole { face: Face::Top, through: true, hole: hole(round(14.5), 100.0, 20.0) };
    let down = Frame::turned(0.0, std::f64::consts::FRAC_PI_2, 0.0).moved(Point3::new(100.0, 20.0, 0.0));
    let a = stand(
        vec![
            (tube(40.0, vec![through]), at(0.0, 0.0, 0.0)),
            (sleeve, down),
            (plate(6.0, round(11.0), 50.0, 30.0), at(50.0, -10.0, 6.0)),
            (tube(40.0, vec![]), at(0.0, 40.0, 0.0)),
        ],
        vec![bolt(8.0, 46.0, at(100.0, 20.0, 6.0))],
    );
    assert!(clashes(&a).is_empty(), "{:?}", clashes(&a));
    let m = mates(&a);
    assert!(m.misfits.is_empty() && m.pairs == 4, "{m:?}");
    // What nobody placed takes no part.
    let part = PartStands { pieces: vec![0, 1], made: 1, ..PartStands::default() };
    let pieces = vec![piece("a", plate(6.0, round(9.0), 50.0, 30.0)), piece("b", plate(6.0, round(9.0), 50.0, 30.0))];
    let bodies: Vec<_> = pieces.iter().map(|p| Some(Arc::new(build_body(p).unwrap()))).collect();
    let loose = Assembly::of_part(&part, &pieces, &bodies);
    assert_eq!(loose.fitted().count(), 0);
    let (one, other) = (loose.stands[0].bounds().unwrap(), loose.stands[1].bounds().unwrap());
    assert!(one.high.y < other.low.y, "they stand beside each other");
}

#[test]
fn twenty_five_planted_misfits_are_found() {
    let mut found = 0;
    for i in 0..15 {
        // From just over the limit to half a hole, in all directions.
        let (off, turn) = (0.011 + spread(i, 0.0, 1.0).powi(3) * 3.0, spread(i, 0.0, 6.0));
        let a = bolted(off * libm::cos(turn), off * libm::sin(turn), round(9.0));
        let m = mates(&a);
        let told = |m: &Misfit| matches!(m, Misfit::OffLine { off_mm, .. } if (off_mm - off).abs() < 1e-9);
        // The upper hole against the lower one and against the bolt.
        assert_eq!(m.misfits.iter().filter(|(_, m)| told(m)).count(), 2, "{i}: {off} {m:?}");
        found += 1;
    }
    let slot = HoleShape::Slot { length: 20.0, width: 9.0, lies: 0.0 };
    for i in 0..4 {
        let across = 0.02 + 0.4 * i as f64;
        assert!(!mates(&bolted(3.0, across, slot)).misfits.is_empty(), "across the slot by {across}");
        found += 1;
    }
    for past in [5.52, 6.5, 7.5] {
        assert!(!mates(&bolted(past, 0.0, slot)).misfits.is_empty(), "past the end of the slot: {past}");
        found += 1;
    }
    for thick in [9.02, 9.5] {
        let a = stand(
            vec![(plate(6.0, round(9.0), 50.0, 30.0), Frame::default())],
            vec![bolt(thick, 6.0, at(50.0, 30.0, 0.0))],
        );
        assert!(mates(&a).misfits.iter().any(|(_, m)| matches!(m, Misfit::TooThick { .. })), "{thick}");
        found += 1;
    }
    let astray =
        stand(vec![(plate(6.0, round(9.0), 50.0, 30.0), Frame::default())], vec![bolt(8.0, 6.0, at(150.0, 30.0, 0.0))]);
    assert!(matches!(mates(&astray).misfits[..], [(_, Misfit::NoHole { .. })]));
    found += 1;
    assert_eq!(found, 25);
}

fn block(side: f64) -> Form {
    let outline = geom::rectangle(Point::default(), side, side, 0.0);
    Form::Plate(Plate { thickness: mm(side), outline, holes: vec![] })
}

#[test]
fn twenty_five_planted_clashes_are_found_and_named() {
    let mut found = 0;
    let mut must = |what: &str, a: Assembly, one: &str, other: &str| {
        let c = clashes(&a);
        assert!(c.iter().any(|c| c.one.contains(one) && c.other.contains(other)), "{what}: {c:?}");
        found += 1;
    };
    for i in 0..10 {
        // Two plates pressed into each other, from just over the limit on.
        let into = 0.32 + spread(i, 0.0, 1.0).powi(2) * 4.0;
        let a = stand(
            vec![
                (plate(6.0, round(9.0), 50.0, 30.0), Frame::default()),
                (
                    plate(5.0, round(9.0), 50.0, 30.0),
                    at(spread(i, -60.0, 60.0), spread(i + 3, -30.0, 30.0), 5.0 - into),
                ),
            ],
            vec![],
        );
        must(&format!("pressed in by {into}"), a, "piece 0", "piece 1");
    }
    for i in 0..5 {
        // A bolt through steel where there is no hole.
        let place = at(10.0 + 4.0 * i as f64, 10.0, 0.0);
        let a = stand(vec![(plate(6.0, round(9.0), 50.0, 30.0), Frame::default())], vec![bolt(6.0, 6.0, place)]);
        must("bolt through steel", a, "piece 0", "bolt");
    }
    for i in 0..5 {
        // A tube askew through another.
        let turn = Frame::turned(0.1 * i as f64, 0.05, 0.4 + 0.2 * i as f64).moved(Point3::new(20.0, -30.0, 8.0));
        let a = stand(vec![(tube(40.0, vec![]), Frame::default()), (tube(30.0, vec![]), turn)], vec![]);
        must("tube through tube", a, "piece 0", "piece 1");
    }
    for i in 0..3 {
        // A sleeve that is wider than its hole, by the least that counts and more.
        let outside = 14.5 + 0.7 + 0.5 * i as f64;
        let sleeve = sleeve(outside);
        let through = FaceHole { face: Face::Top, through: true, hole: hole(round(14.5), 100.0, 20.0) };
        let down = Frame::turned(0.0, std::f64::consts::FRAC_PI_2, 0.0).moved(Point3::new(100.0, 20.0, 0.0));
        let a = stand(vec![(tube(40.0, vec![through]), Frame::default()), (sleeve, down)], vec![]);
        must("sleeve too wide", a, "piece 0", "piece 1");
    }
    // Swallowed whole: no skin meets another.
    must(
        "swallowed",
        stand(vec![(block(60.0), at(0.0, 0.0, 0.0)), (block(10.0), at(20.0, 20.0, -20.0))], vec![]),
        "piece 0",
        "piece 1",
    );
    must(
        "in one place",
        stand(vec![(block(60.0), at(0.0, 0.0, 0.0)), (block(60.0), at(0.0, 0.0, 0.0))], vec![]),
        "piece 0",
        "piece 1",
    );
    assert_eq!(found, 25);
}

#[test]
fn the_opposite_hand_stands_as_a_mirror_image() {
    let corner = |x: f64, y: f64| geom::Corner { at: Point::new(x, y), finish: geom::CornerFinish::Sharp };
    let outline = geom::polygon(&[corner(0.0, 0.0), corner(80.0, 0.0), corner(20.0, 50.0)]).unwrap();
    let left = Piece {
        places: vec![Frame::turned(0.2, -0.4, 0.9).moved(Point3::new(7.0, 8.0, 9.0))],
        ..piece("wing", Form::Plate(Plate { thickness: mm(4.0), outline, holes: vec![hole(round(6.0), 20.0, 15.0)] }))
    };
    let right = Piece { hand: Some(Hand::Right), ..opposite_hand(&left) };
    let one = |p: &Piece, mirrored: bool| {
        let part = PartStands { pieces: vec![0], made: 1, mirrored, ..PartStands::default() };
        let bodies = [Some(Arc::new(build_body(p).unwrap()))];
        Assembly::of_part(&part, std::slice::from_ref(p), &bodies).stands.remove(0)
    };
    let (l, r) = (one(&left, false), one(&right, true));
    let place = |s: &Stand| {
        let mut all: Vec<[i64; 3]> = s
            .mesh
            .positions
            .iter()
            .map(|p| s.frame.place(*p))
            .map(|p| [p.x, p.y, p.z].map(|c| (c * 1e4).round() as i64))
            .collect();
        all.sort_unstable();
        all
    };
    let mut flipped: Vec<[i64; 3]> = place(&l).into_iter().map(|[x, y, z]| [-x, y, z]).collect();
    flipped.sort_unstable();
    let near = flipped.iter().zip(place(&r)).all(|(a, b)| a.iter().zip(b).all(|(u, v)| (u - v).abs() <= 2));
    assert!(near, "the mirrored body stands elsewhere");
    let hole = |s: &Stand| s.frame.place(s.drills[0].at);
    assert!((hole(&l).x + hole(&r).x).abs() < 1e-9 && (hole(&l).y - hole(&r).y).abs() < 1e-9);
}
