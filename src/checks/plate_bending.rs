//! A plate or a leg that stands out and is bent flatwise.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, count, force, length, length_or_none, metal, moment, optional};
use crate::handbook::loads::rectangle_bending;

pub(super) const RULE: Rule = Rule {
    code: "plate-bending",
    rule: "the bending stress of a plate that stands out, its holes taken off its width, is no more than yield",
    why: "flat steel is weak flatwise: twice the lever needs twice the width, but only 1.4 times the thickness",
    source: "elementary bending theory; yield by EN 1993-1-1 Table 3.1",
    holds: "a plate held along one edge, its load spread over the width told",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        optional(force("force", "force square to the plate")),
        optional(length_or_none("lever", "from the held edge to the force")),
        optional(moment("bends", "a moment besides")),
        length("width", "width of the plate across the lever"),
        length("thickness", "thickness"),
        optional(length_or_none("hole", "hole in that width")),
        optional(count("holes", "how many of them")),
        metal("its material"),
    ],
    example: &[
        ("force", "500 N"),
        ("lever", "14 mm"),
        ("width", "80 mm"),
        ("thickness", "3 mm"),
        ("material", "mild steel"),
    ],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let m = t.material()?;
    let holes = if t.has("holes") { f64::from(t.count("holes")) } else { 1.0 };
    let width = t.length("width") - t.length("hole") * holes;
    if width.to_mm() <= 0.0 {
        return Err(Outside("the holes leave nothing of the width".to_string()));
    }
    let bends = t.force("force") * t.length("lever") + t.moment("bends");
    let stress = rectangle_bending(bends, width, t.length("thickness"));
    let says = format!(
        "{} bend {} x {}: {:.1} MPa of {:.0} MPa at yield",
        t.show_moment(bends),
        t.show_length(width),
        t.show_length(t.length("thickness")),
        stress.to_mpa(),
        m.yield_strength.to_mpa()
    );
    Ok(vec![Judged::stress(stress, m.yield_strength, says).from(format!("{}; {}", RULE.source, m.yield_source))])
}
