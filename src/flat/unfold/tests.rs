//! Flat patterns worked out by hand, and faults told by name.

use super::*;
use crate::piece::{BendTurn, End, Face, FaceHole, Measured, Profile, Stock, StripHole, WalkStep, build_steps};
use crate::units::Angle;

fn piece(form: Form) -> Piece {
    Piece {
        part: "p".into(),
        name: "q".into(),
        copies: 1,
        hand: None,
        form,
        stock: Stock { shape: "flat bar".into(), size: vec![], material: "mild steel".into() },
        places: vec![],
        notes: vec![],
        cautions: vec![],
    }
}

fn hole(name: &str, x: f64, y: f64, diameter: f64) -> Hole {
    Hole { name: name.into(), shape: HoleShape::Round { diameter }, at: Point::new(x, y), bolt: true }
}

/// 50 and 40 outside, r = 5, t = 3, K = 0.4, 30 wide.
fn bracket(holes: Vec<StripHole>) -> Piece {
    let flat = |name: &str, length: f64| WalkStep::Flat {
        name: name.into(),
        length: Length::mm(length),
        measured: Measured::Outside,
    };
    let bend = WalkStep::Bend { angle: Angle::degrees(90.0), turn: BendTurn::Up, inside_radius: Length::mm(5.0) };
    let steps = build_steps(&[flat("foot", 50.0), bend, flat("leg", 40.0)], Length::mm(3.0), &|_| 0.4).unwrap();
    let (width, thickness) = (Length::mm(30.0), Length::mm(3.0));
    piece(Form::Strip(Strip { width, thickness, steps, left: EndShape::Square, right: EndShape::Square, holes }))
}

#[test]
fn an_l_has_its_bend_line_tangent_lines_and_holes_from_one_datum() {
    let leg_hole = StripHole { step: 2, hole: hole("leg bolt", 16.0, 15.0, 9.0) };
    let f = unfold(&bracket(vec![leg_hole]), 7850.0).unwrap();
    // Straight: 50 - (5 + 3), 40 - (5 + 3); bend: pi/2 (5 + 0.4 3).
    let arc = std::f64::consts::FRAC_PI_2 * 6.2;
    assert!((f.length.to_mm() - (42.0 + arc + 32.0)).abs() < 1e-9);
    let b = f.bend_lines[0];
    assert!((b.tangent_left - 42.0).abs() < 1e-9 && (b.tangent_right - 42.0 - arc).abs() < 1e-9);
    assert!((b.from.x - 42.0 - arc / 2.0).abs() < 1e-9);
    assert!((f.holes[0].at.x - (42.0 + arc + 16.0)).abs() < 1e-9);
    assert_eq!((f.holes[0].letter.as_str(), f.holes[0].flat.as_deref()), ("A", Some("leg")));
}

#[test]
fn holes_that_leave_the_metal_or_meet_are_told_by_name() {
    let at = |name: &str, x: f64| StripHole { step: 0, hole: hole(name, x, 15.0, 10.0) };
    let faults = unfold(&bracket(vec![at("first", 20.0), at("second", 26.0), at("third", 3.0)]), 7850.0).unwrap_err();
    let codes: Vec<&str> = faults.iter().map(|f| f.code).collect();
    assert_eq!(codes, ["holes-meet", "hole-outside"]);
    assert!(faults[0].message.contains("`first`") && faults[0].message.contains("`second`"));
    assert!(faults[1].message.contains("`third`"));
}

#[test]
fn a_flat_that_its_bends_use_up_is_a_fault() {
    let flat =
        |length: f64| WalkStep::Flat { name: "short".into(), length: Length::mm(length), measured: Measured::Outside };
    let bend = WalkStep::Bend { angle: Angle::degrees(90.0), turn: BendTurn::Up, inside_radius: Length::mm(5.0) };
    let steps =
        build_steps(&[flat(50.0), bend.clone(), flat(10.0), bend, flat(50.0)], Length::mm(3.0), &|_| 0.4).unwrap();
    let (width, thickness) = (Length::mm(30.0), Length::mm(3.0));
    let strip = Strip { width, thickness, steps, left: EndShape::Square, right: EndShape::Square, holes: vec![] };
    assert_eq!(unfold(&piece(Form::Strip(strip)), 7850.0).unwrap_err()[0].code, "flat-too-short");
}

#[test]
fn a_hole_through_a_tube_is_seen_on_both_faces() {
    let (width, height) = (Length::mm(40.0), Length::mm(30.0));
    let profile = Profile::BoxTube {
        width,
        height,
        wall: Length::mm(3.0),
        outside_radius: Length::mm(6.0),
        inside_radius: Length::mm(3.0),
    };
    let through = FaceHole { face: Face::Top, through: true, hole: hole("bolt", 50.0, 12.0, 9.0) };
    let section =
        Section { profile, length: Length::mm(200.0), left: End::square(), right: End::square(), holes: vec![through] };
    let f = unfold(&piece(Form::Section(section)), 7850.0).unwrap();
    let seen: Vec<(&str, f64)> = f.holes.iter().map(|h| (h.face.as_str(), h.at.y)).collect();
    assert_eq!(seen, [("top", 12.0), ("bottom", 28.0)]);
}
