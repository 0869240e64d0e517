//! How far a large bend springs back, and the radius to roll it to.

use super::{Finding, Rule, Verdict};
use crate::handbook::bend::{spring_factor, tool_radius};
use crate::handbook::material;
use crate::piece::{Form, Piece, Step};

pub(super) const RULE: Rule = Rule {
    code: "springback",
    rule: "a note, no limit: bend to the angle over kR, round a tool of kR (r + t/2) - t/2",
    why: "a strap rolled to the tank's own radius comes off the roller a hand's breadth too open",
    source: "Tabellenbuch Metall, springback factors, as quoted in a secondary source; its column heads and the radius form from memory, unconfirmed",
    holds: "bends of 5 to 100 thicknesses in soft steel, stainless or aluminium",
};

/// Radius over thickness from which it is worth a note.
const LARGE: f64 = 5.0;

pub(super) fn check(piece: &Piece) -> Vec<Finding> {
    let Form::Strip(strip) = &piece.form else { return vec![] };
    let widest = strip
        .steps
        .iter()
        .filter_map(|s| match s {
            Step::Bend(b) => Some((b.inside_radius, b.angle)),
            Step::Flat(_) => None,
        })
        .max_by(|a, b| a.0.to_mm().total_cmp(&b.0.to_mm()));
    let Some((radius, angle)) = widest.filter(|w| w.0 / strip.thickness >= LARGE) else { return vec![] };
    let Some(metal) = material::find(&piece.stock.material) else { return vec![] };
    let note = |value: Option<f64>, says: String| Finding {
        code: RULE.code.to_string(),
        part: piece.part.clone(),
        verdict: Verdict::Note,
        value,
        unit: if value.is_some() { "mm" } else { "" },
        says,
        source: RULE.source.to_string(),
        ..Finding::default()
    };
    let Some(factor) = spring_factor(metal.bend_class, radius / strip.thickness) else {
        let says = format!(
            "{}: how far its bend of {:.0} mm springs back is not in the table: try it",
            piece.name,
            radius.to_mm()
        );
        return vec![note(None, says)];
    };
    let tool = tool_radius(radius, strip.thickness, factor);
    let says = format!(
        "{}: the bend of {:.0} mm springs back: roll it round {:.0} mm, by {:.0} deg in place of {:.0} deg, then let the bolts pull it in",
        piece.name,
        radius.to_mm(),
        tool.to_mm(),
        angle.to_degrees().abs() / factor,
        angle.to_degrees().abs()
    );
    vec![note(Some(tool.to_mm()), says)]
}
