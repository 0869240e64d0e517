//! A piece of steel in hand: an outline with holes, divided by through cuts.
//!
//! Everything is exact but for one thing: where a cut crosses a slanted edge
//! the crossing is moved into the steel, to the next whole nanometre.

use std::cmp::Ordering;

/// A corner, nm.
pub(super) type Point = (i64, i64);

/// Left, lower, right and upper edge of a box, nm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Span {
    pub low: Point,
    pub high: Point,
}

impl Span {
    /// A corner's coordinate: 0 along x, 1 along y.
    pub fn low(&self, axis: usize) -> i64 {
        coordinate(self.low, axis)
    }

    /// The far edge along an axis.
    pub fn high(&self, axis: usize) -> i64 {
        coordinate(self.high, axis)
    }

    /// Extent along an axis.
    pub fn extent(&self, axis: usize) -> i64 {
        self.high(axis) - self.low(axis)
    }

    /// Area, square nanometres.
    pub fn area(&self) -> i128 {
        i128::from(self.extent(0)) * i128::from(self.extent(1))
    }

    /// Larger by so much on all sides.
    pub fn grown(&self, by: i64) -> Span {
        Span { low: (self.low.0 - by, self.low.1 - by), high: (self.high.0 + by, self.high.1 + by) }
    }

    /// Another box lies within this one.
    pub fn covers(&self, other: &Span) -> bool {
        (0..2).all(|a| self.low(a) <= other.low(a) && other.high(a) <= self.high(a))
    }
}

/// A piece of steel: outline counter-clockwise, holes clockwise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Piece {
    pub outline: Vec<Point>,
    pub holes: Vec<Vec<Point>>,
}

/// Where an outline crosses the line of a cut.
struct Crossing {
    /// Along the line: `top / below`, `below` above 0.
    top: i128,
    below: i128,
    /// Slope of the edge that crosses: `rise / run`, `run` above 0.
    rise: i128,
    run: i128,
    chain: usize,
    ends: bool,
}

pub(super) fn coordinate(point: Point, axis: usize) -> i64 {
    if axis == 0 { point.0 } else { point.1 }
}

fn cross(a: Point, b: Point, p: Point) -> i128 {
    let d = |u: i64, v: i64| i128::from(u) - i128::from(v);
    d(b.0, a.0) * d(p.1, a.1) - d(b.1, a.1) * d(p.0, a.0)
}

/// Twice the area of a ring, positive if counter-clockwise.
pub(super) fn twice_area(ring: &[Point]) -> i128 {
    edges(ring).map(|(a, b)| i128::from(a.0) * i128::from(b.1) - i128::from(a.1) * i128::from(b.0)).sum()
}

/// The edges of a ring, corner to next corner.
pub(super) fn edges(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()]))
}

/// Two edges have a point in common.
pub(super) fn touch(a: (Point, Point), b: (Point, Point)) -> bool {
    let side = |v: i128| v.signum();
    let over = |axis: usize| {
        let (c, d) = (coordinate(a.0, axis), coordinate(a.1, axis));
        let (e, f) = (coordinate(b.0, axis), coordinate(b.1, axis));
        c.min(d) <= e.max(f) && e.min(f) <= c.max(d)
    };
    over(0)
        && over(1)
        && side(cross(a.0, a.1, b.0)) * side(cross(a.0, a.1, b.1)) <= 0
        && side(cross(b.0, b.1, a.0)) * side(cross(b.0, b.1, a.1)) <= 0
}

/// A point, given in half units, lies in a ring (even-odd rule).
pub(super) fn inside(ring: &[Point], twice: Point) -> bool {
    let double = |p: Point| (2 * p.0, 2 * p.1);
    let mut within = false;
    for (a, b) in edges(ring).map(|(a, b)| (double(a), double(b))) {
        if (a.1 > twice.1) != (b.1 > twice.1) {
            let (low, high) = if a.1 < b.1 { (a, b) } else { (b, a) };
            within ^= cross(low, high, twice) > 0;
        }
    }
    within
}

/// An edge runs through the inside of a box.
fn runs_through(a: Point, b: Point, s: &Span) -> bool {
    if a.0.max(b.0) <= s.low.0 || a.0.min(b.0) >= s.high.0 || a.1.max(b.1) <= s.low.1 || a.1.min(b.1) >= s.high.1 {
        return false;
    }
    let corners = [s.low, (s.high.0, s.low.1), s.high, (s.low.0, s.high.1)];
    let sides = corners.map(|c| cross(a, b, c));
    sides.iter().any(|v| *v > 0) && sides.iter().any(|v| *v < 0)
}

