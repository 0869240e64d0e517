//! The saw list on paper: each bar above a tape, with chalk marks from one end,
//! and a row to tick off for each cut. Bars fill the width, each at a scale of
//! its own; the tape below tells which.

mod model;

use super::lettering::{self, SMALL_MM, USUAL_MM};
use super::page::{Anchor, Item, Layer, LineType, Page};
use super::paper::Paper;
use super::pen::{AFTER_BOX_MM, LINE_MM, Pen, ROW_MM, hatched, stroke, words_at};
use super::words::{PaperUnits, sixty_fourths, trimmed};
use crate::geom::{Point, rectangle};
use crate::units::Length;

pub use model::{SawAngle, SawBar, SawLine, Stop};

const BAR_MM: f64 = 9.0;
const TAPE_MM: f64 = 6.0;
/// Labels of the marks above the bar, in two levels.
const LABELS_MM: f64 = 8.5;

/// Pages of the saw list: `title`, sentences for the head, the bars, sentences
/// for the foot of the list.
pub fn draw_saw_list(
    title: &str,
    head: &[String],
    bars: &[SawBar],
    foot: &[String],
    units: PaperUnits,
    paper: Paper,
) -> Vec<Page> {
    let mut w = Writer { pen: Pen::new(paper), units };
    w.pen.lines(title, 5.0, 8.0);
    head.iter().for_each(|t| w.pen.lines(t, SMALL_MM, LINE_MM));
    let mut stock = "";
    for (i, bar) in bars.iter().enumerate() {
        w.bar(i + 1, bar, stock != bar.stock);
        stock = &bar.stock;
    }
    w.pen.room(foot.len() as f64 * 2.0 * LINE_MM + 4.0);
    w.pen.y -= 3.0;
    foot.iter().for_each(|t| w.pen.lines(t, SMALL_MM, LINE_MM));
    w.pen.finish(title)
}

struct Writer {
    pen: Pen,
    units: PaperUnits,
}

impl Writer {
    fn number(&self, l: Length) -> String {
        match self.units {
            PaperUnits::Metric => trimmed(l.to_mm(), 1),
            PaperUnits::Inch => sixty_fourths(l.to_mm()),
        }
    }

    fn bar(&mut self, number: usize, bar: &SawBar, fresh_stock: bool) {
        let rows = bar.lines.len() + 1 + usize::from(bar.squared.is_some());
        let lies = bar.lines.iter().filter(|l| !l.says.is_empty()).count();
        let sentences = (bar.says.len() + lies) as f64 * LINE_MM;
        let height = 22.0 + LABELS_MM + BAR_MM + TAPE_MM + rows as f64 * ROW_MM + sentences;
        // A bar of very many pieces goes over the page with its rows only.
        self.pen.room(height.min(self.pen.area.height() - 12.0));
        self.pen.y -= 3.0;
        if fresh_stock {
            self.pen.rule();
            self.pen.lines(&bar.stock, USUAL_MM, 6.0);
        }
        let unit = self.units.word();
        self.pen.lines(&format!("{number}.  {}, {} {unit} long", bar.which, self.number(bar.length)), USUAL_MM, 6.0);
        self.picture(bar);
        self.rows(bar);
        bar.says.iter().for_each(|t| self.pen.lines(t, SMALL_MM, LINE_MM));
    }

