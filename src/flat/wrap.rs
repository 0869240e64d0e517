//! How paper goes round a section, so that the marks of all its faces hang together.

use crate::geom::Point;
use crate::piece::{End, Profile, Section};
use std::f64::consts::{PI, TAU};

/// Points of an end curve on paper: one a degree.
const STEPS: usize = 360;

/// The shape that the paper is wrapped round.
#[derive(Clone, Debug, PartialEq)]
pub enum Wrap {
    /// Nothing goes round: strips, plates, bars, channels.
    None,
    /// Over the heel of an angle, which is sharp outside.
    Angle,
    /// Round a square or rectangular tube with this outside corner radius, mm.
    Box {
        /// Outside corner radius, mm.
        corner_mm: f64,
    },
    /// Round a tube: the strip is as long as its girth.
    Round {
        /// Outside diameter, mm.
        outside_mm: f64,
        /// How far behind its long point the left end lies, one value a degree,
        /// from the bottom line over the front, top and back to the bottom again, mm.
        left: Vec<f64>,
        /// The same for the right end.
        right: Vec<f64>,
    },
}

impl Wrap {
    /// The wrap of a section.
    pub fn of(section: &Section) -> Wrap {
        match section.profile {
            Profile::Angle { .. } => Wrap::Angle,
            Profile::BoxTube { outside_radius, .. } => Wrap::Box { corner_mm: outside_radius.to_mm() },
            Profile::RoundTube { outside, .. } => {
                let curve = |end: End| {
                    let turn = |i: usize| TAU * i as f64 / STEPS as f64 - PI;
                    (0..=STEPS).map(|i| section.round_reach(end, turn(i))).collect()
                };
                Wrap::Round { outside_mm: outside.to_mm(), left: curve(section.left), right: curve(section.right) }
            }
            _ => Wrap::None,
        }
    }

    /// Whether several faces hang together on paper.
    pub fn goes_round(&self) -> bool {
        matches!(self, Wrap::Angle | Wrap::Box { .. })
    }

    /// Girth of a round wrap, mm.
    ///
    /// # Formula
    /// `pi * outside diameter`
    /// # Source
    /// Definition; paper of ordinary thickness adds 0.3 mm, which the lap takes up.
    pub fn girth_mm(&self) -> Option<f64> {
        match self {
            Wrap::Round { outside_mm, .. } => Some(PI * outside_mm),
            _ => None,
        }
    }

    /// Where a hole at `y` of the top face (0 to the diameter) lies on a round
    /// wrap, from the bottom line at its lower edge, mm.
    pub fn round_y(outside_mm: f64, y: f64) -> f64 {
        let r = outside_mm / 2.0;
        let turn = libm::asin(((y - r) / r).clamp(-1.0, 1.0));
        r * (PI + turn)
    }

    /// The end curves as points on paper: x along the tube, y round it; `length`
    /// is long point to long point, mm.
    pub fn end_curves(&self, length: f64) -> Option<(Vec<Point>, Vec<Point>)> {
        let Wrap::Round { outside_mm, left, right } = self else { return None };
        let y = |i: usize| PI * outside_mm * i as f64 / STEPS as f64;
        let at_left = left.iter().enumerate().map(|(i, x)| Point::new(*x, y(i))).collect();
        let at_right = right.iter().enumerate().map(|(i, x)| Point::new(length - x, y(i))).collect();
        Some((at_left, at_right))
    }
}
