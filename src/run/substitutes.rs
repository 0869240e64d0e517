//! Stock that stands in: where a piece would stay uncut or its steel would have
//! to be bought, what the job or the bin accepts is tried in its place.
//!
//! A substitute that the piece is made from as it is goes through the whole
//! pipeline first: template, flat pattern, checks. It is refused if any of them
//! says so. A ripped bar leaves the piece as it was. Then the whole plan is
//! made anew, and the substitute stays only if the plan is better: fewer pieces
//! uncut, then less money, then less steel used up.

mod choices;
mod near;

use super::load::Loaded;
use super::plan::{Planner, Rips};
use super::work::{Worked, work_out};
use crate::checks::Verdict;
use crate::cut::Effort;
use crate::handbook;
use crate::piece::Stock;
use crate::report::{CutPlan, Substitute};
use crate::source::Text;
use crate::units::show_size;
use choices::choices;
use near::near_misses;
use std::collections::BTreeSet;

/// Sets of substitutes up to so many are all tried; above that one substitute
/// is taken after the other while it helps.
const MOST_SETS: usize = 64;
/// Most substitutes that are looked at for one job.
const MOST_CHOICES: usize = 60;

/// What the person is asked to do for other stock.
#[derive(Clone, Debug)]
enum Change {
    /// Answer these questions of a part otherwise: the part's place in the job.
    Answers(usize, Vec<(String, String)>),
    /// Another size or material of a plain cut.
    Cut(usize),
    /// Another thickness or material of a plain blank.
    Blank(usize),
    /// Rip these pieces, `part/piece`, out of wider bar.
    Rip(Vec<String>),
}

#[derive(Clone, Debug)]
struct Choice {
    /// Choices of one slot exclude each other.
    slot: usize,
    part: String,
    wanted: Stock,
    taken: Stock,
    change: Change,
}

/// Pieces uncut, money, steel used up in grams: less is better.
type Score = (u32, i64, i64);

/// The plan, and what was worked out for it, with the best substitutes.
pub(super) fn with_substitutes(loaded: &Loaded, worked: Worked, effort: Effort) -> (Worked, CutPlan) {
    let mut planner = Planner { loaded, effort, known: vec![] };
    let plan = planner.plan(&worked, &Rips::new());
    let mut first = Tried { score: score(&plan), worked, plan };
    if first.score.0 == 0 && first.score.1 == 0 {
        return (first.worked, first.plan);
    }
    let mut notes = near_misses(loaded, &first);
    let choices = choices(loaded, &first.worked);
    let mut search = Search { planner, loaded, base: &first.worked, choices: vec![] };
    for c in choices.into_iter().take(MOST_CHOICES) {
        match search.rework(std::slice::from_ref(&c)) {
            Ok(_) => search.choices.push(c),
            Err(why) => {
                notes.push(format!("{}: {} cannot stand in for {}: {why}", c.part, words(&c.taken), words(&c.wanted)))
            }
        }
    }
    let taken = search.best(first.score);
    if taken.is_empty() {
        first.plan.notes.extend(notes);
        return (first.worked, first.plan);
    }
    let Ok(mut best) = search.try_all(&taken) else { return (first.worked, first.plan) };
    let mut told = vec![];
    for (i, c) in taken.iter().enumerate() {
        let mut rest = taken.clone();
        rest.remove(i);
        let without =
            if rest.is_empty() { first.score } else { search.try_all(&rest).map_or(first.score, |t| t.score) };
        told.push(Substitute {
            part: c.part.clone(),
            wanted: c.wanted.clone(),
            taken: c.taken.clone(),
            ripped: matches!(c.change, Change::Rip(_)),
            why: why(best.score, without),
        });
    }
    best.plan.substitutes = told;
    best.plan.notes.extend(notes);
    (best.worked, best.plan)
}

/// `flat bar 40 x 3 mm, mild steel`.
fn words(s: &Stock) -> String {
    format!("{} {}, {}", s.shape, show_size(&s.size), s.material)
}

/// Why a substitute was taken.
fn why(with: Score, without: Score) -> String {
    if without.0 > with.0 {
        return format!("without it {} more stay uncut", without.0 - with.0);
    }
    if without.1 > with.1 {
        return format!("it saves {:.2}", (without.1 - with.1) as f64 / 10_000.0);
    }
    "it uses less steel".to_string()
}

struct Tried {
    score: Score,
    worked: Worked,
    plan: CutPlan,
}

/// Steel that leaves the rack for good, grams.
fn score(plan: &CutPlan) -> Score {
    let mut grams = 0.0;
    for g in &plan.bars {
        let density = handbook::material::find(&g.stock.material).map_or(0.0, |m| m.density_kg_per_m3);
        let area = crate::piece::profile_of(&g.stock).map_or(0.0, |p| p.area_mm2());
        for b in &g.plan.bars {
            let cut: f64 = b.cuts.iter().map(|c| g.demands[c.demand].length_mm).sum();
            grams += (cut + b.waste.to_mm()) * area * density * 1e-6;
        }
    }
    for g in &plan.sheets {
        let density = handbook::material::find(&g.stock.material).map_or(0.0, |m| m.density_kg_per_m3);
        let thick = g.stock.size.first().map_or(0.0, |t| t.to_mm());
        let blanks: f64 = g.demands.iter().map(|d| d.length_mm * d.width_mm * f64::from(d.count)).sum();
        let lost = g.stages.iter().find(|s| s.name == "waste").map_or(0.0, |s| s.value as f64 * 1e-6);
        grams += (blanks + lost) * thick * density * 1e-6;
    }
    (plan.uncut(), plan.money(), libm::round(grams) as i64)
}

