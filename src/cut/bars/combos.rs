//! Combinations of bars that cost money: how many of each class.

use crate::cut::bars::model::Problem;
use crate::cut::bars::task::Slot;

/// How many bars of each class that costs money.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Combo {
    /// Number by class; 0 for classes that cost nothing.
    pub counts: Vec<i64>,
    /// What they cost together.
    pub money: i64,
}

/// Largest sum of money for which all sums of prices are worked out.
const MOST_SUMS: i64 = 20_000_000;

fn divisor(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { divisor(b, a % b) }
}

/// Sums of prices that can be paid, up to `top`, in units of the second value.
fn sums(problem: &Problem, top: i64) -> Option<(Vec<bool>, i64)> {
    let unit = problem.classes.iter().fold(0, |g, c| divisor(g, c.price)).max(1);
    if top < 0 || top / unit > MOST_SUMS {
        return None;
    }
    let mut can = vec![false; (top / unit) as usize + 1];
    can[0] = true;
    let mut prices: Vec<i64> = problem.classes.iter().map(|c| c.price / unit).filter(|&p| p > 0).collect();
    prices.sort_unstable();
    prices.dedup();
    for price in prices {
        for v in price as usize..can.len() {
            can[v] |= can[v - price as usize];
        }
    }
    Some((can, unit))
}

/// The least sum of prices from `v` on, at most `top`.
pub(super) fn next_sum(problem: &Problem, v: i64, top: i64) -> i64 {
    if v >= top {
        return v;
    }
    let Some((can, unit)) = sums(problem, top) else { return v };
    let from = (v.max(0) + unit - 1) / unit;
    (from..can.len() as i64).find(|&i| can[i as usize]).map_or(top, |i| (i * unit).min(top))
}

/// The largest sum of prices up to `v`; -1 if there is none.
pub(super) fn last_sum(problem: &Problem, v: i64) -> i64 {
    let Some((can, unit)) = sums(problem, v) else { return v };
    (0..can.len() as i64).rev().find(|&i| can[i as usize]).map_or(-1, |i| i * unit)
}

/// All combinations that cost from `low` to `high`; none if there are more
/// than `most`.
pub(super) fn list(problem: &Problem, low: i64, high: i64, most: usize) -> Option<Vec<Combo>> {
    let dear: Vec<usize> = (0..problem.classes.len()).filter(|&c| problem.classes[c].price > 0).collect();
    let mut out = Vec::new();
    let mut counts = vec![0; problem.classes.len()];
    let mut looks = 200 * most;
    go(problem, &dear, (low, high), 0, &mut counts, &mut out, &mut looks);
    (looks > 0 && out.len() <= most).then_some(out)
}

fn go(
    problem: &Problem,
    dear: &[usize],
    range: (i64, i64),
    paid: i64,
    counts: &mut Vec<i64>,
    out: &mut Vec<Combo>,
    looks: &mut usize,
) {
    *looks = looks.saturating_sub(1);
    if *looks == 0 {
        return;
    }
    let Some((&class, rest)) = dear.split_first() else {
        if paid >= range.0 {
            out.push(Combo { counts: counts.clone(), money: paid });
        }
        return;
    };
    let price = problem.classes[class].price;
    let most = problem.classes[class].count.map_or(i64::MAX, i64::from).min((range.1 - paid) / price);
    for n in 0..=most {
        counts[class] = n;
        go(problem, rest, range, paid + n * price, counts, out, looks);
        if *looks == 0 {
            break;
        }
    }
    counts[class] = 0;
}

/// The slots of a combination: its bars, and all that cost nothing.
pub(super) fn slots(problem: &Problem, combo: &Combo) -> Vec<Slot> {
    let pieces = problem.pieces() as i64;
    let mut out = Vec::new();
    for (c, class) in problem.classes.iter().enumerate() {
        let n = if class.price > 0 { combo.counts[c] } else { class.count.map_or(pieces, i64::from).min(pieces) };
        if n > 0 {
            out.push(Slot::free(c, Some(n)));
        }
    }
    out
}

/// The pieces are longer than all its bars.
pub(super) fn too_small(problem: &Problem, combo: &Combo) -> bool {
    let need: i128 = problem.kinds.iter().map(|k| i128::from(k.size) * i128::from(k.count)).sum();
    let have: i128 = slots(problem, combo)
        .iter()
        .map(|s| i128::from(s.count.unwrap_or(0)) * i128::from(problem.classes[s.class].room))
        .sum();
    have < need
}

/// Each bar of `small` has a bar of `large` that is as long: what `large`
/// cannot hold, `small` cannot hold either.
pub(super) fn dominates(problem: &Problem, large: &Combo, small: &Combo) -> bool {
    let mut order: Vec<usize> = (0..problem.classes.len()).filter(|&c| problem.classes[c].price > 0).collect();
    order.sort_by_key(|&c| -problem.classes[c].room);
    let mut spare = 0;
    for c in order {
        spare += large.counts[c] - small.counts[c];
        if spare < 0 {
            return false;
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cut::bars::model::{Class, Kind};

    fn problem() -> Problem {
        let class = |room, price, count| Class { room, price, count, worth: 0 };
        Problem {
            kinds: vec![Kind { size: 800, length: 800, count: 3, shape: 0 }],
            classes: vec![class(500, 0, Some(1)), class(1000, 700, None), class(2000, 1100, None)],
            keep: 200,
            allowance: 0,
            ..Problem::default()
        }
    }

    #[test]
    fn combinations_are_listed_and_compared() {
        let p = problem();
        let list = list(&p, 1, 1400, 100).expect("a short list");
        let money: Vec<i64> = list.iter().map(|c| c.money).collect();
        assert_eq!(money, [1100, 700, 1400]);
        assert!(dominates(&p, &list[0], &list[1]), "one long bar holds what one short bar holds");
        assert!(!dominates(&p, &list[1], &list[0]));
        assert!(too_small(&p, &list[1]) && !too_small(&p, &list[2]));
    }

    #[test]
    fn only_sums_of_prices_are_paid() {
        let p = problem();
        assert_eq!(next_sum(&p, 1, 5000), 700);
        assert_eq!(next_sum(&p, 1401, 5000), 1800);
        assert_eq!(last_sum(&p, 1399), 1100);
    }
}
