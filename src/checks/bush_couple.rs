//! A bush that is tilted by a load beside it.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, force, length, moment, stress};
use crate::handbook::strength::bush_pressure;

pub(super) const RULE: Rule = Rule {
    code: "bush-couple",
    rule: "the pressure at the end of a bush, from the force and from the couple that tilts it, is no more than the bush takes",
    why: "a short bush under a load beside it wears to an egg, and the pedal gets side play",
    source: "statics; pressure in a straight line along the bush. What a bush takes is the job's own figure: common practice, no source",
    holds: "a bush without play on a stiff pin",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        force("force", "force on the bush"),
        moment("couple", "moment that tilts it"),
        length("bore", "bore of the bush"),
        length("length", "length of the bush"),
        stress("most", "pressure that the bush takes"),
    ],
    example: &[("force", "4273 N"), ("couple", "116 N m"), ("bore", "19 mm"), ("length", "60 mm"), ("most", "25 MPa")],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let pressure = bush_pressure(t.force("force"), t.moment("couple"), t.length("bore"), t.length("length"));
    let says = format!(
        "{} and a couple of {} press the end of the bush with {:.1} MPa; it takes {:.1} MPa",
        t.show_force(t.force("force")),
        t.show_moment(t.moment("couple")),
        pressure.to_mpa(),
        t.number("most")
    );
    Ok(vec![Judged::stress(pressure, t.stress("most"), says)])
}
