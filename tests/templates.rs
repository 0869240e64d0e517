//! The built-in templates: at their usual values, at every corner of their
//! ranges, and in the variants that a person chooses between.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::checks::Verdict;
use droprack::flat::FlatPattern;
use droprack::run::{Outcome, Request, Trouble, run, templates};
use droprack::solid::build_body;
use droprack::source::Memory;
use std::path::PathBuf;

/// Run a job in memory, with an empty bin and whatever else stands beside it.
fn job_with(text: &str, beside: &[(&str, &str)]) -> Result<Outcome, Trouble> {
    let mut files = Memory::default();
    let job = format!("job = \"test\"\nbin = \"bin.toml\"\n{text}");
    for (name, text) in [("job.toml", job.as_str()), ("bin.toml", "")].iter().chain(beside) {
        files.0.insert(PathBuf::from(name), (*text).to_string());
    }
    run(&files, &Request { job: PathBuf::from("job.toml"), bin: None })
}

fn job(text: &str) -> Result<Outcome, Trouble> {
    job_with(text, &[])
}

fn part(template: &str, answers: &[(&str, &str)]) -> String {
    let lines: String = answers.iter().map(|(k, v)| format!("with.{k} = \"{v}\"\n")).collect();
    let steel = if CERTIFIED.contains(&template) { "steel = \"certified\"\n" } else { "" };
    format!("[[part]]\nname = \"P\"\ntemplate = \"{template}\"\n{steel}{lines}")
}

/// What is refused from any other bar.
const CERTIFIED: &[&str] = &["push-rod", "double-d-shaft"];

fn made(template: &str, answers: &[(&str, &str)]) -> Outcome {
    let o = job(&part(template, answers)).unwrap_or_else(|t| panic!("{template} {answers:?}: {:?}", t.diagnostics));
    for p in &o.worked.pieces {
        build_body(p).unwrap_or_else(|e| panic!("{template} {answers:?}: {e}"));
    }
    o
}

fn flat<'a>(o: &'a Outcome, piece: &str) -> &'a FlatPattern {
    o.worked.flats.iter().find(|f| f.piece == piece).unwrap_or_else(|| panic!("no piece {piece}"))
}

/// What each template needs at least, with ordinary numbers.
const ORDINARY: &[(&str, &[(&str, &str)])] = &[
    ("battery-tray", &[("length", "242 mm"), ("width", "175 mm"), ("height", "190 mm")]),
    ("tank-strap", &[("section", "obround"), ("width", "340 mm"), ("height", "220 mm")]),
    ("strap-hanger", &[("gap", "300 mm"), ("first", "80 mm")]),
    ("rail-pad", &[("gap", "749 mm"), ("over_edges", "735 mm"), ("between_edges", "690 mm")]),
    ("bearing-plate", &[("bearing", "four bolt flange"), ("shaft", "20 mm"), ("height", "70 mm")]),
    ("pedal-offset", &[("kind", "plate"), ("offset", "35 mm"), ("arm_width", "32 mm"), ("arm_thickness", "16 mm")]),
    ("pipe-strap", &[("pipe", "42 mm")]),
    ("hold-down-strap", &[("box_width", "175 mm"), ("box_height", "190 mm")]),
    ("weld-tab", &[("height", "40 mm")]),
    ("gusset", &[("leg_a", "80 mm")]),
    ("ground-strap", &[("apart", "120 mm")]),
    ("cable-bracket", &[("cable", "12 mm")]),
    ("pedal-stop", &[("height", "36 mm")]),
    ("cross-member", &[("gap", "600 mm")]),
    ("spacer", &[("length", "30 mm")]),
    ("shield-plate", &[("width", "300 mm"), ("length", "400 mm")]),
    ("push-rod", &[("centres", "150 mm")]),
    ("double-d-shaft", &[("between", "300 mm")]),
];

/// What is welded on and bolted to nothing at its usual values.
const ALL_WELDED: &[&str] = &["pedal-offset", "gusset", "cross-member"];

