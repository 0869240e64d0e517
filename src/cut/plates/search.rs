//! Orders of blanks and plates, tried until the steps run out: each order
//! makes a plan, and small changes to the best one are kept if they help.

use crate::cut::Effort;
use crate::cut::effort::Budget;
use crate::cut::plates::limits::{self, Sheet, Task, fits};
use crate::cut::plates::pack::{FITS, Fit, Packed, SPLITS, Split};

/// Tries without a better plan before the search stops.
const PATIENCE: u32 = 3_000;
/// The same once the plan is at its bounds and wastes nothing.
const PATIENCE_CLOSED: u32 = 200;

/// A plan in the search's own terms.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub sheets: Vec<Sheet>,
    pub uncut: Vec<usize>,
}

/// Uncut area, money, area lost, plates, largest leftover kept (negative);
/// smaller is better.
type Cost = [i64; 5];

/// What decides a plan.
#[derive(Clone, Debug)]
struct Order {
    items: Vec<usize>,
    /// Limited plates, one entry each, in the order in which they are filled.
    plates: Vec<usize>,
    /// How many of these are filled before anything is bought.
    before: usize,
    only: Option<usize>,
    fit: Fit,
    split: Split,
}

/// Numbers that look random and are the same in every run.
///
/// # Source
/// Multiplier and increment of D. E. Knuth's MMIX (memory, unconfirmed).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n.max(1)
    }
}

/// Searches within an effort; at least one plan is always made.
pub(super) fn solve(task: &Task, effort: Effort) -> Found {
    let mut budget = Budget::new(effort.steps);
    let (floor_uncut, floor_money) = limits::bounds(task);
    let mut best: Option<(Cost, Order, Found)> = None;
    for order in starts(task) {
        if best.is_some() && !budget.spend(1) {
            break;
        }
        let found = make(task, &order, &mut budget);
        let cost = cost(task, &found);
        if best.as_ref().is_none_or(|b| cost < b.0) {
            best = Some((cost, order, found));
        }
    }
    let (mut cost_now, mut order, mut found) = best.expect("there is at least one start");
    let mut dice = Dice(1);
    let mut idle = 0;
    while task.items.len() + order.plates.len() > 1 && budget.spend(20) {
        let closed = cost_now[..3] == [floor_uncut, floor_money, 0];
        if idle > if closed { PATIENCE_CLOSED } else { PATIENCE } {
            break;
        }
        idle += 1;
        let next = change(task, &order, &mut dice);
        let made = make(task, &next, &mut budget);
        let cost = cost(task, &made);
        if cost < cost_now {
            idle = 0;
        }
        if cost <= cost_now {
            (cost_now, order, found) = (cost, next, made);
        }
    }
    found
}

/// Orders to begin with: five ways to sort blanks, each with every fit and
/// split, small plates first and large plates first, each bought plate.
fn starts(task: &Task) -> Vec<Order> {
    let kind = |i: usize| task.items[i].blank;
    let sorts: [fn(i64, i64) -> i128; 5] = [
        |l, w| i128::from(l) * i128::from(w),
        |l, w| i128::from(l.max(w)),
        |l, w| i128::from(l.min(w)),
        |l, _| i128::from(l),
        |_, w| i128::from(w),
    ];
    let limited = limited_plates(task);
    let mut only = vec![None];
    only.extend((0..task.shelves.len()).filter(|&s| task.shelves[s].count.is_none()).map(Some));
    let mut orders = Vec::new();
    for sort in sorts {
        let mut items: Vec<usize> = (0..task.items.len()).collect();
        items.sort_by_key(|&i| (-sort(kind(i).length, kind(i).width), i));
        for fit in FITS {
            for split in SPLITS {
                for large_first in [false, true] {
                    let mut plates = limited.clone();
                    if large_first {
                        plates.reverse();
                    }
                    orders.extend(only.iter().map(|&only| Order {
                        items: items.clone(),
                        before: plates.len(),
                        plates: plates.clone(),
                        only,
                        fit,
                        split,
                    }));
                }
            }
        }
    }
    orders
}

/// Limited plates, one entry each, smallest first.
fn limited_plates(task: &Task) -> Vec<usize> {
    let useful = |s: &usize| task.items.iter().any(|i| fits(i.blank, &task.shelves[*s]));
    let times = |s: usize| task.shelves[s].count.map_or(0, |n| (n as usize).min(task.items.len()));
    let shelves = (0..task.shelves.len()).filter(useful);
    shelves.flat_map(|s| std::iter::repeat_n(s, times(s))).collect()
}

