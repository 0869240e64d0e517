//! Sentences with values in them: `{pad_length} long` shows the value in the
//! job's units.

use crate::diag::Diagnostic;
use crate::expr::Scope;
use crate::expr::Value;
use crate::source::Text;
use crate::units::{System, show_quantity};

/// The sentence with its values filled in. Faults go to `out`.
pub fn worded(scope: &Scope, text: &Text, system: System, out: &mut Vec<Diagnostic>) -> String {
    let s = &text.value;
    let mut result = String::new();
    let mut p = 0;
    while let Some(open) = s[p..].find('{').map(|i| p + i) {
        result += &s[p..open];
        let Some(close) = s[open..].find('}').map(|i| open + i) else {
            out.push(open_brace(text, open));
            return result;
        };
        match scope.value(&text.part(open + 1..close), out) {
            Some(Value::Quantity(v, d)) => result += &show_quantity(v, d, system),
            Some(Value::Word(w)) => result += &w,
            Some(Value::YesNo(b)) => result += if b { "yes" } else { "no" },
            None => {}
        }
        p = close + 1;
    }
    result + &s[p..]
}

/// Look through a sentence without values: open braces, formulas, names.
pub(super) fn check(scope: &Scope, text: &Text, out: &mut Vec<Diagnostic>) {
    let s = &text.value;
    let mut p = 0;
    while let Some(open) = s[p..].find('{').map(|i| p + i) {
        let Some(close) = s[open..].find('}').map(|i| open + i) else {
            return out.push(open_brace(text, open));
        };
        scope.kind_of_text(&text.part(open + 1..close), None, out);
        p = close + 1;
    }
}

fn open_brace(text: &Text, open: usize) -> Diagnostic {
    let d = Diagnostic::error("open-brace", "this { is never closed", text.file, text.at(open..open + 1));
    d.help("close it with }")
}
