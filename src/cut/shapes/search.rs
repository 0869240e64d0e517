//! The search for a plan: first every part laid, then less money and less
//! steel, then a larger leftover.
//!
//! # Source
//! Laying by corners of the no-fit polygon: Burke et al. 2007, "Complete and
//! robust no-fit polygon generation for the irregular stock cutting problem",
//! EJOR 179. Taking out neighbours and laying them again: Schrimpf et al. 2000,
//! "Record breaking optimization results using the ruin and recreate
//! principle", J. Comput. Phys. 159; worse layouts taken by a falling measure:
//! Kirkpatrick et al. 1983, "Optimization by simulated annealing", Science 220.
//! From memory.

use crate::cut::Effort;
use crate::cut::shapes::lay::{Bench, Layout};
use crate::cut::shapes::limits;
use crate::cut::shapes::spot::Rule;
use crate::cut::shapes::task::{Task, Zones};
use crate::cut::shapes::thrift;
use rayon::prelude::*;

/// Shares of the steps; all but two go into laying every part, if need be.
const ROUNDS: u64 = 12;
/// Searches side by side while parts are not laid.
const CHAINS: u64 = 4;
/// What a part counts for more each time that it stays out.
const HARDER: f64 = 0.02;
/// How much more may wait than before, in parts of the mean size: the mean of
/// it at the start.
const WARM: f64 = 0.1;
/// Square nanometres, doubled, in a square micrometre.
const DOUBLE_UNIT: i128 = 2_000_000;
/// Rules for the first layouts: into a corner, along y first, along x first.
pub(super) const RULES: [Rule; 4] =
    [Rule { x: 1.0, y: 0.12 }, Rule { x: 0.12, y: 1.0 }, Rule { x: 1.0, y: 0.9 }, Rule { x: -1.0, y: -0.12 }];

/// A quick measure for the search itself; less is better. The last entry
/// rewards full plates beside empty ones.
fn rough(task: &Task, layout: &Layout) -> (i128, i64, i128) {
    let full = |s: &crate::cut::shapes::lay::Slot| {
        let share = s.used2 as f64 / task.sheets[s.sheet].area2 as f64;
        -((share * s.used2 as f64) as i128)
    };
    (layout.uncut2(task), layout.money(task), layout.slots.iter().map(full).sum())
}

/// The search; the same layout for the same task and effort. While parts wait,
/// each of the searches side by side takes the steps that are counted once.
pub(super) fn solve(task: &Task, effort: Effort) -> Layout {
    let mut bench = Bench::new(task, effort.steps, 1);
    if task.items.is_empty() || task.sheets.is_empty() {
        return Layout::empty(task);
    }
    let mut best = starts(&mut bench);
    let least = i128::from(limits::bounds(task).0) * DOUBLE_UNIT;
    let share = (effort.steps / ROUNDS).max(1);
    let mut round = 0;
    while best.uncut2(task) > least && !best.uncut.is_empty() && bench.budget.left() > 2 * share {
        best = side_by_side(&mut bench, best, round, share);
        round += 1;
    }
    let until = bench.budget.left() / 3;
    thrift::cheaper(&mut bench, &mut best, until);
    thrift::enlarge(&mut bench, &mut best, 0);
    best
}

/// The best of some searches that go on from the same layout, each with its
/// own numbers and steps; which one ends first does not matter.
fn side_by_side(bench: &mut Bench, best: Layout, round: u64, share: u64) -> Layout {
    let task = bench.task;
    bench.budget.spend(share);
    let zones = std::mem::take(&mut bench.zones);
    let ends: Vec<(Layout, Zones)> = (0..CHAINS)
        .into_par_iter()
        .map(|chain| {
            let mut own = Bench::new(task, share, 1 + round * CHAINS + chain);
            own.zones = zones.clone();
            let mut layout = best.clone();
            improve(&mut own, &mut layout, 0, true);
            (layout, own.zones)
        })
        .collect();
    let mut best = best;
    for (layout, zones) in ends {
        bench.zones.learn(zones);
        if rough(task, &layout) < rough(task, &best) {
            best = layout;
        }
    }
    best
}

/// Slots cheapest first, then by size.
fn slot_order(task: &Task, layout: &Layout, large_first: bool) -> Vec<usize> {
    let mut order: Vec<usize> = (0..layout.slots.len()).collect();
    order.sort_by_key(|&s| {
        let sheet = &task.sheets[layout.slots[s].sheet];
        (sheet.price, if large_first { -sheet.area2 } else { sheet.area2 })
    });
    order
}

