//! Published tables and formulas, every row with the work it was taken from.
//!
//! Looks only at the quantity types. Lookups answer `None` for a size or a
//! name that is not in a table: nothing is extrapolated in silence. Formulas
//! take plain quantities and know nothing of jobs or pieces.
//!
//! A figure that nobody has re-read in a source carries a [`Citation`] with
//! `confirmed == false`, and every print of it says so.

mod accept;
pub mod bearings;
pub mod bend;
pub mod bend_radius;
pub mod bolted;
pub mod bolts;
pub mod drilling;
pub mod drills;
pub mod fasteners;
pub mod gauges;
pub mod holes;
pub mod joints;
pub mod load_case;
pub mod loads;
pub mod material;
pub mod rubber;
pub mod section;
mod section_parts;
pub mod section_radii;
pub mod shafts;
mod shapes;
mod source;
pub mod sources;
pub mod strength;
pub mod tanks;
pub mod tapping;
mod trade;
pub mod welds;

pub use accept::{Accept, StandsIn};
pub use material::{BendClass, Material};
pub use shapes::{SHAPE_FACTS, SHAPES, ShapeFacts, shape_facts};
pub use source::Citation;
pub use trade::{material_of, size_of, unknown_material};
