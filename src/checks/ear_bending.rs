//! An ear that the leg of a strap folds down.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, force, length, length_or_none, metal, optional};
use crate::handbook::strength::ear_resistance;

pub(super) const RULE: Rule = Rule {
    code: "ear-bending",
    rule: "the pull on an ear is no more than folds it: plastic hinges at its bend and at its bolt, the second one less its hole",
    why: "the ear of a flat bar is its weakest place: it straightens, the strap grows longer and the tank comes loose",
    source: "EN 1993-1-8, 6.2.4, Table 6.2, T-stub, first mode, as quoted in a secondary source",
    holds: "an ear held flat by its bolt and washer, of metal that yields before it cracks",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("pull", "pull in the leg"),
        length("width", "width of the bar"),
        length("thickness", "thickness of the bar"),
        optional(length_or_none("hole", "hole in the ear")),
        length("lever", "from the middle of the bolt to the face of the leg, less 0.8 of the bend's inside radius"),
        metal("material of the bar"),
    ],
    example: &[
        ("pull", "500 N"),
        ("width", "40 mm"),
        ("thickness", "3 mm"),
        ("hole", "9 mm"),
        ("lever", "30 mm"),
        ("material", "mild steel"),
    ],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let m = t.material()?;
    let (lever, thickness) = (t.length("lever"), t.length("thickness"));
    let limit = ear_resistance(t.length("width"), t.length("hole"), thickness, lever, m.yield_strength);
    let says = format!(
        "the leg pulls with {} on an ear {} thick, {} from the bolt; it folds at {}",
        t.show_force(t.force("pull")),
        t.show_length(thickness),
        t.show_length(lever),
        t.show_force(limit)
    );
    Ok(vec![Judged::force(t.force("pull"), limit, says)])
}
