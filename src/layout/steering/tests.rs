//! The run against forks that are really turned: the cross of each joint keeps
//! its two pins square, and nothing else is assumed.

use super::*;
use crate::layout::Joint;
use crate::layout::Obstacle;
use crate::layout::Twist;
use crate::layout::better_support;

/// Noise without a clock.
struct Lot(u64);

impl Lot {
    fn next(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
    fn point(&mut self, span: f64) -> Point3 {
        let mut one = || (self.next() - 0.5) * span;
        Point3::new(one(), one(), one())
    }
}

fn run(points: &[Point3]) -> SteeringRun {
    let inner = &points[1..points.len() - 1];
    SteeringRun {
        name: "shaft".into(),
        column: points[0],
        joints: inner.iter().map(|at| Joint { at: *at, kind: JointKind::Single }).collect(),
        box_input: points[points.len() - 1],
        shaft: Length::mm(19.0),
        reach: Length::mm(40.0),
        bore: Length::mm(22.0),
        slip: Length::mm(5.0),
        clear: Length::mm(15.0),
        obstacles: vec![],
        supports: vec![],
        collapse: None,
        twist: Twist::default(),
    }
}

fn turned(axis: Point3, v: Point3, by: f64) -> Point3 {
    // Rodrigues, for a vector square to the axis.
    v * libm::cos(by) + axis.cross(v) * libm::sin(by)
}

/// Angle of the box for an angle of the wheel, by carrying the pins through.
fn box_angle(run: &SteeringRun, phases: &[f64], wheel: f64) -> f64 {
    let ways = ways(run).unwrap();
    let start = ways[0].any_square();
    let mut pin = turned(ways[0], start, wheel);
    for i in 0..run.joints.len() {
        // The cross: its other pin is square to this one, and to the next shaft.
        pin = ways[i + 1].cross(pin).unit();
        if i < phases.len() {
            pin = turned(ways[i + 1], pin, phases[i]);
        }
    }
    let last = ways[ways.len() - 1];
    turn_about(last, last.any_square(), pin)
}

fn slope(run: &SteeringRun, phases: &[f64], wheel: f64) -> f64 {
    let step = 1e-5;
    let d = box_angle(run, phases, wheel + step) - box_angle(run, phases, wheel - step);
    let pi = std::f64::consts::PI;
    // The pin's line counts, not its sense.
    (d - pi * libm::round(d / pi)) / (2.0 * step)
}

#[test]
fn two_equal_bends_in_space_turn_evenly_with_the_phase_that_is_told() {
    let mut lot = Lot(0x9e37_79b9_7f4a_7c15);
    let mut seen = 0;
    while seen < 200 {
        // Equal bends: the box's axis is turned about the shaft by anything.
        let (a, b) = (Point3::default(), lot.point(400.0));
        let shaft = (b - a).unit();
        if (b - a).length() < 50.0 {
            continue;
        }
        let bend = 0.05 + lot.next() * 0.6;
        let side = turned(shaft, shaft.any_square(), lot.next() * 6.0);
        let other = turned(shaft, shaft.any_square(), lot.next() * 6.0);
        let column = a - (shaft * libm::cos(bend) + side * libm::sin(bend)) * 100.0;
        let box_input = b + (shaft * libm::cos(bend) + other * libm::sin(bend)) * 100.0;
        let r = run(&[column, a, b, box_input]);
        let w = solve(&r).unwrap();
        assert!(w.ripple < 1e-9, "{}", w.ripple);
        let phase = w.shafts[0].phase.to_radians();
        for i in 0..12 {
            let s = slope(&r, &[phase], f64::from(i) * 0.53);
            assert!((s.abs() - 1.0).abs() < 1e-8, "{s}");
        }
        seen += 1;
    }
}

#[test]
fn the_ripple_is_that_of_forks_that_are_really_turned() {
    let mut lot = Lot(77);
    let mut compared = 0;
    while compared < 60 {
        let count = 3 + (lot.next() * 3.0) as usize;
        let points: Vec<Point3> =
            (0..=count).map(|i| Point3::new(200.0 * i as f64, 0.0, 0.0) + lot.point(180.0)).collect();
        let r = run(&points);
        let Some(w) = solve(&r).filter(|w| w.bends.iter().all(|b| b.to_degrees() < 60.0)) else { continue };
        let phases: Vec<f64> = w.shafts.iter().map(|s| s.phase.to_radians()).collect();
        for (phases, told) in [(phases.clone(), w.ripple), (vec![0.0; phases.len()], w.ripple_in_line)] {
            let all: Vec<f64> =
                (0..360).map(|i| slope(&r, &phases, f64::from(i) * std::f64::consts::PI / 360.0).abs()).collect();
            let (low, high) = all.iter().fold((f64::INFINITY, 0.0_f64), |(l, h), v| (l.min(*v), h.max(*v)));
            assert!((high - low - told).abs() < 2e-3 * (1.0 + told), "{} against {told}", high - low);
        }
        // The samples miss the very peaks by a little.
        assert!(w.ripple <= w.ripple_in_line * 1.001 + 1e-9, "{} {}", w.ripple, w.ripple_in_line);
        compared += 1;
    }
}

#[test]
fn a_single_joint_ripples_as_published() {
    // G12 of the shaft relations: sin2 b / cos b = 0.2887 at 30 degrees.
    let bend = 30.0_f64.to_radians();
    let r = run(&[
        Point3::new(-100.0, 0.0, 0.0),
        Point3::default(),
        Point3::new(100.0 * bend.cos(), 100.0 * bend.sin(), 0.0),
    ]);
    let w = solve(&r).unwrap();
    assert!((w.bends[0].to_degrees() - 30.0).abs() < 1e-9);
    assert!((w.ripple - 0.2887).abs() < 1e-4, "{}", w.ripple);
    assert!(w.shafts.is_empty() && w.bearings == 0);
}

#[test]
fn lengths_bearings_and_distances_are_those_of_the_drawing() {
    let mut r = run(&[
        Point3::new(-300.0, 0.0, 0.0),
        Point3::default(),
        Point3::new(300.0, 0.0, 0.0),
        Point3::new(300.0, 400.0, 0.0),
        Point3::new(300.0, 800.0, 0.0),
    ]);
    r.obstacles = vec![
        Obstacle {
            name: "header".into(),
            from: Point3::new(150.0, -50.0, 60.0),
            to: Point3::new(150.0, 50.0, 60.0),
            radius: Length::mm(25.0),
        },
        Obstacle { name: "nut".into(), from: r.joints[2].at, to: r.joints[2].at, radius: Length::ZERO },
    ];
    let w = solve(&r).unwrap();
    // 300 - 2 (40 - 22) - 5.
    assert!((w.shafts[0].cut.to_mm() - 259.0).abs() < 1e-9 && (w.shafts[1].middles.to_mm() - 400.0).abs() < 1e-9);
    assert_eq!(w.bearings, 1);
    // 60 off the axis, less 25 and 9.5.
    assert!((w.near[0].room - 25.5).abs() < 1e-9 && w.near[0].shaft == 0, "{:?}", w.near);
    assert!((w.near[1].room + 9.5).abs() < 1e-9 && w.near[1].shaft == 1);
    r.joints[1].kind = JointKind::Double;
    assert_eq!(solve(&r).unwrap().bearings, 2);
    r.box_input = r.joints[2].at;
    assert!(solve(&r).is_none());
}

#[test]
fn two_pieces_are_as_far_apart_as_the_finest_search_finds() {
    let mut lot = Lot(5);
    for _ in 0..200 {
        let p: Vec<Point3> = (0..4).map(|_| lot.point(100.0)).collect();
        let exact = apart((p[0], p[1]), (p[2], p[3]));
        let mut least = f64::INFINITY;
        for i in 0..=100 {
            for j in 0..=100 {
                let (s, t) = (f64::from(i) / 100.0, f64::from(j) / 100.0);
                least = least.min((p[0] + (p[1] - p[0]) * s - p[2] - (p[3] - p[2]) * t).length());
            }
        }
        assert!(exact <= least + 1e-9 && exact > least - 3.0, "{exact} {least}");
    }
}

#[test]
fn a_run_that_bends_too_much_is_offered_a_support_that_makes_it_legal() {
    // 50 degrees at each joint, straight as it is.
    let lean = 50.0_f64.to_radians();
    let r = run(&[
        Point3::new(-200.0 * lean.cos(), 200.0 * lean.sin(), 0.0),
        Point3::default(),
        Point3::new(500.0, 0.0, 0.0),
        Point3::new(500.0 + 200.0 * lean.cos(), 200.0 * lean.sin(), 0.0),
    ]);
    let w = solve(&r).unwrap();
    assert!(w.bends.iter().all(|b| (b.to_degrees() - 50.0).abs() < 1e-9));
    let (at, better) = better_support(&r).unwrap();
    // 100 degrees have to be taken by three joints: 33.3 each at best.
    let worst = better.bends.iter().map(|b| b.to_degrees()).fold(0.0, f64::max);
    assert!(worst < 34.5, "{worst} at {at:?}");
    // One that is legal is left alone.
    let calm = run(&[
        Point3::new(-200.0, 60.0, 0.0),
        Point3::default(),
        Point3::new(500.0, 0.0, 0.0),
        Point3::new(700.0, 60.0, 0.0),
    ]);
    assert!(better_support(&calm).is_none());
}
