//! Visible bits joined to lines.

use crate::drawing::LineType;
use crate::geom::Point;
use std::collections::BTreeMap;

/// What a stroke stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pen {
    /// Outline of something that is there already.
    Faint,
    /// Where a flat runs into a round.
    Tangent,
    /// A visible edge or the limit of a round face.
    Edge,
}

impl Pen {
    /// The line it is drawn with.
    ///
    /// # Source
    /// ISO 128-2:2020: 01.2 for visible edges, 01.1 for imaginary lines of
    /// intersection, 05.1 for outlines of adjacent parts (uses from memory).
    pub fn line(self) -> LineType {
        match self {
            Pen::Faint => LineType::LongDashTwoDots,
            Pen::Tangent => LineType::Narrow,
            Pen::Edge => LineType::Wide,
        }
    }
}

/// An open line of the picture, mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// What it stands for.
    pub pen: Pen,
    /// Its corners.
    pub points: Vec<Point>,
}

/// Ends nearer than this are one point, mm.
const SAME_MM: f64 = 1e-3;
/// Bits are joined while the line turns by less than this: cos of 45 deg.
const GOES_ON_COS: f64 = 0.7;

/// A point on the grid of [`SAME_MM`].
type Node = (i64, i64);

fn node(p: Point) -> Node {
    ((p.x / SAME_MM).round() as i64, (p.y / SAME_MM).round() as i64)
}

/// Bits joined end to end, each bit drawn once; faint lines first.
pub(super) fn chained(spans: Vec<(Pen, Point, Point)>) -> Vec<Stroke> {
    // The same bit twice (two edges in one place) is one.
    let mut unique: BTreeMap<(Pen, Node, Node), (Point, Point)> = BTreeMap::new();
    for (pen, a, b) in spans {
        let (na, nb) = (node(a), node(b));
        if na != nb {
            let (key, value) = if na < nb { ((pen, na, nb), (a, b)) } else { ((pen, nb, na), (b, a)) };
            unique.entry(key).or_insert(value);
        }
    }
    let bits: Vec<(Pen, Point, Point)> = unique.into_iter().map(|((pen, ..), (a, b))| (pen, a, b)).collect();
    let mut at: BTreeMap<(Pen, Node), Vec<usize>> = BTreeMap::new();
    for (i, (pen, a, b)) in bits.iter().enumerate() {
        at.entry((*pen, node(*a))).or_default().push(i);
        at.entry((*pen, node(*b))).or_default().push(i);
    }
    let mut used = vec![false; bits.len()];
    let mut out = vec![];
    for i in 0..bits.len() {
        if used[i] {
            continue;
        }
        used[i] = true;
        let (pen, a, b) = bits[i];
        let mut points = vec![a, b];
        for _ in 0..2 {
            while let Some(p) = next(&bits, &at, &mut used, pen, &points) {
                points.push(p);
            }
            points.reverse();
        }
        out.push(Stroke { pen, points: straightened(points) });
    }
    out
}

/// The far end of a bit that carries the line on, if there is just one such.
fn next(
    bits: &[(Pen, Point, Point)],
    at: &BTreeMap<(Pen, Node), Vec<usize>>,
    used: &mut [bool],
    pen: Pen,
    points: &[Point],
) -> Option<Point> {
    let end = *points.last()?;
    let came = (end - points[points.len() - 2]).unit();
    let mut best: Option<(f64, usize, Point)> = None;
    for &i in at.get(&(pen, node(end)))? {
        let (_, a, b) = bits[i];
        let far = if node(a) == node(end) { b } else { a };
        let cos = came.dot((far - end).unit());
        if !used[i] && cos > GOES_ON_COS && best.is_none_or(|(c, ..)| cos > c) {
            best = Some((cos, i, far));
        }
    }
    let (_, i, far) = best?;
    used[i] = true;
    Some(far)
}

/// Without the points that lie on a straight run.
fn straightened(points: Vec<Point>) -> Vec<Point> {
    let mut out: Vec<Point> = vec![];
    for p in points {
        if out.len() >= 2 {
            let (a, b) = (out[out.len() - 2], out[out.len() - 1]);
            let run = (p - a).unit();
            if run.cross(b - a).abs() < SAME_MM && run.dot(b - a) > 0.0 && run.dot(p - b) > 0.0 {
                out.pop();
            }
        }
        out.push(p);
    }
    out
}
