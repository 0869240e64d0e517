//! Pedals against an independent arm: points turned step by step, the piston
//! found by halving, the ratio by differences, the side load by virtual work.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

mod dice;

use dice::Dice;
use droprack::layout::{Obstacle, PedalSet, solve_pedal};
use droprack::space::Point3;
use droprack::units::{Angle, Force, Length};

type V = [f64; 3];

fn v(p: Point3) -> V {
    [p.x, p.y, p.z]
}
fn minus(a: V, b: V) -> V {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}
fn dot(a: V, b: V) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
fn far(a: V, b: V) -> f64 {
    dot(minus(a, b), minus(a, b)).sqrt()
}

/// A pedal's points turned by a quaternion.
struct Arm<'a> {
    p: &'a PedalSet,
    sense: f64,
}

impl Arm<'_> {
    fn turned(&self, at: Point3, by: f64) -> V {
        let (s, w) = (by * self.sense / 2.0).sin_cos();
        let q = [self.p.axis.x * s, self.p.axis.y * s, self.p.axis.z * s];
        let d = minus(v(at), v(self.p.pivot));
        let cross = |a: V, b: V| [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
        let t = cross(q, d).map(|c| 2.0 * c);
        let u = cross(q, t);
        let o = v(self.p.pivot);
        [0, 1, 2].map(|i| o[i] + d[i] + w * t[i] + u[i])
    }
    fn seat(&self, s: f64) -> V {
        let (o, a) = (v(self.p.seat), v(self.p.push));
        [0, 1, 2].map(|i| o[i] + a[i] * s)
    }
    /// The piston near `guess`, by halving between where the rod is too short and too long.
    fn piston(&self, by: f64, guess: f64) -> f64 {
        let pin = self.turned(self.p.pin, by);
        let rod = far(v(self.p.pin), v(self.p.seat));
        let over = |s: f64| far(pin, self.seat(s)) - rod;
        let (mut a, mut b) = (guess - 4.0, guess + 4.0);
        let rising = over(b) > over(a);
        for _ in 0..100 {
            let m = (a + b) / 2.0;
            if (over(m) > 0.0) == rising { b = m } else { a = m }
        }
        (a + b) / 2.0
    }
}

/// A random pedal of a sensible kind: hanging or standing, its axis a little askew, the rod in front of the arm.
fn pedal(dice: &mut Dice) -> PedalSet {
    let axis = Point3::new(1.0, dice.within(-0.1, 0.1), dice.within(-0.1, 0.1)).unit();
    let hangs = if dice.share() < 0.5 { -1.0 } else { 1.0 };
    let arm = dice.within(180.0, 320.0);
    let pivot = Point3::new(dice.within(-50.0, 50.0), 0.0, 300.0);
    let pad = pivot + Point3::new(dice.within(-40.0, 40.0), dice.within(-60.0, 60.0), hangs * arm);
    let pin =
        pivot + Point3::new(dice.within(-20.0, 20.0), dice.within(-10.0, 10.0), hangs * arm / dice.within(4.0, 6.0));
    let push = Point3::new(dice.within(-0.08, 0.08), -1.0, dice.within(-0.15, 0.15)).unit();
    let rod = push + Point3::new(dice.within(-0.08, 0.08), 0.0, dice.within(-0.08, 0.08));
    PedalSet {
        name: "pedal".into(),
        pivot,
        axis,
        pad,
        pin,
        seat: pin + rod * dice.within(80.0, 220.0),
        push,
        stroke: Length::mm(dice.within(12.0, 30.0)),
        force: Force::newtons(2000.0),
        arm_width: Length::mm(30.0),
        joint: None,
        sleeve: Length::mm(25.0),
        offset: None,
        clear: Length::mm(10.0),
        obstacles: vec![],
        stop: Some(pad),
        stop_before: Length::mm(2.0),
        most_angle: Angle::degrees(5.0),
        ratios: [4.0, 7.0],
        travel: Length::mm(150.0),
    }
}

