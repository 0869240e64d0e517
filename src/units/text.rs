//! Whole fields: one quantity read from a text, and quantities shown in the
//! job's units.

use super::dim::Dim;
use super::quantity::{Angle, KG_PER_LB, Length, Mass};
use super::scan::{Literal, TextFault, scan, scan_number, spaces};

/// The units that a job is read and printed in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum System {
    /// Millimetres, to 0.1.
    Metric,
    /// Inches, to the nearest 1/64.
    Inch,
}

impl System {
    /// Millimetres in its unit of length.
    pub fn mm(self) -> f64 {
        match self {
            System::Metric => 1.0,
            System::Inch => super::quantity::MM_PER_INCH,
        }
    }
}

/// One quantity of dimension `dim`, in base units. `bare` tells what a length
/// without a unit is read as.
///
/// # Errors
/// What the text is instead, and how to write it.
pub fn parse_quantity(text: &str, dim: Dim, bare: Option<System>) -> Result<f64, TextFault> {
    let start = text.len() - text.trim_start().len();
    let end = text.trim_end().len();
    if start >= end {
        let help = "for example 600 mm or 23-1/2 in".to_string();
        return Err(TextFault::new(0..text.len(), format!("nothing here; {} is needed", dim.name()), Some(help)));
    }
    let negative = text[start..].starts_with('-');
    let from = if negative { start + 1 + spaces(text, start + 1) } else { start };
    let sign = if negative { -1.0 } else { 1.0 };
    if dim == Dim::LENGTH
        && let Some(system) = bare
        && let Some(n) = scan_number(text, from)?
        && n.end == end
    {
        return Ok(sign * n.value * system.mm());
    }
    match scan(text, from)? {
        Some((Literal::Quantity(v, d), e)) if e == end && d == dim => Ok(sign * v),
        Some((Literal::Plain(v), e)) if e == end && dim == Dim::PLAIN => Ok(sign * v),
        Some((Literal::Quantity(_, d), e)) if e == end => {
            Err(TextFault::new(start..e, format!("this is {}; {} is needed", d.name(), dim.name()), None))
        }
        Some((Literal::Plain(_), e)) if e == end => {
            let it = &text[start..e];
            let help =
                if dim == Dim::LENGTH { format!("write {it} mm or {it} in") } else { "add the unit".to_string() };
            Err(TextFault::new(start..e, format!("{it} what? {} needs its unit", dim.name()), Some(help)))
        }
        Some((_, e)) if text[e..].starts_with(',') => Err(TextFault::new(
            e..e + 1,
            "a comma inside a number",
            Some("write the decimals with a point: 25.4".to_string()),
        )),
        Some((_, e)) => Err(TextFault::new(
            e..end,
            format!("'{}' is left over", text[e..end].trim()),
            Some("one value only".to_string()),
        )),
        None => {
            let help = "for example 600 mm, 23-1/2 in, 2 ft 3-1/4 in".to_string();
            Err(TextFault::new(start..end, format!("'{}' is not {}", &text[start..end], dim.name()), Some(help)))
        }
    }
}

/// One length; `bare` tells what a number without a unit is read as.
///
/// # Errors
/// What the text is instead, and how to write it.
pub fn parse_length(text: &str, bare: Option<System>) -> Result<Length, TextFault> {
    parse_quantity(text, Dim::LENGTH, bare).map(Length::mm)
}

/// One angle.
///
/// # Errors
/// What the text is instead, and how to write it.
pub fn parse_angle(text: &str) -> Result<Angle, TextFault> {
    parse_quantity(text, Dim::ANGLE, None).map(Angle::degrees)
}

/// Sixty-fourths as a reduced fraction: `23-5/8`, `7/16`, `4`.
fn sixty_fourths(count: i64) -> String {
    let (whole, mut top, mut bottom) = (count / 64, count % 64, 64);
    while top != 0 && top % 2 == 0 {
        top /= 2;
        bottom /= 2;
    }
    match (whole, top) {
        (w, 0) => format!("{w}"),
        (0, t) => format!("{t}/{bottom}"),
        (w, t) => format!("{w}-{t}/{bottom}"),
    }
}

/// Short text in the job's units: `600.0 mm` without its empty decimal, or
/// `23-5/8 in`. Rounded; use [`show_length_with_rounding`] where that matters.
pub fn show_length(length: Length, system: System) -> String {
    match system {
        System::Metric => format!("{} mm", trimmed(length.to_mm(), 1)),
        System::Inch => {
            let count = libm::round(length.to_inches().abs() * 64.0) as i64;
            let sign = if length.to_mm() < 0.0 && count > 0 { "-" } else { "" };
            format!("{sign}{} in", sixty_fourths(count))
        }
    }
}

