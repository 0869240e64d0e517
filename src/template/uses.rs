//! Templates that a template uses: where their names come from, what they are
//! told, and what they bring.
//!
//! ```text
//!   uses, name = "pad"   answers: formulas over this template's values
//!                        values:  pad.height in formulas after it
//!                        pieces:  pad/plate, placed by the place of the use
//! ```

use super::answers::{Answers, MOST, answer_in, hangs_on, type_of_ask};
use super::{Answered, Template, Used};
use crate::diag::{Diagnostic, FileId};
use crate::expr::{Group, Scope, Type, Value, names_in};
use crate::handbook;
use crate::source::{Obj, Text, nearest};
use crate::units::System;
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::Arc;

/// What a use is told under the name of a question.
pub(super) fn told<'a>(uses: &'a Obj, name: &str) -> Option<&'a Text> {
    uses.values("with").iter().find(|w| w.0 == name).map(|w| &w.2)
}

/// A word of the used template itself, not the name of a value here.
pub(super) fn is_its_word(ask: &Obj, text: &str, known: &dyn Fn(&str) -> bool) -> bool {
    match ask.word("kind") {
        Some("choice") => ask.texts("choices").iter().any(|c| c.value == text),
        Some("material") => !known(text) && handbook::material::find(text).is_some(),
        Some("load") => text == "none",
        _ => false,
    }
}

/// The uses as groups of values, for the order of the formulas.
pub(super) fn groups(template: &Template) -> Vec<Group> {
    let own = template.obj.list("uses").iter().zip(&template.used);
    own.map(|(u, inner)| {
        let mut needs = BTreeSet::new();
        if let Some(when) = u.text("when") {
            names_in(&when.value, &mut needs);
        }
        for (name, _, text) in u.values("with") {
            let ask = inner.as_ref().and_then(|t| t.ask(name));
            if !ask.is_some_and(|a| a.word("kind") == Some("choice") && is_its_word(a, &text.value, &|_| false)) {
                names_in(&text.value, &mut needs);
            }
        }
        let name = u.word("name").unwrap_or("").to_string();
        // A name that is something else as well is told; a circle would only follow from it.
        if template.ask(&name).is_some() || template.obj.values("work_out").iter().any(|w| w.0 == name) {
            needs.clear();
        }
        let place = u.text("name").map_or((template.file, u.span.clone()), |t| (t.file, t.span.clone()));
        Group { name, needs: needs.into_iter().collect(), place }
    })
    .collect()
}

/// Set the kinds of the values that the uses bring; a template that could not be
/// read fails with all of its names, silently.
pub(super) fn set_kinds(template: &Template, scope: &mut Scope) {
    for (u, inner) in template.obj.list("uses").iter().zip(&template.used) {
        let Some(name) = u.word("name") else { continue };
        match inner {
            Some(t) if !t.faulty => {
                let kinds = t.kinds().kinds;
                scope.kinds.extend(kinds.into_iter().map(|(n, k)| (format!("{name}.{n}"), k)));
            }
            _ => scope.fail(name),
        }
    }
}

/// The used templates of one part, as their answers come out.
#[derive(Default)]
pub(super) struct Brought {
    all: Vec<Used>,
    /// What each of them is at fault with, by its index.
    faults: Vec<(usize, Vec<Diagnostic>)>,
}

impl Brought {
    /// Work out one use and set its values; `None` where it cannot be told.
    pub fn bring(
        &mut self,
        (template, answers): (&Template, &Answers),
        scope: &mut Scope,
        index: usize,
        out: &mut Vec<Diagnostic>,
    ) -> Option<()> {
        let uses = template.obj.list("uses").get(index)?;
        let inner = template.used.get(index)?.as_ref().filter(|t| !t.faulty)?;
        let name = uses.word("name")?;
        if let Some(when) = uses.text("when")
            && !scope.yes(when, out)?
        {
            return Some(());
        }
        let mut own = vec![];
        let inside = Answers {
            part: &format!("{}/{name}", answers.part),
            place: answers.place.clone(),
            given: uses.values("with").to_vec(),
            sizes: answers.sizes,
            units: answers.units,
            loads: &[],
        };
        let inside = answer_in(inner, &inside, scope, true, &mut own);
        for (n, value) in &inside.scope.values {
            let kind = inside.scope.kinds.get(n).cloned().unwrap_or_else(|| value.kind());
            let origin = inside.scope.origins.get(n).cloned().unwrap_or((template.file, uses.span.clone()));
            scope.set(&format!("{name}.{n}"), value.clone(), kind, origin);
        }
        for n in &inside.scope.failed {
            scope.fail(&format!("{name}.{n}"));
        }
        self.faults.push((index, own));
        let template = Arc::clone(inner);
        self.all.push(Used { name: name.to_string(), index, count: 1, template, inside });
        Some(())
    }

