//! What physics says must never go the wrong way, over random parts: every
//! named check, every argument that has a direction, two values of it with all
//! the rest alike. More steel never carries less, more load never uses less.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::checks::{ArgumentKind, Judged, NAMED, Named, judge, named};
use droprack::expr::Value;
use droprack::handbook::holes::{Fit, clearance};
use droprack::handbook::{bolts, material};
use droprack::units::System;

/// Pairs that must be compared in each direction.
const CASES: u32 = 250;
/// Tries that may be spent on them: some random parts are no part at all.
const TRIES: u32 = 40_000;

struct Dice(u64);

impl Dice {
    /// A number from 0 to under 1.
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
    fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[(self.share() * of.len() as f64) as usize]
    }
    fn within(&mut self, least: f64, most: f64) -> f64 {
        least + self.share() * (most - least)
    }
}

/// What more of an argument does to the share of the limit that is used up.
#[derive(Clone, Copy, Debug, PartialEq)]
enum More {
    Worse,
    Better,
}
use More::{Better, Worse};

/// Which of a check's findings is compared, and which pairs are left out.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Only {
    /// The first finding, any pair.
    First,
    /// The finding of that number.
    Nth(usize),
    /// Pairs on one side of a thickness, mm: the rule itself steps there.
    SameSideOf(f64, usize),
    /// Pairs whose words begin with the same bolt.
    SameBolt,
}
use Only::{First, Nth, SameBolt, SameSideOf};

