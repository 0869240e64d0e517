//! The keys of a template file: what each holds, whether it must be there, and
//! its words. Reading, checking and the manual all come from these tables.

use super::uses_fields::USES;
use crate::expr::{BOLT, FAINT, FAINT_RULES, PLACE, PLACE_RULES};
use crate::handbook::SHAPES;
use crate::source::{Field, FileForm, Need, Rule, Want, case, field};

/// Smallest and largest size of a piece, mm.
const SIZE: (f64, f64) = (0.1, 20_000.0);

/// A question that the job answers.
const ASK: &[Field] = &[
    field("what", Want::Text, true, "the question in words, for the person with the tape"),
    field(
        "kind",
        Want::OneOf(&["length", "angle", "count", "number", "mass", "force", "stress", "choice", "material", "load"]),
        true,
        "what kind of answer it takes; load: a [[load]] of the job, or none",
    ),
    field("choices", Want::Texts, false, "choice: the words to choose from"),
    field("usual", Want::Expr(Need::Any), false, "the answer when the job gives none"),
    field("usual_inch", Want::Expr(Need::Any), false, "the same for a job with sizes = \"inch\""),
    field("at_least", Want::Expr(Need::Any), false, "smallest answer allowed"),
    field("at_most", Want::Expr(Need::Any), false, "largest answer allowed"),
    field("example", Want::Expr(Need::Any), false, "an answer to try the template with, where there is no usual one"),
    field("tape", Want::Exprs(Need::Length), false, "on the sketch: from x, y to x, y, where the tape lies"),
    field("hook", Want::Text, false, "where to hook the tape, and where to read it"),
    field(
        "mend",
        Want::OneOf(&["thickness", "width", "length", "hole", "count", "choice"]),
        false,
        "the maker may choose it: a failed check tries other answers, in the sizes of this word",
    ),
];

const ASK_RULES: &[Rule] = &[Rule::ByWord {
    key: "kind",
    usual: None,
    cases: &[
        case("choice", &["choices"], &[]),
        case("length|angle|count|number|mass|force|stress", &[], &["at_least", "at_most"]),
        case("material|load", &[], &[]),
    ],
}];

/// One step of a strip's walk.
const STEP: &[Field] = &[
    field("flat", Want::Expr(Need::Length), false, "length of a straight run"),
    field("name", Want::Text, false, "name of the flat, for holes"),
    field("bend", Want::Expr(Need::Angle), false, "how far the metal turns; 90 deg makes an L").within(-360.0, 360.0),
    field("turn", Want::OneOf(&["up", "down"]), false, "which way the bend goes, seen from the outside face"),
    field("radius", Want::Expr(Need::Length), false, "inside radius of this bend").within(0.0, SIZE.1),
    field(
        "measured",
        Want::OneOf(&["inside", "outside", "middle", "straight"]),
        false,
        "which line this flat is given to",
    ),
    field("when", Want::Expr(Need::YesNo), false, "the step is left out when this is not so"),
];

const STEP_RULES: &[Rule] = &[
    Rule::One(&["flat", "bend"]),
    Rule::Beside("bend", "turn"),
    Rule::Beside("turn", "bend"),
    Rule::Beside("radius", "bend"),
    Rule::Beside("name", "flat"),
    Rule::Beside("measured", "flat"),
];

const END_SHAPES: &[&str] = &["square", "rounded", "radius", "clipped"];

const STRIP: &[Field] = &[
    field("width", Want::Expr(Need::Length), true, "width of the bar").within(SIZE.0, SIZE.1),
    field("thickness", Want::Expr(Need::Length), true, "thickness of the bar").within(SIZE.0, 300.0),
    field("inside_radius", Want::Expr(Need::Length), true, "inside radius of the bends").within(0.0, SIZE.1),
    field(
        "measured",
        Want::OneOf(&["inside", "outside", "middle", "straight"]),
        false,
        "which line the flats are given to",
    )
    .usual("inside"),
    field("left_shape", Want::OneOf(END_SHAPES), false, "finish of the left end").usual("square"),
    field("right_shape", Want::OneOf(END_SHAPES), false, "finish of the right end").usual("square"),
    field("end_size", Want::Expr(Need::Length), false, "radius or clip of the ends"),
    field("k", Want::Expr(Need::Number), false, "neutral line as a fraction of the thickness, from your own test bend")
        .within(0.0, 1.0),
    field("steps", Want::List(STEP), true, "the walk of flats and bends from the left end").rules(STEP_RULES),
];

