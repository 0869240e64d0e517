//! One page to measure a printer by: long bars both ways, a grid, a diagonal.

use super::furniture;
use super::lettering::{SMALL_MM, USUAL_MM};
use super::page::{Anchor, Item, Layer, LineType, Page, Text};
use super::paper::{Paper, PaperSetup};
use super::words::PaperUnits;
use crate::geom::Point;

/// Step of the grid, mm.
const GRID_MM: f64 = 10.0;

fn words(at: Point, size_mm: f64, text: impl Into<String>) -> Item {
    Item::text(Layer::Notes, at, size_mm, text)
}

/// The page, never corrected: what is measured on it goes into the job.
pub fn draw_printer_test(paper: Paper, units: PaperUnits) -> Page {
    let setup = PaperSetup::new(paper, false);
    let p = setup.printable();
    let mut items = vec![];
    let (bar, shown) = furniture::check_bar(units);
    items.extend(furniture::check_bars(setup, units, "measure on an upright page; no correction is applied here"));
    let mut y = p.high.y - 8.0;
    let mut say = |items: &mut Vec<Item>, size: f64, step: f64, text: String| {
        items.push(words(Point::new(p.low.x, y), size, text));
        y -= step;
    };
    say(&mut items, 6.0, 8.0, "Printer test".to_string());
    for line in [
        "1. Print this page at actual size (100 %, no fitting to the page).".to_string(),
        format!("2. Measure both check bars over their ends with a calliper; each should be {shown}."),
        "3. Measure the sides and both diagonals of the square: unequal diagonals mean that the paper runs askew,"
            .into(),
        "   which no correction mends: print again, or draw by the hole table.".into(),
        "4. Write what you measured into the job, or into a file printer.toml beside it or in a folder above:".into(),
    ] {
        say(&mut items, SMALL_MM, 4.6, line);
    }
    let (a, b) = if units == PaperUnits::Metric { ("99.6 mm", "100.2 mm") } else { ("3.985 in", "4.010 in") };
    for line in ["[printer]".to_string(), format!("x = \"{a}\""), format!("y = \"{b}\"")] {
        say(&mut items, USUAL_MM, 5.6, format!("      {line}"));
    }
    // A square grid with its diagonals, as large as the room allows in whole steps.
    let area = furniture::drawing_area(setup, 0.0);
    let side = ((area.width() - 10.0).min(y - area.low.y - 10.0) / GRID_MM).floor() * GRID_MM;
    let low = Point::new(area.low.x + 2.0, area.low.y + 6.0);
    let n = (side / GRID_MM) as usize;
    for i in 0..=n {
        let d = i as f64 * GRID_MM;
        let line = if i == 0 || i == n { LineType::Narrow } else { LineType::Hairline };
        items.push(Item::line(Layer::Frame, line, low + Point::new(d, 0.0), low + Point::new(d, side)));
        items.push(Item::line(Layer::Frame, line, low + Point::new(0.0, d), low + Point::new(side, d)));
    }
    items.push(Item::line(Layer::Frame, LineType::Hairline, low, low + Point::new(side, side)));
    items.push(Item::line(Layer::Frame, LineType::Hairline, low + Point::new(0.0, side), low + Point::new(side, 0.0)));
    let says = format!("square {}, diagonals {}", units.length(side), units.length(side * std::f64::consts::SQRT_2));
    let at = low + Point::new(side / 2.0, side + 2.0);
    let text = Text { at, size_mm: SMALL_MM, angle_deg: 0.0, anchor: Anchor::Middle, text: says };
    items.push(Item::Text { layer: Layer::Notes, text });
    debug_assert!(bar > 0.0);
    setup.page(items)
}
