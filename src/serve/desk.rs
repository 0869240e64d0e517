//! What is served: a job at work.

use crate::run::live::Live;

/// What lies on the desk.
pub struct Desk {
    /// The job at work.
    pub job: Live,
}
