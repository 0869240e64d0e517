//! Steel that is left where it lies, for what is known or not known of it.

use super::load::Loaded;
use super::plan::same_stock;
use super::work::Worked;
use crate::checks::{Duty, Offcut, bars};
use crate::job::Part;
use crate::stock::BinEntry;
use std::collections::BTreeSet;

/// Why this steel is not taken for a part: the reason, and what the job says
/// against it, if it does.
fn reasons<'a>(loaded: &'a Loaded, worked: &Worked, e: &BinEntry, name: &str) -> Vec<(String, Option<&'a str>)> {
    let template = loaded.template_of(name);
    let duty = Duty {
        holds: template.map_or("", |t| t.holds()),
        welded: template.is_some_and(|t| t.says_so("welded")) || worked.needs.welds.iter().any(|w| w.0 == name),
        steel: "",
        double_d: false,
        certified: false,
    };
    let f = &e.facts;
    let offcut = Offcut { grade: &f.grade, coating: &f.coating, weldable: &f.weldable };
    let against = |code: &str| {
        let part: Option<&Part> = loaded.part_of(name);
        part.and_then(|p| p.overrules.iter().find(|o| o.0.value == code)).map(|o| o.1.value.as_str())
    };
    bars(&duty, &offcut).into_iter().map(|(code, why)| (why, against(code))).collect()
}

/// Whether steel is left out of a plan that these parts share.
pub(super) fn is_barred(loaded: &Loaded, worked: &Worked, e: &BinEntry, parts: &[&str]) -> bool {
    parts.iter().any(|p| reasons(loaded, worked, e, p).iter().any(|r| r.1.is_none()))
}

/// What the plan says of it: what is left out and why, and what is taken in
/// spite of it with the reason that stands in the job.
pub(super) fn notes(loaded: &Loaded, worked: &Worked) -> Vec<String> {
    let mut out: Vec<String> = vec![];
    for e in &loaded.bin.entries {
        let wanted = worked.pieces.iter().filter(|p| same_stock(&p.stock, &e.stock)).map(|p| p.part.as_str());
        for part in wanted.collect::<BTreeSet<&str>>() {
            for (why, against) in reasons(loaded, worked, e, part) {
                out.push(match against {
                    Some(reason) => format!("{} may be used for {part}: {why}. OVERRULED in the job: {reason}", e.id),
                    None => format!("{} is left where it is: {why} ({part})", e.id),
                });
            }
        }
    }
    out
}
