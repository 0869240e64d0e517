//! The best place held against every corner that there is, and what is known of
//! full plates against a search that knows nothing.

use super::*;
use crate::cut::shapes::lay::{Bench, Dice, Layout};
use crate::cut::shapes::ring::{Ring, edges};
use crate::cut::shapes::task::Task;
use crate::cut::shapes::zone::Zone;
use crate::cut::shapes::{ShapeDemand, ShapeRules, ShapeStock};
use crate::cut::{Corner, Nm};
use std::sync::Arc;

const MM: i64 = 1_000_000;

fn rectangle(x: i64, y: i64, w: i64, h: i64) -> Ring {
    vec![P::new(x, y), P::new(x + w, y), P::new(x + w, y + h), P::new(x, y + h)]
}

fn clipped(x: i64, y: i64, w: i64, h: i64, c: i64) -> Ring {
    let (r, t) = (x + w, y + h);
    let all = [(x + c, y), (r - c, y), (r, y + c), (r, t - c), (r - c, t), (x + c, t), (x, t - c), (x, y + c)];
    all.iter().map(|p| P::new(p.0, p.1)).collect()
}

/// A triangle of any angles, shallow ones among them.
fn triangle(x: i64, y: i64, w: i64, h: i64) -> Ring {
    vec![P::new(x, y), P::new(x + w, y + h / 3), P::new(x + w / 4, y + h)]
}

/// A room of 20 mm, or one without any width, with patches on a grid of whole millimetres.
fn scene(dice: &mut Dice, shape: usize) -> Scene {
    let mut mm = |n: usize| dice.below(n) as i64 * MM;
    let wide = if mm(5) == 0 { 0 } else { 20 * MM };
    let mut zones = vec![];
    for _ in 0..1 + mm(30) / MM {
        let patches = (0..1 + mm(3) / MM).map(|_| {
            let (x, y, w, h) = (mm(24) - 6 * MM, mm(24) - 6 * MM, mm(12) + 4 * MM, mm(12) + 4 * MM);
            match shape {
                0 => rectangle(x, y, w, h),
                1 => clipped(x, y, w, h, w.min(h) / 3),
                _ => triangle(x, y, 3 * w, 2 * h),
            }
        });
        zones.push((Arc::new(Zone::new(patches.collect())), P::new(mm(4), mm(4))));
    }
    Scene { lo: P::default(), hi: P::new(wide, 20 * MM), zones }
}

/// The least score of all corners that edges and the room have with each other.
fn least(scene: &Scene, rule: Rule) -> Option<f64> {
    let mut lines: Vec<(P, P)> = vec![];
    let room = [scene.lo, P::new(scene.hi.x, scene.lo.y), scene.hi, P::new(scene.lo.x, scene.hi.y)];
    lines.extend(edges(&room));
    for (zone, at) in &scene.zones {
        lines.extend(zone.patches.iter().flat_map(|p| edges(&p.ring)).map(|(a, b)| (a.plus(*at), b.plus(*at))));
    }
    let mut points: Vec<[f64; 2]> = lines.iter().map(|l| [l.0.x as f64, l.0.y as f64]).collect();
    for (i, (a, b)) in lines.iter().enumerate() {
        for (c, d) in &lines[..i] {
            let across = b.minus(*a).cross(d.minus(*c));
            if across != 0 {
                let t = c.minus(*a).cross(d.minus(*c)) as f64 / across as f64;
                points.push([a.x as f64 + t * (b.x - a.x) as f64, a.y as f64 + t * (b.y - a.y) as f64]);
            }
        }
    }
    let found = points.iter().filter_map(|p| scene.nearest_allowed(*p, rule, f64::MAX));
    found.map(|f| f.1).reduce(f64::min)
}

#[test]
fn no_corner_is_better_than_the_one_that_is_found() {
    let mut dice = Dice::new(7);
    let (mut found, mut none) = (0, 0);
    for round in 0..600 {
        let scene = scene(&mut dice, round % 3);
        let rule = dice.rule();
        // Whole nanometres are tried up to two beside a corner, and up to a thousandth of a millimetre on
        // where a patch is left at a shallow angle.
        let most = [1e-3, 4.0, 1_100.0][round % 3];
        let got = scene.best(rule, f64::MAX, &mut Scratch::default(), &mut Budget::new(u64::MAX));
        match (got, least(&scene, rule)) {
            (Some((p, score)), Some(least)) => {
                found += 1;
                assert!(scene.allows(p) && score <= least + most, "round {round}: {score} {least}");
            }
            (Some((p, _)), None) => assert!(scene.allows(p), "round {round}"),
            (None, None) => none += 1,
            (None, Some(least)) => panic!("round {round}: nothing is found, {least} is there"),
        }
    }
    assert!(found > 100 && none > 50, "{found} {none}");
}

fn given(ring: &[P]) -> Vec<Corner> {
    ring.iter().map(|p| (Nm(p.x), Nm(p.y))).collect()
}

/// Parts of many sizes for one plate that does not hold them all.
fn task(dice: &mut Dice) -> Task {
    let demands: Vec<ShapeDemand> = (0..14)
        .map(|k| {
            let (w, h) = ((20 + dice.below(60) as i64) * MM, (15 + dice.below(40) as i64) * MM);
            let outline = if k % 2 == 0 { rectangle(0, 0, w, h) } else { clipped(0, 0, w, h, w.min(h) / 4) };
            ShapeDemand { key: format!("p{k:02}"), outline: given(&outline), count: 1, ..ShapeDemand::default() }
        })
        .collect();
    let outline = given(&clipped(0, 0, 200 * MM, 150 * MM, 30 * MM));
    let stock = ShapeStock { id: "R".into(), outline, count: Some(1), ..ShapeStock::default() };
    let rules = ShapeRules { gap: Nm(15 * MM), edge: Nm(2 * MM), ..ShapeRules::default() };
    Task::new(&demands, &[stock], &rules)
}

#[test]
fn what_is_known_of_a_full_plate_hides_no_place() {
    let mut dice = Dice::new(11);
    let (mut placed, mut refused) = (0, 0);
    for _ in 0..25 {
        let task = task(&mut dice);
        let mut bench = Bench::new(&task, u64::MAX, 3);
        let mut layout = Layout::empty(&task);
        for _ in 0..12 {
            bench.all_turns = dice.below(3) == 0;
            let rule = bench.dice.rule();
            bench.fill(&mut layout, &[0], &[rule], false);
            for _ in 0..1 + dice.below(3) {
                let count = layout.slots[0].laid.len();
                if count > 0 {
                    let laid = layout.take(&task, 0, dice.below(count));
                    layout.uncut.push(laid.item);
                }
            }
            let mut knows_nothing = layout.slots[0].clone();
            knows_nothing.full.clear();
            for item in layout.uncut.clone() {
                let rule = bench.dice.rule();
                let with = bench.place(&layout.slots[0], item, rule);
                assert_eq!(with, bench.place(&knows_nothing, item, rule));
                if with.is_some() { placed += 1 } else { refused += 1 }
            }
        }
    }
    assert!(placed > 200 && refused > 200, "{placed} {refused}");
}
