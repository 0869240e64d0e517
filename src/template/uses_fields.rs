//! The keys of a `[[uses]]` block: another template as part of one.

use crate::expr::{PLACE, PLACE_RULES};
use crate::source::{Field, Need, Want, field};

/// Another template that this one builds on.
pub(super) const USES: &[Field] = &[
    field(
        "template",
        Want::Text,
        true,
        "the template: a built-in one, or a file beside the job; a built-in template uses built-in ones",
    ),
    field(
        "name",
        Want::Text,
        true,
        "what it is called here: its pieces are name/piece, its values name.value in formulas",
    ),
    field("with", Want::Values(Need::Any), false, "its answers: formulas of this template, its words as they are"),
    field("count", Want::Expr(Need::Number), false, "how many of it one part needs").usual("1").within(0.0, 1_000.0),
    field("when", Want::Expr(Need::YesNo), false, "left out when this is not so; its values are not there then"),
    field(
        "place",
        Want::List(PLACE),
        false,
        "where its own frame stands in this part; without one its pieces stand beside the rest",
    )
    .rules(PLACE_RULES),
    field("bolts", Want::Bool, false, "false: its bolts are those of another one here; they are not bought twice")
        .usual("true"),
    field("faint", Want::Bool, false, "false: what it draws as there already is left out").usual("true"),
];
