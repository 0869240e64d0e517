//! One text through one of the readers, and whatever it says drawn: shared by
//! the fuzz targets and `tests/random_texts.rs`. Nothing here may panic.

#![allow(dead_code)] // each target uses one of these

use droprack::diag::{Diagnostic, FileId, Shown, draw};
use droprack::expr::{self, Fault, Type, Value};
use droprack::job::read_job;
use droprack::run::{Loaded, example_answers, work_out};
use droprack::source::{SourceMap, Text};
use droprack::stock::{Bin, offcut_of, read_bin, read_line, show_line};
use droprack::template::read_template;
use droprack::units::{self, Dim, System, TextFault};

/// The only file of a run.
const FILE: FileId = FileId(0);

/// Draw what was told of a text that is no file of its own.
fn draw_on(text: &str, diagnostics: &[Diagnostic]) {
    draw(diagnostics, &[Shown { name: "text".to_string(), text: text.to_string() }], false, 100);
}

fn of_fault(f: Fault) -> Diagnostic {
    let mut d = Diagnostic::error("formula", f.message, FILE, f.span).help_if(f.help);
    for (span, says) in f.marks {
        d = d.also(FILE, span, says);
    }
    d
}

fn of_text_fault(f: TextFault) -> Diagnostic {
    Diagnostic::error("bad-size", f.message, FILE, f.span).help_if(f.help)
}

/// A few names of each kind, as a template's scope holds them.
fn value(name: &str) -> Option<Value> {
    Some(match name {
        "gap" => Value::length(596.9),
        "slope" => Value::Quantity(4.0, Dim::ANGLE),
        "tank.mass" => Value::Quantity(0.042, Dim::MASS),
        "n" => Value::number(3.0),
        "zero" => Value::number(0.0),
        "section" => Value::Word("round".to_string()),
        "thick" => Value::YesNo(true),
        _ => return None,
    })
}

fn kind(name: &str) -> Option<Type> {
    if name == "section" {
        return Some(Type::Word(vec!["round".to_string(), "two bolt flange".to_string()]));
    }
    value(name).map(|v| v.kind())
}

/// A formula: parsed, checked and worked out.
pub fn formula(text: &str) {
    let node = match expr::parse(text) {
        Ok(node) => node,
        Err(f) => return draw_on(text, &[of_fault(f)]),
    };
    node.names();
    let checked = expr::check(&node, &kind);
    let worked = expr::evaluate(&node, &value);
    if let (Ok(k), Ok(v)) = (&checked, &worked) {
        assert!(k.fits(&v.kind()), "checked as {k:?}, came out as {v:?}");
    }
    for fault in [checked.err(), worked.err()].into_iter().flatten() {
        draw_on(text, &[of_fault(fault)]);
    }
}

/// A length in both systems and without one, and the other quantities.
pub fn length(text: &str) {
    let mut faults = vec![];
    for bare in [None, Some(System::Metric), Some(System::Inch)] {
        match units::parse_length(text, bare) {
            Ok(l) => {
                assert!(l.is_finite());
                for system in [System::Metric, System::Inch] {
                    units::show_length_with_rounding(l, system);
                }
            }
            Err(f) => {
                // The same words at the same place need no second drawing.
                if faults.last() != Some(&f) {
                    faults.push(f);
                }
            }
        }
    }
    for dim in [Dim::PLAIN, Dim::ANGLE, Dim::FORCE, Dim::MASS, Dim::STRESS, Dim::MOMENT, Dim::VOLUME] {
        match units::parse_quantity(text, dim, None) {
            Ok(v) => {
                for system in [System::Metric, System::Inch] {
                    units::show_quantity(v, dim, system);
                }
            }
            Err(f) if dim == Dim::ANGLE => faults.push(f),
            Err(_) => {}
        }
    }
    draw_on(text, &faults.into_iter().map(of_text_fault).collect::<Vec<_>>());
}

/// A section size.
pub fn size(text: &str) {
    match units::parse_size(text) {
        Ok(s) => {
            assert!(!s.is_empty() && units::same_size(&s, &s));
            units::show_size(&s);
        }
        Err(f) => draw_on(text, &[of_text_fault(f)]),
    }
}

/// A job file.
pub fn job(text: &str) {
    let mut sources = SourceMap::default();
    let file = sources.add("job.toml", text);
    let mut out = vec![];
    read_job(file, sources.text(file), &mut out);
    draw(&out, sources.shown(), false, 100);
}

/// A bin file.
pub fn bin(text: &str) {
    let mut sources = SourceMap::default();
    let file = sources.add("bin.toml", text);
    let mut out = vec![];
    read_bin(file, sources.text(file), &mut out);
    draw(&out, sources.shown(), false, 100);
}

/// A line for the bin; what is understood must read as the same again.
pub fn line(text: &str) {
    let mut sources = SourceMap::default();
    let file = sources.add("the line", text);
    let mut out = vec![];
    let whole = sources.text(file).to_string();
    let read = |text: &str, out: &mut Vec<Diagnostic>| {
        let line = read_line(&Text::whole(text, file), out)?;
        let entry = offcut_of(&line.obj, file, out)?;
        Some((line, entry))
    };
    let first = read(&whole, &mut out);
    draw(&out, sources.shown(), false, 100);
    if let Some((line, entry)) = first {
        let shown = show_line(&line.obj);
        let again = read(&shown, &mut vec![]).unwrap_or_else(|| panic!("{text:?} became {shown:?}"));
        assert_eq!(again.1, entry, "{text:?} became {shown:?}");
    }
}

/// A template file; then a part made from it with its usual values, and with
/// ordinary answers where it has none.
pub fn template(text: &str) {
    let mut sources = SourceMap::default();
    let file = sources.add("template.toml", text);
    let mut errors = vec![];
    let mut template = read_template(file, sources.text(file), &mut |_, _| None, &mut errors);
    // The pipeline too goes no further with a file that is not even TOML.
    if errors.iter().any(|d| d.code == "toml-syntax") {
        draw(&errors, sources.shown(), false, 100);
        return;
    }
    // The job names it so, whatever it calls itself.
    template.name = "any".to_string();
    let units = if text.len().is_multiple_of(2) { "mm" } else { "inch" };
    let wanted = format!("job = \"x\"\nunits = \"{units}\"\n[[part]]\nname = \"P\"\ntemplate = \"any\"\n");
    let job_file = sources.add("job.toml", &wanted);
    let mut job = read_job(job_file, sources.text(job_file), &mut errors);
    for part in &mut job.parts {
        let answers = example_answers(&template).into_iter();
        part.given = answers.map(|(name, value)| (name, 0..0, Text::made(&value, job_file))).collect();
    }
    let loaded = Loaded {
        sources,
        job,
        templates: vec![template],
        bin: Bin::default(),
        bin_hash: String::new(),
        input_hash: String::new(),
        notes: vec![],
        errors,
    };
    match work_out(&loaded) {
        Ok(worked) => draw(&worked.notes, loaded.sources.shown(), false, 100),
        Err(trouble) => draw(&trouble.diagnostics, &trouble.shown, false, 100),
    };
}
