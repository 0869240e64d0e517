//! A small picture of the finished piece, where its sheet has room for one.

use super::lettering::SMALL_MM;
use super::page::{Anchor, Item, Layer, LineType, Text, grown};
use super::paper::PaperSetup;
use super::picture::{Pen, Picture};
use crate::geom::{Bounds, Point};

/// Cells that a sheet is looked through by, mm.
const CELL_MM: f64 = 4.0;
/// Free round what is on the sheet, mm.
const CLEAR_MM: f64 = 3.0;
/// Sizes that are tried, the largest first: width and height, mm.
const SIZES: [(f64, f64); 4] = [(76.0, 60.0), (60.0, 48.0), (48.0, 36.0), (36.0, 28.0)];
/// The words under it, and the room they take, mm.
const WORDS: &str = "finished, not to scale";
const WORDS_MM: f64 = 5.0;

/// The picture with its words in a free place of the sheet; nothing where there
/// is none.
pub(super) fn vignette(picture: &Picture, setup: &PaperSetup, items: &[Item]) -> Vec<Item> {
    let Some(own) = picture.bounds().filter(|b| b.width() > 1e-6 && b.height() > 1e-6) else { return vec![] };
    let area = super::furniture::drawing_area(*setup, super::furniture::STRIP_MM);
    let taken = Taken::new(area, items);
    let words = super::lettering::width_mm(WORDS, SMALL_MM);
    let fits = SIZES.iter().filter(|s| s.0 > words).find_map(|&size| taken.free(size).map(|low| (low, size)));
    let Some((low, (w, h))) = fits else {
        return vec![];
    };
    let scale = (w / own.width()).min((h - WORDS_MM) / own.height());
    let middle = low + Point::new(w, h + WORDS_MM) * 0.5;
    let own_middle = (own.low + own.high) * 0.5;
    let at = |p: Point| middle + (p - own_middle) * scale;
    let mut out = vec![];
    for s in &picture.strokes {
        let line = if s.pen == Pen::Edge { LineType::Narrow } else { LineType::Hairline };
        out.extend(s.points.windows(2).map(|w| Item::line(Layer::Notes, line, at(w[0]), at(w[1]))));
    }
    let text = Text {
        at: Point::new(middle.x, low.y + 1.2),
        size_mm: SMALL_MM,
        angle_deg: 0.0,
        anchor: Anchor::Middle,
        text: WORDS.to_string(),
    };
    out.push(Item::Text { layer: Layer::Notes, text });
    out
}

/// How many cells are taken left of and below each corner of the grid.
struct Taken {
    low: Point,
    across: usize,
    up: usize,
    sums: Vec<u32>,
}

impl Taken {
    fn new(area: Bounds, items: &[Item]) -> Taken {
        let (across, up) = ((area.width() / CELL_MM) as usize, (area.height() / CELL_MM) as usize);
        let mut full = vec![0_u32; across * up];
        for b in items.iter().flat_map(seen).map(|b| grown(b, CLEAR_MM)) {
            let cell = |v: f64, n: usize| (v / CELL_MM).floor().clamp(0.0, n as f64) as usize;
            let (x0, y0) = (cell(b.low.x - area.low.x, across), cell(b.low.y - area.low.y, up));
            let (x1, y1) = (cell(b.high.x - area.low.x + CELL_MM, across), cell(b.high.y - area.low.y + CELL_MM, up));
            for y in y0..y1 {
                full[y * across + x0..y * across + x1.max(x0)].fill(1);
            }
        }
        let wide = across + 1;
        let mut sums = vec![0; wide * (up + 1)];
        for y in 0..up {
            for x in 0..across {
                sums[(y + 1) * wide + x + 1] =
                    full[y * across + x] + sums[y * wide + x + 1] + sums[(y + 1) * wide + x] - sums[y * wide + x];
            }
        }
        Taken { low: area.low, across, up, sums }
    }

    /// Lower left corner of a free place, the lowest one, and there the rightmost.
    fn free(&self, (w, h): (f64, f64)) -> Option<Point> {
        let (nx, ny) = ((w / CELL_MM).ceil() as usize, (h / CELL_MM).ceil() as usize);
        if nx > self.across || ny > self.up {
            return None;
        }
        let wide = self.across + 1;
        for y in 0..=self.up - ny {
            for x in (0..=self.across - nx).rev() {
                let at = |x: usize, y: usize| self.sums[y * wide + x];
                if at(x + nx, y + ny) + at(x, y) == at(x + nx, y) + at(x, y + ny) {
                    return Some(self.low + Point::new(x as f64, y as f64) * CELL_MM);
                }
            }
        }
        None
    }
}

/// The boxes that an item takes; a window takes what is seen through it.
fn seen(item: &Item) -> Vec<Bounds> {
    let Item::Window { clip, offset, items } = item else { return item.bounds().into_iter().collect() };
    let moved = items.iter().filter_map(Item::bounds).map(|b| Bounds { low: b.low + *offset, high: b.high + *offset });
    moved
        .map(|b| Bounds {
            low: Point::new(b.low.x.max(clip.low.x), b.low.y.max(clip.low.y)),
            high: Point::new(b.high.x.min(clip.high.x), b.high.y.min(clip.high.y)),
        })
        .filter(|b| b.low.x <= b.high.x && b.low.y <= b.high.y)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::page::overlap;
    use crate::drawing::paper::Paper;
    use crate::drawing::picture::Stroke;

    #[test]
    fn it_stands_clear_of_everything_or_is_left_out() {
        let setup = PaperSetup::new(Paper::A4, false);
        let p = Point::new;
        let stroke = Stroke { pen: Pen::Edge, points: vec![p(0.0, 0.0), p(300.0, 20.0), p(150.0, 200.0)] };
        let picture = Picture { strokes: vec![stroke] };
        let area = crate::drawing::furniture::drawing_area(setup, crate::drawing::furniture::STRIP_MM);
        let block = |low: Point, high: Point| {
            let outline = crate::geom::rectangle(low, high.x - low.x, high.y - low.y, 0.0);
            Item::outline(Layer::Cut, LineType::Wide, outline)
        };
        // All but a corner of 60 x 45 mm is taken.
        let corner = p(area.high.x - 60.0, area.low.y + 45.0);
        let items = vec![block(area.low, p(corner.x, area.high.y)), block(p(corner.x, corner.y), area.high)];
        let drawn = vignette(&picture, &setup, &items);
        assert!(!drawn.is_empty());
        let all = drawn.iter().filter_map(Item::bounds).reduce(|a, b| a.union(&b)).unwrap();
        assert!(items.iter().filter_map(Item::bounds).all(|b| !overlap(&b, &all)), "{all:?}");
        assert!(all.low.x > corner.x && all.high.y < corner.y && all.low.y >= area.low.y - 1.0);
        // No room at all.
        assert!(vignette(&picture, &setup, &[block(area.low, area.high)]).is_empty());
        assert!(vignette(&Picture::default(), &setup, &[]).is_empty());
    }
}
