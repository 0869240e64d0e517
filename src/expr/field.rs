//! Numbers of a file by their field: kind, limits and usual value come from
//! the field table, and a value outside says how it came about.

use super::{Scope, Value, parse};
use crate::diag::{Diagnostic, FileId};
use crate::source::{Field, Need, Obj, Text, Want};
use crate::units::{Dim, System, show_quantity};
use std::ops::Range;

/// Most places that one message points at.
const MOST_CAUSES: usize = 5;

/// The dimension that a field's value must have; `None` where any will do.
pub fn dim_of(need: Need) -> Option<Dim> {
    match need {
        Need::Length => Some(Dim::LENGTH),
        Need::Angle => Some(Dim::ANGLE),
        Need::Number => Some(Dim::PLAIN),
        Need::Mass => Some(Dim::MASS),
        Need::Volume => Some(Dim::VOLUME),
        Need::Force => Some(Dim::FORCE),
        Need::Any | Need::YesNo | Need::Word => None,
    }
}

/// A field's limits in words: `from 0.1 mm to 100 m`.
pub fn limits_in_words(f: &Field) -> Option<String> {
    let (least, most) = f.limits?;
    let dim = match f.want {
        Want::Expr(n) | Want::Exprs(n) | Want::Pair(n) => dim_of(n)?,
        _ => Dim::PLAIN,
    };
    // Always metric: a tenth of a millimetre has no name in sixty-fourths.
    let show = |v: f64| match dim {
        Dim::LENGTH if v >= 1e4 => format!("{} m", v / 1e3),
        _ => show_quantity(v, dim, System::Metric),
    };
    Some(format!("from {} to {}", show(least), show(most)))
}

impl Scope {
    /// The number under a key, in base units, inside its field's limits; `None`
    /// where it is left out or at fault. Faults go to `out`.
    pub fn field(&self, obj: &Obj, key: &str, out: &mut Vec<Diagnostic>) -> Option<f64> {
        let (field, text) = obj.told(key)?;
        let Want::Expr(need) = field.want else { return None };
        let dim = dim_of(need)?;
        let value = self.quantity(text, dim, out)?;
        let Some((least, most)) = field.limits else { return Some(value) };
        let near = 1e-9 * (1.0 + value.abs());
        if (least - near..=most + near).contains(&value) {
            return Some(value);
        }
        let system = self.bare.unwrap_or(System::Metric);
        let shown = show_quantity(value, dim, system);
        let allowed = limits_in_words(field).unwrap_or_default();
        let message = format!("`{key}` comes out as {shown}; {allowed} is allowed");
        let d = Diagnostic::error("outside-limits", message, text.file, text.span.clone());
        out.push(self.with_causes(d.help(format!("{key}: {}", field.words)), text, system));
        None
    }

    /// The same, or the field's usual value where the key is left out.
    pub fn field_or_usual(&self, table: &[Field], obj: &Obj, key: &str, out: &mut Vec<Diagnostic>) -> Option<f64> {
        if obj.get(key).is_some() {
            return self.field(obj, key, out);
        }
        let field = table.iter().find(|f| f.key == key)?;
        let Want::Expr(need) = field.want else { return None };
        self.quantity(&Text::made(field.usual?, FileId(0)), dim_of(need)?, out)
    }

    /// A diagnostic with the places of the values that a formula is made of.
    pub fn with_causes(&self, mut d: Diagnostic, text: &Text, system: System) -> Diagnostic {
        let mut told = vec![];
        self.causes(&text.value, system, &mut told);
        for (file, span, says) in told {
            d = d.also(file, span, says);
        }
        d
    }

    /// The places of the answers and readings that a formula goes back to.
    pub fn set_by(&self, text: &Text, system: System) -> Vec<(FileId, Range<usize>, String)> {
        let mut all = vec![];
        self.leaves(&text.value, system, &mut all);
        all
    }

    fn leaves(&self, formula: &str, system: System, told: &mut Vec<(FileId, Range<usize>, String)>) {
        let Ok(node) = parse(formula) else { return };
        for (name, _) in node.names() {
            let Some((file, span)) = self.origins.get(name) else { continue };
            let inner = self.formulas.get(name).filter(|f| parse(&f.value).is_ok_and(|n| !n.names().is_empty()));
            if told.len() >= MOST_CAUSES || told.iter().any(|t| (t.0, &t.1) == (*file, span)) {
                continue;
            }
            match (inner, self.values.get(name)) {
                (Some(f), _) => self.leaves(&f.value, system, told),
                (None, Some(Value::Quantity(v, d))) => {
                    told.push((*file, span.clone(), format!("`{name}` is {}", show_quantity(*v, *d, system))));
                }
                (None, Some(Value::Word(w))) => told.push((*file, span.clone(), format!("`{name}` is {w}"))),
                _ => {}
            }
        }
    }

    fn causes(&self, formula: &str, system: System, told: &mut Vec<(FileId, Range<usize>, String)>) {
        let Ok(node) = parse(formula) else { return };
        for (name, _) in node.names() {
            let (Some(Value::Quantity(v, d)), Some((file, span))) = (self.values.get(name), self.origins.get(name))
            else {
                continue;
            };
            let says = format!("`{name}` is {}", show_quantity(*v, *d, system));
            if told.len() >= MOST_CAUSES || told.iter().any(|t| t.2 == says) {
                continue;
            }
            told.push((*file, span.clone(), says));
            if let Some(text) = self.formulas.get(name) {
                self.causes(&text.value, system, told);
            }
        }
    }
}
