//! The scrap bin as a ledger: what comes in, what is cut, what goes back.
//!
//! ```text
//!   command -> lock and read the bin -> edits of its text -> read anew: is it what was
//!   meant? -> written with a record -> told
//! ```

mod add;
mod back;
mod book;
mod change;
mod look;
mod parted;
mod plan_file;
mod rows;
mod undo;

pub use add::{AddRequest, Added, add};
pub use book::{Account, BookRequest, Booked, book};
pub use change::{edit, remove};
pub use look::{Filter, History, Listed, bin_check, bin_file, history, labels, list, nearest_bin_file};
pub use undo::{Undone, undo};

use super::load::Trouble;
use crate::diag::{Diagnostic, Severity};
use crate::source::{Guard, Obj, SourceMap, hash};
use crate::stock::edit::{Edit, apply, blocks};
use crate::stock::{Bin, BinEntry, Record, letter, letter_and_number, read_bin_file};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// A bin that was read.
pub(super) struct Opened {
    /// The text as it is on the disk.
    pub text: String,
    /// Its keys as written.
    pub obj: Obj,
    /// What they mean.
    pub bin: Bin,
}

/// A change that is worked out but not written.
#[derive(Default)]
pub(super) struct Change {
    pub what: &'static str,
    pub says: String,
    pub edits: Vec<Edit>,
    /// Ids that leave or change.
    pub touched: BTreeSet<String>,
    pub booked: Option<crate::stock::Booked>,
    /// The record that an undo takes back.
    pub took_back: Option<u64>,
    pub undo_next: Option<u64>,
}

/// One sentence without a place.
pub(super) fn bare(code: &'static str, message: impl Into<String>, help: &str) -> Trouble {
    let d = Diagnostic::bare(code, message.into());
    Trouble { diagnostics: vec![d.help(help)], shown: vec![] }
}

/// Whether a person measured this in inches.
pub(super) fn is_inch(text: &str) -> bool {
    text.contains("in") || text.contains("ft") || text.contains('"')
}

/// A record that is not one.
pub(super) fn unreadable(number: u64, why: &str) -> Trouble {
    let help = "move this file out of the folder of records, and run the command again";
    bare("bin-record", format!("record {number} of the bin's history cannot be read: {why}"), help)
}

pub(super) fn disk(e: &std::io::Error) -> Trouble {
    bare("bin-write", e.to_string(), "the bin is as it was; mend this and run the command again")
}

/// Read a bin's text; a fault in it stops every command that would change it.
pub(super) fn opened(name: &Path, text: &str) -> Result<Opened, Trouble> {
    let mut sources = SourceMap::default();
    let file = sources.add(&name.display().to_string().replace('\\', "/"), text);
    let mut out = vec![];
    let shown = sources.text(file).to_string();
    let (obj, bin) = read_bin_file(file, &shown, &mut out);
    out.retain(|d| d.severity == Severity::Error);
    if !out.is_empty() {
        return Err(Trouble { diagnostics: out, shown: sources.shown().to_vec() });
    }
    Ok(Opened { text: text.to_string(), obj, bin })
}

impl Opened {
    /// The offcuts.
    pub fn offcuts(&self) -> &[BinEntry] {
        &self.bin.entries[..self.obj.list("offcut").len()]
    }

    /// Place of an offcut among the offcuts.
    pub fn find(&self, id: &str) -> Result<usize, Trouble> {
        self.offcuts().iter().position(|e| e.id == id).ok_or_else(|| self.no_such(id))
    }

    fn no_such(&self, id: &str) -> Trouble {
        let near = crate::source::nearest(id, self.offcuts().iter().map(|e| e.id.as_str()));
        let help = near.map_or("droprack bin list shows all ids".to_string(), |n| format!("did you mean {n}?"));
        bare("bin-id", format!("there is no offcut {id} in the bin"), &help)
    }

