//! Holes: what they look like on their face and where.

use crate::geom::{self, CHORD_MM, Loop, Point};

/// Shape of a hole on its face; sizes in mm, angles in radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HoleShape {
    /// A drilled hole.
    Round {
        /// Finished diameter, mm.
        diameter: f64,
    },
    /// Two round ends joined by straight sides.
    Slot {
        /// Overall length, mm, at least the width.
        length: f64,
        /// Width, mm.
        width: f64,
        /// Direction of the length, radians counter-clockwise from x.
        lies: f64,
    },
    /// An ellipse.
    Ellipse {
        /// Long axis, mm.
        major: f64,
        /// Short axis, mm.
        minor: f64,
        /// Direction of the long axis, radians counter-clockwise from x.
        lies: f64,
    },
    /// A rectangle about its centre.
    Rectangle {
        /// Along `lies`, mm.
        length: f64,
        /// Across, mm.
        width: f64,
        /// Corner radius, mm; 0 for sharp.
        corner_radius: f64,
        /// Direction of the length, radians counter-clockwise from x.
        lies: f64,
    },
}

impl HoleShape {
    /// The opening as lines and arcs about `centre`; `None` for an ellipse,
    /// which has no arcs.
    pub fn outline(&self, centre: Point) -> Option<Loop> {
        match *self {
            HoleShape::Round { diameter } => Some(geom::circle(centre, diameter)),
            HoleShape::Slot { length, width, lies } => Some(geom::slot(centre, length, width, lies)),
            HoleShape::Ellipse { .. } => None,
            HoleShape::Rectangle { length, width, corner_radius, lies } => Some(
                geom::rectangle(Point::new(-length / 2.0, -width / 2.0), length, width, corner_radius)
                    .turned(lies)
                    .moved(centre),
            ),
        }
    }

    /// The opening as straight corners within [`CHORD_MM`], for tests of overlap.
    pub fn corners(&self, centre: Point) -> Vec<Point> {
        match *self {
            HoleShape::Ellipse { major, minor, lies } => geom::ellipse_polygon(centre, major, minor, lies, CHORD_MM),
            _ => self.outline(centre).map_or_else(Vec::new, |l| l.flattened(CHORD_MM)),
        }
    }

    /// Area of the opening, mm2, exact.
    pub fn area(&self) -> f64 {
        match *self {
            HoleShape::Ellipse { major, minor, .. } => std::f64::consts::PI * major * minor / 4.0,
            _ => self.outline(Point::default()).map_or(0.0, |l| l.area()),
        }
    }

    /// Farthest reach from its centre, mm.
    pub fn reach(&self) -> f64 {
        match *self {
            HoleShape::Round { diameter } => diameter / 2.0,
            HoleShape::Slot { length, .. } => length / 2.0,
            HoleShape::Ellipse { major, minor, .. } => major.max(minor) / 2.0,
            HoleShape::Rectangle { length, width, .. } => libm::hypot(length, width) / 2.0,
        }
    }

    /// Radius about its centre within which all is open, mm.
    pub fn core(&self) -> f64 {
        match *self {
            HoleShape::Round { diameter } => diameter / 2.0,
            HoleShape::Slot { width, .. } => width / 2.0,
            HoleShape::Ellipse { major, minor, .. } => major.min(minor) / 2.0,
            HoleShape::Rectangle { length, width, .. } => length.min(width) / 2.0,
        }
    }

    /// The same shape with its direction mirrored (left to right or bottom to top).
    pub fn mirrored(self) -> Self {
        match self {
            HoleShape::Round { .. } => self,
            HoleShape::Slot { length, width, lies } => HoleShape::Slot { length, width, lies: -lies },
            HoleShape::Ellipse { major, minor, lies } => HoleShape::Ellipse { major, minor, lies: -lies },
            HoleShape::Rectangle { length, width, corner_radius, lies } => {
                HoleShape::Rectangle { length, width, corner_radius, lies: -lies }
            }
        }
    }

    /// Whether every size is a finite, positive, possible number.
    pub fn is_possible(&self) -> bool {
        let ok = |v: f64| v.is_finite() && v > 1e-3;
        match *self {
            HoleShape::Round { diameter } => ok(diameter),
            HoleShape::Slot { length, width, lies } => {
                ok(length) && ok(width) && lies.is_finite() && length >= width - 1e-9
            }
            HoleShape::Ellipse { major, minor, lies } => ok(major) && ok(minor) && lies.is_finite(),
            HoleShape::Rectangle { length, width, corner_radius, lies } => {
                ok(length)
                    && ok(width)
                    && lies.is_finite()
                    && (0.0..=length.min(width) / 2.0 + 1e-9).contains(&corner_radius)
            }
        }
    }
}

/// A hole on a face.
#[derive(Clone, Debug, PartialEq)]
pub struct Hole {
    /// Its name in the template (several holes of a pattern share one).
    pub name: String,
    /// Shape and size.
    pub shape: HoleShape,
    /// Centre on the face, mm.
    pub at: Point,
    /// Whether a bolt pulls in it: edge distances count for bolts, not for
    /// openings, drains and sleeves that are welded in.
    pub bolt: bool,
}