const CORNER: &[Field] = &[
    field("at", Want::Pair(Need::Length), true, "the corner: along and up"),
    field("radius", Want::Expr(Need::Length), false, "rounded with this radius").within(0.0, SIZE.1),
    field("clip", Want::Expr(Need::Length), false, "cut off this far back").within(0.0, SIZE.1),
];

const ROUND: &[Field] = &[
    field("at", Want::Pair(Need::Length), true, "middle of the hole that the outline goes round"),
    field("size", Want::Expr(Need::Length), true, "diameter of that hole").within(SIZE.0, SIZE.1),
];

const PLATE: &[Field] = &[
    field("thickness", Want::Expr(Need::Length), true, "thickness of the plate").within(SIZE.0, 300.0),
    field("outline", Want::OneOf(&["rectangle", "polygon", "disc", "link"]), true, "kind of outline"),
    field("length", Want::Expr(Need::Length), false, "rectangle: along x").within(SIZE.0, SIZE.1),
    field("width", Want::Expr(Need::Length), false, "rectangle: along y").within(SIZE.0, SIZE.1),
    field("diameter", Want::Expr(Need::Length), false, "disc: diameter").within(SIZE.0, SIZE.1),
    field("corner_radius", Want::Expr(Need::Length), false, "rectangle: radius of the corners, 0 mm for none")
        .within(0.0, SIZE.1),
    field("corner_clip", Want::Expr(Need::Length), false, "rectangle: clip of the corners, 0 mm for none")
        .within(0.0, SIZE.1),
    field("finished", Want::OneOf(&["all", "upper"]), false, "rectangle: which corners are finished").usual("all"),
    field("corners", Want::List(CORNER), false, "polygon: the corners in order"),
    field("round", Want::List(ROUND), false, "link: the holes that the outline goes round"),
    field("wall", Want::Expr(Need::Length), false, "link: width of steel round each hole").within(SIZE.0, SIZE.1),
    field(
        "grain",
        Want::OneOf(&["any", "along"]),
        false,
        "along: the rolling direction, the long way of a plate, runs along x",
    )
    .usual("any"),
    field("zero", Want::OneOf(&["corner", "centre"]), false, "where places are measured from").usual("corner"),
];

const PLATE_RULES: &[Rule] = &[Rule::ByWord {
    key: "outline",
    usual: None,
    cases: &[
        case("rectangle", &["length", "width"], &["corner_radius", "corner_clip", "finished"]),
        case("polygon", &["corners"], &[]),
        case("disc", &["diameter"], &[]),
        case("link", &["round", "wall"], &[]),
    ],
}];

const SECTION: &[Field] = &[
    field("length", Want::Expr(Need::Length), true, "cut length").within(SIZE.0, SIZE.1),
    field(
        "measured",
        Want::OneOf(&["long point", "short point", "heel"]),
        false,
        "what the length is measured between",
    )
    .usual("long point"),
    field("left_end", Want::Expr(Need::Angle), false, "angle of the left end; 90 deg is square")
        .usual("90 deg")
        .within(1.0, 179.0),
    field("right_end", Want::Expr(Need::Angle), false, "angle of the right end; 90 deg is square")
        .usual("90 deg")
        .within(1.0, 179.0),
    field(
        "left_cope",
        Want::Expr(Need::Length),
        false,
        "round tube: outside diameter of the tube that the left end sits on (fish-mouth); 0 mm for none",
    )
    .within(0.0, SIZE.1),
    field("right_cope", Want::Expr(Need::Length), false, "the same at the right end").within(0.0, SIZE.1),
    field(
        "left_flats",
        Want::Expr(Need::Length),
        false,
        "round bar: across the two flats of the left end (double-D), level with the top face; 0 mm for none",
    )
    .within(0.0, SIZE.1),
    field("right_flats", Want::Expr(Need::Length), false, "the same at the right end").within(0.0, SIZE.1),
    field("flats_length", Want::Expr(Need::Length), false, "how far the flats reach along the bar")
        .within(SIZE.0, SIZE.1),
    field(
        "bore",
        Want::Expr(Need::Length),
        false,
        "round bar: bored from end to end with this diameter; 0 mm for none",
    )
    .within(0.0, SIZE.1),
    field("mitre_across", Want::Text, false, "the face that the saw cuts across").usual("the first face"),
];

