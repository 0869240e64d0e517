//! Measuring sheets of templates, before there is a job.

use super::check_template::example_answers;
use crate::diag::{Diagnostic, FileId};
use crate::drawing::{MeasuringSheet, Reading, SketchLine};
use crate::expr::Scope;
use crate::geom::Point;
use crate::source::{Obj, Text};
use crate::template::{Answers, Template, answer, worded};
use crate::units::{Dim, System};

/// The sheet of one template, its sketch drawn with its usual and example answers.
pub fn measuring_sheet(template: &Template, system: System) -> MeasuringSheet {
    let mut silent: Vec<Diagnostic> = vec![];
    let given = example_answers(template)
        .into_iter()
        .map(|(name, value)| (name, 0..0, Text::made(&value, FileId(0))))
        .collect();
    let answers =
        Answers { part: &template.name, place: (FileId(0), 0..0), given, sizes: system, units: system, loads: &[] };
    let scope = answer(template, &answers, &Scope::default(), &mut silent).scope;
    let mut sheet =
        MeasuringSheet { part: template.name.clone(), says: template.says.clone(), ..MeasuringSheet::default() };
    let so =
        |obj: &Obj, silent: &mut Vec<Diagnostic>| obj.text("when").is_none_or(|t| scope.yes(t, silent) == Some(true));
    for s in template.obj.list("sketch") {
        if so(s, &mut silent) {
            sheet.sketch.extend(sketch_line(s, &scope, &mut silent));
        }
    }
    for (name, _, ask) in template.obj.named("ask") {
        let one = reading(name, ask, &scope, system, &mut silent);
        if one.tape.is_some() || ask.text("usual").is_none() {
            sheet.readings.push(one);
        } else {
            sheet.choices.push(one);
        }
    }
    for c in template.obj.list("cross_check") {
        if so(c, &mut silent)
            && let Some(must) = c.text("must_be")
        {
            sheet.cross.push(Reading {
                name: "cross-check".to_string(),
                what: c.word("what").unwrap_or("").to_string(),
                hook: format!("must be: {}", must.value),
                facts: String::new(),
                tape: tape(c, &scope, &mut silent),
            });
        }
    }
    for c in template.obj.list("caution") {
        if let Some(say) = c.text("say").filter(|_| so(c, &mut silent)) {
            sheet.cautions.push(worded(&scope, say, system, &mut silent));
        }
    }
    sheet
}

fn lengths(texts: &[Text], scope: &Scope, silent: &mut Vec<Diagnostic>) -> Vec<f64> {
    texts.iter().filter_map(|t| scope.quantity(t, Dim::LENGTH, silent)).collect()
}

fn sketch_line(s: &Obj, scope: &Scope, silent: &mut Vec<Diagnostic>) -> Option<SketchLine> {
    let label = s.word("label").unwrap_or("").to_string();
    let faint = s.flag("faint").unwrap_or(false);
    let line = lengths(s.texts("line"), scope, silent);
    if line.len() >= 4 {
        let through = line.chunks_exact(2).map(|c| Point::new(c[0], c[1])).collect();
        return Some(SketchLine { through, diameter: 0.0, label, faint });
    }
    match lengths(s.texts("round"), scope, silent)[..] {
        [x, y, diameter] if diameter > 0.0 => {
            Some(SketchLine { through: vec![Point::new(x, y)], diameter, label, faint })
        }
        _ => None,
    }
}

fn tape(obj: &Obj, scope: &Scope, silent: &mut Vec<Diagnostic>) -> Option<(Point, Point)> {
    match lengths(obj.texts("tape"), scope, silent)[..] {
        [a, b, c, d] => Some((Point::new(a, b), Point::new(c, d))),
        _ => None,
    }
}

fn reading(name: &str, ask: &Obj, scope: &Scope, system: System, silent: &mut Vec<Diagnostic>) -> Reading {
    let usual = ask.text("usual_inch").filter(|_| system == System::Inch).or_else(|| ask.text("usual"));
    let mut facts = vec![];
    if ask.word("kind") == Some("choice") {
        let choices: Vec<&str> = ask.texts("choices").iter().map(|t| t.value.as_str()).collect();
        facts.push(choices.join(" | "));
    }
    // A formula over other answers says nothing to a person with a pencil.
    let plain = |t: &Text| {
        let mut names = std::collections::BTreeSet::new();
        crate::expr::names_in(&t.value, &mut names);
        names.is_empty() || ask.word("kind") == Some("choice") || ask.word("kind") == Some("material")
    };
    facts.extend(usual.map(|u| if plain(u) { format!("usual {}", u.value) } else { "else worked out".to_string() }));
    for (key, word) in [("at_least", "at least"), ("at_most", "at most")] {
        facts.extend(ask.text(key).filter(|t| plain(t)).map(|v| format!("{word} {}", v.value)));
    }
    let facts = if facts.is_empty() { String::new() } else { format!("({})", facts.join("; ")) };
    Reading {
        name: name.to_string(),
        what: ask.word("what").unwrap_or("").to_string(),
        hook: ask.word("hook").map(|h| format!("tape: {h}")).unwrap_or_default(),
        facts,
        tape: tape(ask, scope, silent),
    }
}
