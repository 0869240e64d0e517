//! Less money and less steel for the same parts, then a larger leftover.

use crate::cut::shapes::lay::{Bench, Layout, Slot};
use crate::cut::shapes::limits::{grown, room};
use crate::cut::shapes::rest;
use crate::cut::shapes::search::{RULES, improve};
use crate::cut::shapes::spot::Rule;
use crate::cut::shapes::task::Task;

/// Square nanometres, doubled, in a square micrometre.
const DOUBLE_UNIT: i128 = 2_000_000;
/// Most plates whose subsets are listed.
const MOST_LISTED: usize = 12;
/// Rounds of the last pass without a gain before it ends, for each part.
const PATIENCE: usize = 4;

/// What a layout is worth; less is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Worth {
    /// Twice the area not laid.
    pub uncut2: i128,
    pub money: i64,
    /// Steel lost, square micrometres.
    pub lost: i64,
    /// The largest useful rectangle, square nanometres, negative.
    pub largest: i128,
    pub opened: usize,
}

/// Steel lost in each slot, square micrometres, and its largest useful
/// rectangle, square nanometres.
type Shares = Vec<(i64, i128)>;

/// The shares of all slots; those as they were in another layout are taken
/// over, for they take long to work out.
fn shares(bench: &mut Bench, layout: &Layout, known: Option<(&Layout, &Shares)>) -> Shares {
    let task = bench.task;
    let mut out = Vec::with_capacity(layout.slots.len());
    for (s, slot) in layout.slots.iter().enumerate() {
        let same = |k: &(&Layout, &Shares)| k.0.slots.get(s).is_some_and(|o| o.laid == slot.laid);
        if let Some(k) = known.filter(same) {
            out.push(k.1[s]);
            continue;
        }
        if slot.laid.is_empty() {
            out.push((0, 0));
            continue;
        }
        let gone = ((task.sheets[slot.sheet].area2 - slot.used2) / DOUBLE_UNIT) as i64;
        let left = rest::leftovers(task, slot, &mut bench.budget);
        let kept: i64 = left.iter().filter(|r| r.kept).map(|r| r.area).sum();
        let rect = left.iter().filter(|r| r.kept).filter_map(|r| r.rect).map(|r| r.area()).max().unwrap_or(0);
        out.push(((gone - kept).max(0), rect));
    }
    out
}

fn worth(task: &Task, layout: &Layout, shares: &Shares) -> Worth {
    Worth {
        uncut2: layout.uncut2(task),
        money: layout.money(task),
        lost: shares.iter().map(|s| s.0).sum(),
        largest: -shares.iter().map(|s| s.1).max().unwrap_or(0),
        opened: layout.slots.iter().filter(|s| !s.laid.is_empty()).count(),
    }
}

/// Sets of plates that could do, cheapest first, then those of least steel.
/// Entries are sheets; one that stands twice is opened twice.
fn cheaper_sets(task: &Task, layout: &Layout, most_money: i64) -> Vec<(i64, i128, Vec<usize>)> {
    let mut sheets: Vec<usize> = Vec::new();
    for (s, sheet) in task.sheets.iter().enumerate() {
        let opened = layout.slots.iter().filter(|slot| slot.sheet == s && !slot.laid.is_empty()).count();
        let copies = sheet.count.map_or(opened.max(1), |n| (n as usize).min(opened + 1));
        sheets.extend(std::iter::repeat_n(s, copies));
    }
    // Those opened now and the smallest others, if there are too many.
    if sheets.len() > MOST_LISTED {
        let opened = |s: &usize| layout.slots.iter().any(|slot| slot.sheet == *s && !slot.laid.is_empty());
        sheets.sort_by_key(|s| (!opened(s), task.sheets[*s].price, task.sheets[*s].area2, *s));
        sheets.truncate(MOST_LISTED);
        sheets.sort_unstable();
    }
    let laid = |i: &usize| !layout.uncut.contains(i);
    let need: i64 = (0..task.items.len()).filter(laid).map(|i| grown(task, task.items[i].kind)).sum();
    let mut sets: Vec<(i64, i128, Vec<usize>)> = Vec::new();
    for mask in 1_u32..1 << sheets.len() {
        let set: Vec<usize> = (0..sheets.len()).filter(|k| mask >> k & 1 == 1).map(|k| sheets[k]).collect();
        let (money, area2, holds) = set.iter().fold((0, 0, 0), |t: (i64, i128, i64), &s| {
            (t.0 + task.sheets[s].price, t.1 + task.sheets[s].area2, t.2 + room(task, &task.sheets[s]))
        });
        if holds >= need && money <= most_money {
            sets.push((money, area2, set));
        }
    }
    sets.sort();
    sets.dedup();
    sets
}