const STOCK: &[Field] = &[
    field("shape", Want::OneOf(SHAPES), true, "shape of the stock"),
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
    field("shape", Want::OneOf(&["round", "slot", "ellipse", "rectangle"]), false, "shape of the hole").usual("round"),
    field("at", Want::Pair(Need::Length), false, "plate: middle of the hole, along and up"),
    field("along", Want::Expr(Need::Length), false, "strip, section: from the left end or the end named by `from`"),
    field(
        "across",
        Want::Expr(Need::Length),
        false,
        "strip, section: from the lower edge, the heel, or the face's own edge",
    ),
    field("size", Want::Expr(Need::Length), false, "round: diameter").within(SIZE.0, SIZE.1),
    field("length", Want::Expr(Need::Length), false, "slot, rectangle: overall length; ellipse: long axis")
        .within(SIZE.0, SIZE.1),
    field("width", Want::Expr(Need::Length), false, "slot, rectangle: width; ellipse: short axis")
        .within(SIZE.0, SIZE.1),
    field("corner_radius", Want::Expr(Need::Length), false, "rectangle: corner radius").within(0.0, SIZE.1),
    field("lies", Want::Expr(Need::Angle), false, "direction of the length; 0 deg along x"),
    field("through", Want::Bool, false, "tube: through both walls"),
    field(
        "bolt",
        Want::Bool,
        false,
        "false: an opening, drain or sleeve, not a bolt hole; edge distances do not count",
    ),
    field("pattern", Want::OneOf(&["single", "row", "ring", "grid"]), false, "how it is repeated").usual("single"),
    field("count", Want::Expr(Need::Number), false, "row, ring: how many; grid: how many along"),
    field("step", Want::Expr(Need::Length), false, "row, grid: distance along"),
    field("row_lies", Want::Expr(Need::Angle), false, "row: direction; 0 deg along x"),
    field("rows", Want::Expr(Need::Number), false, "grid: how many rows"),
    field("row_step", Want::Expr(Need::Length), false, "grid: distance between rows"),
    field("circle", Want::Expr(Need::Length), false, "ring: diameter of the circle the holes sit on"),
    field("first_at", Want::Expr(Need::Angle), false, "ring: direction of the first hole from the middle"),
    field("when", Want::Expr(Need::YesNo), false, "the hole is left out when this is not so"),
];

const HOLE_RULES: &[Rule] = &[
    Rule::ByWord {
        key: "shape",
        usual: Some("round"),
        cases: &[
            case("round", &["size"], &[]),
            case("slot|ellipse", &["length", "width"], &["lies"]),
            case("rectangle", &["length", "width"], &["lies", "corner_radius"]),
        ],
    },
    Rule::ByWord {
        key: "pattern",
        usual: Some("single"),
        cases: &[
            case("single", &[], &[]),
            case("row", &["count", "step"], &["row_lies"]),
            case("ring", &["count", "circle"], &["first_at"]),
            case("grid", &["count", "rows", "step", "row_step"], &[]),
        ],
    },
    Rule::Beside("along", "across"),
    Rule::Beside("across", "along"),
    Rule::Beside("from", "along"),
];

const PIECE_RULES: &[Rule] = &[Rule::One(&["strip", "plate", "section"])];

const PIECE: &[Field] = &[
    field("name", Want::Text, true, "name of the piece"),
    field("when", Want::Expr(Need::YesNo), false, "the piece is left out when this is not so"),
    field("count", Want::Expr(Need::Number), false, "how many of it one part needs").usual("1").within(0.0, 1_000.0),
    field("notes", Want::Texts, false, "sentences for the maker; {name} shows a value"),
    field("strip", Want::Table(STRIP), false, "flat bar or sheet, bent"),
    field("plate", Want::Table(PLATE), false, "an outline with holes").rules(PLATE_RULES),
    field("section", Want::Table(SECTION), false, "a length of angle, tube, channel or bar"),
    field("stock", Want::Table(STOCK), true, "what it is cut from"),
    field("hole", Want::List(HOLE), false, "holes").rules(HOLE_RULES),
    field("place", Want::List(PLACE), false, "where it stands in the part, in pictures and for the fit")
        .rules(PLACE_RULES),
];

