//! Names with their values: measured values of a job, answers and worked-out
//! values of a template.

use super::{Fault, Node, Type, Value, check, evaluate, parse_once};
use crate::diag::{Diagnostic, FileId};
use crate::source::{Text, nearest};
use crate::units::{Dim, System, parse_quantity};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// Names with values.
#[derive(Clone, Debug, Default)]
pub struct Scope {
    /// Values by name.
    pub values: BTreeMap<String, Value>,
    /// Kinds by name: for choices, the words they may take.
    pub kinds: BTreeMap<String, Type>,
    /// Where each value was set.
    pub origins: BTreeMap<String, (FileId, Range<usize>)>,
    /// Names whose own formula is at fault; what needs them fails without a word.
    pub failed: BTreeSet<String>,
    /// What a bare length is read as; `None` where it is refused.
    pub bare: Option<System>,
    /// The formulas that values came from.
    pub formulas: BTreeMap<String, Text>,
}

/// Most faults that are told with the names known there: to look for the
/// nearest of a thousand names a thousand times takes long, and nobody reads it.
const MOST_WITH_NAMES: usize = 200;

/// Tell a formula's fault.
pub(super) fn tell(fault: Fault, text: &Text, known: &dyn Fn() -> Vec<String>, out: &mut Vec<Diagnostic>) {
    let mut d = Diagnostic::error("formula", fault.message, text.file, text.at(fault.span));
    for (span, says) in fault.marks {
        d = d.also(text.file, text.at(span), says);
    }
    if let Some(name) = &fault.unknown {
        d.code = "unknown-name";
        let known = if out.len() < MOST_WITH_NAMES { known() } else { vec![] };
        d = d.help_if(nearest(name, known.iter().map(String::as_str)).map(|n| format!("did you mean `{n}`?")));
        if d.help.is_empty() && !known.is_empty() {
            d = d.help(format!("names known here: {}", known.join(", ")));
        }
    }
    let d = d.help_if(fault.help);
    let usual = "correct the underlined place; droprack explain formulas tells what can be written";
    out.push(if d.help.is_empty() { d.help(usual) } else { d });
}

/// What a formula comes out as, against what is needed.
fn wrong_kind(kind: &Type, want: &Type, text: &Text) -> Diagnostic {
    let message = format!("this is {}; {} is needed", kind.name(), want.name());
    let plain = *kind == Type::Quantity(Dim::PLAIN);
    let d = Diagnostic::error("wrong-dimension", message, text.file, text.span.clone());
    if plain && *want == Type::Quantity(Dim::LENGTH) {
        d.help(format!("add the unit: {0} mm or {0} in", text.value))
    } else if plain && *want == Type::Quantity(Dim::ANGLE) {
        d.help(format!("add the unit: {} deg", text.value))
    } else if matches!(want, Type::Word(_)) {
        d.help(format!("name a question of kind choice, or put the word in single quotes: '{}'", text.value))
    } else {
        d.help("check the names and units of the formula")
    }
}

/// A name that is known and has no value: what brings it is left out here.
fn left_out(f: &Fault, text: &Text) -> Diagnostic {
    let name = f.unknown.as_deref().unwrap_or_default();
    let from = name.rsplit_once('.').map_or(name, |n| n.0);
    let message = format!("`{name}` has no value here: `{from}` is left out by its `when`");
    let d = Diagnostic::error("left-out", message, text.file, text.at(f.span.clone()));
    d.help(format!("ask for it only where `{from}` is there: if ... then {name} else ..."))
}

impl Scope {
    pub(super) fn names(&self) -> Vec<String> {
        self.kinds.keys().cloned().collect()
    }

    /// Set a value with its place.
    pub fn set(&mut self, name: &str, value: Value, kind: Type, origin: (FileId, Range<usize>)) {
        self.values.insert(name.to_string(), value);
        self.kinds.insert(name.to_string(), kind);
        self.origins.insert(name.to_string(), origin);
    }

    /// Mark a name as failed.
    pub fn fail(&mut self, name: &str) {
        self.failed.insert(name.to_string());
    }

    /// Whether a name is at fault, or what it comes from: `pad.height` fails with `pad`.
    fn is_failed(&self, name: &str) -> bool {
        self.failed.contains(name) || name.match_indices('.').any(|(i, _)| self.failed.contains(&name[..i]))
    }

    fn kind(&self, name: &str) -> Option<Type> {
        self.kinds.get(name).cloned()
    }

