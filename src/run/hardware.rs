//! What a template asks to buy, as lines of the buy list: bolts with a length
//! that is sold, their nuts, washers and torque.

use crate::checks::bolt_for;
use crate::handbook::Citation;
use crate::handbook::bolts::{self, BoltClass, BoltSize, NUT_FACTORS, REUSABLE_SHARE, TORQUE, proof_load, torque};
use crate::handbook::fasteners::{Head, LENGTHS, Nut, Washer, least_length, sold_length};
use crate::template::{BoltCall, Item, Outcome, Strip, Weld};
use crate::units::{Dim, Length, System, show_quantity};
use std::collections::BTreeSet;

/// What the parts of a job need beside their steel.
#[derive(Clone, Debug, Default)]
pub struct Needs {
    /// Hardware: what and how many, in the order of the job.
    pub hardware: Vec<(String, u32)>,
    /// What the numbers in it rest on, in print.
    pub sources: BTreeSet<String>,
    /// Strips and pads of sheet goods, and how many.
    pub strips: Vec<(Strip, u32)>,
    /// Welds: part, weld, how many such parts.
    pub welds: Vec<(String, Weld, u32)>,
    /// Every item with the part that asks for it, and how many all such parts need.
    items: Vec<(String, Item, u32)>,
}

impl Needs {
    /// Whether a part asks for an item of some kind.
    pub(super) fn of_part(&self, part: &str, kind: impl Fn(&Item) -> bool) -> bool {
        self.items.iter().any(|(p, item, _)| p == part && kind(item))
    }

    /// What one part asks for, as lines of the list.
    pub(super) fn lines_of(&self, part: &str, units: System, sizes: System) -> Vec<(String, u32)> {
        let mut out = vec![];
        for (_, item, count) in self.items.iter().filter(|i| i.0 == part) {
            match item {
                Item::Words(words) => add(&mut out, words.clone(), *count),
                Item::Sheet(s) => {
                    let size = [s.thick, s.length, s.width].map(|l| show_quantity(l.to_mm(), Dim::LENGTH, units));
                    add(&mut out, format!("{}, {} thick, {} x {}", s.of, size[0], size[1], size[2]), *count);
                }
                Item::Bolt(call) => {
                    for (line, each) in bolt_lines(call, units, sizes).lines {
                        add(&mut out, line, count.saturating_mul(each));
                    }
                }
            }
        }
        out
    }

    /// Every bolt with its class, sizes as [`bolt_for`] takes them.
    pub(super) fn bolts(&self, sizes: System) -> Vec<(&'static BoltSize, &'static BoltClass)> {
        let one = |item: &Item| {
            let Item::Bolt(call) = item else { return None };
            let size = bolt_for(call.hole, sizes)?;
            Some((size, bolts::class(&call.class, size.diameter)?))
        };
        self.items.iter().filter_map(|(_, item, _)| one(item)).collect()
    }

    /// Add what `make` copies of one part need.
    pub(super) fn add(&mut self, part: &str, said: &Outcome, make: u32, units: System, sizes: System) {
        for (item, count) in &said.hardware {
            let count = count.saturating_mul(make);
            self.items.push((part.to_string(), item.clone(), count));
            match item {
                Item::Words(words) => add(&mut self.hardware, words.clone(), count),
                Item::Sheet(strip) => add(&mut self.strips, strip.clone(), count),
                Item::Bolt(call) => {
                    let bought = bolt_lines(call, units, sizes);
                    self.sources.extend(bought.sources.iter().map(ToString::to_string));
                    for (line, each) in bought.lines {
                        add(&mut self.hardware, line, count.saturating_mul(each));
                    }
                }
            }
        }
        self.welds.extend(said.welds.iter().map(|w| (part.to_string(), w.clone(), make)));
    }
}

fn add<T: PartialEq>(list: &mut Vec<(T, u32)>, what: T, count: u32) {
    match list.iter_mut().find(|h| h.0 == what) {
        Some(h) => h.1 = h.1.saturating_add(count),
        None => list.push((what, count)),
    }
}

/// The lines of one bolt.
struct Lines {
    /// Each with how many of it go with one.
    lines: Vec<(String, u32)>,
    /// What their numbers rest on.
    sources: Vec<Citation>,
}

