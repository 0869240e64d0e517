//! A bolt cut across.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, class, force, length, optional, word};
use crate::handbook::bolted::{Threads, shear};

pub(super) const RULE: Rule = Rule {
    code: "bolt-shear",
    rule: "the shear in one bolt is no more than av fub As / 1.25 with the thread in the plane of shear, 0.6 fub A / 1.25 with the plain shank in it; 0.85 of that for M12 and M14 in holes 2 mm larger",
    why: "a bolt that is cut through lets go at once, without bending first",
    source: "EN 1993-1-8, Table 3.4 and 3.6.1(5), as quoted in a secondary source; SAE grades with 0.6 of the tensile strength (from memory, unconfirmed)",
    holds: "one plane of shear; the partial factor of 1.25 stands in the limit",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("force", "shear in one bolt"),
        length("hole", "hole for the bolt: tells its size"),
        class("class of the bolt"),
        optional(word("threads", &["in the plane", "clear of it"], "whether the thread lies in the plane of shear")),
    ],
    example: &[("force", "5 kN"), ("hole", "9 mm"), ("class", "8.8")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let (size, class) = t.bolt("hole")?;
    let threads = if t.word("threads") == "clear of it" { Threads::Clear } else { Threads::InPlane };
    let limit = shear(size, class, threads, t.length("hole"));
    let says = format!(
        "{} of class {} is sheared by {}, thread {}; it carries {}",
        size.name,
        class.name,
        t.show_force(t.force("force")),
        if threads == Threads::Clear { "clear of the plane" } else { "in the plane" },
        t.show_force(limit)
    );
    Ok(vec![Judged::force(t.force("force"), limit, says)])
}
