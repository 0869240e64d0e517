//! How hard a strap presses its liner onto the tank.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, count, force, length};
use crate::handbook::rubber::{corrected_modulus, find, greatest_stress, strip_shape_factor};
use crate::units::Stress;

pub(super) const RULE: Rule = Rule {
    code: "liner-pressure",
    rule: "the pressure of a strap round a bend, its pull over width and radius, is no more than squeezes the liner by 15 %",
    why: "rubber that is squeezed flat creeps out, and bare steel then wears through the tank",
    source: "Gent and Lindley's modulus by shape factor, strain limit of 15 % from designing with rubber, as quoted in a secondary source; hardness rows from memory, unconfirmed, except 65 and 75",
    holds: "a strap that slides on its liner until the pull is even; hardness 40, 50, 60, 65, 70 or 75 IRHD",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("pull", "pull in the strap"),
        length("width", "width of the strap"),
        length("radius", "radius of the tank there"),
        length("liner", "thickness of the liner"),
        count("hardness", "hardness of the rubber, IRHD"),
    ],
    example: &[("pull", "2 kN"), ("width", "40 mm"), ("radius", "110 mm"), ("liner", "3 mm"), ("hardness", "60")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let rubber = find(t.count("hardness"))
        .ok_or_else(|| Outside(format!("rubber of hardness {} has no row", t.count("hardness"))))?;
    let (width, radius) = (t.length("width"), t.length("radius"));
    let pressure = Stress::mpa(t.force("pull").to_newtons() / (width.to_mm() * radius.to_mm()));
    let limit = greatest_stress(corrected_modulus(rubber, strip_shape_factor(width, t.length("liner"))));
    let says = format!(
        "the strap presses with {:.3} MPa where it goes round {}; its liner takes {:.2} MPa",
        pressure.to_mpa(),
        t.show_length(radius),
        limit.to_mpa()
    );
    Ok(vec![Judged::stress(pressure, limit, says).from(format!("{}; {}", RULE.source, rubber.source))])
}
