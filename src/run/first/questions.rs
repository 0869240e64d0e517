//! A template's questions as boxes: what is asked, what is usual, what is allowed.
//! An example is never an answer, and never looks like one.

use crate::diag::{Diagnostic, FileId};
use crate::drawing::{Sketch, draw_sketch};
use crate::expr::{Scope, Value, names_in};
use crate::geom::Point;
use crate::handbook;
use crate::job::divisions;
use crate::page::{CrossCheck, FirstBox, SKETCH_ROOM};
use crate::run::measure::measuring_sheet;
use crate::run::new::{is_reading, part_name};
use crate::source::{Obj, Text};
use crate::template::{Answers, Template, answer};
use crate::units::{System, show_quantity};
use std::collections::{BTreeMap, BTreeSet};

/// The boxes of a template, and the questions that are only asked in the file.
pub(super) struct Boxes {
    pub boxes: Vec<FirstBox>,
    pub later: Vec<String>,
}

/// The measuring sketch of a template.
pub(super) fn sketch(t: &Template, units: System) -> Option<Sketch> {
    draw_sketch(&measuring_sheet(t, units), Point::default(), SKETCH_ROOM)
}

pub(super) fn boxes(t: &Template, units: System, answers: &BTreeMap<String, String>) -> Boxes {
    let scope = scope_of(t, units, answers);
    let letters = sketch(t, units).map(|s| s.tapes).unwrap_or_default();
    let mut out = Boxes { boxes: vec![], later: vec![] };
    for (name, _, ask) in t.obj.named("ask") {
        // What the vehicle has to hold is a block of its own in the job.
        if ask.word("kind") == Some("load") {
            out.later.push(ask.word("what").unwrap_or(name).to_string());
            continue;
        }
        let text = answers.get(name).cloned().unwrap_or_default();
        let usual = usual(name, ask, units, &scope);
        let needed = ask.text("usual").is_none();
        let on_tape = matches!(ask.word("kind"), Some("length" | "angle"));
        let from = if text.is_empty() { usual.as_deref().unwrap_or("") } else { &text };
        out.boxes.push(FirstBox {
            name: name.clone(),
            what: ask.word("what").unwrap_or("").to_string(),
            note: note(ask, units, &scope),
            letter: letters.iter().find(|l| l.name == *name).map(|l| l.letter.clone()).unwrap_or_default(),
            choices: choices(ask),
            steps: divisions(from, units).filter(|_| on_tape),
            on_tape,
            reading: needed || is_reading(ask),
            needed,
            usual,
            text,
        });
    }
    // The order of the template, but what has to be answered comes first.
    out.boxes.sort_by_key(|b| !b.needed);
    out
}

/// Readings that catch a wrong one, with what they must come to by the answers that
/// are there; those that do not follow yet are left out.
pub(super) fn cross_checks(t: &Template, units: System, answers: &BTreeMap<String, String>) -> Vec<CrossCheck> {
    let scope = scope_of(t, units, answers);
    let sheet = measuring_sheet(t, units);
    let drawn = draw_sketch(&sheet, Point::default(), SKETCH_ROOM).map(|s| s.tapes).unwrap_or_default();
    // Tapes stand in the order of the sheet, and only where one is drawn.
    let on_sketch = sheet.cross.iter().filter(|c| c.tape.is_some());
    let letters: Vec<(&str, &str)> = on_sketch
        .zip(drawn.iter().filter(|d| d.name == "cross-check"))
        .map(|(c, tape)| (c.what.as_str(), tape.letter.as_str()))
        .collect();
    let mut silent: Vec<Diagnostic> = vec![];
    let mut out = vec![];
    for c in t.obj.list("cross_check") {
        // Where a usual answer stands in, nothing was read that could be wrong.
        let mut names = BTreeSet::new();
        c.text("must_be").iter().for_each(|m| names_in(&m.value, &mut names));
        let read = |n: &String| answers.contains_key(n) || t.obj.named("ask").iter().all(|a| a.0 != *n);
        if !names.iter().all(read) {
            continue;
        }
        let applies = c.text("when").is_none_or(|w| scope.yes(w, &mut silent) == Some(true));
        let must = c.text("must_be").filter(|_| applies).and_then(|m| scope.value(m, &mut silent));
        if let (Some(what), Some(Value::Quantity(v, dim))) = (c.word("what"), must) {
            let letter = letters.iter().find(|l| l.0 == what).map_or("", |l| l.1).to_string();
            out.push(CrossCheck { letter, what: what.to_string(), must_be: show_quantity(v, dim, units) });
        }
    }
    out
}

/// The words to choose from; none where a box takes any answer.
fn choices(ask: &Obj) -> Vec<String> {
    match ask.word("kind") {
        Some("choice") => ask.texts("choices").iter().map(|t| t.value.clone()).collect(),
        Some("material") => handbook::material::names().into_iter().map(str::to_string).collect(),
        _ => vec![],
    }
}

/// What the template makes of the answers that are there; what does not follow fails
/// without a word.
fn scope_of(t: &Template, units: System, answers: &BTreeMap<String, String>) -> Scope {
    let job = Scope { bare: Some(units), ..Scope::default() };
    let given = answers.iter().map(|(n, v)| (n.clone(), 0..0, Text::made(v, FileId(0)))).collect();
    let part = part_name(t);
    let answers = Answers { part: &part, place: (FileId(0), 0..0), given, sizes: units, units, loads: &[] };
    let mut silent: Vec<Diagnostic> = vec![];
    answer(t, &answers, &job, &mut silent).scope
}

/// The answer when there is none, in words; empty where it does not follow yet.
fn usual(name: &str, ask: &Obj, units: System, scope: &Scope) -> Option<String> {
    let text = ask.text("usual_inch").filter(|_| units == System::Inch).or_else(|| ask.text("usual"))?;
    let word = plain_word(ask, text);
    if !word.is_empty() {
        return Some(word);
    }
    let shown = |v: Value| match v {
        Value::Quantity(v, dim) => Some(show_quantity(v, dim, units)),
        Value::Word(w) => Some(w),
        Value::YesNo(_) => None,
    };
    let own = scope.formulas.get(name).and_then(|f| scope.value(f, &mut vec![]));
    let value = own.or_else(|| scope.value(text, &mut vec![]));
    Some(value.and_then(shown).unwrap_or_default())
}

/// A word that stands for itself; empty for a formula.
fn plain_word(ask: &Obj, text: &Text) -> String {
    if ask.word("kind") == Some("material") || ask.texts("choices").iter().any(|c| c.value == text.value) {
        text.value.clone()
    } else {
        String::new()
    }
}

/// Where to hook the tape, and what is allowed.
fn note(ask: &Obj, units: System, scope: &Scope) -> String {
    let mut parts: Vec<String> = ask.word("hook").map(|h| format!("Tape: {h}.")).into_iter().collect();
    let limit = |key: &str| match ask.text(key).and_then(|t| scope.value(t, &mut vec![])) {
        Some(Value::Quantity(v, dim)) => Some(show_quantity(v, dim, units)),
        _ => None,
    };
    match (limit("at_least"), limit("at_most")) {
        (Some(a), Some(b)) => parts.push(format!("{a} to {b}.")),
        (Some(a), None) => parts.push(format!("At least {a}.")),
        (None, Some(b)) => parts.push(format!("At most {b}.")),
        (None, None) => {}
    }
    parts.join(" ")
}
