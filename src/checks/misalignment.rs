//! How far a shaft may lean in its bearing.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, angle};
use crate::units::{Dim, show_quantity};

pub(super) const RULE: Rule = Rule {
    code: "misalignment",
    rule: "the angle between the shaft and the bearing's own line is no more than the bearing allows",
    why: "a bearing that is forced out of line runs hot, binds, and in steering binds at the worst moment",
    source: "makers' manuals, from memory, unconfirmed: about 2 deg for set-screw inserts, 13 deg for rod ends",
    holds: "the lean at rest and at full lock",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[angle("tilt", "angle between shaft and bearing"), angle("most", "what the bearing allows")],
    example: &[("tilt", "1.5 deg"), ("most", "2 deg")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let show = |name: &str| show_quantity(t.number(name).abs(), Dim::ANGLE, t.system);
    let says = format!("the shaft leans by {} in its bearing; it allows {}", show("tilt"), show("most"));
    Ok(vec![Judged::at_most(t.number("tilt").abs(), t.number("most").abs(), Dim::ANGLE, says)])
}
