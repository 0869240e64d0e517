//! The keys of a job file.

use super::as_made::{AS_MADE, AS_MADE_RULES};
use super::loads::{LOAD, LOAD_RULES};
use super::pedal::PEDAL;
use super::steering::{STEERING, STEERING_RULES};
use super::tank::{TANK, TANK_RULES};
use crate::expr::{FAINT, FAINT_RULES, PLACE, PLACE_RULES};
use crate::handbook::SHAPES;
use crate::source::{Field, FileForm, Need, Rule, Want, case, field};

/// Most copies of one thing.
pub(super) const MOST: f64 = 1_000.0;

/// What may stand in for the stock that is asked for.
const ACCEPT: Field = field(
    "accept",
    Want::Texts,
    false,
    "stock that may stand in where this one would have to be bought: sizes, materials, wider, thicker, ripped",
);

const COPY: &[Field] = &[
    field("name", Want::Text, false, "letter or word for this copy").usual("A, B, C ..."),
    field("with", Want::Values(Need::Any), false, "answers of this copy"),
    field("hand", Want::OneOf(&["left", "right"]), false, "opposite hand of this copy"),
    field("place", Want::List(PLACE), false, "where this copy stands on the vehicle").rules(PLACE_RULES),
];

/// What a part's steel is.
const STEEL: &[&str] = &["known", "certified", "unknown scrap", "hardened", "cast", "galvanised", "painted"];

const OVERRULE: &[Field] = &[
    field("code", Want::Text, true, "the refusal that is overruled, by its code"),
    field("reason", Want::Text, true, "why, in a sentence: it is printed"),
];

const PART: &[Field] = &[
    field("name", Want::Text, true, "name of the part"),
    field("template", Want::Text, true, "the template it is made from"),
    field("make", Want::Expr(Need::Number), false, "how many").usual("1").within(0.0, MOST),
    field("hand", Want::OneOf(&["left", "right"]), false, "right is the true mirror image of left"),
    field("with", Want::Values(Need::Any), false, "answers to the template's questions"),
    field("copy", Want::List(COPY), false, "copies with their own answers, one each"),
    ACCEPT,
    field("steel", Want::OneOf(STEEL), false, "what is known of its steel").usual("known"),
    field("overrule", Want::List(OVERRULE), false, "refusals that the person answers for"),
    field("place", Want::List(PLACE), false, "where the part stands on the vehicle, one place for each that is made")
        .rules(PLACE_RULES),
];

pub(super) const CUT: &[Field] = &[
    field("name", Want::Text, true, "name of the piece"),
    field("shape", Want::OneOf(SHAPES), true, "shape of the stock"),
    field("size", Want::Text, true, "as the trade says it: 40 x 40 x 3 mm"),
    field("material", Want::Text, false, "what it is made of").usual("mild steel"),
    field("length", Want::Expr(Need::Length), true, "long point to long point").within(0.1, 1e5),
    field("left_end", Want::Expr(Need::Angle), false, "angle of the end, inside the metal; 90 deg is square")
        .usual("90 deg")
        .within(15.0, 165.0),
    field("right_end", Want::Expr(Need::Angle), false, "angle of the end, inside the metal; 90 deg is square")
        .usual("90 deg")
        .within(15.0, 165.0),
    field("make", Want::Expr(Need::Number), false, "how many").usual("1").within(0.0, MOST),
    ACCEPT,
];

const BLANK: &[Field] = &[
    field("name", Want::Text, true, "name of the piece"),
    field("shape", Want::OneOf(&["plate"]), false, "shape of the stock").usual("plate"),
    field("size", Want::Text, true, "thickness: 6 mm"),
    field("material", Want::Text, false, "what it is made of").usual("mild steel"),
    field("length", Want::Expr(Need::Length), true, "length of the rectangle").within(0.1, 1e5),
    field("width", Want::Expr(Need::Length), true, "width of the rectangle").within(0.1, 1e5),
    field("make", Want::Expr(Need::Number), false, "how many").usual("1").within(0.0, MOST),
    ACCEPT,
    field(
        "grain",
        Want::OneOf(&["any", "along"]),
        false,
        "along: the rolling direction, the long way of a plate, runs along its length",
    )
    .usual("any"),
];

const BENDING: &[Field] = &[
    field("k", Want::Expr(Need::Number), false, "neutral line as a fraction of the thickness, from your own test bend")
        .within(0.0, 1.0),
    field(
        "method",
        Want::OneOf(&["DIN 6935", "Machinery's Handbook"]),
        false,
        "whose bend allowance is used where no test bend was made",
    ),
];

/// What was measured of the bars that should be 100 mm or 4 in long.
const PRINTER: &[Field] = &[
    field("x", Want::Expr(Need::Length), true, "length of the X bar on an upright page, as printed")
        .within(50.0, 220.0),
    field("y", Want::Expr(Need::Length), true, "length of the Y bar on an upright page, as printed")
        .within(50.0, 220.0),
    field("bar", Want::Expr(Need::Length), false, "what they should be; 100 mm, or 4 in for inch").within(50.0, 220.0),
];

