//! Pages in millimetres before any file format: drilling templates at true
//! size, their title blocks, check bars, hole tables and tiles.
//!
//! ```text
//!   pieces -> views -> art (one drawing a piece) -> one sheet or tiles -> pages
//! ```
//!
//! Lettering sizes are heights of capitals; widths of lettering come from
//! [`lettering`], so that nothing here depends on a file format.

mod art;
mod document;
mod ends;
mod furniture;
mod labels;
pub mod lettering;
mod marks;
mod measuring;
mod page;
mod paper;
mod pen;
pub mod picture;
mod printer_test;
mod saw_list;
mod shared;
mod sheet_list;
mod side_view;
mod table;
mod taped;
mod templates;
mod tiles;
mod views;
mod vignette;
mod words;
mod wraps;

pub use document::{Block, Rows, draw_document};
pub use furniture::check_bar;
pub use labels::{Label, draw_labels};
pub use marks::{HAIR_MM, hole_bounds};
pub use measuring::{MeasuringSheet, Reading, Sketch, SketchLine, Tape, draw_measuring, draw_sketch};
pub use page::{Anchor, Item, Layer, LineType, Page, Shape, Text};
pub use paper::{LONGEST_ROLL_MM, MARGIN_MM, Paper, PaperSetup, PrinterCorrection};
pub use printer_test::draw_printer_test;
pub use saw_list::{SawAngle, SawBar, SawLine, Stop, draw_saw_list, tape_step};
pub use sheet_list::{SheetPicture, SheetPiece, SheetRest, draw_sheet_list};
pub use taped::{pedal_sheets, steering_sheets, tank_sheets};
pub use templates::{Bookmark, JobHeader, Long, Templates, draw_templates};
pub use views::{FaceLabel, View, ViewHole, views};
pub use words::PaperUnits;
pub use wraps::wrapped;
