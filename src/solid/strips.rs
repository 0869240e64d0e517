//! Bent strips: two skins and a rim with shared edges, flat by flat and bend
//! by bend; no boolean operation.

use super::bricks::{Axes, Made, closed, edge, hole_wire, ruled};
use crate::geom::{Corner, CornerFinish, Loop, Point, Segment, polygon};
use crate::piece::{Bend, BendTurn, EndShape, Step, Strip};
use std::f64::consts::FRAC_PI_2;
use truck_modeling::{
    Edge, EuclideanSpace, Face, Matrix4, Plane, Point3, Rad, Shell, Solid, Surface, Transform, Vector3, Vertex, Wire,
    builder,
};

/// The line where a flat meets a bend: both skins, shared by both.
#[derive(Clone)]
struct Joint {
    /// Lower skin at y = 0 and y = width, upper skin likewise.
    corners: [Vertex; 4],
    /// Across the lower skin, across the upper skin.
    across: [Edge; 2],
    /// Through the thickness at y = 0 and y = width.
    rim: [Edge; 2],
}

fn joint(axes: &Axes, x: f64, width: f64, thickness: f64) -> Joint {
    let n = axes.normal();
    let vertex = |y: f64, d: f64| builder::vertex(axes.at(Point::new(x, y)) + n * d);
    let corners = [vertex(0.0, 0.0), vertex(width, 0.0), vertex(0.0, thickness), vertex(width, thickness)];
    let across = [builder::line(&corners[0], &corners[1]), builder::line(&corners[2], &corners[3])];
    let rim = [builder::line(&corners[0], &corners[2]), builder::line(&corners[1], &corners[3])];
    Joint { corners, across, rim }
}

fn made(edges: Vec<Edge>, surface: Surface) -> Made<Face> {
    Face::try_new(vec![Wire::from(edges)], surface).map_err(|e| e.to_string())
}

/// The strip: its first flat lies in the xy plane with the outside face at z = 0.
pub(super) fn strip(strip: &Strip) -> Made<Solid> {
    let (width, thickness) = (strip.width.to_mm(), strip.thickness.to_mm());
    let mut walk = Walk {
        axes: Axes { origin: Point3::new(0.0, 0.0, -thickness), x: Vector3::unit_x(), y: Vector3::unit_y() },
        shell: Shell::new(),
        start: None,
        width,
        thickness,
    };
    let last = strip.steps.len().saturating_sub(1);
    for (i, step) in strip.steps.iter().enumerate() {
        match step {
            Step::Flat(f) => {
                let holes: Vec<Wire> = strip
                    .holes
                    .iter()
                    .filter(|h| h.step == i)
                    .map(|h| {
                        let xs = h.hole.shape.corners(h.hole.at).into_iter().map(|p| p.x);
                        let (low, high) = xs.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)));
                        let inside = (low > 0.0 || i == 0) && (high < f.length.to_mm() || i == last);
                        inside.then(|| hole_wire(h.hole.shape, h.hole.at, &walk.axes)).ok_or_else(|| {
                            format!(
                                "hole `{}` runs into a bend, which is drilled after bending and not built",
                                h.hole.name
                            )
                        })
                    })
                    .collect::<Made<_>>()?;
                let left = (i == 0).then_some(strip.left);
                let right = (i == last).then_some(strip.right);
                walk.flat(f.length.to_mm(), left, right, &holes)?;
            }
            Step::Bend(b) => walk.bend(b)?,
        }
    }
    closed(walk.shell)
}

struct Walk {
    /// Lower skin of the current flat, its start at the origin.
    axes: Axes,
    shell: Shell,
    /// Where the last bend ended.
    start: Option<Joint>,
    width: f64,
    thickness: f64,
}

