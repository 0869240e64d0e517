//! The job file: measured values, parts, plain cuts; as written, then as meant.

mod as_made;
mod fields;
mod layouts;
mod loads;
mod lower;
mod measured;
mod pedal;
mod rework;
mod steering;
mod tank;

pub use as_made::{AsMade, Differs};
pub use fields::{JOB, PRINTER_FILE};
pub use layouts::{LaidOut, Layouts};
pub use lower::{Blank, Copy, Given, Job, Part, PlainCut, read_job};
pub use measured::{Written, WrittenLayout, divisions, line_fault, with_value, written_layouts, written_values};
pub use rework::{PaperChoice, Printer, Rework, ReworkCut, ReworkHole, ReworkShape, read_printer};
