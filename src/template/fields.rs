//! The keys of a template file: what each holds, whether it must be there, and
//! its words. Reading, checking and the manual all come from these tables.

use crate::source::{Field, Need, Want, field};

/// A question that the job answers.
const ASK: &[Field] = &[
    field("what", Want::Text, true, "the question in words, for the person with the tape"),
    field(
        "kind",
        Want::OneOf(&["length", "angle", "count", "number", "mass", "force", "stress", "choice", "material"]),
        true,
        "what kind of answer it takes",
    ),
    field("choices", Want::Texts, false, "choice: the words to choose from"),
    field("usual", Want::Expr(Need::Any), false, "the answer when the job gives none"),
    field("usual_inch", Want::Expr(Need::Any), false, "the same for a job with sizes = \"inch\""),
    field("at_least", Want::Expr(Need::Any), false, "smallest answer allowed"),
    field("at_most", Want::Expr(Need::Any), false, "largest answer allowed"),
];

/// One step of a strip's walk.
const STEP: &[Field] = &[
    field("flat", Want::Expr(Need::Length), false, "length of a straight run"),
    field("name", Want::Text, false, "name of the flat, for holes"),
    field("bend", Want::Expr(Need::Angle), false, "how far the metal turns; 90 deg makes an L"),
    field("turn", Want::OneOf(&["up", "down"]), false, "which way the bend goes, seen from the outside face"),
    field("radius", Want::Expr(Need::Length), false, "inside radius of this bend"),
    field(
        "measured",
        Want::OneOf(&["inside", "outside", "middle", "straight"]),
        false,
        "which line this flat is given to",
    ),
    field("when", Want::Expr(Need::YesNo), false, "the step is left out when this is not so"),
];

const END_SHAPES: &[&str] = &["square", "rounded", "radius", "clipped"];

const STRIP: &[Field] = &[
    field("width", Want::Expr(Need::Length), true, "width of the bar"),
    field("thickness", Want::Expr(Need::Length), true, "thickness of the bar"),
    field("inside_radius", Want::Expr(Need::Length), true, "inside radius of the bends"),
    field(
        "measured",
        Want::OneOf(&["inside", "outside", "middle", "straight"]),
        false,
        "which line the flats are given to; inside unless told",
    ),
    field("left_shape", Want::OneOf(END_SHAPES), false, "finish of the left end; square unless told"),
    field("right_shape", Want::OneOf(END_SHAPES), false, "finish of the right end; square unless told"),
    field("end_size", Want::Expr(Need::Length), false, "radius or clip of the ends"),
    field("k", Want::Expr(Need::Number), false, "neutral line as a fraction of the thickness, from your own test bend"),
    field("steps", Want::List(STEP), true, "the walk of flats and bends from the left end"),
];

const CORNER: &[Field] = &[
    field("at", Want::Pair(Need::Length), true, "the corner: along and up"),
    field("radius", Want::Expr(Need::Length), false, "rounded with this radius"),
    field("clip", Want::Expr(Need::Length), false, "cut off this far back"),
];

const ROUND: &[Field] = &[
    field("at", Want::Pair(Need::Length), true, "middle of the hole that the outline goes round"),
    field("size", Want::Expr(Need::Length), true, "diameter of that hole"),
];

const PLATE: &[Field] = &[
    field("thickness", Want::Expr(Need::Length), true, "thickness of the plate"),
    field("outline", Want::OneOf(&["rectangle", "polygon", "disc", "link"]), true, "kind of outline"),
    field("length", Want::Expr(Need::Length), false, "rectangle: along x"),
    field("width", Want::Expr(Need::Length), false, "rectangle: along y"),
    field("diameter", Want::Expr(Need::Length), false, "disc: diameter"),
    field("corner_radius", Want::Expr(Need::Length), false, "rectangle: radius of the corners, 0 mm for none"),
    field("corner_clip", Want::Expr(Need::Length), false, "rectangle: clip of the corners, 0 mm for none"),
    field("finished", Want::OneOf(&["all", "upper"]), false, "rectangle: which corners are finished; all unless told"),
    field("corners", Want::List(CORNER), false, "polygon: the corners in order"),
    field("round", Want::List(ROUND), false, "link: the holes that the outline goes round"),
    field("wall", Want::Expr(Need::Length), false, "link: width of steel round each hole"),
    field("zero", Want::OneOf(&["corner", "centre"]), false, "where places are measured from; corner unless told"),
];

const SECTION: &[Field] = &[
    field("length", Want::Expr(Need::Length), true, "cut length"),
    field(
        "measured",
        Want::OneOf(&["long point", "short point", "heel"]),
        false,
        "what the length is measured between; long point unless told",
    ),
    field("left_end", Want::Expr(Need::Angle), false, "angle of the left end; 90 deg is square"),
    field("right_end", Want::Expr(Need::Angle), false, "angle of the right end; 90 deg is square"),
    field("mitre_across", Want::Text, false, "the face that the saw cuts across; the first face unless told"),
];

const STOCK: &[Field] = &[
    field(
        "shape",
        Want::Text,
        true,
        "flat bar, plate, angle, square tube, rectangular tube, round tube, round bar, channel",
    ),
    field(
        "size",
        Want::Exprs(Need::Length),
        true,
        "nominal sizes in the trade's order: legs and wall, width and thickness",
    ),
    field("material", Want::Text, true, "a material, or the name of a question of kind material"),
];

