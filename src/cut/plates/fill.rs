//! Orders of blanks and plates made into plans: each blank goes into the best
//! of all rectangles that are free, and two cuts free it.

use crate::cut::effort::Budget;
use crate::cut::plates::knap::Kind;
use crate::cut::plates::limits::{AREA_UNIT, Sheet, Task};
use crate::cut::plates::pack::{Blank, FITS, Free, Packed, Placed, SPLITS, Split};

/// Tries for the first filling of a single plate.
const FIRST_TRIES: usize = 240;
/// The same where only a yes or no is wanted.
const QUICK_TRIES: usize = 24;

/// Uncut area, money, area lost, largest leftover kept (negative), plates;
/// smaller is better.
pub(super) type Cost = [i64; 5];

/// What decides a plan.
#[derive(Clone, Debug)]
pub(super) struct Order {
    pub items: Vec<usize>,
    /// How the rectangle is divided in which an item is put, by item.
    pub keys: Vec<u8>,
    /// Plates in the order in which they are opened: shelf and way.
    pub plates: Vec<(usize, usize)>,
    /// How the rectangle for a blank is chosen, 0 to 2.
    pub mode: u8,
}

/// One blank put somewhere.
#[derive(Clone, Copy, Debug)]
struct Event {
    item: usize,
    plate: usize,
    region: Free,
    turned: bool,
    split: Split,
}

/// Room to work in, and what was done last.
#[derive(Debug, Default)]
pub(super) struct Filler {
    free: Vec<(Free, usize)>,
    events: Vec<Event>,
    /// Indices into the order's plates, as they were opened.
    opened: Vec<usize>,
    pub uncut: Vec<usize>,
}

/// Numbers that look random and are the same in every run.
///
/// # Source
/// Multiplier and increment of D. E. Knuth's MMIX (memory, unconfirmed).
pub(super) struct Dice(pub u64);

impl Dice {
    /// A number below `n`.
    pub fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n.max(1)
    }
}

/// An area good enough to compare by, in units of about a square micrometre.
fn rough(length: i64, width: i64) -> i64 {
    (length >> 10) * (width >> 10)
}

impl Filler {
    /// Fills plates whose prices stay within a limit. Area lost and leftovers
    /// are only counted if asked for.
    pub fn fill(&mut self, task: &Task, order: &Order, limit: i64, full: bool, budget: &mut Budget) -> Cost {
        self.free.clear();
        self.events.clear();
        self.opened.clear();
        self.uncut.clear();
        let (mut next, mut cost, mut work) = (0, [0; 5], 8);
        for &item in &order.items {
            let blank = task.items[item].blank;
            let (mut from, mut best) = (0, None);
            loop {
                work += 1 + (self.free.len() - from) as u64 / 8;
                self.choose(from, blank, order.mode, &mut best);
                if best.is_some() {
                    break;
                }
                let Some(&(shelf, way)) = order.plates.get(next) else {
                    break;
                };
                next += 1;
                let shelf = &task.shelves[shelf];
                if cost[1] + shelf.price > limit {
                    continue;
                }
                // Opened only if the blank fits: a plate is not opened for nothing.
                let rects = &shelf.ways[way].rects;
                from = self.free.len();
                self.free.extend(rects.iter().map(|r| (*r, self.opened.len())));
                self.choose(from, blank, order.mode, &mut best);
                if best.is_none() {
                    self.free.truncate(from);
                    continue;
                }
                cost[1] += shelf.price;
                self.opened.push(next - 1);
            }
            match best {
                Some((_, index, turned)) => self.put(item, blank, index, turned, order.keys[item], task.kerf),
                None => {
                    cost[0] += task.area(item);
                    self.uncut.push(item);
                }
            }
        }
        budget.spend(work);
        cost[4] = self.opened.len() as i64;
        if full {
            self.leftovers(task, order, &mut cost);
        }
        cost
    }

    /// The best free rectangle for a blank, from an index on.
    fn choose(&self, from: usize, blank: Blank, mode: u8, best: &mut Option<(i64, usize, bool)>) {
        for (i, (free, plate)) in self.free.iter().enumerate().skip(from) {
            for turned in [false, true] {
                let (length, width) = if turned { (blank.width, blank.length) } else { (blank.length, blank.width) };
                if turned && !blank.may_turn || length > free.length || width > free.width {
                    continue;
                }
                let (dx, dy) = (free.length - length, free.width - width);
                let score = match mode {
                    0 => rough(free.length, free.width),
                    1 => dx.min(dy),
                    _ => (*plate as i64) * (1 << 40) + dx.min(dy),
                };
                if best.is_none_or(|b| score < b.0) {
                    *best = Some((score, i, turned));
                }
            }
        }
    }

