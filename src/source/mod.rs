//! The user's files: their texts with places, TOML read by field tables, and
//! the one door to the file system.

mod fields;
mod files;
mod guard;
mod out;
mod reader;
mod rules;
mod syntax;
mod text;

pub use fields::{Case, Field, FileForm, Item, Need, Obj, Rule, Want, case, field};
pub use files::{Disk, Files, Memory, SourceMap, With, toml_files};
pub use guard::{Guard, history_folder, read_record, record_numbers};
pub use out::{OutFolder, safe_name, write_over, write_unchanged};
pub use reader::{check_form, kind_of_file, nearest, read_toml};
pub use rules::{check_table, is_for};
pub use text::{Text, hash, quoted};
