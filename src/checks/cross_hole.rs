//! A shaft that is twisted, where a hole goes across it.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, length, metal, moment};
use crate::handbook::shafts::{LARGEST_CROSS_HOLE, cross_hole_factor, cross_hole_net};
use crate::handbook::{loads::round_torsion, strength::equivalent};
use crate::units::Stress;

pub(super) const RULE: Rule = Rule {
    code: "cross-hole",
    rule: "what a hole leaves of a twisted shaft does not yield, and the pull at the edge of the hole stays under yield",
    why: "a shaft breaks at its cross hole: the edge is pulled nearly four times as hard as the shaft is sheared, to and fro at each turn",
    source: "Peterson's Stress Concentration Factors and Roark's Formulas, Table 17.1, as quoted in secondary sources: the greater of the two fits; what is left by statics; yield by EN 1993-1-1 Table 3.1",
    holds: "a hole through the middle of a solid round shaft, up to 0.4 of its diameter, with broken edges; no hole through splines or flats",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        moment("torque", "torque in the shaft"),
        length("diameter", "diameter of the shaft"),
        length("hole", "diameter of the hole across it"),
        metal("its material"),
    ],
    example: &[("torque", "87.5 N m"), ("diameter", "19 mm"), ("hole", "6 mm"), ("material", "S355")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let m = t.material()?;
    let (torque, diameter, hole) = (t.moment("torque"), t.length("diameter"), t.length("hole"));
    let (shaft, drill) = (t.show_length(diameter), t.show_length(hole));
    let outside = || {
        Outside(format!(
            "a hole of {drill} in a shaft of {shaft}: the rule holds up to {LARGEST_CROSS_HOLE} of the shaft"
        ))
    };
    let factor = cross_hole_factor(diameter, hole).ok_or_else(outside)?;
    let net = cross_hole_net(torque, diameter, hole).ok_or_else(outside)?;
    let gross = round_torsion(torque, diameter);
    let (left, edge) = (equivalent(Stress::mpa(0.0), net), gross * factor);
    let yields = m.yield_strength;
    let source = format!("{}; {}", RULE.source, m.yield_source);
    let first = format!(
        "{:.1} MPa of torsion in what the hole of {drill} leaves of {shaft} act like {:.1} MPa; yield is {:.0} MPa",
        net.to_mpa(),
        left.to_mpa(),
        yields.to_mpa()
    );
    let second = format!(
        "the edge of the hole is pulled {factor:.2} times the {:.1} MPa of the whole shaft, {:.1} MPa; above the yield of {:.0} MPa each hard turn works it towards a crack",
        gross.to_mpa(),
        edge.to_mpa(),
        yields.to_mpa()
    );
    Ok(vec![
        Judged::stress(left, yields, first).from(&source),
        // Steel that yields in one place is not lost at once: to look at, and the shaft's steel as a whole decides.
        Judged::stress(edge, yields, second).from(&source).warns(),
    ])
}
