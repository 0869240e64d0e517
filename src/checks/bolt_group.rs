//! The worst bolt of a row that a force beside it turns.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, class, count, force, length, length_or_none, optional};
use crate::handbook::bolted::{Threads, shear};
use crate::handbook::strength::row_of_bolts;

pub(super) const RULE: Rule = Rule {
    code: "bolt-group",
    rule: "the bolt of a row that gets the most, from the force and from its turning about the row's middle, is not sheared by more than it carries",
    why: "a force beside a row of bolts loads the last one several times over its share",
    source: "statics of a bolt group; bolt by EN 1993-1-8, Table 3.4, as quoted in a secondary source",
    holds: "equal bolts in one straight row, a force across the row",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("force", "force across the row"),
        optional(length_or_none("lever", "how far beside the row's middle it acts")),
        length("pitch", "from bolt to bolt"),
        count("bolts", "how many"),
        length("hole", "hole for the bolts: tells their size"),
        class("class of the bolts"),
    ],
    example: &[
        ("force", "500 N"),
        ("lever", "70 mm"),
        ("pitch", "64 mm"),
        ("bolts", "2"),
        ("hole", "9 mm"),
        ("class", "8.8"),
    ],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let (size, class) = t.bolt("hole")?;
    let worst = row_of_bolts(t.force("force"), t.length("lever"), t.length("pitch"), t.count("bolts"));
    let limit = shear(size, class, Threads::InPlane, t.length("hole"));
    let says = format!(
        "of {} x {} the worst is sheared by {}; it carries {}",
        t.count("bolts"),
        size.name,
        t.show_force(worst),
        t.show_force(limit)
    );
    Ok(vec![Judged::force(worst, limit, says)])
}
