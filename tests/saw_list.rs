//! The saw list from a job and a bin to marks, and stock that stands in for
//! other stock; every figure is worked out here again.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::cut::Effort;
use droprack::drawing::{Anchor, Item, Page, Paper, PaperUnits, SawBar, Stop, draw_saw_list};
use droprack::report::{plan_json, plan_text, saw_list};
use droprack::run::{Outcome, Request, run_with};
use droprack::source::Memory;
use droprack::units::System;
use serde_json::Value;
use std::path::PathBuf;

fn outcome(job: &str, bin: &str) -> Outcome {
    let mut memory = Memory::default();
    memory.0.insert(PathBuf::from("job.toml"), job.to_string());
    memory.0.insert(PathBuf::from("bin.toml"), bin.to_string());
    let request = Request { job: PathBuf::from("job.toml"), bin: None };
    run_with(&memory, &request, Effort::NORMAL).unwrap_or_else(|t| panic!("{:?}", t.diagnostics))
}

fn cut(name: &str, length: &str, make: u32, more: &str) -> String {
    format!(
        "[[cut]]\nname = \"{name}\"\nshape = \"square tube\"\nsize = \"30 x 30 x 2 mm\"\nlength = \"{length}\"\nmake = {make}\n{more}\n"
    )
}

fn tube(id: &str, length: &str, more: &str) -> String {
    format!(
        "[[offcut]]\nid = \"{id}\"\nshape = \"square tube\"\nsize = \"30 x 30 x 2 mm\"\nlength = \"{length}\"\n{more}\n"
    )
}

const HEAD: &str = "job = \"Racks\"\nbin = \"bin.toml\"\n";
const SAW: &str = "[saw]\nkerf = \"2.5 mm\"\ntrim = \"3 mm\"\nkeep = \"150 mm\"\n";

/// Distances along the marked edge that a saw cut at this angle needs, mm.
fn blade(kerf: f64, degrees: f64) -> f64 {
    kerf / degrees.to_radians().sin()
}

/// What a list must hold whatever the job: the marks rise by piece and blade,
/// and what is left is the bar less the next mark.
fn holds_together(bars: &[SawBar], kerf: f64) {
    let mut chalk: Vec<&str> = bars.iter().flat_map(|b| &b.lines).map(|l| l.chalk.as_str()).collect();
    let pieces = chalk.len();
    chalk.sort_unstable();
    chalk.dedup();
    assert_eq!(chalk.len(), pieces, "each piece has a mark of its own");
    let mut stands = None;
    for bar in bars {
        assert_eq!(bar.squared.map_or(0.0, |s| s.0.to_mm()), bar.lines[0].from.to_mm());
        for (i, l) in bar.lines.iter().enumerate() {
            assert!((l.to.to_mm() - l.from.to_mm() - l.length.to_mm()).abs() < 1e-5, "{}", l.chalk);
            match l.stop {
                Stop::Set(at) => {
                    assert!(Some(at) != stands && (at.to_mm() - l.length.to_mm()).abs() < 1e-5, "{}", l.chalk);
                    stands = Some(at);
                }
                Stop::Stays => assert!((stands.unwrap().to_mm() - l.length.to_mm()).abs() < 1e-5, "{}", l.chalk),
                Stop::ByMark => assert!(l.length.to_mm() < 50.0, "{}", l.chalk),
            }
            let Some(next) = bar.lines.get(i + 1) else { continue };
            assert!((l.left_then.to_mm() - (bar.length.to_mm() - next.from.to_mm())).abs() < 1e-5, "{}", l.chalk);
            let shared = l.says.contains("one cut with the next");
            let (a, b) = (blade(kerf, l.ends_deg.1), blade(kerf, next.ends_deg.0));
            let gap = next.from.to_mm() - l.to.to_mm();
            assert!(shared || gap > a.max(b) - 1e-4, "{} to {}: {gap} of {a} and {b}", l.chalk, next.chalk);
            let square = l.ends_deg.1 == 90.0 && next.ends_deg.0 == 90.0;
            assert_eq!(next.first.is_some(), !(shared || square), "{}", next.chalk);
        }
    }
}

