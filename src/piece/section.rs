//! Sections: a length of angle, tube, channel or bar with its two ends and the
//! holes on its faces.

use super::hole::Hole;
use crate::units::{Angle, Length};

/// Cross-section with true radii.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Profile {
    /// Rectangular bar, `width` across (y), `thickness` down.
    FlatBar {
        /// Across.
        width: Length,
        /// Down.
        thickness: Length,
    },
    /// Solid round bar.
    RoundBar {
        /// Diameter.
        diameter: Length,
    },
    /// Round tube.
    RoundTube {
        /// Outside diameter.
        outside: Length,
        /// Wall.
        wall: Length,
    },
    /// Square or rectangular tube.
    BoxTube {
        /// Across (y).
        width: Length,
        /// Down (z).
        height: Length,
        /// Wall.
        wall: Length,
        /// Outside corner radius.
        outside_radius: Length,
        /// Inside corner radius.
        inside_radius: Length,
    },
    /// Equal or unequal angle.
    Angle {
        /// The leg along +y, face `flat leg`.
        flat_leg: Length,
        /// The leg along -z, face `upright leg`.
        upright_leg: Length,
        /// Wall of both legs.
        wall: Length,
        /// Fillet in the inner corner.
        root_radius: Length,
        /// Rounding of the inner edge of each toe.
        toe_radius: Length,
    },
    /// Channel with parallel flanges; the web is on top.
    Channel {
        /// Across the web (y).
        height: Length,
        /// Down the flanges, over the web.
        flange: Length,
        /// Wall of web and flanges.
        wall: Length,
        /// Fillet in the inner corners.
        root_radius: Length,
    },
}

/// A face of a section; each has x from the left end and y from its own edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Face {
    /// Top (z = 0): flat bar, tubes, flat leg of an angle, web of a channel.
    /// y runs from the front edge (the heel of an angle) to the back.
    Top,
    /// Front (y = 0), seen from the front. Tubes and channels: y from the lower
    /// edge up. Angle (`upright leg`): y from the heel down.
    Front,
    /// Back (y = width), seen from behind, x still along the piece: y from the top edge down.
    Back,
    /// Bottom, seen from below: y from the back edge to the front.
    Bottom,
}

/// How an end is cut. The plane is square to the face it is `across`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct End {
    /// Angle inside the metal between the cut and the edge y = 0 of the face it
    /// runs across: 90 deg is square, below 90 deg the edge y = 0 is the longer one.
    pub angle: Angle,
    /// Face that the cut runs across; the saw goes square through the others.
    pub across: Face,
    /// Round tube: radius of the tube that this end is coped to sit on; `angle`
    /// is then the angle between the two axes.
    pub cope: Option<Length>,
    /// Round bar: two flats at this end (double-D).
    pub flats: Option<Flats>,
}

/// Two parallel flats at the end of a round bar, level with the top face: a
/// double-D.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flats {
    /// From flat to flat.
    pub across: Length,
    /// How far they reach along the bar.
    pub length: Length,
}

impl End {
    /// A square end.
    pub fn square() -> End {
        End { angle: Angle::degrees(90.0), across: Face::Top, cope: None, flats: None }
    }
    /// Whether it is cut square, to within a thousandth of a degree.
    pub fn is_square(&self) -> bool {
        self.cope.is_none() && (self.angle.to_degrees() - 90.0).abs() < 1e-3
    }
    /// Angle of the saw cut, degrees: a coped end is sawn square and filed.
    pub fn saw_deg(&self) -> f64 {
        if self.cope.is_some() { 90.0 } else { self.angle.to_degrees() }
    }
    /// How far the cut moves along x for each mm of y on its face: 0 for square.
    pub fn slope(&self) -> f64 {
        if self.is_square() { 0.0 } else { 1.0 / self.angle.tan() }
    }
}

/// A hole on a face of a section.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceHole {
    /// The face it is drilled from.
    pub face: Face,
    /// Whether it goes on through the opposite wall (tubes; always for bars).
    pub through: bool,
    /// x from the left long point, y from the face's own edge, mm.
    pub hole: Hole,
}

/// A length of section.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Cross-section.
    pub profile: Profile,
    /// Long point to long point along the piece.
    pub length: Length,
    /// Left end (x = 0 at its long point).
    pub left: End,
    /// Right end.
    pub right: End,
    /// Holes.
    pub holes: Vec<FaceHole>,
}

impl Profile {
    /// Faces that can carry holes, with the word for each and its width across.
    pub fn faces(&self) -> Vec<(Face, &'static str, Length)> {
        match *self {
            Profile::FlatBar { width, .. } => vec![(Face::Top, "top", width)],
            Profile::RoundBar { diameter } => vec![(Face::Top, "top", diameter)],
            Profile::RoundTube { outside, .. } => vec![(Face::Top, "top", outside)],
            Profile::BoxTube { width, height, .. } => vec![
                (Face::Top, "top", width),
                (Face::Front, "front", height),
                (Face::Back, "back", height),
                (Face::Bottom, "bottom", width),
            ],
            Profile::Angle { flat_leg, upright_leg, .. } => {
                vec![(Face::Top, "flat leg", flat_leg), (Face::Front, "upright leg", upright_leg)]
            }
            Profile::Channel { height, flange, .. } => vec![
                (Face::Top, "web", height),
                (Face::Front, "front flange", flange),
                (Face::Back, "back flange", flange),
            ],
        }
    }

    /// Width of a face, if the profile has it.
    pub fn face_width(&self, face: Face) -> Option<Length> {
        self.faces().into_iter().find(|f| f.0 == face).map(|f| f.2)
    }