/// Outline of a flat with the finish of its free ends.
fn flat_outline(length: f64, width: f64, left: Option<EndShape>, right: Option<EndShape>) -> Made<Loop> {
    let finish = |e: Option<EndShape>| match e {
        None | Some(EndShape::Square) => CornerFinish::Sharp,
        Some(EndShape::Rounded) => CornerFinish::Radius(width / 2.0),
        Some(EndShape::Radius(r)) => CornerFinish::Radius(r),
        Some(EndShape::Clipped(c)) => CornerFinish::Clip(c),
    };
    let corner = |x: f64, y: f64, e: Option<EndShape>| Corner { at: Point::new(x, y), finish: finish(e) };
    polygon(&[
        corner(0.0, 0.0, left),
        corner(length, 0.0, right),
        corner(length, width, right),
        corner(0.0, width, left),
    ])
}

impl Walk {
    fn flat(&mut self, length: f64, left: Option<EndShape>, right: Option<EndShape>, holes: &[Wire]) -> Made<()> {
        let (axes, t) = (self.axes, self.thickness);
        let lift = axes.normal() * t;
        let end = right.is_none().then(|| joint(&axes, length, self.width, t));
        let outline = flat_outline(length, self.width, left, right)?.quartered();
        let segments = outline.segments();
        let n = segments.len();
        let mut low: Vec<Vertex> = segments.iter().map(|s| builder::vertex(axes.at(s.from()))).collect();
        let mut high: Vec<Vertex> = segments.iter().map(|s| builder::vertex(axes.at(s.from()) + lift)).collect();
        let mut rim: Vec<Option<Edge>> = vec![None; n];
        let mut shared: Vec<Option<(Edge, Edge)>> = vec![None; n];
        for i in 0..n {
            let next = (i + 1) % n;
            let at_x = |x: f64| matches!(segments[i], Segment::Line { from, to } if (from.x - x).abs() < 1e-9 && (to.x - x).abs() < 1e-9);
            // Counter-clockwise: the right end runs up, the left end runs down.
            if let Some(j) = end.as_ref().filter(|_| at_x(length)) {
                take(&mut low, &mut high, &mut rim, (i, next), j, (0, 1));
                shared[i] = Some((j.across[0].clone(), j.across[1].clone()));
            }
            if let Some(j) = self.start.as_ref().filter(|_| at_x(0.0)) {
                take(&mut low, &mut high, &mut rim, (i, next), j, (1, 0));
                shared[i] = Some((j.across[0].inverse(), j.across[1].inverse()));
            }
        }
        let rim: Vec<Edge> =
            (0..n).map(|i| rim[i].clone().unwrap_or_else(|| builder::line(&low[i], &high[i]))).collect();
        let (mut below, mut above): (Vec<Edge>, Vec<Edge>) = (vec![], vec![]);
        for i in 0..n {
            if let Some((a, b)) = &shared[i] {
                below.push(a.clone());
                above.push(b.clone());
                continue;
            }
            let next = (i + 1) % n;
            let a = edge(&low[i], &low[next], &segments[i], &axes, 0.0);
            let b = edge(&high[i], &high[next], &segments[i], &axes, t);
            let side = vec![a.clone(), rim[next].clone(), b.inverse(), rim[i].inverse()];
            self.shell.push(made(side, ruled(&a.curve(), &b.curve()))?);
            below.push(a);
            above.push(b);
        }
        self.skins(below, above, holes)?;
        self.start = end;
        self.axes.origin += axes.x * length;
        Ok(())
    }

    /// Lower and upper skin of a flat, and the walls of its holes.
    fn skins(&mut self, below: Vec<Edge>, above: Vec<Edge>, holes: &[Wire]) -> Made<()> {
        let axes = self.axes;
        let upper = Axes { origin: axes.origin + axes.normal() * self.thickness, ..axes };
        let mut lower = Face::try_new(vec![Wire::from(below)], axes.plane()).map_err(|e| e.to_string())?;
        lower.invert();
        self.shell.push(lower);
        let a = self.shell.len() - 1;
        self.shell.push(Face::try_new(vec![Wire::from(above)], upper.plane()).map_err(|e| e.to_string())?);
        for hole in holes {
            // Seen from outside the upper face, the wire that was laid on the
            // lower skin is lifted and led back down.
            let lifted: Wire = builder::translated(hole, axes.normal() * self.thickness);
            super::bricks::punch(&mut self.shell, a + 1, a, &lifted, axes.normal() * -self.thickness)?;
        }
        Ok(())
    }

