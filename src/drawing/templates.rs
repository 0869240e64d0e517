//! Drilling templates: every piece at true size on as many sheets as it needs.

use super::art::{self, Art, draw_art};
use super::furniture::{self, MAP_STRIP_MM, STRIP_MM, drawing_area};
use super::lettering::{self, SMALL_MM, USUAL_MM};
use super::page::{Anchor, Item, Layer, Page, Text};
use super::paper::{LONGEST_ROLL_MM, Paper, PaperSetup, PrinterCorrection};
use super::picture::Picture;
use super::shared;
use super::table::{self, Flow};
use super::tiles::{self, MOST_TILES, Tiling};
use super::vignette::vignette;
use super::words::PaperUnits;
use crate::flat::FlatPattern;
use crate::geom::{Bounds, Point};
use crate::handbook::drills::Drawer;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// What is drawn of a piece that is longer than the paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Long {
    /// All of it, over several sheets.
    Tile,
    /// Only the places with holes, bends and ends, each with its distance from the datum end.
    Ends,
}

/// What every sheet says about the job.
#[derive(Clone, Debug, PartialEq)]
pub struct JobHeader {
    /// Name of the job.
    pub job: String,
    /// Units of what is printed.
    pub units: PaperUnits,
    /// Hexadecimal hash of the input; its first 12 digits are printed.
    pub input_hash: String,
    /// What is in the printer.
    pub paper: Paper,
    /// What the printer makes of a millimetre.
    pub correction: PrinterCorrection,
    /// How long pieces are drawn.
    pub long: Long,
    /// Which drills are in the drawer.
    pub drawer: Drawer,
    /// Stock that each piece is cut from, by `part/piece`.
    pub cut_from: BTreeMap<String, String>,
    /// A picture of each finished piece, by `part/piece`, where its sheet has room.
    pub pictures: BTreeMap<String, Picture>,
}

impl JobHeader {
    /// A header for a true printer, tiled, without a cut plan.
    pub fn new(job: &str, units: PaperUnits, input_hash: &str, paper: Paper) -> JobHeader {
        JobHeader {
            job: job.to_string(),
            units,
            input_hash: input_hash.to_string(),
            paper,
            correction: PrinterCorrection::default(),
            long: Long::Tile,
            drawer: if units == PaperUnits::Inch { Drawer::Inch } else { Drawer::Metric },
            cut_from: BTreeMap::new(),
            pictures: BTreeMap::new(),
        }
    }

    fn setup(&self, landscape: bool) -> PaperSetup {
        PaperSetup { correction: self.correction, ..PaperSetup::new(self.paper, landscape) }
    }
}

/// A bookmark: a piece and the first page that shows it, from 0.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bookmark {
    /// Name of the part.
    pub part: String,
    /// Name of the piece.
    pub piece: String,
    /// Page, from 0.
    pub page: usize,
}

/// Pages, and where each piece is found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Templates {
    /// The pages.
    pub pages: Vec<Page>,
    /// A bookmark a piece, in the given order.
    pub marks: Vec<Bookmark>,
}

/// A sheet before it is known how many there are in all.
pub(super) struct Sheet {
    pub setup: PaperSetup,
    /// The pieces on it.
    pub pieces: Vec<usize>,
    pub items: Vec<Item>,
    /// Whether all cautions of its pieces are on it.
    pub cautions: bool,
}

/// Free between the drawing and what is written under it, mm.
pub(super) const UNDER_MM: f64 = 3.0;

