//! Words, tables, steps and pictures down the pages of a packet: one list of
//! blocks that is printed here and written as plain text elsewhere.

use super::lettering::{self, SMALL_MM, USUAL_MM};
use super::page::{Anchor, Item, Layer, LineType, Page};
use super::paper::Paper;
use super::pen::{AFTER_BOX_MM, LINE_MM, Pen as Hand, hatched, stroke, words_at};
use super::picture::{Pen, Picture};
use crate::geom::{Point, rectangle};

/// One thing on a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// Begins a section.
    Heading(String),
    /// A sentence.
    Say(String),
    /// A sentence with a bar beside it.
    Caution(String),
    /// Rows under their headings.
    Table(Rows),
    /// Something to do, with a box to tick: what, and why or how.
    Step(String, String),
    /// A line to write on, after these words.
    Fill(String),
    /// A number against its limit: words, share of the limit, words below.
    Scale(String, f64, String),
    /// A picture, so many millimetres high at most.
    Picture(Picture, f64),
}

/// Rows under their headings.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rows {
    /// Headings; one that begins with `>` stands to the right in plain text.
    pub heads: Vec<&'static str>,
    /// The rows.
    pub rows: Vec<Vec<String>>,
    /// A box to tick before each row.
    pub tick: bool,
}

/// Between two columns, mm.
const GAP_MM: f64 = 3.0;
/// A column gives way down to this, mm.
const LEAST_MM: f64 = 16.0;
/// Height of the bar of a number against its limit, mm.
const SCALE_MM: f64 = 3.0;
/// Its length where the limit is used up, mm.
const SCALE_FULL_MM: f64 = 60.0;
/// Lead of a heading, and what must follow it on the same page, mm.
const HEADING_MM: f64 = 9.0;
const KEPT_WITH_HEADING_MM: f64 = 18.0;

/// The pages of a document.
pub fn draw_document(title: &str, blocks: &[Block], paper: Paper) -> Vec<Page> {
    let mut w = Writer { hand: Hand::new(paper), steps: 0 };
    w.hand.lines(title, 5.0, 8.0);
    for block in blocks {
        w.block(block);
    }
    w.hand.finish(title)
}

struct Writer {
    hand: Hand,
    /// Steps so far under the last heading.
    steps: usize,
}

impl Writer {
    fn block(&mut self, block: &Block) {
        match block {
            Block::Heading(words) => self.heading(words),
            Block::Say(words) => self.sentence(words, 0.0),
            Block::Caution(words) => self.caution(words),
            Block::Table(rows) => self.table(rows),
            Block::Step(what, why) => self.step(what, why),
            Block::Fill(words) => self.fill(words),
            Block::Scale(words, share, below) => self.scale(words, *share, below),
            Block::Picture(picture, high) => self.picture(picture, *high),
        }
    }

    fn heading(&mut self, words: &str) {
        self.steps = 0;
        self.hand.room(HEADING_MM + KEPT_WITH_HEADING_MM);
        self.hand.y -= 3.0;
        self.hand.rule();
        self.hand.lines(words, USUAL_MM, HEADING_MM - 3.0);
    }

    /// A sentence from `inset` on, line by line over the pages.
    fn sentence(&mut self, words: &str, inset: f64) {
        for line in lettering::wrapped(words, SMALL_MM, self.hand.area.width() - inset) {
            self.hand.room(LINE_MM);
            self.hand.y -= LINE_MM;
            self.put(inset, self.hand.y + 1.0, &line);
        }
    }

    fn put(&mut self, x: f64, y: f64, words: &str) {
        self.hand.items.push(words_at(Point::new(self.hand.area.low.x + x, y), SMALL_MM, Anchor::Left, words));
    }

    fn caution(&mut self, words: &str) {
        const BAR_MM: f64 = 1.5;
        let inset = BAR_MM + 2.5;
        for line in lettering::wrapped(words, SMALL_MM, self.hand.area.width() - inset) {
            self.hand.room(LINE_MM);
            self.hand.y -= LINE_MM;
            let low = Point::new(self.hand.area.low.x, self.hand.y);
            self.hand.items.push(Item::Fill { layer: Layer::Notes, outline: rectangle(low, BAR_MM, LINE_MM, 0.0) });
            self.put(inset, self.hand.y + 1.0, &line);
        }
        self.hand.y -= 1.0;
    }

