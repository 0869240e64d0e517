//! The blocks of a document as HTML.

use super::markup::{escaped, number, table};
use crate::drawing::{Block, Rows};
use crate::export::picture::{Shot, write_picture_svg};
use std::fmt::Write;

/// The blocks, headings at `level` (2 to 6).
pub(super) fn html(blocks: &[Block], level: u8) -> String {
    let mut out = String::new();
    let mut listing = false;
    for block in blocks {
        let step = matches!(block, Block::Step(..));
        if listing != step {
            out.push_str(if step { "<ol class=\"steps\">\n" } else { "</ol>\n" });
            listing = step;
        }
        one(block, level, &mut out);
    }
    if listing {
        out.push_str("</ol>\n");
    }
    out
}

fn one(block: &Block, level: u8, out: &mut String) {
    let _ = match block {
        Block::Heading(words) => writeln!(out, "<h{level}>{}</h{level}>", escaped(words)),
        Block::Say(words) => writeln!(out, "<p>{}</p>", escaped(words)),
        Block::Caution(words) => writeln!(out, "<p class=\"caution\">{}</p>", escaped(words)),
        Block::Table(rows) => write!(out, "{}", rows_html(rows)),
        Block::Step(what, why) if why.is_empty() => writeln!(out, "<li>{}</li>", escaped(what)),
        Block::Step(what, why) => {
            writeln!(out, "<li>{}<span class=\"why\">{}</span></li>", escaped(what), escaped(why))
        }
        Block::Fill(words) => writeln!(out, "<p class=\"fill\">{}</p>", escaped(words)),
        Block::Scale(words, share, below) => write!(out, "{}", scale(words, *share, below)),
        Block::Picture(picture, _) => {
            let shot = Shot { name: String::new(), picture: picture.clone(), shaded: None };
            writeln!(out, "<figure>{}</figure>", write_picture_svg("", &[shot]))
        }
    };
}

fn rows_html(rows: &Rows) -> String {
    if rows.rows.is_empty() {
        return String::new();
    }
    let heads: Vec<String> = rows.heads.iter().map(|h| escaped(h.trim_start_matches('>'))).collect();
    let right: Vec<bool> = rows.heads.iter().map(|h| h.starts_with('>')).collect();
    let cells: Vec<Vec<String>> = rows.rows.iter().map(|r| r.iter().map(|c| escaped(c)).collect()).collect();
    table(&heads, &cells, &right)
}

/// Where the limit is used up, in units of the drawing that is 100 wide.
const FULL: f64 = 60.0;

/// Hatched as far as the limit is used; the limit is the upright stroke.
fn scale(words: &str, share: f64, below: &str) -> String {
    let used = if share.is_finite() { share.clamp(0.0, 100.0 / FULL) } else { 100.0 / FULL } * FULL;
    let used = number(used);
    format!(
        "<div class=\"scale\"><p>{}</p>\n<svg viewBox=\"0 0 100 5\" aria-hidden=\"true\">\
         <rect class=\"room\" x=\"0\" y=\"1\" width=\"{FULL}\" height=\"3\"/>\
         <rect class=\"used\" x=\"0\" y=\"1\" width=\"{used}\" height=\"3\"/>\
         <path class=\"limit\" d=\"M{FULL} 0V5\"/></svg>\n<p class=\"why\">{}</p></div>\n",
        escaped(words),
        escaped(below)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_stand_in_one_list_and_a_limit_that_is_passed_shows() {
        let step = |w: &str| Block::Step(w.into(), String::new());
        let all = html(&[step("a"), step("<b>"), Block::Say("c".into()), step("d")], 3);
        assert_eq!(all.matches("<ol").count(), 2);
        assert_eq!(all.matches("</ol>").count(), 2);
        assert!(all.contains("<li>&lt;b&gt;</li>"));
        assert!(scale("x", 1.5, "").contains("class=\"used\" x=\"0\" y=\"1\" width=\"90\""));
        assert!(scale("x", f64::INFINITY, "").contains("width=\"100\""));
    }
}