/// The drilling templates of all pieces, in the given order, numbered through.
/// Small pieces share a sheet.
pub fn draw_templates(pieces: &[FlatPattern], job: &JobHeader) -> Templates {
    let groups = shared::groups(pieces, job, job.setup(false));
    let one_group = |group: &Vec<usize>| {
        let mut sheets = vec![];
        match group[..] {
            [one] => draw_piece(&mut sheets, one, &pieces[one], job),
            _ => sheets.push(shared::sheet(group, pieces, job, job.setup(false))),
        }
        sheets
    };
    let sheets: Vec<Sheet> = groups.par_iter().map(one_group).collect::<Vec<_>>().into_iter().flatten().collect();
    let first: BTreeMap<&[usize], usize> =
        sheets.iter().enumerate().rev().filter(|(_, s)| s.cautions).map(|(i, s)| (&s.pieces[..], i)).collect();
    let total = sheets.len();
    let (mut pages, mut pictured) = (vec![], BTreeSet::new());
    for (n, sheet) in sheets.iter().enumerate() {
        let shown: Vec<&FlatPattern> = sheet.pieces.iter().map(|i| &pieces[*i]).collect();
        let mut items = sheet.items.clone();
        let warns = shown.iter().any(|p| !p.cautions.is_empty());
        let elsewhere = first.get(&sheet.pieces[..]).copied();
        if let (false, true, Some(at)) = (sheet.cautions, warns, elsewhere) {
            items.push(caution_pointer(sheet.setup, at + 1));
        }
        items.extend(furniture::check_bars(sheet.setup, job.units, &correction_words(job.correction)));
        items.extend(furniture::title_block(sheet.setup, &shown, job, n + 1, total));
        // On the first sheet of the piece that has room.
        if let [one] = &shown[..]
            && let Some(picture) = job.pictures.get(&one.key()).filter(|_| !pictured.contains(&sheet.pieces[0]))
        {
            let drawn = vignette(picture, &sheet.setup, &items);
            if !drawn.is_empty() {
                pictured.insert(sheet.pieces[0]);
            }
            items.extend(drawn);
        }
        pages.push(sheet.setup.page(items));
    }
    let mut begins: BTreeMap<usize, usize> = BTreeMap::new();
    for (page, s) in sheets.iter().enumerate() {
        s.pieces.iter().for_each(|i| {
            begins.entry(*i).or_insert(page);
        });
    }
    let mark = |(i, p): (usize, &FlatPattern)| {
        Some(Bookmark { part: p.part.clone(), piece: p.piece.clone(), page: *begins.get(&i)? })
    };
    let marks = pieces.iter().enumerate().filter_map(mark).collect();
    Templates { pages, marks }
}

fn correction_words(c: PrinterCorrection) -> String {
    if c.is_none() {
        return "printer: taken as true; droprack printer-test measures it".to_string();
    }
    format!("corrected: X × {:.4}, Y × {:.4} (upright page)", c.x, c.y)
}

fn caution_pointer(setup: PaperSetup, number: usize) -> Item {
    let p = setup.printable();
    let text = Text {
        at: Point::new(p.high.x, p.high.y - USUAL_MM),
        size_mm: USUAL_MM,
        angle_deg: 0.0,
        anchor: Anchor::Right,
        text: format!("CAUTION: read page {number} first"),
    };
    Item::Text { layer: Layer::Notes, text }
}

