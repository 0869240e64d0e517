//! The bar planner against published instances with known optima; source and
//! licence stand in `tests/published/bars/README.md`.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

mod bar_instances;

use bar_instances::{Instance, instances};
use droprack::cut::{BarPlan, Effort, plan_bars};

fn plan(instance: &Instance, effort: Effort) -> BarPlan {
    plan_bars(&instance.demands, &instance.stock, &instance.rules, effort)
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
