//! Plans made of patterns, and choices of plates refuted by what each plate
//! leaves at least.

use crate::cut::effort::Budget;
use crate::cut::plates::cover;
use crate::cut::plates::exact::{self, Verdict};
use crate::cut::plates::limits::Sheet;
use crate::cut::plates::pool::Pool;
use crate::cut::plates::prove::{self, Choice};

/// Choices of plates that may fail one after another before the search ends:
/// those further on are tighter still.
const FAILURES: usize = 2;
/// Steps for the first choice, and for each later one.
const CHOICE_STEPS: [u64; 2] = [40_000_000, 6_000_000];
/// Steps for the list of one shelf's patterns.
const LIST_STEPS: u64 = 6_000_000;
/// The limits on waste of lists, as parts of what a choice may leave: short
/// lists are cheap and often enough.
const PARTS: [i64; 4] = [8, 4, 2, 1];
/// The limits of longer lists, tried in turn.
const LIMITS: [(i64, i64); 6] = [(1, 8), (1, 6), (1, 4), (1, 3), (1, 2), (1, 1)];
/// Steps for the first search with lists, doubled for each further one.
const HUNT_STEPS: u64 = 2_000_000;

/// The plates of a choice, largest first.
fn plates(choice: &Choice) -> Vec<usize> {
    let counts = choice.1.iter().enumerate();
    counts.flat_map(|(s, c)| std::iter::repeat_n(s, *c as usize)).rev().collect()
}

/// A plan that cuts it all for less than a price, the cheapest found; the
/// choices of plates with most to spare are looked at first.
pub(super) fn below(pool: &mut Pool, price: i64, budget: &mut Budget) -> Option<(i64, Vec<Sheet>)> {
    let choices = prove::choices(pool.task, price)?;
    let slack = choices.iter().map(|c| pool.slack(&plates(c))).max()?;
    pool.sketch(slack, budget);
    let (mut best, mut failures) = (None, 0);
    for (n, choice) in choices.iter().rev().enumerate() {
        if best.as_ref().is_some_and(|b: &(i64, Vec<Sheet>)| b.0 <= choice.0) {
            continue;
        }
        let mut share = budget.share(CHOICE_STEPS[n.min(1)].min(budget.left() / 4 * 3));
        let found = cover::search(pool, &plates(choice), n as u64 + 1, &mut share);
        budget.give_back(share);
        match found.filter(|f| f.uncut == 0).and_then(|f| pool.sheets(&f.plan)) {
            Some(sheets) => {
                let money = sheets.iter().map(|s| pool.task.shelves[s.shelf].price).sum();
                (best, failures) = (Some((money, sheets)), 0);
            }
            None => failures += 1,
        }
        if failures == FAILURES || budget.left() == 0 {
            break;
        }
    }
    best
}

/// Whether a choice of plates is enough for all blanks.
pub(super) fn decide(pool: &mut Pool, choice: &Choice, budget: &mut Budget) -> Verdict {
    let plates = plates(choice);
    if pool.slack(&plates) < 0 || beyond_least(pool, &plates, budget) {
        return Verdict::Refuted;
    }
    let slack = pool.slack(&plates);
    for (round, (over, under)) in LIMITS.into_iter().enumerate() {
        lengthen(pool, &plates, slack * over / under, budget);
        let mut share = budget.share((budget.left() / 3).min(HUNT_STEPS << round));
        let verdict = exact::decide(pool, &plates, &mut share);
        budget.give_back(share);
        if verdict != Verdict::Unknown {
            return verdict;
        }
    }
    Verdict::Unknown
}

/// Lists all patterns of plates up to a limit on what they leave, or as far as
/// a plate can leave if the others leave the least they can.
fn lengthen(pool: &mut Pool, plates: &[usize], limit: i64, budget: &mut Budget) {
    let ample = pool.slack(plates) - plates.iter().map(|&s| pool.least(s)).sum::<i64>();
    let mut wanted: Vec<(usize, i64)> = plates.iter().map(|&s| (s, limit.min(pool.least(s) + ample))).collect();
    wanted.dedup();
    wanted.retain(|&(s, limit)| pool.stacks[s].done < limit && limit < pool.stacks[s].blocked);
    let steps = LIST_STEPS.min(budget.left() / (4 * wanted.len() as u64).max(1));
    pool.extend(&wanted, steps, budget);
}

/// The plates leave more than their area has to spare: each leaves at least
/// what the best of its patterns does.
fn beyond_least(pool: &mut Pool, plates: &[usize], budget: &mut Budget) -> bool {
    let slack = pool.slack(plates);
    for part in PARTS {
        let sum: i64 = plates.iter().map(|&s| pool.least(s)).sum();
        if sum > slack {
            return true;
        }
        let mut wanted: Vec<(usize, i64)> = plates
            .iter()
            .map(|&s| (s, (slack / part).min(slack - sum + pool.least(s))))
            .filter(|&(s, limit)| {
                let stack = &pool.stacks[s];
                stack.exact.is_empty() && limit < stack.blocked && stack.done < limit
            })
            .collect();
        wanted.dedup();
        let steps = LIST_STEPS.min(budget.left() / (4 * wanted.len() as u64).max(1));
        pool.extend(&wanted, steps, budget);
    }
    plates.iter().map(|&s| pool.least(s)).sum::<i64>() > slack
}
