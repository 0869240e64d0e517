//! A value of a file as text, with the way back from each of its bytes to the file.

use crate::diag::FileId;
use sha2::{Digest, Sha256};
use std::ops::Range;

/// A decoded value and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// The value without quotes and escapes.
    pub value: String,
    /// The file.
    pub file: FileId,
    /// Bytes of the whole value in the file, with quotes.
    pub span: Range<usize>,
    /// Where each byte of `value` (and its end) comes from.
    pub(super) map: Map,
}

/// How bytes of a value lead back to the file.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Map {
    /// The value stands in the file as it is, from this byte.
    Straight(usize),
    /// One byte of the file for each byte of the value, and one for its end.
    Bytes(Vec<usize>),
}

impl Text {
    /// Place in the file of a part of the value.
    pub fn at(&self, part: Range<usize>) -> Range<usize> {
        match &self.map {
            Map::Straight(base) => base + part.start..base + part.end,
            Map::Bytes(m) => {
                let last = m.len() - 1;
                m[part.start.min(last)]..m[part.end.min(last)]
            }
        }
    }

    /// A part of it as a text of its own, with the same places.
    pub fn part(&self, part: Range<usize>) -> Text {
        let map = match &self.map {
            Map::Straight(base) => Map::Straight(base + part.start),
            Map::Bytes(m) => {
                let last = m.len() - 1;
                Map::Bytes(m[part.start.min(last)..=part.end.min(last)].to_vec())
            }
        };
        Text { value: self.value[part.clone()].to_string(), file: self.file, span: self.at(part), map }
    }

    /// A whole text of its own, as it stands.
    pub fn whole(value: &str, file: FileId) -> Text {
        Text { value: value.to_string(), file, span: 0..value.len(), map: Map::Straight(0) }
    }

    /// A value that is meant by other words at this place.
    pub fn standing(value: &str, file: FileId, span: Range<usize>) -> Text {
        let map = Map::Bytes(vec![span.start; value.len() + 1]);
        Text { value: value.to_string(), file, span, map }
    }

    /// A text that stands in no file, for values that the program itself supplies.
    pub fn made(value: &str, file: FileId) -> Text {
        Text { value: value.to_string(), file, span: 0..0, map: Map::Bytes(vec![0]) }
    }
}

/// A text as a TOML string: in quotes, with what cannot stand in them escaped.
pub fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out += "\\\"",
            '\\' => out += "\\\\",
            '\n' => out += "\\n",
            '\t' => out += "\\t",
            c if c.is_control() => out += &format!("\\u{:04X}", c as u32),
            c => out.push(c),
        }
    }
    out + "\""
}

/// A short mark of texts that differs where they differ: 12 hexadecimal digits.
pub fn hash(texts: &[&str]) -> String {
    let mut h = Sha256::new();
    for t in texts {
        // The length keeps two texts from running into each other.
        h.update((t.len() as u64).to_le_bytes());
        h.update(t.as_bytes());
    }
    h.finalize().iter().take(6).map(|b| format!("{b:02x}")).collect()
}

/// For a quoted string of TOML: where each byte of the decoded text comes from.
pub(super) fn map_of(raw: &str, base: usize) -> Option<Vec<usize>> {
    let multi = raw.starts_with("\"\"\"") || raw.starts_with("'''");
    let quote = if multi { 3 } else { 1 };
    let basic = raw.starts_with('"');
    if raw.len() < 2 * quote || !(basic || raw.starts_with('\'')) {
        return None;
    }
    let (mut p, end) = (quote, raw.len() - quote);
    let mut map = vec![];
    if multi {
        p += if raw[p..].starts_with("\r\n") { 2 } else { usize::from(raw[p..].starts_with('\n')) };
    }
    while p < end {
        let c = raw[p..].chars().next()?;
        if basic && c == '\\' {
            let e = raw[p + 1..].chars().next()?;
            let digits = match e {
                'x' => 2,
                'u' => 4,
                'U' => 8,
                _ => 0,
            };
            if digits > 0 {
                let code = u32::from_str_radix(raw.get(p + 2..p + 2 + digits)?, 16).ok()?;
                map.extend(std::iter::repeat_n(base + p, char::from_u32(code)?.len_utf8()));
                p += 2 + digits;
            } else if "btnfre\"\\".contains(e) {
                map.push(base + p);
                p += 2;
            } else {
                // A backslash at the end of a line swallows all white space after it.
                p += 1;
                while p < end && raw[p..].starts_with([' ', '\t', '\n', '\r']) {
                    p += 1;
                }
            }
            continue;
        }
        map.extend(std::iter::repeat_n(base + p, c.len_utf8()));
        p += c.len_utf8();
    }
    map.push(base + p);
    Some(map)
}
