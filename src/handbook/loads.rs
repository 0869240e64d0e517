//! Loads a mounted tank must stand: acceleration levels, masses of fuel, and a
//! lever's or shaft's stress.

use std::f64::consts::PI;

use crate::handbook::Citation;
use crate::units::{Force, Length, Mass, Moment, Stress};

/// Standard gravity, m/s2.
///
/// # Source
/// 3rd CGPM, 1901.
const STANDARD_GRAVITY: f64 = 9.806_65;

/// Vehicle categories of the acceleration table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VehicleClass {
    /// M1, N1: cars and light vans.
    Light,
    /// M2, N2.
    Medium,
    /// M3, N3.
    Heavy,
}

/// Acceleration levels as multiples of standard gravity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GLevels {
    /// Along the direction of travel.
    pub along: f64,
    /// Horizontally across it.
    pub across: f64,
    /// Where they are from.
    pub source: Citation,
}

const ISO_12991: Citation = Citation::read("ISO 12991", "Table 1 and 4.2.2, full tank")
    .noting("written for tanks of liquefied gas; offered here as a level to design for, not as a law for this tank");

/// The levels a full tank's mounting must stand.
///
/// # Source
/// ISO 12991 Table 1.
pub fn g_levels(class: VehicleClass) -> GLevels {
    let (along, across) = match class {
        VehicleClass::Light => (20.0, 8.0),
        VehicleClass::Medium => (10.0, 5.0),
        VehicleClass::Heavy => (6.6, 5.0),
    };
    GLevels { along, across, source: ISO_12991 }
}

/// Up and down, multiples of gravity: a choice, since the table has no vertical row.
pub const VERTICAL_G: (f64, Citation) = (4.5, Citation::practice("vertical level of 4.5 g, an engineering choice"));

/// Force of a mass at so many g.
///
/// # Source
/// Newton's second law with standard gravity.
pub fn inertia(mass: Mass, g: f64) -> Force {
    Force::newtons(mass.to_kg() * STANDARD_GRAVITY * g)
}

/// Breaking strength a fastening needs by the rule for gas containers: twice
/// the filled weight in any direction with a safety factor of four.
///
/// # Source
/// WAC 296-307-42507(3).
pub fn container_fastening(mass: Mass) -> Force {
    inertia(mass, 2.0 * 4.0)
}

/// Where [`container_fastening`] is from.
pub const CONTAINER_RULE: Citation = Citation::read("WAC 296-307-42507", "(3), LP-gas container mounting");

/// A liquid and its heaviest density, kg/L.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fuel {
    /// Its name, lower case.
    pub name: &'static str,
    /// Heaviest density, kg per litre.
    pub kg_per_litre: f64,
    /// Where it is from.
    pub source: Citation,
}

/// The fuels; each at the top of its range, since the mass is a load.
pub const FUELS: &[Fuel] = &[
    Fuel { name: "petrol", kg_per_litre: 0.775, source: Citation::memory("EN 228", "Table 1, 720 to 775 kg/m3") },
    Fuel {
        name: "diesel",
        kg_per_litre: 0.845,
        source: Citation::quoted("EN 590", "820 to 845 kg/m3 at 15 degrees C"),
    },
    Fuel { name: "e85", kg_per_litre: 0.790, source: Citation::memory("E85 fuel", "780 to 790 kg/m3") },
    Fuel { name: "water", kg_per_litre: 1.0, source: Citation::practice("water for a leak test, 1 kg/L") },
];

/// The fuel of that name, case not minded.
pub fn fuel(name: &str) -> Option<&'static Fuel> {
    FUELS.iter().find(|f| f.name.eq_ignore_ascii_case(name.trim()))
}

impl Fuel {
    /// Mass of so many litres.
    pub fn mass(&self, litres: f64) -> Mass {
        Mass::kg(self.kg_per_litre * litres)
    }
}

/// Force a brake pedal and its box must take.
///
/// # Source
/// Formula SAE Rules 2019, T.5.1.10.
pub const PEDAL_FORCE: (Force, Citation) =
    (Force::newtons(2000.0), Citation::read("Formula SAE Rules 2019", "T.5.1.10"));

