//! Bolts: sizes, stress areas, classes, proof load and torque.

use std::f64::consts::FRAC_PI_4;

use crate::handbook::Citation;
use crate::handbook::sources::{DEFINITION, Ledger};
use crate::units::{Force, Length, Moment, Stress};

/// One bolt size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoltSize {
    /// As the trade writes it: `M10`, `3/8`.
    pub name: &'static str,
    /// Nominal diameter.
    pub diameter: Length,
    /// Pitch of the coarse thread.
    pub pitch: Length,
    /// Tensile stress area as published, mm2.
    pub stress_area_mm2: f64,
    /// Where the stress area is from.
    pub source: Citation,
    /// Hexagon across flats, the larger where makers differ.
    pub across_flats: Length,
    /// Hexagon across corners: what must clear the bend and the spanner.
    pub across_corners: Length,
    /// Where the hexagon is from.
    pub hexagon_source: Citation,
}

/// Where the stress areas of metric threads are from.
pub const ISO_AREA: Citation = Citation::quoted("ISO 898-1", "nominal stress areas, coarse thread");
/// Where the stress areas of inch threads are from.
pub const UNC_AREA: Citation = Citation::quoted("ASME B1.1", "Appendix B, tensile stress areas, coarse thread");
const ISO_HEX: Citation = Citation::read("Mechanical Engineer's Data Handbook", "8.2.4, p. 299")
    .noting("ISO 4014 has 16 and 18 mm for M10 and M12; the larger is kept");
const DIN_HEX: Citation = Citation::quoted("DIN 931, ISO 4014", "hexagon across flats, the larger is kept");
const INCH_HEX: Citation =
    Citation::quoted("ASME B18.2.1, ASME B18.2.2", "hexagon across flats, the larger of bolt and nut");

/// Square inches to square millimetres.
const MM2_PER_IN2: f64 = 25.4 * 25.4;

const fn metric(name: &'static str, d: f64, pitch: f64, area: f64, hexagon: (f64, f64), read: bool) -> BoltSize {
    BoltSize {
        name,
        diameter: Length::mm(d),
        pitch: Length::mm(pitch),
        stress_area_mm2: area,
        source: ISO_AREA,
        across_flats: Length::mm(hexagon.0),
        across_corners: Length::mm(hexagon.1),
        hexagon_source: if read { ISO_HEX } else { DIN_HEX },
    }
}

/// Corners of a sharp hexagon over its flats: 1 / cos 30 degrees, rounded up.
const CORNERS_PER_FLATS: f64 = 1.1548;

const fn inch(name: &'static str, d: f64, tpi: f64, area_in2: f64, flats: f64) -> BoltSize {
    BoltSize {
        name,
        diameter: Length::inches(d),
        pitch: Length::inches(1.0 / tpi),
        stress_area_mm2: area_in2 * MM2_PER_IN2,
        source: UNC_AREA,
        across_flats: Length::inches(flats),
        across_corners: Length::inches(flats * CORNERS_PER_FLATS),
        hexagon_source: INCH_HEX,
    }
}

/// The sizes of the handbook, metric then inch, small to large.
pub const SIZES: &[BoltSize] = &[
    metric("M4", 4.0, 0.7, 8.78, (7.0, 8.1), true),
    metric("M5", 5.0, 0.8, 14.2, (8.0, 9.2), true),
    metric("M6", 6.0, 1.0, 20.1, (10.0, 11.5), true),
    metric("M8", 8.0, 1.25, 36.6, (13.0, 15.0), true),
    metric("M10", 10.0, 1.5, 58.0, (17.0, 19.6), true),
    metric("M12", 12.0, 1.75, 84.3, (19.0, 21.9), true),
    metric("M14", 14.0, 2.0, 115.0, (22.0, 25.4), false),
    metric("M16", 16.0, 2.0, 157.0, (24.0, 27.7), true),
    inch("1/4", 0.25, 20.0, 0.0318, 0.4375),
    inch("5/16", 0.3125, 18.0, 0.0524, 0.5),
    inch("3/8", 0.375, 16.0, 0.0775, 0.5625),
    inch("7/16", 0.4375, 14.0, 0.1063, 0.6875),
    inch("1/2", 0.5, 13.0, 0.1419, 0.75),
    inch("5/8", 0.625, 11.0, 0.2260, 0.9375),
];

