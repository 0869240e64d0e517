//! A pedal worked out: lever ratio, push rod and pad through the stroke, what the arm comes near.

use super::near::apart;
use super::pedal::PedalSet;
use super::tank_results::{Results, name_of};
use crate::expr::Value;
use crate::space::Point3;
use crate::units::{Angle, Dim, Force, Length};

/// The push rod at one place of the stroke.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RodAt {
    /// How far the piston has gone.
    pub piston: Length,
    /// Pad travel over piston travel, here.
    pub ratio: f64,
    /// Between push rod and cylinder axis.
    pub angle: Angle,
    /// The same seen along the pivot's axis.
    pub in_swing: Angle,
    /// The same seen square to that.
    pub beside: Angle,
    /// Along the push rod, for the foot's force.
    pub rod: Force,
    /// Square to the cylinder's axis.
    pub side: Force,
}

/// A pedal worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct PedalWorked {
    /// From pin to seat.
    pub rod_length: Length,
    /// The arm's turn for the full stroke.
    pub turn: Angle,
    /// From the pivot's axis to the pad and to the pin.
    pub pad_distance: Length,
    /// To the pin.
    pub pin_distance: Length,
    /// The pad's way for the full stroke, along its arc.
    pub pad_travel: Length,
    /// At rest.
    pub rest: RodAt,
    /// At the end of the stroke.
    pub end: RodAt,
    /// Least and greatest ratio in the stroke.
    pub ratios: [f64; 2],
    /// The greatest of each over the stroke, wherever it is.
    pub worst: RodAt,
    /// Where the arm touches its stop, how far that is from the pivot's axis, and the pad's way until then.
    pub stop: Option<(Point3, Length, Length)>,
    /// The least offset along the pivot's axis with which everything is cleared; `None` where there is none.
    pub needed: Option<Length>,
    /// The offset that counts: as told, else the needed one in whole millimetres.
    pub offset: Length,
    /// Free room to each obstacle with that offset.
    pub rooms: Vec<Length>,
}

/// Most that an arm turns, radians.
const MOST_TURN: f64 = 1.6;
/// Step in which the end of the stroke is looked for, radians.
const STEP: f64 = 0.005;
/// Places in the stroke at which something greatest or least is looked for first.
const SAMPLES: u32 = 120;
/// Offsets are tried this far to both sides, mm, in steps of so much.
const MOST_OFFSET: f64 = 200.0;
const OFFSET_STEP: f64 = 0.5;

/// The arm turning.
struct Swing<'a> {
    p: &'a PedalSet,
    /// Sense in which pressing turns about the axis.
    sense: f64,
    rod: f64,
    /// Pushed or pulled: which root of the quadratic is the piston.
    root: f64,
}

impl Swing<'_> {
    fn off_axis(&self, at: Point3) -> Point3 {
        let d = at - self.p.pivot;
        d - self.p.axis * d.dot(self.p.axis)
    }
    /// A point of the arm, turned by so much, radians in the sense of pressing.
    fn turned(&self, at: Point3, by: f64) -> Point3 {
        let d = at - self.p.pivot;
        let n = self.p.axis;
        let (s, c) = (libm::sin(by * self.sense), libm::cos(by * self.sense));
        self.p.pivot + d * c + n.cross(d) * s + n * (n.dot(d) * (1.0 - c))
    }
    /// How far the piston has gone, mm; `None` where the rod no longer reaches it.
    ///
    /// # Formula
    /// `|B(t) - C - s a| = l` solved for `s`: pin `B`, seat `C`, axis `a`, rod `l`.
    /// # Source
    /// Geometry: a rod of fixed length between a circle and a line.
    fn piston(&self, by: f64) -> Option<f64> {
        let w = self.turned(self.p.pin, by) - self.p.seat;
        let along = w.dot(self.p.push);
        let under = along * along - w.dot(w) + self.rod * self.rod;
        (under >= 0.0).then(|| along + self.root * libm::sqrt(under))
    }
    /// Rod's direction, and how fast the pin goes along it, mm a radian.
    fn rod_way(&self, by: f64) -> Option<(Point3, f64, f64)> {
        let s = self.piston(by)?;
        let pin = self.turned(self.p.pin, by);
        let way = (self.p.seat + self.p.push * s - pin).unit();
        let speed = self.p.axis.cross(pin - self.p.pivot) * self.sense;
        Some((way, way.dot(speed), s))
    }
    /// All numbers at one place.
    ///
    /// # Formula
    /// `ds/dt = r.v / r.a`, ratio `R / (ds/dt)`; rod force `F R / (r.v)`, side load that times `sin` of the angle.
    /// # Source
    /// Statics and the time derivative of the rod's fixed length; no friction.
    fn at(&self, by: f64) -> Option<RodAt> {
        let (way, pull, s) = self.rod_way(by)?;
        let along = way.dot(self.p.push);
        let reach = self.off_axis(self.p.pad).length();
        let push = self.p.push * along.signum();
        let n = (self.p.axis - push * self.p.axis.dot(push)).unit();
        let up = n.cross(push);
        let square = (way - push * way.dot(push)).length();
        let rod = self.p.force * (reach / pull.abs());
        Some(RodAt {
            piston: Length::mm(s),
            ratio: reach * along.abs() / pull.abs(),
            angle: Angle::radians(libm::atan2(square, way.dot(push))),
            in_swing: Angle::radians(libm::atan2(way.dot(up), way.dot(push))),
            beside: Angle::radians(libm::atan2(way.dot(n), way.dot(push))),
            rod,
            side: rod * square,
        })
    }
}

