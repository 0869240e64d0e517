//! What can be said of a template before anybody answers its questions: every
//! formula's kind, in whatever branch it stands, and the rules between blocks.

use super::answers::{LOAD_PARTS, type_of_ask};
use super::{Template, uses, uses_audit, wording};
use crate::diag::Diagnostic;
use crate::expr::{Definition, Scope, Type, dim_of, solve_kinds, unused};
use crate::handbook::{self, shape_facts};
use crate::source::{Field, Need, Obj, Text, Want, nearest};
use std::collections::BTreeSet;
use std::ops::Range;

/// Tell every fault that shows without answers, and notes on unused names.
pub fn audit(template: &Template, out: &mut Vec<Diagnostic>) {
    let before = out.len();
    let scope = kinds(template, out);
    let mut audit = Audit { template, scope, out };
    audit.formulas();
    audit.asks();
    audit.sketch();
    audit.pieces();
    uses_audit::audit(template, &audit.scope, audit.out);
    if out.len() == before {
        out.extend(unused_names(template));
    }
}

struct Audit<'a> {
    template: &'a Template,
    scope: Scope,
    out: &'a mut Vec<Diagnostic>,
}

/// The kinds of a template's names: questions, what they bring, worked-out values.
pub(super) fn kinds(template: &Template, out: &mut Vec<Diagnostic>) -> Scope {
    let (obj, file) = (&template.obj, template.file);
    let mut scope = Scope::default();
    for (name, _, ask) in obj.named("ask") {
        scope.kinds.insert(name.clone(), type_of_ask(ask));
        if ask.word("kind") == Some("load") {
            for (part, dim) in LOAD_PARTS {
                scope.kinds.insert(format!("{name}.{part}"), Type::Quantity(*dim));
            }
        }
    }
    let mut later = vec![];
    for (name, span, text) in obj.values("work_out") {
        if let Some(ask) = obj.named("ask").iter().find(|a| a.0 == *name) {
            let message = format!("`{name}` is asked and worked out");
            let d = Diagnostic::error("same-name", message, file, span.clone());
            out.push(d.help("give one of them another name").also(file, ask.1.clone(), "asked here"));
            continue;
        }
        later.push(Definition { name: name.clone(), text: text.clone(), want: None });
    }
    uses::set_kinds(template, &mut scope);
    solve_kinds(&mut scope, &later, &uses::groups(template), out);
    scope
}

/// The kind that a field's formula must come out as.
fn want_of(field: &Field) -> Option<Type> {
    match field.want {
        Want::Expr(Need::YesNo) => Some(Type::YesNo),
        Want::Expr(Need::Word) => Some(Type::Word(vec![])),
        Want::Expr(n) | Want::Exprs(n) | Want::Pair(n) => dim_of(n).map(Type::Quantity),
        _ => None,
    }
}

fn is_formula(field: &Field) -> bool {
    matches!(field.want, Want::Expr(_) | Want::Exprs(_) | Want::Pair(_))
}

/// Texts in which `{ }` shows a value.
const WORDINGS: &[&str] = &["notes", "item", "otherwise", "say"];

