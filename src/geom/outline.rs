//! Closed outlines of straight sides and true arcs, with exact area and centroid.

use super::point::{Bounds, Point};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Which way an arc runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// Counter-clockwise.
    Left,
    /// Clockwise.
    Right,
}

/// The round part of a side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// Centre, mm.
    pub centre: Point,
    /// Which way it runs from its start to its end.
    pub turn: Turn,
}

/// One side of a loop: from where the last side ended to `to`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side {
    /// End point, mm.
    pub to: Point,
    /// An arc, or `None` for a straight side.
    pub arc: Option<Arc>,
}

/// A side with its start, ready to compute with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// A straight piece.
    Line {
        /// Start, mm.
        from: Point,
        /// End, mm.
        to: Point,
    },
    /// A piece of a circle.
    Arc {
        /// Start, mm.
        from: Point,
        /// End, mm.
        to: Point,
        /// Centre, mm.
        centre: Point,
        /// Radius, mm, positive.
        radius: f64,
        /// Direction from the centre to the start, radians.
        start_angle: f64,
        /// Signed sweep, radians, counter-clockwise positive, never zero.
        sweep: f64,
    },
}

impl Segment {
    /// Start, mm.
    pub fn from(&self) -> Point {
        match *self {
            Segment::Line { from, .. } | Segment::Arc { from, .. } => from,
        }
    }
    /// End, mm.
    pub fn to(&self) -> Point {
        match *self {
            Segment::Line { to, .. } | Segment::Arc { to, .. } => to,
        }
    }
    /// Length along the side, mm.
    pub fn length(&self) -> f64 {
        match *self {
            Segment::Line { from, to } => from.distance(to),
            Segment::Arc { radius, sweep, .. } => radius * sweep.abs(),
        }
    }
    /// The point at fraction `f` (0 start, 1 end).
    pub fn point_at(&self, f: f64) -> Point {
        match *self {
            Segment::Line { from, to } => from + (to - from) * f,
            Segment::Arc { centre, radius, start_angle, sweep, .. } => {
                centre + Point::at_angle(start_angle + sweep * f) * radius
            }
        }
    }
    /// Shortest distance from a point to the side, mm.
    pub fn distance(&self, p: Point) -> f64 {
        match *self {
            Segment::Line { from, to } => {
                let d = to - from;
                let l2 = d.dot(d);
                let f = if l2 == 0.0 { 0.0 } else { ((p - from).dot(d) / l2).clamp(0.0, 1.0) };
                p.distance(from + d * f)
            }
            Segment::Arc { from, to, centre, radius, start_angle, sweep } => {
                let a = (p - centre).angle();
                let along =
                    if sweep > 0.0 { (a - start_angle).rem_euclid(TAU) } else { (start_angle - a).rem_euclid(TAU) };
                if along <= sweep.abs() {
                    (p.distance(centre) - radius).abs()
                } else {
                    p.distance(from).min(p.distance(to))
                }
            }
        }
    }
}

/// A closed outline. The first side starts where the last one ends.
/// Counter-clockwise loops have positive area.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Loop {
    /// The sides in order.
    pub sides: Vec<Side>,
}

impl Loop {
    /// A loop from straight corners.
    pub fn straight(corners: &[Point]) -> Loop {
        let sides = corners.iter().cycle().skip(1).take(corners.len()).map(|&to| Side { to, arc: None }).collect();
        Loop { sides }
    }

    /// Where the first side starts, mm. The origin for an empty loop.
    pub fn start(&self) -> Point {
        self.sides.last().map_or(Point::default(), |s| s.to)
    }

    /// The sides with their starts.
    pub fn segments(&self) -> Vec<Segment> {
        let mut from = self.start();
        self.sides
            .iter()
            .map(|s| {
                let seg = segment(from, *s);
                from = s.to;
                seg
            })
            .collect()
    }

    /// The same loop with no arc over a quarter turn (solids and paper need that).
    pub fn quartered(&self) -> Loop {
        let mut sides = vec![];
        for seg in self.segments() {
            match seg {
                Segment::Line { to, .. } => sides.push(Side { to, arc: None }),
                Segment::Arc { to, centre, sweep, .. } => {
                    let n = (sweep.abs() / FRAC_PI_2 - 1e-9).ceil().max(1.0) as usize;
                    let turn = if sweep > 0.0 { Turn::Left } else { Turn::Right };
                    for i in 1..=n {
                        let end = if i == n { to } else { seg.point_at(i as f64 / n as f64) };
                        sides.push(Side { to: end, arc: Some(Arc { centre, turn }) });
                    }
                }
            }
        }
        Loop { sides }
    }