/// The bolt of that name, case not minded.
pub fn find(name: &str) -> Option<&'static BoltSize> {
    SIZES.iter().find(|s| s.name.eq_ignore_ascii_case(name.trim()))
}

/// Tensile stress area of a metric thread, mm2.
///
/// # Formula
/// `As = pi/4 (d - 0.9382 P)^2`
/// # Source
/// [`ISO_AREA`], 9.1.6.1.
/// # Holds for
/// Metric threads of 60 degrees.
pub fn metric_stress_area_mm2(diameter: Length, pitch: Length) -> f64 {
    let d = diameter.to_mm() - 0.9382 * pitch.to_mm();
    FRAC_PI_4 * d * d
}

/// Tensile stress area of an inch thread, mm2.
///
/// # Formula
/// `At = pi/4 (D - 0.9743/n)^2`, in square inches; the source prints 0.7854 for pi/4
/// # Source
/// [`UNC_AREA`].
/// # Holds for
/// Unified threads.
pub fn inch_stress_area_mm2(diameter: Length, pitch: Length) -> f64 {
    let d = diameter.to_inches() - 0.9743 * pitch.to_inches();
    FRAC_PI_4 * d * d * MM2_PER_IN2
}

/// A strength class or grade for a range of diameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoltClass {
    /// `8.8`, `grade 5`.
    pub name: &'static str,
    /// Largest diameter the row holds for.
    pub up_to: Length,
    /// Stress under proof load.
    pub proof: Stress,
    /// Yield or 0.2 % proof strength.
    pub yield_strength: Stress,
    /// Tensile strength: nominal for ISO classes, as the codes use it.
    pub tensile: Stress,
    /// EN 1993-1-8's shear factor with threads in the shear plane, where it has one.
    pub shear_factor: Option<f64>,
    /// Where the row is from.
    pub source: Citation,
}

const ISO_CLASS: Citation = Citation::quoted("ISO 898-1", "Tables 3 and 5, strengths and proof loads");
const SAE: Citation = Citation::quoted("SAE J429", "mechanical requirements");

const fn iso(name: &'static str, up_to: f64, proof: f64, yields: f64, tensile: f64, shear: f64) -> BoltClass {
    BoltClass {
        name,
        up_to: Length::mm(up_to),
        proof: Stress::mpa(proof),
        yield_strength: Stress::mpa(yields),
        tensile: Stress::mpa(tensile),
        shear_factor: Some(shear),
        source: ISO_CLASS,
    }
}

/// One pound per square inch in megapascals: one pound-force (exact) over one square inch.
const MPA_PER_PSI: f64 = 4.448_221_615_260_5 / MM2_PER_IN2;

const fn sae(name: &'static str, up_to: f64, proof: f64, yields: f64, tensile: f64) -> BoltClass {
    BoltClass {
        name,
        up_to: Length::inches(up_to),
        proof: Stress::mpa(proof * MPA_PER_PSI),
        yield_strength: Stress::mpa(yields * MPA_PER_PSI),
        tensile: Stress::mpa(tensile * MPA_PER_PSI),
        shear_factor: None,
        source: SAE,
    }
}

/// Classes and grades; rows of one name in rising diameter.
pub const CLASSES: &[BoltClass] = &[
    iso("4.6", 39.0, 225.0, 240.0, 400.0, 0.6),
    iso("8.8", 16.0, 580.0, 640.0, 800.0, 0.6),
    iso("8.8", 39.0, 600.0, 660.0, 830.0, 0.6),
    iso("10.9", 39.0, 830.0, 900.0, 1000.0, 0.5),
    sae("grade 2", 0.75, 55_000.0, 57_000.0, 74_000.0),
    sae("grade 2", 1.5, 33_000.0, 36_000.0, 60_000.0),
    sae("grade 5", 1.0, 85_000.0, 92_000.0, 120_000.0),
    sae("grade 5", 1.5, 74_000.0, 81_000.0, 105_000.0),
    sae("grade 8", 1.5, 120_000.0, 130_000.0, 150_000.0),
];

/// The class of that name for a bolt of that diameter.
pub fn class(name: &str, diameter: Length) -> Option<&'static BoltClass> {
    let name = name.trim();
    CLASSES.iter().find(|c| c.name.eq_ignore_ascii_case(name) && diameter.to_mm() <= c.up_to.to_mm() + 1e-9)
}

