//! The plate task in one fixed order, and the bounds by area and by what fits
//! where.

use crate::cut::bars::bound;
use crate::cut::bars::model::{Class, Kind, Problem};
use crate::cut::plates::carve::{Carver, Step};
use crate::cut::plates::outline::{MAX_SIDE, MIN_SIDE, trim_of, usable};
use crate::cut::plates::pack::{Blank, Free, Packed};
use crate::cut::plates::search::Found;
use crate::cut::plates::steel::{Piece, edges};
use crate::cut::plates::{BlankDemand, MAX_BLANKS, PlateRules, PlateStock, SheetUse};
use crate::cut::{Nm, Stage, Uncut, UncutReason};

/// Square nanometres in the unit of area, the square micrometre.
pub(super) const AREA_UNIT: i128 = 1_000_000;
/// What rounding areas down to their unit can add to a bound on them.
const ROUNDING: i64 = 2;
/// Highest price taken, 1/10,000.
const MAX_PRICE: i64 = 1_000_000_000_000;

/// One blank.
#[derive(Clone, Copy, Debug)]
pub(super) struct Item {
    pub demand: usize,
    pub copy: u32,
    pub blank: Blank,
}

/// A way to free rectangles of a plate, kerf added.
#[derive(Clone, Debug)]
pub(super) struct Way {
    pub rects: Vec<Free>,
    pub steps: Vec<Step>,
}

/// One entry of the stock.
#[derive(Clone, Debug)]
pub(super) struct Shelf {
    pub stock: usize,
    pub steel: Piece,
    pub ways: Vec<Way>,
    /// Length and width of the box around the sound steel, kerf added.
    pub around: (i64, i64),
    /// Blanks with their kerf cannot cover more, square nanometres.
    pub room: i128,
    pub price: i64,
    pub count: Option<u32>,
}

/// The task in an order that does not depend on the caller's.
#[derive(Debug)]
pub(super) struct Task {
    pub items: Vec<Item>,
    pub shelves: Vec<Shelf>,
    pub kerf: i64,
    pub keep: (i64, i64),
    pub refused: Vec<Uncut>,
}

/// A filled plate of a shelf.
#[derive(Clone, Debug)]
pub(super) struct Sheet {
    pub shelf: usize,
    pub way: usize,
    pub packed: Packed,
}

pub(super) fn in_range(side: Nm) -> bool {
    side >= MIN_SIDE && side <= MAX_SIDE
}

fn clamp(length: Nm) -> i64 {
    length.0.clamp(0, MAX_SIDE.0)
}

impl Task {
    /// Sorts everything and sets aside what can never be cut.
    pub fn new(demands: &[BlankDemand], stock: &[PlateStock], rules: &PlateRules) -> Task {
        let kerf = clamp(rules.kerf);
        let keep = (clamp(rules.keep_short), clamp(rules.keep_long));
        let mut task = Task { items: Vec::new(), shelves: Vec::new(), kerf, keep, refused: Vec::new() };
        let mut order: Vec<usize> = (0..demands.len()).collect();
        order.sort_by_key(|&d| {
            let demand = &demands[d];
            (
                -i128::from(demand.length.0) * i128::from(demand.width.0),
                demand.length,
                &demand.key,
                demand.count,
                demand.may_turn,
            )
        });
        let blanks = blanks(demands, kerf);
        task.shelves = shelves(stock, rules, kerf, &blanks);
        for d in order {
            task.take(d, &demands[d]);
        }
        task
    }

    fn take(&mut self, d: usize, demand: &BlankDemand) {
        let mut refuse = |first_copy: u32, count: u32, reason: UncutReason| {
            if count > 0 {
                self.refused.push(Uncut { demand: d, first_copy, count, reason });
            }
        };
        if !in_range(demand.length) || !in_range(demand.width) {
            return refuse(1, demand.count, UncutReason::BadSize);
        }
        let blank =
            Blank { length: demand.length.0 + self.kerf, width: demand.width.0 + self.kerf, may_turn: demand.may_turn };
        if !self.shelves.iter().any(|s| fits(blank, s)) {
            let reason = if self.shelves.is_empty() { UncutReason::NoStockLeft } else { UncutReason::TooLong };
            return refuse(1, demand.count, reason);
        }
        let taken = demand.count.min(MAX_BLANKS - self.items.len() as u32);
        refuse(taken + 1, demand.count - taken, UncutReason::TooMany);
        self.items.extend((1..=taken).map(|copy| Item { demand: d, copy, blank }));
    }

    /// A blank that stays uncut for want of stock.
    pub fn uncut(&self, item: usize) -> Uncut {
        let Item { demand, copy, .. } = self.items[item];
        Uncut { demand, first_copy: copy, count: 1, reason: UncutReason::NoStockLeft }
    }

