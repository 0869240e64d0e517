//! What the order of work needs to know of the parts.

use super::Outcome;
use super::findings::is_scrap;
use crate::checks::after_bending;
use crate::drawing::SawBar;
use crate::flat::FlatPattern;
use crate::handbook::drills::Drawer;
use crate::handbook::fasteners::Head;
use crate::job::Given;
use crate::piece::Form;
use crate::report::{PartFacts, ShopSheet, WorkFacts};
use crate::stock::BinEntry;
use crate::template::Item;
use crate::units::System;
use std::collections::BTreeSet;

/// Facts of every part, and of plain pieces that belong to none.
pub(super) fn work_facts(outcome: &Outcome) -> WorkFacts<'_> {
    let worked = &outcome.worked;
    let mut parts: Vec<PartFacts> = worked.parts.iter().map(|p| part_facts(outcome, &p.name, &p.pieces)).collect();
    let inside: Vec<usize> = worked.parts.iter().flat_map(|p| p.pieces.iter().copied()).collect();
    let plain = (0..worked.pieces.len()).filter(|i| !inside.contains(i));
    parts.extend(plain.map(|i| part_facts(outcome, &worked.pieces[i].part, &[i])));
    parts.extend(worked.reworks.iter().map(|r| PartFacts {
        name: r.part.clone(),
        drilled: !r.holes.is_empty(),
        ..PartFacts::default()
    }));
    let job = &outcome.loaded.job;
    WorkFacts {
        parts,
        loads: &job.loads,
        unknown_steel: unknown_steel(outcome),
        sawn: !worked.flats.is_empty(),
        system: job.units,
    }
}

/// Whether a part is of scrap by the job's words, or something is cut from steel whose grade the bin does not know.
fn unknown_steel(outcome: &Outcome) -> bool {
    let job = &outcome.loaded.job;
    let scrap = |g: &Given| is_scrap(&g.2.value);
    let by_words = job.parts.iter().any(|p| {
        p.steel == "unknown scrap" || p.given.iter().any(scrap) || p.copies.iter().flat_map(|c| &c.given).any(scrap)
    });
    let unknown = |e: Option<&BinEntry>| e.is_some_and(|e| e.facts.grade == "unknown");
    let bars = outcome.plan.bars.iter().any(|g| g.plan.bars.iter().any(|b| unknown(g.entries.get(b.stock))));
    let ids: BTreeSet<&str> = outcome.plan.sheets.iter().flat_map(|g| g.sheets.iter().map(|s| s.id.as_str())).collect();
    by_words || bars || outcome.loaded.bin.entries.iter().any(|e| ids.contains(e.id.as_str()) && unknown(Some(e)))
}

/// What the shop sheet is made from.
pub(super) fn shop_sheet<'a>(outcome: &'a Outcome, bars: &'a [SawBar]) -> ShopSheet<'a> {
    let (job, worked) = (&outcome.loaded.job, &outcome.worked);
    ShopSheet {
        flats: worked.flats.iter().chain(&worked.reworks).collect(),
        bars,
        bolts: worked.needs.bolts(job.sizes),
        drawer: drawer(job.sizes),
        system: job.units,
    }
}

/// The drills that go with the job's sizes.
pub(super) fn drawer(sizes: System) -> Drawer {
    if sizes == System::Inch { Drawer::Inch } else { Drawer::Metric }
}

fn part_facts(outcome: &Outcome, name: &str, pieces: &[usize]) -> PartFacts {
    let worked = &outcome.worked;
    let template = outcome.loaded.template_of(name);
    let flats: Vec<&FlatPattern> = pieces.iter().filter_map(|i| worked.flats.get(*i)).collect();
    let welded = worked.needs.welds.iter().any(|w| w.0 == name);
    // A bore is a hole across a piece, or the inside of a short tube.
    let tube = |i: &usize| matches!(worked.pieces.get(*i), Some(p) if matches!(p.form, Form::Section(_)) && p.stock.shape == "round tube");
    PartFacts {
        name: name.to_string(),
        holds: template.map_or("", |t| t.holds()).to_string(),
        welded,
        bent: flats.iter().any(|f| !f.bend_lines.is_empty()),
        drilled: flats.iter().any(|f| !f.holes.is_empty()),
        bored: welded && pieces.iter().any(tube),
        bolted: worked.needs.of_part(name, |i| matches!(i, Item::Bolt(b) if b.head == Head::Hexagon)),
        lined: worked.needs.of_part(name, |i| matches!(i, Item::Sheet(_))),
        after_bending: flats
            .iter()
            .map(|f| (f.piece.clone(), after_bending(f)))
            .filter(|(_, letters)| !letters.is_empty())
            .collect(),
    }
}
