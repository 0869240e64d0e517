//! An outline moved outwards or inwards by a distance, lines staying lines and arcs arcs.
//!
//! ```text
//!   1. each side is moved along its normal; a corner that opens gets an arc about it
//!   2. the moved sides are cut where they meet one another
//!   3. a piece nearer to the outline than the distance is thrown away: so go sides
//!      that their neighbours eat, and whatever two far sides eat of one another
//!   4. what is left is joined end to end; it must be one loop that runs the same way
//!
//!        ____________            closing corner: the moved sides      \ /
//!       |            \           cross, and both ends beyond the       X
//!       |   ______    |          crossing go                          / \
//!       |  |      |   |  <- arc of radius |by| where a corner opens
//! ```

use super::SAME_POINT_MM;
use super::meet::meets_itself;
use super::outline::{Arc, Loop, Segment, Side, Turn};
use super::point::Point;
use std::f64::consts::{PI, TAU};

/// A corner flatter than this is no corner, radians. Its moved sides are joined
/// in the middle; that errs by `|by| * angle^2 / 8`, far below [`SAME_POINT_MM`],
/// where the crossing of two such sides would be noise.
const SMOOTH_RAD: f64 = 1e-5;

/// How much nearer to the outline than the distance a piece may come, mm: above
/// the noise of double precision, below [`SAME_POINT_MM`].
const NEARER_MM: f64 = 1e-8;

/// The outline moved by `by_mm` mm: positive outwards, away from the enclosed
/// area, negative inwards, whichever way the outline runs. The result runs the
/// same way, and every point of it is `|by_mm|` from the outline.
///
/// # Formula
/// `P + by * n`, `n` the outward normal; an arc of radius `r` gets `r + by` when
/// it bulges outwards and `r - by` when inwards. For a convex outline of length
/// `p` the area grows by `p * by + pi * by^2` when `by` is positive.
/// # Source
/// Parallel curves; Derived here from the definition. Growth of area: Steiner's formula.
///
/// # Errors
/// A sentence when a number is not finite, when the outline meets itself or has
/// a cusp, and when nothing is left, more than one loop is left, or a bay closes.
pub fn offset(outline: &Loop, by_mm: f64) -> Result<Loop, String> {
    let finite = |s: &Side| s.to.is_finite() && s.arc.is_none_or(|a| a.centre.is_finite());
    if !by_mm.is_finite() || !outline.sides.iter().all(finite) {
        return Err("an outline is moved by finite numbers only".to_string());
    }
    if outline.area() < 0.0 {
        return offset(&outline.reversed(), by_mm).map(|l| l.reversed());
    }
    let sides: Vec<Segment> = outline.segments().into_iter().filter(|s| s.length() > SAME_POINT_MM).collect();
    if sides.is_empty() || outline.area() <= outline.perimeter() * SAME_POINT_MM {
        return Err("the outline encloses nothing".to_string());
    }
    if meets_itself(outline) {
        return Err("the outline meets itself".to_string());
    }
    if by_mm.abs() <= SAME_POINT_MM {
        return Ok(outline.clone());
    }
    let moved = moved_sides(&sides, by_mm)?;
    let mut nodes = Nodes::default();
    let mut pieces = cut(&moved, &mut nodes);
    pieces.retain(|p| {
        let middle = moved[p.of].point_at(p.middle(&moved));
        sides.iter().all(|s| s.distance(middle) >= by_mm.abs() - NEARER_MM)
    });
    drop_spurs(&mut pieces, &moved);
    let mut loops = joined(pieces, &moved, &nodes);
    loops.retain(|l| l.area().abs() > l.perimeter() * SAME_POINT_MM);
    let distance = by_mm.abs();
    match (loops.pop(), loops.is_empty()) {
        (None, _) => Err(format!("nothing is left of the outline {distance} mm inside it")),
        (Some(l), true) if l.area() > 0.0 && !meets_itself(&l) => Ok(l),
        (Some(_), true) => Err(format!("the outline moved by {by_mm} mm turns over or meets itself")),
        (Some(_), false) if by_mm > 0.0 => {
            Err(format!("a bay of the outline closes when it is moved out {distance} mm"))
        }
        (Some(_), false) => Err(format!("the outline falls apart when it is moved in {distance} mm")),
    }
}