    /// A rectangle, sides with the kerf, is worth keeping.
    pub fn keeps(&self, length: i64, width: i64) -> bool {
        let (length, width) = (length - self.kerf, width - self.kerf);
        length.min(width) >= self.keep.0.max(1) && length.max(width) >= self.keep.1
    }

    /// Area of a blank in steel, square micrometres.
    pub fn area(&self, item: usize) -> i64 {
        let blank = self.items[item].blank;
        let area = i128::from(blank.length - self.kerf) * i128::from(blank.width - self.kerf);
        (area / AREA_UNIT) as i64
    }
}

/// A blank fits a plate by itself.
pub(super) fn fits(blank: Blank, shelf: &Shelf) -> bool {
    shelf.ways.iter().flat_map(|w| &w.rects).any(|r| lies_in(blank, r.length, r.width))
}

/// A blank fits the box around a plate: false means that no cutting frees it.
pub(super) fn may_fit(blank: Blank, shelf: &Shelf) -> bool {
    lies_in(blank, shelf.around.0, shelf.around.1)
}

fn lies_in(blank: Blank, length: i64, width: i64) -> bool {
    let lies = |l: i64, w: i64| l <= length && w <= width;
    lies(blank.length, blank.width) || blank.may_turn && lies(blank.width, blank.length)
}

/// Sizes that are wanted, kerf added, each once.
fn blanks(demands: &[BlankDemand], kerf: i64) -> Vec<Blank> {
    let wanted = demands.iter().filter(|d| d.count > 0 && in_range(d.length) && in_range(d.width));
    let mut blanks: Vec<Blank> =
        wanted.map(|d| Blank { length: d.length.0 + kerf, width: d.width.0 + kerf, may_turn: d.may_turn }).collect();
    blanks.sort_unstable_by_key(|b| (b.length, b.width, b.may_turn));
    blanks.dedup();
    blanks
}

fn shelves(stock: &[PlateStock], rules: &PlateRules, kerf: i64, blanks: &[Blank]) -> Vec<Shelf> {
    let shelf = |s: usize| {
        let plate = &stock[s];
        let steel = usable(plate, rules).ok().filter(|_| plate.count != Some(0))?;
        let trim = trim_of(plate, rules);
        let span = steel.span();
        let around = (span.extent(0) - 2 * trim + kerf, span.extent(1) - 2 * trim + kerf);
        let carvings = Carver { plate: &steel, trim, kerf, blanks }.carvings();
        let ways = carvings
            .into_iter()
            .map(|c| Way { rects: c.rects.iter().map(|r| Free::around(r, kerf)).collect(), steps: c.steps });
        Some(Shelf {
            stock: s,
            ways: ways.collect(),
            around,
            room: room(&steel, kerf).min(i128::from(around.0.max(0)) * i128::from(around.1.max(0))),
            price: plate.price.clamp(0, MAX_PRICE),
            count: plate.count.map(|n| n.min(MAX_BLANKS)),
            steel,
        })
    };
    let mut shelves: Vec<Shelf> = (0..stock.len()).filter_map(shelf).collect();
    shelves.sort_by(|a, b| {
        let (p, q) = (&stock[a.stock], &stock[b.stock]);
        let key = |s: &Shelf| (s.steel.twice_area(), s.around, s.price);
        key(a).cmp(&key(b)).then_with(|| {
            let rest = |p: &PlateStock, s: &Shelf| {
                (p.id.clone(), p.count, p.raw, s.steel.outline.clone(), s.steel.holes.clone())
            };
            rest(p, a).cmp(&rest(q, b))
        })
    });
    shelves
}

/// What blanks with the kerf on their far sides can cover of a plate: its area
/// drawn out by the kerf along x, then along y. Each draws out by no more than
/// half of what the edges measure across it, and a corner for each edge.
fn room(steel: &Piece, kerf: i64) -> i128 {
    let kerf = i128::from(kerf);
    let (mut across, mut corners) = (0, 0);
    for (a, b) in steel.rings().flat_map(|r| edges(r)) {
        across += i128::from((a.0 - b.0).abs()) + i128::from((a.1 - b.1).abs());
        corners += 1;
    }
    (steel.twice_area() + 1) / 2 + kerf * (across / 2 + 1) + kerf * kerf * corners
}

/// The task seen as areas only, for some items and shelves: any plan for
/// plates is a plan for this, so bounds for this hold for plates.
fn by_area(task: &Task, wanted: &[usize], open: impl Fn(&Shelf) -> bool) -> Problem {
    let size = |b: &Blank| (i128::from(b.length) * i128::from(b.width) / AREA_UNIT) as i64;
    let mut kinds: Vec<Kind> = Vec::new();
    for &item in wanted {
        let size = size(&task.items[item].blank);
        let length = task.area(item);
        match kinds.iter_mut().find(|k| (k.size, k.length) == (size, length)) {
            Some(kind) => kind.count += 1,
            None => kinds.push(Kind { size, length, count: 1, shape: 0 }),
        }
    }
    kinds.sort_by_key(|k| (-k.size, -k.length));
    let class = |s: &Shelf| Class { room: (s.room / AREA_UNIT + 1) as i64, price: s.price, count: s.count, worth: 0 };
    Problem { kinds, classes: task.shelves.iter().filter(|s| open(s)).map(class).collect(), ..Problem::default() }
}

