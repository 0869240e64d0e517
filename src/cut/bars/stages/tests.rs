//! The programmes of the stages against the exact search.

use super::*;
use crate::cut::bars::build::{Recipe, build};
use crate::cut::bars::exact::{self, Outcome};
use crate::cut::bars::model::{Class, Kind};

struct Random(u64);

impl Random {
    fn below(&mut self, n: i64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        ((self.0 >> 33) % n as u64) as i64
    }
}

/// Small jobs that mislead floating point: lengths that differ by one in
/// up to 10^12, or by nothing that a price could show.
fn problem(dice: &mut Random) -> Problem {
    let big = [1, 1_000, 1_000_000_000][dice.below(3) as usize];
    let near = dice.below(2) == 0;
    let mut kinds: Vec<Kind> = (0..2 + dice.below(4))
        .map(|_| {
            let size = if near { 333 * big + dice.below(3) } else { (60 + dice.below(500)) * big };
            Kind { size, length: size, count: 1 + dice.below(3) as u32, shape: 0 }
        })
        .collect();
    kinds.sort_by_key(|k| -k.size);
    kinds.dedup_by_key(|k| k.size);
    let mut classes = Vec::new();
    for _ in 0..dice.below(5) {
        let room = (200 + dice.below(1000)) * big + dice.below(3);
        classes.push(Class { room, price: 0, count: Some(1), worth: 0 });
    }
    for _ in 0..dice.below(3) {
        let room = (600 + dice.below(900)) * big + dice.below(3);
        classes.push(Class { room, price: 100 + dice.below(900), count: None, worth: 0 });
    }
    classes.sort_by_key(|c| c.room);
    classes.dedup_by_key(|c| c.room);
    let keep = [0, 150 * big, 300 * big][dice.below(3) as usize];
    Problem { kinds, classes, keep, ..Problem::default() }
}

#[test]
fn the_programmes_agree_with_the_exact_search() {
    let mut dice = Random(17);
    let (mut proved, mut settled) = (0, [0; 3]);
    for round in 0..400 {
        let problem = problem(&mut dice);
        let mut budget = Budget::new(u64::MAX);
        let nothing = Solution::default();
        let all = problem.cost(&nothing);
        let best = match exact::solve(&problem, &all, &mut budget) {
            Outcome::Best(best) => problem.cost(&best),
            _ => all,
        };
        let recipe = Recipe { longest_first: true, largest_in: true, only: None, skip: 0 };
        let first = if round % 2 == 0 { build(&problem, recipe, &mut budget) } else { nothing };
        let answer = Planner::new(&problem, first, Budget::new(2_000_000)).run(&mut Dice(1));
        let (got, low) = (answer.cost, answer.bounds);
        assert!(got.uncut >= best.uncut && low[0] <= best.uncut, "round {round}: uncut {low:?} {best:?}");
        // A bound counts among plans that are best in the aims before it.
        if got.uncut == best.uncut {
            assert!(low[1] <= best.money, "round {round}: money {low:?} {best:?}");
            if got.money == best.money {
                assert!(low[2] <= best.waste, "round {round}: waste {low:?} {best:?}");
                if got.waste == best.waste {
                    assert!(low[3] <= best.items, "round {round}: items {low:?} {best:?}");
                }
            }
        }
        let closed = (got.uncut, got.money, got.waste) == (low[0], low[1], low[2]);
        if closed {
            let same = (got.uncut, got.money, got.waste) == (best.uncut, best.money, best.waste);
            assert!(same, "round {round}: proved {got:?}, but {best:?}");
            proved += 1;
        }
        settled[0] += usize::from(best.uncut > 0);
        settled[1] += usize::from(best.money > 0);
        settled[2] += usize::from(best.waste > 0);
    }
    assert!(settled.iter().all(|&n| n > 40), "all kinds of jobs are met: {settled:?}");
    assert!(proved > 350, "only {proved} of 400 are proved");
}

/// A bar that must be used was once said to hold no worthless piece, where
/// lengths are too fine for a table: a cheap pair of bars was refuted.
#[test]
fn a_bar_that_must_be_used_may_hold_what_is_worth_nothing() {
    let kind = |size, count| Kind { size, length: size, count, shape: 0 };
    let class = |room, price, count| Class { room, price, count, worth: 0 };
    let problem = Problem {
        kinds: vec![kind(526_000, 1), kind(374_000, 1), kind(162_000, 3), kind(88_000, 2)],
        classes: vec![class(218_000, 0, Some(1)), class(1_135_001, 592, None), class(1_419_002, 857, None)],
        ..Problem::default()
    };
    let answer = Planner::new(&problem, Solution::default(), Budget::new(20_000_000)).run(&mut Dice(1));
    assert_eq!((answer.cost.money, answer.bounds[1]), (857, 857));
}
