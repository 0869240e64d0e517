//! Formulas: plain arithmetic over names, with dimensions checked before
//! anything is worked out. No assignment, no loops.
//!
//! ```
//! use droprack::expr::{evaluate, parse, Value};
//! let node = parse("if gap > 3/4 in then 2 * gap else gap").unwrap();
//! let gap = |name: &str| (name == "gap").then(|| Value::length(24.0));
//! assert_eq!(evaluate(&node, &gap).unwrap(), Value::length(48.0));
//! ```

mod check;
mod evaluate;
mod fault;
mod field;
mod functions;
mod order;
mod parse;
mod place;
mod scope;
mod solve;
mod tokens;
mod unused;
mod value;

pub use check::check;
pub use evaluate::evaluate;
pub use fault::Fault;
pub use field::{dim_of, limits_in_words};
pub use functions::FUNCTIONS;
pub use order::{Order, solve_order};
pub use parse::{Kind, Node, Op, parse, parse_once};
pub use place::{BOLT, FAINT, FAINT_RULES, Faint, PLACE, PLACE_RULES};
pub use scope::Scope;
pub use solve::{Bring, Definition, Group, solve, solve_kinds, solve_with};
pub use unused::{names_in, unused};
pub use value::{Type, Value};
