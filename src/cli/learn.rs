//! Commands to learn from: the templates, the manual, schemas for editors.

use super::tell::{run_json, width};
use super::{DONE, FAILED, FileKind, aside, note, say};
use crate::diag::find_code;
use crate::job::JOB;
use crate::report::{explain, parts_text, schema, sources_json, sources_text, template_text, topics, topics_text};
use crate::run::{templates, templates_near};
use crate::source::{Disk, nearest};
use crate::stock::BIN;
use crate::template::TEMPLATE;
use serde_json::{Value, json};
use std::path::Path;

pub(super) fn parts(name: Option<&str>, as_json: bool) -> u8 {
    let all = templates_near(&Disk, Path::new("."), &crate::source::toml_files(Path::new(".")));
    let Some(name) = name else {
        if as_json {
            let list: Vec<Value> = all.iter().map(|t| json!({ "template": t.name, "says": t.says })).collect();
            run_json(&json!({ "templates": list }));
        } else {
            say(&parts_text(&all));
            aside("\ndroprack parts NAME lists the questions of one.\n");
        }
        return DONE;
    };
    let Some(template) = all.iter().rev().find(|t| t.name == name) else {
        let near = nearest(name, all.iter().map(|t| t.name.as_str()))
            .map(|n| format!("; did you mean {n}?"))
            .unwrap_or_default();
        note(&format!("there is no template {name}{near}\n"));
        return FAILED;
    };
    if as_json {
        let asks: Vec<Value> = template
            .obj
            .named("ask")
            .iter()
            .map(|(n, _, ask)| {
                let choices: Vec<&str> = ask.texts("choices").iter().map(|t| t.value.as_str()).collect();
                json!({ "name": n, "what": ask.word("what"), "kind": ask.word("kind"), "choices": choices,
                        "usual": ask.word("usual"), "at_least": ask.word("at_least"), "at_most": ask.word("at_most") })
            })
            .collect();
        let uses: Vec<Value> =
            template.uses().iter().map(|(name, of)| json!({ "name": name, "template": of })).collect();
        run_json(&json!({ "template": template.name, "says": template.says, "asks": asks, "uses": uses }));
    } else {
        say(&template_text(template));
    }
    DONE
}

/// Name, version and licence of every package in the program; `tests/licences.rs` keeps it true.
const PACKAGES: &str = include_str!("licences.txt");

pub(super) fn licences() -> u8 {
    let rows: Vec<Vec<&str>> = PACKAGES.lines().map(|line| line.splitn(3, ' ').collect()).collect();
    let wide = |column: usize| rows.iter().filter_map(|r| r.get(column)).map(|w| w.len()).max().unwrap_or(0);
    let (name, version) = (wide(0), wide(1));
    let mut text = format!(
        "droprack {} is free under MIT or Apache-2.0, as you choose.\n\n\
         The lettering of its papers is DejaVu: changes to the Bitstream Vera fonts, Copyright 2003 by Bitstream, Inc.,\n\
         with glyphs of Arev, Copyright 2006 by Tavmjong Bah; free to use, embed and copy, not to be sold by themselves.\n\n\
         These packages are built in (as on Linux); their texts come with their sources.\n\n",
        env!("CARGO_PKG_VERSION")
    );
    for row in &rows {
        if let [package, number, licence] = row[..] {
            text += &format!("{package:name$}  {number:version$}  {licence}\n");
        }
    }
    say(&text);
    DONE
}

pub(super) fn manual(topic: Option<&str>, as_json: bool) -> u8 {
    let Some(topic) = topic else {
        if as_json {
            run_json(&json!({ "topics": topics() }));
        } else {
            say(&topics_text(width()));
        }
        return DONE;
    };
    let Some(text) = explain(topic, width()) else {
        let all = topics();
        let near = nearest(topic, all.iter().copied()).map(|n| format!("; did you mean {n}?")).unwrap_or_default();
        note(&format!("there is no page on {topic}{near}\ndroprack explain lists all pages\n"));
        return FAILED;
    };
    if as_json {
        let mut page = json!({ "topic": topic, "text": text });
        if let Some(c) = find_code(topic) {
            page["means"] = json!(c.means);
            page["mend"] = json!(c.mend);
            page["example"] = json!([c.example.0, c.example.1]);
        }
        run_json(&page);
    } else {
        say(&text);
    }
    DONE
}

pub(super) fn all_sources(as_json: bool) -> u8 {
    if as_json {
        run_json(&sources_json());
    } else {
        say(&sources_text(width()));
    }
    DONE
}

pub(super) fn schema_of(kind: FileKind) -> u8 {
    let form = match kind {
        FileKind::Job => &JOB,
        FileKind::Template => &TEMPLATE,
        FileKind::Bin => &BIN,
    };
    let known = match kind {
        FileKind::Job => templates_near(&Disk, Path::new("."), &crate::source::toml_files(Path::new("."))),
        _ => templates(),
    };
    run_json(&schema(form, &known));
    DONE
}
