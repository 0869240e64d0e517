//! Faces of bodies by the kernel: edges with true arcs, ruled walls, holes
//! punched without boolean operations.

use super::SolidFault;
use super::contour::{ContourSide, Way};
use crate::geom::Point;
use std::result::Result;
use truck_modeling::{
    BSplineSurface, BoundedCurve, Curve, Edge, EuclideanSpace, Face, InnerSpace, Invertible, Line, Matrix4,
    NurbsSurface, ParametricCurve, Plane, Point3, Processor, RevolutedCurve, Shell, Solid, Surface, Transform,
    Transformed, Vector3, Vector4, Vertex, Wire, builder,
};

/// A map from a drawing plane (x, y, 0) into space.
///
/// The columns are where x, y and z go; the last is where the origin goes.
pub(super) fn map(x: Vector3, y: Vector3, z: Vector3, origin: Point3) -> Matrix4 {
    Matrix4::from_cols(x.extend(0.0), y.extend(0.0), z.extend(0.0), Vector4::new(origin.x, origin.y, origin.z, 1.0))
}

/// Where a point of the drawing plane goes, `up` mm above the plane.
pub(super) fn at(m: &Matrix4, p: Point, up: f64) -> Point3 {
    m.transform_point(Point3::new(p.x, p.y, up))
}

/// The true curve of a side, under a map.
pub(super) fn curve(side: &ContourSide, m: &Matrix4) -> Curve {
    match side.way {
        Way::Line => Curve::Line(Line(at(m, side.from, 0.0), at(m, side.to, 0.0))),
        Way::Arc(middle) => quarter_or_less(side.from, side.to, middle).transformed(*m),
        Way::Quarter(centre) => {
            let (u, v) = (side.from - centre, side.to - centre);
            let half = libm::sqrt(0.5);
            let unit = quarter_or_less(Point::new(1.0, 0.0), Point::new(0.0, 1.0), Point::new(half, half));
            let sheared = map(
                Vector3::new(u.x, u.y, 0.0),
                Vector3::new(v.x, v.y, 0.0),
                Vector3::unit_z(),
                Point3::new(centre.x, centre.y, 0.0),
            );
            unit.transformed(m * sheared)
        }
    }
}

fn quarter_or_less(from: Point, to: Point, middle: Point) -> Curve {
    let p = |q: Point| Point3::new(q.x, q.y, 0.0);
    builder::circle_arc(&builder::vertex(p(from)), &builder::vertex(p(to)), p(middle)).curve()
}

/// A contour drawn on two surfaces, with an edge between each pair of corners.
pub(super) struct Ring {
    /// On the lower (or left) surface.
    pub lower: Vec<Edge>,
    /// On the upper (or right) surface.
    pub upper: Vec<Edge>,
    /// From each lower corner to its upper one.
    pub rims: Vec<Edge>,
}

/// A straight place where a flat ends and a bend begins: its edges are shared.
#[derive(Clone)]
pub(super) struct Joint {
    /// Lower corners at y = 0 and y = width, then the upper two.
    pub corners: [Vertex; 4],
    /// Along y: lower, upper.
    pub across: [Edge; 2],
    /// From lower to upper at y = 0 and y = width.
    pub rims: [Edge; 2],
}

impl Joint {
    /// At x = 0 of a frame whose upper face is z = 0.
    pub fn new(frame: &Matrix4, width: f64, thickness: f64) -> Joint {
        let corner = |y: f64, z: f64| builder::vertex(at(frame, Point::new(0.0, y), z));
        let v = [corner(0.0, -thickness), corner(width, -thickness), corner(0.0, 0.0), corner(width, 0.0)];
        let across = [builder::line(&v[0], &v[1]), builder::line(&v[2], &v[3])];
        let rims = [builder::line(&v[0], &v[2]), builder::line(&v[1], &v[3])];
        Joint { corners: v, across, rims }
    }
}

impl Ring {
    /// A contour between two maps of its plane. `joints` gives for some sides the
    /// joint whose edges it takes, and whether the side runs against y.
    pub fn new(contour: &[ContourSide], lower: &Matrix4, upper: &Matrix4, joints: &[(usize, &Joint, bool)]) -> Ring {
        let n = contour.len();
        let mut va: Vec<Vertex> = contour.iter().map(|s| builder::vertex(at(lower, s.from, 0.0))).collect();
        let mut vb: Vec<Vertex> = contour.iter().map(|s| builder::vertex(at(upper, s.from, 0.0))).collect();
        let mut rims: Vec<Option<Edge>> = vec![None; n];
        for &(i, joint, against) in joints {
            let j = (i + 1) % n;
            let (first, second) = if against { (1, 0) } else { (0, 1) };
            for (k, end) in [(i, first), (j, second)] {
                va[k] = joint.corners[end].clone();
                vb[k] = joint.corners[2 + end].clone();
                rims[k] = Some(joint.rims[end].clone());
            }
        }
        let rims: Vec<Edge> =
            rims.into_iter().enumerate().map(|(i, r)| r.unwrap_or_else(|| builder::line(&va[i], &vb[i]))).collect();
        let edge = |v: &[Vertex], i: usize, m: &Matrix4| Edge::new(&v[i], &v[(i + 1) % n], curve(&contour[i], m));
        let mut ring = Ring { lower: vec![], upper: vec![], rims };
        for i in 0..n {
            let shared = joints.iter().find(|j| j.0 == i).map(|&(_, joint, against)| {
                let turned = |e: &Edge| if against { e.inverse() } else { e.clone() };
                [turned(&joint.across[0]), turned(&joint.across[1])]
            });
            let [a, b] = shared.unwrap_or_else(|| [edge(&va, i, lower), edge(&vb, i, upper)]);
            ring.lower.push(a);
            ring.upper.push(b);
        }
        ring
    }

