//! The handbook's own account of its sources, held against its source text: no
//! citation and no formula may be missing from what the files tell of
//! themselves, and what rests on memory may only get less.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use droprack::handbook::sources::{Kind, cited, sources};

/// Citations in the text that rest on memory; lower it when one is looked up.
const MEMORY_CITATIONS_AT_MOST: usize = 19;
/// Rows and formulas that rest on memory only; lower it likewise.
const MEMORY_ROWS_AT_MOST: usize = 58;
const MEMORY_FORMULAS_AT_MOST: usize = 4;
/// Rows and formulas that the handbook has at least.
const ROWS_AT_LEAST: usize = 380;
const FORMULAS_AT_LEAST: usize = 103;

/// Files of the handbook with their names, without the tests at their ends.
fn files() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/handbook");
    let mut out: Vec<(String, String)> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .map(|p| {
            let name = p.file_stem().unwrap().to_string_lossy().into_owned();
            let text = fs::read_to_string(&p).unwrap();
            (name, text.split("#[cfg(test)]\nmod tests").next().unwrap().to_string())
        })
        .filter(|(name, _)| name != "source")
        .collect();
    out.sort();
    out
}

/// One `Citation::kind("work", "place")` as it stands in the text.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord, Clone)]
struct Written {
    kind: String,
    work: String,
    place: String,
}

/// The string that begins a text after blanks and commas; no escapes stand in them.
fn string(text: &str) -> Option<(String, &str)> {
    let rest = text.trim_start_matches([' ', '\n', ',', '\t']).strip_prefix('"')?;
    let (inside, after) = rest.split_once('"')?;
    Some((inside.to_string(), after))
}

fn written(text: &str) -> Vec<Written> {
    let mut out = vec![];
    for (i, _) in text.match_indices("Citation::") {
        let rest = &text[i + "Citation::".len()..];
        let Some((kind, args)) = rest.split_once('(') else { continue };
        if !["read", "quoted", "memory", "practice", "geometry"].contains(&kind) {
            continue;
        }
        let (work, after) = string(args).unwrap_or_else(|| panic!("{kind}: not a string: {}", &args[..40]));
        let place = string(after).map_or(String::new(), |(p, _)| p);
        let two = matches!(kind, "read" | "quoted" | "memory");
        out.push(Written { kind: kind.to_string(), work, place: if two { place } else { String::new() } });
    }
    out
}

/// A K from the user's own test bend is measured in his workshop, not published.
const NOT_PUBLISHED: &[&str] = &["K from a test bend"];

#[test]
fn every_citation_of_the_text_is_told_and_none_besides() {
    let told: BTreeSet<(String, String)> =
        cited().iter().map(|c| (c.source.work.to_string(), c.source.place.to_string())).collect();
    let mut in_text = BTreeSet::new();
    for (file, text) in files() {
        for w in written(&text) {
            if NOT_PUBLISHED.contains(&w.work.as_str()) {
                continue;
            }
            let both = (w.work.clone(), w.place.clone());
            assert!(told.contains(&both), "{file}.rs: {w:?} is not told by its `cited`");
            in_text.insert(both);
        }
    }
    let odd: Vec<_> = told.difference(&in_text).collect();
    assert!(odd.is_empty(), "told, but in no file: {odd:?}");
    assert!(in_text.len() > 70, "the reader of citations is blind: {}", in_text.len());
}

/// A function as it stands in the text: its documentation and its head.
struct Function {
    file: String,
    name: String,
    docs: String,
    gives: String,
}

fn functions() -> Vec<Function> {
    let mut out = vec![];
    for (file, text) in files() {
        let lines: Vec<&str> = text.lines().collect();
        for (i, line) in lines.iter().enumerate() {
            let plain = line.trim_start();
            let Some(head) = plain.strip_prefix("pub fn ").or_else(|| plain.strip_prefix("pub const fn ")) else {
                continue;
            };
            let name = head.split(['(', '<']).next().unwrap().to_string();
            let mut docs: Vec<&str> =
                lines[..i].iter().rev().take_while(|l| l.trim_start().starts_with("///")).copied().collect();
            docs.reverse();
            let whole: String = lines[i..].iter().copied().take(12).collect::<Vec<_>>().join(" ");
            let gives = whole.split('{').next().unwrap().split("->").nth(1).unwrap_or("").trim().to_string();
            out.push(Function { file: file.clone(), name, docs: docs.join("\n"), gives });
        }
    }
    out
}

/// Functions that give a number without working it out: conversions, and rows of tables.
const LOOKUPS: &[(&str, &str)] = &[
    ("bend", "k_for"),
    ("bend_radius", "minimum"),
    ("bend_radius", "din_minimum_s235"),
    ("drilling", "most"),
    ("drilling", "to_feet_per_minute"),
    ("drilling", "to_metres_per_minute"),
    ("drilling", "to_rpm"),
    ("fasteners", "nut_height"),
    ("fasteners", "sold_length"),
    ("fasteners", "washer_thickness"),
    ("gauges", "sheet_steel"),
    ("holes", "aisc_edge"),
    ("holes", "clearance"),
    ("section", "envelope"),
    ("trade", "size_of"),
    ("welds", "aws_least_leg"),
];

/// Whether a type is a number of the handbook, alone, optional or with its source.
fn is_number(gives: &str) -> bool {
    let words: Vec<&str> = gives.split(|c: char| !(c.is_alphanumeric() || c == '_')).collect();
    let numbers =
        ["f64", "Length", "Force", "Moment", "Stress", "Mass", "Angle", "SpindleSpeed", "SurfaceSpeed", "Properties"];
    words.iter().any(|w| numbers.contains(w))
}

