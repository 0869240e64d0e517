//! Plates on paper: each drawn to scale with its pieces, the cuts in their
//! order and what goes back, and a row to tick off for each cut.

use super::lettering::{self, SMALL_MM, USUAL_MM};
use super::page::{Anchor, Item, Layer, LineType, Page};
use super::paper::Paper;
use super::pen::{AFTER_BOX_MM, LINE_MM, Pen, ROW_MM, stroke, words_at};
use crate::geom::{Bounds, Loop, Point};

/// A piece as it lies on a plate.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetPiece {
    /// What to chalk on it.
    pub chalk: String,
    /// Its corners, mm from the lower left corner of the plate.
    pub outline: Vec<Point>,
    /// Its openings.
    pub holes: Vec<Vec<Point>>,
    /// Its row below the picture: place, size, name.
    pub cells: [String; 5],
}

/// What is left of a plate.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetRest {
    /// Its corners.
    pub outline: Vec<Point>,
    /// Its largest rectangle: lower left corner and extent.
    pub rectangle: (Point, Point),
    /// Words for it, if it goes back.
    pub words: Option<String>,
}

/// One plate.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetPicture {
    /// Shape, size, material.
    pub stock: String,
    /// Which plate, and its size.
    pub which: String,
    /// Its corners, mm.
    pub outline: Vec<Point>,
    /// Holes in it.
    pub holes: Vec<Vec<Point>>,
    /// Its pieces.
    pub pieces: Vec<SheetPiece>,
    /// Straight cuts in their order: the mark, and how to set it.
    pub cuts: Vec<(Point, Point, String)>,
    /// What is left.
    pub rests: Vec<SheetRest>,
    /// Lengths of the box round it, in words: along, up.
    pub sides: (String, String),
    /// Sentences below.
    pub says: Vec<String>,
}

/// What stands over the rows of pieces.
const HEADS: [&str; 6] = ["chalk", "along", "up", "length", "width", "piece"];
/// Highest a picture stands, mm.
const HIGHEST_MM: f64 = 120.0;
/// Room left of a picture for its height in words, mm.
const SIDE_MM: f64 = 8.0;

/// Pages of all plates: `title`, sentences for the head, the plates, sentences
/// for the foot.
pub fn draw_sheet_list(
    title: &str,
    head: &[String],
    sheets: &[SheetPicture],
    foot: &[String],
    paper: Paper,
) -> Vec<Page> {
    let mut pen = Pen::new(paper);
    pen.lines(title, 5.0, 8.0);
    head.iter().for_each(|t| pen.lines(t, SMALL_MM, LINE_MM));
    let mut stock = "";
    for (i, sheet) in sheets.iter().enumerate() {
        one(&mut pen, i + 1, sheet, stock != sheet.stock);
        stock = &sheet.stock;
    }
    pen.room(foot.len() as f64 * 2.0 * LINE_MM + 4.0);
    pen.y -= 3.0;
    foot.iter().for_each(|t| pen.lines(t, SMALL_MM, LINE_MM));
    pen.finish(title)
}

fn one(pen: &mut Pen, number: usize, sheet: &SheetPicture, fresh_stock: bool) {
    let Some(bounds) = Bounds::of(sheet.outline.iter().copied()) else { return };
    let wide = pen.area.width() - SIDE_MM;
    let scale = (wide / bounds.width().max(1e-3)).min(HIGHEST_MM / bounds.height().max(1e-3));
    let rows = (sheet.pieces.len() + 1 + sheet.cuts.len()) as f64 * ROW_MM;
    let height = 25.0 + bounds.height() * scale + (rows + sheet.says.len() as f64 * LINE_MM).min(60.0);
    pen.room(height.min(pen.area.height() - 12.0));
    pen.y -= 3.0;
    if fresh_stock {
        pen.rule();
        pen.lines(&sheet.stock, USUAL_MM, 6.0);
    }
    pen.lines(&format!("{number}.  {}", sheet.which), USUAL_MM, 6.0);
    pen.y -= 2.0;
    let low = Point::new(pen.area.low.x + SIDE_MM, pen.y - bounds.height() * scale);
    picture(pen, sheet, low, scale);
    pen.y = low.y;
    sides(pen, sheet, &bounds, low, scale);
    table(pen, sheet);
    let whole = pen.area.width() - AFTER_BOX_MM;
    for (i, cut) in sheet.cuts.iter().enumerate() {
        pen.row(&[format!("cut {}: {}", i + 1, cut.2)], &[whole], true);
    }
    pen.y -= 1.5;
    sheet.says.iter().for_each(|t| pen.lines(t, SMALL_MM, LINE_MM));
}

