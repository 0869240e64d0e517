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

fn stacked(pattern: &FlatPattern, order: &[Face], radius: f64) -> Option<View> {
    let faces: Vec<&FaceView> =
        order.iter().map(|f| pattern.faces.iter().find(|v| v.face == *f)).collect::<Option<Vec<_>>>()?;
    let angle = pattern.wrap == Wrap::Angle;
    let height = |f: &FaceView| f.outline.bounds().map_or(0.0, |b| b.high.y);
    // Where y = 0 of each face lies, and which way its y runs.
    let mut origins = vec![];
    let mut at = 0.0;
    for f in &faces {
        let down = angle && f.y_down;
        origins.push((if down { at + height(f) } else { at }, down));
        at += height(f) - (2.0 - FRAC_PI_2) * radius;
    }
    let shift = -origins.iter().zip(&faces).find(|(_, f)| f.face == Face::Top).map_or(0.0, |(o, _)| o.0);
    for o in &mut origins {
        o.0 += shift;
    }
    let place =
        |i: usize, p: Point| Point::new(p.x, if origins[i].1 { origins[i].0 - p.y } else { origins[i].0 + p.y });
    let edge = |right: bool| -> Vec<Point> {
        let mut out = vec![];
        for (i, f) in faces.iter().enumerate() {
            let (low, high) =
                (if i == 0 { 0.0 } else { radius }, height(f) - if i + 1 == faces.len() { 0.0 } else { radius });
            let mut ys = [low, high];
            if origins[i].1 {
                ys = [height(f), 0.0];
            }
            out.extend(ys.map(|y| place(i, Point::new(end_x(f, y, right), y))));
            if let (Some(next), true) = (faces.get(i + 1), radius > 0.0) {
                for k in 1..CORNER_STEPS {
                    let a = FRAC_PI_2 * k as f64 / CORNER_STEPS as f64;
                    // A plane cut varies along one of the two faces only.
                    let x = if slanted(f, right) {
                        end_x(f, height(f) - radius + radius * libm::sin(a), right)
                    } else {
                        end_x(next, radius - radius * libm::cos(a), right)
                    };
                    let y = place(i, Point::new(0.0, height(f) - radius)).y + radius * a;
                    out.push(Point::new(x, y));
                }
            }
        }
        out
    };
    let (left, right) = (edge(false), edge(true));
    let outline = Loop::straight(&thinned(right.into_iter().chain(left.into_iter().rev()).collect()));
    let mut folds = vec![];
    for (i, f) in faces.iter().enumerate().skip(1) {
        let y = place(i, Point::new(0.0, if origins[i].1 { height(f) } else { 0.0 })).y;
        if radius > 0.0 {
            folds.push(y + radius);
            folds.push(y + radius - FRAC_PI_2 * radius);
        } else {
            folds.push(y);
        }
    }
    let holes = pattern
        .holes
        .iter()
        .filter_map(|h| {
            let i = faces.iter().position(|f| f.word == h.face)?;
            let shape = if origins[i].1 { h.shape.mirrored() } else { h.shape };
            Some(ViewHole { letter: h.letter.clone(), shape, at: place(i, h.at) })
        })
        .collect();
    let labels = faces
        .iter()
        .enumerate()
        .map(|(i, f)| {
            let (a, b) = (place(i, Point::default()).y, place(i, Point::new(0.0, height(f))).y);
            FaceLabel { word: f.word.clone(), low: a.min(b), high: a.max(b), datum: a, down: origins[i].1 }
        })
        .collect();
    Some(View {
        word: "wrap".to_string(),
        bounds: outline.bounds()?,
        outline,
        cut_outs: vec![],
        holes,
        bends: vec![],
        datum: Point::default(),
        y_down: false,
        folds,
        labels,
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
        degrees: Some(PI * outside_mm),
    })
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
