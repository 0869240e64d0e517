//! What a template says beside its pieces: checks, hardware, cautions.

use super::bought::{Item, Weld, bought, weld};
use super::uses::{Above, Cause, set_by};
use super::wording::worded;
use super::{Answered, Template};
use crate::diag::{Diagnostic, FileId};
use crate::expr::{Scope, Value};
use crate::source::{Obj, Text, safe_name};
use crate::units::{Dim, System};
use std::ops::Range;

/// A template's own check, worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckOutcome {
    /// `template/slug`.
    pub code: String,
    /// What is checked.
    pub name: String,
    /// Whether it is met.
    pub met: bool,
    /// Whether missing it is only a warning.
    pub only_warns: bool,
    /// The number held against the limit, base units.
    pub value: Option<(f64, Dim)>,
    /// The limit, base units.
    pub limit: Option<(f64, Dim)>,
    /// What to do when it is not met.
    pub otherwise: String,
    /// Where the rule comes from.
    pub source: String,
    /// Where its numbers come from.
    pub set_by: Vec<Cause>,
}

/// A named check with what the template tells it.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedCall {
    /// Name of the check.
    pub check: Text,
    /// What it is called here; empty for nothing.
    pub label: String,
    /// Whether missing it is only a warning.
    pub only_warns: bool,
    /// Name of an argument, place of the name, formula, value.
    pub told: Vec<(String, Range<usize>, Text, Value)>,
    /// Place of the check.
    pub place: (FileId, Range<usize>),
    /// Where its numbers come from.
    pub set_by: Vec<Cause>,
}

/// Checks, hardware and cautions of one part.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outcome {
    /// The checks in order.
    pub checks: Vec<CheckOutcome>,
    /// Named checks to be made, in order.
    pub named: Vec<NamedCall>,
    /// What to buy and how many, for one part.
    pub hardware: Vec<(Item, u32)>,
    /// Welds of one part.
    pub welds: Vec<Weld>,
    /// Cautions.
    pub cautions: Vec<String>,
}

/// Most of one item of hardware.
const MOST: u32 = 10_000;

fn applies(obj: &Obj, scope: &Scope, out: &mut Vec<Diagnostic>) -> bool {
    obj.text("when").is_none_or(|t| scope.yes(t, out).unwrap_or(false))
}

/// Work out checks, hardware and cautions, those of the templates that it uses too.
/// Faults go to `out`.
pub fn outcomes(template: &Template, answered: &Answered, system: System, out: &mut Vec<Diagnostic>) -> Outcome {
    outcomes_in(template, answered, None, system, out)
}

fn outcomes_in(
    template: &Template,
    answered: &Answered,
    above: Option<&Above>,
    system: System,
    out: &mut Vec<Diagnostic>,
) -> Outcome {
    let mut result = own_outcomes(template, answered, above, system, out);
    for used in &answered.uses {
        let Some(uses) = template.obj.list("uses").get(used.index) else { continue };
        let here = Above { answered, uses, template, above };
        let mut inner = outcomes_in(&used.template, &used.inside, Some(&here), system, out);
        if uses.flag("bolts") == Some(false) {
            inner.hardware.retain(|h| !matches!(h.0, Item::Bolt(_)));
        }
        result.take(inner, &used.name, used.count);
    }
    result
}

impl Outcome {
    /// Add what a used template says, so many times; what it says is called after it.
    fn take(&mut self, inner: Outcome, name: &str, count: u32) {
        let called = |what: &str| if what.is_empty() { name.to_string() } else { format!("{name}: {what}") };
        for mut c in inner.checks {
            c.name = called(&c.name);
            self.checks.push(c);
        }
        for mut c in inner.named {
            c.label = called(&c.label);
            self.named.push(c);
        }
        self.hardware.extend(inner.hardware.into_iter().map(|(item, n)| (item, n.saturating_mul(count))));
        for mut w in inner.welds {
            w.name = called(&w.name);
            w.length = w.length * f64::from(count);
            self.welds.push(w);
        }
        for c in inner.cautions {
            // A part says one thing once.
            if !self.cautions.contains(&c) {
                self.cautions.push(c);
            }
        }
    }
}

/// Where the numbers of a formula come from.
type Places<'a> = dyn Fn(&Text) -> Vec<Cause> + 'a;

/// What a template says by itself.
fn own_outcomes(
    template: &Template,
    answered: &Answered,
    above: Option<&Above>,
    system: System,
    out: &mut Vec<Diagnostic>,
) -> Outcome {
    let (mut result, scope) = (Outcome::default(), &answered.scope);
    for c in template.obj.list("check") {
        if !applies(c, scope, out) {
            continue;
        }
        let places = |text: &Text| set_by((template, answered), above, text, system);
        match c.text("use") {
            Some(check) => result.named.extend(named_call(template, c, check, (scope, &places), out)),
            None => result.checks.extend(one_check(template, c, (scope, &places), system, out)),
        }
    }
    for h in template.obj.list("hardware") {
        if !applies(h, scope, out) {
            continue;
        }
        let count = h.text("count").and_then(|t| scope.count(t, MOST, out));
        let item = bought(h, scope, system, out);
        if let (Some(item), Some(count)) = (item, count)
            && count > 0
        {
            result.hardware.push((item, count));
        }
    }
    for w in template.obj.list("weld") {
        if applies(w, scope, out) {
            result.welds.extend(weld(w, scope, out));
        }
    }
    for c in template.obj.list("caution") {
        if let Some(say) = c.text("say").filter(|_| applies(c, scope, out)) {
            result.cautions.push(worded(scope, say, system, out));
        }
    }
    result
}

/// What a named check is told; nothing where one of its values is at fault.
fn named_call(
    template: &Template,
    c: &Obj,
    check: &Text,
    (scope, places): (&Scope, &Places),
    out: &mut Vec<Diagnostic>,
) -> Option<NamedCall> {
    let mut told = vec![];
    for (name, at, text) in c.values("with") {
        told.push((name.clone(), at.clone(), text.clone(), scope.value(text, out)?));
    }
    Some(NamedCall {
        check: check.clone(),
        label: c.word("name").unwrap_or("").to_string(),
        only_warns: c.word("level") == Some("warn"),
        set_by: told.iter().flat_map(|(.., text, _)| places(text)).collect(),
        told,
        place: (template.file, c.span.clone()),
    })
}

fn one_check(
    template: &Template,
    c: &Obj,
    (scope, places): (&Scope, &Places),
    system: System,
    out: &mut Vec<Diagnostic>,
) -> Option<CheckOutcome> {
    let (name, must) = (c.text("name")?, c.text("must")?);
    let met = scope.yes(must, out)?;
    let mut number = |key: &str| match c.text(key).and_then(|t| scope.value(t, out)) {
        Some(Value::Quantity(v, d)) => Some((v, d)),
        _ => None,
    };
    let (value, limit) = (number("value"), number("limit"));
    Some(CheckOutcome {
        code: format!("{}/{}", template.name, safe_name(&name.value)),
        name: name.value.clone(),
        met,
        only_warns: c.word("level") == Some("warn"),
        value,
        limit,
        otherwise: c.text("otherwise").map(|t| worded(scope, t, system, out)).unwrap_or_default(),
        source: c.word("source").unwrap_or("template's own rule").to_string(),
        set_by: places(must),
    })
}
