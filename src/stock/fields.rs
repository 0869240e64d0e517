//! The keys of a bin file.

use crate::handbook::SHAPES;
use crate::source::{Case, Field, FileForm, Need, Rule, Want, case, field};

/// Shortest and longest stock, mm.
const SPAN: (f64, f64) = (1.0, 1e5);

/// Only a plate has a width of its own; an offcut of plate may have any outline.
const WIDTH: &[Rule] = &[Rule::ByWord { key: "shape", usual: None, cases: PLATE_OR_BAR }];
/// Rules between the keys of an offcut.
pub const OFFCUT_RULES: &[Rule] = &[
    Rule::ByWord { key: "shape", usual: None, cases: REMNANT_OR_BAR },
    Rule::OneSet { key: "shape", word: "plate", sets: &[&["length", "width"], &["outline"]] },
];
const REMNANT_OR_BAR: &[Case] = &[
    case("plate", &[], &["length", "width", "outline", "hole"]),
    case("flat bar|round bar", &["length"], &[]),
    case("angle|channel", &["length"], &["wall"]),
    case("square tube|rectangular tube|round tube", &["length"], &["wall", "seam"]),
];

/// A hole that is in a plate already.
pub const HOLE: &[Field] = &[
    field("at", Want::Pair(Need::Length), false, "its middle: along and up, from the lower left corner"),
    field("size", Want::Expr(Need::Length), false, "round: diameter").within(0.1, 1e4),
    field("length", Want::Expr(Need::Length), false, "rectangular: along").within(0.1, 1e4),
    field("width", Want::Expr(Need::Length), false, "rectangular: up").within(0.1, 1e4),
    field("outline", Want::Texts, false, "any other: its corners in order, each as \"along, up\""),
];
pub(super) const HOLE_RULES: &[Rule] = &[
    Rule::One(&["size", "length", "outline"]),
    Rule::Beside("size", "at"),
    Rule::Beside("length", "at"),
    Rule::Beside("length", "width"),
    Rule::Beside("width", "length"),
];
const PLATE_OR_BAR: &[Case] = &[
    case("plate", &["width"], &[]),
    case("flat bar|angle|square tube|rectangular tube|round tube|round bar|channel", &[], &[]),
];

pub(super) const SAW: &[Field] = &[
    field("kerf", Want::Expr(Need::Length), false, "what one cut eats").usual("3 mm").within(0.0, 20.0),
    field("trim", Want::Expr(Need::Length), false, "squared off each raw end").usual("0 mm").within(0.0, 500.0),
    field("keep", Want::Expr(Need::Length), false, "shortest remainder that goes back")
        .usual("200 mm")
        .within(0.0, SPAN.1),
    field("value_of_offcuts", Want::Number, false, "what a metre of bar that goes back is worth, in your own money")
        .usual("0")
        .within(0.0, 1e6),
    field("keep_plate", Want::Text, false, "smallest plate leftover that goes back, as short side x long side")
        .usual("60 x 150 mm"),
    field(
        "cuts",
        Want::OneOf(&["straight", "free"]),
        false,
        "how plate is cut: along straight lines, or round any shape",
    )
    .usual("straight"),
    field(
        "free_up_to",
        Want::Expr(Need::Length),
        false,
        "cuts = \"free\": thickest plate for it; thicker is cut straight",
    )
    .within(0.1, 300.0),
    field("gap", Want::Expr(Need::Length), false, "cuts = \"free\": least steel between two parts, and to an edge")
        .usual("3 mm")
        .within(0.0, 100.0),
];

