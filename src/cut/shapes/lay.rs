//! Layouts: which part lies where, and laying one part after another.

use crate::cut::effort::Budget;
use crate::cut::shapes::hunt::Scratch;
use crate::cut::shapes::ring::P;
use crate::cut::shapes::spot::{Rule, Scene};
use crate::cut::shapes::task::{Task, Zones};

/// A part that is laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Laid {
    /// Index into the task's items.
    pub item: usize,
    /// Index into the forms of its kind.
    pub turn: usize,
    /// Where its origin lies.
    pub at: P,
}

/// One sheet that could be opened.
#[derive(Clone, Debug)]
pub(super) struct Slot {
    pub sheet: usize,
    pub laid: Vec<Laid>,
    /// Twice the area of the steel of the parts in it.
    pub used2: i128,
    /// Kinds that were tried and found no place.
    pub full: Vec<Full>,
}

/// A kind found no place in a slot. Laying more changes nothing, and what is
/// taken out makes room only where it lay.
#[derive(Clone, Copy, Debug)]
pub(super) struct Full {
    pub kind: usize,
    /// In all turns, not only in the plain ones.
    pub every: bool,
    /// Box around what has been taken out since.
    pub gone: Option<(P, P)>,
}

/// Parts in sheets, and what is not laid.
#[derive(Clone, Debug, Default)]
pub(super) struct Layout {
    pub slots: Vec<Slot>,
    pub uncut: Vec<usize>,
}

/// Numbers that look random and are the same in every run; the constants are
/// those of Knuth's MMIX generator, from memory.
#[derive(Clone, Debug)]
pub(super) struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5851_f42d)
    }

    pub fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        if n == 0 { 0 } else { (self.0 >> 33) as usize % n }
    }

    /// From 0 up to 1.
    pub fn share(&mut self) -> f64 {
        self.below(1 << 24) as f64 / f64::from(1 << 24)
    }

    /// A linear rule that pulls into one of 16 directions.
    pub fn rule(&mut self) -> Rule {
        let angle = self.below(16) as f64 / 16.0 * std::f64::consts::TAU + 0.05;
        Rule { x: libm::cos(angle), y: libm::sin(angle) }
    }
}

/// Everything a search carries along.
pub(super) struct Bench<'a> {
    pub task: &'a Task,
    pub zones: Zones,
    pub scratch: Scratch,
    pub budget: Budget,
    pub dice: Dice,
    /// Slanted turns are looked at too.
    pub all_turns: bool,
}

impl Layout {
    /// Nothing laid, one slot for each sheet there is.
    pub fn empty(task: &Task) -> Layout {
        let mut slots = Vec::new();
        for (s, sheet) in task.sheets.iter().enumerate() {
            let copies = sheet.count.map_or(0, |n| (n as usize).min(task.items.len()));
            slots.extend((0..copies).map(|_| Slot { sheet: s, laid: Vec::new(), used2: 0, full: Vec::new() }));
        }
        Layout { slots, uncut: (0..task.items.len()).collect() }
    }

    /// Twice the area of the steel that is not laid.
    pub fn uncut2(&self, task: &Task) -> i128 {
        self.uncut.iter().map(|&i| task.kinds[task.items[i].kind].area2).sum()
    }

    pub fn money(&self, task: &Task) -> i64 {
        self.slots.iter().filter(|s| !s.laid.is_empty()).map(|s| task.sheets[s.sheet].price).sum()
    }

    /// Takes a part out again.
    pub fn take(&mut self, task: &Task, slot: usize, which: usize) -> Laid {
        let laid = self.slots[slot].laid.remove(which);
        let form = task.form(task.items[laid.item].kind, laid.turn);
        let (lo, hi) = (form.lo.plus(laid.at), form.hi.plus(laid.at));
        for full in &mut self.slots[slot].full {
            let (l, h) = full.gone.unwrap_or((lo, hi));
            full.gone = Some((P::new(l.x.min(lo.x), l.y.min(lo.y)), P::new(h.x.max(hi.x), h.y.max(hi.y))));
        }
        self.slots[slot].used2 -= task.kinds[task.items[laid.item].kind].area2;
        laid
    }

    /// Takes over what another layout knows of slots that are the same in both.
    pub fn learn_full(&mut self, other: &Layout) {
        for (own, theirs) in self.slots.iter_mut().zip(&other.slots) {
            if own.laid == theirs.laid {
                own.full.clone_from(&theirs.full);
            }
        }
    }

    pub fn put(&mut self, task: &Task, slot: usize, laid: Laid) {
        self.slots[slot].used2 += task.kinds[task.items[laid.item].kind].area2;
        self.slots[slot].laid.push(laid);
    }
}

