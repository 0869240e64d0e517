//! Stock sections: area, mass per metre, second moment of area and modulus.
//!
//! Axes are those of the section tables: x runs across, so that x-bending
//! bends the depth; y is the other. Values are about axes through the centroid,
//! parallel to the sides.

use crate::handbook::Citation;
use crate::handbook::section_parts::{Part, rounded, sum};
use crate::handbook::sources::{DEFINITION, Ledger};
use crate::units::Length;

/// Where the terms of rounded corners are from.
pub const CORNERS: Citation = Citation::quoted("EN 10219-2", "annex on section properties, terms of the corners");

/// A cross-section, by its outside sizes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// Flat bar lying down: width across, thickness up.
    Flat {
        /// Across.
        width: Length,
        /// Up.
        thickness: Length,
    },
    /// Round bar.
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
    RectTube {
        /// Outside height (up).
        depth: Length,
        /// Outside width (across).
        width: Length,
        /// Wall.
        wall: Length,
        /// Outer corner radius; see `section_radii::tube_corners`.
        outer_radius: Length,
        /// Inner corner radius.
        inner_radius: Length,
    },
    /// Angle, equal or not: one leg up, one across.
    Angle {
        /// Outside length of the leg that stands up.
        upright: Length,
        /// Outside length of the leg that lies across.
        across: Length,
        /// Thickness of both.
        thickness: Length,
        /// Fillet in the root; zero for folded or drawn angles with a sharp root.
        root_radius: Length,
        /// Rounding of the two inner toes.
        toe_radius: Length,
    },
    /// Channel with parallel flanges, web standing up.
    Channel {
        /// Outside height.
        depth: Length,
        /// Flange width, over the web.
        width: Length,
        /// Web thickness.
        web: Length,
        /// Flange thickness.
        flange: Length,
        /// Fillet between web and flange.
        root_radius: Length,
    },
}

/// What a section weighs and resists.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Properties {
    /// Area, mm2.
    pub area_mm2: f64,
    /// Second moment of area about x, mm4.
    pub inertia_x_mm4: f64,
    /// About y, mm4.
    pub inertia_y_mm4: f64,
    /// Elastic modulus about x (second moment over the farther fibre), mm3.
    pub modulus_x_mm3: f64,
    /// About y, mm3.
    pub modulus_y_mm3: f64,
    /// Centroid from the left side, mm (from the heel for an angle).
    pub centroid_across_mm: f64,
    /// Centroid from the bottom, mm.
    pub centroid_up_mm: f64,
}

impl Properties {
    /// Mass of a metre of it, kg, for a density in kg/m3.
    ///
    /// # Formula
    /// `m = A rho`
    /// # Source
    /// Definition.
    /// # Holds for
    /// Nominal sizes.
    pub fn mass_kg_per_m(&self, density_kg_per_m3: f64) -> f64 {
        self.area_mm2 * density_kg_per_m3 * 1e-6
    }
}

impl Shape {
    /// Width and height of the box the section fills.
    pub fn envelope(&self) -> (Length, Length) {
        match *self {
            Shape::Flat { width, thickness } => (width, thickness),
            Shape::RoundBar { diameter } => (diameter, diameter),
            Shape::RoundTube { outside, .. } => (outside, outside),
            Shape::RectTube { depth, width, .. } | Shape::Channel { depth, width, .. } => (width, depth),
            Shape::Angle { upright, across, .. } => (across, upright),
        }
    }

    /// Area, second moments and moduli of the shape, fillets and roundings
    /// counted; `None` if the sizes make no section (a wall that fills the
    /// tube, a radius that does not fit, anything not positive).
    ///
    /// # Formula
    /// `A = sum Ai`, `I = sum (Ii + Ai yi^2)` about the common centroid, `W = I / c`, c to the farther fibre
    /// # Source
    /// [`CORNERS`]; the rest geometry.
    /// # Holds for
    /// Nominal sizes; exact arcs.
    pub fn properties(&self) -> Option<Properties> {
        let (width, height) = self.envelope();
        let (w, h) = (width.to_mm(), height.to_mm());
        let found = sum(&self.parts(w, h)?, w, h);
        (found.area_mm2.is_finite() && found.area_mm2 > 0.0).then_some(found)
    }

    fn parts(&self, w: f64, h: f64) -> Option<Vec<Part>> {
        if !(w > 0.0 && h > 0.0) {
            return None;
        }
        let parts = match *self {
            Shape::Flat { .. } => vec![Part::rectangle(0.0, 0.0, w, h)],
            Shape::RoundBar { .. } => vec![Part::circle(w / 2.0, w / 2.0, w)],
            Shape::RoundTube { wall, .. } => {
                let bore = fits(w - 2.0 * wall.to_mm(), wall)?;
                vec![Part::circle(w / 2.0, w / 2.0, w), Part::circle(w / 2.0, w / 2.0, bore).hole()]
            }
            Shape::RectTube { wall, outer_radius, inner_radius, .. } => {
                let (ro, ri, t) = (outer_radius.to_mm(), inner_radius.to_mm(), wall.to_mm());
                let (iw, ih) = (fits(w - 2.0 * t, wall)?, fits(h - 2.0 * t, wall)?);
                radius_fits(ro, w.min(h) / 2.0)?;
                radius_fits(ri, iw.min(ih) / 2.0)?;
                let mut parts = rounded(0.0, 0.0, w, h, ro).to_vec();
                parts.extend(rounded(t, t, iw, ih, ri).map(Part::hole));
                parts
            }
            Shape::Angle { thickness, root_radius, toe_radius, .. } => {
                return angle_parts((w, h), thickness, root_radius.to_mm(), toe_radius.to_mm());
            }
            Shape::Channel { web, flange, root_radius, .. } => {
                return channel_parts((w, h), web, flange, root_radius.to_mm());
            }
        };
        Some(parts)
    }
}

