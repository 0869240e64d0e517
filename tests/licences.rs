//! The list of what is built into the program, held against the package
//! manager's own account of it: nothing missing, nothing that is not there, and
//! each under a permissive licence.
//!
//! `DROPRACK_REWRITE=1 cargo test --test licences` writes the list anew.

// The list is that of this platform; others may not have its packages at hand.
#![cfg(all(target_os = "linux", target_arch = "x86_64"))]
#![allow(clippy::unwrap_used)] // in a test a panic is the right end
#![allow(clippy::disallowed_methods)] // the list is written over when that is asked for

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

/// Licences that ask for no more than to be named with their text.
const PERMISSIVE: [&str; 9] =
    ["0BSD", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "BSL-1.0", "MIT", "Unicode-3.0", "Unlicense", "Zlib"];

/// The packages that go into the program on this machine, `name version licence` each.
fn built_in() -> BTreeSet<String> {
    let out = Command::new(std::env::var("CARGO").unwrap_or_else(|_| "cargo".into()))
        .args(["metadata", "--offline", "--locked", "--format-version", "1"])
        .args(["--filter-platform", "x86_64-unknown-linux-gnu"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let all: Value = serde_json::from_slice(&out.stdout).unwrap();
    let by_id = |list: &Value| -> BTreeMap<String, Value> {
        list.as_array().unwrap().iter().map(|p| (p["id"].as_str().unwrap().to_string(), p.clone())).collect()
    };
    let (packages, nodes) = (by_id(&all["packages"]), by_id(&all["resolve"]["nodes"]));
    let mut open = vec![all["resolve"]["root"].as_str().unwrap().to_string()];
    let mut seen = BTreeSet::new();
    while let Some(id) = open.pop() {
        for dep in nodes[&id]["deps"].as_array().unwrap() {
            // Null is an ordinary dependency: not one of tests or of the build.
            let ordinary = dep["dep_kinds"].as_array().unwrap().iter().any(|k| k["kind"].is_null());
            let next = dep["pkg"].as_str().unwrap().to_string();
            // A macro runs in the compiler; it and what it needs stay there.
            let targets = packages[&next]["targets"].as_array().unwrap();
            let in_compiler = targets.iter().any(|t| t["kind"][0] == "proc-macro");
            if ordinary && !in_compiler && seen.insert(next.clone()) {
                open.push(next);
            }
        }
    }
    let line = |id: &String| {
        let p = &packages[id];
        let text = |key: &str| p[key].as_str().unwrap_or("").to_string();
        format!("{} {} {}", text("name"), text("version"), text("license").replace('/', " OR "))
    };
    seen.iter().map(line).collect()
}

/// A licence expression leaves a choice of permissive licences only.
fn permissive(expression: &str) -> bool {
    let one = |name: &str| {
        let name = name.trim().trim_matches(['(', ')']);
        PERMISSIVE.contains(&name.split(" WITH ").next().unwrap_or(name))
    };
    // No list has an OR within an AND but in brackets, and each of those alone is fine.
    expression.split(" AND ").all(|part| part.split(" OR ").any(one))
}

#[test]
fn the_list_of_what_is_built_in_is_whole() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/cli/licences.txt");
    let now: Vec<String> = built_in().into_iter().collect();
    if std::env::var_os("DROPRACK_REWRITE").is_some() {
        std::fs::write(&path, now.join("\n") + "\n").unwrap();
    }
    let listed = std::fs::read_to_string(&path).unwrap();
    let listed: Vec<&str> = listed.lines().collect();
    assert_eq!(listed, now, "DROPRACK_REWRITE=1 cargo test --test licences writes the list anew");
    for line in listed {
        let licence = line.splitn(3, ' ').nth(2).unwrap();
        assert!(permissive(licence), "{line}");
    }
}

#[test]
fn what_is_not_permissive_is_seen() {
    for fine in ["MIT", "GPL-3.0 OR MIT", "(MIT OR Apache-2.0) AND Unicode-3.0", "Apache-2.0 WITH LLVM-exception"] {
        assert!(permissive(fine), "{fine}");
    }
    for not in ["", "GPL-3.0", "MIT AND GPL-3.0", "MPL-2.0 OR LGPL-2.1"] {
        assert!(!permissive(not), "{not}");
    }
}

#[test]
fn the_program_prints_it() {
    let out = Command::new(env!("CARGO_BIN_EXE_droprack")).arg("licences").output().unwrap();
    let text = String::from_utf8(out.stdout).unwrap();
    assert!(out.status.success() && out.stderr.is_empty());
    for word in ["MIT OR Apache-2.0", "truck-modeling", "printpdf", "DejaVu", "Bitstream Vera"] {
        assert!(text.contains(word), "{word}");
    }
}
