//! A bolt that is pulled.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, class, force, length};
use crate::handbook::bolted::en_tension;

pub(super) const RULE: Rule = Rule {
    code: "bolt-tension",
    rule: "the pull in one bolt from the load is no more than 0.9 fub As / 1.25",
    why: "a bolt that stretches lets the joint gape; one that breaks lets it go",
    source: "EN 1993-1-8, Table 3.4, as quoted in a secondary source",
    holds: "a bolt with its nut fully on, head not countersunk; prying is told in the force",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("force", "pull in one bolt"),
        length("hole", "hole for the bolt: tells its size"),
        class("class of the bolt"),
    ],
    example: &[("force", "5 kN"), ("hole", "9 mm"), ("class", "8.8")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let (size, class) = t.bolt("hole")?;
    let limit = en_tension(size, class);
    let says = format!(
        "{} of class {} is pulled by {}; it carries {}",
        size.name,
        class.name,
        t.show_force(t.force("force")),
        t.show_force(limit)
    );
    Ok(vec![Judged::force(t.force("force"), limit, says)])
}
