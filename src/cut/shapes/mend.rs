//! Guided removal of overlaps: all parts are laid, some too near each other,
//! and one after another moves to where it is in the way least, until none is.
//!
//! # Source
//! Umetani et al. 2009, "Solving the irregular strip packing problem via guided
//! local search for overlap minimization", ITOR 16, and Egeblad, Nielsen &
//! Odgaard 2007, "Fast neighborhood search for two- and three-dimensional
//! nesting problems", EJOR 183: the least overlap along a line, alternately in
//! x and y, and weights that grow on pairs that keep overlapping. From memory.

use crate::cut::shapes::lay::{Bench, Laid, Layout, Slot};
use crate::cut::shapes::ring::P;
use crate::cut::shapes::spot::Scene;
use std::collections::BTreeMap;

/// How far beyond a zone's border a line is searched, nm, so that rounding to
/// whole nanometres does not lead back in.
const BEYOND: f64 = -2.0;
/// Least overlap counted, nm: an overlap that the float does not see.
const LEAST: f64 = 1.0;
/// Weighted overlap below which a free corner is looked for in earnest, nm.
const NEAR: f64 = 4e6;
/// Rounds without a new best before the search gives up and starts again.
const PATIENCE: u32 = 60;

/// Most waiting parts pushed in at once.
const MOST_AT_ONCE: usize = 6;

/// Weights of overlaps: between two items, or (with the second `usize::MAX`)
/// between an item and the edge of its plate.
type Weights = BTreeMap<(usize, usize), f64>;

fn key(a: usize, b: usize) -> (usize, usize) {
    (a.min(b), a.max(b))
}

/// A scene with the weight of each zone.
struct Weighted {
    scene: Scene,
    weights: Vec<f64>,
}

impl Weighted {
    /// Weighted overlap at a point, given up at the limit.
    fn value(&self, x: f64, y: f64, limit: f64) -> f64 {
        let mut sum = 0.0;
        for ((zone, at), weight) in self.scene.zones.iter().zip(&self.weights) {
            sum += weight * zone.depth(x - at.x as f64, y - at.y as f64);
            if sum >= limit {
                return sum;
            }
        }
        sum
    }

    /// The point of least overlap on the line through a point along x or y.
    fn along(&self, from: [f64; 2], axis: usize, limit: f64, steps: &mut u64) -> ([f64; 2], f64) {
        let (lo, hi) =
            ([self.scene.lo.x as f64, self.scene.lo.y as f64], [self.scene.hi.x as f64, self.scene.hi.y as f64]);
        let mut start = from;
        start[axis] = lo[axis];
        let size = hi[axis] - lo[axis];
        let way = if axis == 0 { [size, 0.0] } else { [0.0, size] };
        let mut stops = vec![0.0, size];
        if size > 0.0 {
            for (zone, at) in &self.scene.zones {
                let shift = [at.x as f64, at.y as f64];
                let across = 1 - axis;
                let (zl, zh) = if axis == 0 { (zone.lo.y, zone.hi.y) } else { (zone.lo.x, zone.hi.x) };
                if start[across] < zl as f64 + shift[across] || start[across] > zh as f64 + shift[across] {
                    continue;
                }
                let local = [start[0] - shift[0], start[1] - shift[1]];
                for patch in &zone.patches {
                    *steps += 1;
                    if let Some((a, b)) = patch.clip(local, way, BEYOND) {
                        stops.extend([a * size, b * size]);
                    }
                }
            }
        }
        let (mut best, mut least) = (from, limit);
        for t in stops {
            let mut p = start;
            p[axis] = (lo[axis] + t).clamp(lo[axis], hi[axis]);
            *steps += self.weights.len() as u64;
            let value = self.value(p[0], p[1], least);
            if value < least {
                (best, least) = (p, value);
                if least == 0.0 {
                    break;
                }
            }
        }
        (best, least)
    }
}

