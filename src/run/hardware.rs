//! What a template asks to buy, as lines of the buy list: bolts with a length
//! that is sold, their nuts, washers and torque.

use crate::checks::bolt_for;
use crate::handbook::Citation;
use crate::handbook::bolts::{self, BoltClass, BoltSize, NUT_FACTORS, REUSABLE_SHARE, TORQUE, proof_load, torque};
use crate::handbook::fasteners::{LENGTHS, Nut, Washer, least_length, sold_length};
use crate::template::{BoltCall, Item};
use crate::units::{Dim, Length, System, show_quantity};

/// Washers on a through bolt: one under the head, one under the nut.
const WASHERS: u32 = 2;

/// The lines of one item.
#[derive(Default)]
pub(super) struct Lines {
    /// Each with how many of it go with one.
    pub lines: Vec<(String, u32)>,
    /// What their numbers rest on.
    pub sources: Vec<Citation>,
}

/// The lines of one item.
pub(super) fn lines(item: &Item, units: System, sizes: System) -> Lines {
    match item {
        Item::Words(words) => Lines { lines: vec![(words.clone(), 1)], sources: vec![] },
        Item::Bolt(call) => bolt_lines(call, units, sizes),
    }
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
    let least = least_length(size, call.grip, call.nut, call.washer, WASHERS);
    let Some((sold, heights)) = least.and_then(|(l, from)| Some((sold_length(size, l)?, from))) else {
        return by_hand(format!("its grip of {} is longer than {} bolts are sold for", length(call.grip), size.name));
    };
    let nut = if call.nut == Nut::Plain { "nut" } else { "self-locking nut" };
    let washer = if call.washer == Washer::Penny { "penny washer" } else { "washer" };
    let bolt = format!(
        "{} x {} bolt, {} (grip {}); {}",
        size.name,
        length(sold),
        class_words(class),
        length(call.grip),
        torque_words(size, class, units)
    );
    let lines = vec![
        (bolt, 1),
        (format!("{} {nut}, {}", size.name, class_words(class)), 1),
        (format!("{} {washer}", size.name), WASHERS),
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

    fn call(hole: f64, grip: f64, class: &str) -> Item {
        Item::Bolt(BoltCall {
            hole: Length::mm(hole),
            grip: Length::mm(grip),
            class: class.to_string(),
            nut: Nut::SelfLocking,
            washer: Washer::Plain,
        })
    }

    #[test]
    fn a_bolt_brings_its_nut_two_washers_and_torque() {
        // 36 + 2 x 1.6 + 9.5 + 2 x 1.25 = 51.2: the next that is sold is 55.
        let Lines { lines: all, sources } = lines(&call(9.0, 36.0, "8.8"), System::Metric, System::Metric);
        assert!(sources.iter().any(|s| !s.confirmed), "the locking nut's height is from memory and must say so");
        assert!(all[0].0.starts_with("M8 x 55 mm bolt, class 8.8 (grip 36 mm)"), "{}", all[0].0);
        // 0.2 x 8 mm x 0.75 x 580 MPa x 36.6 mm2 = 25.5 N m.
        assert!(all[0].0.contains("25.5 N m dry (K 0.20)"), "{}", all[0].0);
        assert_eq!((all[1].1, all[2].1), (1, 2));
    }

    #[test]
    fn what_cannot_be_worked_out_says_so_and_stays_on_the_list() {
        for odd in [call(2.0, 10.0, "8.8"), call(9.0, 900.0, "8.8"), call(9.0, 10.0, "grade 99")] {
            let all = lines(&odd, System::Metric, System::Metric).lines;
            assert!(all.len() == 1 && all[0].0.contains("by hand"), "{all:?}");
        }
    }
}
