//! What becomes of a piece that is made already when its measurements change:
//! it stays, takes more holes, is cut down, or is made again.

use super::{FlatHole, FlatPattern};
use crate::geom::{Loop, Point, Region, Segment, point_inside};
use crate::piece::{BendTurn, HoleShape, Stock};

/// Differences below this are none, mm: a tenth of what a tape shows.
const SAME_MM: f64 = 0.05;
/// Angles closer than this are the same, degrees.
const SAME_DEG: f64 = 0.01;
/// Most places at which an old plate is laid under a new one.
const MOST_PLACES: usize = 2_000;

/// One hole as it is compared.
#[derive(Clone, Debug, PartialEq)]
pub struct MadeHole {
    /// Letter on its paper.
    pub letter: String,
    /// Face it is drilled from.
    pub face: String,
    /// Shape and size.
    pub shape: HoleShape,
    /// Centre, mm.
    pub at: Point,
}

/// One bend as it is compared.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MadeBend {
    /// Middle line, mm from the left end.
    pub at: f64,
    /// How far the metal turns, degrees.
    pub angle_deg: f64,
    /// Inside radius, mm.
    pub inside_radius: f64,
    /// Towards the viewer.
    pub up: bool,
}

/// A piece as it was made, or as it is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct Made {
    /// `part/piece`.
    pub key: String,
    /// How many.
    pub copies: u32,
    /// Hash of everything that decides shape and material.
    pub hash: String,
    /// `strip`, `plate` or `section`.
    pub form: String,
    /// Opposite hand, in words; empty for none.
    pub hand: String,
    /// What it is cut from.
    pub stock: Stock,
    /// Cut line.
    pub outline: Loop,
    /// Other openings.
    pub cut_outs: Vec<Loop>,
    /// Bends, left to right.
    pub bends: Vec<MadeBend>,
    /// Holes.
    pub holes: Vec<MadeHole>,
    /// End angles of a section, degrees.
    pub ends_deg: Option<(f64, f64)>,
}

impl Made {
    /// From a flat pattern.
    pub fn of(f: &FlatPattern) -> Made {
        let hole = |h: &FlatHole| MadeHole { letter: h.letter.clone(), face: h.face.clone(), shape: h.shape, at: h.at };
        let bends = f.bend_lines.iter().map(|b| MadeBend {
            at: b.from.x,
            angle_deg: b.angle.to_degrees(),
            inside_radius: b.inside_radius.to_mm(),
            up: b.turn == BendTurn::Up,
        });
        Made {
            key: f.key(),
            copies: f.copies,
            hash: f.hash.clone(),
            form: f.form.to_string(),
            hand: f.hand.map_or(String::new(), |h| format!("{h:?}").to_lowercase()),
            stock: f.stock.clone(),
            outline: f.outline.clone(),
            cut_outs: f.cut_outs.clone(),
            bends: bends.collect(),
            holes: f.holes.iter().map(hole).collect(),
            ends_deg: f.ends_deg,
        }
    }

    fn size(&self) -> Point {
        self.outline.bounds().map_or(Point::default(), |b| Point::new(b.width(), b.height()))
    }
}

/// What becomes of a piece.
#[derive(Clone, Debug, PartialEq)]
pub enum Reuse {
    /// Nothing is to be done.
    Unchanged,
    /// The old piece takes these holes more, by their new letters; a hole that
    /// grows counts.
    DrillMore(Vec<String>),
    /// Size and bends stay, but these old holes, by their old letters, are in
    /// the wrong place: the blank serves while it is not drilled.
    Redrill(Vec<String>),
    /// The old piece is cut down: so much off its left, right, lower and upper
    /// edge, mm; then these holes are drilled. Turned: half round first.
    Trim {
        /// Off the left, right, lower and upper edge, mm.
        off: [f64; 4],
        /// Left and right end: whether it is cut to another angle.
        ends: [bool; 2],
        /// Whether the plate is turned half round first.
        turned: bool,
        /// Letters of the new holes that are still to be drilled.
        drill: Vec<String>,
    },
    /// Nothing of the old piece serves.
    Again(String),
}

