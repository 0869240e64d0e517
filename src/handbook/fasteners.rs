//! What goes with a bolt: lengths that are sold, heights of nuts, washers, and
//! the length that a grip needs.

use crate::handbook::Citation;
use crate::handbook::bolts::{BoltSize, SIZES};
use crate::handbook::sources::Ledger;
use crate::units::Length;

/// The nut on a bolt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Nut {
    /// With a ring that holds it: ISO 7040, ASME B18.16.6.
    SelfLocking,
    /// Plain: ISO 4032, ASME B18.2.2.
    Plain,
}

/// The washer under head and nut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Washer {
    /// ISO 7089, ASME B18.21.1.
    Plain,
    /// Large, for slots and soft faces: ISO 7093.
    Penny,
}

/// The head of a bolt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Head {
    /// Hexagon, with a washer: ISO 4014, ISO 4017, ASME B18.2.1.
    Hexagon,
    /// Countersunk, flush and without a washer; its length is measured over the head: ISO 10642, ASME B18.3.
    Countersunk,
}

impl Head {
    /// Washers that go with a through bolt: one under a hexagon head, one under the nut.
    pub const fn washers(self) -> u32 {
        match self {
            Head::Hexagon => 2,
            Head::Countersunk => 1,
        }
    }
}

/// Heights and thicknesses that go with a bolt, mm.
struct Row {
    name: &'static str,
    plain_nut: f64,
    locking_nut: f64,
    plain_washer: f64,
    penny_washer: f64,
}

const fn row(name: &'static str, nuts: (f64, f64), washers: (f64, f64)) -> Row {
    Row { name, plain_nut: nuts.0, locking_nut: nuts.1, plain_washer: washers.0, penny_washer: washers.1 }
}

const fn inch(name: &'static str, nuts: (f64, f64), washers: (f64, f64)) -> Row {
    row(name, (nuts.0 * 25.4, nuts.1 * 25.4), (washers.0 * 25.4, washers.1 * 25.4))
}

/// Greatest heights, so that the length worked out is never short.
const ROWS: &[Row] = &[
    row("M4", (3.2, 6.0), (0.8, 1.0)),
    row("M5", (4.7, 6.8), (1.0, 1.0)),
    row("M6", (5.2, 8.0), (1.6, 1.6)),
    row("M8", (6.8, 9.5), (1.6, 2.0)),
    row("M10", (8.4, 11.9), (2.0, 2.5)),
    row("M12", (10.8, 14.9), (2.5, 3.0)),
    row("M14", (12.8, 17.0), (2.5, 3.0)),
    row("M16", (14.8, 19.1), (3.0, 3.0)),
    inch("1/4", (0.226, 0.328), (0.065, 0.080)),
    inch("5/16", (0.273, 0.359), (0.065, 0.080)),
    inch("3/8", (0.337, 0.468), (0.065, 0.080)),
    inch("7/16", (0.385, 0.468), (0.065, 0.083)),
    inch("1/2", (0.448, 0.609), (0.095, 0.132)),
    inch("5/8", (0.559, 0.765), (0.095, 0.160)),
];

const ISO_4032: Citation = Citation::quoted("ISO 4032", "Tables 1 and 2, m max");
const ISO_7040: Citation = Citation::memory("ISO 7040", "h max");
const ISO_7089: Citation = Citation::quoted("ISO 7089", "nominal thickness");
const ISO_7093: Citation = Citation::memory("ISO 7093-1", "nominal thickness");
const INCH_NUT: Citation = Citation::quoted("ASME B18.2.2", "hexagon nuts, greatest thickness");
const INCH_LOCKING: Citation = Citation::memory("ASME B18.16.6", "greatest heights");
const INCH_WASHER: Citation = Citation::memory("ASME B18.21.1", "type A plain, narrow and wide; fender washers");

/// Lengths of hexagon bolts that a shop has, mm.
const LENGTHS_MM: &[f64] = &[
    10.0, 12.0, 16.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0, 70.0, 80.0, 90.0, 100.0, 110.0,
    120.0, 130.0, 140.0, 150.0, 160.0, 180.0, 200.0,
];
/// The same in quarter inches.
const LENGTHS_4: &[f64] =
    &[2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 24.0, 28.0, 32.0];
/// Where the lengths are from.
pub const LENGTHS: Citation = Citation::memory("ISO 888, ASME B18.2.1", "lengths in which hexagon bolts are sold");
/// How far a bolt must stand out of its nut.
pub const STANDS_OUT: Citation = Citation::practice("two threads stand out of the nut");

fn find(size: &BoltSize) -> Option<&'static Row> {
    ROWS.iter().find(|r| r.name == size.name)
}

fn metric(size: &BoltSize) -> bool {
    size.name.starts_with('M')
}

