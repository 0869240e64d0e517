//! Ready outlines: rectangle, polygon with finished corners, circle, slot, and
//! the smallest outline round several circles.

use super::outline::{Arc, Loop, Side, Turn};
use super::point::Point;
use std::f64::consts::{PI, TAU};

/// How a corner is finished.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CornerFinish {
    /// Left as it is.
    Sharp,
    /// Rounded with this radius, mm.
    Radius(f64),
    /// Cut off straight, this far back from the corner along both sides, mm.
    Clip(f64),
}

/// A corner of a polygon.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Where the two sides meet, mm.
    pub at: Point,
    /// How it is finished.
    pub finish: CornerFinish,
}

/// A circle of diameter `diameter` mm, counter-clockwise, as four quarter arcs.
pub fn circle(centre: Point, diameter: f64) -> Loop {
    let r = diameter / 2.0;
    let to =
        |x: f64, y: f64| Side { to: centre + Point::new(x * r, y * r), arc: Some(Arc { centre, turn: Turn::Left }) };
    Loop { sides: vec![to(0.0, 1.0), to(-1.0, 0.0), to(0.0, -1.0), to(1.0, 0.0)] }
}

/// A slot, `length` mm overall and `width` mm wide, lying at `lies_rad` from x.
/// A length equal to the width is a circle.
pub fn slot(centre: Point, length: f64, width: f64, lies_rad: f64) -> Loop {
    if length - width < super::SAME_POINT_MM {
        return circle(centre, width);
    }
    let (h, r) = ((length - width) / 2.0, width / 2.0);
    let p = |x: f64, y: f64| centre + Point::new(x, y).turned(lies_rad);
    let arc = |x: f64| Some(Arc { centre: p(x, 0.0), turn: Turn::Left });
    Loop {
        sides: vec![
            Side { to: p(h, -r), arc: None },
            Side { to: p(h + r, 0.0), arc: arc(h) },
            Side { to: p(h, r), arc: arc(h) },
            Side { to: p(-h, r), arc: None },
            Side { to: p(-h - r, 0.0), arc: arc(-h) },
            Side { to: p(-h, -r), arc: arc(-h) },
        ],
    }
}

/// An upright rectangle, lower left corner at `low`, all corners with radius
/// `corner_radius` mm (0 for sharp; at most half the shorter side).
pub fn rectangle(low: Point, length: f64, width: f64, corner_radius: f64) -> Loop {
    let finish = if corner_radius > 0.0 { CornerFinish::Radius(corner_radius) } else { CornerFinish::Sharp };
    let c = |x: f64, y: f64| Corner { at: low + Point::new(x, y), finish };
    polygon(&[c(0.0, 0.0), c(length, 0.0), c(length, width), c(0.0, width)]).unwrap_or_default()
}

/// A polygon with finished corners, turned counter-clockwise.
///
/// # Errors
/// A sentence, when there are fewer than three corners, when two corners
/// coincide, or when the finishes of two neighbours need more than their side.
pub fn polygon(corners: &[Corner]) -> Result<Loop, String> {
    let n = corners.len();
    if n < 3 {
        return Err(format!("an outline needs 3 corners at least, this has {n}"));
    }
    let bare: Vec<Point> = corners.iter().map(|c| c.at).collect();
    if Loop::straight(&bare).area() < 0.0 {
        let turned: Vec<Corner> = corners.iter().rev().copied().collect();
        return polygon(&turned);
    }
    let mut cuts = Vec::with_capacity(n);
    for i in 0..n {
        let (before, at, after) = (bare[(i + n - 1) % n], bare[i], bare[(i + 1) % n]);
        if at.distance(after) < super::SAME_POINT_MM {
            return Err(format!("corners {} and {} are the same point", i + 1, (i + 1) % n + 1));
        }
        cuts.push(finish_corner(before, at, after, corners[i].finish));
    }
    for i in 0..n {
        let j = (i + 1) % n;
        let side = bare[i].distance(bare[j]);
        if cuts[i].setback + cuts[j].setback > side + super::SAME_POINT_MM {
            return Err(format!(
                "the corners {} and {} need {:.1} mm of a side that is {side:.1} mm long",
                i + 1,
                j + 1,
                cuts[i].setback + cuts[j].setback
            ));
        }
    }
    let mut sides: Vec<Side> = vec![];
    for (i, c) in cuts.iter().enumerate() {
        let last = cuts[(i + n - 1) % n].end;
        if last.distance(c.begin) > super::SAME_POINT_MM {
            sides.push(Side { to: c.begin, arc: None });
        }
        if c.setback > 0.0 {
            sides.push(Side { to: c.end, arc: c.arc });
        }
    }
    Ok(Loop { sides })
}

/// A corner with its finish worked out.
struct Cut {
    begin: Point,
    end: Point,
    arc: Option<Arc>,
    /// How much of each neighbouring side it takes, mm.
    setback: f64,
}

fn finish_corner(before: Point, at: Point, after: Point, finish: CornerFinish) -> Cut {
    let (u, v) = ((before - at).unit(), (after - at).unit());
    let inner = libm::acos(u.dot(v).clamp(-1.0, 1.0));
    let sharp = Cut { begin: at, end: at, arc: None, setback: 0.0 };
    match finish {
        CornerFinish::Radius(r) if r > 0.0 && inner < PI - 1e-9 => {
            let d = r / libm::tan(inner / 2.0);
            let centre = at + (u + v).unit() * (r / libm::sin(inner / 2.0));
            let turn = if (-u).cross(v) > 0.0 { Turn::Left } else { Turn::Right };
            Cut { begin: at + u * d, end: at + v * d, arc: Some(Arc { centre, turn }), setback: d }
        }
        CornerFinish::Clip(d) if d > 0.0 => Cut { begin: at + u * d, end: at + v * d, arc: None, setback: d },
        _ => sharp,
    }
}