    fn bend(&mut self, bend: &Bend) -> Made<()> {
        let up = if bend.turn == BendTurn::Up { 1.0 } else { -1.0 };
        let angle = bend.angle.to_radians();
        let parts = (angle / FRAC_PI_2 - 1e-9).ceil().max(1.0) as usize;
        let radius = bend.inside_radius.to_mm() + if up > 0.0 { self.thickness } else { 0.0 };
        let centre = self.axes.origin + self.axes.normal() * (up * radius);
        for _ in 0..parts {
            self.quarter(centre, up, angle / parts as f64)?;
        }
        Ok(())
    }

    /// A bend of at most a quarter turn about an axis through `centre`.
    fn quarter(&mut self, centre: Point3, up: f64, angle: f64) -> Made<()> {
        let before = self.start.take().ok_or("a bend needs a flat before it")?;
        let axis = self.axes.y * -up;
        let about = |a: f64| {
            Matrix4::from_translation(centre.to_vec())
                * Matrix4::from_axis_angle(axis, Rad(a))
                * Matrix4::from_translation(-centre.to_vec())
        };
        let (half, full) = (about(angle / 2.0), about(angle));
        let axes = Axes {
            origin: full.transform_point(self.axes.origin),
            x: full.transform_vector(self.axes.x),
            y: self.axes.y,
        };
        let after = joint(&axes, 0.0, self.width, self.thickness);
        let arcs: Vec<Edge> = (0..4)
            .map(|i| {
                let (p, q): (&Vertex, &Vertex) = (&before.corners[i], &after.corners[i]);
                builder::circle_arc(p, q, half.transform_point(p.point()))
            })
            .collect();
        let skin = |i: usize, j: usize| ruled(&arcs[i].curve(), &arcs[j].curve());
        let around = |i: usize, j: usize, far: &Edge, near: &Edge| {
            vec![arcs[i].clone(), far.clone(), arcs[j].inverse(), near.inverse()]
        };
        let mut lower = made(around(0, 1, &after.across[0], &before.across[0]), skin(0, 1))?;
        lower.invert();
        let upper = made(around(2, 3, &after.across[1], &before.across[1]), skin(2, 3))?;
        let side = |y: f64| -> Surface {
            let o = axes.origin + axes.y * y;
            Plane::new(o, o + axes.x, o + axes.normal()).into()
        };
        let near = made(around(0, 2, &after.rim[0], &before.rim[0]), side(0.0))?;
        let mut far = made(around(1, 3, &after.rim[1], &before.rim[1]), side(self.width))?;
        far.invert();
        for face in [lower, upper, near, far] {
            self.shell.push(face);
        }
        self.axes = axes;
        self.start = Some(after);
        Ok(())
    }
}

/// Take over the vertices and rim edges of a joint for the side `i` to `next`;
/// `order` says which end of the joint comes first.
fn take(
    low: &mut [Vertex],
    high: &mut [Vertex],
    rim: &mut [Option<Edge>],
    (i, next): (usize, usize),
    j: &Joint,
    order: (usize, usize),
) {
    low[i] = j.corners[order.0].clone();
    low[next] = j.corners[order.1].clone();
    high[i] = j.corners[2 + order.0].clone();
    high[next] = j.corners[2 + order.1].clone();
    rim[i] = Some(j.rim[order.0].clone());
    rim[next] = Some(j.rim[order.1].clone());
}
