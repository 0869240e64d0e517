//! The program as a person runs it: exit codes, JSON on standard output alone,
//! a new folder that works at once.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use serde_json::Value;
use std::path::Path;
use std::process::{Command, Output};

fn droprack(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_droprack")).current_dir(folder).args(arguments).output().unwrap()
}

fn text(o: &Output) -> String {
    String::from_utf8_lossy(&o.stdout).into_owned()
}

#[test]
fn a_new_folder_makes_its_first_job_at_once() {
    let place = tempfile::tempdir().unwrap();
    assert_eq!(droprack(place.path(), &["new", "shed"]).status.code(), Some(0));
    let made = droprack(place.path(), &["make", "shed/job.toml"]);
    assert_eq!(made.status.code(), Some(0), "{}", String::from_utf8_lossy(&made.stderr));
    assert!(place.path().join("output/shed/drilling-templates.pdf").is_file());
    assert!(text(&made).contains("no release"), "the cautions are missing");
    assert_eq!(droprack(place.path(), &["new", "shed"]).status.code(), Some(2), "an own job would be lost");
}

#[test]
fn every_report_is_one_json_object_and_nothing_else() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/jobs/hill-climb-buggy");
    for (command, key) in [("check", "findings"), ("flat", "pieces"), ("cut", "groups")] {
        let o = droprack(&demo, &[command, "job.toml", "--json"]);
        assert_eq!(o.status.code(), Some(0), "{command}");
        let v: Value = serde_json::from_slice(&o.stdout).unwrap();
        assert!(v[key].as_array().is_some_and(|a| !a.is_empty()), "{command}");
        assert!(v["cautions"].as_str().is_some_and(|c| c.contains("licensed engineer")), "{command}");
        assert_eq!(o.stdout, droprack(&demo, &[command, "job.toml", "--json"]).stdout, "{command}: two runs differ");
    }
    let o = droprack(&demo, &["parts", "tank-strap", "--json"]);
    let v: Value = serde_json::from_slice(&o.stdout).unwrap();
    assert!(v["asks"].as_array().unwrap().len() > 15);
}

#[test]
fn what_cannot_be_cut_ends_with_1_and_is_said() {
    let place = tempfile::tempdir().unwrap();
    let job =
        "job = \"long\"\n[[cut]]\nname = \"beam\"\nshape = \"angle\"\nsize = \"40 x 40 x 4 mm\"\nlength = \"5 m\"\n";
    #[allow(clippy::disallowed_methods)]
    {
        std::fs::write(place.path().join("job.toml"), job).unwrap();
        std::fs::write(place.path().join("bin.toml"), "").unwrap();
    }
    let o = droprack(place.path(), &["cut", "job.toml"]);
    assert_eq!(o.status.code(), Some(1));
    assert!(text(&o).contains("NOT CUT") && text(&o).contains("look for or buy"), "{}", text(&o));
}

#[test]
fn wrong_words_end_with_2_and_help_with_0() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    assert_eq!(droprack(here, &["--help"]).status.code(), Some(0));
    assert_eq!(droprack(here, &["fold"]).status.code(), Some(2));
    assert_eq!(droprack(here, &["parts", "tank-strip"]).status.code(), Some(2));
    let nowhere = droprack(here, &["make", "nowhere.toml", "--json"]);
    assert_eq!(nowhere.status.code(), Some(2));
    let v: Value = serde_json::from_slice(&nowhere.stdout).unwrap();
    assert_eq!(v["diagnostics"][0]["code"], "file");
}
