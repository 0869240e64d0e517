//! What is seen of a piece: one view of a strip or plate, one for each face of
//! a section, stacked, each as it looks from outside with x to the right.
//!
//! ```text
//!   section, first face on top; both views share x
//!
//!   +---------------+      flat leg: y up from the heel
//!   +---------------+ y=0
//!        (gap)
//!   +---------------+ y=0  upright leg: y down from the heel, so drawn mirrored
//!   +---------------+
//! ```

use crate::flat::{BendLine, FlatPattern};
use crate::geom::{Bounds, Loop, Point};
use crate::piece::HoleShape;

/// A hole as it is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct ViewHole {
    /// Its letter.
    pub letter: String,
    /// Its shape, mirrored where the view is.
    pub shape: HoleShape,
    /// Its centre in the drawing, mm.
    pub at: Point,
}

/// One face, laid out in the drawing of its piece.
#[derive(Clone, Debug, PartialEq)]
pub struct View {
    /// Word for the face; `outside` for strips and plates.
    pub word: String,
    /// Finished edge, mm.
    pub outline: Loop,
    /// The box round the finished edge, mm.
    pub bounds: Bounds,
    /// Openings other than holes.
    pub cut_outs: Vec<Loop>,
    /// Holes on this face.
    pub holes: Vec<ViewHole>,
    /// Bends, left to right.
    pub bends: Vec<BendLine>,
    /// Where X and Y of the hole table are zero, mm.
    pub datum: Point,
    /// Whether Y of the hole table runs down in this view.
    pub y_down: bool,
    /// A wrap: where the paper is folded, y in the drawing, mm.
    pub folds: Vec<f64>,
    /// A wrap: its faces.
    pub labels: Vec<FaceLabel>,
    /// A round wrap: its girth, mm, for the degree marks.
    pub degrees: Option<f64>,
}

/// A face on a wrap.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceLabel {
    /// Its word.
    pub word: String,
    /// Its lower edge in the drawing, mm.
    pub low: f64,
    /// Its upper edge in the drawing, mm.
    pub high: f64,
    /// Where Y of the hole table is zero on it, mm.
    pub datum: f64,
    /// Whether Y runs down.
    pub down: bool,
}

/// The views of a piece, each `gap_mm` below the one before; the first has its
/// datum at the origin. A view without an outline is left out.
pub fn views(pattern: &FlatPattern, gap_mm: f64) -> Vec<View> {
    if pattern.faces.is_empty() {
        return whole_view(pattern).into_iter().collect();
    }
    let mut below: Option<f64> = None;
    let mut out = vec![];
    for face in &pattern.faces {
        let Some(b) = face.outline.bounds() else { continue };
        let up = match below {
            None => 0.0,
            Some(edge) => edge - gap_mm - b.high.y,
        };
        below = Some(b.low.y + up);
        let middle = (b.low.y + b.high.y) / 2.0;
        let place = |p: Point| Point::new(p.x, if face.y_down { 2.0 * middle - p.y } else { p.y } + up);
        let outline = if face.y_down { face.outline.flipped(middle) } else { face.outline.clone() };
        let holes = pattern
            .holes
            .iter()
            .filter(|h| h.face == face.word)
            .map(|h| ViewHole {
                letter: h.letter.clone(),
                shape: if face.y_down { h.shape.mirrored() } else { h.shape },
                at: place(h.at),
            })
            .collect();
        out.push(View {
            word: face.word.clone(),
            outline: outline.moved(Point::new(0.0, up)),
            bounds: Bounds { low: b.low + Point::new(0.0, up), high: b.high + Point::new(0.0, up) },
            cut_outs: vec![],
            holes,
            bends: vec![],
            datum: place(Point::default()),
            y_down: face.y_down,
            folds: vec![],
            labels: vec![],
            degrees: None,
        });
    }
    out
}

/// A strip or a plate: everything in one view.
fn whole_view(pattern: &FlatPattern) -> Option<View> {
    let holes = pattern.holes.iter().map(|h| ViewHole { letter: h.letter.clone(), shape: h.shape, at: h.at }).collect();
    Some(View {
        word: "outside".to_string(),
        outline: pattern.outline.clone(),
        bounds: pattern.outline.bounds()?,
        cut_outs: pattern.cut_outs.clone(),
        holes,
        bends: pattern.bend_lines.clone(),
        datum: Point::default(),
        y_down: false,
        folds: vec![],
        labels: vec![],
        degrees: None,
    })
}

impl View {
    /// A point of the drawing as X and Y of the hole table, mm.
    pub fn from_datum(&self, p: Point) -> Point {
        let d = p - self.datum;
        Point::new(d.x, if self.y_down { -d.y } else { d.y })
    }
}
