//! The measuring sketch of a part on the page: where the tape of each box hooks.

use super::bench::{BALLOON, Bench, balloon, leader};
use super::markup::{escaped, number};
use crate::drawing::{Anchor, Item, LineType, Shape, Sketch, Tape, Text};
use crate::geom::{Bounds, Point};
use std::fmt::Write;

/// Room round the sketch, mm.
const ROOM_MM: f64 = 3.0;
/// Width and height that a sketch is fitted into, mm.
pub const SKETCH_ROOM: (f64, f64) = (92.0, 60.0);

/// The sketch as a picture. `boxes` are names of tapes with the value that is
/// measured there; such a tape can be pointed at.
pub(super) fn sketch_svg(sketch: &Sketch, of: &str, boxes: &[(String, String)]) -> String {
    bench_svg(sketch, of, boxes, None, &[])
}

/// The same with boxes on it: lines lead from the letters to them (`hooks`: tape and box by number),
/// and the script widens the picture to the bench where the screen has room.
pub(super) fn bench_svg(
    sketch: &Sketch,
    of: &str,
    boxes: &[(String, String)],
    bench: Option<&Bench>,
    hooks: &[(usize, usize)],
) -> String {
    let items = sketch.things.iter().chain(sketch.tapes.iter().flat_map(|t| &t.items));
    let Some(b) = items.filter_map(Item::bounds).reduce(|a, b| Bounds::union(&a, &b)) else { return String::new() };
    let top = b.high.y + ROOM_MM;
    let view = |low: f64, high: f64, width: f64, height: f64| {
        format!("{} {} {} {}", number(low), number(top - high), number(width), number(height))
    };
    let wide = bench.map_or_else(String::new, |l| {
        format!(" data-bench=\"{}\"", view(l.view.low.x, l.view.high.y, l.view.width(), l.view.height()))
    });
    let mut out = format!(
        "<svg class=\"tapes\" role=\"img\" aria-label=\"Sketch of {}: where the tape hooks\" viewBox=\"{}\"{wide}>",
        escaped(of),
        view(b.low.x - ROOM_MM, top, b.width() + 2.0 * ROOM_MM, b.height() + 2.0 * ROOM_MM),
    );
    sketch.things.iter().for_each(|i| item(i, top, &mut out));
    for (i, tape) in sketch.tapes.iter().enumerate() {
        let taken = boxes.iter().any(|b| b.0 == tape.name);
        match taken {
            true => {
                let _ = write!(out, "<g class=\"hooks\" data-tape=\"{}\">", escaped(&tape_key(of, &tape.name)));
            }
            false => out.push_str("<g class=\"hooks idle\">"),
        }
        let own = hooks.iter().filter(|h| h.0 == i).filter_map(|h| bench?.boxes.get(h.1));
        own.for_each(|b| lead(tape, b, top, &mut out));
        tape_items(tape, taken, top, &mut out);
        out.push_str("</g>");
    }
    out.push_str("</svg>\n");
    out
}

/// A tape; its letter stands in a round where a box bears the same letter.
fn tape_items(tape: &Tape, taken: bool, top: f64, out: &mut String) {
    if let Some(at) = balloon(&tape.items).filter(|_| taken) {
        let (x, y) = (number(at.x), number(top - at.y));
        let _ = write!(out, "<circle class=\"balloon\" cx=\"{x}\" cy=\"{y}\" r=\"{}\"/>", number(BALLOON));
    }
    tape.items.iter().for_each(|i| item(i, top, out));
}

/// The line from a letter to its box.
fn lead(tape: &Tape, b: &Bounds, top: f64, out: &mut String) {
    let Some((from, to)) = balloon(&tape.items).and_then(|at| leader(at, b)) else { return };
    let at = |p: Point| format!("{} {}", number(p.x), number(top - p.y));
    let _ = write!(out, "<path class=\"leader\" d=\"M{}L{}\"/>", at(from), at(to));
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
