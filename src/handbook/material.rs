//! The metals a home workshop bends: strength, density and how they bend.

use crate::handbook::Citation;
use crate::handbook::sources::{DEFINITION, Ledger};
use crate::units::{Mass, Stress};

/// Groups of metals that share bend rules.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BendClass {
    /// Soft structural steel (S235, A36).
    MildSteel,
    /// Stronger structural steel (S275, S355, Grade 50).
    StrongSteel,
    /// Austenitic stainless steel.
    Stainless,
    /// Aluminium that takes a tight bend (5052-H32).
    SoftAluminium,
    /// Aluminium that cracks easily (6061-T6).
    HardAluminium,
}

/// One metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Material {
    /// The name it is listed under.
    pub name: &'static str,
    /// Other names that mean it, lower case.
    pub aliases: &'static [&'static str],
    /// Yield strength (or 0.2 % proof), the guaranteed minimum for thin stock.
    pub yield_strength: Stress,
    /// Where the yield strength is from.
    pub yield_source: Citation,
    /// Tensile strength, the guaranteed minimum.
    pub tensile_strength: Stress,
    /// Where the tensile strength is from.
    pub tensile_source: Citation,
    /// Density, kg/m3.
    pub density_kg_per_m3: f64,
    /// Where the density is from.
    pub density_source: Citation,
    /// How it bends.
    pub bend_class: BendClass,
    /// EN 1993-1-8 correlation factor of fillet welds, where the code has one.
    pub weld_correlation: Option<f64>,
}

impl Material {
    /// Mass of a volume of it, mm3.
    ///
    /// # Formula
    /// `m = rho V`
    /// # Source
    /// Definition; the density as the row says.
    /// # Holds for
    /// Nominal sizes.
    pub fn mass_of(&self, volume_mm3: f64) -> Mass {
        Mass::kg(volume_mm3 * self.density_kg_per_m3 * 1e-9)
    }
    /// Whether it is a steel (stainless counted).
    pub fn is_steel(&self) -> bool {
        matches!(self.bend_class, BendClass::MildSteel | BendClass::StrongSteel | BendClass::Stainless)
    }
}

const EN_STRENGTH: Citation = Citation::quoted("EN 1993-1-1", "Table 3.1, thickness up to 40 mm");
const S275_TENSILE: Citation = Citation::quoted("EN 10025-2", "Table 7, S275: 410 to 560 MPa")
    .noting("as quoted in a secondary source; EN 1993-1-1 Table 3.1 prints 430, the lower is kept");
const S355_TENSILE: Citation = Citation::quoted("EN 10025-2", "Table 7, S355: 470 to 630 MPa")
    .noting("as quoted in a secondary source; EN 1993-1-1 Table 3.1 prints 490, the lower is kept");
const A36: Citation = Citation::quoted("ASTM A36", "tensile requirements: 36 ksi, 58 to 80 ksi");
const A213: Citation = Citation::quoted("ASTM A213", "304 annealed: 30 ksi, 75 ksi")
    .noting("as quoted in a secondary source, for tube; sheet by ASTM A240 is remembered the same");
const AL_6061: Citation = Citation::quoted("Beer and Johnston, Mechanics of Materials", "Appendix B")
    .noting("as quoted in a secondary source; sheet is also printed as 40 and 45 ksi, the lower is kept");
const AL_5052: Citation = Citation::memory("Aluminum Design Manual", "5052-H32: 23 ksi, 31 ksi");
const STEEL_DENSITY: Citation =
    Citation::quoted("European structural steel section tables", "general notes 2.1: 7850 kg/m3");
const MHB_DENSITY: Citation = Citation::memory("Machinery's Handbook", "table of densities");

/// Where the correlation factors of fillet welds are from.
pub const CORRELATION: Citation = Citation::quoted("EN 1993-1-8", "Table 4.1, correlation factors");

/// Structural steel's density, kg/m3: European section tables, general notes.
pub const STEEL_KG_PER_M3: f64 = 7850.0;

