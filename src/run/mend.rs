//! The way out of a failed finding: the smallest single change of an answer
//! that would meet the rule, found by trying it on the whole part.

use super::load::Loaded;
use super::work::{Worked, work_part};
use crate::checks::{Finding, Verdict};
use crate::diag::Severity;
use crate::expr::Value;
use crate::handbook::{bolts, holes, material};
use crate::job::{Copy, Part};
use crate::piece::Stock;
use crate::source::{Obj, Text};
use crate::units::{Dim, Length, System, same_size, show_quantity, show_size};

/// Most tries for one job; each works a whole part out.
const MOST_TRIES: usize = 3_000;
/// Most ways out that are told for one finding.
const MOST_TOLD: usize = 3;

/// Thicknesses of plate and bar that are sold, mm. Common practice, no source.
const THICK_MM: &[f64] = &[1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 16.0, 20.0, 25.0];
/// The same in 1/16 in.
const THICK_16: &[f64] = &[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0];
/// Widths of bar and tube that are sold, mm. Common practice, no source.
const WIDE_MM: &[f64] = &[15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 100.0];
/// The same in 1/4 in.
const WIDE_4: &[f64] = &[3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 16.0];
/// Steps of a free length, mm.
const STEPS_MM: &[f64] = &[1.0, 2.0, 3.0, 5.0, 8.0, 10.0, 15.0, 20.0, 30.0, 40.0, 60.0, 80.0];

/// One answer changed, and how large a change that is.
struct Try {
    answer: String,
    size: f64,
}

/// Tell the ways out of every failed finding.
pub(super) fn mend(loaded: &Loaded, worked: &mut Worked) {
    let mut left = MOST_TRIES;
    let failed: Vec<usize> =
        (0..worked.findings.len()).filter(|i| worked.findings[*i].verdict == Verdict::Fail).collect();
    for i in failed {
        let Some((part, copy)) = part_of(loaded, &worked.findings[i].part) else { continue };
        let told = ways_out(loaded, part, copy, &worked.findings[i], worked, &mut left);
        worked.findings[i].mend = told.join("; or ");
    }
}

/// The part, and its copy, of a finding.
pub(super) fn part_of<'a>(loaded: &'a Loaded, name: &str) -> Option<(&'a Part, Option<&'a Copy>)> {
    for p in &loaded.job.parts {
        if p.copies.is_empty() && p.name == name {
            return Some((p, None));
        }
        for (i, c) in p.copies.iter().enumerate() {
            if super::work::copy_name(p, i) == name {
                return Some((p, Some(c)));
            }
        }
    }
    None
}

