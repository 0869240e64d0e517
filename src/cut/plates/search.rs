//! The search over all plates: orders made into plans, changed towards one
//! that cuts more for less; then the proof; then better leftovers at no more
//! cost.
//!
//! # Source
//! Late acceptance: E. K. Burke and Y. Bykov, The late acceptance hill-climbing
//! heuristic, European Journal of Operational Research 258 (2017), from memory.

use crate::cut::Effort;
use crate::cut::effort::Budget;
use crate::cut::plates::fill::{Cost, Dice, Filler, Order};
use crate::cut::plates::limits::{self, Sheet, Task};
use crate::cut::plates::pool::Pool;
use crate::cut::plates::prove;
use crate::cut::plates::{tidy, tile};

/// Past values that a change may be as bad as.
const MEMORY: usize = 50;
/// Changes without a better plan before the order is shaken.
const SHAKE: usize = 8_000;
/// Changes at no more cost without a better leftover before the end.
const PATIENCE: usize = 4_000;
/// Most plates of a kind that is bought in one order.
const MOST_BOUGHT: usize = 400;

/// A plan in the search's own terms.
#[derive(Clone, Debug, Default)]
pub(super) struct Found {
    pub sheets: Vec<Sheet>,
    pub uncut: Vec<usize>,
    /// No plan leaves less area uncut.
    pub floor_uncut: i64,
    /// No plan with that area uncut costs less.
    pub floor_money: i64,
    /// No plan with that area uncut opens fewer plates.
    pub floor_items: i64,
}

/// The best plan so far.
struct Best {
    cost: Cost,
    order: Order,
    /// A plan that no order makes, from the proof.
    built: Option<Vec<Sheet>>,
}

/// Searches within an effort; at least one plan is always made.
pub(super) fn solve(task: &Task, effort: Effort) -> Found {
    let mut budget = Budget::new(effort.steps);
    let (floor_uncut, mut floor_money) = limits::bounds(task);
    let mut filler = Filler::default();
    let mut best = start(task, &mut filler, &mut budget);
    let closed = |b: &Best, money: i64| b.cost[0] <= floor_uncut && b.cost[1] <= money;
    let seek = |filler: &mut Filler, best: &mut Best, money: i64, budget: &mut Budget, part: u64| {
        let mut share = budget.share(budget.left() / part);
        aim(task, filler, best, (floor_uncut, money), &mut share);
        budget.give_back(share);
    };
    let mut pool = Pool::new(task).filter(|_| floor_uncut == 0 && !closed(&best, floor_money));
    if let Some(pool) = &mut pool {
        let mut share = budget.share(budget.left() / 3 * 2);
        by_patterns(pool, &mut best, &mut share);
        budget.give_back(share);
    }
    // What patterns did, orders seldom do better: they come after the proof then.
    if best.built.is_none() && !closed(&best, floor_money) {
        seek(&mut filler, &mut best, floor_money, &mut budget, 3);
    }
    // Money is only proved for plans that cut it all: those are looked for first.
    if best.cost[0] > floor_uncut {
        seek(&mut filler, &mut best, floor_money, &mut budget, 2);
    }
    if best.cost[0] == 0 && !closed(&best, floor_money) {
        let mut share = budget.share(budget.left() / 4 * 3);
        let proof = prove::money(task, best.cost[1], floor_money, pool.as_mut(), &mut share);
        budget.give_back(share);
        floor_money = proof.floor;
        if let Some(sheets) = proof.plan {
            best.cost[1] = sheets.iter().map(|s| task.shelves[s.shelf].price).sum();
            best.built = Some(sheets);
        }
    }
    if !closed(&best, floor_money) {
        seek(&mut filler, &mut best, floor_money, &mut budget, 2);
    }
    if best.cost[0] > 0 {
        // A dearer plan may cut more: the bound is for plans that cut it all.
        floor_money = 0;
    }
    let floor_items = if best.cost[0] == 0 { prove::least_plates(task) } else { 0 };
    let mut found = match (best.built.take(), &pool) {
        (Some(sheets), Some(pool)) => Found { sheets: tidy::improve(pool, sheets, &mut budget), ..Found::default() },
        (Some(sheets), None) => Found { sheets, ..Found::default() },
        (None, _) => polish(task, &mut filler, best, &mut budget),
    };
    (found.floor_uncut, found.floor_money, found.floor_items) = (floor_uncut, floor_money, floor_items);
    found
}

