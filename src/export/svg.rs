//! A piece as SVG at true size: millimetres as user units, true arcs, holes before the outline.
//!
//! ```text
//!   datum of the piece (0, 0) is drawn at (0, top): y runs down in SVG, so every
//!   y of the piece becomes top - y
//! ```

use super::kerf::{CutLines, Eaten, Opening, cut_lines};
use crate::drawing::{View, views};
use crate::flat::FlatPattern;
use crate::geom::{Bounds, Loop, Point, Segment};
use crate::piece::BendTurn;
use crate::units::Length;
use std::f64::consts::PI;
use std::fmt::Write;

/// Between two faces of a section, mm.
const FACE_GAP_MM: f64 = 15.0;
/// Free round the piece, mm.
const MARGIN_MM: f64 = 5.0;
/// Line width, mm.
const LINE_MM: f64 = 0.1;
/// Size of the lettering, mm.
const LETTER_MM: f64 = 3.5;

/// Half the length of each line of a mark in place of an opening, mm.
const MARK_MM: f64 = 1.0;

/// The piece as SVG text. Groups `holes`, `cut`, `bends`, `notes`, in this
/// order, so that a cutter which follows the file makes holes first.
///
/// With a kerf, its whole width, the line is the middle of the cut: the outline
/// half a kerf outside the finished edge, every opening half a kerf inside its own.
/// Without one, or with one that is not positive, the line is the finished edge.
/// An opening that the kerf eats is a cross in `notes` that says so.
///
/// # Errors
/// A sentence, when the outline has a bay that the kerf closes; never without a kerf.
pub fn write_svg(pattern: &FlatPattern, kerf: Option<Length>) -> Result<String, String> {
    let kerf_mm = kerf.map_or(0.0, Length::to_mm);
    let kerf_mm = if kerf_mm.is_finite() { kerf_mm.max(0.0) } else { 0.0 };
    let faces = views(pattern, FACE_GAP_MM + kerf_mm);
    let all = faces.iter().map(|v| v.bounds).reduce(|a, b| a.union(&b));
    let all = all.unwrap_or(Bounds { low: Point::default(), high: Point::default() });
    let flip = Flip { top: all.high.y };
    let lines: Vec<CutLines> = faces
        .iter()
        .map(|v| cut_lines(v, kerf_mm / 2.0))
        .collect::<Result<_, _>>()
        .map_err(|why| format!("{} cannot be cut with a kerf of {} mm: {why}", pattern.key(), number(kerf_mm)))?;
    let mut s = head(pattern, &all, kerf_mm);
    let put = |s: &mut String, text: String| {
        s.push_str(&text);
        s.push('\n');
    };
    let stroked = stroke();
    for (id, lines) in [
        ("holes", lines.iter().flat_map(|l| &l.openings).map(|o| opening(o, flip)).collect::<Vec<_>>()),
        ("cut", lines.iter().map(|l| path(&l.outline, flip)).collect()),
        ("bends", faces.iter().flat_map(|v| bends(v, flip)).collect()),
    ] {
        put(&mut s, format!("<g id=\"{id}\" {stroked}>"));
        lines.into_iter().for_each(|l| put(&mut s, l));
        put(&mut s, "</g>".to_string());
    }
    put(&mut s, format!("<g id=\"notes\" fill=\"black\" font-family=\"sans-serif\" font-size=\"{LETTER_MM}\">"));
    faces.iter().flat_map(|v| notes(v, pattern, flip)).for_each(|l| put(&mut s, l));
    lines.iter().flat_map(|l| &l.eaten).for_each(|e| put(&mut s, mark(e, flip)));
    put(&mut s, "</g>\n</svg>".to_string());
    Ok(s)
}

/// The opening lines: sheet, title, and what the lines are.
fn head(pattern: &FlatPattern, all: &Bounds, kerf_mm: f64) -> String {
    let margin = MARGIN_MM + kerf_mm / 2.0;
    let (w, h) = (all.width() + 2.0 * margin, all.height() + 2.0 * margin);
    let says = if kerf_mm > 0.0 {
        format!("kerf compensated by half of {} mm", number(kerf_mm))
    } else {
        "no kerf compensation: the line is the finished edge".to_string()
    };
    let caution =
        "Not an approval: a failure can kill. Follow local law and inspection; ask a licensed engineer in doubt.";
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" viewBox=\"{2} {3} {0} {1}\">\n\
         <title>{4}</title>\n<desc>{says}. {caution}</desc>\n",
        number(w),
        number(h),
        number(all.low.x - margin),
        number(-margin),
        escaped(&pattern.key())
    )
}

fn stroke() -> String {
    format!("fill=\"none\" stroke=\"black\" stroke-width=\"{LINE_MM}\"")
}

