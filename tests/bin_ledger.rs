//! The scrap bin as a ledger: lines in, bookings out, and nothing that was not
//! meant is touched. Texts and numbers are invented.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end
#![allow(clippy::disallowed_methods)] // a test may write files

use droprack::run::bin::{AddRequest, BookRequest, Filter, add, bin_check, book, edit, history, list, remove, undo};
use droprack::units::Length;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};

/// Numbers that look random and are the same in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }
    fn of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len() as u64) as usize]
    }
}

fn lines(bin: &Path, all: &[&str]) -> AddRequest {
    let texts = all.iter().map(|l| ("line".to_string(), (*l).to_string())).collect();
    AddRequest { bin: bin.to_path_buf(), texts, ..AddRequest::default() }
}

fn ids(bin: &Path) -> Vec<String> {
    list(bin, &Filter::default()).unwrap().0.into_iter().map(|l| l.entry.id).collect()
}

fn told(t: &droprack::run::Trouble) -> String {
    t.diagnostics.iter().map(|d| format!("{}: {}\n", d.code, d.message)).collect()
}

#[test]
fn lines_in_the_words_of_the_trade_become_offcuts() {
    let dir = tempfile::tempdir().unwrap();
    let bin = dir.path().join("bin.toml");
    add(&lines(
        &bin,
        &[
            "angle 1-1/2 x 1-1/2 x 1/8, 2 ft 5-3/8 in, where rack B",
            "2 x flat 40 x 3 mm, 872 mm, galvanised, unusable 300 to 340 mm, left end 45 deg, note \"bent, a little\"",
            "square tube 40 x 40 x 3 mm, 1.2 m, seam on top, wall 2.9 mm, grade unknown, not weldable, measured twice",
            "sheet 16 gauge sheet steel, 600 x 400 mm, corner missing 200 x 100 mm, hole 50 mm at (100, 80) mm",
            "plate 5 mm, corners (0, 0) (24, 0) (24, 12) (0, 16) in, held for Juniper, keep, id MINE",
        ],
    ))
    .unwrap();
    let (all, _) = list(&bin, &Filter::default()).unwrap();
    let seen: Vec<&str> = all.iter().map(|l| l.entry.id.as_str()).collect();
    assert_eq!(seen, ["A-01", "F-01", "F-02", "S-01", "P-01", "MINE"]);
    // 2 ft 5-3/8 in is 29.375 in, 25.4 mm each by definition.
    assert!((all[0].entry.length.to_mm() - 29.375 * 25.4).abs() < 1e-9);
    let flat = &all[1].entry;
    assert_eq!(
        (flat.facts.coating.as_str(), flat.ends_deg.0, flat.facts.note.as_str()),
        ("zinc", 45.0, "bent, a little")
    );
    assert_eq!(flat.unusable, [(Length::mm(300.0), Length::mm(340.0))]);
    let tube = &all[3].entry;
    assert_eq!(tube.remarks(), ["weld seam top", "wall measured 2.9 mm", "grade unknown", "not to be welded"]);
    assert_eq!(tube.doubt, Length::ZERO);
    let sheet = &all[4].entry;
    let corners: Vec<(f64, f64)> = sheet.outline.iter().map(|p| (p.x, p.y)).collect();
    assert_eq!(corners, [(0.0, 0.0), (600.0, 0.0), (600.0, 300.0), (400.0, 300.0), (400.0, 400.0), (0.0, 400.0)]);
    assert_eq!(sheet.holes.len(), 1);
    assert!(!all[5].entry.is_free_for("Juniper") && all[5].entry.facts.held_for == "Juniper");
    // 872 mm x 40 mm x 3 mm at 7850 kg/m3, worked out by hand.
    assert!((all[1].mass.unwrap().to_kg() - 872.0 * 40.0 * 3.0 * 7.85e-6).abs() < 1e-9);
    // An id is never given twice, even after its bar is gone.
    remove(&bin, &["F-02".to_string()]).unwrap();
    assert_eq!(add(&lines(&bin, &["flat bar 20 x 5 mm, 1 m"])).unwrap().offcuts[0].0, "F-03");
}

