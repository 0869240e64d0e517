//! The steel that a part is cut from and the rail that it is bolted to: what
//! is left where it lies, and what the other side of the joint takes.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::checks::{Finding, Verdict};
use droprack::run::{Outcome, Request, run};
use droprack::source::Memory;
use std::path::PathBuf;

fn job(text: &str, bin: &str) -> Outcome {
    let mut files = Memory::default();
    files.0.insert(PathBuf::from("job.toml"), format!("job = \"t\"\nbin = \"bin.toml\"\n{text}"));
    files.0.insert(PathBuf::from("bin.toml"), bin.to_string());
    let request = Request { job: PathBuf::from("job.toml"), bin: None };
    run(&files, &request).unwrap_or_else(|t| panic!("{:?}", t.diagnostics))
}

const PAD: &str = "[[part]]\nname = \"Pad\"\ntemplate = \"rail-pad\"\nwith.gap = \"749 mm\"\nwith.over_edges = \"735 mm\"\nwith.between_edges = \"690 mm\"\n";

/// Two angles that would do: an offcut in doubt, and one that costs money.
fn angles(doubt: &str) -> String {
    format!(
        "[[offcut]]\nid = \"A-1\"\nshape = \"angle\"\nsize = \"25 x 25 x 3 mm\"\nmaterial = \"mild steel\"\nlength = \"200 mm\"\n{doubt}\n\
         [[buy]]\nid = \"A-2\"\nshape = \"angle\"\nsize = \"25 x 25 x 3 mm\"\nmaterial = \"mild steel\"\nlength = \"6 m\"\nprice = 20\n"
    )
}

fn taken(o: &Outcome) -> Vec<String> {
    o.plan.bars.iter().flat_map(|g| g.plan.bars.iter().map(|b| b.id.clone())).collect()
}

#[test]
fn steel_that_is_refused_stays_where_it_lies_until_a_reason_is_written() {
    assert_eq!(taken(&job(PAD, &angles(""))), ["A-1"]);
    assert_eq!(taken(&job(PAD, &angles("coating = \"paint\""))), ["A-1"]);
    for (doubt, word) in [
        ("grade = \"unknown\"", "grade is not known"),
        ("coating = \"zinc\"", "zinc is on it"),
        ("weldable = \"no\"", "not to be welded"),
    ] {
        let o = job(PAD, &angles(doubt));
        assert_eq!(taken(&o), ["A-2"], "{doubt}");
        assert!(o.plan.notes.iter().any(|n| n.contains("A-1") && n.contains(word)), "{:?}", o.plan.notes);
    }
    let reason = "overrule = [{ code = \"unknown-scrap\", reason = \"mill certificate found\" }]\n";
    let with_reason = PAD.replacen("template =", &format!("{reason}template ="), 1);
    let o = job(&with_reason, &angles("grade = \"unknown\""));
    assert_eq!(taken(&o), ["A-1"]);
    assert!(o.plan.notes.iter().any(|n| n.contains("OVERRULED") && n.contains("mill certificate found")));
}

const SEAT: &str = "[[part]]\nname = \"Seat\"\ntemplate = \"bearing-plate\"\nwith.bearing = \"four bolt flange\"\nwith.shaft = \"20 mm\"\nwith.height = \"70 mm\"\nwith.edge = \"bolt on\"\nwith.frame_bolt = \"9 mm\"\nwith.frame_wall = \"3 mm\"\n";

fn rail(more: &str) -> Vec<Finding> {
    let o = job(&format!("{SEAT}{more}"), "");
    o.worked.findings.into_iter().filter(|f| f.code == "rail-bolts").collect()
}

#[test]
fn a_rail_of_unknown_or_heat_treated_steel_gets_no_verdict() {
    for more in [
        "",
        "with.frame_steel = \"heat-treated\"\nwith.frame_edge = \"20 mm\"\n",
        "with.frame_steel = \"mild steel\"\n",
    ] {
        let found = rail(more);
        assert!(found.len() == 1 && found[0].verdict == Verdict::Note, "{more}: {found:?}");
        assert!(found[0].says.contains("no verdict on the rail"), "{found:?}");
    }
}

#[test]
fn the_wall_of_the_rail_tears_or_lets_the_head_through_by_table_3_4() {
    let found = rail("with.frame_steel = \"mild steel\"\nwith.frame_edge = \"20 mm\"\n");
    // M8 in 9 mm, 3 mm of S235 (fu 360), 20 mm to the edge, EN 1993-1-8 Table 3.4:
    // ab = 20 / 27, k1 = 2.5; one row in a lap: 1.5 fu d t / 1.25 = 10368 N rules.
    let bearing = 2.5 * (20.0 / 27.0) * 360.0 * 8.0 * 3.0 / 1.25;
    let cap = 1.5 * 360.0 * 8.0 * 3.0 / 1.25;
    assert!(cap < bearing);
    assert!((found[0].limit.unwrap() - cap).abs() < 1.0, "{found:?}");
    // Punching with the mean of 13 mm flats and their corners.
    let mean = (13.0 + 13.0 / 30.0_f64.to_radians().cos()) / 2.0;
    let through = 0.6 * std::f64::consts::PI * mean * 3.0 * 360.0 / 1.25;
    assert!((found[1].limit.unwrap() / through - 1.0).abs() < 0.005, "{found:?} {through}");
}

#[test]
fn a_seat_that_is_welded_is_not_made_of_galvanised_steel_and_one_that_is_bolted_may_be() {
    let refused = |text: &str| job(text, "").worked.findings.iter().any(|f| f.code == "weld-over-coating");
    let zinc = SEAT.replacen("template =", "steel = \"galvanised\"\ntemplate =", 1);
    assert!(!refused(&zinc));
    assert!(refused(&zinc.replace("\"bolt on\"", "\"weld\"")));
}
