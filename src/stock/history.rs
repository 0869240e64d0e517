//! The record of one change of a bin, as a file that a person can read.

use super::edit::{Edit, apply, blocks, inverse, put_in, take_out};
use crate::source::hash;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// One change of a bin.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Record {
    /// `add`, `edit`, `remove`, `book` or `undo`.
    pub what: String,
    /// What was done, in a sentence.
    pub says: String,
    /// Mark of the bin's text before.
    pub before: String,
    /// Mark of the bin's text after.
    pub after: String,
    /// The record that an undo takes back next: this one, or where this is an
    /// undo itself, the one before what it took back; 0 for none.
    pub undo_next: u64,
    /// Of an undo: the record that it took back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub took_back: Option<u64>,
    /// Highest number ever given to an offcut, by the letters before it. An id is
    /// chalked on steel: none is given twice.
    #[serde(default)]
    pub ids: BTreeMap<String, u64>,
    /// Of a booking: what was cut.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub booked: Option<Booked>,
    /// The change of the text, in order.
    #[serde(default)]
    pub edit: Vec<Edit>,
}

/// What a booking has booked.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Booked {
    /// The job.
    pub job: String,
    /// Mark of its plan.
    pub plan: String,
    /// The bars, with what was done to each.
    #[serde(default)]
    pub bar: Vec<BookedBar>,
    /// Plates, by their number in the plan from 0.
    #[serde(default)]
    pub plates: Vec<usize>,
}

/// What was booked of a bar of the plan; lengths in whole nm from its marked end.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BookedBar {
    /// Its number in the plan, from 0.
    pub number: usize,
    /// The cuts that were made, by their number on the bar from 0.
    pub cuts: Vec<usize>,
    /// What came back.
    #[serde(default)]
    pub back: Vec<Back>,
}

/// A piece of a bar that came back into the bin.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Back {
    /// Its id.
    pub id: String,
    /// Where it began on the bar, nm.
    pub from: i64,
    /// Where it ended, nm.
    pub to: i64,
}

impl Record {
    /// The text of its file.
    pub fn text(&self) -> String {
        toml::to_string_pretty(self).unwrap_or_default()
    }

    /// Read from the text of its file.
    ///
    /// # Errors
    /// What the file is instead.
    pub fn read(text: &str) -> Result<Record, String> {
        toml::from_str(text).map_err(|e| e.message().to_string())
    }

    /// With the edits that lead from one text to another.
    pub fn with_edits(mut self, before: &str, after: &str, edits: &[Edit]) -> Record {
        self.edit = edits.to_vec();
        (self.before, self.after) = (hash(&[before]), hash(&[after]));
        self
    }

    /// The edits that take this change back in a text that may have been edited
    /// by hand since.
    ///
    /// # Errors
    /// Which text is not there any more as this change left it.
    pub fn back(&self, text: &str) -> Result<Vec<Edit>, String> {
        let exact = inverse(&self.edit);
        if hash(&[text]) == self.after {
            return Ok(exact);
        }
        // Edited by hand since: by what stands there, not by where it stood.
        let mut now = text.to_string();
        let mut out = vec![];
        for edit in exact {
            let edit = found_again(&now, &edit)?;
            now = apply(&now, std::slice::from_ref(&edit))?;
            out.push(edit);
        }
        Ok(out)
    }
}

/// The same edit on a text that has moved.
fn found_again(text: &str, edit: &Edit) -> Result<Edit, String> {
    let wanted = edit.removed.trim();
    if wanted.is_empty() {
        return Ok(put_in(text, &plain(&edit.inserted)));
    }
    let mut places = text.match_indices(wanted);
    let at = match (places.next(), places.next()) {
        (Some((at, _)), None) => at,
        (None, _) => return Err(format!("this is no longer in the bin as the change left it:\n{wanted}")),
        _ => return Err(format!("this stands in the bin more than once:\n{wanted}")),
    };
    let inserted = edit.inserted.trim();
    if inserted.is_empty()
        && let Some(block) = blocks(text).iter().find(|b| b.span.contains(&at))
        && text[block.span.clone()].trim() == wanted
    {
        return Ok(take_out(text, block));
    }
    Ok(Edit { at, removed: wanted.to_string(), inserted: inserted.to_string() })
}

/// With plain line ends and one at the end.
fn plain(block: &str) -> String {
    format!("{}\n", block.replace("\r\n", "\n").trim_matches('\n'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_reads_back_and_undoes_what_it_tells() {
        let before = "form = 1\n\n[[offcut]]\nid = \"F-1\"\n";
        let edits = vec![put_in(before, "[[offcut]]\nid = \"F-2\"\nnote = \"\"\"x\"\"\"\n")];
        let after = apply(before, &edits).unwrap();
        let record = Record { what: "add".into(), ..Record::default() }.with_edits(before, &after, &edits);
        let again = Record::read(&record.text()).unwrap();
        assert_eq!(again, record);
        assert_eq!(apply(&after, &again.back(&after).unwrap()).unwrap(), before);
        let by_hand = after.replace("form = 1\n", "form = 1\n# mine\n");
        let back = apply(&by_hand, &again.back(&by_hand).unwrap()).unwrap();
        assert_eq!(back.trim_end(), before.replace("form = 1\n", "form = 1\n# mine\n").trim_end());
        let gone = after.replace("F-2", "F-3");
        assert!(again.back(&gone).unwrap_err().contains("no longer"));
    }
}
