//! How pieces of a job came out, where that differs from what was wanted.

use crate::diag::Diagnostic;
use crate::expr::Scope;
use crate::source::{Field, Need, Obj, Rule, Text, Want, field};
use crate::units::Length;

/// One thing that came out otherwise.
#[derive(Clone, Debug, PartialEq)]
pub struct AsMade {
    /// The piece, `part/piece`.
    pub piece: Text,
    /// What differs.
    pub what: Differs,
}

/// What differs.
#[derive(Clone, Debug, PartialEq)]
pub enum Differs {
    /// It is longer by so much, below 0 shorter; where, by the name of a flat: else at its right end.
    Longer(Length, Option<Text>),
    /// It is thicker by so much; below 0: thinner.
    Thicker(Length),
    /// A hole, by its letter on the paper or its name, sits so far along x and y from where it should.
    Hole(Text, Length, Length),
}

/// The keys of an `[[as_made]]`.
pub(super) const AS_MADE: &[Field] = &[
    field("piece", Want::Text, true, "the piece as the lists call it: part/piece"),
    field("longer", Want::Expr(Need::Length), false, "how much longer it came out; with a minus: how much shorter")
        .within(-2_000.0, 2_000.0),
    field("flat", Want::Text, false, "a bent strip: the flat that came out longer, by its name; usual: its right end"),
    field("thicker", Want::Expr(Need::Length), false, "how much thicker it is; with a minus: how much thinner")
        .within(-50.0, 50.0),
    field("hole", Want::Text, false, "the hole that sits elsewhere: its letter on the paper, or its name"),
    field("x", Want::Expr(Need::Length), false, "how far to the right of its mark; with a minus: to the left")
        .usual("0 mm")
        .within(-500.0, 500.0),
    field("y", Want::Expr(Need::Length), false, "how far above its mark; with a minus: below")
        .usual("0 mm")
        .within(-500.0, 500.0),
];

/// Which of them go together.
pub(super) const AS_MADE_RULES: &[Rule] = &[
    Rule::One(&["longer", "thicker", "hole"]),
    Rule::Beside("flat", "longer"),
    Rule::Beside("x", "hole"),
    Rule::Beside("y", "hole"),
];

/// What was told; faults go to `out`.
pub(super) fn as_made(obj: &Obj, scope: &Scope, out: &mut Vec<Diagnostic>) -> Vec<AsMade> {
    let mut all = vec![];
    for o in obj.list("as_made") {
        let Some(piece) = o.text("piece").cloned() else { continue };
        let mut length = |key: &str| {
            if o.has(key) { scope.field(o, key, out).map(Length::mm) } else { Some(Length::mm(0.0)) }
        };
        let what = match o.text("hole") {
            Some(hole) => length("x").zip(length("y")).map(|(x, y)| Differs::Hole(hole.clone(), x, y)),
            None if o.has("longer") => length("longer").map(|by| Differs::Longer(by, o.text("flat").cloned())),
            None if o.has("thicker") => length("thicker").map(Differs::Thicker),
            None => None,
        };
        all.extend(what.map(|what| AsMade { piece, what }));
    }
    all
}
