//! Steels and aluminium: density and nominal strengths.

use super::{Citation, memory, read};
use crate::units::Stress;

/// A material.
#[derive(Clone, Copy, Debug)]
pub struct Material {
    /// Name as files write it.
    pub name: &'static str,
    /// Other names for it.
    pub also: &'static [&'static str],
    /// Density, kg/m3.
    pub density: f64,
    /// Least yield strength (or 0.2 % proof).
    pub yield_strength: Stress,
    /// Least tensile strength.
    pub tensile: Stress,
    /// Source of the strengths.
    pub source: Citation,
    /// Whether Machinery's Handbook counts it as hard for bending (0.71 T).
    pub hard: bool,
}

/// Density of steel, kg/m3: EN 1991-1-1 Table A.4 as used in producers' design tables.
const STEEL: f64 = 7850.0;

const fn row(
    name: &'static str,
    also: &'static [&'static str],
    density: f64,
    strengths: (f64, f64),
    source: Citation,
    hard: bool,
) -> Material {
    Material {
        name,
        also,
        density,
        yield_strength: Stress::mpa(strengths.0),
        tensile: Stress::mpa(strengths.1),
        source,
        hard,
    }
}

/// All materials. Unknown scrap counts as mild steel: the weakest common grade.
pub const MATERIALS: &[Material] = &[
    row(
        "mild steel",
        &["steel", "s235", "s235jr", "a36"],
        STEEL,
        (235.0, 360.0),
        read("EN 1993-1-1:2005", "Table 3.1, S235"),
        false,
    ),
    row("S275", &["s275jr"], STEEL, (275.0, 430.0), read("EN 1993-1-1:2005", "Table 3.1, S275"), false),
    row("S355", &["s355jr"], STEEL, (355.0, 490.0), read("EN 1993-1-1:2005", "Table 3.1, S355"), true),
    row(
        "cold-drawn steel",
        &["1018", "cold drawn"],
        STEEL,
        (370.0, 440.0),
        memory("SAE J1397", "1018 cold drawn"),
        true,
    ),
    row("stainless steel", &["304", "1.4301"], 8000.0, (205.0, 515.0), memory("ASTM A240", "304 annealed"), true),
    row(
        "aluminium 6061-T6",
        &["6061", "6061-t6"],
        2700.0,
        (240.0, 260.0),
        memory("ASTM B221", "6061-T6 extrusion"),
        true,
    ),
    row(
        "aluminium 5052-H32",
        &["5052", "5052-h32"],
        2680.0,
        (160.0, 215.0),
        memory("Aluminum Design Manual", "5052-H32"),
        false,
    ),
];

/// The material of this name or alias, whatever its capitals.
pub fn material(name: &str) -> Option<&'static Material> {
    let lower = name.trim().to_lowercase();
    MATERIALS.iter().find(|m| m.name.to_lowercase() == lower || m.also.contains(&lower.as_str()))
}

/// The names that messages offer.
pub fn material_names() -> Vec<&'static str> {
    MATERIALS.iter().map(|m| m.name).collect()
}
