//! The proof: every choice of plates that is cheaper is listed, cheapest first,
//! and refuted or filled.
//!
//! # Source
//! S. Martello and D. Vigo, Exact solution of the two-dimensional finite bin
//! packing problem, Management Science 44 (1998), for blanks shared out to
//! plates, each sharing tested plate by plate; S. P. Fekete and J. Schepers, New
//! classes of fast lower bounds for bin packing problems, Mathematical
//! Programming 91 (2001), for the dual feasible functions. Both from memory.

use crate::cut::effort::Budget;
use crate::cut::plates::build::Build;
use crate::cut::plates::exact::Verdict;
use crate::cut::plates::fill;
use crate::cut::plates::knap::{self, Kind, Limit};
use crate::cut::plates::limits::{AREA_UNIT, Sheet, Shelf, Task, may_fit};
use crate::cut::plates::pack::{Free, Packed};
use crate::cut::plates::pool::{Pool, plain};
use crate::cut::plates::tile;
use std::collections::BTreeMap;

/// Most choices of plates that are looked at.
const CHOICES: usize = 200_000;
/// Steps for the test whether some blanks come out of one plate.
const TEST_STEPS: u64 = 200_000;
/// Steps for a first try at sharing a choice out blank by blank: where a plate
/// holds few blanks that is shorter than listing its patterns.
const GLANCE: u64 = 4_000_000;
/// First tries that may fail one after another before they are left out.
const FAILURES: u32 = 2;

/// What is known about money.
pub(super) struct Proof {
    /// No plan that cuts everything costs less.
    pub floor: i64,
    /// A plan at that cost, if it is better than the one known.
    pub plan: Option<Vec<Sheet>>,
}

/// A choice of plates: price, and how many of each shelf.
pub(super) type Choice = (i64, Vec<u32>);

/// How a refutation ends.
enum End {
    Refuted,
    Filled(Vec<Sheet>),
    Unknown,
}

/// The least money for which all blanks may be cut, beginning at a known floor;
/// `best` is what a known plan costs.
pub(super) fn money(task: &Task, best: i64, floor: i64, mut pool: Option<&mut Pool>, budget: &mut Budget) -> Proof {
    let Some(choices) = choices(task, best) else {
        return Proof { floor, plan: None };
    };
    let mut tests = Tests { known: BTreeMap::new() };
    let mut failures = 0;
    for choice in choices {
        match decide(task, &choice, pool.as_deref_mut(), &mut tests, &mut failures, budget) {
            End::Refuted => {}
            End::Filled(sheets) => return Proof { floor: choice.0.max(floor), plan: Some(sheets) },
            End::Unknown => return Proof { floor: choice.0.max(floor), plan: None },
        }
    }
    Proof { floor: best.max(floor), plan: None }
}

/// One choice: blank by blank for a while, then by patterns, then blank by
/// blank for as long as the steps last.
fn decide(
    task: &Task,
    choice: &Choice,
    pool: Option<&mut Pool>,
    tests: &mut Tests,
    failures: &mut u32,
    budget: &mut Budget,
) -> End {
    if let Some(pool) = pool {
        if *failures < FAILURES {
            let mut share = budget.share(GLANCE.min(budget.left() / 8));
            let end = refute(task, &choice.1, tests, &mut share);
            budget.give_back(share);
            match end {
                End::Unknown => *failures += 1,
                known => {
                    *failures = 0;
                    return known;
                }
            }
        }
        match tile::decide(pool, choice, budget) {
            Verdict::Refuted => return End::Refuted,
            Verdict::Filled(plan) => return pool.sheets(&plan).map_or(End::Unknown, End::Filled),
            Verdict::Unknown => {}
        }
    }
    refute(task, &choice.1, tests, budget)
}

