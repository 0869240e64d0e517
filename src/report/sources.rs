//! `explain --sources`: what the handbook rests on, counted from the handbook itself.

use crate::diag::wrapped;
use crate::handbook::sources::{SourceUse, sources};
use serde_json::{Value, json};

/// How sure a source is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Standing {
    /// Read, in the work or in a text that quotes it; or plain geometry.
    Read,
    /// Remembered, not looked up.
    Memory,
    /// A habit of the trade that no text was found for.
    Practice,
}

fn standing(s: &SourceUse) -> Standing {
    match (s.source.confirmed, s.source.is_practice()) {
        (true, _) => Standing::Read,
        (false, true) => Standing::Practice,
        (false, false) => Standing::Memory,
    }
}

fn plural(n: usize, one: &str) -> String {
    format!("{n} {one}{}", if n == 1 { "" } else { "s" })
}

/// `3 rows, 1 formula`; what is none is left out.
fn counted(s: &SourceUse) -> String {
    let parts = [(s.rows.len(), "row"), (s.formulas.len(), "formula")];
    parts.iter().filter(|p| p.0 > 0).map(|(n, one)| plural(*n, one)).collect::<Vec<_>>().join(", ")
}

fn totals<'a>(all: impl Iterator<Item = &'a SourceUse>) -> (usize, usize) {
    all.fold((0, 0), |(r, f), s| (r + s.rows.len(), f + s.formulas.len()))
}

fn indented(text: &str, width: usize) -> String {
    wrapped(text, width.saturating_sub(4)).lines().map(|l| format!("    {l}\n")).collect()
}

/// Every source with the number of its rows and formulas, then the totals, then
/// what rests on memory and on trade habit alone.
pub fn sources_text(width: usize) -> String {
    let all = sources();
    let mut out = String::from(
        "What the handbook rests on: each work, the place in it, and how many rows and formulas are from there.\n",
    );
    let mut work = "";
    for s in &all {
        if s.source.work != work {
            work = s.source.work;
            out += &format!("\n{work}\n");
        }
        let place = if s.source.place.is_empty() { "as a whole" } else { s.source.place };
        let note = if s.source.note.is_empty() { String::new() } else { format!(" ({})", s.source.note) };
        out += &indented(&format!("{place}{note}: {}", counted(s)), width);
    }
    let (rows, formulas) = totals(all.iter());
    let mut works: Vec<&str> = all.iter().map(|s| s.source.work).collect();
    works.dedup();
    out += &format!(
        "\n{} and {} from {}.\n",
        plural(rows, "row"),
        plural(formulas, "formula"),
        plural(works.len(), "source")
    );
    out += &unread(&all, Standing::Memory, "rest on memory only, unconfirmed", width);
    out += &unread(&all, Standing::Practice, "are habits of the trade without a source", width);
    out
}

fn unread(all: &[SourceUse], which: Standing, words: &str, width: usize) -> String {
    let these: Vec<&SourceUse> = all.iter().filter(|s| standing(s) == which).collect();
    let (rows, formulas) = totals(these.iter().copied());
    let mut out = format!("\n{} and {} {words}:\n", plural(rows, "row"), plural(formulas, "formula"));
    for s in these {
        let names: Vec<&str> = s.rows.iter().chain(&s.formulas).map(String::as_str).collect();
        let place = if s.source.place.is_empty() { String::new() } else { format!(", {}", s.source.place) };
        out += &indented(&format!("{}{place}: {}", s.source.work, names.join("; ")), width);
    }
    out
}

/// The same for programs: sources with what rests on them, and the counts.
pub fn sources_json() -> Value {
    let all = sources();
    let list: Vec<Value> = all
        .iter()
        .map(|s| {
            json!({
                "work": s.source.work,
                "place": s.source.place,
                "note": s.source.note,
                "standing": match standing(s) {
                    Standing::Read => "read",
                    Standing::Memory => "memory",
                    Standing::Practice => "practice",
                },
                "rows": s.rows,
                "formulas": s.formulas,
            })
        })
        .collect();
    let count = |which: Option<Standing>| {
        let (rows, formulas) = totals(all.iter().filter(|s| which.is_none_or(|w| standing(s) == w)));
        json!({ "rows": rows, "formulas": formulas })
    };
    json!({
        "sources": list,
        "all": count(None),
        "memory": count(Some(Standing::Memory)),
        "practice": count(Some(Standing::Practice)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_counts_add_up_and_every_line_fits() {
        let json = sources_json();
        let listed: usize =
            json["sources"].as_array().unwrap().iter().map(|s| s["rows"].as_array().unwrap().len()).sum();
        assert_eq!(json["all"]["rows"], listed);
        let text = sources_text(80);
        assert!(text.contains("rest on memory only") && text.contains("EN 1993-1-8"), "{text}");
        assert!(text.lines().all(|l| l.chars().count() <= 110), "{text}");
        assert_eq!(text, sources_text(80));
    }
}
