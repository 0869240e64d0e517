//! A steering shaft through universal joints: how far each joint is bent, how
//! the forks stand to each other, how evenly the box turns, how long the shafts
//! are, what comes near them.
//!
//! ```text
//!   column --->  o joint 1
//!                 \  shaft
//!                  o joint 2 ---> shaft ... ---> o last joint ---> box
//! ```

use super::near::apart;
use super::steering_beside::{Gives, Held, all_held, gives, torques};
use super::steering_run::{JointKind, SteeringRun};
use crate::handbook::joints;
use crate::space::Point3;
use crate::units::{Angle, Length, Moment};

/// One shaft between two joints.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shaft {
    /// From joint middle to joint middle.
    pub middles: Length,
    /// Length to cut.
    pub cut: Length,
    /// How far the fork at its end is turned against the fork at its beginning, seen along the shaft towards the
    /// box, clockwise; -90 to 90 degrees.
    pub phase: Angle,
}

/// What comes nearest to the shafts.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    /// The obstacle.
    pub name: String,
    /// Free room between it and the shaft; negative where they overlap.
    pub room: f64,
    /// Which shaft, from 0.
    pub shaft: usize,
}

/// A run worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct SteeringWorked {
    /// Bend of each joint.
    pub bends: Vec<Angle>,
    /// The shafts.
    pub shafts: Vec<Shaft>,
    /// Greatest less least speed of the box over the speed of the wheel, forks set as told.
    pub ripple: f64,
    /// The same with all forks of each shaft in line.
    pub ripple_in_line: f64,
    /// Bearings that must hold a shaft between the ends: a chain of more than two crosses folds up without.
    pub bearings: usize,
    /// Each obstacle with the shaft that it is nearest to.
    pub near: Vec<Near>,
    /// The most that each shaft is twisted.
    pub torques: Vec<Moment>,
    /// Each bearing and opening on the run.
    pub held: Vec<Held>,
    /// How far the column can give way, where that is asked.
    pub gives: Option<Gives>,
}

/// Directions along the run: column, each shaft, box.
pub(super) fn ways(run: &SteeringRun) -> Option<Vec<Point3>> {
    let middles = run.joints.iter().map(|j| j.at);
    let points: Vec<Point3> = std::iter::once(run.column).chain(middles).chain([run.box_input]).collect();
    let ways: Vec<Point3> = points.windows(2).map(|w| (w[1] - w[0]).unit()).collect();
    let far = points.windows(2).all(|w| (w[1] - w[0]).length() > 1e-6);
    (far && !run.joints.is_empty() && ways.iter().all(|w| w.dot(*w).is_finite())).then_some(ways)
}

fn angle_between(a: Point3, b: Point3) -> f64 {
    libm::atan2(a.cross(b).length(), a.dot(b))
}

/// Angle that turns `from` into `to` about `axis`, seen along it clockwise; both square to it.
fn turn_about(axis: Point3, from: Point3, to: Point3) -> f64 {
    libm::atan2(from.cross(to).dot(axis), from.dot(to))
}

/// Whole turns of a fork change nothing: -90 to 90 degrees.
fn half_turn(rad: f64) -> f64 {
    let pi = std::f64::consts::PI;
    rad - pi * libm::round(rad / pi)
}

/// The plane of each bend by its normal; a straight joint takes the one before it.
fn normals(ways: &[Point3]) -> Vec<Point3> {
    let mut out: Vec<Point3> = vec![];
    for w in ways.windows(2) {
        let n = w[0].cross(w[1]);
        let before = out.last().copied().unwrap_or_else(|| w[0].any_square());
        // Square to the shaft that follows, whatever the one before was square to.
        let kept = (before - w[1] * before.dot(w[1])).unit();
        out.push(if n.length() > 1e-9 { n.unit() } else { kept });
    }
    out
}

/// Speed of the box over that of the wheel at an angle of the first fork, the
/// forks of shaft i turned by `phases[i]`.
///
/// # Formula
/// The product over the joints of `cos b / (1 - sin2 b cos2 th)`; the fork behind a joint stands at
/// `atan2(cos th, -sin th cos b)`, `th` from the normal of the bend.
/// # Source
/// [`joints::SOURCE`]; the position of the second fork by plane geometry of the cross.
/// # Holds for
/// Single joints; a double joint with a centring link passes the turn on evenly.
fn speed(run: &SteeringRun, bends: &[f64], between: &[f64], phases: &[f64], first: f64) -> f64 {
    let quarter = std::f64::consts::FRAC_PI_2;
    let (mut at, mut speed) = (first, 1.0);
    for (i, joint) in run.joints.iter().enumerate() {
        let bend = if joint.kind == JointKind::Double { 0.0 } else { bends[i] };
        // The ratio is greatest when the pin of the driving fork lies in the plane of the bend.
        speed *= joints::ratio(Angle::radians(bend), Angle::radians(at - quarter));
        let out = libm::atan2(libm::cos(at), -libm::sin(at) * libm::cos(bend));
        if i < phases.len() {
            at = out + phases[i] - between[i];
        }
    }
    speed
}

/// Samples of a half turn in which the ripple is looked for.
const SAMPLES: u32 = 360;
/// Samples while phases are tried: the ripple has few waves in a half turn.
const ROUGH: u32 = 48;