/// The plate to scale.
fn picture(pen: &mut Pen, sheet: &SheetPicture, low: Point, scale: f64) {
    let on = |p: Point| low + p * scale;
    let drawn = |corners: &[Point]| Loop::straight(&corners.iter().map(|p| on(*p)).collect::<Vec<_>>());
    let mut put = |line: LineType, corners: &[Point]| pen.items.push(Item::outline(Layer::Notes, line, drawn(corners)));
    put(LineType::Wide, &sheet.outline);
    sheet.holes.iter().for_each(|h| put(LineType::Wide, h));
    for rest in sheet.rests.iter().filter(|r| r.words.is_some()) {
        let (at, size) = rest.rectangle;
        let corners = [at, at + Point::new(size.x, 0.0), at + size, at + Point::new(0.0, size.y)];
        put(LineType::Dashed, &corners);
    }
    for piece in &sheet.pieces {
        put(LineType::Narrow, &piece.outline);
        piece.holes.iter().for_each(|h| put(LineType::Hairline, h));
    }
    let mut taken: Vec<Bounds> = vec![];
    for piece in &sheet.pieces {
        let Some(b) = Bounds::of(piece.outline.iter().copied()) else { continue };
        label(pen, &mut taken, middle_of(piece, &b).unwrap_or((b.low + b.high) * 0.5), &piece.chalk, (low, scale));
    }
    for rest in &sheet.rests {
        if let Some(words) = &rest.words {
            let (at, size) = rest.rectangle;
            let room = size.x * scale - 1.5;
            let words = [words.as_str(), "back"].into_iter().find(|w| lettering::width_mm(w, SMALL_MM) < room);
            if let Some(words) = words.filter(|_| size.y * scale > SMALL_MM + 1.0) {
                label(pen, &mut taken, at + size * 0.5, words, (low, scale));
            }
        }
    }
    for (i, (from, to, _)) in sheet.cuts.iter().enumerate() {
        let (a, b) = (on(*from), on(*to));
        pen.items.push(stroke(LineType::Hairline, a, b));
        number_at_end(pen, &mut taken, a, b, i + 1);
    }
}

/// A point of a piece that lies in its steel, for its number: the middle of its
/// box where that is steel, else of some cell of a grid.
fn middle_of(piece: &SheetPiece, b: &Bounds) -> Option<Point> {
    const CELLS: u32 = 12;
    let outline = Loop::straight(&piece.outline);
    let steel = |p: Point| {
        let inside = crate::geom::point_inside(&outline, p);
        inside && !piece.holes.iter().any(|h| crate::geom::point_inside(&Loop::straight(h), p))
    };
    let middle = (b.low + b.high) * 0.5;
    if steel(middle) {
        return Some(middle);
    }
    let cells = (0..CELLS * CELLS).map(|i| {
        let f = |n: u32| (f64::from(n) + 0.5) / f64::from(CELLS);
        b.low + Point::new(b.width() * f(i % CELLS), b.height() * f(i / CELLS))
    });
    // The one deepest in the steel takes the number best.
    let deep =
        |p: &Point| piece.holes.iter().map(|h| Loop::straight(h).distance(*p)).fold(outline.distance(*p), f64::min);
    cells.filter(|p| steel(*p)).max_by(|a, b| deep(a).total_cmp(&deep(b)))
}