#[test]
fn keys_of_the_bin_reach_the_marks() {
    let job = format!("{HEAD}{}{}", cut("Post", "400 mm", 3, ""), cut("Stub", "45 mm", 1, ""));
    // Sound from 0 to 900 and from 960 on; the right end leans, and nothing is held back.
    let bin = format!(
        "{SAW}{}",
        tube("S-1", "1500 mm", "unusable = [\"900 mm\", \"960 mm\"]\nright_end = \"45 deg\"\ndoubt = \"0 mm\"")
    );
    let o = outcome(&job, &bin);
    assert_eq!(o.plan.uncut(), 0);
    let bars = saw_list(&o.plan, System::Metric);
    holds_together(&bars, 2.5);
    let [bar] = &bars[..] else { panic!("one bar is enough") };
    assert_eq!(bar.unusable.iter().map(|s| (s.0.to_mm(), s.1.to_mm())).collect::<Vec<_>>(), [(900.0, 960.0)]);
    for l in &bar.lines {
        let clear = l.to.to_mm() <= 900.0 || l.from.to_mm() >= 960.0;
        assert!(clear, "{} lies from {} to {}", l.chalk, l.from.to_mm(), l.to.to_mm());
    }
    // The leaning end loses 30 mm at 45 degrees, then the trim.
    let most = bar.lines.iter().map(|l| l.to.to_mm()).fold(0.0, f64::max);
    assert!(most <= 1500.0 - 30.0 - 3.0 + 1e-9, "{most}");
    assert!(bar.lines.iter().any(|l| l.stop == Stop::ByMark), "45 mm is too short for a stop");
    // A millimetre less of sound steel, and one post stays uncut.
    let less = bin.replace("unusable = [\"900 mm\", \"960 mm\"]", "unusable = [\"805 mm\", \"1075 mm\"]");
    assert!(outcome(&job, &less).plan.uncut() > 0);
}

#[test]
fn doubt_is_kept_in_reserve() {
    let job = format!("{HEAD}{}", cut("Post", "500 mm", 1, ""));
    let exact = |doubt: &str| outcome(&job, &format!("{SAW}{}", tube("S-1", "506 mm", doubt))).plan.uncut();
    assert_eq!(exact("doubt = \"0 mm\""), 0, "500 and two trims of 3");
    assert_eq!(exact(""), 1, "the usual 2 mm are held back");
    let o = outcome(&job, &format!("{SAW}{}", tube("S-1", "800 mm", "doubt = \"7 mm\"")));
    let bars = saw_list(&o.plan, System::Metric);
    assert!(bars[0].says.iter().any(|s| s.contains("7 mm of it is held back")), "{:?}", bars[0].says);
}

#[test]
fn mitred_bars_tell_the_saw() {
    let mitre = "left_end = \"45 deg\"\nright_end = \"45 deg\"";
    let job = format!(
        "{HEAD}{}{}{}",
        cut("Frame", "600 mm", 4, mitre),
        cut("Rail", "500 mm", 3, ""),
        cut("Brace", "300 mm", 2, "left_end = \"60 deg\"")
    );
    let bin =
        format!("{SAW}{}{}{}", tube("S-1", "1900 mm", ""), tube("S-2", "1700 mm", ""), tube("S-3", "3000 mm", ""));
    let o = outcome(&job, &bin);
    assert_eq!(o.plan.uncut(), 0);
    let bars = saw_list(&o.plan, System::Metric);
    holds_together(&bars, 2.5);
    let settings = |bars: &[SawBar]| {
        let mut all: Vec<u64> = vec![];
        for b in bars {
            for l in &b.lines {
                all.extend([l.ends_deg.0, l.ends_deg.1].map(|d| ((90.0 - d).abs() * 10.0) as u64));
            }
        }
        all.windows(2).filter(|w| w[0] != w[1]).count()
    };
    // No other order of the bars needs fewer settings of the saw.
    let listed = settings(&bars);
    let mut order = bars.clone();
    for i in 0..order.len() {
        for j in 0..order.len() {
            order.swap(i, j);
            assert!(listed <= settings(&order), "{listed}");
        }
    }
    let text = plan_text(&o.plan, System::Metric);
    assert!(
        text.contains("45 deg, long below") && text.contains("Angles are what the scale of the saw shows"),
        "{text}"
    );
}