fn bolt_lines(call: &BoltCall, units: System, sizes: System) -> Lines {
    let length = |l: Length| show_quantity(l.to_mm(), Dim::LENGTH, units);
    let by_hand = |why: String| {
        let line = format!("Bolt for a {} hole, to be chosen by hand: {why}", length(call.hole));
        Lines { lines: vec![(line, 1)], sources: vec![] }
    };
    let Some(size) = bolt_for(call.hole, sizes) else {
        return by_hand("no bolt of the handbook goes with it".to_string());
    };
    let Some(class) = bolts::class(&call.class, size.diameter) else {
        return by_hand(format!("there is no row for class {} and {}", call.class, size.name));
    };
    let least = least_length(size, call.grip, call.nut, call.washer, call.head.washers());
    let Some((sold, heights)) = least.and_then(|(l, from)| Some((sold_length(size, l)?, from))) else {
        return by_hand(format!("its grip of {} is longer than {} bolts are sold for", length(call.grip), size.name));
    };
    let nut = if call.nut == Nut::Plain { "nut" } else { "self-locking nut" };
    let washer = if call.washer == Washer::Penny { "penny washer" } else { "washer" };
    let (kind, tighten) = match call.head {
        Head::Hexagon => ("bolt", torque_words(size, class, units)),
        Head::Countersunk => ("countersunk bolt", "draw it flush and no further".to_string()),
    };
    let bolt = format!(
        "{} x {} {kind}, {} (grip {}); {tighten}",
        size.name,
        length(sold),
        class_words(class),
        length(call.grip)
    );
    let lines = vec![
        (bolt, 1),
        (format!("{} {nut}, {}", size.name, class_words(class)), 1),
        (format!("{} {washer}", size.name), call.head.washers()),
    ];
    Lines { lines, sources: heights.into_iter().chain([LENGTHS, size.source, class.source, TORQUE]).collect() }
}

fn class_words(class: &BoltClass) -> String {
    if class.name.starts_with("grade") { class.name.to_string() } else { format!("class {}", class.name) }
}

/// Tightening torque dry and oiled, each with its nut factor: the hand feels neither.
fn torque_words(size: &BoltSize, class: &BoltClass, units: System) -> String {
    let clamp = proof_load(size, class) * REUSABLE_SHARE;
    let one = |(state, k): &(&str, f64)| {
        let newton_metres = torque(*k, size.diameter, clamp).to_newton_mm() / 1e3;
        // A tenth is more than a wrench can tell.
        let rounded = libm::round(newton_metres * 10.0) / 10.0;
        format!("{} {state} (K {k:.2})", show_quantity(rounded * 1e3, Dim::MOMENT, units))
    };
    let all: Vec<String> = NUT_FACTORS.iter().take(2).map(one).collect();
    format!("tighten with {}, each within 30 %; not on rubber", all.join(" or "))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn call(hole: f64, grip: f64, class: &str) -> BoltCall {
        BoltCall {
            hole: Length::mm(hole),
            grip: Length::mm(grip),
            class: class.to_string(),
            head: Head::Hexagon,
            nut: Nut::SelfLocking,
            washer: Washer::Plain,
        }
    }

    #[test]
    fn a_bolt_brings_its_nut_two_washers_and_torque() {
        // 36 + 2 x 1.6 + 9.5 + 2 x 1.25 = 51.2: the next that is sold is 55.
        let Lines { lines: all, sources } = bolt_lines(&call(9.0, 36.0, "8.8"), System::Metric, System::Metric);
        assert!(sources.iter().any(|s| !s.confirmed), "the locking nut's height is from memory and must say so");
        assert!(all[0].0.starts_with("M8 x 55 mm bolt, class 8.8 (grip 36 mm)"), "{}", all[0].0);
        // 0.2 x 8 mm x 0.75 x 580 MPa x 36.6 mm2 = 25.5 N m.
        assert!(all[0].0.contains("25.5 N m dry (K 0.20)"), "{}", all[0].0);
        assert_eq!((all[1].1, all[2].1), (1, 2));
    }

    #[test]
    fn a_countersunk_bolt_has_one_washer_and_is_longer_than_its_grip_by_nut_washer_and_threads() {
        let odd = BoltCall { head: Head::Countersunk, ..call(4.5, 7.0, "8.8") };
        let all = bolt_lines(&odd, System::Metric, System::Metric).lines;
        // 7 + 0.8 + 6 + 2 x 0.7 = 15.2: the next that is sold is 16.
        assert!(all[0].0.starts_with("M4 x 16 mm countersunk bolt, class 8.8"), "{all:?}");
        assert!(!all[0].0.contains("N m"), "{all:?}");
        assert_eq!(all[2], ("M4 washer".to_string(), 1));
    }

    #[test]
    fn strips_add_up_and_welds_keep_their_part() {
        let strip =
            Strip { of: "rubber".into(), thick: Length::mm(3.0), length: Length::mm(80.0), width: Length::mm(20.0) };
        let weld = Weld { name: "ends".into(), length: Length::mm(240.0), throat: Length::mm(3.0) };
        let said = Outcome {
            hardware: vec![(Item::Sheet(strip.clone()), 2)],
            welds: vec![weld.clone()],
            ..Outcome::default()
        };
        let mut needs = Needs::default();
        needs.add("A", &said, 2, System::Metric, System::Metric);
        needs.add("B", &said, 1, System::Metric, System::Metric);
        assert_eq!(needs.strips, [(strip, 6)]);
        assert_eq!(needs.welds, [("A".to_string(), weld.clone(), 2), ("B".to_string(), weld, 1)]);
    }

    #[test]
    fn what_cannot_be_worked_out_says_so_and_stays_on_the_list() {
        for odd in [call(2.0, 10.0, "8.8"), call(9.0, 900.0, "8.8"), call(9.0, 10.0, "grade 99")] {
            let all = bolt_lines(&odd, System::Metric, System::Metric).lines;
            assert!(all.len() == 1 && all[0].0.contains("by hand"), "{all:?}");
        }
    }
}