/// A small change of an order.
fn change(task: &Task, order: &Order, dice: &mut Dice) -> Order {
    let mut next = order.clone();
    let shuffle = |list: &mut Vec<usize>, dice: &mut Dice| {
        if list.len() > 1 {
            let item = list.remove(dice.below(list.len()));
            list.insert(dice.below(list.len() + 1), item);
        }
    };
    for _ in 0..1 + dice.below(3) {
        match dice.below(10) {
            0 => next.fit = FITS[dice.below(FITS.len())],
            1 => next.split = SPLITS[dice.below(SPLITS.len())],
            2 | 3 => shuffle(&mut next.plates, dice),
            4 => next.before = dice.below(next.plates.len() + 1),
            5 => {
                let shelf = dice.below(task.shelves.len());
                next.only = task.shelves[shelf].count.is_none().then_some(shelf);
            }
            _ => shuffle(&mut next.items, dice),
        }
    }
    next
}

/// Makes the plan of an order.
fn make(task: &Task, order: &Order, budget: &mut Budget) -> Found {
    let mut left = order.items.clone();
    let mut sheets = Vec::new();
    let (first, later) = order.plates.split_at(order.before.min(order.plates.len()));
    for &shelf in first {
        fill(task, order, shelf, &mut left, &mut sheets, budget);
    }
    buy(task, order, &mut left, &mut sheets, budget);
    for &shelf in later {
        fill(task, order, shelf, &mut left, &mut sheets, budget);
    }
    Found { sheets, uncut: left }
}

/// What goes into one plate, in order, and what stays.
fn pack(task: &Task, order: &Order, shelf: usize, left: &[usize], budget: &mut Budget) -> (Packed, Vec<usize>) {
    let mut packed = Packed::new(task.shelves[shelf].whole);
    let mut stay = Vec::new();
    for &item in left {
        if !packed.place(item, task.items[item].blank, order.fit, order.split, task.kerf, budget) {
            stay.push(item);
        }
    }
    (packed, stay)
}

fn fill(task: &Task, order: &Order, shelf: usize, left: &mut Vec<usize>, sheets: &mut Vec<Sheet>, budget: &mut Budget) {
    if left.is_empty() {
        return;
    }
    let (packed, stay) = pack(task, order, shelf, left, budget);
    if !packed.placed.is_empty() {
        sheets.push(Sheet { shelf, packed });
        *left = stay;
    }
}

/// Leaves blanks over, is not the chosen plate, price per area, price.
type Rank = (bool, bool, f64, i64);

/// Buys plates until nothing more fits one: the cheapest that takes all that
/// is left, else the chosen one, else the one of best value.
fn buy(task: &Task, order: &Order, left: &mut Vec<usize>, sheets: &mut Vec<Sheet>, budget: &mut Budget) {
    let shop = || (0..task.shelves.len()).filter(|&s| task.shelves[s].count.is_none());
    while !left.is_empty() {
        let mut best: Option<(Rank, Sheet, Vec<usize>)> = None;
        for shelf in shop() {
            let (packed, stay) = pack(task, order, shelf, left, budget);
            if packed.placed.is_empty() {
                continue;
            }
            let price = task.shelves[shelf].price;
            let area: i64 = packed.placed.iter().map(|p| task.area(p.item)).sum();
            let value = if stay.is_empty() { 0.0 } else { price as f64 / (area as f64 + 1.0) };
            let rank = (!stay.is_empty(), order.only != Some(shelf) && !stay.is_empty(), value, price);
            if best.as_ref().is_none_or(|b| rank < b.0) {
                best = Some((rank, Sheet { shelf, packed }, stay));
            }
        }
        let Some((_, sheet, stay)) = best else {
            return;
        };
        sheets.push(sheet);
        *left = stay;
    }
}

fn cost(task: &Task, found: &Found) -> Cost {
    let uncut = found.uncut.iter().map(|&i| task.area(i)).sum();
    let mut cost = [uncut, 0, 0, found.sheets.len() as i64, 0];
    for sheet in &found.sheets {
        let (lost, largest) = task.lost(sheet);
        cost[1] += task.shelves[sheet.shelf].price;
        cost[2] += lost;
        cost[4] = cost[4].min(-largest);
    }
    cost
}
