//! Marks for the drill and the punch: rims, cross hairs, punch crosses, and the
//! marks by which two sheets are laid together.

use super::page::{Item, Layer, LineType, Shape};
use crate::geom::{Bounds, Point};
use crate::piece::HoleShape;
use std::f64::consts::{FRAC_PI_2, TAU};

/// Cross hairs reach this far past the rim, mm, so that they stay visible round
/// a washer or a punch (common practice, no source).
pub const HAIR_MM: f64 = 5.0;
/// Free between rim and cross hair, mm: the eye sees the rim close.
pub const RIM_GAP_MM: f64 = 0.8;
/// Half the punch cross, mm.
const PUNCH_MM: f64 = 1.2;
/// Radius of a registration mark's ring, mm.
pub const REGISTRATION_MM: f64 = 2.5;
/// A registration mark reaches this far from its centre, mm.
pub const REGISTRATION_REACH_MM: f64 = 5.0;

fn hair(from: Point, to: Point) -> Item {
    Item::line(Layer::Centre, LineType::Hairline, from, to)
}

/// A cross at the point for the punch, turned with the hole; small enough to
/// lie inside a hole of half-width `room`.
fn punch(at: Point, lies: f64, room: f64) -> [Item; 2] {
    let half = PUNCH_MM.min(room * 0.6);
    let (u, v) = (Point::at_angle(lies) * half, Point::at_angle(lies + FRAC_PI_2) * half);
    [hair(at - u, at + u), hair(at - v, at + v)]
}

/// A cross hair outside the rim: from `rim` to past it, in direction `lies`.
fn arm(centre: Point, lies: f64, rim: f64) -> Item {
    let u = Point::at_angle(lies);
    hair(centre + u * (rim + RIM_GAP_MM), centre + u * (rim + HAIR_MM))
}

/// Rim, cross hairs and punch crosses of a hole.
pub fn hole(shape: &HoleShape, at: Point) -> Vec<Item> {
    let rim = |shape| Item::Stroke { layer: Layer::Holes, line: LineType::Hairline, shape };
    let quarters = |a: f64| (0..4).map(move |k| (k, a + f64::from(k) * FRAC_PI_2));
    let mut items = vec![];
    match *shape {
        HoleShape::Round { diameter } => {
            let radius = diameter / 2.0;
            items.push(rim(Shape::Arc { centre: at, radius, start_rad: 0.0, sweep_rad: TAU }));
            items.extend(quarters(0.0).map(|(_, a)| arm(at, a, radius)));
            items.extend(punch(at, 0.0, radius));
        }
        HoleShape::Slot { length, width, lies } => {
            items.extend(shape.outline(at).map(|l| rim(Shape::Outline(l))));
            let half = Point::at_angle(lies) * ((length - width) / 2.0);
            for (end, out) in [(at - half, -1.0), (at + half, 1.0)] {
                items.push(arm(end, if out < 0.0 { lies + std::f64::consts::PI } else { lies }, width / 2.0));
                items.push(arm(end, lies + FRAC_PI_2, width / 2.0));
                items.push(arm(end, lies - FRAC_PI_2, width / 2.0));
                items.extend(punch(end, lies, width / 2.0));
            }
            if half.length() > 2.0 * PUNCH_MM {
                let clear = Point::at_angle(lies) * (PUNCH_MM + RIM_GAP_MM);
                items.push(Item::line(Layer::Centre, LineType::LongDashDot, at - half + clear, at + half - clear));
            }
        }
        HoleShape::Ellipse { major, minor, lies } => {
            items.push(rim(Shape::Ellipse { centre: at, major, minor, lies_rad: lies }));
            let reach = |k: i32| if k % 2 == 0 { major / 2.0 } else { minor / 2.0 };
            items.extend(quarters(lies).map(|(k, a)| arm(at, a, reach(k))));
            items.extend(punch(at, lies, minor.min(major) / 2.0));
            items.extend(axis(at, lies, major / 2.0));
        }
        HoleShape::Rectangle { length, width, lies, .. } => {
            items.extend(shape.outline(at).map(|l| rim(Shape::Outline(l))));
            let reach = |k: i32| if k % 2 == 0 { length / 2.0 } else { width / 2.0 };
            items.extend(quarters(lies).map(|(k, a)| arm(at, a, reach(k))));
            items.extend(punch(at, lies, length.min(width) / 2.0));
        }
    }
    items
}

/// The long axis inside an ellipse, on both sides of the punch cross.
fn axis(at: Point, lies: f64, half: f64) -> Vec<Item> {
    let (from, to) = (PUNCH_MM + RIM_GAP_MM, half - RIM_GAP_MM);
    if to - from < 1.0 {
        return vec![];
    }
    let u = Point::at_angle(lies);
    let line = |s: f64| Item::line(Layer::Centre, LineType::LongDashDot, at + u * (from * s), at + u * (to * s));
    vec![line(1.0), line(-1.0)]
}

/// The box round a hole and its cross hairs, mm.
pub fn hole_bounds(shape: &HoleShape, at: Point) -> Bounds {
    Bounds::of(hole(shape, at).iter().filter_map(Item::bounds).flat_map(|b| [b.low, b.high]))
        .unwrap_or(Bounds { low: at, high: at })
}

/// The box round the rim alone, mm.
pub fn rim_bounds(shape: &HoleShape, at: Point) -> Bounds {
    Bounds::of(
        hole(shape, at)
            .iter()
            .filter(|i| matches!(i, Item::Stroke { layer: Layer::Holes, .. }))
            .filter_map(Item::bounds)
            .flat_map(|b| [b.low, b.high]),
    )
    .unwrap_or(Bounds { low: at, high: at })
}

/// A ring with a cross, to lay one sheet on the next.
pub fn registration(at: Point) -> Vec<Item> {
    let stroke = |shape| Item::Stroke { layer: Layer::Frame, line: LineType::Hairline, shape };
    let reach = REGISTRATION_REACH_MM;
    vec![
        stroke(Shape::Arc { centre: at, radius: REGISTRATION_MM, start_rad: 0.0, sweep_rad: TAU }),
        stroke(Shape::Line { from: at - Point::new(reach, 0.0), to: at + Point::new(reach, 0.0) }),
        stroke(Shape::Line { from: at - Point::new(0.0, reach), to: at + Point::new(0.0, reach) }),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_crosses_the_rim() {
        let at = Point::new(40.0, 30.0);
        let d = 10.5;
        for item in hole(&HoleShape::Round { diameter: d }, at) {
            let Item::Stroke { shape: Shape::Line { from, to }, .. } = item else { continue };
            let (near, far) = (from.distance(at), to.distance(at));
            let inside = near < d / 2.0 - 0.5 && far < d / 2.0 - 0.5;
            let outside = near > d / 2.0 + 0.5 && far > d / 2.0 + 0.5;
            assert!(inside || outside, "{near} {far}");
        }
    }

    #[test]
    fn a_slot_is_punched_at_both_ends() {
        let shape = HoleShape::Slot { length: 30.0, width: 10.0, lies: 0.0 };
        let crossed = |x: f64| {
            hole(&shape, Point::default()).iter().any(|i| match i {
                Item::Stroke { shape: Shape::Line { from, to }, .. } => {
                    ((*from + *to) * 0.5).distance(Point::new(x, 0.0)) < 1e-9 && from.distance(*to) < 3.0
                }
                _ => false,
            })
        };
        assert!(crossed(10.0) && crossed(-10.0) && !crossed(0.0));
    }
}
