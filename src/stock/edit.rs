//! Changing the text of a bin without touching what does not change: comments,
//! order, spacing and line ends stay as the person left them.

use serde::{Deserialize, Serialize};
use std::ops::Range;

/// One change of a text: at this byte, what stood there and what stands there now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Edit {
    /// Byte of the text as it is when this edit's turn comes.
    pub at: usize,
    /// What is taken out.
    #[serde(rename = "took_out")]
    pub removed: String,
    /// What is put in.
    #[serde(rename = "put_in")]
    pub inserted: String,
}

/// A text after edits, each on the text that the one before it left.
///
/// # Errors
/// Nothing is changed where an edit does not find what it takes out.
pub fn apply(text: &str, edits: &[Edit]) -> Result<String, String> {
    let mut out = text.to_string();
    for e in edits {
        let end = e.at + e.removed.len();
        if out.get(e.at..end) != Some(e.removed.as_str()) {
            return Err("the text has changed where it is to be edited".to_string());
        }
        out.replace_range(e.at..end, &e.inserted);
    }
    Ok(out)
}

/// The edits that take edits back.
pub fn inverse(edits: &[Edit]) -> Vec<Edit> {
    let back = |e: &Edit| Edit { at: e.at, removed: e.inserted.clone(), inserted: e.removed.clone() };
    edits.iter().rev().map(back).collect()
}

/// What a line of a file is.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Kind {
    Blank,
    Comment,
    /// `[name]` or `[[name]]`, as written between the brackets, without blanks.
    Heading(String),
    /// A key with its value, or a line that a value goes on in: where the value
    /// stands in the file, at the line that it begins in.
    Key(String, Range<usize>),
    More,
}

#[derive(Clone, Debug)]
struct Line {
    span: Range<usize>,
    kind: Kind,
}

/// One `[[offcut]]` of a text.
#[derive(Clone, Debug)]
pub struct Block {
    /// All of it: comments that stand directly above it, and its tables; ends
    /// behind the last line end that is its own.
    pub span: Range<usize>,
    /// Its keys: name and place of the value.
    keys: Vec<(String, Range<usize>)>,
    /// Its own heading and keys, without the tables in it.
    table: Range<usize>,
}

/// What is needed of a value that may go over several lines.
#[derive(Default)]
struct Inside {
    depth: i32,
    /// Quote that a string of several lines ends with.
    quote: Option<&'static str>,
}

impl Inside {
    /// Go through the rest of a line; returns where what is not comment ends.
    fn pass(&mut self, line: &str, from: usize) -> usize {
        let (mut i, mut end) = (from, from);
        while i < line.len() {
            let rest = &line[i..];
            if let Some(quote) = self.quote {
                let basic = quote.starts_with('"');
                if basic && rest.starts_with('\\') {
                    i += 1 + rest[1..].chars().next().map_or(0, char::len_utf8);
                } else if rest.starts_with(quote) {
                    // Up to two quotes may stand right before the closing three.
                    let more = rest.bytes().take_while(|b| quote.as_bytes()[0] == *b).count();
                    i += if quote.len() == 3 { more.min(5) } else { 1 };
                    self.quote = None;
                } else {
                    i += rest.chars().next().map_or(1, char::len_utf8);
                }
                end = i.min(line.len());
                continue;
            }
            let Some(c) = rest.chars().next() else { break };
            match c {
                '#' => return end,
                '"' | '\'' => {
                    let three = if c == '"' { "\"\"\"" } else { "'''" };
                    let one = if c == '"' { "\"" } else { "'" };
                    let quote = if rest.starts_with(three) { three } else { one };
                    self.quote = Some(quote);
                    i += quote.len();
                    end = i;
                    continue;
                }
                '[' | '{' => self.depth += 1,
                ']' | '}' => self.depth -= 1,
                _ => {}
            }
            i += c.len_utf8();
            if !c.is_whitespace() {
                end = i;
            }
        }
        // A string of one line does not go on.
        if self.quote.is_some_and(|q| q.len() == 1) {
            self.quote = None;
        }
        end
    }

    fn open(&self) -> bool {
        self.depth > 0 || self.quote.is_some()
    }
}

