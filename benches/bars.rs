//! The bar planner on the published instances, on large orders, and over
//! thirty jobs in a row: what is proved, how long it took, what was spent.
//!
//! `cargo bench --bench bars` prints three tables. With `BARS_JSON=file` the
//! answers go there too, for `tests/outside/bars_highs.py`, which solves the
//! same instances with a general solver and prints the ratios.

#![allow(clippy::unwrap_used, clippy::print_stdout)] // a bench may panic and prints

#[path = "../tests/bar_instances/mod.rs"]
mod bar_instances;

use bar_instances::{UNIT, instances};
use droprack::cut::{BarDemand, BarPlan, BarRules, BarStock, Effort, Nm, plan_bars};
use std::fmt::Write as _;
use std::time::Instant;

/// Times and proofs of one set.
#[derive(Default)]
struct Row {
    seconds: Vec<f64>,
    money: usize,
    all: usize,
    wrong: usize,
}

fn published() {
    let mut rows: Vec<(String, Row)> = Vec::new();
    let mut json = String::from("{");
    for instance in instances() {
        let start = Instant::now();
        let plan = plan_bars(&instance.demands, &instance.stock, &instance.rules, Effort::NORMAL);
        let seconds = start.elapsed().as_secs_f64();
        let kind = if instance.set.starts_with("shop") || instance.set.starts_with("vs") {
            &instance.set
        } else {
            "classical"
        };
        if rows.last().is_none_or(|r| r.0 != kind) {
            rows.push((kind.to_string(), Row::default()));
        }
        let row = &mut rows.last_mut().unwrap().1;
        row.seconds.push(seconds);
        let (money, waste) = (&plan.stages[1], &plan.stages[2]);
        // Classical sets have no waste: all that counts is the number of bars.
        let all = if kind.starts_with("shop") { plan.proved } else { money.proved };
        row.money += usize::from(money.proved);
        row.all += usize::from(all);
        let waste_wrong = instance.least_waste.is_some_and(|w| waste.value < w || (waste.proved && waste.value != w));
        row.wrong += usize::from(money.value < instance.optimum || money.bound > instance.optimum || waste_wrong);
        let comma = if json.len() > 1 { "," } else { "" };
        let waste_mm = waste.value / UNIT;
        let _ = write!(
            json,
            "{comma}\"{}\":{{\"seconds\":{seconds:.6},\"money\":{},\"waste\":{waste_mm},\"proved\":{all}}}",
            instance.name, money.value
        );
    }
    println!("set          n  money proved  all proved  against the known optimum  median s   max s  < 1 s  < 10 s");
    for (name, mut row) in rows {
        row.seconds.sort_by(f64::total_cmp);
        let n = row.seconds.len();
        let below = |limit: f64| row.seconds.iter().filter(|s| **s < limit).count();
        println!(
            "{name:<10} {n:>3} {:>13} {:>11} {:>26} {:>9.4} {:>7.3} {:>6} {:>7}",
            row.money,
            row.all,
            row.wrong,
            row.seconds[n / 2],
            row.seconds[n - 1],
            below(1.0),
            below(10.0)
        );
    }
    if let Ok(file) = std::env::var("BARS_JSON") {
        // A bench's own figures for the comparison script, not a result of the tool.
        #[allow(clippy::disallowed_methods)]
        std::fs::write(file, json + "}").unwrap();
    }
}

/// Numbers that look random and are the same in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }

    /// Between two lengths, short ones as often as long ones, mm.
    fn length(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.below(1 << 20) as f64 / f64::from(1 << 20))
    }
}

/// A large order: so many pieces of so many lengths, so many offcuts that
/// together hold a part of them, and two lengths to buy.
fn large() {
    println!("\npieces  lengths  offcuts    s   money  bound  gap %  waste mm  peak memory of the process MB");
    for (pieces, lengths, offcuts, share) in [
        (10_000, 300, 2_000, 0.77),
        (10_000, 3_000, 2_000, 0.77),
        (10_000, 10_000, 2_000, 0.77),
        (10_000, 10_000, 2_000, 1.1),
    ] {
        let mut dice = Dice(9);
        let mut total = 0.0;
        let demands: Vec<BarDemand> = (0..lengths)
            .map(|k| {
                let mm = (dice.length(45.0, 1400.0) * 10.0).round() / 10.0;
                total += mm * (pieces / lengths) as f64;
                BarDemand::square(&format!("p{k}"), Nm::from_mm_snapped(mm), (pieces / lengths) as u32)
            })
            .collect();
        let raw: Vec<f64> = (0..offcuts).map(|_| dice.length(150.0, 3000.0)).collect();
        let scale = total * share / raw.iter().sum::<f64>();
        let mut stock: Vec<BarStock> = raw
            .iter()
            .enumerate()
            .map(|(i, mm)| BarStock {
                id: format!("F{i}"),
                length: Nm::from_mm_snapped((mm * scale).clamp(120.0, 5900.0).round()),
                count: Some(1),
                ..BarStock::default()
            })
            .collect();
        for (mm, price) in [(3000, 1500), (6000, 2650)] {
            stock.push(BarStock { id: format!("B{mm}"), length: Nm(mm * UNIT), price, ..BarStock::default() });
        }
        let rules = BarRules { kerf: Nm(2_500_000), keep: Nm(200 * UNIT), ..BarRules::default() };
        let start = Instant::now();
        let plan = plan_bars(&demands, &stock, &rules, Effort::NORMAL);
        let (money, waste) = (&plan.stages[1], &plan.stages[2]);
        println!(
            "{pieces:>6} {lengths:>8} {offcuts:>8} {:>5.1} {:>7} {:>6} {:>6.2} {:>8} {:>8}",
            start.elapsed().as_secs_f64(),
            money.value,
            money.bound,
            100.0 * (money.value - money.bound) as f64 / money.value.max(1) as f64,
            waste.value / UNIT,
            peak_mb()
        );
    }
}

