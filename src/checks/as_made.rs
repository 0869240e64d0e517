//! What becomes of a piece that came out otherwise than wanted.

use super::{Finding, Rule, Verdict};
use crate::units::{Length, System, show_length};

pub(super) const RULE: Rule = Rule {
    code: "as-made",
    rule: "a piece that came out otherwise is kept where bolts, limits and the strength of its part allow it, held against its mate, slotted, shimmed, cut down, or made again",
    why: "half a millimetre is within the play of a bolt; a hole filed without asking may lie too near to the edge, and thin steel carries less than was worked out",
    source: "play of the bolts by geometry; lengths by ISO 2768-1, class c (from memory); slots up to 1.5 times the hole by EN 1090-2, long slots (from memory); shims up to 5 mm, 1 mm of gap left under the ears of a tight strap: common practice, no source",
    holds: "pieces that the job has under [[as_made]]; every copy of the piece is taken to be alike",
};

/// Up to which size a deviation of so much is of no matter, mm: ISO 2768-1, class c, from memory.
const COARSE: [(f64, f64); 7] =
    [(6.0, 0.3), (30.0, 0.5), (120.0, 0.8), (400.0, 1.2), (1000.0, 2.0), (2000.0, 3.0), (f64::INFINITY, 4.0)];
/// Thickest shim, mm: common practice, no source.
const THICKEST_SHIM: f64 = 5.0;
/// Longest slot, in hole diameters: EN 1090-2, long slotted holes, from memory.
const LONGEST_SLOT: f64 = 1.5;

/// What is to be done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Advice {
    /// Nothing.
    Keep,
    /// The hole becomes a slot, longer by so much.
    Slot(Length),
    /// A shim of this thickness goes under the short end.
    Shim(Length),
    /// A shim of this thickness goes between each ear and its hanger.
    ShimEars(Length),
    /// The same at the left ear only.
    ShimLeft(Length),
    /// The same at the right ear only.
    ShimRight(Length),
    /// The holes of both ears become slots, longer by so much towards the free ends.
    SlotOut(Length),
    /// The same, away from the free ends.
    SlotIn(Length),
    /// So much comes off the right end.
    CutDown(Length),
    /// To be held against what it has to meet, which the job does not know.
    HoldAgainst,
    /// The steel is lost for this piece.
    MakeAgain,
}

/// Deviation of a length that a drawing without tolerances allows.
fn allowed(length: Length) -> Length {
    Length::mm(COARSE.iter().find(|c| length.to_mm() <= c.0).map_or(4.0, |c| c.1))
}

/// What becomes of a length: `wanted`, how much longer it came out, whether the
/// piece as it came out still meets every rule, and whether a shim can make up
/// for what is short of it.
pub fn advise_length(wanted: Length, longer: Length, meets: bool, packs: bool) -> Advice {
    let off = Length::mm(longer.to_mm().abs());
    let within = keeps_length(wanted, off);
    match (meets && within, longer.to_mm() > 0.0) {
        (true, _) => Advice::Keep,
        (false, true) => Advice::CutDown(off),
        (false, false) if meets && packs && may_be_shim(off) => Advice::Shim(off),
        (false, false) => Advice::MakeAgain,
    }
}

/// Whether a length off by so much is of no matter on a drawing without tolerances.
pub fn keeps_length(wanted: Length, off: Length) -> bool {
    off.to_mm() <= allowed(wanted).to_mm() + 1e-9
}

/// Whether a shim can make up for so much.
pub fn may_be_shim(off: Length) -> bool {
    off.to_mm() <= THICKEST_SHIM + 1e-9
}

/// What becomes of a hole off its mark where nothing is known that it has to
/// meet: within the play of its bolt it is kept, beyond it only a trial tells.
pub fn advise_unmatched(off: Length, play: Length) -> Advice {
    if off.to_mm() <= play.to_mm() + 1e-9 { Advice::Keep } else { Advice::HoldAgainst }
}

