//! How large a fillet must be, and may be.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, length, optional};
use crate::handbook::welds::{LEAST_THROAT, aws_least_leg, greatest_leg, throat};

pub(super) const RULE: Rule = Rule {
    code: "weld-size",
    rule: "a fillet is no smaller than the thicker part wants (1/8 in to 1/4 in of steel, 3/16 in to 1/2 in), has a throat of 3 mm, and along an edge is no larger than the edge leaves",
    why: "too small a fillet cools so fast that it cracks; too large a one melts the edge away",
    source: "AWS D1.1:2025 Table 7.7 and EN 1993-1-8, 4.5.2(2), greatest leg by AISC 360, J2.2b, as quoted in secondary sources",
    holds: "single-pass fillets on steel; the leg need not be larger than the thinner part",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        length("leg", "leg of the fillet"),
        length("thinner", "thickness of the thinner part"),
        length("thicker", "thickness of the thicker part"),
        optional(length("along_edge", "thickness of the plate along whose edge it runs")),
    ],
    example: &[("leg", "4.25 mm"), ("thinner", "2 mm"), ("thicker", "3 mm")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let leg = t.length("leg");
    let least = aws_least_leg(t.length("thicker").max(t.length("thinner")), false).min(t.length("thinner"));
    let mut out = vec![Judged::long_enough(
        leg,
        least,
        format!("the fillet has a leg of {}; {} at least", t.show_length(leg), t.show_length(least)),
    )];
    let says = format!(
        "its throat is {}; below {} no fillet is counted",
        t.show_length(throat(leg)),
        t.show_length(LEAST_THROAT)
    );
    // A leg written to a hundredth of a millimetre is meant.
    let measured = throat(leg + crate::units::Length::mm(0.005));
    out.push(Judged::long_enough(measured, LEAST_THROAT, says).warns());
    if t.has("along_edge") {
        let most = greatest_leg(t.length("along_edge"));
        let says = format!("along the edge the leg is {}; {} at most", t.show_length(leg), t.show_length(most));
        out.push(Judged::at_most(leg.to_mm(), most.to_mm(), crate::units::Dim::LENGTH, says).warns());
    }
    Ok(out)
}
