//! New offcuts, each from one line in the words of the trade or a row of CSV.

use super::{Change, Ids, Opened, bare, disk, has_landed, last_record, opened, write};
use crate::diag::{Diagnostic, FileId, Severity};
use crate::run::Trouble;
use crate::source::{Guard, Item, Obj, SourceMap, Text};
use crate::stock::edit::{Edit, apply, put_in};
use crate::stock::{BinEntry, OFFCUT, block, offcut_of, read_line, show_line};
use std::collections::BTreeSet;
use std::path::PathBuf;

/// Most offcuts that one call adds.
const MOST: usize = 20_000;

/// What a bin begins with that did not exist.
const NEW_BIN: &str = "form = 1\n# The scrap bin: what lies on the rack. Only sound steel is measured.\n\n[saw]\nkerf = \"3 mm\"     # what one cut eats: measure it on a test cut\n";

/// What is to be added.
#[derive(Clone, Debug, Default)]
pub struct AddRequest {
    /// The bin; made anew where there is none.
    pub bin: PathBuf,
    /// Texts with their names; each line is one offcut, or the text is CSV with
    /// the keys of an offcut in its first row.
    pub texts: Vec<(String, String)>,
    /// Keys and values for all that does not give them itself.
    pub usual: Vec<(&'static str, String)>,
    /// Add the good lines though some are at fault.
    pub skip_bad: bool,
}

/// What was added.
#[derive(Clone, Debug, Default)]
pub struct Added {
    /// Id and line of each.
    pub offcuts: Vec<(String, String)>,
    /// What they mean, in the same order.
    pub entries: Vec<BinEntry>,
    /// Faults of the lines that were left out, and notes.
    pub left_out: Vec<Diagnostic>,
    /// Texts that the faults lie in.
    pub shown: Vec<crate::diag::Shown>,
}

/// Nothing was added: why, and the lines that were good.
pub type NotAdded = (Trouble, Vec<String>);

/// Add offcuts; the bin has them all when this returns.
///
/// # Errors
/// Faults of the lines, all at once, with the lines that were good; a bin that
/// cannot be read or written.
pub fn add(request: &AddRequest) -> Result<Added, NotAdded> {
    let mut sources = SourceMap::default();
    let mut faults = vec![];
    let mut good: Vec<Obj> = vec![];
    for (name, text) in &request.texts {
        let file = sources.add(name, text);
        let text = sources.text(file).to_string();
        good.extend(offcuts_of(file, &text, &request.usual, &mut faults));
    }
    let lines = || good.iter().map(show_line).collect::<Vec<_>>();
    let shown = sources.shown().to_vec();
    let stop = |t: Trouble| (t, vec![]);
    if faults.iter().any(|d| d.severity == Severity::Error) && !request.skip_bad {
        return Err((Trouble { diagnostics: faults, shown }, lines()));
    }
    if good.is_empty() {
        if !faults.is_empty() {
            return Err((Trouble { diagnostics: faults, shown }, vec![]));
        }
        return Err(stop(bare(
            "bin-line",
            "no offcut to add",
            "write it like: flat bar 40 x 3 mm, 872 mm, where rack A",
        )));
    }
    if good.len() > MOST {
        let message = format!("{} offcuts at once; {MOST} at most", good.len());
        return Err(stop(bare("bin-line", message, "add them in several calls")));
    }
    let mut added = into_bin(request, &good).map_err(stop)?;
    (added.left_out, added.shown) = (faults, shown);
    Ok(added)
}

/// Read the lines or rows of one text.
fn offcuts_of(file: FileId, text: &str, usual: &[(&'static str, String)], out: &mut Vec<Diagnostic>) -> Vec<Obj> {
    let first = text.lines().find(|l| !l.trim().is_empty() && !l.trim().starts_with('#')).unwrap_or("");
    let heads: Vec<&str> = first.split([',', ';']).map(|h| h.trim().trim_matches('"')).collect();
    let is_csv = heads.len() > 1 && heads.contains(&"shape") && heads.contains(&"size");
    let rows = if is_csv { super::rows::from_csv(file, text, out) } else { from_lines(file, text, out) };
    let mut good = vec![];
    for (count, mut obj) in rows {
        for (key, value) in usual {
            let field = OFFCUT.iter().find(|f| f.key == *key);
            if let Some(field) = field.filter(|_| !obj.has(key)) {
                obj.items.push((field, obj.span.clone(), Item::Text(Text::standing(value, file, obj.span.clone()))));
            }
        }
        let known = out.len();
        if offcut_of(&with_id(&obj, "X", file), file, out).is_some() && out.len() == known {
            good.extend(std::iter::repeat_n(obj, count as usize));
        }
    }
    good
}

fn from_lines(file: FileId, text: &str, out: &mut Vec<Diagnostic>) -> Vec<(u32, Obj)> {
    let mut rows = vec![];
    let whole = Text::whole(text, file);
    let mut from = 0;
    for line in text.split_inclusive('\n') {
        let bare = line.trim();
        if !bare.is_empty() && !bare.starts_with('#') {
            let start = from + line.len() - line.trim_start().len();
            rows.extend(read_line(&whole.part(start..start + bare.len()), out).map(|l| (l.count, l.obj)));
        }
        from += line.len();
    }
    rows
}

/// With an id, where it has none of its own.
fn with_id(obj: &Obj, id: &str, file: FileId) -> Obj {
    let mut out = obj.clone();
    if let Some(field) = OFFCUT.iter().find(|f| f.key == "id").filter(|_| !obj.has("id")) {
        out.items.insert(0, (field, obj.span.clone(), Item::Text(Text::standing(id, file, obj.span.clone()))));
    }
    out
}

fn into_bin(request: &AddRequest, good: &[Obj]) -> Result<Added, Trouble> {
    let guard = Guard::take(&request.bin, &has_landed).map_err(|e| disk(&e))?;
    let last = last_record(&guard)?;
    let before = opened(&request.bin, guard.text())?;
    before.blocks(&before.text)?;
    let mut ids = Ids::of(before.offcuts(), last.as_ref().map(|l| &l.1));
    let mut added = Added::default();
    let mut new = String::new();
    for obj in good {
        let id = match obj.word("id") {
            Some(own) => free_id(&before, &added, own)?,
            None => ids.next(obj.word("shape").unwrap_or("")),
        };
        ids.is_taken(&id);
        if !new.is_empty() {
            new.push('\n');
        }
        new += &block(&id, obj);
        let entry = offcut_of(&with_id(obj, &id, FileId(0)), FileId(0), &mut vec![]);
        added.entries.extend(entry);
        added.offcuts.push((id, show_line(obj)));
    }
    let mut edits = vec![];
    let mut text = before.text.clone();
    if text.trim_start_matches('\u{feff}').trim().is_empty() {
        edits.push(Edit { at: text.len(), removed: String::new(), inserted: NEW_BIN.to_string() });
        text = apply(&text, &edits).unwrap_or(text);
    }
    edits.push(put_in(&text, &new));
    let touched: BTreeSet<String> = added.offcuts.iter().map(|o| o.0.clone()).collect();
    let change = Change { what: "add", says: told(&added), edits, touched, ..Change::default() };
    write(&request.bin, guard, last.as_ref(), &before, ids, change)?;
    Ok(added)
}

fn free_id(before: &Opened, added: &Added, id: &str) -> Result<String, Trouble> {
    let taken = before.offcuts().iter().any(|e| e.id == id) || added.offcuts.iter().any(|o| o.0 == id);
    if taken {
        return Err(bare(
            "same-id",
            format!("there is an offcut {id} already"),
            "leave the id out: the tool gives the next free one",
        ));
    }
    Ok(id.to_string())
}

fn told(added: &Added) -> String {
    match &added.offcuts[..] {
        [(id, line)] => format!("{id}: {line}"),
        all => {
            let ends = (all.first().map_or("", |o| &o.0), all.last().map_or("", |o| &o.0));
            format!("{} offcuts, {} to {}", all.len(), ends.0, ends.1)
        }
    }
}