const HARDWARE: &[Field] = &[
    field("item", Want::Text, false, "what to buy; {name} shows a value"),
    field(
        "bolt",
        Want::Expr(Need::Length),
        false,
        "in its place: the hole that a through bolt goes in; its size follows",
    )
    .within(SIZE.0, 100.0),
    field("grip", Want::Expr(Need::Length), false, "bolt: what lies between the washers; its length follows")
        .within(SIZE.0, 1_000.0),
    field("class", Want::Expr(Need::Word), false, "bolt: its class or grade, or the question that asks it"),
    field("nut", Want::OneOf(&["self-locking", "plain"]), false, "bolt: its nut").usual("self-locking"),
    field("washer", Want::OneOf(&["plain", "penny"]), false, "bolt: washer under head and nut").usual("plain"),
    field("head", Want::OneOf(&["hexagon", "countersunk"]), false, "bolt: its head; a countersunk one has no washer")
        .usual("hexagon"),
    field("sheet", Want::Text, false, "in its place: what a strip or pad is cut from; {name} shows a value"),
    field("thick", Want::Expr(Need::Length), false, "sheet: its thickness").within(0.1, 100.0),
    field("length", Want::Expr(Need::Length), false, "sheet: length of the strip").within(1.0, SIZE.1),
    field("width", Want::Expr(Need::Length), false, "sheet: width of the strip").within(1.0, SIZE.1),
    field("count", Want::Expr(Need::Number), true, "how many for one part"),
    field("when", Want::Expr(Need::YesNo), false, "left out when this is not so"),
];

const HARDWARE_RULES: &[Rule] = &[
    Rule::One(&["item", "bolt", "sheet"]),
    Rule::Beside("sheet", "thick"),
    Rule::Beside("sheet", "length"),
    Rule::Beside("sheet", "width"),
    Rule::Beside("thick", "sheet"),
    Rule::Beside("length", "sheet"),
    Rule::Beside("width", "sheet"),
    Rule::Beside("head", "bolt"),
    Rule::Beside("bolt", "grip"),
    Rule::Beside("bolt", "class"),
    Rule::Beside("grip", "bolt"),
    Rule::Beside("class", "bolt"),
    Rule::Beside("nut", "bolt"),
    Rule::Beside("washer", "bolt"),
];

const WELD: &[Field] = &[
    field("name", Want::Text, true, "where the weld is"),
    field("length", Want::Expr(Need::Length), true, "all its runs in one part together").within(0.0, 100_000.0),
    field("throat", Want::Expr(Need::Length), true, "its throat: 0.7 of the leg of an equal-leg fillet")
        .within(0.5, 30.0),
    field("when", Want::Expr(Need::YesNo), false, "left out when this is not so"),
];

const CHECK: &[Field] = &[
    field("name", Want::Text, false, "what is checked"),
    field("must", Want::Expr(Need::YesNo), false, "what must be so"),
    field("use", Want::Text, false, "a named check in its place: droprack explain checks lists them"),
    field("with", Want::Values(Need::Any), false, "what the named check is told: values or formulas"),
    field("when", Want::Expr(Need::YesNo), false, "checked only when this is so"),
    field("otherwise", Want::Text, false, "what to do when it is not"),
    field("level", Want::OneOf(&["fail", "warn"]), false, "how bad it is").usual("fail"),
    field("value", Want::Expr(Need::Any), false, "the number that is held against the limit"),
    field("limit", Want::Expr(Need::Any), false, "the limit"),
    field("source", Want::Text, false, "where the rule comes from"),
];

const CAUTION: &[Field] = &[
    field("say", Want::Text, true, "the caution"),
    field("when", Want::Expr(Need::YesNo), false, "said only when this is so"),
];

