//! The section of a hanger, by what it is made of.

use super::named::{Outside, Told};
use crate::handbook::section::Shape;
use crate::handbook::section_radii::{TubeMake, angle_radii, tube_corners};
use crate::units::Length;

/// What a hanger may be made of.
pub(super) const MADE_OF: &[&str] = &["square tube", "round tube", "angle"];

/// What the checks need of a section.
pub(super) struct HangerSection {
    /// Modulus with the bolt hole taken off, mm3.
    pub net_modulus_mm3: f64,
    /// Area that carries shear, mm2.
    pub shear_area_mm2: f64,
}

/// Section of side, wall and hole as told.
///
/// # Formula
/// `W = (I - sum d0 t y^2) / c`: each hole's strip taken off at its distance y from the axis.
/// # Source
/// Geometry; shear area `A/2` of a square tube and `2 A/pi` of a round one by EN 1993-1-1, 6.2.6(3) (from memory,
/// unconfirmed).
/// # Holds for
/// A hole through both walls of a tube, the upper and the lower, or through the flat leg of an angle.
pub(super) fn section(t: &Told) -> Result<HangerSection, Outside> {
    let (side, wall, hole) = (t.length("side"), t.length("wall"), t.length("hole"));
    let round = t.word("made_of") == "round tube";
    let tube = round || t.word("made_of") == "square tube";
    let shape = if round {
        Shape::RoundTube { outside: side, wall }
    } else if tube {
        let corners = tube_corners(TubeMake::ColdFormed, wall);
        Shape::RectTube { depth: side, width: side, wall, outer_radius: corners.outer, inner_radius: corners.inner }
    } else {
        // Beyond the table the root is taken as sharp, which is the safe side.
        let radii = angle_radii(side, side).map_or((Length::ZERO, Length::ZERO), |r| (r.root, r.toe));
        let fits = wall + radii.0 + radii.1 < side && radii.1 <= wall;
        let (root_radius, toe_radius) = if fits { radii } else { (Length::ZERO, Length::ZERO) };
        Shape::Angle { upright: side, across: side, thickness: wall, root_radius, toe_radius }
    };
    let p = shape.properties().ok_or_else(|| Outside("these sizes make no section".to_string()))?;
    let strip = hole.to_mm() * wall.to_mm();
    let far = p.centroid_up_mm.max(side.to_mm() - p.centroid_up_mm);
    let from_axis = if tube { (side - wall).to_mm() / 2.0 } else { p.centroid_up_mm - wall.to_mm() / 2.0 };
    let off = if tube { 2.0 } else { 1.0 } * strip * from_axis * from_axis;
    let inertia = p.inertia_x_mm4 - off;
    if inertia <= 0.0 || hole >= side {
        return Err(Outside("the holes leave nothing of the section".to_string()));
    }
    let shear_area_mm2 = if round {
        2.0 * p.area_mm2 / std::f64::consts::PI
    } else if tube {
        p.area_mm2 / 2.0
    } else {
        side.to_mm() * wall.to_mm()
    };
    Ok(HangerSection { net_modulus_mm3: inertia / far, shear_area_mm2 })
}
