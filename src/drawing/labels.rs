//! Labels for offcuts: the id to be read from across the workshop, and a code
//! for a reader.

use super::lettering::{SMALL_MM, USUAL_MM, shortened};
use super::page::{Anchor, Item, Layer, LineType, Page};
use super::paper::{Paper, PaperSetup};
use super::pen::words_at;
use crate::geom::{Point, rectangle};
use qrcode::{Color, EcLevel, QrCode};

/// Height of a label, mm.
const HIGH_MM: f64 = 33.0;
/// Columns of labels on a page.
const COLUMNS: usize = 2;
/// Side of the code with its quiet zone, mm.
const CODE_MM: f64 = 29.0;
/// Modules round a code that stay white.
///
/// # Source
/// ISO/IEC 18004:2015, 6.3.8 (from memory): four modules.
const QUIET: usize = 4;

/// One label.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// The id.
    pub id: String,
    /// Lines below it: size, length, place.
    pub lines: Vec<String>,
    /// What the code says.
    pub code: String,
}

/// Pages of labels to cut out, two side by side.
pub fn draw_labels(labels: &[Label], paper: Paper) -> Vec<Page> {
    let setup = PaperSetup::new(paper, false);
    let area = setup.printable();
    let wide = area.width() / COLUMNS as f64;
    let rows = ((area.height() / HIGH_MM) as usize).max(1);
    let page = |labels: &[Label]| {
        let mut items = vec![];
        for (i, label) in labels.iter().enumerate() {
            let (column, row) = (i % COLUMNS, i / COLUMNS);
            let low = Point::new(area.low.x + wide * column as f64, area.high.y - HIGH_MM * (row + 1) as f64);
            items.extend(one(label, low, wide));
        }
        setup.page(items)
    };
    labels.chunks(rows * COLUMNS).map(page).collect()
}

fn one(label: &Label, low: Point, wide: f64) -> Vec<Item> {
    let mut items = vec![Item::outline(Layer::Frame, LineType::Hairline, rectangle(low, wide, HIGH_MM, 0.0))];
    let left = low.x + 3.0;
    let room = wide - CODE_MM - 6.0;
    // As large as the id allows.
    let size = (room / (label.id.chars().count().max(1) as f64 * 0.95)).clamp(USUAL_MM, 11.0);
    let mut y = low.y + HIGH_MM - 3.0 - size;
    items.push(words_at(Point::new(left, y), size, Anchor::Left, &shortened(&label.id, size, room)));
    y -= 1.4;
    for line in &label.lines {
        y -= SMALL_MM + 2.0;
        if y < low.y + 1.5 {
            break;
        }
        items.push(words_at(Point::new(left, y), SMALL_MM, Anchor::Left, &shortened(line, SMALL_MM, room)));
    }
    items.extend(code(&label.code, low + Point::new(wide - CODE_MM - 2.0, 2.0)));
    items
}

/// The code as filled runs; none where the text is longer than a code takes.
fn code(text: &str, low: Point) -> Vec<Item> {
    let Ok(code) = QrCode::with_error_correction_level(text.as_bytes(), EcLevel::M) else { return vec![] };
    let n = code.width();
    let dark = code.to_colors();
    let module = CODE_MM / (n + 2 * QUIET) as f64;
    let mut items = vec![];
    for row in 0..n {
        let mut column = 0;
        while column < n {
            let run = (column..n).take_while(|c| dark[row * n + c] == Color::Dark).count();
            if run > 0 {
                let at = Point::new((column + QUIET) as f64 * module, (n - 1 - row + QUIET) as f64 * module);
                let outline = rectangle(low + at, run as f64 * module, module, 0.0);
                items.push(Item::Fill { layer: Layer::Notes, outline });
            }
            column += run.max(1);
        }
    }
    items
}
