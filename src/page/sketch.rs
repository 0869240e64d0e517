//! The measuring sketch of a part on the page: where the tape of each box hooks.

use super::markup::{escaped, number};
use crate::drawing::{Anchor, Item, LineType, Shape, Sketch, Text};
use crate::geom::{Bounds, Point};
use std::fmt::Write;

/// Room round the sketch, mm.
const ROOM_MM: f64 = 3.0;
/// Width and height that a sketch is fitted into, mm.
pub const SKETCH_ROOM: (f64, f64) = (92.0, 60.0);

/// The sketch as a picture. `boxes` are names of tapes with the value that is
/// measured there; such a tape can be pointed at.
pub(super) fn sketch_svg(sketch: &Sketch, of: &str, boxes: &[(String, String)]) -> String {
    let items = sketch.things.iter().chain(sketch.tapes.iter().flat_map(|t| &t.items));
    let Some(b) = items.filter_map(Item::bounds).reduce(|a, b| Bounds::union(&a, &b)) else { return String::new() };
    let top = b.high.y + ROOM_MM;
    let mut out = format!(
        "<svg class=\"tapes\" role=\"img\" aria-label=\"Sketch of {}: where the tape hooks\" viewBox=\"{} 0 {} {}\">",
        escaped(of),
        number(b.low.x - ROOM_MM),
        number(b.width() + 2.0 * ROOM_MM),
        number(b.height() + 2.0 * ROOM_MM),
    );
    sketch.things.iter().for_each(|i| item(i, top, &mut out));
    for tape in &sketch.tapes {
        match boxes.iter().any(|b| b.0 == tape.name) {
            true => {
                let _ = write!(out, "<g class=\"hooks\" data-tape=\"{}\">", escaped(&tape_key(of, &tape.name)));
            }
            false => out.push_str("<g class=\"hooks idle\">"),
        }
        tape.items.iter().for_each(|i| item(i, top, &mut out));
        out.push_str("</g>");
    }
    out.push_str("</svg>\n");
    out
}

/// What a tape and its boxes are known by on the page.
pub(super) fn tape_key(of: &str, reading: &str) -> String {
    format!("{of}/{reading}")
}

fn item(item: &Item, top: f64, out: &mut String) {
    let at = |p: Point| (number(p.x), number(top - p.y));
    match item {
        Item::Stroke { line, shape: Shape::Line { from, to }, .. } => {
            let ((a, b), (c, d)) = (at(*from), at(*to));
            let _ = write!(out, "<path class=\"{}\" d=\"M{a} {b}L{c} {d}\"/>", class(*line));
        }
        Item::Stroke { line, shape: Shape::Ellipse { centre, major, .. }, .. } => {
            let (x, y) = at(*centre);
            let _ =
                write!(out, "<circle class=\"{}\" cx=\"{x}\" cy=\"{y}\" r=\"{}\"/>", class(*line), number(major / 2.0));
        }
        Item::Text { text, .. } => words(text, at(text.at), out),
        // Sketches are made of lines, circles and words.
        _ => {}
    }
}

fn words(text: &Text, (x, y): (String, String), out: &mut String) {
    let anchor = match text.anchor {
        Anchor::Left => "start",
        Anchor::Middle => "middle",
        Anchor::Right => "end",
    };
    // Capitals are 0.73 of the height of the letters that the page is set in.
    let size = number(text.size_mm / 0.73);
    let _ = write!(
        out,
        "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" text-anchor=\"{anchor}\">{}</text>",
        escaped(&text.text)
    );
}

fn class(line: LineType) -> &'static str {
    match line {
        LineType::Wide => "wide-line",
        LineType::Narrow => "there",
        _ => "fine-line",
    }
}
