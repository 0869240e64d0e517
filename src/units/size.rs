//! Section sizes as the trade writes them: `1-1/2 x 1-1/2 x 1/8 in`,
//! `40 x 40 x 3 mm`, `7/8 in`.

use super::dim::{Dim, find_unit, unit_help};
use super::quantity::Length;
use super::scan::{TextFault, scan_number, spaces, unit_at};
use super::text::{System, show_length, trimmed};

/// Two sizes nearer than this are one size: 1 in and 25.4 mm, mm.
const SAME_SIZE_MM: f64 = 1e-3;

/// Read a size; one unit at the end counts for all, a fraction implies inches.
///
/// # Errors
/// What is missing or not understood.
pub fn parse_size(text: &str) -> Result<Vec<Length>, TextFault> {
    let mut found: Vec<(f64, Option<f64>)> = vec![];
    let mut p = spaces(text, 0);
    loop {
        let Some(n) = scan_number(text, p)? else {
            let end = text[p..].chars().next().map_or(p, |c| p + c.len_utf8());
            let help = "sizes stand between x: 40 x 40 x 3 mm".to_string();
            return Err(TextFault::new(p..end, "a size is missing here", Some(help)));
        };
        p = n.end;
        let at = p + spaces(text, p);
        let mut unit = n.fraction.then_some(System::Inch.mm());
        if let Some((word, end)) = unit_at(text, at).filter(|u| !u.0.starts_with(['x', 'X', '×'])) {
            match find_unit(word).filter(|u| u.dim == Dim::LENGTH) {
                Some(u) => unit = Some(u.factor),
                None => {
                    return Err(TextFault::new(
                        at..end,
                        format!("'{word}' is not a unit of length"),
                        Some(unit_help(word)),
                    ));
                }
            }
            p = end;
        }
        found.push((n.value, unit));
        p += spaces(text, p);
        match text[p..].chars().next() {
            None => break,
            Some(c @ ('x' | 'X' | '×')) => p += c.len_utf8() + spaces(text, p + c.len_utf8()),
            Some(c) => {
                let help = "sizes stand between x: 40 x 40 x 3 mm".to_string();
                return Err(TextFault::new(
                    p..p + c.len_utf8(),
                    format!("'{c}' is not expected in a size"),
                    Some(help),
                ));
            }
        }
    }
    let given: Vec<f64> = found.iter().filter_map(|f| f.1).collect();
    let Some(&factor) = given.last() else {
        let it = text.trim();
        return Err(TextFault::new(
            0..text.len(),
            format!("{it}: millimetres or inches?"),
            Some(format!("write {it} mm or {it} in")),
        ));
    };
    if given.iter().any(|g| *g != factor) && found.iter().any(|f| f.1.is_none()) {
        return Err(TextFault::new(
            0..text.len(),
            "units are mixed and one size has none",
            Some("give each its unit".to_string()),
        ));
    }
    let sizes: Vec<Length> = found.iter().map(|(v, u)| Length::mm(v * u.unwrap_or(factor))).collect();
    if sizes.iter().any(|s| s.to_mm() <= 0.0) {
        return Err(TextFault::new(0..text.len(), "a size of 0", Some("every size is more than 0".to_string())));
    }
    Ok(sizes)
}

/// Whether two sizes are one: equal in each number.
pub fn same_size(a: &[Length], b: &[Length]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(x, y)| (*x - *y).abs().to_mm() < SAME_SIZE_MM)
}

/// A size in the units it was sold in: inches where every number is a
/// sixty-fourth of an inch and not a whole half millimetre.
pub fn show_size(size: &[Length]) -> String {
    let whole = |v: f64| (v - libm::round(v)).abs() < 1e-6;
    let metric = size.iter().all(|s| whole(s.to_mm() * 10.0));
    let inch = size.iter().all(|s| whole(s.to_inches() * 64.0));
    if inch && !metric {
        let texts: Vec<String> =
            size.iter().map(|s| show_length(*s, System::Inch).trim_end_matches(" in").to_string()).collect();
        format!("{} in", texts.join(" x "))
    } else {
        let texts: Vec<String> = size.iter().map(|s| trimmed(s.to_mm(), 3)).collect();
        format!("{} mm", texts.join(" x "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn trade_sizes_read_and_print_back() {
        for text in ["1-1/2 x 1-1/2 x 1/8 in", "40 x 40 x 3 mm", "7/8 in", "6 mm", "30 x 3 mm", "38 x 2.5 mm"] {
            assert_eq!(show_size(&parse_size(text).unwrap()), text);
        }
        assert!(same_size(&parse_size("40x40x3 mm").unwrap(), &parse_size("40 × 40 × 3 mm").unwrap()));
        assert!(same_size(&parse_size("1 in").unwrap(), &parse_size("25.4 mm").unwrap()));
        assert!(!same_size(&parse_size("1/4 in").unwrap(), &parse_size("6 mm").unwrap()));
    }

    #[test]
    fn a_size_without_a_unit_is_asked_about() {
        assert!(parse_size("40x40x4").unwrap_err().message.contains("millimetres or inches?"));
        assert!(parse_size("40 x x 3 mm").is_err());
        assert!(parse_size("40 x 3 kg").is_err());
    }
}
