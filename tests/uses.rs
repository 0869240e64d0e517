//! Templates that use others: what comes along, where it stands, what is read out of
//! it, and what is refused. Expected numbers are worked out by hand.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::checks::Verdict;
use droprack::cut::Effort;
use droprack::expr::Value;
use droprack::report::template_text;
use droprack::run::{Outcome, Request, Trouble, check_template, compare, run, templates};
use droprack::source::Memory;
use droprack::space::Point3;
use std::path::{Path, PathBuf};

/// A post on a foot of one's own, with two gussets and, where it is wanted, a tab.
const POST: &str = r#"
template = "post"
says = "A post on a foot, with two gussets and a tab"
[ask.tall]
what = "height"
kind = "length"
example = "300 mm"
[ask.tabbed]
what = "with a tab or without"
kind = "choice"
choices = ["tab", "bare"]
usual = "bare"
[ask.steel]
what = "its steel"
kind = "material"
usual = "mild steel"
[work_out]
leg = "foot.size / 2"
lever = "2 * brace.run_a"
tab_up = "if tabbed is tab then lug.height else 0 mm"
[[piece]]
name = "post"
notes = ["A gusset is welded on {brace.run_a}, lever {lever}, tab {tab_up}"]
[[piece.place]]
at = ["-20 mm", "-20 mm", "0 mm"]
turn_y = "-90 deg"
[piece.section]
length = "tall"
[piece.stock]
shape = "square tube"
size = ["40 mm", "40 mm", "3 mm"]
material = "steel"
[[uses]]
template = "foot"
name = "foot"
with.wide = "tall / 2"
with.steel = "steel"
[[uses.place]]
at = ["-foot.size / 2", "-foot.size / 2", "0 mm"]
[[uses]]
template = "gusset"
name = "brace"
count = 2
with.leg_a = "leg"
with.thickness = "if tall > 200 mm then 4 mm else 3 mm"
with.material = "steel"
[[uses.place]]
at = ["100 mm", "0 mm", "0 mm"]
turn_x = "90 deg"
[[uses.place]]
at = ["-100 mm", "0 mm", "0 mm"]
turn_x = "90 deg"
turn_z = "180 deg"
[[uses]]
template = "weld-tab"
name = "lug"
when = "tabbed is tab"
with.height = "leg / 2"
with.nose = "if tall > 200 mm then 'clipped' else 'square'"
"#;

const FOOT: &str = r#"
template = "foot"
says = "A square foot with four bolts"
[ask.wide]
what = "its side"
kind = "length"
at_least = "60 mm"
example = "100 mm"
[ask.steel]
what = "its steel"
kind = "material"
usual = "mild steel"
[work_out]
size = "wide + 10 mm"
[plate]
thickness = "5 mm"
outline = "rectangle"
length = "size"
width = "size"
[stock]
shape = "plate"
size = ["5 mm"]
material = "steel"
[[hole]]
name = "bolt"
at = ["20 mm", "20 mm"]
size = "9 mm"
[[bolt]]
name = "foot bolt"
size = "8 mm"
grip = "15 mm"
at = ["20 mm", "20 mm", "0 mm"]
[[hardware]]
bolt = "9 mm"
grip = "15 mm"
class = "'8.8'"
count = 4
"#;

const BESIDE: &[(&str, &str)] = &[("post.toml", POST), ("templates/foot.toml", FOOT)];

fn files(job: &str, beside: &[(&str, &str)]) -> Memory {
    let mut files = Memory::default();
    let job = format!("job = \"test\"\nbin = \"bin.toml\"\n{job}");
    for (name, text) in [("job.toml", job.as_str()), ("bin.toml", "")].iter().chain(beside) {
        files.0.insert(PathBuf::from(name), (*text).to_string());
    }
    files
}

fn worked(job: &str, beside: &[(&str, &str)]) -> Result<Outcome, Trouble> {
    run(&files(job, beside), &Request { job: PathBuf::from("job.toml"), bin: None })
}

fn good(job: &str, beside: &[(&str, &str)]) -> Outcome {
    worked(job, beside).unwrap_or_else(|t| panic!("{:?}", t.diagnostics)).standing(None)
}

