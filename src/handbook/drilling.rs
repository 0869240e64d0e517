//! How a hole is drilled: cutting speed by metal, speed of the spindle with the
//! most that a machine gives, and the drills one after another.

use std::f64::consts::PI;

use crate::handbook::drills::{self, Drawer, Drill};
use crate::handbook::sources::Ledger;
use crate::handbook::{BendClass, Citation, Material};
use crate::units::Length;

/// How fast the lip of a drill runs over the metal.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct SurfaceSpeed(f64);

impl SurfaceSpeed {
    /// From metres a minute.
    pub const fn metres_per_minute(value: f64) -> Self {
        SurfaceSpeed(value)
    }
    /// From feet a minute.
    pub const fn feet_per_minute(value: f64) -> Self {
        SurfaceSpeed(value * 0.3048)
    }
    /// As metres a minute.
    pub const fn to_metres_per_minute(self) -> f64 {
        self.0
    }
    /// As feet a minute.
    pub const fn to_feet_per_minute(self) -> f64 {
        self.0 / 0.3048
    }
}

/// How fast a spindle turns.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct SpindleSpeed(f64);

impl SpindleSpeed {
    /// From turns a minute.
    pub const fn rpm(value: f64) -> Self {
        SpindleSpeed(value)
    }
    /// As turns a minute.
    pub const fn to_rpm(self) -> f64 {
        self.0
    }
}

/// Cutting speeds of one metal for drills of high-speed steel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CuttingSpeed {
    /// Where to begin, and what holds for a drill in the hand.
    pub low: SurfaceSpeed,
    /// The most, with cutting oil and a rigid machine.
    pub high: SurfaceSpeed,
    /// Where both are from.
    pub source: Citation,
}

const NAVY: Citation =
    Citation::quoted("NAVEDTRA 14345", "drill press, cutting speeds of high-speed steel twist drills");

const fn feet(low: f64, high: f64, source: Citation) -> CuttingSpeed {
    let (low, high) = (SurfaceSpeed::feet_per_minute(low), SurfaceSpeed::feet_per_minute(high));
    CuttingSpeed { low, high, source }
}

/// Low carbon steel.
const LOW_CARBON: CuttingSpeed = feet(80.0, 110.0, NAVY);
/// Medium carbon steel, by which the stronger structural steels are drilled to be kind to the drill.
const MEDIUM_CARBON: CuttingSpeed = feet(
    70.0,
    80.0,
    NAVY.noting("as quoted in a secondary source; the row of medium carbon steel, for the stronger structural steels"),
);
const STAINLESS: CuttingSpeed = feet(30.0, 40.0, NAVY);
const ALUMINIUM: CuttingSpeed = feet(200.0, 300.0, NAVY);

/// Cutting speed of a metal for drills of high-speed steel.
///
/// # Source
/// NAVEDTRA 14345, as quoted in a secondary source.
pub fn cutting_speed(metal: &Material) -> CuttingSpeed {
    match metal.bend_class {
        BendClass::MildSteel => LOW_CARBON,
        BendClass::StrongSteel => MEDIUM_CARBON,
        BendClass::Stainless => STAINLESS,
        BendClass::SoftAluminium | BendClass::HardAluminium => ALUMINIUM,
    }
}

const COOLANT: Citation = Citation::practice("cutting oil on steel, paraffin or light oil on aluminium");

/// What to cool and grease the drill with.
pub fn coolant(metal: &Material) -> (&'static str, Citation) {
    let words = if metal.is_steel() { "cutting oil" } else { "paraffin or light oil" };
    (words, COOLANT)
}

/// Where [`spindle_speed`] is from.
pub const TURNS: Citation = Citation::geometry("turns a minute = cutting speed / circumference of the drill");

/// Speed of the spindle at which a drill's lip runs at a cutting speed.
///
/// # Formula
/// `n = v / (pi d)`
/// # Source
/// [`TURNS`]
/// # Holds for
/// A drill of a diameter over zero; `None` for anything else.
pub fn spindle_speed(speed: SurfaceSpeed, drill: Length) -> Option<SpindleSpeed> {
    let rpm = speed.to_metres_per_minute() * 1000.0 / (PI * drill.to_mm());
    (drill.to_mm() > 0.0 && rpm.is_finite() && rpm > 0.0).then_some(SpindleSpeed(rpm))
}

/// What turns the drill.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Machine {
    /// Held in the hands.
    Hand,
    /// A pillar or bench drill.
    Press,
}

/// The fastest a drill is run in the hands, and the largest its chuck takes.
pub const HAND_MOST: (SpindleSpeed, Length, Citation) =
    (SpindleSpeed(1500.0), Length::mm(13.0), Citation::practice("a drill in the hands: at most 1500 rpm and 13 mm"));
/// The same for a bench drill.
pub const PRESS_MOST: (SpindleSpeed, Length, Citation) =
    (SpindleSpeed(2500.0), Length::mm(16.0), Citation::practice("a bench drill: at most 2500 rpm and 16 mm"));

impl Machine {
    /// Its fastest speed, the largest drill its chuck takes, and where both are from.
    pub fn most(self) -> (SpindleSpeed, Length, Citation) {
        match self {
            Machine::Hand => HAND_MOST,
            Machine::Press => PRESS_MOST,
        }
    }
}

/// A speed to set on a machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetSpeed {
    /// Turns a minute, rounded down to two figures.
    pub speed: SpindleSpeed,
    /// Whether the machine's most decided, not the metal.
    pub capped: bool,
    /// Where what decided is from.
    pub source: Citation,
}