/// Greatest height of a nut, and where it is from; `None` for a size without a row.
pub fn nut_height(size: &BoltSize, nut: Nut) -> Option<(Length, Citation)> {
    let r = find(size)?;
    let (mm, iso, inch) = match nut {
        Nut::Plain => (r.plain_nut, ISO_4032, INCH_NUT),
        Nut::SelfLocking => (r.locking_nut, ISO_7040, INCH_LOCKING),
    };
    Some((Length::mm(mm), if metric(size) { iso } else { inch }))
}

/// Thickness of a washer, and where it is from; `None` for a size without a row.
pub fn washer_thickness(size: &BoltSize, washer: Washer) -> Option<(Length, Citation)> {
    let r = find(size)?;
    let (mm, source) = match washer {
        Washer::Plain => (r.plain_washer, ISO_7089),
        Washer::Penny => (r.penny_washer, ISO_7093),
    };
    Some((Length::mm(mm), if metric(size) { source } else { INCH_WASHER }))
}

/// The shortest length under the head that does, and what it rests on.
///
/// # Formula
/// `L = grip + n t + m + 2 P`: washers, the nut's height, and two threads that stand out.
/// # Source
/// [`STANDS_OUT`]; heights as [`nut_height`] and [`washer_thickness`] tell.
/// # Holds for
/// A through bolt with a nut; `grip` is what lies between the washers. `None` for a size without a row.
pub fn least_length(
    size: &BoltSize,
    grip: Length,
    nut: Nut,
    washer: Washer,
    washers: u32,
) -> Option<(Length, [Citation; 3])> {
    let (thick, high) = (washer_thickness(size, washer)?, nut_height(size, nut)?);
    let least = grip + thick.0 * f64::from(washers) + high.0 + size.pitch * 2.0;
    Some((least, [high.1, thick.1, STANDS_OUT]))
}

/// The next length that is sold, by [`LENGTHS`]; `None` above the longest.
pub fn sold_length(size: &BoltSize, least: Length) -> Option<Length> {
    // A hundredth of a millimetre is no reason for the next length.
    let enough = |l: &Length| l.to_mm() >= least.to_mm() - 0.01;
    if metric(size) {
        LENGTHS_MM.iter().map(|l| Length::mm(*l)).find(enough)
    } else {
        LENGTHS_4.iter().map(|l| Length::inches(l / 4.0)).find(enough)
    }
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    for s in SIZES {
        let heights = [("plain nut", nut_height(s, Nut::Plain)), ("self-locking nut", nut_height(s, Nut::SelfLocking))];
        let washers =
            [("washer", washer_thickness(s, Washer::Plain)), ("penny washer", washer_thickness(s, Washer::Penny))];
        for (what, found) in heights.into_iter().chain(washers) {
            if let Some((_, source)) = found {
                to.row(format!("{what} {}", s.name), source);
            }
        }
    }
    to.rows("lengths of", ["metric bolts", "inch bolts"], LENGTHS);
    to.formulas(&["least_length"], STANDS_OUT);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::handbook::bolts::find as bolt;

    #[test]
    fn every_bolt_has_its_nuts_and_washers_in_rising_order() {
        for s in SIZES {
            let h = |n| nut_height(s, n).unwrap().0;
            let t = |w| washer_thickness(s, w).unwrap().0;
            assert!(
                h(Nut::SelfLocking) > h(Nut::Plain) && h(Nut::Plain).to_mm() > 0.7 * s.diameter.to_mm(),
                "{}",
                s.name
            );
            assert!(t(Washer::Penny) >= t(Washer::Plain), "{}", s.name);
        }
    }

    #[test]
    fn nuts_and_washers_of_the_tables() {
        // ISO 4032:2001 Table 1 and ISO 7089, as quoted in secondary sources.
        for (name, nut, washer) in [
            ("M5", 4.7, 1.0),
            ("M6", 5.2, 1.6),
            ("M8", 6.8, 1.6),
            ("M10", 8.4, 2.0),
            ("M12", 10.8, 2.5),
            ("M16", 14.8, 3.0),
        ] {
            let size = bolt(name).unwrap();
            assert_eq!(nut_height(size, Nut::Plain).unwrap().0, Length::mm(nut));
            assert_eq!(washer_thickness(size, Washer::Plain).unwrap().0, Length::mm(washer));
        }
    }

    #[test]
    fn the_length_is_grip_washers_nut_and_two_threads() {
        let m8 = bolt("M8").unwrap();
        let least = least_length(m8, Length::mm(36.0), Nut::SelfLocking, Washer::Plain, 2).unwrap().0;
        assert!((least.to_mm() - (36.0 + 3.2 + 9.5 + 2.5)).abs() < 1e-9);
        assert_eq!(sold_length(m8, least), Some(Length::mm(55.0)));
        assert_eq!(sold_length(m8, Length::mm(55.0)), Some(Length::mm(55.0)));
        assert_eq!(sold_length(m8, Length::mm(201.0)), None);
        let half = bolt("1/2").unwrap();
        assert_eq!(sold_length(half, Length::inches(1.3)), Some(Length::inches(1.5)));
    }
}
