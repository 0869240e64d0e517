//! A pedal as the tape gives it: pivot, pad, push rod, master cylinder, what is near.
//!
//! ```text
//!        pad o                         The arm turns about the pivot's axis; the push rod goes from
//!            |                         its pin on the arm to its seat in the piston, which moves along
//!            |  pin o----rod----> seat ==|piston >   the cylinder's own axis.
//!      pivot o
//! ```

use super::near::Obstacle;
use crate::space::Point3;
use crate::units::{Angle, Force, Length};

/// A pedal as it was measured, at rest.
#[derive(Clone, Debug, PartialEq)]
pub struct PedalSet {
    /// Name.
    pub name: String,
    /// A point on the pivot's axis.
    pub pivot: Point3,
    /// Direction of that axis, at unit length.
    pub axis: Point3,
    /// Middle of the foot pad.
    pub pad: Point3,
    /// Middle of the push rod's pin on the arm.
    pub pin: Point3,
    /// Where the push rod sits in the piston.
    pub seat: Point3,
    /// Which way the piston goes, at unit length.
    pub push: Point3,
    /// How far it can go.
    pub stroke: Length,
    /// Of the foot, square to the arm.
    pub force: Force,
    /// Width of the arm.
    pub arm_width: Length,
    /// From the pivot to the middle of the joint above which the arm is moved sideways.
    pub joint: Option<Length>,
    /// Outside diameter of the pivot's sleeve.
    pub sleeve: Length,
    /// How far the arm is moved sideways, along the pivot's axis; as told.
    pub offset: Option<Length>,
    /// Room to be left round the arm.
    pub clear: Length,
    /// What is near.
    pub obstacles: Vec<Obstacle>,
    /// The place on the arm that touches the stop, at rest.
    pub stop: Option<Point3>,
    /// Stroke that is left when the arm touches its stop.
    pub stop_before: Length,
    /// The most that the push rod may stand off the cylinder's axis.
    pub most_angle: Angle,
    /// Least and greatest lever ratio.
    pub ratios: [f64; 2],
    /// How far the pad can go before it meets something; the usual room else.
    pub travel: Length,
}
