//! From where a body is looked at.

use crate::space::Point3;

/// A direction to look from. The names go by the frame that the body stands
/// in: x to the right, y away from the viewer, z up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Isometric, from the right, the front and above.
    RightCorner,
    /// Isometric, from the left, the front and above.
    LeftCorner,
    /// From the front.
    Front,
    /// From behind.
    Back,
    /// From above.
    Top,
    /// From below.
    Bottom,
    /// From the right.
    Right,
    /// From the left.
    Left,
}

impl Look {
    /// Every look, in the order they are listed.
    pub const ALL: [Look; 8] = [
        Look::RightCorner,
        Look::LeftCorner,
        Look::Front,
        Look::Back,
        Look::Top,
        Look::Bottom,
        Look::Right,
        Look::Left,
    ];

    /// The one word for it, as it is asked for.
    pub fn word(self) -> &'static str {
        match self {
            Look::RightCorner => "right-corner",
            Look::LeftCorner => "left-corner",
            Look::Front => "front",
            Look::Back => "back",
            Look::Top => "top",
            Look::Bottom => "bottom",
            Look::Right => "right",
            Look::Left => "left",
        }
    }

    /// Unit vectors to the right and upwards in the picture.
    ///
    /// # Source
    /// Isometric: equal scales on all three axes, ISO 5456-3:1996 (from memory).
    pub fn axes(self) -> (Point3, Point3) {
        let p = Point3::new;
        let (half, sixth) = (libm::sqrt(0.5), libm::sqrt(1.0 / 6.0));
        match self {
            Look::RightCorner => (p(half, half, 0.0), p(-sixth, sixth, 2.0 * sixth)),
            Look::LeftCorner => (p(half, -half, 0.0), p(sixth, sixth, 2.0 * sixth)),
            Look::Front => (p(1.0, 0.0, 0.0), p(0.0, 0.0, 1.0)),
            Look::Back => (p(-1.0, 0.0, 0.0), p(0.0, 0.0, 1.0)),
            Look::Top => (p(1.0, 0.0, 0.0), p(0.0, 1.0, 0.0)),
            Look::Bottom => (p(1.0, 0.0, 0.0), p(0.0, -1.0, 0.0)),
            Look::Right => (p(0.0, 1.0, 0.0), p(0.0, 0.0, 1.0)),
            Look::Left => (p(0.0, -1.0, 0.0), p(0.0, 0.0, 1.0)),
        }
    }
}