impl Audit<'_> {
    fn say(&mut self, code: &'static str, message: String, at: Range<usize>, help: String) {
        self.out.push(Diagnostic::error(code, message, self.template.file, at).help(help));
    }

    /// Every formula outside of questions and worked-out values.
    fn formulas(&mut self) {
        let template = self.template;
        let mut found: Vec<(&'static Field, &Text)> = vec![];
        for (field, _, item) in template.obj.items.iter().filter(|i| i.0.key != "ask" && i.0.key != "work_out") {
            item.each_text(field, &mut |f, t| found.push((f, t)));
        }
        for (field, text) in found {
            if is_formula(field) {
                self.scope.kind_of_text(text, want_of(field).as_ref(), self.out);
            } else if WORDINGS.contains(&field.key) {
                wording::check(&self.scope, text, self.out);
            }
        }
        for c in self.template.obj.list("check") {
            self.same_kind(c);
        }
    }

    /// A check's value and limit are of one kind.
    fn same_kind(&mut self, check: &Obj) {
        let (Some(value), Some(limit)) = (check.text("value"), check.text("limit")) else { return };
        let mut silent = vec![];
        let kinds =
            (self.scope.kind_of_text(value, None, &mut silent), self.scope.kind_of_text(limit, None, &mut silent));
        if let (Some(a), Some(b)) = kinds
            && !a.fits(&b)
        {
            let message = format!("the value is {}, its limit {}", a.name(), b.name());
            let d = Diagnostic::error("wrong-dimension", message, limit.file, limit.span.clone());
            let d = d.help("both must be of one kind");
            self.out.push(d.also(value.file, value.span.clone(), format!("this is {}", a.name())));
        }
    }

    fn asks(&mut self) {
        for (name, _, ask) in self.template.obj.named("ask") {
            if ask.text("kind").is_none() {
                continue; // told by the reader
            }
            if ask.word("kind") == Some("load") {
                self.only_none(name, ask);
                continue;
            }
            let kind = type_of_ask(ask);
            let words = matches!(kind, Type::Word(_));
            for key in ["usual", "usual_inch", "example", "at_least", "at_most"] {
                let Some(text) = ask.text(key).filter(|_| !(words && key.starts_with("at_"))) else { continue };
                match &kind {
                    Type::Word(choices) if choices.is_empty() => {
                        if handbook::material::find(&text.value).is_none() {
                            self.out.push(handbook::unknown_material(text, &text.value));
                        }
                    }
                    Type::Word(choices) if choices.contains(&text.value) => {}
                    Type::Word(choices) if is_one_word(&text.value) => {
                        let near = nearest(&text.value, choices.iter().map(String::as_str));
                        let near = near.map(|n| format!("did you mean \"{n}\"? ")).unwrap_or_default();
                        let message = format!("`{name}` cannot be \"{}\"", text.value);
                        self.say(
                            "unknown-word",
                            message,
                            text.span.clone(),
                            format!("{near}choices are: {}", choices.join(", ")),
                        );
                    }
                    _ => drop(self.scope.kind_of_text(text, Some(&kind), self.out)),
                }
            }
            self.whole(name, ask);
            if let Some(tape) = ask.key_span("tape").filter(|_| ask.texts("tape").len() != 4) {
                self.say(
                    "wrong-kind",
                    "a tape runs from x, y to x, y: four values".to_string(),
                    tape,
                    "write [\"0 mm\", \"0 mm\", \"width\", \"0 mm\"]".to_string(),
                );
            }
        }
    }

    /// A load is the job's: a template's usual answer can only be none.
    fn only_none(&mut self, name: &str, ask: &Obj) {
        for key in ["usual", "usual_inch", "example"] {
            if let Some(text) = ask.text(key).filter(|t| t.value != "none") {
                let message = format!("`{name}` asks for a load of the job; a template knows none of them");
                self.say("unknown-word", message, text.span.clone(), "write \"none\", or leave it out".to_string());
            }
        }
    }

    /// What is written as plain numbers: a count is whole, the smallest is not the larger one.
    fn whole(&mut self, name: &str, ask: &Obj) {
        let mut silent = vec![];
        let empty = Scope::default();
        let mut number = |key: &str| match ask.text(key).and_then(|t| empty.value(t, &mut silent)) {
            Some(crate::expr::Value::Quantity(v, _)) => Some(v),
            _ => None,
        };
        let (usual, least, most) = (number("usual"), number("at_least"), number("at_most"));
        if let (Some(v), Some(text)) = (usual, ask.text("usual"))
            && ask.word("kind") == Some("count")
            && (v - libm::round(v)).abs() > 1e-9
        {
            let message = format!("`{name}` is a count; its usual answer is {v}");
            self.say("not-a-count", message, text.span.clone(), "give a whole number".to_string());
        }
        if let (Some(a), Some(b), Some(text)) = (least, most, ask.text("at_most"))
            && a > b
        {
            let message = format!("the largest answer for `{name}` is smaller than the smallest");
            self.say("outside-limits", message, text.span.clone(), "exchange at_least and at_most".to_string());
        }
    }

    /// Lines are pairs x, y; a circle is x, y and its diameter.
    fn sketch(&mut self) {
        for s in self.template.obj.list("sketch") {
            let (line, round) = (s.texts("line").len(), s.texts("round").len());
            if let Some(at) = s.key_span("line").filter(|_| line < 4 || line % 2 == 1) {
                let message = format!("a line of a sketch has pairs x, y, two at least; this has {line} values");
                self.say("wrong-kind", message, at, "write [\"0 mm\", \"0 mm\", \"width\", \"0 mm\"]".to_string());
            }
            if let Some(at) = s.key_span("round").filter(|_| round != 3) {
                let message = format!("a circle of a sketch has x, y and its diameter; this has {round} values");
                self.say("wrong-kind", message, at, "write [\"0 mm\", \"0 mm\", \"shaft\"]".to_string());
            }
        }
        for c in self.template.obj.list("cross_check") {
            if let Some(at) = c.key_span("tape").filter(|_| c.texts("tape").len() != 4) {
                let help = "write [\"0 mm\", \"0 mm\", \"width\", \"height\"]";
                self.say("wrong-kind", "a tape runs from x, y to x, y: four values".to_string(), at, help.to_string());
            }
        }
    }

    fn pieces(&mut self) {
        let obj = &self.template.obj;
        let several = obj.list("piece");
        if several.is_empty() {
            if ["strip", "plate", "section"].iter().any(|k| obj.has(k)) {
                self.piece(obj);
            }
            return;
        }
        for key in ["hole", "stock", "notes", "name"] {
            if let Some(at) = obj.key_span(key) {
                let message = format!("`{key}` stands outside of the [[piece]] blocks");
                self.say(
                    "misplaced-key",
                    message,
                    at,
                    format!("write [[piece.{key}]] or [piece.{key}] below its [[piece]]"),
                );
            }
        }
        let mut seen: Vec<&Text> = vec![];
        for p in several {
            self.piece(p);
            let Some(name) = p.text("name") else { continue };
            if let Some(first) = seen.iter().find(|t| t.value == name.value) {
                let message = format!("two pieces are called \"{}\"", name.value);
                let d = Diagnostic::error("same-name", message, name.file, name.span.clone());
                self.out.push(d.help("give each its own name").also(first.file, first.span.clone(), "the first one"));
            } else {
                seen.push(name);
            }
        }
    }

    fn piece(&mut self, piece: &Obj) {
        let stock = piece.obj("stock");
        let facts = stock.and_then(|s| s.word("shape")).and_then(shape_facts);
        if let (Some(stock), Some(facts)) = (stock, facts) {
            let n = stock.texts("size").len();
            if stock.get("size").is_some() && n != facts.sizes.len() {
                let message =
                    format!("{} has {} sizes: {}; this has {n}", facts.name, facts.sizes.len(), facts.sizes.join(", "));
                let at = stock.key_span("size").unwrap_or(0..0);
                self.say("impossible-section", message, at, "give them in this order".to_string());
            }
            self.material(stock);
            self.shape_of_form(piece, facts);
        }
        let flats: Vec<&str> = piece
            .obj("strip")
            .map_or(&[][..], |s| s.list("steps"))
            .iter()
            .filter(|s| s.text("flat").is_some())
            .map(|s| s.word("name").unwrap_or("flat"))
            .collect();
        let corners = piece.obj("plate").map_or(&[][..], |p| p.list("corners"));
        for c in corners.iter().chain(piece.obj("plate")) {
            for (radius, clip) in [("radius", "clip"), ("corner_radius", "corner_clip")] {
                // Nothing of one of them is a way to leave it out.
                if let (Some(r), Some(k)) = (c.text(radius), c.text(clip))
                    && r.value != "0 mm"
                    && k.value != "0 mm"
                    && !r.value.contains("if ")
                    && !k.value.contains("if ")
                {
                    let message = format!("a corner is rounded or clipped; this has `{radius}` and `{clip}`");
                    self.say("one-of-these", message, k.span.clone(), "leave one out".to_string());
                }
            }
        }
        for hole in piece.list("hole") {
            if piece.obj("plate").is_some() {
                self.hole_in_plate(hole);
            } else if piece.obj("strip").is_some() {
                self.hole_on(hole, &flats, "unknown-flat", "flat");
            } else if let Some(facts) = facts.filter(|_| piece.obj("section").is_some()) {
                self.hole_on(hole, facts.faces, "unknown-face", "face");
            }
        }
        if let (Some(section), Some(facts)) = (piece.obj("section"), facts) {
            self.word_of(section.text("mitre_across"), facts.faces, "unknown-face", "face");
        }
    }

    /// A strip is flat bar or sheet, a plate is plate, a section is neither plate nor bent.
    fn shape_of_form(&mut self, piece: &Obj, facts: &handbook::ShapeFacts) {
        if ["strip", "plate", "section"].iter().filter(|f| piece.has(f)).count() > 1 {
            return; // told by the reader
        }
        let strip = matches!(facts.name, "flat bar" | "plate");
        for (form, fits) in [("strip", strip), ("plate", facts.name == "plate"), ("section", facts.name != "plate")] {
            if let Some(at) = piece.key_span(form).filter(|_| !fits) {
                let needs = match form {
                    "strip" => "flat bar or plate",
                    "plate" => "plate",
                    _ => "bar, tube, angle or channel",
                };
                self.say(
                    "stock-differs",
                    format!("a {form} is cut from {needs}; its stock is {}", facts.name),
                    at,
                    format!(
                        "change the shape in its [stock], or make it another form: {}",
                        if facts.name == "plate" { "[plate]" } else { "[section]" }
                    ),
                );
            }
        }
    }

    fn material(&mut self, stock: &Obj) {
        let Some(text) = stock.text("material") else { return };
        match self.scope.kinds.get(&text.value) {
            Some(Type::Word(_)) => {}
            Some(other) => {
                let message = format!("`{}` is {}; a material is needed", text.value, other.name());
                self.say(
                    "wrong-kind",
                    message,
                    text.span.clone(),
                    "name a question of kind = \"material\"".to_string(),
                );
            }
            None if self.scope.failed.contains(&text.value) || handbook::material::find(&text.value).is_some() => {}
            None => self.out.push(handbook::unknown_material(text, &text.value)),
        }
    }

    fn hole_in_plate(&mut self, hole: &Obj) {
        if !hole.has("at") {
            let help = "add a line at = [\"...\", \"...\"] (along and up from the lower left corner)";
            self.say("missing-key", "a hole in a plate needs `at`".to_string(), hole.span.clone(), help.to_string());
        }
        for key in ["on", "along", "across"] {
            if let Some(at) = hole.key_span(key) {
                let help = "leave it out; a plate's hole is placed by at = [\"along\", \"up\"]";
                self.say(
                    "misplaced-key",
                    format!("`{key}` has no meaning for a hole in a plate"),
                    at,
                    help.to_string(),
                );
            }
        }
    }

    fn hole_on(&mut self, hole: &Obj, places: &[&str], code: &'static str, what: &str) {
        if let Some(at) = hole.key_span("at") {
            let help = "leave it out; this hole is placed by on, along and across";
            self.say("misplaced-key", "`at` is for holes in plates".to_string(), at, help.to_string());
        } else if !hole.has("along") && !hole.has("across") {
            let help = "add lines along = \"...\" and across = \"...\"";
            self.say(
                "missing-key",
                format!("a hole on a {what} needs `along` and `across`"),
                hole.span.clone(),
                help.to_string(),
            );
        }
        if what == "flat" && !hole.has("on") {
            let help = format!("add a line on = \"...\"; flats are: {}", places.join(", "));
            self.say("missing-key", "a hole in a strip needs `on`".to_string(), hole.span.clone(), help);
        }
        self.word_of(hole.text("on"), places, code, what);
    }

    fn word_of(&mut self, text: Option<&Text>, places: &[&str], code: &'static str, what: &str) {
        let Some(text) = text.filter(|t| !places.contains(&t.value.as_str())) else { return };
        let near = nearest(&text.value, places.iter().copied()).map(|n| format!("did you mean \"{n}\"? "));
        let help = format!("{}{what}s are: {}", near.unwrap_or_default(), places.join(", "));
        self.say(code, format!("this piece has no {what} \"{}\"", text.value), text.span.clone(), help);
    }
}

pub(super) fn is_one_word(text: &str) -> bool {
    text.chars().all(|c| c.is_alphanumeric() || c == ' ' || c == '_') && !text.starts_with("if ")
}

/// Notes on questions and worked-out values that nothing uses.
fn unused_names(template: &Template) -> Vec<Diagnostic> {
    let obj = &template.obj;
    let mut texts: Vec<&Text> = vec![];
    obj.each_text(&mut |_, t| texts.push(t));
    let asked: BTreeSet<&str> = obj.named("ask").iter().map(|a| a.0.as_str()).collect();
    let names = obj.named("ask").iter().map(|a| (a.0.as_str(), a.1.clone()));
    let worked = obj.values("work_out").iter().map(|w| (w.0.as_str(), w.1.clone()));
    let worked = worked.filter(|w| !asked.contains(w.0));
    let mut notes = unused(template.file, names, texts.iter().copied(), "is asked");
    notes.extend(unused(template.file, worked, texts.iter().copied(), "is worked out"));
    notes
}
