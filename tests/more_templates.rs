//! The workshop's small templates against plain arithmetic: lengths by DIN 6935, areas
//! and cut lengths by school geometry, and every bent strip folded up again on paper.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::flat::FlatPattern;
use droprack::piece::BendTurn;
use droprack::run::{Outcome, Request, run};
use droprack::solid::build_body;
use droprack::source::Memory;
use std::path::PathBuf;

/// One part of a template in metric sizes; its steel is certified, so that nothing is refused.
fn made(template: &str, answers: &[(&str, &str)]) -> Outcome {
    let lines: String = answers.iter().map(|(k, v)| format!("with.{k} = \"{v}\"\n")).collect();
    let text = format!(
        "job = \"test\"\nbin = \"bin.toml\"\n[[part]]\nname = \"P\"\ntemplate = \"{template}\"\nsteel = \"certified\"\n{lines}"
    );
    let mut files = Memory::default();
    files.0.insert(PathBuf::from("job.toml"), text);
    files.0.insert(PathBuf::from("bin.toml"), String::new());
    let o = run(&files, &Request { job: PathBuf::from("job.toml"), bin: None })
        .unwrap_or_else(|t| panic!("{template} {answers:?}: {:?}", t.diagnostics));
    for p in &o.worked.pieces {
        build_body(p).unwrap_or_else(|e| panic!("{template} {answers:?}: {e}"));
    }
    o
}

fn flat<'a>(o: &'a Outcome, piece: &str) -> &'a FlatPattern {
    o.worked.flats.iter().find(|f| f.piece == piece).unwrap_or_else(|| panic!("no piece {piece}"))
}

fn near(what: &str, got: f64, expected: f64) {
    assert!((got - expected).abs() < 1e-6, "{what}: got {got}, expected {expected}");
}

/// Middle of the hole of this name.
fn hole(f: &FlatPattern, name: &str) -> (f64, f64) {
    let h = f.holes.iter().find(|h| h.name == name).unwrap_or_else(|| panic!("no hole {name}: {:?}", f.holes));
    (h.at.x, h.at.y)
}

/// Steel that a bend takes: DIN 6935, neutral line at `r + k s / 2` with
/// `k = 0.65 + 0.5 log10(r / s)`, and 1 where r is over 5 s.
fn bend(degrees: f64, r: f64, s: f64) -> f64 {
    let k = if r / s > 5.0 { 1.0 } else { 0.65 + 0.5 * (r / s).log10() };
    degrees.to_radians() * (r + k * s / 2.0)
}

/// A place on the outside face of a bent strip: the flat is folded at its bend lines, the
/// left end stays at the origin with its outside face up. Also where the face looks to.
fn folded(f: &FlatPattern, s: f64, x: f64) -> ((f64, f64), (f64, f64)) {
    let ((mut px, mut pz), mut heading, mut done) = ((0.0, 0.0), 0.0_f64, 0.0);
    for b in f.bend_lines.iter().take_while(|b| b.tangent_right <= x) {
        let run = b.tangent_left - done;
        (px, pz) = (px + run * heading.cos(), pz + run * heading.sin());
        // Up: the face lies on the inside of the bend. Down: on its outside.
        let (turn, r) = match b.turn {
            BendTurn::Up => (b.angle.to_radians(), b.inside_radius.to_mm()),
            BendTurn::Down => (-b.angle.to_radians(), b.inside_radius.to_mm() + s),
        };
        let side = turn.signum();
        (px, pz) = (px - side * r * heading.sin(), pz + side * r * heading.cos());
        heading += turn;
        (px, pz) = (px + side * r * heading.sin(), pz - side * r * heading.cos());
        done = b.tangent_right;
    }
    let run = x - done;
    ((px + run * heading.cos(), pz + run * heading.sin()), (-heading.sin(), heading.cos()))
}

/// The value that a finding with these words was held by.
fn held(o: &Outcome, words: &str) -> f64 {
    let f = o.worked.findings.iter().find(|f| f.says.contains(words));
    f.and_then(|f| f.value).unwrap_or_else(|| panic!("nothing says {words}: {:?}", o.worked.findings))
}

