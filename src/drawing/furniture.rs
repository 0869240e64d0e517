//! What stands on every sheet: title block, check bars, boxes for what was measured.
//!
//! ```text
//!   +--------------------------------+----+
//!   | strip: tile, map, cautions     |    |
//!   +--------------------------------+    |
//!   |                                |  Y |
//!   |  drawing area                  | bar|
//!   |                                |    |
//!   +--------------------------------+----+
//!   | X bar      print at actual size     |
//!   +-------------------------------------+
//!   | title block                         |
//!   +-------------------------------------+
//! ```

use super::lettering::{self, SMALL_MM, USUAL_MM};
use super::page::{Anchor, Item, Layer, LineType, Text};
use super::paper::PaperSetup;
use super::templates::JobHeader;
use super::words::PaperUnits;
use crate::flat::FlatPattern;
use crate::geom::{Bounds, Loop, Point, rectangle};
use crate::piece::Hand;
use crate::units::Length;

const TITLE_MM: f64 = 36.0;
const BAND_MM: f64 = 20.0;
const COLUMN_MM: f64 = 15.0;
const GAP_MM: f64 = 2.0;
/// Height of the strip on a sheet with one whole piece, mm.
pub const STRIP_MM: f64 = 6.0;
/// Height of the strip with a tile map, mm.
pub const MAP_STRIP_MM: f64 = 21.0;
/// The jaws of a calliper meet end blocks of this size, mm.
const BLOCK_MM: f64 = 5.0;

/// Room for the drawing under a strip of this height, mm.
pub fn drawing_area(setup: PaperSetup, strip_mm: f64) -> Bounds {
    let p = setup.printable();
    Bounds {
        low: Point::new(p.low.x, p.low.y + TITLE_MM + BAND_MM + 2.0 * GAP_MM),
        high: Point::new(p.high.x - COLUMN_MM, p.high.y - strip_mm),
    }
}

/// The check bar in the job's units: its length in mm and its words.
pub fn check_bar(units: PaperUnits) -> (f64, &'static str) {
    match units {
        PaperUnits::Metric => (100.0, "100 mm"),
        PaperUnits::Inch => (Length::inches(4.0).to_mm(), "4 in"),
    }
}

fn frame(line: LineType, b: Bounds) -> Item {
    Item::outline(Layer::Frame, line, rectangle(b.low, b.width(), b.height(), 0.0))
}

/// Two end blocks joined by a thin web, one filled outline, along x from `at`;
/// the far faces of the blocks are exactly `length` apart.
fn bar_outline(at: Point, length: f64, upright: bool) -> Loop {
    let (b, h, web) = (BLOCK_MM, BLOCK_MM / 2.0, 0.25);
    let corners = [
        (0.0, -h),
        (b, -h),
        (b, -web),
        (length - b, -web),
        (length - b, -h),
        (length, -h),
        (length, h),
        (length - b, h),
        (length - b, web),
        (b, web),
        (b, h),
        (0.0, h),
    ];
    let turn = |(x, y): (f64, f64)| at + if upright { Point::new(-y, x) } else { Point::new(x, y) };
    Loop::straight(&corners.map(turn))
}

/// Both check bars, what to do with them, and boxes to write in.
pub fn check_bars(setup: PaperSetup, units: PaperUnits) -> Vec<Item> {
    let p = setup.printable();
    let (length, words) = check_bar(units);
    let fill = |outline| Item::Fill { layer: Layer::Frame, outline };
    let text = |at, angle_deg, anchor, size_mm, text: String| Item::Text {
        layer: Layer::Frame,
        text: Text { at, size_mm, angle_deg, anchor, text },
    };
    let band = p.low.y + TITLE_MM + GAP_MM;
    let x_at = Point::new(p.low.x, band + 6.0);
    let area = drawing_area(setup, STRIP_MM);
    let y_at = Point::new(p.high.x - BLOCK_MM / 2.0, area.low.y + GAP_MM);
    let mut items = vec![fill(bar_outline(x_at, length, false)), fill(bar_outline(y_at, length, true))];
    let steps = if units == PaperUnits::Metric { 10 } else { 8 };
    for i in 1..steps {
        let d = length * f64::from(i) / f64::from(steps);
        let (a, b) = (x_at + Point::new(d, 0.0), y_at + Point::new(0.0, d));
        let tick = BLOCK_MM / 2.0;
        items.push(Item::line(Layer::Frame, LineType::Hairline, a, a + Point::new(0.0, tick)));
        items.push(Item::line(Layer::Frame, LineType::Hairline, b, b - Point::new(tick, 0.0)));
    }
    let label = |axis: &str| format!("check bar {axis}: {words} over the ends");
    let over = BLOCK_MM / 2.0 + 2.0;
    items.push(text(x_at + Point::new(length / 2.0, over), 0.0, Anchor::Middle, SMALL_MM, label("X")));
    items.push(text(y_at + Point::new(-over, length / 2.0), 90.0, Anchor::Middle, SMALL_MM, label("Y")));

    let left = x_at.x + length + 5.0;
    let room = p.high.x - left;
    for (i, line) in ["Print at actual size (100 %).", "Measure both bars before use."].into_iter().enumerate() {
        let (line, size) = lettering::fitted(line, 3.0, room);
        items.push(text(Point::new(left, band + 16.0 - 4.8 * i as f64), 0.0, Anchor::Left, size, line));
    }
    items.extend(measured_boxes(Point::new(left, band), units));
    items
}

