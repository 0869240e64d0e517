//! Plates of a template: outlines and their holes.

use super::Builder;
use crate::geom::{self, Corner, CornerFinish, Loop, Point};
use crate::piece::{Hole, Plate, Stock};
use crate::source::Obj;

impl Builder<'_> {
    pub(super) fn plate(&mut self, obj: &Obj, holes: &[Obj], stock: &Stock) -> Option<Plate> {
        let thickness = self.length(obj, "thickness")?;
        let outline = self.outline(obj)?;
        if !self.same_stock(stock, "plate", &[thickness], obj.span.clone()) {
            return None;
        }
        let bounds = outline.bounds()?;
        // The datum is the lower left corner of the blank; a template may count
        // from the middle of the plate instead.
        let centre = Point::new(bounds.low.x + bounds.width() / 2.0, bounds.low.y + bounds.height() / 2.0);
        let zero = if obj.word("zero") == Some("centre") { centre } else { Point::default() };
        let mut placed: Vec<Hole> = vec![];
        for h in holes {
            if !self.applies(h) {
                continue;
            }
            match self.pair(h, "at") {
                Some((x, y)) => placed.extend(self.holes_at(h, zero + Point::new(x, y))),
                None if h.get("at").is_none() => self.missing(h, "at", "a hole in a plate"),
                None => {}
            }
        }
        let shift = -bounds.low;
        for h in &mut placed {
            h.at = h.at + shift;
        }
        Some(Plate { thickness, outline: outline.moved(shift), holes: placed })
    }

    fn outline(&mut self, obj: &Obj) -> Option<Loop> {
        match obj.word("outline")? {
            "rectangle" => self.rectangle(obj),
            "polygon" => self.polygon(obj),
            "disc" => {
                let diameter = self.needed(obj, "diameter", "a disc")?.to_mm();
                Some(geom::circle(Point::new(diameter / 2.0, diameter / 2.0), diameter))
            }
            _ => self.link(obj),
        }
    }

    fn made(&mut self, obj: &Obj, outline: Result<Loop, String>) -> Option<Loop> {
        match outline {
            Ok(l) => Some(l),
            Err(why) => {
                self.fault(
                    "impossible-outline",
                    format!("the outline cannot be made: {why}"),
                    obj.span.clone(),
                    "make the corners smaller or the plate larger",
                );
                None
            }
        }
    }

    fn rectangle(&mut self, obj: &Obj) -> Option<Loop> {
        let length = self.needed(obj, "length", "a rectangle")?.to_mm();
        let width = self.needed(obj, "width", "a rectangle")?.to_mm();
        let finish = self.finish(obj, "corner_radius", "corner_clip")?;
        let upper_only = obj.word("finished") == Some("upper");
        let corner = |x: f64, y: f64| Corner {
            at: Point::new(x, y),
            finish: if upper_only && y == 0.0 { CornerFinish::Sharp } else { finish },
        };
        let outline =
            geom::polygon(&[corner(0.0, 0.0), corner(length, 0.0), corner(length, width), corner(0.0, width)]);
        self.made(obj, outline)
    }

    /// A radius, a clip, or neither; 0 is none.
    fn finish(&mut self, obj: &Obj, radius: &str, clip: &str) -> Option<CornerFinish> {
        let mut size =
            |key: &str| if obj.text(key).is_some() { self.length(obj, key).map(|l| l.to_mm()) } else { Some(0.0) };
        let (r, c) = (size(radius)?, size(clip)?);
        Some(if r > 0.0 {
            CornerFinish::Radius(r)
        } else if c > 0.0 {
            CornerFinish::Clip(c)
        } else {
            CornerFinish::Sharp
        })
    }

    fn polygon(&mut self, obj: &Obj) -> Option<Loop> {
        let mut corners = vec![];
        for c in obj.list("corners") {
            let at = self.pair(c, "at");
            let finish = self.finish(c, "radius", "clip");
            corners.push(Corner { at: at.map(|(x, y)| Point::new(x, y))?, finish: finish? });
        }
        let outline = geom::polygon(&corners);
        self.made(obj, outline)
    }

    fn link(&mut self, obj: &Obj) -> Option<Loop> {
        let wall = self.needed(obj, "wall", "a link")?.to_mm();
        let mut circles = vec![];
        for r in obj.list("round") {
            let at = self.pair(r, "at");
            let size = self.length(r, "size");
            let (x, y) = at?;
            circles.push((Point::new(x, y), size?.to_mm() / 2.0 + wall));
        }
        let outline = geom::hull_of_circles(&circles);
        self.made(obj, outline)
    }
}