#[test]
fn a_tapered_tab_is_the_hull_of_its_weld_and_the_circle_about_its_hole() {
    let o = made("weld-tab", &[("height", "40 mm"), ("hole", "9 mm"), ("width", "27 mm"), ("base", "50 mm")]);
    let f = flat(&o, "tab");
    assert_eq!(hole(f, "bolt"), (25.0, 40.0));
    near("length", f.length.to_mm(), 50.0);
    near("width", f.width.to_mm(), 40.0 + 13.5);
    // Half of it: the triangle weld end, middle of the weld, hole; the right triangle from the
    // weld's end to where the side touches the circle; and the sector from there to the top.
    let (r, d) = (13.5, 25.0_f64.hypot(40.0));
    let touch = -(40.0_f64).atan2(25.0) + (r / d).acos();
    let half =
        25.0 * 40.0 / 2.0 + r * (d * d - r * r).sqrt() / 2.0 + r * r * (std::f64::consts::FRAC_PI_2 - touch) / 2.0;
    assert!((f.outline.area() - 2.0 * half).abs() < 1e-6, "{} {}", f.outline.area(), 2.0 * half);
    // Parallel sides, clipped: a rectangle less two corners.
    let o = made("weld-tab", &[("height", "30 mm"), ("nose", "clipped"), ("width", "40 mm"), ("corner", "8 mm")]);
    near("clipped", flat(&o, "tab").outline.area(), 40.0 * (30.0 + 14.0) - 64.0);
    // A pair of 5 mm with 12 mm between has 22 mm under its bolt.
    let o = made("weld-tab", &[("height", "30 mm"), ("tabs", "2"), ("held", "12 mm")]);
    assert!(o.worked.needs.hardware[0].0.contains("grip 22 mm"), "{:?}", o.worked.needs.hardware);
    assert!(o.worked.findings.iter().all(|f| f.code != "clash"), "the bolt goes through both holes");
}

#[test]
fn a_gusset_is_its_triangle_less_tips_and_corner_with_the_hole_in_the_inscribed_circle() {
    let o = made("gusset", &[("leg_a", "80 mm"), ("chamfer", "10 mm"), ("toe", "6 mm"), ("hole", "16 mm")]);
    let f = flat(&o, "gusset");
    // Legs meet the free edge 86 mm from the corner: 80 and a toe of 6 at 45 degrees.
    near("area", f.outline.area(), 86.0 * 86.0 / 2.0 - 2.0 * 6.0 * 6.0 / 2.0 - 10.0 * 10.0 / 2.0);
    let inscribed = (86.0 + 86.0 - 86.0 * 2.0_f64.sqrt()) / 2.0;
    let (x, y) = hole(f, "lightening hole");
    near("x", x, inscribed);
    near("y", y, inscribed);
    // Leaning members: the hole is as far from both legs and the free edge.
    let o = made("gusset", &[("leg_a", "120 mm"), ("leg_b", "90 mm"), ("corner", "110 deg"), ("hole", "20 mm")]);
    let f = flat(&o, "gusset");
    let (s, c) = 110.0_f64.to_radians().sin_cos();
    let shift = -90.0 * c;
    let (x, y) = hole(f, "lightening hole");
    let (x, y) = (x - shift, y);
    let from_second = (x * s - y * c).abs();
    let (a, b) = ((120.0, 6.0), (90.0 * c + 6.0 * s, 90.0 * s - 6.0 * c));
    let edge = ((b.0 - a.0) * (y - a.1) - (b.1 - a.1) * (x - a.0)) / (b.0 - a.0).hypot(b.1 - a.1);
    near("second leg", from_second, y);
    near("free edge", edge.abs(), y);
}

#[test]
fn a_gusset_carries_the_couple_from_the_middle_of_one_weld_to_the_middle_of_the_other() {
    // 1 kN at 300 mm; welds from 10 to 80 mm, middles at 45 mm: the line between them passes
    // the corner at 45 / sqrt 2, and meets each weld at 45 degrees.
    let o = made("gusset", &[("leg_a", "80 mm"), ("chamfer", "10 mm"), ("force", "1 kN"), ("lever", "300 mm")]);
    let strut = 1000.0 * 300.0 / (45.0 / 2.0_f64.sqrt());
    // Two runs of 70 mm, less a throat of 3 mm at each end: shear and pull at right angles.
    let stress = strut / (2.0 * 3.0 * (70.0 - 6.0));
    let told: Vec<f64> = o.worked.findings.iter().filter(|f| f.code == "weld-runs").filter_map(|f| f.value).collect();
    assert_eq!(told.len(), 2);
    told.iter().for_each(|v| near("stress", *v, stress));
}

#[test]
fn a_pipe_strap_folds_up_round_its_pipe() {
    let o = made(
        "pipe-strap",
        &[
            ("pipe", "42 mm"),
            ("liner", "2 mm"),
            ("nip", "1 mm"),
            ("thickness", "3 mm"),
            ("hole", "9 mm"),
            ("pitch", "100 mm"),
        ],
    );
    let f = flat(&o, "strap");
    // Ears: the bolt 50 mm out, less pipe, liner, steel and the bend of 1.5 s; 1.5 holes beyond it, in whole mm.
    let hole_along: f64 = 50.0 - 21.0 - 2.0 - 3.0 - 4.5;
    let ear = (hole_along + 13.5).ceil();
    // Legs: from the middle of the pipe (it lies on its liner) down to the ear that stands off by the nip.
    let leg = 21.0 + 2.0 - 1.0 - 3.0 - 4.5;
    near("length", f.length.to_mm(), 2.0 * (ear + leg + bend(90.0, 4.5, 3.0)) + bend(180.0, 23.0, 3.0));
    let (left, right) = (hole(f, "left bolt").0, hole(f, "right bolt").0);
    let (a, b) = (folded(f, 3.0, left).0, folded(f, 3.0, right).0);
    near("pitch", b.0 - a.0, 100.0);
    near("both ears lie on one face", b.1, a.1);
    // The crown: inside of the strap over the pipe's middle is pipe, liner and nip above the ear.
    let crown = f.bend_lines[1].inside_radius.to_mm();
    near("inside", crown, 23.0);
    let spring = folded(f, 3.0, f.bend_lines[1].tangent_left).0;
    near("middle of the pipe above the ear's top", spring.1 - a.1, 23.0 - 1.0 - 3.0);
}

