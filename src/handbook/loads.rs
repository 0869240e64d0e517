//! Loads a mounted tank must stand: acceleration levels, masses of fuel, and a
//! lever's or shaft's stress.

use std::f64::consts::PI;

use crate::handbook::Citation;
use crate::handbook::sources::{DEFINITION, Ledger, STATICS};
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

/// Where [`leak_test_pressure`] is from.
pub const LEAK_TEST: Citation = Citation::quoted("UN bus regulation (R36, R52, R107)", "5.5.3, fuel tanks");

/// Pressure inside a tank that it must hold for a minute without a leak.
///
/// # Formula
/// `p = max(2 ps, 0.03 MPa)`, `ps` the pressure in service
/// # Source
/// [`LEAK_TEST`].
/// # Holds for
/// Tanks of buses; done with water, or left to the specialist.
pub fn leak_test_pressure(service: Stress) -> Stress {
    (service * 2.0).max(Stress::mpa(0.03))
}

/// Force of a mass at so many g.
///
/// # Formula
/// `F = m g n`
/// # Source
/// Newton's second law with standard gravity.
/// # Holds for
/// A mass that cannot move in its mount.
pub fn inertia(mass: Mass, g: f64) -> Force {
    Force::newtons(mass.to_kg() * STANDARD_GRAVITY * g)
}

/// Breaking strength a fastening needs by the rule for gas containers, in any direction.
///
/// # Formula
/// `F = 4 x 2 m g`: twice the filled weight, safety factor four
/// # Source
/// [`CONTAINER_RULE`].
/// # Holds for
/// A filled container; other tanks borrow the level.
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
    Fuel {
        name: "petrol",
        kg_per_litre: 0.775,
        source: Citation::quoted("EN 228", "720 to 775 kg/m3 at 15 degrees C"),
    },
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
    ///
    /// # Formula
    /// `m = rho V`
    /// # Source
    /// Definition; the density as the row says.
    /// # Holds for
    /// The top of the density's range.
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

/// Greatest force on the pedal in the braking test of cars.
///
/// # Source
/// FMVSS 135, S7.5, as a letter of the regulator interprets it.
pub const BRAKE_TEST_FORCE: (Force, Citation) =
    (Force::newtons(500.0), Citation::read("FMVSS 135", "S7.5, NHTSA interpretation 11409.MLS"));

/// Force on a steering wheel's rim with the assistance failed, car.
///
/// # Source
/// UN R79 (from memory, unconfirmed).
pub const STEERING_FORCE: (Force, Citation) =
    (Force::newtons(300.0), Citation::memory("UN R79", "steering effort with a failure, M1"));

/// Torque of a rim force on a wheel of that radius.
///
/// # Formula
/// `T = F r`
/// # Source
/// Statics.
/// # Holds for
/// Any rim force, see [`STEERING_FORCE`].
pub fn steering_torque(rim_force: Force, wheel_radius: Length) -> Moment {
    rim_force * wheel_radius
}

/// Bending stress at the edge of a rectangle.
///
/// # Formula
/// `6 M / (b h2)`, `h` along the load
/// # Source
/// Elementary bending theory.
/// # Holds for
/// Stress below yield.
pub fn rectangle_bending(moment: Moment, across: Length, along_load: Length) -> Stress {
    let h = along_load.to_mm();
    Stress::mpa(6.0 * moment.to_newton_mm() / (across.to_mm() * h * h))
}

/// Torsion stress at the surface of a round bar.
///
/// # Formula
/// `16 T / (pi d3)`
/// # Source
/// Elementary torsion theory.
/// # Holds for
/// Stress below yield.
pub fn round_torsion(torque: Moment, diameter: Length) -> Stress {
    Stress::mpa(16.0 * torque.to_newton_mm() / (PI * libm::pow(diameter.to_mm(), 3.0)))
}

/// Where the torsion factors are from.
pub const TORSION_TABLE: Citation =
    Citation::quoted("Timoshenko, Strength of Materials", "table of torsion factors of rectangles");

/// Torsion factors alpha by long over short side.
const RECTANGLE_ALPHA: &[(f64, f64)] =
    &[(1.0, 0.208), (1.5, 0.231), (2.0, 0.246), (3.0, 0.267), (4.0, 0.282), (5.0, 0.291), (10.0, 0.312)];
/// Alpha of a very thin strip.
const STRIP_ALPHA: f64 = 1.0 / 3.0;
/// Ratio from which a strip counts as very thin; between 10 and this the last row holds, on the safe side.
const VERY_THIN: f64 = 1000.0;

/// Greatest torsion stress of a rectangle.
///
/// # Formula
/// `T / (alpha b t2)`, straight lines between the table's rows
/// # Source
/// [`TORSION_TABLE`].
/// # Holds for
/// Stress below yield; ratios from 10 to 1000 take the row of 10, on the safe side.
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

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    to.rows("levels of ISO 12991,", ["M1 and N1", "M2 and N2", "M3 and N3"], ISO_12991);
    to.row("vertical level", VERTICAL_G.1);
    for f in FUELS {
        to.row(format!("density of {}", f.name), f.source);
    }
    to.row("force on a brake pedal", PEDAL_FORCE.1);
    to.row("force on the pedal in the braking test", BRAKE_TEST_FORCE.1);
    to.row("force on a steering wheel", STEERING_FORCE.1);
    for (ratio, _) in RECTANGLE_ALPHA {
        to.row(format!("torsion factor of {ratio} to 1"), TORSION_TABLE);
    }
    to.row("torsion factor of a thin strip", TORSION_TABLE);
    to.formulas(&["inertia", "steering_torque", "rectangle_bending", "round_torsion"], STATICS);
    to.formulas(&["mass"], DEFINITION);
    to.formulas(&["container_fastening"], CONTAINER_RULE);
    to.formulas(&["leak_test_pressure"], LEAK_TEST);
    to.formulas(&["rectangle_torsion"], TORSION_TABLE);
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
