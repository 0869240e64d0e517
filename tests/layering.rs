//! The rooms of `src/` import only downwards, and the big libraries stay in
//! the room that is theirs. Both are read off the source text.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Bottom first. A room may import any room before it.
const ROOMS: &[&str] = &[
    "units", "diag", "space", "geom", "source", "expr", "handbook", "layout", "job", "template", "piece", "flat",
    "solid", "assembly", "checks", "stock", "cut", "drawing", "report", "export", "page", "run", "serve", "cli",
];

/// Rooms that are lower than their place in the list says: they may import only these.
const NARROW: &[(&str, &[&str])] =
    &[("units", &[]), ("diag", &[]), ("space", &["units"]), ("geom", &["units", "space"]), ("cut", &["units"])];

/// Library (as it is imported) and the only rooms that may see it.
const KEPT_IN: &[(&str, &[&str])] = &[
    ("geo", &["geom"]),
    ("i_overlay", &["cut"]),
    ("truck_modeling", &["solid"]),
    ("spade", &["solid"]),
    ("tiny_skia", &["export"]),
    ("printpdf", &["export"]),
    ("lopdf", &["export"]),
    ("clap", &["cli"]),
    ("clap_complete", &["cli"]),
    ("clap_mangen", &["cli"]),
    ("hyper", &["serve"]),
    ("tokio", &["serve"]),
    ("getrandom", &["serve"]),
    ("annotate_snippets", &["diag"]),
];

fn sources() -> Vec<(String, PathBuf, String)> {
    fn walk(dir: &Path, out: &mut Vec<PathBuf>) {
        let mut entries: Vec<PathBuf> = fs::read_dir(dir).unwrap().map(|e| e.unwrap().path()).collect();
        entries.sort();
        for path in entries {
            if path.is_dir() {
                walk(&path, out);
            } else if path.extension().is_some_and(|e| e == "rs") {
                out.push(path);
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = vec![];
    walk(&root, &mut files);
    files
        .into_iter()
        .map(|f| {
            let room = f.strip_prefix(&root).unwrap().iter().next().unwrap().to_string_lossy().replace(".rs", "");
            let text = fs::read_to_string(&f).unwrap();
            (room, f, text)
        })
        .filter(|(room, ..)| room != "lib" && room != "main")
        .collect()
}

/// The text without comments.
fn code(text: &str) -> String {
    text.lines().map(|l| l.split("//").next().unwrap_or("")).collect::<Vec<_>>().join("\n")
}

/// Rooms named by `crate::room` or `crate::{room::X, other::Y}`.
fn imports(text: &str) -> Vec<String> {
    let mut out = vec![];
    for (i, _) in text.match_indices("crate::") {
        let rest = &text[i + 7..];
        if let Some(group) = rest.strip_prefix('{') {
            let mut depth = 1;
            let mut word = String::new();
            for c in group.chars() {
                match c {
                    '{' => depth += 1,
                    '}' => depth -= 1,
                    _ => {}
                }
                if depth == 0 {
                    break;
                }
                if depth == 1 && (c.is_alphanumeric() || c == '_') {
                    word.push(c);
                } else if depth == 1 && c == ':' && !word.is_empty() {
                    out.push(std::mem::take(&mut word));
                } else if depth == 1 && c == ',' {
                    word.clear();
                } else if depth == 1 && c == ':' {
                } else {
                    word.clear();
                }
            }
        } else {
            let word: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            out.push(word);
        }
    }
    out.retain(|w| ROOMS.contains(&w.as_str()));
    out
}

#[test]
fn rooms_import_only_downwards() {
    let place: BTreeMap<&str, usize> = ROOMS.iter().enumerate().map(|(i, r)| (*r, i)).collect();
    let mut faults = vec![];
    for (room, file, text) in sources() {
        let own = *place.get(room.as_str()).unwrap_or_else(|| panic!("room {room} is not in the list"));
        for other in imports(&code(&text)) {
            let narrow = NARROW.iter().find(|n| n.0 == room).map(|n| n.1);
            let ok =
                other == room || (place[other.as_str()] < own && narrow.is_none_or(|n| n.contains(&other.as_str())));
            if !ok {
                faults.push(format!("{}: room {room} may not import {other}", file.display()));
            }
        }
        if code(&text).contains("super::super::") {
            faults.push(format!("{}: super::super:: hides where an import goes", file.display()));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn libraries_stay_in_their_rooms() {
    let mut faults = vec![];
    for (room, file, text) in sources() {
        let code = code(&text);
        for (library, rooms) in KEPT_IN {
            let named =
                [format!("use {library}::"), format!(" {library}::"), format!("({library}::"), format!("<{library}::")]
                    .iter()
                    .any(|n| code.contains(n.as_str()));
            if named && !rooms.contains(&room.as_str()) {
                faults.push(format!("{}: {library} belongs in {rooms:?}", file.display()));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_reader_of_imports_sees_groups_and_single_paths() {
    assert_eq!(imports("use crate::units::Length;"), ["units"]);
    assert_eq!(imports("use crate::{geom::{Point, Loop}, units::Length};"), ["geom", "units"]);
    assert!(imports(&code("// crate::cli is not imported here")).is_empty());
}
