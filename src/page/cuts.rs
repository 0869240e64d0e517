//! The cut plan drawn to scale: bars above a tape, plates with their cuts.

use super::markup::{escaped, name, number, table};
use crate::drawing::{PaperUnits, SawAngle, SawBar, SawLine, SheetPicture, Stop, tape_step};
use crate::geom::{Bounds, Loop, Point, point_inside};
use crate::units::{Length, System, show_length};
use std::fmt::Write;

/// Length of a bar in its drawing; heights below are in the same unit.
const BAR: f64 = 1_000.0;
/// Upper edge of the bar; above it stand the marks.
const TOP: f64 = 44.0;
/// Lower edge of the bar.
const LOW: f64 = 92.0;
/// Upper edge of the tape.
const TAPE: f64 = 100.0;
/// Lower edge of the tape.
const TAPE_LOW: f64 = 132.0;
/// Width of a figure in the drawing's lettering.
const FIGURE: f64 = 9.0;
/// The drawing on paper would be so wide, mm: tells how fine the tape is divided.
const PAPER_MM: f64 = 180.0;

/// Every bar in the order of the saw.
pub(super) fn bars(bars: &[SawBar], system: System) -> String {
    let mut out = String::new();
    let mut stock = "";
    for (i, bar) in bars.iter().enumerate() {
        if stock != bar.stock {
            let _ = writeln!(out, "<h3>{}</h3>", escaped(&bar.stock));
            stock = &bar.stock;
        }
        let long = show_length(bar.length, system);
        let _ = writeln!(
            out,
            "<figure class=\"bar\"><figcaption>{}. {}, {long} long</figcaption>",
            i + 1,
            name(&bar.which)
        );
        out += &bar_drawing(bar, i, system);
        out += &bar_table(bar, system);
        bar.says.iter().for_each(|s| out += &format!("<p>{}</p>\n", escaped(s)));
        out.push_str("</figure>\n");
    }
    out
}

fn bar_drawing(bar: &SawBar, i: usize, system: System) -> String {
    let scale = BAR / bar.length.to_mm().max(1e-3);
    let x = |l: Length| l.to_mm() * scale;
    let units = if system == System::Inch { PaperUnits::Inch } else { PaperUnits::Metric };
    let mut out = format!(
        "<div class=\"wide long\"><svg class=\"saw\" role=\"img\" aria-label=\"Bar {} above a tape; the table below says \
         the same\" viewBox=\"-12 0 1024 136\">\n<rect class=\"stock\" x=\"0\" y=\"{TOP}\" width=\"{BAR}\" height=\"{}\"/>\n",
        i + 1,
        LOW - TOP
    );
    let waste = |from: f64, to: f64| {
        let wide = number((to - from).max(0.0));
        format!(
            "<rect class=\"waste\" x=\"{}\" y=\"{TOP}\" width=\"{wide}\" height=\"{}\"/>\n",
            number(from),
            LOW - TOP
        )
    };
    bar.unusable.iter().for_each(|s| out += &waste(x(s.0), x(s.1)));
    if let Some((at, _)) = bar.squared {
        let sound = bar.unusable.iter().map(|s| s.1).filter(|s| *s <= at).fold(Length::ZERO, Length::max);
        out += &waste(x(sound), x(at));
    }
    let mut taken = [f64::NEG_INFINITY; 2];
    for line in &bar.lines {
        piece(line, scale, &mut out);
        let words = units.number(libm::round(line.to.to_mm() * 10.0) / 10.0);
        let words = if system == System::Inch { show_length(line.to, system).replace(" in", "") } else { words };
        let half = words.len() as f64 * FIGURE / 2.0;
        let centre = x(line.to).clamp(half, BAR - half);
        let _ = writeln!(out, "<path class=\"chalk\" d=\"M{0} {TOP}l-6 -9m6 9l6 -9\"/>", number(x(line.to)));
        // The table says it too, where there is no room for the figure.
        if let Some(level) = (0..2).find(|l| taken[*l] + 4.0 < centre - half) {
            taken[level] = centre + half;
            let y = TOP - 13.0 - 16.0 * level as f64;
            let _ = writeln!(out, "<text class=\"mid\" x=\"{}\" y=\"{y}\">{words}</text>", number(centre));
        }
    }
    if let Some(last) = bar.lines.last() {
        let from = BAR - x(last.left_then);
        match bar.back {
            Some(back) => {
                let words = format!("back: {}", show_length(back, system));
                let middle = number((from + BAR) / 2.0);
                let fits = words.len() as f64 * FIGURE < BAR - from;
                let words = if fits { words } else { String::new() };
                let _ = writeln!(out, "<text class=\"mid\" x=\"{middle}\" y=\"{}\">{words}</text>", LOW - 18.0);
            }
            None => out += &waste(from, BAR),
        }
    }
    tape(bar.length, scale, units, &mut out);
    out.push_str("</svg></div>\n");
    out
}