/// Two legs meeting at the heel, the root filled, the inner toes rounded.
fn angle_parts((w, h): (f64, f64), thickness: Length, root: f64, toe: f64) -> Option<Vec<Part>> {
    let t = thickness.to_mm();
    let (free_w, free_h) = (fits(w - t, thickness)?, fits(h - t, thickness)?);
    radius_fits(root, free_w.min(free_h) - toe)?;
    radius_fits(toe, t)?;
    Some(vec![
        Part::rectangle(0.0, 0.0, w, t),
        Part::rectangle(0.0, t, t, free_h),
        Part::spandrel(t, t, root, (1.0, 1.0)),
        Part::spandrel(w, t, toe, (-1.0, -1.0)).hole(),
        Part::spandrel(t, h, toe, (-1.0, -1.0)).hole(),
    ])
}

/// Two flanges, the web between them, two root fillets.
fn channel_parts((w, h): (f64, f64), web: Length, flange: Length, root: f64) -> Option<Vec<Part>> {
    let (tw, tf) = (web.to_mm(), flange.to_mm());
    let (free_w, free_h) = (fits(w - tw, web)?, fits(h - 2.0 * tf, flange)?);
    radius_fits(root, free_w.min(free_h / 2.0))?;
    Some(vec![
        Part::rectangle(0.0, 0.0, w, tf),
        Part::rectangle(0.0, h - tf, w, tf),
        Part::rectangle(0.0, tf, tw, free_h),
        Part::spandrel(tw, tf, root, (1.0, 1.0)),
        Part::spandrel(tw, h - tf, root, (1.0, -1.0)),
    ])
}

/// What is left beside a wall, if the wall is real and something is left.
fn fits(left_over: f64, wall: Length) -> Option<f64> {
    (left_over > 0.0 && wall.to_mm() > 0.0).then_some(left_over)
}

/// A radius that is not negative and has room.
fn radius_fits(radius: f64, room: f64) -> Option<()> {
    (radius >= 0.0 && radius <= room).then_some(())
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    to.formulas(&["properties"], CORNERS);
    to.formulas(&["mass_kg_per_m"], DEFINITION);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(v: f64) -> Length {
        Length::mm(v)
    }

    #[test]
    fn a_tube_of_full_outer_radius_is_a_round_tube() {
        let square = Shape::RectTube {
            depth: mm(40.0),
            width: mm(40.0),
            wall: mm(3.0),
            outer_radius: mm(20.0),
            inner_radius: mm(17.0),
        };
        let round = Shape::RoundTube { outside: mm(40.0), wall: mm(3.0) };
        let (a, b) = (square.properties().unwrap(), round.properties().unwrap());
        assert!((a.area_mm2 - b.area_mm2).abs() < 1e-9);
        // The corner terms are exact, so even the second moment must agree.
        assert!((a.inertia_x_mm4 - b.inertia_x_mm4).abs() < 1e-6);
    }

    #[test]
    fn a_channel_without_fillets_is_a_box_less_a_box() {
        let c =
            Shape::Channel { depth: mm(80.0), width: mm(40.0), web: mm(5.0), flange: mm(6.0), root_radius: mm(0.0) };
        let p = c.properties().unwrap();
        let expected = (40.0 * 80.0_f64.powi(3) - 35.0 * 68.0_f64.powi(3)) / 12.0;
        assert!((p.inertia_x_mm4 - expected).abs() < 1e-6);
        assert!((p.centroid_up_mm - 40.0).abs() < 1e-9);
    }

    #[test]
    fn turning_an_unequal_angle_swaps_its_axes() {
        let make = |up: f64, across: f64| Shape::Angle {
            upright: mm(up),
            across: mm(across),
            thickness: mm(5.0),
            root_radius: mm(7.0),
            toe_radius: mm(3.5),
        };
        let (a, b) = (make(60.0, 40.0).properties().unwrap(), make(40.0, 60.0).properties().unwrap());
        assert!((a.inertia_x_mm4 - b.inertia_y_mm4).abs() < 1e-6);
        assert!(a.inertia_x_mm4 > a.inertia_y_mm4);
    }

    #[test]
    fn sizes_that_make_no_section_are_refused() {
        assert!(Shape::RoundTube { outside: mm(20.0), wall: mm(10.0) }.properties().is_none());
        assert!(Shape::RoundTube { outside: mm(20.0), wall: mm(-1.0) }.properties().is_none());
        assert!(Shape::Flat { width: mm(f64::NAN), thickness: mm(3.0) }.properties().is_none());
        let corner = Shape::RectTube {
            depth: mm(20.0),
            width: mm(20.0),
            wall: mm(2.0),
            outer_radius: mm(11.0),
            inner_radius: mm(2.0),
        };
        assert!(corner.properties().is_none());
    }
}
