//! A page as plain data in millimetres: what is drawn, on which layer, with which line.
//!
//! ```text
//!   y ^  +----------+   origin: lower left corner of the paper
//!     |  |          |   angles counter-clockwise from x
//!     |  |          |
//!     |  +----------+
//!     +-------------> x
//! ```

use crate::geom::{Bounds, Loop, Point};

/// What an item is for; a reader of the file can switch each layer on and off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// Finished edges.
    Cut,
    /// Rims of holes.
    Holes,
    /// Bend lines and tangent lines.
    Bends,
    /// Cross hairs, punch crosses and axes.
    Centre,
    /// Letters, labels and tables.
    Notes,
    /// Title block, check bars, marks for taping.
    Frame,
}

impl Layer {
    /// Every layer, in the order they are listed to the reader.
    pub const ALL: [Layer; 6] = [Layer::Cut, Layer::Holes, Layer::Bends, Layer::Centre, Layer::Notes, Layer::Frame];

    /// Its name in files.
    pub fn word(self) -> &'static str {
        match self {
            Layer::Cut => "Cut line",
            Layer::Holes => "Holes",
            Layer::Bends => "Bend lines",
            Layer::Centre => "Centre lines",
            Layer::Notes => "Letters and notes",
            Layer::Frame => "Frame and check bars",
        }
    }
}

/// How a line looks. Widths from the series 0.18, 0.25, 0.5 mm.
///
/// # Source
/// ISO 128-2:2020, line types 01.1, 01.2, 02.1, 04.1 (from a secondary source), 05.1 (from memory);
/// wide to narrow 2:1. Hairline for drilling marks: common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineType {
    /// Continuous, 0.5 mm: the finished edge.
    Wide,
    /// Continuous, 0.25 mm: bend lines, frames, leaders.
    Narrow,
    /// Continuous, 0.18 mm: rims and cross hairs, so that a punch mark stays visible.
    Hairline,
    /// Dashed, 0.25 mm: tangent lines.
    Dashed,
    /// Long dash and dot, 0.25 mm: centre lines.
    LongDashDot,
    /// Long dash and two dots, 0.25 mm: outlines of what is there already.
    LongDashTwoDots,
}

impl LineType {
    /// Width, mm.
    pub fn width_mm(self) -> f64 {
        match self {
            LineType::Wide => 0.5,
            LineType::Narrow | LineType::Dashed | LineType::LongDashDot | LineType::LongDashTwoDots => 0.25,
            LineType::Hairline => 0.18,
        }
    }

    /// Dashes and gaps in turn, mm; empty for a continuous line. In widths of
    /// the line: dash 12, gap 3; long dash 24, gap 3, dot 0.5, gap 3.
    pub fn dashes_mm(self) -> &'static [f64] {
        match self {
            LineType::Dashed => &[3.0, 0.75],
            LineType::LongDashDot => &[6.0, 0.75, 0.125, 0.75],
            LineType::LongDashTwoDots => &[6.0, 0.75, 0.125, 0.75, 0.125, 0.75],
            _ => &[],
        }
    }
}

/// Which point of a line of text stands at its position, on the base line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// The text begins there.
    Left,
    /// The text is centred there.
    Middle,
    /// The text ends there.
    Right,
}

/// A line of text.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Where it is anchored, mm.
    pub at: Point,
    /// Height of its capitals, mm.
    pub size_mm: f64,
    /// Direction of reading, degrees counter-clockwise from x.
    pub angle_deg: f64,
    /// Which end stands at `at`.
    pub anchor: Anchor,
    /// What it says.
    pub text: String,
}

/// Something to stroke.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A straight line.
    Line {
        /// Start, mm.
        from: Point,
        /// End, mm.
        to: Point,
    },
    /// Part of a circle.
    Arc {
        /// Centre, mm.
        centre: Point,
        /// Radius, mm.
        radius: f64,
        /// Direction of its start from the centre, radians.
        start_rad: f64,
        /// How far it runs, radians, counter-clockwise positive.
        sweep_rad: f64,
    },
    /// A whole ellipse.
    Ellipse {
        /// Centre, mm.
        centre: Point,
        /// Long axis, mm.
        major: f64,
        /// Short axis, mm.
        minor: f64,
        /// Direction of the long axis, radians counter-clockwise from x.
        lies_rad: f64,
    },
    /// A closed outline.
    Outline(Loop),
}

/// One thing on a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A stroked shape.
    Stroke {
        /// What it is for.
        layer: Layer,
        /// How its line looks.
        line: LineType,
        /// What is drawn.
        shape: Shape,
    },
    /// A filled outline without a line round it: its edges are exact.
    Fill {
        /// What it is for.
        layer: Layer,
        /// What is filled.
        outline: Loop,
    },
    /// A line of text.
    Text {
        /// What it is for.
        layer: Layer,
        /// The text.
        text: Text,
    },
    /// A view onto other items: they are moved, then cut off at a rectangle.
    Window {
        /// The rectangle that stays visible, page coordinates, mm.
        clip: Bounds,
        /// Added to every coordinate inside, mm.
        offset: Point,
        /// What is seen; never another window.
        items: Vec<Item>,
    },
}