    /// All that are used, in the order of the file, with their counts; their faults are
    /// told unless they follow from an answer that is wrong already.
    pub fn done(
        mut self,
        template: &Template,
        scope: &Scope,
        wrong: &BTreeSet<String>,
        out: &mut Vec<Diagnostic>,
    ) -> Vec<Used> {
        self.faults.sort_by_key(|f| f.0);
        self.all.sort_by_key(|u| u.index);
        for (index, faults) in self.faults {
            let uses = &template.obj.list("uses")[index];
            let texts = uses.values("with").iter().map(|w| &w.2).chain(uses.text("when"));
            if !hangs_on(texts, scope, wrong) {
                out.extend(faults);
            }
        }
        for used in &mut self.all {
            let count = template.obj.list("uses")[used.index].text("count");
            used.count = count.map_or(1, |t| scope.count(t, MOST, out).unwrap_or(0));
        }
        self.all.retain(|u| u.count > 0);
        self.all
    }
}

/// The value of an answer that is a formula of the using template.
pub(super) fn given_inside(ask: &Obj, text: &Text, above: &Scope, out: &mut Vec<Diagnostic>) -> Option<Value> {
    let kind = type_of_ask(ask);
    let Type::Word(choices) = &kind else {
        if ask.word("kind") == Some("count") {
            return above.count(text, MOST, out).map(|n| Value::number(f64::from(n)));
        }
        return above.typed(text, &kind, out);
    };
    let word = if is_its_word(ask, &text.value, &|n| above.kinds.contains_key(n)) {
        text.value.clone()
    } else {
        match above.typed(text, &kind, out)? {
            Value::Word(w) => w,
            _ => return None,
        }
    };
    if choices.is_empty() {
        let found = handbook::material::find(&word);
        if found.is_none() {
            out.push(handbook::unknown_material(text, &word));
        }
        return found.map(|m| Value::Word(m.name.to_string()));
    }
    if !choices.contains(&word) {
        out.push(no_choice(&word, choices, text));
        return None;
    }
    Some(Value::Word(word))
}

pub(super) fn no_choice(word: &str, choices: &[String], text: &Text) -> Diagnostic {
    let near = nearest(word, choices.iter().map(String::as_str)).map(|n| format!("did you mean \"{n}\"?"));
    let message = format!("\"{word}\" is not one of the choices");
    let d = Diagnostic::error("unknown-word", message, text.file, text.span.clone());
    d.help_if(near).help(format!("choose from: {}", choices.join(", ")))
}

/// Where a use stands in the using template's values.
pub(super) struct Above<'a> {
    /// The using template with its values.
    pub answered: &'a Answered,
    /// The use.
    pub uses: &'a Obj,
    /// The template with its blocks.
    pub template: &'a Template,
    /// The use that the using template is itself.
    pub above: Option<&'a Above<'a>>,
}

/// A place with what stands there.
pub type Cause = (FileId, Range<usize>, String);

/// The places of the answers and readings that a formula goes back to: out of a used
/// template into what it is told, and into a used template where its value is read.
pub(super) fn set_by(
    (template, answered): (&Template, &Answered),
    above: Option<&Above>,
    text: &Text,
    system: System,
) -> Vec<Cause> {
    let mut out = vec![];
    for leaf in answered.scope.set_by(text, system) {
        let told = above.and_then(|a| {
            let mut with = a.uses.values("with").iter().map(|w| &w.2);
            with.find(|t| (t.file, &t.span) == (leaf.0, &leaf.1)).map(|t| (a, t))
        });
        let before = match told {
            Some((a, t)) => set_by((a.template, a.answered), a.above, t, system),
            None => read_inside((template, answered), above, &leaf, system),
        };
        if before.is_empty() {
            out.push(leaf);
        } else {
            out.extend(before);
        }
    }
    out
}

/// What a value that is read out of a used template goes back to.
fn read_inside(
    (template, answered): (&Template, &Answered),
    above: Option<&Above>,
    leaf: &Cause,
    system: System,
) -> Vec<Cause> {
    let read = |u: &&Used| leaf.2.starts_with(&format!("`{}.", u.name));
    let Some(used) = answered.uses.iter().find(read) else { return vec![] };
    let scope = &used.inside.scope;
    let mut origins = scope.origins.iter().filter(|o| (o.1.0, &o.1.1) == (leaf.0, &leaf.1));
    let told = template.obj.list("uses").get(used.index);
    match (origins.next().and_then(|o| scope.formulas.get(o.0)), told) {
        (Some(formula), Some(uses)) => {
            let here = Above { answered, uses, template, above };
            set_by((&used.template, &used.inside), Some(&here), formula, system)
        }
        _ => vec![],
    }
}