/// As [`show_length`], and in inches with how far the fraction is off:
/// `23-5/8 in (rounded up by 0.0030 in)`.
pub fn show_length_with_rounding(length: Length, system: System) -> String {
    let text = show_length(length, system);
    if system == System::Metric {
        return text;
    }
    let off = libm::round(length.to_inches() * 64.0) / 64.0 - length.to_inches();
    if off.abs() < 5e-5 {
        text
    } else {
        format!("{text} (rounded {} by {:.4} in)", if off > 0.0 { "up" } else { "down" }, off.abs())
    }
}

/// A number with at most `places` decimals and no empty ones.
pub fn trimmed(value: f64, places: usize) -> String {
    let mut text = format!("{value:.places$}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".to_string() } else { text }
}

/// An angle in degrees to 0.1.
pub fn show_angle(angle: Angle) -> String {
    format!("{} deg", trimmed(angle.to_degrees(), 1))
}

/// A mass in kg to a gram, or in lb to a hundredth.
pub fn show_mass(mass: Mass, system: System) -> String {
    match system {
        System::Metric => format!("{:.3} kg", mass.to_kg()),
        System::Inch => format!("{:.2} lb", mass.to_kg() / KG_PER_LB),
    }
}

/// Any quantity in base units, in the job's units.
pub fn show_quantity(value: f64, dim: Dim, system: System) -> String {
    match dim {
        Dim::LENGTH => show_length(Length::mm(value), system),
        Dim::ANGLE => show_angle(Angle::degrees(value)),
        Dim::FORCE => format!("{} N", trimmed(value, 0)),
        Dim::MASS => show_mass(Mass::kg(value * 1000.0), system),
        Dim::STRESS => format!("{} MPa", trimmed(value, 1)),
        Dim::MOMENT => format!("{} N m", trimmed(value / 1000.0, 2)),
        Dim::VOLUME => format!("{} litres", trimmed(value / 1e6, 2)),
        _ => trimmed(value, 4),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(text: &str) -> f64 {
        parse_length(text, None).unwrap_or_else(|f| panic!("{text}: {}", f.message)).to_mm()
    }

    #[test]
    fn lengths_as_people_write_them() {
        for (text, inches) in [
            ("23-1/2 in", 23.5),
            ("23 1/2 in", 23.5),
            ("23½ in", 23.5),
            ("½ in", 0.5),
            ("7/16\"", 0.4375),
            ("2 ft 3-1/4 in", 27.25),
            ("2' 3-1/4\"", 27.25),
            ("2'-3\"", 27.0),
            ("1 ft", 12.0),
        ] {
            assert!((mm(text) - inches * 25.4).abs() < 1e-9, "{text}");
        }
        assert_eq!(mm("600 mm"), 600.0);
        assert_eq!(mm("60 cm"), 600.0);
        assert_eq!(mm("0.6 m"), 600.0);
        assert_eq!(mm("-3.5 mm"), -3.5);
        assert!((parse_length("12", Some(System::Inch)).unwrap().to_mm() - 304.8).abs() < 1e-9);
        assert!((parse_length("23-1/2", Some(System::Inch)).unwrap().to_mm() - 596.9).abs() < 1e-9);
    }

    #[test]
    fn what_could_be_two_things_is_refused_with_help() {
        for text in
            ["23-1/2", "600", "25,4 mm", "5 parsec", "2 ft 14 in", "3/0 in", "", "mm", "2 ft-3 in", "1.2.3 mm", "5 kg"]
        {
            assert!(parse_length(text, None).is_err(), "{text}");
        }
        assert!(parse_length("25,4 mm", None).unwrap_err().help.unwrap().contains("point"));
    }

    #[test]
    fn moments_forces_and_stresses() {
        assert!((parse_quantity("25 lbf ft", Dim::MOMENT, None).unwrap() - 33_895.4).abs() < 0.1);
        assert_eq!(parse_quantity("2 N m", Dim::MOMENT, None).unwrap(), 2000.0);
        assert_eq!(parse_quantity("1.2 kN", Dim::FORCE, None).unwrap(), 1200.0);
        // 36 ksi is 248 MPa (A36 in every handbook).
        assert!((parse_quantity("36 ksi", Dim::STRESS, None).unwrap() - 248.2).abs() < 0.05);
    }

    #[test]
    fn every_sixty_fourth_prints_and_reads_back() {
        for n in 0..=64 * 40 {
            let length = Length::inches(f64::from(n) / 64.0);
            let text = show_length_with_rounding(length, System::Inch);
            assert!((mm(&text) - length.to_mm()).abs() < 1e-9, "{text}");
        }
    }

    #[test]
    fn the_rounding_of_inches_is_shown() {
        assert_eq!(show_length_with_rounding(Length::mm(600.0), System::Inch), "23-5/8 in (rounded up by 0.0030 in)");
        assert_eq!(show_length(Length::mm(600.04), System::Metric), "600 mm");
    }
}
