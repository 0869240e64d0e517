//! A number against its limit, before it is known whose it is.

use super::{Finding, Rule, Verdict};
use crate::units::{Dim, Force, Length, Stress};

/// Slack of a comparison, as a share of the limit: float noise decides nothing.
const SLACK: f64 = 1e-9;

/// One number held against a limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// One sentence.
    pub says: String,
    /// Value, limit and their dimension, base units.
    pub numbers: Option<(f64, f64, Dim)>,
    /// The value must be at least the limit, else at most.
    pub at_least: bool,
    /// Verdict where it is not met; for one without numbers, its verdict.
    pub below: Verdict,
    /// Where the limit comes from, if not from the rule's own source.
    pub source: String,
}

impl Judged {
    /// A number that may be as large as its limit.
    pub fn at_most(value: f64, limit: f64, dim: Dim, says: String) -> Judged {
        Judged {
            says,
            numbers: Some((value, limit, dim)),
            at_least: false,
            below: Verdict::Fail,
            source: String::new(),
        }
    }
    /// A number that must be as large as its limit.
    pub fn at_least(value: f64, limit: f64, dim: Dim, says: String) -> Judged {
        Judged { at_least: true, ..Judged::at_most(value, limit, dim, says) }
    }
    /// A force against what carries it.
    pub fn force(value: Force, limit: Force, says: String) -> Judged {
        Judged::at_most(value.to_newtons(), limit.to_newtons(), Dim::FORCE, says)
    }
    /// A stress against what the metal bears.
    pub fn stress(value: Stress, limit: Stress, says: String) -> Judged {
        Judged::at_most(value.to_mpa(), limit.to_mpa(), Dim::STRESS, says)
    }
    /// A length that must be as long as its limit.
    pub fn long_enough(value: Length, limit: Length, says: String) -> Judged {
        Judged::at_least(value.to_mm(), limit.to_mm(), Dim::LENGTH, says)
    }
    /// Something that could not be worked out: never a check that is met.
    pub fn untold(says: String) -> Judged {
        Judged { says, numbers: None, at_least: false, below: Verdict::Warn, source: String::new() }
    }
    /// Something worth knowing.
    pub fn note(says: String) -> Judged {
        Judged { below: Verdict::Note, ..Judged::untold(says) }
    }
    /// Only a warning where it is not met.
    pub fn warns(self) -> Judged {
        Judged { below: Verdict::Warn, ..self }
    }
    /// With its own source.
    pub fn from(self, source: impl ToString) -> Judged {
        Judged { source: source.to_string(), ..self }
    }

    /// Whether it is met; nothing without numbers.
    pub fn met(&self) -> Option<bool> {
        let (value, limit, _) = self.numbers?;
        let slack = SLACK * (1.0 + limit.abs());
        Some(if self.at_least { value >= limit - slack } else { value <= limit + slack })
    }

    /// The finding of a rule on a part.
    pub(super) fn finding(self, rule: &Rule, part: &str) -> Finding {
        let verdict = match self.met() {
            Some(true) => Verdict::Meets,
            _ => self.below,
        };
        let source = if self.source.is_empty() { rule.source.to_string() } else { self.source };
        Finding {
            code: rule.code.to_string(),
            part: part.to_string(),
            verdict,
            value: self.numbers.map(|n| n.0),
            limit: self.numbers.map(|n| n.1),
            unit: self.numbers.map_or("", |n| unit_of(n.2)),
            utilisation: self.numbers.and_then(|(v, l, _)| utilisation(v, l, self.at_least)),
            says: self.says,
            source,
            ..Finding::default()
        }
    }
}

/// Share of a limit that is used up: 1 is the limit itself.
pub fn utilisation(value: f64, limit: f64, at_least: bool) -> Option<f64> {
    let (over, under) = if at_least { (limit, value) } else { (value, limit) };
    let share = over / under;
    (under > 0.0 && over >= 0.0 && share.is_finite()).then_some(share)
}

/// The unit that a finding's numbers of a dimension are in.
pub fn unit_of(dim: Dim) -> &'static str {
    match dim {
        Dim::LENGTH => "mm",
        Dim::ANGLE => "deg",
        Dim::FORCE => "N",
        Dim::STRESS => "MPa",
        Dim::MOMENT => "N mm",
        Dim::MASS => "t",
        Dim::AREA => "mm2",
        Dim::VOLUME => "mm3",
        _ => "",
    }
}
