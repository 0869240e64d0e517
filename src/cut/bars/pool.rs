//! The end game over a list: every pattern that can still be part of a better
//! plan is listed, and the programme over that list is branched to the end.
//!
//! A pattern whose cost beyond the worth of its pieces, added to the bound,
//! reaches the target cannot be in a better plan; whole numbers decide that.
//! Where the list is complete no pattern has to be generated any more, so that
//! bounds, filters and cuts are plain sums over the list.
//!
//! # Source
//! Ryan, Foster, "An integer programming approach to scheduling", 1981 (pairs);
//! Jepsen et al., "Subset-row inequalities", Operations Research 56, 2008 (both
//! memory, unconfirmed).

use std::rc::Rc;

use crate::cut::bars::dive::Search;
use crate::cut::bars::listing::list_patterns;
use crate::cut::bars::lp::Ended;
use crate::cut::bars::master::{Master, Outcome, Tag};
use crate::cut::bars::rule::{Rule, Sense};
use crate::cut::bars::task::Slot;

/// Columns taken into the programme at a time.
const AT_A_TIME: usize = 150;
/// Rounds of cuts at the first node, and below.
const CUT_ROUNDS: (usize, usize) = (12, 3);
/// Cuts added in one round.
const CUTS_A_ROUND: usize = 15;

/// How an end game ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Closed {
    /// Nothing below the target is left, and the target may have fallen.
    Yes,
    /// Too many patterns.
    TooMany,
    /// The steps ran out.
    NoTime,
}

/// One pattern in one slot.
#[derive(Clone, Copy, Debug)]
pub(super) struct Entry {
    /// The slot.
    pub slot: usize,
    /// The pattern.
    pub id: u32,
    /// What it costs in this stage.
    pub cost: i64,
}

/// A node of the end game.
#[derive(Clone)]
struct Node {
    master: Master,
    /// Entries that may still be used.
    alive: Rc<Vec<u32>>,
    /// Column of each entry in the programme, or `usize::MAX`.
    column: Vec<usize>,
    rules: Vec<(Rule, Sense, i64)>,
    first_rule: usize,
    depth: usize,
}

/// What the programme at a node came to.
enum State {
    Pruned,
    NoTime,
    Solved,
}

struct Game<'s, 'a> {
    search: &'s mut Search<'a>,
    list: Vec<Entry>,
    nodes: usize,
}

/// Settles a node for good if its list of patterns is short enough.
pub(super) fn close(search: &mut Search<'_>, master: &Master, out: &Outcome, most: usize) -> Closed {
    let Some(prices) = &out.prices else {
        return Closed::TooMany;
    };
    let mut slots = master.slots.clone();
    let endless: Vec<bool> = slots.iter().map(|s| s.count.is_none()).collect();
    for slot in &mut slots {
        if slot.count.is_none() {
            // Bars that are as many as wanted: no more than the target pays for.
            let cost = search.task.aim.used[slot.class].max(1);
            slot.count = Some((search.target - 1) / cost);
        }
    }
    let Some(list) = list_patterns(search, &slots, &endless, prices, most) else {
        return Closed::TooMany;
    };
    let root = first_node(search, &slots, &list, master);
    let mut game = Game { search, list, nodes: 0 };
    game.play(root)
}

fn first_node(search: &Search<'_>, slots: &[Slot], list: &[Entry], old: &Master) -> Node {
    let limits = search.task.limits.iter().map(|l| l.1).collect();
    let master = Master::new(search.task, search.arena, search.demand.to_vec(), slots.to_vec(), limits, &[]);
    let first_rule = master.lp.rows();
    let mut node = Node {
        master,
        alive: Rc::new((0..list.len() as u32).collect()),
        column: vec![usize::MAX; list.len()],
        rules: Vec::new(),
        first_rule,
        depth: 0,
    };
    // What the old programme used comes first.
    let used = old.in_use();
    for (e, entry) in list.iter().enumerate() {
        if used.iter().any(|u| (u.0, u.1) == (entry.slot, entry.id)) {
            node.enter(search, list, e);
        }
    }
    node
}

impl Node {
    /// Takes an entry into the programme.
    fn enter(&mut self, search: &Search<'_>, list: &[Entry], e: usize) {
        let entry = list[e];
        // Rows of rules were not there when the master was made.
        let column = self.master.add_use(search.task, search.arena, entry.slot, entry.id);
        let pattern = search.arena.get(entry.id);
        let more: Vec<(u32, f64)> = self
            .rules
            .iter()
            .enumerate()
            .filter(|(_, (rule, ..))| rule.holds(search.task, entry, e, pattern))
            .map(|(r, _)| ((self.first_rule + r) as u32, 1.0))
            .collect();
        self.master.lp.extend(column, &more);
        self.column[e] = column;
    }