fn post(more: &str) -> String {
    format!("[[part]]\nname = \"P\"\ntemplate = \"post\"\nwith.tall = \"300 mm\"\n{more}")
}

fn length(o: &Outcome, name: &str) -> f64 {
    match o.worked.values.get(name) {
        Some(Value::Quantity(v, _)) => *v,
        other => panic!("{name}: {other:?}"),
    }
}

fn near(what: &str, got: f64, expected: f64) {
    assert!((got - expected).abs() < 1e-6, "{what}: got {got}, expected {expected}");
}

#[test]
fn pieces_values_hardware_and_welds_come_along() {
    let o = good(&post("make = 3\n"), BESIDE);
    let pieces: Vec<(String, u32)> = o.worked.pieces.iter().map(|p| (p.key(), p.copies)).collect();
    let expected = [("P/post", 3), ("P/foot/foot", 3), ("P/brace/gusset", 6)];
    assert_eq!(pieces, expected.map(|(k, n)| (k.to_string(), n)));
    // The foot is 300 / 2 + 10 wide; a gusset is half of that, less 10 mm of cut corner.
    near("foot", length(&o, "P: foot.size"), 160.0);
    near("leg", length(&o, "P: brace.leg_a"), 80.0);
    near("lever", length(&o, "P: lever"), 2.0 * 70.0);
    assert_eq!(o.worked.pieces[0].notes, ["A gusset is welded on 70 mm, lever 140 mm, tab 0 mm"]);
    // Two gussets of 2 x 2 x 70 mm of weld; four bolts for each of three posts.
    let weld: Vec<(String, f64)> =
        o.worked.needs.welds.iter().map(|w| (w.1.name.clone(), w.1.length.to_mm())).collect();
    assert_eq!(weld, [("brace: both legs, on both faces".to_string(), 560.0)]);
    assert!(o.worked.needs.hardware.iter().any(|h| h.0.contains("M8") && h.0.contains("bolt") && h.1 == 12));
    let said: Vec<&str> = o.worked.findings.iter().map(|f| f.says.as_str()).collect();
    assert!(said.iter().any(|s| s.starts_with("brace: Cut corner clears")), "{said:?}");
    // The thickness that a formula chose reached the gusset; a choice made by formula, the tab.
    let stock =
        |o: &Outcome, name: &str| o.worked.pieces.iter().find(|p| p.name == name).unwrap().stock.size[0].to_mm();
    near("thickness", stock(&o, "brace/gusset"), 4.0);
    let tabbed = good(&post("with.tabbed = \"tab\"\n"), BESIDE);
    near("tab", length(&tabbed, "P: tab_up"), 40.0);
    assert_eq!(tabbed.worked.values.get("P: lug.nose"), Some(&Value::Word("clipped".to_string())));
}

#[test]
fn the_place_of_a_use_lies_on_top_of_the_places_of_its_pieces() {
    let o = good(&post(""), BESIDE);
    let piece = |name: &str| o.worked.pieces.iter().find(|p| p.name == name).unwrap();
    // A gusset of 4 mm stands 2 mm off its plane. Turned up, its y is z and its z is -y;
    // turned about z as well, x and y change their signs.
    let at = |i: usize, p: Point3| piece("brace/gusset").places[i].place(p);
    let same = |got: Point3, want: [f64; 3]| {
        let off = (got.x - want[0]).abs() + (got.y - want[1]).abs() + (got.z - want[2]).abs();
        assert!(off < 1e-9, "{got:?}, expected {want:?}");
    };
    same(at(0, Point3::default()), [100.0, -2.0, 0.0]);
    same(at(0, Point3::new(80.0, 0.0, 0.0)), [180.0, -2.0, 0.0]);
    same(at(0, Point3::new(0.0, 80.0, -4.0)), [100.0, 2.0, 80.0]);
    same(at(1, Point3::new(80.0, 10.0, 0.0)), [-180.0, 2.0, 10.0]);
    // The only piece of the foot stands at the foot's own origin, its bolt with it.
    same(piece("foot/foot").places[0].origin, [-80.0, -80.0, 0.0]);
    same(o.worked.parts[0].bolts[0].place.origin, [-60.0, -60.0, 0.0]);
    // The other hand is the mirror image of all of it.
    let right = good(&post("hand = \"right\"\n"), BESIDE);
    let centre = |o: &Outcome| {
        let says = o.worked.findings.iter().find(|f| f.code == "weight").map(|f| f.says.clone()).unwrap();
        says.split("at x, y, z ").nth(1).unwrap().to_string()
    };
    let (l, r) = (centre(&o), centre(&right));
    assert_eq!(l.split(", ").skip(1).collect::<Vec<_>>(), r.split(", ").skip(1).collect::<Vec<_>>());
}

