//! From points on the vehicle to what has to fit between them.

mod near;
mod pedal;
mod pedal_solve;
mod section;
mod steering;
mod steering_beside;
mod steering_results;
mod steering_run;
mod steering_search;
mod strap_path;
mod tank;
mod tank_results;
mod tank_skew;
mod tank_solve;

pub use near::Obstacle;
pub use pedal::PedalSet;
pub use pedal_solve::{PedalWorked, RodAt, pedal_results, solve_pedal};
pub use section::{SectionCorner, SectionShape, outline_of};
pub use steering::{Near, Shaft, SteeringWorked, solve};
pub use steering_beside::{Gives, Held, wheel_torque};
pub use steering_results::steering_results;
pub use steering_run::{Collapse, Joint, JointKind, SteeringRun, Support, SupportKind, Twist};
pub use steering_search::{allowed, better_support};
pub use strap_path::{StrapPath, hull_of, strap_path};
pub use tank::{Earth, Hangs, Near as TankNear, Pads, Rails, SIDES, Station, StrapGoods, TankMount};
pub use tank_results::{ENDS, Results, load_results, name_of, results as tank_results};
pub use tank_skew::Skew;
pub use tank_solve::{PadsWorked, StrapWorked, TankWorked, shares, solve_tank};