    /// The bar above the tape.
    fn picture(&mut self, bar: &SawBar) {
        let top = self.pen.y - LABELS_MM;
        let low = Point::new(self.pen.area.low.x, top - BAR_MM);
        let scale = self.pen.area.width() / bar.length.to_mm().max(1e-3);
        let x = |l: Length| low.x + l.to_mm() * scale;
        self.pen.items.push(Item::outline(
            Layer::Notes,
            LineType::Wide,
            rectangle(low, bar.length.to_mm() * scale, BAR_MM, 0.0),
        ));
        for span in &bar.unusable {
            let wide = x(span.1) - x(span.0);
            self.pen.items.extend(hatched(Point::new(x(span.0), low.y), wide, BAR_MM));
        }
        if let Some((at, _)) = bar.squared {
            // A sound span before a bad one is no waste.
            let sound = bar.unusable.iter().map(|s| s.1).filter(|s| *s <= at).fold(Length::ZERO, Length::max);
            self.pen.items.extend(hatched(Point::new(x(sound), low.y), x(at) - x(sound), BAR_MM));
        }
        let mut taken: [f64; 2] = [f64::NEG_INFINITY; 2];
        for line in &bar.lines {
            self.pen.items.extend(piece_lines(line, low, scale));
            let middle = Point::new((x(line.from) + x(line.to)) / 2.0, low.y + BAR_MM / 2.0 - SMALL_MM / 2.0);
            let room = x(line.to) - x(line.from) - 1.0;
            if lettering::width_mm(&line.chalk, SMALL_MM) < room {
                self.pen.items.push(words_at(middle, SMALL_MM, Anchor::Middle, &line.chalk));
            }
            let mark = Point::new(x(line.to), top);
            self.pen.items.extend(crows_foot(mark));
            let words = self.number(line.to);
            let half = lettering::width_mm(&words, SMALL_MM) / 2.0;
            let centre = mark.x.clamp(self.pen.area.low.x + half, self.pen.area.high.x - half);
            // The row below says it too, where there is no room for the label.
            if let Some(level) = (0..2).find(|&l| taken[l] + 1.0 < centre - half) {
                taken[level] = centre + half;
                let at = Point::new(centre, top + 2.2 + 3.2 * level as f64);
                self.pen.items.push(words_at(at, SMALL_MM, Anchor::Middle, &words));
            }
        }
        self.rest(bar, low, scale);
        self.pen.y = low.y;
        self.tape(bar.length, scale);
    }

    /// What is left at the far end: named if it goes back, crossed out if not.
    fn rest(&mut self, bar: &SawBar, low: Point, scale: f64) {
        let Some(last) = bar.lines.last() else { return };
        let wide = last.left_then.to_mm() * scale;
        let right = low.x + bar.length.to_mm() * scale;
        let left = right - wide;
        match bar.back {
            Some(back) => {
                let long = format!("back into the bin: {}", self.number(back));
                let room = wide - 2.0;
                let words = if lettering::width_mm(&long, SMALL_MM) < room { long } else { self.number(back) };
                if lettering::width_mm(&words, SMALL_MM) < room {
                    let at = Point::new((left + right) / 2.0, low.y + BAR_MM / 2.0 - SMALL_MM / 2.0);
                    self.pen.items.push(words_at(at, SMALL_MM, Anchor::Middle, &words));
                }
            }
            None if wide > 0.5 => self.pen.items.extend(hatched(Point::new(left, low.y), wide, BAR_MM)),
            None => {}
        }
    }

    /// A tape under the bar, hooked over the marked end.
    fn tape(&mut self, length: Length, scale: f64) {
        let (left, top) = (self.pen.area.low.x, self.pen.y - 1.0);
        let low = Point::new(left, top - TAPE_MM);
        let right = left + length.to_mm() * scale;
        let mut put = |from: Point, to: Point| self.pen.items.push(stroke(LineType::Hairline, from, to));
        put(Point::new(left, top), Point::new(right, top));
        put(low, Point::new(right, low.y));
        // The hook.
        put(Point::new(left - 0.8, self.pen.y + 1.5), Point::new(left - 0.8, low.y));
        put(Point::new(left - 0.8, low.y), low);
        let (step, parts) = tape_step(self.units, scale);
        let unit = if self.units == PaperUnits::Metric { Length::mm(1.0) } else { Length::inches(1.0) }.to_mm();
        let ticks = (length.to_mm() / (step * unit / f64::from(parts))).floor() as u32;
        for i in 1..=ticks {
            let long = i % parts == 0;
            let at = left + f64::from(i) / f64::from(parts) * step * unit * scale;
            let deep = if long { 2.6 } else { 1.4 };
            self.pen.items.push(stroke(LineType::Hairline, Point::new(at, top), Point::new(at, top - deep)));
            let words = trimmed(f64::from(i / parts) * step, 0);
            let half = lettering::width_mm(&words, 2.0) / 2.0;
            if long && at + half < right {
                self.pen.items.push(words_at(Point::new(at, low.y + 0.7), 2.0, Anchor::Middle, &words));
            }
        }
        self.pen.y = low.y;
    }

