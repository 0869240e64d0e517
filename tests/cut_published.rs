//! The bar planner against published instances with known optima; source and
//! licence stand in `tests/published/bars/README.md`.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::cut::{BarDemand, BarPlan, BarRules, BarStock, Effort, Nm, plan_bars};
use std::path::Path;

/// One unit of the data files (a millimetre in the workshop sets).
const UNIT: i64 = 1_000_000;

/// An instance as its file states it.
#[derive(Default)]
struct Instance {
    name: String,
    set: String,
    optimum: i64,
    least_waste: Option<i64>,
    kerf: i64,
    keep: i64,
    stock: Vec<BarStock>,
    demands: Vec<BarDemand>,
}

fn number(text: &str) -> i64 {
    text.parse().expect("a whole number")
}

fn read(text: &str) -> Vec<Instance> {
    let mut all: Vec<Instance> = Vec::new();
    for line in text.lines() {
        let words: Vec<&str> = line.split_whitespace().collect();
        if let ["instance", name] = words[..] {
            all.push(Instance { name: name.to_string(), ..Instance::default() });
            continue;
        }
        let Some(now) = all.last_mut() else { continue };
        match words[..] {
            ["set", name] => now.set = name.to_string(),
            ["opt", n] => now.optimum = number(n),
            ["optwaste", n] => now.least_waste = Some(number(n) * UNIT),
            ["kerf", n] => now.kerf = number(n) * UNIT,
            ["keeper", n] => now.keep = number(n) * UNIT,
            ["stock", length, count, price] => now.stock.push(BarStock {
                id: format!("S{}", now.stock.len()),
                length: Nm(number(length) * UNIT),
                price: number(price),
                count: count.parse().ok(),
                ..BarStock::default()
            }),
            ["piece", length, count] => now.demands.push(BarDemand::square(
                &format!("P{}", now.demands.len()),
                Nm(number(length) * UNIT),
                number(count) as u32,
            )),
            _ => {}
        }
    }
    all
}

fn instances() -> Vec<Instance> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/published/bars");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the folder of instances")
        .map(|entry| entry.expect("a folder entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "txt"))
        .collect();
    files.sort();
    files.iter().flat_map(|path| read(&std::fs::read_to_string(path).expect("an instance file"))).collect()
}

fn plan(instance: &Instance, effort: Effort) -> BarPlan {
    let rules = BarRules { kerf: Nm(instance.kerf), trim: Nm::ZERO, keep: Nm(instance.keep), value: 0 };
    plan_bars(&instance.demands, &instance.stock, &rules, effort)
}

/// Sets that only the bench solves: together they take most of the time.
const LONG_SETS: [&str; 3] = ["Hard28", "Scholl_3", "Falkenauer_T"];

#[test]
fn published_bars_are_proved_at_the_known_optimum() {
    let (mut total, mut wastes) = (0, 0);
    for instance in instances() {
        if LONG_SETS.contains(&instance.set.as_str()) {
            continue;
        }
        let plan = plan(&instance, Effort::NORMAL);
        let [uncut, money, waste, ..] = plan.stages[..] else { panic!("too few aims") };
        total += 1;
        assert_eq!(uncut.value, 0, "{}: everything can be bought", instance.name);
        assert!(money.proved, "{}: money", instance.name);
        assert_eq!(money.value, instance.optimum, "{}", instance.name);
        if instance.set.starts_with("shop") {
            assert!(plan.proved, "{}: waste {waste:?}", instance.name);
        }
        if let Some(least) = instance.least_waste {
            wastes += 1;
            assert_eq!(waste.value, least, "{}", instance.name);
        }
    }
    // These numbers may only rise.
    assert_eq!((total, wastes), (101, 51), "the instances are all read");
}
