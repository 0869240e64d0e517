//! Taking back the last change of the bin, and the one before it.

use super::{Change, Ids, bare, disk, has_landed, last_record, opened, unreadable, write};
use crate::run::Trouble;
use crate::source::Guard;
use crate::stock::edit::apply;
use crate::stock::{Record, read_bin_file};
use std::collections::BTreeSet;
use std::path::Path;

/// What was taken back.
#[derive(Clone, Debug)]
pub struct Undone {
    /// Its number in the history.
    pub number: u64,
    /// What it was: `add`, `book`, ...
    pub what: String,
    /// Its words.
    pub says: String,
}

/// Take back the last change that is not taken back yet.
///
/// # Errors
/// Nothing to take back; what it changed has been edited by hand since; a bin
/// that cannot be read or written.
pub fn undo(bin: &Path) -> Result<Undone, Trouble> {
    let guard = Guard::take(bin, &has_landed).map_err(|e| disk(&e))?;
    let nothing = || bare("bin-undo", "there is nothing to take back", "droprack bin history shows what was done");
    let last = last_record(&guard)?.ok_or_else(nothing)?;
    let number = last.1.undo_next;
    if number == 0 {
        return Err(nothing());
    }
    let read = |n: u64| -> Result<Record, Trouble> {
        let text = guard.record(n).map_err(|e| disk(&e))?;
        Record::read(&text).map_err(|e| unreadable(n, &e))
    };
    let record = if number == last.0 { last.1.clone() } else { read(number)? };
    let undo_next = if number > 1 { read(number - 1)?.undo_next } else { 0 };
    let before = opened(bin, guard.text())?;
    let by_hand = |e: String| {
        let help = "the bin was edited by hand since; change it by hand, or with droprack bin edit";
        bare("bin-undo", format!("change {number} ({}) cannot be taken back: {e}", record.says), help)
    };
    let edits = record.back(guard.text()).map_err(by_hand)?;
    let text = apply(guard.text(), &edits).map_err(by_hand)?;
    let mut sources = crate::source::SourceMap::default();
    let file = sources.add("bin", &text);
    let after = read_bin_file(file, sources.text(file).to_string().as_str(), &mut vec![]).1;
    // Whatever differs is what the change was about.
    let differs = |a: &crate::stock::Bin, b: &crate::stock::Bin| -> BTreeSet<String> {
        a.entries.iter().filter(|e| !b.entries.contains(e)).map(|e| e.id.clone()).collect()
    };
    let touched = differs(&before.bin, &after).into_iter().chain(differs(&after, &before.bin)).collect();
    let ids = Ids::of(before.offcuts(), Some(&last.1));
    let says = format!("took back change {number}: {}", record.says);
    let change = Change {
        what: "undo",
        says,
        edits,
        touched,
        took_back: Some(number),
        undo_next: Some(undo_next),
        ..Change::default()
    };
    write(bin, guard, Some(&last), &before, ids, change)?;
    Ok(Undone { number, what: record.what, says: record.says })
}
