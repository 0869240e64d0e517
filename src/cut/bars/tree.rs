//! Branch and price: where a programme is not whole, one bar of a slot either
//! has a property or none of that slot's bars has it; each side is bounded on
//! its own. As soon as few enough patterns can still be part of a better plan,
//! they are listed and the rest is settled over that list.

use std::rc::Rc;

use crate::cut::bars::dive::Search;
use crate::cut::bars::master::{Master, Outcome};
use crate::cut::bars::pool::{self, Closed};
use crate::cut::bars::task::{Leaves, Slot, tighten};

/// Patterns handed down to a node.
const HANDED_DOWN: usize = 500;
/// Nodes between two dives.
const DIVE_EVERY: usize = 8;

/// An open node.
#[derive(Clone)]
struct Open {
    slots: Vec<Slot>,
    patterns: Rc<Vec<u32>>,
    bound: i64,
    depth: usize,
}

/// A property of a bar.
#[derive(Clone, Copy, Debug)]
enum Property {
    /// It is used at all.
    Used,
    /// It leaves a keeper.
    Keeper,
    /// It holds at least so many of a kind.
    Holds(usize, i64),
}

impl Search<'_> {
    /// Searches a stage from its slots; no plan is below what is returned.
    /// Stops once a plan costs at most `good`, or the steps run out.
    pub fn tree(&mut self, slots: Vec<Slot>, patterns: Vec<u32>, floor: i64, good: i64, most_listed: usize) -> i64 {
        let root = Open { slots, patterns: Rc::new(patterns), bound: floor, depth: 0 };
        let mut open = vec![root];
        let mut nodes = 0;
        while let Some(at) =
            (0..open.len()).min_by_key(|&i| (open[i].bound, usize::MAX - open[i].depth, usize::MAX - i))
        {
            if self.target <= good {
                break;
            }
            let mut now = open.swap_remove(at);
            if now.bound >= self.target {
                continue;
            }
            if !self.budget.spend(1) {
                open.push(now);
                break;
            }
            nodes += 1;
            if !tighten(self.task, self.demand, &mut now.slots) {
                continue;
            }
            let limits = self.task.limits.iter().map(|l| l.1).collect();
            let mut node =
                Master::new(self.task, self.arena, self.demand.to_vec(), now.slots.clone(), limits, &now.patterns);
            let out = node.solve(self.task, self.arena, self.target, false, self.budget);
            now.bound = now.bound.max(out.bound);
            if now.bound >= self.target {
                continue;
            }
            now.patterns = Rc::new(node.near(HANDED_DOWN));
            self.whole(&node, &out);
            if out.whole && now.bound < self.target && (nodes <= 4 || nodes % DIVE_EVERY == 0) {
                self.dive(node.clone(), Some(&out), usize::from(nodes == 1), 0, good.max(now.bound));
            }
            if now.bound >= self.target {
                continue;
            }
            if most_listed > 0 && out.whole {
                match pool::close(self, &node, &out, most_listed) {
                    Closed::Yes => continue,
                    Closed::TooMany | Closed::NoTime => {}
                }
            }
            match self.question(&node, &out) {
                Some((slot, property)) => {
                    let (with, without) = self.split(&now, slot, property);
                    open.push(without);
                    open.push(with);
                }
                // Nothing to ask: only a crutch can be in use, or rounding.
                None => {
                    if out.whole || !out.optimal {
                        open.push(now);
                        break;
                    }
                }
            }
        }
        let least = open.iter().map(|n| n.bound).min().unwrap_or(i64::MAX);
        least.min(self.target)
    }

    /// Takes the programme's answer as a plan if it is whole.
    fn whole(&mut self, node: &Master, out: &Outcome) {
        let used = node.in_use();
        if out.whole && used.iter().all(|u| (u.2 - libm::round(u.2)).abs() < 1e-6) {
            let mut plan = node.fixed.clone();
            for (_, id, x) in used {
                plan.extend(std::iter::repeat_n(id, libm::round(x) as usize));
            }
            self.offer(&plan);
        }
    }

    /// The property to ask for: the one nearest to a half, long pieces first.
    fn question(&self, node: &Master, out: &Outcome) -> Option<(usize, Property)> {
        let used = node.in_use();
        let longest = self.task.size.first().copied().unwrap_or(1).max(1) as f64;
        let part = |v: f64| (v - libm::floor(v)).min(libm::ceil(v) - v);
        let mut best: Option<(f64, usize, Property)> = None;
        for s in 0..node.slots.len() {
            let here: Vec<(u32, f64)> = used.iter().filter(|u| u.0 == s).map(|u| (u.1, u.2)).collect();
            if here.is_empty() || (here.len() == 1 && part(here[0].1) < 1e-6) {
                continue;
            }
            let mut take = |score: f64, property: Property| {
                if best.is_none_or(|b| score > b.0) {
                    best = Some((score, s, property));
                }
            };
            let slot = &node.slots[s];
            let all: f64 = here.iter().map(|h| h.1).sum();
            if self.task.all_cut && !slot.must && part(all) > 1e-5 {
                take(part(all) + 0.6, Property::Used);
            }
            if slot.leaves == Leaves::Any {
                let kept = |id: u32| self.task.is_kept(slot.class, self.arena.get(id).sum);
                let v: f64 = here.iter().filter(|h| kept(h.0)).map(|h| h.1).sum();
                if part(v) > 1e-5 {
                    take(part(v), Property::Keeper);
                }
            }
            for (k, &size) in self.task.size.iter().enumerate() {
                let of: Vec<i64> = here.iter().map(|h| self.arena.get(h.0).of(k)).collect();
                let low = slot.low.as_ref().map_or(0, |l| l[k]);
                let mut steps: Vec<i64> = of.iter().copied().filter(|&n| n > low).collect();
                steps.sort_unstable();
                steps.dedup();
                let several = here.len() > 1;
                for t in steps {
                    let v: f64 = here.iter().zip(&of).filter(|x| *x.1 >= t).map(|x| x.0.1).sum();
                    if part(v) > 1e-5 {
                        take(part(v) + 0.5 * size as f64 / longest, Property::Holds(k, t));
                    } else if several {
                        take(1e-4, Property::Holds(k, t));
                    }
                }
            }
        }
        if best.is_none() && !out.whole {
            return self.any_question(node);
        }
        best.map(|b| (b.1, b.2))
    }

    /// A property that is still open, where the programme shows none.
    fn any_question(&self, node: &Master) -> Option<(usize, Property)> {
        for (s, slot) in node.slots.iter().enumerate().filter(|s| s.1.count != Some(0)) {
            for (k, &size) in self.task.size.iter().enumerate() {
                let low = slot.low.as_ref().map_or(0, |l| l[k]);
                let high = slot.high.as_ref().map_or(self.demand[k], |h| h[k]);
                if high > low && size <= self.task.room(slot.class) {
                    return Some((s, Property::Holds(k, low + 1)));
                }
            }
        }
        None
    }

    /// One bar of the slot has the property; or none has it.
    fn split(&self, node: &Open, slot: usize, property: Property) -> (Open, Open) {
        let mut with = node.clone();
        let mut without = node.clone();
        with.depth += 1;
        without.depth += 1;
        let mut one = node.slots[slot].clone();
        let none = &mut without.slots[slot];
        match property {
            Property::Used => none.count = Some(0),
            Property::Keeper => {
                one.leaves = Leaves::Keeper;
                none.leaves = Leaves::Nothing;
            }
            Property::Holds(k, n) => {
                let mut low = one.low.as_ref().map_or_else(|| vec![0; self.demand.len()], |l| l.to_vec());
                low[k] = n;
                one.low = Some(Rc::new(low));
                let mut high = none.high.as_ref().map_or_else(|| self.demand.to_vec(), |h| h.to_vec());
                high[k] = n - 1;
                none.high = Some(Rc::new(high));
            }
        }
        one.must = true;
        one.count = Some(1);
        let rest = node.slots[slot].count.map(|n| n - 1);
        if rest == Some(0) {
            with.slots[slot] = one;
        } else {
            with.slots[slot].count = rest;
            with.slots.push(one);
        }
        (with, without)
    }
}
