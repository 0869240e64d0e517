//! What a saw list says, before it is drawn or printed.

use crate::drawing::words::trimmed;
use crate::units::Length;

/// What the saw is set to for one cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SawAngle {
    /// Off square, degrees, 0 to 80: what the scale of a saw shows.
    pub off_square: f64,
    /// The long point is on the lower edge of the face that is marked; else on
    /// its upper edge. Nothing for a square cut.
    pub long_below: bool,
}

impl SawAngle {
    /// From the angle between the cut and the edge y = 0: 90 is square, below
    /// that the lower edge is the longer one.
    pub fn of_end(angle_deg: f64) -> SawAngle {
        SawAngle { off_square: (90.0 - angle_deg).abs(), long_below: angle_deg < 90.0 }
    }

    /// Whether it is a square cut, to a thousandth of a degree.
    pub fn is_square(self) -> bool {
        self.off_square < 1e-3
    }

    /// `square`, or `45 deg, long below`.
    pub fn words(self) -> String {
        if self.is_square() {
            return "square".to_string();
        }
        format!("{} deg, long {}", trimmed(self.off_square, 1), if self.long_below { "below" } else { "above" })
    }
}

/// How the length is held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stop {
    /// Set the stop so far from the blade.
    Set(Length),
    /// As it stands.
    Stays,
    /// Too short to hold between stop and blade: cut it by the mark.
    ByMark,
}

/// One piece of a bar.
#[derive(Clone, Debug, PartialEq)]
pub struct SawLine {
    /// What to chalk on it: its number in the job, and which copy.
    pub chalk: String,
    /// Its name.
    pub piece: String,
    /// Mark of its first long point, from the marked end.
    pub from: Length,
    /// Mark of its last long point.
    pub to: Length,
    /// Long point to long point.
    pub length: Length,
    /// The stop.
    pub stop: Stop,
    /// A cut of its own at its left end, where the cut before does not make it.
    pub first: Option<SawAngle>,
    /// The cut at its right end.
    pub saw: SawAngle,
    /// Angles of both ends against the lower edge, degrees.
    pub ends_deg: (f64, f64),
    /// What is left of the bar after it, on the longer edge.
    pub left_then: Length,
    /// How it lies, which face is up; empty for a square piece.
    pub says: String,
}

impl SawLine {
    /// What the saw is set to, one cut after the other.
    pub fn saw_words(&self) -> String {
        match self.first {
            Some(first) => format!("{}; then {}", first.words(), self.saw.words()),
            None => self.saw.words(),
        }
    }
}

/// One bar in the order of the saw.
#[derive(Clone, Debug, PartialEq)]
pub struct SawBar {
    /// Shape, size, material.
    pub stock: String,
    /// Which bar: its id, where it lies, or that it is bought.
    pub which: String,
    /// As it was measured.
    pub length: Length,
    /// Where the marked end is cut first, and how; none where it is sound.
    pub squared: Option<(Length, SawAngle)>,
    /// The pieces from the marked end.
    pub lines: Vec<SawLine>,
    /// Spans that cannot be used.
    pub unusable: Vec<(Length, Length)>,
    /// What goes back into the bin.
    pub back: Option<Length>,
    /// Sentences below.
    pub says: Vec<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_of_a_saw_reads_from_square() {
        assert_eq!(SawAngle::of_end(90.0).words(), "square");
        assert_eq!(SawAngle::of_end(45.0).words(), "45 deg, long below");
        assert_eq!(SawAngle::of_end(120.0).words(), "30 deg, long above");
    }
}