    /// The blocks of the text, one for each offcut.
    pub fn blocks(&self, text: &str) -> Result<Vec<crate::stock::edit::Block>, Trouble> {
        let found = blocks(text);
        if found.len() == self.obj.list("offcut").len() {
            return Ok(found);
        }
        let help = "write each offcut as a block of its own, beginning with a line [[offcut]]";
        Err(bare("bin-inline", "the offcuts stand in one line, offcut = [...]: they cannot be changed singly", help))
    }
}

/// The last record, if there is one.
pub(super) fn last_record(guard: &Guard) -> Result<Option<(u64, Record)>, Trouble> {
    let Some(number) = guard.last_record() else { return Ok(None) };
    let text = guard.record(number).map_err(|e| disk(&e))?;
    let record = Record::read(&text).map_err(|e| unreadable(number, &e))?;
    Ok(Some((number, record)))
}

/// Whether the change of a pending record is in the file.
pub(super) fn has_landed(record: &str, text: &str) -> bool {
    Record::read(record).is_ok_and(|r| {
        let now = hash(&[text]);
        // After a hand edit on top of it: what it put in is there, and what it took out is not.
        let is_in = |e: &Edit| {
            let (put, took) = (e.inserted.trim(), e.removed.trim());
            text.contains(put) && (took.is_empty() || !text.contains(took))
        };
        now == r.after || (now != r.before && r.edit.iter().all(is_in))
    })
}

/// Numbers given to offcuts so far, by letter.
pub(super) struct Ids(pub BTreeMap<String, u64>);

impl Ids {
    pub fn of(offcuts: &[BinEntry], last: Option<&Record>) -> Ids {
        let mut out = Ids(last.map_or_else(BTreeMap::new, |r| r.ids.clone()));
        offcuts.iter().for_each(|e| out.is_taken(&e.id));
        out
    }

    /// Numbers up to that of this id are not given again.
    pub fn is_taken(&mut self, id: &str) {
        if let Some((letter, number)) = letter_and_number(id) {
            let highest = self.0.entry(letter.to_string()).or_insert(0);
            *highest = number.max(*highest);
        }
    }

    /// The next id for a shape.
    pub fn next(&mut self, shape: &str) -> String {
        let letter = letter(shape);
        let number = self.0.entry(letter.to_string()).or_insert(0);
        *number += 1;
        format!("{letter}-{number:02}")
    }
}

/// Write a change under a lock that is held; afterwards it is on the disk.
pub(super) fn write(
    name: &Path,
    guard: Guard,
    last: Option<&(u64, Record)>,
    before: &Opened,
    ids: Ids,
    change: Change,
) -> Result<u64, Trouble> {
    let text = apply(&before.text, &change.edits).map_err(|e| bare("bin-write", e, "run the command again"))?;
    let after = opened(name, &text)?;
    stays(before, &after, &change.touched)?;
    let number = last.map_or(1, |l| l.0 + 1);
    let record = Record {
        what: change.what.to_string(),
        says: change.says,
        undo_next: change.undo_next.unwrap_or(number),
        took_back: change.took_back,
        ids: ids.0,
        booked: change.booked,
        ..Record::default()
    };
    let record = record.with_edits(&before.text, &text, &change.edits);
    guard.write(&text, &record.text()).map_err(|e| disk(&e))
}

/// What a change does not mean to touch reads as it did; in a bin that was empty
/// there is nothing of that kind.
fn stays(before: &Opened, after: &Opened, touched: &BTreeSet<String>) -> Result<(), Trouble> {
    if before.text.trim_start_matches('\u{feff}').trim().is_empty() {
        return Ok(());
    }
    let same = |a: &Opened, b: &Opened| {
        let rest = |e: &&BinEntry| !touched.contains(&e.id);
        a.bin.entries.iter().filter(rest).eq(b.bin.entries.iter().filter(rest))
    };
    if same(before, after) && before.bin.saw == after.bin.saw && before.bin.accept == after.bin.accept {
        return Ok(());
    }
    let help = "write each offcut as a plain block [[offcut]], one key a line";
    Err(bare("bin-inline", "the bin is written in a way that this change would damage; nothing was written", help))
}