/// What to measure, drawn plainly: it shows where the tape hooks, nothing else.
const SKETCH: &[Field] = &[
    field("line", Want::Exprs(Need::Length), false, "a line through x, y, x, y, ... places"),
    field("round", Want::Exprs(Need::Length), false, "a circle: x, y of its middle, and its diameter"),
    field("label", Want::Text, false, "words beside it"),
    field("faint", Want::Bool, false, "true: what is there already"),
    field("when", Want::Expr(Need::YesNo), false, "left out when this is not so"),
];

const CROSS: &[Field] = &[
    field("what", Want::Text, true, "what is measured as a cross-check"),
    field("must_be", Want::Expr(Need::Any), true, "what the other readings say it must be"),
    field("tape", Want::Exprs(Need::Length), false, "on the sketch: from x, y to x, y"),
    field("when", Want::Expr(Need::YesNo), false, "left out when this is not so"),
];

const CHECK_RULES: &[Rule] = &[
    Rule::One(&["must", "use"]),
    Rule::Beside("must", "name"),
    Rule::Beside("must", "otherwise"),
    Rule::Beside("otherwise", "must"),
    Rule::Beside("with", "use"),
    Rule::Beside("source", "must"),
    Rule::Beside("value", "limit"),
    Rule::Beside("limit", "value"),
    Rule::Beside("value", "must"),
];

const FIELDS: &[Field] = &[
    field("form", Want::Number, false, "number of the file's form").usual("1"),
    field("template", Want::Text, true, "name of the template"),
    field("says", Want::Text, true, "what it makes, in one sentence"),
    field(
        "carries",
        Want::Texts,
        false,
        "what its part carries, in plain words: the page that starts a job asks for them",
    ),
    field("fixed_to", Want::Texts, false, "what its part is fixed to, in plain words: asked beside what it carries"),
    field("holds", Want::OneOf(&["fuel", "steering", "brakes"]), false, "what hangs on it: steel must be known then"),
    field("welded", Want::Bool, false, "true: parts of it are welded"),
    field("certified", Want::Bool, false, "true: made from certified bar only; other steel is refused"),
    field("ask", Want::Named(ASK), false, "the questions").rules(ASK_RULES),
    field("work_out", Want::Values(Need::Any), false, "values worked out from the answers, in any order"),
    field("name", Want::Text, false, "name of the only piece").usual("the template's name"),
    field("strip", Want::Table(STRIP), false, "the only piece, as a strip"),
    field("plate", Want::Table(PLATE), false, "the only piece, as a plate").rules(PLATE_RULES),
    field("section", Want::Table(SECTION), false, "the only piece, as a section"),
    field("stock", Want::Table(STOCK), false, "what the only piece is cut from"),
    field("hole", Want::List(HOLE), false, "holes of the only piece").rules(HOLE_RULES),
    field("notes", Want::Texts, false, "sentences for the maker of the only piece"),
    field("piece", Want::List(PIECE), false, "the pieces, where there are several").rules(PIECE_RULES),
    field("uses", Want::List(USES), false, "other templates that are part of it"),
    field("place", Want::List(PLACE), false, "where the only piece stands in the part").rules(PLACE_RULES),
    field("bolt", Want::List(BOLT), false, "bolts in the part, for pictures and the fit").rules(PLACE_RULES),
    field("faint", Want::List(FAINT), false, "what is there already, drawn faint").rules(FAINT_RULES),
    field("hardware", Want::List(HARDWARE), false, "what to buy").rules(HARDWARE_RULES),
    field("weld", Want::List(WELD), false, "fillet welds, for the buy list and the order of work"),
    field("check", Want::List(CHECK), false, "checks").rules(CHECK_RULES),
    field("caution", Want::List(CAUTION), false, "cautions"),
    field("sketch", Want::List(SKETCH), false, "the sketch of the measuring sheet")
        .rules(&[Rule::One(&["line", "round"])]),
    field("cross_check", Want::List(CROSS), false, "readings that catch a wrong reading"),
];

/// A template file.
pub const TEMPLATE: FileForm = FileForm {
    name: "template",
    says: "A family of parts: what it asks, what it works out, and the pieces that follow.",
    fields: FIELDS,
    rules: &[
        Rule::OneOr(&["strip", "plate", "section", "piece"], "uses"),
        Rule::Beside("strip", "stock"),
        Rule::Beside("plate", "stock"),
        Rule::Beside("section", "stock"),
    ],
};
