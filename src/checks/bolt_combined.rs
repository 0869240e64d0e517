//! A bolt that is pulled and sheared at once.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, class, force, length, optional, word};
use crate::handbook::bolted::{Threads, en_tension, shear};
use crate::units::Dim;

pub(super) const RULE: Rule = Rule {
    code: "bolt-combined",
    rule: "shear over its limit plus pull over 1.4 times its limit is no more than 1 in one bolt",
    why: "each alone may be met, and both together break the bolt",
    source: "EN 1993-1-8, Table 3.4, as quoted in a secondary source",
    holds: "as bolt-shear and bolt-tension, whose limits it uses",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("shear", "shear in one bolt"),
        force("pull", "pull in one bolt"),
        length("hole", "hole for the bolt: tells its size"),
        class("class of the bolt"),
        optional(word("threads", &["in the plane", "clear of it"], "whether the thread lies in the plane of shear")),
    ],
    example: &[("shear", "5 kN"), ("pull", "5 kN"), ("hole", "9 mm"), ("class", "8.8")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let (size, class) = t.bolt("hole")?;
    let threads = if t.word("threads") == "clear of it" { Threads::Clear } else { Threads::InPlane };
    let share = t.force("shear") / shear(size, class, threads, t.length("hole"))
        + t.force("pull") / (en_tension(size, class) * 1.4);
    let says = format!(
        "{} of class {} with {} of shear and {} of pull at once uses {share:.3} of 1",
        size.name,
        class.name,
        t.show_force(t.force("shear")),
        t.show_force(t.force("pull"))
    );
    Ok(vec![Judged::at_most(share, 1.0, Dim::PLAIN, says)])
}