#[test]
fn a_hold_down_strap_folds_up_over_its_box() {
    let answers = [
        ("box_width", "175 mm"),
        ("box_height", "190 mm"),
        ("take_up", "4 mm"),
        ("pitch", "240 mm"),
        ("liner", "3 mm"),
    ];
    let o = made("hold-down-strap", &answers);
    let f = flat(&o, "strap");
    // Edges of 3 mm and 3 mm of rubber: bends of 6 mm at the top, of 1.5 s at the ears.
    let hole_along: f64 = 120.0 - 87.5 - 3.0 - 3.0 - 4.5;
    let ear = (hole_along + 13.5).ceil();
    let leg = 190.0 + 3.0 - 4.0 - 3.0 - 4.5 - 6.0;
    let top = 2.0 * (87.5 + 3.0 - 6.0);
    near("length", f.length.to_mm(), 2.0 * (ear + leg + bend(90.0, 4.5, 3.0) + bend(90.0, 6.0, 3.0)) + top);
    let (a, b) = (hole(f, "left bolt").0, hole(f, "right bolt").0);
    let (a, b) = (folded(f, 3.0, a).0, folded(f, 3.0, b).0);
    near("pitch", b.0 - a.0, 240.0);
    near("ears level", b.1, a.1);
    // The top's underside lies on the rubber when the ears are home.
    let middle = folded(f, 3.0, f.length.to_mm() / 2.0);
    near("over the ear", middle.0.1 - a.1, 190.0 + 3.0 + 3.0 - 4.0 - 3.0);
    assert!(middle.1.1 > 0.999_999, "the outside looks up");
}

#[test]
fn a_ground_strap_reaches_its_second_stud_in_every_shape() {
    // Flat: two half widths beyond the studs, rounded ends.
    let o = made("ground-strap", &[("apart", "120 mm"), ("width", "20 mm")]);
    near("flat", flat(&o, "strap").length.to_mm(), 140.0);
    for (shape, rise) in [("corner", 30.0), ("step", 18.0), ("hump", 22.0)] {
        let up = format!("{rise} mm");
        let o = made(
            "ground-strap",
            &[("shape", shape), ("apart", "120 mm"), ("rise", &up), ("width", "20 mm"), ("thickness", "2 mm")],
        );
        let f = flat(&o, "strap");
        let (first, second) = (hole(f, "first stud").0, hole(f, "second stud").0);
        near("end", first, 10.0);
        let (a, b) = (folded(f, 2.0, first).0, folded(f, 2.0, second));
        // The faces lie under the strip: of a corner the second one stands upright.
        let (dx, dz) = (b.0.0 - a.0, b.0.1 - a.1);
        let expected = match shape {
            "corner" => (120.0 - 2.0, rise - 2.0),
            "step" => (120.0, rise),
            _ => (120.0, 0.0),
        };
        near(shape, dx, expected.0);
        near(shape, dz, expected.1);
        near("normal", b.1.1, if shape == "corner" { 0.0 } else { 1.0 });
        if shape == "hump" {
            // The crest lies between the second and the third bend.
            let crest = folded(f, 2.0, (f.bend_lines[1].tangent_right + f.bend_lines[2].tangent_left) / 2.0).0;
            near("hump", crest.1 - a.1, rise);
        }
    }
}

#[test]
fn a_ground_strap_loses_what_ohm_says() {
    // 200 mm of 20 x 2 mild steel at 0.17 microohm metre and 40 A.
    let o = made("ground-strap", &[("apart", "200 mm"), ("width", "20 mm"), ("amperes", "40")]);
    let millivolts = 40.0 * 0.17e-6 * 0.2 / (0.020 * 0.002) * 1e3;
    near("drop", held(&o, "millivolts"), millivolts);
}