/// Drops corners that lie on the line through their neighbours.
fn tidy(ring: Vec<Point>) -> Vec<Point> {
    let mut ring = ring;
    loop {
        let n = ring.len();
        if n < 3 {
            return Vec::new();
        }
        let flat = (0..n).find(|&i| cross(ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]) == 0);
        match flat {
            Some(i) => ring.remove(i),
            None => return ring,
        };
    }
}

impl Piece {
    /// An outline and holes, turned the right way round.
    pub fn new(outline: &[Point], holes: &[Vec<Point>]) -> Piece {
        let turned = |ring: &[Point], positive: bool| {
            let mut ring = tidy(ring.to_vec());
            if (twice_area(&ring) > 0) != positive {
                ring.reverse();
            }
            ring
        };
        Piece { outline: turned(outline, true), holes: holes.iter().map(|h| turned(h, false)).collect() }
    }

    /// All rings, the outline first.
    pub fn rings(&self) -> impl Iterator<Item = &Vec<Point>> {
        std::iter::once(&self.outline).chain(&self.holes)
    }

    /// The box around it.
    pub fn span(&self) -> Span {
        let bound = |pick: fn(&Point) -> i64| {
            let all = || self.outline.iter().map(pick);
            (all().min().unwrap_or(0), all().max().unwrap_or(0))
        };
        let (x, y) = (bound(|p| p.0), bound(|p| p.1));
        Span { low: (x.0, y.0), high: (x.1, y.1) }
    }

    /// Twice the area of steel, square nanometres.
    pub fn twice_area(&self) -> i128 {
        self.rings().map(|r| twice_area(r)).sum()
    }

    /// It is a rectangle with no hole.
    pub fn is_rectangle(&self) -> bool {
        self.holes.is_empty() && self.outline.len() == 4 && self.twice_area() == 2 * self.span().area()
    }

    /// A box lies in the steel; its edges may lie on the outline.
    pub fn holds(&self, s: &Span) -> bool {
        if !self.span().covers(s) {
            return false;
        }
        let clear = self.rings().all(|r| edges(r).all(|(a, b)| !runs_through(a, b, s)));
        let middle = (s.low.0 + s.high.0, s.low.1 + s.high.1);
        clear && inside(&self.outline, middle) && !self.holes.iter().any(|h| inside(h, middle))
    }

    /// The first and the last point of the piece on the line of a cut.
    pub fn on_line(&self, axis: usize, at: i64) -> Option<(i64, i64)> {
        let mut range: Option<(i64, i64)> = None;
        for (a, b) in edges(&self.outline) {
            let (u, v) = (coordinate(a, axis), coordinate(b, axis));
            if u.min(v) > at || u.max(v) < at {
                continue;
            }
            let (s, t) = (coordinate(a, 1 - axis), coordinate(b, 1 - axis));
            let met = if u == v {
                (s.min(t), s.max(t))
            } else {
                let (top, below) = ratio((u, s), (v, t), at);
                (top.div_euclid(below) as i64, -((-top).div_euclid(below)) as i64)
            };
            range = Some(range.map_or(met, |r| (r.0.min(met.0), r.1.max(met.1))));
        }
        range
    }

    /// What a cut leaves: the pieces before the mark, then those behind the blade.
    pub fn cut(&self, axis: usize, at: i64, kerf: i64) -> Vec<Piece> {
        let mut out = self.clip(axis, at, false);
        out.extend(self.clip(axis, at + kerf, true));
        out
    }

    /// The part of the piece on one side of a line, as separate pieces.
    fn clip(&self, axis: usize, at: i64, beyond: bool) -> Vec<Piece> {
        let sign = if beyond { -1 } else { 1 };
        let there = |p: Point| (sign * coordinate(p, axis), coordinate(p, 1 - axis));
        let back = |p: Point| if axis == 0 { (sign * p.0, p.1) } else { (p.1, sign * p.0) };
        let mirrored = beyond != (axis == 1);
        let flip = |ring: Vec<Point>| if mirrored { ring.into_iter().rev().collect() } else { ring };
        let rings: Vec<Vec<Point>> = self.rings().map(|r| flip(r.iter().map(|p| there(*p)).collect())).collect();
        let cut = below(&rings, sign * at);
        let cut = cut.into_iter().map(|r| tidy(flip(r.into_iter().map(back).collect())));
        assemble(cut.filter(|r| !r.is_empty()).collect())
    }
}