fn ways_out(
    loaded: &Loaded,
    part: &Part,
    copy: Option<&Copy>,
    finding: &Finding,
    worked: &Worked,
    left: &mut usize,
) -> Vec<String> {
    let Some(template) = loaded.templates.iter().find(|t| t.name == part.template.value) else { return vec![] };
    let base = trial(loaded, part, copy, &finding.part, None);
    let fails = |w: &Worked| w.findings.iter().filter(|f| f.verdict == Verdict::Fail).count();
    let Some(base) = base.filter(|b| b.findings.iter().any(|f| same(f, finding))) else { return vec![] };
    let mut found: Vec<(f64, String)> = vec![];
    for (name, _, ask) in template.obj.named("ask") {
        let Some(kind) = ask.word("mend") else { continue };
        let Some(now) = worked.values.get(&format!("{}: {name}", finding.part)) else { continue };
        for t in tries(kind, ask, now, loaded.job.sizes) {
            if *left == 0 {
                break;
            }
            *left -= 1;
            let Some(new) = trial(loaded, part, copy, &finding.part, Some((name, &t.answer))) else { continue };
            if fails(&new) < fails(&base) && !new.findings.iter().any(|f| same(f, finding)) {
                let was = match now {
                    Value::Quantity(v, d) => show_quantity(*v, *d, loaded.job.units),
                    Value::Word(w) => w.clone(),
                    Value::YesNo(_) => continue,
                };
                let from = supply(loaded, &base, &new);
                found.push((t.size, format!("{name} {} in place of {was}{from}", t.answer)));
                break;
            }
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found.into_iter().take(MOST_TOLD).map(|f| f.1).collect()
}

/// Whether a finding is the same failure.
fn same(f: &Finding, of: &Finding) -> bool {
    f.verdict == Verdict::Fail && f.code == of.code
}

/// The part alone with one answer changed; nothing where it cannot be made.
pub(super) fn trial(
    loaded: &Loaded,
    part: &Part,
    copy: Option<&Copy>,
    name: &str,
    change: Option<(&String, &String)>,
) -> Option<Worked> {
    let mut changed = part.clone();
    let mut changed_copy = copy.cloned();
    if let Some((ask, answer)) = change {
        let given = (ask.clone(), 0..0, Text::made(answer, loaded.job.file));
        match &mut changed_copy {
            Some(c) => c.given.push(given),
            None => changed.given.push(given),
        }
    }
    let mut out = vec![];
    let worked = work_part(loaded, &changed, changed_copy.as_ref(), name, &mut out);
    out.iter().all(|d| d.severity != Severity::Error).then_some(worked)
}

/// Answers to try, the smallest change first.
fn tries(kind: &str, ask: &Obj, now: &Value, sizes: System) -> Vec<Try> {
    let inch = sizes == System::Inch;
    let mut out: Vec<Try> = match (kind, now) {
        ("choice", Value::Word(now)) => {
            let words: Vec<String> = if ask.word("kind") == Some("material") {
                material::MATERIALS.iter().map(|m| m.name.to_string()).collect()
            } else {
                ask.texts("choices").iter().map(|c| c.value.clone()).collect()
            };
            // In the order of the table, whose first rows are the plain ones.
            let at = words.iter().position(|w| w == now).unwrap_or(0) as f64;
            let far = |i: usize| 1.0 + (i as f64 - at).abs() / 100.0;
            words
                .into_iter()
                .enumerate()
                .filter(|w| w.1 != *now)
                .map(|(i, w)| Try { size: far(i), answer: w })
                .collect()
        }
        ("count", Value::Quantity(v, _)) => (1..=3)
            .map(|n| Try { answer: format!("{}", libm::round(*v) + f64::from(n)), size: f64::from(n) / v.max(1.0) })
            .collect(),
        ("hole", Value::Quantity(v, Dim::LENGTH)) => bolts::SIZES
            .iter()
            .filter(|s| s.name.starts_with('M') != inch)
            .filter_map(|s| Some(holes::clearance(s.name, holes::Fit::Normal)?.0.to_mm()))
            .filter(|d| (d - v).abs() > 0.05)
            .map(|d| length_try(d, *v, inch))
            .collect(),
        (_, Value::Quantity(v, Dim::LENGTH)) => {
            let series: Vec<f64> = match (kind, inch) {
                ("thickness", false) => THICK_MM.to_vec(),
                ("thickness", true) => THICK_16.iter().map(|n| n * 25.4 / 16.0).collect(),
                ("width", false) => WIDE_MM.to_vec(),
                ("width", true) => WIDE_4.iter().map(|n| n * 25.4 / 4.0).collect(),
                _ => STEPS_MM.iter().flat_map(|s| [v + s, v - s]).collect(),
            };
            let larger = kind == "thickness" || kind == "width";
            let fits = |d: &f64| *d > 0.0 && if larger { *d > v + 0.05 } else { (d - v).abs() > 0.05 };
            series.into_iter().filter(fits).map(|d| length_try(d, *v, inch)).collect()
        }
        _ => vec![],
    };
    out.sort_by(|a, b| a.size.total_cmp(&b.size));
    out
}

fn length_try(mm: f64, now: f64, inch: bool) -> Try {
    let answer = if inch {
        crate::units::show_length(Length::mm(mm), System::Inch)
    } else {
        format!("{} mm", crate::units::trimmed(mm, 2))
    };
    Try { answer, size: (mm / now - 1.0).abs() }
}

/// Where the steel of the change would come from.
fn supply(loaded: &Loaded, base: &Worked, new: &Worked) -> String {
    let Some((_, piece)) = base
        .pieces
        .iter()
        .zip(&new.pieces)
        .find(|(a, b)| !same_size(&a.stock.size, &b.stock.size) || a.stock.material != b.stock.material)
    else {
        return String::new();
    };
    let Stock { shape, size, material } = &piece.stock;
    let matching = |s: &Stock| s.shape == *shape && s.material == *material && same_size(&s.size, size);
    let words = format!("{shape} {}, {material}", show_size(size));
    let entry = |bought: bool| {
        loaded.bin.entries.iter().find(|e| e.price.is_some() == bought && matching(&e.stock)).map(|e| e.id.clone())
    };
    match (entry(false), entry(true)) {
        (Some(id), _) => format!(" ({words}: {id} lies in the bin)"),
        (None, Some(id)) => format!(" ({words}: can be bought as {id})"),
        _ => format!(" ({words}: neither in the bin nor on its list to buy)"),
    }
}
