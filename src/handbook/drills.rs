//! Drills that exist: fractional, number, letter and metric, and the next one up.

use crate::handbook::Citation;
use crate::handbook::sources::Ledger;
use crate::units::Length;
use std::sync::OnceLock;

/// Which drills are in the drawer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drawer {
    /// Fractional, number and letter drills.
    Inch,
    /// Metric drills.
    Metric,
    /// Both.
    Any,
}

/// One drill that can be bought.
#[derive(Clone, Debug, PartialEq)]
pub struct Drill {
    /// What is stamped on it: `13/32 in`, `No. 7`, `letter F`, `8.5 mm`.
    pub designation: String,
    /// Its diameter.
    pub diameter: Length,
    /// Where the series is from.
    pub source: Citation,
}

const INCH: Citation = Citation::quoted("ASME B94.11M", "fractional, number and letter sizes");
const METRIC: Citation = Citation::memory("ISO 235", "0.1 mm steps to 14 mm, 0.25 mm steps to 25 mm");

/// Where [`pilots`] is from.
pub const PILOTS: Citation = Citation::practice("pilot drills: a third of the hole, above 10 mm 3 mm and six tenths");

/// Number drills 1 to 40, ten-thousandths of an inch.
const NUMBERS: [u32; 40] = [
    2280, 2210, 2130, 2090, 2055, 2040, 2010, 1990, 1960, 1935, 1910, 1890, 1850, 1820, 1800, 1770, 1730, 1695, 1660,
    1610, 1590, 1570, 1540, 1520, 1495, 1470, 1440, 1405, 1360, 1285, 1200, 1160, 1130, 1110, 1100, 1065, 1040, 1015,
    995, 980,
];
/// Letter drills A to Z, ten-thousandths of an inch.
const LETTERS: [u32; 26] = [
    2340, 2380, 2420, 2460, 2500, 2570, 2610, 2660, 2720, 2770, 2810, 2900, 2950, 3020, 3160, 3230, 3320, 3390, 3480,
    3580, 3680, 3770, 3860, 3970, 4040, 4130,
];
/// Fractional drills run by 64ths from 1/16 in to 1 in.
const FRACTIONS: std::ops::RangeInclusive<u32> = 4..=64;

/// Slack when a drill is compared with a wanted hole, mm: hole tables round to
/// a thousandth of an inch, so a hole printed as 0.206 in means the No. 5 drill
/// of 0.2055 in; a little over half a thousandth lets it through.
const SLACK_MM: f64 = 0.000_51 * 25.4;

/// The number drill, 1 to 40.
///
/// # Source
/// ASME B94.11M, as quoted in three secondary sources that agree.
pub fn number(n: usize) -> Option<Drill> {
    let size = *NUMBERS.get(n.checked_sub(1)?)?;
    Some(inch_drill(format!("No. {n}"), f64::from(size) / 10_000.0))
}

/// The letter drill, `A` to `Z`, either case.
///
/// # Source
/// ASME B94.11M, as quoted in three secondary sources that agree.
pub fn letter(name: char) -> Option<Drill> {
    let upper = name.to_ascii_uppercase();
    let index = (upper as usize).checked_sub('A' as usize)?;
    let size = *LETTERS.get(index)?;
    Some(inch_drill(format!("letter {upper}"), f64::from(size) / 10_000.0))
}

/// The fractional drill of so many 64ths, 4 to 64; named in lowest terms.
pub fn fractional(sixty_fourths: u32) -> Option<Drill> {
    if !FRACTIONS.contains(&sixty_fourths) {
        return None;
    }
    let shared = 1 << sixty_fourths.trailing_zeros().min(6);
    let (over, under) = (sixty_fourths / shared, 64 / shared);
    let name = if under == 1 { format!("{over} in") } else { format!("{over}/{under} in") };
    Some(inch_drill(name, f64::from(sixty_fourths) / 64.0))
}

fn inch_drill(designation: String, inches: f64) -> Drill {
    Drill { designation, diameter: Length::inches(inches), source: INCH }
}

/// The metric series, smallest first: 1.0 to 14.0 by 0.1, then to 25 by 0.25.
fn metric() -> impl Iterator<Item = Drill> {
    let hundredths = (10..=140).map(|tenths| tenths * 10).chain((57..=100).map(|quarters| quarters * 25));
    hundredths.map(|h: i32| {
        let size = f64::from(h) / 100.0;
        let name = if h % 10 == 0 { format!("{size:.1} mm") } else { format!("{size:.2} mm") };
        Drill { designation: name, diameter: Length::mm(size), source: METRIC }
    })
}