/// Each side moved, with the arcs of the corners that open; sides that vanish left out.
fn moved_sides(sides: &[Segment], by: f64) -> Result<Vec<Segment>, String> {
    let n = sides.len();
    let ends: Vec<(Point, Point)> = sides.iter().map(tangents).collect();
    // Ends of the moved sides, before a side is built from them: a smooth joint moves both.
    let mut from: Vec<Point> = (0..n).map(|i| sides[i].from() + outward(ends[i].0) * by).collect();
    let mut to: Vec<Point> = (0..n).map(|i| sides[i].to() + outward(ends[i].1) * by).collect();
    let mut joins: Vec<Option<Segment>> = vec![None; n];
    for i in 0..n {
        let j = (i + 1) % n;
        let (u, v) = (ends[i].1, ends[j].0);
        let turn = libm::atan2(u.cross(v), u.dot(v));
        if turn.abs() > PI - SMOOTH_RAD {
            return Err("the outline turns straight back on itself".to_string());
        }
        if turn.abs() < SMOOTH_RAD {
            let middle = (to[i] + from[j]) * 0.5;
            (to[i], from[j]) = (middle, middle);
        } else if turn * by > 0.0 {
            let centre = sides[i].to();
            let start_angle = (to[i] - centre).angle();
            joins[i] =
                Some(Segment::Arc { from: to[i], to: from[j], centre, radius: by.abs(), start_angle, sweep: turn });
        }
    }
    let mut out = vec![];
    for i in 0..n {
        match sides[i] {
            Segment::Line { .. } => out.push(Segment::Line { from: from[i], to: to[i] }),
            Segment::Arc { centre, radius, start_angle, sweep, .. } => {
                let radius = radius + by * sweep.signum();
                // Below a quarter its ends, and those of its neighbours, are one point.
                if radius > SAME_POINT_MM / 4.0 {
                    let (a, b) = ((from[i] - centre).angle(), (to[i] - centre).angle());
                    // A smooth joint moved its ends a little round the centre.
                    let sweep = sweep + small(b - start_angle - sweep) - small(a - start_angle);
                    out.push(Segment::Arc { from: from[i], to: to[i], centre, radius, start_angle: a, sweep });
                }
            }
        }
        out.extend(joins[i]);
    }
    Ok(out)
}

/// An angle that is small but for full turns, radians.
fn small(angle: f64) -> f64 {
    angle - TAU * libm::round(angle / TAU)
}

/// Directions of travel at the start and at the end of a side, unit vectors.
fn tangents(s: &Segment) -> (Point, Point) {
    match *s {
        Segment::Line { from, to } => ((to - from).unit(), (to - from).unit()),
        Segment::Arc { start_angle, sweep, .. } => {
            let at = |a: f64| Point::at_angle(a + PI / 2.0 * sweep.signum());
            (at(start_angle), at(start_angle + sweep))
        }
    }
}

/// Outwards from a counter-clockwise outline: to the right of the way.
fn outward(tangent: Point) -> Point {
    Point::new(tangent.y, -tangent.x)
}

/// Ends of pieces; points nearer than [`SAME_POINT_MM`] are one.
#[derive(Default)]
struct Nodes(Vec<Point>);

impl Nodes {
    fn id(&mut self, p: Point) -> usize {
        self.0.iter().position(|q| q.distance(p) < SAME_POINT_MM).unwrap_or_else(|| {
            self.0.push(p);
            self.0.len() - 1
        })
    }
}

/// A stretch of a moved side between two places where it may be cut.
#[derive(Clone, Copy)]
struct Piece {
    /// Which moved side.
    of: usize,
    /// Nodes at its ends.
    from: usize,
    to: usize,
    /// Where it begins and ends on that side, mm from the side's start.
    begin: f64,
    end: f64,
}

impl Piece {
    /// Its middle as fraction of its side.
    fn middle(&self, moved: &[Segment]) -> f64 {
        (self.begin + self.end) / 2.0 / moved[self.of].length()
    }

    /// Direction of travel `at_mm` mm along its side, unit vector.
    fn tangent(&self, moved: &[Segment], at_mm: f64) -> Point {
        match moved[self.of] {
            Segment::Line { from, to } => (to - from).unit(),
            Segment::Arc { radius, start_angle, sweep, .. } => {
                let turn = sweep.signum();
                Point::at_angle(start_angle + turn * (at_mm / radius + PI / 2.0))
            }
        }
    }
}

