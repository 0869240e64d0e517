//! The scrap bin: the saw, the offcuts, what can be bought.

mod fields;
mod lower;
mod remnant;

pub use fields::BIN;
pub use lower::{Bin, BinEntry, Saw, read_bin};