/// Every drill of the drawer; of equal ones the fractional comes before the
/// letter, the letter before the number, inch before metric. Every hole of a
/// job looks into it, so each drawer is filled once.
fn drawer(which: Drawer) -> &'static [Drill] {
    static FILLED: [OnceLock<Vec<Drill>>; 3] = [const { OnceLock::new() }; 3];
    let place = match which {
        Drawer::Inch => 0,
        Drawer::Metric => 1,
        Drawer::Any => 2,
    };
    FILLED[place].get_or_init(|| filled(which))
}

fn filled(which: Drawer) -> Vec<Drill> {
    let mut all = Vec::new();
    if which != Drawer::Metric {
        all.extend(FRACTIONS.filter_map(fractional));
        all.extend(('A'..='Z').filter_map(letter));
        all.extend((1..=NUMBERS.len()).filter_map(number));
    }
    if which != Drawer::Inch {
        all.extend(metric());
    }
    all
}

/// The smallest drill that is not under the wanted diameter (by more than half
/// a thousandth of an inch, which is how tables round); `None` above the
/// largest, 1 in or 25 mm, or if the wanted diameter is not a positive number.
pub fn nearest_larger(wanted: Length, which: Drawer) -> Option<Drill> {
    let mm = wanted.to_mm();
    if !(mm.is_finite() && mm > 0.0) {
        return None;
    }
    let mut best: Option<&Drill> = None;
    for drill in drawer(which) {
        let enough = drill.diameter.to_mm() >= mm - SLACK_MM;
        if enough && best.is_none_or(|b| drill.diameter < b.diameter) {
            best = Some(drill);
        }
    }
    best.cloned()
}

/// Drills to go before the last one: none up to 5 mm, one up to 10 mm, two above.
///
/// # Formula
/// A third of the finished diameter; above 10 mm 3 mm, then six tenths of it.
/// # Source
/// [`PILOTS`]: a pilot as wide as the chisel edge of the next drill.
/// # Holds for
/// Twist drills in plate, in the hands or in a press.
pub fn pilots(finished: Length, which: Drawer) -> Vec<Drill> {
    let mm = finished.to_mm();
    let sizes = match mm {
        d if d > 10.0 => vec![3.0, (d * 0.6).min(13.0)],
        d if d > 5.0 => vec![d / 3.0],
        _ => vec![],
    };
    sizes.iter().filter_map(|s| nearest_larger(Length::mm(*s), which)).collect()
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    for n in 1..=NUMBERS.len() {
        to.row(format!("drill No. {n}"), INCH);
    }
    for l in 'A'..='Z' {
        to.row(format!("letter drill {l}"), INCH);
    }
    to.row("fractional drills by 64ths", INCH);
    to.row("metric drills by their steps", METRIC);
    to.formulas(&["pilots"], PILOTS);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_named_in_lowest_terms() {
        let names: Vec<String> =
            [4, 17, 32, 48, 64].into_iter().filter_map(fractional).map(|d| d.designation).collect();
        assert_eq!(names, ["1/16 in", "17/64 in", "1/2 in", "3/4 in", "1 in"]);
    }

    #[test]
    fn numbers_fall_and_letters_rise() {
        assert!(NUMBERS.windows(2).all(|w| w[0] > w[1]));
        assert!(LETTERS.windows(2).all(|w| w[0] < w[1]));
        assert!(NUMBERS[0] < LETTERS[0]);
    }

    #[test]
    fn the_next_drill_up_is_the_table_drill() {
        let pick = |inches: f64| nearest_larger(Length::inches(inches), Drawer::Inch).unwrap().designation;
        assert_eq!(pick(0.266), "17/64 in");
        assert_eq!(pick(0.406), "13/32 in");
        assert_eq!(pick(0.2505), "1/4 in");
        assert_eq!(pick(0.252), "letter F");
        let metric = |mm: f64| nearest_larger(Length::mm(mm), Drawer::Metric).unwrap().designation;
        assert_eq!(metric(6.6), "6.6 mm");
        assert_eq!(metric(6.62), "6.7 mm");
        assert_eq!(metric(14.1), "14.25 mm");
    }

    #[test]
    fn a_hole_beyond_the_drawer_has_no_drill() {
        assert!(nearest_larger(Length::mm(30.0), Drawer::Any).is_none());
        assert!(nearest_larger(Length::mm(f64::NAN), Drawer::Any).is_none());
        assert!(number(0).is_none() && number(41).is_none() && letter('?').is_none());
    }
}
