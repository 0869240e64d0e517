//! What a template says beside its pieces: checks, hardware, cautions.

use super::Template;
use super::bought::{Item, Weld, bought, weld};
use super::wording::worded;
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
    /// What must be so, as it is written.
    pub must: Text,
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

/// Work out checks, hardware and cautions. Faults go to `out`.
pub fn outcomes(template: &Template, scope: &Scope, system: System, out: &mut Vec<Diagnostic>) -> Outcome {
    let mut result = Outcome::default();
    for c in template.obj.list("check") {
        if !applies(c, scope, out) {
            continue;
        }
        match c.text("use") {
            Some(check) => result.named.extend(named_call(template, c, check, scope, out)),
            None => result.checks.extend(one_check(template, c, scope, system, out)),
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
    scope: &Scope,
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
        told,
        place: (template.file, c.span.clone()),
    })
}

fn one_check(
    template: &Template,
    c: &Obj,
    scope: &Scope,
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
        must: must.clone(),
    })
}