#[test]
fn marks_in_inches_are_rounded_one_by_one() {
    // 5.01 in is 5-1/64 less 0.0056: ten of them added up rounded would be 1/16 in out.
    let job = format!("{HEAD}units = \"inch\"\n{}", cut("Slat", "5.01 in", 10, ""));
    let bin = format!("[saw]\nkerf = \"3/32 in\"\ntrim = \"0 mm\"\n{}", tube("S-1", "60 in", "doubt = \"0 mm\""));
    let o = outcome(&job, &bin);
    let bars = saw_list(&o.plan, System::Inch);
    let text = plan_text(&o.plan, System::Inch);
    for (i, l) in bars[0].lines.iter().enumerate() {
        let exact = (i + 1) as f64 * 5.01 + i as f64 * 3.0 / 32.0;
        assert!((l.to.to_inches() - exact).abs() < 1e-6, "{i}: {}", l.to.to_inches());
        let n = (exact * 64.0).round() as u64;
        let (mut top, mut bottom) = (n % 64, 64);
        while top > 0 && top % 2 == 0 {
            (top, bottom) = (top / 2, bottom / 2);
        }
        let shown = if top == 0 { format!("{}", n / 64) } else { format!("{}-{top}/{bottom}", n / 64) };
        assert!(text.contains(&format!(" {shown} ")), "{shown} in\n{text}");
    }
}

/// Boxes of all texts of a page.
fn texts(page: &Page) -> Vec<(String, f64, f64, f64, f64)> {
    let one = |item: &Item| match item {
        Item::Text { text, .. } => {
            let wide = droprack::drawing::lettering::width_mm(&text.text, text.size_mm);
            let left = match text.anchor {
                Anchor::Left => text.at.x,
                Anchor::Middle => text.at.x - wide / 2.0,
                Anchor::Right => text.at.x - wide,
            };
            Some((text.text.clone(), left, text.at.y, left + wide, text.at.y + text.size_mm))
        }
        _ => None,
    };
    page.items.iter().filter_map(one).filter(|t| !t.0.is_empty()).collect()
}

#[test]
fn no_two_words_of_the_paper_meet() {
    let mut job = HEAD.to_string();
    for (i, length) in ["31", "47.5", "612.3", "45", "333.3", "92.7", "150"].into_iter().enumerate() {
        let more = if i % 3 == 2 { "left_end = \"45 deg\"\nright_end = \"30 deg\"" } else { "" };
        job += &cut(&format!("A piece with quite a long name {i}"), &format!("{length} mm"), 3, more);
    }
    let bin = format!(
        "{SAW}{}{}{}",
        tube("S-1", "1900 mm", ""),
        tube("S-2", "900 mm", "unusable = [\"300 mm\", \"310 mm\"]"),
        tube("S-3", "3000 mm", "")
    );
    let o = outcome(&job, &bin);
    let bars = saw_list(&o.plan, System::Metric);
    assert!(bars.len() > 1);
    for (units, paper, size) in
        [(PaperUnits::Metric, Paper::A4, (210.0, 297.0)), (PaperUnits::Inch, Paper::Letter, (215.9, 279.4))]
    {
        let foot = vec!["Measure what is left after each cut.".to_string()];
        let pages = draw_saw_list("Saw list", &foot, &bars, &foot, units, paper);
        let mut rows = 0;
        for page in &pages {
            assert!((page.width - size.0).abs() < 0.1 && (page.height - size.1).abs() < 0.1);
            let all = texts(page);
            for (i, a) in all.iter().enumerate() {
                assert!(a.1 > 11.0 && a.3 < page.width - 11.0 && a.2 > 11.0 && a.4 < page.height - 11.0, "{a:?}");
                rows += usize::from(bars.iter().flat_map(|b| &b.lines).any(|l| l.chalk == a.0));
                for b in &all[i + 1..] {
                    let apart = a.3 <= b.1 || b.3 <= a.1 || a.4 <= b.2 || b.4 <= a.2;
                    assert!(apart, "{a:?} and {b:?}");
                }
            }
        }
        assert!(rows >= bars.iter().map(|b| b.lines.len()).sum::<usize>(), "each piece has its row");
    }
}

const STRAP: &str = r#"
[[part]]
name = "Strap"
template = "tank-strap"
make = 2
ACCEPT
[part.with]
section = "rectangle"
width = "320 mm"
height = "200 mm"
strap_width = "30 mm"
thickness = "3 mm"
"#;

fn flat_bar(id: &str, size: &str, length: &str) -> String {
    format!("[[offcut]]\nid = \"{id}\"\nshape = \"flat bar\"\nsize = \"{size}\"\nlength = \"{length}\"\n")
}

fn strap(accept: &str, bin: &str) -> Outcome {
    outcome(&format!("{HEAD}{}", STRAP.replace("ACCEPT", accept)), bin)
}

