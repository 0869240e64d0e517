//! The plate task in one fixed order, the way back to the caller's lists, and
//! the bounds by area and by what fits where.

use crate::cut::bars::bound;
use crate::cut::bars::model::{Class, Kind, Problem};
use crate::cut::plates::pack::{Blank, Free, Packed};
use crate::cut::plates::{
    BlankDemand, Leftover, MAX_BLANKS, Placement, PlateCut, PlateRules, PlateStock, Rect, SheetUse,
};
use crate::cut::{MAX_LENGTH, Nm, Stage, Uncut, UncutReason};

/// Square nanometres in the unit of area, the square micrometre.
const AREA_UNIT: i128 = 1_000_000;
/// Longest side of a plate or blank, 10 m: areas in square micrometres of
/// [`MAX_BLANKS`] blanks then add up within the integer, kerfs included.
const MAX_SIDE: Nm = Nm(MAX_LENGTH.0 / 100);
/// Shortest side, 1 um: no area is then below its unit.
const MIN_SIDE: Nm = Nm(1_000);
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

/// One entry of the stock.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shelf {
    pub stock: usize,
    /// The sound plate with the kerf added.
    pub whole: Free,
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
    pub packed: Packed,
}

fn in_range(side: Nm) -> bool {
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
        let mut task = Task {
            items: Vec::new(),
            shelves: shelves(stock, kerf, clamp(rules.trim)),
            kerf,
            keep,
            refused: Vec::new(),
        };
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

    /// A leftover in steel, if there is any, and whether it is worth keeping.
    pub fn leftover(&self, free: &Free) -> Leftover {
        let (length, width) = (free.length - self.kerf, free.width - self.kerf);
        Leftover {
            rect: Rect { x: Nm(free.x), y: Nm(free.y), length: Nm(length), width: Nm(width) },
            kept: length.min(width) >= self.keep.0 && length.max(width) >= self.keep.1,
        }
    }

    /// Area lost on a plate, square micrometres, and its largest leftover kept.
    pub fn lost(&self, sheet: &Sheet) -> (i64, i64) {
        let whole = &self.shelves[sheet.shelf].whole;
        let steel = |f: &Free| i128::from(f.length - self.kerf) * i128::from(f.width - self.kerf);
        let mut lost = steel(whole);
        let mut largest = 0;
        for placed in &sheet.packed.placed {
            lost -= steel(&placed.place);
        }
        for free in sheet.packed.free.iter().filter(|f| self.leftover(f).kept) {
            lost -= steel(free);
            largest = largest.max(steel(free));
        }
        ((lost / AREA_UNIT) as i64, (largest / AREA_UNIT) as i64)
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
    let lies = |l: i64, w: i64| l <= shelf.whole.length && w <= shelf.whole.width;
    lies(blank.length, blank.width) || blank.may_turn && lies(blank.width, blank.length)
}

fn shelves(stock: &[PlateStock], kerf: i64, trim: i64) -> Vec<Shelf> {
    let mut order: Vec<usize> = (0..stock.len()).collect();
    order.sort_by_key(|&s| {
        let plate = &stock[s];
        let area = i128::from(plate.length.0) * i128::from(plate.width.0);
        (area, plate.length, plate.price, &plate.id, plate.count, plate.raw)
    });
    let usable = |s: usize| {
        let plate = &stock[s];
        if !in_range(plate.length) || !in_range(plate.width) || plate.count == Some(0) {
            return None;
        }
        let trim = if plate.raw { trim } else { 0 };
        let whole =
            Free { x: trim, y: trim, length: plate.length.0 - 2 * trim + kerf, width: plate.width.0 - 2 * trim + kerf };
        (whole.length > kerf && whole.width > kerf).then_some(Shelf {
            stock: s,
            whole,
            price: plate.price.clamp(0, MAX_PRICE),
            count: plate.count.map(|n| n.min(MAX_BLANKS)),
        })
    };
    order.into_iter().filter_map(usable).collect()
}

/// One plate in the caller's terms.
pub(super) fn in_callers_terms(task: &Task, stock: &[PlateStock], sheet: &Sheet) -> SheetUse {
    let shelf = &task.shelves[sheet.shelf];
    let plate = &stock[shelf.stock];
    let kerf = task.kerf;
    let placements = sheet.packed.placed.iter().map(|p| Placement {
        demand: task.items[p.item].demand,
        copy: task.items[p.item].copy,
        rect: task.leftover(&p.place).rect,
        turned: p.turned,
    });
    let mut cuts = trim_cuts(plate, shelf, kerf);
    let point = |(x, y): (i64, i64)| (Nm(x), Nm(y));
    cuts.extend(sheet.packed.cuts.iter().map(|&(from, to)| PlateCut { from: point(from), to: point(to) }));
    SheetUse {
        stock: shelf.stock,
        id: plate.id.clone(),
        bought: plate.count.is_none(),
        price: shelf.price,
        placements: placements.collect(),
        cuts,
        leftovers: sheet.packed.free.iter().map(|f| task.leftover(f)).collect(),
    }
}

/// The four cuts that square a raw plate, each through what is left.
fn trim_cuts(plate: &PlateStock, shelf: &Shelf, kerf: i64) -> Vec<PlateCut> {
    let trim = shelf.whole.x;
    if trim == 0 {
        return Vec::new();
    }
    let (length, width) = (plate.length.0, plate.width.0);
    let (right, top) = (length - trim, width - trim);
    let cut = |x0, y0, x1, y1| PlateCut { from: (Nm(x0), Nm(y0)), to: (Nm(x1), Nm(y1)) };
    vec![
        cut(trim - kerf, 0, trim - kerf, width),
        cut(right, 0, right, width),
        cut(trim, trim - kerf, right, trim - kerf),
        cut(trim, top, right, top),
    ]
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
    let class = |s: &Shelf| Class {
        room: ((i128::from(s.whole.length) * i128::from(s.whole.width)) / AREA_UNIT + 1) as i64,
        price: s.price,
        count: s.count,
        worth: 0,
    };
    Problem { kinds, classes: task.shelves.iter().filter(|s| open(s)).map(class).collect(), ..Problem::default() }
}

/// Money that no plan without uncut blanks can go below.
fn money(task: &Task) -> i64 {
    let all: Vec<usize> = (0..task.items.len()).collect();
    let mut best = bound::money(&by_area(task, &all, |_| true));
    let free = |s: &&Shelf| s.price == 0;
    let must_buy = |i: &usize| !task.shelves.iter().filter(free).any(|s| fits(task.items[*i].blank, s));
    let bought: Vec<usize> = all.iter().copied().filter(must_buy).collect();
    if bought.is_empty() {
        return best;
    }
    best = best.max(bound::money(&by_area(task, &bought, |s| {
        s.price > 0 && bought.iter().any(|&i| fits(task.items[i].blank, s))
    })));
    for &item in &bought {
        let holds = task.shelves.iter().filter(|s| fits(task.items[item].blank, s));
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

/// The three aims with their bounds.
pub(super) fn stages(task: &Task, demands: &[BlankDemand], sheets: &[SheetUse], uncut: &[Uncut]) -> [Stage; 3] {
    let area = |u: &Uncut| {
        let demand = &demands[u.demand];
        let one = i128::from(demand.length.0.max(0)) * i128::from(demand.width.0.max(0)) / AREA_UNIT;
        i64::try_from(one).unwrap_or(i64::MAX).saturating_mul(i64::from(u.count))
    };
    let sum = |list: &mut dyn Iterator<Item = &Uncut>| list.fold(0_i64, |s, u| s.saturating_add(area(u)));
    let (floor_uncut, floor_money) = bounds(task);
    let refused = sum(&mut task.refused.iter().filter(|u| u.reason != UncutReason::TooMany));
    let uncut_bound = floor_uncut.saturating_add(refused);
    let uncut_value = sum(&mut uncut.iter());
    let money = sheets.iter().map(|s| s.price).sum();
    let all_cut = uncut_value == refused;
    let waste = sheets.iter().map(|s| lost_in_steel(task, s)).sum();
    let rows = [
        ("uncut", uncut_value, uncut_bound),
        ("money", money, if all_cut { floor_money } else { 0 }),
        ("waste", waste, 0),
    ];
    let mut proved = true;
    rows.map(|(name, value, bound)| {
        proved &= value == bound;
        Stage { name, value, bound, proved }
    })
}

/// Area lost on a finished sheet, square micrometres, rounded down.
fn lost_in_steel(task: &Task, sheet: &SheetUse) -> i64 {
    let steel = |r: &Rect| i128::from(r.length.0) * i128::from(r.width.0);
    let Some(shelf) = task.shelves.iter().find(|s| s.stock == sheet.stock) else {
        return 0;
    };
    let (length, width) = (shelf.whole.length - task.kerf, shelf.whole.width - task.kerf);
    let mut lost = i128::from(length) * i128::from(width);
    lost -= sheet.placements.iter().map(|p| steel(&p.rect)).sum::<i128>();
    lost -= sheet.leftovers.iter().filter(|l| l.kept).map(|l| steel(&l.rect)).sum::<i128>();
    (lost / AREA_UNIT) as i64
}