impl Arm<'_> {
    /// The turn between two others at which the piston has gone so far.
    fn reaches(&self, stroke: f64, (mut low, mut high): (f64, f64)) -> f64 {
        for _ in 0..60 {
            let m = (low + high) / 2.0;
            if self.piston(m, stroke) < stroke { low = m } else { high = m }
        }
        low
    }
}

#[test]
fn rod_ratio_travel_and_side_load_are_those_of_an_arm_that_is_really_turned() {
    let mut dice = Dice(3);
    let (mut done, mut refused, mut worst) = (0, 0, 0.0_f64);
    while done < 300 {
        let p = pedal(&mut dice);
        let Ok(w) = solve_pedal(&p) else {
            refused += 1;
            assert!(refused < 300, "nearly all pedals are refused");
            continue;
        };
        done += 1;
        let mut arm = Arm { p: &p, sense: 1.0 };
        if arm.piston(1e-3, 0.0) < 0.0 {
            arm.sense = -1.0;
        }
        let to_axis = |at: V| {
            let d = minus(at, v(p.pivot));
            let along = dot(d, v(p.axis));
            (dot(d, d) - along * along).sqrt()
        };
        let reach = to_axis(v(p.pad));
        // Step by step to the end of the stroke.
        let (mut t, mut s) = (0.0, 0.0);
        let step = 2e-3;
        let (mut angle, mut side) = (0.0_f64, 0.0_f64);
        let look = |t: f64, s: f64| {
            let rod = minus(arm.seat(s), arm.turned(p.pin, t));
            let l = dot(rod, rod).sqrt();
            let off = (dot(rod, v(p.push)) / l).clamp(-1.0, 1.0).acos();
            let h = 1e-4;
            let speed = (arm.piston(t + h, s) - arm.piston(t - h, s)) / (2.0 * h);
            // Virtual work: what the foot does, the piston does; the rod leans, so it pushes sideways too.
            (off, p.force.to_newtons() * reach / speed * off.tan(), reach / speed)
        };
        let ratio = look(0.0, 0.0).2;
        worst = worst.max((w.rest.ratio / ratio - 1.0).abs());
        assert!((w.rest.ratio / ratio - 1.0).abs() < 1e-6, "{p:?}: {} against {ratio}", w.rest.ratio);
        let stroke = p.stroke.to_mm();
        while s < stroke {
            let (a, f, _) = look(t, s);
            (angle, side) = (angle.max(a), side.max(f));
            t += step;
            s = arm.piston(t, s);
        }
        let low = arm.reaches(stroke, (t - step, t));
        let (a, f, ratio) = look(low, stroke);
        (angle, side) = (angle.max(a), side.max(f));
        assert!((w.end.ratio / ratio - 1.0).abs() < 1e-6, "{} against {ratio}", w.end.ratio);
        assert!((w.pad_travel.to_mm() - reach * low).abs() < 1e-6);
        // The steps miss the top by what it falls in half a step.
        let got = w.worst.angle.to_radians();
        assert!(got > angle - 1e-6 && got < angle + 1e-4, "{p:?}: {got} against {angle}");
        let got = w.worst.side.to_newtons();
        assert!(got > side - 1e-2 && got < side * 1.001 + 2.0, "{got} against {side}");
        let both = w.worst.in_swing.to_radians().max(w.worst.beside.to_radians());
        assert!(both <= w.worst.angle.to_radians() + 1e-9);
        assert!((w.rod_length.to_mm() - far(v(p.pin), v(p.seat))).abs() < 1e-9);
        // The stop touches where the stroke that is kept back begins.
        let (at, _, way) = w.stop.unwrap();
        let there = arm.turned(p.pad, way.to_mm() / reach);
        assert!(
            far(v(at), there) < 1e-6 && (arm.piston(way.to_mm() / reach, stroke - 2.0) - (stroke - 2.0)).abs() < 1e-6
        );
    }
    println!("{done} pedals, {refused} refused, worst ratio off by {worst:.1e}");
}

