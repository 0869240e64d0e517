//! What stands beside a steering run: how its bearings and openings meet the
//! shafts, how far the column can give way, how hard each shaft is twisted.

use super::near::apart;
use super::steering::ways;
use super::steering_run::{Collapse, JointKind, SteeringRun, Support};
use crate::handbook::{bearings::straight_opening, joints::greatest_ratio, loads::steering_torque};
use crate::space::Point3;
use crate::units::{Angle, Length, Moment};

/// A bearing or an opening, worked out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Held {
    /// Which piece of the run: 0 is the column, then the shafts, last the box's input.
    pub leg: usize,
    /// From the middle of the joint before it, along the axis; on the column: back from the first joint.
    pub along: Length,
    /// To the middle of the nearest joint.
    pub to_joint: Length,
    /// How far the measured point lies off the axis.
    pub off: Length,
    /// Angle between the shaft and the line square to the plate.
    pub tilt: Angle,
    /// How far the way that the shaft leans is turned out of level in the plate, anticlockwise, -90 to 90 degrees.
    pub turn: Angle,
    /// Length of the opening, along the lean.
    pub opening_length: Length,
    /// Width of the opening.
    pub opening_width: Length,
}

/// Leans below this have no way, rad.
const UPRIGHT: f64 = 1e-9;

/// A support on the run.
fn held(run: &SteeringRun, ways: &[Point3], s: &Support) -> Option<Held> {
    let last = run.joints.len();
    // Distance along a leg from its own joint, and off its axis.
    let leg = |i: usize| {
        let (from, way) = if i == 0 { (run.joints[0].at, -ways[0]) } else { (run.joints[i - 1].at, ways[i]) };
        let most = if i == 0 || i == last { f64::INFINITY } else { (run.joints[i].at - run.joints[i - 1].at).length() };
        let along = (s.at - from).dot(way).clamp(0.0, most);
        (i, along, most - along, (from + way * along - s.at).length())
    };
    let (leg, along, rest, off) = (0..=last).map(leg).min_by(|a, b| a.3.total_cmp(&b.3))?;
    let way = ways[leg];
    let (tilt, turn) = s.normal.map_or((0.0, 0.0), |n| lean(way, n));
    let width = run.shaft + s.clearance * 2.0;
    Some(Held {
        leg,
        along: Length::mm(along),
        to_joint: Length::mm(along.min(rest)),
        off: Length::mm(off),
        tilt: Angle::radians(tilt),
        turn: Angle::radians(turn),
        opening_length: straight_opening(width, Angle::radians(tilt), s.thickness),
        opening_width: width,
    })
}

/// How far a shaft leans off a plate's normal, and which way in the plate, rad.
fn lean(way: Point3, normal: Point3) -> (f64, f64) {
    let flat = way - normal * way.dot(normal);
    let tilt = libm::atan2(flat.length(), libm::fabs(way.dot(normal)));
    let up = Point3::new(0.0, 0.0, 1.0);
    // Level in the plate; a plate that lies flat has x for it.
    let across = up.cross(normal);
    let level = if across.length() > 1e-6 { across.unit() } else { Point3::new(1.0, 0.0, 0.0) };
    if flat.length() < UPRIGHT {
        return (tilt, 0.0);
    }
    let turn = libm::atan2(flat.dot(normal.cross(level)), flat.dot(level));
    // The long way of an opening has no sense: -90 to 90 degrees.
    (tilt, turn - std::f64::consts::PI * libm::round(turn / std::f64::consts::PI))
}

/// The supports of a run, in its order; nothing where it cannot be.
pub(super) fn all_held(run: &SteeringRun) -> Vec<Held> {
    let Some(ways) = ways(run) else { return vec![] };
    run.supports.iter().filter_map(|s| held(run, &ways, s)).collect()
}

/// How far the column can give way.
#[derive(Clone, Debug, PartialEq)]
pub struct Gives {
    /// Travel of the tube's end until something is in its way.
    pub free: Length,
    /// What that is.
    pub meets: String,
    /// How far the first joint can be pushed along the column until the first shaft is solid; `None`: the shaft
    /// swings aside and never is.
    pub pushed: Option<Length>,
    /// What the column itself and what is below it give together; `None`: as far as one likes.
    pub whole: Option<Length>,
}

