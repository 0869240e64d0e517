//! A tank mount worked out: straps, ears, pads, the frame's skew, what comes near.

use super::section::outline_of;
use super::strap_path::{StrapPath, hull_of, strap_path};
use super::tank::{Hangs, Near, Pads, Station, TankMount};
use super::tank_skew::{Skew, skew_of};
use crate::geom::{Loop, Point, Region};
use crate::space::Point3;
use crate::units::Length;

/// One strap worked out; pairs are left and right.
#[derive(Clone, Debug, PartialEq)]
pub struct StrapWorked {
    /// Its line from the top of one leg to the top of the other, in the plane of the section; on top: turned over.
    pub path: Result<StrapPath, String>,
    /// Middle line from bolt to bolt.
    pub bolt_to_bolt: Length,
    /// Share of the load that it takes.
    pub share: f64,
    /// From the middle of the tank to the rail's inner face, where the frame is known.
    pub rail: [Option<Length>; 2],
    /// Clear distance that the hanger spans: as measured, or from rail to rail.
    pub gap: [Option<Length>; 2],
    /// From the rail's inner face to the bolt.
    pub first: [Option<Length>; 2],
}

/// Pads worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct PadsWorked {
    /// Along the tank: faces of the front and the rear cross member.
    pub at: [Length; 2],
    /// Across it: the first pad; the next ones follow at `apart`.
    pub first: Length,
    /// From pad to pad.
    pub apart: Length,
    /// Clear distance between the cross members.
    pub gap: Length,
    /// Length of one pad.
    pub length: Length,
    /// Width of the tank's edge that lies on a pad, front and rear.
    pub overlap: [Length; 2],
    /// Share of the load on one pad, front and rear.
    pub share: [f64; 2],
    /// How far the tank would have to go to the rear for equal room at both ends.
    pub shift: Length,
}

/// A mount worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct TankWorked {
    /// Its outline, lowest point and middle at nought.
    pub outline: Loop,
    /// Width of the section.
    pub width: Length,
    /// Height of the section.
    pub height: Length,
    /// Area of the section, mm2.
    pub area_mm2: f64,
    /// Section times length, mm3.
    pub volume_mm3: f64,
    /// From the middle of the tank to an ear bolt, by the rule.
    pub ear: Length,
    /// From where the ear's bend ends to its bolt.
    pub hole_along: Length,
    /// The least that this must be, so that the hole stays out of the bend.
    pub hole_room: Length,
    /// One for each station.
    pub straps: Vec<StrapWorked>,
    /// The frame against the tank.
    pub skew: Skew,
    /// Pads.
    pub pads: Option<PadsWorked>,
    /// Earth bond: level distance, difference in height, length with its slack.
    pub earth: Option<[Length; 3]>,
    /// From the ground to the lowest point of tank and straps.
    pub clearance: Option<Length>,
    /// Room to each obstacle; negative inside the tank.
    pub rooms: Vec<Length>,
}

/// The ear's inside radius by the strap template: twice the thickness, 4 mm at least.
fn ear_radius(thickness: Length) -> Length {
    (thickness * 2.0).max(Length::mm(4.0))
}

/// Work a mount out.
///
/// # Errors
/// A sentence, where the section cannot be.
pub fn solve_tank(tank: &TankMount) -> Result<TankWorked, String> {
    let outline = outline_of(&tank.section)?;
    let bounds = outline.bounds().ok_or("an outline without corners")?;
    let (width, height) = (Length::mm(bounds.width()), Length::mm(bounds.height()));
    let s = &tank.strap;
    let ear = width / 2.0 + s.clear;
    let hole_along = s.clear - s.liner - s.thickness - ear_radius(s.thickness);
    // A strap over the tank is the strap under the tank turned over.
    let seen = if tank.hangs == Hangs::OnTop { outline.flipped(height.to_mm() / 2.0) } else { outline.clone() };
    let at: Vec<f64> = tank.stations.iter().map(|s| s.at.to_mm()).collect();
    let shares = shares(&at, tank.centre.to_mm());
    let skew = skew_of(tank);
    let straps = tank.stations.iter().zip(&shares).enumerate().map(|(i, (station, share))| {
        let (path, bolt_to_bolt) = line(tank, &seen, station, hole_along);
        let rail = [0, 1].map(|side| station.rail[side].or(skew.rails.get(i).and_then(|r| r[side])));
        let whole = rail[0].zip(rail[1]).map(|(l, r)| l + r);
        StrapWorked {
            path,
            bolt_to_bolt,
            share: *share,
            rail,
            gap: [0, 1].map(|side| station.gap[side].or(whole)),
            first: rail.map(|r| r.map(|r| r - ear)),
        }
    });
    let under = if tank.hangs == Hangs::OnTop { Length::ZERO } else { s.liner + s.thickness };
    let hull = hull_of(&outline);
    Ok(TankWorked {
        width,
        height,
        area_mm2: outline.area(),
        volume_mm3: outline.area() * tank.length.to_mm(),
        ear,
        hole_along,
        hole_room: s.hole / 2.0 + s.thickness * 2.5 + ear_radius(s.thickness),
        straps: straps.collect(),
        pads: tank.pads.as_ref().map(|p| pads(p, tank, width)),
        earth: tank.earth.map(|e| {
            let d = e.frame - e.tank;
            let level = Length::mm(libm::hypot(d.x, d.y));
            [level, Length::mm(d.z.abs()), Length::mm(d.length()) + e.slack]
        }),
        clearance: tank.ground.map(|g| g[0] - under),
        rooms: tank.near.iter().map(|n| room(&hull, tank.length.to_mm(), n)).collect(),
        skew,
        outline,
    })
}

