//! House rules that can be read off the tree: file sizes, paths in the manuals,
//! first lines, words that must not stand anywhere.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn files_below(dir: &Path, ends: &str) -> Vec<PathBuf> {
    let mut out = vec![];
    let mut entries: Vec<PathBuf> = fs::read_dir(dir).unwrap().map(|e| e.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            out.extend(files_below(&path, ends));
        } else if path.to_string_lossy().ends_with(ends) {
            out.push(path);
        }
    }
    out
}

/// Longest a source file may be, tests at its end not counted.
const LONGEST: usize = 700;

#[test]
fn no_source_file_is_too_long() {
    let long: Vec<String> = files_below(&root().join("src"), ".rs")
        .into_iter()
        .filter_map(|f| {
            let text = fs::read_to_string(&f).unwrap();
            let lines = text.split("#[cfg(test)]\nmod tests").next().unwrap().lines().count();
            (lines > LONGEST).then(|| format!("{}: {lines} lines, {LONGEST} at most", f.display()))
        })
        .collect();
    assert!(long.is_empty(), "{}", long.join("\n"));
}

#[test]
fn every_source_file_says_first_what_it_yields() {
    let silent: Vec<String> = files_below(&root().join("src"), ".rs")
        .into_iter()
        .filter(|f| !fs::read_to_string(f).unwrap().starts_with("//! "))
        .map(|f| f.display().to_string())
        .collect();
    assert!(silent.is_empty(), "no first sentence: {silent:?}");
}

/// Words in back quotes that look like paths of this project.
fn paths_named(text: &str) -> Vec<String> {
    text.split('`')
        .skip(1)
        .step_by(2)
        .filter(|w| !w.contains(' ') && !w.contains('<') && !w.contains('*'))
        .filter(|w| ["src/", "tests/", "templates/", "output/", "benches/", ".ci/"].iter().any(|p| w.starts_with(p)))
        .map(|w| w.trim_end_matches('/').to_string())
        .collect()
}

#[test]
fn every_path_named_in_the_manuals_exists() {
    let mut missing = vec![];
    for manual in ["README.md", "DEVELOPERS.md"] {
        let text = fs::read_to_string(root().join(manual)).unwrap();
        let named = paths_named(&text);
        assert!(!named.is_empty(), "{manual} names no path: the reader of paths is blind");
        // Results of a run are named too, but git holds only the gallery.
        for path in named.iter().filter(|p| !p.starts_with("output/") || p.starts_with("output/gallery")) {
            if !root().join(path).exists() {
                missing.push(format!("{manual}: {path}"));
            }
        }
    }
    assert!(missing.is_empty(), "named but not there: {missing:?}");
}

#[test]
fn the_top_level_is_as_agreed() {
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "src",
        "tests",
        "templates",
        "output",
        "benches",
        "target",
    ];
    let odd: Vec<String> = fs::read_dir(root())
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|n| !n.starts_with('.') && !allowed.contains(&n.as_str()))
        .collect();
    assert!(odd.is_empty(), "not agreed for the top level: {odd:?}");
}

#[test]
fn every_template_is_built_in() {
    let mut on_disk: Vec<String> = fs::read_dir(root().join("templates"))
        .unwrap()
        .filter_map(|e| e.unwrap().file_name().to_string_lossy().strip_suffix(".toml").map(str::to_string))
        .collect();
    on_disk.sort();
    let mut built_in: Vec<String> = droprack::template::BUILT_IN.iter().map(|t| t.0.to_string()).collect();
    built_in.sort();
    assert_eq!(on_disk, built_in);
}

#[test]
fn public_formulas_name_their_source() {
    // Each "# Formula" block is followed by a "# Source" block before the item begins.
    let mut without = vec![];
    for file in files_below(&root().join("src"), ".rs") {
        let text = fs::read_to_string(&file).unwrap();
        for (i, _) in text.match_indices("/// # Formula") {
            let block: String = text[i..].lines().take_while(|l| l.trim_start().starts_with("///")).collect();
            let own = block.contains("# Source") || block.contains("Derived here");
            if !own {
                without.push(format!("{}: {}", file.display(), &block[..60.min(block.len())]));
            }
        }
    }
    assert!(without.is_empty(), "{}", without.join("\n"));
}
