//! Tank mounts: mating holes of random tanks, shares, skew and room against
//! plain arithmetic, and what the job is told of its readings.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

mod dice;

use dice::Dice;
use droprack::assembly::{Assembly, Mated, mates};
use droprack::checks::{Finding, Verdict, check_tank};
use droprack::expr::Value;
use droprack::layout::{
    Hangs, Obstacle, Rails, SectionCorner, SectionShape, Station, StrapGoods, TankMount, TankNear, shares, solve_tank,
};
use droprack::run::{Loaded, Request, Worked, load, work_out};
use droprack::solid::{Body, build_body_within};
use droprack::source::Memory;
use droprack::space::Point3;
use droprack::units::Length;
use std::path::{Path, PathBuf};
use std::sync::Arc;

fn mm(v: f64) -> Length {
    Length::mm(v)
}

/// The demo without what does not belong to its tank, and with other readings.
fn tank_job(readings: &[(&str, f64)]) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/jobs/hill-climb-buggy/job.toml");
    let text = std::fs::read_to_string(path).unwrap();
    let (head, _) = text.split_once("# The steering shaft, point by point").unwrap();
    let mut out = String::new();
    for line in head.lines() {
        let reading = readings.iter().find(|(n, _)| line.split(" =").next() == Some(*n));
        match reading {
            Some((n, v)) => out += &format!("{n} = \"{v:.2} mm\"\n"),
            // The volume follows the tank; the bin is not needed.
            None if line.starts_with("volume = \"45") || line.starts_with("bin =") => {}
            None => {
                out += line;
                out.push('\n');
            }
        }
    }
    assert!(readings.iter().all(|(n, v)| out.contains(&format!("{n} = \"{v:.2} mm\""))));
    out
}

fn work(text: &str) -> Result<(Loaded, Worked), Vec<String>> {
    let mut files = Memory::default();
    files.0.insert(PathBuf::from("job.toml"), text.to_string());
    let told = |t: droprack::run::Trouble| -> Vec<String> { t.diagnostics.iter().map(|d| d.message.clone()).collect() };
    let loaded = load(&files, &Request { job: PathBuf::from("job.toml"), bin: None }).map_err(told)?;
    let worked = work_out(&loaded).map_err(told)?;
    Ok((loaded, worked))
}

/// Where the bolt holes of some parts are, in the vehicle's frame.
fn holes(stood: &Assembly, part: &str, hole: &str) -> Vec<Point3> {
    let of = stood.stands.iter().filter(|s| s.part.starts_with(part));
    of.flat_map(|s| s.drills.iter().filter(|d| d.name.contains(hole)).map(|d| s.frame.place(d.at))).collect()
}

