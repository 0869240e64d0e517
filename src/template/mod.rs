//! Templates: families of parts described by formulas, built in or the user's
//! own, through one door.

mod answers;
mod audit;
mod fields;
mod bought;
mod outcome;
mod wording;

pub use answers::{Answers, answer};
pub use bought::{BoltCall, Item, Strip, Weld};
pub use fields::TEMPLATE;
pub use outcome::{CheckOutcome, NamedCall, Outcome, outcomes};
pub use wording::worded;

use crate::diag::{Diagnostic, FileId, Severity};
use crate::expr::Scope;
use crate::source::{Obj, check_form, read_toml};

macro_rules! built_in {
    ($($name:literal),* $(,)?) => {
        /// The built-in templates: name and text. A test compares the list with the folder.
        pub const BUILT_IN: &[(&str, &str)] = &[$(($name, include_str!(concat!("../../templates/", $name, ".toml")))),*];
    };
}

built_in!(
    "bearing-plate",
    "cable-bracket",
    "cross-member",
    "double-d-shaft",
    "ground-strap",
    "gusset",
    "hold-down-strap",
    "pedal-offset",
    "pedal-stop",
    "pipe-strap",
    "push-rod",
    "rail-pad",
    "shield-plate",
    "spacer",
    "strap-hanger",
    "tank-strap",
    "weld-tab",
);

/// A template as read: only known keys, each of its right kind.
#[derive(Clone, Debug)]
pub struct Template {
    /// Its name.
    pub name: String,
    /// What it makes.
    pub says: String,
    /// Its file.
    pub file: FileId,
    /// Its contents by key.
    pub obj: Obj,
    /// Its text.
    pub text: String,
    /// Whether it has faults of its own: nothing is worked out with it then.
    pub faulty: bool,
}

impl Template {
    /// The kinds of its names, before anybody answers its questions.
    pub fn kinds(&self) -> Scope {
        audit::kinds(self, &mut vec![])
    }
    /// The block of one of its pieces; a template of one piece has it at its head.
    pub fn piece(&self, name: &str) -> &Obj {
        self.obj.list("piece").iter().find(|p| p.word("name") == Some(name)).unwrap_or(&self.obj)
    }
}

/// Read a template and look through it; faults and notes go to `out`.
pub fn read_template(file: FileId, text: &str, out: &mut Vec<Diagnostic>) -> Template {
    let mut own = vec![];
    let obj = read_toml(file, text, &TEMPLATE, &mut own);
    check_form(&obj, file, &mut own);
    let mut template = Template {
        name: obj.word("template").unwrap_or("").to_string(),
        says: obj.word("says").unwrap_or("").to_string(),
        file,
        obj,
        text: text.to_string(),
        faulty: false,
    };
    // Of a half-read file only what is surely wrong is told.
    if own.iter().all(|d| d.code != "toml-syntax" && d.code != "file-too-large") {
        audit::audit(&template, &mut own);
    }
    template.faulty = own.iter().any(|d| d.severity == Severity::Error);
    out.append(&mut own);
    template
}
