//! From the caller's lists, in any order, to the one problem that they mean.

use std::collections::BTreeMap;

use crate::cut::bars::model::{Class, End, Kind, Problem, Value, Way};
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
    if fine(end.angle_deg) == HALF_TURN / 2 {
        return kerf.0;
    }
    libm::ceil(kerf.0 as f64 / slant) as i64
}

/// The allowance of a piece: the wider of its two ends, nm.
pub(super) fn allowance(kerf: Nm, demand: &BarDemand) -> i64 {
    blade(kerf, demand.left).max(blade(kerf, demand.right))
}

/// Usable length of a bar once its ends are squared and the doubt is kept in
/// reserve, nm; may be negative.
pub(super) fn usable(stock: &BarStock, trim: Nm) -> i64 {
    stock.length.0 - stock.start(trim) - stock.reserve(trim)
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
    BarRules {
        kerf: clamp(rules.kerf),
        trim: clamp(rules.trim),
        keep: clamp(rules.keep),
        value: rules.value.clamp(0, MAX_PRICE),
    }
}

/// Millionths of a degree.
fn fine(angle_deg: f64) -> i64 {
    libm::round(angle_deg * 1e6) as i64
}

/// Half a turn in millionths of a degree.
const HALF_TURN: i64 = 180_000_000;

/// How far a cut plane runs along the bar over a depth, nm.
fn run(depth: i64, angle_deg: f64) -> f64 {
    depth as f64 / libm::fabs(libm::tan(angle_deg.to_radians()))
}

/// Depth over which a piece's cuts can be shared; 0 for one so short that its
/// own cut planes would meet within the bar.
fn shared_depth(demand: &BarDemand) -> i64 {
    let depth = demand.mitre.depth.0.clamp(0, MAX_LENGTH.0);
    let runs = run(depth, demand.left.angle_deg) + run(depth, demand.right.angle_deg);
    if runs < demand.length.0 as f64 { depth } else { 0 }
}

/// The ends and shapes met, each once.
#[derive(Default)]
struct Shapes {
    ends: Vec<End>,
    shapes: Vec<Vec<Way>>,
}

impl Shapes {
    /// The shape of a demand's pieces.
    fn of(&mut self, kerf: Nm, demand: &BarDemand) -> usize {
        let (left, right) = (fine(demand.left.angle_deg), fine(demand.right.angle_deg));
        let turns = demand.mitre.turns;
        // Cut planes as they lie: the left end's angle, and half a turn less
        // the right end's.
        let mut planes = vec![(left, HALF_TURN - right, 0)];
        if turns.flat {
            planes.push((HALF_TURN - right, left, 1));
        }
        if turns.over {
            planes.push((right, HALF_TURN - left, 2));
        }
        if turns.roll {
            planes.push((HALF_TURN - left, right, 3));
        }
        let mut ways: Vec<Way> = Vec::new();
        for (l, r, turned) in planes {
            let way = Way { left: self.end(kerf, demand, l), right: self.end(kerf, demand, r), turned };
            if !ways.iter().any(|w| (w.left, w.right) == (way.left, way.right)) {
                ways.push(way);
            }
        }
        match self.shapes.iter().position(|s| *s == ways) {
            Some(at) => at,
            None => {
                self.shapes.push(ways);
                self.shapes.len() - 1
            }
        }
    }

    /// The narrowest blade that can come last beside a piece.
    fn narrowest_last(&self, shape: usize) -> i64 {
        self.shapes[shape].iter().map(|w| self.ends[usize::from(w.right)].blade).min().unwrap_or(0)
    }

    fn end(&mut self, kerf: Nm, demand: &BarDemand, plane: i64) -> u16 {
        let square = plane == HALF_TURN / 2;
        let angle = plane as f64 / 1e6;
        let depth = shared_depth(demand);
        let end = End {
            setting: (plane, if square { 0 } else { demand.mitre.face }),
            blade: blade(kerf, EndCut { angle_deg: angle }),
            // Rounded down: what is saved is really there.
            saved: if square { 0 } else { libm::floor(run(depth, angle)) as i64 },
        };
        let at = self.ends.iter().position(|e| *e == end).unwrap_or_else(|| {
            self.ends.push(end);
            self.ends.len() - 1
        });
        at as u16
    }
}

