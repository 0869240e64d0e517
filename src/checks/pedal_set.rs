//! Pedals: push rod, lever ratio, travel, room, stop.

use super::{Finding, Rule, Verdict, at_least, unit_of, utilisation};
use crate::layout::{PedalSet, PedalWorked};
use crate::units::{Angle, Dim, Force, Length, System, show_length, show_quantity, trimmed};

const ROD: Rule = Rule {
    code: "pedal-rod-angle",
    rule: "the push rod stands off the cylinder's axis by no more than 5 degrees, all through the stroke",
    why: "a slanted rod pushes the piston against its bore: it drags, wears, and can jam with the brake on",
    source: "geometry; 5 degrees is common practice, no source: the cylinder's maker has the last word",
    holds: "a rod of fixed length between pin and piston; the limit is the job's where it gives one",
};

const RATIO: Rule = Rule {
    code: "pedal-ratio",
    rule: "pad travel over piston travel stays between 4 and 7 through the stroke",
    why: "less and the foot cannot lock the wheels without a servo, more and the pad meets the floor first",
    source: "geometry; the range is common practice, no source: brakes without a servo",
    holds: "the ratio of the pedal alone, hydraulics not counted",
};

const TRAVEL: Rule = Rule {
    code: "pedal-travel",
    rule: "the pad has the way that the whole stroke needs",
    why: "a pad that meets the floor before the piston meets its end brakes with half the cylinder",
    source: "geometry; 150 mm is common practice, no source",
    holds: "the whole stroke of the cylinder, as with one circuit lost",
};

const ROOM: Rule = Rule {
    code: "pedal-room",
    rule: "the arm stays clear of what is near it by the room that the job asks, all through its travel",
    why: "a pedal that touches the column or its neighbour does not come back, or does not go down",
    source: "geometry; 10 mm is common practice, no source",
    holds: "the arm as two straight pieces of its width; a pad or a clevis that is wider is an obstacle of its own",
};

const LOAD: Rule = Rule {
    code: "pedal-load",
    rule: "a note, no limit: forces of rod and cylinder under the foot's force, length of the rod, place of the stop",
    why: "what holds the cylinder has to take the rod's force, and its piston the side load",
    source: "statics of the arm; 2000 N: Formula SAE Rules 2019, T.5.1.10",
    holds: "no friction, no return spring",
};

const PROOF: Rule = Rule {
    code: "pedal-proof",
    rule: "a caution: brakes are proof-loaded and tried before they are used",
    why: "a number that is met on paper does not show a bad weld, a soft arm or a rod that comes off its pin",
    source: "common practice, no source",
    holds: "every pedal",
};

pub(super) const RULES: [&Rule; 6] = [&ROD, &RATIO, &TRAVEL, &ROOM, &LOAD, &PROOF];

/// What is found of a pedal. `names` of each finding are the keys and blocks of the job that set its numbers.
pub fn check_pedal(p: &PedalSet, w: &PedalWorked, system: System) -> Vec<Finding> {
    let show = |l: Length| show_length(l, system);
    let mut out = vec![rod(p, w), ratio(p, w, 0), ratio(p, w, 1)];
    let says = format!(
        "the whole stroke of {} moves the pad by {}, it has {}",
        show(p.stroke),
        show(w.pad_travel),
        show(p.travel)
    );
    out.push(at_most(&TRAVEL, p, (w.pad_travel.to_mm(), p.travel.to_mm(), Dim::LENGTH), says, &["stroke", "travel"]));
    for (o, room) in p.obstacles.iter().zip(&w.rooms) {
        let says = format!(
            "{} is {} from the arm through its travel, moved aside by {}; {} are asked",
            o.name,
            show(*room),
            show(w.offset.abs()),
            show(p.clear)
        );
        let mut f = at_least(&ROOM, &p.name, room.to_mm(), p.clear.to_mm(), Verdict::Fail, says);
        f.names = vec![format!("obstacle {}", o.name), "offset".to_string(), "clear".to_string()];
        out.push(f);
    }
    out.extend(offset(p, w, system));
    out.push(loads(p, w, system));
    let says = "brakes: proof-load the pedal with a foot's full force before use, try full travel with the wheel at both \
                locks, and look at every pin and lock nut again after the first drive";
    out.push(Finding { says: says.to_string(), ..base(&PROOF, p, &[]) });
    out
}

