//! Sentences with values in them: `{pad_length} long` shows the value in the
//! job's units.

use crate::diag::Diagnostic;
use crate::expr::Scope;
use crate::expr::{Value, evaluate, parse};
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
            let d = Diagnostic::error("open-brace", "this { is never closed", text.file, text.at(open..open + 1));
            out.push(d.help("close it with }"));
            return result;
        };
        let inner = &s[open + 1..close];
        let fault = match parse(inner) {
            Ok(node) if node.names().iter().any(|n| scope.failed.contains(n.0)) => None,
            Ok(node) => match evaluate(&node, &|n| scope.values.get(n).cloned()) {
                Ok(Value::Quantity(v, d)) => {
                    result += &show_quantity(v, d, system);
                    None
                }
                Ok(Value::Word(w)) => {
                    result += &w;
                    None
                }
                Ok(Value::YesNo(b)) => {
                    result += if b { "yes" } else { "no" };
                    None
                }
                Err(f) => Some(f),
            },
            Err(f) => Some(f),
        };
        if let Some(f) = fault {
            let span = text.at(open + 1 + f.span.start..open + 1 + f.span.end);
            out.push(Diagnostic::error("formula", f.message, text.file, span).help_if(f.help));
        }
        p = close + 1;
    }
    result + &s[p..]
}