#[test]
fn wrong_lines_are_told_one_by_one_and_nothing_is_written() {
    let dir = tempfile::tempdir().unwrap();
    let bin = dir.path().join("bin.toml");
    for (line, code, says) in [
        ("flat bar 40 x 3, 872 mm", "bad-size", "millimetres or inches"),
        ("agnle 40 x 40 x 3 mm, 5 m", "bin-line", "no shape"),
        ("flat bar 40 x 3 mm, lenght 5 m", "bin-line", "not understood"),
        ("flat bar 40 x 3 mm", "missing-key", "length"),
        ("flat bar 40 x 3 mm, 5 m, 6 m", "bin-line", "twice"),
        ("flat bar 40 x 3 mm, 5 m, seam top", "misplaced-key", "seam"),
        ("round bar 20 mm, 1 m, wall 2 mm", "misplaced-key", "wall"),
        ("plate 3 mm, corners (0, 0) (10, 10) (0, 10) (10, 0) mm", "bad-outline", "crosses"),
        ("plate 3 mm, 600 x 400 mm, hole 50 mm at (590, 80) mm", "bad-outline", "inside"),
        ("plate 3 mm, 600 mm", "missing-key", "width"),
        ("flat bar 40 x 3 mm, 0.1 mm", "outside-limits", "length"),
        ("0 x flat bar 40 x 3 mm, 1 m", "bin-line", "1 to 1000"),
        ("", "bin-line", "no offcut"),
    ] {
        let (trouble, _) = add(&lines(&bin, &[line])).unwrap_err();
        assert_eq!(trouble.diagnostics.len(), 1, "{line}: {}", told(&trouble));
        assert!(told(&trouble).starts_with(code) && told(&trouble).contains(says), "{line}: {}", told(&trouble));
        assert!(!bin.exists());
    }
    let mixed = lines(&bin, &["flat bar 40 x 3 mm, 1 m", "nonsense"]);
    let (_, good) = add(&mixed).unwrap_err();
    assert_eq!(good, ["flat bar 40 x 3 mm, 1 m"]);
    let added = add(&AddRequest { skip_bad: true, ..mixed }).unwrap();
    assert_eq!((added.offcuts.len(), added.left_out.len()), (1, 1));
}

#[test]
fn csv_reads_as_lines_do() {
    let dir = tempfile::tempdir().unwrap();
    let bin = dir.path().join("bin.toml");
    let csv = "shape;size;length;width;where;count\n# a remark\nflat bar;40 x 3 mm;872 mm;;\"rack A; left\";2\nplate;5 mm;600 mm;400 mm;;\n";
    let request = AddRequest {
        bin: bin.clone(),
        texts: vec![("x.csv".into(), csv.into())],
        usual: vec![("note", "swept".into())],
        skip_bad: false,
    };
    add(&request).unwrap();
    let (all, _) = list(&bin, &Filter::default()).unwrap();
    assert_eq!(
        all.iter().map(|l| l.line.as_str()).collect::<Vec<_>>(),
        [
            "flat bar 40 x 3 mm, 872 mm, where rack A; left, note swept, id F-01",
            "flat bar 40 x 3 mm, 872 mm, where rack A; left, note swept, id F-02",
            "plate 5 mm, 600 mm x 400 mm, note swept, id P-01",
        ]
    );
    for (bad, says) in [
        ("shape,size,lenght\nflat bar,40 x 3 mm,872 mm\n", "column is called \"lenght\""),
        ("shape,size,length,count\nflat bar,40 x 3 mm,872 mm,many\n", "whole number from 1 to 1000"),
        ("shape,size,length\nflat bar,40 x 3 mm,872 mm,rack A\n", "4 values, and there are 3 columns"),
        ("shape,size,length\nflat iron,40 x 3 mm,872 mm\n", "shape is \"flat iron\""),
        ("shape,size,length\nflat bar,40 x 3 mm,\n", "needs `length`"),
    ] {
        let texts = vec![("x.csv".into(), bad.into())];
        let (trouble, _) = add(&AddRequest { texts, ..request.clone() }).unwrap_err();
        assert!(told(&trouble).contains(says), "{}", told(&trouble));
        assert!(trouble.diagnostics.iter().all(|d| !d.help.is_empty()), "{}", told(&trouble));
    }
}

