//! What a bolted joint carries: shear, tension, bearing, and the strip across a hole.

use crate::handbook::Citation;
use crate::handbook::bolts::{BoltClass, BoltSize, breaking_load};
use crate::handbook::sources::Ledger;
use crate::units::{Force, Length, Stress};

/// Where shear, tension and bearing are from.
pub const EN_BOLTS: Citation = Citation::quoted("EN 1993-1-8", "Table 3.4");
/// Where [`en_single_lap_cap`] is from.
pub const EN_LAP: Citation = Citation::quoted("EN 1993-1-8", "3.6.1(10)");
/// Where the factor for loose holes is from.
pub const EN_LOOSE: Citation = Citation::quoted("EN 1993-1-8", "3.6.1(5)");
/// Where [`en_strip_tension`] is from.
pub const EN_STRIP: Citation = Citation::quoted("EN 1993-1-1", "6.2.3(2)");
/// Where the shear strength of SAE grades is from.
pub const SAE_SHEAR: Citation = Citation::memory("Bolts of SAE grades", "shear strength 0.6 of the tensile strength");

/// EN 1993-1-8's recommended partial factor for joints, gamma M2.
const GAMMA_M2: f64 = 1.25;

/// Shear resistance of one bolt with its thread in the plane of shear.
///
/// # Formula
/// `Fv = av fub As / 1.25`
/// # Source
/// [`EN_BOLTS`].
/// # Holds for
/// Grades the code has a factor for; `None` for others.
pub fn en_shear(size: &BoltSize, class: &BoltClass) -> Option<Force> {
    Some(breaking_load(size, class) * (class.shear_factor? / GAMMA_M2))
}

/// Tension resistance of one bolt.
///
/// # Formula
/// `Ft = 0.9 fub As / 1.25`
/// # Source
/// [`EN_BOLTS`].
/// # Holds for
/// Bolts with a hexagon head, not countersunk.
pub fn en_tension(size: &BoltSize, class: &BoltClass) -> Force {
    breaking_load(size, class) * (0.9 / GAMMA_M2)
}

/// Where the thread of a bolt lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Threads {
    /// In the plane of shear.
    InPlane,
    /// The plain shank is there.
    Clear,
}

/// Shear strength over tensile strength of grades that EN 1993-1-8 has no factor for.
const SHEAR_SHARE: f64 = 0.6;
/// Factor on shear for M12 and M14 in holes with 2 mm of play.
const LOOSE_HOLE: f64 = 0.85;

/// Shear resistance of one bolt, whatever its grade.
///
/// # Formula
/// Thread in the plane `av fub As / 1.25`, shank `0.6 fub pi d^2 / 4 / 1.25`; times 0.85 for M12 and M14 of 8.8 or
/// 10.9 in holes 2 mm larger.
/// # Source
/// EN 1993-1-8, Table 3.4 and 3.6.1(5), as quoted in a secondary source; 0.6 for SAE grades from memory, unconfirmed.
/// # Holds for
/// One plane of shear.
pub fn shear(size: &BoltSize, class: &BoltClass, threads: Threads, hole: Length) -> Force {
    let whole = match threads {
        Threads::InPlane => breaking_load(size, class) * (class.shear_factor.unwrap_or(SHEAR_SHARE) / GAMMA_M2),
        Threads::Clear => {
            let d = size.diameter.to_mm();
            Force::newtons(SHEAR_SHARE * class.tensile.to_mpa() * std::f64::consts::FRAC_PI_4 * d * d / GAMMA_M2)
        }
    };
    let loose = matches!(size.name, "M12" | "M14") && (hole - size.diameter).to_mm() >= 2.0 - 1e-9;
    if loose && matches!(class.name, "8.8" | "10.9") { whole * LOOSE_HOLE } else { whole }
}

/// Where a bolt bears on a plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bearing {
    /// Bolt diameter.
    pub bolt: Length,
    /// Hole diameter.
    pub hole: Length,
    /// Plate thickness.
    pub thickness: Length,
    /// Hole centre to end, along the load.
    pub end: Length,
    /// Hole centre to side edge, across the load.
    pub edge: Length,
    /// Pitch along the load, if there is another bolt.
    pub pitch: Option<Length>,
    /// Gauge across the load, if there is another bolt.
    pub gauge: Option<Length>,
    /// Tensile strength of the plate.
    pub plate_tensile: Stress,
    /// Tensile strength of the bolt.
    pub bolt_tensile: Stress,
}

