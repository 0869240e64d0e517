//! A steering run as the tape gives it: points along a column, its joints and the
//! box, and what stands in the way.

use super::near::Obstacle;
use crate::space::Point3;
use crate::units::{Force, Length};

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

/// What stands round a shaft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SupportKind {
    /// A bearing that holds it.
    Bearing,
    /// An opening that lets it through.
    Opening,
}

/// A plate with a bearing or an opening that the run goes through.
#[derive(Clone, Debug, PartialEq)]
pub struct Support {
    /// Name.
    pub name: String,
    /// Where it was measured: a point on the axis.
    pub at: Point3,
    /// Bearing or opening.
    pub kind: SupportKind,
    /// Square to the plate, towards the side from which it is looked at, at unit length; nothing: square to the shaft.
    pub normal: Option<Point3>,
    /// Thickness of the plate.
    pub thickness: Length,
    /// Room round the shaft in the opening.
    pub clearance: Length,
}

/// How the column has to give way in a crash.
#[derive(Clone, Debug, PartialEq)]
pub struct Collapse {
    /// Travel that has to stay free.
    pub travel: Length,
    /// How far the column gives way by itself, as its maker says.
    pub maker: Option<Length>,
    /// From the middle of the first joint back along the axis to the end of the tube that comes forward.
    pub jacket: Length,
    /// Outside diameter of that tube.
    pub jacket_width: Length,
    /// How far the first shaft shortens in itself, beside its slip.
    pub telescopes: Length,
}

/// What turns the shafts, and where they are weakest.
#[derive(Clone, Debug, PartialEq)]
pub struct Twist {
    /// Of both hands on the rim.
    pub rim_force: Force,
    /// Radius of the wheel.
    pub rim_radius: Length,
    /// Across the flats of double-D ends.
    pub across: Option<Length>,
    /// Diameter at the bottom of the splines.
    pub root: Option<Length>,
    /// Diameter of a hole across a shaft.
    pub cross_hole: Option<Length>,
    /// What the shafts are made of.
    pub material: String,
}

/// What is usual: both hands on the rim, radius of the wheel (common practice, no source), the weakest steel.
impl Default for Twist {
    fn default() -> Twist {
        Twist {
            rim_force: Force::newtons(500.0),
            rim_radius: Length::mm(175.0),
            across: None,
            root: None,
            cross_hole: None,
            material: "mild steel".to_string(),
        }
    }
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
    /// Bearings and openings that it goes through.
    pub supports: Vec<Support>,
    /// How the column has to give way, where that is told.
    pub collapse: Option<Collapse>,
    /// What turns the shafts.
    pub twist: Twist,
}