#[test]
fn a_p_clip_closes_on_its_own_foot() {
    for (cable, nip) in [(12.0, 1.0), (6.0, 1.0), (40.0, 0.0), (25.0, 2.5)] {
        let (c, n) = (format!("{cable} mm"), format!("{nip} mm"));
        let o = made("cable-bracket", &[("shape", "P"), ("cable", &c), ("nip", &n), ("liner", "1.5 mm")]);
        let f = flat(&o, "bracket");
        let (lower, upper) = (hole(f, "foot bolt").0, hole(f, "foot bolt, upper ear").0);
        let (a, b) = (folded(f, 1.5, lower), folded(f, 1.5, upper));
        // The face that was up below is down above: both bolts in one line, the nip between them.
        near("in line", b.0.0, a.0.0);
        near("nip", b.0.1 - a.0.1, nip);
        near("turned over", b.1.1, -1.0);
        // The loop has the cable and its rubber inside, above the foot.
        near("loop", f.bend_lines[0].inside_radius.to_mm(), cable / 2.0 + 1.5);
        let turned = f.bend_lines[0].angle.to_degrees() - f.bend_lines[1].angle.to_degrees();
        near("half a turn", turned, 180.0);
        // Flat length: from end to end of both ears and both arcs by DIN 6935.
        let (loop_r, small) = (cable / 2.0 + 1.5, 2.25);
        let straight = f.bend_lines[0].tangent_left + f.length.to_mm() - f.bend_lines[1].tangent_right;
        let arcs = bend(f.bend_lines[0].angle.to_degrees(), loop_r, 1.5)
            + bend(f.bend_lines[1].angle.to_degrees(), small, 1.5);
        near("length", f.length.to_mm(), straight + arcs);
    }
}

#[test]
fn an_l_bracket_holds_its_cable_at_the_height_that_was_taped() {
    let o = made("cable-bracket", &[("cable", "12 mm"), ("height", "45 mm"), ("reach", "30 mm"), ("hole", "6.6 mm")]);
    let f = flat(&o, "bracket");
    // Foot: 1.5 holes in half mm, the reach, less steel and bend; upright: the height, less the same, and half the width.
    let width = f.width.to_mm();
    near("width", width, ((12.0 + 0.5 + 24.0_f64) / 5.0).ceil() * 5.0);
    let straight = 10.0 + 30.0 - 3.0 - 4.5 + 45.0 - 3.0 - 4.5 + width / 2.0;
    near("length", f.length.to_mm(), straight + bend(90.0, 4.5, 3.0));
    let (bolt, cable) = (hole(f, "foot bolt"), hole(f, "cable"));
    let (a, b) = (folded(f, 3.0, bolt.0).0, folded(f, 3.0, cable.0).0);
    // From the foot's underside, which lies 3 mm below its top; the upright's outer face is 3 mm beyond.
    near("height", b.1 - a.1 + 3.0, 45.0);
    near("reach", b.0 - a.0 + 3.0, 30.0);
    near("in the middle", cable.1, width / 2.0);
}

#[test]
fn a_pedal_stop_has_its_set_bolt_at_the_height_and_takes_the_foot_by_the_lever() {
    let o = made("pedal-stop", &[("height", "36 mm"), ("fixed", "bolt on"), ("floor_slot", "14 mm")]);
    let f = flat(&o, "angle");
    near("length", f.length.to_mm(), 80.0);
    let h = f.holes.iter().find(|h| h.name == "set bolt").unwrap();
    assert_eq!((h.face.as_str(), h.at.x, h.at.y), ("upright leg", 40.0, 36.0));
    // Two floor bolts a sixth of the length or 1.5 holes from the ends: 13.5 mm.
    let floor: Vec<f64> = f.holes.iter().filter(|h| h.name == "floor bolt").map(|h| h.at.x).collect();
    assert_eq!(floor, [13.5, 66.5]);
    // 2000 N at 250 mm press with 3333 N at 150 mm, on 30 mm of lever; 45 degrees each side of
    // an 8 mm nut reach 76 mm of the 80 mm, 6 mm thick.
    let stress = 2000.0 * 250.0 / 150.0 * 30.0 / (76.0 * 36.0 / 6.0);
    near("bending", held(&o, "upright of the stop"), stress);
    let o = made("pedal-stop", &[("height", "36 mm"), ("made_of", "plate"), ("set_by", "tapped")]);
    let f = flat(&o, "plate");
    assert_eq!(hole(f, "set bolt"), (40.0, 36.0));
    let droprack::piece::HoleShape::Round { diameter } = f.holes[0].shape else { panic!("{:?}", f.holes) };
    near("tap drill of M8", diameter, 6.75);
}

