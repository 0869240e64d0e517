//! What is left of a plate: its outlines, and the largest rectangle in it.
//!
//! # Source
//! The largest rectangle of free cells by a stack over each row (largest
//! rectangle in a histogram; folklore, from memory).

use crate::cut::effort::Budget;
use crate::cut::shapes::grow::{gap_polygon, sum};
use crate::cut::shapes::lay::Slot;
use crate::cut::shapes::ring::{P, Ring, around, edges, side};
use crate::cut::shapes::task::Task;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::Overlay;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;

/// Grid of the outlines of leftovers, nm: the library computes in 32 bits.
const GRID: i64 = 1_000;
/// What leftovers keep from the parts beyond the gap, nm: the library moves
/// edges by some steps of its grid where they cross.
const IN_HAND: i64 = 10 * GRID;
/// Smallest leftover that is listed, square micrometres (100 mm2).
const LEAST: i64 = 100_000_000;
/// Most lines along x and along y among which a rectangle is looked for.
const LINES: usize = 40;

/// A rectangle with its sides along x and y.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Box2 {
    pub lo: P,
    pub hi: P,
}

impl Box2 {
    pub fn area(&self) -> i128 {
        i128::from(self.hi.x - self.lo.x) * i128::from(self.hi.y - self.lo.y)
    }

    /// It passes the least short and long side.
    pub fn useful(&self, keep: (i64, i64)) -> bool {
        let (x, y) = (self.hi.x - self.lo.x, self.hi.y - self.lo.y);
        x.min(y) >= keep.0 && x.max(y) >= keep.1 && x.min(y) > 0
    }
}

/// A connected leftover.
#[derive(Clone, Debug)]
pub(super) struct Rest {
    pub outer: Ring,
    pub holes: Vec<Ring>,
    /// Square micrometres.
    pub area: i64,
    pub rect: Option<Box2>,
    pub kept: bool,
}

impl Rest {
    /// Keeps the rectangle only, which whole numbers have proved free; nothing
    /// stays if there is none.
    pub fn shrink_to_rectangle(&mut self) {
        self.holes.clear();
        self.outer =
            self.rect.map_or_else(Vec::new, |r| vec![r.lo, P::new(r.hi.x, r.lo.y), r.hi, P::new(r.lo.x, r.hi.y)]);
        self.area = self.rect.map_or(0, |r| (r.area() / 1_000_000) as i64);
    }
}

/// A convex obstacle with the box around it.
struct Block {
    ring: Ring,
    lo: P,
    hi: P,
}

impl Block {
    fn new(ring: Ring) -> Block {
        let (lo, hi) = around(&ring);
        Block { ring, lo, hi }
    }

    /// Shares an inner point with a rectangle; exact.
    fn meets(&self, b: &Box2) -> bool {
        if self.lo.x >= b.hi.x || self.hi.x <= b.lo.x || self.lo.y >= b.hi.y || self.hi.y <= b.lo.y {
            return false;
        }
        let corners = [b.lo, P::new(b.hi.x, b.lo.y), b.hi, P::new(b.lo.x, b.hi.y)];
        !edges(&self.ring).any(|(p, q)| corners.iter().all(|&c| side(p, q, c) <= 0))
    }
}

/// Convex pieces of the parts in a slot, grown by the gap and a little more.
fn grown_parts(task: &Task, slot: &Slot, more: i64) -> Vec<Ring> {
    let mut out = Vec::new();
    for laid in &slot.laid {
        let form = task.form(task.items[laid.item].kind, laid.turn);
        let disc = gap_polygon(task.gap + more, &form.directions);
        let pieces = if form.open.is_empty() { &form.solid } else { &form.open };
        out.extend(pieces.iter().map(|p| sum(p, &disc).into_iter().map(|c| c.plus(laid.at)).collect::<Ring>()));
    }
    out
}

