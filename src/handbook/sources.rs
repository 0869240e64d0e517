//! Every published source that the handbook rests on: each file tells its rows
//! and formulas with their citations, nothing is listed by hand a second time.

use crate::handbook::{
    Citation, bearings, bend, bend_radius, bolted, bolts, drilling, drills, fasteners, gauges, holes, joints,
    load_case, loads, material, rubber, section, section_radii, shafts, strength, tanks, tapping, welds,
};

/// What plane geometry alone gives.
pub(super) const PLANE: Citation = Citation::geometry("plane geometry");
/// What equilibrium and elementary strength of materials give.
pub(super) const STATICS: Citation = Citation::geometry("statics and elementary strength of materials");
/// What is so by its definition.
pub(super) const DEFINITION: Citation = Citation::geometry("definitions");

/// What rests on a source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A row of a table, or a single figure.
    Row,
    /// A formula: a function of the handbook by its name, with its file.
    Formula,
}

/// One row or formula with its source.
#[derive(Clone, Debug, PartialEq)]
pub struct Cited {
    /// Row or formula.
    pub kind: Kind,
    /// What it is: `UCP204`, `proof stress of 8.8`; of a formula its file and name, `bolts::torque`.
    pub what: String,
    /// Where it is from.
    pub source: Citation,
}

/// What a file rests on, as it tells it.
pub(super) struct Ledger {
    file: &'static str,
    all: Vec<Cited>,
}

impl Ledger {
    /// One row.
    pub(super) fn row(&mut self, what: impl Into<String>, source: Citation) {
        self.all.push(Cited { kind: Kind::Row, what: what.into(), source });
    }
    /// Rows of one table.
    pub(super) fn rows<'a>(&mut self, what: &str, names: impl IntoIterator<Item = &'a str>, source: Citation) {
        for name in names {
            self.row(format!("{what} {name}"), source);
        }
    }
    /// Functions of this file that work one source's formulas out.
    pub(super) fn formulas(&mut self, names: &[&str], source: Citation) {
        for name in names {
            self.all.push(Cited { kind: Kind::Formula, what: format!("{}::{name}", self.file), source });
        }
    }
}

type Tell = fn(&mut Ledger);

/// The files of the handbook that hold rows or formulas.
const FILES: &[(&str, Tell)] = &[
    ("bearings", bearings::cited),
    ("bend", bend::cited),
    ("bend_radius", bend_radius::cited),
    ("bolted", bolted::cited),
    ("bolts", bolts::cited),
    ("drilling", drilling::cited),
    ("drills", drills::cited),
    ("fasteners", fasteners::cited),
    ("gauges", gauges::cited),
    ("holes", holes::cited),
    ("joints", joints::cited),
    ("load_case", load_case::cited),
    ("loads", loads::cited),
    ("material", material::cited),
    ("rubber", rubber::cited),
    ("section", section::cited),
    ("section_radii", section_radii::cited),
    ("shafts", shafts::cited),
    ("strength", strength::cited),
    ("tanks", tanks::cited),
    ("tapping", tapping::cited),
    ("welds", welds::cited),
];

/// Every row and formula of the handbook with its source, file by file.
pub fn cited() -> Vec<Cited> {
    let mut ledger = Ledger { file: "", all: vec![] };
    for (file, tell) in FILES {
        ledger.file = file;
        tell(&mut ledger);
    }
    ledger.all
}

/// One place in a work, and what rests on it.
#[derive(Clone, Debug, PartialEq)]
pub struct SourceUse {
    /// The source.
    pub source: Citation,
    /// Rows that rest on it.
    pub rows: Vec<String>,
    /// Formulas that rest on it.
    pub formulas: Vec<String>,
}

/// The sources in the order of their works and places, each with what rests on it.
pub fn sources() -> Vec<SourceUse> {
    let mut out: Vec<SourceUse> = vec![];
    for c in cited() {
        let place = match out.iter().position(|s| s.source == c.source) {
            Some(i) => i,
            None => {
                out.push(SourceUse { source: c.source, rows: vec![], formulas: vec![] });
                out.len() - 1
            }
        };
        match c.kind {
            Kind::Row => out[place].rows.push(c.what),
            Kind::Formula => out[place].formulas.push(c.what),
        }
    }
    out.sort_by(|a, b| {
        let key = |s: &SourceUse| (s.source.work, s.source.place, s.source.note);
        key(a).cmp(&key(b))
    });
    out
}
