//! Whole nanometres: the only length the planner computes with.

/// A length in whole nanometres, exact under addition; 1/64 in is 396,875 nm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Nm(pub i64);

/// Longest length the planner takes, 1 km: far beyond any bar, and small
/// enough that no sum over [`crate::cut::MAX_PIECES`] pieces can overflow.
pub const MAX_LENGTH: Nm = Nm(1_000_000_000_000);

/// Nanometres in a millimetre.
const NM_PER_MM: f64 = 1e6;
/// Tape-measure grid in inch work: 1/64 in, exact (1 in = 25.4 mm, 1959 agreement).
const SIXTY_FOURTH_INCH: i64 = 396_875;
/// Finest grid in metric work: 0.01 mm.
const HUNDREDTH_MM: i64 = 10_000;
/// Farthest a value may lie from a grid point and still be float noise, nm.
const SNAP: f64 = 1.0;

impl Nm {
    /// Nothing.
    pub const ZERO: Nm = Nm(0);

    /// From millimetres; a value within 1 nm (1e-6 mm) of a multiple of
    /// 1/64 in or of 0.01 mm becomes that multiple, so that the noise of
    /// decimal arithmetic does not decide whether a piece fits. Anything else
    /// is rounded to the nearest nanometre. Not-a-number becomes 0 and values
    /// out of range stop at the ends of the integer.
    ///
    /// ```
    /// use droprack::cut::Nm;
    /// let piece = Nm::from_mm_snapped((5.0 + 61.0 / 64.0) * 25.4);
    /// let kerf = Nm::from_mm_snapped(25.4 / 16.0);
    /// assert_eq!(4 * piece.0 + 3 * kerf.0, Nm::from_mm_snapped(24.0 * 25.4).0);
    /// ```
    pub fn from_mm_snapped(mm: f64) -> Nm {
        let nm = mm * NM_PER_MM;
        for grid in [SIXTY_FOURTH_INCH, HUNDREDTH_MM] {
            let steps = libm::round(nm / grid as f64);
            let point = steps * grid as f64;
            if libm::fabs(nm - point) <= SNAP && libm::fabs(point) < MAX_LENGTH.0 as f64 {
                return Nm(steps as i64 * grid);
            }
        }
        Nm(libm::round(nm) as i64)
    }

    /// As millimetres; exact to the float's precision.
    pub fn to_mm(self) -> f64 {
        self.0 as f64 / NM_PER_MM
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn float_noise_snaps_to_both_grids() {
        assert_eq!(Nm::from_mm_snapped(0.1 + 0.2), Nm(300_000));
        assert_eq!(Nm::from_mm_snapped(25.4 / 64.0 + 4e-7), Nm(SIXTY_FOURTH_INCH));
        assert_eq!(Nm::from_mm_snapped(1.234_567), Nm(1_234_567));
        assert_eq!(Nm::from_mm_snapped(-25.4), Nm(-25_400_000));
        assert_eq!(Nm::from_mm_snapped(f64::NAN), Nm(0));
    }

    #[test]
    fn every_sixty_fourth_up_to_ten_feet_is_exact() {
        for k in 0..=7680_i64 {
            let mm = (k / 64) as f64 * 25.4 + (k % 64) as f64 / 64.0 * 25.4;
            assert_eq!(Nm::from_mm_snapped(mm), Nm(k * SIXTY_FOURTH_INCH));
        }
    }
}
