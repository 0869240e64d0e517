//! Faces of a section side by side on one sheet that is wrapped round it.
//!
//! ```text
//!   tube, from below upwards: front, top, back, bottom; between two faces the
//!   paper goes round the corner: pi r / 2 instead of 2 r
//!   angle: the upright leg below the heel, the flat leg above it
//!   round tube: from the bottom line over the front, top and back to the bottom
//! ```

use super::views::{FaceLabel, View, ViewHole};
use crate::flat::{FaceView, FlatPattern, Wrap};
use crate::geom::{Loop, Point};
use crate::piece::Face;
use std::f64::consts::{FRAC_PI_2, PI};

/// Steps of paper round a corner.
const CORNER_STEPS: usize = 6;
/// Degree marks of a round wrap.
pub const DEGREE_STEP: usize = 30;

/// The wrap of a section; `None` where nothing goes round it or only one face is drawn.
pub fn wrapped(pattern: &FlatPattern) -> Option<View> {
    match &pattern.wrap {
        Wrap::None => None,
        Wrap::Round { outside_mm, .. } => round(pattern, *outside_mm),
        Wrap::Angle => stacked(pattern, &[Face::Front, Face::Top], 0.0),
        Wrap::Box { corner_mm } => stacked(pattern, &[Face::Front, Face::Top, Face::Back, Face::Bottom], *corner_mm),
    }
}

/// x of an end of a face at `y`: its outline runs from the lower to the upper edge.
fn end_x(face: &FaceView, y: f64, right: bool) -> f64 {
    let corners: Vec<Point> = face.outline.segments().iter().map(|s| s.from()).collect();
    let edge = |low: Point, high: Point| {
        let d = high.y - low.y;
        if d.abs() < 1e-9 { low.x } else { low.x + (high.x - low.x) * (y - low.y) / d }
    };
    match (corners.first(), corners.get(1), corners.get(2), corners.get(3)) {
        (Some(a), Some(b), Some(c), Some(d)) => {
            if right {
                edge(*b, *c)
            } else {
                edge(*a, *d)
            }
        }
        _ => 0.0,
    }
}

fn slanted(face: &FaceView, right: bool) -> bool {
    (end_x(face, 0.0, right) - end_x(face, 1.0, right)).abs() > 1e-9
}

/// Faces one above the other, each with where its y = 0 lies and whether y runs down.
struct Stack<'a> {
    faces: Vec<&'a FaceView>,
    origins: Vec<(f64, bool)>,
    radius: f64,
}

fn height(f: &FaceView) -> f64 {
    f.outline.bounds().map_or(0.0, |b| b.high.y)
}

