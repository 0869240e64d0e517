//! The sketches of a steering run: its points from above and from the side.

use super::{Axes, PLAN, SIDE, View};
use crate::drawing::measuring::MeasuringSheet;
use crate::geom::{Bounds, Point};
use crate::layout::SteeringRun;

/// A sheet a view, with the readings that are asked for.
pub fn steering_sheets(told: &SteeringRun, asked: &dyn Fn(&str) -> bool) -> Vec<MeasuringSheet> {
    let mut out = vec![];
    // Sizes that both views would show stand on the first.
    view(told, "seen from the side", &SIDE, true, asked).done(&mut out);
    view(told, "seen from above", &PLAN, out.is_empty(), asked).done(&mut out);
    out
}

fn view<'a>(told: &SteeringRun, seen: &str, axes: &Axes, sizes: bool, asked: &'a dyn Fn(&str) -> bool) -> View<'a> {
    let mut v = View::new(&told.name, seen, asked);
    let joints: Vec<Point> = told.joints.iter().map(|j| axes.seen(j.at)).collect();
    let (column, end) = (axes.seen(told.column), axes.seen(told.box_input));
    let all: Vec<Point> = std::iter::once(column).chain(joints.iter().copied()).chain([end]).collect();
    let far = Bounds::of(all.iter().copied()).map_or(1.0, |b| b.width().max(b.height())).max(1.0);
    let half = (told.shaft.to_mm() / 2.0).max(far * 0.035);
    for w in all.windows(2) {
        let long = w[0].distance(w[1]);
        if long < 1e-6 {
            continue;
        }
        let along = (w[1] - w[0]) * (1.0 / long);
        let side = Point::new(-along.y, along.x) * half;
        for way in [1.0, -1.0] {
            let (a, b) = (w[0] + side * way, w[1] + side * way);
            v.lines(&[(a.x, a.y), (b.x, b.y)], "", false);
        }
    }
    v.word((column.x, column.y + half * 2.4), "column");
    v.word((end.x, end.y + half * 2.4), "box");
    joints.iter().for_each(|j| v.round(*j, half * 3.0, "", false));
    told.obstacles.iter().for_each(|o| v.near(o, axes));
    let b = v.bounds();
    if sizes {
        shaft_sizes(told, &mut v, (column, all[1]), half, far);
    }
    v.place("column", column, axes, &b);
    for (i, j) in joints.iter().enumerate() {
        v.place(&format!("joint {}/at", i + 1), *j, axes, &b);
    }
    v.place("box", end, axes, &b);
    for o in &told.obstacles {
        for (key, p) in [("from", o.from), ("to", o.to)] {
            v.place(&format!("obstacle {}/{key}", o.name), axes.seen(p), axes, &b);
        }
    }
    v
}

/// Across the first shaft, and along it what the joint takes of it.
fn shaft_sizes(told: &SteeringRun, v: &mut View, (from, to): (Point, Point), half: f64, far: f64) {
    let long = from.distance(to).max(1e-6);
    let along = (to - from) * (1.0 / long);
    let side = Point::new(-along.y, along.x) * half;
    let middle = from + (to - from) * 0.5;
    v.tape("shaft", (middle.x - side.x, middle.y - side.y), (middle.x + side.x, middle.y + side.y));
    let reach = told.reach.to_mm().max(far * 0.12);
    for (key, length, out) in [("reach", reach, 3.0), ("bore", reach * 0.7, -3.0), ("slip", reach * 0.4, -5.0)] {
        let (a, b) = (to + side * out, to + side * out - along * length);
        v.tape(key, (a.x, a.y), (b.x, b.y));
    }
}
