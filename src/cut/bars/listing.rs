//! Every pattern that can still be part of a better plan.

use crate::cut::bars::dive::Search;
use crate::cut::bars::knap::Filling;
use crate::cut::bars::pool::Entry;
use crate::cut::bars::price::{Prices, best_fillings, cheapest};
use crate::cut::bars::task::{Leaves, Slot, Task};

/// Most cells of the table that says what the rest of a bar can be worth.
const MOST_CELLS: u64 = 12_000_000;
/// Fillings looked at for each that may be listed.
const LOOKS: u64 = 400;

/// What the kinds from one on are worth at most in what is left of a bar.
struct Rest {
    width: usize,
    best: Vec<i64>,
    /// Worth per length and 2^20, rounded up, where the table is too large.
    rate: Vec<i128>,
}

impl Rest {
    fn new(size: &[i64], most: &[i64], worth: &[i64], room: i64) -> Rest {
        let kinds = size.len();
        let cells = (kinds as u64 + 1).saturating_mul(room.max(0) as u64 + 1);
        let mut rate = vec![0_i128; kinds + 1];
        for k in (0..kinds).rev() {
            let r = ((i128::from(worth[k]) << 20) + i128::from(size[k]) - 1).div_euclid(i128::from(size[k]));
            rate[k] = rate[k + 1].max(if most[k] > 0 { r } else { 0 });
        }
        if cells > MOST_CELLS {
            return Rest { width: 0, best: Vec::new(), rate };
        }
        let width = room as usize + 1;
        let mut best = vec![0_i64; (kinds + 1) * width];
        for k in (0..kinds).rev() {
            let (head, tail) = best.split_at_mut((k + 1) * width);
            let (now, next) = (&mut head[k * width..], &tail[..width]);
            now.copy_from_slice(next);
            for n in 1..=most[k].min(room / size[k]) {
                let (weight, more) = ((n * size[k]) as usize, n * worth[k]);
                for (to, from) in now[weight..].iter_mut().zip(next) {
                    *to = (*to).max(from + more);
                }
            }
        }
        Rest { width, best, rate }
    }

    fn worth(&self, kind: usize, left: i64) -> i64 {
        if self.width > 0 {
            return self.best[kind * self.width + left as usize];
        }
        let w = (self.rate[kind] * i128::from(left)) >> 20;
        i64::try_from(w + 1).unwrap_or(i64::MAX)
    }
}

/// A walk through all fillings of one slot.
struct Walk<'a> {
    task: &'a Task,
    low: Vec<i64>,
    most: Vec<i64>,
    worth: &'a [i64],
    rest: &'a Rest,
    /// Kinds before this one have to be in.
    forced: usize,
    /// Worth needed in all.
    need: i64,
    /// Only used lengths above this.
    above: i64,
    stack: Filling,
    out: Vec<Filling>,
    limit: usize,
    looks: u64,
}

impl Walk<'_> {
    /// False if there are too many.
    fn go(&mut self, kind: usize, sum: i64, room: i64, worth: i64) -> bool {
        if worth >= self.need && sum > self.above && !self.stack.is_empty() && self.forced <= kind {
            self.out.push(self.stack.clone());
            if self.out.len() > self.limit {
                return false;
            }
        }
        for k in kind..self.most.len() {
            if self.looks == 0 {
                return false;
            }
            self.looks -= 1;
            if worth.saturating_add(self.rest.worth(k, room)) < self.need {
                return true;
            }
            let size = self.task.size[k];
            let most = self.most[k].min(room / size);
            for n in (self.low[k].max(1)..=most).rev() {
                self.stack.push((k as u16, n as u16));
                let going = self.go(k + 1, sum + n * size, room - n * size, worth + n * self.worth[k]);
                self.stack.pop();
                if !going {
                    return false;
                }
            }
            if self.low[k] > 0 {
                return true;
            }
        }
        true
    }
}

