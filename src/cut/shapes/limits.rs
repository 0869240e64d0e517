//! The aims of a plan with their bounds, whole numbers throughout.
//!
//! # What the bounds rest on
//! Each part grown by half the gap is apart from every other so grown, and all
//! of them lie within the plate grown by what half the gap exceeds the edge
//! gap. A region of area A grown by r has at least the area
//! A + 2 r sqrt(pi A) + pi r2 (Brunn-Minkowski), and a plate of perimeter U
//! grown by d at most A + U d + pi d2 (Steiner). Both from memory.

use crate::cut::bars::bound;
use crate::cut::bars::model::{Class, Kind, Problem};
use crate::cut::shapes::ShapeDemand;
use crate::cut::shapes::lay::Slot;
use crate::cut::shapes::rest::Rest;
use crate::cut::shapes::ring::{P, area2, edges};
use crate::cut::shapes::task::{Sheet, Task};
use crate::cut::{Stage, Uncut, UncutReason};

/// Square nanometres, doubled, in the unit of area, the square micrometre.
const DOUBLE_UNIT: i128 = 2_000_000;
/// What rounding areas down to their unit can add to a bound on them.
const ROUNDING: i64 = 2;

/// Largest whole number whose square is at most n (Newton's method).
fn root(n: i128) -> i128 {
    if n < 2 {
        return n.max(0);
    }
    let mut x = 1_i128 << (n.ilog2() / 2 + 1);
    loop {
        let y = (x + n / x) / 2;
        if y >= x {
            return x;
        }
        x = y;
    }
}

/// Least area of a part grown by half the gap, square micrometres.
pub(super) fn grown(task: &Task, kind: usize) -> i64 {
    let area = task.kinds[kind].area2 / DOUBLE_UNIT;
    // In micrometres, the gap rounded down; 2 r sqrt(pi A) is gap sqrt(pi A).
    let gap = i128::from(task.gap / 1_000);
    let around = root(area * gap * gap * 31_415_926 / 10_000_000);
    let corner = gap * gap * 31_415_926 / 40_000_000;
    (area + around + corner) as i64
}

/// Most area of grown parts that a plate takes, square micrometres.
pub(super) fn room(task: &Task, sheet: &Sheet) -> i64 {
    let area = sheet.area2 / DOUBLE_UNIT + 1;
    let more = task.gap - 2 * task.edge;
    if more <= 0 {
        return area as i64;
    }
    let length = |(a, b): (P, P)| root((b.minus(a)).dot(b.minus(a))) + 1;
    let around: i128 = std::iter::once(&sheet.outer).chain(&sheet.holes).flat_map(|r| edges(r)).map(length).sum();
    let d = i128::from(more);
    (area + around * d / 2 / 1_000_000 + d * d * 4 / 4 / 1_000_000 + 2) as i64
}

/// A kind may fit a sheet, by area and by the boxes around its turns.
fn may_fit(task: &Task, kind: usize, sheet: &Sheet) -> bool {
    let k = &task.kinds[kind];
    k.area2 <= sheet.area2 && k.forms.iter().any(|f| task.room(sheet, f).is_some())
}

/// The task seen as areas only: any plan for shapes is a plan for this.
fn by_area(task: &Task, wanted: &[usize], open: impl Fn(&Sheet) -> bool) -> Problem {
    let mut kinds: Vec<Kind> = Vec::new();
    for &item in wanted {
        let kind = task.items[item].kind;
        let (size, length) = (grown(task, kind), (task.kinds[kind].area2 / DOUBLE_UNIT) as i64);
        match kinds.iter_mut().find(|k| (k.size, k.length) == (size, length)) {
            Some(k) => k.count += 1,
            None => kinds.push(Kind { size, length, count: 1, shape: 0 }),
        }
    }
    kinds.sort_by_key(|k| (-k.size, -k.length));
    let class = |s: &Sheet| Class { room: room(task, s), price: s.price, count: s.count, worth: 0 };
    Problem { kinds, classes: task.sheets.iter().filter(|s| open(s)).map(class).collect(), ..Problem::default() }
}

/// Money that no plan without uncut parts can go below.
fn money(task: &Task) -> i64 {
    let all: Vec<usize> = (0..task.items.len()).collect();
    let mut best = bound::money(&by_area(task, &all, |_| true));
    let must_pay = |i: &usize| {
        let kind = task.items[*i].kind;
        !task.sheets.iter().any(|s| s.price == 0 && may_fit(task, kind, s))
    };
    let dear: Vec<usize> = all.iter().copied().filter(must_pay).collect();
    if dear.is_empty() {
        return best;
    }
    let takes_one = |s: &Sheet| s.price > 0 && dear.iter().any(|&i| may_fit(task, task.items[i].kind, s));
    best = best.max(bound::money(&by_area(task, &dear, takes_one)));
    for &item in &dear {
        let kind = task.items[item].kind;
        let prices = task.sheets.iter().filter(|s| may_fit(task, kind, s)).map(|s| s.price);
        best = best.max(prices.min().unwrap_or(0));
    }
    best
}