/// One piece with the lean of its ends, which is told apart and not to scale.
fn piece(line: &SawLine, scale: f64, out: &mut String) {
    let (from, to) = (line.from.to_mm() * scale, line.to.to_mm() * scale);
    let lean = |deg: f64| match SawAngle::of_end(deg).is_square() {
        true => 0.0,
        false => ((LOW - TOP) / libm::tan(deg.to_radians()).abs()).min((to - from) * 0.4),
    };
    let end = |at: f64, inwards: f64, deg: f64| {
        let by = lean(deg) * inwards;
        if deg < 90.0 { (at, at + by) } else { (at + by, at) }
    };
    let ((a, b), (d, c)) = (end(from, 1.0, line.ends_deg.0), end(to, -1.0, line.ends_deg.1));
    let [a, b, c, d] = [a, b, c, d].map(number);
    let _ = writeln!(out, "<path class=\"piece\" d=\"M{a} {LOW}L{b} {TOP}H{c}L{d} {LOW}Z\"/>");
    if line.chalk.len() as f64 * FIGURE < to - from {
        let middle = number((from + to) / 2.0);
        let _ =
            writeln!(out, "<text class=\"mid no\" x=\"{middle}\" y=\"{}\">{}</text>", LOW - 18.0, escaped(&line.chalk));
    }
}

/// A tape under the bar, hooked over the marked end.
fn tape(length: Length, scale: f64, units: PaperUnits, out: &mut String) {
    let (step, parts) = tape_step(units, scale * PAPER_MM / BAR);
    let unit = if units == PaperUnits::Metric { 1.0 } else { Length::inches(1.0).to_mm() };
    let each = step * unit / f64::from(parts);
    let _ = writeln!(
        out,
        "<rect class=\"tape\" x=\"0\" y=\"{TAPE}\" width=\"{BAR}\" height=\"{}\"/><path class=\"hook\" d=\"M-6 {}V{TAPE_LOW}H0\"/>",
        TAPE_LOW - TAPE,
        TOP + 8.0
    );
    let (mut marks, mut figures) = (String::new(), String::new());
    // As fine as `tape_step` says, some hundred at most.
    for i in 1..=((length.to_mm() / each).clamp(0.0, 2_000.0) as u32) {
        let at = f64::from(i) * each * scale;
        let long = i % parts == 0;
        let _ = write!(marks, "M{} {TAPE}v{}", number(at), if long { 14 } else { 7 });
        let words = number(f64::from(i / parts) * step);
        if long && at + words.len() as f64 * FIGURE / 2.0 < BAR {
            let _ = write!(figures, "<text class=\"mid\" x=\"{}\" y=\"{}\">{words}</text>", number(at), TAPE_LOW - 4.0);
        }
    }
    let _ = writeln!(out, "<path class=\"tick\" d=\"{marks}\"/>{figures}");
}

fn bar_table(bar: &SawBar, system: System) -> String {
    let show = |l: Length| show_length(l, system);
    let heads = ["chalk", "mark", "length", "stop", "saw", "left then", "piece"].map(String::from);
    let mut rows: Vec<Vec<String>> = vec![];
    if let Some((at, saw)) = bar.squared {
        let says = if saw.is_square() { "square off this end" } else { "cut this end" };
        let row = ["first", &show(at), "", "", &saw.words(), &show(bar.length - at), says];
        rows.push(row.map(escaped).to_vec());
    }
    for l in &bar.lines {
        let stop = match l.stop {
            Stop::Set(at) => show(at),
            Stop::Stays => "stays".into(),
            Stop::ByMark => "by the mark".into(),
        };
        let says = if l.says.is_empty() { String::new() } else { format!(" <small>{}</small>", escaped(&l.says)) };
        let mut row = [&l.chalk, &show(l.to), &show(l.length), &stop, &l.saw_words(), &show(l.left_then)]
            .map(|c| escaped(c))
            .to_vec();
        row.push(format!("{}{says}", name(&l.piece)));
        rows.push(row);
    }
    table(&heads, &rows, &[true, true, true, true, false, true])
}

