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
use crate::units::{Length, Mass};

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

/// Both check bars, what to do with them, sentences below, and boxes to write in.
pub fn check_bars(setup: PaperSetup, units: PaperUnits, says: &str) -> Vec<Item> {
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
    // Under the X bar: what was corrected.
    if !says.is_empty() {
        let (line, size) = lettering::fitted(says, SMALL_MM, length);
        items.push(text(Point::new(x_at.x, band - 0.7), 0.0, Anchor::Left, size, line));
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

/// The title block (own layout, in the spirit of ISO 7200) with page `number` of
/// `total`; a sheet with several pieces has their facts at each drawing.
pub fn title_block(
    setup: PaperSetup,
    shown: &[&FlatPattern],
    job: &JobHeader,
    number: usize,
    total: usize,
) -> Vec<Item> {
    let p = setup.printable();
    let page = cell("page", format!("{number} of {total}"), 5.0, 0.18);
    let scale = cell("scale", "1:1".to_string(), 5.0, 0.12);
    let input = cell("input", short(&job.input_hash), SMALL_MM, 0.16);
    let rows = match shown {
        [one] => one_piece(one, job, [scale, page, input]),
        several => {
            let mut parts: Vec<&str> = several.iter().map(|s| s.part.as_str()).collect();
            parts.dedup();
            let mass: f64 = several.iter().map(|s| s.mass.to_kg() * f64::from(s.copies)).sum();
            let make: u32 = several.iter().map(|s| s.copies).sum();
            vec![
                vec![
                    cell("pieces", format!("{} drawings, see each", several.len()), 5.0, 0.52),
                    cell("make in all", make.to_string(), 5.5, 0.18),
                    scale,
                    page,
                ],
                vec![
                    cell("parts", parts.join("; "), USUAL_MM, 0.84),
                    cell("mass of all", job.units.mass(Mass::kg(mass)), USUAL_MM, 0.16),
                ],
                vec![cell("job", job.job.clone(), USUAL_MM, 0.84), input],
            ]
        }
    };
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

fn short(hash: &str) -> String {
    hash.chars().take(12).collect()
}

/// `LEFT`, `RIGHT`, or a dash.
pub fn hand_word(pattern: &FlatPattern) -> &'static str {
    match pattern.hand {
        Some(Hand::Left) => "LEFT",
        Some(Hand::Right) => "RIGHT",
        None => "–",
    }
}

/// Material, shape and size; stock is called by the size it is sold in, whatever
/// the job's units.
pub fn stock_words(pattern: &FlatPattern) -> String {
    let size = crate::units::show_size(&pattern.stock.size).replace(" x ", " × ");
    if pattern.stock.size.is_empty() {
        return pattern.stock.material.clone();
    }
    format!("{}, {} {size}", pattern.stock.material, pattern.stock.shape)
}

/// What the cut plan takes a piece from.
pub fn cut_from(pattern: &FlatPattern, job: &JobHeader) -> String {
    job.cut_from.get(&pattern.key()).cloned().unwrap_or_else(|| "–".to_string())
}

fn one_piece(pattern: &FlatPattern, job: &JobHeader, [scale, page, input]: [Cell; 3]) -> Vec<Vec<Cell>> {
    let u = job.units;
    let blank = format!(
        "{} × {} × {} {}",
        u.number(pattern.length.to_mm()),
        u.number(pattern.width.to_mm()),
        u.number(pattern.thickness.to_mm()),
        u.word()
    );
    let there = pattern.form == "rework";
    vec![
        vec![
            cell(if there { "rework of" } else { "piece" }, pattern.piece.clone(), 5.0, 0.40),
            cell("hand", hand_word(pattern).to_string(), 5.5, 0.19),
            cell("make", pattern.copies.to_string(), 5.5, 0.11),
            scale,
            page,
        ],
        vec![
            cell("part", pattern.part.clone(), USUAL_MM, 0.28),
            cell("material and stock", stock_words(pattern), USUAL_MM, 0.40),
            cell("cut from", cut_from(pattern, job), USUAL_MM, 0.16),
            cell("mass of one", if there { "–".to_string() } else { u.mass(pattern.mass) }, USUAL_MM, 0.16),
        ],
        vec![
            cell("job", job.job.clone(), USUAL_MM, 0.34),
            cell(if there { "face" } else { "length × width × thickness" }, blank, USUAL_MM, 0.34),
            cell("piece no.", short(&pattern.hash), SMALL_MM, 0.16),
            input,
        ],
    ]
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

/// The map of the tiles, numbered, with the one at hand ticked, inside `room`; `windows`
/// in drawing coordinates.
pub fn tile_map(windows: &[Bounds], current: usize, room: &Bounds) -> Vec<Item> {
    let Some(all) = windows.iter().copied().reduce(|a, b| a.union(&b)) else { return vec![] };
    let scale = (room.width() / all.width()).min(room.height() / all.height());
    let place = |p: Point| room.low + (p - all.low) * scale;
    let mut items = vec![];
    for (i, w) in windows.iter().enumerate() {
        let (low, high) = (place(w.low), place(w.high));
        let b = Bounds { low, high };
        items.push(frame(if i == current { LineType::Wide } else { LineType::Hairline }, b));
        // The sheet at hand is ticked, since its number may not fit.
        if i == current {
            let d = (b.width().min(b.height()) / 3.0).min(2.0);
            let outline = rectangle(low + Point::new(0.4, 0.4), d, d, 0.0);
            items.push(Item::Fill { layer: Layer::Frame, outline });
        }
        let number = (i + 1).to_string();
        // Neighbours overlap on the map as on the table: room is what is left between them.
        let lap = scale * super::tiles::LEAST_OVERLAP_MM * 2.0;
        if lettering::width_mm(&number, SMALL_MM) + 3.0 < b.width() - lap && SMALL_MM * 1.6 < b.height() - lap {
            let at = Point::new(b.low.x + b.width() / 2.0, b.low.y + b.height() / 2.0 - SMALL_MM / 2.0);
            let text = Text { at, size_mm: SMALL_MM, angle_deg: 0.0, anchor: Anchor::Middle, text: number };
            items.push(Item::Text { layer: Layer::Frame, text });
        }
    }
    items
}
