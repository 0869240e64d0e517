//! The wall of a rail that a bracket is bolted to: bolts tear along it or pull
//! through it.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, class, force, length, length_or_none, optional, word};
use crate::handbook::bolted::{Bearing, en_bearing, en_punching, en_single_lap_cap};
use crate::handbook::material;

pub(super) const RULE: Rule = Rule {
    code: "rail-bolts",
    rule: "a bolt in the rail's wall bears on its hole with no more than k1 ab fu d t / 1.25 and 1.5 fu d t / 1.25, and pulls its head or nut through with no more than 0.6 pi dm t fu / 1.25; a rail of unknown or heat-treated steel gets no verdict",
    why: "the bracket and its bolts hold, and the thin wall behind them tears",
    source: "EN 1993-1-8, Table 3.4 and 3.6.1(10), as quoted in a secondary source; bolts under M12 lie outside of its tables",
    holds: "head or nut straight on the wall, a washer only helps; the bending of a wide thin face between its corners is not in it: back it with a plate",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("shear", "force of one bolt along the wall"),
        force("pull", "pull of one bolt away from the wall"),
        length("hole", "hole for the bolt: tells its size"),
        optional(length_or_none("wall", "wall of the rail; 0 mm: not known")),
        optional(length_or_none("edge", "from the middle of the hole to the rail's nearest edge; 0 mm: not known")),
        word("steel", &["not known", "mild steel", "heat-treated"], "what the rail is made of"),
        class("class of the bolt"),
    ],
    example: &[
        ("shear", "3 kN"),
        ("pull", "4 kN"),
        ("hole", "9 mm"),
        ("wall", "3 mm"),
        ("edge", "20 mm"),
        ("steel", "mild steel"),
        ("class", "8.8"),
    ],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let (size, class) = t.bolt("hole")?;
    let (wall, edge) = (t.length("wall"), t.length("edge"));
    let (shear, pull) = (t.force("shear"), t.force("pull"));
    let Some(rail) = material::find("mild steel").filter(|_| t.word("steel") == "mild steel") else {
        let why = if t.word("steel") == "heat-treated" {
            "it is heat-treated: a hole in it is its maker's to allow"
        } else {
            "its steel is not known"
        };
        return Ok(vec![Judged::note(no_verdict(t, why))]);
    };
    if wall.to_mm() <= 0.0 || edge.to_mm() <= 0.0 {
        return Ok(vec![Judged::note(no_verdict(
            t,
            "its wall, or how far the holes are from its edge, is not known: measure them",
        ))]);
    }
    let bearing = en_bearing(&Bearing {
        bolt: size.diameter,
        hole: t.length("hole"),
        thickness: wall,
        end: edge,
        edge,
        pitch: None,
        gauge: None,
        plate_tensile: rail.tensile_strength,
        bolt_tensile: class.tensile,
    });
    let tears = bearing.min(en_single_lap_cap(rail.tensile_strength, size.diameter, wall));
    let through = en_punching(size, wall, rail.tensile_strength);
    let wall = t.show_length(wall);
    let along = format!(
        "{} bears with {} on the rail's wall of {wall}; it tears at {}",
        size.name,
        t.show_force(shear),
        t.show_force(tears)
    );
    let out = format!(
        "{} pulls with {} on the rail's wall of {wall}; its head goes through at {}",
        size.name,
        t.show_force(pull),
        t.show_force(through)
    );
    Ok(vec![Judged::force(shear, tears, along), Judged::force(pull, through, out)])
}

fn no_verdict(t: &Told, why: &str) -> String {
    let (shear, pull) = (t.show_force(t.force("shear")), t.show_force(t.force("pull")));
    format!("no verdict on the rail, which takes {shear} along and {pull} away from each bolt: {why}")
}