/// Peak memory of this process so far, MB; 0 where the system does not tell.
fn peak_mb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|l| l.starts_with("VmHWM")).unwrap_or("");
    line.split_whitespace().nth(1).and_then(|n| n.parse::<u64>().ok()).unwrap_or(0) / 1024
}

/// Bars that can be bought in the thirty jobs: length, mm, and price.
const SHOP: [(i64, i64); 4] = [(1000, 62_000), (2000, 108_000), (3000, 150_000), (6000, 265_000)];
const SEEDS: u64 = 20;
const JOBS: usize = 30;

/// What one run of thirty jobs came to.
#[derive(Default)]
struct Sum {
    money: i64,
    waste: i64,
    pieces: i64,
    bin: usize,
    bin_length: i64,
    unproved: usize,
}

/// Thirty jobs over one bin that fills and empties.
fn thirty(value: i64) {
    let mut sum = Sum::default();
    let mut seconds = 0.0;
    for seed in 1..=SEEDS {
        let mut dice = Dice(seed);
        let mut bin: Vec<i64> = (0..6).map(|_| dice.length(200.0, 2500.0) as i64 * UNIT).collect();
        for _ in 0..JOBS {
            let demands: Vec<BarDemand> = (0..2 + dice.below(4))
                .map(|k| {
                    let mm = dice.length(50.0, 1200.0).round() as i64;
                    BarDemand::square(&format!("p{k}"), Nm(mm * UNIT), 1 + dice.below(4) as u32)
                })
                .collect();
            let offcut = |(i, &l): (usize, &i64)| BarStock {
                id: format!("F{i:03}"),
                length: Nm(l),
                count: Some(1),
                ..BarStock::default()
            };
            let mut stock: Vec<BarStock> = bin.iter().enumerate().map(offcut).collect();
            stock.extend(SHOP.map(|(mm, price)| BarStock {
                id: format!("B{mm}"),
                length: Nm(mm * UNIT),
                price,
                ..BarStock::default()
            }));
            let rules = BarRules { kerf: Nm(2 * UNIT), keep: Nm(200 * UNIT), value, ..BarRules::default() };
            let start = Instant::now();
            let plan = plan_bars(&demands, &stock, &rules, Effort::NORMAL);
            seconds += start.elapsed().as_secs_f64();
            book(&plan, &mut bin, &mut sum, &demands);
        }
        sum.bin += bin.len();
        sum.bin_length += bin.iter().sum::<i64>();
    }
    let seeds = SEEDS as f64;
    println!(
        "{:>24.2} {:>8.2} {:>8.2} {:>10.1} {:>14.0} {:>9.1} {:>9}",
        value as f64 / 10_000.0,
        sum.money as f64 / 10_000.0 / seeds,
        100.0 * sum.waste as f64 / sum.pieces as f64,
        sum.bin as f64 / seeds,
        sum.bin_length as f64 / UNIT as f64 / sum.bin.max(1) as f64,
        1000.0 * seconds / (seeds * JOBS as f64),
        sum.unproved
    );
}

fn book(plan: &BarPlan, bin: &mut Vec<i64>, sum: &mut Sum, demands: &[BarDemand]) {
    sum.pieces += demands.iter().map(|d| d.length.0 * i64::from(d.count)).sum::<i64>();
    sum.unproved += usize::from(!plan.proved);
    let mut left: Vec<Option<i64>> = bin.iter().copied().map(Some).collect();
    for bar in &plan.bars {
        sum.money += bar.price;
        sum.waste += bar.waste.0;
        if !bar.bought {
            left[bar.stock] = None;
        }
    }
    *bin = left.into_iter().flatten().collect();
    bin.extend(plan.bars.iter().filter(|b| b.kept).map(|b| b.remainder.0));
    bin.sort_unstable();
}

fn main() {
    published();
    large();
    println!("\n{JOBS} jobs in a row, mean of {SEEDS} seeds");
    println!("value_of_offcuts a metre    money  waste %  bin items  mean length mm  ms a job  unproved");
    let cheapest = SHOP.iter().map(|s| s.1 * 1000 / s.0).min().unwrap();
    for percent in [0, 50, 80, 90, 100] {
        thirty(cheapest * percent / 100);
    }
}
