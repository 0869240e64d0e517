//! Bearing units for a steering shaft, and the hole a shaft needs in a plate
//! that does not stand square to it.

use crate::handbook::Citation;
use crate::handbook::sources::{Ledger, PLANE};
use crate::units::{Angle, Force, Length};

/// How a bearing unit is bolted on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mount {
    /// Foot with two bolts (pillow block, UCP).
    Pillow,
    /// Oval flange with two bolts (UCFL).
    TwoBoltFlange,
    /// Square flange with four bolts (UCF).
    FourBoltFlange,
}

/// One bearing unit's fixing sizes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BearingUnit {
    /// `UCP204`.
    pub name: &'static str,
    /// How it is bolted on.
    pub mount: Mount,
    /// Bores it comes in, as the trade writes them.
    pub bores: &'static str,
    /// Shaft centre above the foot; `None` for flanges.
    pub centre_height: Option<Length>,
    /// Longest outside size.
    pub length: Length,
    /// Other outside size of the footprint.
    pub width: Length,
    /// Between bolt centres, in both directions for four bolts.
    pub pitch: Length,
    /// Width of the bolt hole.
    pub hole_width: Length,
    /// Length of the bolt hole along the pitch; the width for a round one.
    pub hole_length: Length,
    /// Bolt that fits.
    pub bolt: &'static str,
    /// Where the row is from.
    pub source: Citation,
}

const PILLOW: Citation = Citation::quoted("ISO 113 family of pillow blocks", "UCP200 sizes")
    .noting("as quoted in a secondary source; makers differ, measure the unit in hand");
const FLANGE: Citation = Citation::memory("JIS B 1559 / ISO 3228", "flanged units, 200 sizes")
    .noting("from memory, unconfirmed; makers differ by 1 to 2 mm, measure the unit in hand");

const fn pillow(
    name: &'static str,
    bores: &'static str,
    sizes: [f64; 4],
    hole: (f64, f64),
    bolt: &'static str,
) -> BearingUnit {
    BearingUnit {
        name,
        mount: Mount::Pillow,
        bores,
        centre_height: Some(Length::mm(sizes[0])),
        length: Length::mm(sizes[1]),
        width: Length::mm(sizes[3]),
        pitch: Length::mm(sizes[2]),
        hole_width: Length::mm(hole.0),
        hole_length: Length::mm(hole.1),
        bolt,
        source: PILLOW,
    }
}

const fn flange(
    name: &'static str,
    mount: Mount,
    bores: &'static str,
    sizes: [f64; 4],
    bolt: &'static str,
) -> BearingUnit {
    BearingUnit {
        name,
        mount,
        bores,
        centre_height: None,
        length: Length::mm(sizes[0]),
        width: Length::mm(sizes[1]),
        pitch: Length::mm(sizes[2]),
        hole_width: Length::mm(sizes[3]),
        hole_length: Length::mm(sizes[3]),
        bolt,
        source: FLANGE,
    }
}

const BORES_204: &str = "3/4 in, 20 mm";
const BORES_205: &str = "7/8 in, 15/16 in, 25 mm, 1 in";
const BORES_206: &str = "1-1/8 in, 30 mm, 1-1/4 in";

/// The units of the handbook. Pillow sizes: centre height, length, pitch, base
/// width; flange sizes: length, width, pitch, hole.
pub const UNITS: &[BearingUnit] = &[
    pillow("UCP204", BORES_204, [33.3, 127.0, 95.0, 38.0], (13.0, 18.0), "M10"),
    pillow("UCP205", BORES_205, [37.0, 140.0, 105.0, 38.0], (13.0, 18.0), "M10"),
    pillow("UCP206", BORES_206, [42.9, 163.0, 121.0, 47.0], (17.0, 21.0), "M14"),
    flange("UCFL204", Mount::TwoBoltFlange, BORES_204, [113.0, 60.0, 90.0, 12.0], "M10"),
    flange("UCFL205", Mount::TwoBoltFlange, BORES_205, [130.0, 68.0, 99.0, 16.0], "M14"),
    flange("UCFL206", Mount::TwoBoltFlange, BORES_206, [148.0, 80.0, 117.0, 16.0], "M14"),
    flange("UCF204", Mount::FourBoltFlange, BORES_204, [86.0, 86.0, 64.0, 12.0], "M10"),
    flange("UCF205", Mount::FourBoltFlange, BORES_205, [95.0, 95.0, 70.0, 12.0], "M10"),
    flange("UCF206", Mount::FourBoltFlange, BORES_206, [108.0, 108.0, 83.0, 12.0], "M10"),
];