    /// Thickness that a drill meets on a face before it breaks through the first wall.
    pub fn wall(&self) -> Length {
        match *self {
            Profile::FlatBar { thickness, .. } => thickness,
            Profile::RoundBar { diameter } => diameter,
            Profile::RoundTube { wall, .. }
            | Profile::BoxTube { wall, .. }
            | Profile::Angle { wall, .. }
            | Profile::Channel { wall, .. } => wall,
        }
    }
}

impl Section {
    /// x of the left end on the line `y_mm` of face `face`, mm from the left long point.
    pub fn left_x(&self, face: Face, y_mm: f64) -> f64 {
        self.end_reach(self.left, face, y_mm)
    }

    /// x of the right end on the line `y_mm` of face `face`, mm from the left long point.
    pub fn right_x(&self, face: Face, y_mm: f64) -> f64 {
        self.length.to_mm() - self.end_reach(self.right, face, y_mm)
    }

    /// How far behind its long point an end lies on a line of a face, mm.
    fn end_reach(&self, end: End, face: Face, y_mm: f64) -> f64 {
        if end.is_square() {
            return 0.0;
        }
        let width = self.profile.face_width(end.across).unwrap_or(Length::ZERO).to_mm();
        if end.cope.is_some() {
            let r = width / 2.0;
            let across = (y_mm - r).clamp(-r, r);
            return self.cope_reach(end, across, libm::sqrt(r * r - across * across));
        }
        let along = self.across_at(end.across, face, y_mm);
        let slope = end.slope();
        if slope >= 0.0 { along * slope } else { (along - width) * slope }
    }

    /// How far behind its long point a coped end lies at a point of the
    /// cross-section, from the tube's axis, mm; 0 where the branch is wider than
    /// the tube it meets (told while it is laid flat).
    pub(super) fn cope_reach(&self, end: End, across: f64, out: f64) -> f64 {
        let (Some(main), Profile::RoundTube { outside, .. }) = (end.cope, self.profile) else { return 0.0 };
        let a = end.angle.to_radians();
        let here = super::cope::saddle(main.to_mm(), a, across, out);
        let first = super::cope::long_point(main.to_mm(), a, outside.to_mm() / 2.0);
        here.zip(first).map_or(0.0, |(x, x0)| x - x0)
    }

    /// How far behind its long point an end of a round tube lies at an angle
    /// round it, mm: 0 at the top line, turning towards the back.
    pub fn round_reach(&self, end: End, turn_rad: f64) -> f64 {
        let Profile::RoundTube { outside, .. } = self.profile else { return 0.0 };
        let r = outside.to_mm() / 2.0;
        let across = r * libm::sin(turn_rad);
        if end.cope.is_some() {
            return self.cope_reach(end, across, r * libm::cos(turn_rad));
        }
        self.end_reach(end, Face::Top, r + across)
    }

    /// The coordinate y of face `across` for a point at `y_mm` on `face`, mm.
    /// The cut does not vary along a face square to `across`.
    fn across_at(&self, across: Face, face: Face, y_mm: f64) -> f64 {
        let size = |f: Face| self.profile.face_width(f).unwrap_or(Length::ZERO).to_mm();
        let is_angle = matches!(self.profile, Profile::Angle { .. });
        if across == face {
            return y_mm;
        }
        match (across, face) {
            (Face::Top, Face::Bottom) | (Face::Bottom, Face::Top) => size(Face::Top) - y_mm,
            (Face::Front, Face::Back) | (Face::Back, Face::Front) => size(Face::Front) - y_mm,
            (Face::Top, Face::Front) | (Face::Bottom, Face::Back) => 0.0,
            (Face::Top, Face::Back) | (Face::Bottom, Face::Front) => size(Face::Top),
            // The top edge of the front face is at its full height, of an angle at its heel.
            (Face::Front, Face::Top) => {
                if is_angle {
                    0.0
                } else {
                    size(Face::Front)
                }
            }
            (Face::Front, Face::Bottom) | (Face::Back, Face::Top) => 0.0,
            (Face::Back, Face::Bottom) => size(Face::Back),
            _ => y_mm,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tube(left: f64, right: f64, across: Face) -> Section {
        Section {
            profile: Profile::BoxTube {
                width: Length::mm(40.0),
                height: Length::mm(40.0),
                wall: Length::mm(3.0),
                outside_radius: Length::mm(6.0),
                inside_radius: Length::mm(3.0),
            },
            length: Length::mm(300.0),
            left: End { angle: Angle::degrees(left), across, cope: None, flats: None },
            right: End { angle: Angle::degrees(right), across, cope: None, flats: None },
            holes: vec![],
        }
    }

    #[test]
    fn a_45_degree_end_leaves_the_width_behind() {
        let s = tube(45.0, 45.0, Face::Top);
        assert!((s.left_x(Face::Top, 0.0)).abs() < 1e-9);
        assert!((s.left_x(Face::Top, 40.0) - 40.0).abs() < 1e-9);
        assert!((s.right_x(Face::Top, 40.0) - 260.0).abs() < 1e-9);
        assert!((s.left_x(Face::Back, 10.0) - 40.0).abs() < 1e-9);
        assert!((s.left_x(Face::Bottom, 0.0) - 40.0).abs() < 1e-9);
    }

    #[test]
    fn an_obtuse_end_has_its_long_point_at_the_far_edge() {
        let s = tube(135.0, 90.0, Face::Top);
        assert!((s.left_x(Face::Top, 40.0)).abs() < 1e-9);
        assert!((s.left_x(Face::Top, 0.0) - 40.0).abs() < 1e-9);
        assert!((s.right_x(Face::Top, 0.0) - 300.0).abs() < 1e-9);
    }
}