    /// The wall over side `i`; it looks to the right of the side.
    pub fn wall(&self, i: usize) -> Result<Face, SolidFault> {
        let (a, b) = (&self.lower[i], &self.upper[i]);
        let edges = vec![a.clone(), self.rims[(i + 1) % self.rims.len()].clone(), b.inverse(), self.rims[i].inverse()];
        face(vec![edges.into()], ruled(&a.curve(), &b.curve())?)
    }

    /// The lower contour as a wire.
    pub fn lower_wire(&self) -> Wire {
        self.lower.iter().cloned().collect()
    }

    /// The upper contour as a wire.
    pub fn upper_wire(&self) -> Wire {
        self.upper.iter().cloned().collect()
    }
}

/// A face from its boundaries.
pub(super) fn face(boundaries: Vec<Wire>, surface: Surface) -> Result<Face, SolidFault> {
    Face::try_new(boundaries, surface).map_err(|e| SolidFault::Gate(format!("a face of the body does not close: {e}")))
}

/// The plane of a map, looking along x cross y. Built by hand, so that its side
/// never depends on a guess from the edges.
pub(super) fn plane(m: &Matrix4) -> Surface {
    let p = |x: f64, y: f64| at(m, Point::new(x, y), 0.0);
    Plane::new(p(0.0, 0.0), p(1.0, 0.0), p(0.0, 1.0)).into()
}

/// A closed body from all its faces.
pub(super) fn close(shell: Shell) -> Result<Solid, SolidFault> {
    Solid::try_new(vec![shell]).map_err(|e| SolidFault::Gate(format!("the faces of the body do not close: {e}")))
}

/// Punch an opening from face `near` to face `far` of a shell: `ring` is drawn
/// counter-clockwise as seen from outside `near`, its lower contour on `near`.
pub(super) fn punch(shell: &mut Shell, near: usize, far: usize, ring: &Ring) -> Result<(), SolidFault> {
    let fault = |e| SolidFault::Gate(format!("a hole does not fit its face: {e}"));
    shell[near].try_add_boundary(ring.lower_wire().inverse()).map_err(fault)?;
    shell[far].try_add_boundary(ring.upper_wire()).map_err(fault)?;
    for i in 0..ring.lower.len() {
        shell.push(ring.wall(i)?);
    }
    Ok(())
}

/// The surface of straight lines between two curves; its side is (along the
/// curve) cross (from the first curve to the second).
pub(super) fn ruled(first: &Curve, second: &Curve) -> Result<Surface, SolidFault> {
    match (first, second) {
        (Curve::Line(a), Curve::Line(b)) => {
            // Coplanar by construction; the longer one gives the steadier direction.
            let long = if (a.1 - a.0).magnitude() >= (b.1 - b.0).magnitude() { a } else { b };
            let (u, d) = (long.1 - long.0, (b.0 - a.0).normalize());
            let v = (d - u * (d.dot(u) / u.magnitude2())).normalize() * u.magnitude();
            Ok(Plane::new(a.0, a.0 + u, a.0 + v).into())
        }
        (Curve::NurbsCurve(a), Curve::NurbsCurve(b)) => Ok(cylinder(first, second).unwrap_or_else(|| {
            NurbsSurface::new(BSplineSurface::homotopy(a.non_rationalized().clone(), b.non_rationalized().clone()))
                .into()
        })),
        _ => Err(SolidFault::Gate("a wall of the body has unlike edges".to_string())),
    }
}

/// A right cylinder as a revolved line, when both curves are the same circular
/// arc shifted along its axis: lighter to mesh than a free surface.
fn cylinder(first: &Curve, second: &Curve) -> Option<Surface> {
    let (from, to) = first.range_tuple();
    let on = |c: &Curve, f: f64| c.subs(from + (to - from) * f);
    let (p0, p1, p2) = (on(first, 0.0), on(first, 0.5), on(first, 1.0));
    let axis = (p1 - p0).cross(p2 - p1);
    if axis.magnitude() < 1e-12 {
        return None;
    }
    let axis = axis.normalize();
    let (u, v) = (p1 - p0, p2 - p0);
    let w = u.cross(v);
    let centre = p0 + (u.magnitude2() * v.cross(w) + v.magnitude2() * w.cross(u)) / (2.0 * w.magnitude2());
    let radius = (p0 - centre).magnitude();
    let noise = 1e-9 * radius.max(1.0);
    let round = [0.13, 0.31, 0.77].iter().all(|&f| ((on(first, f) - centre).magnitude() - radius).abs() < noise);
    let shift = on(second, 0.0) - p0;
    let same = [0.31, 0.77, 1.0].iter().all(|&f| (on(second, f) - on(first, f) - shift).magnitude() < noise);
    if !round || !same || shift.cross(axis).magnitude() > 1e-9 * shift.magnitude() {
        return None;
    }
    // The line that is revolved stands an eighth of a turn before the arc: the
    // kernel's search loses half its digits near 0 and 180 degrees of it.
    let eighth = libm::sqrt(0.5);
    let arm = p0 - centre;
    let arm = arm * eighth - axis.cross(arm) * eighth;
    let start: Point3 = Point3::from_vec(centre.to_vec() + arm);
    let revolved = RevolutedCurve::by_revolution(Curve::Line(Line(start, start + shift)), centre, axis);
    Some(Surface::RevolutedCurve(Processor::new(revolved).inverse()))
}
