//! What a reading that is a little out would change: findings that turn over,
//! pieces that come out otherwise.

use super::load::Trouble;
use super::{Effort, Outcome, Request, run_with};
use crate::checks::{Finding, Verdict};
use crate::diag::Diagnostic;
use crate::expr::Value;
use crate::flat::{Made, Reuse, reuse};
use crate::report::{Around, Turned};
use crate::source::{Files, nearest};
use crate::units::{Dim, parse_quantity, show_quantity};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The files, with one of them as it would be.
struct Instead<'a> {
    files: &'a dyn Files,
    path: PathBuf,
    text: String,
}

impl Files for Instead<'_> {
    fn read(&self, path: &Path) -> std::io::Result<String> {
        if path == self.path { Ok(self.text.clone()) } else { self.files.read(path) }
    }
    fn exists(&self, path: &Path) -> bool {
        self.files.exists(path)
    }
}

/// A measured value and how much it may be out: `tank.width=±5mm`; `+-` does as well.
///
/// # Errors
/// A sentence that says how it is written.
fn read(ask: &str) -> Result<(String, f64, Dim), String> {
    let how = "write it like tank.width=±5mm, or column.lean=±1deg";
    let (name, by) = ask.split_once('=').ok_or_else(|| format!("\"{ask}\" has no \"=\": {how}"))?;
    let by = by.trim().trim_start_matches(['±', '+', '-']).trim();
    let found = [Dim::LENGTH, Dim::ANGLE].into_iter().find_map(|d| Some((parse_quantity(by, d, None).ok()?, d)));
    match found {
        Some((v, d)) if v > 0.0 && v.is_finite() => Ok((name.trim().to_string(), v, d)),
        _ => Err(format!("\"{by}\" is no length and no angle over zero: {how}")),
    }
}

fn wrong(message: String, help: &str) -> Trouble {
    Trouble { diagnostics: vec![Diagnostic::bare("around", message).help(help)], shown: vec![] }
}

/// Work the job out with each asked value that much less and that much more.
///
/// # Errors
/// The job's own diagnostics; a name or an amount that cannot be read.
pub fn around(files: &dyn Files, request: &Request, base: &Outcome, asks: &[String]) -> Result<Vec<Around>, Trouble> {
    let mut out = vec![];
    for ask in asks {
        let (name, by, dim) = read(ask).map_err(|e| wrong(e, "droprack check JOB --around NAME=±AMOUNT"))?;
        let scope = &base.loaded.job.measured;
        let at = scope.values.get(&name).zip(scope.formulas.get(&name));
        let Some((Value::Quantity(v, d), formula)) = at else {
            let near = nearest(&name, scope.formulas.keys().map(String::as_str)).map(|n| format!("did you mean {n}?"));
            let help = near.unwrap_or_else(|| "it is a name of the block [measured]".to_string());
            return Err(wrong(format!("there is no measured quantity `{name}`"), &help));
        };
        if *d != dim {
            return Err(wrong(
                format!("`{name}` is {}, and the amount is {}", d.name(), dim.name()),
                "give both in one kind",
            ));
        }
        let whole = base.loaded.sources.shown().get(formula.file.0).map(|s| s.text.clone()).unwrap_or_default();
        for sign in [-1.0, 1.0] {
            let value = v + sign * by;
            let mut text = whole.clone();
            text.replace_range(formula.span.clone(), &format!("\"{}\"", in_full(value, dim)));
            let instead = Instead { files, path: request.job.clone(), text };
            let shown = show_quantity(value, dim, base.loaded.job.units);
            out.push(one(&instead, request, base, (&name, sign > 0.0, shown)));
        }
    }
    Ok(out)
}

/// With every digit: a rounded value would change what it is to try.
fn in_full(value: f64, dim: Dim) -> String {
    if dim == Dim::ANGLE { format!("{value} deg") } else { format!("{value} mm") }
}

fn one(files: &Instead, request: &Request, base: &Outcome, (name, more, value): (&str, bool, String)) -> Around {
    let mut out = Around { name: name.to_string(), more, value, ..Around::default() };
    match run_with(files, request, Effort::QUICK) {
        Err(t) => out.fault = t.diagnostics.first().map(|d| d.message.clone()).unwrap_or_default(),
        Ok(o) => {
            let o = o.standing(None);
            out.turned = turned(&base.worked.findings, &o.worked.findings);
            let is: BTreeMap<String, Made> = o.worked.flats.iter().map(|f| (f.key(), Made::of(f))).collect();
            for old in base.worked.flats.iter().map(Made::of) {
                match is.get(&old.key).map(|new| reuse(&old, new)) {
                    Some(Reuse::Unchanged) => out.stay += 1,
                    Some(Reuse::Again(why)) => out.again.push(format!("{}: {why}", old.key)),
                    Some(_) => out.worked_over.push(old.key),
                    None => out.again.push(format!("{}: no longer made", old.key)),
                }
            }
            out.uncut = o.plan.uncut();
        }
    }
    out
}

/// Findings whose verdict is another one, by part, rule and their order there.
fn turned(was: &[Finding], is: &[Finding]) -> Vec<Turned> {
    let numbered = |all: &[Finding]| {
        let mut seen: BTreeMap<(String, String), usize> = BTreeMap::new();
        let mut out: BTreeMap<(String, String, usize), Finding> = BTreeMap::new();
        for f in all {
            let n = seen.entry((f.part.clone(), f.code.clone())).or_default();
            out.insert((f.part.clone(), f.code.clone(), *n), f.clone());
            *n += 1;
        }
        out
    };
    let (was, is) = (numbered(was), numbered(is));
    let verdict = |f: Option<&Finding>| f.map_or(Verdict::Note, |f| f.verdict);
    let mut keys: Vec<_> = was.keys().chain(is.keys()).collect();
    keys.sort();
    keys.dedup();
    let changed = keys.into_iter().filter(|k| verdict(was.get(*k)) != verdict(is.get(*k)));
    changed
        .map(|k| Turned {
            part: k.0.clone(),
            from: verdict(was.get(k)).word(),
            to: verdict(is.get(k)).word(),
            says: is.get(k).or_else(|| was.get(k)).map(|f| f.says.clone()).unwrap_or_default(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_amount_is_read_in_the_ways_people_write_it() {
        for ask in ["tank.width=±5mm", "tank.width = +-5 mm", "tank.width=5 mm", "tank.width=-5mm"] {
            assert_eq!(read(ask), Ok(("tank.width".to_string(), 5.0, Dim::LENGTH)), "{ask}");
        }
        assert_eq!(read("a=±1deg"), Ok(("a".to_string(), 1.0, Dim::ANGLE)));
        // Written as it is read again.
        assert_eq!(in_full(22.5, Dim::ANGLE), "22.5 deg");
        assert_eq!(in_full(340.0, Dim::LENGTH), "340 mm");
        for ask in ["tank.width", "tank.width=", "tank.width=±0mm", "tank.width=±5kg", "=±", ""] {
            assert!(read(ask).is_err() || ask.starts_with('='), "{ask}");
        }
    }
}
