//! The wall of the rail on the other side of the joint.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, force, length, length_or_none, optional, word};
use crate::handbook::material;
use crate::handbook::strength::chord_face;

pub(super) const RULE: Rule = Rule {
    code: "rail-wall",
    rule: "the pull of a welded hanger on the wall of a hollow rail is no more than dents it out; a rail of unknown or heat-treated steel gets no verdict",
    why: "the bracket holds, and the wall of the rail tears out round the weld",
    source: "EN 1993-1-8, Table 7.11, failure of the chord face (from memory, unconfirmed)",
    holds: "square or rectangular tube, hanger square to it and no wider than 0.85 of it",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("pull", "pull away from the rail"),
        length("member", "width of the hanger across the rail"),
        optional(length_or_none("rail", "width of the rail's face; 0 mm: not known")),
        optional(length_or_none("wall", "wall of the rail; 0 mm: not known")),
        word("steel", &["not known", "mild steel", "heat-treated"], "what the rail is made of"),
    ],
    example: &[("pull", "2 kN"), ("member", "30 mm"), ("rail", "50 mm"), ("wall", "3 mm"), ("steel", "mild steel")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let (rail, wall) = (t.length("rail"), t.length("wall"));
    if t.word("steel") != "mild steel" || rail.to_mm() <= 0.0 || wall.to_mm() <= 0.0 {
        let why = if t.word("steel") == "heat-treated" {
            "it is heat-treated, and a weld undoes that: ask its maker"
        } else {
            "its steel, its width or its wall is not known: measure them"
        };
        return Ok(vec![Judged::note(format!(
            "no verdict on the rail, which takes {}: {why}",
            t.show_force(t.force("pull"))
        ))]);
    }
    let yields = material::find("mild steel").map_or(crate::units::Stress::ZERO, |m| m.yield_strength);
    let limit = chord_face(t.length("member"), rail, wall, yields).ok_or_else(|| {
        Outside(format!(
            "the hanger is wider than 0.85 of the rail: its side walls would take the load, {}",
            RULE.holds
        ))
    })?;
    let says = format!(
        "the hanger pulls on the rail's wall of {} with {}; it dents at {}",
        t.show_length(wall),
        t.show_force(t.force("pull")),
        t.show_force(limit)
    );
    Ok(vec![Judged::force(t.force("pull"), limit, says)])
}
