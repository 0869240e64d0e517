//! The measured values as they stand in a job's text, and one of them changed
//! there: the value alone, with comments, spacing and line ends as they were.

use super::JOB;
use crate::diag::FileId;
use crate::source::{Item, Obj, Text, quoted, read_toml};
use crate::units::{Angle, System, parse_angle, parse_length, show_angle, trimmed};
use std::ops::Range;

/// Longest text that one value may have, characters.
const LONGEST: usize = 1_000;
/// Divisions of an inch tape to the inch.
const PER_INCH: f64 = 16.0;

/// One value of `[measured]` as it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// Its name.
    pub name: String,
    /// The value or formula, as typed.
    pub text: String,
    /// Words of the comment behind it; empty without one.
    pub comment: String,
    /// Bytes of the value in the text (counted without a byte-order mark), with its quotes.
    pub span: Range<usize>,
}

/// Size of the byte-order mark that a text begins with.
fn mark(text: &str) -> usize {
    text.len() - text.trim_start_matches('\u{feff}').len()
}

/// The values of `[measured]`, in the order of the file.
pub fn written_values(text: &str) -> Vec<Written> {
    let text = &text[mark(text)..];
    let obj = read_toml(FileId(0), text, &JOB, &mut vec![]);
    let one = |(name, _, value): &(String, Range<usize>, Text)| Written {
        name: name.clone(),
        text: value.value.clone(),
        comment: comment_behind(text, value.span.end),
        span: value.span.clone(),
    };
    obj.values("measured").iter().map(one).collect()
}

/// A tank, pedal or steering run as it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WrittenLayout {
    /// Its block: `tank`, `pedal`, `steering`.
    pub kind: &'static str,
    /// Its name.
    pub name: String,
    /// Value or formula by the way to it: `width`, `station front/height`, `joint 1/at/x`.
    pub texts: Vec<(String, String)>,
}

/// The layouts of a job, block by block.
pub fn written_layouts(text: &str) -> Vec<WrittenLayout> {
    let text = &text[mark(text)..];
    let obj = read_toml(FileId(0), text, &JOB, &mut vec![]);
    let mut out = vec![];
    for kind in ["tank", "pedal", "steering"] {
        for o in obj.list(kind) {
            let mut texts = vec![];
            texts_of(o, "", &mut texts);
            out.push(WrittenLayout { kind, name: o.word("name").unwrap_or("").to_string(), texts });
        }
    }
    out
}

/// Every text of a block with the way to it; one of several blocks goes by its name, else by its number.
fn texts_of(o: &Obj, above: &str, out: &mut Vec<(String, String)>) {
    for (field, _, item) in &o.items {
        let here = format!("{above}{}", field.key);
        match item {
            Item::Text(t) => out.push((here, t.value.clone())),
            Item::Texts(all) => {
                out.extend(["x", "y", "z"].iter().zip(all).map(|(a, t)| (format!("{here}/{a}"), t.value.clone())));
            }
            Item::Obj(inner) => texts_of(inner, &format!("{here}/"), out),
            Item::List(all) => {
                for (i, inner) in all.iter().enumerate() {
                    let which = inner.word("name").map_or_else(|| (i + 1).to_string(), str::to_string);
                    texts_of(inner, &format!("{here} {which}/"), out);
                }
            }
            _ => {}
        }
    }
}

/// The comment on the rest of the line.
fn comment_behind(text: &str, from: usize) -> String {
    let line = text.get(from..).and_then(|t| t.lines().next()).unwrap_or("");
    let told = line.trim_start().strip_prefix('#').unwrap_or("");
    told.trim().to_string()
}

/// Why a typed text cannot stand in one line of a job at all.
pub fn line_fault(text: &str) -> Option<String> {
    let long = text.chars().count();
    if long > LONGEST {
        return Some(format!("this text has {long} characters; {LONGEST} at most"));
    }
    let control = text.chars().any(char::is_control);
    control.then(|| "a value stands in one line, without control characters".to_string())
}

/// The job's text with another value of this name; every other byte stays.
///
/// # Errors
/// A sentence: there is no such name, the new text is too long, or the value is
/// written in a way that cannot be replaced by itself.
pub fn with_value(text: &str, name: &str, value: &str) -> Result<String, String> {
    let before = written_values(text);
    let Some(old) = before.iter().find(|w| w.name == name) else {
        return Err(format!("nothing called {name} is measured in this job"));
    };
    if let Some(fault) = line_fault(value) {
        return Err(fault);
    }
    if old.text == value {
        return Ok(text.to_string());
    }
    let (from, to) = (mark(text) + old.span.start, mark(text) + old.span.end);
    let mut out = text.to_string();
    if out.get(from..to).is_none() {
        return Err(format!("the place of {name} in the file was not found"));
    }
    out.replace_range(from..to, &quoted(value));
    // Read back: this value is the new one, and all others are what they were.
    let after = written_values(&out);
    let same = |(a, b): (&Written, &Written)| {
        a.name == b.name && a.comment == b.comment && (if a.name == name { b.text == value } else { a.text == b.text })
    };
    if after.len() != before.len() || !before.iter().zip(&after).all(same) {
        return Err(format!("{name} is written in a way that cannot be replaced by itself; change it in the file"));
    }
    Ok(out)
}

