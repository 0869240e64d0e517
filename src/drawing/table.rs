//! Hole table, cautions and notes as bands that flow down a sheet and on to the next.

use super::lettering::{self, SMALL_MM, USUAL_MM};
use super::page::{Item, Layer, LineType};
use super::templates::JobHeader;
use crate::flat::{FlatHole, FlatPattern};
use crate::geom::{Bounds, Point, rectangle};
use crate::handbook::drills;
use crate::piece::HoleShape;
use crate::units::Length;

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

    /// Height of all of it on one sheet, mm.
    pub fn height(&self) -> f64 {
        let mut above = None;
        let mut sum = 0.0;
        for band in &self.bands {
            if above != Some(band.heading) {
                sum += self.headings[band.heading].height;
            }
            above = Some(band.heading);
            sum += band.height;
        }
        sum
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
    flow_without_cautions(flow, pattern, job, more, width)
}

/// The same after what is in `flow` already: a sheet says its cautions once.
pub fn flow_without_cautions(
    mut flow: Flow,
    pattern: &FlatPattern,
    job: &JobHeader,
    more: &[String],
    width: f64,
) -> Flow {
    hole_table(&mut flow, pattern, job, width);
    bent(&mut flow, pattern, job, width);
    let mut notes = more.to_vec();
    notes.extend(super::side_view::warnings(pattern, job.units));
    notes.extend(hole_notes(pattern, job));
    notes.extend(standing_notes(pattern, job));
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

/// The bent piece from its side.
fn bent(flow: &mut Flow, pattern: &FlatPattern, job: &JobHeader, width: f64) {
    let items = super::side_view::draw(pattern, job.units, width);
    if items.is_empty() {
        return;
    }
    let title = Item::text(Layer::Notes, Point::new(0.0, -USUAL_MM - 2.5), USUAL_MM, "Bent, seen from its side");
    let heading = flow.heading(HEAD_MM, vec![title]);
    flow.bands.push(Band { height: super::side_view::SIDE_MM, items, heading });
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
fn standing_notes(pattern: &FlatPattern, job: &JobHeader) -> Vec<String> {
    let mut notes = vec![];
    if pattern.form == "rework" {
        notes.push("The outline is the face that is there already. Wide lines inside it are cuts. Measure both edges again before you drill.".to_string());
        return notes;
    }
    if let Some(girth) = pattern.wrap.girth_mm().filter(|_| super::wraps::wrapped(pattern).is_some()) {
        notes.push(format!(
            "Round the tube the paper is {} long: its edges must meet. Scribe along the end curve, grind to it, then fit \
             the inside edge.",
            job.units.length(girth)
        ));
    }
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
    if let Some((left, right)) = pattern.ends_deg.filter(|e| (e.0 - 90.0).abs() > 1e-3 || (e.1 - 90.0).abs() > 1e-3) {
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

/// How holes are drilled that are not simply drilled: pilots, slots, openings
/// for a shaft at an angle, and what has no drill.
fn hole_notes(pattern: &FlatPattern, job: &JobHeader) -> Vec<String> {
    let mut notes: Vec<String> = vec![];
    let mut told: Vec<(String, Vec<String>)> = vec![];
    for h in &pattern.holes {
        let says = match h.shape {
            HoleShape::Round { diameter } => pilot_words(diameter, job),
            HoleShape::Slot { width, .. } => {
                pilot_words(width, job).map(|p| format!("{p} at both ends, then saw and file out the middle"))
            }
            HoleShape::Ellipse { .. } => Some(
                "an oblique bore: its axis is the dot-and-dash line. Drill a row of holes inside the line, file to it \
                 and try the shaft"
                    .to_string(),
            ),
            HoleShape::Rectangle { .. } => Some("drill the corners, saw and file to the line".to_string()),
        };
        let Some(says) = says else { continue };
        match told.iter_mut().find(|t| t.0 == says) {
            Some(t) => t.1.push(h.letter.clone()),
            None => told.push((says, vec![h.letter.clone()])),
        }
    }
    // One note for all plain ones: a line less on paper.
    let (plain, other): (Vec<_>, Vec<_>) =
        told.into_iter().partition(|t| t.0.starts_with("pilot") && t.0.ends_with("last drill"));
    let plain: Vec<String> = plain
        .into_iter()
        .map(|(says, letters)| format!("{}: {}", letters.join(", "), says.trim_end_matches(" before the last drill")))
        .collect();
    if !plain.is_empty() {
        notes.push(format!("Before the last drill, {}.", plain.join("; ")));
    }
    notes.extend(other.into_iter().map(|(says, letters)| format!("{}: {says}.", letters.join(", "))));
    notes
}

/// Pilot drills before a finished diameter; what to do where no drill is that large.
fn pilot_words(diameter: f64, job: &JobHeader) -> Option<String> {
    let size = Length::mm(diameter);
    let steps: Vec<String> = drills::pilots(size, job.drawer).into_iter().map(|d| d.designation).collect();
    match (drills::nearest_larger(size, job.drawer), steps.is_empty()) {
        (None, _) => Some(format!("pilot {}, then a hole saw, or chain-drill and file to the line", steps.join(", "))),
        (Some(_), true) => None,
        (Some(_), false) => Some(format!("pilot {} before the last drill", steps.join(", then "))),
    }
}

/// The drill of a hole: the nearest larger one that exists.
fn drill_word(shape: &HoleShape, job: &JobHeader) -> String {
    let size = match *shape {
        HoleShape::Round { diameter } => diameter,
        HoleShape::Slot { width, .. } => width,
        HoleShape::Ellipse { .. } | HoleShape::Rectangle { .. } => return "file".to_string(),
    };
    drills::nearest_larger(Length::mm(size), job.drawer).map_or_else(|| "hole saw".to_string(), |d| d.designation)
}

/// Both end centres of a slot, left and lower first.
fn slot_ends(h: &FlatHole) -> Option<[Point; 2]> {
    let HoleShape::Slot { length, width, lies } = h.shape else { return None };
    let half = Point::at_angle(lies) * ((length - width) / 2.0);
    let (a, b) = (h.at - half, h.at + half);
    let first = (a.x, a.y) <= (b.x, b.y);
    Some(if first { [a, b] } else { [b, a] })
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
    heads.extend(["drill", "alike", "drill from"].map(String::from));
    heads.extend(on_flats.then(|| "flat".to_string()));
    heads.push("name".to_string());
    let mut rows: Vec<Vec<String>> = vec![];
    for h in &pattern.holes {
        let alike = pattern.holes.iter().filter(|o| o.shape == h.shape && o.name == h.name).count();
        let mut row = vec![h.letter.clone(), u.position(h.at.x), u.position(h.at.y), u.hole(&h.shape)];
        row.extend([drill_word(&h.shape, job), alike.to_string(), h.face.clone()]);
        row.extend(on_flats.then(|| h.flat.clone().unwrap_or_default()));
        row.push(h.name.clone());
        let wide = row.len();
        rows.push(row);
        for (end, at) in slot_ends(h).iter().flatten().enumerate() {
            let mut row = vec![format!("{}{}", h.letter, end + 1), u.position(at.x), u.position(at.y)];
            row.push("end centre".to_string());
            row.resize(wide, String::new());
            rows.push(row);
        }
    }
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
    const NUMBERS: usize = 5;
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
