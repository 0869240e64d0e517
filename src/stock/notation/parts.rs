//! Parting a line of the bin: commas, sides, brackets, quotes, shared units.

use crate::source::Text;

/// The bracket that closes the one a text begins with.
pub(super) fn closing(text: &str) -> Option<usize> {
    let mut depth = 0;
    text.char_indices().find_map(|(i, c)| {
        depth += i32::from(c == '(') - i32::from(c == ')');
        (depth == 0).then_some(i)
    })
}

pub(super) fn trim(text: &Text) -> Text {
    let start = text.value.len() - text.value.trim_start().len();
    text.part(start..start + text.value.trim().len())
}

/// Parts between marks that stand outside of quotes and brackets, trimmed.
pub(super) fn split(text: &Text, mark: char) -> Vec<Text> {
    let (mut depth, mut quoted, mut from) = (0_i32, false, 0);
    let mut out = vec![];
    for (i, c) in text.value.char_indices() {
        match c {
            '"' => {
                // `7/16"` is inches: a quote begins a value, it does not follow a digit.
                let inches =
                    !quoted && text.value[..i].ends_with(|c: char| c.is_ascii_digit() || "¼½¾⅛⅜⅝⅞⅓⅔".contains(c));
                quoted ^= !inches;
            }
            '(' if !quoted => depth += 1,
            ')' if !quoted => depth -= 1,
            c if c == mark && !quoted && depth <= 0 => {
                out.push(trim(&text.part(from..i)));
                from = i + c.len_utf8();
            }
            _ => {}
        }
    }
    out.push(trim(&text.part(from..text.value.len())));
    out
}

/// `600 x 400 mm`: the sides.
pub(super) fn split_sides(text: &Text) -> Vec<Text> {
    let mut out = vec![];
    let mut from = 0;
    for (i, _) in text.value.match_indices(" x ") {
        out.push(trim(&text.part(from..i)));
        from = i + 3;
    }
    out.push(trim(&text.part(from..text.value.len())));
    out
}

pub(super) fn has_unit(text: &str) -> bool {
    text.contains(|c: char| c.is_alphabetic() || c == '"' || c == '\'')
}

pub(super) fn with_unit(text: &str, unit: &str) -> String {
    if has_unit(text) || unit.is_empty() {
        return text.to_string();
    }
    if text == "0" { format!("0 {unit}") } else { format!("{text} {unit}") }
}

/// One unit at the end counts for all.
pub(super) fn share_unit(sides: &[Text]) -> Vec<Text> {
    let last = sides.last().map_or("", |t| t.value.as_str());
    let unit = last.trim_start_matches(|c: char| !(c.is_alphabetic() || c == '"'));
    let one = |t: &Text| match has_unit(&t.value) || unit.is_empty() {
        true => t.clone(),
        false => Text::standing(&with_unit(&t.value, unit), t.file, t.span.clone()),
    };
    sides.iter().map(one).collect()
}

/// Without the quotes round it.
pub(super) fn unquoted(text: &Text) -> Text {
    let inner = text.value.strip_prefix('"').and_then(|t| t.strip_suffix('"'));
    match inner {
        Some(inner) if text.value.len() > 1 => {
            Text::standing(&inner.replace("\"\"", "\""), text.file, text.span.clone())
        }
        _ => text.clone(),
    }
}
