//! Clearance holes for bolts, and how near an edge or each other they may be.

use crate::handbook::Citation;
use crate::handbook::sources::Ledger;
use crate::units::Length;

/// How much room the bolt gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fit {
    /// ISO 273 fine, ASME close.
    Close,
    /// ISO 273 medium, ASME normal: the default.
    Normal,
    /// ISO 273 coarse, ASME loose.
    Loose,
}

const ISO_273: Citation = Citation::quoted("ISO 273", "clearance holes for bolts and screws");
const B18_2_8: Citation = Citation::quoted("ASME B18.2.8-1999 (R2017)", "Table 1a");

/// Thread, then fine, medium, coarse (mm).
const METRIC: &[(&str, [f64; 3])] = &[
    ("M4", [4.3, 4.5, 4.8]),
    ("M5", [5.3, 5.5, 5.8]),
    ("M6", [6.4, 6.6, 7.0]),
    ("M8", [8.4, 9.0, 10.0]),
    ("M10", [10.5, 11.0, 12.0]),
    ("M12", [13.0, 13.5, 14.5]),
    ("M14", [15.0, 15.5, 16.5]),
    ("M16", [17.0, 17.5, 18.5]),
];
/// Size, then close, normal, loose (in).
const INCH: &[(&str, [f64; 3])] = &[
    ("#8", [0.180, 0.196, 0.213]),
    ("#10", [0.206, 0.221, 0.238]),
    ("1/4", [0.266, 0.281, 0.297]),
    ("5/16", [0.328, 0.344, 0.359]),
    ("3/8", [0.391, 0.406, 0.422]),
    ("7/16", [0.453, 0.469, 0.484]),
    ("1/2", [0.531, 0.562, 0.609]),
    ("5/8", [0.656, 0.688, 0.734]),
];

/// Clearance hole for a bolt size as the trade writes it (`M10`, `3/8`, `#10`);
/// `None` for a size in neither table.
///
/// # Source
/// ISO 273; ASME B18.2.8-1999 (R2017) Table 1a.
pub fn clearance(size: &str, fit: Fit) -> Option<(Length, Citation)> {
    let column = match fit {
        Fit::Close => 0,
        Fit::Normal => 1,
        Fit::Loose => 2,
    };
    let size = size.trim();
    if let Some((_, row)) = METRIC.iter().find(|(s, _)| s.eq_ignore_ascii_case(size)) {
        return Some((Length::mm(row[column]), ISO_273));
    }
    let (_, row) = INCH.iter().find(|(s, _)| *s == size)?;
    Some((Length::inches(row[column]), B18_2_8))
}

/// The bolt sizes the two tables know, metric first, small to large.
pub fn sizes() -> Vec<&'static str> {
    METRIC.iter().chain(INCH).map(|(s, _)| *s).collect()
}

/// Where the factors of `en_*` are from.
pub const EN_EDGES: Citation = Citation::quoted("EN 1993-1-8", "Table 3.3").noting(
    "as quoted in a secondary source; under M12 the factors are scaled by the hole, which the code does not cover",
);
/// Where `aisc_*` is from.
pub const AISC_EDGES: Citation = Citation::quoted("AISC 360-16", "J3.3, Tables J3.4 and J3.4M");
/// Where [`advised_edge`] is from.
pub const ADVISED_EDGE: Citation = Citation::quoted("IStructE handbook, good practice for bolts", "e2 = 1.5 d0");

/// Least end distance, hole centre to the end in the direction of load.
///
/// # Formula
/// `e1 = 1.2 d0`
/// # Source
/// [`EN_EDGES`]; the same factor for the side edge is from memory, unconfirmed.
/// # Holds for
/// Normal round holes, M12 and up.
pub fn en_end(hole: Length) -> Length {
    hole * 1.2
}

/// Least pitch between hole centres along the load.
///
/// # Formula
/// `p1 = 2.2 d0`
/// # Source
/// [`EN_EDGES`].
/// # Holds for
/// As [`en_end`].
pub fn en_pitch(hole: Length) -> Length {
    hole * 2.2
}

/// Least gauge between hole centres across the load.
///
/// # Formula
/// `p2 = 2.4 d0`
/// # Source
/// [`EN_EDGES`].
/// # Holds for
/// As [`en_end`].
pub fn en_gauge(hole: Length) -> Length {
    hole * 2.4
}

/// Least distance of a slot's end centre from an edge.
///
/// # Formula
/// `e3 = 1.5 d0`
/// # Source
/// [`EN_EDGES`].
/// # Holds for
/// Slotted holes.
pub fn en_slot_edge(hole: Length) -> Length {
    hole * 1.5
}

