//! The first evening over raw bytes: from nothing to a job in a folder of its own.
//! Which parts are offered, what is wrong in the words of the command line, what is
//! written and when.

#![allow(clippy::disallowed_methods)] // a test may write files
#![allow(clippy::unwrap_used)] // in a test a panic is the right end

mod evening;

use droprack::run::first::NOT_SURE;
use droprack::run::{example_answers, templates};
use evening::{Evening, block, evening, field, served, strap, works_out};
use serde_json::{Map, Value, json};
use std::fs;
use std::io::Read;
use std::path::PathBuf;
use std::process::{Command, Stdio};

#[test]
fn what_fits_is_offered_and_asked_in_the_templates_words() {
    let e = evening();
    let (status, page) = e.get("");
    assert_eq!(status, 200);
    for words in ["What must it hold?", "What is it fixed to?", "fuel tank", "frame rail", "not sure, show all"] {
        assert!(page.contains(words), "{words}");
    }
    assert!(!page.contains("onclick") && !page.contains("<style") && !page.contains("340 mm"), "no example is shown");
    for asset in ["first.js", "first.css", "live.css", "page.css"] {
        assert_eq!(e.get(asset).0, 200, "{asset}");
    }
    // What fits, each with what it makes and its sketch.
    let state = e.post("first", &json!({ "carries": "fuel tank", "fixed_to": "frame tube" }));
    let offers = block(&state, "offers");
    assert!(offers.contains("2 parts fit.") && offers.contains("value=\"tank-strap\"") && offers.contains("<svg"));
    assert!(!offers.contains("gusset") && offers.contains("Strap that hangs a tank"), "{offers}");
    let none = e.post("first", &json!({ "carries": "battery or box", "fixed_to": "joint or lever" }));
    assert!(
        block(&none, "offers").contains("No part here is for") && block(&none, "offers").contains("hold-down-strap")
    );
    let all = block(&e.post("first", &json!({ "carries": NOT_SURE })), "offers");
    assert_eq!(all.matches("name=\"template\"").count(), templates().len());
    // Questions in the template's own words; what lacks is told, no fault is.
    let asked = json!({ "carries": "fuel tank", "template": "tank-strap" });
    let state = e.post("first", &asked);
    let questions = block(&state, "questions");
    assert!(questions.contains("Width of the tank across its section") && questions.contains("data-tape"));
    assert!(questions.contains("usual: 40 mm") && !questions.contains("value=\"340 mm\""));
    assert_eq!(state["ready"], false);
    assert!(state["status"].as_str().unwrap().contains("2 questions still to answer: section, width"), "{state}");
    assert!(
        state["fields"].as_array().unwrap().iter().all(|f| f["told"] == ""),
        "nobody is told off for what is empty"
    );
    assert_eq!(e.post("begin", &asked)["begun"], Value::Null, "not before all is there");
    assert_eq!(e.there(), Vec::<String>::new());
}