/// What becomes of an old piece, held against the new one.
pub fn reuse(old: &Made, new: &Made) -> Reuse {
    if old.hash == new.hash {
        return Reuse::Unchanged;
    }
    if let Some(why) = other_steel(old, new) {
        return Reuse::Again(why);
    }
    let ends = ends_change(old, new);
    let turns: &[bool] = if new.form == "plate" { &[false, true] } else { &[false] };
    let mut best: Option<(bool, Vec<String>, [f64; 4], bool)> = None;
    for &turned in turns {
        let laid = if turned { half_turn(old) } else { old.clone() };
        for by in places(&laid, new) {
            let Some((drill, off)) = serves(&laid, new, by) else { continue };
            let cut = off.iter().any(|o| *o > SAME_MM) || ends.contains(&true);
            let better = best.as_ref().is_none_or(|b| {
                let sum = |o: &[f64; 4]| o.iter().sum::<f64>();
                (cut, drill.len(), turned) < (b.0, b.1.len(), b.3)
                    || (cut, drill.len(), turned) == (b.0, b.1.len(), b.3) && sum(&off) < sum(&b.2) - SAME_MM
            });
            if better {
                best = Some((cut, drill, off, turned));
            }
        }
    }
    match best {
        Some((false, drill, _, false)) if drill.is_empty() => Reuse::Unchanged,
        Some((false, drill, _, false)) => Reuse::DrillMore(drill),
        Some((_, drill, off, turned)) => Reuse::Trim { off, ends, turned, drill },
        None => not_as_it_is(old, new),
    }
}

/// Why the steel itself does not serve.
fn other_steel(old: &Made, new: &Made) -> Option<String> {
    if old.form != new.form {
        return Some(format!("it was a {} and is a {}", old.form, new.form));
    }
    if old.stock.material != new.stock.material {
        return Some(format!("it was {} and is {}", old.stock.material, new.stock.material));
    }
    let same = old.stock.shape == new.stock.shape && crate::units::same_size(&old.stock.size, &new.stock.size);
    if !same {
        return Some("its section is another".to_string());
    }
    (old.hand != new.hand).then(|| "it is of the other hand".to_string())
}

/// The old piece does not serve as it was drilled: its blank may.
fn not_as_it_is(old: &Made, new: &Made) -> Reuse {
    let undrilled = Made { holes: vec![], ..old.clone() };
    let same_blank = serves(&undrilled, new, Point::default())
        .is_some_and(|(_, off)| off.iter().all(|o| *o <= SAME_MM))
        && ends_change(old, new) == [false; 2];
    if same_blank {
        let wrong = old.holes.iter().filter(|h| !new.holes.iter().any(|n| swallows(n, h, Point::default())));
        return Reuse::Redrill(wrong.map(|h| h.letter.clone()).collect());
    }
    let (was, is) = (old.size(), new.size());
    Reuse::Again(if is.x > was.x + SAME_MM {
        format!("{:.1} mm too short", is.x - was.x)
    } else if is.y > was.y + SAME_MM {
        format!("{:.1} mm too narrow", is.y - was.y)
    } else if old.bends.len() != new.bends.len() || !bends_match(old, new, None) {
        "its bends lie elsewhere".to_string()
    } else {
        "its holes, ends or edges are in the way".to_string()
    })
}

/// The plate turned half round in its own box.
fn half_turn(m: &Made) -> Made {
    let size = m.size();
    let low = m.outline.bounds().map_or(Point::default(), |b| b.low);
    let centre = low + size * 0.5;
    let turn = |p: Point| centre * 2.0 - p;
    let half = std::f64::consts::PI;
    let turned_loop = |l: &Loop| l.moved(centre * -1.0).turned(half).moved(centre);
    Made {
        outline: turned_loop(&m.outline),
        cut_outs: m.cut_outs.iter().map(turned_loop).collect(),
        holes: m.holes.iter().map(|h| MadeHole { at: turn(h.at), ..h.clone() }).collect(),
        ..m.clone()
    }
}