/// A bin as a person might have written it, and the bytes round each offcut.
fn messy(dice: &mut Dice, end: &str) -> String {
    let mut out = String::new();
    if dice.below(3) == 0 {
        out.push('\u{feff}');
    }
    for _ in 0..dice.below(3) {
        out += &format!("# what the heading says{end}");
    }
    out += &format!("form = 1{end}");
    if dice.below(2) == 0 {
        out += &format!("{end}[saw]   # the chop saw{end}  kerf = \"3 mm\"\t# measured{end}");
    }
    for i in 0..dice.below(9) {
        for _ in 0..dice.below(3) {
            out += end;
        }
        if dice.below(3) == 0 {
            out += &format!("# belongs to {i}{end}");
        }
        out += *dice.of(&["[[offcut]]", "[[ offcut ]]", "  [[offcut]]  # here", "[[\"offcut\"]]"]);
        out += end;
        out += &format!("id = \"M-{i}\"{end}");
        let note = *dice.of(&["note = \"a # [[offcut]]\"", "note = '''", "note = 'x'   # why", "", "# loose"]);
        if note.ends_with("'''") {
            out += &format!("note = '''{end}[[offcut]]{end}'' '''{end}");
        } else if !note.is_empty() {
            out += &format!("{note}{end}");
        }
        if dice.below(3) == 0 {
            out += &format!(
                "shape = \"plate\"{end}size=\"5 mm\"{end}outline = [{end}  \"0 mm, 0 mm\", # ]{end}  \"90 mm, 0 mm\",{end}\t\"0 mm, {} mm\"{end}]{end}",
                50 + i
            );
            if dice.below(2) == 0 {
                out += &format!("  [[offcut.hole]]{end}  at = [\"20 mm\", \"20 mm\"]{end}  size = \"5 mm\"{end}");
            }
        } else {
            let length = 100 + dice.below(900);
            out += &format!("shape = \"flat bar\"{end}size = \"40 x 3 mm\"{end}length = \"{length} mm\"{end}");
        }
    }
    if dice.below(2) == 0 {
        out += &format!(
            "{end}[[buy]]{end}shape = \"flat bar\"{end}size = \"40 x 3 mm\"{end}length = \"6 m\"{end}price = 9.00{end}# the dealer{end}"
        );
    }
    if dice.below(3) == 0 {
        out.truncate(out.trim_end().len());
    }
    out
}

/// Whether the lines of one text are among those of another, in the same order.
fn lines_kept(less: &str, more: &str) -> bool {
    let mut rest = more.lines();
    less.lines().filter(|l| !l.trim().is_empty()).all(|l| rest.any(|m| m == l))
}

/// What was not meant is as it was.
fn stayed(before: &str, after: &str, case: u64) {
    let crlf = before.contains("\r\n");
    assert_eq!(after.matches('\n').count() == after.matches("\r\n").count(), crlf, "case {case}");
    assert_eq!(after.starts_with('\u{feff}'), before.starts_with('\u{feff}'));
    let heads = |t: &str| t.lines().filter(|l| l.starts_with("id = ")).count();
    match heads(after).cmp(&heads(before)) {
        std::cmp::Ordering::Greater => assert!(lines_kept(before, after), "case {case}"),
        std::cmp::Ordering::Less => assert!(lines_kept(after, before), "case {case}"),
        // An edit: the lines that are not its two keys are as they were. A note of
        // several lines goes as a whole.
        std::cmp::Ordering::Equal if before.contains("'''") => {}
        std::cmp::Ordering::Equal => {
            let others = |t: &str| -> Vec<String> {
                t.lines()
                    .filter(|l| !l.starts_with("where =") && !l.starts_with("note ="))
                    .map(str::to_string)
                    .collect()
            };
            assert_eq!(others(before), others(after), "case {case}");
        }
    }
}