/// Words about a point of the plate, where no others stand.
fn label(pen: &mut Pen, taken: &mut Vec<Bounds>, at: Point, words: &str, (low, scale): (Point, f64)) {
    let centre = low + at * scale;
    let half = Point::new(lettering::width_mm(words, SMALL_MM) / 2.0 + 0.4, SMALL_MM / 2.0 + 0.5);
    let own = Bounds { low: centre - half, high: centre + half };
    if taken.iter().any(|t| meet(t, &own)) {
        return;
    }
    taken.push(own);
    pen.items.push(words_at(centre - Point::new(0.0, SMALL_MM / 2.0), SMALL_MM, Anchor::Middle, words));
}

fn meet(a: &Bounds, b: &Bounds) -> bool {
    a.low.x < b.high.x && b.low.x < a.high.x && a.low.y < b.high.y && b.low.y < a.high.y
}

/// The number of a cut in a small ring near the end where it begins, or on
/// along the cut where that place is taken.
fn number_at_end(pen: &mut Pen, taken: &mut Vec<Bounds>, from: Point, to: Point, number: usize) {
    const SIZE_MM: f64 = 2.0;
    let words = number.to_string();
    let radius = (lettering::width_mm(&words, SIZE_MM) / 2.0 + 0.7).max(1.7);
    let half = Point::new(radius, radius);
    let long = from.distance(to);
    for i in 0..12 {
        let along = (radius + f64::from(i) * 2.0 * radius).min(long);
        let at = from + (to - from).unit() * along;
        let own = Bounds { low: at - half, high: at + half };
        if i > 0 && along >= long || taken.iter().any(|t| meet(t, &own)) {
            continue;
        }
        taken.push(own);
        pen.items.push(Item::outline(Layer::Notes, LineType::Hairline, crate::geom::circle(at, 2.0 * radius)));
        pen.items.push(words_at(at - Point::new(0.0, SIZE_MM / 2.0), SIZE_MM, Anchor::Middle, &words));
        return;
    }
}

/// Length below, width to the left.
fn sides(pen: &mut Pen, sheet: &SheetPicture, b: &Bounds, low: Point, scale: f64) {
    let right = low.x + b.width() * scale;
    let y = low.y - 2.0;
    pen.items.push(stroke(LineType::Hairline, Point::new(low.x, y), Point::new(right, y)));
    let at = Point::new((low.x + right) / 2.0, y - SMALL_MM - 1.0);
    pen.items.push(words_at(at, SMALL_MM, Anchor::Middle, &sheet.sides.0));
    let x = low.x - 2.0;
    let top = low.y + b.height() * scale;
    pen.items.push(stroke(LineType::Hairline, Point::new(x, low.y), Point::new(x, top)));
    pen.items.push(Item::Text {
        layer: Layer::Notes,
        text: super::page::Text {
            at: Point::new(x - 1.0, (low.y + top) / 2.0),
            size_mm: SMALL_MM,
            angle_deg: 90.0,
            anchor: Anchor::Middle,
            text: sheet.sides.1.clone(),
        },
    });
    pen.y -= SMALL_MM + 5.0;
}

/// One row for each piece.
fn table(pen: &mut Pen, sheet: &SheetPicture) {
    let rows: Vec<[&str; 6]> = sheet
        .pieces
        .iter()
        .map(|p| std::array::from_fn(|i| if i == 0 { p.chalk.as_str() } else { p.cells[i - 1].as_str() }))
        .collect();
    let mut columns: [f64; 6] = std::array::from_fn(|i| {
        let cells = std::iter::once(&HEADS).chain(&rows).map(|r| lettering::width_mm(r[i], SMALL_MM));
        cells.fold(0.0, f64::max) + 3.5
    });
    columns[5] = (pen.area.width() - AFTER_BOX_MM - columns[..5].iter().sum::<f64>()).max(10.0);
    pen.row(&HEADS, &columns, false);
    rows.iter().for_each(|r| pen.row(r, &columns, true));
}
