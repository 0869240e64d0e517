//! The keys of a bin file.

use crate::source::{Field, Need, Want, field};

const SAW: &[Field] = &[
    field("kerf", Want::Expr(Need::Length), false, "what one cut eats; 3 mm unless told"),
    field("trim", Want::Expr(Need::Length), false, "squared off each raw end; 0 mm unless told"),
    field("keep", Want::Expr(Need::Length), false, "shortest remainder that goes back; 200 mm unless told"),
    field("keep_plate", Want::Text, false, "smallest plate leftover that goes back, as 60 mm x 150 mm"),
];

const OFFCUT: &[Field] = &[
    field("id", Want::Text, true, "its name, chalked on the bar"),
    field("shape", Want::Text, true, "flat bar, plate, angle, square tube, ..."),
    field("size", Want::Text, true, "as the trade says it: 40 x 40 x 3 mm"),
    field("material", Want::Text, false, "mild steel unless told"),
    field("length", Want::Expr(Need::Length), true, "sound length"),
    field("width", Want::Expr(Need::Length), false, "plates: sound width"),
    field("where", Want::Text, false, "where it lies"),
    field("note", Want::Text, false, "anything to remember"),
    field("keep", Want::Bool, false, "true: not to be used"),
];

const BUY: &[Field] = &[
    field("id", Want::Text, false, "a name for it"),
    field("shape", Want::Text, true, "flat bar, plate, angle, square tube, ..."),
    field("size", Want::Text, true, "as the trade says it"),
    field("material", Want::Text, false, "mild steel unless told"),
    field("length", Want::Expr(Need::Length), true, "length that is sold"),
    field("width", Want::Expr(Need::Length), false, "plates: width that is sold"),
    field("price", Want::Number, true, "price of one, in your own money"),
];

/// A bin file.
pub const BIN: &[Field] = &[
    field("form", Want::Number, false, "number of the file's form; 1"),
    field("saw", Want::Table(SAW), false, "the saw and what is worth keeping"),
    field("offcut", Want::List(OFFCUT), false, "remnants"),
    field("buy", Want::List(BUY), false, "what can be bought, any number of each"),
];
