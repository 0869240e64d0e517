//! What is wrong with the templates that a template uses, before anybody answers
//! its questions.

use super::Template;
use super::answers::type_of_ask;
use super::uses::{is_its_word, no_choice, told};
use crate::diag::Diagnostic;
use crate::expr::{Kind, Scope, Type, parse_once};
use crate::handbook;
use crate::source::{Obj, Text, nearest};

/// Tell what is wrong with the uses of a template before anybody answers its questions.
pub(super) fn audit(template: &Template, scope: &Scope, out: &mut Vec<Diagnostic>) {
    let mut seen: Vec<&Text> = vec![];
    for (uses, inner) in template.obj.list("uses").iter().zip(&template.used) {
        if let Some(name) = uses.text("name") {
            out.extend(wrong_name(template, name, &seen));
            seen.push(name);
        }
        // One that is not there, or at fault itself, is told already.
        if let Some(inner) = inner.as_ref().filter(|t| !t.faulty) {
            audit_answers(template, uses, inner, scope, out);
        }
    }
}

/// A use is called by a plain name that nothing else has.
fn wrong_name(template: &Template, name: &Text, seen: &[&Text]) -> Option<Diagnostic> {
    let plain = |c: char| c.is_alphanumeric() || c == '_';
    let read = parse_once(&name.value);
    let is_name = read.is_ok_and(|n| matches!(&n.kind, Kind::Name(w) if *w == name.value));
    if !is_name || !name.value.chars().all(plain) {
        let message = format!("`{}` cannot be the name of values", name.value);
        let d = Diagnostic::error("bad-name", message, name.file, name.span.clone());
        return Some(d.help("use letters, digits and _, and begin with a letter: its values are called by it"));
    }
    let within = format!("{}.", name.value);
    let same = |n: &str| n == name.value || n.starts_with(&within);
    let asks = template.obj.named("ask").iter().filter(|a| same(&a.0)).map(|a| (a.1.clone(), "asked here"));
    let worked =
        template.obj.values("work_out").iter().filter(|w| same(&w.0)).map(|w| (w.1.clone(), "worked out here"));
    let others = seen.iter().filter(|t| t.value == name.value).map(|t| (t.span.clone(), "the first one"));
    let (at, says) = asks.chain(worked).chain(others).next()?;
    let message = format!("`{}` is the name of something else", name.value);
    let d = Diagnostic::error("same-name", message, name.file, name.span.clone());
    Some(d.help("give one of them another name").also(template.file, at, says))
}

fn audit_answers(template: &Template, uses: &Obj, inner: &Template, scope: &Scope, out: &mut Vec<Diagnostic>) {
    let asks = inner.obj.named("ask");
    for (name, at, text) in uses.values("with") {
        let Some(ask) = inner.ask(name) else {
            let message = format!("template `{}` does not ask for `{name}`", inner.name);
            let near = nearest(name, asks.iter().map(|a| a.0.as_str())).map(|n| format!("did you mean `{n}`?"));
            let all = format!("it asks for: {}", asks.iter().map(|a| a.0.as_str()).collect::<Vec<_>>().join(", "));
            out.push(Diagnostic::error("unknown-answer", message, text.file, at.clone()).help_if(near).help(all));
            continue;
        };
        audit_answer(template, ask, text, scope, out);
    }
    for (name, at, ask) in asks {
        let has_own = ask.has("usual") || ask.word("kind") == Some("load");
        if told(uses, name).is_some() || has_own {
            continue;
        }
        let called = uses.text("name").or(uses.text("template"));
        let (message, place) = (
            format!("`{}` does not answer `{name}`", called.map_or("", |t| &t.value)),
            called.map_or(uses.span.clone(), |t| t.span.clone()),
        );
        let line = format!("add the line: with.{name} = \"...\"   ({})", ask.word("what").unwrap_or(""));
        let d = Diagnostic::error("missing-answer", message, template.file, place).help(line);
        out.push(d.also(inner.file, at.clone(), "asked here"));
    }
}

/// The kind of one answer.
fn audit_answer(template: &Template, ask: &Obj, text: &Text, scope: &Scope, out: &mut Vec<Diagnostic>) {
    let known = |n: &str| scope.kinds.contains_key(n) || scope.failed.contains(n);
    if is_its_word(ask, &text.value, &known) {
        return;
    }
    if ask.word("kind") == Some("load") {
        let loads: Vec<&str> = template
            .obj
            .named("ask")
            .iter()
            .filter(|a| a.2.word("kind") == Some("load"))
            .map(|a| a.0.as_str())
            .collect();
        if !loads.contains(&text.value.as_str()) {
            let message = format!("`{}` is no load that this template asks for", text.value);
            let d = Diagnostic::error("unknown-load", message, text.file, text.span.clone());
            let all = if loads.is_empty() { "none are asked for".to_string() } else { loads.join(", ") };
            out.push(d.help(format!("name a question of kind load ({all}), or write \"none\"")));
        }
        return;
    }
    match type_of_ask(ask) {
        Type::Word(choices) if super::audit::is_one_word(&text.value) && !known(&text.value) => {
            out.push(if choices.is_empty() {
                handbook::unknown_material(text, &text.value)
            } else {
                no_choice(&text.value, &choices, text)
            });
        }
        kind => drop(scope.kind_of_text(text, Some(&kind), out)),
    }
}
