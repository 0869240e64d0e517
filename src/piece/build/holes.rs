//! Holes of a template: shapes and patterns.

use super::Builder;
use crate::geom::Point;
use crate::piece::{Hole, HoleShape};
use crate::source::Obj;
use std::f64::consts::TAU;

/// Most holes in one pattern.
const MOST: usize = 1_000;

impl Builder<'_> {
    /// The shape of a hole.
    fn shape(&mut self, obj: &Obj) -> Option<HoleShape> {
        let kind = obj.word("shape").unwrap_or("round").to_string();
        let lies = self.angle_or(obj, "lies", 0.0);
        if kind == "round" {
            return Some(HoleShape::Round { diameter: self.needed(obj, "size", "a round hole")?.to_mm() });
        }
        let length = self.needed(obj, "length", &format!("a {kind}"))?.to_mm();
        let width = self.needed(obj, "width", &format!("a {kind}"))?.to_mm();
        let lies = lies?;
        Some(match kind.as_str() {
            // A slot no longer than wide is a drilled hole.
            "slot" if (length - width).abs() < 1e-6 => HoleShape::Round { diameter: width },
            "slot" => HoleShape::Slot { length, width, lies },
            "ellipse" => HoleShape::Ellipse { major: length, minor: width, lies },
            _ => {
                let corner_radius =
                    if obj.text("corner_radius").is_some() { self.length(obj, "corner_radius")?.to_mm() } else { 0.0 };
                HoleShape::Rectangle { length, width, corner_radius, lies }
            }
        })
    }

    /// Where the holes of a pattern sit, from its first place.
    fn pattern(&mut self, obj: &Obj, first: Point) -> Option<Vec<Point>> {
        let kind = obj.word("pattern").unwrap_or("single").to_string();
        if kind == "single" {
            return Some(vec![first]);
        }
        let count = self.count_or(obj, "count", 1)? as usize;
        let mut places = vec![];
        match kind.as_str() {
            "row" => {
                let step = if count > 1 { self.needed(obj, "step", "a row of holes")?.to_mm() } else { 0.0 };
                let along = Point::at_angle(self.angle_or(obj, "row_lies", 0.0)?) * step;
                places.extend((0..count).map(|i| first + along * i as f64));
            }
            "ring" => {
                let radius = self.needed(obj, "circle", "a ring of holes")?.to_mm() / 2.0;
                let start = self.angle_or(obj, "first_at", 0.0)?;
                places.extend(
                    (0..count).map(|i| first + Point::at_angle(start + TAU * i as f64 / count as f64) * radius),
                );
            }
            _ => {
                let rows = self.count_or(obj, "rows", 1)? as usize;
                let step = self.needed(obj, "step", "a grid of holes")?.to_mm();
                let row_step = self.needed(obj, "row_step", "a grid of holes")?.to_mm();
                if rows.saturating_mul(count) <= MOST {
                    places.extend(
                        (0..rows * count)
                            .map(|n| first + Point::new((n % count) as f64 * step, (n / count) as f64 * row_step)),
                    );
                }
            }
        }
        if places.is_empty() || places.len() > MOST {
            let message =
                format!("hole pattern `{}` has no hole or more than {MOST}", obj.word("name").unwrap_or("hole"));
            self.fault("empty-pattern", message, obj.span.clone(), "check its counts, or leave it out with `when`");
            return None;
        }
        Some(places)
    }

    /// The holes of one block, with their first centre given.
    pub(super) fn holes_at(&mut self, obj: &Obj, first: Point) -> Vec<Hole> {
        let name = obj.word("name").unwrap_or("hole").to_string();
        let (Some(shape), Some(places)) = (self.shape(obj), self.pattern(obj, first)) else { return vec![] };
        let bolt = obj.flag("bolt").unwrap_or(true);
        places.into_iter().map(|at| Hole { name: name.clone(), shape, at, bolt }).collect()
    }
}