/// The middle line of one strap: between the tops of its legs, and from bolt to bolt.
fn line(tank: &TankMount, seen: &Loop, station: &Station, hole_along: Length) -> (Result<StrapPath, String>, Length) {
    let s = &tank.strap;
    let radius = ear_radius(s.thickness);
    let half = seen.bounds().map_or(0.0, |b| b.width() / 2.0);
    let x = half + (s.liner + s.thickness / 2.0).to_mm();
    // Legs stand upright beside the widest place; the ear stops the take-up short of its face.
    let z = station.height.map(|h| (h - s.take_up - s.thickness - radius).to_mm());
    let path = strap_path(seen, s.liner + s.thickness / 2.0, Point::new(-x, z[0]), Point::new(x, z[1]));
    let bend = (radius + s.thickness / 2.0) * std::f64::consts::FRAC_PI_2;
    let length = path.as_ref().map_or(Length::ZERO, |p| p.length + (bend + hole_along) * 2.0);
    (path, length)
}

/// Which part of a load each support along a line takes.
///
/// # Formula
/// `1/n + (c - m) (y - m) / sum (y - m)2`, `m` the mean of the places, `c` the place of the load: a stiff beam on
/// equal springs; for two supports it is the lever rule, and no spring matters.
/// # Source
/// Statics: forces and moments in balance, springs give in proportion.
/// # Holds for
/// Supports alike; a tank much stiffer than its straps.
pub fn shares(at_mm: &[f64], load_mm: f64) -> Vec<f64> {
    let n = at_mm.len() as f64;
    let mean = at_mm.iter().sum::<f64>() / n;
    let spread: f64 = at_mm.iter().map(|y| (y - mean) * (y - mean)).sum();
    let lean = if spread > 1e-9 { (load_mm - mean) / spread } else { 0.0 };
    at_mm.iter().map(|y| 1.0 / n + lean * (y - mean)).collect()
}

fn pads(p: &Pads, tank: &TankMount, width: Length) -> PadsWorked {
    let at = [-p.room[0], tank.length + p.room[1]];
    let apart = if p.each > 1 { p.apart.unwrap_or(width / 3.0) } else { Length::ZERO };
    let lip = (p.lips - tank.length) / 2.0;
    let ends = shares(&at.map(Length::to_mm), tank.centre.to_mm());
    PadsWorked {
        at,
        first: apart * (-f64::from(p.each.saturating_sub(1)) / 2.0),
        apart,
        gap: tank.length + p.room[0] + p.room[1],
        length: p.length.unwrap_or(Length::mm(libm::round(width.to_mm() / 4.0))),
        overlap: p.room.map(|room| p.leg - (room - lip)),
        share: [ends[0], ends[1]].map(|s| s / f64::from(p.each.max(1))),
        shift: (p.room[1] - p.room[0]) / 2.0,
    }
}

/// Steps in which a straight piece is halved while its nearest point is looked for.
const HALVINGS: u32 = 200;

/// Free room between the tank's hull and a bar or point.
///
/// # Formula
/// The distance from a convex body is a convex function of the place on a straight line, so its least value is found
/// by narrowing from both ends. Derived here, no source needed.
fn room(hull: &Loop, length: f64, near: &Near) -> Length {
    let o = &near.obstacle;
    // Some hundreds of places are looked at: what they need of the hull is made once.
    let (region, sides) = (Region::of(hull), hull.segments());
    let away = |f: f64| {
        let p: Point3 = o.from + (o.to - o.from) * f;
        let flat = Point::new(p.x, p.z);
        let inside = region.has(flat);
        let side = sides.iter().map(|s| s.distance(flat)).fold(f64::INFINITY, f64::min);
        let end = (-p.y).max(p.y - length);
        match (inside, end <= 0.0) {
            (true, true) => -side.min(-end),
            (true, false) => end,
            (false, true) => side,
            (false, false) => libm::hypot(side, end),
        }
    };
    let (mut a, mut b) = (0.0, 1.0);
    for _ in 0..HALVINGS {
        let (p, q) = (a + (b - a) / 3.0, b - (b - a) / 3.0);
        if b - a < 1e-12 {
            break;
        }
        if away(p) <= away(q) {
            b = q;
        } else {
            a = p;
        }
    }
    let least = [0.0, 1.0, (a + b) / 2.0].map(away).into_iter().fold(f64::INFINITY, f64::min);
    Length::mm(least) - o.radius
}
