//! The line that a strap takes when it is pulled tight round a tank: straight
//! and round pieces from one ear to the other, and the convex outline by itself.
//!
//! ```text
//!   left ear o                         o right ear
//!            |   +-----------------+   |
//!            |   |      tank       |   |        the strap's middle line keeps liner and half
//!            |    \               /    |        its thickness off the tank, and goes straight
//!             \    `-------------'    /         over whatever is hollow
//!              `---------------------'
//! ```

use crate::geom::{Arc, Loop, Point, SAME_POINT_MM, Segment, Side, Turn};
use crate::units::Length;
use std::f64::consts::{FRAC_PI_2, TAU};

/// Directions nearer than this are one direction, radians.
const SAME_RAD: f64 = 1e-9;
/// A support is the larger one from here on, mm: below it they are the same.
const SAME_MM: f64 = 1e-9;

/// An ear this near to a straight side of the hull stands on it, mm: upright legs beside a flat wall do.
const ON_SIDE_MM: f64 = 1e-6;

/// A round piece of an outline that bulges outwards, by its directions; a sharp corner has no radius.
#[derive(Clone, Copy, Debug)]
struct Bulge {
    centre: Point,
    radius: f64,
    /// First outward direction, radians.
    from: f64,
    /// How far the directions go on counter-clockwise, radians.
    span: f64,
}

impl Bulge {
    /// A point that may be left in any direction.
    fn free(at: Point) -> Bulge {
        Bulge { centre: at, radius: 0.0, from: 0.0, span: TAU }
    }
    fn has(&self, t: f64) -> bool {
        self.span >= TAU - SAME_RAD || (t - self.from + SAME_RAD).rem_euclid(TAU) <= self.span + 2.0 * SAME_RAD
    }
    fn support(&self, u: Point) -> f64 {
        self.centre.dot(u) + self.radius
    }
    fn at(&self, t: f64) -> Point {
        self.centre + Point::at_angle(t) * self.radius
    }
}

/// The pieces of an outline that can lie on its hull, moved outwards.
fn bulges(outline: &Loop, out_mm: f64) -> Vec<Bulge> {
    let segments = outline.segments();
    let mut out = vec![];
    for (i, s) in segments.iter().enumerate() {
        if let Segment::Arc { centre, radius, start_angle, sweep, .. } = *s
            && sweep > 0.0
        {
            out.push(Bulge { centre, radius: radius + out_mm, from: start_angle, span: sweep });
        }
        let next = &segments[(i + 1) % segments.len()];
        let (before, after) = (heading(s, true), heading(next, false));
        let turn = libm::atan2(before.cross(after), before.dot(after));
        if turn > SAME_RAD {
            let from = before.angle() - FRAC_PI_2;
            out.push(Bulge { centre: s.to(), radius: out_mm, from, span: turn });
        }
    }
    out
}

/// Which way a piece runs at its end or at its start.
fn heading(s: &Segment, at_end: bool) -> Point {
    match *s {
        Segment::Line { from, to } => (to - from).unit(),
        Segment::Arc { start_angle, sweep, .. } => {
            let at = if at_end { start_angle + sweep } else { start_angle };
            Point::at_angle(at + FRAC_PI_2 * sweep.signum())
        }
    }
}

/// A run of directions in which one bulge is outermost.
#[derive(Clone, Copy, Debug)]
struct Run {
    of: usize,
    from: f64,
    to: f64,
}

/// The hull as runs, counter-clockwise.
///
/// # Formula
/// In the direction `u` the hull touches the bulge with the largest `c.u + r` among those that have `u` as an
/// outward direction; it changes where two are equal, `(ci - cj).u = rj - ri`, or where the directions of one end.
/// Derived here, no source needed.
fn runs(all: &[Bulge]) -> Vec<Run> {
    let mut turns = vec![0.0, TAU];
    for (i, a) in all.iter().enumerate() {
        turns.extend([a.from, a.from + a.span].map(|t| t.rem_euclid(TAU)));
        for b in &all[i + 1..] {
            let d = a.centre - b.centre;
            let ratio = (b.radius - a.radius) / d.length();
            if ratio.abs() <= 1.0 {
                let (base, half) = (d.angle(), libm::acos(ratio));
                turns.extend([base + half, base - half].map(|t| t.rem_euclid(TAU)));
            }
        }
    }
    turns.sort_by(f64::total_cmp);
    let outermost = |t: f64| {
        let u = Point::at_angle(t);
        let mut best: Option<(usize, f64)> = None;
        for (i, b) in all.iter().enumerate().filter(|b| b.1.has(t)) {
            let s = b.support(u);
            if best.is_none_or(|b| s > b.1 + SAME_MM) {
                best = Some((i, s));
            }
        }
        best.map(|b| b.0)
    };
    let mut out: Vec<Run> = vec![];
    for w in turns.windows(2).filter(|w| w[1] - w[0] > SAME_RAD) {
        let Some(of) = outermost((w[0] + w[1]) / 2.0) else { continue };
        match out.last_mut() {
            Some(r) if same(&all[r.of], &all[of]) => r.to = w[1],
            _ => out.push(Run { of, from: w[0], to: w[1] }),
        }
    }
    // The run that goes through direction nought was cut in two there.
    if out.len() > 1 && same(&all[out[0].of], &all[out[out.len() - 1].of]) {
        let last = out.pop().expect("there are two runs at least");
        out[0].from = last.from - TAU;
    }
    out
}