#[test]
fn usual_values_make_parts_without_a_failed_check_in_both_size_systems() {
    for sizes in ["metric", "inch"] {
        for (template, answers) in ORDINARY {
            let text = format!("sizes = \"{sizes}\"\n{}", part(template, answers));
            let o = job(&text).unwrap_or_else(|t| panic!("{template}, {sizes}: {:?}", t.diagnostics));
            let failed: Vec<_> = o.worked.findings.iter().filter(|f| f.verdict == Verdict::Fail).collect();
            assert!(failed.is_empty(), "{template}, {sizes}: {failed:?}");
            let bolted = !o.worked.needs.hardware.is_empty();
            let welded = ALL_WELDED.contains(template) && !o.worked.needs.welds.is_empty();
            assert!(bolted || welded, "{template}: neither hardware nor a weld");
            assert!(o.worked.pieces.iter().all(|p| !p.cautions.is_empty()), "{template}: no cautions");
        }
    }
}

#[test]
fn every_corner_of_every_range_makes_a_part_or_tells_a_fault() {
    let (mut parts, mut faults) = (0, 0);
    for (name, answers) in ORDINARY {
        let template = templates().into_iter().find(|t| t.name == *name).unwrap();
        for (ask, _, table) in template.obj.named("ask") {
            let mut values: Vec<String> = table.texts("choices").iter().map(|t| t.value.clone()).collect();
            for limit in ["at_least", "at_most"] {
                // Limits that are formulas of the template mean nothing in a job.
                values.extend(
                    table
                        .text(limit)
                        .map(|t| t.value.clone())
                        .filter(|v| v.ends_with("mm") || v.ends_with("deg") || v.parse::<u32>().is_ok()),
                );
            }
            for value in values {
                let mut own: Vec<(&str, &str)> = answers.iter().filter(|a| a.0 != ask.as_str()).copied().collect();
                own.push((ask, &value));
                match job(&part(name, &own)) {
                    Ok(o) => {
                        parts += 1;
                        for p in &o.worked.pieces {
                            // A mesh, or a sentence: never a panic or a hang.
                            let _ = build_body(p);
                        }
                    }
                    Err(t) => {
                        assert!(!t.diagnostics.is_empty() && t.diagnostics.iter().all(|d| !d.message.is_empty()));
                        faults += 1;
                    }
                }
            }
        }
    }
    assert!(parts >= 90, "{parts} parts, {faults} faults");
    println!("{parts} parts, {faults} told faults");
}

#[test]
fn a_strap_has_the_length_of_its_middle_line() {
    // A loop round a 300 mm tank, ears left out: the neutral line at half the
    // thickness (radius over thickness above 5: DIN 6935, k = 1).
    let o = made("tank-strap", &[("section", "round"), ("width", "300 mm"), ("goes", "loop"), ("take_up", "12 mm")]);
    let f = flat(&o, "strap");
    assert_eq!(f.bend_lines.len(), 3, "two ears and the tank");
    let round = &f.bend_lines[1];
    let lean = 360.0 - round.angle.to_degrees();
    assert!((2.0..40.0).contains(&lean), "the ears leave the round {lean} deg early");
    let length = round.tangent_right - round.tangent_left;
    assert!((length - round.angle.to_radians() * (150.0 + 3.0 + 1.5)).abs() < 1e-6);
    // The ears face each other, the take-up apart: the turns of the walk add up to nothing.
    let turned: f64 = f
        .bend_lines
        .iter()
        .map(|b| if b.turn == droprack::piece::BendTurn::Up { b.angle } else { -b.angle }.to_degrees())
        .sum();
    assert!((turned - 180.0).abs() < 1e-6, "the ears are not parallel: {turned}");
}

