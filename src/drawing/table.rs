//! Hole table, cautions and notes as bands that flow down a sheet and on to the next.

use super::lettering::{self, SMALL_MM, USUAL_MM};
use super::page::{Item, Layer, LineType};
use super::templates::JobHeader;
use crate::flat::FlatPattern;
use crate::geom::{Bounds, Point, rectangle};

/// One row of text over the full width; its items are drawn from its upper left
/// corner, y down being negative.
#[derive(Clone, Debug)]
pub struct Band {
    /// Height, mm.
    pub height: f64,
    /// What is in it.
    pub items: Vec<Item>,
    /// Index of the heading that must stand above it on each sheet.
    pub heading: usize,
}

/// Bands and their headings.
#[derive(Clone, Debug, Default)]
pub struct Flow {
    /// Headings, by index; their own `heading` is not used.
    pub headings: Vec<Band>,
    /// What flows.
    pub bands: Vec<Band>,
}

const ROW_MM: f64 = 5.6;
const LINE_MM: f64 = 4.6;
const HEAD_MM: f64 = 8.0;
/// Between two columns, mm.
const COLUMN_GAP_MM: f64 = 4.0;

impl Flow {
    fn heading(&mut self, height: f64, items: Vec<Item>) -> usize {
        self.headings.push(Band { height, items, heading: 0 });
        self.headings.len() - 1
    }

    /// Places as many bands as fit between `area`'s top and bottom, from band
    /// `first` on; the items in page coordinates and the next band's index.
    /// On an empty sheet (`fresh`) one band is placed in any case.
    pub fn place(&self, first: usize, area: &Bounds, fresh: bool) -> (Vec<Item>, usize) {
        let (mut y, mut items, mut above) = (area.high.y, vec![], None);
        for (i, band) in self.bands.iter().enumerate().skip(first) {
            let head = (above != Some(band.heading)).then(|| &self.headings[band.heading]);
            let need = band.height + head.map_or(0.0, |h| h.height);
            if y - need < area.low.y && !(fresh && i == first) {
                return (items, i);
            }
            for b in head.into_iter().chain([band]) {
                items.extend(b.items.iter().map(|item| moved(item, Point::new(area.low.x, y))));
                y -= b.height;
            }
            above = Some(band.heading);
        }
        (items, self.bands.len())
    }
}

/// A line, fill or text moved by a vector, mm; outlines and arcs do not occur in bands.
fn moved(item: &Item, by: Point) -> Item {
    let mut item = item.clone();
    match &mut item {
        Item::Text { text, .. } => text.at = text.at + by,
        Item::Fill { outline, .. } => *outline = outline.moved(by),
        Item::Stroke { shape: super::page::Shape::Line { from, to }, .. } => {
            *from = *from + by;
            *to = *to + by;
        }
        _ => {}
    }
    item
}

/// Everything that is said about a piece beside its drawing: cautions first.
pub fn flow(pattern: &FlatPattern, job: &JobHeader, more: &[String], width: f64) -> Flow {
    let mut flow = Flow::default();
    cautions(&mut flow, &pattern.cautions, width);
    hole_table(&mut flow, pattern, job, width);
    let mut notes = more.to_vec();
    notes.extend(standing_notes(pattern));
    notes.extend(pattern.notes.iter().cloned());
    note_lines(&mut flow, &notes, width);
    flow
}

/// How many bands at the front are cautions.
pub fn caution_bands(flow: &Flow, pattern: &FlatPattern) -> usize {
    if pattern.cautions.is_empty() { 0 } else { flow.bands.iter().take_while(|b| b.heading == 0).count() }
}

