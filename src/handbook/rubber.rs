//! Rubber pads and strap liners: how stiff a thin pad is.

use crate::handbook::Citation;
use crate::handbook::sources::Ledger;
use crate::units::{Length, Stress};

/// One hardness of rubber.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rubber {
    /// Hardness, IRHD (near enough Shore A).
    pub hardness: u32,
    /// Young's modulus E0.
    pub modulus: Stress,
    /// Factor k of the shape term; 1 for ideal, lower for filled rubber.
    pub shape_term: f64,
    /// Bulk modulus.
    pub bulk: Stress,
    /// Where the row is from.
    pub source: Citation,
}

/// Where shape factors and moduli in compression are from.
pub const GENT_LINDLEY: Citation =
    Citation::quoted("Gent and Lindley", "in J. Mech. Eng. (SV-JME) 60 (2014) 7-8, p. 506");
/// Where the greatest strain is from.
pub const STRAIN_LIMIT: Citation = Citation::quoted("Designing with rubber", "15 % compression, 50 % shear");
const LINDLEY: Citation = Citation::memory("Lindley, Engineering Design with Natural Rubber", "Table 3");
const INCH_EDITION: Citation =
    Citation::quoted("Lindley, Engineering Design with Natural Rubber", "Table 3, inch edition").noting(
        "as quoted in a secondary source; SI editions are remembered 2 % higher, the bulk modulus is from memory",
    );

const fn row(hardness: u32, modulus: f64, shape_term: f64, bulk: f64, source: Citation) -> Rubber {
    Rubber { hardness, modulus: Stress::mpa(modulus), shape_term, bulk: Stress::mpa(bulk), source }
}

/// The hardnesses, soft to hard.
pub const RUBBERS: &[Rubber] = &[
    row(40, 1.50, 0.85, 1000.0, LINDLEY),
    row(50, 2.20, 0.73, 1030.0, LINDLEY),
    row(60, 4.45, 0.57, 1150.0, LINDLEY),
    row(65, 5.72, 0.54, 1210.0, INCH_EDITION),
    row(70, 7.35, 0.53, 1270.0, LINDLEY),
    row(75, 9.24, 0.52, 1330.0, INCH_EDITION),
];

/// The row of a hardness that is in the table.
pub fn find(hardness: u32) -> Option<&'static Rubber> {
    RUBBERS.iter().find(|r| r.hardness == hardness)
}

/// Shape factor of a rectangular pad: loaded area over free area.
///
/// # Formula
/// `S = a b / (2 t (a + b))`
/// # Source
/// [`GENT_LINDLEY`].
/// # Holds for
/// Pads bonded or gripped on both faces.
pub fn shape_factor(side_a: Length, side_b: Length, thickness: Length) -> f64 {
    let (a, b) = (side_a.to_mm(), side_b.to_mm());
    a * b / (2.0 * thickness.to_mm() * (a + b))
}

/// Shape factor of a long liner under a strap.
///
/// # Formula
/// `S = w / (2 t)`
/// # Source
/// [`GENT_LINDLEY`]: the rectangle's formula for one very long side.
/// # Holds for
/// A liner much longer than wide.
pub fn strip_shape_factor(width: Length, thickness: Length) -> f64 {
    width / (thickness * 2.0)
}

/// Shape factor of a disc.
///
/// # Formula
/// `S = D / (4 t)`
/// # Source
/// [`GENT_LINDLEY`]: loaded area over free area.
/// # Holds for
/// As [`shape_factor`].
pub fn disc_shape_factor(diameter: Length, thickness: Length) -> f64 {
    diameter / (thickness * 4.0)
}

/// Modulus in compression of a pad; without the bulk correction.
///
/// # Formula
/// `Ec = E0 (1 + 2 k S2)`
/// # Source
/// [`GENT_LINDLEY`].
/// # Holds for
/// Pads bonded or gripped on both faces, strain to about 15 %.
pub fn compression_modulus(modulus: Stress, shape_term: f64, shape_factor: f64) -> Stress {
    modulus * (1.0 + 2.0 * shape_term * shape_factor * shape_factor)
}

/// The same with the rubber's own squeeze; matters for S over about 3.
///
/// # Formula
/// `1/E = 1/Ec + 1/B`
/// # Source
/// [`GENT_LINDLEY`].
/// # Holds for
/// As [`compression_modulus`].
pub fn corrected_modulus(rubber: &Rubber, shape_factor: f64) -> Stress {
    let plain = compression_modulus(rubber.modulus, rubber.shape_term, shape_factor).to_mpa();
    let bulk = rubber.bulk.to_mpa();
    Stress::mpa(plain * bulk / (plain + bulk))
}

/// Greatest compression strain to design with.
///
/// # Source
/// [`STRAIN_LIMIT`].
pub const GREATEST_COMPRESSION: f64 = 0.15;

/// Stress at the greatest compression strain.
///
/// # Formula
/// `0.15 Ec`
/// # Source
/// [`STRAIN_LIMIT`].
/// # Holds for
/// Ordinary mounts and liners.
pub fn greatest_stress(compression_modulus: Stress) -> Stress {
    compression_modulus * GREATEST_COMPRESSION
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    for r in RUBBERS {
        to.row(format!("rubber of {} IRHD", r.hardness), r.source);
    }
    to.row("greatest compression of rubber", STRAIN_LIMIT);
    let shapes = ["shape_factor", "strip_shape_factor", "disc_shape_factor"];
    to.formulas(&shapes, GENT_LINDLEY);
    to.formulas(&["compression_modulus", "corrected_modulus"], GENT_LINDLEY);
    to.formulas(&["greatest_stress"], STRAIN_LIMIT);
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn mm(v: f64) -> Length {
        Length::mm(v)
    }

    #[test]
    fn harder_is_stiffer_and_less_ideal() {
        assert!(RUBBERS.windows(2).all(|w| w[0].modulus < w[1].modulus && w[0].shape_term > w[1].shape_term));
    }

    #[test]
    fn a_very_long_pad_is_a_strip_and_a_square_equals_its_disc() {
        let long = shape_factor(mm(25.0), mm(1e7), mm(3.0));
        assert!((long - strip_shape_factor(mm(25.0), mm(3.0))).abs() < 1e-4);
        let square = shape_factor(mm(40.0), mm(40.0), mm(5.0));
        assert!((square - disc_shape_factor(mm(40.0), mm(5.0))).abs() < 1e-12);
    }

    #[test]
    fn the_bulk_correction_only_softens() {
        let r = find(60).unwrap();
        for s in [0.5, 2.0, 10.0] {
            assert!(corrected_modulus(r, s) < compression_modulus(r.modulus, r.shape_term, s));
        }
        assert!(corrected_modulus(r, 1e6) <= r.bulk);
        assert!(find(55).is_none());
    }
}