/// The class names, each once, in the order of the table.
pub fn class_names() -> Vec<&'static str> {
    let mut names: Vec<&str> = CLASSES.iter().map(|c| c.name).collect();
    names.dedup();
    names
}

/// Proof load.
///
/// # Formula
/// `Fp = Sp As`
/// # Source
/// Definition; ISO 898-1 and SAE J429 give the stress.
/// # Holds for
/// Full nuts or enough thread ([`super::tapping`]).
pub fn proof_load(size: &BoltSize, class: &BoltClass) -> Force {
    Force::newtons(class.proof.to_mpa() * size.stress_area_mm2)
}

/// Least breaking load by nominal strength.
///
/// # Formula
/// `F = Rm As`
/// # Source
/// Definition; ISO 898-1 and SAE J429 give the strength.
/// # Holds for
/// As [`proof_load`].
pub fn breaking_load(size: &BoltSize, class: &BoltClass) -> Force {
    Force::newtons(class.tensile.to_mpa() * size.stress_area_mm2)
}

/// Share of the proof load a joint that is taken apart again is tightened to.
///
/// # Source
/// Torque tables for SAE J429 bolts, as quoted in a secondary source.
pub const REUSABLE_SHARE: f64 = 0.75;
/// Nut factors: dry, lubricated, anti-seize; each scatters by 30 %.
///
/// # Source
/// Nut-factor tables, as quoted in a secondary source.
pub const NUT_FACTORS: [(&str, f64); 3] = [("dry", 0.20), ("lubricated", 0.15), ("anti-seize", 0.12)];

/// Where torque, its nut factors and the share of the proof load are from.
pub const TORQUE: Citation = Citation::quoted("torque and nut-factor tables for SAE J429 bolts", "T = K D F");

/// Tightening torque for a nut factor K and a clamp force F.
///
/// # Formula
/// `T = K D F`
/// # Source
/// [`TORQUE`].
/// # Holds for
/// Each nut factor scatters by 30 %.
pub fn torque(nut_factor: f64, diameter: Length, clamp: Force) -> Moment {
    clamp * (diameter * nut_factor)
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    for s in SIZES {
        to.row(format!("stress area of {}", s.name), s.source);
        to.row(format!("hexagon of {}", s.name), s.hexagon_source);
    }
    for c in CLASSES {
        to.row(format!("strengths of {} up to {:.1} mm", c.name, c.up_to.to_mm()), c.source);
    }
    to.rows("nut factor,", NUT_FACTORS.map(|n| n.0), TORQUE);
    to.row("share of the proof load when tight", TORQUE);
    to.formulas(&["metric_stress_area_mm2"], ISO_AREA);
    to.formulas(&["inch_stress_area_mm2"], UNC_AREA);
    to.formulas(&["proof_load", "breaking_load"], DEFINITION);
    to.formulas(&["torque"], TORQUE);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Angle;

    #[test]
    fn published_areas_are_the_formulas_within_their_rounding() {
        for s in SIZES {
            let by_formula = if s.name.starts_with('M') {
                metric_stress_area_mm2(s.diameter, s.pitch)
            } else {
                inch_stress_area_mm2(s.diameter, s.pitch)
            };
            // Three significant figures: half a unit in the third is 0.5 % at worst.
            assert!((by_formula / s.stress_area_mm2 - 1.0).abs() < 0.005, "{}: {by_formula}", s.name);
        }
    }

    #[test]
    fn corners_are_flats_over_cos_30() {
        for s in SIZES {
            let sharp = s.across_flats.to_mm() / Angle::degrees(30.0).cos();
            assert!((s.across_corners.to_mm() - sharp).abs() < 0.1, "{}", s.name);
        }
    }

    #[test]
    fn proof_is_under_yield_under_tensile() {
        for c in CLASSES {
            assert!(c.proof < c.yield_strength && c.yield_strength < c.tensile, "{}", c.name);
        }
    }

    #[test]
    fn the_row_follows_the_diameter() {
        assert_eq!(class("8.8", Length::mm(16.0)).unwrap().proof, Stress::mpa(580.0));
        assert_eq!(class("8.8", Length::mm(20.0)).unwrap().proof, Stress::mpa(600.0));
        assert!(class("Grade 5", Length::inches(2.0)).is_none());
        assert_eq!(class_names(), ["4.6", "8.8", "10.9", "grade 2", "grade 5", "grade 8"]);
        assert!(find(" m10 ").is_some() && find("M11").is_none());
    }
}
