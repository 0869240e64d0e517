//! Layouts of a job: tank mounts, pedals, steering runs. What they work out
//! becomes named values of the job, beside what was measured.

use super::loads::loads;
use super::pedal::pedal;
use super::steering::run;
use super::tank::tank;
use crate::diag::{Diagnostic, FileId};
use crate::expr::{Scope, Value, names_in, parse};
use crate::handbook::load_case::LoadCase;
use crate::layout::{
    self, PedalSet, PedalWorked, Results, SteeringRun, SteeringWorked, TankMount, TankWorked, load_results, name_of,
    solve_pedal, solve_tank, tank_results,
};
use crate::source::{Field, Item, Obj, Text, nearest};
use crate::space::Point3;
use crate::units::{Dim, Length};
use std::collections::BTreeSet;
use std::ops::Range;

/// A layout with what it came out as, and where it stands in the job.
#[derive(Clone, Debug)]
pub struct LaidOut<T, W> {
    /// As it was measured.
    pub told: T,
    /// Worked out.
    pub worked: W,
    /// What it has to hold, where the job says so.
    pub load: Option<LoadCase>,
    /// Its name in the job.
    pub span: Range<usize>,
    /// Its keys and blocks with their places: `ground`, `station front`, `obstacle exhaust`.
    pub places: Vec<(String, Range<usize>)>,
}

/// All layouts of a job, and its loads, which may be told in results of tanks.
#[derive(Clone, Debug, Default)]
pub struct Layouts {
    /// Tank mounts.
    pub tanks: Vec<LaidOut<TankMount, TankWorked>>,
    /// Pedals.
    pub pedals: Vec<LaidOut<PedalSet, PedalWorked>>,
    /// Steering runs.
    pub steering: Vec<LaidOut<SteeringRun, SteeringWorked>>,
    /// Loads.
    pub loads: Vec<LoadCase>,
}

/// Numbers of a block, each fault told once.
pub(super) struct Reading<'a> {
    pub scope: &'a Scope,
    pub out: &'a mut Vec<Diagnostic>,
    file: FileId,
}

impl Reading<'_> {
    pub fn number(&mut self, o: &Obj, key: &str) -> Option<f64> {
        self.scope.field(o, key, self.out)
    }
    pub fn length(&mut self, o: &Obj, key: &str) -> Option<Length> {
        self.number(o, key).map(Length::mm)
    }
    /// A key that may be left out: `None` only where it is at fault.
    pub fn may(&mut self, o: &Obj, key: &str) -> Option<Option<Length>> {
        if o.has(key) { self.length(o, key).map(Some) } else { Some(None) }
    }
    pub fn usual(&mut self, table: &[Field], o: &Obj, key: &str) -> Option<Length> {
        self.scope.field_or_usual(table, o, key, self.out).map(Length::mm)
    }
    pub fn triple(&mut self, o: &Obj, key: &str) -> Option<Point3> {
        self.scope.triple(o, key, self.out)
    }
    pub fn quantity(&mut self, text: &Text, dim: Dim) -> Option<f64> {
        self.scope.quantity(text, dim, self.out)
    }
    pub fn count(&mut self, text: &Text, most: u32) -> Option<u32> {
        self.scope.count(text, most, self.out)
    }
    pub fn say(&mut self, o: &Obj, message: impl Into<String>, help: &str) {
        self.out.push(Diagnostic::error("layout", message, self.file, o.span.clone()).help(help));
    }
}

/// Where the keys and blocks of a layout stand.
fn places(o: &Obj) -> Vec<(String, Range<usize>)> {
    let mut out = vec![];
    for (field, span, item) in &o.items {
        match item {
            Item::Text(t) => out.push((field.key.to_string(), t.span.clone())),
            Item::List(all) => {
                let named = |o: &Obj| o.word("name").map(|n| (format!("{} {n}", field.key), o.span.clone()));
                out.extend(all.iter().filter_map(named));
            }
            _ => out.push((field.key.to_string(), span.clone())),
        }
    }
    out
}

