//! Tank mounts: volume, strap lines, ears, shares, pads, skew, room.

use super::{Finding, Rule, Verdict, at_least, unit_of, utilisation};
use crate::handbook::load_case::LoadCase;
use crate::layout::{ENDS, Hangs, SIDES, Station, StrapWorked, TankMount, TankWorked};
use crate::units::{Dim, Force, Length, System, show_length, show_quantity, trimmed};

const VOLUME: Rule = Rule {
    code: "tank-volume",
    rule: "section times length is within 5 % of what the tank is said to hold",
    why: "a tank that holds more than was counted on hangs on mounts that were worked out for less",
    source: "geometry; 5 % is a choice: ends that bulge and the thickness of the walls are in it",
    holds: "a tank of one section from end to end, filled to the brim",
};

const LINE: Rule = Rule {
    code: "tank-strap-line",
    rule: "each strap lies against the tank and comes up to its ears beside the widest place, which it passes",
    why: "ears below the widest place let the tank climb out sideways; a strap that spans a hollow carries on two edges",
    source: "geometry: the tight line round the convex outline; common practice, no source, for the ears",
    holds: "legs upright, ears level; the middle line, not the flat length",
};

const EAR: Rule = Rule {
    code: "tank-ear",
    rule: "ear bolts stand where the straps have their holes, clear of the bend in the ear and of the rail",
    why: "a hole that is filed to reach its bolt has no edge left, a washer on a bend works loose",
    source: "geometry; hole to bend 2.5 thickness and radius is common practice, no source",
    holds: "bolts that are there already within 1 mm of where the strap has its hole",
};

const SHARE: Rule = Rule {
    code: "tank-share",
    rule: "every strap has a share of the load, and so has every pad",
    why: "where the weight lies outside of the supports the last one is lifted, and the others take more than all of it",
    source: "statics: lever rule for two supports; for three and more a stiff tank on equal springs",
    holds: "straps alike; straps and pads each worked out as if alone, so that neither counts on the other",
};

const PAD: Rule = Rule {
    code: "tank-pad",
    rule: "the edge of the tank lies on its pads at both ends by what the job asks, and the room at both ends is equal where that is asked",
    why: "an edge that lies on a few millimetres slips off when the frame twists",
    source: "geometry; 8 mm is common practice, no source",
    holds: "the tank where it was measured, not shifted",
};

const SKEW: Rule = Rule {
    code: "tank-skew",
    rule: "the tank stands square within what the job asks, although the frame does not",
    why: "a tank that is pulled straight by its straps is under strain before it carries anything",
    source: "geometry of the two diagonals and the gaps; the limit of 5 mm is common practice, no source",
    holds: "straight rails; gaps measured to members that are in line with the tank",
};

const TAPE: Rule = Rule {
    code: "tank-tape",
    rule: "the diagonals and the stations agree on the distance between the first and the last strap within 5 mm",
    why: "one of the readings is wrong, and every part that follows from it",
    source: "geometry; 5 mm is a choice: the tape over a frame's length",
    holds: "diagonals between the inner faces of the rails at the first and the last station",
};

const ROOM: Rule = Rule {
    code: "tank-room",
    rule: "what is measured near the tank stays clear of it by the room that is asked for it",
    why: "a tank against an exhaust boils, against a sharp edge it rubs through",
    source: "geometry; 15 mm, and 100 mm to what gets hot, are common practice, no source",
    holds: "the tank's convex outline over the length of its body, at rest",
};

const GROUND: Rule = Rule {
    code: "tank-ground",
    rule: "the lowest point of tank and straps stays above the ground by what the job asks",
    why: "the tank is the first thing that a stone or a kerb finds",
    source: "geometry; 150 mm is common practice, no source",
    holds: "the vehicle loaded, on level ground",
};

pub(super) const RULES: [&Rule; 9] = [&VOLUME, &LINE, &EAR, &SHARE, &PAD, &SKEW, &TAPE, &ROOM, &GROUND];

/// Most that the worked-out volume may differ from the stated one.
const VOLUME_OFF: f64 = 0.05;
/// Most that a bolt may stand beside the place of its hole, mm.
const EAR_OFF_MM: f64 = 1.0;
/// Most that the readings may disagree, mm.
const TAPE_OFF_MM: f64 = 5.0;