/// Greatest end or edge distance of a plate out in the weather.
///
/// # Formula
/// `e <= 4 t + 40 mm`, t the thinner outer ply
/// # Source
/// [`EN_EDGES`].
/// # Holds for
/// Steel out in the weather.
pub fn en_greatest_edge(thickness: Length) -> Length {
    thickness * 4.0 + Length::mm(40.0)
}

/// Greatest pitch.
///
/// # Formula
/// `p <= min(14 t, 200 mm)`
/// # Source
/// [`EN_EDGES`].
/// # Holds for
/// As [`en_greatest_edge`].
pub fn en_greatest_pitch(thickness: Length) -> Length {
    (thickness * 14.0).min(Length::mm(200.0))
}

/// The edge distance to plan with; [`en_end`] is the hard stop.
///
/// # Formula
/// `e = 1.5 d0`
/// # Source
/// [`ADVISED_EDGE`].
/// # Holds for
/// Round holes.
pub fn advised_edge(hole: Length) -> Length {
    hole * 1.5
}

/// Least spacing of bolts of diameter d.
///
/// # Formula
/// `s = 2 2/3 d`
/// # Source
/// [`AISC_EDGES`].
/// # Holds for
/// Standard and slotted holes.
pub fn aisc_spacing(bolt: Length) -> Length {
    bolt * (8.0 / 3.0)
}

/// Bolt diameter and least edge distance, both in inches.
const AISC_INCH: &[(f64, f64)] = &[(0.5, 0.75), (0.625, 0.875), (0.75, 1.0), (0.875, 1.125), (1.0, 1.25)];
/// Bolt diameter and least edge distance, both in mm.
const AISC_METRIC: &[(f64, f64)] = &[(16.0, 22.0), (20.0, 26.0), (22.0, 28.0), (24.0, 30.0)];

/// Least edge distance of a bolt in a standard hole; `None` for a diameter
/// that has no row (nothing below 1/2 in or M16 has).
///
/// # Source
/// AISC 360-16 Tables J3.4 and J3.4M.
pub fn aisc_edge(bolt: Length) -> Option<Length> {
    let same = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let inch = AISC_INCH.iter().find(|r| same(r.0, bolt.to_inches())).map(|r| Length::inches(r.1));
    inch.or_else(|| AISC_METRIC.iter().find(|r| same(r.0, bolt.to_mm())).map(|r| Length::mm(r.1)))
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    to.rows("clearance hole", METRIC.iter().map(|r| r.0), ISO_273);
    to.rows("clearance hole", INCH.iter().map(|r| r.0), B18_2_8);
    for (d, _) in AISC_INCH {
        to.row(format!("least edge of a bolt of {d} in"), AISC_EDGES);
    }
    for (d, _) in AISC_METRIC {
        to.row(format!("least edge of a bolt of {d} mm"), AISC_EDGES);
    }
    let edges = ["en_end", "en_pitch", "en_gauge", "en_slot_edge", "en_greatest_edge", "en_greatest_pitch"];
    to.formulas(&edges, EN_EDGES);
    to.formulas(&["advised_edge"], ADVISED_EDGE);
    to.formulas(&["aisc_spacing"], AISC_EDGES);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_row_widens_with_the_fit_and_with_the_size() {
        for table in [METRIC, INCH] {
            assert!(table.iter().all(|(_, r)| r[0] < r[1] && r[1] < r[2]));
            assert!(table.windows(2).all(|w| (0..3).all(|c| w[0].1[c] < w[1].1[c])));
        }
    }

    #[test]
    fn both_systems_are_found_by_the_trade_name() {
        let (metric, source) = clearance("m10", Fit::Normal).unwrap();
        assert_eq!((metric, source.work), (Length::mm(11.0), "ISO 273"));
        let (inch, _) = clearance("3/8", Fit::Normal).unwrap();
        assert!((inch.to_inches() - 0.406).abs() < 1e-12);
        assert!(clearance("M11", Fit::Close).is_none());
        assert_eq!(sizes().len(), 16);
    }

    #[test]
    fn the_inch_holes_are_drills_that_exist() {
        use crate::handbook::drills::{Drawer, nearest_larger};
        for (size, row) in INCH {
            for inches in row {
                let drill = nearest_larger(Length::inches(*inches), Drawer::Inch).unwrap();
                assert!((drill.diameter.to_inches() - inches).abs() < 0.0006, "{size}: {}", drill.designation);
            }
        }
    }

    #[test]
    fn a_diameter_without_a_row_is_none() {
        assert!(aisc_edge(Length::mm(10.0)).is_none());
        assert_eq!(aisc_edge(Length::mm(16.0)), Some(Length::mm(22.0)));
    }
}
