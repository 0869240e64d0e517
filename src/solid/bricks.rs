//! Wires, faces and sweeps of truck from our outlines.

use crate::geom::{Loop, Point, Segment};
use crate::piece::HoleShape;
use truck_modeling::topo_traits::Sweep;
use truck_modeling::{
    BSplineSurface, Curve, Edge, Face, InnerSpace, Line, Matrix4, NurbsSurface, Plane, Point3, Rad, Shell, Solid,
    SquareMatrix, Surface, Transform, Vector3, Vertex, Wire, builder,
};

pub(super) type Made<T> = Result<T, String>;

/// A plane with axes: x and y in the plane, the normal outwards.
#[derive(Clone, Copy, Debug)]
pub(super) struct Axes {
    pub origin: Point3,
    pub x: Vector3,
    pub y: Vector3,
}

impl Axes {
    pub fn at(&self, p: Point) -> Point3 {
        self.origin + self.x * p.x + self.y * p.y
    }
    pub fn normal(&self) -> Vector3 {
        self.x.cross(self.y)
    }
    fn matrix(&self) -> Matrix4 {
        let n = self.normal();
        Matrix4::from_cols(
            self.x.extend(0.0),
            self.y.extend(0.0),
            n.extend(0.0),
            (self.origin - Point3::new(0.0, 0.0, 0.0)).extend(1.0),
        )
    }
    pub fn plane(&self) -> Surface {
        Plane::new(self.origin, self.origin + self.x, self.origin + self.y).into()
    }
}

/// A loop as a closed wire, counter-clockwise about the normal.
pub(super) fn wire(outline: &Loop, axes: &Axes) -> Wire {
    let segments = outline.quartered().segments();
    let n = segments.len();
    let vertices: Vec<Vertex> = segments.iter().map(|s| builder::vertex(axes.at(s.from()))).collect();
    (0..n).map(|i| edge(&vertices[i], &vertices[(i + 1) % n], &segments[i], axes, 0.0)).collect()
}

/// The edge of a segment between two vertices, lifted by `lift` along the normal.
pub(super) fn edge(a: &Vertex, b: &Vertex, segment: &Segment, axes: &Axes, lift: f64) -> Edge {
    match segment {
        Segment::Line { .. } => builder::line(a, b),
        Segment::Arc { .. } => builder::circle_arc(a, b, axes.at(segment.point_at(0.5)) + axes.normal() * lift),
    }
}

/// The wire of a hole.
pub(super) fn hole_wire(shape: HoleShape, at: Point, axes: &Axes) -> Wire {
    match shape {
        HoleShape::Ellipse { major, minor, lies } => {
            let flat = Axes { origin: Point3::new(0.0, 0.0, 0.0), x: Vector3::unit_x(), y: Vector3::unit_y() };
            let circle = wire(&crate::geom::circle(Point::default(), minor), &flat);
            let moved = Matrix4::from_translation(Vector3::new(at.x, at.y, 0.0));
            let turned = Matrix4::from_axis_angle(Vector3::unit_z(), Rad(lies));
            let mut long = Matrix4::identity();
            long.x.x = major / minor;
            builder::transformed(&circle, axes.matrix() * moved * turned * long)
        }
        _ => wire(&shape.outline(at).unwrap_or_default(), axes),
    }
}

/// A plane face with openings given as wires that run counter-clockwise.
pub(super) fn face(outer: Wire, openings: Vec<Wire>, axes: &Axes) -> Made<Face> {
    let mut wires = vec![outer];
    wires.extend(openings.iter().map(Wire::inverse));
    Face::try_new(wires, axes.plane()).map_err(|e| e.to_string())
}

/// The surface between a curve and its swept image.
pub(super) fn ruled(a: &Curve, b: &Curve) -> Surface {
    match (a, b) {
        (Curve::Line(a), Curve::Line(b)) => {
            // Coplanar by construction; the longer edge gives the steadier axis.
            let long = if (a.1 - a.0).magnitude() >= (b.1 - b.0).magnitude() { a } else { b };
            let along = (b.0 - a.0).normalize();
            let u = long.1 - long.0;
            let v = (along - u * (along.dot(u) / u.magnitude2())).normalize() * u.magnitude();
            Plane::new(a.0, a.0 + u, a.0 + v).into()
        }
        _ => NurbsSurface::new(BSplineSurface::homotopy(a.clone().lift_up(), b.clone().lift_up())).into(),
    }
}

/// A face swept by an affine map: straight, or sheared for mitred ends.
pub(super) fn swept(face: &Face, map: Matrix4) -> Solid {
    face.sweep(
        &move |p: &Point3| map.transform_point(*p),
        &move |c: &Curve| transformed_curve(c, map),
        &move |s: &Surface| transformed_surface(s, map),
        &|p: &Point3, q: &Point3| Curve::Line(Line(*p, *q)),
        &|a: &Curve, b: &Curve| ruled(a, b),
    )
}

fn transformed_curve(c: &Curve, map: Matrix4) -> Curve {
    use truck_modeling::Transformed;
    c.transformed(map)
}

fn transformed_surface(s: &Surface, map: Matrix4) -> Surface {
    use truck_modeling::Transformed;
    s.transformed(map)
}

/// The outer shell of a solid.
pub(super) fn shell_of(solid: Solid) -> Made<Shell> {
    solid.into_boundaries().into_iter().next().ok_or_else(|| "the body has no shell".to_string())
}

/// Punch an opening through two plane faces of a shell. The wire runs
/// counter-clockwise seen from outside face `a`; `through` leads from `a` to `b`.
pub(super) fn punch(shell: &mut Shell, a: usize, b: usize, opening: &Wire, through: Vector3) -> Made<()> {
    let map = Matrix4::from_translation(through);
    let mut tube: Shell = opening.sweep(
        &move |p: &Point3| map.transform_point(*p),
        &move |c: &Curve| transformed_curve(c, map),
        &move |s: &Surface| transformed_surface(s, map),
        &|p: &Point3, q: &Point3| Curve::Line(Line(*p, *q)),
        &|a: &Curve, b: &Curve| ruled(a, b),
    );
    // The third boundary edge of each swept face is its far edge, inverted.
    let far: Wire = tube.iter().map(|f| f.boundaries()[0][2].inverse()).collect();
    shell[a].try_add_boundary(opening.inverse()).map_err(|e| e.to_string())?;
    shell[b].try_add_boundary(far).map_err(|e| e.to_string())?;
    shell.append(&mut tube);
    Ok(())
}

/// A closed solid from a shell; an open one is a sentence, not a panic.
pub(super) fn closed(shell: Shell) -> Made<Solid> {
    Solid::try_new(vec![shell]).map_err(|e| format!("the body is not closed: {e}"))
}