fn lines(text: &str) -> Vec<Line> {
    let mut out: Vec<Line> = vec![];
    let mut inside = Inside::default();
    let mut start = 0;
    let mut open_key: Option<usize> = None;
    for line in text.split_inclusive('\n') {
        let span = start..start + line.len();
        start = span.end;
        if let Some(key) = open_key {
            let end = inside.pass(line, 0);
            if let Kind::Key(_, value) = &mut out[key].kind {
                value.end = span.start + end;
            }
            out.push(Line { span, kind: Kind::More });
            open_key = inside.open().then_some(key);
            continue;
        }
        let bare = line.trim_start_matches('\u{feff}').trim();
        let kind = if bare.is_empty() {
            Kind::Blank
        } else if bare.starts_with('#') {
            Kind::Comment
        } else if bare.starts_with('[') {
            Kind::Heading(heading(bare))
        } else {
            let equals = line.find('=').map_or(line.len(), |e| e + 1);
            inside = Inside::default();
            let end = inside.pass(line, equals);
            let from = equals + line[equals..].len() - line[equals..].trim_start().len();
            let name = line[..equals.saturating_sub(1)].trim().trim_matches(['"', '\'']).to_string();
            open_key = inside.open().then_some(out.len());
            Kind::Key(name, span.start + from..span.start + end.max(from))
        };
        out.push(Line { span, kind });
    }
    out
}

/// The name in a heading, without blanks and quotes.
fn heading(bare: &str) -> String {
    let name = bare.trim_start_matches('[').split(']').next().unwrap_or("");
    name.chars().filter(|c| !c.is_whitespace() && !"\"'".contains(*c)).collect()
}

/// All `[[offcut]]` of a text, in its order.
pub fn blocks(text: &str) -> Vec<Block> {
    let lines = lines(text);
    let is = |l: &Line, name: &dyn Fn(&str) -> bool| matches!(&l.kind, Kind::Heading(n) if name(n));
    let mut out = vec![];
    for (i, _) in lines.iter().enumerate().filter(|(_, l)| is(l, &|n| n == "offcut")) {
        let next = |name: &dyn Fn(&str) -> bool| {
            lines[i + 1..].iter().position(|l| is(l, name)).map_or(lines.len(), |p| i + 1 + p)
        };
        let end = next(&|n| !n.starts_with("offcut."));
        let own = |to: usize| {
            let last = lines[i..to].iter().rposition(|l| !matches!(l.kind, Kind::Blank | Kind::Comment));
            lines[i + last.unwrap_or(0)].span.end
        };
        let mut first = i;
        while first > 0 && lines[first - 1].kind == Kind::Comment {
            first -= 1;
        }
        // What stands at the very top is the heading of the file.
        if first == 0 {
            first = i;
        }
        let table_end = next(&|_| true);
        let keys = lines[i + 1..table_end].iter().filter_map(|l| match &l.kind {
            Kind::Key(name, value) => Some((name.clone(), value.clone())),
            _ => None,
        });
        out.push(Block {
            span: lines[first].span.start..own(end),
            keys: keys.collect(),
            table: lines[i].span.start..own(table_end),
        });
    }
    out
}

/// The end of line that a text uses.
pub fn line_end(text: &str) -> &'static str {
    let crlf = text.matches("\r\n").count();
    if crlf * 2 > text.matches('\n').count() { "\r\n" } else { "\n" }
}

/// Whether a text is empty or ends with an empty line.
fn ends_blank(text: &str) -> bool {
    let text = text.trim_start_matches('\u{feff}');
    text.is_empty() || text.ends_with("\n\n") || text.ends_with("\n\r\n")
}

/// Takes a block out, and the blank lines that would be left double.
pub fn take_out(text: &str, block: &Block) -> Edit {
    let alone = ends_blank(&text[..block.span.start]);
    let mut end = block.span.end;
    if alone {
        for line in text[end..].split_inclusive('\n') {
            if !line.trim().is_empty() {
                break;
            }
            end += line.len();
        }
    }
    Edit { at: block.span.start, removed: text[block.span.start..end].to_string(), inserted: String::new() }
}