/// Plates needed at least: by area, largest first.
pub(super) fn least_plates(task: &Task) -> i64 {
    let wanted: i128 = task.items.iter().map(|i| blank_area(task, i)).sum();
    let mut rooms: Vec<(i128, u64)> =
        task.shelves.iter().map(|s| (s.room, s.count.map_or(u64::MAX, u64::from))).collect();
    rooms.sort_unstable_by_key(|r| std::cmp::Reverse(r.0));
    let (mut left, mut plates) = (wanted, 0_i128);
    for (room, count) in rooms.into_iter().filter(|r| r.0 > 0) {
        let need = (left + room - 1) / room;
        let used = need.min(i128::from(count));
        plates += used;
        left -= used * room;
        if left <= 0 {
            break;
        }
    }
    i64::try_from(plates).unwrap_or(0)
}

fn blank_area(_task: &Task, item: &crate::cut::plates::limits::Item) -> i128 {
    i128::from(item.blank.length) * i128::from(item.blank.width)
}

/// Choices of plates below a price that area and single blanks do not rule out,
/// cheapest first; none if there are too many. What costs nothing is always in.
pub(super) fn choices(task: &Task, best: i64) -> Option<Vec<Choice>> {
    let n = task.items.len() as u32;
    let wanted: i128 = task.items.iter().map(|i| blank_area(task, i)).sum();
    let of_use = |s: &Shelf| task.items.iter().any(|i| may_fit(i.blank, s));
    let most: Vec<u32> = task.shelves.iter().map(|s| if of_use(s) { s.count.unwrap_or(n).min(n) } else { 0 }).collect();
    let mut list = Vec::new();
    let mut visited = 0;
    let mut todo: Vec<(usize, i64, Vec<u32>)> = vec![(0, 0, Vec::new())];
    while let Some((s, price, counts)) = todo.pop() {
        visited += 1;
        if visited > CHOICES {
            return None;
        }
        let Some(shelf) = task.shelves.get(s) else {
            let room: i128 = counts.iter().zip(&task.shelves).map(|(c, s)| i128::from(*c) * s.room).sum();
            let chosen = || task.shelves.iter().zip(&counts).filter(|c| *c.1 > 0);
            if room >= wanted && task.items.iter().all(|i| chosen().any(|(s, _)| may_fit(i.blank, s))) {
                list.push((price, counts));
            }
            continue;
        };
        let from = if shelf.price == 0 { most[s] } else { 0 };
        for count in from..=most[s] {
            let total = price + i64::from(count) * shelf.price;
            if total >= best {
                break;
            }
            let mut counts = counts.clone();
            counts.push(count);
            todo.push((s + 1, total, counts));
        }
    }
    list.sort();
    Some(list)
}

/// Whether blanks come out of one plate, remembered.
struct Tests {
    known: BTreeMap<(usize, Vec<usize>), Option<bool>>,
}

/// Blanks shared out to plates so far.
struct Share<'a> {
    task: &'a Task,
    /// Shelf of each plate.
    plates: Vec<usize>,
    /// Kind of each item: items of one size are one kind.
    kinds: Vec<usize>,
    given: Vec<Vec<usize>>,
    left: Vec<i128>,
    /// Area that may still be lost on all plates together.
    spare: i128,
    doubt: bool,
}

fn refute(task: &Task, counts: &[u32], tests: &mut Tests, budget: &mut Budget) -> End {
    let plates: Vec<usize> =
        counts.iter().enumerate().flat_map(|(s, c)| std::iter::repeat_n(s, *c as usize)).rev().collect();
    if beyond_dual(task, &plates) {
        return End::Refuted;
    }
    let mut kinds: Vec<usize> = Vec::new();
    for (i, item) in task.items.iter().enumerate() {
        let same = task.items[..i].iter().position(|o| o.blank == item.blank);
        kinds.push(same.unwrap_or(i));
    }
    let mut items: Vec<usize> = (0..task.items.len()).collect();
    items.sort_by_key(|&i| (std::cmp::Reverse(blank_area(task, &task.items[i])), kinds[i], i));
    let left: Vec<i128> = plates.iter().map(|&s| task.shelves[s].room).collect();
    let wanted: i128 = task.items.iter().map(|i| blank_area(task, i)).sum();
    let spare = left.iter().sum::<i128>() - wanted;
    let given = vec![Vec::new(); plates.len()];
    let mut share = Share { task, plates, kinds, given, left, spare, doubt: false };
    match share.next(&items, 0, tests, budget) {
        None => End::Unknown,
        Some(false) => End::Refuted,
        Some(true) if share.doubt => End::Unknown,
        Some(true) => share.sheets(budget).map_or(End::Unknown, End::Filled),
    }
}

