//! The plate planner on published instances and on home-shop jobs with a
//! planted plan: what is proved, beside the best known, and how long it took.
//!
//! `PLATES_DATA=folder cargo bench --bench plates`; without the folder only the
//! home-shop jobs run. A word after `--` picks one table: knapsack, bins, home.

#![allow(clippy::unwrap_used, clippy::print_stdout)] // a bench may panic and prints

#[path = "../tests/plate_makers/mod.rs"]
mod plate_makers;

use droprack::cut::{Effort, Nm, PlatePlan, knapsack_plate, plan_plates};
use plate_makers::{Job, bins, home, knapsacks};
use std::path::Path;
use std::time::Instant;

fn effort() -> Effort {
    let steps = std::env::var("PLATES_STEPS").ok().and_then(|s| s.parse().ok());
    steps.map_or(Effort::NORMAL, |steps| Effort { steps })
}

fn knapsack_table(folder: &Path) {
    println!("{:<18} {:>9} {:>9} {:>9} {:>7} {:>8}", "knapsack", "value", "bound", "known", "proved", "seconds");
    let (mut proved, mut quick, mut wrong, mut n) = (0, 0, 0, 0);
    for k in knapsacks(folder) {
        let start = Instant::now();
        let plan = knapsack_plate(k.length, k.width, Nm(0), &k.items, effort());
        let seconds = start.elapsed().as_secs_f64();
        let known = k.best.unwrap_or(plan.value);
        println!("{:<18} {:>9} {:>9} {known:>9} {:>7} {seconds:>8.3}", k.name, plan.value, plan.bound, plan.proved);
        n += 1;
        proved += usize::from(plan.proved);
        quick += usize::from(plan.proved && seconds < 1.0);
        wrong += usize::from(plan.value > known || plan.bound < known);
    }
    println!("{n} knapsacks: {proved} proved, {quick} within 1 s, {wrong} against the best known\n");
}

fn run(job: &Job) -> (PlatePlan, f64) {
    let start = Instant::now();
    let plan = plan_plates(&job.demands, &job.stock, &job.rules, effort());
    (plan, start.elapsed().as_secs_f64())
}

fn table(title: &str, jobs: &[Job]) {
    println!(
        "{title:<18} {:>9} {:>9} {:>9} {:>6} {:>7} {:>8}",
        "money", "bound", "known", "uncut", "proved", "seconds"
    );
    let (mut proved, mut good, mut slowest, mut sums) = (0, 0, 0.0_f64, (0, 0));
    for job in jobs {
        let (plan, seconds) = run(job);
        let money = plan.stages[1];
        let known = job.planted.map_or("-".into(), |p| p.to_string());
        let uncut: u32 = plan.uncut.iter().map(|u| u.count).sum();
        println!(
            "{:<18} {:>9} {:>9} {known:>9} {uncut:>6} {:>7} {seconds:>8.3}",
            job.name, money.value, money.bound, money.proved
        );
        proved += usize::from(money.proved);
        good += usize::from(uncut == 0 && job.planted.is_none_or(|p| money.value <= p));
        slowest = slowest.max(seconds);
        sums = (sums.0 + money.value, sums.1 + money.bound);
    }
    println!(
        "{}: {proved} proved, {good} all cut at or below the known, {} against bounds of {}, slowest {slowest:.2} s\n",
        jobs.len(),
        sums.0,
        sums.1
    );
}

fn main() {
    let picked: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with('-')).collect();
    let wanted = |name: &str| picked.is_empty() || picked.iter().any(|p| p == name);
    match std::env::var("PLATES_DATA") {
        Ok(folder) => {
            let folder = Path::new(&folder);
            if wanted("knapsack") {
                knapsack_table(folder);
            }
            if wanted("bins") {
                table("equal bins", &bins(folder, "b_"));
                table("unequal bins", &bins(folder, "v_"));
            }
        }
        Err(_) => println!("no PLATES_DATA: published instances skipped\n"),
    }
    if wanted("home") {
        table("home shop", &(0..20).map(home).collect::<Vec<_>>());
    }
}
