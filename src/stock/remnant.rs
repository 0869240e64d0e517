//! Offcuts of plate that are no rectangle: corners and holes.

use super::lower::Lower;
use crate::diag::Diagnostic;
use crate::geom::{Inside, Loop, Point, is_simple, loop_inside, rectangle};
use crate::source::{Obj, Text};
use crate::units::{Dim, Length, System, show_length};

/// Corners of the polygon that stands for a round hole: it lies outside of the
/// circle by 0.2 % of the radius at most.
const ROUND_CORNERS: usize = 48;

/// What an offcut of plate says of its shape.
#[derive(Default)]
pub(super) struct Remnant {
    /// Corners; empty for a rectangle.
    pub outline: Vec<Point>,
    /// Corners of each hole.
    pub holes: Vec<Vec<Point>>,
    /// Length and width of the box round the outline.
    pub size: Option<(Length, Length)>,
}

impl Lower<'_> {
    /// The outline and the holes; nothing where one of them is at fault.
    pub(super) fn remnant(&mut self, obj: &Obj) -> Option<Remnant> {
        let mut out = Remnant::default();
        let texts = obj.texts("outline").to_vec();
        if let Some(first) = texts.first() {
            let corners = self.corners(&texts)?;
            let low_x = corners.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
            let low_y = corners.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
            let bounds = self.outline(&corners, first)?.bounds()?;
            // Measured from its own lower left, wherever the person began.
            let shift = Point::new(low_x, low_y);
            out.outline = corners.iter().map(|p| *p - shift).collect();
            out.size = Some((Length::mm(bounds.width()), Length::mm(bounds.height())));
            for hole in obj.list("hole") {
                out.holes.push(self.hole(hole)?.into_iter().map(|p| p - shift).collect());
            }
            return Some(out);
        }
        for hole in obj.list("hole") {
            out.holes.push(self.hole(hole)?);
        }
        Some(out)
    }

    /// Holes lie in the steel and do not meet.
    pub(super) fn holes_are_inside(
        &mut self,
        obj: &Obj,
        outline: &[Point],
        holes: &[Vec<Point>],
        (length, width): (Length, Option<Length>),
    ) {
        let whole = if outline.is_empty() {
            rectangle(Point::default(), length.to_mm(), width.unwrap_or_default().to_mm(), 0.0)
        } else {
            Loop::straight(outline)
        };
        for (i, (hole, written)) in holes.iter().zip(obj.list("hole")).enumerate() {
            let other = |j: usize| {
                loop_inside(&Loop::straight(&holes[j]), hole) != Inside::Outside
                    || loop_inside(&Loop::straight(hole), &holes[j]) != Inside::Outside
            };
            let says = if !matches!(loop_inside(&whole, hole), Inside::Clear(_)) {
                "this hole is not wholly inside the plate"
            } else if (0..i).any(other) {
                "this hole meets another one"
            } else {
                continue;
            };
            let d = Diagnostic::error("bad-outline", says, self.file, written.span.clone());
            self.out.push(
                d.help("places are measured from the lower left corner; leave out a hole that the outline goes round"),
            );
        }
    }

    fn corners(&mut self, texts: &[Text]) -> Option<Vec<Point>> {
        let mut out = vec![];
        for text in texts {
            let parts: Vec<&str> = text.value.split(',').collect();
            let [along, up] = parts[..] else {
                self.say(
                    "bad-outline",
                    format!("\"{}\" is no corner", text.value),
                    text,
                    Some("write along and up, like \"600 mm, 0 mm\"".into()),
                );
                continue;
            };
            let mut part = |from: usize, to: usize| {
                let text = text.part(from..to);
                self.scope.quantity(&text, Dim::LENGTH, self.out)
            };
            let x = part(0, along.len());
            let y = part(along.len() + 1, along.len() + 1 + up.len());
            if let (Some(x), Some(y)) = (x, y) {
                out.push(Point::new(x, y));
            }
        }
        (out.len() == texts.len()).then_some(out)
    }

    /// The corners as an outline that can be cut from.
    fn outline(&mut self, corners: &[Point], first: &Text) -> Option<Loop> {
        let outline = Loop::straight(corners);
        let least = Length::mm(1.0);
        let wrong = if corners.len() < 3 {
            Some("an outline has three corners or more".to_string())
        } else if corners.windows(2).any(|w| w[0].distance(w[1]) < 1e-6) {
            Some("two corners one behind the other are the same".to_string())
        } else if outline.bounds().is_none_or(|b| b.width().min(b.height()) < least.to_mm()) {
            Some(format!("the outline has no area: its corners lie within {}", show_length(least, System::Metric)))
        } else if !is_simple(&outline) {
            Some("the outline crosses itself".to_string())
        } else if outline.area().abs() < least.to_mm() {
            Some("the outline has no area".to_string())
        } else {
            None
        };
        let Some(message) = wrong else { return Some(outline) };
        self.say(
            "bad-outline",
            message,
            first,
            Some("give the corners in the order in which a finger goes round the plate".into()),
        );
        None
    }

    fn hole(&mut self, obj: &Obj) -> Option<Vec<Point>> {
        let texts = obj.texts("outline").to_vec();
        if let Some(first) = texts.first() {
            let corners = self.corners(&texts)?;
            self.outline(&corners, first)?;
            return Some(corners);
        }
        let at = obj.texts("at").to_vec();
        let [along, up] = &at[..] else { return None };
        let x = self.scope.quantity(along, Dim::LENGTH, self.out);
        let y = self.scope.quantity(up, Dim::LENGTH, self.out);
        let middle = Point::new(x?, y?);
        if obj.get("size").is_some() {
            let radius = self.length(obj, "size")?.to_mm() / 2.0;
            let step = std::f64::consts::TAU / ROUND_CORNERS as f64;
            let round = radius / libm::cos(step / 2.0);
            return Some((0..ROUND_CORNERS).map(|i| middle + Point::at_angle(step * i as f64) * round).collect());
        }
        let (length, width) = (self.length(obj, "length")?.to_mm(), self.length(obj, "width")?.to_mm());
        let half = Point::new(length / 2.0, width / 2.0);
        let (low, high) = (middle - half, middle + half);
        Some(vec![low, Point::new(high.x, low.y), high, Point::new(low.x, high.y)])
    }
}