/// The keys of an offcut.
pub const OFFCUT: &[Field] = &[
    field("id", Want::Text, true, "its name, chalked on the bar"),
    field("shape", Want::OneOf(SHAPES), true, "shape of the stock"),
    field("size", Want::Text, true, "as the trade says it: 40 x 40 x 3 mm"),
    field("material", Want::Text, false, "what it is made of").usual("mild steel"),
    field("length", Want::Expr(Need::Length), false, "sound length; plates: or an outline").within(SPAN.0, SPAN.1),
    field("width", Want::Expr(Need::Length), false, "plates: sound width").within(SPAN.0, SPAN.1),
    field(
        "outline",
        Want::Texts,
        false,
        "plates of any shape: the corners in order, each as \"along, up\" from the lower left of all of it",
    ),
    field("hole", Want::List(HOLE), false, "plates: holes that are in it already").rules(HOLE_RULES),
    field(
        "doubt",
        Want::Expr(Need::Length),
        false,
        "bars: how much shorter it may be than measured; 0 if measured twice",
    )
    .usual("2 mm")
    .within(0.0, 1000.0),
    field("unusable", Want::Exprs(Need::Length), false, "bars: from and to of each kink or hole, from the left end"),
    field("left_end", Want::Expr(Need::Angle), false, "bars: angle of a left end that is not square")
        .usual("90 deg")
        .within(10.0, 90.0),
    field("right_end", Want::Expr(Need::Angle), false, "bars: angle of a right end that is not square")
        .usual("90 deg")
        .within(10.0, 90.0),
    field("coating", Want::OneOf(COATINGS), false, "what is on it; it burns or poisons under a torch"),
    field("seam", Want::OneOf(SEAM_FACES), false, "tubes: face that the weld seam lies on"),
    field("wall", Want::Expr(Need::Length), false, "tubes, angles, channels: wall as measured").within(0.1, 300.0),
    field("grade", Want::OneOf(GRADES), false, "whether its grade is known for sure"),
    field("weldable", Want::OneOf(WELDABLE), false, "whether it can be welded"),
    field("where", Want::Text, false, "where it lies"),
    field("from", Want::Text, false, "what it was cut from, and for which job"),
    field("note", Want::Text, false, "anything to remember"),
    field("keep", Want::Bool, false, "true: not to be used"),
    field("held_for", Want::Text, false, "name of the job that it is held for; no other uses it"),
];

/// What may be on a bar.
pub(super) const COATINGS: &[&str] = &["none", "paint", "powder", "zinc", "chrome"];
/// Faces that a weld seam may lie on.
pub(super) const SEAM_FACES: &[&str] = &["top", "front", "back", "bottom"];
/// Whether the grade is known.
pub(super) const GRADES: &[&str] = &["known", "unknown"];
/// Whether it can be welded.
pub(super) const WELDABLE: &[&str] = &["yes", "no", "unknown"];

const BUY: &[Field] = &[
    field("id", Want::Text, false, "a name for it"),
    field("shape", Want::OneOf(SHAPES), true, "shape of the stock"),
    field("size", Want::Text, true, "as the trade says it"),
    field("material", Want::Text, false, "what it is made of").usual("mild steel"),
    field("length", Want::Expr(Need::Length), true, "length that is sold").within(SPAN.0, SPAN.1),
    field("width", Want::Expr(Need::Length), false, "plates: width that is sold").within(SPAN.0, SPAN.1),
    field("price", Want::Number, true, "price of one, in your own money"),
];

const FIELDS: &[Field] = &[
    field("form", Want::Number, false, "number of the file's form").usual("1"),
    field("saw", Want::Table(SAW), false, "the saw and what is worth keeping"),
    field("offcut", Want::List(OFFCUT), false, "remnants").rules(OFFCUT_RULES),
    field(
        "accept",
        Want::Texts,
        false,
        "for every job: stock that may stand in where another would have to be bought: sizes, materials, wider, thicker, ripped",
    ),
    field("buy", Want::List(BUY), false, "what can be bought, any number of each").rules(WIDTH),
];

/// A bin file.
pub const BIN: FileForm = FileForm {
    name: "bin",
    says: "The scrap bin: what lies on the rack, what the saw eats, and what the dealer sells.",
    fields: FIELDS,
    rules: &[],
};