/// Two bulges on one circle are one.
fn same(a: &Bulge, b: &Bulge) -> bool {
    a.centre.distance(b.centre) < SAME_POINT_MM && (a.radius - b.radius).abs() < SAME_POINT_MM
}

/// The smallest convex outline round another one, counter-clockwise.
pub fn hull_of(outline: &Loop) -> Loop {
    let all = bulges(outline, 0.0);
    let runs = runs(&all);
    if let [one] = runs[..] {
        let b = &all[one.of];
        return crate::geom::circle(b.centre, 2.0 * b.radius);
    }
    let mut sides: Vec<Side> = vec![];
    for r in &runs {
        let b = &all[r.of];
        sides.push(Side { to: b.at(r.from), arc: None });
        if b.radius > SAME_POINT_MM {
            sides.push(Side { to: b.at(r.to), arc: Some(Arc { centre: b.centre, turn: Turn::Left }) });
        }
    }
    Loop { sides }
}

/// The middle line of a strap between its ears.
#[derive(Clone, Debug, PartialEq)]
pub struct StrapPath {
    /// Straight and round pieces, from the left ear under the tank to the right ear.
    pub pieces: Vec<Segment>,
    /// Length of them all.
    pub length: Length,
}

/// The tight line from the left ear under an outline to the right ear, `off` away from it: liner and half the
/// strap's thickness. Ears are points of the middle line, mm, in the outline's own plane.
///
/// # Errors
/// A sentence, where an ear lies inside of that line or the line touches nothing.
pub fn strap_path(outline: &Loop, off: Length, left: Point, right: Point) -> Result<StrapPath, String> {
    let mut all = bulges(outline, off.to_mm());
    let ears = (all.len(), all.len() + 1);
    all.extend([Bulge::free(left), Bulge::free(right)]);
    let mut runs = runs(&all);
    for ear in [ears.0, ears.1] {
        stand_on_side(&mut runs, &all, ear);
    }
    let of = |ear: usize| runs.iter().position(|r| r.of == ear);
    let Some((first, last)) = of(ears.0).zip(of(ears.1)) else {
        return Err("an ear lies inside of the strap's own line round the tank".to_string());
    };
    let mut pieces = vec![];
    let mut i = first;
    while i != last {
        let next = (i + 1) % runs.len();
        let (a, b) = (runs[i], runs[next]);
        let (from, to) = (all[a.of].at(a.to), all[b.of].at(b.from));
        if from.distance(to) > SAME_POINT_MM {
            pieces.push(Segment::Line { from, to });
        }
        if next != last {
            pieces.extend(round(&all[b.of], b));
        }
        i = next;
    }
    if pieces.len() < 2 {
        return Err("the strap does not touch the tank: its ears lie on the wrong side".to_string());
    }
    let length = pieces.iter().map(Segment::length).sum();
    Ok(StrapPath { pieces, length: Length::mm(length) })
}

/// An ear on a straight side of the hull, as beside a flat wall, is no corner of it: it gets a run without width.
fn stand_on_side(runs: &mut Vec<Run>, all: &[Bulge], ear: usize) {
    if runs.iter().any(|r| r.of == ear) {
        return;
    }
    let side = (0..runs.len()).find(|&i| {
        let (a, b) = (runs[i], runs[(i + 1) % runs.len()]);
        let side = Segment::Line { from: all[a.of].at(a.to), to: all[b.of].at(b.from) };
        side.distance(all[ear].centre) < ON_SIDE_MM
    });
    if let Some(i) = side {
        let t = runs[i].to;
        runs.insert(i + 1, Run { of: ear, from: t, to: t });
    }
}

/// The round piece of a run.
fn round(b: &Bulge, run: Run) -> Option<Segment> {
    let sweep = run.to - run.from;
    (b.radius * sweep > SAME_POINT_MM).then(|| Segment::Arc {
        from: b.at(run.from),
        to: b.at(run.to),
        centre: b.centre,
        radius: b.radius,
        start_angle: run.from,
        sweep,
    })
}