impl Bench<'_> {
    fn weighted(&mut self, slot: &Slot, item: usize, turn: usize, weights: &Weights) -> Option<Weighted> {
        let scene = self.scene(slot, self.task.items[item].kind, turn, Some(item))?;
        let weight = |other| weights.get(&key(item, other)).copied().unwrap_or(1.0);
        let mut all = vec![weight(usize::MAX)];
        all.extend(slot.laid.iter().filter(|l| l.item != item).map(|l| weight(l.item)));
        Some(Weighted { scene, weights: all })
    }

    /// The place of least weighted overlap found for an item in a slot.
    fn least(
        &mut self,
        slot: &Slot,
        item: usize,
        turn: usize,
        now: Option<P>,
        weights: &Weights,
        limit: f64,
    ) -> Option<(P, f64)> {
        let w = self.weighted(slot, item, turn, weights)?;
        let (lo, hi) = (w.scene.lo, w.scene.hi);
        let mut best: Option<(P, f64)> = None;
        let mut least = limit;
        let mut steps = 0;
        for round in 0..6 {
            let mut p = match (round, now) {
                (0, Some(p)) => [p.x as f64, p.y as f64],
                _ => [
                    lo.x as f64 + self.dice.share() * (hi.x - lo.x) as f64,
                    lo.y as f64 + self.dice.share() * (hi.y - lo.y) as f64,
                ],
            };
            let mut axis = self.dice.below(2);
            let mut here = f64::MAX;
            for _ in 0..4 {
                let (q, value) = w.along(p, axis, here, &mut steps);
                if value >= here {
                    break;
                }
                (p, here) = (q, value);
                axis = 1 - axis;
            }
            if here < least {
                least = here;
                best = Some((P::new(libm::round(p[0]) as i64, libm::round(p[1]) as i64), here));
            }
        }
        self.budget.spend(1 + steps / 2);
        let (_, value) = best?;
        if value > 0.0 && value < NEAR {
            // Nearly free: look for a free corner in earnest.
            let rule = self.dice.rule();
            if let Some((p, _)) = w.scene.best(rule, f64::MAX, &mut self.scratch, &mut self.budget) {
                return Some((p, 0.0));
            }
        }
        best
    }

    /// Overlap of an item where it lies, and with whom.
    fn overlaps(&mut self, slot: &Slot, laid: &Laid) -> Vec<(usize, f64)> {
        let kind = self.task.items[laid.item].kind;
        let Some(scene) = self.scene(slot, kind, laid.turn, Some(laid.item)) else { return Vec::new() };
        let others = std::iter::once(usize::MAX).chain(slot.laid.iter().map(|l| l.item).filter(|&i| i != laid.item));
        self.budget.spend(1 + scene.zones.len() as u64 / 2);
        others
            .zip(&scene.zones)
            .filter(|(_, (zone, at))| zone.holds(laid.at.minus(*at)))
            .map(|(other, (zone, at))| {
                let off = laid.at.minus(*at);
                (other, zone.depth(off.x as f64, off.y as f64).max(LEAST))
            })
            .collect()
    }
}

/// Tries to lay the parts that wait by letting parts overlap for a while. The
/// layout changes only if all are laid in the end, or more than before.
pub(super) fn mend(bench: &mut Bench, best: &mut Layout, until: u64) {
    let task = bench.task;
    while bench.budget.left() > until && !best.uncut.is_empty() {
        let mut now = best.clone();
        bench.all_turns = bench.dice.below(8) == 0;
        let open: Vec<usize> = (0..now.slots.len()).collect();
        if open.is_empty() {
            return;
        }
        let mut weights = Weights::new();
        for item in some_waiting(bench, &mut now) {
            match least_anywhere(bench, &now, item, None, &open, &weights) {
                Some((s, laid)) if bench.budget.left() > until => now.put(task, s, laid),
                _ => now.uncut.push(item),
            }
        }
        if separate(bench, &mut now, &mut weights, until) && now.uncut2(task) < best.uncut2(task) {
            *best = now;
        }
    }
}

