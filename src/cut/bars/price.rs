//! Prices in whole numbers, the best filling of every slot at these prices,
//! and the bound that follows.

use crate::cut::bars::knap::{self, Filling, Item, NEVER, Table};
use crate::cut::bars::master::Master;
use crate::cut::bars::task::{Arena, Form, Leaves, Slot, Task};
use crate::cut::effort::Budget;

/// Largest table of fillings by length; beyond that lists are made.
const MOST_CELLS: u64 = 3_000_000;
/// Cells of a table filled in one step.
const CELLS_PER_STEP: u64 = 24;
/// Bits that a price may take, so that sums over a bar stay within 64.
const PRICE_BITS: u32 = 42;
/// Finest fraction of a price, in bits.
const FINE_BITS: u32 = 30;
/// Fillings looked for one after the other where there are few slots; with
/// lists, which take longer than tables, only so many.
const DIVERSE: usize = 6;
const DIVERSE_LISTS: usize = 2;

/// Prices of the pieces, and what a bar counts for at the prices of the
/// limits; all multiplied by `scale`.
#[derive(Clone, Debug)]
pub(super) struct Prices {
    /// What the numbers are multiplied by.
    pub scale: i64,
    /// Price of a piece of each kind.
    pub piece: Vec<i64>,
    /// Price of one unit of each limit, 0 or less.
    pub limit: Vec<i64>,
    /// Cost of a bar and of a missing piece, the limits' prices included.
    pub form: Form,
}

impl Prices {
    /// Reads prices off the programme and rounds them.
    pub fn read(task: &Task, rows: &[f64], (kinds, first_limit): (usize, usize), crutch: f64) -> Prices {
        let fine = PRICE_BITS.saturating_sub((crutch as u64).max(1).ilog2() + 1).min(FINE_BITS);
        let scale = 1_i64 << fine;
        let whole = |p: f64| libm::round(p * scale as f64) as i64;
        let floor = if task.cover { 0 } else { i64::MIN };
        let piece = rows[..kinds].iter().map(|&p| whole(p).max(floor)).collect();
        let limit: Vec<i64> =
            rows[first_limit..first_limit + task.limits.len()].iter().map(|&p| whole(p).min(0)).collect();
        Prices { scale, piece, form: combined(task, scale, &limit), limit }
    }
}

/// The stage's own form less the limits' forms at their prices.
fn combined(task: &Task, scale: i64, limit: &[i64]) -> Form {
    let times = |v: &Vec<i64>| v.iter().map(|x| x * scale).collect::<Vec<i64>>();
    let mut form = Form {
        used: times(&task.aim.used),
        kept: times(&task.aim.kept),
        slope: task.aim.slope * scale,
        kept_slope: task.aim.kept_slope * scale,
        missing: times(&task.aim.missing),
    };
    for ((row, _), &price) in task.limits.iter().zip(limit) {
        let minus = |into: &mut Vec<i64>, from: &Vec<i64>| {
            for (x, y) in into.iter_mut().zip(from) {
                *x -= price * y;
            }
        };
        minus(&mut form.used, &row.used);
        minus(&mut form.kept, &row.kept);
        minus(&mut form.missing, &row.missing);
        form.slope -= price * row.slope;
        form.kept_slope -= price * row.kept_slope;
    }
    form
}

/// The least that a bar of a class can count for.
pub(super) fn cheapest(task: &Task, form: &Form, class: usize) -> i64 {
    form.used[class].min(form.kept[class] + form.kept_slope * task.full[class])
}

/// What pricing found.
#[derive(Debug, Default)]
pub(super) struct Priced {
    /// For each slot the least cost of a filling beyond the worth of its
    /// pieces, times the scale; `None` if it cannot be filled as it must.
    pub least: Vec<Option<i64>>,
    /// Patterns: slot, cost beyond the worth of the pieces, number.
    pub patterns: Vec<(usize, f64, u32)>,
}

