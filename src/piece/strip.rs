//! Strips: flat bar that is bent; a walk of flats and bends from the left end.

use super::hole::Hole;
use crate::units::{Angle, Length};

/// Which way a bend goes, seen from the outside face with x to the right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BendTurn {
    /// Towards the viewer.
    Up,
    /// Away from the viewer.
    Down,
}

/// A straight run between bends.
#[derive(Clone, Debug, PartialEq)]
pub struct Flat {
    /// Name in the template; holes are placed by it.
    pub name: String,
    /// Straight length, tangent to tangent (or to the free end).
    pub length: Length,
}

/// A bend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bend {
    /// How far the metal turns, positive (90 deg makes an L).
    pub angle: Angle,
    /// Up or down.
    pub turn: BendTurn,
    /// Inside radius.
    pub inside_radius: Length,
    /// Where the neutral line lies: fraction of the thickness from the inside.
    pub k: f64,
}

/// One step of the walk.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// Straight.
    Flat(Flat),
    /// Bent.
    Bend(Bend),
}

/// How a free end is finished.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EndShape {
    /// Cut square.
    Square,
    /// Half round over the full width.
    Rounded,
    /// Both corners with this radius, mm.
    Radius(f64),
    /// Both corners clipped this far, mm.
    Clipped(f64),
}

/// A hole on a flat of a strip.
#[derive(Clone, Debug, PartialEq)]
pub struct StripHole {
    /// Index into [`Strip::steps`] of the flat it lies on.
    pub step: usize,
    /// x from the left end of that flat's straight part, y from the lower edge, mm.
    pub hole: Hole,
}

/// A bent strip. The steps always begin and end with a flat; no two bends are
/// neighbours unless their radius or turn differs.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// Width of the bar.
    pub width: Length,
    /// Thickness of the bar.
    pub thickness: Length,
    /// The walk from the left free end.
    pub steps: Vec<Step>,
    /// Finish of the left end.
    pub left: EndShape,
    /// Finish of the right end.
    pub right: EndShape,
    /// Holes.
    pub holes: Vec<StripHole>,
}

impl Strip {
    /// Length of the neutral line, flats and bends together.
    ///
    /// # Formula
    /// `sum of flats + sum of angle * (radius + k * thickness)`, angle in radians.
    /// # Source
    /// Definition of the bend allowance; K by material and method from the handbook.
    pub fn developed_length(&self) -> Length {
        self.steps.iter().map(|s| self.step_length(s)).sum()
    }

    /// Length that a step takes on the flat pattern.
    pub fn step_length(&self, step: &Step) -> Length {
        match step {
            Step::Flat(f) => f.length,
            Step::Bend(b) => (b.inside_radius + self.thickness * b.k) * b.angle.to_radians(),
        }
    }
}
