//! The most value out of one plate, for callers that have values: published
//! instances, or one's own judgement of what is worth cutting first.

use crate::cut::effort::Budget;
use crate::cut::plates::knap::{self, Kind, Limit};
use crate::cut::plates::limits::in_range;
use crate::cut::plates::outline::MAX_SIDE;
use crate::cut::plates::pack::{Free, Packed};
use crate::cut::plates::{MAX_BLANKS, Rect, fill};
use crate::cut::{Effort, Nm};

/// Highest value of one blank.
const MAX_VALUE: i64 = 1_000_000_000_000;

/// Blanks of one kind that may be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KnapsackItem {
    /// Along x, 1 um to 10 m.
    pub length: Nm,
    /// Along y, 1 um to 10 m.
    pub width: Nm,
    /// What one is worth, 1 to 1e12; others are left aside.
    pub value: i64,
    /// Most that may be cut.
    pub count: u32,
    /// May lie a quarter turn on the plate.
    pub may_turn: bool,
}

/// One blank on the plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KnapsackPlacement {
    /// Index into the items as they were given.
    pub item: usize,
    /// Where it lies.
    pub rect: Rect,
    /// It lies a quarter turn.
    pub turned: bool,
}

/// What is cut out of the plate.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnapsackPlan {
    /// Sum of the values cut.
    pub value: i64,
    /// No way of cutting is worth more.
    pub bound: i64,
    /// The value reaches the bound.
    pub proved: bool,
    /// The blanks, in the order in which the cuts free them.
    pub placements: Vec<KnapsackPlacement>,
    /// Marks of the through cuts in order, from one end to the other.
    pub cuts: Vec<((Nm, Nm), (Nm, Nm))>,
}

/// The most value out of one rectangular plate by through cuts, each item at
/// most `count` times; exact within the effort.
///
/// ```
/// use droprack::cut::{Effort, KnapsackItem, Nm, knapsack_plate};
/// let mm = |v: i64| Nm(v * 1_000_000);
/// let item = |l, w, value| KnapsackItem { length: mm(l), width: mm(w), value, count: 1, may_turn: false };
/// let plan = knapsack_plate(mm(100), mm(50), mm(2), &[item(49, 50, 3), item(49, 50, 2), item(100, 30, 4)], Effort::QUICK);
/// assert_eq!((plan.value, plan.proved), (5, true));
/// ```
pub fn knapsack_plate(length: Nm, width: Nm, kerf: Nm, items: &[KnapsackItem], effort: Effort) -> KnapsackPlan {
    let kerf = kerf.0.clamp(0, MAX_SIDE.0);
    let nothing = KnapsackPlan { value: 0, bound: 0, proved: true, placements: Vec::new(), cuts: Vec::new() };
    if !in_range(length) || !in_range(width) {
        return nothing;
    }
    let whole = Free { x: 0, y: 0, length: length.0 + kerf, width: width.0 + kerf };
    let usable = |i: &&(usize, KnapsackItem)| {
        in_range(i.1.length) && in_range(i.1.width) && (1..=MAX_VALUE).contains(&i.1.value) && i.1.count > 0
    };
    let listed: Vec<(usize, KnapsackItem)> = items.iter().copied().enumerate().collect();
    let taken: Vec<(usize, KnapsackItem)> = listed.iter().filter(usable).copied().collect();
    let kinds: Vec<Kind> = taken
        .iter()
        .map(|(_, i)| Kind {
            length: i.length.0 + kerf,
            width: i.width.0 + kerf,
            value: i.value,
            count: i.count.min(MAX_BLANKS),
            may_turn: i.may_turn,
        })
        .collect();
    let mut budget = Budget::new(effort.steps);
    let (mut value, mut packed) = fill::first(whole, &kinds, kerf, &mut budget);
    let answer = knap::solve(whole.length, whole.width, &kinds, Limit { floor: value, budget: &mut budget });
    if let Some((more, build)) = answer.best {
        value = more;
        packed = Packed::default();
        build.lay(whole, kerf, &mut |kind| kind, &mut packed);
    }
    let placement = |p: &crate::cut::plates::pack::Placed| {
        let s = p.place.steel(kerf);
        let rect = Rect { x: Nm(s.low.0), y: Nm(s.low.1), length: Nm(s.extent(0)), width: Nm(s.extent(1)) };
        KnapsackPlacement { item: taken[p.item].0, rect, turned: p.turned }
    };
    let cut = |s: &crate::cut::plates::carve::Step| {
        let point = |p: (i64, i64)| (Nm(p.0), Nm(p.1));
        match s.axis {
            0 => (point((s.at, s.within.low.1)), point((s.at, s.within.high.1))),
            _ => (point((s.within.low.0, s.at)), point((s.within.high.0, s.at))),
        }
    };
    KnapsackPlan {
        value,
        bound: answer.bound,
        proved: value == answer.bound,
        placements: packed.placed.iter().map(placement).collect(),
        cuts: packed.steps.iter().map(cut).collect(),
    }
}
