//! Words and tables: flat patterns, findings and the cut plan as text, CSV and JSON.

mod bin;
mod buy;
mod document;
mod json;
mod findings;
mod manual;
mod order;
mod part_sheet;
mod plan;
mod plan_text;
mod saw;
mod schema;
mod sheets;
mod shop;
mod tables;
mod text;
mod weights;

pub use bin::entry_json;
pub use buy::BuyList;
pub use document::document_text;
pub use findings::findings_blocks;
pub use json::{findings_json, flats_json, plan_json, values_json};
pub use manual::{EXAMPLES, explain, topics, topics_text};
pub use order::{PartFacts, WorkFacts};
pub use part_sheet::PartSheet;
pub use plan::{BarGroup, CutPlan, Demand, Placed, Rest, Sheet, SheetCut, SheetGroup, Substitute};
pub use plan_text::{plan_csv, plan_text, saw_advice, substitute_words};
pub use saw::{chalk_numbers, saw_bars, saw_list};
pub use schema::schema;
pub use sheets::{CUT_SIDE, sheet_list};
pub use shop::ShopSheet;
pub use tables::Table;
pub use text::{BreakLine, CAUTIONS, check_text, flat_text, parts_text, template_check_text, template_text};
pub use weights::{BodyLine, weights_json, weights_table};