/// The smallest outline round circles (centre, radius mm): arcs joined by
/// their outer tangents. With equal radii round two holes it is a link.
///
/// # Formula
/// For each outward direction the circle with the largest support
/// `c.u + r` is on the outline; it changes where two supports are equal,
/// `(ci - cj).u = rj - ri`. Derived here, no source needed.
///
/// # Errors
/// A sentence when there is no circle or a radius is not positive.
pub fn hull_of_circles(circles: &[(Point, f64)]) -> Result<Loop, String> {
    if circles.is_empty() || circles.iter().any(|c| c.1 <= 0.0 || !c.1.is_finite() || !c.0.is_finite()) {
        return Err("an outline round holes needs one hole at least, each with a wall".to_string());
    }
    let mut turns = vec![0.0, TAU];
    for (i, a) in circles.iter().enumerate() {
        for b in &circles[i + 1..] {
            let d = a.0 - b.0;
            let ratio = (b.1 - a.1) / d.length();
            if ratio.abs() <= 1.0 {
                let (base, half) = (d.angle(), libm::acos(ratio));
                turns.extend([base + half, base - half].map(|t| t.rem_euclid(TAU)));
            }
        }
    }
    turns.sort_by(f64::total_cmp);
    let active = |t: f64| {
        let u = Point::at_angle(t);
        let support = |i: usize| circles[i].0.dot(u) + circles[i].1;
        (1..circles.len()).fold(0, |best, i| if support(i) > support(best) + 1e-9 { i } else { best })
    };
    // Runs of directions with the same circle on the outline.
    let mut runs: Vec<(usize, f64, f64)> = vec![];
    for w in turns.windows(2).filter(|w| w[1] - w[0] > 1e-9) {
        let i = active((w[0] + w[1]) / 2.0);
        match runs.last_mut() {
            Some(r) if r.0 == i => r.2 = w[1],
            _ => runs.push((i, w[0], w[1])),
        }
    }
    if runs.len() == 1 {
        return Ok(circle(circles[runs[0].0].0, circles[runs[0].0].1 * 2.0));
    }
    if runs.len() > 1 && runs[0].0 == runs[runs.len() - 1].0 {
        let last = runs.pop().expect("there are two runs at least");
        runs[0].1 = last.1 - TAU;
    }
    let mut sides = vec![];
    for &(i, from, to) in &runs {
        let (c, r) = circles[i];
        sides.push(Side { to: c + Point::at_angle(from) * r, arc: None });
        sides.push(Side { to: c + Point::at_angle(to) * r, arc: Some(Arc { centre: c, turn: Turn::Left }) });
    }
    Ok(Loop { sides })
}

/// An ellipse as corners within `chord_mm`, for tests of overlap only.
pub fn ellipse_polygon(centre: Point, major: f64, minor: f64, lies_rad: f64, chord_mm: f64) -> Vec<Point> {
    let (a, b) = (major / 2.0, minor / 2.0);
    let n = (TAU / (2.0 * libm::acos((1.0 - chord_mm / a).clamp(-1.0, 1.0))).max(1e-3)).ceil().max(16.0) as usize;
    (0..n)
        .map(|i| {
            let t = TAU * i as f64 / n as f64;
            centre + Point::new(a * libm::cos(t), b * libm::sin(t)).turned(lies_rad)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_link_round_two_equal_holes_is_a_slot() {
        let l = hull_of_circles(&[(Point::new(-20.0, 0.0), 8.0), (Point::new(20.0, 0.0), 8.0)]).unwrap();
        let s = slot(Point::default(), 56.0, 16.0, 0.0);
        assert!((l.area() - s.area()).abs() < 1e-9);
        assert!((l.perimeter() - s.perimeter()).abs() < 1e-9);
    }

    #[test]
    fn a_hull_of_unequal_circles_has_the_belt_length() {
        // Open belt length 2 sqrt(c2 - (R-r)2) + R (pi + 2a) + r (pi - 2a), sin a = (R-r)/c:
        // textbook formula for two pulleys.
        let (big, small, c) = (30.0, 10.0, 100.0);
        let l = hull_of_circles(&[(Point::default(), big), (Point::new(c, 0.0), small)]).unwrap();
        let a = libm::asin((big - small) / c);
        let belt =
            2.0 * libm::sqrt(c * c - (big - small) * (big - small)) + big * (PI + 2.0 * a) + small * (PI - 2.0 * a);
        assert!((l.perimeter() - belt).abs() < 1e-9, "{} {belt}", l.perimeter());
    }

    #[test]
    fn a_circle_inside_another_leaves_no_trace() {
        let l = hull_of_circles(&[(Point::default(), 30.0), (Point::new(5.0, 0.0), 10.0)]).unwrap();
        assert!((l.area() - PI * 900.0).abs() < 1e-6);
    }

    #[test]
    fn corners_that_need_more_than_their_side_are_refused() {
        let c = |x, y| Corner { at: Point::new(x, y), finish: CornerFinish::Radius(6.0) };
        assert!(polygon(&[c(0.0, 0.0), c(10.0, 0.0), c(10.0, 30.0), c(0.0, 30.0)]).is_err());
    }

    #[test]
    fn a_clipped_square_loses_its_triangles() {
        let c = |x, y| Corner { at: Point::new(x, y), finish: CornerFinish::Clip(3.0) };
        let l = polygon(&[c(0.0, 0.0), c(20.0, 0.0), c(20.0, 20.0), c(0.0, 20.0)]).unwrap();
        assert!((l.area() - (400.0 - 4.0 * 4.5)).abs() < 1e-9);
    }
}