/// Bounds on the uncut area and on money, for the search and the stages.
pub(super) fn bounds(task: &Task) -> (i64, i64) {
    if task.items.is_empty() {
        return (0, 0);
    }
    let all: Vec<usize> = (0..task.items.len()).collect();
    ((bound::uncut_length(&by_area(task, &all, |_| true)) - ROUNDING).max(0), money(task))
}

/// Fewest plates whose room takes the parts laid: the roomiest ones.
fn fewest_opened(task: &Task, laid: i64) -> i64 {
    let mut rooms: Vec<(i64, Option<u32>)> = task.sheets.iter().map(|s| (room(task, s), s.count)).collect();
    rooms.sort_unstable_by(|a, b| b.cmp(a));
    let (mut left, mut opened) = (laid, 0_i64);
    for (room, count) in rooms {
        let needed = (left.max(0) + room.max(1) - 1) / room.max(1);
        let taken = count.map_or(needed, |n| needed.min(i64::from(n)));
        opened += taken;
        left -= taken * room;
        if left <= 0 {
            break;
        }
    }
    opened
}

/// Area of demands that stay uncut, square micrometres, each part rounded down.
fn uncut_area(demands: &[ShapeDemand], task: &Task, uncut: &[Uncut]) -> i64 {
    let one = |u: &Uncut| {
        let known = task.kinds.iter().find(|k| k.demand == u.demand).map(|k| k.area2);
        // An outline that cannot be read has the area it would have, if any.
        let given = || {
            let ring: Vec<P> = demands[u.demand]
                .outline
                .iter()
                .map(|c| P::new(c.0.0.clamp(-LARGE, LARGE), c.1.0.clamp(-LARGE, LARGE)))
                .collect();
            area2(&ring).abs()
        };
        (known.unwrap_or_else(given) / DOUBLE_UNIT) as i64
    };
    uncut.iter().fold(0_i64, |sum, u| sum.saturating_add(one(u).saturating_mul(i64::from(u.count))))
}

/// Corners beyond this are taken as there, so that no area overflows, nm.
const LARGE: i64 = 1_000_000_000_000;

/// All aims with their bounds, in their order.
pub(super) fn stages(
    task: &Task,
    demands: &[ShapeDemand],
    opened: &[&Slot],
    rests: &[Vec<Rest>],
    uncut: &[Uncut],
    missing: &[usize],
) -> Vec<Stage> {
    let (floor_uncut, floor_money) = bounds(task);
    let never: Vec<Uncut> = task.refused.iter().copied().filter(|u| u.reason != UncutReason::TooMany).collect();
    let all_laid = missing.is_empty() && task.refused.len() == never.len();
    let money = opened.iter().map(|s| task.sheets[s.sheet].price).sum();
    let lost = opened
        .iter()
        .zip(rests)
        .map(|(slot, rests)| {
            let gone = ((task.sheets[slot.sheet].area2 - slot.used2) / DOUBLE_UNIT) as i64;
            (gone - rests.iter().filter(|r| r.kept).map(|r| r.area).sum::<i64>()).max(0)
        })
        .sum();
    let rects = rests.iter().flatten().filter(|r| r.kept).filter_map(|r| r.rect);
    let largest = rects.map(|r| (r.area() / 1_000_000) as i64).max().unwrap_or(0);
    let most = task.sheets.iter().map(|s| (s.area2 / DOUBLE_UNIT) as i64).max().unwrap_or(0);
    let laid: i64 = opened.iter().flat_map(|s| &s.laid).map(|l| grown(task, task.items[l.item].kind)).sum();
    let rows = [
        ("uncut", uncut_area(demands, task, uncut), floor_uncut.saturating_add(uncut_area(demands, task, &never))),
        ("money", money, if all_laid { floor_money } else { 0 }),
        ("waste", lost, 0),
        ("leftover", largest, most),
        ("items", opened.len() as i64, if all_laid { fewest_opened(task, laid) } else { 0 }),
    ];
    let mut proved = true;
    rows.map(|(name, value, bound)| {
        proved &= value == bound;
        Stage { name, value, bound, proved }
    })
    .to_vec()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn roots_are_whole_and_below() {
        for n in [0_i128, 1, 2, 3, 4, 8, 9, 10, 99, 100, 1 << 100, (1 << 100) - 1] {
            let r = root(n);
            assert!(r * r <= n && (r + 1) * (r + 1) > n, "{n} {r}");
        }
    }
}
