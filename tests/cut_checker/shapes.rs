//! An independent checker of plans for free shapes. It knows outlines only:
//! distances between edges, and vertical lines across slabs between all corners
//! and crossings, in floats of a millimetre; it shares no code with the planner.

use droprack::cut::{
    Corner, Nm, ShapeDemand, ShapeLeftover, ShapeOwner, ShapePlacement, ShapePlan, ShapeRules, ShapeSheet, ShapeStock,
    Turning,
};
use std::collections::BTreeMap;

/// Allowed error of distances and of widths of overlap, mm: 10 nm.
const TOLERANCE: f64 = 1e-5;
/// Stated error of the outlines of leftovers, mm.
const LEFTOVER_ERROR: f64 = 0.02;

type Point = (f64, f64);
type Ring = Vec<Point>;

/// Steel: its outline, then its holes.
type Body = Vec<Ring>;

fn require(good: bool, what: impl Fn() -> String) -> Result<(), String> {
    if good { Ok(()) } else { Err(what()) }
}

fn ring(points: &[Corner]) -> Ring {
    points.iter().map(|p| (p.0.to_mm(), p.1.to_mm())).collect()
}

fn body(outline: &[Corner], holes: &[Vec<Corner>]) -> Body {
    std::iter::once(ring(outline)).chain(holes.iter().map(|h| ring(h))).collect()
}

fn ring_edges(ring: &Ring) -> Vec<(Point, Point)> {
    (0..ring.len()).map(|k| (ring[k], ring[(k + 1) % ring.len()])).collect()
}

fn body_edges(body: &Body) -> Vec<(Point, Point)> {
    body.iter().flat_map(ring_edges).collect()
}

fn ring_area(ring: &Ring) -> f64 {
    ring_edges(ring).iter().map(|(a, b)| a.0 * b.1 - a.1 * b.0).sum::<f64>().abs() / 2.0
}

fn body_area(body: &Body) -> f64 {
    ring_area(&body[0]) - body[1..].iter().map(ring_area).sum::<f64>()
}

/// Distance of a point from a segment.
fn from_segment(p: Point, a: Point, b: Point) -> f64 {
    let (x, y) = (b.0 - a.0, b.1 - a.1);
    let t = (((p.0 - a.0) * x + (p.1 - a.1) * y) / (x * x + y * y)).clamp(0.0, 1.0);
    ((p.0 - a.0 - t * x).powi(2) + (p.1 - a.1 - t * y).powi(2)).sqrt()
}

/// Where two segments cross, if they do.
fn crossing(a: Point, b: Point, c: Point, d: Point) -> Option<Point> {
    let (r, s) = ((b.0 - a.0, b.1 - a.1), (d.0 - c.0, d.1 - c.1));
    let span = r.0 * s.1 - r.1 * s.0;
    if span == 0.0 {
        return None;
    }
    let t = ((c.0 - a.0) * s.1 - (c.1 - a.1) * s.0) / span;
    let u = ((c.0 - a.0) * r.1 - (c.1 - a.1) * r.0) / span;
    ((0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u)).then_some((a.0 + t * r.0, a.1 + t * r.1))
}

/// Least distance between the borders of two bodies.
fn distance(a: &Body, b: &Body) -> f64 {
    let mut least = f64::MAX;
    for (p, q) in body_edges(a) {
        for (r, s) in body_edges(b) {
            if crossing(p, q, r, s).is_some() {
                return 0.0;
            }
            let ends = [from_segment(p, r, s), from_segment(q, r, s), from_segment(r, p, q), from_segment(s, p, q)];
            least = ends.into_iter().fold(least, f64::min);
        }
    }
    least
}

/// Where the steel of a body lies on a vertical line, from below.
fn on_line(body: &Body, x: f64) -> Vec<(f64, f64)> {
    let mut cuts: Vec<f64> = body_edges(body)
        .iter()
        .filter(|(a, b)| (a.0 > x) != (b.0 > x))
        .map(|(a, b)| a.1 + (x - a.0) / (b.0 - a.0) * (b.1 - a.1))
        .collect();
    cuts.sort_by(f64::total_cmp);
    cuts.chunks_exact(2).map(|c| (c[0], c[1])).collect()
}