#[test]
fn the_needed_offset_clears_and_a_little_less_does_not() {
    let mut dice = Dice(8);
    let mut moved = 0;
    for _ in 0..60 {
        let mut p = pedal(&mut dice);
        let arm = p.pad - p.pivot;
        let middle = p.pivot
            + arm * dice.within(0.5, 0.9)
            + Point3::new(dice.within(-40.0, 40.0), dice.within(-80.0, 20.0), 0.0);
        let way = Point3::new(dice.within(-0.5, 0.5), 1.0, dice.within(-0.6, 0.6)) * 300.0;
        p.obstacles =
            vec![Obstacle { name: "column".into(), from: middle - way, to: middle + way, radius: Length::mm(9.5) }];
        let Ok(w) = solve_pedal(&p) else { continue };
        let needed = w.needed.unwrap().to_mm();
        // Many points of the arm against many of the bar, through the whole travel.
        let axis = v(p.axis);
        let along = dot(minus(v(p.pad), v(p.pivot)), axis);
        let foot = Point3::new(p.pivot.x + axis[0] * along, p.pivot.y + axis[1] * along, p.pivot.z + axis[2] * along);
        let room = |offset: f64| {
            let mut arm = Arm { p: &p, sense: 1.0 };
            if arm.piston(1e-3, 0.0) < 0.0 {
                arm.sense = -1.0;
            }
            let mut least = f64::INFINITY;
            for i in 0..=60 {
                let t = w.turn.to_radians() * f64::from(i) / 60.0;
                let ends = [foot, p.pad].map(|q| arm.turned(q, t));
                for k in 0..=120 {
                    let f = f64::from(k) / 120.0;
                    let at = [0, 1, 2].map(|i| ends[0][i] + (ends[1][i] - ends[0][i]) * f + axis[i] * offset);
                    // To a long straight bar: the distance from its line.
                    let d = minus(at, v(middle));
                    let u = v(way.unit());
                    let s = dot(d, u);
                    least = least.min((dot(d, d) - s * s).max(0.0).sqrt());
                }
            }
            least - 9.5 - 15.0
        };
        assert!(room(needed) > 10.0 - 1e-3, "{needed}: {}", room(needed));
        assert!((w.offset.to_mm().abs() - needed.abs() - 0.5).abs() <= 0.5 + 1e-6, "whole millimetres");
        if needed != 0.0 {
            moved += 1;
            assert!(room(needed - needed.signum() * 0.5) < 10.0 + 0.05, "{needed} is more than is needed");
        }
    }
    assert!(moved > 20, "{moved}");
}

#[test]
fn what_is_no_pedal_is_told() {
    let mut dice = Dice(1);
    let good = pedal(&mut dice);
    let told = |p: PedalSet| solve_pedal(&p).unwrap_err();
    assert!(told(PedalSet { pin: good.pivot, ..good.clone() }).contains("same place"));
    let square = Point3::new(0.0, 0.0, 1.0);
    assert!(
        told(PedalSet { push: square, seat: good.pin + Point3::new(0.0, -100.0, 0.0), ..good.clone() })
            .contains("square")
    );
    assert!(told(PedalSet { stroke: Length::mm(200.0), ..good.clone() }).contains("at most"));
    let at_pivot = good.pin + (good.pivot - good.pin) * 2.0;
    let through =
        PedalSet { seat: at_pivot, push: (at_pivot - good.pin).unit(), axis: Point3::new(1.0, 0.0, 0.0), ..good };
    let mut through = PedalSet { pin: Point3::new(through.pivot.x, through.pin.y, through.pin.z), ..through };
    through.seat = through.pivot + (through.pivot - through.pin);
    through.push = (through.seat - through.pin).unit();
    assert!(told(through).contains("points at the pivot"));
}