/// A page.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Width of the paper, mm.
    pub width: f64,
    /// Height of the paper, mm.
    pub height: f64,
    /// Every coordinate is drawn so many times as large, x and y: the printer's
    /// correction; 1 and 1 for a true printer.
    pub scale: (f64, f64),
    /// What is on it, first drawn first.
    pub items: Vec<Item>,
}

impl Item {
    /// A straight line.
    pub fn line(layer: Layer, line: LineType, from: Point, to: Point) -> Item {
        Item::Stroke { layer, line, shape: Shape::Line { from, to } }
    }

    /// A closed outline.
    pub fn outline(layer: Layer, line: LineType, outline: Loop) -> Item {
        Item::Stroke { layer, line, shape: Shape::Outline(outline) }
    }

    /// A level line of text that begins at `at`, capitals `size_mm` high.
    pub fn text(layer: Layer, at: Point, size_mm: f64, text: impl Into<String>) -> Item {
        Item::Text { layer, text: Text { at, size_mm, angle_deg: 0.0, anchor: Anchor::Left, text: text.into() } }
    }

    /// The upright box round it, mm, without the width of its line; `None` for
    /// an empty outline.
    pub fn bounds(&self) -> Option<Bounds> {
        match self {
            Item::Stroke { shape, .. } => shape.bounds(),
            Item::Fill { outline, .. } => outline.bounds(),
            Item::Text { text, .. } => Some(text.bounds()),
            Item::Window { clip, .. } => Some(*clip),
        }
    }
}

impl Shape {
    /// The upright box round it, mm; for an arc, round its whole circle.
    pub fn bounds(&self) -> Option<Bounds> {
        let round = |c: Point, rx: f64, ry: f64| Bounds { low: c - Point::new(rx, ry), high: c + Point::new(rx, ry) };
        match self {
            Shape::Line { from, to } => Bounds::of([*from, *to]),
            Shape::Arc { centre, radius, .. } => Some(round(*centre, *radius, *radius)),
            Shape::Ellipse { centre, major, minor, lies_rad } => {
                let (c, s) = (libm::cos(*lies_rad), libm::sin(*lies_rad));
                let reach = |a: f64, b: f64| libm::hypot(a * major, b * minor) / 2.0;
                Some(round(*centre, reach(c, s), reach(s, c)))
            }
            Shape::Outline(l) => l.bounds(),
        }
    }
}

impl Text {
    /// The upright box round it, mm, with room for descenders.
    pub fn bounds(&self) -> Bounds {
        let w = super::lettering::width_mm(&self.text, self.size_mm);
        let left = match self.anchor {
            Anchor::Left => 0.0,
            Anchor::Middle => -w / 2.0,
            Anchor::Right => -w,
        };
        let (low, high) = (-super::lettering::DESCENT * self.size_mm, self.size_mm);
        let angle = self.angle_deg.to_radians();
        let corner = |x: f64, y: f64| self.at + Point::new(x, y).turned(angle);
        Bounds::of([corner(left, low), corner(left + w, low), corner(left + w, high), corner(left, high)])
            .expect("four corners have bounds")
    }
}

/// A rectangle grown by `by` mm on every side (shrunk when negative).
pub(crate) fn grown(b: Bounds, by: f64) -> Bounds {
    Bounds { low: b.low - Point::new(by, by), high: b.high + Point::new(by, by) }
}

/// Whether two rectangles share more than an edge.
pub(crate) fn overlap(a: &Bounds, b: &Bounds) -> bool {
    a.low.x < b.high.x && b.low.x < a.high.x && a.low.y < b.high.y && b.low.y < a.high.y
}

/// Whether `inner` lies in `outer`, to a millionth of a millimetre.
pub(crate) fn holds(outer: &Bounds, inner: &Bounds) -> bool {
    const NOISE_MM: f64 = 1e-6;
    inner.low.x >= outer.low.x - NOISE_MM
        && inner.low.y >= outer.low.y - NOISE_MM
        && inner.high.x <= outer.high.x + NOISE_MM
        && inner.high.y <= outer.high.y + NOISE_MM
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_ellipse_on_its_side_is_as_wide_as_its_short_axis() {
        let e = Shape::Ellipse {
            centre: Point::new(5.0, 6.0),
            major: 30.0,
            minor: 10.0,
            lies_rad: std::f64::consts::FRAC_PI_2,
        };
        let b = e.bounds().expect("an ellipse has bounds");
        assert!((b.width() - 10.0).abs() < 1e-9 && (b.height() - 30.0).abs() < 1e-9);
        assert!((b.low.x - 0.0).abs() < 1e-9 && (b.high.y - 21.0).abs() < 1e-9);
    }

    #[test]
    fn upright_text_is_taller_than_wide() {
        let text = Text {
            at: Point::default(),
            size_mm: 3.0,
            angle_deg: 90.0,
            anchor: Anchor::Middle,
            text: "bend up".into(),
        };
        let b = text.bounds();
        assert!(b.height() > 2.0 * b.width());
        assert!((b.low.y + b.high.y).abs() < 1e-9);
    }
}