/// Adds, removes, edits and undoes at random; a model of ids says what must be
/// there, and every byte that was not meant stays.
fn random_edits(cases: u64) {
    let dir = tempfile::tempdir().unwrap();
    let mut dice = Dice(7);
    for case in 0..cases {
        let bin = dir.path().join(format!("bin{}.toml", case % 16));
        let _ = fs::remove_dir_all(bin.with_extension("history"));
        let text = messy(&mut dice, if case % 3 == 0 { "\r\n" } else { "\n" });
        fs::write(&bin, &text).unwrap();
        let mut model = vec![ids(&bin)];
        let mut texts = vec![text];
        for _ in 0..1 + dice.below(4) {
            let now = model.last().unwrap().clone();
            let before = texts.last().unwrap().clone();
            match dice.below(4) {
                0 => {
                    let added = add(&lines(&bin, &["flat bar 20 x 5 mm, 333 mm", "plate 4 mm, 90 x 80 mm"])).unwrap();
                    let mut next = now;
                    next.extend(added.offcuts.iter().map(|o| o.0.clone()));
                    model.push(next);
                }
                1 if !now.is_empty() => {
                    let id = dice.of(&now).clone();
                    remove(&bin, std::slice::from_ref(&id)).unwrap();
                    model.push(now.into_iter().filter(|i| *i != id).collect());
                }
                2 if !now.is_empty() => {
                    let id = dice.of(&now).clone();
                    edit(&bin, &id, &[("where".into(), "rack \"Z\"".into()), ("note".into(), String::new())]).unwrap();
                    model.push(now);
                }
                _ if texts.len() > 1 => {
                    undo(&bin).unwrap();
                    model.pop();
                    texts.pop();
                    assert_eq!(&fs::read_to_string(&bin).unwrap(), texts.last().unwrap(), "case {case}");
                    continue;
                }
                _ => continue,
            }
            let after = fs::read_to_string(&bin).unwrap();
            assert_eq!(&ids(&bin), model.last().unwrap(), "case {case}\n{before}\n---\n{after}");
            stayed(&before, &after, case);
            texts.push(after);
        }
    }
}

#[test]
fn what_is_not_meant_stays_to_the_byte() {
    let cases = std::env::var("LEDGER_CASES").ok().and_then(|c| c.parse().ok()).unwrap_or(300);
    random_edits(cases);
}

/// A bin and a plan over it, as `make` would write it.
fn plan_of(dice: &mut Dice, folder: &Path) -> (PathBuf, PathBuf) {
    // Whole nanometres, as the planner reckons.
    let mm = |nm: u64| nm as f64 / 1e6;
    let kerf = 1_000_000 + dice.below(3_000_000);
    let trim = dice.below(4) * 1_000_000;
    let doubt = 2_000_000;
    let mut text = format!("[saw]\nkerf = \"{} mm\"\ntrim = \"{} mm\"\nkeep = \"200 mm\"\n", mm(kerf), mm(trim));
    let (mut bars, mut stock) = (vec![], vec![]);
    for i in 0..1 + dice.below(6) {
        let whole = 500_000_000 + dice.below(5_500_000_000);
        let (length, id) = (mm(whole), format!("F-{i:02}"));
        text += &format!(
            "\n[[offcut]]\nid = \"{id}\"\nshape = \"flat bar\"\nsize = \"40 x 3 mm\"\nlength = \"{length} mm\"\n"
        );
        stock.push(json!({ "id": id, "shape": "flat bar", "size": "40 x 3 mm", "material": "mild steel",
            "length_mm": length, "doubt_mm": 2.0, "unusable_mm": [], "left_end_deg": 90.0, "right_end_deg": 90.0 }));
        let (mut at, mut cuts) = (trim, vec![]);
        loop {
            let end = at + 20_000_000 + dice.below(400_000_000);
            if end + trim + doubt > whole {
                break;
            }
            let part = *dice.of(&["strap", "hanger", "pad"]);
            cuts.push(json!({ "part": part, "from_mm": mm(at), "to_mm": mm(end), "left_end_deg": 90.0, "right_end_deg": 90.0 }));
            at = end + kerf;
        }
        let rest = whole.saturating_sub(at + trim + doubt);
        let kept = rest >= 200_000_000;
        if !cuts.is_empty() {
            bars.push(json!({ "stock": id, "bought": false, "length_mm": length, "price": 0.0, "cuts": cuts,
                "remainder_mm": mm(if kept { whole - at } else { rest }), "kept": kept }));
        }
    }
    let plan = json!({ "job": "Juniper", "cut_plan": {
        "groups": [{ "shape": "flat bar", "size": "40 x 3 mm", "material": "mild steel", "bars": bars }],
        "sheets": [], "stock": stock, "saw": { "kerf_mm": mm(kerf), "trim_mm": mm(trim), "keep_mm": 200.0 } } });
    let (bin, file) = (folder.join("bin.toml"), folder.join("job.json"));
    let _ = fs::remove_dir_all(folder.join("bin.history"));
    fs::write(&bin, text).unwrap();
    fs::write(&file, plan.to_string()).unwrap();
    (bin, file)
}

