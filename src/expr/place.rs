//! Places in the assembly, as templates and jobs write them.
//!
//! ```text
//!   at = ["-gap / 2", "0 mm", "side"]     where the origin goes
//!   turn_z = "180 deg"                    turned about x, then y, then z, before it
//!   count = 2                             goes there; a row of so many,
//!   step = ["pitch", "0 mm", "0 mm"]      so far apart
//! ```

use super::Scope;
use crate::diag::Diagnostic;
use crate::source::{Field, Need, Obj, Rule, Want, field};
use crate::space::{Frame, Point3};
use crate::units::Dim;

/// Most places of one thing.
const MOST: u32 = 1_000;

const AT: Field = field("at", Want::Exprs(Need::Length), true, "where the origin goes: x, y, z");
const TURN_X: Field =
    field("turn_x", Want::Expr(Need::Angle), false, "turned about x first").usual("0 deg").within(-360.0, 360.0);
const TURN_Y: Field =
    field("turn_y", Want::Expr(Need::Angle), false, "then about y").usual("0 deg").within(-360.0, 360.0);
const TURN_Z: Field =
    field("turn_z", Want::Expr(Need::Angle), false, "then about z").usual("0 deg").within(-360.0, 360.0);
const COUNT: Field =
    field("count", Want::Expr(Need::Number), false, "how many in a row").usual("1").within(0.0, 1_000.0);
const STEP: Field = field("step", Want::Exprs(Need::Length), false, "from one to the next: x, y, z");
const WHEN: Field = field("when", Want::Expr(Need::YesNo), false, "left out when this is not so");

/// The keys of a place.
pub const PLACE: &[Field] = &[AT, TURN_X, TURN_Y, TURN_Z, COUNT, STEP, WHEN];

/// What must hold between the keys of a place.
pub const PLACE_RULES: &[Rule] = &[Rule::Beside("count", "step"), Rule::Beside("step", "count")];

/// The keys of a thing that is there already, drawn faint in pictures.
pub const FAINT: &[Field] = &[
    field("name", Want::Text, true, "what it is"),
    field("size", Want::Exprs(Need::Length), true, "a block from its place on, along x, y and z"),
    field("corner_radius", Want::Expr(Need::Length), false, "radius of its four edges along x").within(0.0, 20_000.0),
    AT,
    TURN_X,
    TURN_Y,
    TURN_Z,
    COUNT,
    STEP,
    WHEN,
];

/// What must hold between the keys of such a thing.
pub const FAINT_RULES: &[Rule] = PLACE_RULES;

/// The keys of a bolt that is drawn.
pub const BOLT: &[Field] = &[
    field("name", Want::Text, true, "what it holds"),
    field("size", Want::Expr(Need::Length), true, "diameter of its thread").within(1.0, 100.0),
    field("grip", Want::Expr(Need::Length), true, "from under the head to the nut").within(0.5, 2_000.0),
    AT,
    TURN_X,
    TURN_Y,
    TURN_Z,
    COUNT,
    STEP,
    WHEN,
];

/// A thing that is there already: a block from its place on, along x, y and z.
#[derive(Clone, Debug, PartialEq)]
pub struct Faint {
    /// What it is.
    pub name: String,
    /// Along x, y and z, mm.
    pub size: Point3,
    /// Of the four edges along x, mm.
    pub corner_radius: f64,
    /// Where its lowest corner goes.
    pub place: Frame,
}

impl Faint {
    /// One thing in each of these places, from its table. Faults go to `out`.
    pub fn read(obj: &Obj, places: Vec<Frame>, scope: &Scope, out: &mut Vec<Diagnostic>) -> Vec<Faint> {
        let size = scope.triple(obj, "size", out);
        let radius = if obj.has("corner_radius") { scope.field(obj, "corner_radius", out) } else { Some(0.0) };
        let (Some(size), Some(corner_radius)) = (size, radius) else { return vec![] };
        let name = obj.word("name").unwrap_or("").to_string();
        places.into_iter().map(|place| Faint { name: name.clone(), size, corner_radius, place }).collect()
    }
}

impl Scope {
    /// Where a thing stands that has the keys of a place; none when its `when`
    /// says no. Faults go to `out`.
    pub fn frames(&self, obj: &Obj, out: &mut Vec<Diagnostic>) -> Vec<Frame> {
        if obj.text("when").is_some_and(|t| !self.yes(t, out).unwrap_or(false)) {
            return vec![];
        }
        let at = self.triple(obj, "at", out);
        let mut turns = [0.0; 3];
        for (turn, key) in turns.iter_mut().zip(["turn_x", "turn_y", "turn_z"]) {
            if obj.has(key) {
                *turn = self.field(obj, key, out).unwrap_or(0.0).to_radians();
            }
        }
        let count = match obj.text("count") {
            None => Some(1),
            Some(t) => self.count(t, MOST, out),
        };
        let step = if obj.has("step") { self.triple(obj, "step", out) } else { Some(Point3::default()) };
        let (Some(at), Some(count), Some(step)) = (at, count, step) else { return vec![] };
        let first = Frame::turned(turns[0], turns[1], turns[2]).moved(at);
        (0..count).map(|i| first.moved(step * f64::from(i))).collect()
    }

    /// Three lengths, mm.
    pub fn triple(&self, obj: &Obj, key: &str, out: &mut Vec<Diagnostic>) -> Option<Point3> {
        let texts = obj.texts(key);
        let [x, y, z] = texts else {
            if let Some(first) = texts.first() {
                let message = format!("`{key}` has {} numbers, it needs three: x, y, z", texts.len());
                let d = Diagnostic::error("three-numbers", message, first.file, first.span.clone());
                out.push(d.help(format!("write {key} = [\"0 mm\", \"0 mm\", \"0 mm\"]")));
            }
            return None;
        };
        let mut one = |t| self.quantity(t, Dim::LENGTH, out);
        let (x, y, z) = (one(x), one(y), one(z));
        Some(Point3::new(x?, y?, z?))
    }
}
