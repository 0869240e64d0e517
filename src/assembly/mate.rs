//! Holes of neighbours that must lie in one line.
//!
//! Two holes belong together when their axes are parallel, their openings
//! overlap, and their walls touch or one bolt goes through both. Then they must
//! be concentric; a slot may be passed anywhere along its length.

use super::{Assembly, Kind, Stand};
use crate::piece::{Drill, HoleShape};
use crate::space::{Frame, Point3};

/// Most that the axes of two holes may be apart, mm: far below what a drill
/// wanders, far above what the numbers lose.
pub const MATE_MM: f64 = 0.01;
/// Walls this near to each other touch, mm.
const TOUCH_MM: f64 = 0.5;
/// Axes are parallel within this: sin of about 2 degrees.
const PARALLEL_SIN: f64 = 0.035;
/// A bolt may be thicker than its hole by this, mm.
const TIGHT_MM: f64 = 0.01;

/// Holes that do not fit together.
#[derive(Clone, Debug, PartialEq)]
pub enum Misfit {
    /// Two holes are not in line.
    OffLine {
        /// `part/piece: hole`.
        one: String,
        /// The other, or the bolt.
        other: String,
        /// How far their axes are apart, mm.
        off_mm: f64,
    },
    /// A bolt is thicker than a hole that it goes through.
    TooThick {
        /// The bolt.
        bolt: String,
        /// The hole.
        hole: String,
        /// By how much, mm.
        by_mm: f64,
    },
    /// A bolt goes through no hole.
    NoHole {
        /// The bolt.
        bolt: String,
    },
}

/// What was looked at, and what does not fit.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Mated {
    /// Pairs of holes, or of bolt and hole, that belong together.
    pub pairs: usize,
    /// Those that do not fit, each with the part it is told of.
    pub misfits: Vec<(String, Misfit)>,
}

/// A hole in the frame of the assembly.
struct Placed<'a> {
    stand: usize,
    name: String,
    drill: &'a Drill,
    at: Point3,
    into: Point3,
    lies: Point3,
}

/// Compare all holes and bolts that stand in their places.
pub fn mates(assembly: &Assembly) -> Mated {
    let stands: Vec<&Stand> = assembly.fitted().collect();
    let holes: Vec<Placed> =
        stands.iter().enumerate().flat_map(|(i, s)| s.drills.iter().map(move |d| placed(i, s, d))).collect();
    let mut out = Mated::default();
    for (i, a) in holes.iter().enumerate() {
        for b in &holes[i + 1..] {
            if a.stand != b.stand && a.drill.bolt && b.drill.bolt && face_each_other(a, b) {
                out.pairs += 1;
                let off_mm = off_line(a, b);
                if off_mm > MATE_MM {
                    let told = Misfit::OffLine { one: a.name.clone(), other: b.name.clone(), off_mm };
                    out.misfits.push((stands[a.stand].part.clone(), told));
                }
            }
        }
    }
    for bolt in stands.iter().filter(|s| s.kind == Kind::Bolt) {
        through(bolt, &holes, &mut out);
    }
    out
}

fn placed<'a>(stand: usize, s: &Stand, d: &'a Drill) -> Placed<'a> {
    let f: &Frame = &s.frame;
    Placed {
        stand,
        name: format!("{}: {}", s.name, d.name),
        drill: d,
        at: f.place(d.at),
        into: f.direct(d.into),
        lies: f.direct(d.lies),
    }
}

/// Half the length that an axis can move in a slot, and its inner radius, mm.
fn travel(shape: &HoleShape) -> (f64, f64) {
    match *shape {
        HoleShape::Slot { length, width, .. } => ((length - width) / 2.0, width / 2.0),
        _ => (0.0, shape.core()),
    }
}

/// Both axes run one way, the openings overlap and two walls touch.
fn face_each_other(a: &Placed, b: &Placed) -> bool {
    if a.into.cross(b.into).length() > PARALLEL_SIN {
        return false;
    }
    let (ra, rb) = (travel(&a.drill.shape).1, travel(&b.drill.shape).1);
    if off_line(a, b) >= ra + rb {
        return false;
    }
    let along = |p: Point3| (p - a.at).dot(a.into);
    let sense = a.into.dot(b.into).signum();
    let spans = b.drill.walls.iter().map(|w| {
        let (p, q) = (along(b.at) + sense * w.0, along(b.at) + sense * w.1);
        (p.min(q), p.max(q))
    });
    spans.into_iter().any(|(p, q)| a.drill.walls.iter().any(|w| p - w.1 <= TOUCH_MM && w.0 - q <= TOUCH_MM))
}

/// How far two axes are apart when each slot gives what it can, mm.
fn off_line(a: &Placed, b: &Placed) -> f64 {
    let d = b.at - a.at;
    let mut d = d - a.into * d.dot(a.into);
    for h in [a, b] {
        let half = travel(&h.drill.shape).0;
        d = d - h.lies * d.dot(h.lies).clamp(-half, half);
    }
    d.length()
}

/// A bolt against every hole that its shank goes through.
fn through(bolt: &Stand, holes: &[Placed], out: &mut Mated) {
    let Some((diameter, length)) = bolt.shank else { return };
    let (head, down) = (bolt.frame.origin, -bolt.frame.z());
    let mut met = 0;
    for h in holes {
        let (half, core) = travel(&h.drill.shape);
        let d = h.at - head;
        let apart = d - down * d.dot(down);
        let apart = apart - h.lies * apart.dot(h.lies).clamp(-half, half);
        let reach = |depth: f64| (h.at + h.into * depth - head).dot(down);
        let inside = h.drill.walls.iter().any(|w| {
            let (p, q) = (reach(w.0), reach(w.1));
            p.min(q) < length && p.max(q) > 0.0
        });
        if h.into.cross(down).length() > PARALLEL_SIN || !inside || apart.length() >= core + diameter / 2.0 {
            continue;
        }
        met += 1;
        out.pairs += 1;
        if apart.length() > MATE_MM {
            let off_mm = apart.length();
            let told = Misfit::OffLine { one: bolt.name.clone(), other: h.name.clone(), off_mm };
            out.misfits.push((bolt.part.clone(), told));
        }
        let by_mm = diameter - 2.0 * core;
        if by_mm > TIGHT_MM {
            let told = Misfit::TooThick { bolt: bolt.name.clone(), hole: h.name.clone(), by_mm };
            out.misfits.push((bolt.part.clone(), told));
        }
    }
    if met == 0 {
        out.misfits.push((bolt.part.clone(), Misfit::NoHole { bolt: bolt.name.clone() }));
    }
}
