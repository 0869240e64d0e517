//! A hanger sheared off beside its support.

use super::Rule;
use super::hanger_section::{MADE_OF, section};
use super::judged::Judged;
use super::named::{Named, Outside, Told, count, force, length, length_or_none, metal, optional, word};
use crate::handbook::strength::row_reaction;
use crate::units::Force;

pub(super) const RULE: Rule = Rule {
    code: "beam-shear",
    rule: "the shear at the support of a hanger or cross member is no more than its upright walls carry at yield over the root of 3",
    why: "a short hanger shears before it bends",
    source: "EN 1993-1-1, 6.2.6, shear area of hollow sections (from memory, unconfirmed)",
    holds: "as beam-bending",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("force", "force at one bolt"),
        length("span", "between the supports"),
        length("first", "from a support to the first bolt"),
        optional(length_or_none("pitch", "from bolt to bolt")),
        count("bolts", "how many bolts"),
        word("made_of", MADE_OF, "what the hanger is made of"),
        length("side", "side or outside diameter of the tube, or leg of the angle"),
        length("wall", "its wall"),
        metal("its material"),
    ],
    example: &[
        ("force", "500 N"),
        ("span", "148 mm"),
        ("first", "70 mm"),
        ("bolts", "1"),
        ("made_of", "square tube"),
        ("side", "30 mm"),
        ("wall", "2 mm"),
        ("material", "mild steel"),
    ],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let m = t.material()?;
    let shear =
        row_reaction(t.force("force"), t.length("span"), t.length("first"), t.length("pitch"), t.count("bolts"));
    let limit = Force::newtons(section(t)?.shear_area_mm2 * m.yield_strength.to_mpa() / 3.0_f64.sqrt());
    let says = format!("the nearer support takes {}; the walls carry {}", t.show_force(shear), t.show_force(limit));
    Ok(vec![Judged::force(shear, limit, says)])
}
