//! The parallel curve of an ellipse as short true arcs.

use super::SAME_POINT_MM;
use super::outline::{Arc, Loop, Side, Turn};
use super::point::Point;
use super::shapes::circle;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Halvings of a quarter at most: a stretch is then a hair, whatever the ellipse.
const HALVINGS: u32 = 12;

/// An ellipse with its middle at the origin.
#[derive(Clone, Copy)]
struct Curve {
    /// Half axes, mm, `a` along x and not the shorter one.
    a: f64,
    b: f64,
    /// Moved outwards by, mm.
    by: f64,
}

impl Curve {
    /// The point of the parallel curve that belongs to the ellipse's parameter `t`.
    fn point(&self, t: f64) -> Point {
        let (c, s) = (libm::cos(t), libm::sin(t));
        let normal = Point::new(self.b * c, self.a * s).unit();
        Point::new(self.a * c, self.b * s) + normal * self.by
    }

    /// Where the curve leaves the long axis in the first quarter, radians.
    fn begin(&self) -> f64 {
        let (a, b, h) = (self.a, self.b, -self.by);
        let square = (h * h * a * a / (b * b) - b * b) / (a * a - b * b);
        if h > 0.0 && square > 0.0 { libm::asin(libm::sqrt(square.min(1.0))) } else { 0.0 }
    }

    /// Sides for the parameters `t0` to `t1`: one arc through both ends and the
    /// middle if the curve stays within `error` of it, else two halves.
    fn arcs(&self, t0: f64, t1: f64, error: f64, halvings: u32, out: &mut Vec<Side>) {
        let middle = (t0 + t1) / 2.0;
        let (p, q, r) = (self.point(t0), self.point(middle), self.point(t1));
        let centre = centre_through(p, q, r);
        let off = |f: f64| {
            let s = self.point(t0 + (t1 - t0) * f);
            centre.map_or(0.0, |c| (s.distance(c) - p.distance(c)).abs())
        };
        // The gap is nearly a cubic with zeros at 0, 1/2 and 1, so it is largest
        // near 0.21 and 0.79; half the error is left for what it is not.
        if halvings > 0 && off(0.21).max(off(0.79)) > error / 2.0 {
            self.arcs(t0, middle, error, halvings - 1, out);
            self.arcs(middle, t1, error, halvings - 1, out);
        } else if p.distance(r) > SAME_POINT_MM {
            out.push(Side { to: r, arc: centre.map(|centre| Arc { centre, turn: Turn::Left }) });
        }
    }
}

/// The centre of the circle through three points; `None` when they lie straight.
fn centre_through(p: Point, q: Point, r: Point) -> Option<Point> {
    let (u, v) = (q - p, r - p);
    let twice = 2.0 * u.cross(v);
    // Anything flatter than this is nearer to its chord than a point to itself.
    if twice <= SAME_POINT_MM * v.length() {
        return None;
    }
    let (uu, vv) = (u.dot(u), v.dot(v));
    Some(p + Point::new(v.y * uu - u.y * vv, u.x * vv - v.x * uu) * (1.0 / twice))
}

