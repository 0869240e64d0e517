//! The bolt of an ear, with what the ear's tip adds.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, class, force, length};
use crate::handbook::bolted::en_tension;
use crate::handbook::strength::prying;

pub(super) const RULE: Rule = Rule {
    code: "ear-prying",
    rule: "pull and prying together are no more than the bolt carries in tension; prying is F m / (2 n), n no more than 1.25 m",
    why: "the tip of an ear bears on the hanger like the short arm of a crowbar and pulls the bolt harder than the strap does",
    source: "EN 1993-1-8, 6.2.4, Table 6.2, as quoted in a secondary source; bolt as in Table 3.4",
    holds: "the ear is home on its hanger and its tip bears; while a gap is left the bolt bends instead",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("pull", "pull in the leg"),
        length("lever", "from the middle of the bolt to the face of the leg, less 0.8 of the bend's inside radius"),
        length("edge", "from the middle of the bolt to the free end of the ear"),
        length("hole", "hole for the bolt: tells its size"),
        class("class of the bolt"),
    ],
    example: &[("pull", "500 N"), ("lever", "30 mm"), ("edge", "14 mm"), ("hole", "9 mm"), ("class", "8.8")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let (size, class) = t.bolt("hole")?;
    let added = prying(t.force("pull"), t.length("lever"), t.length("edge"));
    let (whole, limit) = (t.force("pull") + added, en_tension(size, class));
    let says = format!(
        "{} of class {} is pulled by {}, {} of it prying; it carries {}",
        size.name,
        class.name,
        t.show_force(whole),
        t.show_force(added),
        t.show_force(limit)
    );
    Ok(vec![Judged::force(whole, limit, says)])
}
