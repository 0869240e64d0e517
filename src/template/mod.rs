//! Templates: families of parts described by formulas, built in or the user's
//! own, through one door.

mod answers;
mod audit;
mod fields;
mod bought;
mod outcome;
mod tree;
mod uses;
mod uses_audit;
mod uses_fields;
mod wording;

pub use answers::{Answers, answer};
pub use bought::{BoltCall, Item, Strip, Weld};
pub use fields::TEMPLATE;
pub use outcome::{CheckOutcome, NamedCall, Outcome, outcomes};
pub use uses::Cause;
pub use wording::worded;

use crate::diag::{Diagnostic, FileId, Severity};
use crate::expr::Scope;
use crate::source::{Obj, Text, check_form, read_toml};
use std::sync::Arc;

macro_rules! built_in {
    ($($name:literal),* $(,)?) => {
        /// The built-in templates: name and text. A test compares the list with the folder.
        pub const BUILT_IN: &[(&str, &str)] = &[$(($name, include_str!(concat!("../../templates/", $name, ".toml")))),*];
    };
}

built_in!(
    "battery-tray",
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
    /// Whether it has faults of its own, or uses one that has: nothing is worked out with it then.
    pub faulty: bool,
    /// The templates of its `[[uses]]`, in their order; `None` for one that is not there.
    pub used: Vec<Option<Arc<Template>>>,
}

/// A template with its answers: its values, and the templates that it uses with theirs.
#[derive(Clone, Debug, Default)]
pub struct Answered {
    /// Its values.
    pub scope: Scope,
    /// What it uses, as often as it is there at all.
    pub uses: Vec<Used>,
}

/// A used template with its answers.
#[derive(Clone, Debug)]
pub struct Used {
    /// What it is called in the template that uses it.
    pub name: String,
    /// Which of the `[[uses]]` it is.
    pub index: usize,
    /// How many of it one part has; at least one.
    pub count: u32,
    /// The template.
    pub template: Arc<Template>,
    /// Its values, and what it uses itself.
    pub inside: Answered,
}

/// Most templates below one another.
pub const MOST_DEEP: usize = 4;

/// Most templates in one part.
pub const MOST_USED: usize = 200;

/// Finds a template by its name; one that is not there is told.
pub type Find<'a> = dyn FnMut(&Text, &mut Vec<Diagnostic>) -> Option<Arc<Template>> + 'a;

impl Template {
    /// The kinds of its names, before anybody answers its questions.
    pub fn kinds(&self) -> Scope {
        audit::kinds(self, &mut vec![])
    }
    /// The block of one of its pieces, or of a piece of a template that it uses; a
    /// template of one piece has it at its head.
    pub fn piece<'a>(&'a self, name: &'a str) -> &'a Obj {
        let (home, name) = self.home_of(name);
        home.obj.list("piece").iter().find(|p| p.word("name") == Some(name)).unwrap_or(&home.obj)
    }
}

/// Read a template and look through it; the templates that it uses come from `find`.
/// Faults and notes go to `out`.
pub fn read_template(file: FileId, text: &str, find: &mut Find, out: &mut Vec<Diagnostic>) -> Template {
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
        used: vec![],
    };
    // Of a half-read file only what is surely wrong is told.
    if own.iter().all(|d| d.code != "toml-syntax" && d.code != "file-too-large") {
        find_used(&mut template, find, out);
        audit::audit(&template, &mut own);
    }
    template.faulty |= own.iter().any(|d| d.severity == Severity::Error);
    out.append(&mut own);
    template
}

/// Find the templates that one uses; it is at fault where one of them is.
fn find_used(template: &mut Template, find: &mut Find, out: &mut Vec<Diagnostic>) {
    let mut all = 1_usize;
    for uses in template.obj.list("uses") {
        let name = uses.text("template");
        let mut found = name.and_then(|n| find(n, out));
        all = all.saturating_add(found.as_ref().map_or(0, |t| t.breadth()));
        if let Some(name) = name.filter(|_| all > MOST_USED && found.is_some()) {
            let message = format!("one part of `{}` uses more than {MOST_USED} templates", template.name);
            let d = Diagnostic::error("too-many-uses", message, name.file, name.span.clone());
            out.push(d.help("leave some out, or say how many there are with count"));
            found = None;
            all = 1;
        }
        template.faulty |= found.as_ref().is_none_or(|t| t.faulty);
        template.used.push(found);
    }
}
