//! A steering run as the tape gives it: points along a column, its joints and the
//! box, and what stands in the way.

use super::near::Obstacle;
use crate::space::Point3;
use crate::units::Length;

/// How a joint is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JointKind {
    /// One cross.
    Single,
    /// Two crosses with a centring link between them: they share the bend and turn evenly.
    Double,
}

/// One joint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// Its middle.
    pub at: Point3,
    /// How it is made.
    pub kind: JointKind,
}

/// A run as it was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct SteeringRun {
    /// Name.
    pub name: String,
    /// A point on the column's axis, on the driver's side of the first joint.
    pub column: Point3,
    /// Joints from the column to the box.
    pub joints: Vec<Joint>,
    /// A point on the axis of the box's input, beyond the last joint.
    pub box_input: Point3,
    /// Diameter of the shafts.
    pub shaft: Length,
    /// From the middle of a joint to the end of its bore.
    pub reach: Length,
    /// Depth of a joint's bore.
    pub bore: Length,
    /// How much a shaft can slide: it ends so much before the bottom of one bore.
    pub slip: Length,
    /// What must be left between a shaft and anything else.
    pub clear: Length,
    /// What is near.
    pub obstacles: Vec<Obstacle>,
}