#[test]
fn a_used_template_makes_what_it_makes_alone() {
    let used = good(&post(""), BESIDE);
    let alone =
        good("[[part]]\nname = \"G\"\ntemplate = \"gusset\"\nwith.leg_a = \"80 mm\"\nwith.thickness = \"4 mm\"\n", &[]);
    let flat = |o: &Outcome, name: &str| o.worked.flats.iter().find(|f| f.piece == name).cloned().unwrap();
    let (a, b) = (flat(&used, "brace/gusset"), flat(&alone, "gusset"));
    assert_eq!((a.outline, a.holes, a.volume_mm3), (b.outline, b.holes, b.volume_mm3));
}

#[test]
fn a_tray_stands_together_and_says_where_its_numbers_come_from() {
    let job = |more: &str| {
        format!(
            "[[load]]\nname = \"battery\"\nset = \"ISO 12991 light\"\nmass = \"18 kg\"\n[[part]]\nname = \"T\"\n\
             template = \"battery-tray\"\nwith.length = \"242 mm\"\nwith.width = \"175 mm\"\nwith.height = \"190 mm\"\n\
             with.load = \"battery\"\nwith.thickness = \"4 mm\"\n{more}"
        )
    };
    let o = good(&job("with.straps = 2\n"), &[]);
    let bad: Vec<_> = o.worked.findings.iter().filter(|f| f.verdict == Verdict::Fail).map(|f| &f.says).collect();
    assert!(bad.is_empty(), "{bad:?}");
    // Two bolts a strap through strap and ear, four through the mounting ears.
    let lines = o.worked.findings.iter().find(|f| f.code == "mating-holes").unwrap();
    assert!(lines.says.starts_with("12 pairs"), "{}", lines.says);
    let bolts: u32 = o.worked.needs.hardware.iter().filter(|h| h.0.contains("bolt, class")).map(|h| h.1).sum();
    assert_eq!(bolts, 8, "{:?}", o.worked.needs.hardware);
    // A strap holds half of 18 kg, 4.5 g upwards, in two legs each.
    let g = 9.806_65;
    near("leg", length(&o, "T: strap.leg_pull"), 18.0 * 4.5 * g / 2.0 / 2.0);
    near("ear", length(&o, "T: strap_ear.sideways"), 18.0 * 4.5 * g / 4.0);
    near("end", length(&o, "T: mount_ear.pull"), 18.0 * 20.0 * g / 2.0);
    // Rails 242 + 2 x 2 + 2 x 4 and 175 + 12 long; corners 8 runs of 30 mm; four ears of 31 and of 27 mm, all round.
    let flat = |name: &str| o.worked.flats.iter().find(|f| f.piece == name).unwrap().length.to_mm();
    near("long rail", flat("long rail"), 254.0);
    near("short rail", flat("short rail"), 187.0);
    let welds: f64 = o.worked.needs.welds.iter().map(|w| w.1.length.to_mm()).sum();
    near("welds", welds, 8.0 * 30.0 + 4.0 * 2.0 * (31.0 + 5.0) + 4.0 * 2.0 * (27.0 + 5.0));
    let across = |o: &Outcome| {
        let bent = |f: &&droprack::checks::Finding| f.says.starts_with("strap_ear: tab at its weld, bent flatwise");
        o.worked.findings.iter().find(bent).unwrap().set_by.clone()
    };
    let lines: Vec<String> = across(&o).iter().map(|s| format!("{} {}", s.file, s.says)).collect();
    assert!(lines.iter().any(|l| l.starts_with("job.toml `straps` is 2")), "{lines:?}");
    // Across the vehicle the other force pushes along the battery.
    let o = good(&job("with.length_lies = \"across\"\n"), &[]);
    near("end, across", length(&o, "T: mount_ear.pull"), 18.0 * 8.0 * g / 2.0);
    assert_eq!(o.worked.values.get("T: strap.lies"), Some(&Value::Word("along".to_string())));
}