    /// Signed area, mm2, exact for arcs: positive when counter-clockwise.
    pub fn area(&self) -> f64 {
        self.moments().0
    }

    /// Centroid of the enclosed area, mm.
    pub fn centroid(&self) -> Point {
        let (a, mx, my) = self.moments();
        if a == 0.0 { self.start() } else { Point::new(mx / a, my / a) }
    }

    /// (area, integral of x, integral of y) by Green's theorem: polygon on the
    /// chords plus circular segments.
    fn moments(&self) -> (f64, f64, f64) {
        let (mut area, mut mx, mut my) = (0.0, 0.0, 0.0);
        for s in self.segments() {
            let (p, q) = (s.from(), s.to());
            let c = p.cross(q);
            area += c / 2.0;
            mx += c * (p.x + q.x) / 6.0;
            my += c * (p.y + q.y) / 6.0;
            if let Segment::Arc { centre, radius, start_angle, sweep, .. } = s {
                let t = sweep.abs();
                let cap = radius * radius / 2.0 * (t - libm::sin(t));
                let half = libm::sin(t / 2.0);
                let out = if cap == 0.0 { 0.0 } else { 4.0 * radius * half * half * half / (3.0 * (t - libm::sin(t))) };
                let at = centre + Point::at_angle(start_angle + sweep / 2.0) * out;
                let signed = cap * sweep.signum();
                area += signed;
                mx += signed * at.x;
                my += signed * at.y;
            }
        }
        (area, mx, my)
    }

    /// Length all the way round, mm.
    pub fn perimeter(&self) -> f64 {
        self.segments().iter().map(Segment::length).sum()
    }

    /// The smallest upright box round it.
    pub fn bounds(&self) -> Option<Bounds> {
        let mut points = vec![];
        for s in self.segments() {
            points.push(s.to());
            if let Segment::Arc { centre, radius, start_angle, sweep, .. } = s {
                for k in 0..4 {
                    let a = k as f64 * FRAC_PI_2;
                    let along =
                        if sweep > 0.0 { (a - start_angle).rem_euclid(TAU) } else { (start_angle - a).rem_euclid(TAU) };
                    if along <= sweep.abs() {
                        points.push(centre + Point::at_angle(a) * radius);
                    }
                }
            }
        }
        Bounds::of(points)
    }

    /// Run the other way round.
    pub fn reversed(&self) -> Loop {
        let segs = self.segments();
        let sides = segs
            .iter()
            .rev()
            .map(|s| match *s {
                Segment::Line { from, .. } => Side { to: from, arc: None },
                Segment::Arc { from, centre, sweep, .. } => {
                    let turn = if sweep > 0.0 { Turn::Right } else { Turn::Left };
                    Side { to: from, arc: Some(Arc { centre, turn }) }
                }
            })
            .collect();
        Loop { sides }
    }

    /// Each point moved by `f`; `flips` says that `f` mirrors, so that arcs turn
    /// the other way. Only for moves, turns and mirrors.
    fn mapped(&self, flips: bool, f: impl Fn(Point) -> Point) -> Loop {
        let turn = |t: Turn| match (t, flips) {
            (t, false) => t,
            (Turn::Left, true) => Turn::Right,
            (Turn::Right, true) => Turn::Left,
        };
        let sides = self
            .sides
            .iter()
            .map(|s| Side { to: f(s.to), arc: s.arc.map(|a| Arc { centre: f(a.centre), turn: turn(a.turn) }) })
            .collect();
        Loop { sides }
    }

    /// Moved by a vector, mm.
    pub fn moved(&self, by: Point) -> Loop {
        self.mapped(false, |p| p + by)
    }