/// Lists the patterns of all slots that a plan below the target can use; none
/// if they are more than `most`. `endless` slots stand for bars without limit.
pub(super) fn list_patterns(
    search: &mut Search<'_>,
    slots: &[Slot],
    endless: &[bool],
    prices: &Prices,
    most: usize,
) -> Option<Vec<Entry>> {
    let task = search.task;
    let mut priced = best_fillings(task, search.demand, slots, prices, search.arena, search.budget);
    let mut shrunk = prices.clone();
    if shrink(task, &mut shrunk, slots, endless, &priced.least) {
        priced = best_fillings(task, search.demand, slots, &shrunk, search.arena, search.budget);
    }
    let prices = &shrunk;
    let base = base(search, slots, prices, &priced.least)?;
    let gap = i64::try_from(i128::from(search.target - 1) * i128::from(prices.scale) - base).ok()?;
    if gap < 0 {
        return Some(Vec::new());
    }
    let room = slots.iter().filter(|s| s.count != Some(0)).map(|s| task.room(s.class)).max()?;
    let with = |slope: i64| -> Vec<i64> { prices.piece.iter().zip(&task.size).map(|(p, s)| p + slope * s).collect() };
    let worths = [with(prices.form.kept_slope), with(prices.form.slope)];
    let rest = worths.each_ref().map(|w| Rest::new(&task.size, search.demand, w, room));
    search.budget.spend(room as u64 * task.size.len() as u64 / 4);
    let mut found: Vec<(usize, Vec<Filling>)> = Vec::new();
    let mut listed = 0;
    let mut looks = most as u64 * LOOKS;
    for (s, slot) in slots.iter().enumerate().filter(|s| s.1.count != Some(0)) {
        let class = slot.class;
        let (full, border) = (task.full[class], task.border(class));
        // Reduced cost that a pattern of this slot may have.
        let may = gap.saturating_add(priced.least[s].map_or(0, |l| if slot.must { l } else { l.min(0) }));
        for keeper in [true, false] {
            let wrong = if keeper { Leaves::Nothing } else { Leaves::Keeper };
            let room = if keeper { border } else { task.room(class) };
            if slot.leaves == wrong || room <= 0 || (!keeper && border >= room) {
                continue;
            }
            let form = &prices.form;
            let (cost, slope) =
                if keeper { (form.kept[class], form.kept_slope) } else { (form.used[class], form.slope) };
            let (low, high) = span(slot, search.demand);
            let mut walk = Walk {
                task,
                forced: low.iter().rposition(|&n| n > 0).map_or(0, |k| k + 1),
                low,
                most: high,
                worth: &worths[usize::from(!keeper)],
                rest: &rest[usize::from(!keeper)],
                need: (cost + slope * full).saturating_sub(may),
                above: if keeper { -1 } else { border },
                stack: Vec::new(),
                out: Vec::new(),
                limit: most.saturating_sub(listed),
                looks,
            };
            let all = walk.go(0, 0, room, 0);
            search.budget.spend(looks - walk.looks);
            looks = walk.looks;
            if !all {
                return None;
            }
            listed += walk.out.len();
            found.push((s, walk.out));
        }
    }
    Some(entries(search, slots, endless, found))
}

/// How many of each kind a slot must and may hold.
fn span(slot: &Slot, demand: &[i64]) -> (Vec<i64>, Vec<i64>) {
    let low = slot.low.as_ref().map_or_else(|| vec![0; demand.len()], |l| l.to_vec());
    let high = demand.iter().enumerate().map(|(k, &n)| slot.high.as_ref().map_or(n, |h| h[k].min(n)));
    (low, high.collect())
}

/// The fillings of each slot as entries, without those that a cheaper slot holds.
fn entries(search: &mut Search<'_>, slots: &[Slot], endless: &[bool], found: Vec<(usize, Vec<Filling>)>) -> Vec<Entry> {
    let task = search.task;
    let mut out = vec![];
    for (s, fillings) in found {
        let class = slots[s].class;
        for items in fillings {
            let sum = items.iter().map(|&(k, n)| task.size[usize::from(k)] * i64::from(n)).sum();
            if belongs(task, slots, endless, s, sum) {
                let id = search.arena.put(task, class, items);
                out.push(Entry { slot: s, id, cost: task.count(&task.aim, class, sum) });
            }
        }
    }
    out
}

/// Where bars of several lengths are bought without limit, a filling belongs
/// in the cheapest that holds it.
fn belongs(task: &Task, slots: &[Slot], endless: &[bool], at: usize, sum: i64) -> bool {
    if task.aim.slope != 0 || task.aim.kept_slope != 0 || !task.limits.is_empty() || !endless[at] {
        return true;
    }
    let price = |s: usize| task.aim.used[slots[s].class];
    let cheaper = |s: usize| price(s) < price(at) || (price(s) == price(at) && s < at);
    !(0..slots.len()).any(|s| endless[s] && cheaper(s) && task.room(slots[s].class) >= sum)
}

/// Lowers all prices of pieces until no bar without limit gains; true if that
/// was needed. Any prices are right, these give a closer bound.
fn shrink(task: &Task, prices: &mut Prices, slots: &[Slot], endless: &[bool], least: &[Option<i64>]) -> bool {
    let (mut up, mut down) = (1_i128, 1_i128);
    for ((slot, least), _) in slots.iter().zip(least).zip(endless).filter(|x| *x.1) {
        let cost = i128::from(cheapest(task, &prices.form, slot.class));
        let worth = cost - i128::from(least.unwrap_or(0));
        if cost > 0 && cost * down < up * worth {
            (up, down) = (cost, worth);
        }
    }
    for price in &mut prices.piece {
        *price = (i128::from(*price) * up).div_euclid(down) as i64;
    }
    up < down
}

/// The bound at these prices, times their scale, for slots that all have a
/// number; none if some slot cannot be filled as it must.
fn base(search: &Search<'_>, slots: &[Slot], prices: &Prices, least: &[Option<i64>]) -> Option<i128> {
    let task = search.task;
    let mut total: i128 = 0;
    for (k, &n) in search.demand.iter().enumerate() {
        total += i128::from(n) * i128::from(prices.piece[k]);
        if task.may_miss {
            total += i128::from(n) * i128::from((prices.form.missing[k] - prices.piece[k]).min(0));
        }
    }
    for ((_, most), &price) in task.limits.iter().zip(&prices.limit) {
        total += i128::from(*most) * i128::from(price);
    }
    for (slot, least) in slots.iter().zip(least) {
        let n = i128::from(slot.count.unwrap_or(0));
        match (slot.must, least) {
            (true, None) if n > 0 => return None,
            (true, l) => total += n * i128::from(l.unwrap_or(0)),
            (false, l) => total += n * i128::from(l.unwrap_or(0).min(0)),
        }
    }
    Some(total)
}