    /// Adds a rule as a row.
    fn add_rule(&mut self, search: &Search<'_>, list: &[Entry], rule: Rule, sense: Sense, number: i64) {
        let entries: Vec<(usize, f64)> = (0..list.len())
            .filter(|&e| self.column[e] != usize::MAX)
            .filter(|&e| rule.holds(search.task, list[e], e, search.arena.get(list[e].id)))
            .map(|e| (self.column[e], 1.0))
            .collect();
        let sign = if sense == Sense::AtMost { 1.0 } else { -1.0 };
        let row = self.master.lp.rows() as u32;
        self.master.lp.add_row(number as f64, &entries, sign);
        self.master.tags.push(Tag::Spare(usize::MAX));
        if sense == Sense::AtLeast {
            let crutch = self.master.crutch;
            self.master.lp.add(crutch, vec![(row, 1.0)]);
            self.master.tags.push(Tag::Beyond(usize::MAX));
        }
        self.rules.push((rule, sense, number));
    }

    /// Drops entries; those in the basis become dear instead.
    fn keep_only(&mut self, keep: impl Fn(u32) -> bool) {
        let alive: Vec<u32> = self.alive.iter().copied().filter(|&e| keep(e)).collect();
        for &e in self.alive.iter().filter(|&&e| !keep(e)) {
            let column = self.column[e as usize];
            if column != usize::MAX {
                if self.master.lp.is_basic(column) {
                    self.master.lp.set_cost(column, self.master.crutch * 5.0);
                }
                self.master.lp.switch(column, false);
            }
        }
        self.alive = Rc::new(alive);
        self.master.lp.reprice();
    }
}

impl Game<'_, '_> {
    fn play(&mut self, root: Node) -> Closed {
        let mut stack = vec![root];
        while let Some(mut node) = stack.pop() {
            self.nodes += 1;
            match self.solve(&mut node) {
                State::Pruned => continue,
                State::NoTime => return Closed::NoTime,
                State::Solved => {}
            }
            let used = self.in_use(&node);
            let whole = used.iter().all(|u| (u.1 - libm::round(u.1)).abs() < 1e-6);
            let crutch = self.on_crutches(&node);
            if whole && !crutch {
                let mut plan = Vec::new();
                for &(e, x) in &used {
                    plan.extend(std::iter::repeat_n(self.list[e].id, libm::round(x) as usize));
                }
                let before = self.search.target;
                self.search.offer(&plan);
                if self.search.target < before {
                    // The target fell: this node and the others go on against it.
                    stack.push(node);
                    continue;
                }
                // Whole in floating point and yet no plan: the steps end here.
                return Closed::NoTime;
            }
            let Some((rule, value)) = self.question(&node, &used) else {
                return Closed::NoTime;
            };
            let (more, fewer) = self.split(&node, rule, value);
            stack.push(fewer);
            stack.push(more);
        }
        Closed::Yes
    }

    /// Entries in use, with how often.
    fn in_use(&self, node: &Node) -> Vec<(usize, f64)> {
        node.alive
            .iter()
            .map(|&e| e as usize)
            .filter(|&e| node.column[e] != usize::MAX)
            .map(|e| (e, node.master.lp.at(node.column[e])))
            .filter(|u| u.1 > 1e-6)
            .collect()
    }

    /// Columns that only help the search are in use.
    fn on_crutches(&self, node: &Node) -> bool {
        let lp = &node.master.lp;
        lp.basis.iter().zip(&lp.value).any(|(&j, &x)| x > 1e-6 && lp.cost(j) >= node.master.crutch)
    }

    fn solve(&mut self, node: &mut Node) -> State {
        let mut rounds = if self.nodes == 1 { CUT_ROUNDS.0 } else { CUT_ROUNDS.1 };
        loop {
            let before = node.master.lp.work;
            if node.master.lp.dual() != Ended::Optimal {
                node.master.lp.refresh();
            }
            loop {
                if node.master.lp.primal(1e-8) != Ended::Optimal && !node.master.lp.refresh() {
                    return State::NoTime;
                }
                if !self.enter_best(node) {
                    break;
                }
                if !self.search.budget.spend(1) {
                    return State::NoTime;
                }
            }
            let work = node.master.lp.work - before;
            if !self.search.budget.spend(work / 16 + node.alive.len() as u64 / 4) {
                return State::NoTime;
            }
            if self.filter(node) {
                return State::Pruned;
            }
            if rounds == 0 || !self.cut(node) {
                return State::Solved;
            }
            rounds -= 1;
        }
    }