fn blocks(task: &Task, slot: &Slot, more: i64) -> Vec<Block> {
    let voids = task.sheets[slot.sheet].voids.iter().cloned();
    voids.chain(grown_parts(task, slot, more)).map(Block::new).collect()
}

/// Lines through the sides of the obstacles and evenly between, sorted.
fn lines(lo: i64, hi: i64, wanted: &mut dyn Iterator<Item = i64>) -> Vec<i64> {
    let mut all: Vec<i64> = wanted.filter(|v| *v > lo && *v < hi).collect();
    all.sort_unstable();
    all.dedup();
    if all.len() > LINES / 2 {
        let n = all.len();
        all = (0..LINES / 2).map(|k| all[k * n / (LINES / 2)]).collect();
    }
    let even = LINES - all.len();
    all.extend((1..even as i64).map(|k| lo + (hi - lo) / even as i64 * k));
    all.extend([lo, hi]);
    all.sort_unstable();
    all.dedup();
    all
}

fn largest_rectangle(
    blocks: &[Block],
    whole: &Box2,
    keep: (i64, i64),
    inside: &dyn Fn(P) -> bool,
    budget: &mut Budget,
) -> Option<Box2> {
    let xs = lines(whole.lo.x, whole.hi.x, &mut blocks.iter().flat_map(|b| [b.lo.x, b.hi.x]));
    let ys = lines(whole.lo.y, whole.hi.y, &mut blocks.iter().flat_map(|b| [b.lo.y, b.hi.y]));
    let (nx, ny) = (xs.len() - 1, ys.len() - 1);
    let mut free = vec![true; nx * ny];
    for b in blocks {
        for j in 0..ny {
            if ys[j + 1] <= b.lo.y || ys[j] >= b.hi.y {
                continue;
            }
            for i in 0..nx {
                if xs[i + 1] <= b.lo.x || xs[i] >= b.hi.x || !free[j * nx + i] {
                    continue;
                }
                let cell = Box2 { lo: P::new(xs[i], ys[j]), hi: P::new(xs[i + 1], ys[j + 1]) };
                free[j * nx + i] = !b.meets(&cell);
            }
        }
    }
    for j in 0..ny {
        for i in 0..nx {
            let middle = P::new(xs[i] + (xs[i + 1] - xs[i]) / 2, ys[j] + (ys[j + 1] - ys[j]) / 2);
            free[j * nx + i] = free[j * nx + i] && inside(middle);
        }
    }
    budget.spend(4 * (nx * ny) as u64 + blocks.len() as u64 * 400);
    let mut found = best_of_cells(&free, &xs, &ys, keep)?;
    for _ in 0..2 {
        for way in 0..4 {
            widen(&mut found, way, whole, blocks);
        }
    }
    Some(found)
}

/// The largest rectangle of free cells; a useful one goes before all others.
fn best_of_cells(free: &[bool], xs: &[i64], ys: &[i64], keep: (i64, i64)) -> Option<Box2> {
    let nx = xs.len() - 1;
    let mut best: Option<((bool, i128), Box2)> = None;
    // Row below which the free cells of each column begin.
    let mut floor = vec![0; nx];
    for j in 0..ys.len() - 1 {
        for (i, low) in floor.iter_mut().enumerate() {
            if !free[j * nx + i] {
                *low = j + 1;
            }
        }
        for left in 0..nx {
            let mut low = 0;
            for (right, &f) in floor.iter().enumerate().skip(left) {
                low = low.max(f);
                if low > j {
                    break;
                }
                let b = Box2 { lo: P::new(xs[left], ys[low]), hi: P::new(xs[right + 1], ys[j + 1]) };
                let worth = (b.useful(keep), b.area());
                if best.as_ref().is_none_or(|k| worth > k.0) {
                    best = Some((worth, b));
                }
            }
        }
    }
    best.map(|b| b.1)
}