#[test]
fn straps_go_round_every_section_both_ways() {
    for section in ["rectangle", "round", "obround", "D"] {
        for goes in ["U", "loop"] {
            let mut answers = vec![("section", section), ("width", "300 mm"), ("goes", goes)];
            if section != "round" {
                answers.push(("height", "240 mm"));
            }
            made("tank-strap", &answers);
        }
    }
}

#[test]
fn a_taped_girth_overrides_the_worked_one() {
    let base = [("section", "rectangle"), ("width", "300 mm"), ("height", "200 mm"), ("goes", "loop")];
    let girth = 2.0 * (250.0 + 150.0) + 2.0 * std::f64::consts::PI * (25.0 + 3.0);
    let longer = format!("{} mm", girth + 6.0);
    let a = made("tank-strap", &base);
    let b = made("tank-strap", &[base.as_slice(), &[("girth", longer.as_str())]].concat());
    let grown = flat(&b, "strap").length.to_mm() - flat(&a, "strap").length.to_mm();
    assert!((grown - 6.0).abs() < 0.1, "{grown}");
}

#[test]
fn hangers_pads_plates_and_pedals_in_their_variants() {
    let hanger = [("gap", "300 mm"), ("first", "80 mm")];
    let o = made(
        "strap-hanger",
        &[hanger.as_slice(), &[("made_of", "angle"), ("slope_left", "4 deg"), ("slope_right", "-4 deg")]].concat(),
    );
    let f = flat(&o, "angle");
    assert_eq!(f.ends_deg.map(|e| (e.0.round(), e.1.round())), Some((86.0, 94.0)));
    let o = made(
        "strap-hanger",
        &[hanger.as_slice(), &[("bolt_axis", "level"), ("bolts", "2"), ("sleeves", "inside")]].concat(),
    );
    assert_eq!(o.worked.pieces.iter().find(|p| p.name == "sleeve").map(|p| p.copies), Some(2));
    for bearing in ["rod end", "pillow block", "two bolt flange", "four bolt flange", "pass through"] {
        for edge in ["weld", "bolt on"] {
            made(
                "bearing-plate",
                &[("bearing", bearing), ("shaft", "20 mm"), ("height", "75 mm"), ("edge", edge), ("corner", "clipped")],
            );
        }
    }
    let o = made(
        "pedal-offset",
        &[("kind", "along tube"), ("offset", "35 mm"), ("arm_width", "32 mm"), ("arm_thickness", "16 mm")],
    );
    assert!((flat(&o, "filler").length.to_mm() - 33.0).abs() < 1e-9);
}

#[test]
fn a_slanted_shaft_gets_the_opening_of_the_handbook() {
    let o = made(
        "bearing-plate",
        &[
            ("bearing", "pass through"),
            ("shaft", "20 mm"),
            ("clearance", "0.5 mm"),
            ("tilt", "30 deg"),
            ("height", "60 mm"),
        ],
    );
    let opening = flat(&o, "plate").holes.iter().find(|h| h.name == "shaft opening").unwrap();
    let droprack::piece::HoleShape::Slot { length, width, .. } = opening.shape else { panic!("{opening:?}") };
    let book = droprack::handbook::bearings::straight_opening(
        droprack::units::Length::mm(21.0),
        droprack::units::Angle::degrees(30.0),
        droprack::units::Length::mm(6.0),
    );
    assert!((length - book.to_mm()).abs() < 1e-9 && (width - 21.0).abs() < 1e-9);
}

#[test]
fn the_other_hand_is_a_true_mirror_image() {
    let answers = [("kind", "plate"), ("offset", "35 mm"), ("arm_width", "32 mm"), ("arm_thickness", "16 mm")];
    let text = part("pedal-offset", &answers);
    let left = job(&format!("{text}hand = \"left\"\n")).unwrap();
    let right = job(&format!("{text}hand = \"right\"\n")).unwrap();
    let (l, r) = (flat(&left, "offset plate"), flat(&right, "offset plate"));
    assert!((l.outline.area() - r.outline.area()).abs() < 1e-9 && (l.volume_mm3 - r.volume_mm3).abs() < 1e-6);
    let long = l.length.to_mm();
    for h in &l.holes {
        assert!(r.holes.iter().any(|g| (g.at.x - (long - h.at.x)).abs() < 1e-9 && (g.at.y - h.at.y).abs() < 1e-9));
    }
    assert!((l.outline.centroid().x - (long - r.outline.centroid().x)).abs() < 1e-9);
    assert_ne!(l.hash, r.hash, "the hands are two pieces");
}

