//! A calm run, one that bends too much, and one that folds.

use super::*;
use crate::layout::{Joint, Obstacle, Twist, solve};
use crate::space::Point3;

fn run(lean_deg: f64) -> SteeringRun {
    let lean = lean_deg.to_radians();
    let (x, y) = (200.0 * libm::cos(lean), 200.0 * libm::sin(lean));
    let joint = |x: f64| Joint { at: Point3::new(x, 0.0, 0.0), kind: JointKind::Single };
    SteeringRun {
        name: "Steering".into(),
        column: Point3::new(-x, y, 0.0),
        joints: vec![joint(0.0), joint(500.0)],
        box_input: Point3::new(500.0 + x, 0.0, y),
        shaft: Length::mm(19.0),
        reach: Length::mm(40.0),
        bore: Length::mm(25.0),
        slip: Length::mm(3.0),
        clear: Length::mm(15.0),
        obstacles: vec![Obstacle {
            name: "header".into(),
            from: Point3::new(250.0, 30.0, 0.0),
            to: Point3::new(250.0, 30.0, 0.0),
            radius: Length::mm(10.0),
        }],
        supports: vec![],
        collapse: None,
        twist: Twist::default(),
    }
}

fn check(run: &SteeringRun) -> Vec<Finding> {
    check_steering(run, &solve(run).unwrap(), System::Metric, System::Metric)
}

fn by<'a>(all: &'a [Finding], code: &str) -> Vec<&'a Finding> {
    all.iter().filter(|f| f.code == code).collect()
}

#[test]
fn a_calm_run_meets_its_rules_and_says_how_to_make_the_shaft() {
    let all = check(&run(20.0));
    assert!(by(&all, "steering-bend").iter().all(|f| f.verdict == Verdict::Meets));
    // Planes at right angles: the forks too; then it turns evenly.
    let phase = by(&all, "steering-phase")[0];
    assert!(phase.says.contains("90 degrees") && phase.says.contains("unevenly by 0 %"), "{}", phase.says);
    // 500 - 2 (40 - 25) - 3.
    assert!(by(&all, "steering-shaft")[0].says.contains("cut it to 467 mm"), "{all:?}");
    // 30 - 10 - 9.5 is 10.5: under the 15 asked.
    let room = by(&all, "steering-room")[0];
    assert!(room.verdict == Verdict::Fail && (room.value.unwrap_or(0.0) - 10.5).abs() < 1e-9);
    assert!(by(&all, "steering-engaged")[0].verdict == Verdict::Meets);
}

#[test]
fn a_run_that_bends_too_much_is_told_where_one_joint_more_would_help() {
    let all = check(&run(42.0));
    let bend = by(&all, "steering-bend")[0];
    assert!(bend.verdict == Verdict::Fail && bend.mend.contains("one joint more"), "{bend:?}");
    let mut folded = run(20.0);
    folded.joints.insert(1, Joint { at: Point3::new(250.0, 0.0, 20.0), kind: JointKind::Single });
    let all = check(&folded);
    assert!(by(&all, "steering-support")[0].verdict == Verdict::Warn);
}
