//! Numbers as they are printed on paper, in the job's units.

use crate::piece::HoleShape;
use crate::units::{Length, Mass};

/// Units of what is printed on paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PaperUnits {
    /// Millimetres.
    Metric,
    /// Decimal inches with the nearest 64th beside them.
    Inch,
}

/// One pound in kilograms, exact by definition.
///
/// # Source
/// International yard and pound agreement of 1959.
const KG_PER_POUND: f64 = 0.453_592_37;

/// A number with at most `places` decimals, without trailing zeros.
pub fn trimmed(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_string() } else { text.to_string() }
}

/// The nearest 64th of an inch, as `5 61/64`; with `≈` before it when it is not exact.
pub fn sixty_fourths(mm: f64) -> String {
    /// Nearer than this counts as exact, mm: a tenth of what a rule shows.
    const EXACT_MM: f64 = 0.005;
    let whole = Length::mm(mm).to_inches() * 64.0;
    let n = whole.round();
    let near =
        if (whole - n).abs() * crate::units::Length::inches(1.0 / 64.0).to_mm() < EXACT_MM { "" } else { "≈ " };
    let sign = if n < 0.0 { "-" } else { "" };
    let n = n.abs() as u64;
    let (mut top, mut bottom) = (n % 64, 64);
    while top > 0 && top.is_multiple_of(2) {
        top /= 2;
        bottom /= 2;
    }
    match (n / 64, top) {
        (i, 0) => format!("{near}{sign}{i}"),
        (0, t) => format!("{near}{sign}{t}/{bottom}"),
        (i, t) => format!("{near}{sign}{i} {t}/{bottom}"),
    }
}

impl PaperUnits {
    /// A bare number of millimetres or inches.
    pub fn number(self, mm: f64) -> String {
        match self {
            PaperUnits::Metric => trimmed(mm, 2),
            PaperUnits::Inch => trimmed(Length::mm(mm).to_inches(), 4),
        }
    }

    /// A length with its unit: `40 mm`, `1.5748 in`.
    pub fn length(self, mm: f64) -> String {
        format!("{} {}", self.number(mm), self.word())
    }

    /// The unit's sign.
    pub fn word(self) -> &'static str {
        match self {
            PaperUnits::Metric => "mm",
            PaperUnits::Inch => "in",
        }
    }

    /// A mass with its unit, to a gram or a thousandth of a pound.
    pub fn mass(self, mass: Mass) -> String {
        match self {
            PaperUnits::Metric => format!("{:.3} kg", mass.to_kg()),
            PaperUnits::Inch => format!("{:.3} lb", mass.to_kg() / KG_PER_POUND),
        }
    }

    /// A position for the hole table: 0.01 mm, or 0.001 in with the nearest 64th.
    pub fn position(self, mm: f64) -> String {
        match self {
            PaperUnits::Metric => format!("{mm:.2}"),
            PaperUnits::Inch => format!("{:.3} ({})", Length::mm(mm).to_inches(), sixty_fourths(mm)),
        }
    }

    /// Size of a hole in words.
    pub fn hole(self, shape: &HoleShape) -> String {
        let lies = |rad: f64| {
            let deg = trimmed(rad.to_degrees(), 1);
            if deg == "0" { String::new() } else { format!(" at {deg}°") }
        };
        let pair = |a: f64, b: f64| format!("{} × {}", self.number(a), self.number(b));
        match *shape {
            HoleShape::Round { diameter } => match self {
                PaperUnits::Metric => format!("⌀ {}", self.number(diameter)),
                PaperUnits::Inch => format!("⌀ {} ({})", self.number(diameter), sixty_fourths(diameter)),
            },
            HoleShape::Slot { length, width, lies: a } => format!("slot {}{}", pair(length, width), lies(a)),
            HoleShape::Ellipse { major, minor, lies: a } => format!("ellipse {}{}", pair(major, minor), lies(a)),
            HoleShape::Rectangle { length, width, corner_radius, lies: a } => {
                let r = if corner_radius > 0.0 { format!(" r {}", self.number(corner_radius)) } else { String::new() };
                format!("opening {}{r}{}", pair(length, width), lies(a))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_come_with_the_nearest_64th() {
        assert_eq!(sixty_fourths(25.4 * (5.0 + 61.0 / 64.0)), "5 61/64");
        assert_eq!(sixty_fourths(12.7), "1/2");
        assert_eq!(sixty_fourths(10.0), "≈ 25/64");
        assert_eq!(sixty_fourths(0.0), "0");
        assert_eq!(sixty_fourths(50.8), "2");
        assert_eq!(PaperUnits::Inch.position(12.7), "0.500 (1/2)");
    }

    #[test]
    fn millimetres_lose_their_trailing_zeros() {
        assert_eq!(PaperUnits::Metric.length(40.0), "40 mm");
        assert_eq!(PaperUnits::Metric.number(-0.001), "0");
        assert_eq!(PaperUnits::Metric.hole(&HoleShape::Round { diameter: 10.5 }), "⌀ 10.5");
        let slot = HoleShape::Slot { length: 20.0, width: 9.0, lies: std::f64::consts::FRAC_PI_2 };
        assert_eq!(PaperUnits::Metric.hole(&slot), "slot 20 × 9 at 90°");
    }
}
