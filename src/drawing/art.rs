//! The drawing of one piece at true size, before it is known how many sheets it needs.

use super::lettering;
use super::marks;
use super::page::{Anchor, Item, Layer, LineType, Text, grown, overlap};
use super::views::{View, views};
use super::words::{PaperUnits, trimmed};
use super::wraps::{degree_marks, wrapped};
use crate::flat::{BendLine, FlatPattern};
use crate::geom::{Bounds, Loop, Point};
use crate::piece::BendTurn;

/// Between two faces, mm: room for a heading, cross hairs and the datum arrows.
const FACE_GAP_MM: f64 = 30.0;
/// Height of a bend label of two lines, mm.
const BEND_ROW_MM: f64 = 10.0;
/// From one line of small lettering to the next, mm.
const LINE_MM: f64 = 4.3;
/// Free between a mark and its lettering, mm.
const CLEAR_MM: f64 = 1.0;
/// The datum arrows stand off the edge by this much, mm.
const DATUM_OFF_MM: f64 = 5.0;
/// Paper of a round wrap that goes under its other edge, mm.
const LAP_MM: f64 = 8.0;
/// Length of the datum arrows, mm.
const DATUM_ARROW_MM: f64 = 12.0;

/// Something that should be whole on one sheet at least.
#[derive(Clone, Debug, PartialEq)]
pub struct Keep {
    /// The box round it, mm.
    pub bounds: Bounds,
    /// Letter of the hole; `None` for a label.
    pub letter: Option<String>,
}

/// A face's name and where it is written.
#[derive(Clone, Debug, PartialEq)]
pub struct Heading {
    /// Base line and left end, mm.
    pub at: Point,
    /// What is written.
    pub text: String,
}

/// The drawing of one piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Art {
    /// Everything but the headings.
    pub items: Vec<Item>,
    /// Names of the faces: a tile repeats them at its own left edge.
    pub headings: Vec<Heading>,
    /// What must not be cut by a seam.
    pub keeps: Vec<Keep>,
    /// The box round all of it, mm.
    pub bounds: Bounds,
    /// Letters of holes whose face is not drawn.
    pub homeless: Vec<String>,
}

/// Draws the piece; `None` when it has no outline at all.
pub fn draw_art(pattern: &FlatPattern, units: PaperUnits) -> Option<Art> {
    let faces = wrapped(pattern).map_or_else(|| views(pattern, FACE_GAP_MM), |w| vec![w]);
    let mut art = Art {
        items: vec![],
        headings: vec![],
        keeps: vec![],
        bounds: faces.first()?.bounds,
        homeless: pattern
            .holes
            .iter()
            .filter(|h| !faces.iter().any(|v| v.holes.iter().any(|o| o.letter == h.letter)))
            .map(|h| h.letter.clone())
            .collect(),
    };
    for view in &faces {
        draw_view(&mut art, view, pattern, units);
    }
    let boxes = art.items.iter().filter_map(Item::bounds).flat_map(|b| [b.low, b.high]);
    let headings = art.headings.iter().map(heading_bounds).flat_map(|b| [b.low, b.high]);
    art.bounds = grown(Bounds::of(boxes.chain(headings))?, CLEAR_MM);
    Some(art)
}

/// The box round a heading, mm.
pub fn heading_bounds(heading: &Heading) -> Bounds {
    heading_text(heading, heading.at.x).bounds()
}

/// The heading as text that begins at `x`, mm.
pub fn heading_text(heading: &Heading, x: f64) -> Text {
    Text {
        at: Point::new(x, heading.at.y),
        size_mm: lettering::USUAL_MM,
        angle_deg: 0.0,
        anchor: Anchor::Left,
        text: heading.text.clone(),
    }
}

