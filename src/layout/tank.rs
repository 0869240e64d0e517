//! A tank mount as the tape gives it.
//!
//! ```text
//!   The tank's own frame, mm: x to the right, y to the rear, z up; nought under the middle of the
//!   front end of the tank's body, level with its lowest point.
//! ```

use super::near::Obstacle;
use super::section::SectionShape;
use crate::space::Point3;
use crate::units::Length;

/// How the tank is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hangs {
    /// Under the rails: straps under the tank, ears on hangers below the rails.
    Under,
    /// Between the rails: straps under the tank, ears on hangers between members.
    Between,
    /// On top of the rails: straps over the tank, ears down on the rails.
    OnTop,
}

/// The two sides, in the order of every pair of numbers.
pub const SIDES: [&str; 2] = ["left", "right"];

/// One strap's place.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// Its name.
    pub name: String,
    /// From the front end of the tank's body to the middle of the strap.
    pub at: Length,
    /// Left and right: from the lowest point of the tank up to the face that the ear bolts to; on top: from the
    /// highest point down.
    pub height: [Length; 2],
    /// Left and right: clear distance between the two members that carry the hanger, where they were measured.
    pub gap: [Option<Length>; 2],
    /// Left and right: from the middle of the tank to the rail's inner face, where it was measured.
    pub rail: [Option<Length>; 2],
    /// Left and right: from the middle of the tank to a bolt that is there already.
    pub ear: [Option<Length>; 2],
}

/// The frame's two rails.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rails {
    /// Clear distance between their inner faces at the first station.
    pub inside: Length,
    /// Front left to rear right, front right to rear left: between the inner faces at the first and the last station.
    pub diagonals: Option<[Length; 2]>,
}

/// The straps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrapGoods {
    /// Thickness.
    pub thickness: Length,
    /// Width.
    pub width: Length,
    /// Rubber between tank and strap.
    pub liner: Length,
    /// Between the ear and what it bolts to: what the bolts can pull.
    pub take_up: Length,
    /// Hole for the ear bolt.
    pub hole: Length,
    /// From the side of the tank to the ear bolt.
    pub clear: Length,
}

/// Pads under the tank's ends, on two cross members.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pads {
    /// From the front end of the body to the front cross member, and from the rear end to the rear one.
    pub room: [Length; 2],
    /// Both must be equal.
    pub equal: bool,
    /// Size of the tank over the two edges that lie on the pads.
    pub lips: Length,
    /// Leg of the pad's angle.
    pub leg: Length,
    /// Thickness of the rubber.
    pub rubber: Length,
    /// Length of one pad.
    pub length: Option<Length>,
    /// Pads at each end.
    pub each: u32,
    /// From pad to pad at one end.
    pub apart: Option<Length>,
    /// Least width of edge that must lie on a pad.
    pub least: Length,
}

/// The earth bond.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Earth {
    /// Stud on the tank.
    pub tank: Point3,
    /// Stud on the frame.
    pub frame: Point3,
    /// What the bond is longer, so that the tank can move on its rubber.
    pub slack: Length,
}

/// Something the tank must clear.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    /// What and where.
    pub obstacle: Obstacle,
    /// Least room to be left.
    pub least: Length,
    /// It gets hot.
    pub hot: bool,
    /// The room is the usual one, not the job's.
    pub usual: bool,
}

/// A mount as it was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct TankMount {
    /// Name.
    pub name: String,
    /// What one sees looking along it.
    pub section: SectionShape,
    /// Of its body.
    pub length: Length,
    /// What it is said to hold, mm3.
    pub stated_mm3: Option<f64>,
    /// From the front end to the centre of gravity.
    pub centre: Length,
    /// How it is held.
    pub hangs: Hangs,
    /// Its straps.
    pub strap: StrapGoods,
    /// Where they go.
    pub stations: Vec<Station>,
    /// The frame.
    pub rails: Option<Rails>,
    /// How far out of square the tank may stand over its length.
    pub square_within: Length,
    /// Pads under its ends.
    pub pads: Option<Pads>,
    /// Its bond.
    pub earth: Option<Earth>,
    /// From the ground to its lowest point, and the least that must be left under the straps.
    pub ground: Option<[Length; 2]>,
    /// What is near.
    pub near: Vec<Near>,
}
