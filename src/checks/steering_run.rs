//! Steering runs: bends, supports, phase, room, engagement.

use super::judged::utilisation;
use super::{Finding, Rule, Verdict, at_least, steering_beside};
use crate::handbook::joints::SINGLE_JOINT_LIMIT;
use crate::layout::{JointKind, SteeringRun, SteeringWorked, SupportKind, allowed, better_support};
use crate::units::{Length, System, show_length, trimmed};

const BEND: Rule = Rule {
    code: "steering-bend",
    rule: "a joint with one cross is bent by no more than 30 degrees, one with two crosses by no more than 60",
    why: "beyond that the yokes touch, the box turns in jerks, and the crosses wear out",
    source: "common practice, no source: single needle joint 30 degrees in design, double joint 60",
    holds: "the run at rest, straight ahead; engine rock and suspension bend it further",
};

const SUPPORT: Rule = Rule {
    code: "steering-support",
    rule: "a chain of more than two crosses has a bearing for each cross beyond two, close to a joint",
    why: "three joints without a bearing between them fold up, and the wheel turns without the box",
    source: "common practice, no source; geometry: each free cross adds a freedom",
    holds: "the column and the box hold their own ends",
};

const PHASE: Rule = Rule {
    code: "steering-phase",
    rule: "the forks of each shaft stand so that the ripples of its joints work against each other; what is left is told",
    why: "forks in the wrong plane add their ripples: the wheel pulls and lets go twice a turn",
    source: "Kinematics of the Hooke (Cardan) joint, velocity ratio and angle relation (as quoted in a secondary source); a tenth of ripple as the border is a choice",
    holds: "single joints; a double joint with a centring link passes the turn on evenly",
};

const ROOM: Rule = Rule {
    code: "steering-room",
    rule: "what is measured near a shaft stays clear of it by the room that the job asks",
    why: "a shaft that touches a header, a hose or a frame rail binds or saws through it",
    source: "geometry; 15 mm to anything near a joint is quoted from a maker's manual",
    holds: "the run at rest: watch it through engine rock and full lock",
};

const ENGAGED: Rule = Rule {
    code: "steering-engaged",
    rule: "a shaft stays in each joint by at least its diameter when it has slid out by its slip",
    why: "a shaft that leaves its joint leaves the vehicle without steering",
    source: "common practice, no source: full depth of the bore, about one diameter",
    holds: "clamped, splined or double-D ends, each with its bolt in place",
};

const CUT: Rule = Rule {
    code: "steering-shaft",
    rule: "a note, no limit: lengths to cut and flats to mill, from joint middle to joint middle less what lies in the joints",
    why: "a shaft cut by eye bottoms in its joint and pushes the column",
    source: "geometry of the shaft between two joints",
    holds: "both joints alike; measure reach and bore on the joints in hand",
};

pub(super) const RULES: [&Rule; 8] =
    [&BEND, &SUPPORT, &PHASE, &ROOM, &ENGAGED, &CUT, &steering_beside::COLLAPSE, &steering_beside::HELD];

/// Ripple from which on it is told to look at: a tenth.
const MUCH_RIPPLE: f64 = 0.10;

/// What is found of a run.
pub fn check_steering(run: &SteeringRun, w: &SteeringWorked, system: System, sizes: System) -> Vec<Finding> {
    let mut out = bends(run, w, system);
    out.push(support(run, w, system));
    out.push(phase(run, w));
    for n in &w.near {
        let says = format!(
            "{} is {} from shaft {}, {} are asked",
            n.name,
            show_length(Length::mm(n.room), system),
            n.shaft + 1,
            show_length(run.clear, system)
        );
        out.push(at_least(&ROOM, &run.name, n.room, run.clear.to_mm(), Verdict::Fail, says));
    }
    if !w.shafts.is_empty() {
        let left = run.bore - run.slip;
        let (l, d) = (show_length(left, system), show_length(run.shaft, system));
        let says = format!("{l} stay in the joint when the shaft has slid out; its diameter is {d}");
        out.push(at_least(&ENGAGED, &run.name, left.to_mm(), run.shaft.to_mm(), Verdict::Warn, says));
    }
    out.extend(w.shafts.iter().enumerate().map(|(i, s)| {
        let says = if s.cut <= run.bore * 2.0 {
            format!(
                "shaft {}: only {} from joint to joint, too short for a shaft",
                i + 1,
                show_length(s.middles, system)
            )
        } else {
            format!(
                "shaft {}: {} from joint to joint, cut it to {}; double-D ends: mill {} of flats at each end",
                i + 1,
                show_length(s.middles, system),
                show_length(s.cut, system),
                show_length(run.bore, system)
            )
        };
        let verdict = if s.cut <= run.bore * 2.0 { Verdict::Fail } else { Verdict::Note };
        Finding { says, verdict, ..base(&CUT, run) }
    }));
    out.extend(steering_beside::held(run, w, system));
    out.extend(steering_beside::collapse(run, w, system));
    out.extend(steering_beside::twist(run, w, system, sizes));
    out
}

