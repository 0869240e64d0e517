//! Where the boxes of measured values stand on a sketch: as near as can be to the
//! middle of their tape, and on nothing that has to be seen.
//!
//! Everything is in the units of the sketch; on a wide screen one of them is a quarter
//! of a line of letters (`0.25rem`), so that boxes, which are as large as their letters
//! need, have a known size there. On a narrow screen the boxes stand in a list, and the
//! letters tie them to the tapes.

use crate::drawing::{Item, LineType, Shape, Sketch};
use crate::geom::{Bounds, Point};

/// Width and height that a sketch with boxes is fitted into, units.
pub const BENCH_ROOM: (f64, f64) = (78.0, 60.0);
/// Width of the whole bench, units.
pub(super) const WIDE: f64 = 142.0;
/// Width and height of a box with its name, and the width of one that holds a formula, units.
pub(super) const BOX: (f64, f64) = (42.0, 14.0);
pub(super) const FORMULA: f64 = 58.0;
/// Round a letter on the sketch, units.
pub(super) const BALLOON: f64 = 3.2;
/// Room between two boxes, units.
const BETWEEN: f64 = 1.6;
/// Step from place to place that is tried, units.
const STEP: f64 = 2.0;
/// More boxes than this are a list: on one sketch nobody would find them.
const MOST: usize = 16;
/// What a unit of way from letter to box is worth, as a unit of a line that is covered is.
const FAR: f64 = 1.6;
/// How often each box is put anew, once the others stand.
const ROUNDS: usize = 3;
/// How many of the boxes are tried as the first.
const ORDERS: usize = 6;

/// A box that wants a place.
pub(super) struct Wanted {
    /// Its tape, by number.
    pub tape: usize,
    /// Its width.
    pub width: f64,
}

/// Boxes on the bench, in the order that they were wanted in.
pub(super) struct Bench {
    /// All that is seen: the sketch and its boxes.
    pub view: Bounds,
    /// The boxes.
    pub boxes: Vec<Bounds>,
}

/// Middle of a tape's letter.
pub(super) fn balloon(items: &[Item]) -> Option<Point> {
    items.iter().rev().find_map(|i| match i {
        Item::Text { text, .. } => Some(text.at + Point::new(0.0, text.size_mm / 2.0)),
        _ => None,
    })
}

/// A place for each box; `None` where there is none for one of them, and they stay a list.
pub(super) fn bench(sketch: &Sketch, wanted: &[Wanted]) -> Option<Bench> {
    let around = Around::of(sketch)?;
    // Measures beyond all reason make a drawing that is nowhere.
    let high = around.all.height();
    if wanted.len() > MOST || !high.is_finite() || high > 4.0 * BENCH_ROOM.1 {
        return None;
    }
    let hooks: Vec<Point> =
        wanted.iter().map(|w| sketch.tapes.get(w.tape).and_then(|t| balloon(&t.items))).collect::<Option<_>>()?;
    // What is put first has the choice: several are tried as the first, and the best of all is kept.
    let laid = (0..wanted.len().min(ORDERS)).filter_map(|first| around.laid(first, &hooks, wanted));
    let boxes = laid.reduce(|a, b| if b.0 < a.0 - 1e-9 { b } else { a })?.1;
    let view = boxes.iter().fold(around.all, |a, b| Bounds::union(&a, b));
    let (low, high) = (view.low.y - BETWEEN, view.high.y + BETWEEN);
    let view = Bounds { low: Point::new(-WIDE / 2.0, low), high: Point::new(WIDE / 2.0, high) };
    Some(Bench { view, boxes })
}

/// Where the line from a tape's letter meets its box; `None` where the box covers or touches the letter's round.
pub(super) fn leader(hook: Point, b: &Bounds) -> Option<(Point, Point)> {
    let near = nearest(hook, b);
    let far = near.distance(hook);
    (far > BALLOON + 1.0).then(|| (hook + (near - hook) * (BALLOON / far), near))
}

fn nearest(p: Point, b: &Bounds) -> Point {
    Point::new(p.x.max(b.low.x).min(b.high.x), p.y.max(b.low.y).min(b.high.y))
}

fn apart(a: &Bounds, b: &Bounds, by: f64) -> bool {
    a.high.x + by <= b.low.x || b.high.x + by <= a.low.x || a.high.y + by <= b.low.y || b.high.y + by <= a.low.y
}

/// How much of a line lies in a box.
fn inside(from: Point, to: Point, b: &Bounds) -> f64 {
    let d = to - from;
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    for (p, along, least, most) in [(from.x, d.x, b.low.x, b.high.x), (from.y, d.y, b.low.y, b.high.y)] {
        if along.abs() < 1e-9 {
            if p < least || p > most {
                return 0.0;
            }
            continue;
        }
        let (a, c) = ((least - p) / along, (most - p) / along);
        low = low.max(a.min(c));
        high = high.min(a.max(c));
    }
    (high - low).max(0.0) * d.length()
}