/// Halvings while the first touch is looked for: far below a hair on any vehicle.
const HALVINGS: u32 = 60;

/// How far a tube's end goes along a way until it touches a bar; `None` if it does not on the way it is asked.
fn touches(from: Point3, way: Point3, most: f64, room: impl Fn(Point3) -> f64) -> Option<f64> {
    let at = |s: f64| room(from + way * s);
    if at(most) >= 0.0 {
        return None;
    }
    let (mut free, mut met) = (0.0, most);
    for _ in 0..HALVINGS {
        let middle = (free + met) / 2.0;
        if at(middle) < 0.0 { met = middle } else { free = middle }
    }
    Some(free)
}

/// How far the first joint can be pushed along the column while the second stays where it is.
///
/// # Source
/// Geometry: the shaft between both shortens by what it can slide.
fn pushed(run: &SteeringRun, way: Point3, c: &Collapse) -> Option<Length> {
    let [a, b, ..] = &run.joints[..] else { return Some(Length::ZERO) };
    let (span, gives) = (b.at - a.at, (run.slip + c.telescopes).to_mm());
    let (long, along) = (span.length(), span.dot(way));
    let short = (long - gives).max(0.0);
    // |span - s way| = short: the first s; where there is none the joint passes by.
    let under = along * along - (long * long - short * short);
    (under >= 0.0 && along > 0.0).then(|| Length::mm(along - libm::sqrt(under)))
}

/// The collapse of a run; nothing where none is told.
pub(super) fn gives(run: &SteeringRun, held: &[Held]) -> Option<Gives> {
    let c = run.collapse.as_ref()?;
    let way = *ways(run)?.first()?;
    let joint = run.joints.first()?;
    let end = joint.at - way * c.jacket.to_mm();
    let mut stops = vec![((c.jacket - run.reach).max(Length::ZERO).to_mm(), "the first joint".to_string())];
    for (s, h) in run.supports.iter().zip(held).filter(|(_, h)| h.leg == 0 && h.along < c.jacket) {
        let before = (c.jacket - h.along - s.thickness / 2.0).max(Length::ZERO);
        stops.push((before.to_mm(), s.name.clone()));
    }
    let most = stops.iter().map(|s| s.0).fold(f64::INFINITY, f64::min);
    let radius = c.jacket_width.to_mm() / 2.0;
    for o in &run.obstacles {
        let room = |tip: Point3| apart((end, tip), (o.from, o.to)) - radius - o.radius.to_mm();
        stops.extend(touches(end, way, most, room).map(|s| (s, o.name.clone())));
    }
    let (free, meets) = stops.into_iter().min_by(|a, b| a.0.total_cmp(&b.0))?;
    let pushed = pushed(run, way, c);
    Some(Gives { free: Length::mm(free), meets, pushed, whole: pushed.map(|p| p + c.maker.unwrap_or(Length::ZERO)) })
}

/// Torque of the hands on the rim.
pub fn wheel_torque(run: &SteeringRun) -> Moment {
    steering_torque(run.twist.rim_force, run.twist.rim_radius)
}

/// The most that each shaft is twisted: a bent joint asks for more torque where it turns faster.
///
/// # Source
/// Kinematics of the Hooke joint: no power is lost, so torque goes against speed; the extremes are taken to fall together.
pub fn torques(run: &SteeringRun, bends: &[Angle]) -> Vec<Moment> {
    let mut factor = 1.0;
    let mut out = vec![];
    for (joint, bend) in run.joints.iter().zip(bends) {
        // A double joint with a centring link passes the turn on evenly.
        factor *= if joint.kind == JointKind::Double { 1.0 } else { greatest_ratio(*bend) };
        out.push(wheel_torque(run) * factor);
    }
    // The last joint has no shaft of the run behind it.
    out.pop();
    out
}
