//! What becomes of pieces that are made already: planted changes, each with the
//! class that a person at the bench would give it.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::cut::Effort;
use droprack::report::{Comparison, flats_json};
use droprack::run::{Request, compare, run};
use droprack::source::Memory;
use std::path::{Path, PathBuf};

/// A template whose pieces are all told by the job: a plate, a bent strip, a bar.
const OWN: &str = r#"
form = 1
template = "pieces"
says = "A plate, a bent strip and a bar for tests"

[ask.long]
what = "Length of the plate"
kind = "length"
usual = "120 mm"
at_least = "20 mm"

[ask.wide]
what = "Width of the plate"
kind = "length"
usual = "80 mm"
at_least = "20 mm"

[ask.thick]
what = "Thickness of the plate"
kind = "length"
usual = "5 mm"
at_least = "1 mm"

[ask.hole]
what = "Hole in the plate"
kind = "length"
usual = "9 mm"
at_least = "2 mm"

[ask.hole_x]
what = "Place of the hole"
kind = "length"
usual = "30 mm"
at_least = "0 mm"

[ask.second]
what = "Place of a second hole; 0 mm for none"
kind = "length"
usual = "0 mm"
at_least = "0 mm"

[ask.left]
what = "Left leg of the strip"
kind = "length"
usual = "60 mm"
at_least = "20 mm"

[ask.right]
what = "Right leg of the strip"
kind = "length"
usual = "70 mm"
at_least = "20 mm"

[ask.middle]
what = "Between the bends"
kind = "length"
usual = "100 mm"
at_least = "20 mm"

[ask.radius]
what = "Inside radius"
kind = "length"
usual = "6 mm"
at_least = "1 mm"

[ask.bar]
what = "Length of the bar"
kind = "length"
usual = "300 mm"
at_least = "20 mm"

[ask.bar_hole]
what = "Hole in the bar from its left end; 0 mm for none"
kind = "length"
usual = "100 mm"
at_least = "0 mm"

[ask.lean]
what = "Angle of the bar's right end"
kind = "angle"
usual = "90 deg"
at_least = "30 deg"
at_most = "150 deg"

[ask.material]
what = "Material"
kind = "material"
usual = "mild steel"

[ask.count]
what = "How many bars"
kind = "count"
usual = 1
at_least = 0
at_most = 9

[[piece]]
name = "plate"
[piece.plate]
thickness = "thick"
outline = "rectangle"
length = "long"
width = "wide"
[piece.stock]
shape = "plate"
size = ["thick"]
material = "material"
[[piece.hole]]
name = "first"
at = ["hole_x", "40 mm"]
size = "hole"
[[piece.hole]]
name = "second"
when = "second > 0 mm"
at = ["second", "40 mm"]
size = "9 mm"

[[piece]]
name = "strip"
[piece.strip]
width = "30 mm"
thickness = "3 mm"
inside_radius = "radius"
steps = [
  { flat = "left", name = "left leg" },
  { bend = "90 deg", turn = "up" },
  { flat = "middle", name = "seat" },
  { bend = "90 deg", turn = "up" },
  { flat = "right", name = "right leg" },
]
[piece.stock]
shape = "flat bar"
size = ["30 mm", "3 mm"]
material = "material"

[[piece]]
name = "bar"
count = "count"
[piece.section]
length = "bar"
right_end = "lean"
mitre_across = "top"
[piece.stock]
shape = "square tube"
size = ["30 mm", "30 mm", "2 mm"]
material = "material"
[[piece.hole]]
name = "pin"
on = "top"
when = "bar_hole > 0 mm"
along = "bar_hole"
across = "15 mm"
size = "9 mm"
"#;

