//! A rubber pad pressed together.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, count, force, length};
use crate::handbook::rubber::{GREATEST_COMPRESSION, corrected_modulus, find, shape_factor};
use crate::units::{Dim, Stress};

pub(super) const RULE: Rule = Rule {
    code: "rubber-pad",
    rule: "a rubber pad is pressed together by no more than 15 % of its thickness, with the modulus of its shape",
    why: "rubber that is squeezed further takes a set, creeps out from under the edge and lets metal touch metal",
    source: "Gent and Lindley's modulus by shape factor, strain limit from designing with rubber, as quoted in secondary sources; hardness rows from memory, unconfirmed, except 65 and 75",
    holds: "pads gripped on both faces; hardness 40, 50, 60, 65, 70 or 75 IRHD",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("force", "force on one pad"),
        length("length", "length of the pad"),
        length("width", "width of the pad that is loaded"),
        length("thickness", "thickness of the pad"),
        count("hardness", "hardness of the rubber, IRHD"),
    ],
    example: &[("force", "500 N"), ("length", "80 mm"), ("width", "16 mm"), ("thickness", "5 mm"), ("hardness", "60")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let rubber = find(t.count("hardness"))
        .ok_or_else(|| Outside(format!("rubber of hardness {} has no row", t.count("hardness"))))?;
    let (a, b) = (t.length("length"), t.length("width"));
    let pressure = Stress::mpa(t.force("force").to_newtons() / (a.to_mm() * b.to_mm()));
    let shape = shape_factor(a, b, t.length("thickness"));
    let strain = pressure / corrected_modulus(rubber, shape);
    let says = format!(
        "{:.3} MPa press the pad together by {:.1} % of its thickness (shape factor {shape:.2}); 15 % at most",
        pressure.to_mpa(),
        strain * 100.0
    );
    let source = format!("{}; {}", RULE.source, rubber.source);
    Ok(vec![Judged::at_most(strain, GREATEST_COMPRESSION, Dim::PLAIN, says).from(source)])
}