impl Share<'_> {
    /// Gives out the items from an index on; `None` if the steps run out.
    fn next(&mut self, items: &[usize], at: usize, tests: &mut Tests, budget: &mut Budget) -> Option<bool> {
        let Some(&item) = items.get(at) else {
            return Some(true);
        };
        if !budget.spend(20) {
            return None;
        }
        let area = blank_area(self.task, &self.task.items[item]);
        let smallest = items[at..].last().map_or(0, |&i| blank_area(self.task, &self.task.items[i]));
        let dead: i128 = self.left.iter().filter(|l| **l < smallest).sum();
        if dead > self.spare {
            return Some(false);
        }
        // Equal items go to plates in order.
        let same = at > 0 && self.kinds[items[at - 1]] == self.kinds[item];
        let first = if same { self.given.iter().position(|g| g.contains(&items[at - 1])).unwrap_or(0) } else { 0 };
        for plate in first..self.plates.len() {
            let shelf = self.plates[plate];
            let twin = (0..plate).any(|p| self.plates[p] == shelf && self.key(p) == self.key(plate));
            let twin = twin && !(same && plate == first);
            if twin || area > self.left[plate] || !may_fit(self.task.items[item].blank, &self.task.shelves[shelf]) {
                continue;
            }
            self.given[plate].push(item);
            self.left[plate] -= area;
            let known = self.test(plate, tests, budget);
            let before = self.doubt;
            let answer = if known == Some(false) { Some(false) } else { self.next(items, at + 1, tests, budget) };
            if answer != Some(false) {
                self.doubt = self.doubt || known.is_none();
                return answer;
            }
            self.doubt = before;
            self.given[plate].pop();
            self.left[plate] += area;
        }
        Some(false)
    }

    /// The blanks of a plate, by kind.
    fn key(&self, plate: usize) -> Vec<usize> {
        let mut key: Vec<usize> = self.given[plate].iter().map(|&i| self.kinds[i]).collect();
        key.sort_unstable();
        key
    }

    /// Whether what was given to a plate comes out of it: out of the box around
    /// it if it is not a rectangle. `None` if it was not found out.
    fn test(&self, plate: usize, tests: &mut Tests, budget: &mut Budget) -> Option<bool> {
        let shelf = self.plates[plate];
        let key = (shelf, self.key(plate));
        if let Some(known) = tests.known.get(&key) {
            return *known;
        }
        let plain = plain(&self.task.shelves[shelf]);
        let mut part = budget.share(TEST_STEPS);
        let whole = part.left() == TEST_STEPS;
        let answer = match cut_all(self.task, shelf, &key.1, &mut part) {
            Some(Some(_)) if plain => Some(true),
            Some(Some(_)) | None => None,
            Some(None) => Some(false),
        };
        budget.give_back(part);
        // What a test cut short did not find out may be found out later.
        if answer.is_some() || whole {
            tests.known.insert(key, answer);
        }
        answer
    }

    /// The plates filled as they were shared out.
    fn sheets(&self, budget: &mut Budget) -> Option<Vec<Sheet>> {
        let mut sheets = Vec::new();
        for (plate, given) in self.given.iter().enumerate().filter(|g| !g.1.is_empty()) {
            let shelf = self.plates[plate];
            let mut part = Budget::new(TEST_STEPS.max(budget.left()));
            let mut packed = cut_all(self.task, shelf, &self.key(plate), &mut part)??;
            let mut free = given.clone();
            for placed in &mut packed.placed {
                let at = free.iter().position(|&i| self.kinds[i] == placed.item)?;
                placed.item = free.swap_remove(at);
            }
            sheets.push(Sheet { shelf, way: 0, packed });
        }
        Some(sheets)
    }
}

