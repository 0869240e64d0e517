//! Small pieces that share a sheet: each with a caption, its drawing and its table.

use super::art::{Art, draw_art};
use super::furniture::{self, STRIP_MM, drawing_area};
use super::lettering::{self, SMALL_MM, USUAL_MM};
use super::page::{Item, Layer, LineType};
use super::paper::{Paper, PaperSetup};
use super::table::{self, Flow};
use super::templates::{JobHeader, Sheet, UNDER_MM, about, headings};
use crate::flat::FlatPattern;
use crate::geom::{Bounds, Point};

/// A piece is small when it takes no more than this share of a sheet's height.
const SMALL_SHARE: f64 = 0.5;
const CAPTION_MM: f64 = 13.0;
/// Between two pieces, mm: they never crowd.
const GAP_MM: f64 = 8.0;

struct Small {
    art: Art,
    flow: Flow,
    height: f64,
}

fn small(pattern: &FlatPattern, job: &JobHeader, area: &Bounds) -> Option<Small> {
    // Most pieces show at once that they are not: they are drawn only once.
    if pattern.width.to_mm() > area.height() * SMALL_SHARE || pattern.length.to_mm() > area.width() {
        return None;
    }
    let art = draw_art(pattern, job.units)?;
    if art.bounds.width() > area.width() {
        return None;
    }
    let flow = table::flow(pattern, job, &about(&art), area.width());
    let height = CAPTION_MM + art.bounds.height() + UNDER_MM + flow.height();
    (height <= area.height() * SMALL_SHARE).then_some(Small { art, flow, height })
}

/// The pieces in their order, those that share a sheet together. A piece that
/// is not small stands alone; it does not close the sheet that small ones fill.
pub(super) fn groups(pieces: &[FlatPattern], job: &JobHeader, setup: PaperSetup) -> Vec<Vec<usize>> {
    let area = drawing_area(setup, STRIP_MM);
    let mut out: Vec<Vec<usize>> = vec![];
    let mut open: Option<(usize, f64)> = None;
    for (i, pattern) in pieces.iter().enumerate() {
        let Some(s) = small(pattern, job, &area).filter(|_| !matches!(job.paper, Paper::Roll(_))) else {
            out.push(vec![i]);
            continue;
        };
        match open {
            Some((group, used)) if used + GAP_MM + s.height <= area.height() => {
                out[group].push(i);
                open = Some((group, used + GAP_MM + s.height));
            }
            _ => {
                out.push(vec![i]);
                open = Some((out.len() - 1, s.height));
            }
        }
    }
    out
}

/// One sheet with several pieces, one under the other.
pub(super) fn sheet(group: &[usize], pieces: &[FlatPattern], job: &JobHeader, setup: PaperSetup) -> Sheet {
    let area = drawing_area(setup, STRIP_MM);
    let mut items = vec![];
    let mut top = area.high.y;
    let mut said: Vec<&[String]> = vec![];
    for (n, i) in group.iter().enumerate() {
        let pattern = &pieces[*i];
        let Some(mut s) = small(pattern, job, &area) else { continue };
        if said.contains(&pattern.cautions.as_slice()) {
            s.flow = table::flow_without_cautions(Flow::default(), pattern, job, &about(&s.art), area.width());
        }
        said.push(&pattern.cautions);
        if n > 0 {
            let y = top + GAP_MM / 2.0;
            items.push(Item::line(
                Layer::Frame,
                LineType::Narrow,
                Point::new(area.low.x, y),
                Point::new(area.high.x, y),
            ));
        }
        items.extend(caption(pattern, job, Point::new(area.low.x, top), area.width()));
        top -= CAPTION_MM;
        let b = s.art.bounds;
        let left = area.low.x + (area.width() - b.width()) / 2.0;
        let offset = Point::new(left - b.low.x, top - b.high.y);
        let clip = Bounds { low: Point::new(area.low.x, top - b.height()), high: Point::new(area.high.x, top) };
        let mut drawn = s.art.items.clone();
        drawn.extend(headings(&s.art, &b));
        items.push(Item::Window { clip, offset, items: drawn });
        top -= b.height() + UNDER_MM;
        let under = Bounds { low: area.low, high: Point::new(area.high.x, top) };
        items.extend(s.flow.place(0, &under, false).0);
        top -= s.flow.height() + GAP_MM;
    }
    Sheet { setup, pieces: group.to_vec(), items, cautions: true }
}

/// Name, how many, and what the title block says of a piece that stands alone.
fn caption(pattern: &FlatPattern, job: &JobHeader, at: Point, width: f64) -> Vec<Item> {
    let hand = furniture::hand_word(pattern);
    let hand = if hand == "–" { String::new() } else { format!(", {hand}") };
    let first = format!("{}: make {}{hand}", pattern.piece, pattern.copies);
    let second = format!(
        "{}; {}; cut from {}; {} each; piece no. {}",
        pattern.part,
        furniture::stock_words(pattern),
        furniture::cut_from(pattern, job),
        job.units.mass(pattern.mass),
        pattern.hash.chars().take(12).collect::<String>(),
    );
    let (first, size) = lettering::fitted(&first, 5.0, width);
    let (second, small) = lettering::fitted(&second, USUAL_MM, width);
    vec![
        Item::text(Layer::Notes, at - Point::new(0.0, 6.0), size, first),
        Item::text(Layer::Notes, at - Point::new(0.0, 6.0 + small.max(SMALL_MM) + 2.0), small, second),
    ]
}
