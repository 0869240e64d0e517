//! Load blocks of a job: which mass, under which set of accelerations.

use crate::diag::Diagnostic;
use crate::expr::Scope;
use crate::handbook::load_case::{Levels, LoadCase, OWN, SET_NAMES, set};
use crate::handbook::loads::fuel;
use crate::source::{Field, Need, Obj, Rule, Want, case, field};
use crate::units::Mass;

/// Names of the fuels, as the handbook has them.
const FUEL_NAMES: &[&str] = &["petrol", "diesel", "e85", "water"];

/// A level in multiples of gravity.
const fn level(key: &'static str, words: &'static str) -> Field {
    field(key, Want::Expr(Need::Number), false, words).within(0.0, 200.0)
}

/// The keys of a `[[load]]`.
pub(super) const LOAD: &[Field] = &[
    field("name", Want::Text, true, "name of the load, for the parts that carry it"),
    field("set", Want::OneOf(SET_NAMES), true, "whose accelerations are used; own: those that stand here"),
    field("fuel", Want::OneOf(FUEL_NAMES), false, "what the tank holds, at the heaviest that its standard allows"),
    field("volume", Want::Expr(Need::Volume), false, "what goes in when it is full to the brim").within(0.0, 1e10),
    field("mass", Want::Expr(Need::Mass), true, "mass without the fuel: empty tank, sender, pump and what hangs on it")
        .within(0.0, 100.0),
    level("along", "own: multiples of gravity along the vehicle"),
    level("across", "own: the same across it"),
    level("up", "upwards; the sets have a value of their own"),
    level("down", "downwards, the weight itself counted"),
    field("safety", Want::Expr(Need::Number), false, "factor on the load, in place of the set's own")
        .usual("1, for the WAC set 4")
        .within(1.0, 20.0),
];

/// Rules between them.
pub(super) const LOAD_RULES: &[Rule] = &[
    Rule::ByWord {
        key: "set",
        usual: None,
        cases: &[
            case(OWN, &["along", "across", "up", "down"], &[]),
            case("ISO 12991 light|ISO 12991 medium|ISO 12991 heavy|WAC twice filled weight", &[], &["up", "down"]),
        ],
    },
    Rule::Beside("fuel", "volume"),
    Rule::Beside("volume", "fuel"),
];

/// The loads of a job; faults go to `out`.
pub(super) fn loads(obj: &Obj, measured: &Scope, out: &mut Vec<Diagnostic>) -> Vec<LoadCase> {
    let mut all: Vec<LoadCase> = vec![];
    for o in obj.list("load") {
        let Some(name) = o.text("name") else { continue };
        if name.value == "none" || all.iter().any(|l| l.name == name.value) {
            let message = if name.value == "none" {
                "\"none\" is what a part without a load has; it cannot be the name of one".to_string()
            } else {
                format!("two loads are called \"{}\"", name.value)
            };
            let d = Diagnostic::error("same-name", message, name.file, name.span.clone());
            out.push(d.help("give it another name"));
            continue;
        }
        all.extend(one(o, &name.value, measured, out));
    }
    all
}

fn one(o: &Obj, name: &str, measured: &Scope, out: &mut Vec<Diagnostic>) -> Option<LoadCase> {
    let mut number = |key: &str| measured.field(o, key, out);
    // Base unit of a mass is the tonne, of a volume the cubic millimetre.
    let empty = Mass::kg(number("mass")? * 1e3);
    let litres = number("volume").map(|v| v * 1e-6);
    let (along, across) = (number("along"), number("across"));
    let (up, down, safety) = (number("up"), number("down"), number("safety"));
    let contents = match (o.word("fuel").and_then(fuel), litres) {
        (Some(f), Some(l)) => f.mass(l),
        (None, None) => Mass::ZERO,
        _ => return None, // told by the reader
    };
    let word = o.word("set")?;
    let known = set(word);
    let usual = known.map(|s| s.levels);
    let levels = Levels {
        along: along.or(usual.map(|l| l.along))?,
        across: across.or(usual.map(|l| l.across))?,
        up: up.or(usual.map(|l| l.up))?,
        down: down.or(usual.map(|l| l.down))?,
    };
    Some(LoadCase {
        name: name.to_string(),
        set: word.to_string(),
        mass: empty + contents,
        levels,
        safety: safety.unwrap_or(known.map_or(1.0, |s| s.safety)),
        source: known.map_or("the job's own levels".to_string(), |s| s.source.to_string()),
    })
}

#[cfg(test)]
mod tests {
    use super::FUEL_NAMES;
    use crate::handbook::loads::FUELS;

    #[test]
    fn the_words_of_fuels_are_the_handbooks() {
        let all: Vec<&str> = FUELS.iter().map(|f| f.name).collect();
        assert_eq!(all, FUEL_NAMES);
    }
}