impl Priced {
    /// The bound of the node, what is paid not included; beside it the same
    /// before rounding up, to choose between prices only.
    pub fn bound(&self, task: &Task, node: &Master, prices: &Prices) -> (i64, f64) {
        let mut total: i128 = 0;
        for (k, &n) in node.wanted.iter().enumerate() {
            total += i128::from(n) * i128::from(prices.piece[k]);
            if task.may_miss {
                total += i128::from(n) * i128::from((prices.form.missing[k] - prices.piece[k]).min(0));
            }
        }
        for (&left, &price) in node.limits.iter().zip(&prices.limit) {
            total += i128::from(left) * i128::from(price);
        }
        // Bars without limit: shrink all prices until none of these bars gains.
        let (mut up, mut down) = (1_i128, 1_i128);
        for (slot, least) in node.slots.iter().zip(&self.least) {
            if let (None, Some(least)) = (slot.count, least)
                && *least < 0
            {
                let cost = i128::from(cheapest(task, &prices.form, slot.class));
                let worth = cost - i128::from(*least);
                if cost <= 0 {
                    return (i64::MIN / 4, f64::NEG_INFINITY);
                }
                if cost * down < up * worth {
                    (up, down) = (cost, worth);
                }
            }
        }
        let mut sum = total * up;
        for (slot, least) in node.slots.iter().zip(&self.least) {
            let Some(n) = slot.count else { continue };
            let Some(least) = *least else {
                if slot.must && n > 0 {
                    return (i64::MAX / 4, f64::INFINITY);
                }
                continue;
            };
            let least = i128::from(least);
            if (up, down) == (1, 1) {
                sum += i128::from(n) * if slot.must { least } else { least.min(0) };
            } else {
                // The bar's cost stays while the pieces' worth shrinks.
                let cost = i128::from(cheapest(task, &prices.form, slot.class));
                let shrunk = cost * down - (cost - least) * up;
                sum += i128::from(n) * if slot.must { shrunk } else { shrunk.min(0) };
            }
        }
        let whole = i128::from(prices.scale) * down;
        let up = sum.div_euclid(whole) + i128::from(sum.rem_euclid(whole) != 0);
        let bound = i64::try_from(up).unwrap_or(if up > 0 { i64::MAX / 4 } else { i64::MIN / 4 });
        (bound, sum as f64 / whole as f64)
    }
}

/// The best filling of each slot. Prices of the limits must be read again if
/// a form changes.
pub(super) fn best_fillings(
    task: &Task,
    wanted: &[i64],
    slots: &[Slot],
    prices: &Prices,
    arena: &mut Arena,
    budget: &mut Budget,
) -> Priced {
    let mut left = wanted.to_vec();
    let mut out = Priced::default();
    let most = slots.iter().map(|s| task.room(s.class)).max().unwrap_or(0);
    let few = knap::cells(&items_of(task, wanted, prices, None), most) <= MOST_CELLS;
    let rounds = match slots.len() <= 5 && slots.iter().all(Slot::is_plain) {
        true if few => DIVERSE,
        true => DIVERSE_LISTS,
        false => 1,
    };
    for round in 0..rounds {
        let found = one_round(task, &left, slots, prices, budget);
        let mut best: Option<(i64, usize)> = None;
        for (s, (least, filling)) in found.iter().enumerate() {
            if let (Some(least), Some(items)) = (least, filling) {
                let id = arena.put(task, slots[s].class, items.clone());
                out.patterns.push((s, *least as f64 / prices.scale as f64, id));
                if *least < 0 && best.is_none_or(|b| *least < b.0) {
                    best = Some((*least, s));
                }
            }
        }
        if round == 0 {
            out.least = found.iter().map(|f| f.0).collect();
        }
        let Some((_, s)) = best else { break };
        for &(k, n) in found[s].1.iter().flatten() {
            left[usize::from(k)] -= i64::from(n);
        }
        if left.iter().all(|&n| n == 0) {
            break;
        }
    }
    out
}

/// Least cost beyond worth, and the filling that has it.
type Best = (Option<i64>, Option<Filling>);

fn one_round(task: &Task, left: &[i64], slots: &[Slot], prices: &Prices, budget: &mut Budget) -> Vec<Best> {
    let items = items_of(task, left, prices, None);
    let most = slots.iter().filter(|s| s.is_plain() && s.count != Some(0)).map(|s| task.room(s.class)).max();
    let mut shared = None;
    if let Some(room) = most {
        let cells = knap::cells(&items, room);
        if cells <= MOST_CELLS {
            budget.spend(cells / CELLS_PER_STEP);
            shared = Some(Table::new(&items, room));
        }
    }
    let one = |slot: &Slot, budget: &mut Budget| -> Best {
        if slot.count == Some(0) {
            return (None, None);
        }
        if slot.is_plain() {
            return match &shared {
                Some(table) => from_table(task, slot, prices, table, 0, 0),
                None => from_lists(task, slot, prices, &items, &[], budget),
            };
        }
        restricted(task, left, slot, prices, budget)
    };
    slots.iter().map(|slot| one(slot, budget)).collect()
}

fn items_of(task: &Task, left: &[i64], prices: &Prices, slot: Option<&Slot>) -> Vec<Item> {
    let low = |k: usize| slot.and_then(|s| s.low.as_ref()).map_or(0, |l| l[k]);
    let high = |k: usize| slot.and_then(|s| s.high.as_ref()).map_or(i64::MAX, |h| h[k]);
    (0..left.len())
        .map(|k| Item {
            kind: k as u16,
            size: task.size[k],
            most: left[k].min(high(k)) - low(k),
            worth: prices.piece[k],
        })
        .filter(|i| i.most > 0)
        .collect()
}

