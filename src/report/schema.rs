//! JSON Schema (draft 2020-12) of the files, for editors that complete and
//! underline: made from the same field tables as everything else.

use crate::source::{Case, Field, FileForm, Need, Rule, Want};
use crate::template::Template;
use serde_json::{Map, Value, json};

/// The schema of a kind of file. A job's `with` knows the questions of these templates.
pub fn schema(form: &FileForm, templates: &[Template]) -> Value {
    let mut out = table(form.fields, form.rules);
    out["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    out["title"] = json!(format!("droprack {}", form.name));
    out["description"] = json!(form.says);
    if form.name == "job" {
        with_of_templates(&mut out, templates);
    }
    out
}

fn table(fields: &[Field], rules: &[Rule]) -> Value {
    let mut properties = Map::new();
    for f in fields {
        let mut one = value(f);
        let words = f.usual.map_or_else(|| f.words.to_string(), |u| format!("{}; usual: {u}", f.words));
        one["description"] = json!(words);
        properties.insert(f.key.to_string(), one);
    }
    let must: Vec<&str> = fields.iter().filter(|f| f.must).map(|f| f.key).collect();
    let mut out = json!({ "type": "object", "properties": properties, "additionalProperties": false });
    if !must.is_empty() {
        out["required"] = json!(must);
    }
    let all: Vec<Value> = rules.iter().flat_map(rule).collect();
    if !all.is_empty() {
        out["allOf"] = json!(all);
    }
    out
}

fn rule(rule: &Rule) -> Vec<Value> {
    match rule {
        Rule::One(keys) => {
            vec![json!({ "oneOf": keys.iter().map(|k| json!({ "required": [k] })).collect::<Vec<_>>() })]
        }
        Rule::OneOr(keys, or) => {
            let mut ways: Vec<Value> = keys.iter().map(|k| json!({ "required": [k] })).collect();
            let none = json!({ "anyOf": ways.clone() });
            ways.push(json!({ "required": [or], "not": none }));
            vec![json!({ "oneOf": ways })]
        }
        Rule::Beside(key, other) => vec![json!({ "dependentRequired": { *key: [other] } })],
        Rule::OneSet { key, word, sets } => {
            let when = json!({ "properties": { *key: { "const": word } }, "required": [key] });
            let none_of = |of: &[&str]| json!({ "not": { "anyOf": of.iter().map(|k| json!({ "required": [k] })).collect::<Vec<_>>() } });
            let only = |set: &&[&str]| {
                let others: Vec<&str> =
                    sets.iter().flat_map(|s| s.iter()).filter(|k| !set.contains(k)).copied().collect();
                json!({ "required": set, "allOf": [none_of(&others)] })
            };
            vec![json!({ "if": when, "then": { "oneOf": sets.iter().map(only).collect::<Vec<_>>() } })]
        }
        Rule::ByWord { key, usual, cases } => cases.iter().filter_map(|c| by_word(key, *usual, c)).collect(),
    }
}

fn by_word(key: &str, usual: Option<&str>, case: &Case) -> Option<Value> {
    if case.needs.is_empty() {
        return None;
    }
    let words: Vec<&str> = case.word.split('|').collect();
    let mut when = json!({ "properties": { key: { "enum": words } } });
    // Left out, the usual word counts.
    if usual.is_none_or(|u| !words.contains(&u)) {
        when["required"] = json!([key]);
    }
    Some(json!({ "if": when, "then": { "required": case.needs } }))
}

fn value(f: &Field) -> Value {
    let formula = json!({ "type": ["string", "number"] });
    match f.want {
        Want::Text => json!({ "type": "string" }),
        Want::Texts => json!({ "type": "array", "items": { "type": "string" } }),
        Want::OneOf(words) => json!({ "enum": words }),
        Want::Expr(Need::YesNo) => json!({ "type": "string" }),
        Want::Expr(_) => formula,
        Want::Exprs(_) => json!({ "type": "array", "items": formula }),
        Want::Pair(_) => json!({ "type": "array", "items": formula, "minItems": 2, "maxItems": 2 }),
        Want::Bool => json!({ "type": "boolean" }),
        Want::Number => json!({ "type": "number" }),
        Want::Table(t) => table(t, f.rules),
        Want::List(t) => json!({ "type": "array", "items": table(t, f.rules) }),
        Want::Named(t) => json!({ "type": "object", "additionalProperties": table(t, f.rules) }),
        Want::Values(_) => json!({ "type": "object" }),
    }
}

/// For each template its questions, chosen by the word under `template`.
fn with_of_templates(out: &mut Value, templates: &[Template]) {
    let part = &mut out["properties"]["part"]["items"];
    let names: Vec<&str> = templates.iter().map(|t| t.name.as_str()).collect();
    part["properties"]["template"]["examples"] = json!(names);
    let mut all = vec![];
    for t in templates {
        let mut asks = Map::new();
        for (name, _, ask) in t.obj.named("ask") {
            let mut one = if ask.word("kind") == Some("choice") {
                let choices: Vec<&str> = ask.texts("choices").iter().map(|c| c.value.as_str()).collect();
                // A measured value may stand for the word.
                json!({ "type": "string", "examples": choices })
            } else {
                json!({ "type": ["string", "number"] })
            };
            one["description"] = json!(ask.word("what").unwrap_or(""));
            asks.insert(name.clone(), one);
        }
        let with = json!({ "properties": asks, "additionalProperties": false });
        let copy = json!({ "items": { "properties": { "with": with } } });
        let then = json!({ "properties": { "with": with, "copy": copy } });
        let when = json!({ "properties": { "template": { "const": t.name } }, "required": ["template"] });
        all.push(json!({ "if": when, "then": then }));
    }
    part["allOf"] = json!(all);
}