/// Where the new piece may lie in the old one: its origin in the old one's.
fn places(old: &Made, new: &Made) -> Vec<Point> {
    let (was, is) = (old.size(), new.size());
    let over = was - is;
    let plate = new.form == "plate";
    let ys = if plate { vec![0.0, over.y] } else { vec![0.0] };
    let mut out: Vec<Point> = ys.iter().flat_map(|y| [Point::new(0.0, *y), Point::new(over.x, *y)]).collect();
    if let (Some(a), Some(b)) = (old.bends.first(), new.bends.first()) {
        out = vec![Point::new(a.at - b.at, 0.0)];
    }
    for h in &old.holes {
        for n in new.holes.iter().filter(|n| n.face == h.face) {
            let by = h.at - n.at;
            out.push(if plate { by } else { Point::new(by.x, 0.0) });
        }
    }
    out.retain(|p| p.x > -SAME_MM && p.y > -SAME_MM && p.x < over.x + SAME_MM && p.y < over.y + SAME_MM);
    out.truncate(MOST_PLACES);
    out
}

/// Whether the old piece serves with the new one's origin at `by`: the holes
/// still to be drilled, and what comes off its left, right, lower and upper edge.
fn serves(old: &Made, new: &Made, by: Point) -> Option<(Vec<String>, [f64; 4])> {
    let (was, is) = (old.outline.bounds()?, new.outline.bounds()?);
    let off = [
        by.x + is.low.x - was.low.x,
        was.high.x - is.high.x - by.x,
        by.y + is.low.y - was.low.y,
        was.high.y - is.high.y - by.y,
    ]
    .map(|o| if o.abs() <= SAME_MM { 0.0 } else { o });
    if off.iter().any(|o| *o < 0.0) || !bends_match(old, new, Some(by.x)) || !ends_serve(old, new, &off) {
        return None;
    }
    let outline = new.outline.moved(by);
    if !held(&old.outline, &outline) || !cut_outs_match(old, new, by) {
        return None;
    }
    // Every old hole is part of a new one, or comes off with the waste.
    for h in &old.holes {
        let gone = is_off(h, &outline, new, by);
        if !gone && !new.holes.iter().any(|n| swallows(n, h, by)) {
            return None;
        }
    }
    let drilled = |n: &&MadeHole| old.holes.iter().any(|h| same_hole(n, h, by));
    let drill = new.holes.iter().filter(|n| !drilled(n)).map(|n| n.letter.clone()).collect();
    Some((drill, off))
}

/// Whether all bends are the same, shifted; without a shift by the first one's.
fn bends_match(old: &Made, new: &Made, by: Option<f64>) -> bool {
    let by = by.or_else(|| Some(old.bends.first()?.at - new.bends.first()?.at)).unwrap_or(0.0);
    old.bends.len() == new.bends.len()
        && old.bends.iter().zip(&new.bends).all(|(a, b)| {
            (a.at - b.at - by).abs() <= SAME_MM
                && (a.angle_deg - b.angle_deg).abs() <= SAME_DEG
                && (a.inside_radius - b.inside_radius).abs() <= SAME_MM
                && a.up == b.up
        })
}

/// An end that stays has its angle; one that is cut off by less than a slanted
/// end's depth would lack steel.
fn ends_serve(old: &Made, new: &Made, off: &[f64; 4]) -> bool {
    let (Some(a), Some(b)) = (old.ends_deg, new.ends_deg) else { return true };
    let depth = old.stock.size.iter().map(|l| l.to_mm()).fold(0.0, f64::max);
    let one = |was: f64, is: f64, off: f64| {
        let slant = libm::fabs(depth / libm::tan(was.to_radians()));
        (was - is).abs() <= SAME_DEG || off >= slant.min(1e6) - SAME_MM
    };
    one(a.0, b.0, off[0]) && one(a.1, b.1, off[1])
}