fn files(old: &[(&str, &str)], new: &[(&str, &str)]) -> Memory {
    let mut files = Memory::default();
    let job = |answers: &[(&str, &str)]| {
        let with: String = answers.iter().map(|(k, v)| format!("with.{k} = \"{v}\"\n")).collect();
        format!("job = \"t\"\nbin = \"bin.toml\"\n[[part]]\nname = \"P\"\ntemplate = \"pieces\"\n{with}")
    };
    files.0.insert(PathBuf::from("old.toml"), job(old));
    files.0.insert(PathBuf::from("new.toml"), job(new));
    files.0.insert(PathBuf::from("pieces.toml"), OWN.to_string());
    files.0.insert(
        PathBuf::from("bin.toml"),
        "[[buy]]\nid = \"T-6\"\nshape = \"square tube\"\nsize = \"30 x 30 x 2 mm\"\nmaterial = \"mild steel\"\nlength = \"6 m\"\nprice = 31.50\n"
            .to_string(),
    );
    files
}

fn held(old: &[(&str, &str)], new: &[(&str, &str)]) -> Comparison {
    let files = files(old, new);
    let request = Request { job: PathBuf::from("new.toml"), bin: None };
    compare(&files, Path::new("old.toml"), &request, Effort::QUICK).unwrap_or_else(|t| panic!("{:?}", t.diagnostics))
}

fn class(c: &Comparison, piece: &str) -> &'static str {
    c.rows.iter().find(|r| r.key == format!("P/{piece}")).unwrap_or_else(|| panic!("{piece}")).word()
}

/// Changed answer, piece, class wanted; all other pieces stay.
const PLANTED: &[(&str, &str, &str, &str)] = &[
    // Plates.
    ("long", "110 mm", "plate", "cut down"),
    ("long", "125 mm", "plate", "make again"),
    ("long", "100 mm", "plate", "cut down"),
    ("wide", "79 mm", "plate", "cut down"),
    ("wide", "50 mm", "plate", "cut down"),
    ("wide", "81 mm", "plate", "make again"),
    ("thick", "6 mm", "plate", "make again"),
    ("hole", "9.5 mm", "plate", "drill more"),
    ("hole", "11 mm", "plate", "drill more"),
    ("hole", "8.5 mm", "plate", "drill anew"),
    ("hole_x", "31 mm", "plate", "drill anew"),
    ("hole_x", "60 mm", "plate", "drill anew"),
    ("hole_x", "90 mm", "plate", "cut down"), // turned half round
    ("second", "80 mm", "plate", "drill more"),
    ("second", "95 mm", "plate", "drill more"),
    // Bent strips: legs are cut down, everything between the bends is not.
    ("left", "55 mm", "strip", "cut down"),
    ("left", "62 mm", "strip", "make again"),
    ("right", "40 mm", "strip", "cut down"),
    ("right", "71 mm", "strip", "make again"),
    ("middle", "99 mm", "strip", "make again"),
    ("middle", "101 mm", "strip", "make again"),
    ("radius", "5 mm", "strip", "make again"),
    ("radius", "8 mm", "strip", "make again"),
    // Bars.
    ("bar", "290 mm", "bar", "cut down"),
    ("bar", "200 mm", "bar", "cut down"),
    ("bar", "301 mm", "bar", "make again"),
    ("bar", "120 mm", "bar", "cut down"),
    ("bar_hole", "101 mm", "bar", "drill anew"),
    ("bar_hole", "200 mm", "bar", "drill anew"),
    ("lean", "80 deg", "bar", "cut down"),
    ("lean", "100 deg", "bar", "cut down"),
    ("count", "0", "bar", "not needed"),
];

#[test]
fn every_planted_change_is_classed_as_at_the_bench_and_nothing_else_is_touched() {
    for (answer, value, piece, wanted) in PLANTED {
        let c = held(&[], &[(answer, value)]);
        assert_eq!(class(&c, piece), *wanted, "{answer} = {value}: {:?}", c.rows);
        for other in ["plate", "strip", "bar"].iter().filter(|p| *p != piece) {
            assert_eq!(class(&c, other), "stays", "{answer} = {value} touches {other}");
        }
    }
}