const HOLE: &[Field] = &[
    field("name", Want::Text, false, "what the hole is for"),
    field("on", Want::Text, false, "the flat or face it lies on"),
    field(
        "from",
        Want::OneOf(&["left", "right", "bend", "free end"]),
        false,
        "strip: end of the flat that `along` counts from",
    ),
    field("shape", Want::OneOf(&["round", "slot", "ellipse", "rectangle"]), false, "round unless told"),
    field("at", Want::Pair(Need::Length), false, "plate: middle of the hole, along and up"),
    field("along", Want::Expr(Need::Length), false, "strip, section: from the left end or the end named by `from`"),
    field(
        "across",
        Want::Expr(Need::Length),
        false,
        "strip, section: from the lower edge, the heel, or the face's own edge",
    ),
    field("size", Want::Expr(Need::Length), false, "round: diameter"),
    field("length", Want::Expr(Need::Length), false, "slot, rectangle: overall length; ellipse: long axis"),
    field("width", Want::Expr(Need::Length), false, "slot, rectangle: width; ellipse: short axis"),
    field("corner_radius", Want::Expr(Need::Length), false, "rectangle: corner radius"),
    field("lies", Want::Expr(Need::Angle), false, "direction of the length; 0 deg along x"),
    field("through", Want::Bool, false, "tube: through both walls"),
    field(
        "bolt",
        Want::Bool,
        false,
        "false: an opening, drain or sleeve, not a bolt hole; edge distances do not count",
    ),
    field("pattern", Want::OneOf(&["single", "row", "ring", "grid"]), false, "single unless told"),
    field("count", Want::Expr(Need::Number), false, "row, ring: how many; grid: how many along"),
    field("step", Want::Expr(Need::Length), false, "row, grid: distance along"),
    field("row_lies", Want::Expr(Need::Angle), false, "row: direction; 0 deg along x"),
    field("rows", Want::Expr(Need::Number), false, "grid: how many rows"),
    field("row_step", Want::Expr(Need::Length), false, "grid: distance between rows"),
    field("circle", Want::Expr(Need::Length), false, "ring: diameter of the circle the holes sit on"),
    field("first_at", Want::Expr(Need::Angle), false, "ring: direction of the first hole from the middle"),
    field("when", Want::Expr(Need::YesNo), false, "the hole is left out when this is not so"),
];

const PIECE: &[Field] = &[
    field("name", Want::Text, true, "name of the piece"),
    field("when", Want::Expr(Need::YesNo), false, "the piece is left out when this is not so"),
    field("count", Want::Expr(Need::Number), false, "how many of it one part needs; 1 unless told"),
    field("notes", Want::Texts, false, "sentences for the maker; {name} shows a value"),
    field("strip", Want::Table(STRIP), false, "flat bar, bent"),
    field("plate", Want::Table(PLATE), false, "an outline with holes"),
    field("section", Want::Table(SECTION), false, "a length of angle, tube, channel or bar"),
    field("stock", Want::Table(STOCK), true, "what it is cut from"),
    field("hole", Want::List(HOLE), false, "holes"),
];

const HARDWARE: &[Field] = &[
    field("item", Want::Text, true, "what to buy; {name} shows a value"),
    field("count", Want::Expr(Need::Number), true, "how many for one part"),
    field("when", Want::Expr(Need::YesNo), false, "left out when this is not so"),
];

const CHECK: &[Field] = &[
    field("name", Want::Text, true, "what is checked"),
    field("must", Want::Expr(Need::YesNo), true, "what must be so"),
    field("when", Want::Expr(Need::YesNo), false, "checked only when this is so"),
    field("otherwise", Want::Text, true, "what to do when it is not"),
    field("level", Want::OneOf(&["fail", "warn"]), false, "how bad it is; fail unless told"),
    field("value", Want::Expr(Need::Any), false, "the number that is held against the limit"),
    field("limit", Want::Expr(Need::Any), false, "the limit"),
    field("source", Want::Text, false, "where the rule comes from"),
];

const CAUTION: &[Field] = &[
    field("say", Want::Text, true, "the caution"),
    field("when", Want::Expr(Need::YesNo), false, "said only when this is so"),
];

/// A template file.
pub const TEMPLATE: &[Field] = &[
    field("form", Want::Number, false, "number of the file's form; 1"),
    field("template", Want::Text, true, "name of the template"),
    field("says", Want::Text, true, "what it makes, in one sentence"),
    field("ask", Want::Named(ASK), false, "the questions"),
    field("work_out", Want::Values(Need::Any), false, "values worked out from the answers, in any order"),
    field("name", Want::Text, false, "name of the only piece; the template's name unless told"),
    field("strip", Want::Table(STRIP), false, "the only piece, as a strip"),
    field("plate", Want::Table(PLATE), false, "the only piece, as a plate"),
    field("section", Want::Table(SECTION), false, "the only piece, as a section"),
    field("stock", Want::Table(STOCK), false, "what the only piece is cut from"),
    field("hole", Want::List(HOLE), false, "holes of the only piece"),
    field("notes", Want::Texts, false, "sentences for the maker of the only piece"),
    field("piece", Want::List(PIECE), false, "the pieces, where there are several"),
    field("hardware", Want::List(HARDWARE), false, "what to buy"),
    field("check", Want::List(CHECK), false, "checks"),
    field("caution", Want::List(CAUTION), false, "cautions"),
];