/// Readings of a random tank between its rails, each to its two decimals.
fn random_readings(dice: &mut Dice) -> [(&'static str, f64); 14] {
    let (w, h) = (dice.within(180.0, 1200.0), dice.within(120.0, 900.0));
    let long = dice.within(300.0, 1500.0);
    // The demo's ears stand 40 mm beside the tank.
    let rail = w / 2.0 + 40.0 + dice.within(10.0, 200.0);
    // A hanger ends before the middle: beyond it stands the other side's.
    let gap = |dice: &mut Dice| rail - w / 2.0 - 40.0 + dice.within(27.0, (w / 2.0 + 30.0).min(400.0));
    let room = dice.within(5.0, 40.0);
    [
        ("tank.width", w),
        ("tank.height", h),
        ("tank.length", long),
        ("tank.lips", long + dice.within(10.0, 60.0)),
        ("hanger.height", h * dice.within(0.5, 1.2) + dice.within(20.0, 60.0)),
        ("rail.inside", rail),
        ("strap.front", long * dice.within(0.1, 0.35)),
        ("strap.rear", long * dice.within(0.6, 0.9)),
        ("gap.front_left", gap(dice)),
        ("gap.front_right", gap(dice)),
        ("gap.rear_left", gap(dice)),
        ("gap.rear_right", gap(dice)),
        ("cross.front", room),
        ("cross.rear", room + dice.within(-2.0, 2.0)),
    ]
}

#[test]
fn holes_of_strap_and_hanger_meet_for_random_tanks_or_the_cause_is_told() {
    let wanted: u32 = std::env::var("TANK_CASES").map_or(40, |v| v.parse().unwrap());
    let mut dice = Dice(77);
    let (mut good, mut told, mut worst) = (0, 0, 0.0_f64);
    let mut causes: std::collections::BTreeMap<String, u32> = std::collections::BTreeMap::new();
    for n in 0..wanted {
        let readings = random_readings(&mut dice);
        let w = readings[0].1;
        let (loaded, worked) = match work(&tank_job(&readings)) {
            Ok(o) => o,
            Err(why) => {
                assert!(!why.is_empty() && why.iter().all(|w| w.len() > 10), "{n}: {why:?}");
                let cause: String = why[0].chars().filter(|c| !c.is_ascii_digit()).take(60).collect();
                *causes.entry(cause).or_default() += 1;
                told += 1;
                continue;
            }
        };
        // Bodies as coarse as may be: holes do not hang on them.
        let body = |p| build_body_within(p, 5.0).ok().map(Arc::new);
        let bodies: Vec<Option<Arc<Body>>> = worked.pieces.iter().map(body).collect();
        let stood = Assembly::of_job(&worked.parts, &worked.pieces, &bodies, &loaded.job.faint);
        let (ears, bolts) = (holes(&stood, "Tank strap", "ear bolt"), holes(&stood, "Strap hanger", "strap bolt"));
        assert_eq!((ears.len(), bolts.len()), (4, 4), "{n}");
        // Plain arithmetic knows where they belong.
        let off = |p: &Point3| {
            let x = (p.x.abs() - (w / 2.0 + 40.0)).abs();
            let y = [readings[6].1, readings[7].1].map(|y| (p.y - y).abs()).into_iter().fold(f64::INFINITY, f64::min);
            x.max(y)
        };
        // A reading has two decimals in the job.
        let far = ears.iter().chain(&bolts).map(off).fold(0.0, f64::max);
        let between =
            ears.iter().map(|e| bolts.iter().map(|b| (e.x - b.x).hypot(e.y - b.y)).fold(f64::INFINITY, f64::min));
        let apart = between.fold(0.0, f64::max);
        worst = worst.max(apart);
        let Mated { pairs, misfits } = mates(&stood);
        let met = pairs == 12 && misfits.is_empty();
        if apart < 0.01 && far < 0.02 && met {
            good += 1;
        } else {
            let named = !misfits.is_empty() || worked.findings.iter().any(|f| f.verdict == Verdict::Fail);
            assert!(named, "{n}: {apart} mm apart, {far} mm off, {pairs} pairs, and nothing said: {readings:?}");
            told += 1;
            let cause = format!("{apart:.2} apart, {far:.2} off, {pairs} pairs: {:?}", misfits.first());
            *causes.entry(cause).or_default() += 1;
        }
    }
    println!("{good} of {wanted} meet, {told} told why, worst {worst:.1e} mm; {causes:?}");
    assert!(f64::from(good) >= 0.95 * f64::from(wanted), "{good} of {wanted}: {causes:?}");
}

fn mount(section: SectionShape) -> TankMount {
    let station = |name: &str, at: f64| Station {
        name: name.into(),
        at: mm(at),
        height: [mm(242.0); 2],
        gap: [None; 2],
        rail: [None; 2],
        ear: [None; 2],
    };
    TankMount {
        name: "tank".into(),
        section,
        length: mm(700.0),
        stated_mm3: None,
        centre: mm(350.0),
        hangs: Hangs::Between,
        strap: StrapGoods {
            thickness: mm(3.0),
            width: mm(40.0),
            liner: mm(3.0),
            take_up: mm(6.0),
            hole: mm(9.0),
            clear: mm(40.0),
        },
        stations: vec![station("front", 150.0), station("rear", 550.0)],
        rails: None,
        square_within: mm(5.0),
        pads: None,
        earth: None,
        ground: None,
        near: vec![],
    }
}

fn obround() -> SectionShape {
    SectionShape::Obround { width: mm(340.0), height: mm(220.0) }
}

#[test]
fn the_line_round_an_obround_is_plain_arithmetic() {
    let w = solve_tank(&mount(obround())).unwrap();
    let path = w.straps[0].path.as_ref().unwrap();
    // Upright legs from the middle of the half rounds up to the ears' bends, half turns of 114.5, the flat below.
    let leg = 242.0 - 6.0 - 3.0 - 6.0 - 110.0;
    let truth = 2.0 * leg + std::f64::consts::PI * 114.5 + 120.0;
    assert!((path.length.to_mm() - truth).abs() < 1e-9, "{path:?}");
    let ears = 2.0 * (std::f64::consts::FRAC_PI_2 * 7.5 + 40.0 - 3.0 - 3.0 - 6.0);
    assert!((w.straps[0].bolt_to_bolt.to_mm() - truth - ears).abs() < 1e-9);
    // A strap over the tank is as long where its ears are as far down.
    let over = solve_tank(&TankMount { hangs: Hangs::OnTop, ..mount(obround()) }).unwrap();
    assert!((over.straps[0].path.as_ref().unwrap().length.to_mm() - truth).abs() < 1e-9);
}

#[test]
fn a_hollow_tank_has_its_own_volume_and_a_straight_strap_over_the_hollow() {
    let corner = |x: f64, y: f64| SectionCorner { at: droprack::geom::Point::new(x, y), radius: mm(0.0) };
    // A box of 300 x 200 with a notch of 100 x 80 out of its floor.
    let corners = vec![
        corner(0.0, 0.0),
        corner(100.0, 0.0),
        corner(100.0, 80.0),
        corner(200.0, 80.0),
        corner(200.0, 0.0),
        corner(300.0, 0.0),
        corner(300.0, 200.0),
        corner(0.0, 200.0),
    ];
    let w = solve_tank(&mount(SectionShape::Corners(corners))).unwrap();
    assert!((w.volume_mm3 - (300.0 * 200.0 - 100.0 * 80.0) * 700.0).abs() < 1e-3);
    let truth = 2.0 * (242.0 - 15.0) + 300.0 + std::f64::consts::PI * 4.5;
    assert!((w.straps[0].path.as_ref().unwrap().length.to_mm() - truth).abs() < 1e-9);
}

#[test]
fn shares_hold_force_and_moment_and_springs_give_in_proportion() {
    let mut dice = Dice(5);
    for _ in 0..500 {
        let n = 2 + (dice.share() * 4.0) as usize;
        let mut at: Vec<f64> = (0..n).map(|_| dice.within(0.0, 1500.0)).collect();
        at.sort_by(f64::total_cmp);
        if at.windows(2).any(|w| w[1] - w[0] < 20.0) {
            continue;
        }
        let c = dice.within(0.0, 1500.0);
        let s = shares(&at, c);
        assert!((s.iter().sum::<f64>() - 1.0).abs() < 1e-9);
        assert!((s.iter().zip(&at).map(|(s, y)| s * y).sum::<f64>() - c).abs() < 1e-6);
        if n == 2 {
            assert!((s[1] - (c - at[0]) / (at[1] - at[0])).abs() < 1e-9, "lever rule");
        }
        // Shares of a stiff tank lie on a straight line over the places.
        let slope = (s[1] - s[0]) / (at[1] - at[0]);
        assert!(s.iter().zip(&at).all(|(s0, y)| (s0 - s[0] - slope * (y - at[0])).abs() < 1e-9));
    }
}

#[test]
fn a_frame_out_of_square_is_found_from_its_diagonals() {
    let mut dice = Dice(9);
    for _ in 0..500 {
        let (front, spread) = (dice.within(300.0, 900.0), dice.within(-20.0, 20.0));
        let (shift, run) = (dice.within(-30.0, 30.0), dice.within(250.0, 1200.0));
        let corners = |w: f64, x: f64, y: f64| [(x - w / 2.0, y), (x + w / 2.0, y)];
        let (f, r) = (corners(front, 0.0, 0.0), corners(front + spread, shift, run));
        let apart = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).hypot(a.1 - b.1);
        // The tank lies square to the front line: the gaps beside it are what the rails leave.
        let mut t = mount(obround());
        t.stations[1].at = t.stations[0].at + mm(run);
        for side in 0..2 {
            t.stations[0].gap[side] = Some(mm(f[side].0.abs() - 170.0));
            t.stations[1].gap[side] = Some(mm(r[side].0.abs() - 170.0));
        }
        t.rails = Some(Rails { inside: mm(front), diagonals: Some([mm(apart(f[0], r[1])), mm(apart(f[1], r[0]))]) });
        let skew = solve_tank(&t).unwrap().skew;
        assert!((skew.against_square.unwrap().to_radians() - (shift / run).atan()).abs() < 1e-9);
        assert!((skew.along.unwrap()[0].to_mm() - run).abs() < 1e-6 && (skew.spread.to_mm() - spread).abs() < 1e-9);
        assert!(skew.out_of_square.unwrap().to_mm().abs() < 1e-6, "{skew:?}");
        // Turned by a degree to the right, the gaps say so.
        let by = 1.0_f64.to_radians().tan() * run;
        t.stations[1].gap = [0, 1].map(|i| {
            let wall = if i == 0 { by } else { -by };
            Some(mm(r[i].0.abs() - 170.0 + wall))
        });
        let turned = solve_tank(&t).unwrap().skew.tank.unwrap().to_degrees();
        assert!((turned - 1.0).abs() < 0.02, "{turned}");
    }
}