#[test]
fn copies_have_letters_and_values_of_their_own() {
    let o = job("[[part]]\nname = \"H\"\ntemplate = \"strap-hanger\"\nwith.first = \"80 mm\"\n[[part.copy]]\nwith.gap = \"300 mm\"\n[[part.copy]]\nwith.gap = \"303 mm\"\n").unwrap();
    let lengths: Vec<(String, f64)> =
        o.worked.flats.iter().filter(|f| f.piece == "tube").map(|f| (f.part.clone(), f.length.to_mm())).collect();
    assert_eq!(lengths, [("H A".to_string(), 297.0), ("H B".to_string(), 300.0)]);
}

#[test]
fn units_only_print_and_sizes_choose() {
    let text = part(ORDINARY[4].0, ORDINARY[4].1);
    let a = job(&format!("units = \"mm\"\nsizes = \"metric\"\n[bending]\nmethod = \"DIN 6935\"\n{text}")).unwrap();
    let b = job(&format!("units = \"inch\"\nsizes = \"metric\"\n[bending]\nmethod = \"DIN 6935\"\n{text}")).unwrap();
    assert_eq!(
        a.worked.flats.iter().map(|f| f.hash.clone()).collect::<Vec<_>>(),
        b.worked.flats.iter().map(|f| f.hash.clone()).collect::<Vec<_>>()
    );
}

/// A template of the user's own with every outline, shape and pattern.
const OWN: &str = r#"
template = "own"
says = "Everything a plate can have"

[ask.apart]
what = "distance of the two pins"
kind = "length"

[[piece]]
name = "link"
[piece.plate]
thickness = "5 mm"
outline = "link"
wall = "8 mm"
round = [{ at = ["0 mm", "0 mm"], size = "12 mm" }, { at = ["apart", "0 mm"], size = "20 mm" }]
[piece.stock]
shape = "plate"
size = ["5 mm"]
material = "mild steel"
[[piece.hole]]
name = "small pin"
at = ["0 mm", "0 mm"]
size = "12 mm"
[[piece.hole]]
name = "large pin"
at = ["apart", "0 mm"]
size = "20 mm"

[[piece]]
name = "disc"
[piece.plate]
thickness = "5 mm"
outline = "disc"
diameter = "120 mm"
zero = "centre"
[piece.stock]
shape = "plate"
size = ["5 mm"]
material = "mild steel"
[[piece.hole]]
name = "ring"
at = ["0 mm", "0 mm"]
size = "9 mm"
pattern = "ring"
circle = "90 mm"
count = 6
first_at = "30 deg"
[[piece.hole]]
name = "window"
shape = "rectangle"
at = ["0 mm", "0 mm"]
length = "40 mm"
width = "20 mm"
corner_radius = "4 mm"

[[piece]]
name = "board"
[piece.plate]
thickness = "5 mm"
outline = "polygon"
corners = [{ at = ["0 mm", "0 mm"] }, { at = ["150 mm", "0 mm"], clip = "10 mm" }, { at = ["150 mm", "80 mm"], radius = "12 mm" }, { at = ["0 mm", "80 mm"] }]
[piece.stock]
shape = "plate"
size = ["5 mm"]
material = "mild steel"
[[piece.hole]]
name = "grid"
at = ["20 mm", "20 mm"]
size = "6 mm"
pattern = "grid"
count = 3
step = "20 mm"
rows = 2
row_step = "30 mm"
[[piece.hole]]
name = "oval"
shape = "ellipse"
at = ["110 mm", "40 mm"]
length = "30 mm"
width = "18 mm"
lies = "30 deg"
"#;