    /// Reduced cost of an entry by the programme's own prices.
    fn reduced(&self, node: &Node, e: usize) -> f64 {
        let entry = self.list[e];
        let pattern = self.search.arena.get(entry.id);
        let price = &node.master.lp.price;
        let mut r = entry.cost as f64;
        for &(k, n) in &pattern.items {
            r -= price[usize::from(k)] * f64::from(n);
        }
        if let Some(row) = node.master.row(entry.slot) {
            r -= price[row];
        }
        for (i, (form, _)) in self.search.task.limits.iter().enumerate() {
            let v = self.search.task.count(form, pattern.class, pattern.sum);
            r -= price[node.master.first_limit + i] * v as f64;
        }
        for (i, (rule, ..)) in node.rules.iter().enumerate() {
            let p = price[node.first_rule + i];
            if p != 0.0 && rule.holds(self.search.task, entry, e, pattern) {
                r -= p;
            }
        }
        r
    }

    /// Takes the entries into the programme that improve it most.
    fn enter_best(&self, node: &mut Node) -> bool {
        let mut better: Vec<(f64, usize)> = node
            .alive
            .iter()
            .map(|&e| e as usize)
            .filter(|&e| node.column[e] == usize::MAX)
            .map(|e| (self.reduced(node, e), e))
            .filter(|x| x.0 < -1e-7)
            .collect();
        better.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for &(_, e) in better.iter().take(AT_A_TIME) {
            node.enter(self.search, &self.list, e);
        }
        !better.is_empty()
    }

    /// The node's bound in whole numbers; drops entries that cannot be in a
    /// better plan. True if nothing better is left.
    fn filter(&self, node: &mut Node) -> bool {
        let task = self.search.task;
        let scale = 1_i64 << 42_u32.saturating_sub((node.master.crutch as u64).max(1).ilog2() + 1).min(30);
        let whole = |p: f64| libm::round(p * scale as f64) as i64;
        let price = &node.master.lp.price;
        let floor = if task.cover { 0 } else { i64::MIN };
        let piece: Vec<i64> = price[..self.search.demand.len()].iter().map(|&p| whole(p).max(floor)).collect();
        let first = node.master.first_limit;
        let limit: Vec<i64> = (0..task.limits.len()).map(|i| whole(price[first + i]).min(0)).collect();
        let rule_price = rule_prices(node, &whole);
        let mut total: i128 = piece.iter().zip(self.search.demand).map(|(&p, &n)| i128::from(p) * i128::from(n)).sum();
        if task.may_miss {
            for (k, &n) in self.search.demand.iter().enumerate() {
                let limits: i64 = task.limits.iter().zip(&limit).map(|((f, _), p)| p * f.missing[k]).sum();
                total += i128::from(n) * i128::from((task.aim.missing[k] * scale - limits - piece[k]).min(0));
            }
        }
        total += limit.iter().zip(&task.limits).map(|(&p, l)| i128::from(p) * i128::from(l.1)).sum::<i128>();
        total += rule_price.iter().zip(&node.rules).map(|(&p, r)| i128::from(p) * i128::from(r.2)).sum::<i128>();
        let reduced = |e: usize| -> i64 {
            let entry = self.list[e];
            let pattern = self.search.arena.get(entry.id);
            let mut r = entry.cost * scale;
            for &(k, n) in &pattern.items {
                r -= piece[usize::from(k)] * i64::from(n);
            }
            for ((form, _), p) in task.limits.iter().zip(&limit) {
                r -= p * task.count(form, pattern.class, pattern.sum);
            }
            for ((rule, ..), &p) in node.rules.iter().zip(&rule_price) {
                if p != 0 && rule.holds(task, entry, e, pattern) {
                    r -= p;
                }
            }
            r
        };
        let costs: Vec<i64> = node.alive.iter().map(|&e| reduced(e as usize)).collect();
        let mut least = self.least_of_slots(node, &costs);
        for (slot, least) in node.master.slots.iter().zip(&mut least) {
            match (slot.must, *least) {
                (true, None) => return slot.count != Some(0),
                (true, Some(_)) => {}
                (false, l) => *least = Some(l.unwrap_or(0).min(0)),
            }
            total += i128::from(slot.count.unwrap_or(0)) * i128::from(least.unwrap_or(0));
        }
        let most = i128::from(self.search.target - 1) * i128::from(scale);
        if total > most {
            return true;
        }
        let keep: Vec<bool> = node
            .alive
            .iter()
            .zip(&costs)
            .map(|(&e, &r)| total - i128::from(least[self.list[e as usize].slot].unwrap_or(0)) + i128::from(r) <= most)
            .collect();
        self.leave(node, &keep);
        false
    }