fn nm(mm: f64) -> i64 {
    (mm * 1e6).round() as i64
}

fn whole_length(bin: &Path) -> i64 {
    list(bin, &Filter::default()).unwrap().0.iter().map(|l| nm(l.entry.length.to_mm())).sum()
}

/// Steel is neither made nor lost: what was there is pieces, kerf, trim, waste
/// and what comes back, in whole nanometres; in one booking or part by part.
#[test]
fn bookings_conserve_steel() {
    let dir = tempfile::tempdir().unwrap();
    let mut dice = Dice(11);
    for case in 0..200 {
        let (bin, plan) = plan_of(&mut dice, dir.path());
        let text = fs::read_to_string(&bin).unwrap();
        let file: Value = serde_json::from_str(&fs::read_to_string(&plan).unwrap()).unwrap();
        let planned: i64 = file["cut_plan"]["groups"][0]["bars"]
            .as_array()
            .unwrap()
            .iter()
            .flat_map(|b| b["cuts"].as_array().unwrap())
            .map(|c| nm(c["to_mm"].as_f64().unwrap()) - nm(c["from_mm"].as_f64().unwrap()))
            .sum();
        let parts: &[&[&str]] = if case % 2 == 0 { &[&[]] } else { &[&["pad"], &["strap"], &["hanger"]] };
        let mut cut = 0;
        for only in parts {
            let before = whole_length(&bin);
            let request = BookRequest {
                bin: bin.clone(),
                plan: plan.clone(),
                only: only.iter().map(|p| (*p).to_string()).collect(),
                left: vec![],
            };
            let booked = match book(&request) {
                Ok(b) => b,
                // A part that this plan has none of, or a plan without a cut.
                Err(t) if ["bin-plan", "bin-booked"].contains(&t.diagnostics[0].code) => continue,
                Err(t) => panic!("case {case}: {}", told(&t)),
            };
            for a in &booked.accounts {
                assert_eq!(a.pieces + a.back + a.waste + a.kerf + a.trim, a.length, "case {case}: {a:?}");
                assert!([a.pieces, a.back, a.waste, a.kerf, a.trim].iter().all(|v| *v >= 0));
            }
            let gone: i64 = booked.accounts.iter().map(|a| a.pieces + a.waste + a.kerf + a.trim).sum();
            assert_eq!(whole_length(&bin), before - gone, "case {case}");
            cut += booked.accounts.iter().map(|a| a.pieces).sum::<i64>();
        }
        assert_eq!(cut, planned, "case {case}");
        let again = book(&BookRequest { bin: bin.clone(), plan: plan.clone(), ..BookRequest::default() });
        assert!(again.is_err(), "case {case}");
        while undo(&bin).is_ok() {}
        assert_eq!(fs::read_to_string(&bin).unwrap(), text, "case {case}");
    }
}

