//! The blanks of a task as sets: how many of each kind, packed into one word.

use crate::cut::plates::limits::Task;
use crate::cut::plates::pack::Blank;

/// How many of each kind, each count with a spare bit above it.
pub(super) type Set = u128;

/// Highest area of a plate in common units that is taken.
const MOST_AREA: i128 = 1 << 60;

/// Blanks of one size; lengths in common units, kerf added.
#[derive(Clone, Debug)]
pub(super) struct Sort {
    pub blank: Blank,
    pub length: i64,
    pub width: i64,
    pub area: i64,
    /// The task's items of this size.
    pub items: Vec<usize>,
    shift: u32,
    bits: u32,
}

impl Sort {
    /// Both ways it may lie: length, width, turned.
    pub fn lies(&self) -> impl Iterator<Item = (i64, i64, bool)> {
        let turned = self.blank.may_turn && self.length != self.width;
        [Some((self.length, self.width, false)), turned.then_some((self.width, self.length, true))]
            .into_iter()
            .flatten()
    }

    /// How many of this kind are in a set.
    pub fn count(&self, set: Set) -> u32 {
        ((set >> self.shift) as u32) & ((1 << self.bits) - 1)
    }

    /// The set of one of them.
    pub fn one(&self) -> Set {
        1 << self.shift
    }
}

/// All blanks of a task by kind.
#[derive(Clone, Debug)]
pub(super) struct Blanks {
    /// Nanometres in the common unit, which divides the sides of all blanks.
    pub unit: i64,
    pub sorts: Vec<Sort>,
    /// All of them.
    pub all: Set,
    full: Set,
    guard: Set,
}

impl Blanks {
    /// Nothing if the kinds are too many or the plates too large for whole
    /// numbers of a word.
    pub fn new(task: &Task) -> Option<Blanks> {
        let unit = task.items.iter().fold(0, |g, i| gcd(gcd(g, i.blank.length), i.blank.width)).max(1);
        let area = |a: (i64, i64)| i128::from(a.0 / unit) * i128::from(a.1 / unit);
        if task.shelves.iter().any(|s| area(s.around) > MOST_AREA) {
            return None;
        }
        let mut sorts: Vec<Sort> = Vec::new();
        for (index, item) in task.items.iter().enumerate() {
            if let Some(sort) = sorts.iter_mut().find(|s| s.blank == item.blank) {
                sort.items.push(index);
                continue;
            }
            let (length, width) = (item.blank.length / unit, item.blank.width / unit);
            let area = length.checked_mul(width)?;
            sorts.push(Sort { blank: item.blank, length, width, area, items: vec![index], shift: 0, bits: 0 });
        }
        let (mut shift, mut blanks) = (0, Blanks { unit, sorts: Vec::new(), all: 0, full: 0, guard: 0 });
        for sort in &mut sorts {
            let count = sort.items.len() as u128;
            (sort.shift, sort.bits) = (shift, 128 - count.leading_zeros());
            shift += sort.bits + 1;
            if shift > 128 {
                return None;
            }
            blanks.all |= count << sort.shift;
            blanks.full |= ((1 << sort.bits) - 1) << sort.shift;
            blanks.guard |= 1 << (sort.shift + sort.bits);
        }
        blanks.sorts = sorts;
        Some(blanks)
    }

    /// What is added to a set for the question whether it is within `of`.
    pub fn spare(&self, of: Set) -> Set {
        self.full - of
    }

    /// A set, or the sum of two that are within, is within the set whose spare
    /// is given.
    #[inline]
    pub fn within(&self, set: Set, spare: Set) -> bool {
        (set + spare) & self.guard == 0
    }

    /// What two sets have in common.
    pub fn common(&self, a: Set, b: Set) -> Set {
        self.sorts.iter().map(|s| s.one() * Set::from(s.count(a).min(s.count(b)))).sum()
    }

    /// Area of a set, square units.
    pub fn area(&self, set: Set) -> i64 {
        self.sorts.iter().map(|s| i64::from(s.count(set)) * s.area).sum()
    }
}

/// Greatest common divisor; 0 divides nothing.
pub(super) fn gcd(a: i64, b: i64) -> i64 {
    let (mut a, mut b) = (a, b);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}
