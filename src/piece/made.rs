//! A piece as it came out, where that differs from what was wanted.

use super::{Form, Hole, HoleShape, Piece, Step};
use crate::geom::{Loop, Point};
use crate::units::Length;

/// Coordinates nearer than this are the same, mm.
const SAME_MM: f64 = 1e-6;

/// The holes of a piece in the order in which the template has them.
pub fn holes(piece: &Piece) -> Vec<&Hole> {
    match &piece.form {
        Form::Plate(p) => p.holes.iter().collect(),
        Form::Strip(s) => s.holes.iter().map(|h| &h.hole).collect(),
        Form::Section(s) => s.holes.iter().map(|h| &h.hole).collect(),
    }
}

/// The piece with another hole in the place of one; the index is that of [`holes`].
pub fn with_hole(piece: &Piece, index: usize, at: Point, shape: HoleShape) -> Piece {
    let mut out = piece.clone();
    let hole = match &mut out.form {
        Form::Plate(p) => p.holes.get_mut(index),
        Form::Strip(s) => s.holes.get_mut(index).map(|h| &mut h.hole),
        Form::Section(s) => s.holes.get_mut(index).map(|h| &mut h.hole),
    };
    if let Some(hole) = hole {
        (hole.at, hole.shape) = (at, shape);
    }
    out
}

/// The piece longer at its right end (a negative length: shorter); holes keep
/// their distance from the left end. `None` if nothing would be left of it.
pub fn longer(piece: &Piece, by: Length) -> Option<Piece> {
    let mut out = piece.clone();
    let d = by.to_mm();
    match &mut out.form {
        Form::Section(s) => s.length = left(s.length, d)?,
        Form::Strip(s) => match s.steps.last_mut() {
            Some(Step::Flat(f)) => f.length = left(f.length, d)?,
            _ => return None,
        },
        Form::Plate(p) => p.outline = moved_end(&p.outline, d)?,
    }
    Some(out)
}

/// The piece thicker (a negative length: thinner). `None` if nothing would be
/// left of it, and for a section, whose wall is not its own.
pub fn thicker(piece: &Piece, by: Length) -> Option<Piece> {
    let mut out = piece.clone();
    match &mut out.form {
        Form::Plate(p) => p.thickness = left(p.thickness, by.to_mm())?,
        Form::Strip(s) => s.thickness = left(s.thickness, by.to_mm())?,
        Form::Section(_) => return None,
    }
    Some(out)
}

fn left(length: Length, d: f64) -> Option<Length> {
    let now = length.to_mm() + d;
    (now > SAME_MM).then(|| Length::mm(now))
}

/// The outline with everything of its right end moved along x: corners beyond
/// the middle keep their shape, and no part of an arc is stretched.
fn moved_end(outline: &Loop, d: f64) -> Option<Loop> {
    let bounds = outline.bounds()?;
    let middle = (bounds.low.x + bounds.high.x) / 2.0;
    if bounds.high.x + d <= middle {
        return None;
    }
    outline.stretched(middle, d)
}
