//! From the search's answer to marks on real bars.

use crate::cut::Nm;
use crate::cut::bars::canon::{Canon, price, sound, usable};
use crate::cut::bars::chain::Link;
use crate::cut::bars::improve::Answer;
use crate::cut::bars::model::{Filled, Problem};
use crate::cut::bars::{
    BarCut, BarDemand, BarPlan, BarRules, BarStock, BarUse, CLAMPABLE, EndCut, Stage, Turned, Uncut, UncutReason,
};

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
    let ordered = filled.iter().map(|bar| {
        let room = problem.classes[bar.class].room - problem.allowance;
        order(problem, bar, room)
    });
    let mut ordered: Vec<(i64, Vec<Link>)> = ordered.collect();
    let ends: Vec<Vec<Setting>> = ordered.iter().map(|o| settings_of(problem, &o.1)).collect();
    let mut settings = Vec::new();
    for at in by_setting(&ends) {
        let (index, _) = shelf.next(filled[at].class);
        let (taken, links) = std::mem::take(&mut ordered[at]);
        settings.extend_from_slice(&ends[at]);
        bars.push(mark(problem, &links, taken, &mut pieces, demands, (index, &stock[index]), rules));
    }
    let mut uncut = canon.refused.clone();
    let left = problem.left_over(&answer.solution);
    for (kind, left) in left.into_iter().enumerate() {
        for _ in 0..left {
            let (demand, first_copy) = pieces.next(kind);
            uncut.push(Uncut { demand, first_copy, count: 1, reason: UncutReason::NoStockLeft });
        }
    }
    let turns = settings.windows(2).filter(|w| w[0] != w[1]).count() as i64 + i64::from(!settings.is_empty());
    settings.sort_unstable();
    settings.dedup();
    let stages = stages(canon, answer, (turns, settings.len() as i64));
    // With a value on what goes back, money and waste are tie-breaks.
    let first = if problem.value.rate > 0 { 2 } else { 3 };
    BarPlan { proved: stages.iter().take(first).all(|s| s.proved), stages, bars, uncut }
}

/// Angle of the saw, and the face that the bar lies on.
type Setting = (i64, u8);

/// The settings that a bar needs one after another.
fn settings_of(problem: &Problem, links: &[Link]) -> Vec<Setting> {
    let ends = links.iter().flat_map(|l| [l.way.left, l.way.right]);
    ends.map(|end| problem.ends[usize::from(end)].setting).collect()
}