/// Every metal of the handbook, weakest steel first.
pub const MATERIALS: &[Material] = &[
    Material {
        name: "mild steel",
        aliases: &["s235", "mild", "steel", "s235jr", "unknown steel", "scrap steel"],
        yield_strength: Stress::mpa(235.0),
        yield_source: EN_STRENGTH,
        tensile_strength: Stress::mpa(360.0),
        tensile_source: EN_STRENGTH,
        density_kg_per_m3: STEEL_KG_PER_M3,
        density_source: STEEL_DENSITY,
        bend_class: BendClass::MildSteel,
        weld_correlation: Some(0.80),
    },
    Material {
        name: "A36",
        aliases: &["astm a36", "hot rolled"],
        yield_strength: Stress::mpa(250.0),
        yield_source: A36,
        tensile_strength: Stress::mpa(400.0),
        tensile_source: A36,
        density_kg_per_m3: STEEL_KG_PER_M3,
        density_source: STEEL_DENSITY,
        bend_class: BendClass::MildSteel,
        weld_correlation: None,
    },
    Material {
        name: "S275",
        aliases: &["s275jr"],
        yield_strength: Stress::mpa(275.0),
        yield_source: EN_STRENGTH,
        tensile_strength: Stress::mpa(410.0),
        tensile_source: S275_TENSILE,
        density_kg_per_m3: STEEL_KG_PER_M3,
        density_source: STEEL_DENSITY,
        bend_class: BendClass::StrongSteel,
        weld_correlation: Some(0.85),
    },
    Material {
        name: "S355",
        aliases: &["s355jr", "grade 50"],
        yield_strength: Stress::mpa(355.0),
        yield_source: EN_STRENGTH,
        tensile_strength: Stress::mpa(470.0),
        tensile_source: S355_TENSILE,
        density_kg_per_m3: STEEL_KG_PER_M3,
        density_source: STEEL_DENSITY,
        bend_class: BendClass::StrongSteel,
        weld_correlation: Some(0.90),
    },
    Material {
        name: "stainless 304",
        aliases: &["304", "304 stainless", "stainless", "stainless steel", "1.4301"],
        yield_strength: Stress::mpa(205.0),
        yield_source: A213,
        tensile_strength: Stress::mpa(515.0),
        tensile_source: A213,
        density_kg_per_m3: 8000.0,
        density_source: MHB_DENSITY.noting("from memory, unconfirmed; 7930 is also printed, the heavier is kept"),
        bend_class: BendClass::Stainless,
        weld_correlation: None,
    },
    Material {
        name: "6061-T6",
        aliases: &["6061", "6061 t6"],
        yield_strength: Stress::mpa(241.0),
        yield_source: AL_6061,
        tensile_strength: Stress::mpa(262.0),
        tensile_source: AL_6061,
        density_kg_per_m3: 2700.0,
        density_source: MHB_DENSITY,
        bend_class: BendClass::HardAluminium,
        weld_correlation: None,
    },
    Material {
        name: "5052-H32",
        aliases: &["5052", "5052 h32"],
        yield_strength: Stress::mpa(158.0),
        yield_source: AL_5052,
        tensile_strength: Stress::mpa(213.0),
        tensile_source: AL_5052,
        density_kg_per_m3: 2680.0,
        density_source: MHB_DENSITY,
        bend_class: BendClass::SoftAluminium,
        weld_correlation: None,
    },
];

/// The metal of that name or alias; case and outer blanks do not matter.
pub fn find(name: &str) -> Option<&'static Material> {
    let wanted = name.trim().to_lowercase();
    MATERIALS.iter().find(|m| m.name.to_lowercase() == wanted || m.aliases.contains(&wanted.as_str()))
}

/// The listed names, in the order of the table.
pub fn names() -> Vec<&'static str> {
    MATERIALS.iter().map(|m| m.name).collect()
}

/// Similarity (0 to 1) below which a name is not offered as a correction.
const NEAR_ENOUGH: f64 = 0.6;

/// The name or alias most like a misspelt one, if any is near enough to be
/// worth offering; the first in the table wins a tie.
pub fn nearest_name(misspelt: &str) -> Option<&'static str> {
    let wanted = misspelt.trim().to_lowercase();
    let mut best: Option<(f64, &'static str)> = None;
    for m in MATERIALS {
        for name in std::iter::once(m.name).chain(m.aliases.iter().copied()) {
            let likeness = strsim::normalized_damerau_levenshtein(&wanted, &name.to_lowercase());
            if likeness >= NEAR_ENOUGH && best.is_none_or(|(b, _)| likeness > b) {
                best = Some((likeness, name));
            }
        }
    }
    best.map(|(_, name)| name)
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    for m in MATERIALS {
        to.row(format!("yield strength of {}", m.name), m.yield_source);
        to.row(format!("tensile strength of {}", m.name), m.tensile_source);
        to.row(format!("density of {}", m.name), m.density_source);
        if m.weld_correlation.is_some() {
            to.row(format!("correlation factor of {}", m.name), CORRELATION);
        }
    }
    to.formulas(&["mass_of"], DEFINITION);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mild_steel_is_the_weaker_of_s235_and_a36() {
        let mild = find(" Mild Steel ").unwrap();
        let a36 = find("a36").unwrap();
        assert_eq!(mild.name, "mild steel");
        assert!(mild.yield_strength < a36.yield_strength);
        assert!(mild.tensile_strength < a36.tensile_strength);
    }

    #[test]
    fn no_name_means_two_metals_and_each_alias_is_lower_case() {
        let mut all: Vec<String> = Vec::new();
        for m in MATERIALS {
            all.push(m.name.to_lowercase());
            for a in m.aliases {
                assert_eq!(*a, a.to_lowercase());
                all.push((*a).to_string());
            }
        }
        let count = all.len();
        all.sort();
        all.dedup();
        assert_eq!(all.len(), count);
    }

    #[test]
    fn yield_is_below_tensile_everywhere() {
        for m in MATERIALS {
            assert!(m.yield_strength < m.tensile_strength, "{}", m.name);
        }
    }

    #[test]
    fn a_slip_of_the_finger_is_corrected_and_nonsense_is_not() {
        assert_eq!(nearest_name("mild steal"), Some("mild steel"));
        assert_eq!(nearest_name("6061-T7"), Some("6061-T6"));
        assert_eq!(nearest_name("plywood board"), None);
    }

    #[test]
    fn a_cubic_decimetre_of_steel_weighs_7_85_kg() {
        let m = find("steel").unwrap();
        assert!((m.mass_of(1e6).to_kg() - 7.85).abs() < 1e-12);
    }
}
