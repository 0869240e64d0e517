//! Whole plans from a programme: settle what is whole in it, then what is
//! nearest to whole, and solve again; with a few second thoughts.

use crate::cut::bars::knap::Filling;
use crate::cut::bars::master::{Master, Outcome};
use crate::cut::bars::task::{Arena, Task};
use crate::cut::effort::Budget;

/// Depth to which a dive may have second thoughts.
const SECOND_THOUGHTS: usize = 6;

/// A search in one stage: the patterns, the best plan, and what is left to spend.
pub(super) struct Search<'a> {
    /// The stage.
    pub task: &'a Task,
    /// Pieces wanted.
    pub demand: &'a [i64],
    /// Patterns met.
    pub arena: &'a mut Arena,
    /// Only plans below this are of interest.
    pub target: i64,
    /// The best plan found, below the first target: pattern numbers.
    pub best: Option<Vec<u32>>,
    /// Steps left.
    pub budget: &'a mut Budget,
}

impl Search<'_> {
    /// Takes a plan if it is sound and better; more pieces than wanted are
    /// taken out of the patterns first.
    pub fn offer(&mut self, patterns: &[u32]) {
        let mut left = self.demand.to_vec();
        let mut plan = Vec::new();
        let mut cost = 0_i64;
        for &id in patterns {
            let pattern = self.arena.get(id).clone();
            let mut items = pattern.items.clone();
            for item in &mut items {
                let kind = usize::from(item.0);
                item.1 = item.1.min(left[kind] as u16);
                left[kind] -= i64::from(item.1);
            }
            items.retain(|i| i.1 > 0);
            if items.is_empty() {
                continue;
            }
            let id = self.arena.put(self.task, pattern.class, items);
            let pattern = self.arena.get(id);
            cost += self.task.count(&self.task.aim, pattern.class, pattern.sum);
            plan.push(id);
        }
        if self.task.may_miss {
            cost += left.iter().zip(&self.task.aim.missing).map(|(n, c)| n * c).sum::<i64>();
        } else if left.iter().any(|&n| n > 0) {
            return;
        }
        if cost < self.target && self.keeps_limits(&plan, &left) {
            self.target = cost;
            self.best = Some(plan);
        }
    }

    fn keeps_limits(&self, plan: &[u32], left: &[i64]) -> bool {
        self.task.limits.iter().all(|(form, most)| {
            let bars = plan.iter().map(|&id| {
                let p = self.arena.get(id);
                self.task.count(form, p.class, p.sum)
            });
            let missing: i64 = left.iter().zip(&form.missing).map(|(n, c)| n * c).sum();
            bars.sum::<i64>() + missing <= *most
        })
    }

    /// Dives from a solved node; stops once a plan costs at most `good`.
    pub fn dive(&mut self, mut node: Master, first: Option<&Outcome>, thoughts: usize, depth: usize, good: i64) {
        let mut known = first.cloned();
        loop {
            if self.target <= good {
                return;
            }
            let out = match known.take() {
                Some(out) => out,
                None => {
                    let out = node.solve(self.task, self.arena, self.target, false, self.budget);
                    if !self.budget.spend(1) {
                        return;
                    }
                    out
                }
            };
            if out.bound >= self.target {
                return;
            }
            if self.task.cover {
                self.complete(&node);
            }
            let mut found = node.in_use();
            if node.wanted.iter().all(|&n| n == 0) || found.is_empty() {
                let fixed = node.fixed.clone();
                self.offer(&fixed);
                return;
            }
            let sum = |id: u32| self.arena.get(id).sum;
            found.sort_by(|a, b| b.2.total_cmp(&a.2).then(sum(b.1).cmp(&sum(a.1))).then(a.1.cmp(&b.1)));
            let spare = (thoughts > 0 && found[0].2 < 1.0 - 1e-6).then(|| node.clone());
            let mut settled = false;
            for &(s, id, x) in &found {
                for _ in 0..libm::floor(x + 1e-6) as i64 {
                    if node.can_settle(self.arena, s, id) {
                        node.settle(self.task, self.arena, s, id);
                        settled = true;
                    }
                }
            }
            if !settled {
                found.retain(|&(s, id, _)| node.can_settle(self.arena, s, id));
                let Some(&(s, id, _)) = found.first() else {
                    return;
                };
                if let Some(spare) = spare
                    && found.len() > 1
                {
                    self.second_thoughts(&spare, &found, thoughts, depth, good);
                    return;
                }
                node.settle(self.task, self.arena, s, id);
            }
            if !node.settled(self.arena) {
                return;
            }
        }
    }

    /// Tries the next candidates too, each with fewer thoughts left.
    fn second_thoughts(
        &mut self,
        node: &Master,
        found: &[(usize, u32, f64)],
        thoughts: usize,
        depth: usize,
        good: i64,
    ) {
        for (t, &(s, id, _)) in found.iter().take(thoughts + 1).enumerate() {
            let mut child = node.clone();
            child.settle(self.task, self.arena, s, id);
            if child.settled(self.arena) {
                let left = if depth + 1 >= SECOND_THOUGHTS { 0 } else { thoughts - t };
                self.dive(child, None, left, depth + 1, good);
            }
            if self.target <= good || !self.budget.spend(1) {
                return;
            }
        }
    }

    /// Fills what is left of a node bar by bar, each as full as it gets.
    pub fn complete(&mut self, node: &Master) {
        let mut left = node.wanted.clone();
        let mut counts: Vec<Option<i64>> = node.slots.iter().map(|s| s.count).collect();
        let mut plan = node.fixed.clone();
        let mut cost = node.paid;
        while let Some(first) = left.iter().position(|&n| n > 0) {
            let rest: i64 = left.iter().zip(&self.task.size).map(|(n, s)| n * s).sum();
            let mut best: Option<(f64, usize, Filling)> = None;
            for (s, slot) in node.slots.iter().enumerate() {
                let room = self.task.room(slot.class);
                if counts[s] == Some(0) || room < self.task.size[first] {
                    continue;
                }
                let (sum, items) = fullest(&self.task.size, &mut left, first, room, self.budget);
                let price = self.task.aim.used[slot.class] as f64 / sum as f64;
                let price = if sum == rest { price * 0.999 } else { price };
                if best.as_ref().is_none_or(|b| price < b.0) {
                    best = Some((price, s, items));
                }
            }
            let Some((_, s, items)) = best else { return };
            for &(k, n) in &items {
                left[usize::from(k)] -= i64::from(n);
            }
            counts[s] = counts[s].map(|n| n - 1);
            cost += self.task.aim.used[node.slots[s].class];
            if cost >= self.target {
                return;
            }
            plan.push(self.arena.put(self.task, node.slots[s].class, items));
        }
        self.offer(&plan);
    }
}

