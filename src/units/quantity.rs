//! The quantity types: one number each, in a fixed inside unit.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// One inch in millimetres, exact by definition.
///
/// # Source
/// International yard and pound agreement of 1959: 1 in = 25.4 mm exactly.
pub const MM_PER_INCH: f64 = 25.4;
/// One pound-force in newtons.
///
/// # Source
/// 0.453 592 37 kg (exact, 1959 agreement) times standard gravity 9.806 65 m/s2 (CGPM 1901).
pub const N_PER_LBF: f64 = 0.453_592_37 * STANDARD_GRAVITY;
/// Standard gravity, m/s2 (3rd CGPM, 1901).
pub const STANDARD_GRAVITY: f64 = 9.806_65;
/// One pound in kilograms, exact (1959 agreement).
pub const KG_PER_LB: f64 = 0.453_592_37;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $make:ident, $read:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// Zero.
            pub const ZERO: $name = $name(0.0);
            #[doc = concat!("From a number of ", $unit, ".")]
            pub const fn $make(value: f64) -> Self {
                $name(value)
            }
            #[doc = concat!("As a number of ", $unit, ".")]
            pub const fn $read(self) -> f64 {
                self.0
            }
            /// Its size without the sign.
            pub fn abs(self) -> Self {
                $name(self.0.abs())
            }
            /// The smaller of two.
            pub fn min(self, other: Self) -> Self {
                $name(self.0.min(other.0))
            }
            /// The larger of two.
            pub fn max(self, other: Self) -> Self {
                $name(self.0.max(other.0))
            }
            /// Whether it is a number at all (neither NaN nor infinite).
            pub fn is_finite(self) -> bool {
                self.0.is_finite()
            }
        }
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                $name(self.0 + other.0)
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                $name(self.0 - other.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl SubAssign for $name {
            fn sub_assign(&mut self, other: Self) {
                self.0 -= other.0;
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                $name(-self.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, by: f64) -> Self {
                $name(self.0 * by)
            }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, by: f64) -> Self {
                $name(self.0 / by)
            }
        }
        /// How many times the other goes into this one.
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                $name(items.map(|q| q.0).sum())
            }
        }
    };
}

quantity!(
    /// A length; inside: millimetres.
    Length, mm, to_mm, "millimetres"
);
quantity!(
    /// A plane angle; inside: radians, counter-clockwise positive.
    Angle, radians, to_radians, "radians"
);
quantity!(
    /// A force; inside: newtons.
    Force, newtons, to_newtons, "newtons"
);
quantity!(
    /// A moment (force times lever arm); inside: newton millimetres.
    Moment, newton_mm, to_newton_mm, "newton millimetres"
);
quantity!(
    /// A mass; inside: kilograms.
    Mass, kg, to_kg, "kilograms"
);
quantity!(
    /// A stress or pressure; inside: megapascals (N/mm2).
    Stress, mpa, to_mpa, "megapascals"
);

impl Length {
    /// From a number of inches.
    pub const fn inches(value: f64) -> Self {
        Length(value * MM_PER_INCH)
    }
    /// As a number of inches.
    pub const fn to_inches(self) -> f64 {
        self.0 / MM_PER_INCH
    }
}

impl Angle {
    /// From a number of degrees.
    pub const fn degrees(value: f64) -> Self {
        Angle(value * std::f64::consts::PI / 180.0)
    }
    /// As a number of degrees.
    pub const fn to_degrees(self) -> f64 {
        self.0 * 180.0 / std::f64::consts::PI
    }
    /// Sine, by `libm` so that every platform gives the same bits.
    pub fn sin(self) -> f64 {
        libm::sin(self.0)
    }
    /// Cosine, by `libm`.
    pub fn cos(self) -> f64 {
        libm::cos(self.0)
    }
    /// Tangent, by `libm`.
    pub fn tan(self) -> f64 {
        libm::tan(self.0)
    }
}

impl Moment {
    /// From a number of newton metres.
    pub const fn newton_metres(value: f64) -> Self {
        Moment(value * 1000.0)
    }
    /// As a number of newton metres.
    pub const fn to_newton_metres(self) -> f64 {
        self.0 / 1000.0
    }
}

impl Mul<Length> for Force {
    type Output = Moment;
    fn mul(self, arm: Length) -> Moment {
        Moment(self.0 * arm.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_inch_is_25_4_mm() {
        assert_eq!(Length::inches(1.0).to_mm(), 25.4);
        assert!((Length::mm(596.9).to_inches() - 23.5).abs() < 1e-12);
    }

    #[test]
    fn a_half_turn_is_180_degrees() {
        assert!((Angle::degrees(180.0).to_radians() - std::f64::consts::PI).abs() < 1e-15);
        assert!((Angle::degrees(30.0).sin() - 0.5).abs() < 1e-15);
    }

    #[test]
    fn force_times_arm_is_a_moment() {
        let m = Force::newtons(300.0) * Length::mm(190.0);
        assert!((m.to_newton_metres() - 57.0).abs() < 1e-12);
    }
}
