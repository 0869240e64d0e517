//! The flat pattern of a piece as a drawing with holes to point at.

use super::markup::{escaped, name, number};
use crate::drawing::{View, views};
use crate::export::svg::loop_data;
use crate::flat::{FlatHole, FlatPattern};
use crate::geom::{Bounds, Point};
use crate::piece::{BendTurn, Hand, HoleShape};
use crate::units::{Length, System, show_length, show_size, trimmed};
use std::fmt::Write;

/// A drawing with nothing to point at is shown so much smaller.
const BARE: f64 = 2.6;
/// Between two faces, in sizes of the lettering.
const GAP: f64 = 3.0;
/// Room round the piece, in sizes of the lettering.
const ROOM: f64 = 1.5;
/// Room above a piece for what is said of its bends, in sizes of the lettering.
const BEND_ROOM: f64 = 5.0;
/// Size of the lettering in parts of the drawing's width, where that fills the screen.
const OF_WIDTH: f64 = 0.022;
/// The same of its height, where that does.
const OF_HEIGHT: f64 = 0.034;
/// A drawing longer than this many times its height scrolls on a narrow screen.
const LONG: f64 = 2.5;

/// Millimetres and inches, the job's own first.
pub(super) fn both(mm: f64, system: System) -> String {
    let metric = show_length(Length::mm(mm), System::Metric);
    match system {
        System::Metric => format!("{metric} ({:.3} in)", Length::mm(mm).to_inches()),
        System::Inch => format!("{} ({metric})", show_length(Length::mm(mm), System::Inch)),
    }
}

/// What a hole measures, in words.
pub(super) fn hole_words(h: &FlatHole, system: System) -> String {
    let size = match h.shape {
        HoleShape::Round { diameter } => format!("diameter {}", both(diameter, system)),
        HoleShape::Slot { length, width, lies } => pair("slot", length, width, lies, system),
        HoleShape::Ellipse { major, minor, lies } => pair("ellipse", major, minor, lies, system),
        HoleShape::Rectangle { length, width, lies, .. } => pair("opening", length, width, lies, system),
    };
    let on = match &h.flat {
        Some(flat) => format!(" on {flat}"),
        None if h.face == "outside" => String::new(),
        None => format!(" on {}", h.face),
    };
    format!("{}, {}{on}: X {}, Y {}, {size}", h.letter, h.name, both(h.at.x, system), both(h.at.y, system))
}

fn pair(word: &str, long: f64, wide: f64, lies: f64, system: System) -> String {
    let turned = trimmed(lies.to_degrees(), 1);
    let turned = if turned == "0" { String::new() } else { format!(", lies at {turned} deg") };
    format!("{word} {} x {}{turned}", both(long, system), both(wide, system))
}

/// The figure of a piece; `id` is its own on the page.
pub(super) fn figure(flat: &FlatPattern, id: &str, from: &str, system: System) -> String {
    let hand = match flat.hand {
        Some(Hand::Left) => ", LEFT hand",
        Some(Hand::Right) => ", RIGHT hand",
        None => "",
    };
    let size = match flat.form {
        "section" => format!("{} long", show_length(flat.length, system)),
        _ => format!("flat {} x {}", show_length(flat.length, system), show_length(flat.width, system)),
    };
    let cut = if from.is_empty() { String::new() } else { format!(", cut from {}", name(from)) };
    let mut out = format!(
        "<figure class=\"flat\" id=\"{id}\"><figcaption><h4>{}{hand}</h4><p>make {}; {} {}, {}; {size}{cut}</p>\
         </figcaption>\n",
        name(&flat.piece),
        flat.copies,
        escaped(&flat.stock.shape),
        escaped(&show_size(&flat.stock.size)),
        escaped(&flat.stock.material),
    );
    out += &drawing(flat, system);
    if !flat.holes.is_empty() {
        out.push_str(
            "<p class=\"reading\">Point at a hole, tap it, or go there with the keyboard (arrow keys go on to the \
             next): here stands where it is. Choose two to measure between them. X and Y are 0 at the ring.</p>\n\
             <p class=\"between\" role=\"status\"></p>\n",
        );
    }
    out.push_str("</figure>\n");
    out
}

fn drawing(flat: &FlatPattern, system: System) -> String {
    let bounds = |gap: f64| views(flat, gap).iter().map(|v| v.bounds).reduce(|a, b| a.union(&b));
    let Some(bare) = bounds(0.0) else { return String::new() };
    let plain = flat.holes.is_empty() && flat.bend_lines.is_empty();
    let of_height = if plain { OF_HEIGHT * BARE } else { OF_HEIGHT };
    let size = (bare.width() * OF_WIDTH).max(bare.height() * of_height).max(1e-3);
    let faces = views(flat, GAP * size);
    let Some(all) = bounds(GAP * size) else { return String::new() };
    let bends = if flat.bend_lines.is_empty() { 0.0 } else { BEND_ROOM };
    let titled = if flat.faces.is_empty() { 0.0 } else { 1.5 };
    let (margin, above) = (ROOM * size, (bends + titled) * size);
    let (w, h) = (all.width() + 2.0 * margin, all.height() + 2.0 * margin + above);
    let long = if w > LONG * h { " long" } else { "" };
    let bare = if plain { " bare" } else { "" };
    let mut out = format!(
        "<div class=\"wide{long}\"><svg class=\"plan{bare}\" role=\"group\" aria-label=\"Flat pattern of {}\" \
         viewBox=\"{} {} {} {}\" font-size=\"{}\" data-units=\"{}\">\n",
        escaped(&flat.key()),
        number(all.low.x - margin),
        number(-margin - above),
        number(w),
        number(h),
        number(size),
        if system == System::Inch { "in" } else { "mm" }
    );
    let pen = Pen { flat, top: all.high.y, size, system };
    for view in &faces {
        pen.view(view, &mut out);
    }
    let mut first = true;
    for (i, view) in faces.iter().enumerate() {
        for hole in &view.holes {
            let Some(told) = flat.holes.iter().find(|h| h.letter == hole.letter) else { continue };
            pen.hole(told, hole.at, hole.shape, (i, &view.bounds), first, &mut out);
            first = false;
        }
    }
    out.push_str("</svg></div>\n");
    out
}