const REWORK_HOLE: &[Field] = &[
    field("name", Want::Text, true, "what the hole is for"),
    field("at", Want::Pair(Need::Length), true, "from the named edges: along x, along y"),
    field("shape", Want::OneOf(&["round", "slot"]), false, "shape of the hole").usual("round"),
    field("size", Want::Expr(Need::Length), false, "round: diameter").within(0.1, 2_000.0),
    field("length", Want::Expr(Need::Length), false, "slot: overall length").within(0.1, 2_000.0),
    field("width", Want::Expr(Need::Length), false, "slot: width").within(0.1, 2_000.0),
    field("lies", Want::Expr(Need::Angle), false, "slot: direction of the length").usual("0 deg"),
];

const REWORK_HOLE_RULES: &[Rule] = &[Rule::ByWord {
    key: "shape",
    usual: Some("round"),
    cases: &[case("round", &["size"], &[]), case("slot", &["length", "width"], &["lies"])],
}];

const REWORK_CUT: &[Field] = &[
    field("name", Want::Text, false, "what is cut").usual("cut"),
    field("from", Want::Pair(Need::Length), true, "where the cut begins, from the named edges"),
    field("to", Want::Pair(Need::Length), true, "where it ends"),
];

const REWORK: &[Field] = &[
    field("name", Want::Text, true, "name of the thing that is there already"),
    field("x_edge", Want::Text, true, "the edge that x is measured from, in words"),
    field("y_edge", Want::Text, true, "the edge that y is measured from, in words"),
    field("length", Want::Expr(Need::Length), true, "of the face that is worked on, along x").within(1.0, 5_000.0),
    field("width", Want::Expr(Need::Length), true, "of the face that is worked on, along y").within(1.0, 5_000.0),
    field("material", Want::Text, false, "what it is made of, in words").usual("unknown"),
    field("hole", Want::List(REWORK_HOLE), false, "holes to drill").rules(REWORK_HOLE_RULES),
    field("cut", Want::List(REWORK_CUT), false, "straight cuts to make"),
];

const FIELDS: &[Field] = &[
    field("form", Want::Number, false, "number of the file's form").usual("1"),
    field("job", Want::Text, true, "name of the job"),
    field("by", Want::Text, false, "whose workshop"),
    field("units", Want::OneOf(&["mm", "inch"]), false, "how bare lengths are read and results printed").usual("mm"),
    field("sizes", Want::OneOf(&["metric", "inch"]), false, "usual sizes that templates offer").usual("as `units`"),
    field("bin", Want::Text, false, "the scrap bin, from this file's folder"),
    field("paper", Want::OneOf(&["A4", "A3", "Letter", "roll"]), false, "paper in the printer")
        .usual("A4 for mm, Letter for inch"),
    field("roll_width", Want::Expr(Need::Length), false, "width of the roll").within(200.0, 2_000.0),
    field(
        "long_pieces",
        Want::OneOf(&["tile", "ends"]),
        false,
        "pieces longer than the paper: whole over several sheets, or only the places with holes, bends and ends",
    )
    .usual("tile"),
    field(
        "cutter_kerf",
        Want::Expr(Need::Length),
        false,
        "width that the laser, plasma or router takes: lines of the SVG are moved by half of it",
    )
    .usual("0 mm")
    .within(0.0, 10.0),
    field("printer", Want::Table(PRINTER), false, "what the printer makes of the check bars"),
    field("measured", Want::Values(Need::Any), false, "what was measured, once"),
    field("load", Want::List(LOAD), false, "what the parts have to hold, and how hard it pulls").rules(LOAD_RULES),
    field("tank", Want::List(TANK), false, "tank mounts: what they work out, parts take by name").rules(TANK_RULES),
    field("pedal", Want::List(PEDAL), false, "pedals with push rod and master cylinder, likewise"),
    field(
        "steering",
        Want::List(STEERING),
        false,
        "steering shafts through universal joints, point by point, likewise",
    )
    .rules(STEERING_RULES),
    field("bending", Want::Table(BENDING), false, "how flat lengths are worked out"),
    field("part", Want::List(PART), false, "parts from templates"),
    field("cut", Want::List(CUT), false, "plain cuts of bar, without a template"),
    field("blank", Want::List(BLANK), false, "plain rectangles of plate"),
    field("as_made", Want::List(AS_MADE), false, "pieces that came out otherwise than wanted").rules(AS_MADE_RULES),
    field("faint", Want::List(FAINT), false, "what is there already on the vehicle, drawn faint").rules(FAINT_RULES),
    field("rework", Want::List(REWORK), false, "holes and cuts on a thing that is there already: paper only"),
];

/// A job file.
pub const JOB: FileForm = FileForm {
    name: "job",
    says: "What was measured on the vehicle, and which parts are wanted.",
    fields: FIELDS,
    rules: &[Rule::Beside("roll_width", "paper")],
};

/// A file `printer.toml` beside the job or in a folder above it.
pub const PRINTER_FILE: FileForm = FileForm {
    name: "printer file",
    says: "What the printer makes of its check bars, for every job in the folders below.",
    fields: &[
        field("form", Want::Number, false, "number of the file's form").usual("1"),
        field("printer", Want::Table(PRINTER), true, "what was measured on the printer test"),
    ],
    rules: &[],
};