fn draw_view(art: &mut Art, view: &View, pattern: &FlatPattern, units: PaperUnits) {
    art.items.push(Item::outline(Layer::Cut, LineType::Wide, view.outline.clone()));
    art.items.extend(view.cut_outs.iter().map(|l| Item::outline(Layer::Cut, LineType::Wide, l.clone())));
    for (from, to, _) in &pattern.cut_lines {
        art.items.push(Item::line(Layer::Cut, LineType::Wide, *from, *to));
    }
    // The lap of a round wrap stands above its outline.
    let mut top = view.bounds.high.y + if view.degrees.is_some() { LAP_MM } else { 0.0 };
    for hole in &view.holes {
        let b = marks::hole_bounds(&hole.shape, hole.at);
        top = top.max(b.high.y);
        art.items.extend(marks::hole(&hole.shape, hole.at));
    }
    let wrap = view.word == "wrap";
    if pattern.form != "plate" && pattern.form != "rework" && !wrap {
        centre_line(art, view);
    }
    wrap_marks(art, view);
    let datum_top = if view.y_down { view.bounds.high.y + DATUM_OFF_MM + lettering::SMALL_MM } else { top };
    let top = bend_lines(art, view, units, top.max(datum_top) + 2.0 * CLEAR_MM);
    datum(art, view);
    letters(art, view);
    let words = if wrap {
        "WRAP ROUND, printed side out; fold at the dashed lines".to_string()
    } else if pattern.form == "rework" {
        "TO BE WORKED ON: lay the edges of the paper's outline on the edges named below".to_string()
    } else if pattern.faces.is_empty() {
        "OUTSIDE FACE UP".to_string()
    } else {
        format!("{}: seen from outside, this side up", view.word.to_uppercase())
    };
    art.headings.push(Heading { at: Point::new(view.bounds.low.x, top + CLEAR_MM), text: words });
}

/// Fold lines, names of the faces at both ends, degree marks of a round wrap.
fn wrap_marks(art: &mut Art, view: &View) {
    const STUB_MM: f64 = 6.0;
    let (left, right) = (view.bounds.low.x, view.bounds.high.x);
    for y in &view.folds {
        art.items.push(Item::line(Layer::Bends, LineType::Dashed, Point::new(left, *y), Point::new(right, *y)));
    }
    let text = |at: Point, angle_deg: f64, anchor: Anchor, size_mm: f64, text: String| Item::Text {
        layer: Layer::Notes,
        text: Text { at, size_mm, angle_deg, anchor, text },
    };
    for l in &view.labels {
        let room = l.high - l.low - 2.0 * CLEAR_MM;
        let (word, size) = lettering::fitted(&l.word.to_uppercase(), lettering::USUAL_MM, room);
        let middle = (l.low + l.high) / 2.0;
        for x in [left - DATUM_OFF_MM - 2.0 * CLEAR_MM, right + DATUM_OFF_MM] {
            art.items.push(text(Point::new(x, middle), 90.0, Anchor::Middle, size, word.clone()));
        }
    }
    let Some(girth) = view.degrees else { return };
    for (degrees, y) in degree_marks(girth) {
        let name = match degrees {
            0 => "0° top".to_string(),
            90 => "90° back".to_string(),
            -90 => "-90° front".to_string(),
            180 | -180 => format!("{degrees}° bottom"),
            _ => format!("{degrees}°"),
        };
        for (x, way) in [(left, -1.0), (right, 1.0)] {
            let (a, b) = (Point::new(x + way * CLEAR_MM, y), Point::new(x + way * (CLEAR_MM + STUB_MM), y));
            art.items.push(Item::line(Layer::Centre, LineType::Hairline, a, b));
        }
        let at = Point::new(left - STUB_MM - 3.0 * CLEAR_MM, y - lettering::SMALL_MM / 2.0);
        art.items.push(text(at, 0.0, Anchor::Right, lettering::SMALL_MM, name));
    }
    // The lap: paper that goes under the other edge.
    let (low, high) = (Point::new(left, girth), Point::new(right, girth + LAP_MM));
    for (a, b) in
        [(low, Point::new(low.x, high.y)), (Point::new(low.x, high.y), high), (high, Point::new(high.x, low.y))]
    {
        art.items.push(Item::line(Layer::Frame, LineType::Dashed, a, b));
    }
    let at = Point::new(left + 4.0, girth + LAP_MM / 2.0 - lettering::SMALL_MM / 2.0);
    art.items.push(text(at, 0.0, Anchor::Left, lettering::SMALL_MM, "lap: goes under the other edge".to_string()));
}

