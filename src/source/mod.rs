//! The user's files: their texts with places, TOML read by field tables, and
//! the one door to the file system.

mod fields;
mod files;
mod out;
mod reader;
mod text;

pub use fields::{Field, Item, Need, Obj, Want, field};
pub use files::{Disk, Files, Memory, SourceMap};
pub use out::{OutFolder, safe_name};
pub use reader::{check_form, nearest, read_toml};
pub use text::Text;
