//! Quantities: what is printed reads back the same, in every spelling; a job in
//! inches and one in millimetres are one job.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::report::{findings_json, flats_json};
use droprack::run::{Outcome, Request, run};
use droprack::source::Memory;
use droprack::units::{Dim, Length, System, parse_length, parse_quantity, show_quantity};
use std::path::PathBuf;

/// sign x whole x fraction x unit x spelling.
#[test]
fn every_spelling_of_a_length_is_one_length() {
    let signs = [("", 1.0), ("-", -1.0), ("- ", -1.0)];
    let fractions: Vec<(Vec<String>, f64)> = [(1, 2), (1, 4), (3, 4), (5, 8), (7, 16), (31, 32), (63, 64)]
        .iter()
        .map(|(a, b)| (vec![format!("-{a}/{b}"), format!(" {a}/{b}")], f64::from(*a) / f64::from(*b)))
        .chain([(vec!["½".to_string()], 0.5), (vec![String::new()], 0.0), (vec![".5".to_string()], 0.5)])
        .collect();
    let units = [
        ("mm", 1.0),
        ("cm", 10.0),
        ("m", 1000.0),
        ("in", 25.4),
        ("inch", 25.4),
        ("inches", 25.4),
        ("\"", 25.4),
        ("″", 25.4),
        ("ft", 304.8),
        ("feet", 304.8),
        ("'", 304.8),
    ];
    let mut tried = 0;
    for (sign, factor) in signs {
        for whole in [0u32, 1, 7, 23, 1200] {
            for (spellings, part) in &fractions {
                for spelling in spellings {
                    for (unit, mm) in units {
                        for gap in ["", " "] {
                            let text = format!("{sign}{whole}{spelling}{gap}{unit}");
                            let want = factor * (f64::from(whole) + part) * mm;
                            let got = parse_length(&text, None).unwrap_or_else(|f| panic!("{text}: {}", f.message));
                            assert!((got.to_mm() - want).abs() <= 1e-9 * (1.0 + want.abs()), "{text}: {got:?}");
                            tried += 1;
                        }
                    }
                }
            }
        }
    }
    assert!(tried > 5_000, "{tried}");
}

/// parse(print(q)) = q for all that can be printed: printing again changes nothing.
#[test]
fn what_is_printed_reads_back_the_same() {
    let dims = [Dim::LENGTH, Dim::ANGLE, Dim::FORCE, Dim::MASS, Dim::STRESS, Dim::MOMENT, Dim::VOLUME, Dim::PLAIN];
    let mut tried = 0;
    for dim in dims {
        for system in [System::Metric, System::Inch] {
            for i in -3_000..3_000_i32 {
                let size = libm::pow(1.004, f64::from(i % 1_500)) * if i < 0 { -1.0 } else { 1.0 };
                let text = show_quantity(size, dim, system);
                let back = parse_quantity(&text, dim, None).unwrap_or_else(|f| panic!("{text}: {}", f.message));
                assert_eq!(show_quantity(back, dim, system), text, "{dim:?} {size}");
                // No more is lost than printing says: half of its last place.
                let step = match (dim, system) {
                    (Dim::LENGTH, System::Inch) => 25.4 / 64.0,
                    (Dim::MASS, _) => 1e-5,
                    (Dim::FORCE, _) => 1.0,
                    (Dim::VOLUME, _) => 1e4,
                    (Dim::MOMENT, _) => 10.0,
                    (Dim::PLAIN, _) => 1e-4,
                    _ => 0.1,
                };
                assert!((back - size).abs() <= step / 2.0 + 1e-9 * size.abs(), "{text} for {size} {dim:?}");
                tried += 1;
            }
        }
    }
    assert!(tried > 90_000);
    assert_eq!(Length::inches(23.5), parse_length("23-1/2 in", None).unwrap());
}

fn job(units: &str, lengths: &[&str; 4]) -> Outcome {
    let [width, height, gap, bare] = lengths;
    let text = format!(
        "job = \"one job\"\nunits = \"{units}\"\nsizes = \"metric\"\n[measured]\nwide = \"{width}\"\nhigh = \"{height}\"\n\
         [[part]]\nname = \"strap\"\ntemplate = \"tank-strap\"\nwith.section = \"rectangle\"\nwith.width = \"wide\"\nwith.height = \"high\"\n\
         [[part]]\nname = \"hanger\"\ntemplate = \"strap-hanger\"\nwith.gap = \"{gap}\"\nwith.first = {bare}\n\
         [[cut]]\nname = \"stay\"\nshape = \"flat bar\"\nsize = \"1 x 1/8 in\"\nlength = \"wide + high\"\n"
    );
    let mut files = Memory::default();
    files.0.insert(PathBuf::from("job.toml"), text);
    files.0.insert(
        PathBuf::from("bin.toml"),
        "[[buy]]\nshape=\"flat bar\"\nsize=\"1 x 1/8 in\"\nlength=\"2 m\"\nprice=1\n".into(),
    );
    run(&files, &Request { job: PathBuf::from("job.toml"), bin: None })
        .unwrap_or_else(|t| panic!("{:?}", t.diagnostics))
}

#[test]
fn a_job_in_inches_and_one_in_millimetres_give_the_same_parts() {
    let mm = job("mm", &["342.9 mm", "219.075 mm", "304.8 mm", "76.2"]);
    for inch in [
        job("inch", &["13-1/2 in", "8-5/8 in", "1 ft", "3"]),
        job("inch", &["1 ft 1-1/2 in", "219.075 mm", "12\\\"", "3"]),
    ] {
        let flats = |o: &Outcome| {
            let mut list = flats_json(&o.worked.flats);
            for p in list["pieces"].as_array_mut().unwrap() {
                p["notes"].take(); // sentences show the job's own units
            }
            list.to_string()
        };
        assert!(flats(&mm) == flats(&inch), "the flat patterns differ");
        let verdicts = |o: &Outcome| {
            let list = findings_json(&o.worked.findings);
            list.as_array()
                .unwrap()
                .iter()
                .map(|f| (f["code"].clone(), f["verdict"].clone(), f["value"].clone()))
                .collect::<Vec<_>>()
        };
        assert_eq!(verdicts(&mm), verdicts(&inch));
        assert_eq!(mm.plan.bars.len(), inch.plan.bars.len());
    }
}