struct Pen<'a> {
    flat: &'a FlatPattern,
    /// y of the piece that is drawn at 0; y runs down in SVG.
    top: f64,
    /// Height of the lettering, mm.
    size: f64,
    system: System,
}

impl Pen<'_> {
    fn at(&self, p: Point) -> (String, String) {
        (number(p.x), number(self.top - p.y))
    }

    fn view(&self, view: &View, out: &mut String) {
        let mut data = loop_data(&view.outline, self.top);
        for l in &view.cut_outs {
            data += &loop_data(l, self.top);
        }
        let _ = writeln!(out, "<path class=\"metal\" fill-rule=\"evenodd\" d=\"{data}\"/>");
        for b in &view.bends {
            let (x, low) = (number(b.from.x), number(self.top - b.from.y));
            let high = number(self.top - b.to.y);
            let (l, r) = (number(b.tangent_left), number(b.tangent_right));
            let turn = if b.turn == BendTurn::Up { "up" } else { "down" };
            let y = number(self.top - b.to.y - 0.4 * self.size);
            let words = format!("{turn} {}°", trimmed(b.angle.to_degrees(), 1));
            let tx = number(b.from.x + 0.35 * self.size);
            let _ = writeln!(
                out,
                "<path class=\"bend\" d=\"M{x} {low}V{high}\"/><path class=\"tangent\" d=\"M{l} {low}V{high}M{r} {low}V{high}\"/>\
                 <text x=\"{tx}\" y=\"{y}\" transform=\"rotate(-90 {tx} {y})\">{words}</text>"
            );
        }
        if !self.flat.faces.is_empty() {
            let (x, y) = (number(view.bounds.low.x), number(self.top - view.bounds.high.y - 0.5 * self.size));
            let _ = writeln!(out, "<text x=\"{x}\" y=\"{y}\">{}</text>", escaped(&view.word));
        }
        if !self.flat.holes.is_empty() {
            self.datum(view, out);
        }
    }

    /// Where X and Y are nought.
    fn datum(&self, view: &View, out: &mut String) {
        let (x, y) = self.at(view.datum);
        let r = number(self.size * 0.45);
        let _ = writeln!(out, "<circle class=\"datum\" cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>");
    }

    fn hole(
        &self,
        told: &FlatHole,
        at: Point,
        shape: HoleShape,
        (face, round): (usize, &Bounds),
        first: bool,
        out: &mut String,
    ) {
        let (x, y) = self.at(at);
        let line = match shape {
            HoleShape::Round { diameter } => {
                format!("<circle class=\"edge\" cx=\"{x}\" cy=\"{y}\" r=\"{}\"/>", number(diameter / 2.0))
            }
            HoleShape::Ellipse { major, minor, lies } => format!(
                "<ellipse class=\"edge\" cx=\"{x}\" cy=\"{y}\" rx=\"{}\" ry=\"{}\" transform=\"rotate({} {x} {y})\"/>",
                number(major / 2.0),
                number(minor / 2.0),
                number(-lies.to_degrees())
            ),
            _ => shape
                .outline(at)
                .map_or_else(String::new, |l| format!("<path class=\"edge\" d=\"{}\"/>", loop_data(&l, self.top))),
        };
        // A finger needs more than a small hole gives it.
        let touch = number((shape.reach() * 1.15).max(self.size * 1.1));
        let off = shape.reach() * 0.75 + 0.2 * self.size;
        let right = at.x + off + self.size < round.high.x + self.size;
        let (tx, anchor) = if right { (at.x + off, "") } else { (at.x - off, " text-anchor=\"end\"") };
        let ty = number(self.top - at.y - off);
        let _ = writeln!(
            out,
            "<g class=\"hole\" role=\"button\" tabindex=\"{}\" aria-pressed=\"false\" aria-label=\"{}\" data-letter=\"{}\" \
             data-face=\"{face}\" data-at=\"{x} {y}\"><circle class=\"touch\" cx=\"{x}\" cy=\"{y}\" r=\"{touch}\"/>{line}\
             <text x=\"{}\" y=\"{ty}\"{anchor}>{}</text></g>",
            if first { 0 } else { -1 },
            escaped(&format!("Hole {}", hole_words(told, self.system))),
            escaped(&told.letter),
            number(tx),
            escaped(&told.letter)
        );
    }
}
