//! The free-shape planner on workshop cases with a planted solution, and on
//! published strips and bins if a folder of them is given.
//!
//! `cargo bench --bench shapes` prints, for each size of case, how many were
//! laid in full, with how much steel to spare and after how long. With
//! `SHAPES_DATA=folder` the irregular instances in it are laid too (`i_*.json`
//! strips, `r_*.json` bins), their densities beside the published best.
//! `SHAPES_STEPS=n` sets the steps allowed, `SHAPES_ONLY=12` one size of case.

#![allow(clippy::unwrap_used, clippy::print_stdout)] // a bench may panic and prints

use droprack::cut::{Corner, Effort, Nm, ShapeDemand, ShapePlan, ShapeRules, ShapeStock, Turning, plan_shapes};
use serde_json::Value;
use std::time::Instant;

type Point = (f64, f64);
type Ring = Vec<Point>;

/// Numbers that look random and are the same in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.below(1 << 20) as f64 / f64::from(1 << 20)
    }
}

/// A part in its planted place, mm.
struct Part {
    outline: Ring,
    holes: Vec<Ring>,
}

fn circle(x: f64, y: f64, radius: f64, corners: usize, outside: bool) -> Ring {
    let step = std::f64::consts::TAU / corners as f64;
    let r = if outside { radius / (step / 2.0).cos() } else { radius };
    (0..corners).map(|k| (x + r * (step * k as f64).cos(), y + r * (step * k as f64).sin())).collect()
}