/// Every plate.
pub(super) fn plates(plates: &[SheetPicture]) -> String {
    let mut out = String::new();
    let mut stock = "";
    for (i, plate) in plates.iter().enumerate() {
        if stock != plate.stock {
            let _ = writeln!(out, "<h3>{}</h3>", escaped(&plate.stock));
            stock = &plate.stock;
        }
        let _ = writeln!(out, "<figure class=\"bar\"><figcaption>{}. {}</figcaption>", i + 1, name(&plate.which));
        out += &plate_drawing(plate, i);
        let heads = ["chalk", "along", "up", "length", "width", "piece"].map(String::from);
        let row = |p: &crate::drawing::SheetPiece| {
            let mut row = vec![escaped(&p.chalk)];
            row.extend(p.cells[..4].iter().map(|c| escaped(c)));
            row.push(name(&p.cells[4]));
            row
        };
        let rows: Vec<Vec<String>> = plate.pieces.iter().map(row).collect();
        out += &table(&heads, &rows, &[true, true, true, true, true]);
        if !plate.cuts.is_empty() {
            out.push_str("<ol class=\"steps\">\n");
            plate.cuts.iter().for_each(|c| out += &format!("<li>cut: {}</li>\n", escaped(&c.2)));
            out.push_str("</ol>\n");
        }
        plate.says.iter().for_each(|s| out += &format!("<p>{}</p>\n", escaped(s)));
        out.push_str("</figure>\n");
    }
    out
}

fn plate_drawing(plate: &SheetPicture, i: usize) -> String {
    let Some(b) = Bounds::of(plate.outline.iter().copied()) else { return String::new() };
    let size = b.width().max(b.height()).max(1e-3) * 0.034;
    let d = |points: &[Point]| {
        let each = points.iter().map(|p| format!("{} {}", number(p.x), number(b.high.y - p.y)));
        format!("M{}Z", each.collect::<Vec<_>>().join("L"))
    };
    let mut out = format!(
        "<svg class=\"saw plate\" role=\"img\" aria-label=\"Plate {} with its pieces; the table below says the same\" \
         viewBox=\"{} {} {} {}\" font-size=\"{}\">\n",
        i + 1,
        number(b.low.x - size),
        number(-size),
        number(b.width() + 2.0 * size),
        number(b.height() + 2.0 * size),
        number(size)
    );
    let holes: String = plate.holes.iter().map(|h| d(h)).collect();
    let _ = writeln!(out, "<path class=\"stock\" fill-rule=\"evenodd\" d=\"{}{holes}\"/>", d(&plate.outline));
    for r in plate.rests.iter().filter(|r| r.words.is_none()) {
        let _ = writeln!(out, "<path class=\"waste\" d=\"{}\"/>", d(&r.outline));
    }
    for p in &plate.pieces {
        let holes: String = p.holes.iter().map(|h| d(h)).collect();
        let _ = writeln!(out, "<path class=\"piece\" fill-rule=\"evenodd\" d=\"{}{holes}\"/>", d(&p.outline));
    }
    for (k, (from, to, _)) in plate.cuts.iter().enumerate() {
        let d = |p: Point| format!("{} {}", number(p.x), number(b.high.y - p.y));
        let at = *from + (*to - *from) * 0.15;
        let (x, y) = (number(at.x), number(b.high.y - at.y + 0.3 * size));
        let _ = writeln!(
            out,
            "<path class=\"sawn\" d=\"M{}L{}\"/><text class=\"mid order\" x=\"{x}\" y=\"{y}\">{}</text>",
            d(*from),
            d(*to),
            k + 1
        );
    }
    let mut label = |at: Point, words: &str| {
        let (x, y) = (number(at.x), number(b.high.y - at.y + 0.35 * size));
        let _ = writeln!(out, "<text class=\"mid no\" x=\"{x}\" y=\"{y}\">{}</text>", escaped(words));
    };
    for p in &plate.pieces {
        label(inside(&p.outline, &p.holes), &p.chalk);
    }
    for r in &plate.rests {
        let ((at, wide), Some(words)) = (r.rectangle, &r.words) else { continue };
        if words.len() as f64 * 0.6 * size < wide.x && wide.y > 1.5 * size {
            label(at + wide * 0.5, words);
        }
    }
    out.push_str("</svg>\n");
    out
}

/// A point in the steel of a piece: the middle of its box, or the cell of a
/// coarse grid that lies deepest.
fn inside(outline: &[Point], holes: &[Vec<Point>]) -> Point {
    const CELLS: u32 = 12;
    let Some(b) = Bounds::of(outline.iter().copied()) else { return Point::default() };
    let edge = Loop::straight(outline);
    let holes: Vec<Loop> = holes.iter().map(|h| Loop::straight(h)).collect();
    let steel = |p: &Point| point_inside(&edge, *p) && !holes.iter().any(|h| point_inside(h, *p));
    let middle = (b.low + b.high) * 0.5;
    if steel(&middle) {
        return middle;
    }
    let deep = |p: &Point| holes.iter().map(|h| h.distance(*p)).fold(edge.distance(*p), f64::min);
    let f = |n: u32| (f64::from(n) + 0.5) / f64::from(CELLS);
    let cells = (0..CELLS * CELLS).map(|i| b.low + Point::new(b.width() * f(i % CELLS), b.height() * f(i / CELLS)));
    cells.filter(steel).max_by(|a, c| deep(a).total_cmp(&deep(c))).unwrap_or(middle)
}