/// The best of a few layouts made in one go.
fn starts(bench: &mut Bench) -> Layout {
    let task = bench.task;
    let longest = |i: &usize| {
        let size = task.form(task.items[*i].kind, 0).size();
        (-size.0.max(size.1), *i)
    };
    let mut best: Option<((i128, i64, i128), Layout)> = None;
    for round in 0..16 {
        let mut layout = Layout::empty(task);
        if round / 2 % 2 == 1 {
            layout.uncut.sort_by_key(longest);
        }
        if bench.budget.left() == 0 {
            break;
        }
        let order = slot_order(task, &layout, round % 2 == 1);
        bench.all_turns = round % 4 > 1;
        bench.fill(&mut layout, &order, &[RULES[round / 4]], true);
        let value = rough(task, &layout);
        if best.as_ref().is_none_or(|b| value < b.0) {
            best = Some((value, layout));
        }
        if round >= 3 && best.as_ref().is_some_and(|b| b.1.uncut.is_empty()) {
            break;
        }
    }
    best.map_or_else(|| Layout::empty(task), |b| b.1)
}

/// Takes neighbours out and lays them again with the parts that wait, until
/// the budget is down or all is laid. A part counts for more each time that it
/// stays out, and something worse is taken now and then, more seldom towards
/// the end.
pub(super) fn improve(bench: &mut Bench, best: &mut Layout, until: u64, may_buy: bool) {
    let task = bench.task;
    let mut now = best.clone();
    let mut best_value = rough(task, &now);
    let mut weights = vec![1.0; task.items.len()];
    let area = |i: usize| task.kinds[task.items[i].kind].area2 as f64;
    let mean = (0..task.items.len()).map(area).sum::<f64>() / task.items.len() as f64;
    let waiting = |l: &Layout, weights: &[f64]| l.uncut.iter().map(|&i| area(i) * weights[i]).sum::<f64>();
    let all = bench.budget.left().saturating_sub(until).max(1) as f64;
    while bench.budget.left() > until && !best.uncut.is_empty() {
        let mut next = now.clone();
        ruin(bench, &mut next);
        bench.budget.spend(5 + next.uncut.len() as u64);
        if next.uncut.is_empty() {
            break;
        }
        shuffle_a_little(bench, &mut next.uncut, |i| weights[i]);
        let mut order: Vec<usize> = (0..next.slots.len()).collect();
        for k in (1..order.len()).rev() {
            order.swap(k, bench.dice.below(k + 1));
        }
        let rules: Vec<Rule> = (0..next.slots.len().max(1)).map(|_| bench.dice.rule()).collect();
        bench.all_turns = bench.dice.below(8) == 0;
        bench.fill(&mut next, &order, &rules, may_buy);
        now.learn_full(&next);
        next.uncut.iter().for_each(|&i| weights[i] += HARDER);
        let heat = WARM * mean * bench.budget.left().saturating_sub(until) as f64 / all;
        let most = waiting(&now, &weights) - heat * libm::log(bench.dice.share().max(1e-9));
        if waiting(&next, &weights) <= most {
            now = next;
            let value = rough(task, &now);
            if value < best_value {
                best_value = value;
                *best = now.clone();
            }
        }
    }
}

/// Takes out a part and its nearest neighbours, or all of a slot.
fn ruin(bench: &mut Bench, layout: &mut Layout) {
    let task = bench.task;
    let filled: Vec<usize> = (0..layout.slots.len()).filter(|&s| !layout.slots[s].laid.is_empty()).collect();
    if filled.is_empty() {
        return;
    }
    for _ in 0..1 + bench.dice.below(2) {
        let s = filled[bench.dice.below(filled.len())];
        let count = layout.slots[s].laid.len();
        if count == 0 {
            continue;
        }
        let take = if bench.dice.below(5) == 0 { count } else { 1 + bench.dice.below(count.min(6)) };
        let middle = layout.slots[s].laid[bench.dice.below(count)].at;
        let far = |i: usize| {
            let off = layout.slots[s].laid[i].at.minus(middle);
            (off.dot(off), layout.slots[s].laid[i].item)
        };
        let mut near: Vec<usize> = (0..count).collect();
        near.sort_by_key(|&i| far(i));
        near.truncate(take);
        near.sort_unstable();
        for i in near.into_iter().rev() {
            let laid = layout.take(task, s, i);
            layout.uncut.push(laid.item);
        }
    }
}

/// Large parts and those of much weight first, give or take.
pub(super) fn shuffle_a_little(bench: &mut Bench, items: &mut [usize], weight: impl Fn(usize) -> f64) {
    let task = bench.task;
    let mut keyed: Vec<(f64, usize)> = items
        .iter()
        .map(|&i| {
            let area = task.kinds[task.items[i].kind].area2 as f64;
            (-area * (0.4 + 1.2 * bench.dice.share()) * weight(i), i)
        })
        .collect();
    keyed.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    for (slot, (_, item)) in items.iter_mut().zip(keyed) {
        *slot = item;
    }
}
