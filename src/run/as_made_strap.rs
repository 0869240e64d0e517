//! A strap that came out long or short, followed to its ears: what is missing
//! between its bends moves the ears along their hangers or away from them.
//!
//! ```text
//!    ear ----.          .---- ear     a leg too short: its ear hangs lower, the clamp gap grows
//!         leg|  bottom  |leg          the bottom too short: the ears' holes come nearer to each other
//!            '----------'
//! ```

use super::{Loaded, Worked};
use crate::checks::{Advice, keeps_length, may_be_shim, may_be_slot};
use crate::expr::Value;
use crate::piece::{BendTurn, Form, HoleShape, Piece, Step, Strip, holes, with_hole};
use crate::units::{Dim, Length, System, show_length};

/// Least gap that must be left under the ears when the strap is tight, mm: common practice, no source.
const LEAST_GAP: f64 = 1.0;

/// What becomes of the strap, and why.
pub(super) type Followed = (Advice, String);

/// The flat of this name: its step, and how far it is turned against the first, rad.
pub(super) fn flat_of(strip: &Strip, name: &str) -> Option<(usize, f64)> {
    let mut turned = 0.0;
    for (i, step) in strip.steps.iter().enumerate() {
        match step {
            Step::Flat(f) if f.name == name => return Some((i, turned)),
            Step::Flat(_) => {}
            Step::Bend(b) if b.turn == BendTurn::Up => turned += b.angle.to_radians(),
            Step::Bend(b) => turned -= b.angle.to_radians(),
        }
    }
    None
}

/// The names of a strip's flats.
pub(super) fn flat_names(piece: &Piece) -> Vec<String> {
    let Form::Strip(s) = &piece.form else { return vec![] };
    let names = s.steps.iter().filter_map(|s| if let Step::Flat(f) = s { Some(f.name.clone()) } else { None });
    names.collect()
}

/// The strap with one of its flats longer; nothing where nothing would be left of it.
pub(super) fn with_flat(piece: &Piece, name: &str, by: Length) -> Option<Piece> {
    let mut out = piece.clone();
    let Form::Strip(s) = &mut out.form else { return None };
    let (at, _) = flat_of(s, name)?;
    let Step::Flat(f) = &mut s.steps[at] else { return None };
    f.length += by;
    (f.length.to_mm() > 1e-6).then_some(out)
}

/// A strap between two ears, and what the job knows of it.
pub(super) struct Strap<'a> {
    pub piece: &'a Piece,
    strip: &'a Strip,
    take_up: Length,
    pub system: System,
}