#[test]
fn a_booking_is_refused_when_what_it_uses_has_changed() {
    let dir = tempfile::tempdir().unwrap();
    let mut dice = Dice(3);
    let (bin, plan) = plan_of(&mut dice, dir.path());
    let request = BookRequest { bin: bin.clone(), plan, ..BookRequest::default() };
    let first = ids(&bin)[0].clone();
    // What it does not use may change, and remarks too.
    add(&lines(&bin, &["flat bar 40 x 3 mm, 1 m"])).unwrap();
    edit(&bin, &first, &[("where".into(), "under the bench".into())]).unwrap();
    edit(&bin, &first, &[("length".into(), "400 mm".into())]).unwrap();
    let text = fs::read_to_string(&bin).unwrap();
    let trouble = book(&request).unwrap_err();
    assert!(told(&trouble).contains("bin-changed") && told(&trouble).contains("length mm was"), "{}", told(&trouble));
    assert_eq!(fs::read_to_string(&bin).unwrap(), text);
    undo(&bin).unwrap();
    // Held for another job now: not to be cut; held for this one: as it should be.
    edit(&bin, &first, &[("held_for".into(), "Hedgehog".into())]).unwrap();
    assert!(told(&book(&request).unwrap_err()).contains("held for was"));
    edit(&bin, &first, &[("held_for".into(), "Juniper".into())]).unwrap();
    // What was left is measured: that is what comes back.
    let left = vec![(first.clone(), Length::mm(77.0))];
    let booked = book(&BookRequest { left, ..request.clone() }).unwrap();
    let (all, _) = list(&bin, &Filter::default()).unwrap();
    let back = all.iter().find(|l| l.entry.facts.from.starts_with(&format!("{first}, job"))).unwrap();
    assert_eq!(back.entry.length, Length::mm(77.0));
    assert!(booked.out.contains(&first) && back.entry.place == "under the bench");
    undo(&bin).unwrap();
    let left = vec![(first, Length::mm(90_000.0))];
    assert!(told(&book(&BookRequest { left, ..request }).unwrap_err()).contains("bin-left"));
}

#[test]
fn undo_goes_back_again_and_again_and_over_hand_edits() {
    let dir = tempfile::tempdir().unwrap();
    let bin = dir.path().join("bin.toml");
    fs::write(&bin, "# mine\n[[offcut]]\nid = \"F-7\"\nshape = \"flat bar\"\nsize = \"40 x 3 mm\"\nlength = \"1 m\"\n")
        .unwrap();
    let start = fs::read_to_string(&bin).unwrap();
    add(&lines(&bin, &["flat bar 20 x 5 mm, 333 mm"])).unwrap();
    remove(&bin, &["F-7".to_string()]).unwrap();
    // By hand: a remark on top, which no change knows of.
    let text = fs::read_to_string(&bin).unwrap();
    fs::write(&bin, format!("# new remark\n{text}")).unwrap();
    assert_eq!(undo(&bin).unwrap().what, "remove");
    assert_eq!(ids(&bin).len(), 2);
    assert_eq!(undo(&bin).unwrap().what, "add");
    assert_eq!(ids(&bin), ["F-7"]);
    assert!(told(&undo(&bin).unwrap_err()).contains("nothing to take back"));
    let now = fs::read_to_string(&bin).unwrap();
    assert!(now.starts_with("# new remark\n# mine\n") && now.contains("length = \"1 m\""), "{now}\n{start}");
    let what: Vec<String> =
        history(&bin, 9).unwrap().into_iter().map(|h| format!("{}{}", h.what, u8::from(h.taken_back))).collect();
    assert_eq!(what, ["undo0", "undo0", "remove1", "add1"]);
}

#[test]
fn slips_in_the_bin_are_told() {
    let dir = tempfile::tempdir().unwrap();
    let bin = dir.path().join("bin.toml");
    add(&lines(
        &bin,
        &[
            "3 x flat bar 40 x 3 mm, 800 mm, where rack A",
            "flat bar 40.5 x 3 mm, 700 mm",
            "flat bar 3 x 40 mm, 700 mm",
            "square tube 40 x 40 x 20 mm, 700 mm",
            "round bar 20 mm, 13 m",
        ],
    ))
    .unwrap();
    let told: String = bin_check(&bin).unwrap().iter().map(|(id, words)| format!("{id}: {words}\n")).collect();
    for part in [
        "F-02: the same as F-01",
        "F-04: 40.5 x 3 mm is nearly 40 x 3 mm",
        "thicker than it is wide",
        "no room inside",
        "B-01: 13000 mm long",
    ] {
        assert!(told.contains(part), "{part}\n{told}");
    }
    assert_eq!(told.lines().count(), 6, "{told}");
}
