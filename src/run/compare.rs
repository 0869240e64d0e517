//! What a changed job does to pieces that are made already.

use super::load::{Loaded, Trouble, load};
use super::plan::plan_cuts;
use super::work::{Worked, work_out};
use super::{Effort, Request};
use crate::diag::Diagnostic;
use crate::flat::{Made, Reuse, reuse};
use crate::report::{CompareRow, Comparison, CutPlan, read_flats};
use crate::source::Files;
use crate::units::Mass;
use std::collections::BTreeMap;
use std::path::Path;

/// Hold a job against an earlier one: its job file, or the `job.json` that
/// `make` wrote of it.
///
/// # Errors
/// All diagnostics of either; an old record that cannot be read.
pub fn compare(files: &dyn Files, old: &Path, new: &Request, effort: Effort) -> Result<Comparison, Trouble> {
    let was = old_pieces(files, old)?;
    let loaded = load(files, new)?;
    Ok(against(&was, &loaded, &work_out(&loaded)?, effort))
}

/// Hold what was worked out against pieces that were made.
pub(super) fn against(was: &[Made], loaded: &Loaded, worked: &Worked, effort: Effort) -> Comparison {
    let is: Vec<Made> = worked.flats.iter().map(Made::of).collect();
    let mut rows = rows(was, &is);
    rows.sort_by_key(|r| r.order());
    let again = again(worked, &rows);
    let mass = again.flats.iter().map(|f| f.mass.to_kg() * f64::from(f.copies)).sum();
    let plan = if again.pieces.is_empty() { CutPlan::default() } else { plan_cuts(loaded, &again, effort) };
    let ids = |new: bool| plan.stock().filter(|s| s.2 == new).map(|s| s.0.to_string()).collect();
    Comparison {
        rows,
        system: loaded.job.units,
        keep_mm: loaded.bin.saw.keep.to_mm(),
        mass: Mass::kg(mass),
        money: plan.money(),
        uncut: plan.uncut(),
        bought: ids(true),
        from_bin: ids(false),
    }
}

/// The pieces as they were made.
fn old_pieces(files: &dyn Files, old: &Path) -> Result<Vec<Made>, Trouble> {
    let whole = files.read(old).ok().filter(|t| t.trim_start().starts_with('{'));
    if let Some(text) = whole {
        return read_flats(&text).map_err(|why| Trouble {
            diagnostics: vec![
                Diagnostic::bare("old-record", format!("{} cannot be read: {why}", old.display()))
                    .help("give the job file of then, or the job.json that make has written"),
            ],
            shown: vec![],
        });
    }
    let loaded = load(files, &Request { job: old.to_path_buf(), bin: None })?;
    Ok(work_out(&loaded)?.flats.iter().map(Made::of).collect())
}

/// One row for each piece of either.
fn rows(was: &[Made], is: &[Made]) -> Vec<CompareRow> {
    let olds: BTreeMap<&str, &Made> = was.iter().map(|m| (m.key.as_str(), m)).collect();
    let mut out = vec![];
    for new in is {
        let old = olds.get(new.key.as_str());
        let reuse = old.map(|o| reuse(o, new));
        let kept = old.map_or(0, |o| o.copies.min(new.copies));
        let serves = !matches!(reuse, None | Some(Reuse::Again(_)));
        out.push(CompareRow {
            key: new.key.clone(),
            kept: if serves { kept } else { 0 },
            make: if serves { new.copies - kept } else { new.copies },
            over: old.map_or(0, |o| if serves { o.copies - kept } else { o.copies }),
            old: old.map(|o| (*o).clone()),
            reuse,
        });
    }
    for old in was.iter().filter(|o| is.iter().all(|n| n.key != o.key)) {
        out.push(CompareRow {
            key: old.key.clone(),
            kept: 0,
            make: 0,
            over: old.copies,
            old: Some(old.clone()),
            reuse: None,
        });
    }
    out
}

/// The pieces that have to be made, as many as are missing.
fn again(worked: &Worked, rows: &[CompareRow]) -> Worked {
    let missing: BTreeMap<&str, u32> = rows.iter().map(|r| (r.key.as_str(), r.make)).collect();
    let mut out = Worked { needs: worked.needs.clone(), ..Worked::default() };
    for (piece, flat) in worked.pieces.iter().zip(&worked.flats) {
        let copies = missing.get(flat.key().as_str()).copied().unwrap_or(0);
        if copies > 0 {
            let (mut piece, mut flat) = (piece.clone(), flat.clone());
            (piece.copies, flat.copies) = (copies, copies);
            out.pieces.push(piece);
            out.flats.push(flat);
        }
    }
    out
}
