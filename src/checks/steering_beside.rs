//! Steering runs: bearings and openings on the shafts, the column's collapse,
//! the twist of the shafts.

use super::named::{Named, judge};
use super::{Finding, Rule, Verdict, at_least, cross_hole, shaft_torsion};
use crate::expr::Value;
use crate::layout::{Collapse, Gives, Held, SteeringRun, SteeringWorked, Support, SupportKind};
use crate::units::{Dim, Length, System, show_length, trimmed};

pub(super) const COLLAPSE: Rule = Rule {
    code: "steering-collapse",
    rule: "the travel that the column must be able to give way stays free: no joint, bearing or bracket along its axis within it; column, slip and slip shaft together give so much",
    why: "in a crash the box comes back and the driver goes forward: a column that cannot shorten is a spear",
    source: "common practice, no source: a collapse travel stays free and is never bridged; geometry of the first shaft, which swings or slides",
    holds: "geometry at rest, the second joint held where it is; it is no crash test: what a column has to do is the maker's and the certifier's to say",
};

pub(super) const HELD: Rule = Rule {
    code: "steering-held",
    rule: "the axis goes through the middle of each bearing within 3 mm, and through an opening without touching it",
    why: "a bearing beside the axis is pulled in by force, and the shaft rubs or its insert breaks",
    source: "common practice, no source: 3 mm is what slotted holes and packing take up; openings by geometry",
    holds: "places as measured; tilt and opening are told for the plate to be made",
};

/// How far a bearing may be measured off the axis, mm: common practice, no source.
const OFF_AXIS_MM: f64 = 3.0;

fn base(rule: &Rule, run: &SteeringRun, names: &[&str]) -> Finding {
    Finding {
        code: rule.code.to_string(),
        part: run.name.clone(),
        source: rule.source.to_string(),
        names: names.iter().map(|n| (*n).to_string()).collect(),
        ..Finding::default()
    }
}

/// Which piece of the run, in words.
fn leg(run: &SteeringRun, held: &Held) -> String {
    match held.leg {
        0 => "the column".to_string(),
        n if n == run.joints.len() => "the box's input".to_string(),
        n => format!("shaft {n}"),
    }
}

/// What is found of the bearings and openings.
pub(super) fn held(run: &SteeringRun, w: &SteeringWorked, system: System) -> Vec<Finding> {
    run.supports.iter().zip(&w.held).map(|(s, h)| one_held(run, s, h, system)).collect()
}

fn one_held(run: &SteeringRun, s: &Support, h: &Held, system: System) -> Finding {
    let show = |l: Length| show_length(l, system);
    let deg = |a: crate::units::Angle| trimmed(a.to_degrees(), 1);
    let room = match s.kind {
        SupportKind::Bearing => Length::mm(OFF_AXIS_MM),
        SupportKind::Opening => s.clearance,
    };
    let meets = h.off.to_mm() <= room.to_mm() + 1e-6;
    let opening = match s.kind {
        SupportKind::Bearing => String::new(),
        SupportKind::Opening => format!(
            "; cut it {} long and {} wide, the long way {} degrees {} level",
            show(h.opening_length),
            show(h.opening_width),
            trimmed(h.turn.to_degrees().abs(), 1),
            if h.turn.to_degrees() < 0.0 { "clockwise from" } else { "anticlockwise from" }
        ),
    };
    let says = format!(
        "{} is on {}, {} from the nearest joint, {} off its axis ({} allowed); the shaft leans {} degrees off the line square to its plate{opening}",
        s.name,
        leg(run, h),
        show(h.to_joint),
        show(h.off),
        show(room),
        deg(h.tilt)
    );
    Finding {
        verdict: if meets { Verdict::Meets } else { Verdict::Warn },
        value: Some(h.off.to_mm()),
        limit: Some(room.to_mm()),
        unit: "mm",
        utilisation: super::utilisation(h.off.to_mm(), room.to_mm(), false),
        says,
        mend: if meets {
            String::new()
        } else {
            "measure the place again, or move the plate onto the axis".to_string()
        },
        ..base(&HELD, run, &[&format!("support {}", s.name)])
    }
}

/// What is found of the way that the column has to give.
pub(super) fn collapse(run: &SteeringRun, w: &SteeringWorked, system: System) -> Vec<Finding> {
    match (&run.collapse, &w.gives) {
        (Some(c), Some(g)) => vec![free(run, c, g, system), gives(run, c, g, system)],
        _ => vec![Finding {
            verdict: Verdict::Note,
            says: "how far the column must be able to give way is not told: ask its maker, write `collapse`, and never turn a collapsing column into a solid link".to_string(),
            ..base(&COLLAPSE, run, &[])
        }],
    }
}