/// Most tries to fill one bar.
const FILL_TRIES: u32 = 300;

/// The fullest filling found that holds one piece of `first`; its sum.
fn fullest(size: &[i64], left: &mut [i64], first: usize, room: i64, budget: &mut Budget) -> (i64, Filling) {
    struct Fill<'a> {
        size: &'a [i64],
        left: &'a mut [i64],
        tries: u32,
        room: i64,
        best: i64,
        items: Filling,
        stack: Filling,
    }
    fn go(f: &mut Fill<'_>, from: usize, sum: i64) {
        if sum > f.best {
            f.best = sum;
            f.items.clone_from(&f.stack);
        }
        for k in from..f.size.len() {
            if f.tries == 0 || f.best == f.room {
                return;
            }
            let most = f.left[k].min((f.room - sum) / f.size[k]);
            for n in (1..=most).rev() {
                f.tries = f.tries.saturating_sub(1);
                f.stack.push((k as u16, n as u16));
                go(f, k + 1, sum + n * f.size[k]);
                f.stack.pop();
                if f.tries == 0 || f.best == f.room {
                    return;
                }
            }
        }
    }
    left[first] -= 1;
    let mut fill = Fill { size, left, tries: FILL_TRIES, room, best: 0, items: Vec::new(), stack: Vec::new() };
    go(&mut fill, first, size[first]);
    let (best, mut items) = (fill.best, fill.items);
    budget.spend(u64::from(FILL_TRIES - fill.tries) + 4);
    left[first] += 1;
    match items.iter_mut().find(|i| usize::from(i.0) == first) {
        Some(item) => item.1 += 1,
        None => items.insert(0, (first as u16, 1)),
    }
    items.sort_unstable();
    (best, items)
}
