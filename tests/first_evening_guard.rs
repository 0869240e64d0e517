//! The page that starts a job against hostile titles, links and folders in its way,
//! a disk that refuses, and pages that are not its own.

#![allow(clippy::disallowed_methods)] // a test may write files
#![allow(clippy::unwrap_used)] // in a test a panic is the right end

mod evening;

use evening::{Evening, evening, served, strap, works_out};
use serde_json::{Value, json};
use std::fs;

#[test]
fn titles_stay_inside_and_folders_stay_apart() {
    let place = tempfile::tempdir().unwrap();
    let here = place.path().join("here");
    fs::create_dir(&here).unwrap();
    let long = "long ".repeat(60);
    let titles = [
        "Juniper",
        "Juniper",
        "../../x",
        "<script>alert(1)</script>",
        &long,
        "\u{62d}\u{627}\u{645}\u{644}",
        "\u{1f697}\u{1f527}",
        "",
        "/etc/passwd",
        "a\\b:c",
        "\"]\nmake = 9",
        "con\u{202e}txt",
        "juniper-2",
    ];
    let mut folders = 0;
    for title in titles {
        let (port, token) = served(&here);
        // The folder is not the server's own: it outlives it.
        let e = Evening { folder: tempfile::tempdir().unwrap(), port, token };
        let begun = e.post("begin", &strap(title));
        if title.contains('\n') {
            assert!(begun["title"].as_str().unwrap().contains("in one line"), "{begun}");
            continue;
        }
        folders += 1;
        assert_eq!(begun["begun"], true, "{title}: {begun}");
        let page = e.get("").1;
        assert!(!page.contains("<script>alert"), "{title}");
        assert_eq!(fs::read_dir(&here).unwrap().count(), folders, "{title}: a folder of its own");
    }
    assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1, "nothing came beside the folder");
    for entry in fs::read_dir(&here).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().to_string_lossy().into_owned();
        assert!(name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-') && name.len() < 110, "{name}");
        works_out(&entry.path().join("job.toml"));
    }
    for name in ["juniper", "juniper-2", "juniper-2-2", "x", "my-first-bracket", "unnamed"] {
        assert!(here.join(name).is_dir(), "{name}");
    }
}

#[cfg(unix)]
#[test]
fn what_is_there_is_neither_followed_nor_written_over() {
    let e = evening();
    let aside = tempfile::tempdir().unwrap();
    std::os::unix::fs::symlink(aside.path(), e.folder.path().join("juniper")).unwrap();
    fs::create_dir(e.folder.path().join("juniper-2")).unwrap();
    fs::write(e.folder.path().join("juniper-2/job.toml"), "mine").unwrap();
    assert_eq!(e.post("begin", &strap("Juniper"))["begun"], true);
    assert_eq!(fs::read_dir(aside.path()).unwrap().count(), 0, "a link is not followed");
    assert_eq!(fs::read_to_string(e.folder.path().join("juniper-2/job.toml")).unwrap(), "mine");
    assert!(e.folder.path().join("juniper-3/job.toml").is_file());
}

#[test]
fn a_disk_that_refuses_is_told_and_nothing_is_left() {
    let e = evening();
    let gone = e.folder.path().join("gone");
    fs::create_dir(&gone).unwrap();
    let (port, token) = served(&gone);
    let other = Evening { folder: tempfile::tempdir().unwrap(), port, token };
    fs::remove_dir(&gone).unwrap();
    let state = other.post("begin", &strap("Juniper"));
    assert_eq!(state["begun"], Value::Null);
    assert!(state["top"].as_str().unwrap().contains("nothing was written"), "{state}");
    assert_eq!(e.there(), Vec::<String>::new());
    assert!(other.get("").1.contains("What must it hold?"), "it can be tried again");
}

#[test]
fn nobody_else_starts_a_job() {
    let e = evening();
    let own = &e.token;
    for head in ["Origin: http://evil.example\r\n", "Origin: null\r\n", "Sec-Fetch-Site: cross-site\r\n"] {
        assert_eq!(e.post_with(own, "begin", head, &strap("Juniper")).0, 403, "{head}");
    }
    let foreign = format!("GET /{own}/ HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n");
    assert_eq!(e.raw(foreign.as_bytes()).0, 403);
    let wrong = "0".repeat(own.len());
    assert_eq!(e.post_with(&wrong, "begin", "", &strap("Juniper")).0, 404);
    assert_eq!(e.post_with(own, "nothing", "", &json!({})).0, 404);
    assert_eq!(e.post_with(own, "save", "", &json!({})).0, 409, "there is no job to save yet");
    assert_eq!(e.post_with(own, "first", "", &json!({ "path": "../somewhere" })).0, 400);
    assert_eq!(e.post_with(own, "begin", "", &json!({ "answers": { "a": 1 } })).0, 400);
    for trick in ["job.toml", "../job.toml", "..%2fjob.toml", "packet.pdf", "first.js%00"] {
        assert!(matches!(e.get(trick).0, 400 | 404), "{trick}");
    }
    // Names and answers that no template has are no names and no answers.
    let odd = json!({ "carries": "../x", "template": "../../etc/passwd", "of": "../x", "answers": { "../y": "1 mm" } });
    let state = e.post("begin", &odd);
    assert!(state["begun"].is_null() && state["template"] == "" && !state.to_string().contains("passwd"), "{state}");
    let mut more = strap("Juniper");
    more["answers"]["../y = 1\n[[part]]\nx"] = json!("1 mm");
    assert_eq!(e.there(), Vec::<String>::new());
    assert_eq!(e.post("begin", &more)["begun"], true);
    let text = fs::read_to_string(e.folder.path().join("juniper/job.toml")).unwrap();
    assert!(!text.contains("../y"), "{text}");
}
