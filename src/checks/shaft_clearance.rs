//! Room for a shaft in its opening, over all its angles.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, angle, length, length_or_none, optional};
use crate::handbook::bearings::straight_opening;
use crate::units::Angle;

pub(super) const RULE: Rule = Rule {
    code: "shaft-clearance",
    rule: "an opening leaves the wanted room on each side of the shaft at every angle it can take: d / cos th + t tan th",
    why: "a shaft that touches the plate once in a turn is felt as a notch in the steering, and wears through",
    source: "geometry of a cylinder through a flat plate",
    holds: "a straight-sided opening as long as told along the lean; angles up to 60 deg",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        length("shaft", "diameter of the shaft"),
        length("opening", "size of the opening along the lean"),
        angle("tilt", "angle between the shaft and the line square to the plate"),
        optional(angle("swing", "how far it may lean further")),
        length("thickness", "thickness of the plate"),
        length_or_none("least", "room wanted on each side"),
    ],
    example: &[("shaft", "19 mm"), ("opening", "34 mm"), ("tilt", "1.5 deg"), ("thickness", "6 mm"), ("least", "3 mm")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let lean = Angle::degrees(t.number("tilt").abs() + t.number("swing").abs());
    if lean.to_degrees() > 60.0 {
        return Err(Outside("a shaft that leans by more than 60 deg".to_string()));
    }
    let needs = straight_opening(t.length("shaft"), lean, t.length("thickness"));
    let room = (t.length("opening") - needs) / 2.0;
    let says = format!(
        "leaning by {:.1} deg the shaft needs {} of {}; {} are left on each side, {} are wanted",
        lean.to_degrees(),
        t.show_length(needs),
        t.show_length(t.length("opening")),
        t.show_length(room),
        t.show_length(t.length("least"))
    );
    Ok(vec![Judged::long_enough(room, t.length("least"), says)])
}
