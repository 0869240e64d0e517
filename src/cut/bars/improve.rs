//! The whole search: first plans, exact answers on small parts of a plan, the
//! exact answer on the whole if it is small enough, and the bounds.

use crate::cut::Effort;
use crate::cut::bars::bound;
use crate::cut::bars::build::{Recipe, build};
use crate::cut::bars::exact::{self, Outcome};
use crate::cut::bars::model::{Class, Cost, Filled, Kind, Problem, Solution};
use crate::cut::bars::stages::Planner;
use crate::cut::effort::Budget;

/// First plans with limited bars left out at random.
const RANDOM_STARTS: u64 = 24;
/// Most states when part of a plan is solved again: keeps each try short.
const PART_STATES: usize = 3_000;
/// Most unused classes offered when part of a plan is solved again.
const PART_CLASSES: usize = 10;
/// Tries without a better plan before the improvement stops.
const PATIENCE: u32 = 4_000;
/// The same once money and waste are at their bounds: only bars and the
/// longest remainder can still become better.
const PATIENCE_CLOSED: u32 = 60;
/// Jobs up to so many states are solved outright.
const SMALL_STATES: usize = 3_000;
/// Steps for that.
const SMALL_STEPS: u64 = 200_000;
/// The same where pieces are mitred.
const MITRED: (usize, u64) = (40_000, 4_000_000);
/// Steps for improving the first plan.
const IMPROVE_STEPS: u64 = 12_000;
/// Steps that choosing a part takes.
const TRY_STEPS: u64 = 100;

/// A plan with what is known about the best one.
#[derive(Debug)]
pub(super) struct Answer {
    /// The plan.
    pub solution: Solution,
    /// What it costs.
    pub cost: Cost,
    /// No plan can be below: uncut, money, waste, items, the negative of the
    /// longest remainder, each at the value of the ones before; and net worth,
    /// which comes before money.
    pub bounds: [i64; 6],
}

/// A generator of numbers that look random and are the same in every run.
///
/// # Source
/// Multiplier and increment of D. E. Knuth's MMIX (memory, unconfirmed).
pub(super) struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n.max(1)
    }
}

/// Plans a problem within an effort.
pub(super) fn solve(problem: &Problem, effort: Effort) -> Answer {
    let mut budget = Budget::new(effort.steps);
    let mut dice = Dice(1);
    let floor = floor(problem);
    let mut solution = first_plan(problem, &floor, &mut budget, &mut dice);
    // Where the order in a bar matters, only this way is exact: it may take longer.
    let (most_states, steps) = if problem.is_mitred() { MITRED } else { (SMALL_STATES, SMALL_STEPS) };
    if exact::states(problem).is_some_and(|n| n <= most_states) {
        let cost = problem.cost(&solution);
        let mut share = budget.share(steps);
        let outcome = exact::solve(problem, &cost, &mut share);
        budget.give_back(share);
        match outcome {
            Outcome::Best(best) => return proved(problem, best),
            Outcome::NoneBetter => return proved(problem, solution),
            Outcome::GaveUp => {}
        }
    }
    let most = if problem.is_mitred() { MITRED.1 } else { IMPROVE_STEPS };
    let mut share = budget.share((effort.steps / 40).min(most));
    improve(problem, &mut solution, &floor, &mut share, &mut dice);
    budget.give_back(share);
    Planner::new(problem, solution, budget).run(&mut dice)
}

/// Nothing that carries a bound can become better.
fn closed(cost: &Cost, floor: &Cost) -> bool {
    (cost.uncut, cost.net, cost.money, cost.waste) == (floor.uncut, floor.net, floor.money, floor.waste)
}

/// What no plan can be below.
pub(super) fn floor(problem: &Problem) -> Cost {
    let mut floor = Cost::default();
    if problem.is_mitred() {
        // A longer remainder can turn waste into a keeper: nothing is known of waste.
        let easy = problem.relaxed();
        floor.uncut = bound::uncut(&easy);
        floor.money = bound::money(&easy);
    } else {
        floor.uncut = bound::uncut(problem);
        floor.money = bound::money(problem);
        floor.waste = bound::waste(problem);
    }
    floor
}

fn proved(problem: &Problem, solution: Solution) -> Answer {
    let cost = problem.cost(&solution);
    Answer { solution, cost, bounds: [cost.uncut, cost.money, cost.waste, cost.items, cost.short, cost.net] }
}

fn first_plan(problem: &Problem, floor: &Cost, budget: &mut Budget, dice: &mut Dice) -> Solution {
    let mut best = Solution::default();
    let mut best_cost = problem.cost(&best);
    let shop = (0..problem.classes.len()).filter(|&c| problem.classes[c].count.is_none());
    let mut only: Vec<Option<usize>> = vec![None];
    only.extend(shop.map(Some));
    let mut recipes = Vec::new();
    for longest_first in [false, true] {
        for largest_in in [true, false] {
            recipes.extend(only.iter().map(|&only| Recipe { longest_first, largest_in, only, skip: 0 }));
        }
    }
    for i in 0..RANDOM_STARTS {
        recipes.push(Recipe {
            longest_first: i % 2 == 0,
            largest_in: i % 4 < 2,
            only: only[dice.below(only.len())],
            skip: (dice.below(1 << 30) as u64) | (dice.below(1 << 30) as u64) << 30,
        });
    }
    for (i, recipe) in recipes.into_iter().enumerate() {
        if i > 0 && (closed(&best_cost, floor) || !budget.spend(1)) {
            break;
        }
        let plan = build(problem, recipe, budget);
        let cost = problem.cost(&plan);
        if cost < best_cost {
            best = plan;
            best_cost = cost;
        }
    }
    best
}

