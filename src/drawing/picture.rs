//! Pictures of bodies as lines: feature edges only, hidden ones removed.
//!
//! ```text
//!   meshes in their frames -> edges that a view shows -> what stands before
//!   them taken off -> strokes, mm in the plane of the picture
//! ```
//!
//! Hidden lines are worked out exactly, edge against triangle; no pixel takes
//! part in it, so a picture is as sharp as the paper it is printed on.

mod edges;
mod hidden;
mod look;
mod shade;
mod strokes;

pub use look::Look;
pub use shade::{Raster, shade};
pub use strokes::{Pen, Stroke};

use crate::geom::{Bounds, Point};
use crate::solid::Mesh;
use crate::space::{Frame, Point3};
use std::sync::Arc;

/// A body where it stands.
#[derive(Clone, Copy, Debug)]
pub struct Standing<'a> {
    /// Its skin, in its own frame.
    pub mesh: &'a Mesh,
    /// Where it stands.
    pub frame: Frame,
    /// Part of what is there already: outlines only, it hides nothing.
    pub faint: bool,
    /// Colour for a shaded picture, red, green and blue from 0 to 255.
    pub colour: [u8; 3],
}

/// What a view shows, mm at full size, in the plane of the picture.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Picture {
    /// Lines, thick ones last.
    pub strokes: Vec<Stroke>,
}

impl Picture {
    /// The upright box round all strokes; `None` for an empty picture.
    pub fn bounds(&self) -> Option<Bounds> {
        Bounds::of(self.strokes.iter().flat_map(|s| s.points.iter().copied()))
    }

    /// Length of all strokes of a pen, mm.
    pub fn length(&self, pen: Pen) -> f64 {
        let one = |s: &Stroke| s.points.windows(2).map(|w| w[0].distance(w[1])).sum::<f64>();
        self.strokes.iter().filter(|s| s.pen == pen).map(one).sum()
    }
}

/// A body turned into a view: x to the right, y up, z towards the viewer, mm.
struct Turned {
    points: Vec<Point3>,
}

impl Turned {
    fn new(standing: &Standing, look: Look) -> Turned {
        let (right, up) = look.axes();
        let towards = right.cross(up);
        let f = standing.frame;
        let turned = |p: &Point3| {
            let q = f.place(*p);
            Point3::new(q.dot(right), q.dot(up), q.dot(towards))
        };
        Turned { points: standing.mesh.positions.iter().map(turned).collect() }
    }

    fn corners(&self, t: &[u32; 3]) -> [Point3; 3] {
        t.map(|i| self.points[i as usize])
    }
}

fn flat(p: Point3) -> Point {
    Point::new(p.x, p.y)
}

/// The lines that a view shows of these bodies.
pub fn draw(bodies: &[Standing], look: Look) -> Picture {
    seen(bodies, &all_sides(bodies), look)
}

/// The edges of each body; bodies of one mesh have them once.
fn all_sides(bodies: &[Standing]) -> Vec<Arc<edges::Sides>> {
    let mut out: Vec<Arc<edges::Sides>> = vec![];
    for (i, body) in bodies.iter().enumerate() {
        let known = bodies[..i].iter().position(|b| std::ptr::eq(b.mesh, body.mesh));
        out.push(known.map_or_else(|| Arc::new(edges::sides(body.mesh)), |k| Arc::clone(&out[k])));
    }
    out
}

fn seen(bodies: &[Standing], sides: &[Arc<edges::Sides>], look: Look) -> Picture {
    let turned: Vec<Turned> = bodies.iter().map(|b| Turned::new(b, look)).collect();
    let screen = hidden::Screen::new(bodies, &turned);
    let mut spans = vec![];
    for (k, body) in bodies.iter().enumerate() {
        for e in edges::shown(body, &sides[k], &turned[k]) {
            spans.extend(screen.visible(k, &e).into_iter().map(|(a, b)| (e.pen, a, b)));
        }
    }
    Picture { strokes: strokes::chained(spans) }
}

/// The corner that shows most of these bodies, of the two upper front ones.
pub fn best_corner(bodies: &[Standing]) -> (Look, Picture) {
    let sides = all_sides(bodies);
    let (right, left) =
        rayon::join(|| seen(bodies, &sides, Look::RightCorner), || seen(bodies, &sides, Look::LeftCorner));
    // A tie keeps the right one.
    if left.length(Pen::Edge) > right.length(Pen::Edge) * 1.02 {
        (Look::LeftCorner, left)
    } else {
        (Look::RightCorner, right)
    }
}

#[cfg(test)]
mod tests;
