//! What a job needs, gathered from parts, bodies and plan.

use super::Outcome;
use super::weights::part_lines;
use crate::report::BuyList;

/// The one buy list. Without bodies it has no steel and no paint in it.
pub(super) fn buy_list(outcome: &Outcome) -> BuyList<'_> {
    let needs = &outcome.worked.needs;
    let parts = outcome.stood.as_ref().map_or_else(Vec::new, |s| part_lines(&outcome.worked, s));
    BuyList {
        hardware: &needs.hardware,
        sources: needs.sources.iter().cloned().collect(),
        strips: &needs.strips,
        welds: &needs.welds,
        parts: parts.into_iter().map(|p| (p.name, p.count, p.mass, p.area_mm2)).collect(),
        stock: outcome.plan.stock().map(|(id, price, bought)| (id.to_string(), price, bought)).collect(),
        system: outcome.loaded.job.units,
    }
}