#[test]
fn an_ear_in_the_wrong_place_is_found_by_the_fit() {
    let tray = templates().into_iter().find(|t| t.name == "battery-tray").unwrap().text;
    let off = tray.replace("\"-strap_apart / 2 - strap_foot / 2\"", "\"-strap_apart / 2 - strap_foot / 2 + 3 mm\"");
    assert_ne!(tray, off);
    let job = "[[part]]\nname = \"T\"\ntemplate = \"battery-tray\"\nwith.length = \"242 mm\"\nwith.width = \"175 mm\"\nwith.height = \"190 mm\"\n";
    let fails = |o: &Outcome| {
        o.worked.findings.iter().filter(|f| f.verdict == Verdict::Fail).map(|f| f.code.clone()).collect::<Vec<_>>()
    };
    assert!(fails(&good(job, &[])).is_empty());
    assert!(fails(&good(job, &[("battery-tray.toml", &off)])).contains(&"mating-holes".to_string()));
}

#[test]
fn what_was_made_is_compared_and_measured_piece_by_piece() {
    let mut all = files(&post(""), BESIDE);
    let old = all.0[Path::new("job.toml")].clone();
    all.0.insert(PathBuf::from("old.toml"), old.replace("300 mm", "320 mm"));
    let request = Request { job: PathBuf::from("job.toml"), bin: None };
    let told = compare(&all, Path::new("old.toml"), &request, Effort::QUICK).unwrap();
    let text = told.json().to_string();
    assert!(text.contains("P/foot/foot") || text.contains("\"piece\":\"foot/foot\""), "{text}");
    let as_made = "[[as_made]]\npiece = \"P/foot/foot\"\nhole = \"A\"\nx = \"0.3 mm\"\n";
    let o = good(&format!("{}{as_made}", post("")), BESIDE);
    assert!(o.worked.findings.iter().any(|f| f.code == "as-made" && f.says.contains("P/foot/foot")));
}

#[test]
fn what_a_built_in_template_uses_is_built_in() {
    // One's own tab beside the job asks other things: the tray does not see it.
    let own = FOOT.replace("template = \"foot\"", "template = \"weld-tab\"");
    let job = "[[part]]\nname = \"T\"\ntemplate = \"battery-tray\"\nwith.length = \"242 mm\"\nwith.width = \"175 mm\"\nwith.height = \"190 mm\"\n\
               [[part]]\nname = \"O\"\ntemplate = \"weld-tab\"\nwith.wide = \"90 mm\"\n";
    let o = good(job, &[("weld-tab.toml", &own)]);
    let keys: Vec<String> = o.worked.pieces.iter().map(|p| p.key()).collect();
    assert!(keys.contains(&"T/mount_ear/tab".to_string()) && keys.contains(&"O/weld-tab".to_string()), "{keys:?}");
}

#[test]
fn a_template_of_ones_own_is_looked_through_with_what_it_uses() {
    let mut all = files("", &[]);
    all.0.insert(PathBuf::from("templates/post.toml"), POST.to_string());
    all.0.insert(PathBuf::from("templates/foot.toml"), FOOT.to_string());
    let report =
        check_template(&all, Path::new("templates/post.toml")).unwrap_or_else(|t| panic!("{:?}", t.diagnostics));
    assert_eq!(report.pieces, ["post", "foot/foot", "brace/gusset"]);
    assert!(report.breaks.is_empty() && report.notes.is_empty() && report.made >= 3, "{report:?}");
    // A fault of the foot is told once, in the foot.
    all.0.insert(PathBuf::from("templates/foot.toml"), FOOT.replace("wide + 10 mm", "wide + 10 kg"));
    let told = check_template(&all, Path::new("templates/post.toml")).unwrap_err();
    let found: Vec<_> =
        told.diagnostics.iter().map(|d| (d.code, told.shown[d.labels[0].file.0].name.as_str())).collect();
    assert_eq!(found, [("formula", "templates/foot.toml")]);
}