fn base(rule: &Rule, p: &PedalSet, names: &[&str]) -> Finding {
    Finding {
        code: rule.code.to_string(),
        part: p.name.clone(),
        source: rule.source.to_string(),
        names: names.iter().map(ToString::to_string).collect(),
        ..Finding::default()
    }
}

fn at_most(rule: &Rule, p: &PedalSet, (value, limit, dim): (f64, f64, Dim), says: String, names: &[&str]) -> Finding {
    let meets = value <= limit + 1e-9 * (1.0 + limit.abs());
    Finding {
        verdict: if meets { Verdict::Meets } else { Verdict::Fail },
        value: Some(value),
        limit: Some(limit),
        unit: unit_of(dim),
        utilisation: utilisation(value, limit, false),
        says,
        ..base(rule, p, names)
    }
}

fn rod(p: &PedalSet, w: &PedalWorked) -> Finding {
    let deg = |a: Angle| trimmed(a.to_degrees(), 1);
    let says = format!(
        "the push rod stands off the cylinder's axis by {} degrees at most ({} in the swing, {} to the side), {} are allowed",
        deg(w.worst.angle),
        deg(w.worst.in_swing),
        deg(w.worst.beside),
        deg(p.most_angle)
    );
    let numbers = (w.worst.angle.to_degrees(), p.most_angle.to_degrees(), Dim::ANGLE);
    at_most(&ROD, p, numbers, says, &["pin", "seat", "most_angle"])
}

/// The least or the greatest ratio against its limit.
fn ratio(p: &PedalSet, w: &PedalWorked, which: usize) -> Finding {
    let (value, limit, least) = (w.ratios[which], p.ratios[which], which == 0);
    let says = format!(
        "{} lever ratio {} in the stroke ({} at rest, {} at its end), {} {} {}",
        if least { "least" } else { "greatest" },
        trimmed(value, 2),
        trimmed(w.rest.ratio, 2),
        trimmed(w.end.ratio, 2),
        trimmed(limit, 2),
        if least { "or more" } else { "or less" },
        "is asked"
    );
    let meets = if least { value >= limit - 1e-9 } else { value <= limit + 1e-9 };
    Finding {
        verdict: if meets { Verdict::Meets } else { Verdict::Warn },
        value: Some(value),
        limit: Some(limit),
        utilisation: utilisation(value, limit, least),
        says,
        ..base(&RATIO, p, &["pad", "pin", if least { "least_ratio" } else { "most_ratio" }])
    }
}

/// Where the offset comes from, and whether one that is told is enough.
fn offset(p: &PedalSet, w: &PedalWorked, system: System) -> Option<Finding> {
    if p.obstacles.is_empty() {
        return None;
    }
    let Some(needed) = w.needed else {
        let says = "no offset up to 200 mm to either side clears all that is near".to_string();
        return Some(Finding { verdict: Verdict::Fail, says, ..base(&ROOM, p, &["joint", "clear"]) });
    };
    let way = if needed < Length::ZERO { "against" } else { "along" };
    let says = format!(
        "moved aside by {} {way} the pivot's axis, the arm clears all that is near; {} it is moved by {}",
        show_length(needed.abs(), system),
        if p.offset.is_some() { "as the job says" } else { "in whole millimetres" },
        show_length(w.offset.abs(), system)
    );
    Some(Finding { says, ..base(&ROOM, p, &["offset", "clear"]) })
}

fn loads(p: &PedalSet, w: &PedalWorked, system: System) -> Finding {
    let show = |l: Length| show_length(l, system);
    let stop = w.stop.map_or(String::new(), |(at, far, way)| {
        let place = [at.x, at.y, at.z].map(|v| show(Length::mm(v))).join(", ");
        format!(
            "; the stop touches the arm at x, y, z {place}, {} from the pivot, when the pad has gone {}",
            show(far),
            show(way)
        )
    });
    let says = format!(
        "push rod {} from pin to seat; under {} of the foot it takes up to {}, {} of it square to the cylinder{stop}",
        show(w.rod_length),
        newtons(p.force, system),
        newtons(w.worst.rod, system),
        newtons(w.worst.side, system)
    );
    Finding { says, ..base(&LOAD, p, &["force", "stop"]) }
}

/// A force in words.
fn newtons(f: Force, system: System) -> String {
    show_quantity(f.to_newtons(), Dim::FORCE, system)
}