fn rectangle(x: f64, y: f64, w: f64, h: f64) -> Ring {
    vec![(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
}

fn moved(ring: &[Point], x: f64, y: f64) -> Ring {
    ring.iter().map(|p| (p.0 + x, p.1 + y)).collect()
}

/// Half a turn about the middle of a box of this size.
fn half_turn(ring: &[Point], w: f64, h: f64) -> Ring {
    ring.iter().map(|p| (w - p.0, h - p.1)).collect()
}

/// Convex hull, counter-clockwise.
fn hull(mut points: Ring) -> Ring {
    points.sort_by(|a, b| a.partial_cmp(b).unwrap());
    let mut chain: Ring = Vec::new();
    for pass in 0..2 {
        let start = chain.len();
        for &p in &points {
            while chain.len() >= start + 2 {
                let (a, b) = (chain[chain.len() - 2], chain[chain.len() - 1]);
                if (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0) > 1e-9 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        if pass == 0 {
            points.reverse();
        }
    }
    chain
}

/// Brackets that together fill a box of the given height, and its width.
fn cell(dice: &mut Dice, h: f64, gap: f64, most: usize) -> (Vec<Part>, f64) {
    let plain = |outline: Ring| Part { outline, holes: Vec::new() };
    let w = dice.between(0.8, 2.2) * h;
    match if most < 2 { dice.below(3) } else { dice.below(7) } {
        0 => {
            let c = dice.between(0.08, 0.25) * h;
            let outline = vec![(c, 0.0), (w - c, 0.0), (w, c), (w, h - c), (w - c, h), (c, h), (0.0, h - c), (0.0, c)];
            let holes = vec![circle(w * 0.25, h / 2.0, 4.2, 12, false), circle(w * 0.75, h / 2.0, 4.2, 12, false)];
            (vec![Part { outline, holes }], w)
        }
        1 => (
            vec![Part {
                outline: circle(h / 2.0, h / 2.0, h / 2.0, 48, true),
                holes: vec![circle(h / 2.0, h / 2.0, h * 0.2, 24, false)],
            }],
            h + 0.5,
        ),
        2 => {
            let mut points = circle(0.85 * h, h / 2.0, h / 2.0, 24, false);
            points.extend(circle(0.25 * h, h / 2.0, h * 0.25, 16, false));
            points.extend(circle(1.45 * h, h / 2.0, h * 0.25, 16, false));
            (vec![plain(hull(points))], 1.7 * h)
        }
        3 => {
            let dx = gap * (w * w + h * h).sqrt() / h + 0.02;
            let triangle = vec![(0.0, 0.0), (w, 0.0), (0.0, h)];
            let other = moved(&half_turn(&triangle, w, h), dx, 0.0);
            (vec![plain(triangle), plain(other)], w + dx)
        }
        4 => {
            let t = dice.between(0.25, 0.32) * h;
            let (lw, lh) = (w, h - t - gap);
            let angle = vec![(0.0, 0.0), (lw, 0.0), (lw, t), (t, t), (t, lh), (0.0, lh)];
            let other = moved(&half_turn(&angle, lw, lh), t + gap, t + gap);
            (vec![plain(angle), plain(other)], w + t + gap)
        }
        5 => {
            let (r, hole) = (h / 2.0, h * 0.36);
            let ring = Part { outline: circle(r, r, r, 48, true), holes: vec![circle(r, r, hole, 48, false)] };
            let s = (hole - gap) * 1.3;
            (vec![ring, plain(rectangle(r - s / 2.0, r - s / 2.0, s, s))], h + 0.5)
        }
        _ => {
            let b = (h - gap) / 2.0;
            let arm = |y: f64| {
                let mut points = circle(b / 2.0, y + b / 2.0, b / 2.0, 20, false);
                points.extend(circle(w - b / 2.0, y + b / 2.0, b / 2.0, 20, false));
                let slot = rectangle(b * 0.6, y + b / 2.0 - 3.0, w - b * 1.2, 6.0);
                Part { outline: hull(points), holes: vec![slot] }
            };
            (vec![arm(0.0), arm(b + gap)], w)
        }
    }
}

/// A case: demands and remnants in which they are known to fit.
struct Case {
    demands: Vec<ShapeDemand>,
    stock: Vec<ShapeStock>,
    rules: ShapeRules,
    /// Area of the parts over that of the remnants.
    fill: f64,
}

fn corner(p: &Point) -> Corner {
    let round = |mm: f64| Nm((mm * 100.0).round() as i64 * 10_000);
    (round(p.0), round(p.1))
}

fn ring(points: &[Point]) -> Vec<Corner> {
    points.iter().map(corner).collect()
}

fn area(points: &[Corner]) -> f64 {
    let n = points.len();
    let mm = |c: Corner| (c.0.to_mm(), c.1.to_mm());
    (0..n).map(|k| (mm(points[k]), mm(points[(k + 1) % n]))).map(|(a, b)| a.0 * b.1 - a.1 * b.0).sum::<f64>().abs()
        / 2.0
}

fn steel(outline: &[Corner], holes: &[Vec<Corner>]) -> f64 {
    area(outline) - holes.iter().map(|h| area(h)).sum::<f64>()
}

/// Rows of cells with a remnant's outline around them, grown by a share.
fn remnant(
    dice: &mut Dice,
    parts: usize,
    gap: f64,
    edge: f64,
    holed: bool,
    growth: f64,
) -> (Vec<Part>, Ring, Vec<Ring>) {
    let mut laid: Vec<Part> = Vec::new();
    let mut rows: Vec<(f64, f64, f64)> = Vec::new();
    let mut holes = Vec::new();
    let mut y = 0.0;
    let row_parts = parts.div_ceil(1 + dice.below(3) as usize).max(1);
    while laid.len() < parts {
        let h = (dice.between(40.0, 105.0) * 4.0).round() / 4.0;
        let (mut x, start) = (0.0, laid.len());
        while laid.len() < parts && laid.len() - start < row_parts {
            let (cell, w) = cell(dice, h, gap, parts - laid.len());
            for part in cell {
                laid.push(Part {
                    outline: moved(&part.outline, x, y),
                    holes: part.holes.iter().map(|r| moved(r, x, y)).collect(),
                });
            }
            x += w + gap;
            if holed && holes.is_empty() && laid.len() * 2 >= parts {
                let r = h * 0.3;
                holes.push(circle(x - gap + edge + r, y + h / 2.0, r, 16, true));
                x += 2.0 * edge + 2.0 * r * 1.02 - gap;
            }
        }
        rows.push((x - gap, y, h));
        y += h + gap;
    }
    let mut outline = vec![(-edge, -edge)];
    for (k, &(w, y, h)) in rows.iter().enumerate() {
        // A step down belongs to the wider row: the border keeps the edge gap.
        let below = k > 0 && rows[k - 1].0 > w;
        let above = rows.get(k + 1).is_some_and(|n| n.0 > w);
        let low = if k == 0 {
            -edge
        } else if below {
            y - gap + edge
        } else {
            y - edge
        };
        let high = if k + 1 == rows.len() {
            y + h + edge
        } else if above {
            y + h + gap - edge
        } else {
            y + h + edge
        };
        outline.push((w + edge + dice.between(0.0, 1.5), low));
        outline.push((w + edge + dice.between(0.0, 1.5), high));
    }
    outline.push((-edge - dice.between(0.0, 3.0), y - gap + edge));
    let grow = |p: &Point| (p.0 * (1.0 + growth), p.1 * (1.0 + growth));
    let grown: Ring = outline.iter().map(grow).collect();
    let holes = holes
        .iter()
        .map(|h: &Ring| {
            let middle = h.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0 / h.len() as f64, s.1 + p.1 / h.len() as f64));
            moved(h, middle.0 * growth, middle.1 * growth)
        })
        .collect();
    (laid, grown, holes)
}

fn case(seed: u64, parts: usize, growth: f64) -> Case {
    let mut dice = Dice(seed * 7919 + parts as u64);
    let gap = [3.0, 4.0, 5.0][dice.below(3) as usize];
    let edge = gap;
    let remnants = 2 + dice.below((parts as u64 / 3 - 1).min(9)) as usize;
    let mut all: Vec<Part> = Vec::new();
    let mut stock = Vec::new();
    for r in 0..remnants {
        let share = (parts - all.len()).div_ceil(remnants - r);
        let holed = dice.below(3) == 0;
        let (laid, outline, holes) = remnant(&mut dice, share, gap, edge, holed, growth);
        all.extend(laid);
        stock.push(ShapeStock {
            id: format!("R{r}"),
            outline: ring(&outline),
            holes: holes.iter().map(|h| ring(h)).collect(),
            price: 0,
            count: Some(1),
        });
    }
    let mut demands = Vec::new();
    while !all.is_empty() {
        let part = all.swap_remove(dice.below(all.len() as u64) as usize);
        let quarter = dice.below(4);
        let turned = |points: &Ring| -> Ring {
            let turn = |p: &Point| match quarter {
                0 => *p,
                1 => (-p.1, p.0),
                2 => (-p.0, -p.1),
                _ => (p.1, -p.0),
            };
            points.iter().map(turn).collect()
        };
        demands.push(ShapeDemand {
            key: format!("p{}", demands.len()),
            outline: ring(&turned(&part.outline)),
            holes: part.holes.iter().map(|h| ring(&turned(h))).collect(),
            count: 1,
            turns: Turning::Free,
        });
    }
    let rules = ShapeRules {
        gap: Nm((gap * 1e6) as i64),
        edge: Nm((edge * 1e6) as i64),
        keep_short: Nm(60_000_000),
        keep_long: Nm(100_000_000),
    };
    let wanted: f64 = demands.iter().map(|d| steel(&d.outline, &d.holes)).sum();
    let there: f64 = stock.iter().map(|s| steel(&s.outline, &s.holes)).sum();
    Case { demands, stock, rules, fill: wanted / there }
}

fn steps(usual: u64) -> Effort {
    Effort { steps: std::env::var("SHAPES_STEPS").ok().and_then(|s| s.parse().ok()).unwrap_or(usual) }
}

fn planted() {
    let only: Option<usize> = std::env::var("SHAPES_ONLY").ok().and_then(|s| s.parse().ok());
    let growth: f64 = std::env::var("SHAPES_GROWTH").ok().and_then(|s| s.parse().ok()).unwrap_or(0.03);
    println!("parts  cases  all laid  parts laid %  fill % (least-mean-most)  seconds (median-most)");
    for parts in [12, 17, 40] {
        if only.is_some_and(|o| o != parts) {
            continue;
        }
        let (mut full, mut laid, mut seconds, mut fills, mut missed) = (0, 0, Vec::new(), Vec::new(), Vec::new());
        let cases = 24;
        for seed in 1..=cases {
            let case = case(seed, parts, growth);
            let start = Instant::now();
            let plan = plan_shapes(&case.demands, &case.stock, &case.rules, steps(Effort::NORMAL.for_shapes().steps));
            seconds.push(start.elapsed().as_secs_f64());
            fills.push(100.0 * case.fill);
            let count = placed(&plan);
            laid += count;
            full += usize::from(count == parts);
            if count < parts {
                missed.push(format!("{seed}:{}", parts - count));
            }
        }
        seconds.sort_by(f64::total_cmp);
        fills.sort_by(f64::total_cmp);
        let n = seconds.len();
        println!(
            "{parts:>5} {cases:>6} {full:>9} {:>13.1} {:>10.1}-{:.1}-{:.1} {:>15.2}-{:.2}  missed {}",
            100.0 * laid as f64 / (parts * n) as f64,
            fills[0],
            fills.iter().sum::<f64>() / n as f64,
            fills[n - 1],
            seconds[n / 2],
            seconds[n - 1],
            missed.join(" ")
        );
    }
}

fn placed(plan: &ShapePlan) -> usize {
    plan.sheets.iter().map(|s| s.placements.len()).sum()
}

/// One number scaled so that the largest size of an instance is 400 mm.
fn scaled(value: &Value, scale: f64) -> i64 {
    (value.as_f64().unwrap() * scale).round() as i64
}

fn outline(value: &Value, scale: f64) -> Vec<Corner> {
    let corner = |p: &Value| (Nm(scaled(&p[0], scale)), Nm(scaled(&p[1], scale)));
    value.as_array().unwrap().iter().map(corner).collect()
}

fn outlines(value: &Value, scale: f64) -> Vec<Vec<Corner>> {
    value.as_array().map(|all| all.iter().map(|o| outline(o, scale)).collect()).unwrap_or_default()
}

fn wanted(instance: &Value, scale: f64) -> Vec<ShapeDemand> {
    let items = instance["items"].as_array().unwrap();
    let turns = |item: &Value| match item["rot"].as_array() {
        Some(list) => Turning::Minutes(list.iter().map(|a| (a.as_f64().unwrap() * 60.0) as u32).collect()),
        None => Turning::Minutes(vec![0, 5_400, 10_800, 16_200]),
    };
    items
        .iter()
        .enumerate()
        .map(|(i, item)| ShapeDemand {
            key: format!("i{i:03}"),
            outline: outline(&item["poly"], scale),
            holes: outlines(&item["holes"], scale),
            count: item["qty"].as_u64().unwrap() as u32,
            turns: turns(item),
        })
        .collect()
}

/// The shortest strip found: shortened by a percent while all goes in.
fn strip(name: &str, instance: &Value) {
    let scale = 400e6 / instance["strip_width"].as_f64().unwrap();
    let demands = wanted(instance, scale);
    let parts: f64 = demands.iter().map(|d| f64::from(d.count) * steel(&d.outline, &d.holes)).sum();
    let count: u32 = demands.iter().map(|d| d.count).sum();
    let (start, mut best, mut share) = (Instant::now(), 0.0_f64, 0.45_f64);
    loop {
        let length = parts / 400.0 / share;
        let corners = [(0.0, 0.0), (length, 0.0), (length, 400.0), (0.0, 400.0)];
        let sheet =
            ShapeStock { id: "strip".into(), outline: ring(&corners), price: 0, count: Some(1), ..Default::default() };
        let rules = ShapeRules::default();
        let plan = plan_shapes(&demands, &[sheet], &rules, steps(Effort::NORMAL.for_shapes().steps / 4));
        if placed(&plan) < count as usize {
            break;
        }
        let reach = plan.sheets[0].placements.iter().flat_map(|p| &p.outline).map(|c| c.0.to_mm()).fold(0.0, f64::max);
        best = best.max(parts / 400.0 / reach);
        share = best * 1.01;
    }
    let known = &instance["best"]["density_pct"];
    println!(
        "{name:<26} {count:>4} parts  density {:>5.1} %  published {known} %  {:>6.1} s",
        best * 100.0,
        start.elapsed().as_secs_f64()
    );
}

/// Bins of a published instance: how many are opened.
fn bins(name: &str, instance: &Value) {
    let list = instance["bins"].as_array().unwrap();
    let far = |b: &Value| b["outer"].as_array().unwrap().iter().map(|p| p[0].as_f64().unwrap()).fold(0.0, f64::max);
    let scale = 400e6 / list.iter().map(far).fold(0.0, f64::max);
    let demands = wanted(instance, scale);
    let stock: Vec<ShapeStock> = list
        .iter()
        .enumerate()
        .map(|(i, b)| ShapeStock {
            id: format!("b{i}"),
            outline: outline(&b["outer"], scale),
            holes: outlines(&b["holes"], scale),
            price: 10_000,
            count: b["qty"].as_u64().map(|n| n as u32),
        })
        .collect();
    let start = Instant::now();
    let plan = plan_shapes(&demands, &stock, &ShapeRules::default(), steps(Effort::NORMAL.for_shapes().steps));
    let count: u32 = demands.iter().map(|d| d.count).sum();
    println!(
        "{name:<26} {count:>4} parts  laid {:>4}  opened {} (bound by area {})  published {}  {:>6.1} s",
        placed(&plan),
        plan.sheets.len(),
        plan.stages[1].bound / 10_000,
        instance["best"],
        start.elapsed().as_secs_f64()
    );
}

/// Published instances of a folder, in the order of their names.
fn published() {
    let Ok(folder) = std::env::var("SHAPES_DATA") else {
        println!("\nno published instances: SHAPES_DATA names no folder");
        return;
    };
    println!("\npublished instances, no gap");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.sort();
    for file in files {
        let name = file.file_stem().unwrap().to_string_lossy().into_owned();
        if !name.starts_with("i_") && !name.starts_with("r_") {
            continue;
        }
        let instance: Value = serde_json::from_str(&std::fs::read_to_string(&file).unwrap()).unwrap();
        if name.starts_with("i_") { strip(&name, &instance) } else { bins(&name, &instance) }
    }
}

fn main() {
    planted();
    published();
}
