//! A part's outline in each turn it may lie in, cut into convex pieces.

use crate::cut::shapes::Turning;
use crate::cut::shapes::grow::{hull, long_edge_directions};
use crate::cut::shapes::pieces::convex_pieces;
use crate::cut::shapes::ring::{P, Ring, around, edges, side};

/// Minutes of arc in a quarter turn.
pub(super) const QUARTER: u32 = 90 * 60;
/// Minutes of arc in a full turn.
const FULL: u32 = 4 * QUARTER;
/// Most edges that a part free to turn is laid flat on, besides quarter turns.
const MOST_FLATS: usize = 3;
/// Shortest edge worth laying flat, as a share of the box around the part.
const FLAT_SHARE: f64 = 0.25;
/// Turned outlines that differ less than this lie the same way, nm: outlines
/// given to a hundredth of a millimetre blur the symmetry of round parts, and
/// no torch cuts any closer.
const SAME: i64 = 20_000;
/// Most corners of a convex hole that parts are laid into: a round hole of more
/// loses 0.9 % of its radius.
const MOST_IN_HOLE: usize = 24;
/// Most angles taken from a list.
const MOST_TURNS: usize = 64;

/// A part as it lies, its own origin at the origin.
#[derive(Clone, Debug)]
pub(super) struct Form {
    /// Turn in minutes of arc, counter-clockwise.
    pub minutes: u32,
    pub lo: P,
    pub hi: P,
    /// Boxes around the holes that another part could lie in.
    pub bays: Vec<(P, P)>,
    /// Convex pieces with all holes filled.
    pub solid: Vec<Ring>,
    /// Convex pieces with those holes open, if there are any.
    pub open: Vec<Ring>,
    /// Outward directions of the long edges, rad.
    pub directions: Vec<f64>,
}

/// A point turned about the origin; exact in quarter turns, otherwise rounded
/// to whole nanometres (at most 0.71 nm off).
fn turned(p: P, minutes: u32) -> P {
    match minutes {
        0 => p,
        5_400 => P::new(-p.y, p.x),
        10_800 => P::new(-p.x, -p.y),
        16_200 => P::new(p.y, -p.x),
        _ => {
            let angle = f64::from(minutes) / f64::from(FULL) * std::f64::consts::TAU;
            let (sin, cos) = (libm::sin(angle), libm::cos(angle));
            let (x, y) = (p.x as f64, p.y as f64);
            P::new(libm::round(x * cos - y * sin) as i64, libm::round(x * sin + y * cos) as i64)
        }
    }
}

/// A ring turned about the origin.
pub(super) fn turned_ring(ring: &[P], minutes: u32) -> Ring {
    ring.iter().map(|&p| turned(p, minutes)).collect()
}

/// The turns that a part may lie in, minutes of arc, in the order of trial.
pub(super) fn turns(outer: &[P], turning: &Turning) -> Vec<u32> {
    let mut list = match turning {
        Turning::Fixed => vec![0],
        Turning::Grain => vec![0, 2 * QUARTER],
        Turning::Minutes(list) => list.iter().take(MOST_TURNS).map(|m| m % FULL).collect(),
        Turning::Free => {
            let mut all: Vec<u32> = (0..4).map(|q| q * QUARTER).collect();
            for flat in flats(outer) {
                all.extend((0..4).map(|q| flat + q * QUARTER));
            }
            all
        }
    };
    let mut seen = Vec::new();
    list.retain(|m| {
        !seen.contains(m) && {
            seen.push(*m);
            true
        }
    });
    list
}

