//! Offsets against what they must be: their distance, their area, the way back.

use super::*;
use crate::geom::{Corner, CornerFinish, circle, polygon, rectangle, slot};

/// Numbers of a fixed sequence, 0 to 1.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> f64 {
        // Multiplier and step of Knuth's MMIX generator.
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
    fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }
}

fn p(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

fn shaped(corners: &[(f64, f64, CornerFinish)]) -> Loop {
    polygon(&corners.iter().map(|c| Corner { at: p(c.0, c.1), finish: c.2 }).collect::<Vec<_>>()).unwrap()
}

/// Moves, and holds every sampled point against the distance.
fn moved(l: &Loop, by: f64) -> Loop {
    let m = offset(l, by).unwrap_or_else(|e| panic!("{by}: {e}\n{l:?}"));
    hold_distance(l, &m, by);
    m
}

fn hold_distance(l: &Loop, m: &Loop, by: f64) {
    assert!(m.area() * l.area() > 0.0, "direction kept");
    assert!((m.area() - l.area()) * by * l.area() > 0.0, "area grows outwards, shrinks inwards");
    for s in m.segments() {
        for k in 0..=16 {
            let d = l.distance(s.point_at(f64::from(k) / 16.0));
            assert!((d - by.abs()).abs() < 1e-6, "{d} instead of {by}\n{l:?}\n{m:?}");
        }
    }
    assert!(!meets_itself(m));
}

fn near(a: f64, b: f64, tol: f64) {
    assert!((a - b).abs() < tol, "{a} instead of {b}");
}

/// Area after a convex outline is moved outwards.
fn steiner(l: &Loop, by: f64) -> f64 {
    l.area() + l.perimeter() * by + PI * by * by
}

/// Which sides are arcs, as letters.
fn kinds(l: &Loop) -> String {
    l.sides.iter().map(|s| if s.arc.is_some() { 'A' } else { 'L' }).collect()
}

#[test]
fn a_sharp_rectangle_gets_round_corners_outwards_and_keeps_them_sharp_inwards() {
    let r = rectangle(p(3.0, 4.0), 100.0, 50.0, 0.0);
    let out = moved(&r, 0.4);
    near(out.area(), steiner(&r, 0.4), 1e-9);
    assert_eq!(kinds(&out), "LALALALA");
    let inner = moved(&r, -0.4);
    near(inner.area(), 99.2 * 49.2, 1e-9);
    assert_eq!(kinds(&inner), "LLLL");
}

#[test]
fn radii_grow_and_shrink_and_go_at_zero() {
    let r = rectangle(p(0.0, 0.0), 100.0, 50.0, 5.0);
    near(moved(&r, 2.0).area(), 104.0 * 54.0 - (4.0 - PI) * 49.0, 1e-9);
    near(moved(&r, -2.0).area(), 96.0 * 46.0 - (4.0 - PI) * 9.0, 1e-9);
    for by in [-5.0 + 1e-8, -5.0, -5.0 - 1e-8, -5.0 + 3e-7, -5.0 - 3e-7, -7.0] {
        near(moved(&r, by).area(), (100.0 + 2.0 * by) * (50.0 + 2.0 * by), 1e-4);
    }
    assert_eq!(kinds(&moved(&r, -7.0)), "LLLL");
    for by in [-25.0, -25.1, -60.0] {
        assert!(offset(&r, by).is_err(), "{by}");
    }
}

#[test]
fn discs_and_slots_stay_what_they_are() {
    let one_side =
        Loop { sides: vec![Side { to: p(10.0, 0.0), arc: Some(Arc { centre: p(0.0, 0.0), turn: Turn::Left }) }] };
    for disc in [circle(p(0.0, 0.0), 20.0), one_side] {
        for by in [0.4, -0.4, -9.99] {
            near(moved(&disc, by).area(), PI * (10.0 + by) * (10.0 + by), 1e-9);
        }
        assert!(offset(&disc, -10.0).is_err() && offset(&disc, -12.0).is_err());
    }
    let s = slot(p(5.0, -2.0), 60.0, 16.0, 0.7);
    for by in [0.4, -0.4, 3.0, -7.9] {
        near(moved(&s, by).area(), slot(p(5.0, -2.0), 60.0 + 2.0 * by, 16.0 + 2.0 * by, 0.7).area(), 1e-6);
    }
    for by in [-8.0, -8.0001, -12.0, -40.0] {
        assert!(offset(&s, by).is_err(), "{by}");
    }
}

#[test]
fn a_concave_corner_is_cut_outwards_and_rounded_inwards() {
    let s = CornerFinish::Sharp;
    let l = shaped(&[(0.0, 0.0, s), (80.0, 0.0, s), (80.0, 30.0, s), (30.0, 30.0, s), (30.0, 90.0, s), (0.0, 90.0, s)]);
    let out = moved(&l, 2.0);
    // Five corners open with a quarter each; at the inner one a square is counted twice.
    near(out.area(), l.area() + l.perimeter() * 2.0 + 5.0 * PI - 4.0, 1e-9);
    let inner = moved(&l, -2.0);
    // Five squares are counted twice, and a quarter is eaten at the inner corner.
    near(inner.area(), l.area() - l.perimeter() * 2.0 + 5.0 * 4.0 - PI, 1e-9);
    assert_eq!(kinds(&inner).matches('A').count(), 1);
    // A radius in the inner corner: 2 mm more inwards, gone outwards.
    let f = CornerFinish::Radius(3.0);
    let l = shaped(&[(0.0, 0.0, s), (80.0, 0.0, s), (80.0, 30.0, s), (30.0, 30.0, f), (30.0, 90.0, s), (0.0, 90.0, s)]);
    moved(&l, -2.0);
    assert_eq!(kinds(&moved(&l, 3.5)), kinds(&moved(&l, 5.0)));
    // Arms exactly twice the distance wide fall to a line; the elbow alone has steel left.
    near(moved(&l, -15.0).area(), (4.0 - PI) * 18.0 * 18.0 / 4.0, 1e-6);
    let wide =
        shaped(&[(0.0, 0.0, s), (80.0, 0.0, s), (80.0, 40.0, s), (30.0, 40.0, s), (30.0, 90.0, s), (0.0, 90.0, s)]);
    near(moved(&wide, -15.0).area(), 50.0 * 10.0 + (4.0 - PI) * 15.0 * 15.0 / 4.0, 1e-6);
    assert!(offset(&wide, -24.0).is_err());
}

#[test]
fn clipped_corners_are_eaten_when_the_distance_needs_it() {
    let c = CornerFinish::Clip(3.0);
    let l = shaped(&[(0.0, 0.0, c), (60.0, 0.0, c), (60.0, 40.0, c), (0.0, 40.0, c)]);
    near(moved(&l, 0.4).area(), steiner(&l, 0.4), 1e-9);
    assert_eq!(kinds(&moved(&l, 0.4)).len(), 16);
    // The cut side of length sqrt(2) d loses by * tan(22.5 deg) at both ends.
    let gone = 3.0 * libm::sqrt(2.0) / (2.0 * libm::tan(PI / 8.0));
    assert_eq!(kinds(&moved(&l, -gone + 0.01)), "LLLLLLLL");
    assert_eq!(kinds(&moved(&l, -gone - 0.01)), "LLLL");
    moved(&l, -gone);
}

#[test]
fn what_closes_or_falls_apart_is_told() {
    let s = CornerFinish::Sharp;
    // A plate with a notch 3 mm wide that widens inside: moved out, its mouth closes.
    let bay = [(0.0, 0.0), (50.0, 0.0), (50.0, 40.0), (26.5, 40.0), (26.5, 30.0), (35.0, 30.0), (35.0, 10.0)];
    let more = [(15.0, 10.0), (15.0, 30.0), (23.5, 30.0), (23.5, 40.0), (0.0, 40.0)];
    let l = shaped(&bay.iter().chain(&more).map(|c| (c.0, c.1, s)).collect::<Vec<_>>());
    moved(&l, 1.4);
    assert!(offset(&l, 1.6).unwrap_err().contains("closes"));
    // Two squares on a neck 4 mm wide.
    let left = [(0.0, 0.0), (30.0, 0.0), (30.0, 13.0), (50.0, 13.0), (50.0, 0.0), (80.0, 0.0)];
    let right = [(80.0, 30.0), (50.0, 30.0), (50.0, 17.0), (30.0, 17.0), (30.0, 30.0), (0.0, 30.0)];
    let l = shaped(&left.iter().chain(&right).map(|c| (c.0, c.1, s)).collect::<Vec<_>>());
    moved(&l, -1.9);
    assert!(offset(&l, -2.1).unwrap_err().contains("falls apart"));
    assert!(offset(&l, -15.5).unwrap_err().contains("nothing is left"));
    // A notch with parallel sides just fills when moved out.
    let notch =
        [(0.0, 0.0), (50.0, 0.0), (50.0, 40.0), (26.0, 40.0), (26.0, 20.0), (24.0, 20.0), (24.0, 40.0), (0.0, 40.0)];
    let l = shaped(&notch.map(|c| (c.0, c.1, s)));
    for by in [1.0, 1.2] {
        moved(&l, by);
    }
}

#[test]
fn outlines_that_are_none_are_refused() {
    let bow = Loop::straight(&[p(0.0, 0.0), p(10.0, 10.0), p(10.0, -2.0), p(0.0, 10.0)]);
    assert!(offset(&bow, 0.4).is_err());
    assert!(offset(&Loop::default(), 0.4).is_err());
    assert!(offset(&rectangle(p(0.0, 0.0), 10.0, 4.0, 0.0), f64::NAN).is_err());
    let r = rectangle(p(0.0, 0.0), 10.0, 4.0, 0.0);
    assert_eq!(offset(&r, 0.0).unwrap(), r);
}

#[test]
fn clockwise_outlines_move_the_same_way() {
    let r = rectangle(p(0.0, 0.0), 60.0, 40.0, 5.0);
    let m = moved(&r.reversed(), 0.4);
    near(m.area(), -offset(&r, 0.4).unwrap().area(), 1e-9);
    near(moved(&r.reversed(), -7.0).area(), -46.0 * 26.0, 1e-9);
}

#[test]
fn nearly_smooth_corners_move_too() {
    // A line and an arc that miss being tangent by a rounded number, both ways.
    for e in [1e-12, 1e-9, 1e-7, 1e-6, 1e-5, 1e-4, 1e-3] {
        for e in [e, -e] {
            for (r, by) in [(5.0, 0.4), (5.0, -0.4), (500.0, 0.4), (500.0, -0.4), (500.0, 30.0), (500.0, -30.0)] {
                let arc = |x: f64| Some(Arc { centre: p(x, 0.0), turn: Turn::Left });
                let q = Point::at_angle(-PI / 2.0 + e) * r;
                let l = Loop {
                    sides: vec![
                        Side { to: q + p(800.0, 0.0), arc: None },
                        Side { to: p(800.0 - q.x, -q.y), arc: arc(800.0) },
                        Side { to: p(q.x, -q.y), arc: None },
                        Side { to: q, arc: arc(0.0) },
                    ],
                };
                moved(&l, by);
            }
        }
    }
}

/// A star about the origin: `n` corners, each with some finish that fits.
fn star(dice: &mut Dice, convex: bool) -> Option<Loop> {
    let n = 3 + (dice.next() * 7.0) as usize;
    let corners: Vec<Corner> = (0..n)
        .map(|i| {
            let angle = (i as f64 + dice.within(-0.3, 0.3)) * TAU / n as f64;
            let reach = if convex { 60.0 } else { dice.within(25.0, 80.0) };
            let finish = match (dice.next() * 3.0) as u32 {
                0 => CornerFinish::Sharp,
                1 => CornerFinish::Radius(dice.within(0.2, 12.0)),
                _ => CornerFinish::Clip(dice.within(0.2, 8.0)),
            };
            Corner { at: Point::at_angle(angle) * reach, finish }
        })
        .collect();
    polygon(&corners).ok().filter(|l| !meets_itself(l))
}

#[test]
fn random_polygons_keep_their_distance() {
    let mut dice = Dice(7);
    let mut tried = 0;
    while tried < 1500 {
        let convex = dice.next() < 0.3;
        let Some(l) = star(&mut dice, convex) else { continue };
        tried += 1;
        let by = dice.within(0.05, 3.0) * if dice.next() < 0.5 { 1.0 } else { -1.0 };
        let m = moved(&l, by);
        if convex && by > 0.0 {
            near(m.area(), steiner(&l, by), 1e-6);
        }
    }
}

#[test]
fn large_distances_eat_whole_sides_or_are_told() {
    let mut dice = Dice(11);
    let mut done = 0;
    for _ in 0..1500 {
        let Some(l) = star(&mut dice, false) else { continue };
        let by = dice.within(-30.0, 60.0);
        if let Ok(m) = offset(&l, by) {
            done += 1;
            hold_distance(&l, &m, by);
        }
    }
    assert!(done > 1400, "{done}");
}

#[test]
fn there_and_back_is_the_same_outline() {
    let mut dice = Dice(3);
    for _ in 0..300 {
        let by = dice.within(-2.0, 2.0);
        let r = |d: &mut Dice| CornerFinish::Radius(d.within(2.5, 10.0));
        let l = shaped(&[
            (0.0, 0.0, r(&mut dice)),
            (90.0, 0.0, r(&mut dice)),
            (85.0, 40.0, r(&mut dice)),
            (45.0, 35.0, r(&mut dice)),
            (40.0, 90.0, r(&mut dice)),
            (-5.0, 80.0, r(&mut dice)),
        ]);
        let there = moved(&l, by);
        let back = moved(&there, -by);
        near(back.area(), l.area(), 1e-6);
        assert_eq!(kinds(&back), kinds(&l));
        let worst = back.sides.iter().zip(&l.sides).map(|(a, b)| a.to.distance(b.to)).fold(0.0, f64::max);
        assert!(worst < 1e-6, "{worst}");
    }
}

/// Area of everything farther inside than `-by`, or nearer outside than `by`, by
/// counting; mm2.
fn counted(l: &Loop, by: f64, step: f64) -> f64 {
    let (corners, sides, b) = (l.flattened(0.01), l.segments(), l.bounds().unwrap());
    let inside = |q: Point| {
        let crossed = |i: usize| {
            let (u, v) = (corners[i], corners[(i + 1) % corners.len()]);
            (u.y > q.y) != (v.y > q.y) && q.x < u.x + (q.y - u.y) / (v.y - u.y) * (v.x - u.x)
        };
        (0..corners.len()).filter(|&i| crossed(i)).count() % 2 == 1
    };
    let far = |q: Point| sides.iter().map(|s| s.distance(q)).fold(f64::INFINITY, f64::min);
    // Middles of cells that start at the lower left corner: exact for sides on the cells' edges.
    let more = step * (libm::ceil(by.max(0.0) / step) + 1.0);
    let count = |low: f64, high: f64| ((high - low + 2.0 * more) / step) as usize;
    let mut n = 0;
    for i in 0..count(b.low.x, b.high.x) {
        for j in 0..count(b.low.y, b.high.y) {
            let q = b.low + Point::new((i as f64 + 0.5) * step - more, (j as f64 + 0.5) * step - more);
            let held = if by < 0.0 { inside(q) && far(q) >= -by } else { inside(q) || far(q) <= by };
            n += usize::from(held);
        }
    }
    n as f64 * step * step
}

/// Holds the result against the counted area: lost or added ground is seen.
/// Returns 1 for a result, 0 for nothing left, `None` for what is no single loop.
fn hold_area(l: &Loop, by: f64, step: f64) -> Option<usize> {
    match offset(l, by) {
        Ok(m) => {
            hold_distance(l, &m, by);
            // Counting errs by a part of the cells along the line.
            near(m.area().abs(), counted(l, by, step), 6.0 * step + 0.15 * step * m.perimeter());
            Some(1)
        }
        Err(e) if e.contains("nothing") => {
            assert!(counted(l, by, step) < 8.0 * step, "{by} {l:?}");
            Some(0)
        }
        Err(e) => {
            assert!(e.contains("falls apart") || e.contains("closes"), "{e} {by} {l:?}");
            None
        }
    }
}

#[test]
fn nothing_is_lost_and_nothing_is_added() {
    let mut dice = Dice(23);
    let mut seen = [0, 0];
    for _ in 0..250 {
        let Some(l) = star(&mut dice, false) else { continue };
        if let Some(k) = hold_area(&l, dice.within(-60.0, 25.0), 0.7) {
            seen[k] += 1;
        }
    }
    assert!(seen[0] > 50 && seen[1] > 150, "{seen:?}");
}

#[test]
fn coincidences_of_whole_numbers_are_no_trouble() {
    // Skylines on whole millimetres moved by halves: sides fall on sides and corners on corners.
    let mut dice = Dice(41);
    let mut seen = [0, 0];
    for _ in 0..400 {
        let mut whole = |high: f64| libm::floor(dice.within(1.0, high + 1.0));
        let mut corners = vec![p(0.0, 0.0)];
        let (mut x, mut height) = (0.0, 0.0);
        for _ in 0..3 + whole(5.0) as usize {
            let mut next = whole(8.0);
            if next == height {
                next += 1.0;
            }
            height = next;
            corners.push(p(x, height));
            x += whole(4.0);
            corners.push(p(x, height));
        }
        corners.push(p(x, 0.0));
        let by = whole(6.0) * 0.5 * if whole(2.0) > 1.0 { 1.0 } else { -1.0 };
        if let Some(k) = hold_area(&Loop::straight(&corners), by, 0.125) {
            seen[k] += 1;
        }
    }
    assert!(seen[0] > 20 && seen[1] > 200, "{seen:?}");
}
