//! A job as one page to look at.

use super::buy::buy_list;
use super::facts::{shop_sheet, work_facts};
use super::make::cut_from;
use super::packet::{cover, part_sheet};
use super::pictures::{Scenes, standing};
use super::work::file_name;
use super::{Made, Outcome};
use crate::drawing::Block;
use crate::drawing::picture::Look;
use crate::flat::FlatPattern;
use crate::page::{PagePart, Scene, WebPage, web_page};
use crate::report::{CUT_SIDE, saw_advice, saw_list, sheet_list};
use crate::source::safe_name;
use std::collections::BTreeMap;

/// The page of a job; `made` tells which files stand beside it.
pub(super) fn index_page(outcome: &Outcome, scenes: &Scenes, made: &Made) -> String {
    with_page(outcome, scenes, made, web_page)
}

/// What the page of a job shows, for whoever writes it.
pub(super) fn with_page<T>(outcome: &Outcome, scenes: &Scenes, made: &Made, written: impl FnOnce(&WebPage) -> T) -> T {
    let (job, worked) = (&outcome.loaded.job, &outcome.worked);
    let facts = work_facts(outcome);
    let bars = saw_list(&outcome.plan, job.units);
    let plates = sheet_list(&outcome.plan, job.units);
    let mut advice = saw_advice(&bars, job.units);
    advice.extend(outcome.plan.substitutes.iter().map(crate::report::substitute_words));
    advice.extend(outcome.plan.notes.iter().cloned());
    if plates.iter().any(|p| !p.cuts.is_empty()) {
        advice.push(CUT_SIDE.to_string());
    }
    let scene = outcome.stood.as_ref().filter(|s| !s.job.stands.is_empty()).map(|s| Scene {
        picture: scenes.job.as_ref(),
        look: scenes.job_look.unwrap_or(Look::RightCorner),
        stands: standing(&worked.pieces, &s.job.stands),
    });
    written(&WebPage {
        job: &job.name,
        cover: cover(outcome, &facts, None),
        scene,
        parts: parts(outcome, scenes, made),
        findings: &worked.findings,
        uncut: outcome.plan.uncut(),
        proved: outcome.plan.proved(),
        bars: &bars,
        plates: &plates,
        advice,
        buy: buy_list(outcome).blocks(),
        order: without_heading(facts.order()),
        shop: shop_sheet(outcome, &bars).blocks(),
        sign_off: without_heading(facts.sign_off()),
        files: files(made),
        system: job.units,
    })
}

fn without_heading(blocks: Vec<Block>) -> Vec<Block> {
    let first = usize::from(matches!(blocks.first(), Some(Block::Heading(_))));
    blocks.into_iter().skip(first).collect()
}

/// Parts of templates and plain pieces, then things that are there already.
fn parts<'a>(outcome: &'a Outcome, scenes: &'a Scenes, made: &Made) -> Vec<PagePart<'a>> {
    let worked = &outcome.worked;
    let from = cut_from(&outcome.plan);
    let Some(stood) = &outcome.stood else { return vec![] };
    let mut out: Vec<PagePart> = vec![];
    for (part, assembly) in &stood.parts {
        let flats = || part.pieces.iter().filter_map(|i| worked.flats.get(*i));
        let weight = worked.findings.iter().filter(|f| f.part == part.name && f.code == "weight");
        let own = |prefix: &str| {
            let begins = |f: &&String| f.strip_prefix(prefix).is_some_and(|rest| rest.starts_with(['.', '-']));
            made.folder.files().map(|f| f.0).filter(begins).cloned().collect::<Vec<_>>()
        };
        let mut files = own(&format!("parts/{}", safe_name(&part.name)));
        files.retain(|f| f.matches('.').count() == 1 && f.starts_with(&format!("parts/{}.", safe_name(&part.name))));
        files.extend(flats().flat_map(|f| own(&format!("pieces/{}", file_name(&f.part, &f.piece)))));
        out.push(PagePart {
            name: &part.name,
            made: part.made,
            scene: (!assembly.stands.is_empty()).then(|| Scene {
                picture: scenes.parts.get(&part.name),
                look: scenes.looks.get(&part.name).copied().unwrap_or(Look::RightCorner),
                stands: standing(&worked.pieces, &assembly.stands),
            }),
            flats: flats().map(|f| (f, from.get(&f.key()).cloned().unwrap_or_default())).collect(),
            sheet: without_heading(part_sheet(outcome, part, &from, None)),
            says: weight.map(|f| format!("It {}.", f.says)).collect(),
            files,
        });
    }
    let mut there: BTreeMap<&str, Vec<&FlatPattern>> = BTreeMap::new();
    worked.reworks.iter().for_each(|r| there.entry(&r.part).or_default().push(r));
    out.extend(there.into_iter().map(|(name, flats)| PagePart {
        name,
        made: 0,
        scene: None,
        flats: flats.into_iter().map(|f| (f, String::new())).collect(),
        sheet: vec![],
        says: vec!["Is there already; it is drilled or cut as drawn.".to_string()],
        files: vec![],
    }));
    out
}

/// Files at the top of the folder as they are listed together, and what they are.
fn files(made: &Made) -> Vec<(Vec<String>, String)> {
    let top = || made.folder.files().map(|f| f.0).filter(|f| !f.contains('/'));
    let listed = made.listed.iter().map(|(names, what)| {
        let stem = names.split(['.', ',']).next().unwrap_or("");
        let named = |file: &&String| {
            names.split(", ").any(|w| match w.strip_suffix(".*") {
                Some(begin) => file.strip_prefix(begin).is_some_and(|rest| rest.starts_with('.')),
                None => *file == w || w.starts_with('.') && **file == format!("{stem}{w}"),
            })
        };
        (top().filter(named).cloned().collect(), what.clone())
    });
    listed.filter(|(files, _): &(Vec<String>, String)| !files.is_empty()).collect()
}