/// Bars in an order in which the saw is seldom set anew: always a bar that
/// begins as the saw stands, those first that leave it so; where none does,
/// the first that needs the fewest settings. Otherwise as they were.
fn by_setting(ends: &[Vec<Setting>]) -> Vec<usize> {
    let changes = |e: &[Setting]| e.windows(2).filter(|w| w[0] != w[1]).count();
    let mut rest: Vec<usize> = (0..ends.len()).collect();
    let mut stands: Option<Setting> = None;
    let mut out = Vec::with_capacity(rest.len());
    while !rest.is_empty() {
        let key = |i: usize| {
            let e = &ends[i];
            let anew = e.first().copied() != stands;
            (anew, e.last().copied() != e.first().copied(), changes(e))
        };
        let best = (0..rest.len()).min_by_key(|&p| key(rest[p])).unwrap_or(0);
        let next = rest.remove(best);
        stands = ends[next].last().copied();
        out.push(next);
    }
    out
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

/// The pieces of one bar in order, and the length that they take. Long pieces
/// come first; square ones may change places, so that the stub that the vice
/// holds at the last cut is long enough, if any piece makes it so.
fn order(problem: &Problem, bar: &Filled, room: i64) -> (i64, Vec<Link>) {
    if problem.is_mitred() {
        return problem.laid(&bar.kinds);
    }
    let taken = problem.sum(&bar.kinds);
    let beyond = (room - taken).max(0);
    let mut kinds = bar.kinds.clone();
    let length = |k: usize| problem.kinds[k].length;
    kinds.sort_by_key(|&k| (-length(k), k));
    let safe = kinds.iter().rposition(|&k| length(k) + beyond >= CLAMPABLE.0);
    if let Some(at) = safe {
        let last = kinds.remove(at);
        kinds.push(last);
    }
    let link = |kind: usize| Link { kind, way: problem.shapes[problem.kinds[kind].shape][0] };
    (taken, kinds.into_iter().map(link).collect())
}

/// The angle of an end as it lies, from the cut plane that it shares.
fn as_it_lies(demand: &BarDemand, turned: u8) -> (EndCut, EndCut, Turned) {
    let (left, right) = (demand.left, demand.right);
    let other = |e: EndCut| EndCut { angle_deg: 180.0 - e.angle_deg };
    match turned {
        0 => (left, right, Turned::Not),
        1 => (other(right), other(left), Turned::Flat),
        2 => (right, left, Turned::Over),
        _ => (other(left), other(right), Turned::Roll),
    }
}

/// Sets the marks in one bar.
fn mark(
    problem: &Problem,
    links: &[Link],
    taken: i64,
    pieces: &mut Hand<'_, u32>,
    demands: &[BarDemand],
    (index, stock): (usize, &BarStock),
    rules: &BarRules,
) -> BarUse {
    let start = stock.start(rules.trim);
    let mut at = start;
    let mut cuts: Vec<BarCut> = Vec::new();
    for (i, link) in links.iter().enumerate() {
        let (demand, copy) = pieces.next(link.kind);
        let wanted = &demands[demand];
        let (left, right, turned) = as_it_lies(wanted, link.way.turned);
        let next = links.get(i + 1).map(|n| n.way.left);
        let saved = problem.ends[usize::from(link.way.right)].saved;
        let shared = next == Some(link.way.right) && saved > 0;
        cuts.push(BarCut { demand, copy, from: Nm(at), to: Nm(at + wanted.length.0), left, right, turned, shared });
        at += wanted.length.0 + next.map_or(0, |n| problem.gap(link.way.right, n));
    }
    let remainder = (usable(stock, rules.trim) - taken).max(0);
    let kept = remainder > 0 && remainder >= rules.keep.0;
    let held = cuts.last().map_or(0, |c| stock.length.0 - c.from.0);
    BarUse {
        stock: index,
        id: stock.id.clone(),
        bought: stock.count.is_none(),
        price: price(stock),
        short_hold: cuts.len() > 1 && held < CLAMPABLE.0,
        cuts,
        remainder: Nm(remainder),
        far_trim: Nm(stock.reserve(rules.trim)),
        doubt: Nm(stock.doubt.0.max(0)),
        kept,
        waste: Nm(if kept { 0 } else { remainder }),
    }
}

/// The aims with their bounds; pieces refused beforehand are uncut in every
/// plan, except those beyond the limit on their number.
fn stages(canon: &Canon, answer: &Answer, settings: (i64, i64)) -> Vec<Stage> {
    let sum = |over: bool| {
        let refused = canon.refused.iter();
        refused.filter(|u| (u.reason == UncutReason::TooMany) == over).map(|u| i64::from(u.count)).sum::<i64>()
    };
    let over = sum(true) > 0;
    let offcuts: i64 = canon.problem.classes.iter().filter_map(|c| c.count).map(i64::from).sum();
    let (cost, low) = (&answer.cost, &answer.bounds);
    let value = canon.problem.value;
    let mut all = vec![
        ("uncut", cost.uncut + sum(false) + sum(true), low[0] + sum(false)),
        ("money", cost.money, if over { 0 } else { low[1] }),
        ("waste", cost.waste, if over { 0 } else { low[2] }),
        ("items", offcuts + cost.items, if over { 0 } else { (offcuts + low[3]).max(0) }),
        ("remainder", -cost.short, -low[4]),
        ("settings", settings.0, settings.1),
    ];
    if value.rate > 0 {
        let bound = if over { 0 } else { low[5] };
        all.insert(1, ("net", value.money(cost.net), value.money(bound)));
    }
    let mut proved = true;
    all.into_iter()
        .map(|(name, value, bound)| {
            proved &= value == bound;
            Stage { name, value, bound, proved }
        })
        .collect()
}
