//! Yes-or-no properties of a pattern in a slot, for branching and cuts.

use crate::cut::bars::pool::Entry;
use crate::cut::bars::task::{Pattern, Task};

/// A property of an entry of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Rule {
    /// It lies in this slot.
    In(usize),
    /// It lies in this slot and leaves a keeper.
    Keeper(usize),
    /// It lies in this slot and holds at least so many of a kind.
    Holds(usize, usize, i64),
    /// It holds both kinds; twice the kind if they are the same.
    Pair(usize, usize),
    /// It holds at least two of three kinds that are wanted once each.
    TwoOf([usize; 3]),
    /// It is this entry.
    Entry(usize),
}

/// How often a rule may hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sense {
    /// At most so often.
    AtMost,
    /// At least so often.
    AtLeast,
}

impl Rule {
    /// Whether an entry has the property.
    pub fn holds(&self, task: &Task, entry: Entry, number: usize, pattern: &Pattern) -> bool {
        match *self {
            Rule::In(slot) => entry.slot == slot,
            Rule::Keeper(slot) => entry.slot == slot && task.is_kept(pattern.class, pattern.sum),
            Rule::Holds(slot, kind, n) => entry.slot == slot && pattern.of(kind) >= n,
            Rule::Pair(i, j) if i == j => pattern.of(i) >= 2,
            Rule::Pair(i, j) => pattern.of(i) > 0 && pattern.of(j) > 0,
            Rule::TwoOf(three) => three.iter().filter(|&&k| pattern.of(k) > 0).count() >= 2,
            Rule::Entry(e) => e == number,
        }
    }
}