fn cautions(flow: &mut Flow, cautions: &[String], width: f64) {
    const BAR_MM: f64 = 1.5;
    if cautions.is_empty() {
        return;
    }
    let inset = BAR_MM + 2.5;
    let bar = |height: f64| Item::Fill {
        layer: Layer::Notes,
        outline: rectangle(Point::new(0.0, -height), BAR_MM, height, 0.0),
    };
    let title = Item::text(Layer::Notes, Point::new(inset, -USUAL_MM - 2.5), USUAL_MM, "CAUTION");
    let head_bar =
        Item::Fill { layer: Layer::Notes, outline: rectangle(Point::new(0.0, -HEAD_MM), BAR_MM, HEAD_MM - 2.0, 0.0) };
    let heading = flow.heading(HEAD_MM, vec![head_bar, title]);
    for caution in cautions {
        for line in lettering::wrapped(caution, SMALL_MM, width - inset) {
            let text = Item::text(Layer::Notes, Point::new(inset, -SMALL_MM - 0.8), SMALL_MM, line);
            flow.bands.push(Band { height: LINE_MM, items: vec![bar(LINE_MM), text], heading });
        }
    }
}

fn note_lines(flow: &mut Flow, notes: &[String], width: f64) {
    let title = Item::text(Layer::Notes, Point::new(0.0, -USUAL_MM - 2.5), USUAL_MM, "Notes");
    let heading = flow.heading(HEAD_MM, vec![title]);
    for note in notes {
        for (i, line) in lettering::wrapped(note, SMALL_MM, width - 4.0).into_iter().enumerate() {
            let base = -SMALL_MM - 0.8;
            let mut items = vec![Item::text(Layer::Notes, Point::new(4.0, base), SMALL_MM, line)];
            if i == 0 {
                items.push(Item::text(Layer::Notes, Point::new(0.5, base), SMALL_MM, "–"));
            }
            flow.bands.push(Band { height: LINE_MM, items, heading });
        }
    }
}

/// What holds for every sheet of this form.
fn standing_notes(pattern: &FlatPattern) -> Vec<String> {
    let mut notes = vec![];
    if pattern.holes.is_empty() {
        notes.push("Wide line: finished edge, saw on its waste side.".to_string());
    } else {
        notes.push(
            "Wide line: finished edge, saw on its waste side. Punch the small crosses through the paper.".to_string(),
        );
    }
    if !pattern.bend_lines.is_empty() {
        notes.push(
            "An up bend comes towards you as you look at the printed side. The bend begins and ends at the dashed lines."
                .to_string(),
        );
    }
    if let Some((left, right)) = pattern.ends_deg {
        let words = |deg: f64| {
            if (deg - 90.0).abs() < 1e-3 {
                "square".to_string()
            } else {
                format!("{}°", super::words::trimmed(deg, 2))
            }
        };
        notes.push(format!(
            "Left end {}, right end {} (inside the metal; 90° is square). Length: long point to long point.",
            words(left),
            words(right)
        ));
    }
    notes
}

fn hole_table(flow: &mut Flow, pattern: &FlatPattern, job: &JobHeader, width: f64) {
    if pattern.holes.is_empty() {
        return;
    }
    let u = job.units;
    let on_flats = pattern.holes.iter().any(|h| h.flat.is_some());
    let mut heads: Vec<String> =
        ["", "X", "Y"].iter().map(|h| if h.is_empty() { h.to_string() } else { format!("{h} {}", u.word()) }).collect();
    heads.push(format!("size {}", u.word()));
    heads.extend(["alike", "face"].map(String::from));
    heads.extend(on_flats.then(|| "flat".to_string()));
    heads.push("name".to_string());
    let rows: Vec<Vec<String>> = pattern
        .holes
        .iter()
        .map(|h| {
            let alike = pattern.holes.iter().filter(|o| o.shape == h.shape && o.name == h.name).count();
            let mut row = vec![h.letter.clone(), u.position(h.at.x), u.position(h.at.y), u.hole(&h.shape)];
            row.extend([alike.to_string(), h.face.clone()]);
            row.extend(on_flats.then(|| h.flat.clone().unwrap_or_default()));
            row.push(h.name.clone());
            row
        })
        .collect();
    let columns = column_widths(&heads, &rows, width);
    let title = "Holes: X and Y from the corner with the arrows";
    let mut items = vec![Item::text(Layer::Notes, Point::new(0.0, -USUAL_MM - 2.5), USUAL_MM, title)];
    items.extend(row_items(&heads, &columns, -HEAD_MM));
    let under = -HEAD_MM - ROW_MM;
    items.push(Item::line(Layer::Notes, LineType::Narrow, Point::new(0.0, under), Point::new(width, under)));
    let heading = flow.heading(HEAD_MM + ROW_MM, items);
    for row in &rows {
        let mut items = row_items(row, &columns, 0.0);
        let (a, b) = (Point::new(0.0, -ROW_MM), Point::new(width, -ROW_MM));
        items.push(Item::line(Layer::Notes, LineType::Hairline, a, b));
        flow.bands.push(Band { height: ROW_MM, items, heading });
    }
}