#[test]
fn every_formula_has_its_three_headings_and_is_told() {
    let told: BTreeSet<String> = cited().into_iter().filter(|c| c.kind == Kind::Formula).map(|c| c.what).collect();
    let mut found = BTreeSet::new();
    let mut faults = vec![];
    for f in functions() {
        let name = format!("{}::{}", f.file, f.name);
        let has = |head: &str| f.docs.contains(&format!("/// # {head}"));
        let lookup = LOOKUPS.contains(&(f.file.as_str(), f.name.as_str()));
        if lookup {
            assert!(is_number(&f.gives) && !has("Formula"), "{name} is in the list of lookups without need");
            continue;
        }
        if !(is_number(&f.gives) || has("Formula")) {
            continue;
        }
        for head in ["Formula", "Source", "Holds for"] {
            if !has(head) {
                faults.push(format!("{name} has no `# {head}`"));
            }
        }
        if !told.contains(&name) {
            faults.push(format!("{name} is not told by its `cited`"));
        }
        found.insert(name);
    }
    let odd: Vec<_> = told.difference(&found).collect();
    assert!(odd.is_empty(), "told, but no formula of the text: {odd:?}");
    assert!(faults.is_empty(), "{} of {}:\n{}", faults.len(), found.len(), faults.join("\n"));
}

#[test]
fn a_formula_whose_text_says_memory_is_told_as_memory() {
    let told = cited();
    for f in functions() {
        let name = format!("{}::{}", f.file, f.name);
        let source = f.docs.split("/// # Source").nth(1).unwrap_or("").split("/// # ").next().unwrap_or("");
        for c in told.iter().filter(|c| c.kind == Kind::Formula && c.what == name) {
            // A part of a formula may rest on memory while its main source was read.
            let all = source.trim().ends_with("(from memory, unconfirmed).");
            assert!(!all || !c.source.confirmed, "{name}: its text says memory, its citation {}", c.source);
        }
    }
}

#[test]
fn what_rests_on_memory_only_gets_less() {
    let in_text = files().iter().flat_map(|(_, text)| written(text)).filter(|w| w.kind == "memory").count();
    let all = cited();
    let count = |kind: Kind, memory: bool| {
        all.iter().filter(|c| c.kind == kind && (!memory || !(c.source.confirmed || c.source.is_practice()))).count()
    };
    let (rows, formulas) = (count(Kind::Row, false), count(Kind::Formula, false));
    let (memory_rows, memory_formulas) = (count(Kind::Row, true), count(Kind::Formula, true));
    println!("{rows} rows, {formulas} formulas; from memory {memory_rows} and {memory_formulas}, {in_text} citations");
    assert!(in_text <= MEMORY_CITATIONS_AT_MOST, "{in_text} citations rest on memory");
    assert!(memory_rows <= MEMORY_ROWS_AT_MOST, "{memory_rows} rows rest on memory");
    assert!(memory_formulas <= MEMORY_FORMULAS_AT_MOST, "{memory_formulas} formulas rest on memory");
    assert!(rows >= ROWS_AT_LEAST && formulas >= FORMULAS_AT_LEAST, "{rows} rows, {formulas} formulas");
}

#[test]
fn sources_add_up_to_what_is_cited() {
    let all = sources();
    let (rows, formulas) = all.iter().fold((0, 0), |(r, f), s| (r + s.rows.len(), f + s.formulas.len()));
    let told = cited();
    assert_eq!(rows, told.iter().filter(|c| c.kind == Kind::Row).count());
    assert_eq!(formulas, told.iter().filter(|c| c.kind == Kind::Formula).count());
    assert!(all.windows(2).all(|w| w[0].source.work <= w[1].source.work));
}

#[test]
fn the_reader_of_citations_sees_one_over_several_lines_and_one_without_a_place() {
    let text = "const A: Citation = Citation::quoted(\n    \"Work\",\n    \"p. 1\",\n);\nCitation::practice(\"habit\")";
    let w = |kind: &str, work: &str, place: &str| Written { kind: kind.into(), work: work.into(), place: place.into() };
    assert_eq!(written(text), [w("quoted", "Work", "p. 1"), w("practice", "habit", "")]);
}

fn explained(more: &[&str]) -> String {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_droprack"));
    let out = command.args(["explain", "--sources"]).args(more).output().unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).unwrap()
}

#[test]
fn explain_prints_every_source_with_its_counts_and_what_rests_on_memory() {
    let (text, all) = (explained(&[]), cited());
    for s in sources() {
        assert!(text.contains(s.source.work), "{} is not printed", s.source.work);
    }
    let count = |kind: Kind| all.iter().filter(|c| c.kind == kind).count();
    let whole = format!("{} rows and {} formulas from ", count(Kind::Row), count(Kind::Formula));
    assert!(text.contains(&whole), "{whole}");
    let memory =
        |kind: Kind| all.iter().filter(|c| c.kind == kind && !c.source.confirmed && !c.source.is_practice()).count();
    let unread = format!("{} rows and {} formulas rest on memory only", memory(Kind::Row), memory(Kind::Formula));
    let list = text.split(&unread).nth(1).unwrap_or_else(|| panic!("{unread}"));
    // What rests on memory is named, each row of it.
    let plain = list.split_whitespace().collect::<Vec<_>>().join(" ");
    for c in all.iter().filter(|c| !c.source.confirmed) {
        assert!(plain.contains(&c.what), "{} is not named", c.what);
    }
    let json: serde_json::Value = serde_json::from_str(&explained(&["--json"])).unwrap();
    assert_eq!(json["all"]["rows"], count(Kind::Row));
    assert_eq!(json["memory"]["formulas"], memory(Kind::Formula));
    assert_eq!(json["sources"].as_array().unwrap().len(), sources().len());
}