/// A better plan made of patterns, if there is one that cuts it all.
fn by_patterns(pool: &mut Pool, best: &mut Best, budget: &mut Budget) {
    let price = if best.cost[0] > 0 { i64::MAX / 2 } else { best.cost[1] };
    if let Some((money, sheets)) = tile::below(pool, price, budget) {
        (best.cost[0], best.cost[1]) = (0, money);
        best.built = Some(sheets);
    }
}

/// Plates that a plan may open: shelf and first way, cheapest by area first.
fn all_plates(task: &Task) -> Vec<(usize, usize)> {
    let mut plates = Vec::new();
    for (s, shelf) in task.shelves.iter().enumerate() {
        if !task.items.iter().any(|i| limits::fits(i.blank, shelf)) {
            continue;
        }
        let most = task.items.len().min(MOST_BOUGHT);
        let times = shelf.count.map_or(most, |n| (n as usize).min(task.items.len()));
        plates.extend(std::iter::repeat_n((s, 0), times));
    }
    plates
}

/// The best of many plain orders.
fn start(task: &Task, filler: &mut Filler, budget: &mut Budget) -> Best {
    let sorts: [fn(i64, i64) -> i128; 5] = [
        |l, w| i128::from(l) * i128::from(w),
        |l, w| i128::from(l.max(w)),
        |l, w| i128::from(l.min(w)),
        |l, _| i128::from(l),
        |_, w| i128::from(w),
    ];
    let plates = all_plates(task);
    let by_price = |a: &(usize, usize), b: &(usize, usize)| {
        let (p, q) = (&task.shelves[a.0], &task.shelves[b.0]);
        (i128::from(p.price) * q.room).cmp(&(i128::from(q.price) * p.room))
    };
    let mut ordered = vec![plates.clone(), plates.clone(), plates];
    ordered[0].sort_by(|a, b| by_price(a, b).then(b.0.cmp(&a.0)));
    ordered[1].sort_by(|a, b| by_price(a, b).then(a.0.cmp(&b.0)));
    ordered[2].reverse();
    let mut best: Option<Best> = None;
    for sort in sorts {
        let mut items: Vec<usize> = (0..task.items.len()).collect();
        let size = |i: usize| task.items[i].blank;
        items.sort_by_key(|&i| (-sort(size(i).length, size(i).width), i));
        for plates in &ordered {
            for mode in 0..3 {
                for key in 0..4 {
                    let (items, plates, keys) = (items.clone(), plates.clone(), vec![key; task.items.len()]);
                    let order = Order { items, plates, keys, mode };
                    if best.is_some() && budget.left() == 0 {
                        break;
                    }
                    let cost = filler.fill(task, &order, i64::MAX / 2, true, budget);
                    if best.as_ref().is_none_or(|b| cost < b.cost) {
                        best = Some(Best { cost, order, built: None });
                    }
                }
            }
        }
    }
    best.expect("the first order is always made")
}

