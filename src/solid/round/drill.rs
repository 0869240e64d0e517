//! Holes drilled through round walls, and curves that keep to where two
//! cylinders meet.

use super::no;
use crate::geom::Point;
use crate::solid::SolidFault;
use crate::solid::contour::{ContourSide, Way};
use crate::solid::shell::{self, Ring};
use std::f64::consts::FRAC_PI_2;
use std::result::Result;
use truck_modeling::{
    BSplineCurve, BSplineSurface, Curve, Edge, Face, InnerSpace, KnotVec, Plane, Point3, Vector3, Vertex, builder,
};

/// How near a drawn curve keeps to the true one, mm.
pub(super) const TRUE_MM: f64 = 2e-7;

/// A hole's rims on two round walls and the walls between them.
pub(super) struct Drilled {
    pub(super) ring: Ring,
    pub(super) walls: Vec<Face>,
}

/// The walls of a hole drilled down -z from one cylinder about x to another;
/// a negative radius is the lower side.
pub(super) fn drilled(opening: &[ContourSide], near: f64, far: f64) -> Result<Drilled, SolidFault> {
    let lift = |p: Point, r: f64| {
        let z = libm::sqrt((r * r - p.y * p.y).max(0.0));
        Point3::new(p.x, p.y, if r > 0.0 { z } else { -z })
    };
    let n = opening.len();
    let vertices = |r: f64| opening.iter().map(|s| builder::vertex(lift(s.from, r))).collect::<Vec<Vertex>>();
    let (low, high) = (vertices(near), vertices(far));
    let edges = |v: &[Vertex], r: f64| {
        (0..n)
            .map(|i| {
                let side = &opening[i];
                let along_x = side.way == Way::Line && (side.from.y - side.to.y).abs() < 1e-9;
                if along_x {
                    return Ok(builder::line(&v[i], &v[(i + 1) % n]));
                }
                Ok(Edge::new(&v[i], &v[(i + 1) % n], fitted(&|f| lift(on_side(side, f), r))?))
            })
            .collect::<Result<Vec<Edge>, SolidFault>>()
    };
    let (lower, upper) = (edges(&low, near)?, edges(&high, far)?);
    let rims: Vec<Edge> = (0..n).map(|i| builder::line(&low[i], &high[i])).collect();
    let ring = Ring { lower, upper, rims };
    let walls = (0..n)
        .map(|i| {
            let (a, b) = (&ring.lower[i], &ring.upper[i]);
            let wire = vec![a.clone(), ring.rims[(i + 1) % n].clone(), b.inverse(), ring.rims[i].inverse()];
            let surface = match (a.curve(), b.curve(), opening[i].way) {
                (_, _, Way::Line) => {
                    let o = low[i].point();
                    let d = opening[i].to - opening[i].from;
                    Plane::new(o, o + Vector3::new(d.x, d.y, 0.0), o - Vector3::unit_z()).into()
                }
                (Curve::BSplineCurve(p), Curve::BSplineCurve(q), _) => BSplineSurface::homotopy(p, q).into(),
                _ => return Err(SolidFault::Gate("a wall of a hole has unlike edges".to_string())),
            };
            shell::face(vec![wire.into()], surface)
        })
        .collect::<Result<Vec<Face>, SolidFault>>()?;
    Ok(Drilled { ring, walls })
}

/// A point of a side, `f` from 0 to 1.
fn on_side(side: &ContourSide, f: f64) -> Point {
    match side.way {
        Way::Line => side.from + (side.to - side.from) * f,
        Way::Arc(middle) => {
            let centre = centre_of(side.from, middle, side.to);
            let (a, b) = (side.from - centre, side.to - centre);
            let angle = libm::atan2(a.cross(b), a.dot(b));
            centre + a.turned(angle * f)
        }
        Way::Quarter(centre) => {
            let t = FRAC_PI_2 * f;
            centre + (side.from - centre) * libm::cos(t) + (side.to - centre) * libm::sin(t)
        }
    }
}

/// Centre of the circle through three points.
fn centre_of(a: Point, b: Point, c: Point) -> Point {
    let (u, v) = (b - a, c - a);
    let d = 2.0 * u.cross(v);
    let (uu, vv) = (u.dot(u), v.dot(v));
    a + Point::new(v.y * uu - u.y * vv, u.x * vv - v.x * uu) * (1.0 / d)
}

/// Cubic pieces through a curve, halved in step until they keep to it within
/// [`TRUE_MM`].
pub(super) fn fitted(at: &dyn Fn(f64) -> Point3) -> Result<Curve, SolidFault> {
    let mut n = 8;
    loop {
        let step = 1.0 / n as f64;
        let mut points = vec![at(0.0)];
        let mut worst: f64 = 0.0;
        for i in 0..n {
            let f = |part: f64| at((i as f64 + part) * step);
            let (p0, p1, p2, p3) = (f(0.0), f(1.0 / 3.0), f(2.0 / 3.0), f(1.0));
            let v = |p: Point3| Vector3::new(p.x, p.y, p.z);
            let (v0, v1, v2, v3) = (v(p0), v(p1), v(p2), v(p3));
            let b1 = (v1 * 18.0 - v0 * 5.0 - v2 * 9.0 + v3 * 2.0) / 6.0;
            let b2 = (v0 * 2.0 - v1 * 9.0 + v2 * 18.0 - v3 * 5.0) / 6.0;
            for t in [1.0 / 6.0, 0.5, 5.0 / 6.0] {
                let s = 1.0 - t;
                let drawn = v0 * (s * s * s) + b1 * (3.0 * s * s * t) + b2 * (3.0 * s * t * t) + v3 * (t * t * t);
                worst = worst.max((drawn - v(f(t))).magnitude());
            }
            points.extend([b1, b2, v3].map(|q| Point3::new(q.x, q.y, q.z)));
        }
        if worst <= TRUE_MM {
            let mut knots = vec![0.0; 4];
            for i in 1..n {
                knots.extend([i as f64; 3]);
            }
            knots.extend([n as f64; 4]);
            return Ok(Curve::BSplineCurve(BSplineCurve::new(KnotVec::from(knots), points)));
        }
        n *= 2;
        if n > 2048 {
            return no("the curve where two round walls meet is too sharp to be drawn true".to_string());
        }
    }
}