impl<'a> Bench<'a> {
    pub fn new(task: &'a Task, steps: u64, seed: u64) -> Bench<'a> {
        Bench {
            task,
            zones: Zones::default(),
            scratch: Scratch::default(),
            budget: Budget::new(steps),
            dice: Dice::new(seed),
            all_turns: true,
        }
    }

    /// How many forms of a kind are looked at now.
    pub fn turns(&self, kind: usize) -> usize {
        let kind = &self.task.kinds[kind];
        if self.all_turns { kind.forms.len() } else { kind.plain }
    }

    /// What stands in the way of a form in a slot; a part that is moved does
    /// not stand in its own way.
    pub fn scene(&mut self, slot: &Slot, kind: usize, turn: usize, without: Option<usize>) -> Option<Scene> {
        let task = self.task;
        let (lo, hi) = task.room(&task.sheets[slot.sheet], task.form(kind, turn))?;
        let mut zones = Vec::with_capacity(slot.laid.len() + 1);
        zones.push((self.zones.within(task, slot.sheet, (kind, turn)), P::default()));
        for laid in &slot.laid {
            if Some(laid.item) != without {
                let still = (task.items[laid.item].kind, laid.turn);
                zones.push((self.zones.beside(task, still, (kind, turn)), laid.at));
            }
        }
        Some(Scene { lo, hi, zones })
    }

    /// What is known of a kind that found no place; what is known of all turns
    /// holds for the plain ones too.
    fn known(&self, slot: &Slot, kind: usize) -> Option<Full> {
        let every = self.every(kind);
        let of = |all: bool| slot.full.iter().find(|f| f.kind == kind && f.every == all).copied();
        of(every).or_else(|| of(true))
    }

    /// All turns of a kind are looked at now.
    fn every(&self, kind: usize) -> bool {
        self.turns(kind) == self.task.kinds[kind].forms.len()
    }

    /// The best place for a part in a slot by a rule that looks at the far
    /// corner of the box around the part.
    pub fn place(&mut self, slot: &Slot, item: usize, rule: Rule) -> Option<Laid> {
        let task = self.task;
        let kind = task.items[item].kind;
        if slot.used2 + task.kinds[kind].area2 > task.sheets[slot.sheet].area2 {
            return None;
        }
        let known = self.known(slot, kind);
        if known.is_some_and(|k| k.gone.is_none()) {
            return None;
        }
        let mut best: Option<(f64, Laid)> = None;
        for turn in 0..self.turns(kind) {
            let form = task.form(kind, turn);
            let Some(mut scene) = self.scene(slot, kind, turn, None) else { continue };
            if let Some(gone) = known.and_then(|k| k.gone) {
                scene.only_near(form, gone, task.gap);
            }
            if scene.lo.x > scene.hi.x || scene.lo.y > scene.hi.y {
                continue;
            }
            let far = |low: i64, high: i64, weight: f64| if weight >= 0.0 { high as f64 } else { low as f64 };
            let corner = rule.score(far(form.lo.x, form.hi.x, rule.x), far(form.lo.y, form.hi.y, rule.y));
            let limit = best.map_or(f64::MAX, |b| b.0) - corner;
            if let Some((at, score)) = scene.best(rule, limit, &mut self.scratch, &mut self.budget) {
                best = Some((score + corner, Laid { item, turn, at }));
            }
        }
        best.map(|b| b.1)
    }

    /// Lays the parts that are not laid, in their order, each into the first
    /// slot of the list that takes it; bought sheets are opened as needed.
    pub fn fill(&mut self, layout: &mut Layout, slots: &[usize], rules: &[Rule], may_buy: bool) {
        let mut slots = slots.to_vec();
        let waiting = std::mem::take(&mut layout.uncut);
        for item in waiting {
            let kind = self.task.items[item].kind;
            let every = self.every(kind);
            let mut done = false;
            for &s in &slots {
                if self.budget.left() == 0 {
                    continue;
                }
                // Slanted turns are many and seldom help: looked at in some rounds.
                match self.place(&layout.slots[s], item, rules[s % rules.len()]) {
                    Some(laid) => {
                        layout.put(self.task, s, laid);
                        done = true;
                        break;
                    }
                    // Without steps nothing was looked at.
                    None if self.budget.left() == 0 => {}
                    None => {
                        let full = &mut layout.slots[s].full;
                        full.retain(|f| f.kind != kind || (f.every && !every));
                        full.push(Full { kind, every, gone: None });
                    }
                }
            }
            if !done && may_buy {
                done = self.buy(layout, item, &mut slots, rules);
            }
            if !done {
                layout.uncut.push(item);
            }
        }
    }

    /// Opens the bought sheet that takes the part and is cheapest for its area.
    fn buy(&mut self, layout: &mut Layout, item: usize, slots: &mut Vec<usize>, rules: &[Rule]) -> bool {
        let task = self.task;
        let mut options: Vec<usize> = (0..task.sheets.len()).filter(|&s| task.sheets[s].count.is_none()).collect();
        let rate = |s: usize| task.sheets[s].price as f64 / task.sheets[s].area2 as f64;
        options.sort_by(|&a, &b| rate(a).total_cmp(&rate(b)));
        for sheet in options {
            let slot = Slot { sheet, laid: Vec::new(), used2: 0, full: Vec::new() };
            let rule = rules[layout.slots.len() % rules.len()];
            if let Some(laid) = self.place(&slot, item, rule) {
                layout.slots.push(slot);
                let s = layout.slots.len() - 1;
                layout.put(task, s, laid);
                slots.push(s);
                return true;
            }
        }
        false
    }
}
