//! Steering runs of a job: points that the tape gives along a column, its
//! joints and the box, and what stands in the way.

use super::layouts::Reading;
use crate::diag::Diagnostic;
use crate::expr::Scope;
use crate::handbook;
use crate::layout::{Collapse, Joint, JointKind, Obstacle, SteeringRun, Support, SupportKind, Twist};
use crate::source::{Field, Need, Obj, Rule, Want, field};
use crate::units::{Force, Length};

/// A place, mm in the vehicle's frame.
pub(super) const fn place(key: &'static str, must: bool, words: &'static str) -> Field {
    field(key, Want::Exprs(Need::Length), must, words)
}

const JOINT: &[Field] = &[
    place("at", true, "middle of the joint: x, y, z"),
    field("kind", Want::OneOf(&["single", "double"]), false, "one cross, or two with a centring link").usual("single"),
];

/// The keys of everything that stands in the way of something.
pub(super) const OBSTACLE_NAME: Field = field("name", Want::Text, true, "what stands there");
pub(super) const OBSTACLE_FROM: Field = place("from", true, "a point of it, or one end of its axis: x, y, z");
pub(super) const OBSTACLE_TO: Field = place("to", false, "the other end of its axis");
pub(super) const OBSTACLE_RADIUS: Field =
    field("radius", Want::Expr(Need::Length), false, "how far it reaches round that point or axis")
        .usual("0 mm")
        .within(0.0, 2_000.0);

/// The same as a block.
pub(super) const OBSTACLE: &[Field] = &[OBSTACLE_NAME, OBSTACLE_FROM, OBSTACLE_TO, OBSTACLE_RADIUS];

const SUPPORT: &[Field] = &[
    field("name", Want::Text, true, "a word for it, like bulkhead: results of it have this name"),
    field("kind", Want::OneOf(&["bearing", "opening"]), false, "a bearing that holds the shaft, or an opening for it")
        .usual("bearing"),
    place("at", true, "where the axis of the shaft goes through it: x, y, z"),
    place(
        "face_to",
        false,
        "a point straight off its plate, on the side you look from; usual: it is square to the shaft",
    ),
    length("thickness", "thickness of its plate").usual("6 mm").within(0.5, 50.0),
    length("clearance", "room all round the shaft in an opening").usual("3 mm").within(0.0, 50.0),
];

const fn length(key: &'static str, words: &'static str) -> Field {
    field(key, Want::Expr(Need::Length), false, words)
}

/// The keys of a `[[steering]]`.
pub(super) const STEERING: &[Field] = &[
    field("name", Want::Text, true, "name of the run: Steering shaft gives results like steering_shaft.shaft_1.cut"),
    place("column", true, "a point on the column's axis, on the driver's side of the first joint: x, y, z"),
    field("joint", Want::List(JOINT), true, "joints from the column to the box"),
    place("box", true, "a point on the axis of the box's input, beyond the last joint: x, y, z"),
    field("shaft", Want::Expr(Need::Length), true, "diameter of the shafts").within(8.0, 80.0),
    field("reach", Want::Expr(Need::Length), true, "from the middle of a joint to the end of its bore")
        .within(5.0, 300.0),
    field("bore", Want::Expr(Need::Length), true, "depth of a joint's bore").within(5.0, 200.0),
    length("slip", "how far a shaft can slide into one bore, for engine rock and collapse")
        .usual("3 mm")
        .within(0.0, 200.0),
    length("clear", "room to be left round the shafts").usual("15 mm").within(0.0, 200.0),
    field("obstacle", Want::List(OBSTACLE), false, "what the shafts, and a column that gives way, must clear"),
    field("support", Want::List(SUPPORT), false, "bearings and openings that the run goes through"),
    length("collapse", "how far the column must be able to give way, measured or from its maker").within(1.0, 1_000.0),
    length("maker_collapse", "how far the column gives way by itself, as its maker says; left out: not at all")
        .within(0.0, 1_000.0),
    length("jacket", "from the middle of the first joint back along the column to the tube that comes forward")
        .within(0.0, 2_000.0),
    length("jacket_width", "outside diameter of that tube (common practice)").usual("40 mm").within(8.0, 200.0),
    length("telescopes", "how far the first shaft shortens in itself: a slip shaft; 0 mm: solid")
        .usual("0 mm")
        .within(0.0, 1_000.0),
    field("rim_force", Want::Expr(Need::Force), false, "of both hands on the rim (common practice, no source)")
        .usual("500 N")
        .within(50.0, 5_000.0),
    length("rim_radius", "radius of the steering wheel").usual("175 mm").within(80.0, 300.0),
    length("across", "across the flats of double-D ends; left out: none").within(4.0, 80.0),
    length("root", "diameter at the bottom of the splines, where the ends have them").within(4.0, 80.0),
    length("cross_hole", "a hole right across a shaft, for a pin or bolt; left out: none").within(0.5, 40.0),
    field("material", Want::Text, false, "what the shafts are made of, as their certificate says").usual("mild steel"),
];

/// What means something only beside something else.
pub(super) const STEERING_RULES: &[Rule] = &[
    Rule::Beside("maker_collapse", "collapse"),
    Rule::Beside("jacket", "collapse"),
    Rule::Beside("jacket_width", "collapse"),
    Rule::Beside("telescopes", "collapse"),
];