#[test]
fn a_cross_member_is_as_long_as_its_gap_and_its_slants() {
    // Square tube of 40 mm, members out of square by 20 and 10 degrees, a weld gap of 1 mm each.
    let o = made("cross-member", &[("gap", "600 mm"), ("slope_left", "20 deg"), ("slope_right", "-10 deg")]);
    let f = flat(&o, "square tube");
    let slants = 20.0 * (20.0_f64.to_radians().tan() + 10.0_f64.to_radians().tan());
    near("long point to long point", f.length.to_mm(), 598.0 + slants);
    assert_eq!(f.ends_deg.map(|e| (e.0.round(), e.1.round())), Some((70.0, 100.0)));
    // End plates of 6 mm take their thickness over the cosine.
    let o = made("cross-member", &[("gap", "600 mm"), ("slope_left", "20 deg"), ("fixed", "end plates")]);
    let (f, plate) = (flat(&o, "square tube"), flat(&o, "end plate"));
    let slope = 20.0_f64.to_radians();
    near("between plates", f.length.to_mm(), 600.0 - 6.0 / slope.cos() - 6.0 + 20.0 * slope.tan());
    // Bolts: half the slanted tube, the leg of a 3 mm throat, 1.2 holes of 11 mm, in whole mm.
    let off = (20.0 / slope.cos() + 3.0 * 2.0_f64.sqrt() + 13.2).ceil();
    let (a, b) = (plate.holes[0].at, plate.holes[1].at);
    near("bolt to bolt", b.x - a.x, 2.0 * off);
    near("in the middle", a.x + b.x, plate.length.to_mm());
    assert!(o.worked.findings.iter().all(|f| f.code != "clash"), "{:?}", o.worked.findings);
}

#[test]
fn a_fish_mouth_reaches_round_its_member() {
    // template: cross-member
    // Square to a member of the same 40 mm: the ears reach to its middle, 20 mm beyond the gap.
    let round = [("gap", "250 mm"), ("made_of", "round tube"), ("weld_gap", "0 mm")];
    let o = made("cross-member", &[round.as_slice(), &[("left_round", "40 mm")]].concat());
    near("both ears", flat(&o, "round tube").length.to_mm(), 250.0 + 2.0 * 20.0);
    // On a thicker one and aslant: the nearest of ten thousand places round the cut.
    for slope in [0.0, 20.0, -35.0, 44.0] {
        let s = format!("{slope} deg");
        let more = [("left_round", "60 mm"), ("right_round", "0 mm"), ("slope_left", s.as_str())];
        let o = made("cross-member", &[round.as_slice(), &more].concat());
        let a = (90.0_f64 - slope).to_radians();
        let cut = |t: f64| (20.0 * t.sin() * a.cos() + (900.0 - (20.0 * t.cos()).powi(2)).sqrt()) / a.sin();
        let first = (0..10_000).map(|i| cut(f64::from(i) * std::f64::consts::TAU / 1e4)).fold(f64::INFINITY, f64::min);
        let length = flat(&o, "round tube").length.to_mm();
        assert!((length - (250.0 + 30.0 / a.sin() - first)).abs() < 1e-4, "{slope}: {length}");
    }
}

#[test]
fn a_round_cross_member_bends_like_a_tube() {
    // template: cross-member
    let answers = [("gap", "600 mm"), ("made_of", "round tube"), ("vent", "0 mm"), ("force", "2 kN")];
    let o = made("cross-member", &answers);
    // 2 kN in the middle of 600 mm on a tube of 40 x 3: W = pi (D^4 - d^4) / (32 D).
    let modulus = std::f64::consts::PI * (40.0_f64.powi(4) - 34.0_f64.powi(4)) / (32.0 * 40.0);
    near("bending", held(&o, "bend the beam"), 2000.0 * 600.0 / 4.0 / modulus);
}

#[test]
fn a_spacer_is_cut_longer_by_its_facing_and_its_taper() {
    let o = made("spacer", &[("length", "30 mm"), ("facing", "0.5 mm")]);
    let f = flat(&o, "tube");
    near("length", f.length.to_mm(), 31.0);
    assert_eq!(f.stock.size.iter().map(|s| s.to_mm()).collect::<Vec<_>>(), [14.0, 2.5]);
    assert!(o.worked.needs.hardware[0].0.contains("grip 40 mm"), "{:?}", o.worked.needs.hardware);
    // M8 of class 8.8 at three quarters of its proof load on 14 x 2.5 mm.
    near("clamp", held(&o, "squeezes"), 0.75 * 580.0 * 36.6);
    let o = made("spacer", &[("length", "30 mm"), ("taper", "10 deg"), ("facing", "0 mm"), ("made_of", "round bar")]);
    let f = flat(&o, "bar");
    // Bar of 1.7 holes in whole mm: 16 mm; half of it times the taper beyond the middle.
    near("long point", f.length.to_mm(), 30.0 + 8.0 * 10.0_f64.to_radians().tan());
    let steel = std::f64::consts::FRAC_PI_4 * (16.0 * 16.0 - 9.0 * 9.0) * 30.0;
    assert!((f.volume_mm3 - steel).abs() < 1e-6, "bored: {} {steel}", f.volume_mm3);
    assert_eq!(f.stock.shape, "round bar");
}

