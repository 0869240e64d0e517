//! The corner radii and fillets of rolled and cold-formed sections, by size.

use crate::handbook::Citation;
use crate::handbook::sources::Ledger;
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

const EN_10219: Citation = Citation::quoted("EN 10219-2", "radii for calculation, by wall");
const AMERICAN: Citation =
    Citation::quoted("AISC Shapes Database v16.0", "HSS weights, reproduced with 2 t outside and 1 t inside");
const EN_10210: Citation = Citation::quoted("EN 10210-2", "radii for calculation");

/// The radii the section tables are computed with.
///
/// # Source
/// EN 10219-2: 2 t and 1 t to 6 mm wall, 2.5 t and 1.5 t to 10 mm, 3 t and 2 t
/// above; EN 10210-2: 1.5 t and 1 t;
/// American tube: 2 t and 1 t, which reproduces the AISC database's weights.
pub fn tube_corners(make: TubeMake, wall: Length) -> CornerRadii {
    let (outer, inner, source) = match make {
        TubeMake::HotFinished => (1.5, 1.0, EN_10210),
        TubeMake::American => (2.0, 1.0, AMERICAN),
        TubeMake::ColdFormed if wall.to_mm() <= 6.0 => (2.0, 1.0, EN_10219),
        TubeMake::ColdFormed if wall.to_mm() <= 10.0 => (2.5, 1.5, EN_10219),
        TubeMake::ColdFormed => (3.0, 2.0, EN_10219),
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

const EN_10056: Citation = Citation::quoted("EN 10056-1", "root radii of equal and unequal angles");

/// Leg of an equal angle up to (mm), root radius (mm).
const EQUAL: &[(f64, f64)] = &[
    (25.0, 3.5),
    (35.0, 5.0),
    (40.0, 6.0),
    (50.0, 7.0),
    (60.0, 8.0),
    (75.0, 9.0),
    (80.0, 10.0),
    (90.0, 11.0),
    (100.0, 12.0),
];
/// Longer and shorter leg of an unequal angle (mm), root radius (mm).
const UNEQUAL: &[(f64, f64, f64)] = &[
    (30.0, 20.0, 4.0),
    (40.0, 20.0, 4.0),
    (40.0, 25.0, 4.0),
    (45.0, 30.0, 4.5),
    (50.0, 30.0, 5.0),
    (60.0, 30.0, 5.0),
    (60.0, 40.0, 6.0),
    (65.0, 50.0, 6.0),
    (70.0, 50.0, 7.0),
    (75.0, 50.0, 7.0),
    (80.0, 40.0, 7.0),
    (80.0, 60.0, 8.0),
    (100.0, 50.0, 8.0),
    (100.0, 65.0, 10.0),
    (100.0, 75.0, 10.0),
];

/// Fillets of an angle by its legs. An equal angle between two rows takes the
/// next larger row; an unequal one that has no row takes that of its longer
/// leg. `None` above 100 mm.
///
/// # Source
/// EN 10056-1; toe radius half the root radius.
pub fn angle_radii(longer_leg: Length, shorter_leg: Length) -> Option<AngleRadii> {
    let (long, short) = (longer_leg.to_mm(), shorter_leg.to_mm());
    let same = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let unequal = UNEQUAL.iter().find(|r| same(r.0, long) && same(r.1, short)).map(|r| r.2);
    let root = unequal.or_else(|| EQUAL.iter().find(|r| long <= r.0 + 1e-9).map(|r| r.1))?;
    Some(AngleRadii { root: Length::mm(root), toe: Length::mm(root / 2.0), source: EN_10056 })
}

/// Wall that American structural tube is reckoned with in strength: it is
/// rolled thin; its mass goes by the nominal wall.
///
/// # Formula
/// `t = 0.93 tn`
/// # Source
/// [`DESIGN_WALL`].
/// # Holds for
/// ASTM A500 tube.
pub fn american_design_wall(nominal: Length) -> Length {
    nominal * 0.93
}

/// Where [`american_design_wall`] is from.
pub const DESIGN_WALL: Citation = Citation::quoted("AISC Shapes Database v16.0", "design walls of HSS");

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    to.rows("corners of tube,", ["wall to 6 mm", "wall to 10 mm", "wall over 10 mm"], EN_10219);
    to.row("corners of hot-finished tube", EN_10210);
    to.row("corners of American tube", AMERICAN);
    for (leg, _) in EQUAL {
        to.row(format!("fillet of angle to {leg} mm"), EN_10056);
    }
    for (long, short, _) in UNEQUAL {
        to.row(format!("fillet of angle {long} x {short} mm"), EN_10056);
    }
    to.formulas(&["american_design_wall"], DESIGN_WALL);
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
        let root = |a: f64, b: f64| angle_radii(Length::mm(a), Length::mm(b)).map(|r| r.root.to_mm());
        assert_eq!(root(120.0, 120.0), None);
        assert_eq!((root(40.0, 40.0), root(60.0, 60.0), root(60.0, 40.0)), (Some(6.0), Some(8.0), Some(6.0)));
        assert_eq!(root(60.0, 45.0), Some(8.0), "no row of its own");
    }
}
