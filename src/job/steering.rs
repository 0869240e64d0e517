//! Steering runs of a job: points that the tape gives along a column, its
//! joints and the box, and what stands in the way.

use crate::diag::Diagnostic;
use crate::expr::Scope;
use crate::layout::{Joint, JointKind, Obstacle, SteeringRun};
use crate::source::{Field, Need, Obj, Want, field};
use crate::units::Length;

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

/// The keys of a `[[steering]]`.
pub(super) const STEERING: &[Field] = &[
    field("name", Want::Text, true, "name of the run"),
    place("column", true, "a point on the column's axis, on the driver's side of the first joint: x, y, z"),
    field("joint", Want::List(JOINT), true, "joints from the column to the box"),
    place("box", true, "a point on the axis of the box's input, beyond the last joint: x, y, z"),
    field("shaft", Want::Expr(Need::Length), true, "diameter of the shafts").within(8.0, 80.0),
    field("reach", Want::Expr(Need::Length), true, "from the middle of a joint to the end of its bore")
        .within(5.0, 300.0),
    field("bore", Want::Expr(Need::Length), true, "depth of a joint's bore").within(5.0, 200.0),
    field(
        "slip",
        Want::Expr(Need::Length),
        false,
        "how far a shaft can slide into one bore, for engine rock and collapse",
    )
    .usual("3 mm")
    .within(0.0, 200.0),
    field("clear", Want::Expr(Need::Length), false, "room to be left round the shafts")
        .usual("15 mm")
        .within(0.0, 200.0),
    field("obstacle", Want::List(OBSTACLE), false, "what the shafts must clear"),
];

/// Usual slip and room.
const SLIP: Length = Length::mm(3.0);
const CLEAR: Length = Length::mm(15.0);

/// The runs of a job; faults go to `out`.
pub(super) fn runs(obj: &Obj, measured: &Scope, out: &mut Vec<Diagnostic>) -> Vec<SteeringRun> {
    obj.list("steering").iter().filter_map(|o| one(o, measured, out)).collect()
}

/// One thing that must be cleared.
pub(super) fn obstacle(b: &Obj, measured: &Scope, out: &mut Vec<Diagnostic>) -> Option<Obstacle> {
    let from = measured.triple(b, "from", out);
    let to = if b.has("to") { measured.triple(b, "to", out) } else { from };
    let radius = if b.has("radius") { measured.field(b, "radius", out) } else { Some(0.0) };
    Some(Obstacle { name: b.word("name")?.to_string(), from: from?, to: to?, radius: Length::mm(radius?) })
}

fn one(o: &Obj, measured: &Scope, out: &mut Vec<Diagnostic>) -> Option<SteeringRun> {
    let (column, box_input) = (measured.triple(o, "column", out), measured.triple(o, "box", out));
    let list = o.list("joint");
    let mut joints = vec![];
    for j in list {
        let kind = if j.word("kind") == Some("double") { JointKind::Double } else { JointKind::Single };
        joints.extend(measured.triple(j, "at", out).map(|at| Joint { at, kind }));
    }
    let obstacles = o.list("obstacle").iter().filter_map(|b| obstacle(b, measured, out)).collect();
    let mut length = |key: &str, usual: Option<Length>| match usual {
        Some(u) if !o.has(key) => Some(u),
        _ => measured.field(o, key, out).map(Length::mm),
    };
    let (shaft, reach, bore) = (length("shaft", None), length("reach", None), length("bore", None));
    let (slip, clear) = (length("slip", Some(SLIP)), length("clear", Some(CLEAR)));
    let run = SteeringRun {
        name: o.word("name")?.to_string(),
        column: column?,
        box_input: box_input?,
        shaft: shaft?,
        reach: reach?,
        bore: bore?,
        slip: slip?,
        clear: clear?,
        obstacles,
        joints,
    };
    if run.bore > run.reach {
        let at = o.text("bore")?;
        let d = Diagnostic::error("steering-run", "a bore deeper than the joint reaches", at.file, at.span.clone());
        out.push(d.help("reach is from the middle of the cross to the open end; the bore ends before the cross"));
        return None;
    }
    // A joint that was at fault is missing: its neighbours would be told wrongly.
    (run.joints.len() == list.len() && !run.joints.is_empty()).then_some(run)
}
