//! Cross-sections as exact outlines in the (y, z) plane of the body frame.

use super::section::Profile;
use crate::geom::{Corner, CornerFinish, Loop, Point, circle, polygon, rectangle};

impl Profile {
    /// Outer outline and openings, counter-clockwise; x of the outline is the
    /// body's y, its y the body's z, mm.
    pub fn loops(&self) -> (Loop, Vec<Loop>) {
        match *self {
            Profile::FlatBar { width, thickness } => {
                (rectangle(Point::new(0.0, -thickness.to_mm()), width.to_mm(), thickness.to_mm(), 0.0), vec![])
            }
            Profile::RoundBar { diameter } => (circle(Point::default(), diameter.to_mm()), vec![]),
            Profile::RoundTube { outside, wall } => {
                let inside = outside.to_mm() - 2.0 * wall.to_mm();
                (circle(Point::default(), outside.to_mm()), vec![circle(Point::default(), inside)])
            }
            Profile::BoxTube { width, height, wall, outside_radius, inside_radius } => {
                let (w, h, t) = (width.to_mm(), height.to_mm(), wall.to_mm());
                let outer = rectangle(Point::new(0.0, -h), w, h, outside_radius.to_mm());
                let inner = rectangle(Point::new(t, t - h), w - 2.0 * t, h - 2.0 * t, inside_radius.to_mm());
                (outer, vec![inner])
            }
            Profile::Angle { flat_leg, upright_leg, wall, root_radius, toe_radius } => {
                let (a, b, t) = (flat_leg.to_mm(), upright_leg.to_mm(), wall.to_mm());
                let (root, toe) = (root_radius.to_mm(), toe_radius.to_mm());
                let corners = [
                    corner(0.0, 0.0, 0.0),
                    corner(0.0, -b, 0.0),
                    corner(t, -b, toe),
                    corner(t, -t, root),
                    corner(a, -t, toe),
                    corner(a, 0.0, 0.0),
                ];
                (polygon(&corners).unwrap_or_default(), vec![])
            }
            Profile::Channel { height, flange, wall, root_radius } => {
                let (h, f, t, root) = (height.to_mm(), flange.to_mm(), wall.to_mm(), root_radius.to_mm());
                let corners = [
                    corner(0.0, 0.0, 0.0),
                    corner(0.0, -f, 0.0),
                    corner(t, -f, 0.0),
                    corner(t, -t, root),
                    corner(h - t, -t, root),
                    corner(h - t, -f, 0.0),
                    corner(h, -f, 0.0),
                    corner(h, 0.0, 0.0),
                ];
                (polygon(&corners).unwrap_or_default(), vec![])
            }
        }
    }
}

fn corner(y: f64, z: f64, radius: f64) -> Corner {
    let finish = if radius > 0.0 { CornerFinish::Radius(radius) } else { CornerFinish::Sharp };
    Corner { at: Point::new(y, z), finish }
}
