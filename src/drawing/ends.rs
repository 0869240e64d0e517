//! Long pieces without their middle: only the places with holes, bends and
//! ends, each with its distance from the datum end.

use super::art::Art;
use super::furniture::{MAP_STRIP_MM, STRIP_MM, drawing_area};
use super::lettering::{self, SMALL_MM, USUAL_MM};
use super::page::{Anchor, Item, Layer, LineType, Text};
use super::paper::PaperSetup;
use super::table;
use super::templates::{JobHeader, Sheet, about, headings, rest_of_flow};
use super::tiles;
use crate::flat::FlatPattern;
use crate::geom::{Bounds, Point};

/// Shown of each end, mm.
const END_MM: f64 = 30.0;
/// Free round what is shown, mm.
const AROUND_MM: f64 = 4.0;
/// Over each window: which stretch it is.
const SLOT_MM: f64 = 12.0;

/// Stretches of a long piece, and how the paper lies.
pub(super) struct Stretches {
    setup: PaperSetup,
    windows: Vec<Bounds>,
}

/// The stretches, where the piece's height fits on a sheet.
pub(super) fn windows(art: &Art, setups: &[PaperSetup; 2]) -> Option<Stretches> {
    let b = art.bounds;
    // Upright paper shows several stretches one under the other.
    setups.iter().find_map(|setup| {
        let area = drawing_area(*setup, STRIP_MM);
        if b.height() + SLOT_MM > area.height() {
            return None;
        }
        let mut spans: Vec<(f64, f64)> = art.keeps.iter().map(|k| (k.bounds.low.x, k.bounds.high.x)).collect();
        spans.push((b.low.x, (b.low.x + END_MM).min(b.high.x)));
        spans.push(((b.high.x - END_MM).max(b.low.x), b.high.x));
        spans.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)));
        let room = area.width();
        if spans.iter().any(|s| s.1 - s.0 > room) {
            return None;
        }
        Some(Stretches { setup: *setup, windows: cover(&spans, &b, room) })
    })
}

/// As few windows of at most `room` mm as hold every span whole.
fn cover(spans: &[(f64, f64)], b: &Bounds, room: f64) -> Vec<Bounds> {
    let mut out: Vec<Bounds> = vec![];
    let mut i = 0;
    while i < spans.len() {
        let low = spans[i].0;
        let mut high = spans[i].1;
        while i < spans.len() && spans[i].1 - low <= room {
            high = high.max(spans[i].1);
            i += 1;
        }
        // A little around it, where the paper allows.
        let spare = ((room - (high - low)) / 2.0).clamp(0.0, AROUND_MM);
        let (low, high) = ((low - spare).max(b.low.x), (high + spare).min(b.high.x));
        out.push(Bounds { low: Point::new(low, b.low.y), high: Point::new(high, b.high.y) });
    }
    out
}

/// The sheets with the stretches, then what is said of the piece.
pub(super) fn sheets(
    sheets: &mut Vec<Sheet>,
    piece: usize,
    pattern: &FlatPattern,
    job: &JobHeader,
    art: &Art,
    ends: &Stretches,
) {
    let setup = ends.setup;
    let area = drawing_area(setup, MAP_STRIP_MM.min(STRIP_MM));
    let slot = art.bounds.height() + SLOT_MM;
    let each = ((area.height() / slot) as usize).max(1);
    let mut more = vec![
        "Only the places with holes, bends and ends are drawn. Measure each stretch from the datum end along the edge; \
         never add up stretches."
            .to_string(),
    ];
    more.extend(about(art));
    let flow = table::flow(pattern, job, &more, area.width());
    let all = table::caution_bands(&flow, pattern);
    let mut next = 0;
    let count = ends.windows.len();
    for (first, few) in ends.windows.chunks(each).enumerate() {
        let mut items = vec![];
        let mut top = area.high.y;
        for (k, window) in few.iter().enumerate() {
            items.extend(stretch(window, first * each + k + 1, count, job, Point::new(area.low.x, top), area.width()));
            let offset = Point::new(area.low.x - window.low.x, top - SLOT_MM - window.high.y);
            let clip = Bounds { low: window.low + offset, high: window.high + offset };
            let mut inside = tiles::seen(art, &[], window);
            inside.extend(headings(art, window));
            items.push(Item::Window { clip, offset, items: inside });
            top -= slot;
        }
        let before = next;
        if first + 1 == count.div_ceil(each) {
            let under = Bounds { low: area.low, high: Point::new(area.high.x, top - 2.0) };
            let (placed, n) = flow.place(next, &under, false);
            items.extend(placed);
            next = n;
        }
        let cautions = all == 0 || (before == 0 && next >= all);
        sheets.push(Sheet { setup, pieces: vec![piece], items, cautions });
    }
    rest_of_flow(sheets, piece, pattern, setup, &flow, next);
}

/// Over a stretch: where it begins and ends, with a line at a round distance.
fn stretch(window: &Bounds, n: usize, count: usize, job: &JobHeader, at: Point, width: f64) -> Vec<Item> {
    let step = if job.units == super::words::PaperUnits::Metric { 10.0 } else { 25.4 };
    // The first round distance from the datum end that leaves room for its line.
    let mark = ((window.low.x + 2.0) / step).ceil() * step;
    let mut items = vec![];
    let x = at.x + mark - window.low.x;
    if mark < window.high.x {
        let line = |a: f64, b: f64| {
            Item::line(Layer::Frame, LineType::Narrow, Point::new(x, at.y - a), Point::new(x, at.y - b))
        };
        items.push(line(5.5, SLOT_MM));
        let says = format!("{} from the datum end", job.units.length(mark));
        let (says, size) = lettering::fitted(&says, SMALL_MM, width - (x - at.x) - 2.0);
        let text = Text {
            at: Point::new(x + 1.2, at.y - 8.6),
            size_mm: size,
            angle_deg: 0.0,
            anchor: Anchor::Left,
            text: says,
        };
        items.push(Item::Text { layer: Layer::Frame, text });
    }
    let says = format!("STRETCH {n} of {count}");
    items.push(Item::text(Layer::Frame, at - Point::new(0.0, USUAL_MM + 0.6), USUAL_MM, says));
    items
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_span_is_whole_in_one_window_and_the_middle_is_left_out() {
        let spans = [(0.0, 30.0), (12.0, 40.0), (900.0, 960.0), (1970.0, 2000.0)];
        let b = Bounds { low: Point::new(0.0, 0.0), high: Point::new(2000.0, 50.0) };
        let w = cover(&spans, &b, 170.0);
        assert_eq!(w.len(), 3);
        for s in spans {
            assert!(w.iter().any(|w| w.low.x <= s.0 && w.high.x >= s.1), "{s:?}");
        }
        assert!(w.iter().all(|w| w.width() <= 170.0 + 1e-9));
    }
}