/// The same reading one division of the tape less and more: 1 mm, 1/16 in, or
/// 1 deg for an angle. `None` for a formula and for what no tape reads.
///
/// A reading keeps the unit that it was typed in; a bare number has that of the job.
pub fn divisions(text: &str, units: System) -> Option<(String, String)> {
    if let Ok(length) = parse_length(text, Some(units)) {
        let has = |unit: &str| text.trim_end().ends_with(unit);
        let inch = has("in") || has("\"") || has("ft") || has("'") || (units == System::Inch && !has("m"));
        let step = if inch { 25.4 / PER_INCH } else { 1.0 };
        let show = |mm: f64| if inch { inches(mm) } else { format!("{} mm", trimmed(mm, 3)) };
        return Some((show(length.to_mm() - step), show(length.to_mm() + step)));
    }
    let angle = parse_angle(text).ok()?;
    // A bare number is a count or a ratio: nothing that is read off in divisions.
    text.trim_end().ends_with("deg").then(|| {
        let show = |by: f64| show_angle(Angle::degrees(angle.to_degrees() + by));
        (show(-1.0), show(1.0))
    })
}

/// On sixty-fourths as a fraction, else with decimals.
fn inches(mm: f64) -> String {
    let parts = mm / 25.4 * 64.0;
    let whole = libm::round(parts);
    if (parts - whole).abs() < 1e-6 {
        return crate::units::show_length(crate::units::Length::mm(mm), System::Inch);
    }
    format!("{} in", trimmed(mm / 25.4, 4))
}

#[cfg(test)]
mod tests {
    use super::*;

    const JOB_TEXT: &str = "\u{feff}job = \"x\"\r\n[measured]   # all of it\r\ntank.width =  '340 mm'   # across # twice\r\n\
                            bare = 12\r\n\"odd \\u00e4\" = \"tank.width / 2\"\r\n[[cut]]\r\n";

    #[test]
    fn only_the_value_changes() {
        let new = with_value(JOB_TEXT, "tank.width", "341 \"mm\"").unwrap();
        assert_eq!(new, JOB_TEXT.replace("'340 mm'", "\"341 \\\"mm\\\"\""));
        let bare = with_value(JOB_TEXT, "bare", "13 mm").unwrap();
        assert_eq!(bare, JOB_TEXT.replace("= 12", "= \"13 mm\""));
        assert_eq!(with_value(JOB_TEXT, "bare", "12").unwrap(), JOB_TEXT, "nothing changes where nothing does");
    }

    #[test]
    fn texts_of_a_layout_are_known_by_the_way_to_them() {
        let text = "[[steering]]\nname = \"Run\"\nshaft = \"d\"\n[[steering.joint]]\nat = [\"1 mm\", \"far\", \"0 mm\"]\n\
                    [[steering.obstacle]]\nname = \"pipe\"\nradius = \"r\"\n";
        let [run] = &written_layouts(text)[..] else { panic!("one run") };
        let at = |way: &str| run.texts.iter().find(|t| t.0 == way).map(|t| t.1.as_str());
        assert_eq!((run.kind, run.name.as_str()), ("steering", "Run"));
        assert_eq!((at("shaft"), at("joint 1/at/y"), at("obstacle pipe/radius")), (Some("d"), Some("far"), Some("r")));
    }

    #[test]
    fn what_cannot_be_a_value_is_refused() {
        assert!(with_value(JOB_TEXT, "tank", "1 mm").is_err());
        assert!(with_value(JOB_TEXT, "bare", "1 mm\n[[part]]").is_err());
        assert!(with_value(JOB_TEXT, "bare", &"9".repeat(1_001)).is_err());
    }

    #[test]
    fn comments_are_told_and_names_are_read() {
        let all = written_values(JOB_TEXT);
        assert_eq!(all[0].comment, "across # twice");
        assert_eq!((all[1].text.as_str(), all[1].comment.as_str()), ("12", ""));
    }

    #[test]
    fn a_division_keeps_the_unit_of_the_tape() {
        let both = |t: &str, u| divisions(t, u).map(|(a, b)| format!("{a} | {b}")).unwrap_or_default();
        assert_eq!(both("340 mm", System::Metric), "339 mm | 341 mm");
        assert_eq!(both("151.5 mm", System::Metric), "150.5 mm | 152.5 mm");
        assert_eq!(both("23-1/2 in", System::Metric), "23-7/16 in | 23-9/16 in");
        assert_eq!(both("12", System::Inch), "11-15/16 in | 12-1/16 in");
        assert_eq!(both("12", System::Metric), "11 mm | 13 mm");
        assert_eq!(both("22 deg", System::Metric), "21 deg | 23 deg");
        for none in ["tank.width / 2", "8 kg", "", "mild steel"] {
            assert_eq!(both(none, System::Metric), "", "{none}");
        }
    }
}