/// An argument, what more of it does, and what is compared.
type Direction = (&'static str, More, Only);

/// Every direction. `bolt` and `grade` are not arguments: they set the hole to
/// a larger bolt's normal clearance hole, and the material to a stronger steel.
/// `clear` puts the shank in place of the thread into the plane of shear.
const DIRECTIONS: &[(&str, &[Direction])] = &[
    (
        "strap-pull",
        &[
            ("pull", Worse, First),
            ("width", Better, First),
            ("thickness", Better, First),
            ("hole", Worse, First),
            ("grade", Better, First),
        ],
    ),
    (
        "bolt-bearing",
        &[
            ("force", Worse, First),
            ("thickness", Better, First),
            ("end", Better, First),
            ("edge", Better, First),
            ("pitch", Better, First),
            ("hole", Worse, SameBolt),
            ("grade", Better, First),
        ],
    ),
    (
        "bolt-shear",
        &[
            ("force", Worse, First),
            ("bolt", Better, First),
            ("class", Better, First),
            ("clear", Better, First),
            ("hole", Worse, SameBolt),
        ],
    ),
    ("bolt-tension", &[("force", Worse, First), ("bolt", Better, First), ("class", Better, First)]),
    (
        "bolt-combined",
        &[
            ("shear", Worse, First),
            ("pull", Worse, First),
            ("bolt", Better, First),
            ("class", Better, First),
            ("clear", Better, First),
        ],
    ),
    (
        "bolt-group",
        &[
            ("force", Worse, First),
            ("lever", Worse, First),
            ("pitch", Better, First),
            ("bolts", Better, First),
            ("bolt", Better, First),
            ("class", Better, First),
        ],
    ),
    (
        "ear-bending",
        &[
            ("pull", Worse, First),
            ("width", Better, First),
            ("thickness", Better, First),
            ("hole", Worse, First),
            ("lever", Worse, First),
            ("grade", Better, First),
        ],
    ),
    (
        "ear-prying",
        &[
            ("pull", Worse, First),
            ("lever", Worse, First),
            ("edge", Better, First),
            ("bolt", Better, First),
            ("class", Better, First),
        ],
    ),
    (
        "liner-pressure",
        &[
            ("pull", Worse, First),
            ("width", Better, First),
            ("radius", Better, First),
            ("liner", Worse, First),
            ("hardness", Better, First),
        ],
    ),
    (
        "beam-bending",
        &[
            ("force", Worse, First),
            ("span", Worse, First),
            ("bolts", Worse, First),
            ("side", Better, First),
            ("wall", Better, First),
            ("hole", Worse, First),
            ("grade", Better, First),
        ],
    ),
    (
        "beam-shear",
        &[
            ("force", Worse, First),
            ("bolts", Worse, First),
            ("side", Better, First),
            ("wall", Better, First),
            ("grade", Better, First),
        ],
    ),
    (
        "tube-crush",
        &[
            ("sleeve_outside", Better, First),
            ("sleeve_wall", Better, First),
            ("washer", Better, First),
            ("wall", Better, First),
            ("side", Worse, First),
            ("bolt", Worse, First),
            ("class", Worse, First),
            ("grade", Better, First),
        ],
    ),
    (
        "weld-runs",
        &[
            ("across", Worse, First),
            ("pull", Worse, First),
            ("bends", Worse, First),
            ("run", Better, First),
            ("throat", Better, First),
            ("apart", Better, First),
            ("grade", Better, First),
        ],
    ),
    (
        "weld-ring",
        &[
            ("torque", Worse, First),
            ("bends", Worse, First),
            ("diameter", Better, First),
            ("throat", Better, First),
            ("grade", Better, First),
        ],
    ),
    (
        "weld-size",
        &[
            ("leg", Better, First),
            ("leg", Better, Nth(1)),
            ("leg", Worse, Nth(2)),
            ("thinner", Worse, First),
            ("thicker", Worse, First),
            ("along_edge", Better, SameSideOf(6.35, 2)),
        ],
    ),
    (
        "plate-bending",
        &[
            ("force", Worse, First),
            ("lever", Worse, First),
            ("bends", Worse, First),
            ("width", Better, First),
            ("thickness", Better, First),
            ("hole", Worse, First),
            ("holes", Worse, First),
            ("grade", Better, First),
        ],
    ),
    (
        "rubber-pad",
        &[
            ("force", Worse, First),
            ("length", Better, First),
            ("width", Better, First),
            ("thickness", Worse, First),
            ("hardness", Better, First),
        ],
    ),
    ("edge-overlap", &[("overlap", Better, First), ("shift", Worse, First), ("least", Worse, First)]),
    ("misalignment", &[("tilt", Worse, First), ("most", Better, First)]),
    (
        "shaft-clearance",
        &[
            ("shaft", Worse, First),
            ("opening", Better, First),
            ("tilt", Worse, First),
            ("swing", Worse, First),
            ("thickness", Worse, First),
            ("least", Worse, First),
        ],
    ),
    (
        "bending-torsion",
        &[
            ("bends", Worse, First),
            ("twists", Worse, First),
            ("across", Better, First),
            ("along_load", Better, First),
            ("grade", Better, First),
        ],
    ),
    (
        "cross-hole",
        &[
            ("torque", Worse, First),
            ("torque", Worse, Nth(1)),
            ("diameter", Better, First),
            ("diameter", Better, Nth(1)),
            ("hole", Worse, First),
            ("grade", Better, First),
            ("grade", Better, Nth(1)),
        ],
    ),
    (
        "shaft-torsion",
        &[
            ("torque", Worse, First),
            ("diameter", Better, First),
            ("across", Better, First),
            ("root", Better, First),
            ("grade", Better, First),
        ],
    ),
    (
        "bush-couple",
        &[
            ("force", Worse, First),
            ("couple", Worse, First),
            ("bore", Better, First),
            ("length", Better, First),
            ("most", Better, First),
        ],
    ),
    (
        "pad-give",
        &[
            ("force", Worse, First),
            ("reach", Worse, First),
            ("beside", Worse, First),
            ("across", Better, First),
            ("along_load", Better, First),
            ("most", Better, First),
        ],
    ),
    (
        "rail-bolts",
        &[
            ("shear", Worse, First),
            ("pull", Worse, Nth(1)),
            ("wall", Better, First),
            ("wall", Better, Nth(1)),
            ("edge", Better, First),
            ("hole", Worse, SameBolt),
        ],
    ),
    (
        "rail-wall",
        &[("pull", Worse, First), ("member", Better, First), ("rail", Worse, First), ("wall", Better, First)],
    ),
];

/// Checks that have no number to compare: they refuse by words.
const WITHOUT_NUMBERS: &[&str] = &["hardened-arm", "welded-shaft"];

/// Where a random value of an argument lies, in base units (mm, N, N mm, MPa, degrees).
fn range(code: &str, argument: &str) -> (f64, f64) {
    match argument {
        "force" | "pull" | "shear" => (1.0, 20_000.0),
        "across" if code == "weld-runs" => (1.0, 20_000.0),
        "bends" | "twists" | "torque" | "couple" => (1e3, 5e5),
        "across" | "along_load" => (5.0, 60.0),
        "width" => (12.0, 120.0),
        "thickness" | "thinner" | "thicker" | "along_edge" => (1.0, 13.0),
        // Above 6 mm cold-formed tube gets larger corners: a thicker wall is then another section.
        "wall" | "sleeve_wall" => (1.0, 6.0),
        "leg" | "throat" => (1.0, 9.0),
        "hole" => (4.0, 19.0),
        "root" => (5.0, 60.0),
        "end" | "edge" => (6.0, 60.0),
        "pitch" => (15.0, 80.0),
        "lever" | "beside" => (2.0, 90.0),
        "span" => (100.0, 600.0),
        "first" => (10.0, 90.0),
        "side" => (20.0, 60.0),
        "sleeve_outside" => (8.0, 30.0),
        "washer" => (8.0, 40.0),
        "run" => (20.0, 120.0),
        "apart" | "diameter" | "bore" => (10.0, 80.0),
        "radius" => (30.0, 400.0),
        "liner" => (1.0, 10.0),
        "length" | "reach" => (10.0, 200.0),
        "overlap" => (-5.0, 40.0),
        "shift" | "least" => (0.0, 15.0),
        "tilt" | "swing" => (0.0, 40.0),
        "shaft" => (10.0, 40.0),
        "opening" => (15.0, 120.0),
        "member" => (10.0, 60.0),
        "rail" => (30.0, 120.0),
        "most" => (1.0, 60.0),
        "bolts" | "holes" => (2.0, 5.0),
        other => panic!("{code}: no range for {other}"),
    }
}

const HARDNESSES: [f64; 6] = [40.0, 50.0, 60.0, 65.0, 70.0, 75.0];
/// Steels whose yield, tensile and weld strength all rise.
const GRADES: [&str; 3] = ["mild steel", "S275", "S355"];

fn whole(name: &str) -> bool {
    matches!(name, "bolts" | "holes")
}

fn number(dice: &mut Dice, code: &str, name: &str) -> f64 {
    if name == "hardness" {
        return dice.pick(&HARDNESSES);
    }
    let (least, most) = range(code, name);
    let v = dice.within(least, most);
    match name {
        _ if whole(name) => v.round(),
        // Legs that are rolled: the fillets go by them.
        "side" => (v / 5.0).round() * 5.0,
        _ => v,
    }
}

/// A random part: every argument told, the optional ones half of the time.
fn part(dice: &mut Dice, n: &Named, needed: &str) -> Vec<(String, Value)> {
    let mut values = vec![];
    for a in n.arguments {
        if !a.must && a.name != needed && dice.share() < 0.5 {
            continue;
        }
        let value = match a.kind {
            ArgumentKind::Quantity(d) => Value::Quantity(number(dice, n.rule.code, a.name), d),
            ArgumentKind::Material => Value::Word(dice.pick(&material::names()).to_string()),
            ArgumentKind::BoltClass => Value::Word(dice.pick(&bolts::class_names()).to_string()),
            ArgumentKind::Word(of) => Value::Word(dice.pick(of).to_string()),
        };
        values.push((a.name.to_string(), value));
    }
    values
}

fn put(values: &[(String, Value)], name: &str, value: Value) -> Vec<(String, Value)> {
    let mut out: Vec<_> = values.iter().filter(|v| v.0 != name).cloned().collect();
    out.push((name.to_string(), value));
    out
}

/// Two parts that differ in one thing, less of it first.
fn pair(dice: &mut Dice, n: &Named, name: &str) -> Option<[Vec<(String, Value)>; 2]> {
    let base = part(dice, n, name);
    let word = |w: &str| Value::Word(w.to_string());
    let two = |dice: &mut Dice, of: usize| {
        let (i, j) = ((dice.share() * of as f64) as usize, (dice.share() * of as f64) as usize);
        (i != j).then_some((i.min(j), i.max(j)))
    };
    Some(match name {
        "bolt" => {
            // Both bolts of one system: the hole alone must tell which is meant.
            let metric = dice.share() < 0.5;
            let sizes: Vec<&str> =
                bolts::SIZES.iter().map(|s| s.name).filter(|s| s.starts_with('M') == metric).collect();
            let (i, j) = two(dice, sizes.len())?;
            let hole =
                |s: &str| Value::Quantity(clearance(s, Fit::Normal).unwrap().0.to_mm(), droprack::units::Dim::LENGTH);
            [put(&base, "hole", hole(sizes[i])), put(&base, "hole", hole(sizes[j]))]
        }
        "class" => {
            let family: &[&str] =
                if dice.share() < 0.5 { &["4.6", "8.8", "10.9"] } else { &["grade 2", "grade 5", "grade 8"] };
            let (i, j) = two(dice, family.len())?;
            [put(&base, "class", word(family[i])), put(&base, "class", word(family[j]))]
        }
        "grade" => {
            let (i, j) = two(dice, GRADES.len())?;
            [put(&base, "material", word(GRADES[i])), put(&base, "material", word(GRADES[j]))]
        }
        "clear" => [put(&base, "threads", word("in the plane")), put(&base, "threads", word("clear of it"))],
        _ => {
            let ArgumentKind::Quantity(d) = n.arguments.iter().find(|a| a.name == name)?.kind else { return None };
            let (x, y) = (number(dice, n.rule.code, name), number(dice, n.rule.code, name));
            let (less, more) = (x.min(y), x.max(y));
            [put(&base, name, Value::Quantity(less, d)), put(&base, name, Value::Quantity(more, d))]
        }
    })
}

/// Share of the limit that is used up; one that can never be met is infinite.
fn share(j: &Judged) -> Option<f64> {
    let (v, l, _) = j.numbers?;
    Some(match (j.at_least, v > 0.0, l > 0.0) {
        (true, true, _) => l / v,
        (true, false, _) => f64::INFINITY,
        (false, _, true) => v / l,
        (false, ..) => f64::INFINITY,
    })
}

/// Whether a finding says that a run of weld is too short to count: its throat
/// then wants a longer run, and no stress is worked out.
fn too_short(j: &Judged) -> bool {
    j.says.contains("counts for")
}

/// Whether a tube is like one that is sold. Its corners take twice the wall of
/// each side: one with a wall over an eighth of its side is nearly round, and
/// a hole wider than what lies between the corners takes off what is not there.
fn is_sold(values: &[(String, Value)]) -> bool {
    let number = |name: &str| match values.iter().find(|v| v.0 == name).map(|v| &v.1) {
        Some(Value::Quantity(v, _)) => *v,
        _ => 0.0,
    };
    let made_of = values.iter().any(|v| v.0 == "made_of");
    !made_of || (number("wall") * 8.0 <= number("side") && number("hole") + 4.0 * number("wall") <= number("side"))
}

/// The two shares of a pair, if both were worked out and are of one kind.
fn shares(n: &Named, two: &[Vec<(String, Value)>; 2], name: &str, only: Only) -> Option<(f64, f64)> {
    let nth = match only {
        First | SameBolt => 0,
        Nth(i) | SameSideOf(_, i) => i,
    };
    let told = |values: &[(String, Value)]| judge(n, values, System::Metric, System::Metric).into_iter().nth(nth);
    let (a, b) = (told(&two[0])?, told(&two[1])?);
    if let SameSideOf(step, _) = only {
        let at = |values: &[(String, Value)]| match values.iter().find(|v| v.0 == name).map(|v| &v.1) {
            Some(Value::Quantity(v, _)) => *v >= step,
            _ => false,
        };
        if at(&two[0]) != at(&two[1]) {
            return None;
        }
    }
    if only == SameBolt && a.says.split(' ').next() != b.says.split(' ').next() {
        return None;
    }
    if a.at_least != b.at_least || too_short(&a) || too_short(&b) {
        return None;
    }
    Some((share(&a)?, share(&b)?))
}

#[test]
fn every_argument_with_a_direction_keeps_it_over_random_parts() {
    let (mut directions, mut compared, mut strict) = (0, 0, 0_u32);
    let mut faults = vec![];
    for (code, all) in DIRECTIONS {
        let n = named(code).unwrap_or_else(|| panic!("no check {code}"));
        for (name, more, only) in *all {
            directions += 1;
            let mut dice = Dice(directions * 7919 + 3);
            let (mut here, mut moved) = (0, 0);
            for _ in 0..TRIES {
                if here == CASES {
                    break;
                }
                let Some(two) = pair(&mut dice, n, name).filter(|p| p.iter().all(|v| is_sold(v))) else { continue };
                let Some((less, greater)) = shares(n, &two, name, *only) else { continue };
                here += 1;
                // Float noise of one part in 10^12 decides nothing.
                let slack = 1e-12 * less.abs().min(1e9);
                let ok = match more {
                    Worse => greater >= less - slack,
                    Better => greater <= less + slack,
                };
                moved += u32::from((greater - less).abs() > slack || less.is_infinite() != greater.is_infinite());
                if !ok {
                    faults
                        .push(format!("{code} {name} {more:?}: {less} then {greater}\n  {:?}\n  {:?}", two[0], two[1]));
                }
            }
            // A direction that never moves anything tests nothing.
            if here < 200 || moved == 0 {
                faults.push(format!("{code} {name} {only:?}: {here} pairs could be compared, {moved} moved"));
            }
            compared += here;
            strict += moved;
        }
    }
    println!("{directions} directions, {compared} pairs, {strict} of them strictly");
    assert!(faults.is_empty(), "{} of {compared}:\n{}", faults.len(), faults[..faults.len().min(6)].join("\n"));
    assert!(directions >= 135, "{directions}; the number may only rise");
}

#[test]
fn every_number_that_a_named_check_is_told_has_a_direction_or_a_reason() {
    // Places along a beam move the moment both ways; the holes of bolts are there as `bolt`.
    const NO_DIRECTION: &[(&str, &str)] = &[
        ("beam-bending", "first"),
        ("beam-bending", "pitch"),
        ("beam-shear", "span"),
        ("beam-shear", "first"),
        ("beam-shear", "pitch"),
    ];
    for n in NAMED {
        let Some((_, all)) = DIRECTIONS.iter().find(|d| d.0 == n.rule.code) else {
            let numbers = n.arguments.iter().any(|a| matches!(a.kind, ArgumentKind::Quantity(_)));
            assert!(WITHOUT_NUMBERS.contains(&n.rule.code) && !numbers, "{} has no directions", n.rule.code);
            continue;
        };
        for a in n.arguments.iter().filter(|a| matches!(a.kind, ArgumentKind::Quantity(_))) {
            let bolt = a.name == "hole" && all.iter().any(|d| d.0 == "bolt");
            let listed = all.iter().any(|d| d.0 == a.name) || NO_DIRECTION.contains(&(n.rule.code, a.name));
            assert!(listed || bolt, "{}: {} has no direction", n.rule.code, a.name);
        }
    }
}

#[test]
fn several_wild_values_at_once_are_never_met_and_never_a_wild_number() {
    let mut dice = Dice(11);
    let (mut wild_parts, mut inside) = (0, 0);
    for n in NAMED {
        for _ in 0..2000 {
            let mut values = part(&mut dice, n, "");
            let mut outside = false;
            for (name, value) in &mut values {
                let a = n.arguments.iter().find(|a| a.name == name).unwrap();
                if let (Value::Quantity(_, d), true) = (value.clone(), dice.share() < 0.6) {
                    let (least, most) = a.range;
                    let v = dice.pick(&[least, most, 0.0, -0.0, -1.0, 1e-3, 1e5, 1e300, f64::NAN, f64::INFINITY]);
                    outside |= !(v >= least && v <= most);
                    *value = Value::Quantity(v, d);
                }
            }
            wild_parts += 1;
            inside += u32::from(!outside);
            for j in judge(n, &values, System::Metric, System::Metric) {
                assert!(j.numbers.is_none_or(|(v, l, _)| v.is_finite() && l.is_finite()), "{}: {j:?}", n.rule.code);
                assert!(!outside || j.met().is_none(), "{}: {values:?} gives {j:?}", n.rule.code);
            }
        }
    }
    assert!(wild_parts > 50_000 && inside > 10_000, "{wild_parts} parts, {inside} inside of every range");
}
