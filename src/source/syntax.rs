//! Plain words for what a TOML reader says of a file that is not even TOML.

use std::ops::Range;

/// What everybody writes some day, and what to say to it.
///
/// `said` is the reader's own sentence; it is kept only where nothing better is known.
pub(super) fn plain(text: &str, span: &Range<usize>, said: &str) -> (String, String) {
    let mut at = span.start.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let start = text[..at].rfind('\n').map_or(0, |i| i + 1);
    let line = text[start..].lines().next().unwrap_or("").trim();
    let said = said.lines().next().unwrap_or("not understood").trim();
    if said.contains("duplicate key") {
        let key = line.split(['=', ']']).next().unwrap_or(line).trim().trim_matches('[');
        if line.starts_with('[') && !line.starts_with("[[") {
            return (
                format!("[{key}] is written twice"),
                format!("where there are several, write [[{key}]] with two brackets each time"),
            );
        }
        return (
            format!("`{key}` is written twice"),
            "keep one of the two lines; for several blocks of a kind write [[two brackets]]".to_string(),
        );
    }
    if line.starts_with('[') && !line.contains('=') {
        return heading(line);
    }
    if line.starts_with('{') {
        return inline(text, start, line, said);
    }
    match line.split_once('=') {
        Some((key, value)) => a_value(key.trim(), value.split('#').next().unwrap_or("").trim(), said),
        None if line.contains(':') => {
            let (key, value) = line.split_once(':').unwrap_or((line, ""));
            let value = value.trim().trim_matches('"');
            ("a colon where an equals sign is needed".to_string(), format!("write {} = \"{value}\"", key.trim()))
        }
        None => (
            format!("this line is not understood: {said}"),
            "a line is a key, an equals sign and a value; a comment begins with #".to_string(),
        ),
    }
}

/// A line of `{ key = value }`: most often the comma of the line above is missing.
fn inline(text: &str, start: usize, line: &str, said: &str) -> (String, String) {
    let above = text[..start].lines().rev().map(|l| l.split('#').next().unwrap_or("").trim()).find(|l| !l.is_empty());
    if above.is_some_and(|a| a.ends_with('}')) {
        return ("a comma is missing at the end of the line above".to_string(), "write }, there".to_string());
    }
    if line.matches('{').count() != line.matches('}').count() {
        return ("{ and } do not match in this line".to_string(), "close each { with }".to_string());
    }
    let words = line.split(['=', ',', '[', ']', '{', '}']).map(str::trim).skip(2);
    if let Some(bare) = words.into_iter().find(|w| !w.is_empty() && !w.contains('"') && w.contains(char::is_alphabetic))
    {
        return (format!("`{bare}` is not in quotes"), format!("write \"{bare}\""));
    }
    (format!("this line is not understood: {said}"), "write { key = \"value\", key = \"value\" }".to_string())
}

fn heading(line: &str) -> (String, String) {
    let (open, close) = (line.matches('[').count(), line.matches(']').count());
    if open != close {
        let name = line.trim_matches(['[', ']', ' ']);
        let n = open.max(close).clamp(1, 2);
        return (
            format!("this heading has {open} opening and {close} closing brackets"),
            format!("write {}{name}{}", "[".repeat(n), "]".repeat(n)),
        );
    }
    (
        "this heading is not understood".to_string(),
        "names in a heading are letters, digits and _, with dots between: [ask.width], [[piece.hole]]".to_string(),
    )
}

fn a_value(key: &str, value: &str, said: &str) -> (String, String) {
    let quotes = value.matches('"').count();
    let bare = value.starts_with(|c: char| c.is_alphanumeric() || "-+.(½¼¾".contains(c));
    if key.is_empty() {
        ("there is no key before the equals sign".to_string(), "write the name of the value first".to_string())
    } else if key.contains(' ') && !key.contains('"') {
        (
            format!("`{key}` is not one word"),
            format!("join the words: {} = ...", key.split_whitespace().collect::<Vec<_>>().join("_")),
        )
    } else if value.is_empty() {
        (format!("nothing stands behind `{key} =`"), format!("write {key} = \"...\""))
    } else if bare && quotes == 0 {
        ("this value is not in quotes".to_string(), format!("put it in quotes: {key} = \"{value}\""))
    } else if quotes % 2 == 1 && quotes > 1 {
        (
            "an inch mark ends the quoted text too early".to_string(),
            "inside quotes write in for inches: \"23-1/2 in\"".to_string(),
        )
    } else if quotes == 1 && !value.starts_with("\"\"\"") {
        let help = if value.starts_with('"') { "add the closing quote: " } else { "add the opening quote: " };
        ("one quotation mark is missing".to_string(), format!("{help}{key} = \"{}\"", value.trim_matches('"').trim()))
    } else if value.starts_with(['\u{201c}', '\u{201d}', '\u{201e}', '\u{2018}', '\u{2019}']) {
        ("these are curly quotes".to_string(), "use the straight ones of the keyboard: \" and \"".to_string())
    } else if value.contains('\\') {
        (
            format!("a backslash has a meaning of its own in quotes: {said}"),
            "write two of them, or put the text in single quotes: '...'".to_string(),
        )
    } else if value.starts_with('[') && !value.ends_with(']') {
        ("this list is not closed".to_string(), "end it with ], and put commas between its values".to_string())
    } else if value.starts_with('[') || value.starts_with('{') {
        (
            format!("this list or block is not understood: {said}"),
            "put commas between the values, and each text in quotes".to_string(),
        )
    } else {
        (format!("this line is not understood: {said}"), format!("write {key} = \"value\", and one value a line"))
    }
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn the_usual_slips_are_told_in_plain_words() {
        for (line, wanted) in [
            ("gap = 600 mm", "put it in quotes: gap = \"600 mm\""),
            ("gap = \"600 mm", "add the closing quote: gap = \"600 mm\""),
            ("gap = 600 mm\"", "add the opening quote: gap = \"600 mm\""),
            ("gap = \"2' 3-1/4\"\"", "inside quotes write in"),
            ("gap =", "write gap = "),
            ("gap: 600 mm", "write gap = \"600 mm\""),
            ("rail gap = 1", "rail_gap"),
            ("[[part]", "write [[part]]"),
            ("gap = \u{201c}600 mm\u{201d}", "straight ones"),
            ("at = [\"1 mm\" \"2 mm\"]", "commas"),
            ("{ at = [side, \"0 mm\"] }", "write \"side\""),
        ] {
            let (message, help) = plain(line, &(0..0), "bad");
            assert!(help.contains(wanted) && !message.is_empty(), "{line}: {message}; {help}");
        }
    }
}