/// Solves small parts of a plan again, exactly, as long as that helps.
pub(super) fn improve(problem: &Problem, solution: &mut Solution, floor: &Cost, budget: &mut Budget, dice: &mut Dice) {
    let mut idle = 0;
    let mut cost = problem.cost(solution);
    // Choosing looks at every kind and class.
    let look = TRY_STEPS + (problem.kinds.len() + problem.classes.len()) as u64;
    while budget.spend(look) {
        if idle > if closed(&cost, floor) { PATIENCE_CLOSED } else { PATIENCE } {
            break;
        }
        idle += 1;
        let Some(part) = Part::choose(problem, solution, dice) else {
            continue;
        };
        let old = part.problem.cost(&part.solution);
        let Outcome::Best(new) = exact::solve(&part.problem, &old, budget) else {
            continue;
        };
        let gain = old.beyond(&part.problem.cost(&new));
        part.put_back(solution, new);
        if gain {
            idle = 0;
            cost = problem.cost(solution);
        }
    }
    solution.bars.sort();
}

/// Some bars of a plan, with the pieces that are uncut and the bars unused.
struct Part {
    problem: Problem,
    /// The part's kinds and classes in the whole problem.
    kinds: Vec<usize>,
    classes: Vec<usize>,
    /// The part of the plan as it stands.
    solution: Solution,
    /// Its bars' places in the whole plan, descending.
    places: Vec<usize>,
}

impl Part {
    fn choose(problem: &Problem, solution: &Solution, dice: &mut Dice) -> Option<Part> {
        let mut counts = vec![0_u32; problem.kinds.len()];
        let mut states = 1;
        let mut add = |kinds: &[usize]| {
            let (old, before) = (counts.clone(), states);
            for &kind in kinds {
                states = states / (counts[kind] as usize + 1) * (counts[kind] as usize + 2);
                counts[kind] += 1;
            }
            if states > PART_STATES {
                (counts, states) = (old, before);
                return false;
            }
            true
        };
        for (kind, left) in problem.left_over(solution).into_iter().enumerate() {
            for _ in 0..left {
                if dice.below(2) == 0 {
                    add(&[kind]);
                }
            }
        }
        let wanted = 1 + dice.below(5);
        let mut places = Vec::new();
        for _ in 0..3 * wanted {
            if places.len() == wanted || solution.bars.is_empty() {
                break;
            }
            let place = dice.below(solution.bars.len());
            if !places.contains(&place) && add(&solution.bars[place].kinds) {
                places.push(place);
            }
        }
        places.sort_unstable_by(|a, b| b.cmp(a));
        if counts.iter().all(|&n| n == 0) {
            return None;
        }
        Some(Part::cut_out(problem, solution, &counts, places, dice))
    }

    fn cut_out(problem: &Problem, solution: &Solution, counts: &[u32], places: Vec<usize>, dice: &mut Dice) -> Part {
        let kinds: Vec<usize> = (0..counts.len()).filter(|&k| counts[k] > 0).collect();
        let mut available: Vec<Option<u32>> = vec![Some(0); problem.classes.len()];
        let unused = problem.unused(solution);
        let mut offered: Vec<usize> = (0..unused.len()).filter(|&c| unused[c].is_some_and(|n| n > 0)).collect();
        while offered.len() > PART_CLASSES {
            offered.remove(dice.below(offered.len()));
        }
        for class in offered {
            available[class] = unused[class].map(|n| n.min(2));
        }
        for &place in &places {
            if let Some(n) = &mut available[solution.bars[place].class] {
                *n += 1;
            }
        }
        for (class, slot) in available.iter_mut().enumerate() {
            if unused[class].is_none() {
                *slot = None;
            }
        }
        let classes: Vec<usize> = (0..available.len()).filter(|&c| available[c] != Some(0)).collect();
        let inner = |list: &[usize], outer: usize| list.partition_point(|&x| x < outer);
        let bars = places.iter().map(|&place| Filled {
            class: inner(&classes, solution.bars[place].class),
            kinds: solution.bars[place].kinds.iter().map(|&k| inner(&kinds, k)).collect(),
        });
        Part {
            solution: Solution { bars: bars.collect() },
            problem: Problem {
                kinds: kinds.iter().map(|&k| Kind { count: counts[k], ..problem.kinds[k] }).collect(),
                classes: classes.iter().map(|&c| Class { count: available[c], ..problem.classes[c] }).collect(),
                keep: problem.keep,
                allowance: problem.allowance,
                value: problem.value,
                ends: problem.ends.clone(),
                shapes: problem.shapes.clone(),
            },
            kinds,
            classes,
            places,
        }
    }

    fn put_back(self, whole: &mut Solution, new: Solution) {
        for place in self.places {
            whole.bars.swap_remove(place);
        }
        whole.bars.extend(new.bars.into_iter().map(|bar| Filled {
            class: self.classes[bar.class],
            kinds: bar.kinds.into_iter().map(|k| self.kinds[k]).collect(),
        }));
    }
}
