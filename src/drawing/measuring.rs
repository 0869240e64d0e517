//! The measuring sheet: what to take to the vehicle with a tape and a pencil.
//! A sketch shows where the tape hooks; each reading is taken twice; a
//! cross-check catches a wrong one.

use super::lettering::{self, SMALL_MM, USUAL_MM};
use super::page::{Anchor, Item, Layer, LineType, Page, Shape};
use super::paper::{Paper, PaperSetup};
use super::pen::{LINE_MM, stroke, words_at};
use crate::geom::{Bounds, Point, rectangle};

/// One line of the sketch; not to scale with anything but itself.
#[derive(Clone, Debug, PartialEq)]
pub struct SketchLine {
    /// Corners; two or more, or the middle of a circle alone.
    pub through: Vec<Point>,
    /// Diameter of a circle, mm; 0 for a line.
    pub diameter: f64,
    /// Words beside it.
    pub label: String,
    /// Whether it is there already.
    pub faint: bool,
}

/// Something to read off the tape.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Its name in the job.
    pub name: String,
    /// The question.
    pub what: String,
    /// Where to hook the tape.
    pub hook: String,
    /// Usual answer, limits.
    pub facts: String,
    /// Where the tape lies on the sketch.
    pub tape: Option<(Point, Point)>,
}

/// What the sheet of one part says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MeasuringSheet {
    /// Name of the part.
    pub part: String,
    /// What it is.
    pub says: String,
    /// The sketch.
    pub sketch: Vec<SketchLine>,
    /// What must be measured.
    pub readings: Vec<Reading>,
    /// Cross-checks: what, and what it must be.
    pub cross: Vec<Reading>,
    /// What may stay at its usual answer.
    pub choices: Vec<Reading>,
    /// Cautions of the part.
    pub cautions: Vec<String>,
}

const SKETCH_MM: f64 = 92.0;
const ROW_MM: f64 = 15.0;

/// Letter of the n-th reading: A to Z, then AA.
fn letter(n: usize) -> String {
    let one = |i: usize| char::from(b'A' + (i % 26) as u8);
    if n < 26 { one(n).to_string() } else { format!("{}{}", one(n / 26 - 1), one(n)) }
}

fn shape(line: LineType, shape: Shape) -> Item {
    Item::Stroke { layer: Layer::Notes, line, shape }
}

/// Pages for all parts, each part beginning a page.
pub fn draw_measuring(sheets: &[MeasuringSheet], job: &str, paper: Paper) -> Vec<Page> {
    let setup = PaperSetup::new(paper, false);
    let mut pages = vec![];
    for sheet in sheets {
        let mut writer = Writer { area: setup.printable(), y: 0.0, items: vec![], done: vec![] };
        writer.sheet(sheet, job);
        pages.extend(writer.done);
    }
    let total = pages.len();
    let area = setup.printable();
    pages
        .into_iter()
        .enumerate()
        .map(|(i, mut items)| {
            let foot = format!("measuring sheet, page {} of {total}; sketches are not to scale", i + 1);
            items.push(words_at(Point::new(area.high.x, area.low.y), SMALL_MM, Anchor::Right, &foot));
            setup.page(items)
        })
        .collect()
}

struct Writer {
    area: Bounds,
    /// Top of what is still free, mm.
    y: f64,
    items: Vec<Item>,
    done: Vec<Vec<Item>>,
}

impl Writer {
    fn fresh(&mut self, head: &str) {
        if !self.items.is_empty() {
            self.done.push(std::mem::take(&mut self.items));
        }
        self.y = self.area.high.y;
        self.lines(head, 5.0, 8.0);
    }

    fn room(&mut self, needed: f64, head: &str) {
        if self.y - needed < self.area.low.y + 6.0 {
            self.fresh(&format!("{head} (continued)"));
        }
    }

    fn lines(&mut self, words: &str, size: f64, step: f64) {
        for line in lettering::wrapped(words, size, self.area.width()) {
            self.y -= step;
            self.items.push(words_at(Point::new(self.area.low.x, self.y + step * 0.25), size, Anchor::Left, &line));
        }
    }