    /// A formula's value, of whatever kind. Faults go to `out`; a formula that
    /// needs a failed name gives nothing, silently.
    pub fn value(&self, text: &Text, out: &mut Vec<Diagnostic>) -> Option<Value> {
        match parse_once(&text.value) {
            Ok(node) => self.value_of(&node, text, None, out),
            Err(f) => {
                tell(f, text, &|| self.names(), out);
                None
            }
        }
    }

    pub(super) fn value_of(
        &self,
        node: &Node,
        text: &Text,
        want: Option<&Type>,
        out: &mut Vec<Diagnostic>,
    ) -> Option<Value> {
        self.kind_of(node, text, want, out)?;
        match evaluate(node, &|n| self.values.get(n).cloned()) {
            Ok(v) => Some(v),
            Err(f) if f.unknown.as_ref().is_some_and(|n| self.kinds.contains_key(n)) => {
                out.push(left_out(&f, text));
                None
            }
            Err(f) => {
                tell(f, text, &|| self.names(), out);
                None
            }
        }
    }

    /// The kind that a formula comes out as, by the kinds of its names; their
    /// values are not needed. A formula that needs a failed name gives nothing, silently.
    pub fn kind_of(&self, node: &Node, text: &Text, want: Option<&Type>, out: &mut Vec<Diagnostic>) -> Option<Type> {
        if node.names().iter().any(|n| self.is_failed(n.0)) {
            return None;
        }
        let kind = match check(node, &|n| self.kind(n)) {
            Ok(k) => k,
            Err(f) => {
                tell(f, text, &|| self.names(), out);
                return None;
            }
        };
        if let Some(want) = want.filter(|w| !w.fits(&kind)) {
            out.push(wrong_kind(&kind, want, text));
            return None;
        }
        Some(kind)
    }

    /// The kind of a text's formula; a fault of its spelling is told too.
    pub fn kind_of_text(&self, text: &Text, want: Option<&Type>, out: &mut Vec<Diagnostic>) -> Option<Type> {
        match parse_once(&text.value) {
            Ok(node) => self.kind_of(&node, text, want, out),
            Err(f) => {
                tell(f, text, &|| self.names(), out);
                None
            }
        }
    }

    /// A formula's value of a given kind. A bare number is a length where this
    /// scope allows that.
    pub fn typed(&self, text: &Text, want: &Type, out: &mut Vec<Diagnostic>) -> Option<Value> {
        if *want == Type::Quantity(Dim::LENGTH)
            && let Some(system) = self.bare
            && let Ok(mm) = parse_quantity(&text.value, Dim::LENGTH, Some(system))
        {
            return Some(Value::length(mm));
        }
        if text.value.contains(',') && !text.value.contains('(') {
            // 25,4 mm: the scanner's own help is the best there is.
            if let Err(f) = parse_quantity(&text.value, Dim::LENGTH, self.bare) {
                let d = Diagnostic::error("formula", f.message, text.file, text.at(f.span));
                out.push(d.help_if(f.help));
                return None;
            }
        }
        match parse_once(&text.value) {
            Ok(node) => self.value_of(&node, text, Some(want), out),
            Err(f) => {
                tell(f, text, &|| self.names(), out);
                None
            }
        }
    }

    /// A number of base units.
    pub fn quantity(&self, text: &Text, dim: Dim, out: &mut Vec<Diagnostic>) -> Option<f64> {
        match self.typed(text, &Type::Quantity(dim), out)? {
            Value::Quantity(v, _) => Some(v),
            _ => None,
        }
    }

    /// A yes or no.
    pub fn yes(&self, text: &Text, out: &mut Vec<Diagnostic>) -> Option<bool> {
        match self.typed(text, &Type::YesNo, out)? {
            Value::YesNo(b) => Some(b),
            _ => None,
        }
    }

    /// A whole number from 0 to `most`.
    pub fn count(&self, text: &Text, most: u32, out: &mut Vec<Diagnostic>) -> Option<u32> {
        let v = self.quantity(text, Dim::PLAIN, out)?;
        let whole = libm::round(v);
        if (v - whole).abs() > 1e-6 || whole < 0.0 || whole > f64::from(most) {
            let message = format!("this comes out as {v}; a whole number from 0 to {most} is needed");
            out.push(
                Diagnostic::error("not-a-count", message, text.file, text.span.clone())
                    .help("use whole_up(...) or give a whole number"),
            );
            return None;
        }
        Some(whole as u32)
    }
}
