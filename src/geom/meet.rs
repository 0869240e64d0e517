//! Where two sides meet, with true arcs, and whether an outline crosses itself.

use super::SAME_POINT_MM;
use super::outline::{Loop, Segment};
use super::point::Point;
use std::f64::consts::TAU;

impl Segment {
    /// How far along the side a point lies that is on it, mm from the start:
    /// 0 to the length. `None` when it is farther than [`SAME_POINT_MM`] away.
    pub fn along(&self, p: Point) -> Option<f64> {
        let length = self.length();
        let at = match *self {
            Segment::Line { from, to } => {
                let d = (to - from).unit();
                if (p - from).cross(d).abs() > SAME_POINT_MM {
                    return None;
                }
                (p - from).dot(d)
            }
            Segment::Arc { centre, radius, start_angle, sweep, .. } => {
                if (p.distance(centre) - radius).abs() > SAME_POINT_MM {
                    return None;
                }
                let turned = ((p - centre).angle() - start_angle) * sweep.signum();
                let at = turned.rem_euclid(TAU) * radius;
                // A hair before the start is nearly a full turn on.
                if TAU * radius - at <= SAME_POINT_MM && at > length + SAME_POINT_MM { 0.0 } else { at }
            }
        };
        (at >= -SAME_POINT_MM && at <= length + SAME_POINT_MM).then(|| at.clamp(0.0, length))
    }

    /// Points that both sides have in common, mm. Of sides that run along each
    /// other only the ends are told.
    pub fn meets(&self, other: &Segment) -> Vec<Point> {
        let mut points = carriers_meet(self, other);
        points.extend([self.from(), self.to(), other.from(), other.to()]);
        points.retain(|p| self.along(*p).is_some() && other.along(*p).is_some());
        points
    }
}

/// Points that the whole lines or circles under two sides have in common.
fn carriers_meet(a: &Segment, b: &Segment) -> Vec<Point> {
    match (*a, *b) {
        (Segment::Line { from: p, to: p2 }, Segment::Line { from: q, to: q2 }) => {
            let (u, v) = ((p2 - p).unit(), (q2 - q).unit());
            let sine = u.cross(v);
            // Lines that run along each other have no point of their own.
            if sine.abs() < 1e-12 { vec![] } else { vec![p + u * ((q - p).cross(v) / sine)] }
        }
        (Segment::Line { from, to }, Segment::Arc { centre, radius, .. })
        | (Segment::Arc { centre, radius, .. }, Segment::Line { from, to }) => {
            let u = (to - from).unit();
            let foot = from + u * (centre - from).dot(u);
            either_side(foot, u, radius, (centre - from).cross(u).abs())
        }
        (Segment::Arc { centre: c, radius: r, .. }, Segment::Arc { centre: d, radius: s, .. }) => {
            let apart = c.distance(d);
            if apart < SAME_POINT_MM {
                return vec![];
            }
            let u = (d - c).unit();
            // Where the common chord cuts the line of centres: the two right-angled
            // triangles over it share their height.
            let x = (apart + (r - s) * (r + s) / apart) / 2.0;
            either_side(c + u * x, Point::new(-u.y, u.x), r, x.abs())
        }
    }
}

/// The two points of a circle on a chord through `foot` along `u`, the chord
/// `off` mm from the centre. A chord that only just misses touches at `foot`.
fn either_side(foot: Point, u: Point, radius: f64, off: f64) -> Vec<Point> {
    if off > radius + SAME_POINT_MM {
        return vec![];
    }
    let half = libm::sqrt(((radius - off) * (radius + off)).max(0.0));
    if half == 0.0 { vec![foot] } else { vec![foot - u * half, foot + u * half] }
}

/// Whether the outline meets itself anywhere but where one side follows
/// another; exact for arcs, to [`SAME_POINT_MM`].
pub fn meets_itself(outline: &Loop) -> bool {
    let segs = outline.segments();
    let mut starts = vec![0.0];
    for s in &segs {
        starts.push(starts[starts.len() - 1] + s.length());
    }
    let round = starts[segs.len()];
    // A common point is a joint when it is the same place on the way round. Near a
    // joint the found point is as loose as the corner is flat, hence the factor.
    let strange = |i: usize, j: usize, p: Point| {
        let (Some(a), Some(b)) = (segs[i].along(p), segs[j].along(p)) else { return false };
        let way = (starts[j] + b - starts[i] - a).abs();
        way.min(round - way) > 20.0 * SAME_POINT_MM
    };
    (0..segs.len()).any(|i| (i + 1..segs.len()).any(|j| segs[i].meets(&segs[j]).into_iter().any(|p| strange(i, j, p))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{circle, rectangle, slot};

    fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Segment {
        Segment::Line { from: Point::new(x0, y0), to: Point::new(x1, y1) }
    }

    #[test]
    fn two_lines_meet_once_and_only_within_both() {
        let a = line(0.0, 0.0, 10.0, 10.0);
        let meets = a.meets(&line(0.0, 4.0, 10.0, 4.0));
        assert_eq!(meets.len(), 1);
        assert!(meets[0].distance(Point::new(4.0, 4.0)) < 1e-12);
        assert!(a.meets(&line(5.0, 4.0, 10.0, 4.0)).is_empty());
    }

    #[test]
    fn a_line_meets_a_quarter_arc_at_the_pythagorean_point() {
        // 3-4-5: the quarter from (5, 0) to (0, 5).
        let quarter = circle(Point::default(), 10.0).segments()[0];
        let meets = quarter.meets(&line(3.0, -9.0, 3.0, 9.0));
        assert_eq!(meets.len(), 1);
        assert!(meets[0].distance(Point::new(3.0, 4.0)) < 1e-12);
    }

    #[test]
    fn two_arcs_meet_where_their_circles_do() {
        let upper = circle(Point::default(), 10.0).segments()[0];
        let other = circle(Point::new(6.0, 0.0), 10.0).segments()[1];
        let meets = upper.meets(&other);
        assert_eq!(meets.len(), 1);
        assert!(meets[0].distance(Point::new(3.0, 4.0)) < 1e-12);
    }

    #[test]
    fn the_way_along_an_arc_is_its_length() {
        for s in circle(Point::new(7.0, -3.0), 30.0).segments() {
            for k in 0..=10 {
                let f = f64::from(k) / 10.0;
                assert!((s.along(s.point_at(f)).unwrap() - f * s.length()).abs() < 1e-9);
            }
            assert!(s.along(Point::new(7.0, -3.0)).is_none());
        }
    }

    #[test]
    fn only_outlines_that_cross_meet_themselves() {
        let p = Point::new;
        assert!(meets_itself(&Loop::straight(&[p(0.0, 0.0), p(10.0, 10.0), p(10.0, 0.0), p(0.0, 10.0)])));
        assert!(!meets_itself(&rectangle(p(0.0, 0.0), 10.0, 5.0, 1.0)));
        assert!(!meets_itself(&slot(p(3.0, 4.0), 30.0, 5.0, 0.7)));
        assert!(!meets_itself(&circle(p(3.0, 4.0), 30.0)));
        // Two sides of a pinch touch.
        let pinch = [p(0.0, 0.0), p(10.0, 0.0), p(5.0, 5.0), p(10.0, 10.0), p(0.0, 10.0), p(5.0, 5.0)];
        assert!(meets_itself(&Loop::straight(&pinch)));
    }
}