    /// Everything beyond x = `from` moved along x by `by`, mm; `None` if an arc
    /// crosses that line, for it would not stay one.
    pub fn stretched(&self, from: f64, by: f64) -> Option<Loop> {
        let whole = self
            .segments()
            .iter()
            .zip(&self.sides)
            .all(|(segment, side)| side.arc.is_none() || (segment.from().x > from) == (segment.to().x > from));
        let shift = |p: Point, beyond: bool| if beyond { Point::new(p.x + by, p.y) } else { p };
        whole.then(|| {
            let mut out = self.clone();
            let mut last = self.start();
            for side in &mut out.sides {
                let beyond = last.x > from;
                last = side.to;
                side.to = shift(side.to, side.to.x > from);
                if let Some(arc) = &mut side.arc {
                    arc.centre = shift(arc.centre, beyond);
                }
            }
            out
        })
    }

    /// Turned about the origin, radians counter-clockwise.
    pub fn turned(&self, angle_rad: f64) -> Loop {
        self.mapped(false, |p| p.turned(angle_rad))
    }

    /// Mirrored left to right about the line x = `about_x`, still counter-clockwise.
    pub fn mirrored(&self, about_x: f64) -> Loop {
        self.mapped(true, |p| Point::new(2.0 * about_x - p.x, p.y)).reversed()
    }

    /// Mirrored bottom to top about the line y = `about_y`, still counter-clockwise.
    pub fn flipped(&self, about_y: f64) -> Loop {
        self.mapped(true, |p| Point::new(p.x, 2.0 * about_y - p.y)).reversed()
    }

    /// Shortest distance from a point to the outline, mm.
    pub fn distance(&self, p: Point) -> f64 {
        self.segments().iter().map(|s| s.distance(p)).fold(f64::INFINITY, f64::min)
    }

    /// Straight corners that stay within `chord_mm` of the true outline.
    pub fn flattened(&self, chord_mm: f64) -> Vec<Point> {
        let mut out = vec![];
        for s in self.segments() {
            match s {
                Segment::Line { from, .. } => out.push(from),
                Segment::Arc { radius, sweep, .. } => {
                    let step = 2.0 * libm::acos((1.0 - chord_mm / radius).clamp(-1.0, 1.0));
                    let n = (sweep.abs() / step.max(1e-3)).ceil().max(1.0) as usize;
                    out.extend((0..n).map(|i| s.point_at(i as f64 / n as f64)));
                }
            }
        }
        out
    }
}

fn segment(from: Point, side: Side) -> Segment {
    match side.arc {
        None => Segment::Line { from, to: side.to },
        Some(Arc { centre, turn }) => {
            let start_angle = (from - centre).angle();
            let end_angle = (side.to - centre).angle();
            let mut sweep = match turn {
                Turn::Left => (end_angle - start_angle).rem_euclid(TAU),
                Turn::Right => -(start_angle - end_angle).rem_euclid(TAU),
            };
            // An arc that ends where it starts is a full turn, not nothing; one
            // that ends a hair before its start by noise likewise.
            if sweep.abs() < 1e-9 {
                sweep = if turn == Turn::Left { TAU } else { -TAU };
            }
            Segment::Arc { from, to: side.to, centre, radius: from.distance(centre), start_angle, sweep }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{circle, rectangle, slot};
    use std::f64::consts::PI;

    #[test]
    fn area_and_centroid_of_a_circle_are_exact() {
        let c = circle(Point::new(3.0, -2.0), 10.0);
        assert!((c.area() - PI * 25.0).abs() < 1e-9);
        assert!(c.centroid().distance(Point::new(3.0, -2.0)) < 1e-9);
        assert!((c.perimeter() - PI * 10.0).abs() < 1e-9);
    }

    #[test]
    fn mirrored_keeps_area_and_turn() {
        let s = slot(Point::new(5.0, 1.0), 20.0, 8.0, 0.3);
        let m = s.mirrored(0.0);
        assert!((s.area() - m.area()).abs() < 1e-9);
        assert!((m.centroid().x + 5.0).abs() < 1e-9);
    }

    #[test]
    fn bounds_take_the_bulge_of_arcs() {
        let b = slot(Point::default(), 20.0, 8.0, 0.0).bounds().unwrap();
        assert!((b.width() - 20.0).abs() < 1e-9 && (b.height() - 8.0).abs() < 1e-9);
    }

    #[test]
    fn reversed_has_the_opposite_area() {
        let r = rectangle(Point::default(), 10.0, 4.0, 1.0);
        assert!((r.area() + r.reversed().area()).abs() < 1e-9);
        assert!((r.area() - (40.0 - (4.0 - PI))).abs() < 1e-9);
    }
}
