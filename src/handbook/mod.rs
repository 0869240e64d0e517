//! Published tables and formulas; every row and formula names its source, and
//! what is known from memory only says so.

mod bend;
mod bolts;
mod holes;
mod material;
mod openings;
mod section;
mod tanks;
mod welds;

pub use bend::{
    BendMethod, allowance, din_6935_compensation, din_6935_flat_length, din_6935_k, hole_to_bend, k_of,
    machinery_length, outside_setback,
};
pub use bolts::{
    bearing_resistance, inch_stress_area, metric_stress_area, proof_load, shear_resistance, tension_resistance,
    tightening_torque,
};
pub use holes::{clearance_inch, clearance_metric, least_end_distance, least_gauge, least_pitch, tap_drill_metric};
pub use material::{MATERIALS, Material, material, material_names};
pub use openings::{joint_angle, joint_ratio, oblique_major, straight_opening};
pub use section::{SectionValues, angle_values, box_tube_radii, box_tube_values, root_radius, toe_radius};
pub use tanks::{TankSection, gallons, inertia_load};
pub use welds::{fillet_strength, fillet_throat, weld_run};

/// Where a figure comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Citation {
    /// The work, with its edition.
    pub work: &'static str,
    /// Clause, table or page.
    pub place: &'static str,
    /// `false`: from memory, not read again.
    pub confirmed: bool,
}

/// A figure that was read in the work, or in a text that quotes it.
const fn read(work: &'static str, place: &'static str) -> Citation {
    Citation { work, place, confirmed: true }
}

/// A figure from memory, unconfirmed.
const fn memory(work: &'static str, place: &'static str) -> Citation {
    Citation { work, place, confirmed: false }
}
