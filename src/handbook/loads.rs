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

/// Where the torsion of a double-D is from.
pub const DOUBLE_D: Citation = Citation::geometry("torsion of a circle with two flats")
    .noting("a series from memory that finite differences confirm to 1.5 %");

/// Coefficients of the series for the stress in a circle with two flats.
#[allow(clippy::approx_constant)] // four figures, as remembered
const DOUBLE_D_SERIES: [f64; 6] = [0.6366, 2.5303, -11.157, 49.568, -85.886, 69.849];

/// Greatest torsion stress of a round bar with two equal flats, in the middle of the flats.
///
/// # Formula
/// `B T / r3`, `B = 0.6366 + 2.5303 x - 11.157 x2 + 49.568 x3 - 85.886 x4 + 69.849 x5`, `x` the depth of a flat over r
/// # Source
/// [`DOUBLE_D`]: Roark's series for a circle with two flats, held against the torsion problem solved by finite differences.
/// # Holds for
/// Flats to half of the radius, stress below yield; `None` for deeper flats or sizes that make no such bar.
pub fn double_d_torsion(torque: Moment, diameter: Length, across_flats: Length) -> Option<Stress> {
    let r = diameter.to_mm() / 2.0;
    let x = (r - across_flats.to_mm() / 2.0) / r;
    if !(r > 0.0 && (0.0..=0.5).contains(&x)) {
        return None;
    }
    let b = DOUBLE_D_SERIES.iter().rev().fold(0.0, |sum, c| sum * x + c);
    Some(Stress::mpa(b * torque.to_newton_mm() / (r * r * r)))
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
    to.formulas(&["double_d_torsion"], DOUBLE_D);
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

    /// Stress in the middle of a flat, `B`, of a circle of radius 1 with flats of depth `x`: a quarter
    /// of the section by finite differences, `phi` zero on the outline and its Laplacian -2.
    fn flats_by_differences(x: f64) -> f64 {
        const N: usize = 60;
        let flat = 1.0 - x;
        let (hx, hy) = (1.0 / N as f64, flat / N as f64);
        let inside = |i: usize, j: usize| j < N && (i as f64 * hx).hypot(j as f64 * hy) < 1.0 - 1e-9;
        let mut phi = vec![[0.0_f64; N + 1]; N + 1];
        // Arms to the next node or, where it lies beyond the outline, to the outline, as shares of a step.
        let arm = |at: f64, other: f64, step: f64| (((1.0 - other * other).sqrt() - at) / step).min(1.0);
        for _ in 0..4000 {
            for i in 0..N {
                for j in 0..N {
                    if !inside(i, j) {
                        continue;
                    }
                    let (px, py) = (i as f64 * hx, j as f64 * hy);
                    let (east, north) = (arm(px, py, hx), if j + 1 == N { 1.0 } else { arm(py, px, hy) });
                    let e = if inside(i + 1, j) { phi[i + 1][j] } else { 0.0 };
                    let n = if inside(i, j + 1) { phi[i][j + 1] } else { 0.0 };
                    let w = if i > 0 { phi[i - 1][j] } else { phi[1][j] };
                    let s = if j > 0 { phi[i][j - 1] } else { phi[i][1] };
                    let (ax, ay) = (2.0 / (hx * hx), 2.0 / (hy * hy));
                    let sum = ax * (e / east + w) / (east + 1.0) + ay * (n / north + s) / (north + 1.0) + 2.0;
                    let new = sum / (ax / east + ay / north);
                    phi[i][j] += 1.9 * (new - phi[i][j]);
                }
            }
        }
        let half = |k: usize| if k == 0 { 0.5 } else { 1.0 };
        let whole: f64 =
            (0..N).flat_map(|i| (0..N).map(move |j| (i, j))).map(|(i, j)| half(i) * half(j) * phi[i][j]).sum();
        let stiffness = 2.0 * 4.0 * whole * hx * hy;
        let slope = (4.0 * phi[0][N - 1] - phi[0][N - 2]) / (2.0 * hy);
        slope / stiffness
    }

    #[test]
    fn the_double_d_series_is_the_torsion_problem_solved() {
        let d = Length::mm(2.0);
        for x in [0.1, 0.2, 0.26667, 0.35, 0.5] {
            let series = double_d_torsion(Moment::newton_mm(1.0), d, Length::mm(2.0 * (1.0 - x))).unwrap().to_mpa();
            let solved = flats_by_differences(x);
            assert!((series / solved - 1.0).abs() < 0.015, "{x}: {series}, by differences {solved}");
        }
        // Without flats it is the round bar: 2 / pi.
        let round = double_d_torsion(Moment::newton_mm(1.0), d, d).unwrap().to_mpa();
        assert!((round - 2.0 / PI).abs() < 1e-4);
        assert!(double_d_torsion(Moment::newton_mm(1.0), d, Length::mm(0.9)).is_none());
        assert!(double_d_torsion(Moment::newton_mm(1.0), Length::ZERO, Length::ZERO).is_none());
        assert!(double_d_torsion(Moment::newton_mm(1.0), d, Length::mm(f64::NAN)).is_none());
    }
}