    fn table(&mut self, table: &Rows) {
        if table.rows.is_empty() {
            return;
        }
        let heads: Vec<String> = table.heads.iter().map(|h| h.trim_start_matches('>').to_string()).collect();
        let left = if table.tick { AFTER_BOX_MM } else { 0.0 };
        let widths = widths(&heads, &table.rows, self.hand.area.width() - left);
        self.cells(&heads, &widths, left, false);
        self.hand.rule();
        self.hand.y -= 0.8;
        for row in &table.rows {
            self.cells(row, &widths, left, table.tick);
        }
        self.hand.y -= 2.0;
    }

    /// One row whose cells are as high as they need; it is not torn apart.
    fn cells(&mut self, row: &[String], widths: &[f64], left: f64, tick: bool) {
        let lines: Vec<Vec<String>> =
            row.iter().zip(widths).map(|(c, w)| lettering::wrapped(c, SMALL_MM, (w - GAP_MM).max(1.0))).collect();
        let high = lines.iter().map(Vec::len).max().unwrap_or(1).max(1) as f64 * LINE_MM + 1.0;
        self.hand.room(high);
        if tick {
            self.tick_box();
        }
        let mut x = left;
        for (cell, wide) in lines.iter().zip(widths) {
            for (i, line) in cell.iter().enumerate() {
                self.put(x, self.hand.y - (i + 1) as f64 * LINE_MM + 0.6, line);
            }
            x += wide;
        }
        self.hand.y -= high;
    }

    fn tick_box(&mut self) {
        const BOX_MM: f64 = 3.0;
        let low = Point::new(self.hand.area.low.x, self.hand.y - LINE_MM + 0.3);
        self.hand.items.push(Item::outline(Layer::Notes, LineType::Narrow, rectangle(low, BOX_MM, BOX_MM, 0.0)));
    }

    fn step(&mut self, what: &str, why: &str) {
        self.steps += 1;
        self.hand.room(LINE_MM * 3.0);
        self.hand.y -= 1.0;
        self.tick_box();
        self.put(AFTER_BOX_MM, self.hand.y - LINE_MM + 1.0, &format!("{}.", self.steps));
        let inset = AFTER_BOX_MM + 7.0;
        self.sentence(what, inset);
        if !why.is_empty() {
            self.sentence(why, inset + 5.0);
        }
    }

    fn fill(&mut self, words: &str) {
        const HIGH_MM: f64 = 9.0;
        self.hand.room(HIGH_MM);
        self.hand.y -= HIGH_MM;
        self.put(0.0, self.hand.y + 1.0, words);
        let from = lettering::width_mm(words, SMALL_MM) + 3.0;
        let (a, b) = (self.hand.area.low.x + from, self.hand.area.high.x);
        self.hand.items.push(stroke(LineType::Hairline, Point::new(a, self.hand.y), Point::new(b, self.hand.y)));
    }

    /// Hatched as far as the limit is used; the limit is the upright stroke.
    fn scale(&mut self, words: &str, share: f64, below: &str) {
        let lines = lettering::wrapped(words, SMALL_MM, self.hand.area.width()).len();
        self.hand.room(lines as f64 * LINE_MM + SCALE_MM + 2.0 * LINE_MM);
        self.sentence(words, 0.0);
        let low = Point::new(self.hand.area.low.x, self.hand.y - SCALE_MM - 0.8);
        let most = self.hand.area.width() / SCALE_FULL_MM;
        let used = if share.is_finite() { share.clamp(0.0, most) } else { most } * SCALE_FULL_MM;
        self.hand.items.push(Item::outline(
            Layer::Notes,
            LineType::Hairline,
            rectangle(low, SCALE_FULL_MM, SCALE_MM, 0.0),
        ));
        self.hand.items.extend(hatched(low, used, SCALE_MM));
        let limit = low + Point::new(SCALE_FULL_MM, -0.8);
        self.hand.items.push(stroke(LineType::Wide, limit, limit + Point::new(0.0, SCALE_MM + 1.6)));
        self.hand.y = low.y - 0.8;
        self.sentence(below, 0.0);
        self.hand.y -= 2.0;
    }

    fn picture(&mut self, picture: &Picture, high: f64) {
        let Some(own) = picture.bounds().filter(|b| b.width() > 1e-6 && b.height() > 1e-6) else { return };
        let wide = self.hand.area.width();
        let scale = (wide / own.width()).min(high / own.height());
        let high = own.height() * scale;
        self.hand.room(high + 2.0);
        let low = Point::new(self.hand.area.low.x + (wide - own.width() * scale) / 2.0, self.hand.y - high - 1.0);
        let at = |p: Point| low + (p - own.low) * scale;
        for s in &picture.strokes {
            let line = if s.pen == Pen::Edge { LineType::Narrow } else { LineType::Hairline };
            let parts = s.points.windows(2).map(|w| Item::line(Layer::Notes, line, at(w[0]), at(w[1])));
            self.hand.items.extend(parts);
        }
        self.hand.y = low.y - 1.0;
    }
}

