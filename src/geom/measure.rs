//! Whether outlines cross, hold or near one another.

use super::outline::Loop;
use super::point::Point;
use super::{CHORD_MM, SAME_POINT_MM};
use geo::{BoundingRect, Contains, Distance, Euclidean, Intersects, LineString, Polygon};

/// How a loop lies to the outline that should hold it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Inside {
    /// Wholly inside, this far from the edge, mm.
    Clear(f64),
    /// Crosses or touches the edge.
    Crosses,
    /// Wholly outside.
    Outside,
}

fn to_polygon(corners: &[Point]) -> Polygon<f64> {
    Polygon::new(LineString::from(corners.iter().map(|p| (p.x, p.y)).collect::<Vec<_>>()), vec![])
}

fn ring(corners: &[Point]) -> LineString<f64> {
    to_polygon(corners).exterior().clone()
}

/// How `inner` lies in `outer`; distances are right to [`CHORD_MM`].
pub fn loop_inside(outer: &Loop, inner: &[Point]) -> Inside {
    let outline = outer.flattened(CHORD_MM);
    if outline.iter().chain(inner).any(|p| !p.is_finite()) || inner.is_empty() {
        return Inside::Outside;
    }
    let (o, i) = (ring(&outline), ring(inner));
    if o.intersects(&i) {
        return Inside::Crosses;
    }
    if to_polygon(&outline).contains(&geo::Point::new(inner[0].x, inner[0].y)) {
        Inside::Clear(Euclidean.distance(&o, &i))
    } else {
        Inside::Outside
    }
}

/// An outline that many points are held against.
pub struct Region {
    /// Empty where a corner is no point.
    polygon: Polygon<f64>,
}

impl Region {
    /// What an outline encloses; beside an arc right to [`CHORD_MM`].
    pub fn of(outline: &Loop) -> Region {
        let corners = outline.flattened(CHORD_MM);
        let sound = corners.iter().all(|c| c.is_finite());
        Region { polygon: to_polygon(if sound { &corners } else { &[] }) }
    }

    /// Whether a point lies inside.
    pub fn has(&self, p: Point) -> bool {
        self.polygon.contains(&geo::Point::new(p.x, p.y))
    }
}

/// Whether a point lies inside an outline; beside an arc right to [`CHORD_MM`].
pub fn point_inside(outline: &Loop, p: Point) -> bool {
    Region::of(outline).has(p)
}

/// Steel left between two closed outlines, mm; 0 when they touch, cross or
/// one holds the other.
pub fn gap_between(a: &[Point], b: &[Point]) -> f64 {
    if a.iter().chain(b).any(|p| !p.is_finite()) || a.is_empty() || b.is_empty() {
        return 0.0;
    }
    Euclidean.distance(&to_polygon(a), &to_polygon(b))
}

/// Whether the outline neither crosses nor touches itself.
pub fn is_simple(outline: &Loop) -> bool {
    let segs = outline.segments();
    if segs.iter().any(|s| !s.from().is_finite() || !s.to().is_finite() || s.length() < SAME_POINT_MM) {
        return false;
    }
    let parts: Vec<LineString<f64>> = segs
        .iter()
        .map(|s| {
            let n = if s.length() == s.from().distance(s.to()) { 1 } else { 48 };
            LineString::from(
                (0..=n).map(|i| s.point_at(f64::from(i) / f64::from(n))).map(|p| (p.x, p.y)).collect::<Vec<_>>(),
            )
        })
        .collect();
    let n = parts.len();
    let boxes: Vec<_> = parts.iter().map(BoundingRect::bounding_rect).collect();
    let near = |i: usize, j: usize| match (&boxes[i], &boxes[j]) {
        (Some(a), Some(b)) => a.intersects(b),
        _ => true,
    };
    (0..n).all(|i| {
        (i + 1..n).all(|j| j == i + 1 || (i == 0 && j == n - 1) || !near(i, j) || !parts[i].intersects(&parts[j]))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{circle, rectangle};

    #[test]
    fn a_hole_near_the_edge_has_its_clearance() {
        let plate = rectangle(Point::default(), 100.0, 50.0, 5.0);
        let hole = circle(Point::new(20.0, 25.0), 10.0).flattened(CHORD_MM);
        match loop_inside(&plate, &hole) {
            Inside::Clear(d) => assert!((d - 15.0).abs() < 1e-3, "{d}"),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_hole_over_the_edge_crosses() {
        let plate = rectangle(Point::default(), 100.0, 50.0, 0.0);
        let over = circle(Point::new(3.0, 25.0), 10.0).flattened(CHORD_MM);
        let away = circle(Point::new(-30.0, 25.0), 10.0).flattened(CHORD_MM);
        assert_eq!(loop_inside(&plate, &over), Inside::Crosses);
        assert_eq!(loop_inside(&plate, &away), Inside::Outside);
    }

    #[test]
    fn a_bow_tie_is_not_simple() {
        let p = |x, y| Point::new(x, y);
        assert!(!is_simple(&Loop::straight(&[p(0.0, 0.0), p(10.0, 10.0), p(10.0, 0.0), p(0.0, 10.0)])));
        assert!(is_simple(&rectangle(p(0.0, 0.0), 10.0, 5.0, 1.0)));
    }
}
