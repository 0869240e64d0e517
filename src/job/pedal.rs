//! Pedals of a job: points that the tape gives at rest, and what is near.

use super::layouts::Reading;
use super::steering::{OBSTACLE, obstacle, place};
use crate::layout::PedalSet;
use crate::source::{Field, Need, Obj, Want, field};
use crate::space::Point3;
use crate::units::{Angle, Force, Length};

const fn length(key: &'static str, must: bool, words: &'static str) -> Field {
    field(key, Want::Expr(Need::Length), must, words)
}

/// The keys of a `[[pedal]]`.
pub(super) const PEDAL: &[Field] = &[
    field("name", Want::Text, true, "name of the pedal: Brake pedal gives results like brake_pedal.ratio"),
    place("pivot", true, "a point on the pivot's axis: x, y, z; everything as it is at rest"),
    place("pivot_to", false, "another point on it; usual: the axis runs across the vehicle, along x"),
    place("pad", true, "middle of the foot pad"),
    place("pin", true, "middle of the push rod's pin on the arm"),
    place("seat", true, "where the push rod sits in the piston of the master cylinder"),
    place("seat_to", true, "a point further on along the cylinder's axis, the way the piston goes"),
    length("stroke", true, "how far the piston can go").within(2.0, 200.0),
    field("force", Want::Expr(Need::Force), false, "of the foot, square to the arm (Formula SAE Rules 2019, T.5.1.10)")
        .usual("2000 N")
        .within(50.0, 20_000.0),
    length("arm_width", true, "width of the arm across the vehicle, or the widest thing on it").within(3.0, 200.0),
    length("joint", false, "from the pivot to the middle of the joint above which the arm is moved sideways")
        .within(5.0, 800.0),
    length("sleeve", false, "outside diameter of the pivot's sleeve").usual("25 mm").within(5.0, 120.0),
    length("offset", false, "how far the arm is moved along the pivot's axis; left out: the least that clears all")
        .within(-200.0, 200.0),
    length("clear", false, "room to be left round the arm through its travel (common practice)")
        .usual("10 mm")
        .within(0.0, 200.0),
    field("obstacle", Want::List(OBSTACLE), false, "what the arm must clear"),
    place("stop", false, "the place on the arm that touches its stop, at rest"),
    length("stop_before", false, "stroke left when the arm touches its stop (common practice)")
        .usual("1 mm")
        .within(0.0, 50.0),
    field(
        "most_angle",
        Want::Expr(Need::Angle),
        false,
        "the most that the push rod may stand off the cylinder's axis (common practice)",
    )
    .usual("5 deg")
    .within(0.1, 45.0),
    field("least_ratio", Want::Expr(Need::Number), false, "least lever ratio (common practice, no servo)")
        .usual("4")
        .within(0.5, 20.0),
    field("most_ratio", Want::Expr(Need::Number), false, "greatest lever ratio (common practice)")
        .usual("7")
        .within(0.5, 20.0),
    length("travel", false, "how far the pad can go before it meets something (common practice: a foot's 150 mm)")
        .usual("150 mm")
        .within(5.0, 600.0),
];

/// A pedal; faults go to the reading's list.
pub(super) fn pedal(o: &Obj, r: &mut Reading) -> Option<PedalSet> {
    let (pivot, pad, pin) = (r.triple(o, "pivot"), r.triple(o, "pad"), r.triple(o, "pin"));
    let (seat, seat_to) = (r.triple(o, "seat"), r.triple(o, "seat_to"));
    let pivot_to = if o.has("pivot_to") { r.triple(o, "pivot_to") } else { pivot.map(|p| p + ACROSS) };
    let usual = |r: &mut Reading, key: &str| r.scope.field_or_usual(PEDAL, o, key, r.out);
    let (stroke, arm_width) = (r.length(o, "stroke"), r.length(o, "arm_width"));
    let (joint, offset) = (r.may(o, "joint")?, r.may(o, "offset")?);
    let (sleeve, clear, force) = (usual(r, "sleeve"), usual(r, "clear"), usual(r, "force"));
    let (stop_before, most_angle) = (usual(r, "stop_before"), usual(r, "most_angle"));
    let (least, most, travel) = (usual(r, "least_ratio"), usual(r, "most_ratio"), usual(r, "travel"));
    let stop = if o.has("stop") { Some(r.triple(o, "stop")?) } else { None };
    let obstacles = o.list("obstacle").iter().map(|b| obstacle(b, r.scope, r.out)).collect::<Option<Vec<_>>>();
    let (pivot, seat) = (pivot?, seat?);
    let (axis, push) = (pivot_to? - pivot, seat_to? - seat);
    if axis.length() < 0.1 || push.length() < 0.1 {
        r.say(o, "an axis through two points that are the same place", "give two points that are apart");
        return None;
    }
    Some(PedalSet {
        name: o.word("name")?.to_string(),
        pivot,
        axis: axis.unit(),
        pad: pad?,
        pin: pin?,
        seat,
        push: push.unit(),
        stroke: stroke?,
        force: Force::newtons(force?),
        arm_width: arm_width?,
        joint,
        sleeve: Length::mm(sleeve?),
        offset,
        clear: Length::mm(clear?),
        obstacles: obstacles?,
        stop,
        stop_before: Length::mm(stop_before?),
        most_angle: Angle::degrees(most_angle?),
        ratios: [least?, most?],
        travel: Length::mm(travel?),
    })
}

/// The usual axis: across the vehicle.
const ACROSS: Point3 = Point3::new(100.0, 0.0, 0.0);