struct Search<'a> {
    planner: Planner<'a>,
    loaded: &'a Loaded,
    base: &'a Worked,
    choices: Vec<Choice>,
}

impl Search<'_> {
    /// Work the job out with these substitutes.
    fn rework(&self, chosen: &[Choice]) -> Result<Worked, String> {
        if chosen.iter().all(|c| matches!(c.change, Change::Rip(_))) {
            return Ok(self.base.clone());
        }
        let mut loaded = self.loaded.clone();
        for c in chosen {
            match &c.change {
                Change::Answers(part, answers) => {
                    let part = &mut loaded.job.parts[*part];
                    for (name, value) in answers {
                        part.given.retain(|x| x.0 != *name);
                        part.given.push((name.clone(), part.span.clone(), Text::made(value, loaded.job.file)));
                    }
                }
                Change::Cut(i) => {
                    let cut = &mut loaded.job.cuts[*i];
                    (cut.size, cut.material) = (c.taken.size.clone(), c.taken.material.clone());
                }
                Change::Blank(i) => {
                    let blank = &mut loaded.job.blanks[*i];
                    blank.thickness = c.taken.size.first().copied().unwrap_or(blank.thickness);
                    blank.material = c.taken.material.clone();
                }
                Change::Rip(_) => {}
            }
        }
        let worked =
            work_out(&loaded).map_err(|t| t.diagnostics.first().map_or_else(String::new, |d| d.message.clone()))?;
        let failed = |w: &Worked| -> BTreeSet<(String, String)> {
            let bad = w.findings.iter().filter(|f| f.verdict == Verdict::Fail);
            bad.map(|f| (f.part.clone(), f.code.clone())).collect()
        };
        let before = failed(self.base);
        match worked
            .findings
            .iter()
            .find(|f| f.verdict == Verdict::Fail && !before.contains(&(f.part.clone(), f.code.clone())))
        {
            Some(f) => Err(format!("a check fails then: {}", f.says)),
            None => Ok(worked),
        }
    }

    fn try_all(&mut self, chosen: &[Choice]) -> Result<Tried, String> {
        let worked = self.rework(chosen)?;
        let mut rips = Rips::new();
        for c in chosen {
            if let Change::Rip(keys) = &c.change {
                rips.extend(keys.iter().map(|k| (k.clone(), c.taken.clone())));
            }
        }
        let plan = self.planner.plan(&worked, &rips);
        Ok(Tried { score: score(&plan), worked, plan })
    }

    /// The best set of substitutes; the first one found among equals, and fewer
    /// before more.
    fn best(&mut self, without: Score) -> Vec<Choice> {
        let slots: BTreeSet<usize> = self.choices.iter().map(|c| c.slot).collect();
        let count = |slot: usize| self.choices.iter().filter(|c| c.slot == slot).count() + 1;
        let sets = slots.iter().try_fold(1_usize, |n, s| n.checked_mul(count(*s)));
        match sets {
            Some(n) if n <= MOST_SETS => self.best_of_all(&slots, without),
            _ => self.one_by_one(without),
        }
    }

    fn best_of_all(&mut self, slots: &BTreeSet<usize>, without: Score) -> Vec<Choice> {
        let mut sets: Vec<Vec<Choice>> = vec![vec![]];
        for slot in slots {
            let mut more = vec![];
            for set in &sets {
                for c in self.choices.iter().filter(|c| c.slot == *slot) {
                    let mut longer = set.clone();
                    longer.push(c.clone());
                    more.push(longer);
                }
            }
            sets.extend(more);
        }
        sets.sort_by_key(Vec::len);
        let (mut best, mut taken) = (without, vec![]);
        for set in sets.into_iter().skip(1) {
            if let Ok(t) = self.try_all(&set)
                && t.score < best
            {
                (best, taken) = (t.score, set);
            }
        }
        taken
    }

    fn one_by_one(&mut self, without: Score) -> Vec<Choice> {
        let (mut best, mut taken) = (without, Vec::<Choice>::new());
        loop {
            let mut next: Option<(Score, Choice)> = None;
            for c in self.choices.clone() {
                if taken.iter().any(|t| t.slot == c.slot) {
                    continue;
                }
                let mut set = taken.clone();
                set.push(c.clone());
                if let Ok(t) = self.try_all(&set)
                    && t.score < next.as_ref().map_or(best, |n| n.0)
                {
                    next = Some((t.score, c));
                }
            }
            let Some((score, c)) = next else { return taken };
            best = score;
            taken.push(c);
        }
    }
}
