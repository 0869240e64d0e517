//! A template's questions and a job's answers, brought together into a scope.

use super::uses::{Brought, given_inside, groups, set_kinds};
use super::{Answered, Template};
use crate::diag::{Diagnostic, FileId};
use crate::expr::{Definition, Scope, names_in, solve_with};
use crate::expr::{Type, Value};
use crate::handbook::{self, load_case::LoadCase};
use crate::source::{Obj, Text, nearest};
use crate::units::{Dim, System, show_quantity};
use std::collections::BTreeSet;
use std::ops::Range;

/// What a job answers for one part or copy.
#[derive(Clone, Debug)]
pub struct Answers<'a> {
    /// Name of the part, for messages.
    pub part: &'a str,
    /// Place of the part in the job.
    pub place: (FileId, Range<usize>),
    /// Name, place of the name, text. Later ones win (a copy's over the part's).
    pub given: Vec<(String, Range<usize>, Text)>,
    /// Which usual values are offered.
    pub sizes: System,
    /// Units that messages print in.
    pub units: System,
    /// What the job's parts have to hold.
    pub loads: &'a [LoadCase],
}

/// What a question of kind load brings besides the load's words: forces are
/// those to design for, the safety factor in them.
pub(super) const LOAD_PARTS: &[(&str, Dim)] = &[
    ("mass", Dim::MASS),
    ("along", Dim::FORCE),
    ("across", Dim::FORCE),
    ("up", Dim::FORCE),
    ("down", Dim::FORCE),
    ("safety", Dim::PLAIN),
];

/// Set what a load comes to; nothing where none is named.
fn set_load(name: &str, case: Option<&LoadCase>, origin: (FileId, Range<usize>), scope: &mut Scope) {
    let words = case.map_or("none".to_string(), LoadCase::words);
    scope.set(name, Value::Word(words), Type::Word(vec![]), origin.clone());
    for (part, dim) in LOAD_PARTS {
        let force = |level: fn(&LoadCase) -> f64| case.map_or(0.0, |c| c.force(level(c)).to_newtons());
        let value = match *part {
            // A mass's base unit is the tonne.
            "mass" => case.map_or(0.0, |c| c.mass.to_kg() * 1e-3),
            "along" => force(|c| c.levels.along),
            "across" => force(|c| c.levels.across),
            "up" => force(|c| c.levels.up),
            "down" => force(|c| c.levels.down),
            _ => case.map_or(1.0, |c| c.safety),
        };
        scope.set(&format!("{name}.{part}"), Value::Quantity(value, *dim), Type::Quantity(*dim), origin.clone());
    }
}

/// The load that an answer names; a fault goes to `out`.
fn load_of<'a>(text: &Text, loads: &'a [LoadCase], out: &mut Vec<Diagnostic>) -> Option<Option<&'a LoadCase>> {
    if text.value == "none" {
        return Some(None);
    }
    let found = loads.iter().find(|l| l.name == text.value);
    if found.is_none() {
        let names: Vec<&str> = loads.iter().map(|l| l.name.as_str()).collect();
        let near = nearest(&text.value, names.iter().copied()).map(|n| format!("did you mean \"{n}\"?"));
        let message = format!("this job has no load \"{}\"", text.value);
        let all = if names.is_empty() {
            "add a [[load]] with this name".to_string()
        } else {
            format!("loads are: {}", names.join(", "))
        };
        out.push(Diagnostic::error("unknown-load", message, text.file, text.span.clone()).help_if(near).help(all));
    }
    found.map(Some)
}

/// Most that a count may be.
pub(super) const MOST: u32 = 10_000;

/// The dimension of a question's kind; `None` for words.
fn dim_of(kind: &str) -> Option<Dim> {
    Some(match kind {
        "length" => Dim::LENGTH,
        "angle" => Dim::ANGLE,
        "mass" => Dim::MASS,
        "force" => Dim::FORCE,
        "stress" => Dim::STRESS,
        "count" | "number" => Dim::PLAIN,
        _ => return None,
    })
}

/// The kind of a question's answer.
pub(super) fn type_of_ask(ask: &Obj) -> Type {
    match (ask.word("kind").unwrap_or(""), dim_of(ask.word("kind").unwrap_or(""))) {
        (_, Some(d)) => Type::Quantity(d),
        ("choice", _) => Type::Word(ask.texts("choices").iter().map(|t| t.value.clone()).collect()),
        _ => Type::Word(vec![]),
    }
}

/// Bring questions and answers together and work out the template's own values, and
/// those of the templates that it uses. Faults go to `out`; names at fault are marked
/// as failed in the scope.
pub fn answer(template: &Template, answers: &Answers, job: &Scope, out: &mut Vec<Diagnostic>) -> Answered {
    unknown_answers(template.obj.named("ask"), answers, template, out);
    answer_in(template, answers, job, false, out)
}