/// Lines in the middle of all slabs wide enough to count.
fn slabs(a: &Body, b: &Body) -> Vec<f64> {
    let mut xs: Vec<f64> = a.iter().chain(b).flatten().map(|p| p.0).collect();
    for (p, q) in body_edges(a) {
        for (r, s) in body_edges(b) {
            xs.extend(crossing(p, q, r, s).map(|c| c.0));
        }
    }
    xs.sort_by(f64::total_cmp);
    xs.windows(2).filter(|w| w[1] - w[0] > TOLERANCE).map(|w| (w[0] + w[1]) / 2.0).collect()
}

/// The steel of two bodies overlaps by more than the tolerance.
fn overlap(a: &Body, b: &Body) -> bool {
    slabs(a, b).into_iter().any(|x| {
        let (la, lb) = (on_line(a, x), on_line(b, x));
        la.iter().any(|p| lb.iter().any(|q| p.1.min(q.1) - p.0.max(q.0) > 2.0 * TOLERANCE))
    })
}

/// Steel of the first lies outside the second by more than the tolerance.
fn sticks_out(a: &Body, b: &Body, tolerance: f64) -> bool {
    slabs(a, b).into_iter().any(|x| {
        let lb = on_line(b, x);
        on_line(a, x).iter().any(|&(from, to)| {
            let mut at = from;
            for &(low, high) in &lb {
                if low - at > 2.0 * tolerance {
                    break;
                }
                at = at.max(high);
            }
            to - at > 2.0 * tolerance
        })
    })
}

/// Everything that a plan promises; the first broken promise.
pub fn check_shapes(
    demands: &[ShapeDemand],
    stock: &[ShapeStock],
    rules: &ShapeRules,
    plan: &ShapePlan,
) -> Result<(), String> {
    every_part_once(demands, plan)?;
    let mut used: BTreeMap<usize, u32> = BTreeMap::new();
    for sheet in &plan.sheets {
        *used.entry(sheet.stock).or_default() += 1;
        let bad = plan.faults.iter().any(|f| f.whose == ShapeOwner::Stock(sheet.stock));
        require(!bad, || format!("{} is faulty and used", sheet.id))?;
        check_sheet(demands, &stock[sheet.stock], rules, sheet)?;
    }
    for (index, times) in used {
        require(stock[index].count.is_none_or(|n| times <= n), || format!("{} used {times} times", stock[index].id))?;
    }
    check_stages(demands, stock, plan)
}

fn every_part_once(demands: &[ShapeDemand], plan: &ShapePlan) -> Result<(), String> {
    let mut seen: BTreeMap<(usize, u32), u32> = BTreeMap::new();
    for p in plan.sheets.iter().flat_map(|s| &s.placements) {
        *seen.entry((p.demand, p.copy)).or_default() += 1;
    }
    for u in &plan.uncut {
        for copy in u.first_copy..u.first_copy + u.count {
            *seen.entry((u.demand, copy)).or_default() += 1;
        }
    }
    for (d, demand) in demands.iter().enumerate() {
        for copy in 1..=demand.count {
            let times = seen.remove(&(d, copy)).unwrap_or(0);
            require(times == 1, || format!("{} copy {copy}: {times} times", demand.key))?;
        }
    }
    require(seen.is_empty(), || format!("parts nobody wants: {seen:?}"))
}

