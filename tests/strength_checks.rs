//! The strength checks: the demo's numbers worked out again by plain arithmetic,
//! inch and millimetre, thicker and thinner, and values from outside of the world.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::checks::{ArgumentKind, Finding, Judged, NAMED, Verdict, example_of, judge, named, rules};
use droprack::expr::Value;
use droprack::run::{Outcome, Request, run};
use droprack::source::{Disk, Memory};
use droprack::units::System;
use std::f64::consts::PI;
use std::path::{Path, PathBuf};

fn demo() -> Outcome {
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/jobs/hill-climb-buggy/job.toml");
    run(&Disk, &Request { job, bin: None }).unwrap_or_else(|t| panic!("{:?}", t.diagnostics))
}

fn job(text: &str) -> Outcome {
    let files =
        Memory([(PathBuf::from("job.toml"), text.to_string()), (PathBuf::from("bin.toml"), String::new())].into());
    run(&files, &Request { job: PathBuf::from("job.toml"), bin: None })
        .unwrap_or_else(|t| panic!("{:?}", t.diagnostics))
}

fn used(findings: &[Finding], part: &str, code: &str, label: &str) -> f64 {
    let found = findings.iter().find(|f| f.part == part && f.code == code && f.says.contains(label));
    found.and_then(|f| f.utilisation).unwrap_or_else(|| panic!("{part}: no {code} {label}"))
}

/// Every number here is typed or worked out in this test: no formula of the library.
#[test]
fn utilisations_of_the_demo_come_out_of_plain_arithmetic() {
    let all = demo().worked.findings;
    let near = |part: &str, code: &str, label: &str, want: f64| {
        let got = used(&all, part, code, label);
        assert!((got / want - 1.0).abs() < 1e-3, "{part} {code}: {got}, by hand {want}");
    };
    // 45.4 litres of petrol at 0.775 kg/l and 8 kg of tank.
    let litres = ((340.0 - 220.0) * 220.0 + PI * 220.0 * 220.0 / 4.0) * 705.0 / 1e6;
    let kg = litres * 0.775 + 8.0;
    let g = 9.806_65;
    let (down, across) = (kg * g * 4.5, kg * g * 8.0);
    let (leg, side) = (down / 4.0, across / 2.0);
    near("Tank strap", "strap-pull", "", side / (0.9 * (40.0 - 9.0) * 3.0 * 360.0 / 1.25));
    near("Tank strap", "bolt-shear", "", side / (0.6 * 800.0 * 36.6 / 1.25));
    // e1 = 13.5, e2 = 20, d0 = 9: ab = 0.5, k1 = 2.5 and the cap of 1.5.
    near("Tank strap", "bolt-bearing", "", side / ((13.5 / 27.0 * 2.5_f64).min(1.5) * 360.0 * 8.0 * 3.0 / 1.25));
    // The ear: 210 - 173 - 3 - 6 from bend to bolt, and 0.2 of the radius.
    let lever = 28.0 + 1.2;
    near("Tank strap", "ear-bending", "", leg / ((40.0 + 31.0) * 9.0 / 4.0 * 235.0 / lever));
    let pried = leg + leg * lever / (2.0 * 13.5);
    near("Tank strap", "ear-prying", "", pried / (0.9 * 800.0 * 36.6 / 1.25));
    near(
        "Tank strap",
        "bolt-combined",
        "",
        side / (0.6 * 800.0 * 36.6 / 1.25) + leg / (1.4 * 0.9 * 800.0 * 36.6 / 1.25),
    );
    let s = 40.0_f64 / 6.0;
    let stiff = 4.45 * (1.0 + 2.0 * 0.57 * s * s);
    near("Tank strap", "liner-pressure", "", side / (40.0 * 113.0) / (0.15 * stiff * 1150.0 / (stiff + 1150.0)));
    near("Strap hanger A", "tube-crush", "", 0.75 * 580.0 * 36.6 / (PI * 12.0 * 2.0 * 235.0));
    let pad = down / 4.0;
    near("Rail pad", "plate-bending", "leg", pad * (20.0 - 3.0 - 7.5) / ((85.0 - 9.0) * 9.0 / 6.0) / 235.0);
    let shape = 85.0 * 15.0 / (2.0 * 5.0 * 100.0);
    let soft = 4.45 * (1.0 + 2.0 * 0.57 * shape * shape);
    near("Rail pad", "rubber-pad", "", pad / (85.0 * 15.0) / (soft * 1150.0 / (soft + 1150.0)) / 0.15);
    near("Column bearing seat", "plate-bending", "frame", 500.0 * 50.0 / (108.0 * 36.0 / 6.0) / 235.0);
    let b = 30.0 / 50.0_f64;
    near("Strap hanger B", "rail-wall", "", side / (235.0 * 9.0 / (1.0 - b) * (2.0 * b + 4.0 * (1.0 - b).sqrt())));
    // The pedal's arm: 2000 N, 75 mm above its joint, 15 mm beside its middle.
    let (bends, twists): (f64, f64) = (2000.0 * 75.0 / (32.0 * 256.0 / 6.0), 2000.0 * 15.0 / (0.246 * 32.0 * 256.0));
    near("Brake pedal offset", "bending-torsion", "arm at", (bends * bends + 3.0 * twists * twists).sqrt() / 235.0);
    let pivot = 2000.0 * (160.0 + 12.5) / (42.5 + 12.5) - 2000.0;
    let couple = 2000.0 * (38.0 + 15.0);
    near("Brake pedal offset", "bush-couple", "", (pivot / (19.0 * 60.0) + 6.0 * couple / (19.0 * 3600.0)) / 25.0);
}

