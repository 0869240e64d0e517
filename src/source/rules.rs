//! Rules between the keys of a table: what a word needs, what goes together.

use super::fields::{Case, Field, Need, Obj, Rule, Want};
use crate::diag::{Diagnostic, FileId};
use std::ops::Range;

/// Code, message, place (of the table where there is none), what to do.
pub(super) type Broken = (&'static str, String, Option<Range<usize>>, String);

/// A line with this key, for a person to add.
pub(super) fn line(f: &Field) -> String {
    match (f.want, f.usual) {
        (Want::Table(_), _) => format!("[{}] with its lines below", f.key),
        (Want::List(_), _) => format!("[[{}]] with its lines below", f.key),
        (Want::Pair(_), _) => format!("{} = [\"...\", \"...\"]", f.key),
        (Want::Texts | Want::Exprs(_), _) => format!("{} = [\"...\"]", f.key),
        (Want::Number, _) => format!("{} = 1", f.key),
        (Want::OneOf(words), _) => format!("{} = \"{}\"", f.key, words.first().copied().unwrap_or("...")),
        (Want::Expr(Need::Length), None) => format!("{} = \"... mm\"", f.key),
        (Want::Expr(Need::Mass), None) => format!("{} = \"... kg\"", f.key),
        (Want::Expr(Need::Force), None) => format!("{} = \"... N\"", f.key),
        (Want::Expr(Need::Volume), None) => format!("{} = \"... litres\"", f.key),
        (Want::Expr(Need::Angle), None) => format!("{} = \"... deg\"", f.key),
        (_, usual) => format!("{} = \"{}\"", f.key, usual.unwrap_or("...")),
    }
}

fn line_of(fields: &[Field], key: &str) -> String {
    fields.iter().find(|f| f.key == key).map_or_else(|| key.to_string(), |f| format!("{} ({})", line(f), f.words))
}

/// Whether a case is for this word.
pub fn is_for(case: &Case, word: &str) -> bool {
    case.word.split('|').any(|w| w == word)
}

/// Check a table that was not read from TOML against its fields, as if it had
/// been. Keys in `later` need not be there yet.
pub fn check_table(
    obj: &Obj,
    fields: &'static [Field],
    rules: &'static [Rule],
    what: &str,
    file: FileId,
    later: &[&str],
    out: &mut Vec<Diagnostic>,
) {
    for f in fields.iter().filter(|f| f.must && !obj.has(f.key) && !later.contains(&f.key)) {
        let d = Diagnostic::error("missing-key", format!("{what} needs `{}`", f.key), file, obj.span.clone());
        out.push(d.help(format!("{}: {}", f.key, f.words)));
    }
    let keys: Vec<(&str, Range<usize>)> = obj.items.iter().map(|i| (i.0.key, i.1.clone())).collect();
    for (code, message, at, help) in broken(rules, fields, &keys, obj, what) {
        out.push(Diagnostic::error(code, message, file, at.unwrap_or(obj.span.clone())).help(help));
    }
}

/// The rules that a table breaks. `keys` are all keys as written, also those
/// whose value is at fault, so that one mistake is told once.
pub(super) fn broken(
    rules: &[Rule],
    fields: &[Field],
    keys: &[(&str, Range<usize>)],
    obj: &Obj,
    what: &str,
) -> Vec<Broken> {
    let place = |key: &str| keys.iter().find(|k| k.0 == key).map(|k| k.1.clone());
    let has = |key: &str| place(key).is_some();
    let mut out = vec![];
    for rule in rules {
        match rule {
            Rule::OneOr(of, or) if has(or) && of.iter().all(|k| !has(k)) => {}
            Rule::One(of) | Rule::OneOr(of, _) => out.extend(one_of(of, what, &place)),
            Rule::Beside(key, other) if has(key) && !has(other) => {
                let message = format!("`{key}` means something only beside `{other}`");
                out.push(("needs-company", message, place(key), format!("add a line {}", line_of(fields, other))));
            }
            Rule::Beside(..) => {}
            Rule::OneSet { key, word, sets } if obj.word(key) == Some(word) => {
                out.extend(one_set(word, sets, fields, keys));
            }
            Rule::OneSet { .. } => {}
            Rule::ByWord { key, usual, cases } => {
                // A word at fault has been told; what hangs on it is not guessed at.
                let word = match (obj.word(key), has(key)) {
                    (Some(w), _) => w,
                    (None, false) => match usual {
                        Some(u) => u,
                        None => continue,
                    },
                    (None, true) => continue,
                };
                out.extend(by_word(word, cases, fields, keys));
            }
        }
    }
    out
}

fn one_of(of: &[&str], what: &str, place: &dyn Fn(&str) -> Option<Range<usize>>) -> Option<Broken> {
    let there: Vec<&str> = of.iter().copied().filter(|k| place(k).is_some()).collect();
    if there.len() == 1 {
        return None;
    }
    let all = of.join(", ");
    let found = if there.is_empty() { "none".to_string() } else { there.join(" and ") };
    let at = there.get(1).and_then(|k| place(k));
    let message = format!("{what} has one of {all}; this has {found}");
    let help = if there.is_empty() { format!("add one of: {all}") } else { "leave one out".to_string() };
    Some(("one-of-these", message, at, help))
}

fn one_set(word: &str, sets: &[&[&str]], fields: &[Field], keys: &[(&str, Range<usize>)]) -> Vec<Broken> {
    let place = |key: &str| keys.iter().find(|k| k.0 == key).map(|k| k.1.clone());
    let begun: Vec<&&[&str]> = sets.iter().filter(|set| set.iter().any(|k| place(k).is_some())).collect();
    let all = sets.iter().map(|set| set.join(" and ")).collect::<Vec<_>>().join(", or ");
    match begun[..] {
        [] => {
            let message = format!("\"{word}\" needs {all}; this has none of them");
            vec![("one-of-these", message, None, format!("add {all}"))]
        }
        [set] => {
            let there = set.iter().find(|k| place(k).is_some()).copied().unwrap_or_default();
            let missing = set.iter().filter(|k| place(k).is_none());
            let told = |need: &&str| {
                let message = format!("\"{word}\" needs `{need}` beside `{there}`");
                ("missing-key", message, place(there), format!("add a line {}", line_of(fields, need)))
            };
            missing.map(told).collect()
        }
        [_, second, ..] => {
            let there: Vec<&str> = sets.iter().flat_map(|s| s.iter()).filter(|k| place(k).is_some()).copied().collect();
            let message = format!("\"{word}\" has {all}; this has {}", there.join(" and "));
            let at = second.iter().find_map(|k| place(k));
            vec![("one-of-these", message, at, "leave one of them out".to_string())]
        }
    }
}

fn by_word(word: &str, cases: &[Case], fields: &[Field], keys: &[(&str, Range<usize>)]) -> Vec<Broken> {
    let mut out = vec![];
    let own = cases.iter().find(|c| is_for(c, word));
    for need in own.map_or(&[][..], |c| c.needs) {
        if keys.iter().all(|k| k.0 != *need) {
            let message = format!("\"{word}\" needs `{need}`");
            out.push(("missing-key", message, None, format!("add a line {}", line_of(fields, need))));
        }
    }
    for (key, at) in keys {
        let listed = |c: &Case| c.needs.contains(key) || c.may.contains(key);
        if own.is_some_and(|c| !listed(c)) && cases.iter().any(listed) {
            let at_home: Vec<&str> = cases.iter().filter(|c| listed(c)).flat_map(|c| c.word.split('|')).collect();
            let message = format!("`{key}` has no meaning for \"{word}\"");
            let help = format!("leave it out; it is for: {}", at_home.join(", "));
            out.push(("misplaced-key", message, Some(at.clone()), help));
        }
    }
    out
}
