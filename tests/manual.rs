//! Every example of the manual, of README.md and of DEVELOPERS.md is run; the
//! schema knows what the field tables know.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end
#![allow(clippy::disallowed_methods)] // examples are written to a folder of their own

use droprack::job::JOB;
use droprack::report::{EXAMPLES, schema};
use droprack::run::{Request, check_template, run, templates};
use droprack::source::{Disk, Memory};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn text(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

/// The fenced blocks of a language in a text.
fn blocks(text: &str, language: &str) -> Vec<String> {
    let mut out = vec![];
    let mut inside = false;
    for line in text.lines() {
        if line.starts_with("```") {
            inside = !inside && line == format!("```{language}");
            if inside {
                out.push(String::new());
            }
        } else if inside {
            let block = out.last_mut().unwrap();
            block.push_str(line);
            block.push('\n');
        }
    }
    out
}

fn in_memory(files: &[(&str, &str)]) -> droprack::run::Outcome {
    let mut memory = Memory::default();
    for (name, text) in files {
        memory.0.insert(PathBuf::from(name), (*text).to_string());
    }
    let request = Request { job: PathBuf::from("job.toml"), bin: None };
    run(&memory, &request).unwrap_or_else(|t| panic!("{:?}", t.diagnostics))
}

#[test]
fn the_examples_of_the_manual_work_together() {
    let o = in_memory(EXAMPLES);
    assert!(o.loaded.notes.is_empty() && o.worked.notes.is_empty(), "{:?}", o.loaded.notes);
    assert_eq!(o.worked.flats.len(), 3);
    assert_eq!(o.plan.uncut(), 0, "the example's bin must do");
}

#[test]
fn the_example_templates_hold_at_all_their_corners() {
    for name in ["tube-clip", "battery-tray-corner", "braced-post"] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("src/report/manual/{name}.toml"));
        let report = check_template(&Disk, &path).unwrap_or_else(|t| panic!("{:?}", t.diagnostics));
        assert!(report.breaks.is_empty() && report.notes.is_empty() && report.tried > 5, "{name}: {:?}", report.breaks);
    }
}

#[test]
fn the_blocks_of_the_readme_work() {
    let readme = text("README.md");
    let toml = blocks(&readme, "toml");
    assert_eq!(toml.len(), 2, "a job and a bin");
    let o = in_memory(&[("job.toml", &toml[0]), ("bin.toml", &toml[1])]);
    assert!(o.worked.flats.len() >= 2);
    let shaft = blocks(&readme, "toml-part").remove(0);
    let o = in_memory(&[("job.toml", &format!("{}{shaft}", toml[0])), ("bin.toml", &toml[1])]);
    let of_shaft: Vec<_> = o.worked.findings.iter().filter(|f| f.part == "Steering shaft").collect();
    assert!(
        of_shaft.len() >= 5 && of_shaft.iter().all(|f| f.verdict < droprack::checks::Verdict::Warn),
        "{of_shaft:?}"
    );
    let tank = blocks(&readme, "toml-tank").remove(0);
    let o = in_memory(&[("job.toml", &format!("{}{tank}", toml[0])), ("bin.toml", &toml[1])]);
    let of_tank: Vec<_> = o.worked.findings.iter().filter(|f| f.part == "Main tank").collect();
    assert!(of_tank.len() >= 8 && of_tank.iter().all(|f| f.verdict < droprack::checks::Verdict::Warn), "{of_tank:?}");
    assert!(o.worked.flats.iter().any(|f| f.part == "Left front hanger"));
    let plate = blocks(&readme, "toml-part").remove(1);
    let o = in_memory(&[("job.toml", &toml[0]), ("bin.toml", &format!("{}{plate}", toml[1]))]);
    assert!(o.loaded.bin.entries.iter().any(|e| e.outline.len() == 5 && e.holes.len() == 1));
    // The lines on paper belong into any job: before its blocks.
    let paper = blocks(&readme, "toml-part").remove(2);
    let (head, tail) = paper.split_at(paper.find("[printer]").unwrap());
    let o = in_memory(&[("job.toml", &format!("{head}{}{tail}", toml[0])), ("bin.toml", &toml[1])]);
    assert!(o.worked.reworks.len() == 1 && o.loaded.job.printer.is_some() && o.loaded.job.long_ends);
    let place = blocks(&readme, "toml-part").remove(3);
    let part = "job = \"x\"\n[[part]]\nname = \"strap\"\ntemplate = \"tank-strap\"\nmake = 2\nwith.section = \"obround\"\n\
                with.width = \"340 mm\"\nwith.height = \"220 mm\"\n";
    let o = in_memory(&[("job.toml", &format!("{part}{place}")), ("bin.toml", &toml[1])]);
    assert!(o.worked.parts[0].stands.len() == 1 && o.loaded.job.faint.len() == 1);
}

