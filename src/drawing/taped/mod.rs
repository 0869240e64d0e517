//! Sketches of what was measured on the vehicle for a layout: a tank between its
//! rails, a pedal, a steering run.
//!
//! ```text
//!   layout as measured -> one sheet a view; a reading is called by the way to its
//!   key in the block: `width`, `station front/gap_left`, `joint 1/at/x`
//! ```
//!
//! What is small beside the rest is drawn larger than it is, so that a tape can be
//! seen there: sketches are not to scale.

mod pedal;
mod steering;
mod tank;

pub use pedal::pedal_sheets;
pub use steering::steering_sheets;
pub use tank::tank_sheets;

use super::measuring::{MeasuringSheet, Reading, SketchLine};
use crate::geom::{Bounds, Point};
use crate::layout::Obstacle;
use crate::space::Point3;

/// How far beyond everything the line of nought of a coordinate is drawn, as a part of the view.
const NOUGHT_OUT: f64 = 0.14;

/// A view in the making. `asked` are the readings that have a box: what only serves
/// another reading is left out, so that the sketch stays large.
struct View<'a> {
    sheet: MeasuringSheet,
    asked: &'a dyn Fn(&str) -> bool,
}

impl<'a> View<'a> {
    fn new(name: &str, seen: &str, asked: &'a dyn Fn(&str) -> bool) -> View<'a> {
        let part = format!("{name}, {seen}");
        View { sheet: MeasuringSheet { part, says: seen.to_string(), ..MeasuringSheet::default() }, asked }
    }

    fn lines(&mut self, through: &[(f64, f64)], label: &str, faint: bool) {
        let through = through.iter().map(|p| Point::new(p.0, p.1)).collect();
        self.sheet.sketch.push(SketchLine { through, diameter: 0.0, label: label.to_string(), faint });
    }

    /// Words by themselves.
    fn word(&mut self, at: (f64, f64), label: &str) {
        self.lines(&[at, at], label, true);
    }

    /// A box from corner to corner.
    fn boxed(&mut self, low: (f64, f64), high: (f64, f64), label: &str, faint: bool) {
        let corners = [low, (high.0, low.1), high, (low.0, high.1), low];
        self.lines(&corners, label, faint);
    }

    fn round(&mut self, at: Point, diameter: f64, label: &str, faint: bool) {
        self.sheet.sketch.push(SketchLine { through: vec![at], diameter, label: label.to_string(), faint });
    }

    fn tape(&mut self, name: &str, from: (f64, f64), to: (f64, f64)) {
        if !(self.asked)(name) {
            return;
        }
        let tape = Some((Point::new(from.0, from.1), Point::new(to.0, to.1)));
        let (what, hook, facts) = (String::new(), String::new(), String::new());
        self.sheet.readings.push(Reading { name: name.to_string(), what, hook, facts, tape });
    }

    fn bounds(&self) -> Bounds {
        let reach = |l: &SketchLine| {
            let r = Point::new(l.diameter / 2.0, l.diameter / 2.0);
            l.through.iter().flat_map(move |p| [*p - r, *p + r]).collect::<Vec<_>>()
        };
        let none = Bounds { low: Point::default(), high: Point::new(1.0, 1.0) };
        Bounds::of(self.sheet.sketch.iter().flat_map(reach)).unwrap_or(none)
    }

    /// The larger side of what is drawn so far.
    fn size(&self) -> f64 {
        let b = self.bounds();
        b.width().max(b.height()).max(1.0)
    }

    /// Tapes of a point's two coordinates that this view shows, each from where that
    /// coordinate is nought. Nought of the vehicle may be far away: its line is drawn at
    /// the edge of the view, on the side where it lies.
    fn place(&mut self, name: &str, at: Point, measured: &Axes, b: &Bounds) {
        let out = b.width().max(b.height()).max(1.0) * NOUGHT_OUT;
        for (across, axis) in [(true, measured.across), (false, measured.up)] {
            let way = format!("{name}/{}", axis.word);
            if !(self.asked)(&way) {
                continue;
            }
            let label = format!("{} = 0", axis.word);
            let (here, low, high) = if across { (at.x, b.low.x, b.high.x) } else { (at.y, b.low.y, b.high.y) };
            // Where it is drawn: at its own place if that is near, else at the edge.
            let nought = 0.0_f64.max(low - out).min(high + out);
            let (from, rule) = match across {
                true => ((nought, at.y), [(nought, b.low.y - out), (nought, b.high.y + out)]),
                false => ((at.x, nought), [(b.low.x - out, nought), (b.high.x + out, nought)]),
            };
            if !self.sheet.sketch.iter().any(|l| l.label == label) {
                self.lines(&rule, &label, true);
            }
            let to = if across { (here, at.y) } else { (at.x, here) };
            self.tape(&way, from, to);
        }
    }

    /// Something that is near, as a round or as a bar between two places.
    fn near(&mut self, o: &Obstacle, measured: &Axes) {
        let (from, to) = (measured.seen(o.from), measured.seen(o.to));
        let d = (2.0 * o.radius.to_mm()).max(self.size() * 0.04);
        self.round(from, d, "", true);
        if from.distance(to) > d {
            self.round(to, d, "", true);
            self.lines(&[(from.x, from.y), (to.x, to.y)], "", true);
        }
        let high = if from.y > to.y { from } else { to };
        self.word((high.x, high.y + d * 0.6), &o.name);
        if (self.asked)(&format!("obstacle {}/radius", o.name)) {
            self.tape(&format!("obstacle {}/radius", o.name), (from.x, from.y), (from.x + d / 2.0, from.y));
        }
    }

    /// The sheet, where a reading stands on it.
    fn done(self, out: &mut Vec<MeasuringSheet>) {
        if !self.sheet.readings.is_empty() {
            out.push(self.sheet);
        }
    }
}

/// One coordinate of the vehicle in a view.
#[derive(Clone, Copy)]
struct Axis {
    /// `x`, `y` or `z`.
    word: &'static str,
    /// It grows to the left or downwards on the sketch.
    turned: bool,
}

/// The two coordinates that a view shows.
struct Axes {
    across: Axis,
    up: Axis,
}

/// Seen from above, the front of the vehicle at the top.
const PLAN: Axes = Axes { across: Axis { word: "x", turned: false }, up: Axis { word: "y", turned: true } };
/// Seen from the side, the front of the vehicle at the left.
const SIDE: Axes = Axes { across: Axis { word: "y", turned: false }, up: Axis { word: "z", turned: false } };
/// Seen from behind.
const BEHIND: Axes = Axes { across: Axis { word: "x", turned: false }, up: Axis { word: "z", turned: false } };

impl Axes {
    /// Where a place is seen.
    fn seen(&self, p: Point3) -> Point {
        let along = |a: Axis| {
            let v = match a.word {
                "x" => p.x,
                "y" => p.y,
                _ => p.z,
            };
            if a.turned { -v } else { v }
        };
        Point::new(along(self.across), along(self.up))
    }
}

#[cfg(test)]
mod tests;
