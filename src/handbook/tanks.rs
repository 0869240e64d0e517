//! Tanks: volume, girth and inertia loads.

use crate::units::{Force, Length, Mass, STANDARD_GRAVITY};
use std::f64::consts::PI;

/// Section of a tank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TankSection {
    /// Width, height, corner radius.
    Rectangle(Length, Length, Length),
    /// Diameter.
    Round(Length),
    /// Width over the round ends, height.
    Obround(Length, Length),
}

impl TankSection {
    /// Area of the section, mm2.
    ///
    /// # Formula
    /// rectangle `w h - (4 - pi) R^2`, round `pi/4 D^2`, obround `(w - h) h + pi/4 h^2`
    /// # Source
    /// Plane geometry.
    pub fn area(self) -> f64 {
        match self {
            TankSection::Rectangle(w, h, r) => w.to_mm() * h.to_mm() - (4.0 - PI) * r.to_mm() * r.to_mm(),
            TankSection::Round(d) => PI / 4.0 * d.to_mm() * d.to_mm(),
            TankSection::Obround(w, h) => (w - h).to_mm() * h.to_mm() + PI / 4.0 * h.to_mm() * h.to_mm(),
        }
    }

    /// Volume of a length of it, litres, brim-full.
    pub fn litres(self, length: Length) -> f64 {
        self.area() * length.to_mm() * 1e-6
    }
}

/// Litres as US gallons.
///
/// # Source
/// NIST Handbook 44, appendix C: 1 gal = 231 in3, from memory, unconfirmed.
pub fn gallons(litres: f64) -> f64 {
    let inch = 25.4_f64;
    litres * 1e6 / (231.0 * inch * inch * inch)
}

/// Load of a mass under so many times standard gravity.
///
/// # Formula
/// `m g n`
/// # Source
/// ISO 12991, Table 1, gives n for tanks: 20 along, 8 across (M1, N1).
pub fn inertia_load(mass: Mass, times_gravity: f64) -> Force {
    Force::newtons(mass.to_kg() * STANDARD_GRAVITY * times_gravity)
}
