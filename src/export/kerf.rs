//! The lines that a cutter follows on a face: finished edges moved by half the kerf.
//!
//! ```text
//!   waste | kerf | metal        the cut eats the kerf on the waste side of the
//!         |<---->|              finished edge, so its middle is half a kerf away:
//!         |  :   |              outwards from the outline, inwards in an opening
//! ```

use crate::drawing::{View, ViewHole};
use crate::geom::{Loop, Point, ellipse_offset, offset};
use crate::piece::HoleShape;

/// Largest distance of the drawn arcs from the true curve beside an ellipse, mm.
const ELLIPSE_ERROR_MM: f64 = 0.005;

/// Smallest radius of a round cut, mm: below it four decimals of a millimetre write zero.
const SMALLEST_MM: f64 = 1e-3;

/// One opening as a closed line.
pub(super) enum Opening {
    /// A circle, mm.
    Circle { at: Point, radius: f64 },
    /// A true ellipse: half axes in mm, direction of the first in radians from x.
    Ellipse { at: Point, half_axes: (f64, f64), lies: f64 },
    /// Lines and arcs.
    Outline(Loop),
}

/// An opening that the kerf leaves nothing of.
pub(super) struct Eaten {
    /// Its middle, mm.
    pub at: Point,
    /// Which it is and why.
    pub says: String,
}

/// What is cut of a face.
pub(super) struct CutLines {
    /// Round the piece.
    pub outline: Loop,
    /// Holes, then cut-outs.
    pub openings: Vec<Opening>,
    /// Openings that cannot be cut.
    pub eaten: Vec<Eaten>,
}

/// The lines of a face, `half_mm` mm (not negative) on the waste side of the
/// finished edges; 0 gives the finished edges themselves.
///
/// # Errors
/// A sentence, when the outline cannot be moved outwards so far.
pub(super) fn cut_lines(view: &View, half_mm: f64) -> Result<CutLines, String> {
    let outline = if half_mm > 0.0 { offset(&view.outline, half_mm)? } else { view.outline.clone() };
    let mut lines = CutLines { outline, openings: vec![], eaten: vec![] };
    for h in &view.holes {
        match hole(h, half_mm) {
            Ok(o) => lines.openings.extend(o),
            Err(why) => lines.eaten.push(Eaten { at: h.at, says: format!("hole {} is not cut: {why}", h.letter) }),
        }
    }
    for (i, l) in view.cut_outs.iter().enumerate() {
        match inside(l, half_mm) {
            Ok(l) => lines.openings.push(Opening::Outline(l)),
            Err(why) => {
                lines.eaten.push(Eaten { at: l.centroid(), says: format!("cut-out {} is not cut: {why}", i + 1) })
            }
        }
    }
    Ok(lines)
}

fn inside(l: &Loop, half_mm: f64) -> Result<Loop, String> {
    if half_mm > 0.0 { offset(l, -half_mm) } else { Ok(l.clone()) }
}

/// `None` for a shape without an outline, which there is none of.
fn hole(h: &ViewHole, half_mm: f64) -> Result<Option<Opening>, String> {
    Ok(match h.shape {
        HoleShape::Round { diameter } => {
            let radius = diameter / 2.0 - half_mm;
            if half_mm > 0.0 && radius < SMALLEST_MM {
                return Err(format!("its diameter of {diameter:.2} mm is no more than the kerf"));
            }
            Some(Opening::Circle { at: h.at, radius })
        }
        HoleShape::Ellipse { major, minor, lies } if half_mm > 0.0 => {
            // The line beside an ellipse is no ellipse: short arcs, 0.005 mm off at most.
            let line = ellipse_offset(h.at, (major, minor), lies, -half_mm, ELLIPSE_ERROR_MM)?;
            Some(Opening::Outline(line))
        }
        HoleShape::Ellipse { major, minor, lies } => {
            Some(Opening::Ellipse { at: h.at, half_axes: (major / 2.0, minor / 2.0), lies })
        }
        _ => h.shape.outline(h.at).map(|l| inside(&l, half_mm)).transpose()?.map(Opening::Outline),
    })
}
