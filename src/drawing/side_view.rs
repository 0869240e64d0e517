//! The bent strip from its side, with the sizes to check it by, and what can be
//! said of the order of its bends.
//!
//! The view looks along the width: the outside face is on top, an up bend turns
//! upwards. It is drawn to fit, its numbers are true.

use super::lettering::{self, SMALL_MM};
use super::page::{Anchor, Item, Layer, LineType, Text};
use super::words::PaperUnits;
use crate::flat::FlatPattern;
use crate::geom::{Bounds, Point};
use crate::piece::BendTurn;
use std::f64::consts::FRAC_PI_2;

/// Steps of an arc.
const ARC_STEPS: usize = 12;
/// Height of the band, mm.
pub const SIDE_MM: f64 = 46.0;
/// Less straight metal between two bends than this cannot be held in a vice, in
/// thicknesses (common practice, no source).
const GRIP: f64 = 4.0;

/// The profile of a bent strip, mm.
#[derive(Clone, Debug)]
pub struct Side {
    /// The outside face, from the left end.
    pub outside: Vec<Point>,
    /// The other face.
    pub inside: Vec<Point>,
    /// Outside length of each leg: straight, and to the corners of its bends.
    pub legs: Vec<f64>,
}

/// Walks along the flat pattern and bends it.
pub fn side(pattern: &FlatPattern) -> Option<Side> {
    if pattern.bend_lines.is_empty() {
        return None;
    }
    let t = pattern.thickness.to_mm();
    let (mut at, mut heading, mut x) = (Point::default(), 0.0_f64, 0.0);
    let normal = |h: f64| Point::at_angle(h + FRAC_PI_2);
    let mut side = Side { outside: vec![at], inside: vec![at - normal(0.0) * t], legs: vec![] };
    let mut corner_before = 0.0;
    for b in &pattern.bend_lines {
        let straight = b.tangent_left - x;
        at = at + Point::at_angle(heading) * straight;
        x = b.tangent_right;
        let (a, r) = (b.angle.to_radians(), b.inside_radius.to_mm());
        let turn = if b.turn == BendTurn::Up { 1.0 } else { -1.0 };
        // The outside face is the inner one of an up bend.
        let top = if turn > 0.0 { r } else { r + t };
        let centre = at + normal(heading) * (turn * top);
        for i in 0..=ARC_STEPS {
            let h = heading + turn * a * i as f64 / ARC_STEPS as f64;
            side.outside.push(centre - normal(h) * (turn * top));
            side.inside.push(centre - normal(h) * (turn * top + t));
        }
        heading += turn * a;
        at = centre - normal(heading) * (turn * top);
        // To the outer corner; a bend of 180 deg and more has none: to the outermost line.
        let corner = if a < 3.0 { (r + t) * libm::tan(a / 2.0).min(1.0e3) } else { r + t };
        let corner = if a > FRAC_PI_2 { r + t } else { corner };
        side.legs.push(straight + corner_before + corner);
        corner_before = corner;
    }
    let straight = pattern.length.to_mm() - x;
    at = at + Point::at_angle(heading) * straight;
    side.outside.push(at);
    side.inside.push(at - normal(heading) * t);
    side.legs.push(straight + corner_before);
    Some(side)
}

/// The view in a box of the given width, y down from 0.
pub fn draw(pattern: &FlatPattern, units: PaperUnits, width: f64) -> Vec<Item> {
    let Some(side) = side(pattern) else { return vec![] };
    let Some(b) = Bounds::of(side.outside.iter().chain(&side.inside).copied()) else { return vec![] };
    let room = Point::new(width * 0.5, SIDE_MM - 12.0);
    let scale = (room.x / b.width().max(1e-6)).min(room.y / b.height().max(1e-6)).min(1.0);
    let low = Point::new(14.0, -SIDE_MM + 8.0);
    let place = |p: &Point| low + (*p - b.low) * scale;
    let mut items = vec![];
    let line = |kind, a: Point, b: Point| Item::line(Layer::Notes, kind, a, b);
    for face in [&side.outside, &side.inside] {
        let at: Vec<Point> = face.iter().map(place).collect();
        items.extend(at.windows(2).map(|w| line(LineType::Wide, w[0], w[1])));
    }
    for (a, c) in [(side.outside.first(), side.inside.first()), (side.outside.last(), side.inside.last())] {
        if let (Some(a), Some(c)) = (a, c) {
            items.push(line(LineType::Wide, place(a), place(c)));
        }
    }
    // Overall sizes, under and beside it.
    let high = place(&b.high);
    let y = low.y - 2.0;
    items.push(line(LineType::Narrow, Point::new(low.x, y), Point::new(high.x, y)));
    let x = low.x - 2.0;
    items.push(line(LineType::Narrow, Point::new(x, low.y), Point::new(x, high.y)));
    for (from, to, off) in [
        (Point::new(low.x, y), Point::new(high.x, y), Point::new(0.0, 1.2)),
        (Point::new(x, low.y), Point::new(x, high.y), Point::new(1.2, 0.0)),
    ] {
        items.extend([from, to].map(|p| line(LineType::Narrow, p - off, p + off)));
    }
    let text = |at: Point, angle_deg: f64, text: String| Item::Text {
        layer: Layer::Notes,
        text: Text { at, size_mm: SMALL_MM, angle_deg, anchor: Anchor::Middle, text },
    };
    items.push(text(Point::new((low.x + high.x) / 2.0, y - SMALL_MM - 1.6), 0.0, units.length(b.width())));
    items.push(text(Point::new(x - 1.6, (low.y + high.y) / 2.0), 90.0, units.length(b.height())));
    items.extend(words(&side, pattern, units, width));
    items
}