/// Left and right end: whether it gets another angle.
fn ends_change(old: &Made, new: &Made) -> [bool; 2] {
    let (Some(a), Some(b)) = (old.ends_deg, new.ends_deg) else { return [false; 2] };
    [(a.0 - b.0).abs() > SAME_DEG, (a.1 - b.1).abs() > SAME_DEG]
}

/// Whether all of `inner` lies in `outer`, edges may lie on one another.
fn held(outer: &Loop, inner: &Loop) -> bool {
    let (out, own) = (Held::of(outer), Held::of(inner));
    inner.flattened(0.02).into_iter().all(|p| out.near(p) || out.has(p))
        && outer.flattened(0.02).into_iter().all(|p| own.near(p) || !own.has(p))
}

/// An outline that many points are held against; what that takes is made once.
struct Held {
    sides: Vec<Segment>,
    region: Region,
}

impl Held {
    fn of(l: &Loop) -> Held {
        Held { sides: l.segments(), region: Region::of(l) }
    }

    /// Whether a point lies on the outline.
    fn near(&self, p: Point) -> bool {
        self.sides.iter().any(|s| s.distance(p) <= SAME_MM)
    }

    fn has(&self, p: Point) -> bool {
        self.region.has(p)
    }
}

fn cut_outs_match(old: &Made, new: &Made, by: Point) -> bool {
    let same = |a: &Loop, b: &Loop| {
        let b = b.moved(by);
        held(a, &b) && held(&b, a)
    };
    old.cut_outs.len() == new.cut_outs.len() && old.cut_outs.iter().all(|a| new.cut_outs.iter().any(|b| same(a, b)))
}

/// Whether an old hole lies wholly in what is cut off.
fn is_off(h: &MadeHole, outline: &Loop, new: &Made, by: Point) -> bool {
    let corners = h.shape.corners(h.at);
    if new.form == "section" {
        let Some(b) = outline.bounds() else { return false };
        return corners.iter().all(|p| p.x < b.low.x) || corners.iter().all(|p| p.x > b.high.x);
    }
    // On a plate a hole in a cut-out of the new one is gone too; holes of the new one are asked elsewhere.
    let opened = |p: &Point| new.cut_outs.iter().any(|c| point_inside(&c.moved(by), *p));
    corners.iter().all(|p| !point_inside(outline, *p) && outline.distance(*p) > SAME_MM)
        || !corners.is_empty() && corners.iter().all(opened)
}

/// Whether a new hole takes an old one in.
fn swallows(new: &MadeHole, old: &MadeHole, by: Point) -> bool {
    if new.face != old.face {
        return false;
    }
    let at = new.at + by;
    match (new.shape, old.shape) {
        (HoleShape::Round { diameter: n }, HoleShape::Round { diameter: o }) => {
            at.distance(old.at) + o / 2.0 <= n / 2.0 + SAME_MM
        }
        (shape, _) => {
            let corners = old.shape.corners(old.at);
            match shape.outline(at) {
                Some(l) => {
                    !corners.is_empty() && corners.iter().all(|p| l.distance(*p) <= SAME_MM || point_inside(&l, *p))
                }
                None => same_hole(new, old, by),
            }
        }
    }
}

/// Whether a hole is there already as it must be.
fn same_hole(new: &MadeHole, old: &MadeHole, by: Point) -> bool {
    let parts = |s: HoleShape| match s {
        HoleShape::Round { diameter } => [0.0, diameter, diameter, 0.0, 0.0],
        HoleShape::Slot { length, width, lies } => [1.0, length, width, lies, 0.0],
        HoleShape::Ellipse { major, minor, lies } => [2.0, major, minor, lies, 0.0],
        HoleShape::Rectangle { length, width, corner_radius, lies } => [3.0, length, width, lies, corner_radius],
    };
    let (a, b) = (parts(new.shape), parts(old.shape));
    new.face == old.face
        && (new.at + by).distance(old.at) <= SAME_MM
        && a.iter().zip(&b).all(|(x, y)| (x - y).abs() <= SAME_MM)
}
