//! What of an edge still lies on its pad when the tank has shifted.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, length_or_none, place};

pub(super) const RULE: Rule = Rule {
    code: "edge-overlap",
    rule: "when the tank has moved as far as it can, its edge still lies on the pad by the width that is wanted",
    why: "an edge that slips off its pad drops the tank on one corner",
    source: "geometry; the width that is wanted is the job's own choice: common practice, no source",
    holds: "a tank that moves sideways without turning",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        place("overlap", "width of the edge on the pad, tank in the middle"),
        length_or_none("shift", "how far the tank can move before something stops it"),
        length_or_none("least", "width that must stay"),
    ],
    example: &[("overlap", "15 mm"), ("shift", "5 mm"), ("least", "5 mm")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let left = t.length("overlap") - t.length("shift");
    let says = format!(
        "shifted by {} the edge still lies on the pad by {}; {} are wanted",
        t.show_length(t.length("shift")),
        t.show_length(left),
        t.show_length(t.length("least"))
    );
    Ok(vec![Judged::long_enough(left, t.length("least"), says)])
}
