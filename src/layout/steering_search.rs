//! Where a support would have to stand so that a shaft can run at all.

use super::steering::{SteeringWorked, solve, solve_in_planes};
use super::steering_run::{Joint, JointKind, SteeringRun};
use crate::handbook::joints::SINGLE_JOINT_LIMIT;
use crate::space::Point3;

/// Most places that are tried.
const MOST_TRIES: usize = 4_000;
/// The search stops at steps finer than this, mm: nearer than a bracket is drilled.
const FINEST_MM: f64 = 0.5;

/// How far a run is from what is allowed: the bend that is used most, and what
/// is missing of the room to obstacles; 0 to 1 is allowed.
fn badness(run: &SteeringRun, w: &SteeringWorked) -> f64 {
    let limit = SINGLE_JOINT_LIMIT.0.to_degrees();
    let bend = |(j, b): (&Joint, &crate::units::Angle)| {
        b.to_degrees() / if j.kind == JointKind::Double { 2.0 * limit } else { limit }
    };
    let bends = run.joints.iter().zip(&w.bends).map(bend).fold(0.0, f64::max);
    let missing: f64 = w.near.iter().map(|n| (run.clear.to_mm() - n.room).max(0.0)).sum();
    let short: f64 = w.shafts.iter().map(|s| (4.0 * run.bore.to_mm() - s.cut.to_mm()).max(0.0)).sum();
    // A millimetre in the way weighs as much as a degree of bend.
    bends + (missing + short) / limit
}

/// Whether a run keeps to the limits.
pub fn allowed(run: &SteeringRun, w: &SteeringWorked) -> bool {
    badness(run, w) <= 1.0 + 1e-9
}

/// A place for one joint more, with a support bearing beside it, that makes a
/// run legal or more so: between the first joint and the last. `None` where no
/// place found is better, or the run is legal as it is.
pub fn better_support(run: &SteeringRun) -> Option<(Point3, SteeringWorked)> {
    let first = solve(run)?;
    if allowed(run, &first) || run.joints.len() < 2 {
        return None;
    }
    let (a, b) = (run.joints.first()?.at, run.joints.last()?.at);
    let span = (b - a).length();
    let column = (a - run.column).unit();
    let axis = (b - run.box_input).unit();
    let tried = |at: Point3| {
        let mut with = run.clone();
        with.joints = vec![run.joints[0], Joint { at, kind: JointKind::Single }, *run.joints.last()?];
        let w = solve_in_planes(&with)?;
        Some((badness(&with, &w), with))
    };
    let starts = [
        a + (b - a) * 0.5,
        a + column * (span * 0.4),
        b + axis * (span * 0.4),
        (a + column * (span * 0.5) + b + axis * (span * 0.5)) * 0.5,
    ];
    let mut left = MOST_TRIES;
    let mut best: Option<(f64, Point3)> = None;
    for start in starts {
        let Some((mut here, _)) = tried(start) else { continue };
        let (mut at, mut step) = (start, span / 4.0);
        while step > FINEST_MM && left > 0 {
            let mut moved = false;
            for axis in [Point3::new(1.0, 0.0, 0.0), Point3::new(0.0, 1.0, 0.0), Point3::new(0.0, 0.0, 1.0)] {
                for sign in [-1.0, 1.0] {
                    left = left.saturating_sub(1);
                    let place = at + axis * (sign * step);
                    if let Some((value, _)) = tried(place).filter(|t| t.0 < here - 1e-9) {
                        (at, here, moved) = (place, value, true);
                    }
                }
            }
            if !moved {
                step /= 2.0;
            }
        }
        if best.as_ref().is_none_or(|b| here < b.0 - 1e-9) {
            best = Some((here, at));
        }
    }
    let round = |v: f64| libm::round(v);
    let (value, at) = best?;
    // To the millimetre, which is what a tape gives.
    let at = Point3::new(round(at.x), round(at.y), round(at.z));
    let (_, with) = tried(at)?;
    let worked = solve(&with)?;
    (value < badness(run, &first)).then_some((at, worked))
}
