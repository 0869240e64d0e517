//! The corner radii and fillets of rolled and cold-formed sections, by size.

use crate::handbook::Citation;
use crate::units::Length;

/// How a hollow section was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TubeMake {
    /// Cold formed and welded, EN 10219: the usual kind on the rack.
    ColdFormed,
    /// Hot finished, EN 10210: tighter corners.
    HotFinished,
    /// American structural tube, ASTM A500: 2 t outside whatever the wall.
    American,
}

/// Outer and inner corner radius of a square or rectangular tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CornerRadii {
    /// Outer radius.
    pub outer: Length,
    /// Inner radius.
    pub inner: Length,
    /// Where the two are from.
    pub source: Citation,
}

const EN_10219: Citation = Citation::quoted("EN 10219-2", "radii for calculation, wall up to 6 mm");
const EN_10219_THICK: Citation = Citation::memory("EN 10219-2", "radii for calculation, wall over 6 mm");
const AMERICAN: Citation =
    Citation::quoted("AISC Shapes Database v16.0", "HSS weights, reproduced with 2 t outside and 1 t inside");
const EN_10210: Citation = Citation::quoted("EN 10210-2", "radii for calculation");

/// The radii the section tables are computed with.
///
/// # Source
/// EN 10219-2: 2 t and 1 t to 6 mm wall, 2.5 t and 1.5 t to 10 mm, 3 t and 2 t
/// above (the last two from memory, unconfirmed); EN 10210-2: 1.5 t and 1 t;
/// American tube: 2 t and 1 t, which reproduces the AISC database's weights.
pub fn tube_corners(make: TubeMake, wall: Length) -> CornerRadii {
    let (outer, inner, source) = match make {
        TubeMake::HotFinished => (1.5, 1.0, EN_10210),
        TubeMake::American => (2.0, 1.0, AMERICAN),
        TubeMake::ColdFormed if wall.to_mm() <= 6.0 => (2.0, 1.0, EN_10219),
        TubeMake::ColdFormed if wall.to_mm() <= 10.0 => (2.5, 1.5, EN_10219_THICK),
        TubeMake::ColdFormed => (3.0, 2.0, EN_10219_THICK),
    };
    CornerRadii { outer: wall * outer, inner: wall * inner, source }
}

/// Fillet radii of an angle: in the root, and at the two toes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AngleRadii {
    /// Root fillet.
    pub root: Length,
    /// Toe radius, half the root's.
    pub toe: Length,
    /// Where they are from.
    pub source: Citation,
}

const EN_10056: Citation = Citation::quoted("EN 10056-1", "root radii of equal angles");
const EN_10056_MEMORY: Citation = Citation::memory("EN 10056-1", "root radii of equal angles");

/// Longer leg up to (mm), root radius (mm), whether that row was read.
const ROOTS: &[(f64, f64, bool)] = &[
    (20.0, 3.5, true),
    (25.0, 3.5, false),
    (30.0, 5.0, true),
    (40.0, 6.0, true),
    (50.0, 7.0, true),
    (60.0, 8.0, true),
];

/// Fillets of an angle by its longer leg, 15 to 60 mm; a leg between two rows
/// takes the next larger row. `None` above.
///
/// # Source
/// EN 10056-1; toe radius half the root radius.
pub fn angle_radii(longer_leg: Length) -> Option<AngleRadii> {
    let row = ROOTS.iter().find(|r| longer_leg.to_mm() <= r.0 + 1e-9)?;
    let source = if row.2 { EN_10056 } else { EN_10056_MEMORY };
    Some(AngleRadii { root: Length::mm(row.1), toe: Length::mm(row.1 / 2.0), source })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inner_radius_is_outer_less_the_wall_only_for_cold_formed() {
        for wall in [2.0, 3.0, 6.0, 8.0, 12.0] {
            let wall = Length::mm(wall);
            let c = tube_corners(TubeMake::ColdFormed, wall);
            assert!((c.outer - c.inner - wall).abs().to_mm() < 1e-12);
        }
        let hot = tube_corners(TubeMake::HotFinished, Length::mm(3.0));
        assert_eq!((hot.outer, hot.inner), (Length::mm(4.5), Length::mm(3.0)));
    }

    #[test]
    fn an_angle_beyond_the_rows_has_no_default() {
        assert!(angle_radii(Length::mm(100.0)).is_none());
        assert_eq!(angle_radii(Length::mm(40.0)).unwrap().root, Length::mm(6.0));
    }
}