/// How much longer a hole must become so that its bolt goes through again: how
/// far the axes are apart less what the play of bolt and holes gives.
pub fn slot_for(apart: Length, play: Length) -> Length {
    Length::mm((apart.to_mm() - play.to_mm()).max(0.0))
}

/// A slot that is no longer than the rules know.
pub fn may_be_slot(hole: Length, longer: Length) -> bool {
    hole.to_mm() + longer.to_mm() <= LONGEST_SLOT * hole.to_mm() + 1e-9
}

/// The finding for one piece: what came out otherwise, what to do, and why.
pub fn as_made_finding(part: &str, advice: Advice, off: Length, what: &str, because: &str, system: System) -> Finding {
    let show = |l: Length| show_length(l, system);
    let (verdict, advised) = match advice {
        Advice::Keep => (Verdict::Meets, "keep it".to_string()),
        Advice::Slot(by) => (Verdict::Warn, format!("file the hole {} longer towards its mark, to a slot", show(by))),
        Advice::Shim(by) => (Verdict::Warn, format!("shim its short end by {}", show(by))),
        Advice::ShimEars(by) => (Verdict::Warn, format!("put a shim of {} between each ear and its hanger", show(by))),
        Advice::ShimLeft(by) => {
            (Verdict::Warn, format!("put a shim of {} between the left ear and its hanger", show(by)))
        }
        Advice::ShimRight(by) => {
            (Verdict::Warn, format!("put a shim of {} between the right ear and its hanger", show(by)))
        }
        Advice::SlotOut(by) => {
            (Verdict::Warn, format!("file the hole of each ear {} longer towards the free end, to a slot", show(by)))
        }
        Advice::SlotIn(by) => {
            (Verdict::Warn, format!("file the hole of each ear {} longer away from the free end, to a slot", show(by)))
        }
        Advice::CutDown(by) => (Verdict::Warn, format!("cut {} off its right end", show(by))),
        Advice::HoldAgainst => (Verdict::Warn, "hold it against what it has to meet before you go on".to_string()),
        Advice::MakeAgain => (Verdict::Fail, "make it again".to_string()),
    };
    Finding {
        code: RULE.code.to_string(),
        part: part.to_string(),
        verdict,
        value: Some(off.to_mm()),
        unit: "mm",
        says: format!("{what}: {advised}; {because}"),
        source: RULE.source.to_string(),
        ..Finding::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_is_kept_shimmed_cut_down_or_made_again() {
        let advise = |longer: f64, meets| advise_length(Length::mm(242.0), Length::mm(longer), meets, true);
        assert_eq!(advise(-1.2, true), Advice::Keep);
        assert_eq!(advise(1.0, true), Advice::Keep);
        assert_eq!(advise(-3.0, true), Advice::Shim(Length::mm(3.0)));
        assert_eq!(advise(3.0, true), Advice::CutDown(Length::mm(3.0)));
        assert_eq!(advise(1.0, false), Advice::CutDown(Length::mm(1.0)));
        assert_eq!(advise(-5.1, true), Advice::MakeAgain);
        assert_eq!(advise(-1.0, false), Advice::MakeAgain);
        assert_eq!(advise_length(Length::mm(242.0), Length::mm(-3.0), true, false), Advice::MakeAgain);
    }

    #[test]
    fn a_hole_that_nobody_knows_the_mate_of_is_kept_within_its_play_only() {
        assert_eq!(advise_unmatched(Length::mm(0.5), Length::mm(0.5)), Advice::Keep);
        assert_eq!(advise_unmatched(Length::mm(0.6), Length::mm(0.5)), Advice::HoldAgainst);
    }

    #[test]
    fn a_slot_makes_up_for_what_the_play_does_not() {
        assert_eq!(slot_for(Length::mm(0.8), Length::mm(1.0)), Length::mm(0.0));
        assert!((slot_for(Length::mm(2.5), Length::mm(1.0)).to_mm() - 1.5).abs() < 1e-12);
        assert!(may_be_slot(Length::mm(11.0), Length::mm(5.5)) && !may_be_slot(Length::mm(11.0), Length::mm(5.6)));
    }
}