/// Bearing resistance of one bolt; zero where the geometry leaves none.
///
/// # Formula
/// `Fb = k1 ab fu d t / 1.25`, `ab = min(e1/(3 d0), p1/(3 d0) - 1/4, fub/fu, 1)`,
/// `k1 = min(2.8 e2/d0 - 1.7, 1.4 p2/d0 - 1.7, 2.5)`
/// # Source
/// [`EN_BOLTS`].
/// # Holds for
/// Normal round holes; pitch and gauge left out where there is no other bolt.
pub fn en_bearing(b: &Bearing) -> Force {
    let along = [
        Some(b.end / (b.hole * 3.0)),
        b.pitch.map(|p| p / (b.hole * 3.0) - 0.25),
        Some(b.bolt_tensile / b.plate_tensile),
        Some(1.0),
    ];
    let across = [Some(2.8 * (b.edge / b.hole) - 1.7), b.gauge.map(|g| 1.4 * (g / b.hole) - 1.7), Some(2.5)];
    let least = |factors: &[Option<f64>]| factors.iter().flatten().copied().fold(f64::INFINITY, f64::min).max(0.0);
    let stress = least(&along) * least(&across) * b.plate_tensile.to_mpa();
    Force::newtons(stress * b.bolt.to_mm() * b.thickness.to_mm() / GAMMA_M2)
}

/// Cap on bearing in a lap joint with one bolt row.
///
/// # Formula
/// `Fb <= 1.5 fu d t / 1.25`
/// # Source
/// [`EN_LAP`].
/// # Holds for
/// Single laps with one row of bolts.
pub fn en_single_lap_cap(plate_tensile: Stress, bolt: Length, thickness: Length) -> Force {
    Force::newtons(1.5 * plate_tensile.to_mpa() * bolt.to_mm() * thickness.to_mm() / GAMMA_M2)
}

/// Pull at which a bolt's head or nut is punched through a plate.
///
/// # Formula
/// `0.6 pi dm t fu / 1.25`, `dm` the mean of the hexagon's flats and corners
/// # Source
/// EN 1993-1-8 Table 3.4, as quoted in a secondary source.
/// # Holds for
/// Hexagon head or nut straight on the plate; a washer only helps.
pub fn en_punching(size: &BoltSize, thickness: Length, plate_tensile: Stress) -> Force {
    let mean = (size.across_flats.to_mm() + size.across_corners.to_mm()) / 2.0;
    let area = std::f64::consts::PI * mean * thickness.to_mm();
    Force::newtons(0.6 * area * plate_tensile.to_mpa() / GAMMA_M2)
}

/// Tension a strip carries across a hole: yield of the whole or fracture of what the hole leaves.
///
/// # Formula
/// `N = min(b t fy, 0.9 (b - d0) t fu / 1.25)`
/// # Source
/// [`EN_STRIP`].
/// # Holds for
/// A flat strip pulled along, one hole in its middle.
pub fn en_strip_tension(width: Length, hole: Length, thickness: Length, yields: Stress, tensile: Stress) -> Force {
    let gross = width.to_mm() * thickness.to_mm() * yields.to_mpa();
    let net = 0.9 * (width - hole).to_mm().max(0.0) * thickness.to_mm() * tensile.to_mpa() / GAMMA_M2;
    Force::newtons(gross.min(net))
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    to.row("shear strength of SAE grades", SAE_SHEAR);
    to.row("factor of holes 2 mm larger, M12 and M14", EN_LOOSE);
    to.formulas(&["en_shear", "en_tension", "shear", "en_bearing", "en_punching"], EN_BOLTS);
    to.formulas(&["en_single_lap_cap"], EN_LAP);
    to.formulas(&["en_strip_tension"], EN_STRIP);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hole_at_the_very_edge_bears_nothing() {
        let b = Bearing {
            bolt: Length::mm(10.0),
            hole: Length::mm(11.0),
            thickness: Length::mm(5.0),
            end: Length::mm(15.0),
            edge: Length::mm(6.0),
            pitch: None,
            gauge: None,
            plate_tensile: Stress::mpa(360.0),
            bolt_tensile: Stress::mpa(800.0),
        };
        assert_eq!(en_bearing(&b), Force::ZERO);
        let safe = Bearing { edge: Length::mm(18.0), ..b };
        assert!(en_bearing(&safe).to_newtons() > 10_000.0);
    }
}
