//! The keys of a job file.

use crate::source::{Field, Need, Want, field};

const COPY: &[Field] = &[
    field("name", Want::Text, false, "letter or word for this copy; A, B, C ... unless told"),
    field("with", Want::Values(Need::Any), false, "answers of this copy"),
    field("hand", Want::OneOf(&["left", "right"]), false, "opposite hand of this copy"),
];

const PART: &[Field] = &[
    field("name", Want::Text, true, "name of the part"),
    field("template", Want::Text, true, "the template it is made from"),
    field("make", Want::Expr(Need::Number), false, "how many; 1 unless told"),
    field("hand", Want::OneOf(&["left", "right"]), false, "right is the true mirror image of left"),
    field("with", Want::Values(Need::Any), false, "answers to the template's questions"),
    field("copy", Want::List(COPY), false, "copies with their own answers, one each"),
];

const CUT: &[Field] = &[
    field("name", Want::Text, true, "name of the piece"),
    field("shape", Want::Text, true, "flat bar, angle, square tube, rectangular tube, round tube, round bar, channel"),
    field("size", Want::Text, true, "as the trade says it: 40 x 40 x 3 mm"),
    field("material", Want::Text, false, "mild steel unless told"),
    field("length", Want::Expr(Need::Length), true, "long point to long point"),
    field("left_end", Want::Expr(Need::Angle), false, "90 deg is square"),
    field("right_end", Want::Expr(Need::Angle), false, "90 deg is square"),
    field("make", Want::Expr(Need::Number), false, "how many; 1 unless told"),
];

const BLANK: &[Field] = &[
    field("name", Want::Text, true, "name of the piece"),
    field("shape", Want::OneOf(&["plate"]), false, "plate"),
    field("size", Want::Text, true, "thickness: 6 mm"),
    field("material", Want::Text, false, "mild steel unless told"),
    field("length", Want::Expr(Need::Length), true, "length of the rectangle"),
    field("width", Want::Expr(Need::Length), true, "width of the rectangle"),
    field("make", Want::Expr(Need::Number), false, "how many; 1 unless told"),
];

const BENDING: &[Field] = &[
    field("k", Want::Expr(Need::Number), false, "neutral line as a fraction of the thickness, from your own test bend"),
    field(
        "method",
        Want::OneOf(&["DIN 6935", "Machinery's Handbook"]),
        false,
        "whose bend allowance is used where no test bend was made",
    ),
];

/// A job file.
pub const JOB: &[Field] = &[
    field("form", Want::Number, false, "number of the file's form; 1"),
    field("job", Want::Text, true, "name of the job"),
    field("by", Want::Text, false, "whose workshop"),
    field(
        "units",
        Want::OneOf(&["mm", "inch"]),
        false,
        "how bare lengths are read and results printed; mm unless told",
    ),
    field("sizes", Want::OneOf(&["metric", "inch"]), false, "usual sizes that templates offer; as `units` unless told"),
    field("bin", Want::Text, false, "the scrap bin, from this file's folder"),
    field("paper", Want::OneOf(&["A4", "Letter"]), false, "A4 for mm, Letter for inch unless told"),
    field("measured", Want::Values(Need::Any), false, "what was measured, once"),
    field("bending", Want::Table(BENDING), false, "how flat lengths are worked out"),
    field("part", Want::List(PART), false, "parts from templates"),
    field("cut", Want::List(CUT), false, "plain cuts of bar, without a template"),
    field("blank", Want::List(BLANK), false, "plain rectangles of plate"),
];
