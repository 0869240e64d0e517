//! What cannot be made: faults found while a piece is laid flat.

/// A fault of a piece, in words; the caller adds the place in the file.
#[derive(Clone, Debug, PartialEq)]
pub struct FlatFault {
    /// Code for `explain`.
    pub code: &'static str,
    /// What was found.
    pub message: String,
    /// What to do.
    pub help: String,
    /// Names of the holes or flats concerned, as the template names them.
    pub names: Vec<String>,
}

impl FlatFault {
    pub(super) fn new(code: &'static str, message: String, help: &str, names: &[&str]) -> Self {
        FlatFault { code, message, help: help.to_string(), names: names.iter().map(|n| (*n).to_string()).collect() }
    }
}
