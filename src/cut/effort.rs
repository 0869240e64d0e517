//! How long a search may go on, counted in steps and never in seconds.

/// How many elementary steps a plan may take before it answers with what it
/// has; a step is some tens of nanoseconds on a desktop machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Steps allowed; more steps can only make the plan better or prove more.
    pub steps: u64,
}

impl Effort {
    /// For a picture that follows the typing: some hundredths of a second.
    pub const QUICK: Effort = Effort { steps: 2_000_000 };
    /// For a cut plan: a home job is proved long before this ends; the hardest
    /// published ones end within some seconds.
    pub const NORMAL: Effort = Effort { steps: 240_000_000 };
    /// For a large order: some minutes.
    pub const LONG: Effort = Effort { steps: 5_000_000_000 };

    /// The same patience for free shapes, whose steps take longest: the usual
    /// effort then ends within some seconds.
    pub const fn for_shapes(self) -> Effort {
        Effort { steps: self.steps / 20 }
    }
}

/// Steps left in a running search.
#[derive(Debug)]
pub(crate) struct Budget {
    left: u64,
}

impl Budget {
    /// A fresh budget of so many steps.
    pub(crate) fn new(steps: u64) -> Budget {
        Budget { left: steps }
    }

    /// Takes steps away; false as soon as none are left.
    #[inline]
    pub(crate) fn spend(&mut self, steps: u64) -> bool {
        self.left = self.left.saturating_sub(steps);
        self.left > 0
    }

    /// Steps that are left.
    pub(crate) fn left(&self) -> u64 {
        self.left
    }

    /// A share of at most `steps` taken out of this budget.
    pub(crate) fn share(&mut self, steps: u64) -> Budget {
        let taken = steps.min(self.left);
        self.left -= taken;
        Budget { left: taken }
    }

    /// Puts the unused rest of a share back.
    pub(crate) fn give_back(&mut self, share: Budget) {
        self.left += share.left;
    }
}