/// An ellipse, long axis `major` and short axis `minor` mm, lying at `lies_rad`
/// from x, moved by `by_mm` mm: positive outwards, negative inwards. The curve is
/// no ellipse; it is drawn counter-clockwise as true arcs within `error_mm` of it.
/// Moved inwards farther than the sharp ends are round, it has two corners.
///
/// # Formula
/// `P(t) + by * n(t)`, `P = (a cos t, b sin t)`, `n = (b cos t, a sin t) / w`,
/// `w^2 = b^2 cos^2 t + a^2 sin^2 t`. For `h = -by > 0` the curve crosses the long
/// axis where `b = h a / w`, so `sin^2 t = (h^2 a^2 / b^2 - b^2) / (a^2 - b^2)`;
/// what lies before that is nearer to the other half than `h`.
/// # Source
/// Derived here from the normal of the ellipse.
///
/// # Errors
/// A sentence when a number is not possible or nothing is left inside.
pub fn ellipse_offset(
    centre: Point,
    (major, minor): (f64, f64),
    lies_rad: f64,
    by_mm: f64,
    error_mm: f64,
) -> Result<Loop, String> {
    let (a, b) = (major / 2.0, minor / 2.0);
    let possible = a > 0.0 && b > 0.0 && error_mm > 0.0;
    if !possible || ![a, b, by_mm, lies_rad].iter().all(|v| v.is_finite()) {
        return Err("an ellipse has two positive axes, and is moved by finite numbers only".to_string());
    }
    if b > a {
        return ellipse_offset(centre, (minor, major), lies_rad + FRAC_PI_2, by_mm, error_mm);
    }
    if b + by_mm <= SAME_POINT_MM {
        return Err(format!("nothing is left of the ellipse {} mm inside it", by_mm.abs()));
    }
    if a - b < SAME_POINT_MM {
        return Ok(circle(centre, major + 2.0 * by_mm));
    }
    let curve = Curve { a, b, by: by_mm };
    let begin = curve.begin();
    let mut sides = vec![];
    for (t0, t1) in [(begin, FRAC_PI_2), (FRAC_PI_2, PI - begin), (PI + begin, 1.5 * PI), (1.5 * PI, TAU - begin)] {
        curve.arcs(t0, t1, error_mm, HALVINGS, &mut sides);
    }
    Ok(Loop { sides }.turned(lies_rad).moved(centre))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::meets_itself;

    /// The farthest that the drawn curve is from `by` off the ellipse, mm; the
    /// ellipse as very many corners.
    fn worst(l: &Loop, (a, b): (f64, f64), by: f64) -> f64 {
        let n = 20_000;
        let at = |i: usize| TAU * i as f64 / n as f64;
        let ellipse =
            Loop::straight(&(0..n).map(|i| Point::new(a * libm::cos(at(i)), b * libm::sin(at(i)))).collect::<Vec<_>>());
        let corners = ellipse.segments();
        let near = |p: Point| corners.iter().map(|s| s.distance(p)).fold(f64::INFINITY, f64::min);
        l.segments()
            .iter()
            .flat_map(|s| (0..7).map(move |k| s.point_at(f64::from(k) / 7.0)))
            .map(|p| (near(p) - by.abs()).abs())
            .fold(0.0, f64::max)
    }

    #[test]
    fn the_drawn_curve_is_within_the_error() {
        for (a, b, by) in
            [(30.0, 20.0, -0.4), (30.0, 20.0, 0.4), (50.0, 6.0, -0.4), (50.0, 6.0, -3.0), (8.0, 7.9, -1.0)]
        {
            let l = ellipse_offset(Point::default(), (2.0 * a, 2.0 * b), 0.0, by, 0.005).unwrap();
            let off = worst(&l, (a, b), by);
            assert!(off < 0.005, "{a} {b} {by}: {off}");
            assert!(!meets_itself(&l) && l.area() > 0.0, "{a} {b} {by}");
            assert!(l.sides.len() < 80, "{}", l.sides.len());
        }
    }

    #[test]
    fn not_moved_it_has_the_area_of_the_ellipse() {
        let l = ellipse_offset(Point::new(3.0, 4.0), (60.0, 40.0), 0.5, 0.0, 1e-4).unwrap();
        assert!((l.area() - PI * 600.0).abs() < 0.01, "{}", l.area());
        assert!(l.centroid().distance(Point::new(3.0, 4.0)) < 1e-6);
    }

    #[test]
    fn axes_shrink_by_twice_the_distance_until_the_ends_are_sharp() {
        let size = |by: f64| {
            let b = ellipse_offset(Point::default(), (60.0, 40.0), 0.0, by, 0.005).unwrap().bounds().unwrap();
            (b.width(), b.height())
        };
        // Ends are round with b^2 / a = 13.33 mm.
        let (w, h) = size(-10.0);
        assert!((w - 40.0).abs() < 1e-3 && (h - 20.0).abs() < 1e-3, "{w} {h}");
        // Beyond that the corner lies at x = a cos t (1 - h b / (a w)), w = h a / b.
        let (w, h) = size(-15.0);
        let sin2 = (15.0 * 15.0 * 900.0 / 400.0 - 400.0) / 500.0;
        let corner = 30.0 * libm::sqrt(1.0 - sin2) * (1.0 - 400.0 / 900.0);
        assert!((w - 2.0 * corner).abs() < 1e-3 && (h - 10.0).abs() < 1e-3, "{w} {h}");
        assert!(ellipse_offset(Point::default(), (60.0, 40.0), 0.0, -20.0, 0.005).is_err());
    }

    #[test]
    fn a_long_axis_given_second_lies_across() {
        let a = ellipse_offset(Point::default(), (40.0, 60.0), 0.0, -1.0, 0.005).unwrap().bounds().unwrap();
        assert!((a.width() - 38.0).abs() < 1e-3 && (a.height() - 58.0).abs() < 1e-3, "{a:?}");
        assert!(
            (ellipse_offset(Point::default(), (40.0, 40.0), 0.3, -1.0, 0.005).unwrap().area() - PI * 361.0).abs()
                < 1e-9
        );
    }
}