/// One thing that must be cleared.
pub(super) fn obstacle(b: &Obj, measured: &Scope, out: &mut Vec<Diagnostic>) -> Option<Obstacle> {
    let from = measured.triple(b, "from", out);
    let to = if b.has("to") { measured.triple(b, "to", out) } else { from };
    let radius = if b.has("radius") { measured.field(b, "radius", out) } else { Some(0.0) };
    Some(Obstacle { name: b.word("name")?.to_string(), from: from?, to: to?, radius: Length::mm(radius?) })
}

fn support(b: &Obj, r: &mut Reading) -> Option<Support> {
    let (at, thickness, clearance) =
        (r.triple(b, "at"), r.usual(SUPPORT, b, "thickness"), r.usual(SUPPORT, b, "clearance"));
    let off = if b.has("face_to") { Some(r.triple(b, "face_to")? - at?) } else { None };
    if off.is_some_and(|o| o.length() < 1.0) {
        r.say(
            b,
            "a plate that faces its own point",
            "give as `face_to` a point straight off the plate, a hand's width away",
        );
        return None;
    }
    Some(Support {
        name: b.word("name")?.to_string(),
        at: at?,
        kind: if b.word("kind") == Some("opening") { SupportKind::Opening } else { SupportKind::Bearing },
        normal: off.map(crate::space::Point3::unit),
        thickness: thickness?,
        clearance: clearance?,
    })
}

fn collapse(o: &Obj, r: &mut Reading) -> Option<Option<Collapse>> {
    if !o.has("collapse") {
        return Some(None);
    }
    let (travel, maker, jacket) = (r.length(o, "collapse"), r.may(o, "maker_collapse"), r.may(o, "jacket"));
    let (width, telescopes) = (r.usual(STEERING, o, "jacket_width"), r.usual(STEERING, o, "telescopes"));
    let Some(jacket) = jacket? else {
        r.say(
            o,
            "a column that has to give way, and nobody knows where its tube ends",
            "measure `jacket`: from the middle of the first joint back along the column to the tube that comes forward",
        );
        return None;
    };
    let told = (travel?, maker?, width?, telescopes?);
    Some(Some(Collapse { travel: told.0, maker: told.1, jacket, jacket_width: told.2, telescopes: told.3 }))
}

fn twist(o: &Obj, r: &mut Reading) -> Option<Twist> {
    let force = r.scope.field_or_usual(STEERING, o, "rim_force", r.out).map(Force::newtons);
    let (radius, across, root) = (r.usual(STEERING, o, "rim_radius"), r.may(o, "across"), r.may(o, "root"));
    let cross_hole = r.may(o, "cross_hole");
    let mut material = Twist::default().material;
    if let Some(text) = o.text("material") {
        if handbook::material::find(&text.value).is_none() {
            r.out.push(handbook::unknown_material(text, &text.value));
            return None;
        }
        material.clone_from(&text.value);
    }
    Some(Twist {
        rim_force: force?,
        rim_radius: radius?,
        across: across?,
        root: root?,
        cross_hole: cross_hole?,
        material,
    })
}

/// A run; faults go to the reading's list.
pub(super) fn run(o: &Obj, r: &mut Reading) -> Option<SteeringRun> {
    let (column, box_input) = (r.triple(o, "column"), r.triple(o, "box"));
    let list = o.list("joint");
    let mut joints = vec![];
    for j in list {
        let kind = if j.word("kind") == Some("double") { JointKind::Double } else { JointKind::Single };
        joints.extend(r.triple(j, "at").map(|at| Joint { at, kind }));
    }
    let obstacles = o.list("obstacle").iter().map(|b| obstacle(b, r.scope, r.out)).collect::<Vec<_>>();
    let supports = o.list("support").iter().map(|b| support(b, r)).collect::<Vec<_>>();
    let (shaft, reach, bore) = (r.length(o, "shaft"), r.length(o, "reach"), r.length(o, "bore"));
    let (slip, clear) = (r.usual(STEERING, o, "slip"), r.usual(STEERING, o, "clear"));
    let (collapse, twist) = (collapse(o, r), twist(o, r));
    let run = SteeringRun {
        name: o.word("name")?.to_string(),
        column: column?,
        box_input: box_input?,
        shaft: shaft?,
        reach: reach?,
        bore: bore?,
        slip: slip?,
        clear: clear?,
        obstacles: obstacles.into_iter().collect::<Option<Vec<_>>>()?,
        supports: supports.into_iter().collect::<Option<Vec<_>>>()?,
        collapse: collapse?,
        twist: twist?,
        joints,
    };
    if run.bore > run.reach {
        let at = o.text("bore")?;
        let d = Diagnostic::error("steering-run", "a bore deeper than the joint reaches", at.file, at.span.clone());
        r.out.push(d.help("reach is from the middle of the cross to the open end; the bore ends before the cross"));
        return None;
    }
    // A joint that was at fault is missing: its neighbours would be told wrongly.
    (run.joints.len() == list.len() && !run.joints.is_empty()).then_some(run)
}