#[test]
fn from_nothing_to_a_job_in_its_own_folder() {
    let e = evening();
    let state = e.post("first", &strap("Juniper, main tank"));
    assert!(state["ready"].as_bool().unwrap(), "{state}");
    assert!(state["status"].as_str().unwrap().contains("juniper-main-tank"), "{state}");
    assert_eq!(
        (&field(&state, "width")["less"], &field(&state, "width")["more"]),
        (&json!("339 mm"), &json!("341 mm"))
    );
    // An answer moves the usual answers of others.
    assert_eq!(field(&state, "corner_radius")["usual"], "usual: 25 mm");
    assert_eq!(field(&state, "ear_height_left")["usual"], "usual: 235 mm");
    // The diagonal of 340 x 220 mm, before a corner radius is known: by Pythagoras.
    let cross = state["cross"].as_str().unwrap();
    assert!(cross.contains("must read <b>405 mm</b>"), "{cross}");
    assert!(!cross.contains("left bolt"), "what was not read is not held against anything: {cross}");
    assert_eq!(e.there(), Vec::<String>::new(), "nothing is written before it is asked for");
    assert_eq!(e.post("begin", &strap("Juniper, main tank"))["begun"], true);
    assert_eq!(e.there(), ["juniper-main-tank"]);
    let folder = e.folder.path().join("juniper-main-tank");
    for name in ["job.toml", "bin.toml", "measuring-sheet.pdf"] {
        assert!(folder.join(name).is_file(), "{name}");
    }
    let text = fs::read_to_string(folder.join("job.toml")).unwrap();
    for line in [
        "job = \"Juniper, main tank\"",
        "strap.width = \"340 mm\"   # Width of the tank",
        "\nwith.width = \"strap.width\"\n",
        "\nwith.section = \"rectangle\"\n",
        "\nwith.thickness = \"4 mm\"\n",
        "\n# with.liner = \"3 mm\"\n",
    ] {
        assert!(text.contains(line), "{line}\n{text}");
    }
    let o = works_out(&folder.join("job.toml"));
    assert!(!o.worked.flats.is_empty() && o.loaded.notes.is_empty(), "{:?}", o.loaded.notes);
    let checked = Command::new(env!("CARGO_BIN_EXE_droprack"))
        .args(["check", "juniper-main-tank/job.toml"])
        .current_dir(e.folder.path())
        .output()
        .unwrap();
    assert!(checked.stderr.is_empty() && checked.status.code() != Some(2), "{checked:?}");
    goes_on_as_the_live_page(&e);
}

/// The same address is the job's page now, down to its paper.
fn goes_on_as_the_live_page(e: &Evening) {
    let (_, page) = e.get("");
    assert!(page.contains("The job is written.") && page.contains("Juniper, main tank") && page.contains("live.js"));
    let (status, late) = e.post_with(&e.token, "begin", "", &strap("once more"));
    assert_eq!(status, 409, "{late}");
    let state = e.post("state", &json!({}));
    assert_eq!(field(&state, "strap.width")["more"], "341 mm");
    assert_eq!(e.get("drilling-templates.pdf").0, 404, "no paper before it is made");
    let made = e.post("make", &json!({}));
    let html = made["act"]["html"].as_str().unwrap();
    assert!(html.contains("href=\"packet.pdf\"") && html.contains("href=\"drilling-templates.pdf\""), "{html}");
    for file in ["packet.pdf", "drilling-templates.pdf"] {
        let (status, bytes) = e.get(file);
        assert!(status == 200 && bytes.starts_with("%PDF-"), "{file}");
    }
    assert!(e.folder.path().join("output/juniper-main-tank/packet.pdf").is_file());
}

#[test]
fn what_is_wrong_is_told_at_its_box_in_the_words_of_the_command_line() {
    let e = evening();
    for (name, text) in [
        ("width", "340 mn"),
        ("width", "20 mm"),
        ("width", "340 kg"),
        ("height", "no_such.name / 2"),
        ("thickness", "90 mm"),
        ("share", "2"),
        ("section", "hexagon"),
        ("material", "cheese"),
        ("width", "<img src=x onerror=alert(1)>"),
    ] {
        let mut asked = strap("Juniper");
        asked["answers"][name] = json!(text);
        let state = e.post("first", &asked);
        assert_eq!((&state["ready"], &field(&state, name)["wrong"]), (&json!(false), &json!(true)), "{name} = {text}");
        let told = field(&state, name)["told"].as_str().unwrap();
        assert!(!state.to_string().contains("<img"), "what is typed stays text");
        assert_eq!(e.post("begin", &asked)["begun"], Value::Null, "{name} = {text}");
        // The command line over the same answer in a job that a person wrote.
        let mut job =
            "job = \"x\"\nunits = \"mm\"\n[[part]]\nname = \"tank strap\"\ntemplate = \"tank-strap\"\n".to_string();
        for (n, v) in asked["answers"].as_object().unwrap() {
            job += &format!("with.{n} = '{}'\n", v.as_str().unwrap());
        }
        let path = e.folder.path().join("by-hand.toml");
        fs::write(&path, job).unwrap();
        let json = Command::new(env!("CARGO_BIN_EXE_droprack")).arg("check").arg(&path).arg("--json").output().unwrap();
        fs::remove_file(&path).unwrap();
        let said: Value = serde_json::from_slice(&json.stdout).unwrap();
        let said = said["diagnostics"][0]["message"].as_str().unwrap_or_else(|| panic!("{said}"));
        let escaped = said.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        let escaped = escaped.replace('"', "&quot;").replace('\'', "&#39;");
        assert!(told.contains(&escaped), "{name} = {text}: {told}\n{said}");
    }
    let mut long = strap("Juniper");
    long["answers"]["width"] = json!("1 + ".repeat(400));
    let state = e.post("first", &long);
    assert!(field(&state, "width")["told"].as_str().unwrap().contains("1000 at most"), "{state}");
    long["answers"]["width"] = json!("1 mm\n[[part]]");
    let state = e.post("first", &long);
    assert!(field(&state, "width")["told"].as_str().unwrap().contains("in one line"), "{state}");
    assert_eq!(e.there(), Vec::<String>::new());
}