#[test]
fn a_template_of_ones_own_has_every_outline_shape_and_pattern() {
    let text = "[[part]]\nname = \"X\"\ntemplate = \"own\"\nwith.apart = \"60 mm\"\n";
    let o = job_with(text, &[("own.toml", OWN)]).unwrap_or_else(|t| panic!("{:?}", t.diagnostics));
    for p in &o.worked.pieces {
        build_body(p).unwrap_or_else(|e| panic!("{}: {e}", p.name));
    }
    // The link: belt round circles of radius 14 and 18, 60 apart.
    let (link, lean) = (flat(&o, "link"), (4.0_f64 / 60.0).asin());
    let belt = 2.0 * (3600.0_f64 - 16.0).sqrt()
        + 18.0 * (std::f64::consts::PI + 2.0 * lean)
        + 14.0 * (std::f64::consts::PI - 2.0 * lean);
    assert!((link.outline.perimeter() - belt).abs() < 1e-6);
    assert!((link.length.to_mm() - 92.0).abs() < 1e-9 && (link.holes[0].at.x - 14.0).abs() < 1e-9);
    let disc = flat(&o, "disc");
    assert_eq!((disc.holes.len(), disc.cut_outs.len()), (6, 1));
    assert!(disc.holes.iter().all(|h| ((h.at.x - 60.0).hypot(h.at.y - 60.0) - 45.0).abs() < 1e-9));
    let board = flat(&o, "board");
    assert_eq!(board.holes.len(), 7);
    let quarter = 144.0 * (1.0 - std::f64::consts::FRAC_PI_4);
    assert!((board.outline.area() - (150.0 * 80.0 - 50.0 - quarter)).abs() < 1e-9);
}

#[test]
fn a_bolt_of_ones_own_template_keeps_to_its_limits_and_its_class_is_a_word() {
    let text = |hole: &str, class: &str| {
        format!(
            "template = \"odd\"\nsays = \"a trial\"\n[plate]\nthickness = \"4 mm\"\noutline = \"disc\"\ndiameter = \"90 mm\"\n\
             [stock]\nshape = \"plate\"\nsize = [\"4 mm\"]\nmaterial = \"mild steel\"\n\
             [[hardware]]\nbolt = \"{hole}\"\ngrip = \"10 mm\"\nclass = \"{class}\"\ncount = 1\n"
        )
    };
    let run = |hole: &str, class: &str| {
        job_with("[[part]]\nname = \"P\"\ntemplate = \"odd\"\n", &[("odd.toml", &text(hole, class))])
    };
    let good = run("9 mm", "'8.8'").unwrap_or_else(|t| panic!("{:?}", t.diagnostics));
    assert!(
        good.worked.needs.hardware[0].0.starts_with("M8 x 30 mm bolt, class 8.8"),
        "{:?}",
        good.worked.needs.hardware
    );
    let told = |hole: &str, class: &str| match run(hole, class) {
        Ok(_) => panic!("{hole} {class} is taken"),
        Err(t) => t.diagnostics,
    };
    assert!(told("200 mm", "'8.8'").iter().any(|d| d.code == "outside-limits"));
    let number = told("9 mm", "8.8");
    assert!(number.iter().any(|d| d.code == "wrong-dimension" && format!("{d:?}").contains("'8.8'")), "{number:?}");
}

#[test]
fn a_template_beside_the_job_wins_and_is_said() {
    let own = OWN.replace("template = \"own\"", "template = \"rail-pad\"");
    let text = "[[part]]\nname = \"X\"\ntemplate = \"rail-pad\"\nwith.apart = \"60 mm\"\n";
    let o = job_with(text, &[("rail-pad.toml", &own)]).unwrap();
    assert_eq!(o.loaded.notes[0].code, "own-template");
    assert!(o.worked.flats.iter().any(|f| f.piece == "link"));
}
