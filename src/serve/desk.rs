//! What is served: a job at work, or the start of one that is not there yet.

use crate::run::first::First;
use crate::run::live::Live;

/// What lies on the desk.
pub enum Desk {
    /// Nothing yet: what shall be built is asked for. It becomes a job once that is made.
    First(Box<First>),
    /// The job at work.
    Job(Box<Live>),
}

impl Desk {
    /// The frame of its page.
    pub(super) fn page(&self) -> String {
        match self {
            Desk::First(first) => first.page(),
            Desk::Job(job) => job.page(),
        }
    }

    /// A file that was made, by its name.
    pub(super) fn file(&self, name: &str) -> Option<Vec<u8>> {
        match self {
            Desk::First(_) => None,
            Desk::Job(job) => job.file(name),
        }
    }
}
