//! Formulas: plain arithmetic over names, with dimensions checked before
//! anything is worked out. No assignment, no loops.
//!
//! ```
//! use droprack::expr::{evaluate, parse, Value};
//! let node = parse("round_up(2 * gap + 1/8 in, 1/16 in)").unwrap();
//! let gap = |name: &str| (name == "gap").then(|| Value::length(24.0));
//! assert_eq!(evaluate(&node, &gap).unwrap(), Value::length(52.3875));
//! ```

mod check;
mod evaluate;
mod fault;
mod functions;
mod order;
mod parse;
mod scope;
mod tokens;
mod value;

pub use check::check;
pub use evaluate::evaluate;
pub use fault::Fault;
pub use functions::FUNCTIONS;
pub use order::{Order, solve_order};
pub use parse::{Kind, Node, Op, parse};
pub use scope::{Definition, Scope, solve};
pub use value::{Type, Value};
