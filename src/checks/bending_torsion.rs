//! A flat bar that is bent and twisted at once.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, length, metal, moment, optional};
use crate::handbook::loads::{rectangle_bending, rectangle_torsion};
use crate::handbook::strength::equivalent;

pub(super) const RULE: Rule = Rule {
    code: "bending-torsion",
    rule: "bending and torsion of a rectangle together, sqrt(sigma^2 + 3 tau^2), are no more than yield",
    why: "an arm that stands beside its pivot is twisted as well as bent; a pedal that folds is a car without brakes",
    source: "EN 1993-1-1, 6.2.1(5) (from memory, unconfirmed); torsion factors of Timoshenko, as quoted in a secondary source; yield by EN 1993-1-1 Table 3.1",
    holds: "solid rectangles of metal that yields before it cracks; bending and torsion at their greatest in one place",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        optional(moment("bends", "bending moment")),
        optional(moment("twists", "twisting moment")),
        length("across", "side across the load"),
        length("along_load", "side along the load"),
        metal("its material"),
    ],
    example: &[
        ("bends", "235 N m"),
        ("twists", "116 N m"),
        ("across", "40.7 mm"),
        ("along_load", "16 mm"),
        ("material", "mild steel"),
    ],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let m = t.material()?;
    let (across, along) = (t.length("across"), t.length("along_load"));
    let bending = rectangle_bending(t.moment("bends"), across, along);
    let torsion = rectangle_torsion(t.moment("twists"), across, along);
    let stress = equivalent(bending, torsion);
    let says = format!(
        "{:.1} MPa of bending and {:.1} MPa of torsion in {} x {} act like {:.1} MPa; yield is {:.0} MPa",
        bending.to_mpa(),
        torsion.to_mpa(),
        t.show_length(across),
        t.show_length(along),
        stress.to_mpa(),
        m.yield_strength.to_mpa()
    );
    Ok(vec![Judged::stress(stress, m.yield_strength, says).from(format!("{}; {}", RULE.source, m.yield_source))])
}