/// Puts blocks in behind the last offcut, or at the end. The blocks have plain
/// line ends, and one at their end.
pub fn put_in(text: &str, new: &str) -> Edit {
    let end = line_end(text);
    let at = blocks(text).last().map_or(text.len(), |b| b.span.end);
    let before = &text[..at];
    let mut inserted = String::new();
    if !before.is_empty() && !before.ends_with('\n') {
        inserted += end;
    }
    if !ends_blank(before) {
        inserted += end;
    }
    inserted += &new.replace('\n', end);
    // What follows keeps a line between.
    if !text[at..].is_empty() && !text[at..].starts_with(['\n', '\r']) {
        inserted += end;
    }
    Edit { at, removed: String::new(), inserted }
}

/// Writes a key of a block anew, adds it, or takes its line out.
pub fn set_key(text: &str, block: &Block, key: &str, value: Option<&str>) -> Option<Edit> {
    let found = block.keys.iter().find(|k| k.0 == key).map(|k| k.1.clone());
    match (found, value) {
        (Some(place), Some(value)) => {
            Some(Edit { at: place.start, removed: text[place].to_string(), inserted: value.to_string() })
        }
        (None, Some(value)) => {
            let end = line_end(text);
            let at = block.table.end;
            let lead = if text[..at].ends_with('\n') { "" } else { end };
            let tail = if lead.is_empty() { end } else { "" };
            Some(Edit { at, removed: String::new(), inserted: format!("{lead}{key} = {value}{tail}") })
        }
        (Some(place), None) => {
            let from = text[..place.start].rfind('\n').map_or(0, |p| p + 1);
            let to = text[place.end..].find('\n').map_or(text.len(), |p| place.end + p + 1);
            Some(Edit { at: from, removed: text[from..to].to_string(), inserted: String::new() })
        }
        (None, None) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "\u{feff}# heading\r\n[saw]\r\nkerf = \"3 mm\" # measured\r\n\r\n# the bent one\r\n[[offcut]]\r\nid = \"F-1\"\r\nunusable = [\r\n  \"1 mm\", # [[offcut]]\r\n  \"2 mm\",\r\n]   # kink\r\nnote = '''a\r\n[[offcut]]\r\n'''\r\n\r\n[[ offcut ]]\r\nid = \"P-1\"\r\n[[offcut.hole]]\r\nsize = \"9 mm\"\r\n# after\r\n\r\n[[buy]]\r\nprice = 1\r\n";

    #[test]
    fn blocks_are_found_whatever_stands_in_them() {
        let found = blocks(TEXT);
        assert_eq!(found.len(), 2);
        assert!(TEXT[found[0].span.clone()].starts_with("# the bent one"));
        assert!(TEXT[found[0].span.clone()].ends_with("'''\r\n"));
        assert!(TEXT[found[1].span.clone()].ends_with("size = \"9 mm\"\r\n"));
        let place = found[0].keys.iter().find(|k| k.0 == "unusable").unwrap().1.clone();
        assert!(TEXT[place.clone()].starts_with('[') && TEXT[place].ends_with(']'));
    }

    #[test]
    fn what_is_put_in_and_taken_out_leaves_the_rest() {
        let new = "[[offcut]]\nid = \"F-2\"\n";
        let edit = put_in(TEXT, new);
        let more = apply(TEXT, std::slice::from_ref(&edit)).unwrap();
        assert!(more.contains("size = \"9 mm\"\r\n\r\n[[offcut]]\r\nid = \"F-2\"\r\n\r\n# after"), "{more}");
        assert_eq!(apply(&more, &inverse(&[edit])).unwrap(), TEXT);
        let first = take_out(TEXT, &blocks(TEXT)[0]);
        let less = apply(TEXT, &[first]).unwrap();
        assert!(less.contains("# measured\r\n\r\n[[ offcut ]]"), "{less}");
    }

    #[test]
    fn a_key_is_written_anew_with_its_comment_kept() {
        let all = blocks(TEXT);
        let edit = set_key(TEXT, &all[0], "unusable", Some("[\"5 mm\", \"6 mm\"]")).unwrap();
        let new = apply(TEXT, &[edit]).unwrap();
        assert!(new.contains("unusable = [\"5 mm\", \"6 mm\"]   # kink\r\n"), "{new}");
        let edit = set_key(TEXT, &all[1], "where", Some("\"rack A\"")).unwrap();
        let new = apply(TEXT, &[edit]).unwrap();
        assert!(new.contains("id = \"P-1\"\r\nwhere = \"rack A\"\r\n[[offcut.hole]]"), "{new}");
    }
}