/// Force on a steering wheel's rim with the assistance failed, car.
///
/// # Source
/// UN R79 (from memory, unconfirmed).
pub const STEERING_FORCE: (Force, Citation) =
    (Force::newtons(300.0), Citation::memory("UN R79", "steering effort with a failure, M1"));

/// Torque of a rim force on a wheel of that radius.
pub fn steering_torque(rim_force: Force, wheel_radius: Length) -> Moment {
    rim_force * wheel_radius
}

/// Bending stress at the edge of a rectangle: `6 M / (b h2)`, `h` along the load.
///
/// # Source
/// Elementary bending theory.
pub fn rectangle_bending(moment: Moment, across: Length, along_load: Length) -> Stress {
    let h = along_load.to_mm();
    Stress::mpa(6.0 * moment.to_newton_mm() / (across.to_mm() * h * h))
}

/// Torsion stress at the surface of a round bar: `16 T / (pi d3)`.
///
/// # Source
/// Elementary torsion theory.
pub fn round_torsion(torque: Moment, diameter: Length) -> Stress {
    Stress::mpa(16.0 * torque.to_newton_mm() / (PI * libm::pow(diameter.to_mm(), 3.0)))
}

/// Torsion factors alpha by long over short side.
const RECTANGLE_ALPHA: &[(f64, f64)] =
    &[(1.0, 0.208), (1.5, 0.231), (2.0, 0.246), (3.0, 0.267), (4.0, 0.282), (5.0, 0.291), (10.0, 0.312)];
/// Alpha of a very thin strip.
const STRIP_ALPHA: f64 = 1.0 / 3.0;
/// Ratio from which a strip counts as very thin; between 10 and this the last row holds, on the safe side.
const VERY_THIN: f64 = 1000.0;

/// Greatest torsion stress of a rectangle: `T / (alpha b t2)`, straight lines
/// between the table's rows.
///
/// # Source
/// Timoshenko, Strength of Materials, table of torsion factors (from memory, unconfirmed).
pub fn rectangle_torsion(torque: Moment, side: Length, other: Length) -> Stress {
    let (long, short) = (side.max(other).to_mm(), side.min(other).to_mm());
    let alpha = alpha(long / short);
    Stress::mpa(torque.to_newton_mm() / (alpha * long * short * short))
}

fn alpha(ratio: f64) -> f64 {
    if ratio >= VERY_THIN {
        return STRIP_ALPHA;
    }
    for pair in RECTANGLE_ALPHA.windows(2) {
        let ((r0, a0), (r1, a1)) = (pair[0], pair[1]);
        if ratio <= r1 {
            return a0 + (a1 - a0) * ((ratio - r0) / (r1 - r0)).max(0.0);
        }
    }
    0.312
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lighter_vehicles_stop_harder() {
        let along = [VehicleClass::Light, VehicleClass::Medium, VehicleClass::Heavy].map(|c| g_levels(c).along);
        assert!(along[0] > along[1] && along[1] > along[2]);
    }

    #[test]
    fn torsion_factors_rise_to_a_third() {
        assert!(RECTANGLE_ALPHA.windows(2).all(|w| w[0].0 < w[1].0 && w[0].1 < w[1].1));
        assert!((alpha(2.5) - 0.2565).abs() < 1e-12);
        assert_eq!(alpha(1.0), 0.208);
        assert!(alpha(50.0) < STRIP_ALPHA && alpha(1e6) == STRIP_ALPHA);
    }

    #[test]
    fn the_long_side_is_found_whichever_is_named_first() {
        let t = Moment::newton_metres(80.0);
        let (a, b) = (Length::mm(50.0), Length::mm(10.0));
        assert_eq!(rectangle_torsion(t, a, b), rectangle_torsion(t, b, a));
    }

    #[test]
    fn fuels_are_found_by_name() {
        assert!((fuel("Diesel").unwrap().mass(45.0).to_kg() - 38.025).abs() < 1e-9);
        assert!(fuel("coal").is_none());
    }
}
