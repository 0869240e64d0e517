//! Sheet gauges of steel: a number on the rack to a thickness.

use crate::handbook::Citation;
use crate::handbook::sources::Ledger;
use crate::units::Length;

/// Where the gauge table is from.
pub const SOURCE: Citation = Citation::quoted("Manufacturers' Standard Gauge for sheet steel", "")
    .noting("as quoted in a secondary source; steel sheet only: tube walls, aluminium and stainless use other gauges");

/// Gauge number and thickness in inches.
const ROWS: &[(u32, f64)] = &[
    (7, 0.1793),
    (8, 0.1644),
    (9, 0.1495),
    (10, 0.1345),
    (11, 0.1196),
    (12, 0.1046),
    (13, 0.0897),
    (14, 0.0747),
    (15, 0.0673),
    (16, 0.0598),
    (18, 0.0478),
    (20, 0.0359),
    (22, 0.0299),
    (24, 0.0239),
];

/// Thickness of a steel sheet by its gauge, 7 to 24; `None` outside the table.
///
/// # Source
/// [`SOURCE`].
pub fn sheet_steel(gauge: u32) -> Option<Length> {
    ROWS.iter().find(|(g, _)| *g == gauge).map(|(_, t)| Length::inches(*t))
}

/// The gauges of the table, thickest first.
pub fn known() -> impl Iterator<Item = u32> {
    ROWS.iter().map(|(g, _)| *g)
}

/// Weight of steel per inch of gauge thickness, lb/ft2, the definition of the table.
///
/// # Source
/// [`SOURCE`]: 41.82 lb per square foot per inch.
pub const LB_PER_FT2_PER_INCH: f64 = 41.82;

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    for (gauge, _) in ROWS {
        to.row(format!("sheet gauge {gauge}"), SOURCE);
    }
    to.row("weight of sheet by gauge", SOURCE);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thicker_gauges_have_smaller_numbers() {
        let all: Vec<Length> = known().filter_map(sheet_steel).collect();
        assert!(all.windows(2).all(|w| w[0] > w[1]));
    }

    #[test]
    fn each_gauge_is_its_defined_weight_within_rounding() {
        // The gauge numbers 11 and 16 are defined as 80 and 40 ounces per square foot.
        for (gauge, ounces) in [(11, 80.0), (16, 40.0), (10, 90.0)] {
            let t = sheet_steel(gauge).unwrap().to_inches();
            assert!((t * LB_PER_FT2_PER_INCH * 16.0 - ounces).abs() < 0.05, "{gauge}");
        }
    }

    #[test]
    fn a_gauge_outside_the_table_is_none() {
        assert!(sheet_steel(17).is_none() && sheet_steel(6).is_none());
    }
}
