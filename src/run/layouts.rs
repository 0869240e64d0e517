//! What is found of the job's tank mounts, pedals and steering runs, with the lines that set it.

use super::Worked;
use super::findings::set_by;
use super::load::Loaded;
use crate::checks::{Finding, check_pedal, check_steering, check_tank};
use std::ops::Range;

/// Findings of all layouts go to `worked`.
pub(super) fn layouts(loaded: &Loaded, worked: &mut Worked) {
    let (all, system) = (&loaded.job.layouts, loaded.job.units);
    for t in &all.tanks {
        let found = check_tank(&t.told, &t.worked, t.load.as_ref(), system);
        worked.findings.extend(found.into_iter().map(|f| placed(loaded, f, &t.span, &t.places)));
    }
    for p in &all.pedals {
        let found = check_pedal(&p.told, &p.worked, system);
        worked.findings.extend(found.into_iter().map(|f| placed(loaded, f, &p.span, &p.places)));
    }
    for s in &all.steering {
        let found = check_steering(&s.told, &s.worked, system, loaded.job.sizes);
        worked.findings.extend(found.into_iter().map(|f| placed(loaded, f, &s.span, &s.places)));
    }
}

/// The names of a finding are keys of its layout: they become lines of the job.
fn placed(loaded: &Loaded, f: Finding, own: &Range<usize>, places: &[(String, Range<usize>)]) -> Finding {
    let file = loaded.job.file;
    let told = places.iter().filter(|p| f.names.contains(&p.0)).map(|p| (file, p.1.clone(), format!("`{}`", p.0)));
    let mut all: Vec<_> = told.collect();
    if all.is_empty() {
        all.push((file, own.clone(), f.part.clone()));
    }
    Finding { set_by: set_by(loaded, all), names: vec![], ..f }
}
