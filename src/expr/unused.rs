//! Names that are written and never used: a note, since a forgotten name is
//! often a misspelt one.

use super::parse_once;
use crate::diag::{Diagnostic, FileId};
use crate::source::Text;
use std::collections::BTreeSet;
use std::ops::Range;

/// Every name that a text uses: of its formula, of the formulas in its `{ }`,
/// or itself where it is a plain word that names a value.
pub fn names_in(text: &str, used: &mut BTreeSet<String>) {
    match parse_once(text) {
        Ok(node) => used.extend(node.names().into_iter().map(|n| n.0.to_string())),
        Err(_) => {
            for part in text.split('{').skip(1) {
                if let Some((inner, _)) = part.split_once('}')
                    && let Ok(node) = parse_once(inner)
                {
                    used.extend(node.names().into_iter().map(|n| n.0.to_string()));
                }
            }
        }
    }
}

/// Notes on the names of `defined` that none of `texts` uses.
pub fn unused<'a>(
    file: FileId,
    defined: impl Iterator<Item = (&'a str, Range<usize>)>,
    texts: impl Iterator<Item = &'a Text>,
    what: &str,
) -> Vec<Diagnostic> {
    let mut used = BTreeSet::new();
    texts.for_each(|t| names_in(&t.value, &mut used));
    defined
        .filter(|(name, _)| !used.contains(*name))
        .map(|(name, span)| {
            let d = Diagnostic::error("unused-value", format!("`{name}` {what}, but nothing uses it"), file, span);
            d.help("use it, or take the line out").as_note()
        })
        .collect()
}