/// A mount with its numbers, and how they are shown.
struct Look<'a> {
    tank: &'a TankMount,
    w: &'a TankWorked,
    system: System,
    out: Vec<Finding>,
}

/// What is found of a mount. `names` of each finding are the keys and blocks of the job that set its numbers.
pub fn check_tank(tank: &TankMount, w: &TankWorked, load: Option<&LoadCase>, system: System) -> Vec<Finding> {
    let mut look = Look { tank, w, system, out: vec![] };
    look.volume();
    for (station, strap) in tank.stations.iter().zip(&w.straps) {
        look.line(station, strap);
        look.ears(station, strap);
    }
    look.hole();
    look.shares(load);
    look.pads();
    look.skew();
    look.rooms();
    look.ground();
    look.out
}

fn named(f: Finding, names: &[String]) -> Finding {
    Finding { names: names.to_vec(), ..f }
}

impl Look<'_> {
    fn show(&self, v: Length) -> String {
        show_length(v, self.system)
    }

    fn base(&self, rule: &Rule) -> Finding {
        Finding {
            code: rule.code.to_string(),
            part: self.tank.name.clone(),
            source: rule.source.to_string(),
            ..Finding::default()
        }
    }

    /// A number that may be as large as its limit.
    fn at_most(&self, rule: &Rule, numbers: (f64, f64, Dim), over: Verdict, says: String) -> Finding {
        let (value, limit, dim) = numbers;
        let meets = value <= limit + 1e-9 * (1.0 + limit.abs());
        Finding {
            verdict: if meets { Verdict::Meets } else { over },
            value: Some(value),
            limit: Some(limit),
            unit: unit_of(dim),
            utilisation: utilisation(value, limit, false),
            says,
            ..self.base(rule)
        }
    }

    fn volume(&mut self) {
        let show = |v: f64| show_quantity(v, Dim::VOLUME, self.system);
        let worked = self.w.volume_mm3;
        let Some(stated) = self.tank.stated_mm3 else {
            let says = format!("section times length is {}; the job does not say what it should hold", show(worked));
            self.out.push(Finding { says, ..self.base(&VOLUME) });
            return;
        };
        let off = (worked - stated) / stated;
        let says = format!(
            "section times length is {}, {} % {} than the {} that are stated",
            show(worked),
            trimmed(off.abs() * 100.0, 1),
            if off < 0.0 { "less" } else { "more" },
            show(stated)
        );
        let f = self.at_most(&VOLUME, (off.abs(), VOLUME_OFF, Dim::PLAIN), Verdict::Warn, says);
        self.out.push(named(f, &["volume".into(), "length".into()]));
    }

    fn line(&mut self, station: &Station, strap: &StrapWorked) {
        let at = [format!("station {}", station.name)];
        let path = match &strap.path {
            Ok(path) => path,
            Err(why) => {
                let says = format!("the strap at {}: {why}", station.name);
                let f = Finding { verdict: Verdict::Fail, says, ..self.base(&LINE) };
                self.out.push(named(f, &at));
                return;
            }
        };
        let half = self.w.height.to_mm() / 2.0;
        let low = station.height[0].min(station.height[1]);
        let says = format!(
            "the strap at {}: middle line {} between the ears' bends, {} from bolt to bolt; its ears {} up, the middle of the tank {}",
            station.name,
            self.show(path.length),
            self.show(strap.bolt_to_bolt),
            self.show(low),
            self.show(Length::mm(half))
        );
        let f = at_least(&LINE, &self.tank.name, low.to_mm(), half, Verdict::Fail, says);
        self.out.push(named(f, &at));
    }

    fn ears(&mut self, station: &Station, strap: &StrapWorked) {
        for (i, side) in SIDES.iter().enumerate() {
            let at = [format!("station {}", station.name)];
            if let Some(bolt) = station.ear[i] {
                let off = bolt - self.w.ear;
                let says = format!(
                    "{} {side}: the bolt is {} from the middle, the strap's hole {}: {} {}",
                    station.name,
                    self.show(bolt),
                    self.show(self.w.ear),
                    self.show(off.abs()),
                    if off < Length::ZERO { "too far in" } else { "too far out" }
                );
                let f = self.at_most(&EAR, (off.to_mm().abs(), EAR_OFF_MM, Dim::LENGTH), Verdict::Fail, says);
                self.out.push(named(f, &at));
            }
            // Between the rails the bolt needs room beside the rail; elsewhere the rail is above or below it.
            if let Some(first) = strap.first[i].filter(|_| self.tank.hangs == Hangs::Between) {
                let need = self.tank.strap.hole * 1.5;
                let says = format!(
                    "{} {side}: the bolt is {} from the rail's inner face, one and a half holes are {}",
                    station.name,
                    self.show(first),
                    self.show(need)
                );
                let f = at_least(&EAR, &self.tank.name, first.to_mm(), need.to_mm(), Verdict::Fail, says);
                self.out.push(named(f, &at));
            }
        }
    }

    fn hole(&mut self) {
        let (value, limit) = (self.w.hole_along, self.w.hole_room);
        let says = format!(
            "ear holes are {} from the bend of the ear, {} keep the hole and its washer out of it",
            self.show(value),
            self.show(limit)
        );
        let f = at_least(&EAR, &self.tank.name, value.to_mm(), limit.to_mm(), Verdict::Warn, says);
        self.out.push(named(f, &["strap".into()]));
    }

    fn shares(&mut self, load: Option<&LoadCase>) {
        let how = if self.tank.stations.len() > 2 { "stiff tank on equal springs" } else { "lever rule" };
        let system = self.system;
        let on = |share: f64| load.map(|l| move |level: f64| newtons(l.force(level) * share, system)).zip(load);
        let mut all: Vec<(String, f64, String)> = vec![];
        for (s, w) in self.tank.stations.iter().zip(&self.w.straps) {
            let forces =
                on(w.share).map(|(on, l)| format!(", {} down, {} across", on(l.levels.down), on(l.levels.across)));
            all.push((format!("strap {}", s.name), w.share, forces.unwrap_or_default()));
        }
        if let Some((p, told)) = self.w.pads.as_ref().zip(self.tank.pads) {
            for (end, share) in ENDS.iter().zip(p.share) {
                let alone = on(1.0 / f64::from(told.each.max(1))).map(|(on, l)| on(l.levels.along)).unwrap_or_default();
                let forces = on(share).map(|(on, l)| {
                    format!(
                        ", {} down; {alone} along, where the pads of one end stop the tank alone",
                        on(l.levels.down)
                    )
                });
                all.push((format!("each pad {end}"), share, forces.unwrap_or_default()));
            }
        }
        for (who, share, forces) in all {
            let lifted = share <= 0.0;
            let says = format!(
                "{who} takes {} % of the load ({how}){forces}{}",
                trimmed(share * 100.0, 1),
                if lifted { ": the weight lies outside of the supports" } else { "" }
            );
            let verdict = if lifted { Verdict::Fail } else { Verdict::Note };
            let f = Finding { verdict, says, ..self.base(&SHARE) };
            self.out.push(named(f, &["centre".into(), "load".into()]));
        }
        let Some(l) = load else { return };
        if self.tank.hangs != Hangs::OnTop {
            let up: Force = l.force(l.levels.up);
            let says =
                format!("straps under the tank hold nothing upwards: something else must hold {}", newtons(up, system));
            let f = Finding { verdict: Verdict::Note, says, ..self.base(&SHARE) };
            self.out.push(named(f, &["load".into(), "hangs".into()]));
        }
    }

    fn pads(&mut self) {
        let (Some(told), Some(p)) = (self.tank.pads, self.w.pads.clone()) else { return };
        for (end, overlap) in ENDS.iter().zip(p.overlap) {
            let says = format!(
                "the {end} edge lies on its pads by {}, {} are asked",
                self.show(overlap),
                self.show(told.least)
            );
            let f = at_least(&PAD, &self.tank.name, overlap.to_mm(), told.least.to_mm(), Verdict::Fail, says);
            self.out.push(named(f, &["pads".into()]));
        }
        if !told.equal {
            return;
        }
        let off = (told.room[0] - told.room[1]).abs();
        let way = if p.shift > Length::ZERO { "rear" } else { "front" };
        let says = format!(
            "room at the front {}, at the rear {}: {}",
            self.show(told.room[0]),
            self.show(told.room[1]),
            if off.to_mm() < 0.5 {
                "equal".to_string()
            } else {
                format!("shift the tank {} to the {way}", self.show(p.shift.abs()))
            }
        );
        let f = self.at_most(&PAD, (off.to_mm(), 1.0, Dim::LENGTH), Verdict::Warn, says);
        self.out.push(named(f, &["pads".into()]));
    }

    fn skew(&mut self) {
        let s = &self.w.skew;
        let deg = |a: crate::units::Angle| {
            let d = a.to_degrees();
            let way = if d < 0.0 { "left" } else { "right" };
            format!("{} degrees to the {way}", trimmed(d.abs(), 2))
        };
        let keys = ["rails".to_string(), "square_within".to_string()];
        let spread = if s.spread.to_mm().abs() < 0.05 {
            String::new()
        } else {
            let way = if s.spread > Length::ZERO { "wider" } else { "narrower" };
            format!("; the rails are {} {way} apart at the rear", self.show(s.spread.abs()))
        };
        let (Some(frame), Some(tank), Some(off)) = (s.against_square, s.tank, s.out_of_square) else {
            let says = format!(
                "towards the rear the rails lean {} against the tank{spread}; without both diagonals nobody knows whether the tank is square",
                deg(s.against_tank)
            );
            let f = Finding { says, ..self.base(&SKEW) };
            self.out.push(f);
            return;
        };
        let limit = self.tank.square_within;
        let way = if off > Length::ZERO { "left" } else { "right" };
        let says = format!(
            "towards the rear the rails lean {} by their diagonals and {} against the tank{spread}: the tank leans {}, its rear end is {} beside square, {} are allowed",
            deg(frame),
            deg(s.against_tank),
            deg(tank),
            self.show(off.abs()),
            self.show(limit)
        );
        let mut f = self.at_most(&SKEW, (off.to_mm().abs(), limit.to_mm(), Dim::LENGTH), Verdict::Warn, says);
        if f.verdict != Verdict::Meets {
            f.mend = format!("its rear end {} to the {way}, hangers to match", self.show(off.abs()));
        }
        let along = s.along;
        self.out.push(named(f, &keys));
        if let Some([by_tape, off]) = along {
            let says = format!(
                "by the diagonals the first and the last strap are {} apart, {} {} than by their stations",
                self.show(by_tape),
                self.show(off.abs()),
                if off < Length::ZERO { "less" } else { "more" }
            );
            let f = self.at_most(&TAPE, (off.to_mm().abs(), TAPE_OFF_MM, Dim::LENGTH), Verdict::Warn, says);
            self.out.push(named(f, &keys[..1]));
        }
    }

    fn rooms(&mut self) {
        for (near, room) in self.tank.near.iter().zip(&self.w.rooms) {
            let says = format!(
                "{}{} is {} from the tank, {} are asked{}",
                near.obstacle.name,
                if near.hot { " (hot)" } else { "" },
                self.show(*room),
                self.show(near.least),
                if near.usual { " (common practice)" } else { "" }
            );
            let f = at_least(&ROOM, &self.tank.name, room.to_mm(), near.least.to_mm(), Verdict::Fail, says);
            self.out.push(named(f, &[format!("obstacle {}", near.obstacle.name)]));
        }
    }

    fn ground(&mut self) {
        let (Some(clearance), Some([_, least])) = (self.w.clearance, self.tank.ground) else { return };
        let says = format!(
            "{} are left above the ground under tank and straps, {} are asked",
            self.show(clearance),
            self.show(least)
        );
        let f = at_least(&GROUND, &self.tank.name, clearance.to_mm(), least.to_mm(), Verdict::Fail, says);
        self.out.push(named(f, &["ground".into(), "least_ground".into()]));
    }
}

/// A force in words.
fn newtons(f: Force, system: System) -> String {
    show_quantity(f.to_newtons(), Dim::FORCE, system)
}
