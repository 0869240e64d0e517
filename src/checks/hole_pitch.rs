//! Distance from hole to hole.

use super::{Finding, Rule, Verdict, at_least};
use crate::flat::FlatPattern;
use crate::handbook::holes::en_pitch;
use crate::piece::HoleShape;
use crate::units::Length;

pub(super) const RULE: Rule = Rule {
    code: "hole-pitch",
    rule: "bolt holes of one size stand 2.2 hole diameters apart, centre to centre",
    why: "with less steel between them the row tears like a stamp, and washers overlap",
    source: "EN 1993-1-8 Table 3.3 (p1 at least 2.2 d0; its table begins at M12)",
    holds: "round bolt holes of one pattern; under M12 scaled by the hole",
};

pub(super) fn check(flat: &FlatPattern, bolts: &[&str]) -> Vec<Finding> {
    let mut worst: Option<(f64, f64, f64, &str, &str)> = None;
    for (i, a) in flat.holes.iter().enumerate() {
        for b in &flat.holes[i + 1..] {
            let (HoleShape::Round { diameter: d }, HoleShape::Round { diameter: e }) = (a.shape, b.shape) else {
                continue;
            };
            // Only holes of one pattern are bolts of one joint.
            if a.face != b.face || a.name != b.name || !bolts.contains(&a.name.as_str()) {
                continue;
            }
            let (pitch, larger) = (a.at.distance(b.at), d.max(e));
            if worst.is_none_or(|w| pitch / larger < w.0) {
                worst = Some((pitch / larger, pitch, larger, &a.letter, &b.letter));
            }
        }
    }
    let Some((ratio, pitch, diameter, a, b)) = worst else { return vec![] };
    let limit = en_pitch(Length::mm(diameter)).to_mm();
    let says = format!(
        "{}: holes {a} and {b} are {pitch:.1} mm apart, {ratio:.2} hole diameters; wanted {limit:.1} mm",
        flat.piece
    );
    vec![at_least(&RULE, &flat.part, pitch, limit, Verdict::Warn, says)]
}
