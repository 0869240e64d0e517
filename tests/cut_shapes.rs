//! Plans for free shapes against an independent checker.
//!
//! `SHAPES_JOBS=10000 cargo test --release --test cut_shapes random` runs more
//! random jobs than the usual run.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

#[path = "cut_checker/shapes.rs"]
mod checker;

use checker::check_shapes;
use droprack::cut::{
    Corner, Effort, Nm, OutlineFault, ShapeDemand, ShapeFault, ShapeOwner, ShapePlan, ShapeRules, ShapeStock, Turning,
    UncutReason, plan_shapes,
};

const MM: i64 = 1_000_000;
const INCH: i64 = 25_400_000;

/// Numbers that look random and are the same in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % n) as i64
    }

    /// A length on one of the grids of a workshop.
    fn length(&mut self, low: i64, high: i64) -> i64 {
        match self.below(3) {
            0 => (low + self.below((high - low) as u64)) * MM,
            1 => low * MM + self.below((high - low) as u64 * 100) * MM / 100,
            _ => low * INCH * 64 / 1626 / 396_875 * 396_875 + self.below((high - low) as u64 * 5 / 2) * 396_875,
        }
    }
}

fn ring(points: &[(i64, i64)]) -> Vec<Corner> {
    points.iter().map(|p| (Nm(p.0), Nm(p.1))).collect()
}

