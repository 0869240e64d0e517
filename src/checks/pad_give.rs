//! How far the pad of a pedal gives under the foot.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, force, length, length_or_none, optional};
use crate::handbook::strength::{cantilever_give, twist_give};
use crate::units::Dim;

pub(super) const RULE: Rule = Rule {
    code: "pad-give",
    rule: "the pad gives no more than is wanted under the force told: bending of the arm as a cantilever and its twist together",
    why: "a pedal that gives feels like air in the brakes, and rubs where it had room",
    source: "elementary bending and torsion; torsion constant by Civil Engineering Formulas, Table 2.7. The limit is a choice: 3 mm at 300 N, common practice, no source",
    holds: "steel below yield; the arm as one bar of the section told",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("force", "force at the pad"),
        length("reach", "from where the arm is held to the pad"),
        optional(length_or_none("beside", "how far the pad stands beside the arm's middle")),
        length("across", "side of the arm across the load"),
        length("along_load", "side along the load"),
        length("most", "give that is allowed"),
    ],
    example: &[
        ("force", "300 N"),
        ("reach", "120 mm"),
        ("beside", "58 mm"),
        ("across", "49 mm"),
        ("along_load", "16 mm"),
        ("most", "3 mm"),
    ],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let (force, reach, beside) = (t.force("force"), t.length("reach"), t.length("beside"));
    let (across, along) = (t.length("across"), t.length("along_load"));
    let bends = cantilever_give(force, reach, across, along);
    let give = bends + twist_give(force * beside, reach, beside, across, along);
    let says = format!(
        "{} move the pad by {:.2} mm, {:.2} mm of it by bending; {} at most",
        t.show_force(force),
        give.to_mm(),
        bends.to_mm(),
        t.show_length(t.length("most"))
    );
    Ok(vec![Judged::at_most(give.to_mm(), t.length("most").to_mm(), Dim::LENGTH, says)])
}