#[test]
fn room_to_bars_is_what_many_points_find() {
    let mut dice = Dice(21);
    for _ in 0..150 {
        let point = |dice: &mut Dice| {
            Point3::new(dice.within(-500.0, 500.0), dice.within(-300.0, 1000.0), dice.within(-300.0, 500.0))
        };
        let (from, to, radius) = (point(&mut dice), point(&mut dice), dice.within(0.0, 40.0));
        let mut t = mount(obround());
        let obstacle = Obstacle { name: "bar".into(), from, to, radius: mm(radius) };
        t.near = vec![TankNear { obstacle, least: mm(15.0), hot: false, usual: false }];
        let got = solve_tank(&t).unwrap().rooms[0].to_mm();
        // An obround is what lies within 110 of a line of 120, at mid height.
        let away = |p: Point3| {
            let (x, z) = ((p.x.abs() - 60.0).max(0.0), p.z - 110.0);
            let side = (x.hypot(z) - 110.0).max(0.0);
            let end = (-p.y).max(p.y - 700.0).max(0.0);
            side.hypot(end)
        };
        let truth = (0..=4000).map(|i| away(from + (to - from) * (f64::from(i) / 4000.0)));
        let truth = truth.fold(f64::INFINITY, f64::min) - radius;
        if truth > -radius + 1e-3 {
            assert!((got - truth).abs() < 0.01, "{got} against {truth}: {from:?} {to:?}");
        } else {
            assert!(got <= -radius + 0.01, "{got} inside");
        }
    }
}