#[test]
fn a_shield_folds_up_to_its_bolts() {
    let size = [("width", "300 mm"), ("length", "400 mm"), ("thickness", "2 mm"), ("height", "40 mm")];
    let o = made("shield-plate", &[size.as_slice(), &[("lean", "60 deg"), ("pitch", "420 mm")]].concat());
    let f = flat(&o, "shield");
    near("cut from sheet", f.width.to_mm(), 400.0);
    assert_eq!((f.stock.shape.as_str(), f.stock.size[0].to_mm()), ("plate", 2.0));
    let middle = f.length.to_mm() / 2.0;
    let (left, right) = (hole(f, "left bolts").0, hole(f, "right bolts").0);
    let (a, b, panel) = (folded(f, 2.0, left).0, folded(f, 2.0, right).0, folded(f, 2.0, middle).0);
    near("pitch", b.0 - a.0, 420.0);
    near("level", b.1, a.1);
    // The lips lie on the frame, 40 mm above the underside: their own 2 mm less from sheet to sheet.
    near("lips above the panel", a.1 - panel.1, 38.0);
    // Length: the middle line from corner to corner, its corners replaced by arcs of 60 degrees.
    let half = 30.0_f64.to_radians().tan();
    let (panel, side) = (300.0 - 2.0 * half, 38.0 / 60.0_f64.to_radians().sin());
    let edge: f64 = ((1.5 * 6.6 + 3.3) * 2.0_f64).ceil() / 2.0;
    let lip = (420.0 - panel) / 2.0 - side * 0.5 + edge;
    let corner = 2.0 * (3.0 + 1.0) * half;
    near("length", f.length.to_mm(), 2.0 * (lip + side) + panel - 4.0 * corner + 4.0 * bend(60.0, 3.0, 2.0));
    // Three bolts a side: 40 mm from the front, the rest in two steps.
    let along: Vec<f64> = f.holes.iter().filter(|h| h.name == "left bolts").map(|h| h.at.y).collect();
    assert_eq!(along, [40.0, 200.0, 360.0]);
}

#[test]
fn a_tray_stands_as_high_as_asked_and_a_flat_shield_has_its_bolts_apart() {
    // template: shield-plate
    let size = [("width", "300 mm"), ("length", "400 mm"), ("thickness", "2 mm"), ("height", "40 mm")];
    let o = made("shield-plate", &[size.as_slice(), &[("sides", "up")]].concat());
    let f = flat(&o, "shield");
    // The middle of the sheet: 298 mm of panel, 39 mm up each side, square corners of 4 mm.
    near("length", f.length.to_mm(), 298.0 + 2.0 * 39.0 - 4.0 * 4.0 + 2.0 * bend(90.0, 3.0, 2.0));
    assert!(o.worked.findings.iter().all(|f| f.code != "clash"), "{:?}", o.worked.findings);
    let o = made("shield-plate", &[size.as_slice(), &[("sides", "flat"), ("pitch", "260 mm")]].concat());
    let f = flat(&o, "shield");
    near("flat", f.length.to_mm(), 300.0);
    assert_eq!((hole(f, "left bolts, flat").0, hole(f, "right bolts, flat").0), (20.0, 280.0));
}

#[test]
fn a_push_rod_leaves_its_eyes_as_far_apart_as_taped() {
    // Eyes 150 mm apart; rod ends 45 mm from eye to mouth, 17.5 mm of thread in each.
    let answers = [("centres", "150 mm"), ("end_length", "45 mm"), ("engaged", "17.5 mm")];
    let o = made("push-rod", &answers);
    near("length", flat(&o, "rod").length.to_mm(), 150.0 - 2.0 * (45.0 - 17.5));
    let area = std::f64::consts::FRAC_PI_4 * (10.0 - 0.9382 * 1.5_f64).powi(2);
    near("stress", held(&o, "Stress in the thread"), 8000.0 / area);
    // EN 1993-1-1, 6.3.1.2, curve c, on the thread's core between hinges 150 mm apart.
    let inertia = std::f64::consts::PI / 64.0 * (10.0 - 0.9382 * 1.5_f64).powi(4);
    let critical = std::f64::consts::PI.powi(2) * 210_000.0 * inertia / (150.0 * 150.0);
    let slender = (area * 235.0 / critical).sqrt();
    let bow = 0.5 * (1.0 + 0.49 * (slender - 0.2) + slender * slender);
    let carries = area * 235.0 / (bow + (bow * bow - slender * slender).sqrt());
    let limit = o.worked.findings.iter().find(|f| f.says.contains("buckle")).and_then(|f| f.limit).unwrap();
    near("buckling", limit, carries);
    assert!(
        o.worked.pieces[0].notes[0].contains("10 mm x 1.5 mm (core drill 8.5 mm)"),
        "{:?}",
        o.worked.pieces[0].notes
    );
}

