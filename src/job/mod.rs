//! The job file: measured values, parts, plain cuts; as written, then as meant.

mod fields;
mod lower;

pub use fields::JOB;
pub use lower::{Blank, Copy, Job, Part, PlainCut, read_job};
