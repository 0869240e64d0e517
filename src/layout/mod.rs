//! From points on the vehicle to what has to fit between them.

mod near;
mod steering;
mod steering_run;
mod steering_search;

pub use near::Obstacle;
pub use steering::{Near, Shaft, SteeringWorked, solve};
pub use steering_run::{Joint, JointKind, SteeringRun};
pub use steering_search::{allowed, better_support};
