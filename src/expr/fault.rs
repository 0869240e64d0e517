//! What is wrong with a formula, with places in its text.

use crate::units::TextFault;
use std::ops::Range;

/// A fault of a formula. Spans are bytes of the formula's text.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Main place.
    pub span: Range<usize>,
    /// What was found and what is allowed.
    pub message: String,
    /// Other places with what stands there.
    pub marks: Vec<(Range<usize>, String)>,
    /// What to do.
    pub help: Option<String>,
    /// The name that is not known, when that is the fault.
    pub unknown: Option<String>,
}

impl Fault {
    pub(super) fn new(span: Range<usize>, message: impl Into<String>) -> Fault {
        Fault { span, message: message.into(), marks: vec![], help: None, unknown: None }
    }
    pub(super) fn mark(mut self, span: Range<usize>, text: impl Into<String>) -> Fault {
        self.marks.push((span, text.into()));
        self
    }
    pub(super) fn help(mut self, text: impl Into<String>) -> Fault {
        self.help = Some(text.into());
        self
    }
}

impl From<TextFault> for Fault {
    fn from(f: TextFault) -> Fault {
        Fault { span: f.span, message: f.message, marks: vec![], help: f.help, unknown: None }
    }
}