/// The same; `inside` another template the answers are formulas over its values, and
/// what can be said of them without values was said of it.
pub(super) fn answer_in(
    template: &Template,
    answers: &Answers,
    above: &Scope,
    inside: bool,
    out: &mut Vec<Diagnostic>,
) -> Answered {
    let asks = template.obj.named("ask");
    let mut scope = Scope::default();
    let mut later = vec![];
    for (name, span, ask) in asks {
        one_answer((name, span, ask), (template, answers), (above, inside), (&mut scope, &mut later), out);
    }
    for (name, _, text) in template.obj.values("work_out") {
        later.push(Definition { name: name.clone(), text: text.clone(), want: None });
    }
    set_kinds(template, &mut scope);
    let mut brought = Brought::default();
    let mut bring =
        |scope: &mut Scope, i: usize, out: &mut Vec<Diagnostic>| brought.bring((template, answers), scope, i, out);
    solve_with(&mut scope, &later, &groups(template), &mut bring, out);
    // Given answers first: a usual one that follows from a wrong answer is not told as well.
    let mut wrong = BTreeSet::new();
    for given_only in [true, false] {
        for (name, _, ask) in asks {
            let given = answers.given.iter().any(|g| g.0 == *name);
            let limits = [ask.text("at_least"), ask.text("at_most"), scope.formulas.get(name)];
            if given == given_only
                && !hangs_on(limits.into_iter().flatten(), &scope, &wrong)
                && !check_limits(name, ask, answers, (above, &scope), inside, out)
            {
                wrong.insert(name.clone());
            }
        }
    }
    let uses = brought.done(template, &scope, &wrong, out);
    Answered { scope, uses }
}

/// The answer to one question: given, usual, or told to be missing.
fn one_answer(
    (name, span, ask): (&str, &Range<usize>, &Obj),
    (template, answers): (&Template, &Answers),
    (above, inside): (&Scope, bool),
    (scope, later): (&mut Scope, &mut Vec<Definition>),
    out: &mut Vec<Diagnostic>,
) {
    let kind = type_of_ask(ask);
    let given = answers.given.iter().rev().find(|g| g.0 == *name);
    if ask.word("kind") == Some("load") {
        if let (Some((_, _, text)), true) = (given, inside) {
            return pass_load(name, text, above, scope);
        }
        let origin = given.map_or((template.file, span.clone()), |g| (g.2.file, g.2.span.clone()));
        let case = given.map_or(Some(None), |g| load_of(&g.2, answers.loads, out));
        if case.is_none() {
            scope.fail(name);
        } else {
            set_load(name, case.flatten(), origin, scope);
        }
        return;
    }
    if let Some((_, _, text)) = given {
        let value =
            if inside { given_inside(ask, text, above, out) } else { given_value(ask, &kind, text, above, out) };
        match value {
            Some(v) => scope.set(name, v, kind, (text.file, text.span.clone())),
            None => scope.fail(name),
        }
        return;
    }
    let usual = ask.text("usual_inch").filter(|_| answers.sizes == System::Inch).or_else(|| ask.text("usual"));
    match usual {
        Some(text) => usual_value(name, kind, text, template, scope, later),
        None => {
            let message = format!("part `{}` does not answer `{name}`", answers.part);
            let d = Diagnostic::error("missing-answer", message, answers.place.0, answers.place.1.clone());
            let line = format!("add the line: with.{name} = \"...\"   ({})", ask.word("what").unwrap_or(""));
            out.push(d.help(line).also(template.file, span.clone(), "asked here"));
            scope.fail(name);
        }
    }
}

/// A load of the using template under the name that it has inside.
fn pass_load(name: &str, text: &Text, above: &Scope, scope: &mut Scope) {
    let origin = (text.file, text.span.clone());
    if text.value == "none" {
        return set_load(name, None, origin, scope);
    }
    let all = LOAD_PARTS.iter().map(|(part, _)| format!(".{part}")).chain([String::new()]);
    for part in all {
        match (above.values.get(&format!("{}{part}", text.value)), above.kinds.get(&format!("{}{part}", text.value))) {
            (Some(v), Some(k)) => scope.set(&format!("{name}{part}"), v.clone(), k.clone(), origin.clone()),
            _ => scope.fail(&format!("{name}{part}")),
        }
    }
}

fn unknown_answers(
    asks: &[(String, Range<usize>, Obj)],
    answers: &Answers,
    template: &Template,
    out: &mut Vec<Diagnostic>,
) {
    for (name, span, text) in &answers.given {
        if asks.iter().all(|a| a.0 != *name) {
            let message = format!("template `{}` does not ask for `{name}`", template.name);
            let near = nearest(name, asks.iter().map(|a| a.0.as_str())).map(|n| format!("did you mean `{n}`?"));
            let all = format!("it asks for: {}", asks.iter().map(|a| a.0.as_str()).collect::<Vec<_>>().join(", "));
            out.push(Diagnostic::error("unknown-answer", message, text.file, span.clone()).help_if(near).help(all));
        }
    }
}

