//! A hanger bent by the bolts it carries.

use super::Rule;
use super::hanger_section::{MADE_OF, section};
use super::judged::Judged;
use super::named::{Named, Outside, Told, count, force, length, length_or_none, metal, optional, word};
use crate::handbook::strength::row_on_beam;
use crate::units::Stress;

pub(super) const RULE: Rule = Rule {
    code: "beam-bending",
    rule: "the bending stress of a hanger or cross member on two supports, its bolt holes taken off, is no more than yield",
    why: "a hanger that bends lets the strap go slack, and the tank beats itself loose",
    source: "elementary bending theory; section moduli by EN 10219-2 and EN 10056-1 radii; yield by EN 1993-1-1 Table 3.1",
    holds: "bolts between the supports; the ends count as hinged, so what the welds hold is a reserve; an angle that cannot turn",
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
        optional(length_or_none("hole", "hole through it")),
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
        ("hole", "14.5 mm"),
        ("material", "mild steel"),
    ],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let m = t.material()?;
    let bends = row_on_beam(t.force("force"), t.length("span"), t.length("first"), t.length("pitch"), t.count("bolts"));
    let last = t.length("first") + t.length("pitch") * f64::from(t.count("bolts") - 1);
    if last >= t.length("span") {
        return Err(Outside("a bolt lies beyond the far support".to_string()));
    }
    let modulus = section(t)?.net_modulus_mm3;
    let stress = Stress::mpa(bends.to_newton_mm() / modulus);
    let forces = match t.count("bolts") {
        1 => t.show_force(t.force("force")),
        n => format!("{n} x {}", t.show_force(t.force("force"))),
    };
    let says = format!(
        "{forces} bend the beam with {}: {:.1} MPa of {:.0} MPa at yield",
        t.show_moment(bends),
        stress.to_mpa(),
        m.yield_strength.to_mpa()
    );
    Ok(vec![Judged::stress(stress, m.yield_strength, says).from(format!("{}; {}", RULE.source, m.yield_source))])
}