    /// The least reduced cost of the living entries of each slot.
    fn least_of_slots(&self, node: &Node, costs: &[i64]) -> Vec<Option<i64>> {
        let mut least: Vec<Option<i64>> = vec![None; node.master.slots.len()];
        for (&e, &r) in node.alive.iter().zip(costs) {
            let slot = &mut least[self.list[e as usize].slot];
            *slot = Some(slot.map_or(r, |l: i64| l.min(r)));
        }
        least
    }

    /// Lets the entries go that are not kept. Those in the basis stay in the
    /// programme: they do no harm there.
    fn leave(&self, node: &mut Node, keep: &[bool]) {
        if keep.iter().all(|k| *k) {
            return;
        }
        let mut stays = vec![false; self.list.len()];
        for (&e, &k) in node.alive.iter().zip(keep) {
            stays[e as usize] = k;
        }
        let column = node.column.clone();
        let lp = &node.master.lp;
        let basic: Vec<bool> = column.iter().map(|&c| c != usize::MAX && lp.is_basic(c)).collect();
        node.keep_only(|e| stays[e as usize] || basic[e as usize]);
    }

    /// Adds violated subset-row cuts: of three kinds wanted once each, at most
    /// one bar can hold two or more.
    fn cut(&mut self, node: &mut Node) -> bool {
        let kinds = self.search.demand.len();
        let used = self.in_use(node);
        let mut pair = vec![0.0_f64; kinds * kinds];
        for &(e, x) in &used {
            let items = &self.search.arena.get(self.list[e].id).items;
            for (a, i) in items.iter().enumerate() {
                for j in &items[a + 1..] {
                    let (i, j) = (usize::from(i.0), usize::from(j.0));
                    pair[i * kinds + j] += x;
                    pair[j * kinds + i] += x;
                }
            }
        }
        let once = |k: usize| self.search.demand[k] == 1;
        let near: Vec<Vec<usize>> = (0..kinds)
            .map(|i| (0..kinds).filter(|&j| once(i) && once(j) && pair[i * kinds + j] > 1e-6).collect())
            .collect();
        let mut found: Vec<(f64, [usize; 3])> = Vec::new();
        for i in 0..kinds {
            for &j in near[i].iter().filter(|&&j| j > i) {
                for &k in &near[j] {
                    if k == i || (k < j && pair[i * kinds + k] > 1e-6) {
                        continue;
                    }
                    let sum = pair[i * kinds + j] + pair[j * kinds + k] + pair[i * kinds + k];
                    if sum <= 1.05 {
                        continue;
                    }
                    let all = |e: usize| {
                        let p = self.search.arena.get(self.list[e].id);
                        [i, j, k].iter().all(|&k| p.of(k) > 0)
                    };
                    let v = sum - 2.0 * used.iter().filter(|u| all(u.0)).map(|u| u.1).sum::<f64>();
                    if v > 1.05 {
                        let mut three = [i, j, k];
                        three.sort_unstable();
                        found.push((v, three));
                    }
                }
            }
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        found.dedup_by_key(|f| f.1);
        let known = |three: &[usize; 3]| node.rules.iter().any(|r| r.0 == Rule::TwoOf(*three));
        found.retain(|f| !known(&f.1));
        for &(_, three) in found.iter().take(CUTS_A_ROUND) {
            node.add_rule(self.search, &self.list, Rule::TwoOf(three), Sense::AtMost, 1);
        }
        !found.is_empty()
    }

    /// What to branch on, and its value in the programme.
    fn question(&self, node: &Node, used: &[(usize, f64)]) -> Option<(Rule, f64)> {
        let task = self.search.task;
        let longest = task.size.first().copied().unwrap_or(1).max(1) as f64;
        let part = |v: f64| v - libm::floor(v);
        let open = |v: f64| part(v) > 1e-5 && part(v) < 1.0 - 1e-5;
        let mut best: Option<(f64, Rule, f64)> = None;
        let mut take = |rule: Rule, weight: f64| {
            let sum =
                |u: &&(usize, f64)| rule.holds(task, self.list[u.0], u.0, self.search.arena.get(self.list[u.0].id));
            let v: f64 = used.iter().filter(sum).map(|u| u.1).sum();
            if open(v) {
                let score = weight - (part(v) - 0.6).abs();
                if best.is_none_or(|b| score > b.0) {
                    best = Some((score, rule, v));
                }
            }
        };
        let single = |slot: usize| node.master.slots[slot].count == Some(1);
        let alike = (0..node.master.slots.len()).all(|s| !single(s));
        let mut asked = std::collections::BTreeSet::new();
        for &(e, _) in used {
            let entry = self.list[e];
            let items = &self.search.arena.get(entry.id).items;
            if node.master.slots.len() > 1 && asked.insert((entry.slot, usize::MAX, 0)) {
                take(Rule::In(entry.slot), 0.6);
                if task.aim.slope > 0 {
                    take(Rule::Keeper(entry.slot), 0.4);
                }
            }
            if alike {
                for (a, i) in items.iter().enumerate() {
                    for j in &items[a..] {
                        let (i2, j2) = (usize::from(i.0), usize::from(j.0));
                        if (i2 != j2 || i.1 >= 2) && asked.insert((i2, j2, 1)) {
                            let size = (task.size[i2] + task.size[j2]) as f64;
                            take(Rule::Pair(i2, j2), 1e-3 * size / longest);
                        }
                    }
                }
            } else {
                for &(k, n) in items {
                    let k = usize::from(k);
                    if asked.insert((entry.slot, k, n + 1)) {
                        take(Rule::Holds(entry.slot, k, i64::from(n)), 0.5 * task.size[k] as f64 / longest);
                    }
                }
            }
        }
        for &(e, _) in used {
            take(Rule::Entry(e), -10.0);
        }
        best.map(|b| (b.1, b.2)).or_else(|| self.last_question(node))
    }

    /// Where the programme stands on crutches only: any entry still open.
    fn last_question(&self, node: &Node) -> Option<(Rule, f64)> {
        let asked = |e: usize| node.rules.iter().any(|r| r.0 == Rule::Entry(e));
        node.alive.iter().map(|&e| e as usize).find(|&e| !asked(e)).map(|e| (Rule::Entry(e), 0.5))
    }

    /// The rule holds at least once more than the programme's floor, or at
    /// most that often.
    fn split(&self, node: &Node, rule: Rule, value: f64) -> (Node, Node) {
        let low = libm::floor(value) as i64;
        let (mut more, mut fewer) = (node.clone(), node.clone());
        more.depth += 1;
        fewer.depth += 1;
        let holds = |e: u32| {
            let entry = self.list[e as usize];
            rule.holds(self.search.task, entry, e as usize, self.search.arena.get(entry.id))
        };
        if low == 0 {
            fewer.keep_only(|e| !holds(e));
        } else {
            fewer.add_rule(self.search, &self.list, rule, Sense::AtMost, low);
        }
        match rule {
            Rule::Pair(i, j) if i != j && self.search.demand[i] == 1 && self.search.demand[j] == 1 => {
                let split = |e: u32| {
                    let p = self.search.arena.get(self.list[e as usize].id);
                    (p.of(i) > 0) != (p.of(j) > 0)
                };
                more.keep_only(|e| !split(e));
            }
            Rule::Holds(slot, ..) | Rule::Keeper(slot) if node.master.slots[slot].count == Some(1) => {
                more.keep_only(|e| self.list[e as usize].slot != slot || holds(e));
                more.add_rule(self.search, &self.list, Rule::In(slot), Sense::AtLeast, 1);
            }
            _ => more.add_rule(self.search, &self.list, rule, Sense::AtLeast, low + 1),
        }
        (more, fewer)
    }
}

/// Whole prices of a node's branching rules, each on its own side of nought.
fn rule_prices(node: &Node, whole: &dyn Fn(f64) -> i64) -> Vec<i64> {
    let price = &node.master.lp.price;
    let one = |(i, (_, sense, _)): (usize, &(Rule, Sense, i64))| {
        let p = whole(price[node.first_rule + i]);
        if *sense == Sense::AtMost { p.min(0) } else { p.max(0) }
    };
    node.rules.iter().enumerate().map(one).collect()
}