fn draw_piece(sheets: &mut Vec<Sheet>, piece: usize, pattern: &FlatPattern, job: &JobHeader) {
    let setups = [false, true].map(|landscape| job.setup(landscape));
    let Some(art) = draw_art(pattern, job.units) else {
        return table_sheets(
            sheets,
            piece,
            pattern,
            job,
            setups[0],
            &["This piece has no outline to draw.".to_string()],
        );
    };
    if let Paper::Roll(_) = job.paper {
        // As long as it needs; the printer cuts it off.
        let bare = job.setup(false);
        let spare = bare.size_mm().0 - drawing_area(bare, STRIP_MM).width();
        let roll_mm = (art.bounds.width() * bare.factors().0 + spare + 20.0).min(LONGEST_ROLL_MM);
        return one_sheet(sheets, piece, pattern, job, PaperSetup { roll_mm, ..bare }, &art);
    }
    let fits = |s: &PaperSetup| {
        let a = drawing_area(*s, STRIP_MM);
        art.bounds.width() <= a.width() && art.bounds.height() <= a.height()
    };
    if let Some(setup) = setups.iter().find(|s| fits(s)) {
        return one_sheet(sheets, piece, pattern, job, *setup, &art);
    }
    // A wrap has no middle to leave out: its paper goes round.
    if job.long == Long::Ends
        && super::wraps::wrapped(pattern).is_none()
        && let Some(ends) = super::ends::windows(&art, &setups)
    {
        return super::ends::sheets(sheets, piece, pattern, job, &art, &ends);
    }
    let tiled = |s: &PaperSetup| {
        let a = drawing_area(*s, MAP_STRIP_MM);
        tiles::tile(&art, a.width(), a.height()).map(|t| (*s, t))
    };
    let wide = art.bounds.width() >= art.bounds.height();
    let order = if wide { [setups[1], setups[0]] } else { setups };
    match order.iter().filter_map(tiled).min_by_key(|(_, t)| t.windows.len()) {
        Some((setup, tiling)) => many_sheets(sheets, piece, pattern, job, setup, &art, &tiling),
        None => {
            let more = format!(
                "This piece would take more than {MOST_TILES} sheets, so it is not drawn at true size: mark it out \
                 from the table with a tape."
            );
            table_sheets(sheets, piece, pattern, job, setups[0], &[more]);
        }
    }
}

/// Sentences about this drawing.
pub(super) fn about(art: &Art) -> Vec<String> {
    if art.homeless.is_empty() {
        return vec![];
    }
    vec![format!(
        "Not drawn, for want of a view of their face: {}. Mark them out from the table.",
        art.homeless.join(", ")
    )]
}

/// Headings whose line lies whole in the window, beginning at its left edge or
/// where the drawing begins.
pub(super) fn headings(art: &Art, window: &Bounds) -> Vec<Item> {
    // On a tile that goes on from another one the ring of the seam comes first.
    const PAST_THE_RING_MM: f64 = 14.0;
    let begin = |x: f64| {
        let ring = if x < window.low.x { PAST_THE_RING_MM } else { 1.0 };
        x.max(window.low.x + ring)
    };
    art.headings
        .iter()
        .map(|h| {
            let mut text = art::heading_text(h, begin(h.at.x));
            text.text = lettering::shortened(&text.text, text.size_mm, window.high.x - text.at.x);
            text
        })
        .filter(|t| {
            let b = t.bounds();
            b.low.y >= window.low.y && b.high.y <= window.high.y
        })
        .map(|text| Item::Text { layer: Layer::Notes, text })
        .collect()
}

fn one_sheet(
    sheets: &mut Vec<Sheet>,
    piece: usize,
    pattern: &FlatPattern,
    job: &JobHeader,
    setup: PaperSetup,
    art: &Art,
) {
    let area = drawing_area(setup, STRIP_MM);
    let offset = Point::new(
        area.low.x + (area.width() - art.bounds.width()) / 2.0 - art.bounds.low.x,
        area.high.y - art.bounds.high.y,
    );
    let mut items = art.items.clone();
    items.extend(headings(art, &art.bounds));
    let mut items = vec![Item::Window { clip: area, offset, items }];
    let flow = table::flow(pattern, job, &about(art), area.width());
    let under = Bounds { low: area.low, high: Point::new(area.high.x, art.bounds.low.y + offset.y - UNDER_MM) };
    let (more, next) = flow.place(0, &under, false);
    items.extend(more);
    let cautions = next >= table::caution_bands(&flow, pattern);
    sheets.push(Sheet { setup, pieces: vec![piece], items, cautions });
    rest_of_flow(sheets, piece, pattern, setup, &flow, next);
}

