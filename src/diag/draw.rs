//! Diagnostics as text for a terminal.

use super::{Diagnostic, Label, Severity, Shown, line_and_column, lines_before, wrapped};
use annotate_snippets::{AnnotationKind, Element, Group, Level, Origin, Renderer, Snippet};
use std::ops::Range;

/// Most diagnostics that are drawn: nobody reads more, and a large file that
/// is no TOML at all has a hundred thousand.
const MOST_DRAWN: usize = 100;
/// Longest stretch of a file that one excerpt is taken from, bytes. The time
/// of drawing grows with it.
const LONGEST_EXCERPT: usize = 20_000;
/// Longest message or advice that is drawn, characters: names out of the
/// user's file stand in them, and a name can be as long as the file.
const LONGEST_SENTENCE: usize = 2_000;

/// Narrowest terminal that lines are fitted to.
const NARROWEST: usize = 60;

/// Draw diagnostics for a terminal of this width, in columns.
pub fn draw(diagnostics: &[Diagnostic], files: &[Shown], colour: bool, width: usize) -> String {
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    let width = width.max(NARROWEST);
    let renderer = renderer.term_width(width);
    let mut out = String::new();
    for d in diagnostics.iter().take(MOST_DRAWN) {
        let level = match d.severity {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
            Severity::Note => Level::NOTE,
        };
        let title = level.primary_title(sentence(&d.message)).id(d.code);
        let mut group: Group = Group::with_title(title);
        for excerpt in excerpts(d, files) {
            group = group.element(excerpt.element());
        }
        for h in &d.help {
            // "help: " and the margin stand before it.
            group = group.element(Level::HELP.message(wrapped(&sentence(h), width.saturating_sub(12))));
        }
        out += &renderer.render(&[group]);
        out += "\n\n";
    }
    if let Some(more) = diagnostics.len().checked_sub(MOST_DRAWN).filter(|n| *n > 0) {
        out += &format!("{more} more are not shown; mend these first\n\n");
    }
    out
}

/// A sentence cut to a length that can be read.
fn sentence(text: &str) -> String {
    match text.char_indices().nth(LONGEST_SENTENCE) {
        Some((end, _)) => format!("{} ...", &text[..end]),
        None => text.to_string(),
    }
}

/// A stretch of whole lines of a file with the labels that lie in it.
struct Excerpt<'a> {
    shown: &'a Shown,
    lines: Range<usize>,
    labels: Vec<(AnnotationKind, Range<usize>, &'a str)>,
}

/// The labels of a diagnostic, file by file; those of one file that lie near
/// enough to one another share an excerpt.
fn excerpts<'a>(d: &'a Diagnostic, files: &'a [Shown]) -> Vec<Excerpt<'a>> {
    let mut out: Vec<Excerpt> = vec![];
    for (i, l) in d.labels.iter().enumerate() {
        let Some(shown) = files.get(l.file.0) else { continue };
        let kind = if i == 0 { AnnotationKind::Primary } else { AnnotationKind::Context };
        let span = within(&shown.text, l);
        let lines = lines_of(&shown.text, &span);
        let joined = |e: &Excerpt| e.lines.start.min(lines.start)..e.lines.end.max(lines.end);
        let near = |e: &&mut Excerpt| std::ptr::eq(e.shown, shown) && joined(e).len() <= LONGEST_EXCERPT;
        match out.iter_mut().find(near) {
            Some(e) => {
                e.lines = joined(e);
                e.labels.push((kind, span, &l.text));
            }
            None => out.push(Excerpt { shown, lines, labels: vec![(kind, span, &l.text)] }),
        }
    }
    out
}

impl<'a> Excerpt<'a> {
    fn element(self) -> Element<'a> {
        let text = &self.shown.text;
        if self.lines.len() > LONGEST_EXCERPT {
            // One enormous line: its place must do.
            let (line, column) = line_and_column(text, self.labels.first().map_or(0, |l| l.1.start));
            return Origin::path(self.shown.name.as_str()).line(line).char_column(column).into();
        }
        let base = self.lines.start;
        let mut snippet = Snippet::source(&text[self.lines]).path(self.shown.name.as_str());
        snippet = snippet.line_start(lines_before(&text[..base]));
        for (kind, span, says) in self.labels {
            let mark = kind.span(span.start - base..span.end - base);
            snippet = snippet.annotation(if says.is_empty() { mark } else { mark.label(says) });
        }
        snippet.into()
    }
}

/// The span cut to the text and to whole characters: drawing must never panic.
/// Of a span over very many lines only the first line is marked.
fn within(text: &str, label: &Label) -> Range<usize> {
    let snap = |mut b: usize| {
        b = b.min(text.len());
        while !text.is_char_boundary(b) {
            b -= 1;
        }
        b
    };
    let start = snap(label.span.start);
    let end = snap(label.span.end).max(start);
    if end - start > LONGEST_EXCERPT {
        return start..text[start..end].find('\n').map_or(end, |i| start + i);
    }
    start..end
}

/// The whole lines that a span touches. A place after the last line end counts
/// to the line before it.
fn lines_of(text: &str, span: &Range<usize>) -> Range<usize> {
    let first = if span.start == text.len() { text.strip_suffix('\n').unwrap_or(text).len() } else { span.start };
    let start = text[..first].rfind('\n').map_or(0, |i| i + 1);
    let end = text[span.end..].find('\n').map_or(text.len(), |i| span.end + i + 1);
    start..end
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::FileId;

    fn shown(text: &str) -> [Shown; 1] {
        [Shown { name: "job.toml".to_string(), text: text.to_string() }]
    }

    #[test]
    fn an_excerpt_of_a_large_file_says_its_own_line() {
        let files = shown(&format!("{}a = 1\n", "x = 2\n".repeat(100_000)));
        let d = Diagnostic::error("formula", "y", FileId(0), 600_004..600_005).also(FileId(0), 4..5, "first");
        let text = draw(&[d], &files, false, 100);
        assert!(text.contains("job.toml:100001:5") && text.contains("100001 | a = 1"), "{text}");
        assert!(text.contains("job.toml:1:5") && text.contains("first"), "{text}");
    }

    #[test]
    fn a_place_after_the_last_line_is_drawn_on_it() {
        let text = "a = 1\nb =\n";
        let d = Diagnostic::error("formula", "y", FileId(0), text.len()..text.len());
        let drawn = draw(&[d], &shown(text), false, 100);
        assert!(drawn.contains("job.toml:2:") && drawn.contains("b ="), "{drawn}");
    }

    #[test]
    fn what_nobody_would_read_is_left_out() {
        let long = "u".repeat(1_000_000);
        let files = shown(&long);
        let d = Diagnostic::error("formula", format!("no key {long}"), FileId(0), 500_000..500_001).help(&long);
        let text = draw(&[d], &files, false, 100);
        assert!(text.len() < 10_000 && text.contains("job.toml:1:500001"), "{}", text.len());
        let many = vec![Diagnostic::bare("formula", "y"); 150];
        assert!(draw(&many, &files, false, 100).contains("50 more are not shown"));
    }
}