fn base(rule: &Rule, run: &SteeringRun) -> Finding {
    Finding {
        code: rule.code.to_string(),
        part: run.name.clone(),
        source: rule.source.to_string(),
        ..Finding::default()
    }
}

fn bends(run: &SteeringRun, w: &SteeringWorked, system: System) -> Vec<Finding> {
    let mend = if allowed(run, w) { String::new() } else { way_out(run, system) };
    let one = |(i, (joint, bend)): (usize, (&crate::layout::Joint, &crate::units::Angle))| {
        let limit = SINGLE_JOINT_LIMIT.0.to_degrees() * if joint.kind == JointKind::Double { 2.0 } else { 1.0 };
        let deg = bend.to_degrees();
        let meets = deg <= limit + 1e-6;
        let kind = if joint.kind == JointKind::Double { "two crosses" } else { "one cross" };
        Finding {
            verdict: if meets { Verdict::Meets } else { Verdict::Fail },
            value: Some(deg),
            limit: Some(limit),
            unit: "deg",
            utilisation: utilisation(deg, limit, false),
            says: format!(
                "joint {} ({kind}) is bent by {} degrees, {} are allowed",
                i + 1,
                trimmed(deg, 1),
                trimmed(limit, 0)
            ),
            mend: if meets { String::new() } else { mend.clone() },
            ..base(&BEND, run)
        }
    };
    run.joints.iter().zip(&w.bends).enumerate().map(one).collect()
}

/// A double joint where that is enough, or a place for one joint more.
fn way_out(run: &SteeringRun, system: System) -> String {
    let Some((at, better)) = better_support(run) else {
        return "two crosses in place of one, or other places of column and box".to_string();
    };
    let show = |v: f64| show_length(Length::mm(v), system);
    let bends: Vec<String> = better.bends.iter().map(|b| trimmed(b.to_degrees(), 1)).collect();
    format!(
        "one joint more, with a support bearing beside it, at x, y, z {}, {}, {}: bends of {} degrees",
        show(at.x),
        show(at.y),
        show(at.z),
        bends.join(", ")
    )
}

fn support(run: &SteeringRun, w: &SteeringWorked, system: System) -> Finding {
    // Bearings on the column and at the box hold what is held already.
    let on_shafts = |s: &SupportKind, leg: usize| *s == SupportKind::Bearing && (1..run.joints.len()).contains(&leg);
    let told = run.supports.iter().zip(&w.held).filter(|(s, h)| on_shafts(&s.kind, h.leg));
    let told: Vec<String> = told
        .map(|(s, h)| format!("{} on shaft {}, {} from its joint", s.name, h.leg, show_length(h.to_joint, system)))
        .collect();
    let (verdict, says) = match w.bearings {
        n if n > 0 && told.len() >= n => (
            Verdict::Meets,
            format!("{n} support bearing{} needed: {}", if n == 1 { " is" } else { "s are" }, told.join("; ")),
        ),
        0 => (Verdict::Meets, "two crosses or fewer between column and box: no support bearing is needed".to_string()),
        n => (
            Verdict::Warn,
            format!(
                "{n} support bearing{} must hold the shafts between the ends, each close to a joint{}",
                if n == 1 { "" } else { "s" },
                if told.is_empty() { String::new() } else { format!("; there is {}", told.join("; ")) }
            ),
        ),
    };
    Finding { verdict, says, ..base(&SUPPORT, run) }
}

fn phase(run: &SteeringRun, w: &SteeringWorked) -> Finding {
    let percent = |v: f64| trimmed(v * 100.0, 1);
    let turns: Vec<String> = w
        .shafts
        .iter()
        .enumerate()
        .map(|(i, s)| {
            let deg = s.phase.to_degrees();
            if deg.abs() < 0.05 {
                format!("shaft {}: forks in one line", i + 1)
            } else {
                let way = if deg > 0.0 { "clockwise" } else { "anticlockwise" };
                format!(
                    "shaft {}: the fork towards the box {} degrees {way}, seen from the column, against the fork towards the column",
                    i + 1,
                    trimmed(deg.abs(), 1)
                )
            }
        })
        .collect();
    let how = if turns.is_empty() { String::new() } else { format!("{}; ", turns.join("; ")) };
    let says = format!(
        "{how}the box turns unevenly by {} %{}",
        percent(w.ripple),
        if w.shafts.is_empty() {
            String::new()
        } else {
            format!(" ({} % with all forks in one line)", percent(w.ripple_in_line))
        }
    );
    let verdict = if w.ripple > MUCH_RIPPLE { Verdict::Warn } else { Verdict::Meets };
    Finding { verdict, says, ..base(&PHASE, run) }
}

#[cfg(test)]
mod tests;
