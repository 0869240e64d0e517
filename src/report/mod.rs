//! Words and tables: flat patterns, findings and the cut plan as text, CSV and JSON.

mod bin;
mod json;
mod manual;
mod plan;
mod plan_text;
mod saw;
mod schema;
mod sheets;
mod sources;
mod tables;
mod text;
mod weights;

pub use bin::entry_json;
pub use json::{findings_json, flats_json, plan_json, values_json};
pub use manual::{EXAMPLES, explain, topics, topics_text};
pub use plan::{BarGroup, CutPlan, Demand, Placed, Rest, Sheet, SheetCut, SheetGroup, Substitute};
pub use plan_text::{plan_csv, plan_text, saw_advice, substitute_words};
pub use saw::{chalk_numbers, saw_bars, saw_list};
pub use schema::schema;
pub use sheets::{CUT_SIDE, sheet_list};
pub use sources::{sources_json, sources_text};
pub use tables::Table;
pub use text::{BreakLine, CAUTIONS, check_text, flat_text, parts_text, template_check_text, template_text};
pub use weights::{BodyLine, weights_json, weights_table};
