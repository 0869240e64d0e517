//! Text inside markup: escaped words, short numbers, bytes as base64.

use std::fmt::Write;

/// Words as text or as the value of an attribute in quotes. Control characters,
/// which HTML has no place for, become the replacement character.
pub(super) fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if c.is_control() && !matches!(c, '\n' | '\t') => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// A name that someone gave: isolated, so that its direction of writing stays its own.
pub(super) fn name(words: &str) -> String {
    format!("<bdi>{}</bdi>", escaped(words))
}

/// Three decimals, without needless noughts; nought for what is no number.
pub(super) fn number(v: f64) -> String {
    crate::units::trimmed(if v.is_finite() { v } else { 0.0 }, 3)
}

/// Bytes as base64 with padding.
///
/// # Source
/// RFC 4648:2006, section 4 (from memory).
pub(super) fn base64(bytes: &[u8]) -> String {
    const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let at = |i: usize| u32::from(three.get(i).copied().unwrap_or(0));
        let bits = at(0) << 16 | at(1) << 8 | at(2);
        for i in 0..4 {
            let sign = SIGNS[(bits >> (18 - 6 * i) & 63) as usize];
            out.push(if i <= three.len() { sign as char } else { '=' });
        }
    }
    out
}

/// A cell of more characters than this is a sentence.
const WORDS: usize = 36;

/// A table of headings and cells that are markup already, in a box of its own
/// that scrolls where the table is too wide. The first column names its row.
pub(super) fn table(heads: &[String], rows: &[Vec<String>], right: &[bool]) -> String {
    let mut out = "<div class=\"wide\"><table><thead><tr>".to_string();
    let side = |i: usize| if right.get(i).copied().unwrap_or(false) { " class=\"n\"" } else { "" };
    for (i, h) in heads.iter().enumerate() {
        let _ = write!(out, "<th scope=\"col\"{}>{h}</th>", side(i));
    }
    out.push_str("</tr></thead><tbody>\n");
    for row in rows {
        out.push_str("<tr>");
        for (i, cell) in row.iter().enumerate() {
            let _ = match i {
                0 => write!(out, "<th scope=\"row\"{}>{cell}</th>", side(i)),
                // Words need room to stand in, also where the box has to scroll for it.
                _ if cell.chars().count() > WORDS && side(i).is_empty() => write!(out, "<td class=\"t\">{cell}</td>"),
                _ => write!(out, "<td{}>{cell}</td>", side(i)),
            };
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody></table></div>\n");
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_of_the_standards_own_examples() {
        let all =
            [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foob", "Zm9vYg=="), ("foobar", "Zm9vYmFy")];
        for (bytes, text) in all {
            assert_eq!(base64(bytes.as_bytes()), text);
        }
    }

    #[test]
    fn nothing_of_a_name_is_markup() {
        assert_eq!(escaped("<a b='c'>\"&\u{0}"), "&lt;a b=&#39;c&#39;&gt;&quot;&amp;\u{fffd}");
    }
}