/// Looks for a plan that leaves less uncut, and then for one that costs less
/// and leaves no more: plates within the money, and the area that finds no
/// place made smaller.
fn aim(task: &Task, filler: &mut Filler, best: &mut Best, floor: (i64, i64), budget: &mut Budget) {
    if task.items.len() + best.order.plates.len() < 2 {
        return;
    }
    let mut dice = Dice(0x9E37);
    let half = budget.left() / 8;
    let mut now = best.order.clone();
    let (mut uncut, mut memory, mut step, mut since) = (i64::MAX, [i64::MAX; MEMORY], 0, 0);
    while best.cost[0] > floor.0 || best.cost[1] > floor.1 {
        let more = best.cost[0] > floor.0 && budget.left() > half;
        let limit = if more { i64::MAX / 2 } else { best.cost[1] - 1 };
        let goal = if more { best.cost[0] - 1 } else { best.cost[0] };
        if !budget.spend(1) {
            return;
        }
        step += 1;
        since += 1;
        let next = change(task, &now, &mut dice);
        let cost = filler.fill(task, &next, limit, false, budget);
        if cost[0] <= goal {
            *best = Best { cost, order: next.clone(), built: None };
            (now, uncut, memory, since) = (next, i64::MAX, [i64::MAX; MEMORY], 0);
            continue;
        }
        let slot = step % MEMORY;
        if cost[0] <= uncut || cost[0] <= memory[slot] {
            (now, uncut) = (next, cost[0]);
        }
        memory[slot] = uncut;
        if since % SHAKE == 0 {
            for _ in 0..now.items.len() / 2 {
                let (a, b) = (dice.below(now.items.len()), dice.below(now.items.len()));
                now.items.swap(a, b);
            }
            (uncut, memory) = (i64::MAX, [i64::MAX; MEMORY]);
        }
    }
}

/// A small change of an order.
fn change(task: &Task, order: &Order, dice: &mut Dice) -> Order {
    let mut next = order.clone();
    let n = next.items.len();
    match dice.below(if order.plates.len() > 1 { 6 } else { 4 }) {
        0 if n > 1 => next.items.swap(dice.below(n), dice.below(n)),
        1 if n > 1 => {
            let item = next.items.remove(dice.below(n));
            next.items.insert(dice.below(n), item);
        }
        2 if n > 0 => next.keys[dice.below(n)] = dice.below(4) as u8,
        3 if dice.below(20) == 0 => next.mode = dice.below(3) as u8,
        3 if n > 1 => {
            let at = dice.below(n - 1);
            next.items.swap(at, at + 1);
        }
        4 => {
            let (a, b) = (dice.below(next.plates.len().min(12)), dice.below(next.plates.len()));
            next.plates.swap(a, b);
        }
        _ if !next.plates.is_empty() => {
            let at = dice.below(next.plates.len().min(12));
            let (shelf, way) = &mut next.plates[at];
            let ways = task.shelves[*shelf].ways.len();
            if ways > 1 {
                *way = dice.below(ways);
            } else {
                let other = dice.below(next.plates.len());
                next.plates.swap(at, other);
            }
        }
        _ => {}
    }
    next
}

/// Less lost and a larger leftover at no more cost.
fn polish(task: &Task, filler: &mut Filler, best: Best, budget: &mut Budget) -> Found {
    let Best { mut cost, mut order, .. } = best;
    let limit = cost[1];
    let first = filler.fill(task, &order, limit, true, budget);
    if first[..2] != cost[..2] {
        // The limit left out a plate that the plan does not need to count on.
        cost = filler.fill(task, &order, i64::MAX / 2, true, budget);
    } else {
        cost = first;
    }
    let mut dice = Dice(0xC0FFEE);
    let mut since = 0;
    while task.items.len() + order.plates.len() > 1 && since < PATIENCE && budget.spend(1) {
        since += 1;
        let next = change(task, &order, &mut dice);
        let now = filler.fill(task, &next, limit, true, budget);
        if now < cost {
            since = 0;
        }
        if now <= cost {
            (cost, order) = (now, next);
        }
    }
    let again = filler.fill(task, &order, limit, true, budget);
    if again[..2] != cost[..2] {
        filler.fill(task, &order, i64::MAX / 2, true, budget);
    }
    Found { sheets: filler.sheets(task, &order), uncut: filler.uncut.clone(), ..Found::default() }
}
