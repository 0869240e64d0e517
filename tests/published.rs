//! Published numbers: every row of `tests/published/*.toml` is worked out by a
//! library function and held against the number some source prints.
//!
//! One file per source. The count of rows may only rise, the count of rows
//! that rest on memory may only fall.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use std::collections::BTreeSet;
use std::path::PathBuf;

use serde::Deserialize;

#[path = "published/calls.rs"]
mod calls;
#[path = "published/row.rs"]
mod row;
#[path = "published/strength.rs"]
mod strength;
#[path = "published/thread.rs"]
mod thread;

use row::{Answer, Row};

/// Rows that must run at least; raise it when rows are added.
const ROWS_AT_LEAST: usize = 281;
/// Rows whose expected number nobody has looked up; lower it when one is confirmed.
const MEMORY_ROWS_AT_MOST: usize = 3;

/// One published source.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Published {
    /// Work and edition, with how it was read.
    work: String,
    /// Its rows.
    row: Vec<Row>,
}

fn sources() -> Vec<(String, Published)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/published");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(&folder)
        .expect("the folder of published rows is there")
        .map(|entry| entry.expect("the folder can be listed").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let name = path.file_name().expect("a file has a name").to_string_lossy().into_owned();
            let text = std::fs::read_to_string(&path).expect("the file can be read");
            let parsed = toml::from_str(&text).unwrap_or_else(|e| panic!("{name}: {e}"));
            (name, parsed)
        })
        .collect()
}

/// What is wrong with a row, or nothing.
fn fault(row: &Row) -> Option<String> {
    let found = match calls::call(row) {
        Ok(answer) => match answer.in_unit(&row.unit) {
            Some(found) => found,
            None => return Some(format!("{answer:?} cannot be told in {:?}", row.unit)),
        },
        Err(why) => return Some(why),
    };
    if let Some(unread) = row.unread() {
        return Some(format!("input {unread:?} is not used by {:?}", row.call));
    }
    // Both sides, and not-a-number fails.
    let close = (found - row.expected).abs() <= row.tolerance;
    (!close).then(|| format!("found {found}, published {} within {} {}", row.expected, row.tolerance, row.unit))
}

#[test]
fn every_published_number_comes_out_of_the_library() {
    let mut ran = 0;
    let mut faults = Vec::new();
    for (file, source) in sources() {
        for row in &source.row {
            ran += 1;
            if let Some(why) = fault(row) {
                faults.push(format!("{file} {} ({}, {}): {why}", row.id, row.describe, source.work));
            }
        }
    }
    println!("{ran} published rows run");
    assert!(faults.is_empty(), "{} of {ran} rows fail:\n{}", faults.len(), faults.join("\n"));
    assert!(ran >= ROWS_AT_LEAST, "{ran} rows ran; the number may only rise from {ROWS_AT_LEAST}");
}

#[test]
fn rows_from_memory_only_get_fewer() {
    let mut memory = Vec::new();
    for (file, source) in sources() {
        for row in source.row.iter().filter(|r| r.memory) {
            memory.push(format!("{file} {}: {}", row.id, row.describe));
        }
    }
    println!("rows from memory, unconfirmed:\n{}", memory.join("\n"));
    assert!(
        memory.len() <= MEMORY_ROWS_AT_MOST,
        "{} rows rest on memory, {MEMORY_ROWS_AT_MOST} are allowed:\n{}",
        memory.len(),
        memory.join("\n")
    );
}

#[test]
fn ids_are_unique_and_every_row_says_why_its_tolerance() {
    let mut seen = BTreeSet::new();
    for (file, source) in sources() {
        for row in &source.row {
            assert!(seen.insert(row.id.clone()), "{file}: id {} is used twice", row.id);
            assert!(!row.why.trim().is_empty(), "{file} {}: no reason for the tolerance", row.id);
            assert!(row.tolerance > 0.0, "{file} {}: tolerance must be over zero", row.id);
        }
    }
}

#[test]
fn the_runner_notices_a_wrong_number_an_unknown_call_and_an_unused_input() {
    let text = r#"
        id = "X"
        describe = "setback"
        call = "outside_setback"
        inputs = { turned_deg = 90.0, radius_mm = 3.0, thickness_mm = 3.0 }
        expected = 6.0
        unit = "mm"
        tolerance = 1e-6
        why = "exact"
    "#;
    let good: Row = toml::from_str(text).unwrap();
    assert_eq!(fault(&good), None);
    for (from, to) in
        [("= 6.0", "= 6.1"), ("outside_setback", "inside_out"), ("3.0 }", "3.0, hat_mm = 1.0 }"), ("\"mm\"", "\"N\"")]
    {
        let bad: Row = toml::from_str(&text.replace(from, to)).unwrap();
        assert!(fault(&bad).is_some(), "{from} -> {to} went unnoticed");
    }
    assert_eq!(Answer::Number(f64::NAN).in_unit("").map(f64::is_nan), Some(true));
}