/// Money that no plan without uncut blanks can go below.
fn money(task: &Task) -> i64 {
    let all: Vec<usize> = (0..task.items.len()).collect();
    let mut best = bound::money(&by_area(task, &all, |_| true));
    let free = |s: &&Shelf| s.price == 0;
    let must_buy = |i: &usize| !task.shelves.iter().filter(free).any(|s| may_fit(task.items[*i].blank, s));
    let bought: Vec<usize> = all.iter().copied().filter(must_buy).collect();
    if bought.is_empty() {
        return best;
    }
    best = best.max(bound::money(&by_area(task, &bought, |s| {
        s.price > 0 && bought.iter().any(|&i| may_fit(task.items[i].blank, s))
    })));
    for &item in &bought {
        let holds = task.shelves.iter().filter(|s| may_fit(task.items[item].blank, s));
        best = best.max(holds.map(|s| s.price).min().unwrap_or(0));
    }
    best
}

/// Bounds on uncut area and money: what no plan can be below.
pub(super) fn bounds(task: &Task) -> (i64, i64) {
    let all: Vec<usize> = (0..task.items.len()).collect();
    let uncut = bound::uncut_length(&by_area(task, &all, |_| true));
    ((uncut - ROUNDING).max(0), money(task))
}

/// All aims with their bounds.
pub(super) fn stages(
    task: &Task,
    demands: &[BlankDemand],
    sheets: &[SheetUse],
    uncut: &[Uncut],
    found: &Found,
) -> Vec<Stage> {
    let area = |u: &Uncut| {
        let demand = &demands[u.demand];
        let one = i128::from(demand.length.0.max(0)) * i128::from(demand.width.0.max(0)) / AREA_UNIT;
        i64::try_from(one).unwrap_or(i64::MAX).saturating_mul(i64::from(u.count))
    };
    let sum = |list: &mut dyn Iterator<Item = &Uncut>| list.fold(0_i64, |s, u| s.saturating_add(area(u)));
    let refused = sum(&mut task.refused.iter().filter(|u| u.reason != UncutReason::TooMany));
    let uncut_value = sum(&mut uncut.iter());
    let money = sheets.iter().map(|s| s.price).sum();
    let (lost, largest) = lost(task, demands, sheets);
    let ceiling = task.shelves.iter().map(|s| s.steel.twice_area() / 2 / AREA_UNIT).max().unwrap_or(0) as i64;
    let cuts: usize = sheets.iter().map(|s| s.cuts.len()).sum();
    let least_items = i64::from(!sheets.is_empty());
    let rows = [
        ("uncut", uncut_value, found.floor_uncut.saturating_add(refused)),
        ("money", money, found.floor_money),
        ("waste", lost, 0),
        ("leftover", largest, if sheets.is_empty() { 0 } else { ceiling }),
        ("items", sheets.len() as i64, least_items.max(found.floor_items)),
        ("cuts", cuts as i64, 0),
    ];
    let mut proved = true;
    let stage = |(name, value, bound): (&'static str, i64, i64)| {
        proved &= value == bound;
        Stage { name, value, bound, proved }
    };
    rows.map(stage).to_vec()
}

/// Steel lost on all plates and the largest leftover kept, square micrometres.
fn lost(task: &Task, demands: &[BlankDemand], sheets: &[SheetUse]) -> (i64, i64) {
    let (mut twice, mut largest) = (0_i128, 0_i128);
    for sheet in sheets {
        let shelf = task.shelves.iter().find(|s| s.stock == sheet.stock);
        twice += shelf.map_or(0, |s| s.steel.twice_area());
        for p in &sheet.placements {
            let d = &demands[p.demand];
            twice -= 2 * i128::from(d.length.0) * i128::from(d.width.0);
        }
        for left in sheet.leftovers.iter().filter(|l| l.kept) {
            let holes: Vec<_> = left.holes.iter().map(|h| super::outline::points(h)).collect();
            twice -= Piece::new(&super::outline::points(&left.outline), &holes).twice_area();
            let useful = left.useful.map_or(0, |r| i128::from(r.length.0) * i128::from(r.width.0));
            largest = largest.max(useful);
        }
    }
    ((twice / 2 / AREA_UNIT) as i64, (largest / AREA_UNIT) as i64)
}