fn rectangle(x: i64, y: i64, w: i64, h: i64) -> Vec<Corner> {
    ring(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
}

fn circle(x: i64, y: i64, radius: i64, corners: usize) -> Vec<Corner> {
    let step = std::f64::consts::TAU / corners as f64;
    let along = |k: usize| (step * k as f64).sin_cos();
    let at = |k: usize| (x + (radius as f64 * along(k).1) as i64, y + (radius as f64 * along(k).0) as i64);
    (0..corners).map(at).map(|p| (Nm(p.0), Nm(p.1))).collect()
}

fn part(key: &str, outline: Vec<Corner>, count: u32) -> ShapeDemand {
    ShapeDemand { key: key.into(), outline, holes: Vec::new(), count, turns: Turning::Free }
}

fn plate(id: &str, outline: Vec<Corner>) -> ShapeStock {
    ShapeStock { id: id.into(), outline, holes: Vec::new(), price: 0, count: Some(1) }
}

fn rules(gap: i64, edge: i64) -> ShapeRules {
    ShapeRules { gap: Nm(gap), edge: Nm(edge), keep_short: Nm(40 * MM), keep_long: Nm(60 * MM) }
}

type Job = (Vec<ShapeDemand>, Vec<ShapeStock>, ShapeRules);

/// Distance promises hold for what comes out, and the plan comes back.
fn planned(job: &Job, steps: u64) -> ShapePlan {
    let plan = plan_shapes(&job.0, &job.1, &job.2, Effort { steps });
    if let Err(fault) = check_shapes(&job.0, &job.1, &job.2, &plan) {
        panic!("{fault}\n{job:?}");
    }
    plan
}

fn laid(plan: &ShapePlan) -> usize {
    plan.sheets.iter().map(|s| s.placements.len()).sum()
}

/// One part of a random kind about a random origin.
fn random_part(dice: &mut Dice, key: String) -> ShapeDemand {
    let (w, h) = (dice.length(25, 120), dice.length(20, 90));
    let mut holes = Vec::new();
    let mut outline = match dice.below(7) {
        0 => rectangle(0, 0, w, h),
        1 => {
            let c = w.min(h) / 5;
            ring(&[(c, 0), (w - c, 0), (w, c), (w, h - c), (w - c, h), (c, h), (0, h - c), (0, c)])
        }
        2 => ring(&[(0, 0), (w, 0), (0, h)]),
        3 => ring(&[(0, 0), (w, 0), (w, h / 3), (w / 4, h / 3), (w / 4, h), (0, h)]),
        4 => {
            holes.push(circle(0, 0, w * 3 / 8, 16));
            circle(0, 0, w / 2, 16)
        }
        5 => {
            let t = w.min(h) / 6;
            holes.push(rectangle(t, t, w - 2 * t, h - 2 * t));
            rectangle(0, 0, w, h)
        }
        _ => {
            let n = 5 + dice.below(9) as usize;
            let whole = circle(0, 0, w / 2, n);
            let mut pull = || 40 + dice.below(61);
            whole
                .into_iter()
                .map(|c| {
                    let k = pull();
                    (Nm(c.0.0 * k / 100), Nm(c.1.0 * k / 100))
                })
                .collect()
        }
    };
    if dice.below(4) == 0 {
        outline.reverse();
    }
    let turns = match dice.below(5) {
        0 => Turning::Grain,
        1 => Turning::Fixed,
        2 => Turning::Minutes((0..1 + dice.below(4)).map(|_| dice.below(30_000) as u32).collect()),
        _ => Turning::Free,
    };
    ShapeDemand { key, outline, holes, count: 1 + dice.below(3) as u32, turns }
}

fn random_plate(dice: &mut Dice, id: String) -> ShapeStock {
    let (w, h) = (dice.length(60, 320), dice.length(50, 200));
    let outline = match dice.below(5) {
        0 => ring(&[(0, 0), (w, h / 7), (w * 9 / 10, h), (w / 8, h * 4 / 5)]),
        1 => ring(&[(0, 0), (w, 0), (w, h), (w * 2 / 3, h), (w * 2 / 3, h / 2), (w / 3, h / 2), (w / 3, h), (0, h)]),
        2 => circle(w / 2, h / 2, w.max(h) / 2, 24),
        3 => ring(&[(0, 0), (w, 0), (w, h), (w / 2 + 2 * MM, h), (w / 2, h / 8), (w / 2 - 2 * MM, h), (0, h)]),
        _ => rectangle(0, 0, w, h),
    };
    let holes = if dice.below(3) == 0 { vec![circle(w / 2, h / 15, h / 30, 7)] } else { Vec::new() };
    let count = if dice.below(6) == 0 { None } else { Some(1 + dice.below(2) as u32) };
    let price = if count.is_none() { 10_000 + dice.below(90_000) } else { dice.below(2) * 500 };
    ShapeStock { id, outline, holes, price, count }
}

fn random_job(seed: u64) -> Job {
    let mut dice = Dice(seed.wrapping_mul(0x9e37_79b9) + 17);
    let demands = (0..1 + dice.below(5)).map(|i| random_part(&mut dice, format!("part/{i}"))).collect();
    let stock = (0..1 + dice.below(4)).map(|i| random_plate(&mut dice, format!("P{i}"))).collect();
    let gap = [0, 3 * MM, 3_175_000, 5 * MM, 1][dice.below(5) as usize];
    let edge = [0, gap, 5 * MM, 1_234_567][dice.below(4) as usize];
    (demands, stock, rules(gap, edge))
}

#[test]
fn random_jobs_keep_every_promise() {
    let jobs = std::env::var("SHAPES_JOBS").ok().and_then(|n| n.parse().ok()).unwrap_or(250);
    let (mut parts, mut wanted) = (0, 0);
    for seed in 0..jobs {
        let job = random_job(seed);
        let plan = plan_shapes(&job.0, &job.1, &job.2, Effort { steps: 30_000 });
        if let Err(fault) = check_shapes(&job.0, &job.1, &job.2, &plan) {
            panic!("job {seed}: {fault}\n{job:?}");
        }
        parts += laid(&plan);
        wanted += job.0.iter().map(|d| d.count as usize).sum::<usize>();
    }
    assert!(parts * 2 > wanted, "only {parts} of {wanted} laid: the check is idle");
}

#[test]
fn two_runs_and_shuffled_input_give_the_same_plan() {
    for seed in 0..25 {
        let job = random_job(seed);
        let plan = planned(&job, 60_000);
        assert_eq!(plan, plan_shapes(&job.0, &job.1, &job.2, Effort { steps: 60_000 }));
        let (mut demands, mut stock) = (job.0.clone(), job.1.clone());
        demands.reverse();
        stock.reverse();
        let (nd, ns) = (demands.len(), stock.len());
        let mut other = plan_shapes(&demands, &stock, &job.2, Effort { steps: 60_000 });
        for sheet in &mut other.sheets {
            sheet.stock = ns - 1 - sheet.stock;
            for p in &mut sheet.placements {
                p.demand = nd - 1 - p.demand;
            }
        }
        assert_eq!(plan.sheets, other.sheets, "job {seed}");
        assert_eq!(plan.stages, other.stages, "job {seed}");
    }
}

#[test]
fn a_part_exactly_as_wide_as_the_plate_fits() {
    for (unit, gap) in [(MM, 3 * MM), (396_875, 3_175_000), (10_000, 1_230_000)] {
        let (w, h) = (unit * 200, unit * 90);
        let strip = plate("R", rectangle(7, -11, w + 2 * gap, 3 * h + 4 * gap));
        let mut one = part("a", rectangle(0, 0, w, h), 3);
        one.turns = Turning::Grain;
        let job = (vec![one], vec![strip], rules(gap, gap));
        assert_eq!(laid(&planned(&job, 100_000)), 3, "parts exactly a gap apart and from every edge");
        let mut longer = job.clone();
        longer.0[0].outline = rectangle(0, 0, w + 1, h);
        assert_eq!(laid(&planned(&longer, 100_000)), 0, "a nanometre too long");
        let mut taller = job.clone();
        taller.0[0].outline = rectangle(0, 0, w, h + 1);
        assert_eq!(laid(&planned(&taller, 100_000)), 2, "a nanometre too tall for three");
    }
}

#[test]
fn two_triangles_fill_a_square_without_a_gap() {
    let triangle = ring(&[(0, 0), (100 * MM, 0), (0, 100 * MM)]);
    let square = plate("R", rectangle(0, 0, 100 * MM, 100 * MM));
    let job = (vec![part("a", triangle, 2)], vec![square], rules(0, 0));
    let plan = planned(&job, 200_000);
    assert_eq!(laid(&plan), 2);
    assert_eq!(plan.stages[2].value, 0, "nothing is lost");
    assert!(plan.proved);
}

#[test]
fn a_part_lies_in_the_hole_of_another_where_only_that_fits() {
    let mut frame = part("frame", rectangle(0, 0, 100 * MM, 100 * MM), 1);
    frame.holes.push(rectangle(20 * MM, 20 * MM, 60 * MM, 60 * MM));
    let core = part("core", rectangle(0, 0, 54 * MM, 54 * MM), 1);
    let square = plate("R", rectangle(0, 0, 106 * MM, 106 * MM));
    let job = (vec![core, frame], vec![square], rules(3 * MM, 3 * MM));
    assert_eq!(laid(&planned(&job, 100_000)), 2);
    let mut larger = job.clone();
    larger.0[0].outline = rectangle(0, 0, 54 * MM + 1, 54 * MM);
    assert_eq!(laid(&planned(&larger, 100_000)), 1);
}

#[test]
fn both_lobes_of_a_necked_plate_are_used() {
    let (w, h) = (80 * MM, 60 * MM);
    let necked = ring(&[
        (0, 0),
        (w, 0),
        (w, h / 2 - 2 * MM),
        (w + 30 * MM, h / 2 - 2 * MM),
        (w + 30 * MM, -40 * MM),
        (2 * w + 90 * MM, -40 * MM),
        (2 * w + 90 * MM, h),
        (w + 30 * MM, h),
        (w + 30 * MM, h / 2 + 2 * MM),
        (w, h / 2 + 2 * MM),
        (w, h),
        (0, h),
    ]);
    let job = (
        vec![part("small", rectangle(0, 0, 74 * MM, 54 * MM), 1), part("large", rectangle(0, 0, 134 * MM, 94 * MM), 1)],
        vec![plate("R", necked)],
        rules(3 * MM, 3 * MM),
    );
    assert_eq!(laid(&planned(&job, 100_000)), 2);
}

#[test]
fn a_hole_in_the_plate_stays_free() {
    let mut holed = plate("R", rectangle(0, 0, 100 * MM, 100 * MM));
    holed.holes.push(circle(50 * MM, 50 * MM, 10 * MM, 12));
    let job = (vec![part("a", rectangle(0, 0, 60 * MM, 60 * MM), 1)], vec![holed.clone()], rules(0, 0));
    assert_eq!(laid(&planned(&job, 100_000)), 0, "wherever it lies, it covers the hole");
    let job = (vec![part("a", rectangle(0, 0, 40 * MM, 100 * MM), 2)], vec![holed], rules(0, 0));
    assert_eq!(laid(&planned(&job, 100_000)), 2);
}

#[test]
fn an_offcut_that_does_is_taken_before_steel_is_bought() {
    let mut bought = plate("B", rectangle(0, 0, 500 * MM, 500 * MM));
    (bought.price, bought.count) = (90_000, None);
    let mut smaller = plate("C", rectangle(0, 0, 300 * MM, 300 * MM));
    (smaller.price, smaller.count) = (40_000, None);
    let offcut = plate("R", ring(&[(0, 0), (120 * MM, 0), (100 * MM, 90 * MM), (0, 90 * MM)]));
    let mut job =
        (vec![part("a", rectangle(0, 0, 80 * MM, 80 * MM), 1)], vec![bought, smaller, offcut], rules(3 * MM, 3 * MM));
    let plan = planned(&job, 200_000);
    assert_eq!((plan.stages[1].value, plan.stages[1].proved), (0, true));
    job.0[0].count = 2;
    let plan = planned(&job, 200_000);
    assert_eq!((laid(&plan), plan.stages[1].value), (2, 40_000), "one more has to be bought, from the cheaper sheet");
}

#[test]
fn a_plate_that_is_not_needed_stays_closed_and_the_rest_stays_whole() {
    let same = |id| plate(id, rectangle(0, 0, 300 * MM, 200 * MM));
    let small = plate("S", rectangle(0, 0, 60 * MM, 60 * MM));
    let job = (
        vec![part("a", rectangle(0, 0, 60 * MM, 40 * MM), 4)],
        vec![same("P"), same("Q"), small],
        rules(3 * MM, 3 * MM),
    );
    let plan = planned(&job, 2_000_000);
    assert_eq!((laid(&plan), plan.sheets.len()), (4, 1));
    // Less lost goes first: gaps shared by all four cost 2,000 mm2 in all; the
    // largest rectangle is then still two thirds of the plate.
    assert!(plan.stages[2].value < 2_200 * 1_000_000, "{:?}", plan.stages);
    assert!(plan.stages[3].value >= 40_000 * 1_000_000, "{:?}", plan.stages);
}

fn fault(outline: Vec<Corner>, holes: Vec<Vec<Corner>>) -> Option<(Option<usize>, OutlineFault)> {
    let mut one = part("a", outline.clone(), 2);
    one.holes.clone_from(&holes);
    let good = part("b", rectangle(0, 0, 10 * MM, 10 * MM), 1);
    let mut bad = plate("R", outline);
    bad.holes = holes;
    let fine = plate("S", rectangle(0, 0, 50 * MM, 50 * MM));
    let job = (vec![one, good], vec![bad, fine], rules(MM, MM));
    let plan = planned(&job, 20_000);
    assert!(plan.sheets.iter().any(|s| s.placements.iter().any(|p| p.demand == 1)), "the rest goes on");
    let found: Vec<ShapeFault> = plan.faults.clone();
    let of = |whose| found.iter().find(|f| f.whose == whose).map(|f| (f.hole, f.fault));
    let (demand, stock) = (of(ShapeOwner::Demand(0)), of(ShapeOwner::Stock(0)));
    assert_eq!(demand, stock);
    if demand.is_some() {
        assert!(plan.uncut.iter().any(|u| u.demand == 0 && u.count == 2 && u.reason == UncutReason::BadSize));
    }
    demand
}

#[test]
fn outlines_that_are_none_are_refused_by_name() {
    let square = || rectangle(0, 0, 40 * MM, 40 * MM);
    assert_eq!(fault(square(), vec![]), None);
    let bow = ring(&[(0, 0), (40 * MM, 40 * MM), (40 * MM, 0), (0, 40 * MM)]);
    assert_eq!(fault(bow, vec![]), Some((None, OutlineFault::CrossesItself)));
    let touching = ring(&[(0, 0), (40, 0), (40, 40), (20, 0), (0, 40)]);
    assert_eq!(fault(touching, vec![]), Some((None, OutlineFault::CrossesItself)));
    let spike = ring(&[(0, 0), (40 * MM, 0), (60 * MM, 0), (40 * MM, 0), (40 * MM, 40 * MM), (0, 40 * MM)]);
    assert_eq!(fault(spike, vec![]), Some((None, OutlineFault::CrossesItself)));
    assert_eq!(fault(ring(&[(0, 0), (5, 5), (9, 9)]), vec![]), Some((None, OutlineFault::NoArea)));
    assert_eq!(fault(ring(&[(3, 3); 8]), vec![]), Some((None, OutlineFault::NoArea)));
    assert_eq!(fault(ring(&[(0, 0), (5, 5)]), vec![]), Some((None, OutlineFault::TooFewCorners)));
    assert_eq!(fault(vec![], vec![]), Some((None, OutlineFault::TooFewCorners)));
    let far = ring(&[(0, 0), (i64::MAX, 0), (0, i64::MIN)]);
    assert_eq!(fault(far, vec![]), Some((None, OutlineFault::OutOfRange)));
    let hole = |x| rectangle(x, 5 * MM, 10 * MM, 10 * MM);
    assert_eq!(fault(square(), vec![hole(5 * MM)]), None);
    assert_eq!(fault(square(), vec![hole(5 * MM), hole(35 * MM)]), Some((Some(1), OutlineFault::HoleOutside)));
    assert_eq!(fault(square(), vec![hole(80 * MM)]), Some((Some(0), OutlineFault::HoleOutside)));
    assert_eq!(fault(square(), vec![hole(5 * MM), hole(14 * MM)]), Some((Some(1), OutlineFault::HolesMeet)));
    let nested = vec![rectangle(5 * MM, 5 * MM, 30 * MM, 30 * MM), hole(10 * MM)];
    assert_eq!(fault(square(), nested), Some((Some(1), OutlineFault::HolesMeet)));
}

#[test]
fn a_plate_within_its_edge_gap_and_a_part_without_turns_are_refused() {
    let mut job = (
        vec![part("a", rectangle(0, 0, 5 * MM, 5 * MM), 1)],
        vec![plate("R", rectangle(0, 0, 100 * MM, 10 * MM))],
        rules(3 * MM, 5 * MM),
    );
    let plan = planned(&job, 20_000);
    let fault = ShapeFault { whose: ShapeOwner::Stock(0), hole: None, fault: OutlineFault::TooNarrow };
    assert_eq!(plan.faults, [fault]);
    assert_eq!(plan.uncut[0].reason, UncutReason::NoStockLeft);
    job.0[0].turns = Turning::Minutes(Vec::new());
    assert_eq!(planned(&job, 20_000).faults[1].fault, OutlineFault::NoTurn);
}

#[test]
fn wild_numbers_do_not_panic() {
    let wild = [i64::MIN, i64::MAX, 0, 1, -1];
    for (k, &a) in wild.iter().enumerate() {
        for &b in &wild {
            let outline = ring(&[(0, 0), (a, b), (b, a), (MM, a)]);
            let mut one = part("a", outline.clone(), [0, 1, u32::MAX][k % 3]);
            one.turns = Turning::Minutes(vec![u32::MAX, 0]);
            one.holes.push(outline.clone());
            let mut bad = plate("R", outline);
            bad.price = b;
            bad.count = None;
            let crowd = part("b", rectangle(0, 0, 30 * MM, 30 * MM), u32::MAX);
            let sheet = plate("S", rectangle(0, 0, 90 * MM, 90 * MM));
            let r = ShapeRules { gap: Nm(a), edge: Nm(b), keep_short: Nm(a), keep_long: Nm(b) };
            let _ = plan_shapes(&[one, crowd], &[bad, sheet], &r, Effort { steps: 2_000 });
        }
    }
    let plan = plan_shapes(&[], &[], &ShapeRules::default(), Effort::QUICK);
    assert!(plan.sheets.is_empty() && plan.proved);
}
