//! From the caller's lists, in any order, to the one problem that they mean.

use std::collections::BTreeMap;

use crate::cut::bars::model::{Class, Kind, Problem};
use crate::cut::bars::{BarDemand, BarRules, BarStock, EndCut, MAX_PIECES, Uncut, UncutReason};
use crate::cut::{MAX_LENGTH, Nm};

/// Flattest and steepest cut that is planned, degrees from the bar's axis; at
/// 10 degrees the blade already takes six kerfs along the bar.
const ANGLES: std::ops::RangeInclusive<f64> = 10.0..=170.0;
/// Highest price taken, 1/10,000: no sum over the bars can overflow.
const MAX_PRICE: i64 = 1_000_000_000_000;

/// The problem and the way back to the caller's indices.
pub(super) struct Canon {
    /// What the search sees.
    pub problem: Problem,
    /// For each kind: (demand, copies), in the order they are handed out.
    pub kind_demands: Vec<Vec<(usize, u32)>>,
    /// For each class: (stock, count), in the order they are used.
    pub class_stock: Vec<Alike>,
    /// Uncut before any search.
    pub refused: Vec<Uncut>,
}

/// The blade's extent along the bar at an end, nm, rounded up.
pub(super) fn blade(kerf: Nm, end: EndCut) -> i64 {
    let slant = libm::fabs(libm::sin(end.angle_deg.to_radians()));
    if end.angle_deg == 90.0 {
        return kerf.0;
    }
    libm::ceil(kerf.0 as f64 / slant) as i64
}

/// The allowance of a piece: the wider of its two ends, nm.
pub(super) fn allowance(kerf: Nm, demand: &BarDemand) -> i64 {
    blade(kerf, demand.left).max(blade(kerf, demand.right))
}

/// Usable length of a bar once its raw ends are squared, nm; may be negative.
pub(super) fn usable(stock: &BarStock, trim: Nm) -> i64 {
    let ends = i64::from(stock.left_raw) + i64::from(stock.right_raw);
    stock.length.0 - ends * trim.0
}

/// A bar's price, brought into the range that is planned.
pub(super) fn price(stock: &BarStock) -> i64 {
    stock.price.clamp(0, MAX_PRICE)
}

fn in_range(length: Nm) -> bool {
    length > Nm::ZERO && length <= MAX_LENGTH
}

/// The rules with lengths that are negative or out of range brought into it.
pub(super) fn sound(rules: &BarRules) -> BarRules {
    let clamp = |length: Nm| Nm(length.0.clamp(0, MAX_LENGTH.0));
    BarRules { kerf: clamp(rules.kerf), trim: clamp(rules.trim), keep: clamp(rules.keep) }
}

impl Canon {
    /// Sorts, merges what is alike, and sets aside what can never be cut.
    pub fn new(demands: &[BarDemand], stock: &[BarStock], rules: &BarRules) -> Canon {
        let rules = &sound(rules);
        let (wanted, mut refused) = accept(demands);
        let smallest = wanted.iter().map(|&(d, _)| allowance(rules.kerf, &demands[d])).min().unwrap_or(0);
        let (classes, class_stock) = classes(stock, rules, smallest);
        let longest = classes.iter().map(|c| c.room).max().unwrap_or(0);
        let mut kinds: BTreeMap<(i64, i64), Vec<(usize, u32)>> = BTreeMap::new();
        for (d, count) in wanted {
            let length = demands[d].length.0;
            let size = length + allowance(rules.kerf, &demands[d]);
            if size > longest {
                refused.push(Uncut {
                    demand: d,
                    first_copy: 1,
                    count,
                    reason: match stock.is_empty() {
                        true => UncutReason::NoStockLeft,
                        false => UncutReason::TooLong,
                    },
                });
            } else {
                kinds.entry((-size, -length)).or_default().push((d, count));
            }
        }
        let problem = Problem {
            kinds: kinds
                .iter()
                .map(|(&(size, length), list)| Kind {
                    size: -size,
                    length: -length,
                    count: list.iter().map(|&(_, n)| n).sum(),
                })
                .collect(),
            classes,
            keep: rules.keep.0,
            allowance: smallest,
        };
        Canon { problem, kind_demands: kinds.into_values().collect(), class_stock, refused }
    }
}

/// Demands that can be planned, in an order that does not depend on the
/// caller's, and those that cannot.
fn accept(demands: &[BarDemand]) -> (Vec<(usize, u32)>, Vec<Uncut>) {
    let mut order: Vec<usize> = (0..demands.len()).collect();
    order.sort_by(|&a, &b| {
        let (a, b) = (&demands[a], &demands[b]);
        (b.length, &a.key, a.count)
            .cmp(&(a.length, &b.key, b.count))
            .then(a.left.angle_deg.total_cmp(&b.left.angle_deg))
            .then(a.right.angle_deg.total_cmp(&b.right.angle_deg))
    });
    let mut wanted = Vec::new();
    let mut refused = Vec::new();
    let mut total = 0;
    for d in order {
        let demand = &demands[d];
        let angles = [demand.left.angle_deg, demand.right.angle_deg];
        if !in_range(demand.length) || !angles.iter().all(|a| ANGLES.contains(a)) {
            refused.push(Uncut { demand: d, first_copy: 1, count: demand.count, reason: UncutReason::BadSize });
            continue;
        }
        let taken = demand.count.min(MAX_PIECES - total);
        total += taken;
        if taken > 0 {
            wanted.push((d, taken));
        }
        if taken < demand.count {
            refused.push(Uncut {
                demand: d,
                first_copy: taken + 1,
                count: demand.count - taken,
                reason: UncutReason::TooMany,
            });
        }
    }
    refused.retain(|u| u.count > 0);
    (wanted, refused)
}

/// Stock entries that are alike, with their counts.
type Alike = Vec<(usize, Option<u32>)>;

/// Bars that are alike become one class; classes come shortest first.
fn classes(stock: &[BarStock], rules: &BarRules, smallest: i64) -> (Vec<Class>, Vec<Alike>) {
    let mut order: Vec<usize> = (0..stock.len()).collect();
    order.sort_by_key(|&s| {
        let bar = &stock[s];
        (bar.length, bar.left_raw, bar.right_raw, &bar.id, bar.count)
    });
    let mut groups: BTreeMap<(i64, i64, bool), Alike> = BTreeMap::new();
    for s in order {
        let bar = &stock[s];
        if !in_range(bar.length) || bar.count == Some(0) {
            continue;
        }
        let length = usable(bar, rules.trim);
        if length <= 0 {
            continue;
        }
        let price = price(bar);
        groups.entry((length, price, bar.count.is_none())).or_default().push((s, bar.count));
    }
    let classes = groups
        .iter()
        .map(|(&(length, price, _), list)| Class {
            room: length + smallest,
            price,
            count: list
                .iter()
                .map(|&(_, n)| n)
                .try_fold(0_u32, |sum, n| n.map(|n| sum.saturating_add(n).min(MAX_PIECES))),
        })
        .collect();
    (classes, groups.into_values().collect())
}