/// The words of a command line, as a shell would part them.
fn words_of(line: &str) -> Vec<String> {
    let mut out = vec![];
    for (i, part) in line.split('"').enumerate() {
        match i % 2 {
            1 => out.push(part.to_string()),
            _ => out.extend(part.split_whitespace().map(str::to_string)),
        }
    }
    out
}

/// Every line `droprack ...` of a shell block is run, in order, in one folder.
#[test]
fn the_commands_of_the_manuals_run() {
    let place = tempfile::tempdir().unwrap();
    let mut commands = 0;
    for name in ["README.md", "DEVELOPERS.md"] {
        for block in blocks(&text(name), "sh") {
            for line in block.lines() {
                let line = line.split('#').next().unwrap().trim();
                let Some(arguments) = line.strip_prefix("droprack ") else { continue };
                commands += 1;
                let done = Command::new(env!("CARGO_BIN_EXE_droprack"))
                    .current_dir(place.path())
                    .args(words_of(arguments))
                    .output()
                    .unwrap();
                assert!(matches!(done.status.code(), Some(0 | 1)), "{line}: {}", String::from_utf8_lossy(&done.stderr));
            }
        }
    }
    assert!(commands >= 8, "{commands}");
}

#[test]
fn every_path_that_the_manuals_name_is_there() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for name in ["README.md", "DEVELOPERS.md"] {
        let text = text(name);
        for word in text.split('`').skip(1).step_by(2) {
            let path = word.split_whitespace().next().unwrap_or("");
            let ours = ["src/", "tests/", "templates/", "benches/", ".ci/"].iter().any(|f| path.starts_with(f));
            if ours && !path.contains(['*', '<']) {
                assert!(root.join(path).exists(), "{name} names `{path}`, which is not there");
            }
        }
    }
}

#[test]
fn the_skeleton_is_a_good_template() {
    let place = tempfile::tempdir().unwrap();
    let run = |arguments: &[&str]| {
        Command::new(env!("CARGO_BIN_EXE_droprack")).current_dir(place.path()).args(arguments).output().unwrap()
    };
    assert_eq!(run(&["new", "shed", "--template", "tray-corner"]).status.code(), Some(0));
    let checked = run(&["check", "shed/tray-corner.toml"]);
    assert!(matches!(checked.status.code(), Some(0 | 1)), "{}", String::from_utf8_lossy(&checked.stderr));
    let own = place.path().join("shed/tray-corner.toml");
    fs::write(&own, fs::read_to_string(&own).unwrap().replace("120 mm", "90 mm")).unwrap();
    assert_eq!(run(&["new", "shed", "--template", "tray-corner"]).status.code(), Some(2), "it would be lost");
    // One's own template has its measuring sheet too.
    assert_eq!(run(&["new", "shed", "--part", "tray-corner"]).status.code(), Some(0));
    assert!(place.path().join("shed/measuring-sheet.pdf").exists());
    // A folder with chosen parts asks for what must be measured, and for nothing else.
    assert_eq!(run(&["new", "tank", "--part", "tank-strap", "--title", "A \"big\" tank"]).status.code(), Some(0));
    assert!(fs::read(place.path().join("tank/measuring-sheet.pdf")).unwrap().starts_with(b"%PDF"));
    let told = String::from_utf8(run(&["check", "tank/job.toml"]).stderr).unwrap();
    assert_eq!(told.matches("not filled in yet").count(), 2, "{told}");
    let filled = fs::read_to_string(place.path().join("tank/job.toml"))
        .unwrap()
        .replacen("\"...\"", "\"rectangle\"", 1)
        .replacen("\"...\"", "\"340 mm\"", 1);
    fs::write(place.path().join("tank/job.toml"), filled).unwrap();
    assert_eq!(run(&["check", "tank/job.toml"]).status.code(), Some(0));
}

#[test]
fn the_schema_has_every_key_and_every_question() {
    let known = templates();
    let s = schema(&JOB, &known);
    for f in JOB.fields {
        assert_eq!(
            s["properties"][f.key]["description"].as_str().unwrap().split(';').next(),
            f.words.split(';').next()
        );
    }
    let cases = s["properties"]["part"]["items"]["allOf"].as_array().unwrap();
    assert_eq!(cases.len(), known.len());
    for (case, t) in cases.iter().zip(&known) {
        for (name, ..) in t.obj.named("ask") {
            assert!(case["then"]["properties"]["with"]["properties"][name].is_object(), "{} {name}", t.name);
        }
    }
}
