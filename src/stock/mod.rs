//! The scrap bin: the saw, the offcuts, what can be bought.

mod block;
pub mod edit;
mod fields;
mod history;
mod lower;
mod notation;
mod remnant;

pub use block::{block, letter, letter_and_number};
pub use fields::{BIN, HOLE, OFFCUT, OFFCUT_RULES};
pub use history::{Back, Booked, BookedBar, Record};
pub use lower::{Bin, BinEntry, Facts, Saw, offcut_of, read_bin, read_bin_file};
pub use notation::{Line, MOST_OF_ONE, read_line, show_line};