#[test]
fn no_finding_is_without_a_source_and_none_speaks_of_safe_or_pass() {
    for f in demo().worked.findings {
        assert!(f.source.len() > 10, "{f:?}");
        let words = f.says.to_lowercase();
        assert!(
            words.split(|c: char| !c.is_alphabetic()).all(|w| w != "safe" && w != "pass" && w != "passed"),
            "{words}"
        );
    }
    assert!(rules().all(|r| r.source.len() > 10 && r.holds.len() > 10));
}

#[test]
fn inches_and_millimetres_give_the_same_findings() {
    let text = |units: &str, width: &str, hole: &str, mass: &str| {
        format!(
            "job = \"t\"\nunits = \"{units}\"\nsizes = \"metric\"\nbin = \"bin.toml\"\n[[load]]\nname = \"tank\"\nset = \"ISO 12991 light\"\nmass = \"{mass}\"\n\
             [[part]]\nname = \"Strap\"\ntemplate = \"tank-strap\"\nwith.section = \"round\"\nwith.width = \"{width}\"\nwith.bolt_hole = \"{hole}\"\nwith.load = \"tank\"\n"
        )
    };
    let mm = job(&text("mm", "254 mm", "9.525 mm", "45.359237 kg")).worked.findings;
    let inch = job(&text("inch", "10 in", "3/8 in", "100 lb")).worked.findings;
    assert_eq!(mm.len(), inch.len());
    assert!(mm.iter().any(|f| f.code == "ear-bending"));
    for (a, b) in mm.iter().zip(&inch) {
        assert_eq!((&a.code, a.verdict, a.unit), (&b.code, b.verdict, b.unit));
        for (x, y) in [(a.value, b.value), (a.limit, b.limit)] {
            assert!(x.zip(y).is_none_or(|(x, y)| (x - y).abs() <= 1e-6 * (1.0 + x.abs())), "{}: {x:?} {y:?}", a.code);
        }
    }
}

fn example(code: &str) -> Vec<(String, Value)> {
    let all = example_of(named(code).unwrap());
    assert_eq!(all.len(), named(code).unwrap().example.len(), "{code}: an example that cannot be read");
    all
}

fn share(j: &Judged) -> f64 {
    let (v, l, _) = j.numbers.unwrap();
    if j.at_least { l / v } else { v / l }
}

#[test]
fn every_named_check_works_its_own_example() {
    assert!(NAMED.len() >= 26, "{}", NAMED.len());
    for n in NAMED {
        let judged = judge(n, &example(n.rule.code), System::Metric, System::Metric);
        assert!(!judged.is_empty(), "{}", n.rule.code);
        assert!(judged.iter().all(|j| !j.says.starts_with("not worked out")), "{}: {judged:?}", n.rule.code);
    }
}

/// Check, argument, and whether more of it uses up more.
const MONOTONE: &[(&str, &str, bool)] = &[
    ("strap-pull", "thickness", false),
    ("strap-pull", "width", false),
    ("strap-pull", "hole", true),
    ("strap-pull", "pull", true),
    ("bolt-bearing", "thickness", false),
    ("bolt-bearing", "end", false),
    ("bolt-shear", "force", true),
    ("ear-bending", "thickness", false),
    ("ear-bending", "hole", true),
    ("ear-bending", "lever", true),
    ("ear-prying", "edge", false),
    ("liner-pressure", "pull", true),
    ("beam-bending", "force", true),
    ("beam-bending", "wall", false),
    ("beam-bending", "hole", true),
    ("weld-runs", "throat", false),
    ("plate-bending", "thickness", false),
    ("plate-bending", "lever", true),
    ("rubber-pad", "force", true),
    ("bolt-group", "lever", true),
    ("bending-torsion", "along_load", false),
    ("bush-couple", "length", false),
    ("weld-ring", "throat", false),
    ("pad-give", "along_load", false),
    ("rail-wall", "wall", false),
];