/// The moved sides cut where they meet one another.
fn cut(moved: &[Segment], nodes: &mut Nodes) -> Vec<Piece> {
    // Ends first: they are the exact ones that a cut close by falls to.
    let ends: Vec<(usize, usize)> = moved.iter().map(|s| (nodes.id(s.from()), nodes.id(s.to()))).collect();
    let mut places: Vec<Vec<(f64, usize)>> =
        moved.iter().zip(&ends).map(|(s, e)| vec![(0.0, e.0), (s.length(), e.1)]).collect();
    for i in 0..moved.len() {
        for j in i + 1..moved.len() {
            for p in moved[i].meets(&moved[j]) {
                let node = nodes.id(p);
                for k in [i, j] {
                    places[k].extend(moved[k].along(p).map(|at| (at, node)));
                }
            }
        }
    }
    let mut pieces = vec![];
    for (of, mut at) in places.into_iter().enumerate() {
        at.sort_by(|a, b| a.0.total_cmp(&b.0));
        // A full circle begins and ends in one node, so length counts too.
        at.dedup_by(|b, a| a.1 == b.1 && b.0 - a.0 < 4.0 * SAME_POINT_MM);
        let piece = |w: &[(f64, usize)]| Piece { of, from: w[0].1, to: w[1].1, begin: w[0].0, end: w[1].0 };
        pieces.extend(at.windows(2).map(piece));
    }
    pieces
}

/// Throws away stretches that run to and fro over the same ground, and those
/// that lead from nowhere or to nowhere, until none is left.
fn drop_spurs(pieces: &mut Vec<Piece>, moved: &[Segment]) {
    let middle = |p: &Piece| moved[p.of].point_at(p.middle(moved));
    let back = |p: &Piece, q: &Piece| {
        p.from == q.to && p.to == q.from && p.of != q.of && middle(p).distance(middle(q)) < SAME_POINT_MM
    };
    let all = pieces.clone();
    pieces.retain(|p| !all.iter().any(|q| back(p, q)));
    loop {
        let all = pieces.clone();
        pieces.retain(|p| all.iter().any(|q| q.to == p.from) && all.iter().any(|q| q.from == p.to));
        if pieces.len() == all.len() {
            return;
        }
    }
}

/// The pieces end to end as loops. Where ways part the one farthest to the left
/// is taken, so that loops which touch come out apart.
fn joined(mut pieces: Vec<Piece>, moved: &[Segment], nodes: &Nodes) -> Vec<Loop> {
    let mut loops = vec![];
    while let Some(first) = pieces.pop() {
        let mut run = vec![first];
        let mut last = first;
        while last.to != first.from {
            let way = last.tangent(moved, last.end);
            let left = |p: &Piece| {
                let t = p.tangent(moved, p.begin);
                libm::atan2(way.cross(t), way.dot(t))
            };
            let next = (0..pieces.len())
                .filter(|&k| pieces[k].from == last.to)
                .max_by(|&a, &b| left(&pieces[a]).total_cmp(&left(&pieces[b])));
            let Some(next) = next else { break };
            last = pieces.swap_remove(next);
            run.push(last);
        }
        if last.to == first.from {
            loops.push(to_loop(run, moved, nodes));
        }
    }
    loops
}

/// A run of pieces as a loop; neighbours on the same side become one side again.
fn to_loop(mut run: Vec<Piece>, moved: &[Segment], nodes: &Nodes) -> Loop {
    let follows = |a: &Piece, b: &Piece| a.of == b.of && (a.end - b.begin).abs() < SAME_POINT_MM;
    // Begin at the end of a side, at the earliest one, so that the order of the
    // outline stays and no side is in two halves.
    let first = (0..run.len()).min_by_key(|&k| (follows(&run[(k + run.len() - 1) % run.len()], &run[k]), run[k].of));
    run.rotate_left(first.unwrap_or(0));
    let mut whole: Vec<Piece> = vec![];
    for p in run {
        match whole.last_mut() {
            Some(last) if follows(last, &p) => (last.to, last.end) = (p.to, p.end),
            _ => whole.push(p),
        }
    }
    let side = |p: &Piece| {
        let arc = match moved[p.of] {
            // An arc that is hardly longer than its ends are true could turn the long way round.
            Segment::Arc { centre, sweep, .. } if p.end - p.begin > 10.0 * SAME_POINT_MM => {
                Some(Arc { centre, turn: if sweep > 0.0 { Turn::Left } else { Turn::Right } })
            }
            _ => None,
        };
        Side { to: nodes.0[p.to], arc }
    };
    Loop { sides: whole.iter().map(side).collect() }
}

#[cfg(test)]
mod tests;
