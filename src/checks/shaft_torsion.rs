//! A round shaft that is twisted: its smallest section decides.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, length, metal, moment, optional};
use crate::handbook::loads::{double_d_torsion, round_torsion};
use crate::handbook::strength::equivalent;
use crate::units::Stress;

pub(super) const RULE: Rule = Rule {
    code: "shaft-torsion",
    rule: "torsion in the smallest section of a shaft, at its flats or at the bottom of its splines, is no more than yield",
    why: "flats and splines take the steel that carries most, and the whole steering hangs on what is left",
    source: "elementary torsion theory; a circle with two flats: Roark's series from memory, confirmed by finite differences to 1.5 %; yield by EN 1993-1-1 Table 3.1",
    holds: "solid steel below yield; flats to half of the radius; splines as the round bar inside them; notches at their ends come on top",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        moment("torque", "torque in the shaft"),
        length("diameter", "diameter of the shaft"),
        optional(length("across", "across its two flats")),
        optional(length("root", "diameter at the bottom of its splines")),
        metal("its material"),
    ],
    example: &[("torque", "87.5 N m"), ("diameter", "19 mm"), ("across", "14.5 mm"), ("material", "S355")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let m = t.material()?;
    let (torque, diameter) = (t.moment("torque"), t.length("diameter"));
    let shown = t.show_length(diameter);
    let mut sections = vec![(format!("the round shaft of {shown}"), round_torsion(torque, diameter))];
    if t.has("across") {
        let across = t.length("across");
        let what = format!("{shown} with flats {} apart", t.show_length(across));
        let stress = double_d_torsion(torque, diameter, across)
            .ok_or_else(|| Outside(format!("{what}: the rule holds from half of the diameter up to all of it")))?;
        sections.push((what, stress));
    }
    if t.has("root") {
        let root = t.length("root");
        let what = format!("splines of {} at the bottom", t.show_length(root));
        if root > diameter {
            return Err(Outside(format!("{what} in a shaft of {shown}: they cannot be thicker than it is")));
        }
        sections.push((what, round_torsion(torque, root)));
    }
    let worst = sections.into_iter().max_by(|a, b| a.1.to_mpa().total_cmp(&b.1.to_mpa()));
    let Some((what, shear)) = worst else { return Ok(vec![]) };
    let stress = equivalent(Stress::mpa(0.0), shear);
    let says = format!(
        "{} twist {what} with {:.1} MPa, which act like {:.1} MPa; yield is {:.0} MPa",
        t.show_moment(torque),
        shear.to_mpa(),
        stress.to_mpa(),
        m.yield_strength.to_mpa()
    );
    Ok(vec![Judged::stress(stress, m.yield_strength, says).from(format!("{}; {}", RULE.source, m.yield_source))])
}
