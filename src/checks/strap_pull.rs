//! Pull on a flat bar, at its hole and beside it.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, force, length, length_or_none, metal, optional};
use crate::handbook::bolted::en_strip_tension;

pub(super) const RULE: Rule = Rule {
    code: "strap-pull",
    rule: "the pull in a flat bar is no more than its steel carries: yield on the full width, 0.9 of the tensile strength over 1.25 across the hole",
    why: "a strap parts at its bolt hole first, where the steel is narrowest",
    source: "EN 1993-1-1, 6.2.3(2), as quoted in a secondary source",
    holds: "a flat bar pulled straight; partial factors 1.0 and 1.25 stand in the limit",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("pull", "pull in the bar"),
        length("width", "width of the bar"),
        length("thickness", "thickness of the bar"),
        optional(length_or_none("hole", "hole in it; left out: none")),
        metal("material of the bar"),
    ],
    example: &[
        ("pull", "5 kN"),
        ("width", "30 mm"),
        ("thickness", "3 mm"),
        ("hole", "11 mm"),
        ("material", "mild steel"),
    ],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let m = t.material()?;
    let (width, thickness, hole) = (t.length("width"), t.length("thickness"), t.length("hole"));
    if hole >= width {
        return Err(Outside(format!("the hole of {} leaves nothing of the width", t.show_length(hole))));
    }
    let limit = en_strip_tension(width, hole, thickness, m.yield_strength, m.tensile_strength);
    let says = format!(
        "a pull of {} in a bar of {} x {}, which carries {} at its hole",
        t.show_force(t.force("pull")),
        t.show_length(width),
        t.show_length(thickness),
        t.show_force(limit)
    );
    Ok(vec![Judged::force(t.force("pull"), limit, says)])
}