    fn sheet(&mut self, sheet: &MeasuringSheet, job: &str) {
        let head = format!("What to measure: {}", sheet.part);
        self.fresh(&head);
        self.lines(&format!("{}. Job: {job}", sheet.says.trim_end_matches('.')), SMALL_MM, LINE_MM);
        self.lines(
            "Read each twice, walking away in between; where the two differ by more than the tape's smallest \
             division, read a third time.",
            SMALL_MM,
            LINE_MM,
        );
        self.y -= 3.0;
        if !sheet.sketch.is_empty() {
            self.sketch(sheet);
        }
        self.heading_row();
        for (i, r) in sheet.readings.iter().enumerate() {
            self.reading(&letter(i), r, &head);
        }
        if !sheet.cross.is_empty() {
            self.room(2.0 * ROW_MM, &head);
            self.lines("Cross-checks: if one is out, read again before you cut", USUAL_MM, 7.0);
            for (i, r) in sheet.cross.iter().enumerate() {
                self.reading(&letter(sheet.readings.len() + i), r, &head);
            }
        }
        self.choices(sheet, &head);
        for c in &sheet.cautions {
            self.room(3.0 * LINE_MM, &head);
            self.lines(&format!("! {c}"), SMALL_MM, LINE_MM);
        }
        self.done.push(std::mem::take(&mut self.items));
    }

    fn heading_row(&mut self) {
        let x = self.area.high.x;
        self.y -= 5.0;
        for (dx, words) in [(71.0, "first reading"), (35.0, "second reading")] {
            self.items.push(words_at(Point::new(x - dx, self.y + 1.2), SMALL_MM, Anchor::Left, words));
        }
    }

    fn reading(&mut self, letter: &str, r: &Reading, head: &str) {
        let left = self.area.low.x + 12.0;
        let room = self.area.high.x - 76.0 - left;
        let mut words = lettering::wrapped(&r.what, SMALL_MM, room);
        let extra = [&r.hook, &r.facts].into_iter().filter(|t| !t.is_empty());
        words.extend(extra.flat_map(|t| lettering::wrapped(t, SMALL_MM, room)));
        let height = ROW_MM.max(words.len() as f64 * LINE_MM + 8.0);
        self.room(height, head);
        let top = self.y;
        self.items.push(stroke(LineType::Narrow, Point::new(self.area.low.x, top), Point::new(self.area.high.x, top)));
        self.items.push(words_at(
            Point::new(self.area.low.x + 4.0, top - 7.5),
            if letter.len() > 1 { 3.5 } else { 5.0 },
            Anchor::Middle,
            letter,
        ));
        self.items.push(words_at(Point::new(left, top - 4.6), USUAL_MM, Anchor::Left, &r.name));
        for (i, line) in words.iter().enumerate() {
            let y = top - 4.6 - LINE_MM * (i as f64 + 1.0);
            self.items.push(words_at(Point::new(left, y), SMALL_MM, Anchor::Left, line));
        }
        for dx in [71.0, 35.0] {
            let low = Point::new(self.area.high.x - dx, top - 11.5);
            self.items.push(Item::outline(Layer::Notes, LineType::Narrow, rectangle(low, 33.0, 9.5, 0.0)));
        }
        self.y -= height;
    }

    fn choices(&mut self, sheet: &MeasuringSheet, head: &str) {
        if sheet.choices.is_empty() {
            return;
        }
        self.room(4.0 * LINE_MM + 8.0, head);
        self.y -= 2.0;
        self.lines("These have a usual answer; write another one only where it differs", USUAL_MM, 7.0);
        for r in &sheet.choices {
            let room = self.area.width() - 40.0;
            let words = lettering::wrapped(&format!("{}: {} {}", r.name, r.what, r.facts), SMALL_MM, room);
            self.room(words.len() as f64 * LINE_MM + 3.0, head);
            let y = self.y - words.len() as f64 * LINE_MM;
            self.items.push(stroke(
                LineType::Hairline,
                Point::new(self.area.high.x - 36.0, y),
                Point::new(self.area.high.x, y),
            ));
            for line in words {
                self.y -= LINE_MM;
                let at = Point::new(self.area.low.x, self.y + 0.9);
                self.items.push(words_at(at, SMALL_MM, Anchor::Left, &line));
            }
            self.y -= 2.2;
        }
    }

