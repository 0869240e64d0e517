//! Cross-sections as exact loops, and where the cut ends lie on them.
//!
//! ```text
//!   the plane of the loops, looked at from the right end of the piece
//!   towards the left one; a Point's x is the body's y, its y the body's z:
//!
//!     z ^
//!     0 +--------------> y      angle, tubes, channel, flat bar: metal at
//!       |####                   y >= 0 and z <= 0
//!       |#                      round bar and tube: centre at (0, 0)
//! ```

use super::section::{End, Face, Profile, Section};
use crate::geom::{self, Corner, CornerFinish, Loop, Point};
use crate::units::Length;

impl Profile {
    /// Outer edge and inner edges of the cross-section in the (y, z) plane, mm,
    /// all counter-clockwise, with true arcs. The outer loop is empty when the
    /// sizes do not fit together (radii larger than their legs).
    pub fn loops(&self) -> (Loop, Vec<Loop>) {
        match *self {
            Profile::FlatBar { width, thickness } => {
                let (w, t) = (width.to_mm(), thickness.to_mm());
                (geom::rectangle(Point::new(0.0, -t), w, t, 0.0), vec![])
            }
            Profile::RoundBar { diameter } => (geom::circle(Point::default(), diameter.to_mm()), vec![]),
            Profile::RoundTube { outside, wall } => {
                let d = outside.to_mm();
                let inner = geom::circle(Point::default(), d - 2.0 * wall.to_mm());
                (geom::circle(Point::default(), d), vec![inner])
            }
            Profile::BoxTube { width, height, wall, outside_radius, inside_radius } => {
                let (w, h, t) = (width.to_mm(), height.to_mm(), wall.to_mm());
                let outer = geom::rectangle(Point::new(0.0, -h), w, h, outside_radius.to_mm());
                let (iw, ih) = (w - 2.0 * t, h - 2.0 * t);
                let inner = geom::rectangle(Point::new(t, t - h), iw, ih, inside_radius.to_mm());
                (outer, vec![inner])
            }
            Profile::Angle { flat_leg, upright_leg, wall, root_radius, toe_radius } => {
                let (f, u, t) = (flat_leg.to_mm(), upright_leg.to_mm(), wall.to_mm());
                let (root, toe) = (root_radius.to_mm(), toe_radius.to_mm());
                let corners = [
                    corner(0.0, 0.0, 0.0),
                    corner(0.0, -u, 0.0),
                    corner(t, -u, toe),
                    corner(t, -t, root),
                    corner(f, -t, toe),
                    corner(f, 0.0, 0.0),
                ];
                (geom::polygon(&corners).unwrap_or_default(), vec![])
            }
            Profile::Channel { height, flange, wall, root_radius } => {
                let (h, f, t, root) = (height.to_mm(), flange.to_mm(), wall.to_mm(), root_radius.to_mm());
                let corners = [
                    corner(0.0, 0.0, 0.0),
                    corner(0.0, -f, 0.0),
                    corner(t, -f, 0.0),
                    corner(t, -t, root),
                    corner(h - t, -t, root),
                    corner(h - t, -f, 0.0),
                    corner(h, -f, 0.0),
                    corner(h, 0.0, 0.0),
                ];
                (geom::polygon(&corners).unwrap_or_default(), vec![])
            }
        }
    }

    /// Area of the metal in the cross-section, mm2, exact.
    pub fn area_mm2(&self) -> f64 {
        let (outer, inner) = self.loops();
        outer.area() - inner.iter().map(Loop::area).sum::<f64>()
    }

    /// Centre of the metal in the cross-section: body y and z, mm, exact.
    pub fn centroid(&self) -> Point {
        let (outer, inner) = self.loops();
        let whole = outer.area();
        let moment = inner.iter().fold(outer.centroid() * whole, |m, l| m - l.centroid() * l.area());
        let area = whole - inner.iter().map(Loop::area).sum::<f64>();
        if area == 0.0 { Point::default() } else { moment * (1.0 / area) }
    }

    /// The face's own y, mm, for a point of the cross-section (body y and z, mm).
    pub fn face_y(&self, face: Face, at: Point) -> f64 {
        let size = |f: Face| self.face_width(f).unwrap_or(Length::ZERO).to_mm();
        match face {
            // Round stock has its centre line at y = 0, its front edge half a diameter before it.
            Face::Top if self.is_round() => at.x + size(Face::Top) / 2.0,
            Face::Top => at.x,
            Face::Front if matches!(self, Profile::Angle { .. }) => -at.y,
            Face::Front => at.y + size(Face::Front),
            Face::Back => -at.y,
            Face::Bottom => size(Face::Top) - at.x,
        }
    }

    /// Whether it is a round bar or a round tube.
    pub fn is_round(&self) -> bool {
        matches!(self, Profile::RoundBar { .. } | Profile::RoundTube { .. })
    }
}