/// A usual value: a word as it is, anything else as a formula of the template.
fn usual_value(
    name: &str,
    kind: Type,
    text: &Text,
    template: &Template,
    scope: &mut Scope,
    later: &mut Vec<Definition>,
) {
    let word = match &kind {
        Type::Word(choices) if choices.contains(&text.value) => Some(text.value.clone()),
        Type::Word(choices) if choices.is_empty() => handbook::material::find(&text.value).map(|m| m.name.to_string()),
        _ => None,
    };
    match word {
        Some(w) => scope.set(name, Value::Word(w), kind, (template.file, text.span.clone())),
        None => later.push(Definition { name: name.to_string(), text: text.clone(), want: Some(kind) }),
    }
}

fn given_value(ask: &Obj, kind: &Type, text: &Text, job: &Scope, out: &mut Vec<Diagnostic>) -> Option<Value> {
    let Type::Word(choices) = kind else {
        if ask.word("kind") == Some("count") {
            return job.count(text, MOST, out).map(|n| Value::number(f64::from(n)));
        }
        return job.typed(text, kind, out);
    };
    if text.value.contains("...") {
        let d = Diagnostic::error("formula", "this is not filled in yet", text.file, text.span.clone());
        out.push(d.help(format!("{}: {}", ask.word("what").unwrap_or(""), choices.join(", "))));
        return None;
    }
    if choices.is_empty() {
        return handbook::material_of(text, out).map(|m| Value::Word(m.name.to_string()));
    }
    if choices.contains(&text.value) {
        return Some(Value::Word(text.value.clone()));
    }
    // A measured value may itself be a word.
    if let Some(Value::Word(w)) = job.values.get(&text.value)
        && choices.contains(w)
    {
        return Some(Value::Word(w.clone()));
    }
    let near = nearest(&text.value, choices.iter().map(String::as_str)).map(|n| format!("did you mean \"{n}\"?"));
    let d = Diagnostic::error(
        "unknown-word",
        format!("\"{}\" is not one of the choices", text.value),
        text.file,
        text.span.clone(),
    );
    out.push(d.help_if(near).help(format!("choose from: {}", choices.join(", "))));
    None
}

/// Whether texts - a question's usual answer and limits, or the answers of a use -
/// are worked out from a wrong answer.
pub(super) fn hangs_on<'a>(texts: impl Iterator<Item = &'a Text>, scope: &Scope, wrong: &BTreeSet<String>) -> bool {
    if wrong.is_empty() {
        return false;
    }
    let mut names = BTreeSet::new();
    texts.for_each(|t| names_in(&t.value, &mut names));
    let mut seen = BTreeSet::new();
    while let Some(n) = names.pop_first() {
        if wrong.contains(&n) {
            return true;
        }
        if let Some(text) = scope.formulas.get(&n).filter(|_| seen.insert(n.clone())) {
            names_in(&text.value, &mut names);
        }
    }
    false
}

/// Tell a value outside of its limits; whether it is inside.
fn check_limits(
    name: &str,
    ask: &Obj,
    answers: &Answers,
    (job, scope): (&Scope, &Scope),
    used: bool,
    out: &mut Vec<Diagnostic>,
) -> bool {
    let (Some(Value::Quantity(value, dim)), Some(want)) =
        (scope.values.get(name), dim_of(ask.word("kind").unwrap_or("")))
    else {
        return true;
    };
    let mut inside = true;
    for (key, least) in [("at_least", true), ("at_most", false)] {
        let Some(text) = ask.text(key) else { continue };
        let Some(limit) = scope.quantity(text, want, out) else { continue };
        let near = 1e-9 * (1.0 + limit.abs());
        if if least { *value >= limit - near } else { *value <= limit + near } {
            continue;
        }
        inside = false;
        let show = |v: f64| show_quantity(v, *dim, answers.units);
        let side = if least { "at least" } else { "at most" };
        let message =
            format!("`{name}` of part `{}` is {}; {side} {} is allowed", answers.part, show(*value), show(limit));
        let (file, span) = scope.origins.get(name).cloned().unwrap_or(answers.place.clone());
        let mut d =
            Diagnostic::error("outside-limits", message, file, span).saying(format!("comes out as {}", show(*value)));
        if let Some(w) = ask.text("what") {
            d = d.help(format!("{name}: {}", w.value));
        }
        d = d.also(text.file, text.span.clone(), format!("the limit, {}", show(limit)));
        // How the value came about: the job's formula, or the template's usual one.
        d = match answers.given.iter().rev().find(|g| g.0 == name) {
            Some((_, _, given)) => job.with_causes(d, given, answers.units),
            None => scope.formulas.get(name).map(|f| scope.with_causes(d.clone(), f, answers.units)).unwrap_or(d),
        };
        d = scope.with_causes(d, text, answers.units);
        if used {
            // What the person wrote comes before the template that passes it on.
            d.labels.sort_by_key(|l| l.file != answers.place.0);
        }
        out.push(d);
    }
    inside
}
