//! What a steering run gives the parts, each number under its name.
//!
//! ```text
//!   steering_shaft.joint_1.angle   bend of the first joint, and its place: .x .y .z
//!   steering_shaft.shaft_1.cut     length to cut of the first shaft
//!   steering_shaft.bulkhead.tilt   of the bearing or opening "bulkhead"
//! ```

use super::steering::SteeringWorked;
use super::steering_beside::wheel_torque;
use super::steering_run::SteeringRun;
use super::tank_results::{Results, name_of};
use crate::expr::Value;
use crate::units::{Angle, Dim, Length, Moment};

/// What follows from a run.
pub fn steering_results(run: &SteeringRun, w: &SteeringWorked) -> Results {
    let own = name_of(&run.name);
    let mut out: Results = vec![];
    let mut tell = |name: &str, value: Value| out.push((format!("{own}.{name}"), value));
    let length = |l: Length| Value::length(l.to_mm());
    let angle = |a: Angle| Value::Quantity(a.to_degrees(), Dim::ANGLE);
    let moment = |m: Moment| Value::Quantity(m.to_newton_mm(), Dim::MOMENT);
    tell("shaft", length(run.shaft));
    tell("flats", length(run.bore));
    tell("slip", length(run.slip));
    tell("wheel_torque", moment(wheel_torque(run)));
    tell("ripple", Value::number(w.ripple));
    for (i, (joint, bend)) in run.joints.iter().zip(&w.bends).enumerate() {
        let n = i + 1;
        tell(&format!("joint_{n}.angle"), angle(*bend));
        tell(&format!("joint_{n}.x"), Value::length(joint.at.x));
        tell(&format!("joint_{n}.y"), Value::length(joint.at.y));
        tell(&format!("joint_{n}.z"), Value::length(joint.at.z));
    }
    for (i, (shaft, torque)) in w.shafts.iter().zip(&w.torques).enumerate() {
        let n = i + 1;
        tell(&format!("shaft_{n}.middles"), length(shaft.middles));
        // Between the bottoms of both bores, which a template takes its own slip from.
        tell(&format!("shaft_{n}.between"), length(shaft.cut + run.slip));
        tell(&format!("shaft_{n}.cut"), length(shaft.cut));
        tell(&format!("shaft_{n}.phase"), angle(shaft.phase));
        tell(&format!("shaft_{n}.torque"), moment(*torque));
    }
    for (support, held) in run.supports.iter().zip(&w.held) {
        let name = name_of(&support.name);
        tell(&format!("{name}.tilt"), angle(held.tilt));
        tell(&format!("{name}.turn"), angle(held.turn));
        tell(&format!("{name}.along"), length(held.along));
        tell(&format!("{name}.thickness"), length(support.thickness));
        tell(&format!("{name}.clearance"), length(support.clearance));
        tell(&format!("{name}.opening_length"), length(held.opening_length));
        tell(&format!("{name}.opening_width"), length(held.opening_width));
    }
    if let Some(g) = &w.gives {
        tell("collapse.free", length(g.free));
        if let Some(whole) = g.whole {
            tell("collapse.gives", length(whole));
        }
    }
    out
}
