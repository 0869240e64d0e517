//! Sections of tanks: the outline that one sees looking along the tank.
//!
//! ```text
//!   z up ^        x across, nought in the middle between the leftmost and the rightmost point;
//!        |        z nought at the lowest point
//!        +---> x
//! ```

use crate::geom::{Bounds, Corner, CornerFinish, Loop, Point, circle, is_simple, polygon};
use crate::units::Length;

/// One corner of an outline that was measured point by point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectionCorner {
    /// Where its two sides would meet, mm.
    pub at: Point,
    /// Its radius; nought for a sharp one.
    pub radius: Length,
}

/// Shape of a tank, looking along it.
#[derive(Clone, Debug, PartialEq)]
pub enum SectionShape {
    /// Four corners of one radius.
    Rectangle {
        /// Across.
        width: Length,
        /// Up.
        height: Length,
        /// Of its corners.
        radius: Length,
    },
    /// A circle.
    Round {
        /// Its diameter.
        width: Length,
    },
    /// A rectangle whose shorter sides are half circles.
    Obround {
        /// Across.
        width: Length,
        /// Up.
        height: Length,
    },
    /// A half circle below, two corners above.
    D {
        /// Across.
        width: Length,
        /// Up.
        height: Length,
        /// Of the two upper corners.
        radius: Length,
    },
    /// Corner by corner, in order round it; inward corners are rounded likewise.
    Corners(Vec<SectionCorner>),
}

/// The outline of a section, counter-clockwise: lowest point at z = 0, middle of its width at x = 0.
///
/// # Errors
/// A sentence, where its sizes cannot be.
pub fn outline_of(shape: &SectionShape) -> Result<Loop, String> {
    let raw = match shape {
        SectionShape::Round { width } => circle(Point::new(0.0, width.to_mm() / 2.0), width.to_mm()),
        SectionShape::Rectangle { width, height, radius } => boxed(*width, *height, *radius, *radius)?,
        SectionShape::Obround { width, height } => {
            let r = Length::mm(width.to_mm().min(height.to_mm()) / 2.0);
            boxed(*width, *height, r, r)?
        }
        SectionShape::D { width, height, radius } => boxed(*width, *height, Length::mm(width.to_mm() / 2.0), *radius)?,
        SectionShape::Corners(corners) => {
            let all: Vec<Corner> = corners.iter().map(|c| finished(c.at, c.radius.to_mm())).collect();
            let outline = polygon(&all)?;
            if !is_simple(&outline) {
                return Err("the outline crosses itself: give its corners in order, round it".to_string());
            }
            outline
        }
    };
    let bounds = raw.bounds().ok_or("an outline without corners")?;
    if !(bounds.width() > 1.0 && bounds.height() > 1.0) {
        return Err("the outline is thinner than a millimetre".to_string());
    }
    Ok(raw.moved(-origin(&bounds)))
}

/// Middle of the width, lowest point.
fn origin(bounds: &Bounds) -> Point {
    Point::new((bounds.low.x + bounds.high.x) / 2.0, bounds.low.y)
}

fn finished(at: Point, radius_mm: f64) -> Corner {
    let finish = if radius_mm > 0.0 { CornerFinish::Radius(radius_mm) } else { CornerFinish::Sharp };
    Corner { at, finish }
}

/// A box with one radius below and one above.
fn boxed(width: Length, height: Length, low: Length, top: Length) -> Result<Loop, String> {
    let (w, h) = (width.to_mm() / 2.0, height.to_mm());
    let corner = |x: f64, y: f64, r: Length| finished(Point::new(x, y), r.to_mm());
    polygon(&[corner(-w, 0.0, low), corner(w, 0.0, low), corner(w, h, top), corner(-w, h, top)])
}