    /// The sketch, fitted into a band, with the tapes as lettered arrows.
    fn sketch(&mut self, sheet: &MeasuringSheet) {
        let centre = Point::new(self.area.low.x + self.area.width() / 2.0, self.y - SKETCH_MM / 2.0);
        let room = (self.area.width() - 40.0, SKETCH_MM - 22.0);
        let Some(sketch) = draw_sketch(sheet, centre, room) else { return };
        self.items.extend(sketch.things);
        self.items.extend(sketch.tapes.into_iter().flat_map(|t| t.items));
        self.y -= SKETCH_MM;
    }
}

/// A sketch with its tapes apart from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Sketch {
    /// What is measured.
    pub things: Vec<Item>,
    /// Where the tape lies.
    pub tapes: Vec<Tape>,
}

/// A tape on a sketch.
#[derive(Clone, Debug, PartialEq)]
pub struct Tape {
    /// Its letter.
    pub letter: String,
    /// Name of the reading.
    pub name: String,
    /// The tape with its letter.
    pub items: Vec<Item>,
}

/// The sketch of a sheet round `centre`, inside `room` (width and height, mm; words
/// and letters stand out of it a little); `None` where nothing is drawn.
pub fn draw_sketch(sheet: &MeasuringSheet, centre: Point, room: (f64, f64)) -> Option<Sketch> {
    let reach = |l: &SketchLine| {
        let r = Point::new(l.diameter / 2.0, l.diameter / 2.0);
        l.through.iter().flat_map(move |p| [*p - r, *p + r]).collect::<Vec<_>>()
    };
    let all = || sheet.readings.iter().chain(&sheet.cross);
    let ends = all().filter_map(|r| r.tape).flat_map(|t| [t.0, t.1]);
    let b = Bounds::of(sheet.sketch.iter().flat_map(reach).chain(ends))?;
    let scale = (room.0 / b.width().max(1e-3)).min(room.1 / b.height().max(1e-3));
    let middle = Point::new(b.low.x + b.width() / 2.0, b.low.y + b.height() / 2.0);
    let on = |p: Point| centre + (p - middle) * scale;
    let mut things = vec![];
    for l in &sheet.sketch {
        let line = if l.faint { LineType::Narrow } else { LineType::Wide };
        let at: Vec<Point> = l.through.iter().map(|p| on(*p)).collect();
        if l.diameter > 0.0 {
            let d = l.diameter * scale;
            things.push(shape(line, Shape::Ellipse { centre: at[0], major: d, minor: d, lies_rad: 0.0 }));
        }
        things.extend(at.windows(2).map(|w| stroke(line, w[0], w[1])));
        if !l.label.is_empty() {
            let (at, anchor) = label_place(&at, l.diameter > 0.0);
            things.push(words_at(at, SMALL_MM, anchor, &l.label));
        }
    }
    let one = |(i, r): (usize, &Reading)| {
        let (from, to) = r.tape?;
        let letter = letter(i);
        Some(Tape { items: tape(on(from), on(to), centre, &letter), name: r.name.clone(), letter })
    };
    let tapes = all().enumerate().filter_map(one).collect();
    Some(Sketch { things, tapes })
}