/// Whether two lines cross.
fn cross(a: (Point, Point), b: (Point, Point)) -> bool {
    let side = |l: (Point, Point), p: Point| (l.1 - l.0).cross(p - l.0);
    side(a, b.0) * side(a, b.1) < 0.0 && side(b, a.0) * side(b, a.1) < 0.0
}

/// What a box may stand in the way of.
struct Around {
    /// Lines, and how much one unit of each is worth.
    lines: Vec<(Point, Point, f64)>,
    /// Words and letters.
    words: Vec<Bounds>,
    all: Bounds,
}

impl Around {
    fn of(sketch: &Sketch) -> Option<Around> {
        let mut out =
            Around { lines: vec![], words: vec![], all: Bounds { low: Point::default(), high: Point::default() } };
        let faint = |i: &Item| matches!(i, Item::Stroke { line: LineType::Narrow, .. });
        let things = sketch.things.iter().map(|i| (i, if faint(i) { 0.7 } else { 2.0 }));
        let tapes = sketch.tapes.iter().flat_map(|t| &t.items).map(|i| (i, 1.5));
        for (item, worth) in things.chain(tapes) {
            match item {
                Item::Stroke { shape: Shape::Line { from, to }, .. } => out.lines.push((*from, *to, worth)),
                Item::Stroke { shape: Shape::Ellipse { centre, major, .. }, .. } => {
                    let r = Point::new(major / 2.0, 0.0);
                    out.lines.push((*centre - r, *centre + r, worth * 2.0));
                }
                Item::Text { .. } => out.words.extend(item.bounds()),
                _ => {}
            }
        }
        let round = Point::new(BALLOON, BALLOON);
        let letters = sketch.tapes.iter().filter_map(|t| balloon(&t.items));
        out.words.extend(letters.map(|p| Bounds { low: p - round, high: p + round }));
        let items = sketch.things.iter().chain(sketch.tapes.iter().flat_map(|t| &t.items));
        out.all = items.filter_map(Item::bounds).reduce(|a, b| Bounds::union(&a, &b))?;
        Some(out)
    }

    /// All boxes, put one after the other beginning with `first`, and what they cost together.
    fn laid(&self, first: usize, hooks: &[Point], wanted: &[Wanted]) -> Option<(f64, Vec<Bounds>)> {
        let count = wanted.len();
        let mut boxes: Vec<Option<Bounds>> = vec![None; count];
        for _ in 0..ROUNDS {
            for i in (0..count).map(|k| (k + first) % count) {
                boxes[i] = None;
                boxes[i] = self.best(i, hooks, &boxes, wanted[i].width);
            }
        }
        let mut cost = 0.0;
        for i in 0..count {
            let own = boxes[i].take()?;
            cost += self.cost(&own, i, hooks, &boxes);
            boxes[i] = Some(own);
        }
        Some((cost, boxes.into_iter().flatten().collect()))
    }

    /// The best place for one box while the others stand.
    fn best(&self, i: usize, hooks: &[Point], boxes: &[Option<Bounds>], width: f64) -> Option<Bounds> {
        let half = Point::new(width / 2.0, BOX.1 / 2.0);
        let across = ((WIDE / 2.0 - half.x) / STEP).floor() as i32;
        let (low, high) = (self.all.low.y - 2.0 * BOX.1, self.all.high.y + 2.0 * BOX.1);
        let rows = ((high - low) / STEP).ceil() as i32;
        let mut best: Option<(f64, Bounds)> = None;
        for row in 0..=rows {
            for column in -across..=across {
                let middle = Point::new(f64::from(column) * STEP, high - f64::from(row) * STEP);
                let b = Bounds { low: middle - half, high: middle + half };
                // The way from the letter alone may be too dear already.
                let most = best.as_ref().map_or(f64::INFINITY, |b| b.0);
                let far = FAR * nearest(hooks[i], &b).distance(hooks[i]);
                if far >= most || boxes.iter().flatten().any(|o| !apart(&b, o, BETWEEN)) {
                    continue;
                }
                let cost = self.cost(&b, i, hooks, boxes);
                if best.as_ref().is_none_or(|(c, _)| cost < *c - 1e-9) {
                    best = Some((cost, b));
                }
            }
        }
        best.map(|b| b.1)
    }

