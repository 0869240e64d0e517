//! The sketches of a tank mount: its section between the rails, its side, the frame
//! from above.

use super::{BEHIND, PLAN, SIDE, View};
use crate::drawing::measuring::MeasuringSheet;
use crate::geom::{Bounds, Point};
use crate::layout::{Hangs, SIDES, SectionShape, Station, TankMount, outline_of};
use crate::units::Length;

/// Chords of a drawn section, mm.
const CHORD_MM: f64 = 0.5;

/// What the sketches share.
struct Drawn<'a> {
    told: &'a TankMount,
    /// Width and height of the section.
    size: (f64, f64),
    /// Distance from the middle of the tank to a rail's inner face.
    rail: f64,
    asked: &'a dyn Fn(&str) -> bool,
}

/// A sheet a view, with the readings that are asked for; none where its section cannot be.
pub fn tank_sheets(told: &TankMount, asked: &dyn Fn(&str) -> bool) -> Vec<MeasuringSheet> {
    let Ok(outline) = outline_of(&told.section) else { return vec![] };
    let corners = outline.flattened(CHORD_MM);
    let Some(b) = Bounds::of(corners.iter().copied()) else { return vec![] };
    let beyond = b.width() / 2.0 + told.strap.clear.to_mm();
    let rail = told.rails.map_or(beyond + b.width() * 0.2, |r| (r.inside.to_mm() / 2.0).max(b.width() * 0.3));
    let drawn = Drawn { told, size: (b.width(), b.height()), rail, asked };
    let mut out = vec![];
    drawn.section(&corners).done(&mut out);
    drawn.side().done(&mut out);
    drawn.plan().done(&mut out);
    out
}