/// The middle line along the piece, left out where a hole has its own hairs.
fn centre_line(art: &mut Art, view: &View) {
    const PAST_END_MM: f64 = 4.0;
    let y = (view.bounds.low.y + view.bounds.high.y) / 2.0;
    let mut busy: Vec<(f64, f64)> = view
        .holes
        .iter()
        .map(|h| marks::hole_bounds(&h.shape, h.at))
        .filter(|b| b.low.y - CLEAR_MM < y && y < b.high.y + CLEAR_MM)
        .map(|b| (b.low.x - CLEAR_MM, b.high.x + CLEAR_MM))
        .collect();
    busy.sort_by(|a, b| a.0.total_cmp(&b.0));
    let end = view.bounds.high.x + PAST_END_MM;
    let mut from = view.bounds.low.x - PAST_END_MM;
    for (low, high) in busy.into_iter().chain([(end, end)]) {
        if low.min(end) - from > 2.0 {
            let (a, b) = (Point::new(from, y), Point::new(low.min(end), y));
            art.items.push(Item::line(Layer::Centre, LineType::LongDashDot, a, b));
        }
        from = from.max(high);
    }
}

/// Bend and tangent lines with their labels above; the height that they end at.
///
/// Labels run to the right from their leader. From right to left, each takes the
/// lowest row in which it clears the labels already there, so that no leader
/// crosses a label.
fn bend_lines(art: &mut Art, view: &View, units: PaperUnits, from_y: f64) -> f64 {
    let mut row_starts: Vec<f64> = vec![];
    for bend in view.bends.iter().rev() {
        let line =
            |kind, x: f64, high: f64| Item::line(Layer::Bends, kind, Point::new(x, bend.from.y), Point::new(x, high));
        art.items.push(line(LineType::Dashed, bend.tangent_left, bend.to.y));
        art.items.push(line(LineType::Dashed, bend.tangent_right, bend.to.y));
        let words = bend_words(bend, units);
        let wide = words.iter().map(|w| lettering::width_mm(w, lettering::SMALL_MM)).fold(0.0, f64::max);
        let x = bend.to.x;
        let clear = |start: &f64| x + wide + 3.0 * CLEAR_MM < *start;
        // A leader passes the rows below its own: those labels all begin to its right.
        let row = row_starts.iter().rposition(|s| !clear(s)).map_or(0, |i| i + 1);
        row_starts.truncate(row);
        row_starts.push(x);
        let low = from_y + row as f64 * BEND_ROW_MM;
        art.items.push(line(LineType::Narrow, x, low + BEND_ROW_MM - 2.0 * CLEAR_MM));
        let mut keep = Bounds { low: Point::new(x, low), high: Point::new(x + wide, low + BEND_ROW_MM) };
        for (i, text) in words.into_iter().enumerate() {
            let at = Point::new(x + CLEAR_MM, low + CLEAR_MM + (1.0 - i as f64) * LINE_MM);
            let item = Item::text(Layer::Notes, at, lettering::SMALL_MM, text);
            keep = item.bounds().map_or(keep, |b| keep.union(&b));
            art.items.push(item);
        }
        art.keeps.push(Keep { bounds: keep, letter: None });
    }
    let rows = art.keeps.iter().filter(|k| k.letter.is_none()).map(|k| k.bounds.high.y).fold(from_y, f64::max);
    if view.bends.is_empty() { from_y } else { rows }
}

fn bend_words(bend: &BendLine, units: PaperUnits) -> [String; 2] {
    let turn = match bend.turn {
        BendTurn::Up => "up",
        BendTurn::Down => "down",
    };
    [
        format!("bend {turn} {}°,", trimmed(bend.angle.to_degrees(), 2)),
        format!("inside radius {}", units.length(bend.inside_radius.to_mm())),
    ]
}