/// Words stand in a circle or closed outline, else beside the longest run.
fn label_place(at: &[Point], round: bool) -> (Point, Anchor) {
    let first = at.first().copied().unwrap_or_default();
    let down = Point::new(0.0, -SMALL_MM / 2.0);
    if round || at.len() < 2 {
        return (first + down, Anchor::Middle);
    }
    if at.len() > 3 && at.last().is_some_and(|l| l.distance(first) < 1e-6) {
        let b = Bounds::of(at.iter().copied()).expect("there are corners");
        // Off the middle, where tapes and centre lines cross.
        return (Point::new(b.low.x + b.width() / 2.0, b.low.y + b.height() * 0.22) + down, Anchor::Middle);
    }
    let longest = at.windows(2).max_by(|a, b| a[0].distance(a[1]).total_cmp(&b[0].distance(b[1])));
    let (a, b) = longest.map_or((first, first), |w| (w[0], w[1]));
    let middle = (a + b) * 0.5;
    if (b.x - a.x).abs() < (b.y - a.y).abs() {
        let foot = if a.y < b.y { a } else { b };
        return (foot * 0.8 + (a + b - foot) * 0.2 + Point::new(1.5, 0.0), Anchor::Left);
    }
    (middle + Point::new(0.0, 1.2), Anchor::Middle)
}

/// A tape from hook to reading: an arrow at both ends, and its letter on the
/// side away from the middle of the sketch.
fn tape(from: Point, to: Point, centre: Point, letter: &str) -> Vec<Item> {
    let length = from.distance(to);
    if length < 1e-6 {
        return vec![words_at(to + Point::new(2.0, 2.0), 5.0, Anchor::Left, letter)];
    }
    let along = (to - from) * (1.0 / length);
    let up = Point::new(-along.y, along.x);
    let mut items = vec![stroke(LineType::Hairline, from, to)];
    for (tip, back) in [(from, along), (to, along * -1.0)] {
        for side in [1.0, -1.0] {
            items.push(stroke(LineType::Hairline, tip, tip + back * 3.0 + up * side));
        }
        items.push(stroke(LineType::Hairline, tip + up * 2.0, tip - up * 2.0));
    }
    // A third of the way, clear of what stands in the middle.
    let middle = from + (to - from) * 0.4;
    let away = middle - centre;
    let side = if away.x * up.x + away.y * up.y < -1e-6 { -1.0 } else { 1.0 };
    items.push(words_at(middle + up * (3.8 * side) - Point::new(0.0, 1.9), 4.0, Anchor::Middle, letter));
    items
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::page::holds;

    fn reading(name: &str, tape: Option<(Point, Point)>) -> Reading {
        Reading {
            name: name.into(),
            what: "how wide it is".into(),
            hook: "hook left".into(),
            facts: String::new(),
            tape,
        }
    }

    #[test]
    fn everything_stands_inside_the_margins_on_as_many_pages_as_needed() {
        let line = SketchLine {
            through: vec![Point::default(), Point::new(900.0, 0.0), Point::new(900.0, 300.0)],
            diameter: 0.0,
            label: "tank".into(),
            faint: false,
        };
        let sheet = MeasuringSheet {
            part: "Strap".into(),
            says: "a strap".into(),
            sketch: vec![line],
            readings: (0..30)
                .map(|i| reading(&format!("r{i}"), Some((Point::default(), Point::new(900.0, 0.0)))))
                .collect(),
            cross: vec![reading("diagonal", None)],
            choices: vec![reading("wall", None)],
            cautions: vec!["no fuel in the room".into()],
        };
        for paper in [Paper::A4, Paper::Letter] {
            let pages = draw_measuring(std::slice::from_ref(&sheet), "job", paper);
            assert!(pages.len() >= 2);
            let area = PaperSetup::new(paper, false).printable();
            for page in &pages {
                for item in &page.items {
                    let b = item.bounds().expect("bounds");
                    let b = Bounds { low: b.low + Point::new(0.0, 1.0), high: b.high };
                    assert!(holds(&area, &b), "{item:?}");
                }
            }
        }
    }

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!((letter(0), letter(25), letter(26), letter(27)), ("A".into(), "Z".into(), "AA".into(), "AB".into()));
    }
}