#[test]
fn every_template_becomes_a_job_that_works_out() {
    for t in templates() {
        for inch in [false, true] {
            let e = evening();
            // Only here: the page itself never answers with an example.
            let answers: Map<String, Value> = example_answers(&t).into_iter().map(|(n, v)| (n, json!(v))).collect();
            let asked = json!({ "carries": NOT_SURE, "template": t.name, "of": t.name, "inch": inch, "answers": answers,
                                "title": format!("{} {inch}", t.name) });
            let state = e.post("first", &asked);
            assert_eq!(state["ready"], true, "{} {inch}: {} {}", t.name, state["status"], state["top"]);
            assert_eq!(e.post("begin", &asked)["begun"], true, "{}", t.name);
            let job: PathBuf = e.folder.path().join(format!("{}-{inch}", t.name)).join("job.toml");
            let o = works_out(&job);
            assert!(!o.worked.pieces.is_empty(), "{}", t.name);
            let text = fs::read_to_string(&job).unwrap();
            assert!(text.contains(if inch { "units = \"inch\"" } else { "units = \"mm\"" }), "{}", t.name);
            assert!(!text.contains("FILL IN"), "{}: {text}", t.name);
        }
    }
}

#[test]
fn a_template_of_ones_own_is_offered_and_comes_along() {
    let folder = tempfile::tempdir().unwrap();
    let made = Command::new(env!("CARGO_BIN_EXE_droprack"))
        .args(["new", ".", "--template", "lug"])
        .current_dir(folder.path())
        .output()
        .unwrap();
    assert!(made.status.success(), "{made:?}");
    let (port, token) = served(folder.path());
    let e = Evening { folder, port, token };
    let asked =
        json!({ "carries": NOT_SURE, "template": "lug", "of": "lug", "answers": { "length": "120" }, "title": "Lug" });
    let state = e.post("first", &asked);
    assert_eq!(state["ready"], true, "{state}");
    assert_eq!(e.post("begin", &asked)["begun"], true);
    assert!(e.folder.path().join("lug/lug.toml").is_file(), "{:?}", e.there());
    works_out(&e.folder.path().join("lug/job.toml"));
}

#[test]
fn the_program_without_arguments_starts_the_page_where_no_terminal_is() {
    for arguments in [&[][..], &["page", "--no-open"][..]] {
        let folder = tempfile::tempdir().unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_droprack"))
            .args(arguments)
            .current_dir(folder.path())
            // No browser is to be found from here.
            .env("PATH", folder.path())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut said = [0_u8; 64];
        let n = child.stdout.as_mut().unwrap().read(&mut said).unwrap();
        let _ = child.kill();
        let _ = child.wait();
        let said = String::from_utf8_lossy(&said[..n]).into_owned();
        assert!(said.starts_with("http://127.0.0.1:"), "{arguments:?}: {said}");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
    }
    let help = Command::new(env!("CARGO_BIN_EXE_droprack")).args(["page", "--help"]).output().unwrap();
    assert!(String::from_utf8_lossy(&help.stdout).contains("without one the page asks what is to be built"));
}