    fn put(&mut self, item: usize, blank: Blank, index: usize, turned: bool, key: u8, kerf: i64) {
        let (region, plate) = self.free.swap_remove(index);
        let (length, width) = if turned { (blank.width, blank.length) } else { (blank.length, blank.width) };
        let (dx, dy) = (region.length - length, region.width - width);
        let across_x = match key & 3 {
            0 => dx >= dy,
            1 => dx < dy,
            2 => rough(dx, region.width) >= rough(region.length, dy),
            _ => rough(dx, region.width) < rough(region.length, dy),
        };
        let right =
            Free { x: region.x + length, length: dx, width: if across_x { region.width } else { width }, ..region };
        let above =
            Free { y: region.y + width, width: dy, length: if across_x { length } else { region.length }, ..region };
        let steel = |f: &Free| f.length > kerf && f.width > kerf;
        self.free.extend([right, above].into_iter().filter(steel).map(|f| (f, plate)));
        let split = if across_x { Split::AcrossX } else { Split::AcrossY };
        self.events.push(Event { item, plate, region, turned, split });
    }

    fn leftovers(&self, task: &Task, order: &Order, cost: &mut Cost) {
        let mut lost = 0_i128;
        for &plate in &self.opened {
            lost += task.shelves[order.plates[plate].0].steel.twice_area() / 2;
        }
        lost -= self.events.iter().map(|e| i128::from(task.area(e.item)) * AREA_UNIT).sum::<i128>();
        for (free, _) in self.free.iter().filter(|f| task.keeps(f.0.length, f.0.width)) {
            let area = free.steel(task.kerf).area();
            lost -= area;
            cost[3] = cost[3].min(-((area / AREA_UNIT) as i64));
        }
        cost[2] = (lost / AREA_UNIT) as i64;
    }

    /// The plates as they were filled last.
    pub fn sheets(&self, task: &Task, order: &Order) -> Vec<Sheet> {
        let sheet = |(index, &plate): (usize, &usize)| {
            let (shelf, way) = order.plates[plate];
            let mut packed = Packed::new(task.shelves[shelf].ways[way].rects.clone());
            for event in self.events.iter().filter(|e| e.plate == index) {
                let Some(at) = packed.free.iter().position(|f| *f == event.region) else {
                    continue;
                };
                packed.free.swap_remove(at);
                let blank = task.items[event.item].blank;
                let (length, width) =
                    if event.turned { (blank.width, blank.length) } else { (blank.length, blank.width) };
                let place = Free { length, width, ..event.region };
                packed.placed.push(Placed { item: event.item, place, turned: event.turned });
                packed.divide(event.region, place, event.split, task.kerf);
            }
            Sheet { shelf, way, packed }
        };
        self.opened.iter().enumerate().map(sheet).collect()
    }
}

/// A good filling of a single plate, its value and its cuts, for a search to
/// begin with. Items of the answer are kinds.
pub(super) fn first(whole: Free, kinds: &[Kind], kerf: i64, budget: &mut Budget) -> (i64, Packed) {
    tries(whole, kinds, kerf, (FIRST_TRIES, i64::MAX), budget)
}

/// The same with few tries, and only until a value is reached.
pub(super) fn quick(whole: Free, kinds: &[Kind], kerf: i64, enough: i64, budget: &mut Budget) -> (i64, Packed) {
    tries(whole, kinds, kerf, (QUICK_TRIES, enough), budget)
}

fn tries(whole: Free, kinds: &[Kind], kerf: i64, until: (usize, i64), budget: &mut Budget) -> (i64, Packed) {
    let mut best = (0, Packed::default());
    let mut dice = Dice(3);
    let mut weights: Vec<i64> = kinds.iter().map(|k| k.value.saturating_mul(64)).collect();
    for round in 0..until.0 {
        let changed: Vec<i64> = match round {
            0 => weights.clone(),
            1 => kinds.iter().map(|k| rough(k.length, k.width)).collect(),
            2 => kinds.iter().map(|k| k.length.max(k.width)).collect(),
            _ => weights.iter().map(|w| (w / 256).max(1).saturating_mul(160 + dice.below(192) as i64)).collect(),
        };
        let mut order: Vec<usize> = (0..kinds.len()).collect();
        order.sort_by_key(|&k| (-changed[k], k));
        let (fit, split) = (FITS[dice.below(FITS.len())], SPLITS[dice.below(SPLITS.len())]);
        let mut packed = Packed::new(vec![whole]);
        let mut value = 0;
        for k in order {
            let kind = &kinds[k];
            let blank = Blank { length: kind.length, width: kind.width, may_turn: kind.may_turn };
            for _ in 0..kind.count {
                if !packed.place(k, blank, fit, split, kerf, budget) {
                    break;
                }
                value += kind.value;
            }
        }
        if value > best.0 {
            (best, weights) = ((value, packed), changed);
        }
        if best.0 >= until.1 || !budget.spend(1) {
            break;
        }
    }
    best
}