impl Canon {
    /// Sorts, merges what is alike, and sets aside what can never be cut.
    pub fn new(demands: &[BarDemand], stock: &[BarStock], rules: &BarRules) -> Canon {
        let rules = &sound(rules);
        let (wanted, mut refused) = accept(demands);
        let narrow = |d: &BarDemand| blade(rules.kerf, d.left).min(blade(rules.kerf, d.right));
        let smallest = wanted.iter().map(|&(d, _)| narrow(&demands[d])).min().unwrap_or(0);
        let (classes, class_stock) = classes(stock, rules, smallest);
        let longest = classes.iter().map(|c| c.room).max().unwrap_or(0);
        let mut kinds: BTreeMap<(i64, i64, usize), Vec<(usize, u32)>> = BTreeMap::new();
        let mut shapes = Shapes::default();
        for (d, count) in wanted {
            let length = demands[d].length.0;
            let size = length + allowance(rules.kerf, &demands[d]);
            let shape = shapes.of(rules.kerf, &demands[d]);
            if length + shapes.narrowest_last(shape) > longest {
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
                kinds.entry((-size, -length, shape)).or_default().push((d, count));
            }
        }
        let mut problem = Problem {
            kinds: kinds
                .iter()
                .map(|(&(size, length, shape), list)| Kind {
                    shape,
                    size: -size,
                    length: -length,
                    count: list.iter().map(|&(_, n)| n).sum(),
                })
                .collect(),
            classes,
            keep: rules.keep.0,
            allowance: smallest,
            value: Value::default(),
            ends: shapes.ends,
            shapes: shapes.shapes,
        };
        put_value(&mut problem, rules.value);
        Canon { problem, kind_demands: kinds.into_values().collect(), class_stock, refused }
    }
}

/// Nanometres in a metre: prices are per bar, values per metre.
const METRE: i128 = 1_000_000_000;

/// Puts a value on what goes back: at most what bought steel costs by the
/// metre, or buying would pay for itself.
fn put_value(problem: &mut Problem, rate: i64) {
    fn divisor(a: i128, b: i128) -> i128 {
        if b == 0 { a } else { divisor(b, a % b) }
    }
    let full = |c: &Class| i128::from(c.room - problem.allowance);
    let by_metre = |c: &Class| (i128::from(c.price) * METRE / full(c).max(1)) as i64;
    let cheapest = problem.classes.iter().filter(|c| c.count.is_none() || c.price > 0).map(by_metre).min();
    let rate = cheapest.map_or(rate, |c| rate.min(c));
    if rate == 0 {
        return;
    }
    // Shared cuts leave remainders of any length.
    let first = i128::from(problem.is_mitred());
    let mut per = problem.kinds.iter().fold(first, |g, k| divisor(g, i128::from(k.size) * i128::from(rate)));
    per = divisor(per, i128::from(problem.allowance) * i128::from(rate));
    let worth = |c: &Class| match c.price {
        0 if c.count.is_some() => full(c) * i128::from(rate),
        price => i128::from(price) * METRE,
    };
    let worths: Vec<i128> = problem.classes.iter().map(worth).collect();
    for (class, &w) in problem.classes.iter().zip(&worths) {
        per = divisor(divisor(per, w), i128::from(class.room) * i128::from(rate));
    }
    // Numbers stay within what the search can add up.
    let most = worths.iter().copied().max().unwrap_or(0);
    per = per.max(most >> 50).max(1);
    problem.value = Value { rate, per: i64::try_from(per).unwrap_or(i64::MAX) };
    let per = i128::from(problem.value.per);
    for (class, w) in problem.classes.iter_mut().zip(worths) {
        class.worth = (w / per) as i64;
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
            .then(a.mitre.face.cmp(&b.mitre.face))
            .then(a.mitre.depth.cmp(&b.mitre.depth))
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
            worth: 0,
            count: list
                .iter()
                .map(|&(_, n)| n)
                .try_fold(0_u32, |sum, n| n.map(|n| sum.saturating_add(n).min(MAX_PIECES))),
        })
        .collect();
    (classes, groups.into_values().collect())
}