impl<'a> Stack<'a> {
    fn new(pattern: &'a FlatPattern, order: &[Face], radius: f64) -> Option<Stack<'a>> {
        let faces: Vec<&FaceView> =
            order.iter().map(|f| pattern.faces.iter().find(|v| v.face == *f)).collect::<Option<Vec<_>>>()?;
        let angle = pattern.wrap == Wrap::Angle;
        let mut origins = vec![];
        let mut at = 0.0;
        for f in &faces {
            let down = angle && f.y_down;
            origins.push((if down { at + height(f) } else { at }, down));
            at += height(f) - (2.0 - FRAC_PI_2) * radius;
        }
        // The top face keeps its own zero.
        let shift = origins.iter().zip(&faces).find(|(_, f)| f.face == Face::Top).map_or(0.0, |(o, _)| o.0);
        origins.iter_mut().for_each(|o| o.0 -= shift);
        Some(Stack { faces, origins, radius })
    }

    fn place(&self, i: usize, p: Point) -> Point {
        let (zero, down) = self.origins[i];
        Point::new(p.x, if down { zero - p.y } else { zero + p.y })
    }

    /// One end of the wrap, from its lower edge to its upper one.
    fn edge(&self, right: bool) -> Vec<Point> {
        let (r, n) = (self.radius, self.faces.len());
        let mut out = vec![];
        for (i, f) in self.faces.iter().enumerate() {
            let ys = if self.origins[i].1 {
                [height(f), 0.0]
            } else {
                [if i == 0 { 0.0 } else { r }, height(f) - if i + 1 == n { 0.0 } else { r }]
            };
            out.extend(ys.map(|y| self.place(i, Point::new(end_x(f, y, right), y))));
            let Some(next) = self.faces.get(i + 1).filter(|_| r > 0.0) else { continue };
            for k in 1..CORNER_STEPS {
                let a = FRAC_PI_2 * k as f64 / CORNER_STEPS as f64;
                // A plane cut varies along one of the two faces only.
                let x = if slanted(f, right) {
                    end_x(f, height(f) - r + r * libm::sin(a), right)
                } else {
                    end_x(next, r - r * libm::cos(a), right)
                };
                out.push(Point::new(x, self.place(i, Point::new(0.0, height(f) - r)).y + r * a));
            }
        }
        out
    }

    fn folds(&self) -> Vec<f64> {
        let mut out = vec![];
        for (i, f) in self.faces.iter().enumerate().skip(1) {
            let y = self.place(i, Point::new(0.0, if self.origins[i].1 { height(f) } else { 0.0 })).y;
            if self.radius > 0.0 {
                out.push(y + self.radius);
                out.push(y + self.radius - FRAC_PI_2 * self.radius);
            } else {
                out.push(y);
            }
        }
        out
    }

    fn labels(&self) -> Vec<FaceLabel> {
        let one = |(i, f): (usize, &&FaceView)| {
            let (a, b) = (self.place(i, Point::default()).y, self.place(i, Point::new(0.0, height(f))).y);
            FaceLabel { word: f.word.clone(), low: a.min(b), high: a.max(b), datum: a, down: self.origins[i].1 }
        };
        self.faces.iter().enumerate().map(one).collect()
    }
}

fn stacked(pattern: &FlatPattern, order: &[Face], radius: f64) -> Option<View> {
    let stack = Stack::new(pattern, order, radius)?;
    let ring = stack.edge(true).into_iter().chain(stack.edge(false).into_iter().rev()).collect();
    let outline = Loop::straight(&thinned(ring));
    let holes = pattern
        .holes
        .iter()
        .filter_map(|h| {
            let i = stack.faces.iter().position(|f| f.word == h.face)?;
            let shape = if stack.origins[i].1 { h.shape.mirrored() } else { h.shape };
            Some(ViewHole { letter: h.letter.clone(), shape, at: stack.place(i, h.at) })
        })
        .collect();
    Some(View { folds: stack.folds(), labels: stack.labels(), ..wrap_view(outline, holes)? })
}

/// A wrap without folds, labels and degree marks.
fn wrap_view(outline: Loop, holes: Vec<ViewHole>) -> Option<View> {
    Some(View {
        word: "wrap".to_string(),
        bounds: outline.bounds()?,
        outline,
        cut_outs: vec![],
        holes,
        bends: vec![],
        datum: Point::default(),
        y_down: false,
        folds: vec![],
        labels: vec![],
        degrees: None,
    })
}

/// Corners without those that lie on the straight between their neighbours.
fn thinned(corners: Vec<Point>) -> Vec<Point> {
    let n = corners.len();
    let keep = |i: usize| {
        let (a, b, c) = (corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]);
        a.distance(b) > 1e-9 && ((b - a).cross(c - b)).abs() > 1e-9 * (1.0 + (b - a).length() * (c - b).length())
    };
    (0..n).filter(|i| keep(*i)).map(|i| corners[i]).collect()
}

fn round(pattern: &FlatPattern, outside_mm: f64) -> Option<View> {
    let (left, right) = pattern.wrap.end_curves(pattern.length.to_mm())?;
    let plain = |c: &[Point]| c.iter().all(|p| (p.x - c[0].x).abs() < 1e-9);
    // Without a curve and without a hole there is nothing to wrap.
    if plain(&left) && plain(&right) && pattern.holes.is_empty() {
        return None;
    }
    let ends = |c: Vec<Point>| if plain(&c) { vec![c[0], c[c.len() - 1]] } else { c };
    let (left, right) = (ends(left), ends(right));
    let outline = Loop::straight(&thinned(right.into_iter().chain(left.into_iter().rev()).collect()));
    let holes = pattern
        .holes
        .iter()
        .map(|h| {
            let at = Point::new(h.at.x, Wrap::round_y(outside_mm, h.at.y));
            ViewHole { letter: h.letter.clone(), shape: h.shape, at }
        })
        .collect();
    Some(View { degrees: Some(PI * outside_mm), ..wrap_view(outline, holes)? })
}

/// Where degree marks stand on a round wrap: degrees from the top line, and y.
pub fn degree_marks(girth_mm: f64) -> Vec<(i32, f64)> {
    (0..=360 / DEGREE_STEP)
        .map(|i| {
            let degrees = (i * DEGREE_STEP) as i32 - 180;
            (degrees, girth_mm * (i * DEGREE_STEP) as f64 / 360.0)
        })
        .collect()
}