impl<'a> Drawn<'a> {
    /// Looking along the tank.
    fn section(&self, corners: &[Point]) -> View<'a> {
        let mut v = View::new(&self.told.name, "seen from behind", self.asked);
        let (w, h) = self.size;
        let mut round: Vec<(f64, f64)> = corners.iter().map(|p| (p.x, p.y)).collect();
        round.extend(round.first().copied());
        v.lines(&round, "", false);
        let high = self.told.stations.first().map_or(h, |s| self.level(s.height[0].to_mm()));
        for side in [-1.0, 1.0] {
            let (near, far) = (side * self.rail, side * (self.rail + w * 0.22));
            v.boxed((near.min(far), high - h * 0.12), (near.max(far), high + h * 0.18), "", true);
            v.word(((near + far) / 2.0, high - h * 0.02), "rail");
            let bolt = side * (w / 2.0 + self.told.strap.clear.to_mm());
            v.lines(&[(bolt - w * 0.07, high), (bolt + w * 0.07, high)], "", false);
        }
        self.section_sizes(&mut v);
        let base = if self.told.hangs == Hangs::OnTop { h } else { 0.0 };
        for (i, s) in self.told.stations.iter().enumerate() {
            self.heights(&mut v, s, i as f64, base);
        }
        v.tape("rails/inside", (-self.rail, high + h * 0.3), (self.rail, high + h * 0.3));
        v.tape("strap/clear", (w / 2.0, h * 0.62), (w / 2.0 + self.told.strap.clear.to_mm(), h * 0.62));
        if (self.asked)("ground") {
            let low = -h * 0.45;
            v.lines(&[(-w * 0.6, low), (w * 0.6, low)], "ground", true);
            v.tape("ground", (-w * 0.12, low), (-w * 0.12, 0.0));
        }
        self.near(&mut v);
        v
    }

    /// A height as told, from the lowest point of the tank.
    fn level(&self, height: f64) -> f64 {
        if self.told.hangs == Hangs::OnTop { self.size.1 - height } else { height }
    }

    fn section_sizes(&self, v: &mut View) {
        let (w, h) = self.size;
        v.tape("width", (-w / 2.0, -h * 0.2), (w / 2.0, -h * 0.2));
        v.tape("height", (w * 0.16, 0.0), (w * 0.16, h));
        match &self.told.section {
            SectionShape::Rectangle { radius, .. } | SectionShape::D { radius, .. } => {
                let r = radius.to_mm().max(w * 0.04);
                let middle = (w / 2.0 - r, h - r);
                let diagonal = r * std::f64::consts::FRAC_1_SQRT_2;
                v.tape("radius", middle, (middle.0 + diagonal, middle.1 + diagonal));
            }
            SectionShape::Corners(all) => {
                // As told, the corners may lie anywhere; the outline has nought under its middle.
                let at = |i: usize| all[i % all.len()].at;
                let Some(b) = Bounds::of(all.iter().map(|c| c.at)) else { return };
                let shift = Point::new((b.low.x + b.high.x) / 2.0, b.low.y);
                for i in 0..all.len() {
                    let p = at(i) - shift;
                    v.tape(&format!("corner {}/at/x", i + 1), (0.0, p.y), (p.x, p.y));
                    v.tape(&format!("corner {}/at/y", i + 1), (p.x, 0.0), (p.x, p.y));
                }
            }
            SectionShape::Round { .. } | SectionShape::Obround { .. } => {}
        }
    }

    /// Heights, rails and bolts of one station; each station a step farther out.
    fn heights(&self, v: &mut View, s: &Station, step: f64, base: f64) {
        let (w, h) = self.size;
        let key = |k: &str| format!("station {}/{k}", s.name);
        let bolt = w / 2.0 + self.told.strap.clear.to_mm() + step * w * 0.06;
        v.tape(&key("height"), (-bolt, base), (-bolt, self.level(s.height[0].to_mm())));
        for (i, side) in SIDES.iter().enumerate() {
            let way = if i == 0 { -1.0 } else { 1.0 };
            let high = self.level(s.height[i].to_mm());
            v.tape(&key(&format!("height_{side}")), (way * bolt, base), (way * bolt, high));
            let up = high + h * (0.3 + 0.14 * (step + 1.0));
            v.tape(&key(&format!("rail_{side}")), (0.0, up), (way * self.rail, up));
            let ear = s.ear[i].map_or(bolt, Length::to_mm);
            v.tape(&key(&format!("ear_{side}")), (0.0, high + h * 0.06), (way * ear, high + h * 0.06));
        }
    }

    /// What is near it, where that is in sight or is measured.
    fn near(&self, v: &mut View) {
        let (w, h) = self.size;
        for n in &self.told.near {
            let o = &n.obstacle;
            let key = |k: &str| format!("obstacle {}/{k}", o.name);
            let keys = ["from/x", "from/z", "to/x", "to/z", "radius"];
            let at = BEHIND.seen(o.from);
            if !keys.iter().any(|k| (self.asked)(&key(k))) {
                continue;
            }
            let d = (2.0 * o.radius.to_mm()).max(w * 0.1);
            v.round(at, d, "", true);
            v.word((at.x, at.y - d * 0.6 - h * 0.14), &o.name);
            v.tape(&key("from/x"), (0.0, at.y), (at.x, at.y));
            v.tape(&key("from/z"), (at.x, 0.0), (at.x, at.y));
            v.tape(&key("to/x"), (0.0, o.to.z), (o.to.x, o.to.z));
            v.tape(&key("to/z"), (o.to.x, 0.0), (o.to.x, o.to.z));
            v.tape(&key("radius"), (at.x, at.y), (at.x + d / 2.0, at.y));
        }
    }

    /// From the side, its front at the left.
    fn side(&self) -> View<'a> {
        let mut v = View::new(&self.told.name, "seen from the side", self.asked);
        let long = self.told.length.to_mm();
        let h = self.size.1.clamp(long * 0.3, long * 0.6);
        let lip = long * 0.05;
        v.boxed((0.0, 0.0), (long, h), "", false);
        if self.told.pads.is_some() {
            for (end, way) in [(0.0, -1.0), (long, 1.0)] {
                // The lips stand out below, where the pads carry them.
                v.lines(&[(end, h * 0.12), (end + way * lip, h * 0.12), (end + way * lip, 0.0), (end, 0.0)], "", false);
            }
            let room = long * 0.13;
            for (end, way, key) in [(0.0, -1.0, "pads/front"), (long, 1.0, "pads/rear")] {
                let (near, far) = (end + way * room, end + way * (room + long * 0.07));
                v.boxed((near.min(far), -h * 0.26), (near.max(far), -h * 0.03), "", true);
                v.lines(&[(end, 0.0), (end, -h * 0.3)], "", true);
                v.tape(key, (end, -h * 0.2), (near, -h * 0.2));
            }
            v.tape("pads/lips", (-lip, -h * 0.72), (long + lip, -h * 0.72));
        }
        v.tape("length", (0.0, h * 1.18), (long, h * 1.18));
        let count = self.told.stations.len().max(1) as f64;
        for (i, s) in self.told.stations.iter().enumerate() {
            let at = s.at.to_mm();
            v.lines(&[(at, -h * 0.06), (at, h * 1.06)], &s.name, false);
            let up = h * (0.16 + 0.68 * (i as f64 + 0.5) / count);
            v.tape(&format!("station {}/at", s.name), (0.0, up), (at, up));
        }
        v.tape("centre", (0.0, h * 0.08), (self.told.centre.to_mm(), h * 0.08));
        if let Some(e) = self.told.earth {
            let (tank, frame) = (SIDE.seen(e.tank), SIDE.seen(e.frame));
            v.tape("earth/tank/y", (0.0, tank.y), (tank.x, tank.y));
            v.tape("earth/frame/y", (0.0, frame.y), (frame.x, frame.y));
        }
        v
    }

    /// The frame from above, its front at the top.
    fn plan(&self) -> View<'a> {
        let mut v = View::new(&self.told.name, "seen from above", self.asked);
        let (w, long) = (self.size.0, self.told.length.to_mm());
        v.boxed((-w / 2.0, -long), (w / 2.0, 0.0), "", true);
        let ends = long * 0.12;
        let thick = w * 0.13;
        let gap = |i: usize| self.told.stations.iter().find_map(|s| s.gap[i]).map(Length::to_mm);
        for (i, way) in [(0, -1.0), (1, 1.0)] {
            let mut bar = |from: f64, to: f64, word: &str| {
                v.boxed((from.min(to), -long - ends), (from.max(to), ends), word, true);
            };
            bar(way * self.rail, way * (self.rail + thick), "");
            if let Some(gap) = gap(i) {
                bar(way * (self.rail - gap), way * (self.rail - gap - thick * 0.6), "");
            }
        }
        for s in &self.told.stations {
            let y = -s.at.to_mm();
            v.lines(&[(-self.rail, y), (self.rail, y)], "", false);
            for (i, side) in SIDES.iter().enumerate() {
                let way = if i == 0 { -1.0 } else { 1.0 };
                if let Some(gap) = s.gap[i] {
                    let key = format!("station {}/gap_{side}", s.name);
                    v.tape(
                        &key,
                        (way * self.rail, y - long * 0.05),
                        (way * (self.rail - gap.to_mm()), y - long * 0.05),
                    );
                }
            }
        }
        if let (Some(first), Some(last)) = (self.told.stations.first(), self.told.stations.last()) {
            let (front, rear) = (-first.at.to_mm(), -last.at.to_mm());
            v.tape("rails/diagonal_front_left", (-self.rail, front), (self.rail, rear));
            v.tape("rails/diagonal_front_right", (self.rail, front), (-self.rail, rear));
        }
        if let Some(e) = self.told.earth {
            let (tank, frame) = (PLAN.seen(e.tank), PLAN.seen(e.frame));
            v.tape("earth/tank/x", (0.0, tank.y), (tank.x, tank.y));
            v.tape("earth/frame/x", (0.0, frame.y), (frame.x, frame.y));
        }
        v
    }
}
