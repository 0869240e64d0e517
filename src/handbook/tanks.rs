//! Tanks: how much they hold, and how long a strap round them is.

use std::f64::consts::{PI, TAU};

use crate::handbook::Citation;
use crate::handbook::sources::{Ledger, PLANE};
use crate::units::{Angle, Length};

/// One US liquid gallon in litres: 231 cubic inches.
///
/// # Source
/// NIST Handbook 44, Appendix C, as quoted in a secondary source; 231 in3 x 25.4^3.
pub const LITRES_PER_US_GALLON: f64 = 231.0 * 25.4 * 25.4 * 25.4 * 1e-6;
/// One imperial gallon in litres.
///
/// # Source
/// NIST Handbook 44, Appendix C, as quoted in a secondary source.
pub const LITRES_PER_IMPERIAL_GALLON: f64 = 4.546_09;
/// Where the gallons are from.
pub const GALLONS: Citation = Citation::quoted("NIST Handbook 44", "Appendix C");

/// Cross-section of a tank, outside sizes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TankShape {
    /// Rectangle with four equal corner radii.
    Rectangle {
        /// Across.
        width: Length,
        /// Up.
        height: Length,
        /// Corner radius; at most half the shorter side.
        corner_radius: Length,
    },
    /// Round.
    Round {
        /// Diameter.
        diameter: Length,
    },
    /// Flat top and bottom, half-round ends of radius height/2.
    Obround {
        /// Across, over the round ends; at least the height.
        width: Length,
        /// Up.
        height: Length,
    },
    /// One flat face, straight sides of a depth, then a half circle.
    D {
        /// Across the flat face: twice the radius.
        width: Length,
        /// Depth of the straight sides, zero or more.
        straight: Length,
    },
}

impl TankShape {
    /// Whether the sizes make a shape: positive, radius that fits, obround not
    /// narrower than high.
    pub fn is_sound(&self) -> bool {
        let positive = |l: Length| l.is_finite() && l.to_mm() > 0.0;
        match *self {
            TankShape::Rectangle { width, height, corner_radius: r } => {
                positive(width) && positive(height) && r.is_finite() && r.to_mm() >= 0.0 && r * 2.0 <= width.min(height)
            }
            TankShape::Round { diameter } => positive(diameter),
            TankShape::Obround { width, height } => positive(height) && width.is_finite() && width >= height,
            TankShape::D { width, straight } => positive(width) && straight.is_finite() && straight.to_mm() >= 0.0,
        }
    }

    /// Area of the cross-section, mm2.
    ///
    /// # Formula
    /// `w h - (4 - pi) r2`; `pi D2/4`; `(w - h) h + pi h2/4`; `2 r f + pi r2/2`
    /// # Source
    /// Geometry.
    /// # Holds for
    /// Shapes that are sound.
    pub fn area_mm2(&self) -> f64 {
        match *self {
            TankShape::Rectangle { width, height, corner_radius: r } => {
                width.to_mm() * height.to_mm() - (4.0 - PI) * r.to_mm() * r.to_mm()
            }
            TankShape::Round { diameter } => PI / 4.0 * diameter.to_mm() * diameter.to_mm(),
            TankShape::Obround { width, height } => {
                let h = height.to_mm();
                (width.to_mm() - h) * h + PI * h * h / 4.0
            }
            TankShape::D { width, straight } => {
                let r = width.to_mm() / 2.0;
                2.0 * r * straight.to_mm() + PI * r * r / 2.0
            }
        }
    }

    /// Length once round the skin.
    ///
    /// # Formula
    /// `2 (w + h) - (8 - 2 pi) r`; `pi D`; `2 (w - h) + pi h`; `w + 2 f + pi w/2`
    /// # Source
    /// Geometry.
    /// # Holds for
    /// Shapes that are sound.
    pub fn perimeter(&self) -> Length {
        match *self {
            TankShape::Rectangle { width, height, corner_radius } => {
                (width + height) * 2.0 - corner_radius * (8.0 - TAU)
            }
            TankShape::Round { diameter } => diameter * PI,
            TankShape::Obround { width, height } => (width - height) * 2.0 + height * PI,
            TankShape::D { width, straight } => width + straight * 2.0 + width * (PI / 2.0),
        }
    }

