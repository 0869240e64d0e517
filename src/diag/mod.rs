//! Diagnostics: what is wrong in the user's files, where, and what to do.
//!
//! Wording: a lowercase phrase that says what was found; the value, its unit
//! and the limit; the help begins with a verb. Colour is never the only sign.

mod codes;
mod draw;

pub use codes::{CODES, Code, find_code};
pub use draw::draw;

use std::ops::Range;

/// Which file of the run a place lies in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FileId(pub usize);

/// How bad it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Nothing is made.
    Error,
    /// Made, but look at it.
    Warning,
    /// Worth knowing.
    Note,
}

/// A place with what there is to say about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// The file.
    pub file: FileId,
    /// Bytes of its text.
    pub span: Range<usize>,
    /// What stands there; may be empty.
    pub text: String,
}

/// One thing to tell the user.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnostic {
    /// How bad it is.
    pub severity: Severity,
    /// Kebab-case code, listed by `explain`.
    pub code: &'static str,
    /// What was found and what is allowed.
    pub message: String,
    /// Places; the first is the main one.
    pub labels: Vec<Label>,
    /// What to do.
    pub help: Vec<String>,
}

impl Diagnostic {
    /// An error at one place.
    pub fn error(code: &'static str, message: impl Into<String>, file: FileId, span: Range<usize>) -> Self {
        debug_assert!(find_code(code).is_some(), "{code} is not in the list of codes");
        Diagnostic {
            severity: Severity::Error,
            code,
            message: message.into(),
            labels: vec![Label { file, span, text: String::new() }],
            help: vec![],
        }
    }
    /// An error that has no place in a file.
    pub fn bare(code: &'static str, message: impl Into<String>) -> Self {
        debug_assert!(find_code(code).is_some(), "{code} is not in the list of codes");
        Diagnostic { severity: Severity::Error, code, message: message.into(), labels: vec![], help: vec![] }
    }
    /// The same, as a note.
    pub fn as_note(mut self) -> Self {
        self.severity = Severity::Note;
        self
    }
    /// With words at its main place.
    pub fn saying(mut self, text: impl Into<String>) -> Self {
        if let Some(l) = self.labels.first_mut() {
            l.text = text.into();
        }
        self
    }
    /// With another place.
    pub fn also(mut self, file: FileId, span: Range<usize>, text: impl Into<String>) -> Self {
        self.labels.push(Label { file, span, text: text.into() });
        self
    }
    /// With advice.
    pub fn help(mut self, text: impl Into<String>) -> Self {
        let text = text.into();
        if !text.is_empty() {
            self.help.push(text);
        }
        self
    }
    /// With advice where there is some.
    pub fn help_if(self, text: Option<String>) -> Self {
        match text {
            Some(t) => self.help(t),
            None => self,
        }
    }
}

/// A file's name and text, as diagnostics show it.
#[derive(Clone, Debug)]
pub struct Shown {
    /// Name as the user gave it.
    pub name: String,
    /// Whole text.
    pub text: String,
}

/// Line and column from 1 of a byte of a text; columns count characters.
pub fn line_and_column(text: &str, byte: usize) -> (usize, usize) {
    let mut at = byte.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let before = &text[..at];
    let start = before.rfind('\n').map_or(0, |i| i + 1);
    (lines_before(before), before[start..].chars().count() + 1)
}

/// Number from 1 of the line that follows this text. Counting bytes is many
/// times faster than searching for each end of a line.
fn lines_before(text: &str) -> usize {
    text.bytes().filter(|b| *b == b'\n').count() + 1
}

/// A sentence in lines of at most so many characters, broken at its blanks.
pub fn wrapped(text: &str, width: usize) -> String {
    let mut out = String::new();
    let mut line = 0;
    for word in text.split(' ') {
        let n = word.chars().count();
        if line > 0 && line + 1 + n > width {
            out.push('\n');
            line = 0;
        } else if !out.is_empty() {
            out.push(' ');
            line += 1;
        }
        out += word;
        line += n;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_diagnostic_shows_file_line_and_help() {
        let files = [Shown { name: "job.toml".into(), text: "a = 1\nlong = \"5 kg\"\n".into() }];
        let d =
            Diagnostic::error("wrong-kind", "this is a mass; a length is needed", FileId(0), 14..18).help("write mm");
        let text = draw(&[d], &files, false, 100);
        assert!(
            text.contains("job.toml:2:9") && text.contains("error[wrong-kind]") && text.contains("help: write mm"),
            "{text}"
        );
    }

    #[test]
    fn every_code_stands_once_with_its_words() {
        for (i, c) in CODES.iter().enumerate() {
            assert!(c.code.chars().all(|x| x.is_ascii_lowercase() || x == '-'), "{}", c.code);
            assert!(!c.means.is_empty() && !c.mend.is_empty(), "{}", c.code);
            assert!(CODES[i + 1..].iter().all(|o| o.code != c.code), "{} stands twice", c.code);
        }
    }

    #[test]
    fn long_advice_is_broken_at_blanks() {
        assert_eq!(wrapped("one two three four", 9), "one two\nthree\nfour");
    }

    #[test]
    fn columns_count_characters_and_spans_never_panic() {
        assert_eq!(line_and_column("é = 1\nü", 7), (2, 1));
        let files = [Shown { name: "x".into(), text: "ü".into() }];
        let d = Diagnostic::error("formula", "y", FileId(0), 1..900);
        assert!(draw(&[d], &files, false, 100).contains("error[formula]"));
    }
}
