//! Dimensions as exponents, and the units people write.

use super::quantity::{KG_PER_LB, MM_PER_INCH, N_PER_LBF};

/// Exponents of length, force, time and angle. Base units: mm, N, s, degree,
/// so that a stress in base units is in MPa and a mass of 1 kg is 0.001.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, Hash)]
pub struct Dim {
    /// Exponent of length.
    pub length: i8,
    /// Exponent of force.
    pub force: i8,
    /// Exponent of time.
    pub time: i8,
    /// Exponent of angle.
    pub angle: i8,
}

impl Dim {
    const fn new(length: i8, force: i8, time: i8, angle: i8) -> Dim {
        Dim { length, force, time, angle }
    }
    /// A pure number.
    pub const PLAIN: Dim = Dim::new(0, 0, 0, 0);
    /// A length, mm.
    pub const LENGTH: Dim = Dim::new(1, 0, 0, 0);
    /// An area, mm2.
    pub const AREA: Dim = Dim::new(2, 0, 0, 0);
    /// A volume, mm3.
    pub const VOLUME: Dim = Dim::new(3, 0, 0, 0);
    /// An angle, degrees.
    pub const ANGLE: Dim = Dim::new(0, 0, 0, 1);
    /// A force, N.
    pub const FORCE: Dim = Dim::new(0, 1, 0, 0);
    /// A moment, N mm.
    pub const MOMENT: Dim = Dim::new(1, 1, 0, 0);
    /// A mass, N s2/mm (1000 kg).
    pub const MASS: Dim = Dim::new(-1, 1, 2, 0);
    /// A stress, N/mm2.
    pub const STRESS: Dim = Dim::new(-2, 1, 0, 0);

    fn zip(self, o: Dim, f: impl Fn(i8, i8) -> Option<i8>) -> Option<Dim> {
        Some(Dim {
            length: f(self.length, o.length)?,
            force: f(self.force, o.force)?,
            time: f(self.time, o.time)?,
            angle: f(self.angle, o.angle)?,
        })
    }
    /// Dimension of a product; `None` when the exponents run over.
    pub fn times(self, o: Dim) -> Option<Dim> {
        self.zip(o, i8::checked_add)
    }
    /// Dimension of a quotient.
    pub fn over(self, o: Dim) -> Option<Dim> {
        self.zip(o, i8::checked_sub)
    }
    /// Dimension of a whole power.
    pub fn power(self, n: i8) -> Option<Dim> {
        self.zip(self, |a, _| a.checked_mul(n))
    }
    /// Dimension of a square root; `None` for an odd exponent.
    pub fn root(self) -> Option<Dim> {
        self.zip(self, |a, _| (a % 2 == 0).then_some(a / 2))
    }

    /// In words, with its article.
    pub fn name(self) -> String {
        let known: &[(Dim, &str)] = &[
            (Dim::PLAIN, "a plain number"),
            (Dim::LENGTH, "a length"),
            (Dim::AREA, "an area"),
            (Dim::VOLUME, "a volume"),
            (Dim::ANGLE, "an angle"),
            (Dim::FORCE, "a force"),
            (Dim::MOMENT, "a moment (force times length)"),
            (Dim::MASS, "a mass"),
            (Dim::STRESS, "a stress"),
            (Dim::new(4, 0, 0, 0), "a second moment of area"),
            (Dim::new(-1, 1, 0, 0), "a force per length"),
            (Dim::new(0, 0, 1, 0), "a time"),
        ];
        if let Some(k) = known.iter().find(|k| k.0 == self) {
            return k.1.to_string();
        }
        let parts = [(self.length, "length"), (self.force, "force"), (self.time, "time"), (self.angle, "angle")];
        let words: Vec<String> = parts
            .iter()
            .filter(|p| p.0 != 0)
            .map(|p| if p.0 == 1 { p.1.to_string() } else { format!("{}^{}", p.1, p.0) })
            .collect();
        words.join(" x ")
    }
}

/// A unit as it is written.
#[derive(Clone, Copy, Debug)]
pub struct Unit {
    /// Spelling.
    pub text: &'static str,
    /// Base units in one of it.
    pub factor: f64,
    /// What it measures.
    pub dim: Dim,
}

