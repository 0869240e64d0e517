//! droprack: from tape-measure readings to brackets that can be cut, drilled
//! and bent at home, and to the cut plan that wastes the least steel.
//!
//! The rooms, bottom first; each imports only rooms above it in this list
//! (`tests/layering.rs` holds that).

pub mod units;
pub mod diag;
pub mod space;
pub mod geom;
pub mod source;
pub mod expr;
pub mod handbook;
pub mod job;
pub mod layout;
pub mod template;
pub mod piece;
pub mod flat;
pub mod solid;
pub mod assembly;
pub mod checks;
pub mod stock;
pub mod cut;
pub mod drawing;
pub mod report;
pub mod export;
pub mod page;
pub mod run;
pub mod serve;
pub mod cli;
