//! Load cases: with what force a mass pushes on its mounts under a named set of
//! accelerations, and the safety factor that is put on top.

use crate::handbook::Citation;
use crate::handbook::loads::{CONTAINER_RULE, VERTICAL_G, VehicleClass, g_levels, inertia};
use crate::handbook::sources::{Ledger, STATICS};
use crate::units::{Force, Mass, trimmed};

/// Multiples of gravity in four directions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Levels {
    /// Along the direction of travel, either way.
    pub along: f64,
    /// Horizontally across it, either way.
    pub across: f64,
    /// Upwards.
    pub up: f64,
    /// Downwards, the weight itself counted.
    pub down: f64,
}

/// A named set of levels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadSet {
    /// Its name in jobs.
    pub name: &'static str,
    /// The levels.
    pub levels: Levels,
    /// Factor on the load that the rule itself asks for.
    pub safety: f64,
    /// Where it is from.
    pub source: Citation,
}

const fn iso(name: &'static str, along: f64, across: f64) -> LoadSet {
    LoadSet {
        name,
        levels: Levels { along, across, up: VERTICAL_G.0, down: VERTICAL_G.0 },
        safety: 1.0,
        source: ISO_12991,
    }
}

const ISO_12991: Citation = Citation::read("ISO 12991", "Table 1 and 4.2.2, full tank").noting(
    "written for tanks of liquefied gas; a level to design for, no law for this tank; up and down 4.5 g by choice",
);

/// Name of the set whose levels the job itself gives.
pub const OWN: &str = "own";

/// The sets of the handbook; [`OWN`] stands beside them.
pub const SETS: &[LoadSet] = &[
    iso("ISO 12991 light", 20.0, 8.0),
    iso("ISO 12991 medium", 10.0, 5.0),
    iso("ISO 12991 heavy", 6.6, 5.0),
    LoadSet {
        name: "WAC twice filled weight",
        levels: Levels { along: 2.0, across: 2.0, up: 2.0, down: 2.0 },
        safety: 4.0,
        source: CONTAINER_RULE,
    },
];

/// Names of the sets for field tables.
pub const SET_NAMES: &[&str] =
    &["ISO 12991 light", "ISO 12991 medium", "ISO 12991 heavy", "WAC twice filled weight", OWN];

/// The set of a name.
pub fn set(name: &str) -> Option<&'static LoadSet> {
    SETS.iter().find(|s| s.name == name)
}

/// A mass under a set of levels.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadCase {
    /// Its name in the job.
    pub name: String,
    /// Name of the set.
    pub set: String,
    /// What is held: tank, contents, fittings.
    pub mass: Mass,
    /// The levels.
    pub levels: Levels,
    /// Factor on the load.
    pub safety: f64,
    /// Where the levels are from.
    pub source: String,
}

impl LoadCase {
    /// Force to design for at so many g.
    ///
    /// # Formula
    /// `F = m g n s`, m in kg, n the level, s the safety factor.
    /// # Source
    /// Newton's second law; the factor is shown wherever the force is.
    /// # Holds for
    /// A mass that cannot move in its mount; free liquid surge is not in it.
    pub fn force(&self, level: f64) -> Force {
        inertia(self.mass, level) * self.safety
    }

    /// In words, with the factor.
    pub fn words(&self) -> String {
        let l = &self.levels;
        let n = |v: f64| trimmed(v, 2);
        format!(
            "{}: {} kg, {}: {} g along, {} g across, {} g up, {} g down, times safety {}",
            self.name,
            trimmed(self.mass.to_kg(), 2),
            self.set,
            n(l.along),
            n(l.across),
            n(l.up),
            n(l.down),
            n(self.safety)
        )
    }
}

/// Levels of ISO 12991 by the class of vehicle, as [`SETS`] has them.
pub fn iso_set(class: VehicleClass) -> &'static LoadSet {
    let wanted = g_levels(class).along;
    SETS.iter().find(|s| s.levels.along.total_cmp(&wanted).is_eq()).unwrap_or(&SETS[0])
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    for s in SETS {
        to.row(s.name, s.source);
    }
    to.formulas(&["force"], STATICS);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sets_are_the_table_and_names_are_in_order() {
        for class in [VehicleClass::Light, VehicleClass::Medium, VehicleClass::Heavy] {
            let (table, set) = (g_levels(class), iso_set(class));
            assert_eq!((table.along, table.across), (set.levels.along, set.levels.across));
        }
        let names: Vec<&str> = SETS.iter().map(|s| s.name).chain([OWN]).collect();
        assert_eq!(names, SET_NAMES);
    }

    #[test]
    fn the_container_rule_is_eight_weights() {
        let set = set("WAC twice filled weight").unwrap();
        let case = LoadCase {
            name: "tank".into(),
            set: set.name.into(),
            mass: Mass::kg(41.75),
            levels: set.levels,
            safety: set.safety,
            source: set.source.to_string(),
        };
        assert!((case.force(2.0).to_newtons() - 3275.4).abs() < 0.1);
        assert!(case.words().contains("times safety 4"));
    }
}
