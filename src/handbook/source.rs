//! Where a figure comes from, in a form that can be printed beside it.

use std::fmt;

/// The origin of one figure or formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Citation {
    /// The work: a standard, handbook or regulation, with its edition where known.
    pub work: &'static str,
    /// The place in it: clause, table, page or equation; empty if none is known.
    pub place: &'static str,
    /// What a reader must know besides: how it was read, what disagrees.
    pub note: &'static str,
    /// Whether the figure was read in some text (the work itself or a text
    /// that quotes it); false for memory and for trade habit.
    pub confirmed: bool,
}

/// Note of a figure read in a text that quotes the work.
const QUOTED: &str = "as quoted in a secondary source";
/// Note of a figure that nobody has looked up.
const MEMORY: &str = "from memory, unconfirmed";
/// Note of a trade habit.
const PRACTICE: &str = "common practice, no source";

impl Citation {
    /// A figure read in the work itself.
    pub const fn read(work: &'static str, place: &'static str) -> Self {
        Citation { work, place, note: "", confirmed: true }
    }
    /// A figure read in a text that quotes the work.
    pub const fn quoted(work: &'static str, place: &'static str) -> Self {
        Citation { work, place, note: QUOTED, confirmed: true }
    }
    /// A figure remembered as standing in the work, not looked up.
    pub const fn memory(work: &'static str, place: &'static str) -> Self {
        Citation { work, place, note: MEMORY, confirmed: false }
    }
    /// A trade habit that no text was found for.
    pub const fn practice(what: &'static str) -> Self {
        Citation { work: what, place: "", note: PRACTICE, confirmed: false }
    }
    /// A statement that follows from plane geometry or statics and needs no table.
    pub const fn geometry(what: &'static str) -> Self {
        Citation { work: what, place: "", note: "geometry", confirmed: true }
    }
    /// Whether it is a habit of the trade that no text was found for.
    pub fn is_practice(&self) -> bool {
        self.note == PRACTICE
    }
    /// The same citation with another note, which must itself say how the
    /// figure was read.
    pub const fn noting(self, note: &'static str) -> Self {
        Citation { note, ..self }
    }
}

impl fmt::Display for Citation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.work)?;
        if !self.place.is_empty() {
            write!(f, ", {}", self.place)?;
        }
        if !self.note.is_empty() {
            write!(f, " ({})", self.note)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::Citation;

    #[test]
    fn memory_says_so_in_print() {
        let c = Citation::memory("ASTM A240", "");
        assert_eq!(c.to_string(), "ASTM A240 (from memory, unconfirmed)");
        assert!(!c.confirmed);
    }

    #[test]
    fn a_read_figure_prints_work_and_place_only() {
        let c = Citation::read("Machinery's Handbook, 31st ed.", "p. 1421");
        assert_eq!(c.to_string(), "Machinery's Handbook, 31st ed., p. 1421");
        assert!(c.confirmed);
    }
}