    /// Litres of a tank of that length.
    ///
    /// # Formula
    /// `V = A L`
    /// # Source
    /// Geometry.
    /// # Holds for
    /// Outside sizes, which give a little too much (the skin): the safe side for a load.
    pub fn litres(&self, length: Length) -> f64 {
        self.area_mm2() * length.to_mm() * 1e-6
    }
}

/// US gallons of so many litres.
///
/// # Formula
/// `V / 3.785 411 784`
/// # Source
/// [`GALLONS`].
/// # Holds for
/// Liquid gallons.
pub fn us_gallons(litres: f64) -> f64 {
    litres / LITRES_PER_US_GALLON
}

/// Imperial gallons of so many litres.
///
/// # Formula
/// `V / 4.546 09`
/// # Source
/// [`GALLONS`].
/// # Holds for
/// Imperial gallons.
pub fn imperial_gallons(litres: f64) -> f64 {
    litres / LITRES_PER_IMPERIAL_GALLON
}

/// Length of a strap's middle line over a stretch of skin.
///
/// # Formula
/// `l = s + th (g + t/2)`, g liner, t strap, th the angle turned through, 2 pi for once round
/// # Source
/// Geometry: a line parallel to a convex outline at distance e is longer by
/// the turning times e.
/// # Holds for
/// Convex outlines.
pub fn strap_length(skin: Length, wrapped: Angle, liner: Length, strap: Length) -> Length {
    skin + (liner + strap / 2.0) * wrapped.to_radians()
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    to.rows("litres of a", ["US gallon", "imperial gallon"], GALLONS);
    to.formulas(&["area_mm2", "perimeter", "litres", "strap_length"], PLANE);
    to.formulas(&["us_gallons", "imperial_gallons"], GALLONS);
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn mm(v: f64) -> Length {
        Length::mm(v)
    }

    #[test]
    fn a_rectangle_of_full_radius_and_an_obround_of_no_flat_are_circles() {
        let circle = TankShape::Round { diameter: mm(200.0) };
        let others = [
            TankShape::Rectangle { width: mm(200.0), height: mm(200.0), corner_radius: mm(100.0) },
            TankShape::Obround { width: mm(200.0), height: mm(200.0) },
        ];
        for shape in others {
            assert!(shape.is_sound());
            assert!((shape.area_mm2() - circle.area_mm2()).abs() < 1e-9);
            assert!((shape.perimeter() - circle.perimeter()).abs().to_mm() < 1e-9);
        }
    }

    #[test]
    fn two_d_tanks_back_to_back_make_an_obround() {
        let d = TankShape::D { width: mm(200.0), straight: mm(50.0) };
        let both = TankShape::Obround { width: mm(300.0), height: mm(200.0) };
        assert!((2.0 * d.area_mm2() - both.area_mm2()).abs() < 1e-9);
        assert!(((d.perimeter() - mm(200.0)) * 2.0 - both.perimeter()).abs().to_mm() < 1e-9);
    }

    #[test]
    fn a_strap_round_the_outside_is_the_perimeter_of_the_swollen_shape() {
        let skin = TankShape::Rectangle { width: mm(300.0), height: mm(200.0), corner_radius: mm(40.0) };
        let swollen = TankShape::Rectangle { width: mm(309.0), height: mm(209.0), corner_radius: mm(44.5) };
        let strap = strap_length(skin.perimeter(), Angle::radians(TAU), mm(3.0), mm(3.0));
        assert!((strap - swollen.perimeter()).abs().to_mm() < 1e-9);
    }

    #[test]
    fn shapes_that_cannot_be_are_told() {
        assert!(!TankShape::Obround { width: mm(100.0), height: mm(200.0) }.is_sound());
        assert!(!TankShape::Round { diameter: mm(f64::NAN) }.is_sound());
        let r = TankShape::Rectangle { width: mm(100.0), height: mm(50.0), corner_radius: mm(26.0) };
        assert!(!r.is_sound());
    }
}