fn ripple(run: &SteeringRun, bends: &[f64], between: &[f64], phases: &[f64], samples: u32) -> f64 {
    let all = (0..samples)
        .map(|i| speed(run, bends, between, phases, f64::from(i) * std::f64::consts::PI / f64::from(samples)));
    let (low, high) = all.fold((f64::INFINITY, 0.0_f64), |(l, h), v| (l.min(v), h.max(v)));
    high - low
}

/// The phases with the least ripple: from several starts each shaft is turned a
/// little either way for as long as that helps, in steps that get finer.
fn best_phases(run: &SteeringRun, bends: &[f64], between: &[f64]) -> Vec<f64> {
    // In its own planes each neighbouring pair works against itself: where there is one shaft this is the best.
    if between.len() < 2 {
        return between.to_vec();
    }
    let mut starts = vec![between.to_vec(), vec![0.0; between.len()]];
    for i in 0..between.len() {
        let mut other = between.to_vec();
        other[i] += std::f64::consts::FRAC_PI_2;
        starts.push(other);
    }
    let whole = |at: &Vec<f64>| ripple(run, bends, between, at, SAMPLES);
    let in_line = starts[1].clone();
    let settled = starts.into_iter().map(|at| settle(run, bends, between, at)).chain([in_line]);
    let mut best = between.to_vec();
    let mut least = whole(&best);
    for at in settled {
        let here = whole(&at);
        // A gain that no hand can feel is no reason to turn a fork.
        if here < least - 1e-9 {
            (best, least) = (at, here);
        }
    }
    best
}

/// Downhill from one start.
fn settle(run: &SteeringRun, bends: &[f64], between: &[f64], mut at: Vec<f64>) -> Vec<f64> {
    const FINEST: f64 = 1e-4;
    let mut here = ripple(run, bends, between, &at, ROUGH);
    let mut step = std::f64::consts::FRAC_PI_4;
    while step > FINEST {
        let mut moved = false;
        for i in 0..at.len() {
            for sign in [-1.0, 1.0] {
                let mut tried = at.clone();
                tried[i] += sign * step;
                let value = ripple(run, bends, between, &tried, ROUGH);
                if value < here - 1e-12 {
                    (at, here, moved) = (tried, value, true);
                }
            }
        }
        if !moved {
            step /= 2.0;
        }
    }
    at
}

/// Work a run out; `None` where two neighbouring points are the same.
pub fn solve(run: &SteeringRun) -> Option<SteeringWorked> {
    let worked = solve_with(run, best_phases)?;
    let held = all_held(run);
    Some(SteeringWorked { torques: torques(run, &worked.bends), gives: gives(run, &held), held, ..worked })
}

/// The same with the forks each in the plane of its own bends: for a search over places, which asks bends and room only.
pub(super) fn solve_in_planes(run: &SteeringRun) -> Option<SteeringWorked> {
    solve_with(run, |_, _, between| between.to_vec())
}

fn solve_with(run: &SteeringRun, phases: impl Fn(&SteeringRun, &[f64], &[f64]) -> Vec<f64>) -> Option<SteeringWorked> {
    let ways = ways(run)?;
    let bends: Vec<f64> = ways.windows(2).map(|w| angle_between(w[0], w[1])).collect();
    let normals = normals(&ways);
    let between: Vec<f64> = (1..normals.len())
        .map(|i| turn_about(ways[i], square(normals[i - 1], ways[i]), square(normals[i], ways[i])))
        .collect();
    let phases = phases(run, &bends, &between);
    let crosses: usize = run.joints.iter().map(|j| if j.kind == JointKind::Double { 2 } else { 1 }).sum();
    let shafts = run.joints.windows(2).zip(&phases).map(|(j, phase)| {
        let middles = (j[1].at - j[0].at).length();
        let inside = (run.reach - run.bore).to_mm();
        Shaft {
            middles: Length::mm(middles),
            cut: Length::mm(middles - 2.0 * inside) - run.slip,
            phase: Angle::radians(half_turn(*phase)),
        }
    });
    let near = run.obstacles.iter().filter_map(|o| {
        let radius = run.shaft.to_mm() / 2.0 + o.radius.to_mm();
        let rooms =
            run.joints.windows(2).enumerate().map(|(i, j)| (i, apart((j[0].at, j[1].at), (o.from, o.to)) - radius));
        let (shaft, room) = rooms.min_by(|a, b| a.1.total_cmp(&b.1))?;
        Some(Near { name: o.name.clone(), room, shaft })
    });
    Some(SteeringWorked {
        ripple: ripple(run, &bends, &between, &phases, SAMPLES),
        ripple_in_line: ripple(run, &bends, &between, &vec![0.0; phases.len()], SAMPLES),
        shafts: shafts.collect(),
        bearings: crosses.saturating_sub(2),
        near: near.collect(),
        torques: vec![],
        held: vec![],
        gives: None,
        bends: bends.into_iter().map(Angle::radians).collect(),
    })
}

/// The part of a vector square to an axis, at unit length.
fn square(v: Point3, axis: Point3) -> Point3 {
    (v - axis * v.dot(axis)).unit()
}

#[cfg(test)]
mod tests;
