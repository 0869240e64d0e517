//! What a tank mount gives the parts, each number under its name.
//!
//! ```text
//!   main_tank.volume            of the whole tank
//!   main_tank.front.share       of the strap at the station "front"
//!   main_tank.front_left.gap    of one side of it
//!   main_tank.pad_rear.overlap  of the pads at one end
//! ```

use super::tank::{SIDES, TankMount};
use super::tank_solve::{PadsWorked, TankWorked};
use crate::expr::Value;
use crate::handbook::load_case::LoadCase;
use crate::units::{Angle, Dim, Force, Length};

/// Named results, in the order in which they are told.
pub type Results = Vec<(String, Value)>;

/// The names of both ends.
pub const ENDS: [&str; 2] = ["front", "rear"];

/// A layout's or a station's name as formulas know it: `Main tank` is `main_tank`.
pub fn name_of(name: &str) -> String {
    crate::source::safe_name(name).replace('-', "_")
}

fn length(v: Length) -> Value {
    Value::length(v.to_mm())
}

fn force(f: Force) -> Value {
    Value::Quantity(f.to_newtons(), Dim::FORCE)
}

fn angle(a: Angle) -> Value {
    Value::Quantity(a.to_degrees(), Dim::ANGLE)
}

/// What follows from the geometry.
pub fn results(tank: &TankMount, w: &TankWorked) -> Results {
    let own = name_of(&tank.name);
    let s = &tank.strap;
    let mut out: Results = vec![];
    let mut tell = |name: &str, value: Value| out.push((format!("{own}.{name}"), value));
    tell("width", length(w.width));
    tell("height", length(w.height));
    tell("length", length(tank.length));
    tell("volume", Value::Quantity(w.volume_mm3, Dim::VOLUME));
    tell("ear", length(w.ear));
    tell("hole_along", length(w.hole_along));
    tell("liner", length(s.liner));
    tell("take_up", length(s.take_up));
    tell("hole", length(s.hole));
    tell("strap.width", length(s.width));
    tell("strap.thickness", length(s.thickness));
    for (station, strap) in tank.stations.iter().zip(&w.straps) {
        let name = name_of(&station.name);
        tell(&format!("{name}.at"), length(station.at));
        tell(&format!("{name}.share"), Value::number(strap.share));
        tell(&format!("{name}.bolt_share"), Value::number(strap.share / 2.0));
        tell(&format!("{name}.pitch"), length(w.ear * 2.0));
        if let Ok(path) = &strap.path {
            tell(&format!("{name}.path"), length(path.length));
            tell(&format!("{name}.bolt_to_bolt"), length(strap.bolt_to_bolt));
        }
        for (i, side) in SIDES.iter().enumerate() {
            let mut here = |key: &str, value: Option<Length>| {
                if let Some(v) = value {
                    tell(&format!("{name}_{side}.{key}"), length(v));
                }
            };
            here("height", Some(station.height[i]));
            here("ear", Some(w.ear));
            here("gap", strap.gap[i]);
            here("rail", strap.rail[i]);
            here("first", strap.first[i]);
        }
    }
    if let Some(p) = &w.pads {
        pads(tank, p, &mut tell);
    }
    if let Some([level, rise, long]) = w.earth {
        tell("earth.apart", length(level));
        tell("earth.rise", length(rise));
        tell("earth.length", length(long));
    }
    if let Some(c) = w.clearance {
        tell("clearance", length(c));
    }
    tell("lean", angle(w.skew.against_tank));
    if let (Some(a), Some(out_by)) = (w.skew.against_square, w.skew.out_of_square) {
        tell("skew", angle(a));
        tell("out_of_square", length(out_by));
    }
    out
}

fn pads(tank: &TankMount, p: &PadsWorked, tell: &mut impl FnMut(&str, Value)) {
    let Some(told) = &tank.pads else { return };
    tell("pad.gap", length(p.gap));
    tell("pad.first", length(p.first));
    tell("pad.apart", length(p.apart));
    tell("pad.length", length(p.length));
    tell("pad.leg", length(told.leg));
    tell("pad.rubber", length(told.rubber));
    tell("pad.lips", length(told.lips));
    tell("pad.shift", length(p.shift));
    for (i, end) in ENDS.iter().enumerate() {
        tell(&format!("pad_{end}.at"), length(p.at[i]));
        tell(&format!("pad_{end}.room"), length(told.room[i]));
        tell(&format!("pad_{end}.overlap"), length(p.overlap[i]));
        tell(&format!("pad_{end}.share"), Value::number(p.share[i]));
    }
}

/// What follows from the load: on each strap, and on each pad. Straps and pads are each worked out as if they were
/// alone, so that neither counts on the other.
pub fn load_results(tank: &TankMount, w: &TankWorked, case: &LoadCase) -> Results {
    let own = name_of(&tank.name);
    let l = case.levels;
    let on = |level: f64, share: f64| force(case.force(level) * share);
    let mut out: Results = vec![];
    let mut tell = |name: String, value: Value| out.push((format!("{own}.{name}"), value));
    tell("mass".to_string(), Value::Quantity(case.mass.to_kg() * 1e-3, Dim::MASS));
    for (station, strap) in tank.stations.iter().zip(&w.straps) {
        let name = name_of(&station.name);
        tell(format!("{name}.down"), on(l.down, strap.share));
        tell(format!("{name}.up"), on(l.up, strap.share));
        tell(format!("{name}.across"), on(l.across, strap.share));
    }
    if let Some((p, told)) = w.pads.as_ref().zip(tank.pads.as_ref()) {
        for (i, end) in ENDS.iter().enumerate() {
            tell(format!("pad_{end}.down"), on(l.down, p.share[i]));
            // The pads at one end alone stop the tank.
            tell(format!("pad_{end}.along"), on(l.along, 1.0 / f64::from(told.each.max(1))));
        }
    }
    out
}