/// As wide as their words. Where that is too much, columns that need no more
/// than their even share keep their width, and the others share the rest by
/// the root of how much stands in them, so that rows come out low.
fn widths(heads: &[String], rows: &[Vec<String>], room: f64) -> Vec<f64> {
    let cells = |c: usize| rows.iter().filter_map(move |r| r.get(c)).chain([&heads[c]]);
    let wide = |t: &String| lettering::width_mm(t, SMALL_MM);
    let natural: Vec<f64> = (0..heads.len()).map(|c| cells(c).map(wide).fold(0.0, f64::max) + GAP_MM + 0.5).collect();
    if natural.iter().sum::<f64>() <= room || heads.is_empty() {
        return natural;
    }
    let even = room / heads.len() as f64;
    let small = |c: usize| natural[c] <= even;
    let rest = room - (0..heads.len()).filter(|c| small(*c)).map(|c| natural[c]).sum::<f64>();
    let weight = |c: usize| libm::sqrt(cells(c).map(wide).sum());
    let all: f64 = (0..heads.len()).filter(|c| !small(*c)).map(weight).sum();
    let shared = |c: usize| (rest * weight(c) / all).max(LEAST_MM);
    (0..heads.len()).map(|c| if small(c) { natural[c] } else { shared(c) }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(pages: &[Page]) -> Vec<String> {
        let all = pages.iter().flat_map(|p| &p.items);
        all.filter_map(|i| if let Item::Text { text, .. } = i { Some(text.text.clone()) } else { None }).collect()
    }

    fn long_document() -> Vec<Block> {
        let words = "weld in short runs on opposite sides so that the heat of one pulls against the other".to_string();
        let row = |i: usize| vec![i.to_string(), words.clone(), "12 mm".to_string()];
        let table = Rows { heads: vec![">no", "what", ">size"], rows: (0..60).map(row).collect(), tick: true };
        let mut blocks = vec![Block::Heading("Order of work".into()), Block::Caution(words.clone())];
        blocks.extend((0..40).map(|_| Block::Step(words.clone(), words.clone())));
        blocks.push(Block::Table(table));
        blocks.push(Block::Scale("strap holds 20 kN, needs 12 kN".into(), 0.6, "EN 1993-1-1".into()));
        blocks.push(Block::Scale("worse than endless".into(), f64::INFINITY, String::new()));
        blocks.push(Block::Fill("Certifier".into()));
        blocks
    }

    #[test]
    fn nothing_leaves_the_page_and_no_word_is_lost() {
        for paper in [Paper::A4, Paper::Letter] {
            let pages = draw_document("Packet", &long_document(), paper);
            assert!(pages.len() > 2);
            let area = Hand::new(paper).area;
            for b in pages.iter().flat_map(|p| &p.items).filter_map(Item::bounds) {
                assert!(b.low.x > area.low.x - 0.6 && b.high.x < area.high.x + 0.6, "{b:?} {area:?}");
                assert!(b.low.y > area.low.y - 1.1 && b.high.y < area.high.y + 0.6, "{b:?} {area:?}");
            }
            let words = texts(&pages).join(" ");
            assert_eq!(words.matches("opposite").count(), 1 + 80 + 60);
            // Steps are numbered through.
            assert!(words.contains("40."));
        }
    }

    #[test]
    fn no_two_lines_of_words_lie_on_one_another() {
        for page in draw_document("Packet", &long_document(), Paper::A4) {
            let boxes: Vec<_> =
                page.items.iter().filter(|i| matches!(i, Item::Text { .. })).filter_map(Item::bounds).collect();
            for (i, a) in boxes.iter().enumerate() {
                for b in &boxes[..i] {
                    assert!(!crate::drawing::page::overlap(a, b), "{a:?} {b:?}");
                }
            }
        }
    }

    #[test]
    fn a_scale_is_hatched_as_far_as_the_limit_is_used() {
        let length = |share: f64| {
            let pages = draw_document("t", &[Block::Scale("x".into(), share, String::new())], Paper::A4);
            let area = Hand::new(Paper::A4).area;
            let all = pages[0].items.iter().filter(|i| !matches!(i, Item::Text { .. })).filter_map(Item::bounds);
            all.map(|b| b.high.x).fold(0.0, f64::max) - area.low.x
        };
        assert!((length(0.5) - SCALE_FULL_MM).abs() < 1.0);
        assert!((length(2.0) - 2.0 * SCALE_FULL_MM).abs() < 1.0);
    }
}
