//! Bodies that want the same space.

use super::{Finding, Rule, Verdict};
use crate::assembly::{Assembly, CLASH_MM, clashes};

pub(super) const RULE: Rule = Rule {
    code: "clash",
    rule: "no two bodies overlap by more than 0.3 mm where they stand",
    why: "what overlaps on the screen meets in the frame, when everything is cut and drilled",
    source: "common practice, no source; 0.3 mm keeps the facets of the meshes out of it",
    holds: "bodies that have a place in their part or on the vehicle",
};

pub(super) fn check(assembly: &Assembly) -> Vec<Finding> {
    clashes(assembly)
        .into_iter()
        .map(|c| Finding {
            code: RULE.code.to_string(),
            part: c.parts[0].clone(),
            verdict: Verdict::Fail,
            value: None,
            limit: Some(CLASH_MM),
            unit: "mm",
            says: format!(
                "`{}` and `{}` want the same space at x {:.0}, y {:.0}, z {:.0} mm",
                c.one, c.other, c.at.x, c.at.y, c.at.z
            ),
            source: RULE.source.to_string(),
            ..Finding::default()
        })
        .collect()
}
