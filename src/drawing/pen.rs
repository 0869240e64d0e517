//! Words, rows and small pictures down a page, and on to the next one.

use super::lettering::{self, SMALL_MM};
use super::page::{Anchor, Item, Layer, LineType, Page, Text};
use super::paper::{Paper, PaperSetup};
use crate::geom::{Bounds, Loop, Point, rectangle};

/// Step of a line of small words, mm.
pub const LINE_MM: f64 = 3.9;
/// Height of a row that is ticked off, mm.
pub const ROW_MM: f64 = 5.2;
/// Side of the box to tick, mm.
const BOX_MM: f64 = 3.2;
/// Where the words of a row begin, right of the box, mm.
pub const AFTER_BOX_MM: f64 = BOX_MM + 2.0;

/// A page in the making, from the top down.
#[derive(Debug)]
pub struct Pen {
    setup: PaperSetup,
    /// The sheet without its margin.
    pub area: Bounds,
    /// Top of what is still free, mm.
    pub y: f64,
    /// What is on the page so far.
    pub items: Vec<Item>,
    done: Vec<Vec<Item>>,
}

/// A line of words.
pub fn words_at(at: Point, size_mm: f64, anchor: Anchor, words: &str) -> Item {
    Item::Text { layer: Layer::Notes, text: Text { at, size_mm, angle_deg: 0.0, anchor, text: words.to_string() } }
}

/// A straight line among the notes.
pub fn stroke(line: LineType, from: Point, to: Point) -> Item {
    Item::line(Layer::Notes, line, from, to)
}

impl Pen {
    /// On the first page.
    pub fn new(paper: Paper) -> Pen {
        let setup = PaperSetup::new(paper, false);
        let area = setup.printable();
        Pen { setup, area, y: area.high.y, items: vec![], done: vec![] }
    }

    /// On to the next page, unless so much is still free, mm.
    pub fn room(&mut self, needed: f64) {
        if self.y - needed < self.area.low.y + 6.0 && !self.items.is_empty() {
            self.done.push(std::mem::take(&mut self.items));
            self.y = self.area.high.y;
        }
    }

    /// A sentence over the whole width.
    pub fn lines(&mut self, words: &str, size: f64, step: f64) {
        for line in lettering::wrapped(words, size, self.area.width()) {
            self.y -= step;
            self.items.push(words_at(Point::new(self.area.low.x, self.y + step * 0.25), size, Anchor::Left, &line));
        }
    }

    /// A row of cells from column to column, with a box to tick before it; it
    /// goes on to the next page by itself.
    pub fn row<S: AsRef<str>>(&mut self, cells: &[S], columns: &[f64], tick: bool) {
        self.room(ROW_MM);
        self.y -= ROW_MM;
        let mut x = self.area.low.x;
        if tick {
            let low = Point::new(x, self.y + 0.6);
            self.items.push(Item::outline(Layer::Notes, LineType::Narrow, rectangle(low, BOX_MM, BOX_MM, 0.0)));
        }
        x += AFTER_BOX_MM;
        for (cell, wide) in cells.iter().zip(columns) {
            let words = lettering::shortened(cell.as_ref(), SMALL_MM, wide - 2.0);
            self.items.push(words_at(Point::new(x, self.y + 1.1), SMALL_MM, Anchor::Left, &words));
            x += wide;
        }
    }

    /// A line from margin to margin.
    pub fn rule(&mut self) {
        let from = Point::new(self.area.low.x, self.y);
        self.items.push(stroke(LineType::Narrow, from, Point::new(self.area.high.x, self.y)));
    }

    /// All pages, numbered at their foot.
    pub fn finish(mut self, title: &str) -> Vec<Page> {
        self.done.push(std::mem::take(&mut self.items));
        let total = self.done.len();
        let at = Point::new(self.area.high.x, self.area.low.y);
        let setup = self.setup;
        let numbered = self.done.into_iter().enumerate().map(|(i, mut items)| {
            items.push(words_at(at, SMALL_MM, Anchor::Right, &format!("{title}, page {} of {total}", i + 1)));
            setup.page(items)
        });
        numbered.collect()
    }
}

/// What does not become a piece: crossed out with lines inside an upright box.
pub fn hatched(low: Point, wide: f64, high: f64) -> Vec<Item> {
    const STEP_MM: f64 = 2.5;
    if wide <= 0.0 || high <= 0.0 {
        return vec![];
    }
    let corners = [low, low + Point::new(wide, 0.0), low + Point::new(wide, high), low + Point::new(0.0, high)];
    let mut out = vec![Item::outline(Layer::Notes, LineType::Hairline, Loop::straight(&corners))];
    let count = ((wide + high) / STEP_MM) as u32;
    for i in 1..=count {
        let d = f64::from(i) * STEP_MM;
        let from = if d <= wide { Point::new(d, 0.0) } else { Point::new(wide, d - wide) };
        let to = if d <= high { Point::new(0.0, d) } else { Point::new(d - high, high) };
        if d - high < wide {
            out.push(stroke(LineType::Hairline, low + from, low + to));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_stays_inside() {
        for (wide, high) in [(1.0, 9.0), (30.0, 9.0), (9.0, 9.0)] {
            for item in hatched(Point::new(5.0, 7.0), wide, high) {
                let b = item.bounds().unwrap_or(Bounds { low: Point::default(), high: Point::default() });
                assert!(b.low.x >= 5.0 - 1e-9 && b.high.x <= 5.0 + wide + 1e-9, "{b:?}");
                assert!(b.low.y >= 7.0 - 1e-9 && b.high.y <= 7.0 + high + 1e-9, "{b:?}");
            }
        }
    }

    #[test]
    fn what_does_not_fit_goes_on_the_next_page() {
        let mut pen = Pen::new(Paper::A4);
        for i in 0..100 {
            pen.room(LINE_MM);
            pen.lines(&format!("line {i}"), SMALL_MM, LINE_MM);
        }
        let pages = pen.finish("List");
        assert_eq!(pages.len(), 2);
        let lines = |p: &Page| p.items.iter().filter(|i| matches!(i, Item::Text { .. })).count();
        assert_eq!(pages.iter().map(lines).sum::<usize>(), 102);
    }
}