fn check_sheet(
    demands: &[ShapeDemand],
    stock: &ShapeStock,
    rules: &ShapeRules,
    sheet: &ShapeSheet,
) -> Result<(), String> {
    require(!sheet.placements.is_empty(), || format!("{} opened for nothing", sheet.id))?;
    let same = sheet.id == stock.id && sheet.price == stock.price && sheet.bought == stock.count.is_none();
    require(same, || format!("{}: not the stock it names", sheet.id))?;
    let plate = body(&stock.outline, &stock.holes);
    let (gap, edge) = (rules.gap.to_mm().max(0.0), rules.edge.to_mm().max(0.0));
    let mut parts: Vec<Body> = Vec::new();
    for p in &sheet.placements {
        lies_as_wanted(&demands[p.demand], p)?;
        let part = body(&p.outline, &p.holes);
        let who = || format!("{} copy {} in {}", demands[p.demand].key, p.copy, sheet.id);
        require(!sticks_out(&part, &plate, TOLERANCE), || format!("{} sticks out", who()))?;
        let near = distance(&part, &plate);
        require(near >= edge - TOLERANCE, || format!("{} is {near} mm from the edge, not {edge}", who()))?;
        for (other, q) in parts.iter().zip(&sheet.placements) {
            require(!overlap(&part, other), || format!("{} overlaps {}", who(), demands[q.demand].key))?;
            let near = if gap > 0.0 { distance(&part, other) } else { 0.0 };
            require(near >= gap - TOLERANCE, || format!("{} is {near} mm from {}", who(), demands[q.demand].key))?;
        }
        parts.push(part);
    }
    sheet
        .leftovers
        .iter()
        .try_for_each(|l| check_leftover(&plate, &parts, rules, l).map_err(|e| format!("{}: {e}", sheet.id)))
}

/// The laid outline is the wanted one, turned as allowed and moved.
fn lies_as_wanted(wanted: &ShapeDemand, p: &ShapePlacement) -> Result<(), String> {
    let allowed = match &wanted.turns {
        Turning::Free => p.turn < 21_600,
        Turning::Grain => p.turn == 0 || p.turn == 10_800,
        Turning::Fixed => p.turn == 0,
        Turning::Minutes(list) => list.iter().any(|m| m % 21_600 == p.turn),
    };
    require(allowed, || format!("{}: a turn of {} minutes", wanted.key, p.turn))?;
    let angle = (f64::from(p.turn) / 60.0).to_radians();
    let at = (p.at.0.to_mm(), p.at.1.to_mm());
    let follows = |given: &[Corner], laid: &[Corner]| {
        given.len() == laid.len()
            && given.iter().zip(laid).all(|(g, l)| {
                let (x, y) = (g.0.to_mm(), g.1.to_mm());
                let turned = (x * angle.cos() - y * angle.sin() + at.0, x * angle.sin() + y * angle.cos() + at.1);
                (turned.0 - l.0.to_mm()).abs() <= TOLERANCE && (turned.1 - l.1.to_mm()).abs() <= TOLERANCE
            })
    };
    let all = wanted.holes.len() == p.holes.len() && wanted.holes.iter().zip(&p.holes).all(|(g, l)| follows(g, l));
    require(all && follows(&wanted.outline, &p.outline), || format!("{}: not its outline", wanted.key))
}

fn check_leftover(plate: &Body, parts: &[Body], rules: &ShapeRules, left: &ShapeLeftover) -> Result<(), String> {
    let gap = rules.gap.to_mm().max(0.0);
    let shape = body(&left.outline, &left.holes);
    for &p in shape.iter().flatten() {
        let off = body_edges(plate).into_iter().map(|(a, b)| from_segment(p, a, b)).fold(f64::MAX, f64::min);
        let inside = on_line(plate, p.0).iter().any(|l| l.0 <= p.1 && p.1 <= l.1);
        require(inside || off <= LEFTOVER_ERROR, || format!("a leftover is {off} mm outside at {p:?}"))?;
    }
    for part in parts {
        require(!overlap(&shape, part), || "a leftover overlaps a part".into())?;
        let near = distance(&shape, part);
        require(near >= gap - TOLERANCE, || format!("a leftover is {near} mm from a part"))?;
    }
    let Some(r) = left.rect else {
        return require(!left.kept, || "kept without a rectangle".into());
    };
    let (short, long) = (r.length.min(r.width), r.length.max(r.width));
    let useful = short >= rules.keep_short && long >= rules.keep_long && short > Nm(0);
    require(left.kept == useful, || format!("kept {} with {r:?}", left.kept))?;
    let (x, y, w, h) = (r.x.to_mm(), r.y.to_mm(), r.length.to_mm(), r.width.to_mm());
    let rect: Body = vec![vec![(x, y), (x + w, y), (x + w, y + h), (x, y + h)]];
    require(!sticks_out(&rect, plate, TOLERANCE), || format!("{r:?} sticks out of the plate"))?;
    let e = LEFTOVER_ERROR;
    let inner: Body = vec![vec![(x + e, y + e), (x + w - e, y + e), (x + w - e, y + h - e), (x + e, y + h - e)]];
    require(w <= 2.0 * e || h <= 2.0 * e || !sticks_out(&inner, &shape, TOLERANCE), || {
        format!("{r:?} sticks out of its leftover")
    })?;
    for part in parts {
        let near = distance(&rect, part);
        require(!overlap(&rect, part) && near >= gap - TOLERANCE, || format!("{r:?} is {near} mm from a part"))?;
    }
    Ok(())
}