/// Slots for a set of sheets, nothing laid.
fn slots_of(set: &[usize]) -> Vec<Slot> {
    set.iter().map(|&sheet| Slot { sheet, laid: Vec::new(), used2: 0, full: Vec::new() }).collect()
}

/// Tries the cheaper sets of plates one after another.
pub(super) fn cheaper(bench: &mut Bench, best: &mut Layout, until: u64) {
    let task = bench.task;
    let now = shares(bench, best, None);
    let mut best_worth = worth(task, best, &now);
    let opened: i128 = best.slots.iter().filter(|s| !s.laid.is_empty()).map(|s| task.sheets[s.sheet].area2).sum();
    let sets = cheaper_sets(task, best, best_worth.money);
    let each = (bench.budget.left().saturating_sub(until) / (sets.len() as u64 + 1)).max(10_000);
    let mut done: Vec<Vec<usize>> = Vec::new();
    for (money, area2, set) in sets {
        if bench.budget.left() <= until || money > best_worth.money {
            break;
        }
        // At the same money, more steel opened is seldom less lost; and a set
        // that holds one that does is no better.
        let contains = |small: &Vec<usize>| {
            let count = |list: &[usize], s: usize| list.iter().filter(|&&k| k == s).count();
            small.iter().all(|&s| count(&set, s) >= count(small, s))
        };
        if money == best_worth.money && (area2 > 2 * opened || done.iter().any(contains)) {
            continue;
        }
        let Some(layout) = fits(bench, best, &set, until.max(bench.budget.left().saturating_sub(each))) else {
            continue;
        };
        done.push(set);
        let now = shares(bench, &layout, None);
        let now = worth(task, &layout, &now);
        if now < best_worth {
            best_worth = now;
            *best = layout;
        }
    }
}

/// All parts that are laid now, laid in a set of sheets only, if they go in.
fn fits(bench: &mut Bench, best: &Layout, set: &[usize], until: u64) -> Option<Layout> {
    let task = bench.task;
    let never = best.uncut.clone();
    let order: Vec<usize> = (0..set.len()).collect();
    let mut first: Option<Layout> = None;
    for rule in RULES {
        if bench.budget.left() <= until {
            return None;
        }
        let mut layout = Layout { slots: slots_of(set), uncut: Vec::new() };
        layout.uncut = (0..task.items.len()).filter(|i| !never.contains(i)).collect();
        bench.all_turns = false;
        bench.fill(&mut layout, &order, &[rule], false);
        if first.as_ref().is_none_or(|f| layout.uncut2(task) < f.uncut2(task)) {
            first = Some(layout);
        }
        if first.as_ref().is_some_and(|f| f.uncut.is_empty()) {
            break;
        }
    }
    let mut layout = first?;
    improve(bench, &mut layout, until, false);
    if !layout.uncut.is_empty() {
        return None;
    }
    layout.uncut = never;
    Some(layout)
}

/// Lays plates anew at no higher cost so that less is lost and the largest
/// rectangle left over grows.
pub(super) fn enlarge(bench: &mut Bench, best: &mut Layout, until: u64) {
    let task = bench.task;
    let mut best_shares = shares(bench, best, None);
    let mut best_worth = worth(task, best, &best_shares);
    let mut idle = 0;
    let patience = PATIENCE * task.items.len().clamp(8, 60);
    while idle < patience && bench.budget.left() > until {
        idle += 1;
        let filled: Vec<usize> = (0..best.slots.len()).filter(|&s| !best.slots[s].laid.is_empty()).collect();
        if filled.is_empty() {
            return;
        }
        let s = filled[bench.dice.below(filled.len())];
        let mut next = best.clone();
        let never = std::mem::take(&mut next.uncut);
        let count = next.slots[s].laid.len();
        let take = if bench.dice.below(2) == 0 { count } else { 1 + bench.dice.below(count) };
        for _ in 0..take {
            let which = bench.dice.below(next.slots[s].laid.len());
            let laid = next.take(task, s, which);
            next.uncut.push(laid.item);
        }
        super::search::shuffle_a_little(bench, &mut next.uncut, |_| 1.0);
        // The others first: what goes into them leaves this one emptier.
        let mut order: Vec<usize> = filled.iter().copied().filter(|&o| o != s).collect();
        order.push(s);
        let rules: Vec<Rule> = (0..next.slots.len()).map(|_| bench.dice.rule()).collect();
        bench.all_turns = bench.dice.below(8) == 0;
        bench.fill(&mut next, &order, &rules, false);
        if !next.uncut.is_empty() {
            continue;
        }
        next.uncut = never;
        let next_shares = shares(bench, &next, Some((best, &best_shares)));
        let now = worth(task, &next, &next_shares);
        if now < best_worth {
            best_worth = now;
            best_shares = next_shares;
            *best = next;
            idle = 0;
        }
    }
}
