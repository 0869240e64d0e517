//! What can be wrong with an outline that something is cut from, or as.

/// Why an outline cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OutlineFault {
    /// Fewer than three corners.
    TooFewCorners,
    /// More corners than one outline may have, its holes included.
    TooManyCorners,
    /// Larger than 10 m or smaller than the least size, or a price below 0.
    OutOfRange,
    /// The lower left corner of the box around it is not at (0, 0).
    NotAtOrigin,
    /// All corners lie in one line.
    NoArea,
    /// It crosses or touches itself, or turns back on itself.
    CrossesItself,
    /// The same in the outline of a hole.
    HoleCrossesItself,
    /// A hole reaches the outline or lies outside.
    HoleOutside,
    /// A hole meets another or lies in it.
    HolesMeet,
    /// Nothing is left once the trim or the gap is off its edges.
    TooNarrow,
    /// The list of turns is empty.
    NoTurn,
}

impl OutlineFault {
    /// The fault in words, to stand after the name of the plate.
    pub fn words(self) -> &'static str {
        match self {
            OutlineFault::TooFewCorners => "its outline or a hole has fewer than three corners",
            OutlineFault::TooManyCorners => "it has more corners than can be planned: leave small steps out",
            OutlineFault::OutOfRange => "it is larger than 10 m, or has no size",
            OutlineFault::NotAtOrigin => "its outline does not begin at its own lower left corner",
            OutlineFault::NoArea => "its outline has no area",
            OutlineFault::CrossesItself => "its outline crosses itself",
            OutlineFault::HoleCrossesItself => "the outline of a hole in it crosses itself",
            OutlineFault::HoleOutside => "a hole in it reaches its edge: let the outline go round it",
            OutlineFault::HolesMeet => "two holes in it meet: give them as one",
            OutlineFault::TooNarrow => "nothing is left of it inside the trim or the gap",
            OutlineFault::NoTurn => "no turn is allowed",
        }
    }
}
