//! Straight corners that leave nothing of an outline out, or take nothing in
//! from beyond it.

use super::{Loop, Point, Segment};

impl Loop {
    /// Corners of a polygon that covers all of the outline and goes beyond it
    /// by `chord_mm` at most; counter-clockwise. Straight sides stay as they
    /// are.
    pub fn chords_around(&self, chord_mm: f64) -> Vec<Point> {
        self.chords(chord_mm, true)
    }

    /// Corners of a polygon that lies wholly within the outline, short of it by
    /// `chord_mm` at most; counter-clockwise.
    pub fn chords_within(&self, chord_mm: f64) -> Vec<Point> {
        self.chords(chord_mm, false)
    }

    fn chords(&self, chord_mm: f64, around: bool) -> Vec<Point> {
        let turned;
        let outline = if self.area() < 0.0 {
            turned = self.reversed();
            &turned
        } else {
            self
        };
        let mut out = vec![];
        for s in outline.segments() {
            let Segment::Arc { radius, sweep, centre, start_angle, .. } = s else {
                out.push(s.from());
                continue;
            };
            // Bulging outwards, a chord cuts off metal; a corner where two
            // tangents meet lies outside. Bulging inwards it is the other way.
            let tangents = (sweep > 0.0) == around;
            let ratio = if tangents { radius / (radius + chord_mm) } else { 1.0 - chord_mm / radius };
            let step = 2.0 * libm::acos(ratio.clamp(-1.0, 1.0));
            let n = (sweep.abs() / step.max(1e-3)).ceil().max(2.0) as usize;
            out.push(s.from());
            if tangents {
                let half = sweep / n as f64 / 2.0;
                let far = radius / libm::cos(half);
                out.extend((0..n).map(|i| centre + Point::at_angle(start_angle + half * (2 * i + 1) as f64) * far));
            } else {
                out.extend((1..n).map(|i| s.point_at(i as f64 / n as f64)));
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use crate::geom::{Loop, Point, circle, slot};

    #[test]
    fn one_goes_round_and_the_other_stays_inside() {
        let shapes: [Loop; 3] = [
            circle(Point::new(4.0, -3.0), 50.0),
            slot(Point::new(0.0, 0.0), 60.0, 14.0, 0.3),
            circle(Point::new(0.0, 0.0), 9.0).reversed(),
        ];
        for shape in shapes {
            let area = shape.area().abs();
            let (around, within) =
                (Loop::straight(&shape.chords_around(0.05)).area(), Loop::straight(&shape.chords_within(0.05)).area());
            assert!(around > area && within < area && within > 0.0, "{within} {area} {around}");
            let slack = 0.05 * shape.perimeter() + 0.01;
            assert!(around - area < slack && area - within < slack);
            // Middles of the sides of the outer one lie outside, corners of the inner one inside.
            let outer = shape.chords_around(0.05);
            for i in 0..outer.len() {
                let middle = (outer[i] + outer[(i + 1) % outer.len()]) * 0.5;
                assert!(shape.distance(middle) < 0.051);
                assert!(shape.distance(middle) < 1e-9 || !crate::geom::point_inside(&shape, middle), "{middle:?}");
            }
        }
    }
}
