//! Mass, surface, box and centre of gravity of what was built.

use super::Table;
use super::json::num;
use crate::space::{Box3, Point3};
use crate::units::{Length, Mass, System, show_length, show_mass};
use serde_json::{Value, json};

/// What one body, or several together, come to.
#[derive(Clone, Debug, PartialEq)]
pub struct BodyLine {
    /// `part/piece`, or the part.
    pub name: String,
    /// How many of it the job makes.
    pub count: u32,
    /// Mass of one.
    pub mass: Mass,
    /// Surface of one, mm2.
    pub area_mm2: f64,
    /// Exact volume of one, mm3.
    pub volume_mm3: f64,
    /// The box round it, mm.
    pub bounds: Box3,
    /// Centre of gravity, mm, from the same origin.
    pub centre: Point3,
    /// Triangles, volume (mm3) and surface (mm2) of the mesh; `None` for several
    /// bodies together.
    pub mesh: Option<(usize, f64, f64)>,
}

/// The table for the person.
pub fn weights_table(lines: &[BodyLine], system: System) -> String {
    let mut table =
        Table::new(&["what", ">made", ">mass of one", ">surface", "box x, y, z", "centre of gravity x, y, z"]);
    let three = |p: Point3| [p.x, p.y, p.z].map(|v| show_length(Length::mm(v), system)).join(", ");
    for l in lines {
        let surface = match system {
            System::Metric => format!("{:.0} cm2", l.area_mm2 / 100.0),
            System::Inch => format!("{:.1} sq in", l.area_mm2 / 645.16),
        };
        table.row(vec![
            l.name.clone(),
            l.count.to_string(),
            show_mass(l.mass, system),
            surface,
            three(l.bounds.size()),
            three(l.centre),
        ]);
    }
    table.text()
}

/// The same for other programs.
pub fn weights_json(lines: &[BodyLine]) -> Value {
    let three = |p: Point3| [num(p.x), num(p.y), num(p.z)];
    let one = |l: &BodyLine| {
        let mut out = json!({
            "name": l.name, "count": l.count, "mass_kg": num(l.mass.to_kg()), "volume_mm3": num(l.volume_mm3),
            "area_mm2": num(l.area_mm2), "low_mm": three(l.bounds.low), "high_mm": three(l.bounds.high),
            "centre_of_gravity_mm": three(l.centre),
        });
        if let Some((triangles, volume, area)) = l.mesh {
            out["mesh"] = json!({ "triangles": triangles, "volume_mm3": num(volume), "area_mm2": num(area) });
        }
        out
    };
    Value::Array(lines.iter().map(one).collect())
}