/// Where the edge from `p` to `q` has first coordinate `at`: its second one,
/// as a fraction with a positive lower part.
fn ratio(p: Point, q: Point, at: i64) -> (i128, i128) {
    let run = i128::from(q.0) - i128::from(p.0);
    let top = i128::from(p.1) * run + (i128::from(q.1) - i128::from(p.1)) * (i128::from(at) - i128::from(p.0));
    if run < 0 { (-top, -run) } else { (top, run) }
}

/// Outlines with the holes that lie in them.
fn assemble(rings: Vec<Vec<Point>>) -> Vec<Piece> {
    let (outer, holes): (Vec<_>, Vec<_>) = rings.into_iter().partition(|r| twice_area(r) > 0);
    let mut pieces: Vec<Piece> = outer.into_iter().map(|outline| Piece { outline, holes: Vec::new() }).collect();
    for hole in holes {
        let (a, b) = (hole[0], hole[1]);
        let middle = (a.0 + b.0, a.1 + b.1);
        if let Some(home) = pieces.iter_mut().find(|p| inside(&p.outline, middle)) {
            home.holes.push(hole);
        }
    }
    pieces.sort_by(|a, b| (a.span(), &a.outline).cmp(&(b.span(), &b.outline)));
    pieces
}

/// Rings clipped to first coordinates below a line. The line is thought of as
/// a hair lower, so that corners on it are beyond it: pieces that hang together
/// by nothing come apart.
fn below(rings: &[Vec<Point>], at: i64) -> Vec<Vec<Point>> {
    let mut whole = Vec::new();
    let mut chains: Vec<Vec<Point>> = Vec::new();
    let mut crossings: Vec<Crossing> = Vec::new();
    for ring in rings {
        let n = ring.len();
        let within = |i: usize| ring[i % n].0 < at;
        if (0..n).all(within) {
            whole.push(ring.clone());
            continue;
        }
        for start in (0..n).filter(|&i| !within(i) && within(i + 1)) {
            let mut end = start + 1;
            while within(end) {
                end += 1;
            }
            let chain = chains.len();
            crossings.push(crossing(ring[start], ring[(start + 1) % n], at, chain, false));
            crossings.push(crossing(ring[end % n], ring[(end - 1) % n], at, chain, true));
            chains.push((start + 1..end).map(|i| ring[i % n]).collect());
        }
    }
    whole.extend(join(&chains, crossings, at));
    whole
}

fn crossing(beyond: Point, within: Point, at: i64, chain: usize, ends: bool) -> Crossing {
    let (top, below) = ratio(within, beyond, at);
    let (rise, run) = (i128::from(beyond.1) - i128::from(within.1), i128::from(beyond.0) - i128::from(within.0));
    Crossing { top, below, rise, run, chain, ends }
}

/// Joins the ends of chains along the line; nothing if the outline is not one
/// that a line can be put through (never seen of a checked outline).
fn join(chains: &[Vec<Point>], mut crossings: Vec<Crossing>, at: i64) -> Vec<Vec<Point>> {
    let order = |a: &Crossing, b: &Crossing| -> Ordering {
        let here = (a.top * b.below).cmp(&(b.top * a.below));
        // A hair before the line, the steeper edge is lower.
        here.then_with(|| (b.rise * a.run).cmp(&(a.rise * b.run)))
    };
    crossings.sort_by(order);
    if crossings.len() % 2 == 1 {
        return Vec::new();
    }
    // For each chain: the chain that follows it, with the points between.
    let mut next: Vec<Option<(usize, Point, Point)>> = vec![None; chains.len()];
    for pair in crossings.chunks(2) {
        if pair[0].ends == pair[1].ends {
            return Vec::new();
        }
        let low = -((-pair[0].top).div_euclid(pair[0].below)) as i64;
        let high = (pair[1].top.div_euclid(pair[1].below) as i64).max(low);
        let points = [(at, low), (at, high)];
        let (from, to) = if pair[0].ends { (0, 1) } else { (1, 0) };
        next[pair[from].chain] = Some((pair[to].chain, points[from], points[to]));
    }
    let mut done = vec![false; chains.len()];
    let mut rings = Vec::new();
    for first in 0..chains.len() {
        let (mut chain, mut ring) = (first, Vec::new());
        while !done[chain] {
            done[chain] = true;
            ring.extend(&chains[chain]);
            let Some((follows, from, to)) = next[chain] else {
                return Vec::new();
            };
            ring.extend([from, to]);
            chain = follows;
        }
        if ring.len() > 2 {
            rings.push(ring);
        }
    }
    rings
}