fn width_of(o: &Outcome) -> f64 {
    o.worked.flats[0].width.to_mm()
}

#[test]
fn a_substitute_goes_through_flat_pattern_and_checks() {
    let bin = format!("{SAW}{}{}", flat_bar("F-1", "40 x 3 mm", "2500 mm"), flat_bar("F-2", "30 x 12 mm", "2500 mm"));
    let without = strap("", &bin);
    assert_eq!((without.plan.uncut(), width_of(&without)), (2, 30.0));
    let with = strap("accept = [\"wider\", \"30 x 12 mm\"]", &bin);
    assert_eq!((with.plan.uncut(), width_of(&with)), (0, 40.0));
    let [s] = &with.plan.substitutes[..] else { panic!("one stands in") };
    assert!(!s.ripped && s.why.contains("2 more stay uncut"), "{s:?}");
    assert!(
        with.plan.notes.iter().any(|n| n.contains("12 mm") && n.contains("cannot stand in")),
        "{:?}",
        with.plan.notes
    );
    // The same as if 40 mm had been asked for.
    let asked = outcome(&format!("{HEAD}{}", STRAP.replace("ACCEPT", "").replace("\"30 mm\"", "\"40 mm\"")), &bin);
    assert_eq!(asked.worked.flats[0].hash, with.worked.flats[0].hash);
    let says = |o: &Outcome| o.worked.findings.iter().map(|f| f.says.clone()).collect::<Vec<_>>();
    assert_eq!(says(&asked), says(&with));
}

#[test]
fn a_ripped_bar_leaves_the_part_as_it_was() {
    let bin = format!("{SAW}{}", flat_bar("F-1", "40 x 3 mm", "2500 mm"));
    let plain = strap("", &bin);
    let with = strap("accept = [\"ripped\"]", &bin);
    assert_eq!(with.plan.uncut(), 0);
    assert_eq!(plain.worked.flats[0].hash, with.worked.flats[0].hash);
    let json: Value = plan_json(&with.plan);
    let cuts = json["groups"].as_array().unwrap().iter().flat_map(|g| g["bars"].as_array().unwrap());
    let cut = &cuts.flat_map(|b| b["cuts"].as_array().unwrap()).next().unwrap();
    assert_eq!(cut["rip_to_mm"], 30.0);
    assert_eq!(json["substitutes"][0]["ripped"], true);
    assert!(plan_text(&with.plan, System::Metric).contains("then rip to 30 mm wide"));
}

#[test]
fn money_is_saved_and_nothing_is_taken_without_need() {
    let buy = "[[buy]]\nshape = \"flat bar\"\nsize = \"30 x 3 mm\"\nlength = \"2000 mm\"\nprice = 9.5\n";
    // The bin's own rule.
    let bin = format!("accept = [\"wider\"]\n{SAW}{}{buy}", flat_bar("F-1", "40 x 3 mm", "2500 mm"));
    let o = strap("", &bin);
    assert_eq!(o.plan.money(), 0);
    assert!(o.plan.substitutes[0].why.contains("9.50"), "{:?}", o.plan.substitutes);
    let enough = format!("{bin}{}", flat_bar("F-9", "30 x 3 mm", "2500 mm"));
    let o = strap("", &enough);
    assert!(o.plan.substitutes.is_empty() && width_of(&o) == 30.0);
}

#[test]
fn what_would_nearly_do_is_told() {
    let bin = format!("{SAW}{}", flat_bar("F-1", "32 x 3 mm", "2500 mm"));
    let o = strap("", &bin);
    assert_eq!(o.plan.uncut(), 2);
    assert!(
        o.plan.notes.iter().any(|n| n.contains("F-1") && n.contains("accept = [\"32 x 3 mm\"]")),
        "{:?}",
        o.plan.notes
    );
}

#[test]
fn a_blank_may_come_out_of_thicker_plate() {
    let job = format!(
        "{HEAD}[[blank]]\nname = \"Gusset\"\nsize = \"5 mm\"\nlength = \"200 mm\"\nwidth = \"80 mm\"\naccept = [\"thicker\"]\n"
    );
    let bin = "[[offcut]]\nid = \"P-1\"\nshape = \"plate\"\nsize = \"6 mm\"\nlength = \"300 mm\"\nwidth = \"200 mm\"\n";
    let o = outcome(&job, bin);
    assert_eq!((o.plan.uncut(), o.worked.flats[0].thickness.to_mm()), (0, 6.0));
}