/// Joins results of layouts to what was measured.
struct Joiner<'a> {
    obj: &'a Obj,
    file: FileId,
    scope: &'a mut Scope,
    out: &'a mut Vec<Diagnostic>,
    used: BTreeSet<String>,
}

impl<'a> Joiner<'a> {
    fn reading(&mut self) -> Reading<'_> {
        Reading { scope: self.scope, out: self.out, file: self.file }
    }

    /// Whether formulas can use a layout's name at all.
    fn named(&mut self, name: &Text) -> bool {
        let own = name_of(&name.value);
        let one = format!("{own}.x");
        if parse(&one).is_ok_and(|node| node.names().iter().map(|n| n.0).eq([one.as_str()])) {
            return true;
        }
        let message = format!("results of \"{}\" would be called `{own}.…`, which no formula can read", name.value);
        let d = Diagnostic::error("bad-name", message, name.file, name.span.clone());
        self.out.push(d.help("begin the name with a letter, and do not call it like a unit or a word of formulas"));
        false
    }

    /// Results become named values; a name that is there already is told once for each layout.
    fn join(&mut self, name: &Text, results: Results) {
        let mut told = false;
        for (result, value) in results {
            if let Some(before) = self.scope.origins.get(&result).cloned() {
                if !told {
                    let message =
                        format!("\"{}\" gives a result `{result}`, and that name is there already", name.value);
                    let d = Diagnostic::error("same-name", message, name.file, name.span.clone());
                    let d = d.also(before.0, before.1, "the other one");
                    self.out
                        .push(d.help("give this one, or its station, another name; capitals and marks do not count"));
                }
                told = true;
                continue;
            }
            let kind = value.kind();
            self.scope.set(&result, value, kind, (name.file, name.span.clone()));
        }
    }

    /// What would have been results of a layout at fault fails silently where it is used.
    fn silence(&mut self, name: &str) {
        let own = format!("{}.", name_of(name));
        for used in self.used.iter().filter(|u| u.starts_with(&own)) {
            if !self.scope.values.contains_key(used) {
                self.scope.fail(used);
            }
        }
    }

    fn tanks(&mut self) -> Vec<(LaidOut<TankMount, TankWorked>, &'a Obj)> {
        let mut done = vec![];
        let obj: &'a Obj = self.obj;
        for o in obj.list("tank") {
            let Some(name) = o.text("name") else { continue };
            let good = self.named(name);
            let Some((told, rails)) = tank(o, &mut self.reading()).filter(|_| good) else {
                self.silence(&name.value);
                continue;
            };
            match self.fit(o, &told) {
                Some(worked) => {
                    let mut results = tank_results(&told, &worked);
                    let rail = |(key, v): (&str, Option<Length>)| {
                        Some((format!("{}.rail_{key}", name_of(&told.name)), Value::length(v?.to_mm())))
                    };
                    results.extend([("width", rails[0]), ("height", rails[1])].into_iter().filter_map(rail));
                    self.join(name, results);
                    let laid = LaidOut { told, worked, load: None, span: name.span.clone(), places: places(o) };
                    done.push((laid, o));
                }
                None => self.silence(&name.value),
            }
        }
        done
    }

    /// A tank worked out; what cannot be is told.
    fn fit(&mut self, o: &Obj, told: &TankMount) -> Option<TankWorked> {
        let names: BTreeSet<String> = told.stations.iter().map(|s| name_of(&s.name)).collect();
        let mut at: Vec<f64> = told.stations.iter().map(|s| s.at.to_mm()).collect();
        at.sort_by(f64::total_cmp);
        let apart = at.windows(2).all(|w| w[1] - w[0] > 1.0);
        let mut r = self.reading();
        if told.stations.is_empty() || names.len() < told.stations.len() || !apart {
            r.say(o, "the straps of a tank need places and names of their own", "write [[tank.station]] once for each");
            return None;
        }
        match solve_tank(told) {
            Ok(w) => Some(w),
            Err(why) => {
                r.say(
                    o,
                    format!("the section of \"{}\" cannot be: {why}", told.name),
                    "check width, height, radii and corners",
                );
                None
            }
        }
    }

    /// Loads on the mounts, once the loads are known.
    fn load(&mut self, laid: &mut LaidOut<TankMount, TankWorked>, o: &Obj, loads: &[LoadCase]) {
        let (Some(text), Some(name)) = (o.text("load"), o.text("name")) else { return };
        let Some(case) = loads.iter().find(|l| l.name == text.value) else {
            self.silence(&name.value);
            // A load at fault is told where it stands.
            if !self.obj.list("load").iter().any(|l| l.word("name") == Some(text.value.as_str())) {
                let message = format!("there is no load \"{}\"", text.value);
                let near = nearest(&text.value, loads.iter().map(|l| l.name.as_str()));
                let d = Diagnostic::error("unknown-load", message, text.file, text.span.clone());
                self.out.push(
                    d.help(near.map_or("add a [[load]] block".to_string(), |n| format!("did you mean \"{n}\"?"))),
                );
            }
            return;
        };
        laid.load = Some(case.clone());
        self.join(name, load_results(&laid.told, &laid.worked, case));
    }

    fn steering(&mut self) -> Vec<LaidOut<SteeringRun, SteeringWorked>> {
        let mut done = vec![];
        let obj: &'a Obj = self.obj;
        for o in obj.list("steering") {
            let Some(name) = o.text("name") else { continue };
            let good = self.named(name);
            let told = run(o, &mut self.reading()).filter(|_| good);
            let worked = told.and_then(|told| match layout::solve(&told) {
                Some(worked) => Some((told, worked)),
                None => {
                    let message =
                        format!("\"{}\" cannot be worked out: two of its points are the same place", told.name);
                    self.reading().say(o, message, "measure column, joints and box again: each is a place of its own");
                    None
                }
            });
            let Some((told, worked)) = worked else {
                self.silence(&name.value);
                continue;
            };
            self.join(name, layout::steering_results(&told, &worked));
            done.push(LaidOut { told, worked, load: None, span: name.span.clone(), places: places(o) });
        }
        done
    }

    fn pedals(&mut self) -> Vec<LaidOut<PedalSet, PedalWorked>> {
        let mut done = vec![];
        let obj: &'a Obj = self.obj;
        for o in obj.list("pedal") {
            let Some(name) = o.text("name") else { continue };
            let good = self.named(name);
            let told = pedal(o, &mut self.reading()).filter(|_| good);
            let worked = told.and_then(|told| match solve_pedal(&told) {
                Ok(worked) => Some((told, worked)),
                Err(why) => {
                    let message = format!("\"{}\" cannot be worked out: {why}", told.name);
                    self.reading().say(o, message, "check the points of pivot, pad, push rod and cylinder");
                    None
                }
            });
            let Some((told, worked)) = worked else {
                self.silence(&name.value);
                continue;
            };
            self.join(name, layout::pedal_results(&told, &worked));
            done.push(LaidOut { told, worked, load: None, span: name.span.clone(), places: places(o) });
        }
        done
    }
}

/// The layouts of a job; their results join `scope`. Faults go to `out`.
pub(super) fn layouts(obj: &Obj, file: FileId, scope: &mut Scope, out: &mut Vec<Diagnostic>) -> Layouts {
    let mut used = BTreeSet::new();
    if ["tank", "steering", "pedal"].iter().any(|k| !obj.list(k).is_empty()) {
        obj.each_text(&mut |_, t| names_in(&t.value, &mut used));
    }
    let mut join = Joiner { obj, file, scope, out, used };
    let mut tanks = join.tanks();
    let loads = loads(obj, join.scope, join.out);
    for (laid, o) in &mut tanks {
        join.load(laid, o, &loads);
    }
    // Before the pedals: their arms have to pass the shafts.
    let steering = join.steering();
    let pedals = join.pedals();
    Layouts { tanks: tanks.into_iter().map(|t| t.0).collect(), pedals, steering, loads }
}