/// The unit of that name, case not minded.
pub fn find(name: &str) -> Option<&'static BearingUnit> {
    UNITS.iter().find(|u| u.name.eq_ignore_ascii_case(name.trim()))
}

/// Where [`rod_end_side_load`] is from.
pub const ROD_END: Citation = Citation::quoted("Rod ends, by a bearing maker", "side load at most a tenth of C0");

/// Greatest load across a rod end's bore, along the axis of its ball.
///
/// # Formula
/// `F = 0.1 C0`, the static load rating
/// # Source
/// [`ROD_END`].
/// # Holds for
/// Spherical plain rod ends; the maker's own figure goes before it.
pub fn rod_end_side_load(static_rating: Force) -> Force {
    static_rating * 0.1
}

/// Longer axis of the ellipse that a bore of diameter `bore` along the shaft makes
/// on a plate's face; the shorter axis is `bore` itself.
///
/// # Formula
/// `a = d / cos th`
/// # Source
/// Geometry.
/// # Holds for
/// `tilt` between the shaft and the plate's NORMAL, 0 to under 90 degrees, either way.
pub fn oblique_major(bore: Length, tilt: Angle) -> Length {
    bore / tilt.abs().cos()
}

/// How far the two face ellipses are offset.
///
/// # Formula
/// `x = t tan th`
/// # Source
/// Geometry.
/// # Holds for
/// As [`oblique_major`].
pub fn face_offset(thickness: Length, tilt: Angle) -> Length {
    thickness * tilt.abs().tan()
}

/// Length of the straight opening, or diameter of the straight round hole,
/// that a shaft of diameter `shaft` passes at a tilt.
/// Add twice the clearance to the shaft first.
///
/// # Formula
/// `l = d / cos th + t tan th`
/// # Source
/// Geometry.
/// # Holds for
/// As [`oblique_major`].
pub fn straight_opening(shaft: Length, tilt: Angle, thickness: Length) -> Length {
    oblique_major(shaft, tilt) + face_offset(thickness, tilt)
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    for u in UNITS {
        to.row(u.name, u.source);
    }
    to.formulas(&["oblique_major", "face_offset", "straight_opening"], PLANE);
    to.formulas(&["rod_end_side_load"], ROD_END);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_bolt_holes_fit_inside_each_unit() {
        for u in UNITS {
            assert!(u.pitch + u.hole_length < u.length, "{}", u.name);
            assert!(u.hole_width < u.width, "{}", u.name);
        }
    }

    #[test]
    fn a_square_shaft_needs_no_more_than_itself() {
        let d = Length::mm(20.0);
        assert_eq!(straight_opening(d, Angle::ZERO, Length::mm(6.0)), d);
        let either_way = |deg: f64| straight_opening(d, Angle::degrees(deg), Length::mm(6.0));
        assert_eq!(either_way(25.0), either_way(-25.0));
    }

    #[test]
    fn the_shafts_silhouette_just_clears_the_straight_opening() {
        // The shaft's two flanks, seen from the side, cross the faces at z = 0
        // and z = t at x = +-d/(2 cos) + z tan; the extremes are the opening.
        let (d, t, th) = (20.0, 6.0, Angle::degrees(30.0));
        let flank = |side: f64, z: f64| side * d / (2.0 * th.cos()) + z * th.tan();
        let span = flank(1.0, t) - flank(-1.0, 0.0);
        let opening = straight_opening(Length::mm(d), th, Length::mm(t));
        assert!((opening.to_mm() - span).abs() < 1e-12);
    }

    #[test]
    fn flange_units_say_they_are_from_memory() {
        assert!(UNITS.iter().all(|u| u.source.confirmed == (u.mount == Mount::Pillow)));
        assert!(find("ucp205").is_some() && find("UCP300").is_none());
    }
}