/// `measured X [ ] Y [ ] mm`.
fn measured_boxes(at: Point, units: PaperUnits) -> Vec<Item> {
    let (wide, high, base) = (15.0, 8.0, 2.6);
    let mut x = at.x;
    let mut items = vec![];
    for word in ["measured X", "Y"] {
        items.push(Item::text(Layer::Frame, Point::new(x, at.y + base), SMALL_MM, word));
        x += lettering::width_mm(word, SMALL_MM) + 1.5;
        let low = Point::new(x, at.y);
        items.push(frame(LineType::Narrow, Bounds { low, high: low + Point::new(wide, high) }));
        x += wide + 2.0;
    }
    items.push(Item::text(Layer::Frame, Point::new(x, at.y + base), SMALL_MM, units.word()));
    items
}

/// One box of the title block.
struct Cell {
    label: &'static str,
    value: String,
    /// Largest lettering, mm.
    size_mm: f64,
    /// Share of the row.
    share: f64,
}

fn cell(label: &'static str, value: String, size_mm: f64, share: f64) -> Cell {
    Cell { label, value, size_mm, share }
}

/// The title block (own layout, in the spirit of ISO 7200) with page `number` of `total`.
pub fn title_block(
    setup: PaperSetup,
    pattern: &FlatPattern,
    job: &JobHeader,
    number: usize,
    total: usize,
) -> Vec<Item> {
    let p = setup.printable();
    let u = job.units;
    let hand = match pattern.hand {
        Some(Hand::Left) => "LEFT",
        Some(Hand::Right) => "RIGHT",
        None => "–",
    };
    // Stock is called by the size it is sold in, whatever the job's units.
    let size = crate::units::show_size(&pattern.stock.size).replace(" x ", " × ");
    let stock = format!("{}, {} {size}", pattern.stock.material, pattern.stock.shape);
    let blank = format!(
        "{} × {} × {} {}",
        u.number(pattern.length.to_mm()),
        u.number(pattern.width.to_mm()),
        u.number(pattern.thickness.to_mm()),
        u.word()
    );
    let mass = u.mass(pattern.mass);
    let hash = |h: &str| h.chars().take(12).collect::<String>();
    let rows = [
        vec![
            cell("piece", pattern.piece.clone(), 5.0, 0.40),
            cell("hand", hand.to_string(), 5.5, 0.19),
            cell("make", pattern.copies.to_string(), 5.5, 0.11),
            cell("scale", "1:1".to_string(), 5.0, 0.12),
            cell("page", format!("{number} of {total}"), 5.0, 0.18),
        ],
        vec![
            cell("part", pattern.part.clone(), USUAL_MM, 0.32),
            cell("material and stock", stock, USUAL_MM, 0.52),
            cell("mass of one", mass, USUAL_MM, 0.16),
        ],
        vec![
            cell("job", job.job.clone(), USUAL_MM, 0.32),
            cell("length × width × thickness", blank, USUAL_MM, 0.34),
            cell("piece no.", hash(&pattern.hash), SMALL_MM, 0.17),
            cell("input", hash(&job.input_hash), SMALL_MM, 0.17),
        ],
    ];
    let high = TITLE_MM / rows.len() as f64;
    let mut items = vec![];
    for (r, row) in rows.into_iter().enumerate() {
        let mut x = p.low.x;
        let low_y = p.low.y + TITLE_MM - (r + 1) as f64 * high;
        for c in row {
            let low = Point::new(x, low_y);
            let b = Bounds { low, high: low + Point::new(c.share * p.width(), high) };
            items.extend(cell_items(&c, &b));
            x = b.high.x;
        }
    }
    let block = Bounds { low: p.low, high: Point::new(p.high.x, p.low.y + TITLE_MM) };
    items.push(frame(LineType::Wide, block));
    items
}

fn cell_items(c: &Cell, b: &Bounds) -> Vec<Item> {
    const INSET_MM: f64 = 1.5;
    let room = b.width() - 2.0 * INSET_MM;
    let (value, size) = lettering::fitted(&c.value, c.size_mm, room);
    let label = lettering::shortened(c.label, SMALL_MM, room);
    // Label under the upper edge, value above the lower one.
    let label_at = Point::new(b.low.x + INSET_MM, b.high.y - 1.0 - SMALL_MM);
    let value_at = Point::new(b.low.x + INSET_MM, b.low.y + 2.0);
    vec![
        frame(LineType::Narrow, *b),
        Item::text(Layer::Frame, label_at, SMALL_MM, label),
        Item::text(Layer::Frame, value_at, size, value),
    ]
}

/// The map of the tiles with the one at hand filled, inside `room`; `windows`
/// in drawing coordinates.
pub fn tile_map(windows: &[Bounds], current: usize, room: &Bounds) -> Vec<Item> {
    let Some(all) = windows.iter().copied().reduce(|a, b| a.union(&b)) else { return vec![] };
    let scale = (room.width() / all.width()).min(room.height() / all.height());
    let place = |p: Point| room.low + (p - all.low) * scale;
    let mut items = vec![];
    for (i, w) in windows.iter().enumerate() {
        let (low, high) = (place(w.low), place(w.high));
        let b = Bounds { low, high };
        if i == current {
            let outline = rectangle(low, b.width(), b.height(), 0.0);
            items.push(Item::Fill { layer: Layer::Frame, outline });
        } else {
            items.push(frame(LineType::Narrow, b));
        }
    }
    items
}