/// Natural widths; where they do not fit, the widest gives way first.
fn column_widths(heads: &[String], rows: &[Vec<String>], width: f64) -> Vec<f64> {
    let natural = |c: usize| {
        let cells = rows.iter().map(|r| &r[c]).chain([&heads[c]]);
        cells.map(|t| lettering::width_mm(t, SMALL_MM)).fold(0.0, f64::max) + COLUMN_GAP_MM
    };
    let mut widths: Vec<f64> = (0..heads.len()).map(natural).collect();
    // Letter, X, Y and size are what one drills by: words give way before them.
    const NUMBERS: usize = 4;
    const LEAST_MM: f64 = 14.0;
    for range in [NUMBERS..widths.len(), 0..widths.len()] {
        for _ in 0..400 {
            let over = widths.iter().sum::<f64>() - width;
            if over <= 0.0 {
                return widths;
            }
            let Some(widest) = range.clone().max_by(|a, b| widths[*a].total_cmp(&widths[*b])) else { break };
            if widths[widest] <= LEAST_MM {
                break;
            }
            widths[widest] = (widths[widest] - over.min(2.0)).max(LEAST_MM);
        }
    }
    widths
}

fn row_items(cells: &[String], columns: &[f64], top: f64) -> Vec<Item> {
    let mut x = 0.0;
    let mut items = vec![];
    for (text, wide) in cells.iter().zip(columns) {
        let text = lettering::shortened(text, SMALL_MM, wide - COLUMN_GAP_MM);
        items.push(Item::text(Layer::Notes, Point::new(x, top - SMALL_MM - 1.4), SMALL_MM, text));
        x += wide;
    }
    items
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bands_that_do_not_fit_go_on_with_their_heading() {
        let mut flow = Flow::default();
        note_lines(&mut flow, &(0..20).map(|i| format!("note {i}")).collect::<Vec<_>>(), 100.0);
        let area = Bounds { low: Point::default(), high: Point::new(100.0, HEAD_MM + 7.5 * LINE_MM) };
        let (first, next) = flow.place(0, &area, true);
        assert_eq!(next, 7);
        let (second, _) = flow.place(next, &area, true);
        let says =
            |items: &[Item], t: &str| items.iter().any(|i| matches!(i, Item::Text { text, .. } if text.text == t));
        assert!(says(&first, "Notes") && says(&second, "Notes"));
        assert!(says(&first, "note 6") && !says(&first, "note 7") && says(&second, "note 7"));
    }

    #[test]
    fn numbers_keep_their_room_when_names_are_long() {
        let heads: Vec<String> = ["", "X", "Y", "size", "name"].map(String::from).to_vec();
        let row: Vec<String> = ["A", "1234.56", "1234.56", "⌀ 10.5", "a name that goes on and on and on and on"]
            .map(String::from)
            .to_vec();
        let w = column_widths(&heads, std::slice::from_ref(&row), 100.0);
        assert!(w.iter().sum::<f64>() <= 100.0 + 1e-9);
        assert!(w[1] >= lettering::width_mm(&row[1], SMALL_MM));
    }
}