const fn unit(text: &'static str, factor: f64, dim: Dim) -> Unit {
    Unit { text, factor, dim }
}

const PSI: f64 = N_PER_LBF / (MM_PER_INCH * MM_PER_INCH);

/// Every spelling that is understood. `N m` and `lbf ft` are two words.
pub const UNITS: &[Unit] = &[
    unit("mm", 1.0, Dim::LENGTH),
    unit("cm", 10.0, Dim::LENGTH),
    unit("m", 1000.0, Dim::LENGTH),
    unit("in", MM_PER_INCH, Dim::LENGTH),
    unit("inch", MM_PER_INCH, Dim::LENGTH),
    unit("inches", MM_PER_INCH, Dim::LENGTH),
    unit("\"", MM_PER_INCH, Dim::LENGTH),
    unit("\u{2033}", MM_PER_INCH, Dim::LENGTH),
    unit("\u{201d}", MM_PER_INCH, Dim::LENGTH),
    unit("ft", 12.0 * MM_PER_INCH, Dim::LENGTH),
    unit("foot", 12.0 * MM_PER_INCH, Dim::LENGTH),
    unit("feet", 12.0 * MM_PER_INCH, Dim::LENGTH),
    unit("'", 12.0 * MM_PER_INCH, Dim::LENGTH),
    unit("\u{2032}", 12.0 * MM_PER_INCH, Dim::LENGTH),
    unit("\u{2019}", 12.0 * MM_PER_INCH, Dim::LENGTH),
    unit("deg", 1.0, Dim::ANGLE),
    unit("degrees", 1.0, Dim::ANGLE),
    unit("\u{b0}", 1.0, Dim::ANGLE),
    unit("N", 1.0, Dim::FORCE),
    unit("kN", 1000.0, Dim::FORCE),
    unit("lbf", N_PER_LBF, Dim::FORCE),
    unit("kgf", super::quantity::STANDARD_GRAVITY, Dim::FORCE),
    unit("N m", 1000.0, Dim::MOMENT),
    unit("Nm", 1000.0, Dim::MOMENT),
    unit("lbf ft", N_PER_LBF * 12.0 * MM_PER_INCH, Dim::MOMENT),
    unit("lbf in", N_PER_LBF * MM_PER_INCH, Dim::MOMENT),
    unit("kg", 1e-3, Dim::MASS),
    unit("lb", KG_PER_LB * 1e-3, Dim::MASS),
    unit("MPa", 1.0, Dim::STRESS),
    unit("GPa", 1000.0, Dim::STRESS),
    unit("psi", PSI, Dim::STRESS),
    unit("ksi", 1000.0 * PSI, Dim::STRESS),
    unit("litre", 1e6, Dim::VOLUME),
    unit("litres", 1e6, Dim::VOLUME),
    unit("gal", 231.0 * MM_PER_INCH * MM_PER_INCH * MM_PER_INCH, Dim::VOLUME),
];

/// The unit with this spelling.
pub fn find_unit(text: &str) -> Option<&'static Unit> {
    UNITS.iter().find(|u| u.text == text)
}

/// What to say to a unit that is not known.
pub fn unit_help(text: &str) -> String {
    let lower = text.to_lowercase();
    match lower.as_str() {
        "g" => return "'g' could be grams or gravity: write kg, or weight(mass)".to_string(),
        "thou" | "mil" | "mils" => return "write 0.001 in".to_string(),
        "pound" | "pounds" | "lbs" => return "write lb for a mass, lbf for a force".to_string(),
        "ga" | "gauge" | "swg" => {
            return "a gauge means another thickness for each metal and table: measure it and write mm or in"
                .to_string();
        }
        _ => {}
    }
    if let Some(u) = UNITS.iter().find(|u| u.text.to_lowercase() == lower) {
        return format!("capital letters matter: write {}", u.text);
    }
    format!(
        "if {text} is a value, write * before it; units are: mm cm m in ft deg N kN lbf kg lb MPa psi ksi, N m, lbf ft"
    )
}

/// The two lengths that scanning treats by name, mm.
pub(super) struct MmTable {
    pub inch: f64,
    pub foot: f64,
}

pub(super) const MM_TABLE: MmTable = MmTable { inch: MM_PER_INCH, foot: 12.0 * MM_PER_INCH };
