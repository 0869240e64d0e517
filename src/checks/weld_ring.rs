//! A ring of weld round a tube.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, length, metal, moment, optional};
use super::weld_strength::weld_strength;
use crate::handbook::strength::{ring_bending, ring_torsion};
use crate::units::Stress;

pub(super) const RULE: Rule = Rule {
    code: "weld-ring",
    rule: "torsion and bending in a ring of fillet weld, added as at right angles, are no more than fu / (sqrt 3 bw 1.25)",
    why: "a ring of weld on a pivot tube carries the whole foot on a few square millimetres of throat",
    source: "EN 1993-1-8, 4.5.3.3, as quoted in a secondary source; ring as a line: statics of a thin ring",
    holds: "a full ring with a throat that is thin against its radius",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        optional(moment("torque", "moment about the tube")),
        optional(moment("bends", "moment across it")),
        length("diameter", "outside diameter of the tube"),
        length("throat", "throat of the weld"),
        metal("the weaker of the two parts"),
    ],
    example: &[("torque", "80 N m"), ("diameter", "25 mm"), ("throat", "4 mm"), ("material", "mild steel")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let (strength, source) = weld_strength(t.material()?)?;
    let (d, a) = (t.length("diameter"), t.length("throat"));
    let twisted = ring_torsion(t.moment("torque"), d, a);
    let bent = ring_bending(t.moment("bends"), d, a);
    let stress = Stress::mpa(libm::hypot(twisted.to_mpa(), bent.to_mpa()));
    let says = format!(
        "the ring of weld round {} carries {:.1} MPa; {:.1} MPa is allowed",
        t.show_length(d),
        stress.to_mpa(),
        strength.to_mpa()
    );
    Ok(vec![Judged::stress(stress, strength, says).from(format!("{}; {source}", RULE.source))])
}