/// The greatest value of something over the stroke: by samples, then narrowed between their neighbours.
fn greatest(end: f64, f: &dyn Fn(f64) -> f64) -> f64 {
    let step = end / f64::from(SAMPLES);
    let sampled = (0..=SAMPLES).map(|i| f64::from(i) * step).map(|t| (t, f(t)));
    let (at, top) = sampled.fold((0.0, f64::NEG_INFINITY), |b, v| if v.1 > b.1 { v } else { b });
    let (mut a, mut b) = ((at - step).max(0.0), (at + step).min(end));
    for _ in 0..80 {
        let (p, q) = (a + (b - a) / 3.0, b - (b - a) / 3.0);
        if f(p) >= f(q) {
            b = q;
        } else {
            a = p;
        }
    }
    top.max(f((a + b) / 2.0))
}

/// Work a pedal out.
///
/// # Errors
/// A sentence, where its points cannot be a pedal.
pub fn solve_pedal(p: &PedalSet) -> Result<PedalWorked, String> {
    let swing = swing(p)?;
    let end = end_of_stroke(&swing)?;
    let at = |t: f64| swing.at(t);
    let (Some(rest), Some(last)) = (at(0.0), at(end)) else {
        return Err("the push rod does not reach the piston".to_string());
    };
    let most = |f: &dyn Fn(RodAt) -> f64| greatest(end, &|t| at(t).map_or(0.0, f));
    let ratio = most(&|r| r.ratio);
    let worst = RodAt {
        piston: p.stroke,
        ratio,
        angle: Angle::radians(most(&|r| r.angle.to_radians())),
        in_swing: Angle::radians(most(&|r| r.in_swing.to_radians().abs())),
        beside: Angle::radians(most(&|r| r.beside.to_radians().abs())),
        rod: Force::newtons(most(&|r| r.rod.to_newtons())),
        side: Force::newtons(most(&|r| r.side.to_newtons())),
    };
    let pad_distance = Length::mm(swing.off_axis(p.pad).length());
    let stop = p.stop.map(|s| {
        let t = turn_for(&swing, end, (p.stroke - p.stop_before).to_mm());
        (swing.turned(s, t), Length::mm(swing.off_axis(s).length()), pad_distance * t)
    });
    let needed = needed(&swing, end);
    let offset = p.offset.or(needed.map(whole)).unwrap_or(Length::ZERO);
    Ok(PedalWorked {
        rod_length: Length::mm(swing.rod),
        turn: Angle::radians(end),
        pad_distance,
        pin_distance: Length::mm(swing.off_axis(p.pin).length()),
        pad_travel: pad_distance * end,
        ratios: [-most(&|r| -r.ratio), ratio],
        rest,
        end: last,
        worst,
        stop,
        needed,
        rooms: (0..p.obstacles.len()).map(|i| Length::mm(room(&swing, end, offset.to_mm(), i))).collect(),
        offset,
    })
}

/// Away from nought to a whole millimetre.
fn whole(offset: Length) -> Length {
    let mm = offset.to_mm();
    Length::mm(libm::ceil(mm.abs() - 1e-6).copysign(mm))
}

fn swing(p: &PedalSet) -> Result<Swing<'_>, String> {
    let mut swing = Swing { p, sense: 1.0, rod: (p.seat - p.pin).length(), root: 1.0 };
    if swing.rod < 1.0 || swing.off_axis(p.pad).length() < 1.0 || swing.off_axis(p.pin).length() < 1.0 {
        return Err("two of its points are the same place".to_string());
    }
    let along = (p.pin - p.seat).dot(p.push);
    if along.abs() < 0.1 * swing.rod {
        return Err("the push rod stands square to the cylinder".to_string());
    }
    swing.root = -along.signum();
    let (way, pull, _) = swing.rod_way(0.0).ok_or("the push rod does not reach the piston")?;
    let speed = pull / way.dot(p.push);
    if speed.abs() < 0.02 * swing.off_axis(p.pin).length() {
        return Err("turning the arm does not move the piston: the push rod points at the pivot".to_string());
    }
    swing.sense = speed.signum();
    Ok(swing)
}

/// The turn at the end of the stroke, radians.
fn end_of_stroke(swing: &Swing) -> Result<f64, String> {
    let stroke = swing.p.stroke.to_mm();
    let (mut t, mut before) = (0.0, 0.0);
    while t < MOST_TURN {
        t += STEP;
        match swing.piston(t) {
            Some(s) if s >= stroke => return Ok(turn_for(swing, t, stroke)),
            Some(s) if s > before => before = s,
            _ => break,
        }
    }
    Err(format!("the arm moves the piston by {before:.1} mm at most, its stroke is {stroke:.1} mm"))
}