impl Section {
    /// x of the left end at a point of the cross-section (body y and z, mm), mm.
    pub fn left_x_at(&self, at: Point) -> f64 {
        self.reach_at(self.left, at)
    }

    /// x of the right end at a point of the cross-section (body y and z, mm), mm.
    pub fn right_x_at(&self, at: Point) -> f64 {
        self.length.to_mm() - self.reach_at(self.right, at)
    }

    /// How far behind its long point the cut lies at a point, mm: a plane, so
    /// it is linear in y and z.
    fn reach_at(&self, end: End, at: Point) -> f64 {
        // A cope is no plane: the volume takes it off by itself.
        if end.is_square() || end.cope.is_some() {
            return 0.0;
        }
        let width = self.profile.face_width(end.across).unwrap_or(Length::ZERO).to_mm();
        let (along, slope) = (self.profile.face_y(end.across, at), end.slope());
        if slope >= 0.0 { along * slope } else { (along - width) * slope }
    }
}

fn corner(y: f64, z: f64, radius: f64) -> Corner {
    let finish = if radius > 0.0 { CornerFinish::Radius(radius) } else { CornerFinish::Sharp };
    Corner { at: Point::new(y, z), finish }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Angle;
    use std::f64::consts::PI;

    fn mm(v: f64) -> Length {
        Length::mm(v)
    }

    #[test]
    fn the_area_of_an_angle_follows_the_formula_of_its_standard() {
        // EN 10056-1 gives A = t(2a - t) + 0.215 (r1^2 - 2 r2^2) for equal legs (memory,
        // unconfirmed); 0.215 stands for 1 - pi/4.
        let p = Profile::Angle {
            flat_leg: mm(50.0),
            upright_leg: mm(50.0),
            wall: mm(5.0),
            root_radius: mm(7.0),
            toe_radius: mm(3.5),
        };
        let wanted = 5.0 * 95.0 + (1.0 - PI / 4.0) * (49.0 - 2.0 * 12.25);
        assert!((p.area_mm2() - wanted).abs() < 1e-9);
        let b = p.loops().0.bounds().unwrap();
        assert!(b.low.x.abs() < 1e-9 && b.high.y.abs() < 1e-9);
        assert!((b.high.x - 50.0).abs() < 1e-9 && (b.low.y + 50.0).abs() < 1e-9);
    }

    #[test]
    fn tube_and_channel_have_their_areas() {
        let tube = Profile::BoxTube {
            width: mm(60.0),
            height: mm(40.0),
            wall: mm(3.0),
            outside_radius: mm(6.0),
            inside_radius: mm(3.0),
        };
        let wanted = 2400.0 - (4.0 - PI) * 36.0 - (54.0 * 34.0 - (4.0 - PI) * 9.0);
        assert!((tube.area_mm2() - wanted).abs() < 1e-9);
        assert!(tube.centroid().distance(Point::new(30.0, -20.0)) < 1e-9);
        let channel = Profile::Channel { height: mm(80.0), flange: mm(45.0), wall: mm(6.0), root_radius: mm(8.0) };
        let wanted = 80.0 * 6.0 + 2.0 * 39.0 * 6.0 + 2.0 * (1.0 - PI / 4.0) * 64.0;
        assert!((channel.area_mm2() - wanted).abs() < 1e-9);
        let round = Profile::RoundTube { outside: mm(48.3), wall: mm(3.2) };
        assert!((round.area_mm2() - PI * 45.1 * 3.2).abs() < 1e-9);
    }

    #[test]
    fn end_planes_agree_with_the_lines_on_the_faces() {
        let profile = Profile::BoxTube {
            width: mm(40.0),
            height: mm(60.0),
            wall: mm(3.0),
            outside_radius: mm(6.0),
            inside_radius: mm(3.0),
        };
        for across in [Face::Top, Face::Front, Face::Back, Face::Bottom] {
            for degrees in [45.0, 70.0, 90.0, 120.0] {
                let end = End { angle: Angle::degrees(degrees), across, cope: None, flats: None };
                let s = Section { profile, length: mm(400.0), left: end, right: end, holes: vec![] };
                // A point on each face: (face, body y, body z, the face's own y).
                let on = [
                    (Face::Top, 11.0, 0.0, 11.0),
                    (Face::Front, 0.0, -13.0, 47.0),
                    (Face::Back, 40.0, -13.0, 13.0),
                    (Face::Bottom, 11.0, -60.0, 29.0),
                ];
                for (face, y, z, own) in on {
                    let at = Point::new(y, z);
                    assert!((s.left_x_at(at) - s.left_x(face, own)).abs() < 1e-9, "{across:?} {face:?} {degrees}");
                    assert!((s.right_x_at(at) - s.right_x(face, own)).abs() < 1e-9, "{across:?} {face:?}");
                }
            }
        }
    }
}
