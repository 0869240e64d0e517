//! What becomes of a bar that is cut: every whole nanometre of it is piece,
//! kerf, trim, something that goes back, or waste.

/// A cut piece on the bar, along its marked edge, nm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Taken {
    pub from: i64,
    pub to: i64,
    /// What the saw eats beside it on either side, along the marked edge, nm.
    pub kerfs: (i64, i64),
}

/// What a stretch of the bar becomes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Becomes {
    Piece,
    Kerf,
    Trim,
    Back,
    Waste,
}

/// A stretch of the bar, nm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stretch {
    pub becomes: Becomes,
    pub from: i64,
    pub to: i64,
}

/// What is left of a bar from where to where, and the rules.
#[derive(Clone, Debug)]
pub(super) struct Bar<'a> {
    pub from: i64,
    pub to: i64,
    /// Spans that cannot be used, rising.
    pub unusable: &'a [(i64, i64)],
    /// Lost at an end before it is square: trim of a raw end, slant, doubt.
    pub lost: (i64, i64),
    pub trim: i64,
    pub keep: i64,
    /// What the plan says that goes back from the far end, if it says so.
    pub planned: Option<i64>,
    /// Pieces that are planned and not cut yet: what holds one of them goes back,
    /// however short.
    pub still: &'a [(i64, i64)],
    /// What was measured at the far end after the last cut.
    pub measured: Option<i64>,
}

impl Bar<'_> {
    /// Longest sound run between two places.
    fn sound(&self, from: i64, to: i64) -> i64 {
        let mut at = from;
        let mut best = 0;
        for (low, high) in self.unusable.iter().filter(|s| s.1 > from && s.0 < to) {
            best = best.max(*low - at);
            at = at.max(*high);
        }
        best.max(to - at)
    }

    /// Whether a rest goes back: its sound run without what its ends lose.
    fn goes_back(&self, from: i64, to: i64) -> bool {
        // A kerf on a slant is rounded up to whole nm on both sides.
        if self.still.iter().any(|s| from - 2 <= s.0 && s.1 <= to + 2) {
            return true;
        }
        let left = if from == self.from { self.lost.0 } else { 0 };
        let right = if to == self.to { self.lost.1 } else { 0 };
        let usable = self.sound(from, to).min(to - from - left - right);
        usable >= self.keep && usable > 0
    }

    /// All stretches of the bar in order, without a gap. `cuts` rise.
    pub fn parted(&self, cuts: &[Taken]) -> Vec<Stretch> {
        let mut out = vec![];
        let mut at = self.from;
        let mut before: Option<Taken> = None;
        for cut in cuts {
            self.between(before, at, cut, &mut out);
            let end = cut.to.min(self.to);
            put(&mut out, Becomes::Piece, at.max(cut.from), end);
            at = at.max(end);
            before = Some(*cut);
        }
        match before {
            Some(last) => self.tail(at, last.kerfs.1, &mut out),
            None => put(&mut out, Becomes::Back, self.from, self.to),
        }
        out
    }

    fn between(&self, before: Option<Taken>, at: i64, cut: &Taken, out: &mut Vec<Stretch>) {
        let gap = cut.from - at;
        let left = before.map_or(0, |b| b.kerfs.1);
        if before.is_none() && gap <= self.trim.max(self.lost.0) {
            return put(out, Becomes::Trim, at, cut.from);
        }
        if gap <= left + cut.kerfs.0 {
            return put(out, Becomes::Kerf, at, cut.from);
        }
        put(out, Becomes::Kerf, at, at + left);
        let (from, to) = (at + left, cut.from - cut.kerfs.0);
        let becomes = if self.goes_back(from, to) { Becomes::Back } else { Becomes::Waste };
        put(out, becomes, from, to);
        put(out, Becomes::Kerf, to, cut.from);
    }

    fn tail(&self, at: i64, kerf: i64, out: &mut Vec<Stretch>) {
        let saw = (at + kerf).min(self.to);
        let back = match (self.measured, self.planned) {
            (Some(0), _) => None,
            (Some(length), _) => Some((self.to - length).max(at)),
            (None, Some(length)) => Some((self.to - length).max(at)),
            (None, None) => self.goes_back(saw, self.to).then_some(saw),
        };
        let from = back.unwrap_or(self.to);
        put(out, Becomes::Kerf, at, saw.min(from));
        put(out, Becomes::Waste, saw, from);
        put(out, Becomes::Back, from, self.to);
    }
}

fn put(out: &mut Vec<Stretch>, becomes: Becomes, from: i64, to: i64) {
    if to > from {
        out.push(Stretch { becomes, from, to });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn bar(to: i64, unusable: &[(i64, i64)]) -> Bar<'_> {
        Bar { from: 0, to, unusable, lost: (3, 5), trim: 3, keep: 200, planned: None, still: &[], measured: None }
    }

    #[test]
    fn a_bar_is_parted_as_the_saw_parts_it() {
        let cuts = [Taken { from: 3, to: 103, kerfs: (2, 2) }, Taken { from: 105, to: 205, kerfs: (2, 2) }];
        let all = bar(1000, &[]).parted(&cuts);
        let words: Vec<(Becomes, i64)> = all.iter().map(|s| (s.becomes, s.to - s.from)).collect();
        assert_eq!(
            words,
            [
                (Becomes::Trim, 3),
                (Becomes::Piece, 100),
                (Becomes::Kerf, 2),
                (Becomes::Piece, 100),
                (Becomes::Kerf, 2),
                (Becomes::Back, 793)
            ]
        );
        // A kink in the middle of what is left: neither side is long enough by itself.
        let all = bar(500, &[(350, 360)]).parted(&cuts);
        assert_eq!(all.last().map(|s| s.becomes), Some(Becomes::Waste));
        // Only the second of two pieces has been cut.
        let all = bar(1000, &[]).parted(&cuts[1..]);
        assert_eq!(all[0], Stretch { becomes: Becomes::Waste, from: 0, to: 103 });
    }

    proptest! {
        /// Nothing of the bar is lost or counted twice, whatever was cut from it.
        #[test]
        fn every_nanometre_is_accounted_for(
            steps in prop::collection::vec((0_i64..400, 1_i64..900), 0..12),
            kerf in 0_i64..40, keep in 0_i64..500, spare in 0_i64..900, kink in 0_i64..3000, planned in proptest::option::of(0_i64..800),
        ) {
            let mut at = 0;
            let mut cuts = vec![];
            for (gap, length) in steps {
                cuts.push(Taken { from: at + gap, to: at + gap + length, kerfs: (kerf, kerf) });
                at += gap + length;
            }
            let kinks = [(kink, kink + 50)];
            let to = at + spare;
            let whole = Bar { from: 0, to, unusable: &kinks, lost: (3, 8), trim: 3, keep, planned: planned.map(|p| p.min(spare)), still: &[], measured: None };
            let all = whole.parted(&cuts);
            let mut end = 0;
            for s in &all {
                prop_assert_eq!(s.from, end);
                prop_assert!(s.to > s.from);
                end = s.to;
            }
            prop_assert_eq!(end, to);
            let pieces: i64 = all.iter().filter(|s| s.becomes == Becomes::Piece).map(|s| s.to - s.from).sum();
            prop_assert_eq!(pieces, cuts.iter().map(|c| c.to - c.from).sum::<i64>());
        }
    }
}