fn free(run: &SteeringRun, c: &Collapse, g: &Gives, system: System) -> Finding {
    let show = |l: Length| show_length(l, system);
    let asked = c.travel.max(c.maker.unwrap_or(Length::ZERO));
    let kept = match c.maker {
        Some(m) if m > c.travel => format!("; the maker's own {} would not all be left", show(m)),
        _ => String::new(),
    };
    // Short of what is asked it is lost; short of what the maker has beyond that it is to look at.
    let short = g.free.to_mm() < c.travel.to_mm() - 1e-4;
    let limit = if short { c.travel } else { asked };
    let below = if short { Verdict::Fail } else { Verdict::Warn };
    let left = g.free.to_mm() < asked.to_mm() - 1e-4;
    let says = format!(
        "the column's tube can come forward by {} before it meets {}; {} have to stay free{}",
        show(g.free),
        g.meets,
        show(c.travel),
        if left { kept } else { String::new() }
    );
    let names = ["collapse", "jacket", &format!("obstacle {}", g.meets), &format!("support {}", g.meets)]
        .map(ToString::to_string);
    let mend = format!("{} more between the tube and {}", show(Length::mm(limit.to_mm() - g.free.to_mm())), g.meets);
    Finding {
        names: names.to_vec(),
        mend: if left { mend } else { String::new() },
        ..at_least(&COLLAPSE, &run.name, g.free.to_mm(), limit.to_mm(), below, says)
    }
}

fn gives(run: &SteeringRun, c: &Collapse, g: &Gives, system: System) -> Finding {
    let show = |l: Length| show_length(l, system);
    let own = match c.maker {
        Some(m) => format!("the column gives way by {} itself, as its maker says", show(m)),
        None => "nobody says that the column gives way itself".to_string(),
    };
    let slides = show(run.slip + c.telescopes);
    let below = match (g.pushed, run.joints.len()) {
        (_, 0 | 1) => "there is no shaft below it that could".to_string(),
        (None, _) => format!("the first shaft, which slides by {slides}, swings aside and is never solid"),
        (Some(p), _) => format!("the first shaft, which slides by {slides}, lets it come {} further", show(p)),
    };
    let says = format!("{own}; {below}; {} are asked", show(c.travel));
    let names = ["collapse", "maker_collapse", "slip", "telescopes"];
    let Some(whole) = g.whole else {
        return Finding { verdict: Verdict::Meets, says, ..base(&COLLAPSE, run, &names) };
    };
    let found = at_least(&COLLAPSE, &run.name, whole.to_mm(), c.travel.to_mm(), Verdict::Fail, says);
    let mend = match found.verdict {
        Verdict::Meets => String::new(),
        _ => format!(
            "a slip shaft below the column that shortens by {} more, or a column whose maker says more",
            show(c.travel - whole)
        ),
    };
    Finding { names: names.map(ToString::to_string).to_vec(), mend, ..found }
}

/// The strength of the shaft that is twisted most.
pub(super) fn twist(run: &SteeringRun, w: &SteeringWorked, system: System, sizes: System) -> Vec<Finding> {
    let most = w.torques.iter().map(|t| t.to_newton_mm()).enumerate().max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((shaft, torque)) = most else { return vec![] };
    let t = &run.twist;
    let told = |name: &str, v: f64, dim| (name.to_string(), Value::Quantity(v, dim));
    let mut values = vec![
        told("torque", torque, Dim::MOMENT),
        told("diameter", run.shaft.to_mm(), Dim::LENGTH),
        ("material".to_string(), Value::Word(t.material.clone())),
    ];
    let judged = |check: &Named, values: &[_], names: &[&str]| {
        let all = judge(check, values, system, sizes);
        let one = |mut f: Finding| {
            f.says = format!("shaft {}: {}", shaft + 1, f.says);
            f.names = names.iter().map(|n| (*n).to_string()).collect();
            f
        };
        all.into_iter().map(|j| one(j.finding(check.rule, &run.name))).collect::<Vec<_>>()
    };
    let mut out = vec![];
    if let Some(hole) = t.cross_hole {
        let with = [values.clone(), vec![told("hole", hole.to_mm(), Dim::LENGTH)]].concat();
        out = judged(&cross_hole::CHECK, &with, &["shaft", "cross_hole", "rim_force", "rim_radius", "material"]);
    }
    values.extend(t.across.map(|a| told("across", a.to_mm(), Dim::LENGTH)));
    values.extend(t.root.map(|r| told("root", r.to_mm(), Dim::LENGTH)));
    let names = ["shaft", "across", "root", "rim_force", "rim_radius", "material"];
    out.extend(judged(&shaft_torsion::CHECK, &values, &names));
    out
}

#[cfg(test)]
mod tests;