/// The speed to begin with: the metal's low cutting speed, no more than the
/// machine gives, rounded down to two figures.
///
/// # Formula
/// `n = min(v / (pi d), most)`
/// # Source
/// [`cutting_speed`], [`Machine::most`].
/// # Holds for
/// Drills of high-speed steel of a diameter over zero; `None` for anything else.
pub fn set_speed(metal: &Material, drill: Length, machine: Machine) -> Option<SetSpeed> {
    let cutting = cutting_speed(metal);
    let wanted = spindle_speed(cutting.low, drill)?;
    let (most, _, cap) = machine.most();
    let capped = wanted > most;
    let rpm = if capped { most.to_rpm() } else { wanted.to_rpm() };
    Some(SetSpeed {
        speed: SpindleSpeed(two_figures_down(rpm)),
        capped,
        source: if capped { cap } else { cutting.source },
    })
}

/// Down to two figures, as a dial can be set.
fn two_figures_down(value: f64) -> f64 {
    let mut step = 1.0;
    while value / step >= 100.0 {
        step *= 10.0;
    }
    libm::floor(value / step + 1e-9) * step
}

/// One drill of a hole, in order.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The drill.
    pub drill: Drill,
    /// How fast to run it.
    pub set: SetSpeed,
    /// Whether the machine's chuck takes it; a larger one needs a stepped shank or a hole saw.
    pub fits_chuck: bool,
}

/// Every drill of a round hole, pilots first, the last one the hole's own.
/// `None` where no drill of the drawer is that large.
///
/// # Source
/// Pilots as [`drills::pilots`], speeds as [`set_speed`].
pub fn steps(finished: Length, drawer: Drawer, metal: &Material, machine: Machine) -> Option<Vec<Step>> {
    let last = drills::nearest_larger(finished, drawer)?;
    let (_, chuck, _) = machine.most();
    drills::pilots(finished, drawer)
        .into_iter()
        .chain([last])
        .map(|drill| {
            let set = set_speed(metal, drill.diameter, machine)?;
            let fits_chuck = drill.diameter.to_mm() <= chuck.to_mm() + 1e-9;
            Some(Step { drill, set, fits_chuck })
        })
        .collect()
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    to.rows("cutting speed of", ["low carbon steel", "stainless", "aluminium"], NAVY);
    to.row("cutting speed of stronger structural steel", MEDIUM_CARBON.source);
    to.row("coolants", COOLANT);
    to.row("most of a drill in the hands", HAND_MOST.2);
    to.row("most of a bench drill", PRESS_MOST.2);
    to.formulas(&["spindle_speed", "set_speed"], TURNS);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::handbook::material::{MATERIALS, find};

    fn mm(v: f64) -> Length {
        Length::mm(v)
    }

    #[test]
    fn the_lip_runs_at_the_cutting_speed() {
        let n = spindle_speed(SurfaceSpeed::metres_per_minute(25.0), mm(10.0)).unwrap();
        assert!((n.to_rpm() * PI * 10.0 / 1000.0 - 25.0).abs() < 1e-9);
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(spindle_speed(SurfaceSpeed::metres_per_minute(25.0), mm(bad)).is_none());
        }
        assert!((SurfaceSpeed::feet_per_minute(100.0).to_metres_per_minute() - 30.48).abs() < 1e-9);
    }

    #[test]
    fn a_larger_drill_never_turns_faster_and_no_machine_beyond_its_most() {
        for metal in MATERIALS {
            let range = cutting_speed(metal);
            assert!(range.low < range.high, "{}", metal.name);
            for machine in [Machine::Hand, Machine::Press] {
                let mut last = f64::INFINITY;
                for tenths in 10..300 {
                    let d = mm(f64::from(tenths) / 10.0);
                    let set = set_speed(metal, d, machine).unwrap();
                    assert!(set.speed.to_rpm() <= last && set.speed <= machine.most().0);
                    let lip = set.speed.to_rpm() * PI * d.to_mm() / 1000.0;
                    assert!(lip <= range.low.to_metres_per_minute() + 1e-9, "{}: {lip}", metal.name);
                    last = set.speed.to_rpm();
                }
            }
        }
    }

    #[test]
    fn stainless_is_the_slowest_and_aluminium_the_fastest() {
        let low = |name| cutting_speed(find(name).unwrap()).low;
        assert!(low("304") < low("S355") && low("S355") < low("mild steel") && low("mild steel") < low("6061-T6"));
    }

    #[test]
    fn a_hole_of_11_in_mild_steel_by_hand() {
        let all = steps(mm(11.0), Drawer::Metric, find("mild steel").unwrap(), Machine::Hand).unwrap();
        let told: Vec<(&str, f64)> = all.iter().map(|s| (s.drill.designation.as_str(), s.set.speed.to_rpm())).collect();
        // 80 ft/min is 24.384 m/min: 705.6 rpm at 11 mm, 1176 at 6.6, and more than a hand drill gives at 3.
        assert_eq!(told, [("3.0 mm", 1500.0), ("6.6 mm", 1100.0), ("11.0 mm", 700.0)]);
        assert!(all[0].set.capped && !all[2].set.capped && all.iter().all(|s| s.fits_chuck));
        assert!(steps(mm(40.0), Drawer::Any, find("mild steel").unwrap(), Machine::Press).is_none());
        assert!(steps(mm(f64::NAN), Drawer::Any, find("mild steel").unwrap(), Machine::Press).is_none());
    }
}