/// Turns the drawing upside down for SVG.
#[derive(Clone, Copy)]
struct Flip {
    top: f64,
}

impl Flip {
    fn point(self, p: Point) -> String {
        format!("{} {}", number(p.x), number(self.top - p.y))
    }
}

/// Four decimals at most, no trailing zeros, no minus zero.
fn number(v: f64) -> String {
    let text = format!("{v:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_string() } else { text.to_string() }
}

fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // XML 1.0 has no place for other control characters, however written.
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// A closed outline as path data, upside down about `top_mm`, mm. Arcs are at
/// most a quarter turn, so the large-arc flag is never set; counter-clockwise in
/// the piece is sweep 0 after the flip.
pub fn loop_data(outline: &Loop, top_mm: f64) -> String {
    let flip = Flip { top: top_mm };
    let mut d = format!("M {}", flip.point(outline.start()));
    for s in outline.quartered().segments() {
        match s {
            Segment::Line { to, .. } => {
                let _ = write!(d, " L {}", flip.point(to));
            }
            Segment::Arc { to, radius, sweep, .. } => {
                let r = number(radius);
                let _ = write!(d, " A {r} {r} 0 0 {} {}", u8::from(sweep < 0.0), flip.point(to));
            }
        }
    }
    d + " Z"
}

fn path(outline: &Loop, flip: Flip) -> String {
    format!("<path d=\"{}\"/>", loop_data(outline, flip.top))
}

fn opening(o: &Opening, flip: Flip) -> String {
    match o {
        Opening::Circle { at, radius } => {
            let (x, y) = (number(at.x), number(flip.top - at.y));
            format!("<circle cx=\"{x}\" cy=\"{y}\" r=\"{}\"/>", number(*radius))
        }
        Opening::Ellipse { at, half_axes, lies } => ellipse(*at, *half_axes, *lies, flip),
        Opening::Outline(l) => path(l, flip),
    }
}

/// A cross where an opening should be, with the reason.
fn mark(eaten: &Eaten, flip: Flip) -> String {
    let to = |x: f64, y: f64| flip.point(eaten.at + Point::new(x, y));
    let m = MARK_MM;
    let d = format!("M {} L {} M {} L {}", to(-m, 0.0), to(m, 0.0), to(0.0, -m), to(0.0, m));
    format!("<path d=\"{d}\" {}><desc>{}</desc></path>", stroke(), escaped(&eaten.says))
}

/// A whole ellipse as two half arcs, so that it needs no transform.
fn ellipse(at: Point, (a, b): (f64, f64), lies: f64, flip: Flip) -> String {
    let end = Point::at_angle(lies) * a;
    let arc = format!("A {} {} {} 0 0", number(a), number(b), number(-lies * 180.0 / PI));
    let (from, to) = (flip.point(at + end), flip.point(at - end));
    format!("<path d=\"M {from} {arc} {to} {arc} {from} Z\"/>")
}

fn bends(view: &View, flip: Flip) -> Vec<String> {
    let line = |x: f64, from: Point, to: Point, more: &str| {
        let (a, b) = (Point::new(x, from.y), Point::new(x, to.y));
        format!("<path d=\"M {} L {}\"{more}/>", flip.point(a), flip.point(b))
    };
    view.bends
        .iter()
        .flat_map(|b| {
            let dashed = " stroke-dasharray=\"3 0.75\"";
            [
                line(b.tangent_left, b.from, b.to, dashed),
                line(b.from.x, b.from, b.to, ""),
                line(b.tangent_right, b.from, b.to, dashed),
            ]
        })
        .collect()
}

fn notes(view: &View, pattern: &FlatPattern, flip: Flip) -> Vec<String> {
    let text = |x: f64, y: f64, more: &str, words: &str| {
        format!("<text x=\"{}\" y=\"{}\"{more}>{}</text>", number(x), number(flip.top - y), escaped(words))
    };
    let mut out: Vec<String> = view
        .holes
        .iter()
        .map(|h| {
            let off = h.shape.reach() * 0.8 + 0.5;
            text(h.at.x + off, h.at.y + off, "", &h.letter)
        })
        .collect();
    for b in &view.bends {
        let turn = if b.turn == BendTurn::Up { "up" } else { "down" };
        let words = format!("{turn} {}° r {}", number(b.angle.to_degrees()), number(b.inside_radius.to_mm()));
        // Upright beside the bend line, read from the right.
        let (x, y) = (b.from.x - 1.0, b.from.y + 1.5);
        let turned = format!(" transform=\"rotate(-90 {} {})\"", number(x), number(flip.top - y));
        out.push(text(x, y, &turned, &words));
    }
    if !pattern.faces.is_empty() {
        out.push(text(view.bounds.low.x, view.bounds.high.y + 1.0, "", &view.word));
    }
    out
}

#[cfg(test)]
mod tests;
