//! A bolt that bears on the edge of its hole.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, class, force, length, metal, optional};
use crate::handbook::bolted::{Bearing, en_bearing, en_single_lap_cap};

pub(super) const RULE: Rule = Rule {
    code: "bolt-bearing",
    rule: "the force of a bolt on the edge of its hole is no more than k1 ab fu d t / 1.25, and no more than 1.5 fu d t / 1.25 in a lap with one row",
    why: "near an edge the bolt tears its way out of thin steel long before it shears",
    source: "EN 1993-1-8, Table 3.4 and 3.6.1(10), as quoted in a secondary source; bolts under M12 lie outside of its tables",
    holds: "one bolt, load towards the end; the partial factor of 1.25 stands in the limit",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("force", "force of one bolt on the plate"),
        length("hole", "hole for the bolt"),
        length("thickness", "thickness of the plate"),
        length("end", "from the middle of the hole to the end it is pulled towards"),
        length("edge", "from the middle of the hole to the side"),
        optional(length("pitch", "to the next bolt along the load")),
        metal("material of the plate"),
        class("class of the bolt"),
    ],
    example: &[
        ("force", "8 kN"),
        ("hole", "9 mm"),
        ("thickness", "3 mm"),
        ("end", "14 mm"),
        ("edge", "20 mm"),
        ("material", "mild steel"),
        ("class", "8.8"),
    ],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let (m, (size, class)) = (t.material()?, t.bolt("hole")?);
    let thickness = t.length("thickness");
    let bearing = en_bearing(&Bearing {
        bolt: size.diameter,
        hole: t.length("hole"),
        thickness,
        end: t.length("end"),
        edge: t.length("edge"),
        pitch: t.has("pitch").then(|| t.length("pitch")),
        gauge: None,
        plate_tensile: m.tensile_strength,
        bolt_tensile: class.tensile,
    });
    let limit = bearing.min(en_single_lap_cap(m.tensile_strength, size.diameter, thickness));
    let says = format!(
        "{} bears with {} on {} of {}; the edge of the hole carries {}",
        size.name,
        t.show_force(t.force("force")),
        t.show_length(thickness),
        m.name,
        t.show_force(limit)
    );
    Ok(vec![Judged::force(t.force("force"), limit, says)])
}
