//! The blocks of a document as plain text.

use super::tables::Table;
use crate::drawing::Block;

/// Widest line of plain text, characters.
const WIDE: usize = 110;

/// The document as text. Pictures are left out.
pub fn document_text(title: &str, blocks: &[Block]) -> String {
    let mut out = format!("{title}\n");
    let mut steps = 0;
    for block in blocks {
        match block {
            Block::Heading(words) => {
                steps = 0;
                out += &format!("\n{words}\n");
            }
            Block::Say(words) => out += &indented(words, "  ", "  "),
            Block::Caution(words) => out += &indented(words, "  ! ", "    "),
            Block::Table(rows) if rows.rows.is_empty() => {}
            Block::Table(rows) => {
                let mut t = Table::new(&rows.heads);
                rows.rows.iter().for_each(|r| t.row(r.clone()));
                out += &t.text();
            }
            Block::Step(what, why) => {
                steps += 1;
                out += &indented(what, &format!("{steps:>4}. "), "      ");
                if !why.is_empty() {
                    out += &indented(why, "        ", "        ");
                }
            }
            Block::Fill(words) => out += &format!("\n  {words}: ______________________________\n"),
            Block::Scale(words, _, below) => {
                out += &indented(words, "  ", "    ");
                out += &indented(below, "      ", "      ");
            }
            Block::Picture(..) => {}
        }
    }
    out
}

/// Words broken into lines.
fn indented(words: &str, first: &str, then: &str) -> String {
    let (mut out, mut line) = (String::new(), first.to_string());
    let mut empty = true;
    for word in words.split_whitespace() {
        if !empty && line.chars().count() + 1 + word.chars().count() > WIDE {
            out += &format!("{}\n", line.trim_end());
            line = then.to_string();
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line += word;
        empty = false;
    }
    if empty { out } else { out + &format!("{line}\n") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_numbered_and_long_words_stay_whole() {
        let long = "x".repeat(200);
        let blocks = [
            Block::Heading("Order".into()),
            Block::Step("saw".into(), "because".into()),
            Block::Step(format!("a {long} b"), String::new()),
            Block::Heading("Again".into()),
            Block::Step("drill".into(), String::new()),
        ];
        let text = document_text("Job", &blocks);
        assert!(text.contains("\n   1. saw\n        because\n"), "{text}");
        assert!(text.contains("   2. a\n") && text.contains(&long));
        assert!(text.contains("Again\n   1. drill"));
    }
}