fn many_sheets(
    sheets: &mut Vec<Sheet>,
    piece: usize,
    pattern: &FlatPattern,
    job: &JobHeader,
    setup: PaperSetup,
    art: &Art,
    tiling: &Tiling,
) {
    let area = drawing_area(setup, MAP_STRIP_MM);
    let mut more = about(art);
    let cut: Vec<&str> = tiles::never_whole(art, &tiling.windows).iter().filter_map(|k| k.letter.as_deref()).collect();
    if !cut.is_empty() {
        more.push(format!("Larger than a sheet, so whole only after taping: {}.", cut.join(", ")));
    }
    let flow = table::flow(pattern, job, &more, area.width());
    let mut next = 0;
    for (i, window) in tiling.windows.iter().enumerate() {
        let offset = Point::new(area.low.x - window.low.x, area.high.y - window.high.y);
        let clip = Bounds { low: window.low + offset, high: window.high + offset };
        let mut inside = tiles::seen(art, &tiling.marks, window);
        inside.extend(headings(art, window));
        let mut items = vec![Item::Window { clip, offset, items: inside }];
        items.extend(tile_strip(setup, tiling, i, job.units));
        // One row of tiles leaves room under it; the text begins there.
        let cautions_before = next;
        if tiling.windows.len() == tiling.columns {
            let under = Bounds { low: area.low, high: Point::new(area.high.x, clip.low.y - UNDER_MM) };
            let (placed, n) = flow.place(next, &under, false);
            items.extend(placed);
            next = n;
        }
        let all = table::caution_bands(&flow, pattern);
        let cautions = all == 0 || (cautions_before == 0 && next >= all);
        sheets.push(Sheet { setup, pieces: vec![piece], items, cautions });
    }
    rest_of_flow(sheets, piece, pattern, setup, &flow, next);
}

/// Over the drawing: which tile this is, the map, how to lay the sheets together.
fn tile_strip(setup: PaperSetup, tiling: &Tiling, current: usize, units: PaperUnits) -> Vec<Item> {
    let p = setup.printable();
    let line = |k: f64, size, text: String| Item::text(Layer::Frame, Point::new(p.low.x, p.high.y - k), size, text);
    let mut items = vec![
        line(5.0, 5.0, format!("TILE {} of {}", current + 1, tiling.windows.len())),
        line(11.0, SMALL_MM, "Lay ring on ring, then tape.".to_string()),
    ];
    let far = tiling.marks.iter().flat_map(|a| tiling.marks.iter().map(move |b| (*a, *b)));
    if let Some((a, b)) = far.max_by(|s, t| s.0.distance(s.1).total_cmp(&t.0.distance(t.1))) {
        let text = format!("Check when taped: farthest rings {}", units.length(a.distance(b)));
        items.push(line(15.5, SMALL_MM, text));
    }
    let left = p.low.x + lettering::width_mm("Check when taped: farthest rings 00000.00 mm", SMALL_MM) + 5.0;
    // The right end of the first line belongs to the pointer to the cautions.
    let room = Bounds {
        low: Point::new(left, p.high.y - MAP_STRIP_MM + 3.0),
        high: Point::new(p.high.x - 2.0, p.high.y - USUAL_MM - 3.0),
    };
    items.extend(furniture::tile_map(&tiling.windows, current, &room));
    items
}

/// What did not fit under the drawing, on sheets of its own.
pub(super) fn rest_of_flow(
    sheets: &mut Vec<Sheet>,
    piece: usize,
    pattern: &FlatPattern,
    setup: PaperSetup,
    flow: &Flow,
    mut next: usize,
) {
    let area = drawing_area(setup, STRIP_MM);
    let all = table::caution_bands(flow, pattern);
    while next < flow.bands.len() {
        let cautions = next < all;
        let (items, n) = flow.place(next, &area, true);
        next = n;
        sheets.push(Sheet { setup, pieces: vec![piece], items, cautions });
    }
}

fn table_sheets(
    sheets: &mut Vec<Sheet>,
    piece: usize,
    pattern: &FlatPattern,
    job: &JobHeader,
    setup: PaperSetup,
    more: &[String],
) {
    let flow = table::flow(pattern, job, more, drawing_area(setup, STRIP_MM).width());
    rest_of_flow(sheets, piece, pattern, setup, &flow, 0);
}
