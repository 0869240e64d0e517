//! What stands beside a run, each number by hand.

use super::*;
use crate::layout::{Joint, JointKind, Obstacle, Twist, solve};
use crate::space::Point3;

/// A column along x to a joint at the origin, a shaft at 45 degrees over 400 mm, a box along x again.
fn run(collapse: Option<Collapse>) -> SteeringRun {
    let d = 400.0 * 0.5_f64.sqrt();
    let joint = |x: f64, y: f64| Joint { at: Point3::new(x, y, 0.0), kind: JointKind::Double };
    SteeringRun {
        name: "Steering".into(),
        column: Point3::new(-500.0, 0.0, 0.0),
        joints: vec![joint(0.0, 0.0), joint(d, d)],
        box_input: Point3::new(d + 100.0, d, 0.0),
        shaft: Length::mm(19.0),
        reach: Length::mm(40.0),
        bore: Length::mm(25.0),
        slip: Length::mm(5.0),
        clear: Length::mm(15.0),
        obstacles: vec![],
        supports: vec![],
        collapse,
        twist: Twist::default(),
    }
}

fn asks(travel: f64, maker: Option<f64>, jacket: f64, telescopes: f64) -> Option<Collapse> {
    Some(Collapse {
        travel: Length::mm(travel),
        maker: maker.map(Length::mm),
        jacket: Length::mm(jacket),
        jacket_width: Length::mm(40.0),
        telescopes: Length::mm(telescopes),
    })
}

fn found(run: &SteeringRun, code: &str) -> Vec<Finding> {
    let w = solve(run).unwrap();
    let all = crate::checks::check_steering(run, &w, System::Metric, System::Metric);
    all.into_iter().filter(|f| f.code == code).collect()
}

#[test]
fn what_lies_on_the_way_of_the_tube_is_met_at_its_distance() {
    let mut r = run(asks(100.0, Some(120.0), 190.0, 0.0));
    // 190 to the joint less 40 that it reaches.
    let free = &found(&r, "steering-collapse")[0];
    assert!((free.value.unwrap() - 150.0).abs() < 1e-6 && free.verdict == Verdict::Meets, "{free:?}");
    let plate = Support {
        name: "bulkhead".into(),
        at: Point3::new(-70.0, 0.0, 0.0),
        kind: SupportKind::Opening,
        normal: None,
        thickness: Length::mm(6.0),
        clearance: Length::mm(3.0),
    };
    r.supports.push(plate);
    // 190 - 70 - 3: the travel is left, not all that the maker has.
    let free = &found(&r, "steering-collapse")[0];
    assert!((free.value.unwrap() - 117.0).abs() < 1e-6 && free.verdict == Verdict::Warn, "{free:?}");
    assert!(free.says.contains("bulkhead") && free.says.contains("maker's own 120 mm"), "{}", free.says);
    // A bracket whose edge comes within the tube's radius, 90 mm before its end and 10 mm thick.
    let at = Point3::new(-100.0, 25.0, 0.0);
    r.obstacles.push(Obstacle { name: "bracket".into(), from: at, to: at, radius: Length::mm(10.0) });
    let free = &found(&r, "steering-collapse")[0];
    // Touched where hypot(x, 25) is 30: 16.58 before its middle.
    assert!((free.value.unwrap() - (90.0 - 16.583)).abs() < 1e-2 && free.verdict == Verdict::Fail, "{free:?}");
    assert!(free.says.contains("bracket") && free.mend.contains("bracket"), "{free:?}");
    // What lies behind the tube's end moves with nothing.
    r.supports[0].at = Point3::new(-300.0, 0.0, 0.0);
    r.obstacles.clear();
    assert!((found(&r, "steering-collapse")[0].value.unwrap() - 150.0).abs() < 1e-6);
}

#[test]
fn column_and_shaft_together_give_what_is_asked_or_it_fails() {
    // By itself the column gives nothing that anybody told: 5 mm of slip at 45 degrees.
    let solid = &found(&run(asks(100.0, None, 190.0, 0.0)), "steering-collapse")[1];
    // (282.84 - s)^2 + 282.84^2 = 395^2.
    let by_hand = 282.8427 - (395.0_f64.powi(2) - 282.8427_f64.powi(2)).sqrt();
    assert!((solid.value.unwrap() - by_hand).abs() < 1e-3 && solid.verdict == Verdict::Fail, "{solid:?}");
    assert!(solid.mend.contains("slip shaft"), "{solid:?}");
    let made = &found(&run(asks(100.0, Some(110.0), 190.0, 0.0)), "steering-collapse")[1];
    assert_eq!(made.verdict, Verdict::Meets, "{made:?}");
    // It gets no shorter than 282.84: with 120 mm the shaft swings by.
    let swings = &found(&run(asks(100.0, None, 190.0, 115.0)), "steering-collapse")[1];
    assert!(swings.verdict == Verdict::Meets && swings.value.is_none() && swings.says.contains("swings aside"));
    let mut one = run(asks(100.0, None, 190.0, 0.0));
    one.joints.pop();
    let one = &found(&one, "steering-collapse")[1];
    assert!(one.verdict == Verdict::Fail && one.value == Some(0.0), "{one:?}");
    assert_eq!(found(&run(None), "steering-collapse")[0].verdict, Verdict::Note);
}

#[test]
fn a_support_is_found_on_its_shaft_with_its_tilt() {
    let mut r = run(None);
    let at = Point3::new(100.0, 100.0, 2.0);
    r.supports.push(Support {
        name: "middle".into(),
        at,
        kind: SupportKind::Bearing,
        normal: Some(Point3::new(1.0, 0.0, 0.0)),
        thickness: Length::mm(6.0),
        clearance: Length::mm(3.0),
    });
    let f = &found(&r, "steering-held")[0];
    assert!(f.verdict == Verdict::Meets && (f.value.unwrap() - 2.0).abs() < 1e-9, "{f:?}");
    assert!(f.says.contains("shaft 1") && f.says.contains("141.4") && f.says.contains("45 degrees"), "{}", f.says);
    r.supports[0].at = Point3::new(100.0, 100.0, 4.0);
    assert_eq!(found(&r, "steering-held")[0].verdict, Verdict::Warn);
    // Two double joints are four crosses: two bearings, one is there.
    assert!(found(&r, "steering-support")[0].says.contains("there is middle on shaft 1"));
}

#[test]
fn shafts_are_twisted_by_the_wheel_and_more_behind_a_bent_joint() {
    let mut r = run(None);
    r.twist.material = "S355".into();
    r.twist.cross_hole = Some(Length::mm(6.0));
    let shear = |f: &Finding| f.value.unwrap() / 3.0_f64.sqrt();
    // 16 x 87500 / (pi 19^3): double joints pass it on evenly.
    let even = &found(&r, "shaft-torsion")[0];
    assert!((shear(even) - 64.97).abs() < 0.01 && even.verdict == Verdict::Meets, "{even:?}");
    r.joints[0].kind = JointKind::Single;
    let bent = &found(&r, "shaft-torsion")[0];
    assert!((shear(bent) / shear(even) - 2.0_f64.sqrt()).abs() < 1e-9);
    assert_eq!(found(&r, "cross-hole").len(), 2);
    r.twist.cross_hole = Some(Length::mm(9.0));
    assert!(found(&r, "cross-hole")[0].says.contains("not worked out"));
}