    /// One row for each cut, with a box to tick.
    fn rows(&mut self, bar: &SawBar) {
        let unit = self.units.word();
        let heads: [String; 7] = [
            "chalk".into(),
            format!("mark, {unit}"),
            format!("length, {unit}"),
            format!("stop, {unit}"),
            "saw".into(),
            format!("left then, {unit}"),
            "piece".into(),
        ];
        let mut rows: Vec<[String; 7]> = vec![];
        if let Some((at, saw)) = bar.squared {
            let says = "first cut: square off this end".to_string();
            let says = if saw.is_square() { says } else { "first cut: this end".to_string() };
            rows.push([
                String::new(),
                self.number(at),
                String::new(),
                String::new(),
                saw.words(),
                self.number(bar.length - at),
                says,
            ]);
        }
        for l in &bar.lines {
            let stop = match l.stop {
                Stop::Set(at) => self.number(at),
                Stop::Stays => "stays".into(),
                Stop::ByMark => "by the mark".into(),
            };
            rows.push([
                l.chalk.clone(),
                self.number(l.to),
                self.number(l.length),
                stop,
                l.saw_words(),
                self.number(l.left_then),
                l.piece.clone(),
            ]);
        }
        let columns = columns(&heads, &rows, self.pen.area.width() - AFTER_BOX_MM);
        self.pen.row(&heads, &columns, false);
        let before = rows.len() - bar.lines.len();
        for (i, row) in rows.iter().enumerate() {
            self.pen.row(row, &columns, true);
            let says = i.checked_sub(before).map_or("", |line| &bar.lines[line].says);
            if !says.is_empty() {
                self.pen.room(LINE_MM);
                self.pen.y -= LINE_MM;
                let left = self.pen.area.low.x + AFTER_BOX_MM + columns[0];
                let words = lettering::shortened(says, SMALL_MM, self.pen.area.high.x - left);
                self.pen.items.push(words_at(Point::new(left, self.pen.y + 1.1), SMALL_MM, Anchor::Left, &words));
            }
        }
        self.pen.y -= 1.0;
    }
}

/// As wide as their words; the last takes the rest, and the saw's gives way.
fn columns(heads: &[String; 7], rows: &[[String; 7]], width: f64) -> [f64; 7] {
    let mut out = [0.0; 7];
    for (i, wide) in out.iter_mut().enumerate().take(6) {
        let cells = std::iter::once(&heads[i]).chain(rows.iter().map(|r| &r[i]));
        *wide = cells.map(|c| lettering::width_mm(c, SMALL_MM)).fold(0.0, f64::max) + 3.5;
    }
    let most = width - out.iter().sum::<f64>() + out[4] - 30.0;
    out[4] = out[4].min(most.max(30.0));
    out[6] = (width - out.iter().sum::<f64>()).max(10.0);
    out
}

/// Chalk: two strokes that meet at the mark.
fn crows_foot(at: Point) -> [Item; 2] {
    [-1.0, 1.0].map(|dx| stroke(LineType::Narrow, at, at + Point::new(dx, 1.8)))
}

/// Ends of a piece as they lean; the lean is told apart, not measured.
fn piece_lines(line: &SawLine, low: Point, scale: f64) -> [Item; 2] {
    let (from, to) = (low.x + line.from.to_mm() * scale, low.x + line.to.to_mm() * scale);
    let lean = |deg: f64| (BAR_MM / libm::tan(deg.to_radians()).abs()).min((to - from) * 0.4);
    let end = |at: f64, inwards: f64, deg: f64| {
        let by = if SawAngle::of_end(deg).is_square() { 0.0 } else { lean(deg) * inwards };
        let (below, above) = if deg < 90.0 { (0.0, by) } else { (by, 0.0) };
        stroke(LineType::Narrow, Point::new(at + below, low.y), Point::new(at + above, low.y + BAR_MM))
    };
    [end(from, 1.0, line.ends_deg.0), end(to, -1.0, line.ends_deg.1)]
}

/// The tape's figures: units from one to the next, and ticks between them, where
/// `scale` is millimetres of the drawing to one of the steel.
pub fn tape_step(units: PaperUnits, scale: f64) -> (f64, u32) {
    const LEAST_MM: f64 = 13.0;
    match units {
        PaperUnits::Metric => {
            let steps = [(10.0, 10), (20.0, 4), (50.0, 5), (100.0, 10), (200.0, 4), (500.0, 5), (1000.0, 10)];
            steps.into_iter().find(|s| s.0 * scale >= LEAST_MM).unwrap_or((5000.0, 5))
        }
        PaperUnits::Inch => {
            let inch = Length::inches(1.0).to_mm();
            let steps = [(1.0, 8), (2.0, 4), (6.0, 6), (12.0, 12), (24.0, 4), (48.0, 4), (120.0, 10)];
            steps.into_iter().find(|s| s.0 * inch * scale >= LEAST_MM).unwrap_or((480.0, 4))
        }
    }
}