/// Takes a few of the parts that wait, no more than the steel left would hold.
fn some_waiting(bench: &mut Bench, now: &mut Layout) -> Vec<usize> {
    let task = bench.task;
    let mut free: i128 = now.slots.iter().map(|s| task.sheets[s.sheet].area2 - s.used2).sum();
    let mut waiting = std::mem::take(&mut now.uncut);
    for k in (1..waiting.len()).rev() {
        waiting.swap(k, bench.dice.below(k + 1));
    }
    bench.budget.spend(1 + waiting.len() as u64);
    let (mut taken, mut rest) = (Vec::new(), Vec::new());
    for item in waiting {
        let area = task.kinds[task.items[item].kind].area2;
        if area <= free && taken.len() < MOST_AT_ONCE {
            free -= area;
            taken.push(item);
        } else {
            rest.push(item);
        }
    }
    now.uncut = rest;
    taken
}

/// The least overlap for an item over some slots and all its turns.
fn least_anywhere(
    bench: &mut Bench,
    layout: &Layout,
    item: usize,
    now: Option<(usize, Laid)>,
    slots: &[usize],
    weights: &Weights,
) -> Option<(usize, Laid)> {
    let forms = bench.turns(bench.task.items[item].kind);
    let mut best: Option<(f64, usize, Laid)> = None;
    let first = bench.dice.below(forms);
    'all: for &s in slots {
        for k in 0..forms {
            let turn = (first + k) % forms;
            let here = now.filter(|(slot, laid)| *slot == s && laid.turn == turn).map(|n| n.1.at);
            let limit = best.as_ref().map_or(f64::MAX, |b| b.0);
            let Some((at, value)) = bench.least(&layout.slots[s], item, turn, here, weights, limit) else { continue };
            if value < limit {
                best = Some((value, s, Laid { item, turn, at }));
            }
            if value == 0.0 {
                break 'all;
            }
        }
    }
    best.map(|b| (b.1, b.2))
}

/// Moves overlapping parts until none overlaps; false if patience or budget end.
fn separate(bench: &mut Bench, now: &mut Layout, weights: &mut Weights, until: u64) -> bool {
    let task = bench.task;
    let mut least_total = f64::MAX;
    let mut idle = 0;
    loop {
        let mut pairs: BTreeMap<(usize, usize), f64> = BTreeMap::new();
        let mut moving: Vec<usize> = Vec::new();
        for s in 0..now.slots.len() {
            let slot = now.slots[s].clone();
            for laid in &slot.laid {
                let found = bench.overlaps(&slot, laid);
                if !found.is_empty() {
                    moving.push(laid.item);
                }
                pairs.extend(found.into_iter().map(|(other, depth)| (key(laid.item, other), depth)));
            }
        }
        if pairs.is_empty() {
            return true;
        }
        let total: f64 = pairs.values().sum();
        idle = if total < least_total { 0 } else { idle + 1 };
        least_total = least_total.min(total);
        if idle > PATIENCE || bench.budget.left() <= until {
            return false;
        }
        let most = pairs.values().fold(LEAST, |m, d| m.max(*d));
        for (pair, depth) in &pairs {
            *weights.entry(*pair).or_insert(1.0) += depth / most;
        }
        for k in (1..moving.len()).rev() {
            moving.swap(k, bench.dice.below(k + 1));
        }
        for item in moving {
            let Some((s, which)) = find(now, item) else { continue };
            let laid = now.slots[s].laid[which];
            if bench.overlaps(&now.slots[s].clone(), &laid).is_empty() {
                continue;
            }
            let mut slots = vec![s];
            for _ in 0..2 {
                let other = bench.dice.below(now.slots.len());
                if !slots.contains(&other) {
                    slots.push(other);
                }
            }
            if let Some((to, better)) = least_anywhere(bench, now, item, Some((s, laid)), &slots, weights) {
                now.take(task, s, which);
                now.put(task, to, better);
            }
            if bench.budget.left() <= until {
                return false;
            }
        }
    }
}

fn find(layout: &Layout, item: usize) -> Option<(usize, usize)> {
    layout.slots.iter().enumerate().find_map(|(s, slot)| Some((s, slot.laid.iter().position(|l| l.item == item)?)))
}