/// Two arrows at the corner from which the hole table measures.
fn datum(art: &mut Art, view: &View) {
    let down = if view.y_down { -1.0 } else { 1.0 };
    let corner = view.datum + Point::new(-DATUM_OFF_MM, -DATUM_OFF_MM * down);
    let mut arrows = vec![(corner, Point::new(1.0, 0.0), "X"), (corner, Point::new(0.0, down), "Y")];
    if view.degrees.is_some() {
        arrows.clear(); // the degree marks say it
    } else if !view.labels.is_empty() {
        // On a wrap each face has its own zero; X is the same for all.
        let low = Point::new(view.datum.x - DATUM_OFF_MM, view.bounds.low.y - DATUM_OFF_MM);
        arrows = vec![(low, Point::new(1.0, 0.0), "X")];
        let from = |l: &super::views::FaceLabel| Point::new(view.bounds.low.x - DATUM_OFF_MM + 1.5, l.datum);
        let way = |l: &super::views::FaceLabel| Point::new(0.0, if l.down { -1.0 } else { 1.0 });
        arrows.extend(view.labels.iter().filter(|l| l.high - l.low > 18.0).map(|l| (from(l), way(l), "")));
    }
    for (corner, way, name) in arrows {
        let tip = corner + way * DATUM_ARROW_MM;
        let side = Point::new(-way.y, way.x);
        let back = tip - way * 2.5;
        art.items.push(Item::line(Layer::Notes, LineType::Narrow, corner, back));
        art.items.push(Item::Fill {
            layer: Layer::Notes,
            outline: Loop::straight(&[tip, back + side * 0.7, back - side * 0.7]),
        });
        if name.is_empty() {
            continue;
        }
        let size_mm = lettering::SMALL_MM;
        // The letter is centred on the arrow's line, past its tip.
        let at = match name {
            "X" => tip + Point::new(CLEAR_MM, -size_mm / 2.0),
            _ if way.y < 0.0 => tip + Point::new(0.0, -CLEAR_MM - size_mm),
            _ => tip + Point::new(0.0, CLEAR_MM),
        };
        let anchor = if name == "X" { Anchor::Left } else { Anchor::Middle };
        let text = Text { at, size_mm, angle_deg: 0.0, anchor, text: name.to_string() };
        art.items.push(Item::Text { layer: Layer::Notes, text });
    }
}

/// A letter beside each hole, where it covers least.
fn letters(art: &mut Art, view: &View) {
    let mut taken: Vec<Bounds> = art
        .items
        .iter()
        .filter(|i| !matches!(i, Item::Stroke { layer: Layer::Cut, .. }))
        .filter_map(Item::bounds)
        .map(|b| grown(b, CLEAR_MM / 2.0))
        .collect();
    // The finished edge counts side by side: its box would cover the whole piece.
    for outline in std::iter::once(&view.outline).chain(&view.cut_outs) {
        taken.extend(
            outline
                .segments()
                .iter()
                .filter_map(|s| Bounds::of([s.from(), s.point_at(0.25), s.point_at(0.5), s.point_at(0.75), s.to()])),
        );
    }
    for hole in &view.holes {
        let rim = marks::rim_bounds(&hole.shape, hole.at);
        let text = letter_place(&hole.letter, &rim, &taken);
        let b = text.bounds();
        taken.push(grown(b, CLEAR_MM / 2.0));
        let whole = marks::hole_bounds(&hole.shape, hole.at).union(&b);
        art.keeps.push(Keep { bounds: whole, letter: Some(hole.letter.clone()) });
        art.items.push(Item::Text { layer: Layer::Notes, text });
    }
}

/// The best of the places round a rim: four corners, three distances.
fn letter_place(letter: &str, rim: &Bounds, taken: &[Bounds]) -> Text {
    let size_mm = lettering::USUAL_MM;
    let wide = lettering::width_mm(letter, size_mm);
    let middle = (rim.low + rim.high) * 0.5;
    // On the diagonal of a round rim the corner of its box is empty.
    let inward = 0.2;
    let mut best: Option<(usize, Text)> = None;
    for off in [0.5, 3.0, 6.0] {
        for (right, up) in [(true, true), (true, false), (false, true), (false, false)] {
            let reach = Point::new(rim.width() / 2.0, rim.height() / 2.0) * (1.0 - inward) + Point::new(off, off);
            let x = if right { middle.x + reach.x + CLEAR_MM } else { middle.x - reach.x - CLEAR_MM - wide };
            let y = if up { middle.y + reach.y + CLEAR_MM } else { middle.y - reach.y - CLEAR_MM - size_mm };
            let text =
                Text { at: Point::new(x, y), size_mm, angle_deg: 0.0, anchor: Anchor::Left, text: letter.to_string() };
            let b = text.bounds();
            let hits = taken.iter().filter(|t| overlap(t, &b)).count();
            if best.as_ref().is_none_or(|(least, _)| hits < *least) {
                best = Some((hits, text));
            }
        }
    }
    best.expect("there are twelve places round a rim").1
}