/// A slot with limits on kinds: what it must hold is put in first.
fn restricted(task: &Task, left: &[i64], slot: &Slot, prices: &Prices, budget: &mut Budget) -> Best {
    let forced: Filling = slot
        .low
        .iter()
        .flat_map(|l| l.iter().enumerate())
        .filter(|x| *x.1 > 0)
        .map(|(k, &n)| (k as u16, n as u16))
        .collect();
    let held: i64 = forced.iter().map(|&(k, n)| task.size[usize::from(k)] * i64::from(n)).sum();
    let worth: i64 = forced.iter().map(|&(k, n)| prices.piece[usize::from(k)] * i64::from(n)).sum();
    let short = forced.iter().any(|&(k, n)| i64::from(n) > left[usize::from(k)]);
    let room = task.room(slot.class) - held;
    if short || room < 0 {
        return (None, None);
    }
    let items = items_of(task, left, prices, Some(slot));
    let cells = knap::cells(&items, room);
    if cells > MOST_CELLS {
        return from_lists(task, slot, prices, &items, &forced, budget);
    }
    budget.spend(cells / CELLS_PER_STEP);
    let table = Table::new(&items, room);
    let (least, filling) = from_table(task, slot, prices, &table, held, worth);
    (least, filling.map(|f| merged(&forced, f)))
}

fn merged(forced: &[(u16, u16)], mut filling: Filling) -> Filling {
    for &(kind, n) in forced {
        match filling.iter_mut().find(|x| x.0 == kind) {
            Some(x) => x.1 += n,
            None => filling.push((kind, n)),
        }
    }
    filling.sort_unstable();
    filling
}

/// Reads a slot's best filling off a table; `held` is in the bar already.
fn from_table(task: &Task, slot: &Slot, prices: &Prices, table: &Table, held: i64, worth: i64) -> Best {
    let class = slot.class;
    let full = task.full[class];
    let border = task.border(class);
    let mut best: Option<(i64, i64)> = None;
    let mut look = |from: i64, to: i64, cost: i64, slope: i64| {
        let from = from.max(held).max(1);
        let to = to.min(task.room(class));
        if from > to {
            return;
        }
        let cells = &table.best[(from - held) as usize..=(to - held) as usize];
        for (used, &there) in (from..).zip(cells) {
            let value = cost + slope * (full - used).max(0) - there - worth;
            if there > NEVER / 2 && best.is_none_or(|b| value < b.0) {
                best = Some((value, used));
            }
        }
    };
    if slot.leaves != Leaves::Nothing {
        look(0, border, prices.form.kept[class], prices.form.kept_slope);
    }
    if slot.leaves != Leaves::Keeper {
        look(border.saturating_add(1), i64::MAX, prices.form.used[class], prices.form.slope);
    }
    match best {
        Some((value, used)) => (Some(value), Some(table.filling((used - held) as usize))),
        None => (None, None),
    }
}

/// The same by lists: once for bars that leave a keeper, once for the others,
/// where the remainder is paid for by making each unit of a piece worth more.
fn from_lists(
    task: &Task,
    slot: &Slot,
    prices: &Prices,
    items: &[Item],
    forced: &[(u16, u16)],
    budget: &mut Budget,
) -> Best {
    let class = slot.class;
    let held: i64 = forced.iter().map(|&(k, n)| task.size[usize::from(k)] * i64::from(n)).sum();
    let worth: i64 = forced.iter().map(|&(k, n)| prices.piece[usize::from(k)] * i64::from(n)).sum();
    let (full, room) = (task.full[class] - held, task.room(class) - held);
    let mut least: Option<i64> = None;
    let mut best: Option<(i64, Filling)> = None;
    let mut take = |cost: i64, slope: i64, room: i64, budget: &mut Budget| {
        if room < 0 {
            return;
        }
        let dearer: Vec<Item> = items.iter().map(|i| Item { worth: i.worth + slope * i.size, ..*i }).collect();
        let base = cost + slope * full - worth;
        // Only what beats a bar left alone matters, unless the bar must be used.
        let floor = if slot.must || !forced.is_empty() { -1 } else { base.max(0) };
        let found = knap::lists(&dearer, room, (full, slope), floor);
        budget.spend(found.work);
        // Lists leave out pieces that are worth nothing; a bar of such pieces
        // is worth nothing at most.
        let bound = found.bound.max(0);
        least = Some(least.map_or(base - bound, |l| l.min(base - bound)));
        let mut offer = |value: i64, filling: Filling| {
            if best.as_ref().is_none_or(|b| base - value < b.0) {
                best = Some((base - value, merged(forced, filling)));
            }
        };
        if !forced.is_empty() {
            offer(0, Vec::new());
        }
        match found.best {
            Some((value, filling)) => offer(value, filling),
            None if slot.must && forced.is_empty() => {
                if let Some(one) = dearer.iter().filter(|i| i.size <= room).max_by_key(|i| (i.worth, i.size)) {
                    offer(one.worth, vec![(one.kind, 1)]);
                }
            }
            None => {}
        }
    };
    if slot.leaves != Leaves::Nothing {
        take(prices.form.kept[class], prices.form.kept_slope, (task.border(class) - held).min(room), budget);
    }
    if slot.leaves != Leaves::Keeper {
        take(prices.form.used[class], prices.form.slope, room, budget);
    }
    (least, best.map(|b| b.1))
}