/// Cuts all blanks, named by their kinds' first items, out of the box around a
/// plate: `Some(None)` if no through cuts do, `None` if it was not found out.
fn cut_all(task: &Task, shelf: usize, items: &[usize], budget: &mut Budget) -> Option<Option<Packed>> {
    let shelf = &task.shelves[shelf];
    let corner = shelf.ways.first().and_then(|w| w.rects.first()).map_or((0, 0), |r| (r.x, r.y));
    let whole = Free { x: corner.0, y: corner.1, length: shelf.around.0, width: shelf.around.1 };
    let mut kinds: Vec<(usize, Kind)> = Vec::new();
    for &item in items {
        match kinds.iter_mut().find(|k| k.0 == item) {
            Some(kind) => kind.1.count += 1,
            None => {
                let blank = task.items[item].blank;
                let area = (i128::from(blank.length) * i128::from(blank.width) / AREA_UNIT) as i64;
                let (length, width, may_turn) = (blank.length, blank.width, blank.may_turn);
                kinds.push((item, Kind { length, width, value: area.max(1), count: 1, may_turn }));
            }
        }
    }
    let list: Vec<Kind> = kinds.iter().map(|k| k.1).collect();
    let total: i64 = list.iter().map(|k| k.value * i64::from(k.count)).sum();
    let named = |mut packed: Packed| {
        packed.placed.iter_mut().for_each(|p| p.item = kinds[p.item].0);
        packed
    };
    let (value, packed) = fill::quick(whole, &list, task.kerf, total, budget);
    if value == total {
        return Some(Some(named(packed)));
    }
    let answer = knap::solve(whole.length, whole.width, &list, Limit { floor: total - 1, budget });
    match answer.best {
        Some((_, build)) => {
            let mut packed = Packed::default();
            Build::lay(&build, whole, task.kerf, &mut |kind| kind, &mut packed);
            Some(Some(named(packed)))
        }
        None if answer.bound < total => Some(None),
        None => None,
    }
}

/// Functions of a side, larger whole numbers for larger sides, such that sides
/// that fit next to each other in `whole` add up to no more than the function
/// of `whole`: the side itself, and two families of Fekete and Schepers.
fn functions(whole: i64, sides: &[i64]) -> Vec<(Vec<i64>, i64)> {
    let mut list = vec![(sides.to_vec(), whole)];
    let mut steps: Vec<i64> = sides.iter().map(|s| (*s).min(whole - s)).flat_map(|s| [s, s + 1]).collect();
    steps.retain(|s| *s >= 1 && 2 * s <= whole);
    steps.sort_unstable();
    steps.dedup();
    for step in steps.into_iter().take(200) {
        let by_half = |s: i64| {
            if s > whole - step {
                whole
            } else if s < step {
                0
            } else {
                s
            }
        };
        list.push((sides.iter().map(|s| by_half(*s)).collect(), whole));
        let most = whole / step;
        let counted = |s: i64| match (2 * s).cmp(&whole) {
            std::cmp::Ordering::Greater => 2 * (most - (whole - s) / step),
            std::cmp::Ordering::Equal => most,
            std::cmp::Ordering::Less => 2 * (s / step),
        };
        list.push((sides.iter().map(|s| counted(*s)).collect(), 2 * most));
    }
    list
}

/// The blanks outweigh the plates under a pair of functions: only for blanks
/// that keep their direction and plates of one size.
fn beyond_dual(task: &Task, plates: &[usize]) -> bool {
    let Some(&first) = plates.first() else {
        return !task.items.is_empty();
    };
    let around = task.shelves[first].around;
    let turns = |b: &crate::cut::plates::pack::Blank| b.may_turn && b.length != b.width;
    if plates.iter().any(|&s| task.shelves[s].around != around) || task.items.iter().any(|i| turns(&i.blank)) {
        return false;
    }
    let lengths: Vec<i64> = task.items.iter().map(|i| i.blank.length).collect();
    let widths: Vec<i64> = task.items.iter().map(|i| i.blank.width).collect();
    let (along, across) = (functions(around.0, &lengths), functions(around.1, &widths));
    along.iter().any(|(u, most)| {
        across.iter().any(|(v, top)| {
            let sum: i128 = u.iter().zip(v).map(|(a, b)| i128::from(*a) * i128::from(*b)).sum();
            sum > i128::from(*most) * i128::from(*top) * plates.len() as i128
        })
    })
}
