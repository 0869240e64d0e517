//! Tapes lie over what they measure.

use super::*;
use crate::layout::{
    Hangs, Joint, JointKind, PedalSet, Rails, SectionShape, Station, SteeringRun, StrapGoods, TankMount,
};
use crate::units::{Angle, Force, Length};

fn mm(v: f64) -> Length {
    Length::mm(v)
}

fn tank(section: SectionShape, hangs: Hangs) -> TankMount {
    let station = |name: &str, at: f64, height: f64| Station {
        name: name.into(),
        at: mm(at),
        height: [mm(height), mm(height + 3.0)],
        gap: [Some(mm(150.0)), Some(mm(148.0))],
        rail: [None, None],
        ear: [None, None],
    };
    TankMount {
        name: "Main tank".into(),
        section,
        length: mm(700.0),
        stated_mm3: None,
        centre: mm(350.0),
        hangs,
        strap: StrapGoods {
            thickness: mm(3.0),
            width: mm(40.0),
            liner: mm(3.0),
            take_up: mm(6.0),
            hole: mm(9.0),
            clear: mm(40.0),
        },
        stations: vec![station("front", 150.0, 240.0), station("rear", 550.0, 240.0)],
        rails: Some(Rails { inside: mm(562.0), diagonals: Some([mm(690.0), mm(693.0)]) }),
        square_within: mm(5.0),
        pads: None,
        earth: None,
        ground: Some([mm(310.0), mm(150.0)]),
        near: vec![],
    }
}

fn pedal() -> PedalSet {
    PedalSet {
        name: "Brake pedal".into(),
        pivot: Point3::new(-200.0, -1345.0, 730.0),
        axis: Point3::new(1.0, 0.0, 0.0),
        pad: Point3::new(-200.0, -1295.0, 485.0),
        pin: Point3::new(-200.0, -1334.0, 676.0),
        seat: Point3::new(-200.0, -1474.0, 677.0),
        push: Point3::new(0.0, -1.0, 0.0),
        stroke: mm(30.0),
        force: Force::newtons(2000.0),
        arm_width: mm(32.0),
        joint: Some(mm(97.5)),
        sleeve: mm(25.0),
        offset: None,
        clear: mm(10.0),
        obstacles: vec![],
        stop: None,
        stop_before: mm(1.0),
        most_angle: Angle::degrees(5.0),
        ratios: [4.0, 7.0],
        travel: mm(150.0),
    }
}

fn run() -> SteeringRun {
    let joint = |x: f64, y: f64, z: f64| Joint { at: Point3::new(x, y, z), kind: JointKind::Single };
    SteeringRun {
        name: "Shaft".into(),
        column: Point3::new(-300.0, -900.0, 700.0),
        joints: vec![joint(-300.0, -1100.0, 650.0), joint(-150.0, -1450.0, 500.0)],
        box_input: Point3::new(-150.0, -1600.0, 480.0),
        shaft: mm(19.0),
        reach: mm(38.0),
        bore: mm(24.0),
        slip: mm(4.0),
        clear: mm(15.0),
        obstacles: vec![Obstacle {
            name: "left header".into(),
            from: Point3::new(-120.0, -1150.0, 560.0),
            to: Point3::new(-120.0, -1420.0, 620.0),
            radius: mm(25.0),
        }],
        supports: vec![],
        collapse: None,
        twist: crate::layout::Twist::default(),
    }
}

/// The tape of a reading, wherever it lies.
fn tape_of(sheets: &[MeasuringSheet], name: &str) -> Option<(Point, Point)> {
    sheets.iter().flat_map(|s| &s.readings).find(|r| r.name == name).and_then(|r| r.tape)
}

fn long(sheets: &[MeasuringSheet], name: &str) -> f64 {
    let (a, b) = tape_of(sheets, name).unwrap_or_else(|| panic!("no tape for {name}"));
    a.distance(b)
}

#[test]
fn sizes_of_a_tank_are_as_long_as_they_are() {
    let shape = SectionShape::Rectangle { width: mm(340.0), height: mm(220.0), radius: mm(60.0) };
    let told = tank(shape, Hangs::Between);
    let all = tank_sheets(&told, &|_| true);
    for (name, is) in [
        ("width", 340.0),
        ("height", 220.0),
        ("radius", 60.0),
        ("length", 700.0),
        ("station front/height", 240.0),
        ("station rear/height_right", 243.0),
        ("station rear/at", 550.0),
        ("station front/gap_left", 150.0),
        ("station rear/gap_right", 148.0),
        ("rails/inside", 562.0),
        ("strap/clear", 40.0),
        // The rails lie 562 apart, the straps 400.
        ("rails/diagonal_front_left", 562.0_f64.hypot(400.0)),
    ] {
        assert!((long(&all, name) - is).abs() < 1e-6, "{name}: {} for {is}", long(&all, name));
    }
    let seen: Vec<&str> = all.iter().map(|s| s.part.as_str()).collect();
    assert_eq!(seen, ["Main tank, seen from behind", "Main tank, seen from the side", "Main tank, seen from above"]);
}

