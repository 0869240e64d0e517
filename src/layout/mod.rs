//! From points on the vehicle to what has to fit between them.

mod steering;
mod steering_search;

pub use steering::{Near, Shaft, SteeringWorked, solve};
pub use steering_search::{allowed, better_support};
