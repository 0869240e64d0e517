//! From the search's answer to marks on real bars.

use crate::cut::Nm;
use crate::cut::bars::canon::{Canon, allowance, price, sound, usable};
use crate::cut::bars::improve::Answer;
use crate::cut::bars::model::Filled;
use crate::cut::bars::{BarCut, BarDemand, BarPlan, BarRules, BarStock, BarUse, Stage, Uncut, UncutReason};

/// Hands out copies and bars and sets the marks.
pub(super) fn lay_out(
    canon: &Canon,
    demands: &[BarDemand],
    stock: &[BarStock],
    rules: &BarRules,
    answer: &Answer,
) -> BarPlan {
    let rules = &sound(rules);
    let mut filled = answer.solution.bars.clone();
    let problem = &canon.problem;
    filled.sort_by_key(|bar| {
        let class = &problem.classes[bar.class];
        (class.count.is_none(), class.price > 0, -class.room, bar.clone())
    });
    let mut pieces = Hand::new(&canon.kind_demands, |n| n);
    let mut shelf = Hand::new(&canon.class_stock, |n| n.unwrap_or(u32::MAX));
    let mut bars: Vec<BarUse> = Vec::new();
    for bar in &filled {
        let (index, _) = shelf.next(bar.class);
        bars.push(mark(bar, &mut pieces, demands, (index, &stock[index]), rules));
    }
    let mut uncut = canon.refused.clone();
    let left = problem.left_over(&answer.solution);
    for (kind, left) in left.into_iter().enumerate() {
        for _ in 0..left {
            let (demand, first_copy) = pieces.next(kind);
            uncut.push(Uncut { demand, first_copy, count: 1, reason: UncutReason::NoStockLeft });
        }
    }
    let stages = stages(canon, answer);
    BarPlan { proved: stages.iter().all(|s| s.proved), stages, bars, uncut }
}

/// Hands out members of groups one by one, in order.
struct Hand<'a, T> {
    groups: &'a [Vec<(usize, T)>],
    count: fn(T) -> u32,
    at: Vec<(usize, u32)>,
}

impl<'a, T: Copy> Hand<'a, T> {
    fn new(groups: &'a [Vec<(usize, T)>], count: fn(T) -> u32) -> Self {
        Hand { groups, count, at: vec![(0, 0); groups.len()] }
    }

    /// The next member of a group: its index and which copy it is, from 1.
    fn next(&mut self, group: usize) -> (usize, u32) {
        let (place, given) = &mut self.at[group];
        let mut member = self.groups[group][*place];
        if *given >= (self.count)(member.1) {
            *place += 1;
            *given = 0;
            member = self.groups[group][*place];
        }
        *given += 1;
        (member.0, *given)
    }
}

/// Sets the marks in one bar: wide allowances first, then long pieces first.
fn mark(
    bar: &Filled,
    pieces: &mut Hand<'_, u32>,
    demands: &[BarDemand],
    (index, stock): (usize, &BarStock),
    rules: &BarRules,
) -> BarUse {
    let trim = rules.trim.0;
    let start = if stock.left_raw { trim } else { 0 };
    let mut order: Vec<(usize, u32)> = bar.kinds.iter().map(|&k| pieces.next(k)).collect();
    order.sort_by_key(|&(d, copy)| {
        let demand = &demands[d];
        let wide = allowance(rules.kerf, demand);
        (-wide, -demand.length.0, &demand.key, d, copy)
    });
    let mut at = start;
    let mut cuts = Vec::new();
    for (demand, copy) in order {
        let wanted = &demands[demand];
        cuts.push(BarCut { demand, copy, from: Nm(at), to: Nm(at + wanted.length.0) });
        at += wanted.length.0 + allowance(rules.kerf, wanted);
    }
    let remainder = (start + usable(stock, rules.trim) - at).max(0);
    let kept = remainder > 0 && remainder >= rules.keep.0;
    BarUse {
        stock: index,
        id: stock.id.clone(),
        bought: stock.count.is_none(),
        price: price(stock),
        cuts,
        remainder: Nm(remainder),
        far_trim: Nm(if stock.right_raw { trim } else { 0 }),
        kept,
        waste: Nm(if kept { 0 } else { remainder }),
    }
}

/// The aims with their bounds; pieces refused beforehand are uncut in every
/// plan, except those beyond the limit on their number.
fn stages(canon: &Canon, answer: &Answer) -> [Stage; 3] {
    let sum = |over: bool| {
        let refused = canon.refused.iter();
        refused.filter(|u| (u.reason == UncutReason::TooMany) == over).map(|u| i64::from(u.count)).sum::<i64>()
    };
    let values = [answer.cost.uncut + sum(false) + sum(true), answer.cost.money, answer.cost.waste];
    let mut bounds = [answer.bounds[0] + sum(false), answer.bounds[1], answer.bounds[2]];
    if sum(true) > 0 {
        bounds[1..].fill(0);
    }
    let mut proved = true;
    let names = ["uncut", "money", "waste"];
    std::array::from_fn(|i| {
        proved &= values[i] == bounds[i];
        Stage { name: names[i], value: values[i], bound: bounds[i], proved }
    })
}