fn check_stages(demands: &[ShapeDemand], stock: &[ShapeStock], plan: &ShapePlan) -> Result<(), String> {
    let names: Vec<&str> = plan.stages.iter().map(|s| s.name).collect();
    require(names == ["uncut", "money", "waste", "leftover", "items"], || format!("{names:?}"))?;
    // In square micrometres; each area is rounded down, and floats are rough.
    let near = |value: i64, mm2: f64, rough: f64| (value as f64 - mm2 * 1e6).abs() <= rough + 1e-9 * mm2 * 1e6;
    let readable = |d: usize| !plan.faults.iter().any(|f| f.whose == ShapeOwner::Demand(d));
    let area = |d: usize| body_area(&body(&demands[d].outline, &demands[d].holes));
    let uncut: f64 =
        plan.uncut.iter().filter(|u| readable(u.demand)).map(|u| area(u.demand) * f64::from(u.count)).sum();
    if plan.uncut.iter().all(|u| readable(u.demand)) {
        let pieces: u32 = plan.uncut.iter().map(|u| u.count).sum();
        require(near(plan.stages[0].value, uncut, 2.0 + f64::from(pieces)), || {
            format!("uncut {uncut} mm2: {:?}", plan.stages)
        })?;
    }
    let money: i64 = plan.sheets.iter().map(|s| s.price).sum();
    require(plan.stages[1].value == money, || format!("money {money}: {:?}", plan.stages))?;
    require(plan.stages[4].value == plan.sheets.len() as i64, || format!("opened: {:?}", plan.stages))?;
    let (mut lost, mut largest) = (0.0, 0.0_f64);
    for sheet in &plan.sheets {
        let s = &stock[sheet.stock];
        let mut left = body_area(&body(&s.outline, &s.holes));
        left -= sheet.placements.iter().map(|p| body_area(&body(&p.outline, &p.holes))).sum::<f64>();
        for l in sheet.leftovers.iter().filter(|l| l.kept) {
            left -= body_area(&body(&l.outline, &l.holes));
            largest = largest.max(l.rect.map_or(0.0, |r| r.length.to_mm() * r.width.to_mm()));
        }
        lost += left.max(0.0);
    }
    // A turned outline may be out by a nanometre along its length: some 1e-3 mm2.
    require(near(plan.stages[2].value, lost, 5e3), || format!("lost {lost} mm2: {:?}", plan.stages))?;
    require(near(plan.stages[3].value, largest, 2.0), || format!("largest {largest} mm2: {:?}", plan.stages))?;
    let mut proved = true;
    for s in &plan.stages {
        let holds = if s.name == "leftover" { s.value <= s.bound } else { s.bound <= s.value };
        require(holds, || format!("a bound beyond the value: {s:?}"))?;
        proved &= s.value == s.bound;
        require(s.proved == proved, || format!("proof: {:?}", plan.stages))?;
    }
    require(plan.proved == plan.stages[2].proved, || "proved".into())
}