/// Findings of the demo's tank under a code, with some lines of the job changed.
fn found(changes: &[(&str, &str)], code: &str) -> Vec<Finding> {
    let mut text = tank_job(&[]);
    for (a, b) in changes {
        assert!(text.contains(a), "{a}");
        text = text.replacen(a, b, 1);
    }
    let (_, worked) = work(&text).unwrap_or_else(|e| panic!("{e:?}"));
    worked.findings.into_iter().filter(|f| f.part == "Main tank" && f.code == code).collect()
}

fn verdicts(all: &[Finding]) -> Vec<Verdict> {
    all.iter().map(|f| f.verdict).collect()
}

#[test]
fn readings_that_do_not_fit_are_told_with_their_lines() {
    let far = found(&[("at = \"strap.rear\"\n", "at = \"strap.rear\"\near_left = \"214 mm\"\n")], "tank-ear");
    let off: Vec<&Finding> = far.iter().filter(|f| f.verdict == Verdict::Fail).collect();
    assert!(off.len() == 1 && off[0].says.contains("4 mm too far out"), "{far:?}");
    assert!(off[0].set_by[0].says == "`station rear`", "{:?}", off[0].set_by);
    let low = found(&[("ground = \"310 mm\"", "ground = \"250 mm\"")], "tank-ground");
    assert!(low[0].verdict == Verdict::Fail && low[0].says.contains("244 mm"), "{low:?}");
    let uneven = found(&[("cross.rear = \"22 mm\"", "cross.rear = \"28 mm\"")], "tank-pad");
    assert!(
        uneven.iter().any(|f| f.verdict == Verdict::Warn && f.says.contains("shift the tank 3 mm to the rear")),
        "{uneven:?}"
    );
    let skew = found(&[("front_left = \"690.5 mm\"", "front_left = \"699 mm\"")], "tank-skew");
    assert!(skew[0].verdict == Verdict::Warn && skew[0].mend.contains("to the left"), "{skew:?}");
    let hot = found(&[("tank.width / 2 + 160 mm", "tank.width / 2 + 100 mm")], "tank-room");
    assert_eq!(verdicts(&hot), [Verdict::Fail, Verdict::Meets]);
    // The demo's straps cannot even be asked for more than all of the load: the layout alone says why.
    let ahead = TankMount { centre: mm(100.0), ..mount(obround()) };
    let heavy = check_tank(&ahead, &solve_tank(&ahead).unwrap(), None, droprack::units::System::Metric);
    assert!(heavy.iter().any(|f| f.verdict == Verdict::Fail && f.says.contains("strap rear")), "{heavy:?}");
    let volume =
        found(&[("load = \"full tank\"\nhangs", "volume = \"60 litres\"\nload = \"full tank\"\nhangs")], "tank-volume");
    assert!(volume[0].verdict == Verdict::Warn && volume[0].says.contains("less than"), "{volume:?}");
}

#[test]
fn results_are_values_of_the_job_like_those_that_were_measured() {
    let (loaded, worked) = work(&tank_job(&[])).unwrap();
    let of = |name: &str| match &worked.values[name] {
        Value::Quantity(v, _) => *v,
        other => panic!("{other:?}"),
    };
    assert!(
        (of("main_tank.front_left.gap") - 149.0).abs() < 1e-9 && (of("main_tank.rear_right.first") - 71.0).abs() < 1e-9
    );
    assert!((of("main_tank.pad.gap") - 749.0).abs() < 1e-9 && (of("main_tank.front.share") - 0.5).abs() < 1e-9);
    // 20 g across half of 45.4 litres of petrol and 8 kg, as the load's own block has it.
    let case = &loaded.job.loads[0];
    assert!((of("main_tank.front.down") - case.force(case.levels.down).to_newtons() / 2.0).abs() < 1e-9);
    assert!((of("main_tank.mass") * 1e3 - case.mass.to_kg()).abs() < 1e-9);
}