impl<'a> Strap<'a> {
    /// A strip that is pulled up by bolts at both of its ends; nothing else has ears.
    pub fn of(loaded: &Loaded, worked: &Worked, piece: &'a Piece) -> Option<Strap<'a>> {
        let Form::Strip(strip) = &piece.form else { return None };
        let told = |name: &str| worked.values.get(&format!("{}: {name}", piece.part));
        let Some(Value::Quantity(take_up, Dim::LENGTH)) = told("take_up") else { return None };
        // A loop has its two ears side by side, on one bolt.
        if matches!(told("goes"), Some(Value::Word(w)) if w == "loop") {
            return None;
        }
        let drilled = |step: usize| strip.holes.iter().any(|h| h.step == step && h.hole.bolt);
        let ears = strip.steps.len() >= 5 && drilled(0) && drilled(strip.steps.len() - 1);
        ears.then_some(Strap { piece, strip, take_up: Length::mm(*take_up), system: loaded.job.units })
    }

    /// One of the ears.
    pub fn is_ear(&self, name: &str) -> bool {
        let last = self.strip.steps.len() - 1;
        flat_of(self.strip, name).is_none_or(|(at, _)| at == 0 || at == last)
    }

    fn show(&self, l: Length) -> String {
        show_length(l, self.system)
    }

    /// The path as a whole is longer, nobody knows where: both ears share it.
    pub fn path(&self, by: Length, flat: Length) -> Followed {
        let (advice, gap) = self.gap(by / 2.0, flat, None);
        (advice, format!("its path between the ears is shared by both: {gap}"))
    }

    /// One flat between the ears is longer: along the ears it changes the pitch of their holes, across them the gap.
    pub fn flat(
        &self,
        name: &str,
        by: Length,
        play: Option<Length>,
        broken: impl Fn(&Piece) -> Vec<String>,
    ) -> Option<Followed> {
        let (at, turned) = flat_of(self.strip, name)?;
        let Step::Flat(f) = &self.strip.steps[at] else { return None };
        let (along, across) = (by * libm::cos(turned), by * libm::fabs(libm::sin(turned)));
        let ear = if at * 2 < self.strip.steps.len() { "left" } else { "right" };
        if across.abs() > along.abs() {
            return Some(self.gap(across, f.length, Some(ear)));
        }
        Some(self.pitch(along, play, broken))
    }

    /// The clamp gap under an ear, or under both.
    fn gap(&self, longer: Length, flat: Length, ear: Option<&'static str>) -> Followed {
        let gap = self.take_up - longer;
        let which = ear.map_or("each ear".to_string(), |e| format!("the {e} ear"));
        let says = format!(
            "pulled tight, {which} stands {} from its hanger, {} were drawn",
            self.show(gap.max(Length::ZERO)),
            self.show(self.take_up)
        );
        if longer.to_mm() > 0.0 {
            let closed = gap.to_mm() < LEAST_GAP - 1e-9;
            let why = format!("{says}; under {} the bolts come home before it holds", self.show(Length::mm(LEAST_GAP)));
            return if closed { (Advice::MakeAgain, why) } else { (Advice::Keep, says) };
        }
        let short = longer.abs();
        // As a whole it was beyond what a drawing allows before both ears shared it.
        if ear.is_some() && keeps_length(flat, short) {
            return (Advice::Keep, says);
        }
        match (may_be_shim(short), ear) {
            (false, _) => (Advice::MakeAgain, format!("{says}; that is more than a shim makes up for")),
            (true, None) => (Advice::ShimEars(short), says),
            (true, Some("left")) => (Advice::ShimLeft(short), says),
            (true, Some(_)) => (Advice::ShimRight(short), says),
        }
    }

    /// The pitch of the ears' holes against that of their hangers: held in the middle, each ear takes half.
    fn pitch(&self, longer: Length, play: Option<Length>, broken: impl Fn(&Piece) -> Vec<String>) -> Followed {
        let each = longer.abs() / 2.0;
        let word = if longer.to_mm() < 0.0 { "nearer to each other" } else { "farther apart" };
        let says = format!(
            "the holes of its ears are {} {word} than those of their hangers, {} at each",
            self.show(longer.abs()),
            self.show(each)
        );
        let Some(play) = play else {
            return (Advice::HoldAgainst, format!("{says}; the job does not know what they have to meet"));
        };
        let says = format!("{says}, where the bolt has {} of play", self.show(play));
        let slot = crate::checks::slot_for(each, play);
        if slot.to_mm() <= 1e-9 {
            return (Advice::Keep, says);
        }
        let outwards = longer.to_mm() < 0.0;
        let Some(made) = self.slotted(slot, outwards) else {
            return (Advice::MakeAgain, format!("{says}; a slot would be longer than 1.5 holes"));
        };
        match broken(&made).first() {
            Some(first) => (Advice::MakeAgain, format!("{says}; as a slot, {first}")),
            None if outwards => (Advice::SlotOut(slot), says),
            None => (Advice::SlotIn(slot), says),
        }
    }

    /// The holes of both ears filed longer, towards the free ends or away from them.
    fn slotted(&self, by: Length, outwards: bool) -> Option<Piece> {
        let last = self.strip.steps.len() - 1;
        let mut out = self.piece.clone();
        for (i, h) in self.strip.holes.iter().enumerate().filter(|(_, h)| h.step == 0 || h.step == last) {
            let width = h.hole.shape.core() * 2.0;
            let HoleShape::Round { diameter } = h.hole.shape else { return None };
            if !may_be_slot(Length::mm(diameter), by) {
                return None;
            }
            let free = if h.step == 0 { -1.0 } else { 1.0 };
            let way = if outwards { free } else { -free };
            let mut at = holes(self.piece).get(i)?.at;
            at.x += way * by.to_mm() / 2.0;
            out = with_hole(&out, i, at, HoleShape::Slot { length: width + by.to_mm(), width, lies: 0.0 });
        }
        Some(out)
    }
}