#[test]
fn a_double_d_loses_two_segments_at_each_end() {
    let answers = [("between", "300 mm"), ("diameter", "20 mm"), ("across", "15 mm"), ("flats_length", "40 mm")];
    for (ends, flats) in [("both", 2.0), ("left only", 1.0)] {
        let o = made("double-d-shaft", &[answers.as_slice(), &[("slip", "5 mm"), ("ends", ends)]].concat());
        let f = flat(&o, "shaft");
        near("length", f.length.to_mm(), 295.0);
        // A segment of a circle: r^2 acos(d / r) - d sqrt(r^2 - d^2), at d = 7.5 mm.
        let segment = 100.0 * 0.75_f64.acos() - 7.5 * (100.0 - 7.5 * 7.5_f64).sqrt();
        let steel = std::f64::consts::PI * 100.0 * 295.0 - flats * 2.0 * segment * 40.0;
        assert!((f.volume_mm3 - steel).abs() < 1e-6, "{ends}: {} {steel}", f.volume_mm3);
    }
}

#[test]
fn rods_and_double_d_shafts_from_any_other_bar_are_refused() {
    // template: push-rod
    // template: double-d-shaft
    for (template, with) in [("push-rod", "with.centres = \"150 mm\""), ("double-d-shaft", "with.between = \"300 mm\"")]
    {
        for (steel, refused) in [("known", true), ("unknown scrap", true), ("certified", false)] {
            let part = format!("[[part]]\nname = \"P\"\ntemplate = \"{template}\"\nsteel = \"{steel}\"\n{with}\n");
            let mut files = Memory::default();
            files.0.insert(PathBuf::from("job.toml"), format!("job = \"t\"\nbin = \"bin.toml\"\n{part}"));
            files.0.insert(PathBuf::from("bin.toml"), String::new());
            let o = run(&files, &Request { job: PathBuf::from("job.toml"), bin: None }).unwrap();
            let told = o.worked.findings.iter().any(|f| f.code == "home-made-double-d" && f.says.contains("REFUSED"));
            assert_eq!(told, refused, "{template} from {steel} bar");
        }
    }
}

/// The box round a piece's bodies where they stand in the part, low and high of x, y, z.
fn stands(o: &Outcome, piece: &str) -> [[f64; 2]; 3] {
    let p = o.worked.pieces.iter().find(|p| p.name == piece).unwrap_or_else(|| panic!("no piece {piece}"));
    let body = build_body(p).unwrap();
    let mut out = [[f64::INFINITY, f64::NEG_INFINITY]; 3];
    for q in p.places.iter().flat_map(|f| body.mesh.positions.iter().map(|p| f.place(*p))) {
        for (range, v) in out.iter_mut().zip([q.x, q.y, q.z]) {
            *range = [range[0].min(v), range[1].max(v)];
        }
    }
    out
}