    fn cost(&self, b: &Bounds, i: usize, hooks: &[Point], boxes: &[Option<Bounds>]) -> f64 {
        let hook = hooks[i];
        let mut cost = FAR * nearest(hook, b).distance(hook);
        cost += self.lines.iter().map(|(p, q, worth)| inside(*p, *q, b) * worth).sum::<f64>();
        cost += self.words.iter().filter(|w| !apart(b, w, 0.4)).count() as f64 * 80.0;
        // The bench is no higher than it has to be.
        cost += ((b.high.y - self.all.high.y).max(0.0) + (self.all.low.y - b.low.y).max(0.0)) * 0.7;
        let Some(own) = leader(hook, b) else { return cost };
        cost += self.words.iter().map(|w| if inside(own.0, own.1, w) > 0.2 { 25.0 } else { 0.0 }).sum::<f64>();
        for (k, other) in boxes.iter().enumerate() {
            let Some(other) = other else { continue };
            cost += inside(own.0, own.1, other) * 8.0;
            if let Some(its) = leader(hooks[k], other) {
                cost += inside(its.0, its.1, b) * 8.0 + if cross(own, its) { 60.0 } else { 0.0 };
            }
        }
        cost
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{MeasuringSheet, Reading, SketchLine, draw_sketch};

    /// Six tapes side by side over the same thing: as crowded as a sketch gets.
    fn crowded() -> Sketch {
        let through = [(0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (0.0, 200.0), (0.0, 0.0)];
        let line = SketchLine {
            through: through.iter().map(|p| Point::new(p.0, p.1)).collect(),
            diameter: 0.0,
            label: "tank".into(),
            faint: false,
        };
        let reading = |i: usize| Reading {
            name: format!("r{i}"),
            what: String::new(),
            hook: String::new(),
            facts: String::new(),
            tape: Some((Point::new(0.0, 30.0 * i as f64), Point::new(300.0, 30.0 * i as f64))),
        };
        let sheet =
            MeasuringSheet { sketch: vec![line], readings: (0..6).map(reading).collect(), ..MeasuringSheet::default() };
        draw_sketch(&sheet, Point::default(), BENCH_ROOM).unwrap()
    }

    #[test]
    fn boxes_lie_on_no_other_box_and_on_no_letter() {
        let sketch = crowded();
        let wanted: Vec<Wanted> =
            (0..6).map(|tape| Wanted { tape, width: if tape == 3 { FORMULA } else { BOX.0 } }).collect();
        let bench = bench(&sketch, &wanted).unwrap();
        for (i, b) in bench.boxes.iter().enumerate() {
            assert!((b.width() - wanted[i].width).abs() < 1e-9 && (b.height() - BOX.1).abs() < 1e-9);
            assert!(b.low.x >= -WIDE / 2.0 - 1e-9 && b.high.x <= WIDE / 2.0 + 1e-9, "box {i} stands out of the bench");
            assert!(b.low.y >= bench.view.low.y && b.high.y <= bench.view.high.y, "box {i} is cut off");
            assert!(bench.boxes[..i].iter().all(|o| apart(b, o, BETWEEN - 1e-9)), "box {i} lies on another one");
            for t in &sketch.tapes {
                let p = balloon(&t.items).unwrap();
                assert!(nearest(p, b).distance(p) > 1.0, "box {i} lies on the letter {}", t.letter);
            }
        }
    }

    #[test]
    fn what_cannot_be_placed_stays_a_list() {
        let wanted = |n: usize| (0..n).map(|i| Wanted { tape: i % 6, width: BOX.0 }).collect::<Vec<_>>();
        assert!(bench(&crowded(), &wanted(MOST + 1)).is_none());
        assert!(bench(&crowded(), &[Wanted { tape: 9, width: BOX.0 }]).is_none());
        for far in [f64::NAN, f64::INFINITY, 1e300] {
            let mut nowhere = crowded();
            let beyond = Point::new(0.0, far);
            let Some(Item::Stroke { shape, .. }) = nowhere.things.first_mut() else { panic!("a line") };
            *shape = Shape::Line { from: beyond, to: Point::new(1.0, 0.0) };
            if let Some(laid) = bench(&nowhere, &wanted(3)) {
                assert!(laid.boxes.iter().all(|b| b.low.is_finite() && b.high.is_finite()), "{far}");
            }
        }
    }

    #[test]
    fn a_line_is_measured_inside_a_box() {
        let b = Bounds { low: Point::new(0.0, 0.0), high: Point::new(10.0, 4.0) };
        assert!((inside(Point::new(-5.0, 2.0), Point::new(5.0, 2.0), &b) - 5.0).abs() < 1e-9);
        assert!(inside(Point::new(-5.0, 5.0), Point::new(5.0, 5.0), &b) < 1e-9);
        assert!((inside(Point::new(3.0, -3.0), Point::new(3.0, 30.0), &b) - 4.0).abs() < 1e-9);
    }

    #[test]
    fn a_box_beside_its_letter_needs_no_line() {
        let b = Bounds { low: Point::new(4.0, -7.0), high: Point::new(44.0, 7.0) };
        assert!(leader(Point::default(), &b).is_none());
        let (from, to) = leader(Point::new(-20.0, 0.0), &b).unwrap();
        assert!((from.x + 16.8).abs() < 1e-9 && (to.x - 4.0).abs() < 1e-9);
    }
}