#[test]
fn more_steel_never_carries_less_and_more_hole_never_more() {
    let mut compared = 0;
    for (code, argument, worse) in MONOTONE {
        let n = named(code).unwrap();
        let mut last: Option<f64> = None;
        for i in 0..40 {
            let mut values = example(code);
            let slot = values.iter_mut().find(|v| v.0 == *argument).unwrap_or_else(|| panic!("{code} {argument}"));
            let Value::Quantity(v, d) = slot.1 else { panic!("{argument} is no number") };
            slot.1 = Value::Quantity(v * (0.6 + 0.02 * f64::from(i)), d);
            let judged = judge(n, &values, System::Metric, System::Metric);
            // A run that does not count, or a size that is no section, is told in words.
            let Some(j) = judged.first().filter(|j| j.numbers.is_some() && !j.says.contains("counts for")) else {
                last = None;
                continue;
            };
            if let Some(before) = last {
                let ok = if *worse { share(j) >= before - 1e-12 } else { share(j) <= before + 1e-12 };
                assert!(ok, "{code}: {argument} {}: {before} then {}", v * (0.6 + 0.02 * f64::from(i)), share(j));
                compared += 1;
            }
            last = Some(share(j));
        }
    }
    assert!(compared > 600, "{compared}");
}

#[test]
fn nothing_negative_huge_or_no_number_is_ever_met() {
    for n in NAMED {
        for a in n.arguments.iter().filter(|a| matches!(a.kind, ArgumentKind::Quantity(_))) {
            for wild in [-1.0, 1e300, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
                let mut values = example(n.rule.code);
                values.retain(|v| v.0 != a.name);
                let ArgumentKind::Quantity(d) = a.kind else { continue };
                values.push((a.name.to_string(), Value::Quantity(wild, d)));
                if wild >= a.range.0 && wild <= a.range.1 {
                    continue;
                }
                let judged = judge(n, &values, System::Metric, System::Metric);
                assert!(judged.iter().all(|j| j.met().is_none()), "{} {} = {wild}: {judged:?}", n.rule.code, a.name);
            }
            for wild in [0.0, 1e-3, 1e5] {
                let mut values = example(n.rule.code);
                values.retain(|v| v.0 != a.name);
                let ArgumentKind::Quantity(d) = a.kind else { continue };
                values.push((a.name.to_string(), Value::Quantity(wild, d)));
                for j in judge(n, &values, System::Metric, System::Metric) {
                    assert!(j.numbers.is_none_or(|(v, l, _)| v.is_finite() && l.is_finite()), "{}: {j:?}", n.rule.code);
                }
            }
        }
    }
}

#[test]
fn a_failed_finding_names_a_change_that_meets_it_and_a_refusal_can_be_overruled() {
    let text = |more: &str, thickness: &str| {
        format!(
            "job = \"t\"\nbin = \"bin.toml\"\n[[load]]\nname = \"tank\"\nset = \"WAC twice filled weight\"\nfuel = \"diesel\"\nvolume = \"90 litres\"\nmass = \"15 kg\"\n\
             [[part]]\nname = \"Strap\"\ntemplate = \"tank-strap\"\n{more}with.section = \"round\"\nwith.width = \"400 mm\"\nwith.thickness = \"{thickness}\"\nwith.load = \"tank\"\n"
        )
    };
    let failed =
        |o: &Outcome| o.worked.findings.iter().filter(|f| f.verdict == Verdict::Fail).cloned().collect::<Vec<_>>();
    let thin = failed(&job(&text("", "2 mm")));
    let ear = thin.iter().find(|f| f.code == "ear-bending").unwrap();
    assert!(ear.set_by.iter().any(|s| s.file == "job.toml" && s.line == 14 && s.says.contains("thickness")), "{ear:?}");
    let offered = ear.mend.split("; or ").find_map(|m| m.strip_prefix("thickness ")).unwrap();
    let thickness = offered.split(" in place of").next().unwrap();
    assert!(failed(&job(&text("", thickness))).iter().all(|f| f.code != "ear-bending"), "{thickness}");
    let refused = failed(&job(&text("steel = \"unknown scrap\"\n", thickness)));
    assert!(refused.iter().any(|f| f.code == "unknown-scrap"));
    let reason = "steel = \"unknown scrap\"\noverrule = [{ code = \"unknown-scrap\", reason = \"tested by the certifier, bend test kept\" }]\n";
    let over = job(&text(reason, thickness));
    let f = over.worked.findings.iter().find(|f| f.code == "unknown-scrap").unwrap();
    assert!(f.verdict == Verdict::Warn && f.says.contains("tested by the certifier"));
}
