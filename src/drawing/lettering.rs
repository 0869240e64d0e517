//! How wide the lettering is, so that text can be laid out before any file is written.
//!
//! Widths are those of DejaVu Sans 2.37 (units per em 2048); the PDF room
//! embeds that face and a test there holds the two together.

/// Capitals are this fraction of the em high (1493 of 2048 units).
pub const CAPITAL_HEIGHT: f64 = 1493.0 / 2048.0;
/// Descenders reach this far below the base line, in capital heights (DejaVu Sans: 0.236 em).
pub const DESCENT: f64 = 0.33;
/// The smallest lettering on paper, mm: to be read at arm's length in a workshop.
///
/// # Source
/// ISO 3098 nominal heights begin at 1.8 and 2.5 mm (memory, unconfirmed).
pub const SMALL_MM: f64 = 2.5;
/// Usual lettering, mm.
pub const USUAL_MM: f64 = 3.5;

const UNITS_PER_EM: f64 = 2048.0;
/// Width of a character that is not listed: the widest usual ones are one em.
const OTHER: u16 = 2048;

/// Space to tilde.
#[rustfmt::skip]
const ASCII: [u16; 95] = [
    651, 821, 942, 1716, 1303, 1946, 1597, 563, 799, 799, 1024, 1716, 651, 739, 651, 690, 1303, 1303, 1303, 1303,
    1303, 1303, 1303, 1303, 1303, 1303, 690, 690, 1716, 1716, 1716, 1087, 2048, 1401, 1405, 1430, 1577, 1294, 1178,
    1587, 1540, 604, 604, 1343, 1141, 1767, 1532, 1612, 1235, 1612, 1423, 1300, 1251, 1499, 1401, 2025, 1403, 1251,
    1403, 799, 690, 799, 1716, 1024, 1024, 1255, 1300, 1126, 1300, 1260, 721, 1300, 1298, 569, 569, 1186, 569, 1995,
    1298, 1253, 1300, 1300, 842, 1067, 803, 1298, 1212, 1675, 1212, 1212, 1075, 1303, 690, 1303, 1716,
];
/// No-break space to y with diaeresis.
#[rustfmt::skip]
const LATIN_1: [u16; 96] = [
    651, 821, 1303, 1303, 1303, 1303, 690, 1024, 1024, 2048, 965, 1253, 1716, 739, 2048, 1024, 1024, 1716, 821, 821,
    1024, 1303, 1303, 651, 1024, 821, 965, 1253, 1985, 1985, 1985, 1087, 1401, 1401, 1401, 1401, 1401, 1401, 1995,
    1430, 1294, 1294, 1294, 1294, 604, 604, 604, 604, 1587, 1532, 1612, 1612, 1612, 1612, 1612, 1716, 1612, 1499,
    1499, 1499, 1499, 1251, 1239, 1290, 1255, 1255, 1255, 1255, 1255, 1255, 2011, 1126, 1260, 1260, 1260, 1260, 569,
    569, 569, 569, 1253, 1298, 1253, 1253, 1253, 1253, 1253, 1716, 1253, 1298, 1298, 1298, 1298, 1212, 1300, 1212,
];
/// Signs that the pages use beyond these.
const SIGNS: [(char, u16); 8] =
    [('⌀', 1233), ('–', 1024), ('…', 2048), ('≈', 1716), ('≤', 1716), ('≥', 1716), ('−', 1716), ('→', 1716)];

/// Advance width of a character, in 2048ths of the em.
pub fn advance(c: char) -> u16 {
    let n = c as usize;
    match n {
        0x20..=0x7e => ASCII[n - 0x20],
        0xa0..=0xff => LATIN_1[n - 0xa0],
        _ => SIGNS.iter().find(|s| s.0 == c).map_or(OTHER, |s| s.1),
    }
}

/// Width of a line of text whose capitals are `size_mm` high, mm.
pub fn width_mm(text: &str, size_mm: f64) -> f64 {
    let units: u64 = text.chars().map(|c| u64::from(advance(c))).sum();
    units as f64 / UNITS_PER_EM * size_mm / CAPITAL_HEIGHT
}

/// The text and the largest size from `most` down to [`SMALL_MM`] with which it
/// fits into `room` mm; what still does not fit ends in "…".
pub fn fitted(text: &str, most_mm: f64, room: f64) -> (String, f64) {
    let natural = width_mm(text, most_mm);
    if natural <= room {
        return (text.to_string(), most_mm);
    }
    let size = (most_mm * room / natural).max(SMALL_MM);
    (shortened(text, size, room), size)
}

/// The text, cut short with "…" if it is wider than `room` mm.
pub fn shortened(text: &str, size_mm: f64, room: f64) -> String {
    const NOISE_MM: f64 = 1e-6;
    if width_mm(text, size_mm) <= room + NOISE_MM {
        return text.to_string();
    }
    let mut kept: Vec<char> = text.chars().collect();
    while !kept.is_empty() {
        kept.pop();
        let short: String = kept.iter().collect::<String>().trim_end().to_string() + "…";
        if width_mm(&short, size_mm) <= room {
            return short;
        }
    }
    String::new()
}

/// The text in lines of at most `room` mm, broken between words; a word wider
/// than a line is broken inside.
pub fn wrapped(text: &str, size_mm: f64, room: f64) -> Vec<String> {
    let mut lines = vec![];
    let mut line = String::new();
    for word in text.split_whitespace() {
        let joined = if line.is_empty() { word.to_string() } else { format!("{line} {word}") };
        if width_mm(&joined, size_mm) <= room {
            line = joined;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            line.push(c);
            if width_mm(&line, size_mm) > room && line.chars().count() > 1 {
                line.pop();
                lines.push(std::mem::replace(&mut line, c.to_string()));
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrapped_lines_keep_every_letter_and_fit() {
        let text = "ream the bores to size after welding, antidisestablishmentarianism included";
        let lines = wrapped(text, 2.5, 40.0);
        assert!(lines.len() > 2);
        assert!(lines.iter().all(|l| width_mm(l, 2.5) <= 40.0));
        let letters = |s: &str| s.chars().filter(|c| !c.is_whitespace()).collect::<String>();
        assert_eq!(letters(&lines.concat()), letters(text));
    }

    #[test]
    fn a_long_name_shrinks_first_and_is_cut_short_last() {
        assert_eq!(fitted("strap", 5.0, 100.0), ("strap".to_string(), 5.0));
        let (text, size) = fitted("front tank strap", 5.0, 35.0);
        assert_eq!(text, "front tank strap");
        assert!((SMALL_MM..5.0).contains(&size));
        let (text, size) = fitted("a name that nobody would ever give to a piece", 5.0, 30.0);
        assert!(text.ends_with('…') && size == SMALL_MM && width_mm(&text, size) <= 30.0);
    }
}