/// Moves one side of a free rectangle outwards as far as it stays free.
fn widen(b: &mut Box2, way: usize, whole: &Box2, blocks: &[Block]) {
    let moved = |b: &Box2, by: i64| {
        let mut wider = *b;
        match way {
            0 => wider.lo.x -= by,
            1 => wider.hi.x += by,
            2 => wider.lo.y -= by,
            _ => wider.hi.y += by,
        }
        wider
    };
    let room = match way {
        0 => b.lo.x - whole.lo.x,
        1 => whole.hi.x - b.hi.x,
        2 => b.lo.y - whole.lo.y,
        _ => whole.hi.y - b.hi.y,
    };
    let (mut good, mut bad) = (0, room + 1);
    while bad - good > 1 {
        let middle = good + (bad - good) / 2;
        let wider = moved(b, middle);
        if blocks.iter().any(|k| k.meets(&wider)) { bad = middle } else { good = middle }
    }
    *b = moved(b, good);
}

fn to_grid(ring: &[P]) -> Vec<IntPoint> {
    let round = |v: i64| ((v + GRID / 2).div_euclid(GRID)) as i32;
    ring.iter().map(|p| IntPoint::new(round(p.x), round(p.y))).collect()
}

fn from_grid(contour: &[IntPoint]) -> Ring {
    contour.iter().map(|p| P::new(i64::from(p.x) * GRID, i64::from(p.y) * GRID)).collect()
}

/// All leftovers of a slot, the largest first. Outlines stand on a grid of
/// 1 um, at most 20 um off, away from the parts.
pub(super) fn leftovers(task: &Task, slot: &Slot, budget: &mut Budget) -> Vec<Rest> {
    let sheet = &task.sheets[slot.sheet];
    let steel: Vec<Vec<IntPoint>> = std::iter::once(to_grid(&sheet.outer))
        .chain(sheet.holes.iter().map(|h| {
            let mut hole = to_grid(h);
            hole.reverse();
            hole
        }))
        .collect();
    let parts: Vec<Vec<IntPoint>> = grown_parts(task, slot, IN_HAND).iter().map(|r| to_grid(r)).collect();
    budget.spend(10 * parts.iter().map(Vec::len).sum::<usize>() as u64);
    let shapes = Overlay::with_contours(&steel, &parts).overlay(OverlayRule::Difference, FillRule::NonZero);
    let blocks = blocks(task, slot, IN_HAND + 5 * GRID);
    let mut out: Vec<Rest> = Vec::new();
    for shape in &shapes {
        let Some((outer, holes)) = shape.split_first() else { continue };
        let (outer, holes) = (from_grid(outer), holes.iter().map(|h| from_grid(h)).collect::<Vec<Ring>>());
        let area2 = |r: &Ring| crate::cut::shapes::ring::area2(r).abs();
        let area = ((area2(&outer) - holes.iter().map(area2).sum::<i128>()) / 2 / 1_000_000) as i64;
        if area < LEAST {
            continue;
        }
        let (lo, hi) = around(&outer);
        let inside = |p: P| {
            let place = |r: &Ring| crate::cut::shapes::ring::place_of(r, p);
            place(&outer) > 0 && holes.iter().all(|h| place(h) < 0)
        };
        // Sides beyond the leftover's own box would leave it for a neighbour,
        // and rounding must not lead beyond the plate.
        let whole = Box2 {
            lo: P::new(lo.x.max(sheet.lo.x), lo.y.max(sheet.lo.y)),
            hi: P::new(hi.x.min(sheet.hi.x), hi.y.min(sheet.hi.y)),
        };
        if whole.lo.x >= whole.hi.x || whole.lo.y >= whole.hi.y {
            continue;
        }
        let rect = largest_rectangle(&blocks, &whole, task.keep, &inside, budget);
        let kept = rect.is_some_and(|r| r.useful(task.keep));
        out.push(Rest { outer, holes, area, rect, kept });
    }
    out.sort_by(|a, b| b.area.cmp(&a.area).then_with(|| a.outer.cmp(&b.outer)));
    out
}