/// Turns below a quarter that lay a long slanted edge along x or y.
fn flats(outer: &[P]) -> Vec<u32> {
    let (lo, hi) = around(outer);
    let size = libm::hypot((hi.x - lo.x) as f64, (hi.y - lo.y) as f64);
    let mut long: Vec<(f64, u32)> = Vec::new();
    for (a, b) in edges(outer) {
        let (x, y) = ((b.x - a.x) as f64, (b.y - a.y) as f64);
        let length = libm::hypot(x, y);
        let minutes = libm::round(-libm::atan2(y, x) / std::f64::consts::TAU * f64::from(FULL)) as i64;
        let minutes = minutes.rem_euclid(i64::from(QUARTER)) as u32;
        if length < FLAT_SHARE * size || minutes == 0 {
            continue;
        }
        match long.iter_mut().find(|l| l.1 == minutes) {
            Some(same) => same.0 += length,
            None => long.push((length, minutes)),
        }
    }
    long.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    long.truncate(MOST_FLATS);
    long.into_iter().map(|l| l.1).collect()
}

/// A convex hole with many corners loses some of them, which makes it a little
/// smaller: each of its corners costs a piece of the steel around it.
fn fewer_corners(hole: &[P]) -> Ring {
    let n = hole.len();
    let convex = (0..n).all(|k| side(hole[k], hole[(k + 1) % n], hole[(k + 2) % n]) > 0);
    let step = if convex { n.div_ceil(MOST_IN_HOLE) } else { 1 };
    hole.iter().step_by(step).copied().collect()
}

/// Two rings are one moved.
fn same_ring(a: &[P], b: &[P]) -> bool {
    let n = a.len();
    let (origin_a, origin_b) = (around(a).0, around(b).0);
    n == b.len()
        && (0..n).any(|s| {
            (0..n).all(|k| {
                let off = a[k].minus(origin_a).minus(b[(s + k) % n].minus(origin_b));
                off.x.abs() <= SAME && off.y.abs() <= SAME
            })
        })
}

/// All forms of a part that differ. `usable` tells of a turned hole whether
/// it has to be kept open.
pub(super) fn forms(outer: &[P], holes: &[Ring], turns: &[u32], gap: i64, usable: &dyn Fn(&Ring) -> bool) -> Vec<Form> {
    let mut seen: Vec<(Ring, Vec<Ring>)> = Vec::new();
    let mut out = Vec::new();
    for &minutes in turns {
        let ring = turned_ring(outer, minutes);
        let open: Vec<Ring> =
            holes.iter().map(|h| turned_ring(h, minutes)).filter(|h| usable(h)).map(|h| fewer_corners(&h)).collect();
        let (lo, hi) = around(&ring);
        let alike = |s: &(Ring, Vec<Ring>)| {
            same_ring(&s.0, &ring)
                && s.1.len() == open.len()
                && s.1.iter().zip(&open).all(|(a, b)| {
                    let off = around(a).0.minus(around(&s.0).0).minus(around(b).0.minus(lo));
                    off.x.abs() <= SAME && off.y.abs() <= SAME && same_ring(a, b)
                })
        };
        if seen.iter().any(alike) {
            continue;
        }
        let directions = long_edge_directions(&ring, gap);
        let solid = convex_pieces(&ring, &[]).unwrap_or_else(|| vec![hull(ring.clone())]);
        let cut = if open.is_empty() { None } else { convex_pieces(&ring, &open) };
        let bays = if cut.is_some() { open.iter().map(|h| around(h)).collect() } else { Vec::new() };
        out.push(Form { minutes, lo, hi, bays, solid, open: cut.unwrap_or_default(), directions });
        seen.push((ring, open));
    }
    out
}

impl Form {
    /// The convex pieces to compare with something of this size that may lie
    /// in a hole.
    pub fn pieces_beside(&self, size: (i64, i64), gap: i64) -> &[Ring] {
        let room = |bay: &(P, P)| size.0 + 2 * gap <= bay.1.x - bay.0.x && size.1 + 2 * gap <= bay.1.y - bay.0.y;
        if self.bays.iter().any(room) { &self.open } else { &self.solid }
    }

    /// Extent along x and y.
    pub fn size(&self) -> (i64, i64) {
        (self.hi.x - self.lo.x, self.hi.y - self.lo.y)
    }
}
