//! How far a frame is out of square, from two diagonals and the gaps beside the tank.
//!
//! ```text
//!   front   FL +----------------+ FR        x to the right, y to the rear
//!               \  \        /  /            lean: how far the middle of the rails goes
//!                \    \  /    /             to the right on its way to the rear
//!                 \   /  \   /
//!   rear        RL +----------+ RR
//! ```

use super::tank::TankMount;
use crate::units::{Angle, Length};

/// The frame against the tank.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Skew {
    /// For each station, left and right: from the middle of the tank to the rail's inner face, as far as known.
    pub rails: Vec<[Option<Length>; 2]>,
    /// How much wider the rails are apart at the last station than at the first.
    pub spread: Length,
    /// How the middle between the rails leans against the tank, by the gaps: to the right on its way to the rear.
    pub against_tank: Angle,
    /// How it leans against square, by the diagonals.
    pub against_square: Option<Angle>,
    /// Distance between the first and the last station by the diagonals, and how far the tape along the tank is
    /// from it.
    pub along: Option<[Length; 2]>,
    /// How the tank itself leans against square, where the diagonals are known.
    pub tank: Option<Angle>,
    /// How far its rear end stands beside square over its length; positive to the right.
    pub out_of_square: Option<Length>,
}

/// The skew of a mount.
///
/// # Formula
/// With the widths `a`, `b` of front and rear: `lean = (D1^2 - D2^2) / (2 (a + b))` to the right over the length
/// `l = sqrt((D1^2 + D2^2) / 2 - ((a + b) / 2)^2 - lean^2)`, `D1` from front left to rear right. A straight member
/// beside the tank gives the other lean: half the difference of what right and left gap grow by.
/// # Source
/// Geometry: the law of Pythagoras for both diagonals.
/// # Holds for
/// Straight rails, and front and rear lines that run alike.
pub(super) fn skew_of(tank: &TankMount) -> Skew {
    let mut out = Skew::default();
    let (Some(first), Some(last)) = (tank.stations.first(), tank.stations.last()) else { return out };
    let half = tank.rails.map(|r| r.inside / 2.0);
    for s in &tank.stations {
        out.rails.push([0, 1].map(|side| s.rail[side].or(half)));
    }
    // What a side grows by from the first station to the last: the rail itself, else the gap beside it.
    let grows = [0, 1].map(|side| match (first.rail[side], last.rail[side], first.gap[side], last.gap[side]) {
        (Some(a), Some(b), ..) | (_, _, Some(a), Some(b)) => b - a,
        _ => Length::ZERO,
    });
    out.spread = grows[0] + grows[1];
    let run = (last.at - first.at).to_mm();
    if run.abs() < 1e-6 {
        return out;
    }
    let drift = (grows[1] - grows[0]).to_mm() / 2.0;
    out.against_tank = Angle::radians(libm::atan2(drift, run));
    let Some((rails, [d1, d2])) = tank.rails.and_then(|r| Some((r, r.diagonals?))) else { return out };
    let front = match out.rails[0] {
        [Some(l), Some(r)] => l + r,
        _ => rails.inside,
    };
    let (d1, d2) = (d1.to_mm(), d2.to_mm());
    let mean = (front + out.spread / 2.0).to_mm();
    let lean = (d1 * d1 - d2 * d2) / (4.0 * mean);
    let square = (d1 * d1 + d2 * d2) / 2.0 - mean * mean - lean * lean;
    let long = libm::sqrt(square.max(0.0));
    if long < 1e-6 {
        return out;
    }
    out.against_square = Some(Angle::radians(libm::atan2(lean, long)));
    out.along = Some([Length::mm(long), Length::mm(long - run)]);
    let turned = libm::atan2(lean, long) - libm::atan2(drift, run);
    out.tank = Some(Angle::radians(turned));
    out.out_of_square = Some(Length::mm(libm::sin(turned) * tank.length.to_mm()));
    out
}