/// The turn for a way of the piston, which grows up to `most`.
fn turn_for(swing: &Swing, most: f64, way: f64) -> f64 {
    let (mut a, mut b) = (0.0, most);
    for _ in 0..100 {
        let middle = (a + b) / 2.0;
        if swing.piston(middle).is_some_and(|s| s < way) {
            a = middle;
        } else {
            b = middle;
        }
    }
    (a + b) / 2.0
}

/// The arm's two straight pieces at rest: from the pivot to the joint, which stays, and on to the pad, which moves.
fn pieces(swing: &Swing) -> [(Point3, Point3); 2] {
    let pad = swing.p.pad;
    let foot = pad - swing.off_axis(pad);
    let reach = (pad - foot).length();
    let joint = foot + (pad - foot) * (swing.p.joint.map_or(0.0, Length::to_mm).min(reach) / reach);
    [(foot, joint), (joint, pad)]
}

/// Room to one obstacle at one place of the stroke, mm.
fn room_at(swing: &Swing, t: f64, offset: f64, i: usize) -> f64 {
    let o = &swing.p.obstacles[i];
    let aside = swing.p.axis * offset;
    let [stays, moves] = pieces(swing);
    let turned = |piece: (Point3, Point3), by: Point3| (swing.turned(piece.0, t) + by, swing.turned(piece.1, t) + by);
    let moved = apart(turned(moves, aside), (o.from, o.to));
    let kept =
        if swing.p.joint.is_some() { apart(turned(stays, Point3::default()), (o.from, o.to)) } else { f64::INFINITY };
    moved.min(kept) - o.radius.to_mm() - swing.p.arm_width.to_mm() / 2.0
}

/// Least room to one obstacle over the stroke, mm.
fn room(swing: &Swing, end: f64, offset: f64, i: usize) -> f64 {
    -greatest(end, &|t| -room_at(swing, t, offset, i))
}

/// The least offset, to either side, with which everything is cleared.
fn needed(swing: &Swing, end: f64) -> Option<Length> {
    let clear = swing.p.clear.to_mm();
    // Samples are enough to look for a place; the room there is worked out finely again.
    let clears = |offset: f64| {
        let mut times = (0..=SAMPLES / 4).map(|k| end * f64::from(k) / f64::from(SAMPLES / 4));
        times.all(|t| (0..swing.p.obstacles.len()).all(|i| room_at(swing, t, offset, i) >= clear))
    };
    let fine = |offset: f64| (0..swing.p.obstacles.len()).all(|i| room(swing, end, offset, i) >= clear - 1e-9);
    if fine(0.0) {
        return Some(Length::ZERO);
    }
    let most = (MOST_OFFSET / OFFSET_STEP) as u32;
    for k in 1..=most {
        for sign in [1.0, -1.0] {
            let at = |k: u32| sign * OFFSET_STEP * f64::from(k);
            if clears(at(k)) && fine(at(k)) {
                let (mut low, mut high) = (at(k - 1), at(k));
                for _ in 0..40 {
                    let middle = (low + high) / 2.0;
                    if fine(middle) {
                        high = middle;
                    } else {
                        low = middle;
                    }
                }
                return Some(Length::mm(high));
            }
        }
    }
    None
}

/// What a pedal gives the parts, each number under its name.
pub fn pedal_results(p: &PedalSet, w: &PedalWorked) -> Results {
    let own = name_of(&p.name);
    let mut out: Results = vec![];
    let mut tell = |name: &str, value: Value| out.push((format!("{own}.{name}"), value));
    let length = |l: Length| Value::length(l.to_mm());
    let force = |f: Force| Value::Quantity(f.to_newtons(), Dim::FORCE);
    let angle = |a: Angle| Value::Quantity(a.to_degrees(), Dim::ANGLE);
    let sleeve = p.sleeve / 2.0;
    tell("ratio", Value::number(w.rest.ratio));
    tell("ratio_end", Value::number(w.end.ratio));
    tell("pad_travel", length(w.pad_travel));
    tell("rod_length", length(w.rod_length));
    tell("rod_angle", angle(w.worst.angle));
    tell("rod_force", force(w.worst.rod));
    tell("side_load", force(w.worst.side));
    tell("force", force(p.force));
    tell("arm_width", length(p.arm_width));
    tell("offset", length(w.offset.abs()));
    tell("sleeve", length(p.sleeve));
    tell("pad_distance", length(w.pad_distance));
    tell("pin_distance", length(w.pin_distance));
    tell("pad_reach", length(w.pad_distance - sleeve));
    tell("rod_height", length(w.pin_distance - sleeve));
    if let Some(joint) = p.joint {
        tell("reach", length(joint - sleeve));
    }
    if let Some(needed) = w.needed {
        tell("offset_needed", length(needed.abs()));
    }
    if let Some((at, far, way)) = w.stop {
        tell("stop.x", Value::length(at.x));
        tell("stop.y", Value::length(at.y));
        tell("stop.z", Value::length(at.z));
        tell("stop.distance", length(far));
        tell("stop.pad_travel", length(way));
    }
    out
}