#[test]
fn rings_depth_and_numbers_are_bounded_in_a_job() {
    let code = |name: &str, beside: &[(&str, &str)]| {
        let job = format!("[[part]]\nname = \"P\"\ntemplate = \"{name}\"\nwith.wide = \"90 mm\"\n");
        let told = worked(&job, beside).err().map(|t| t.diagnostics);
        told.map(|all| all.iter().map(|d| d.code).collect::<Vec<_>>()).unwrap_or_default()
    };
    let called = |name: &str| FOOT.replace("template = \"foot\"", &format!("template = \"{name}\""));
    let with = |name: &str, of: &str| {
        format!("{}[[uses]]\ntemplate = \"{of}\"\nname = \"{of}\"\nwith.wide = \"wide\"\n", called(name))
    };
    assert_eq!(code("a", &[("a.toml", &with("a", "a"))]), ["circle-of-templates"]);
    let ring = [("a.toml", with("a", "b")), ("b.toml", with("b", "c")), ("c.toml", with("c", "a"))];
    let ring: Vec<(&str, &str)> = ring.iter().map(|(n, t)| (*n, t.as_str())).collect();
    assert_eq!(code("b", &ring), ["circle-of-templates"]);
    let names = ["a", "b", "c", "d", "e", "f"];
    let texts: Vec<(String, String)> = (0..6)
        .map(|i| (format!("{}.toml", names[i]), names.get(i + 1).map_or(called("f"), |next| with(names[i], next))))
        .collect();
    let row: Vec<(&str, &str)> = texts.iter().map(|(n, t)| (n.as_str(), t.as_str())).collect();
    assert_eq!(code("a", &row), ["too-many-uses"]);
    assert!(code("b", &row).is_empty(), "four deep is allowed");
    // Known already from a shorter way, the depth counts all the same.
    let both = "[[part]]\nname = \"B\"\ntemplate = \"b\"\nwith.wide = \"90 mm\"\n[[part]]\nname = \"A\"\ntemplate = \"a\"\nwith.wide = \"90 mm\"\n";
    let told = worked(both, &row).err().unwrap().diagnostics;
    assert!(told.iter().any(|d| d.code == "too-many-uses"), "{told:?}");
    // Fifteen times fifteen of them.
    let many = |name: &str, of: &str| {
        let uses =
            (0..15).map(|i| format!("[[uses]]\ntemplate = \"{of}\"\nname = \"{of}{i}\"\nwith.wide = \"wide\"\n"));
        called(name) + &uses.collect::<String>()
    };
    let wide = [("a.toml", many("a", "b")), ("b.toml", many("b", "f")), ("f.toml", called("f"))];
    let wide: Vec<(&str, &str)> = wide.iter().map(|(n, t)| (*n, t.as_str())).collect();
    assert_eq!(code("a", &wide), ["too-many-uses"]);
    assert!(code("b", &wide).is_empty());
}

#[test]
fn the_list_of_questions_says_what_a_template_uses() {
    let tray = templates().into_iter().find(|t| t.name == "battery-tray").unwrap();
    let text = template_text(&tray);
    assert!(
        text.contains("It uses: hold-down-strap (as strap), weld-tab (as strap_ear), weld-tab (as mount_ear)"),
        "{text}"
    );
}

#[test]
fn a_wider_bar_of_the_bin_reaches_a_used_piece_through_its_answer() {
    let job = "[[part]]\nname = \"T\"\ntemplate = \"battery-tray\"\nwith.length = \"242 mm\"\nwith.width = \"175 mm\"\nwith.height = \"190 mm\"\naccept = [\"wider\"]\n";
    let mut all = files(job, &[]);
    let bar = "[[offcut]]\nid = \"F-1\"\nshape = \"flat bar\"\nsize = \"40 x 3 mm\"\nlength = \"1200 mm\"\n";
    all.0.insert(PathBuf::from("bin.toml"), bar.to_string());
    let o = run(&all, &Request { job: PathBuf::from("job.toml"), bin: None })
        .unwrap_or_else(|t| panic!("{:?}", t.diagnostics));
    let strap = o.worked.pieces.iter().find(|p| p.name == "strap/strap").unwrap();
    near("width", strap.stock.size[0].to_mm(), 40.0);
    near("the answer", length(&o, "T: strap_width"), 40.0);
}