/// A template, its answers, a piece of it, and the box that the piece stands in, mm.
type Standing = (&'static str, &'static [(&'static str, &'static str)], &'static str, [[f64; 2]; 3]);

/// A battery of 242 x 175 x 190 mm with 2 mm of room, in angle of 30 x 3 mm.
const TRAY: &[(&str, &str)] = &[("length", "242 mm"), ("width", "175 mm"), ("height", "190 mm"), ("straps", "2")];

const STANDING: &[Standing] = &[
    ("battery-tray", TRAY, "long rail", [[-126.0, 126.0], [-92.5, 92.5], [0.0, 30.0]]),
    ("battery-tray", TRAY, "short rail", [[-126.0, 126.0], [-92.5, 92.5], [0.0, 30.0]]),
    // Two straps over the lips, ears 17.5 mm up; 3 mm of rubber, 4 mm of take-up left.
    ("battery-tray", TRAY, "strap/strap", [[-75.5, 75.5], [-131.0, 131.0], [21.5, 199.0]]),
    ("battery-tray", TRAY, "strap_ear/tab", [[-76.0, 76.0], [-131.0, 131.0], [12.5, 17.5]]),
    ("battery-tray", TRAY, "mount_ear/tab", [[-162.0, 162.0], [-57.0, 57.0], [12.5, 17.5]]),
    ("pipe-strap", &[("pipe", "42 mm"), ("pitch", "100 mm")], "strap", [[-63.5, 63.5], [-15.0, 15.0], [1.0, 49.0]]),
    (
        "hold-down-strap",
        &[("box_width", "175 mm"), ("box_height", "190 mm"), ("pitch", "240 mm")],
        "strap",
        [[-134.0, 134.0], [-15.0, 15.0], [4.0, 196.0]],
    ),
    ("weld-tab", &[("height", "40 mm"), ("base", "50 mm")], "tab", [[0.0, 50.0], [0.0, 53.5], [-5.0, 0.0]]),
    ("gusset", &[("leg_a", "80 mm")], "gusset", [[0.0, 80.0], [0.0, 80.0], [-1.5, 1.5]]),
    (
        "ground-strap",
        &[("apart", "120 mm"), ("shape", "step"), ("rise", "18 mm"), ("width", "20 mm")],
        "strap",
        [[-10.0, 130.0], [-10.0, 10.0], [0.0, 20.0]],
    ),
    (
        "cable-bracket",
        &[("shape", "P"), ("cable", "12 mm"), ("reach", "25 mm"), ("width", "20 mm")],
        "bracket",
        [[-10.0, 34.0], [-10.0, 10.0], [0.0, 18.0]],
    ),
    ("pedal-stop", &[("height", "36 mm")], "angle", [[-40.0, 40.0], [-50.0, 0.0], [0.0, 50.0]]),
    ("pedal-stop", &[("height", "36 mm"), ("made_of", "plate")], "plate", [[-40.0, 40.0], [-6.0, 0.0], [0.0, 50.0]]),
    ("cross-member", &[("gap", "600 mm")], "square tube", [[1.0, 599.0], [-20.0, 20.0], [-20.0, 20.0]]),
    (
        "cross-member",
        &[("gap", "250 mm"), ("made_of", "round tube"), ("left_round", "40 mm")],
        "round tube",
        [[-19.0, 269.0], [-20.0, 20.0], [-20.0, 20.0]],
    ),
    (
        "cross-member",
        &[("gap", "250 mm"), ("fixed", "end plates"), ("plate", "6 mm")],
        "end plate",
        [[0.0, 250.0], [-54.5, 54.5], [-26.0, 26.0]],
    ),
    ("spacer", &[("length", "30 mm")], "tube", [[-0.5, 30.5], [-7.0, 7.0], [-7.0, 7.0]]),
    (
        "shield-plate",
        &[("width", "300 mm"), ("length", "400 mm"), ("pitch", "360 mm")],
        "shield",
        [[-193.5, 193.5], [-200.0, 200.0], [0.0, 40.0]],
    ),
    (
        "shield-plate",
        &[("width", "300 mm"), ("length", "400 mm"), ("sides", "up")],
        "shield",
        [[-150.0, 150.0], [-200.0, 200.0], [0.0, 40.0]],
    ),
    (
        "shield-plate",
        &[("width", "300 mm"), ("length", "400 mm"), ("sides", "flat")],
        "shield",
        [[-150.0, 150.0], [-200.0, 200.0], [0.0, 2.0]],
    ),
    (
        "push-rod",
        &[("centres", "150 mm"), ("end_length", "45 mm"), ("engaged", "17.5 mm")],
        "rod",
        [[27.5, 122.5], [-5.0, 5.0], [-5.0, 5.0]],
    ),
    (
        "double-d-shaft",
        &[("between", "300 mm"), ("diameter", "20 mm")],
        "shaft",
        [[2.5, 297.5], [-10.0, 10.0], [-10.0, 10.0]],
    ),
];

#[test]
fn every_piece_stands_where_its_template_says() {
    for (template, answers, piece, expected) in STANDING {
        let got = stands(&made(template, answers), piece);
        for (axis, (g, e)) in ["x", "y", "z"].iter().zip(got.iter().zip(expected)) {
            // A round skin is a polygon within the chord of its mesh.
            let same = (g[0] - e[0]).abs() < 0.06 && (g[1] - e[1]).abs() < 0.06;
            assert!(same, "{template} {answers:?}, {piece}: along {axis} {g:?}, expected {e:?}");
        }
    }
}

#[test]
fn welds_and_rubber_are_on_the_list() {
    let weld = |template: &str, answers: &[(&str, &str)]| {
        let o = made(template, answers);
        o.worked.needs.welds.iter().map(|w| w.1.length.to_mm()).sum::<f64>()
    };
    // A pair of tabs of 50 x 5 mm, all round; a gusset of 80 mm less 10 mm, both faces of both legs.
    near("tabs", weld("weld-tab", &[("height", "40 mm"), ("base", "50 mm"), ("tabs", "2")]), 4.0 * (50.0 + 5.0));
    near("gusset", weld("gusset", &[("leg_a", "80 mm"), ("chamfer", "10 mm")]), 4.0 * 70.0);
    near("stop", weld("pedal-stop", &[("height", "36 mm")]), 2.0 * 80.0);
    near("stop, bolted", weld("pedal-stop", &[("height", "36 mm"), ("fixed", "bolt on")]), 0.0);
    near("square tube", weld("cross-member", &[("gap", "600 mm")]), 2.0 * 4.0 * 40.0);
    let round = [("gap", "600 mm"), ("made_of", "round tube")];
    near("round tube", weld("cross-member", &round), 2.0 * std::f64::consts::PI * 40.0);
    // Rubber over a pipe of 42 mm: round the inside of the strap and down both legs.
    let o = made("pipe-strap", &[("pipe", "42 mm")]);
    let (strip, _) = &o.worked.needs.strips[0];
    near("rubber", strip.length.to_mm(), std::f64::consts::PI * 23.0 + 2.0 * 23.0);
    near("as wide as the strap", strip.width.to_mm(), 30.0);
}