/// Several answers at once.
type Several = (&'static [(&'static str, &'static str)], &'static str, &'static str);
const SEVERAL: &[Several] = &[
    (&[("long", "100 mm"), ("hole_x", "10 mm")], "plate", "cut down"), // 20 mm off the left
    (&[("long", "100 mm"), ("hole_x", "25 mm")], "plate", "cut down"), // 5 off the left, 15 off the right
    (&[("long", "100 mm"), ("second", "70 mm")], "plate", "cut down"),
    (&[("left", "50 mm"), ("right", "50 mm")], "strip", "cut down"),
    (&[("left", "65 mm"), ("right", "50 mm")], "strip", "make again"),
    (&[("bar", "250 mm"), ("bar_hole", "50 mm")], "bar", "cut down"),
    (&[("bar", "250 mm"), ("bar_hole", "75 mm")], "bar", "cut down"),
    (&[("bar", "150 mm"), ("bar_hole", "0 mm")], "bar", "cut down"), // the hole goes with the waste
    (&[("bar", "250 mm"), ("bar_hole", "0 mm")], "bar", "make again"),
    (&[("bar", "250 mm"), ("lean", "80 deg")], "bar", "cut down"),
    (&[("bar", "298 mm"), ("lean", "80 deg")], "bar", "cut down"),
    (&[("material", "6061-T6")], "plate", "make again"),
];

#[test]
fn changes_that_come_together_are_seen_together() {
    assert!(PLANTED.len() + SEVERAL.len() >= 40);
    for (answers, piece, wanted) in SEVERAL {
        let c = held(&[], answers);
        assert_eq!(class(&c, piece), *wanted, "{answers:?}: {:?}", c.rows);
    }
}

#[test]
fn what_comes_off_is_told_to_the_millimetre() {
    let c = held(&[], &[("long", "100 mm"), ("hole_x", "25 mm")]);
    let json = c.json();
    let plate = json["pieces"].as_array().unwrap().iter().find(|p| p["piece"] == "P/plate").unwrap();
    assert_eq!(plate["off_mm"], serde_json::json!([5.0, 15.0, 0.0, 0.0]), "{plate}");
    let text = c.text();
    assert!(text.contains("5 mm off its left end, 15 mm off its right end"), "{text}");
}

#[test]
fn copies_are_counted_and_the_missing_ones_are_priced() {
    let c = held(&[("count", "2")], &[("count", "5")]);
    let bar = c.rows.iter().find(|r| r.key == "P/bar").unwrap();
    assert_eq!((bar.kept, bar.make, bar.over), (2, 3, 0));
    assert_eq!((c.money, c.bought.as_slice()), (315_000, ["T-6".to_string()].as_slice()));
    let c = held(&[("count", "5")], &[("count", "2"), ("bar", "310 mm")]);
    let bar = c.rows.iter().find(|r| r.key == "P/bar").unwrap();
    assert_eq!((bar.kept, bar.make, bar.over), (0, 2, 5));
    assert!(c.text().contains("5 x P/bar: 300 mm of square tube"), "{}", c.text());
}

#[test]
fn a_record_says_the_same_as_the_job_it_was_written_from() {
    for answers in PLANTED.iter().map(|p| (p.0, p.1)) {
        let mut all = files(&[], &[answers]);
        let old = run(&all, &Request { job: PathBuf::from("old.toml"), bin: None }).unwrap();
        let record = serde_json::json!({ "flat": flats_json(&old.worked.flats) }).to_string();
        all.0.insert(PathBuf::from("job.json"), record);
        let request = Request { job: PathBuf::from("new.toml"), bin: None };
        let by = |old: &str| compare(&all, Path::new(old), &request, Effort::QUICK).unwrap().json().to_string();
        assert_eq!(by("old.toml"), by("job.json"), "{answers:?}");
    }
}

#[test]
fn a_record_that_is_broken_is_told_and_never_a_panic() {
    let mut all = files(&[], &[]);
    for broken in [
        "{",
        "{}",
        "{\"pieces\": 3}",
        "{\"pieces\": [{}]}",
        "{\"flat\": {\"pieces\": [{\"part\": 1}]}}",
        "{\"pieces\": [{\"part\": \"P\", \"piece\": \"plate\", \"stock\": {\"shape\": \"plate\", \"size\": \"huge\"}}]}",
    ] {
        all.0.insert(PathBuf::from("job.json"), broken.to_string());
        let request = Request { job: PathBuf::from("new.toml"), bin: None };
        let t = compare(&all, Path::new("job.json"), &request, Effort::QUICK).unwrap_err();
        assert_eq!(t.diagnostics[0].code, "old-record", "{broken}");
    }
}

#[test]
fn a_reading_that_is_out_turns_findings_and_pieces_over() {
    let mut all = files(&[], &[]);
    let job = "job = \"t\"\nbin = \"bin.toml\"\n[measured]\nlong = \"120 mm\"\nhole = \"long - 90 mm\"\n[[part]]\nname = \"P\"\ntemplate = \"pieces\"\nwith.long = \"long\"\nwith.hole_x = \"hole\"\n";
    all.0.insert(PathBuf::from("new.toml"), job.to_string());
    let request = Request { job: PathBuf::from("new.toml"), bin: None };
    let base = run(&all, &request).unwrap();
    let asks = ["long=±18mm".to_string()];
    let found = droprack::run::around(&all, &request, &base, &asks).unwrap();
    assert_eq!(found.len(), 2);
    // 18 mm less: the hole's middle is 12 mm from the edge, 1.33 of its diameter: wanted 1.5.
    assert!(!found[0].more && found[0].turned.iter().any(|t| t.from == "meets" && t.to == "warn"), "{found:?}");
    // The plate is longer on both sides of the hole: made again.
    assert!(found[1].more && found[1].again.len() == 1 && found[1].again[0].contains("18.0 mm too short"), "{found:?}");
    assert_eq!((found[0].stay, found[1].stay), (2, 2));
    // Too much out: the first fault is told, not a panic.
    let asks = ["long=±100mm".to_string()];
    let found = droprack::run::around(&all, &request, &base, &asks).unwrap();
    assert!(!found[0].fault.is_empty() && found[1].fault.is_empty(), "{found:?}");
    for bad in ["lung=±5mm", "long=±5deg", "long"] {
        let t = droprack::run::around(&all, &request, &base, &[bad.to_string()]).unwrap_err();
        assert_eq!(t.diagnostics[0].code, "around", "{bad}");
    }
}

#[test]
fn what_stays_is_written_again_to_the_byte() {
    let all = files(&[], &[("left", "55 mm")]);
    let made = |job: &str| {
        let o = run(&all, &Request { job: PathBuf::from(job), bin: None }).unwrap();
        let files = droprack::run::make(&o).unwrap().folder;
        let flat = flats_json(&o.worked.flats)["pieces"].as_array().unwrap().clone();
        let own: Vec<(String, Vec<u8>)> =
            files.files().filter(|f| f.0.starts_with("pieces/")).map(|(n, b)| (n.to_string(), b.to_vec())).collect();
        (flat, own)
    };
    let (was, is) = (made("old.toml"), made("new.toml"));
    assert_eq!(was.0[0], is.0[0]);
    assert_ne!(was.0[1], is.0[1]);
    assert_eq!(was.0[2], is.0[2]);
    assert!(was.1.len() >= 15, "{}", was.1.len());
    for ((name, a), (other, b)) in was.1.iter().zip(&is.1) {
        assert_eq!(name, other);
        assert_eq!(a == b, !name.contains("strip"), "{name}");
    }
}