#[test]
fn over_a_tank_heights_go_down_from_its_highest_point() {
    let told = tank(SectionShape::Round { width: mm(250.0) }, Hangs::OnTop);
    let (from, to) = tape_of(&tank_sheets(&told, &|_| true), "station front/height").unwrap();
    assert!((from.y - 250.0).abs() < 0.5 && (from.y - to.y - 240.0).abs() < 0.5, "{from:?} {to:?}");
}

#[test]
fn only_what_is_asked_for_has_a_tape_and_a_view_without_one_is_left_out() {
    let told = tank(SectionShape::Obround { width: mm(340.0), height: mm(220.0) }, Hangs::Between);
    let all = tank_sheets(&told, &|way| way == "station rear/at");
    let named: Vec<&str> = all.iter().flat_map(|s| &s.readings).map(|r| r.name.as_str()).collect();
    assert_eq!((all.len(), named), (1, vec!["station rear/at"]));
    assert!(tank_sheets(&told, &|_| false).is_empty());
    assert!(pedal_sheets(&pedal(), &|_| false).is_empty() && steering_sheets(&run(), &|_| false).is_empty());
}

#[test]
fn a_pedals_joint_is_taped_along_its_arm() {
    let all = pedal_sheets(&pedal(), &|_| true);
    assert!((long(&all, "joint") - 97.5).abs() < 1e-6);
    let (from, to) = tape_of(&all, "joint").unwrap();
    let (arm, tape) = (Point::new(50.0, -245.0).unit(), (to - from).unit());
    assert!(arm.cross(tape).abs() < 1e-9 && arm.dot(tape) > 0.0, "along the arm, from the pivot down");
    assert!((long(&all, "stroke") - 30.0).abs() < 1e-6 && (long(&all, "arm_width") - 32.0).abs() < 1e-6);
}

#[test]
fn coordinates_of_a_run_are_taped_from_their_nought_and_end_at_the_point() {
    let all = steering_sheets(&run(), &|_| true);
    let [side, plan] = &all[..] else { panic!("two views") };
    let told = run();
    for (name, p) in [("column", told.column), ("joint 2/at", told.joints[1].at), ("box", told.box_input)] {
        let end = |sheet: &MeasuringSheet, axis: &str| {
            tape_of(std::slice::from_ref(sheet), &format!("{name}/{axis}")).unwrap().1
        };
        assert!(end(side, "z").distance(Point::new(p.y, p.z)) < 1e-9, "{name} from the side");
        assert!(end(plan, "x").distance(Point::new(p.x, -p.y)) < 1e-9, "{name} from above");
    }
    // Nought of y lies behind everything in this run: its line stands to the right of it.
    let (from, to) = tape_of(std::slice::from_ref(side), "box/y").unwrap();
    assert!(from.x > to.x, "{from:?} {to:?}");
    let shafts = all.iter().flat_map(|s| &s.readings).filter(|r| r.name == "shaft").count();
    assert_eq!(shafts, 1, "a size stands on one view");
}

#[test]
fn points_that_are_one_place_draw_nothing_that_is_no_number() {
    let mut told = run();
    told.column = told.joints[0].at;
    told.box_input = told.joints[1].at;
    let mut arm = pedal();
    arm.pad = arm.pivot;
    arm.seat = arm.pin;
    let sheets = steering_sheets(&told, &|_| true).into_iter().chain(pedal_sheets(&arm, &|_| true));
    for sheet in sheets {
        let tapes = sheet.readings.iter().filter_map(|r| r.tape).flat_map(|t| [t.0, t.1]);
        let points = sheet.sketch.iter().flat_map(|l| l.through.clone()).chain(tapes);
        points.for_each(|p| assert!(p.is_finite(), "{}: {p:?}", sheet.part));
    }
}

#[test]
fn a_place_beyond_all_reason_stops_nothing() {
    let mut told = run();
    told.column = Point3::new(1e300, -1e300, 1e308);
    let mut far = pedal();
    far.pad = Point3::new(0.0, 1e308, -1e308);
    let sheets = steering_sheets(&told, &|_| true).into_iter().chain(pedal_sheets(&far, &|_| true));
    for sheet in sheets {
        assert!(!sheet.readings.is_empty());
        let _ = crate::drawing::draw_sketch(&sheet, Point::default(), (78.0, 60.0));
    }
}