/// Beside the view: the legs' outside lengths and the order of the bends.
fn words(side: &Side, pattern: &FlatPattern, units: PaperUnits, width: f64) -> Vec<Item> {
    let left = 14.0 + width * 0.5 + 8.0;
    let legs: Vec<String> = side.legs.iter().map(|l| units.number(*l)).collect();
    let mut lines =
        vec![format!("Legs outside, corner to corner, left to right: {} {}.", legs.join(", "), units.word())];
    lines.push(format!("Order of bends, counted from the left: {}.", order(pattern.bend_lines.len())));
    lines.push("Drawn to fit; the numbers are true.".to_string());
    let mut y = -SMALL_MM - 1.0;
    let mut items = vec![];
    for line in lines.iter().flat_map(|l| lettering::wrapped(l, SMALL_MM, width - left)) {
        if y < -SIDE_MM + 2.0 {
            break;
        }
        items.push(Item::text(Layer::Notes, Point::new(left, y), SMALL_MM, line));
        y -= 4.3;
    }
    items
}

/// From the ends to the middle, so that each leg is still free when it is bent
/// (common practice, no source).
fn order(count: usize) -> String {
    let mut all: Vec<usize> = (0..count).collect();
    all.sort_by_key(|i| (i.min(&(count - 1 - i)).to_owned(), *i));
    all.iter().map(|i| (i + 1).to_string()).collect::<Vec<_>>().join(", ")
}

/// What can be decided about the bending: that the piece meets itself, that a
/// leg is too short to hold, that two legs close over the vice.
pub fn warnings(pattern: &FlatPattern, units: PaperUnits) -> Vec<String> {
    let Some(side) = side(pattern) else { return vec![] };
    let t = pattern.thickness.to_mm();
    let mut out = vec![];
    if meets_itself(&side, t) {
        out.push("The bent piece meets itself: check the lengths of its legs before you cut.".to_string());
    }
    let b = &pattern.bend_lines;
    for (i, pair) in b.windows(2).enumerate() {
        let straight = pair[1].tangent_left - pair[0].tangent_right;
        let (n, m) = (i + 1, i + 2);
        if straight < GRIP * t {
            out.push(format!(
                "Only {} straight between bends {n} and {m}: too short for a vice, bend it over a bar or in a press.",
                units.length(straight.max(0.0))
            ));
        }
        let turn = pair[0].angle.to_radians() + pair[1].angle.to_radians();
        let before = pair[0].tangent_left - i.checked_sub(1).map_or(0.0, |k| b[k].tangent_right);
        let after = b.get(i + 2).map_or(pattern.length.to_mm(), |n| n.tangent_left) - pair[1].tangent_right;
        if pair[0].turn == pair[1].turn && turn > 2.6 && straight < before.min(after) {
            out.push(format!(
                "Bends {n} and {m} close over the leg between them: make the second one over a loose bar, the vice \
                 would not let it out."
            ));
        }
    }
    out
}

/// Whether two places of the bent piece come nearer than its thickness.
fn meets_itself(side: &Side, t: f64) -> bool {
    const STEP: f64 = 2.0;
    let middle: Vec<Point> = side.outside.iter().zip(&side.inside).map(|(a, b)| (*a + *b) * 0.5).collect();
    let mut places: Vec<(f64, Point)> = vec![];
    let mut run = 0.0;
    for w in middle.windows(2) {
        let d = w[0].distance(w[1]);
        let n = ((d / STEP.max(t / 2.0)).ceil() as usize).clamp(1, 400);
        places.extend((0..n).map(|i| (run + d * i as f64 / n as f64, w[0] + (w[1] - w[0]) * (i as f64 / n as f64))));
        run += d;
    }
    // Along the metal two places this near are always near.
    let far = 8.0 * t + 2.0 * STEP;
    places.iter().enumerate().any(|(i, a)| places[i..].iter().any(|b| b.0 - a.0 > far && a.1.distance(b.1) < t * 0.98))
}

#[cfg(test)]
mod tests {
    use super::order;

    #[test]
    fn bends_go_from_the_ends_to_the_middle() {
        assert_eq!(order(4), "1, 4, 2, 3");
        assert_eq!(order(3), "1, 3, 2");
        assert_eq!(order(1), "1");
    }
}
