//! Sections: usual radii, area, mass and second moments from nominal sizes.

use crate::geom::{Corner, CornerFinish, Loop, Point, polygon, rectangle};
use crate::units::Length;

/// Values of a cross-section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectionValues {
    /// Area, mm2.
    pub area: f64,
    /// Mass of a metre of steel, kg (7850 kg/m3).
    pub mass_per_metre: f64,
    /// Second moment about the axis across the height, mm4.
    pub inertia: f64,
    /// Section modulus about that axis, mm3.
    pub modulus: f64,
}

/// Outside and inside corner radius of a cold-formed square or rectangular tube.
///
/// # Formula
/// walls to 6 mm: outside `2 t`, inside `t`; to 10 mm: `2.5 t`, `1.5 t`; above: `3 t`, `2 t`.
/// # Source
/// EN 10219-2, annex B, radii used for the section properties.
pub fn box_tube_radii(wall: Length) -> (Length, Length) {
    let t = wall.to_mm();
    let (outer, inner) = if t <= 6.0 {
        (2.0, 1.0)
    } else if t <= 10.0 {
        (2.5, 1.5)
    } else {
        (3.0, 2.0)
    };
    (wall * outer, wall * inner)
}

/// Root radius of a rolled angle by its leg, and half of it at the toes.
///
/// # Source
/// EN 10056-1: 20 mm legs 3.5, 30 mm 5, 40 mm 6, 50 mm 7, 60 mm 8 mm; legs
/// between take the next smaller row. A wall thinner than half the radius, as
/// inch bar sizes have, takes 1.2 walls (common practice, no source).
pub fn root_radius(leg: Length, wall: Length) -> Length {
    const ROWS: &[(f64, f64)] = &[(60.0, 8.0), (50.0, 7.0), (40.0, 6.0), (30.0, 5.0), (0.0, 3.5)];
    let row = ROWS.iter().find(|r| leg.to_mm() >= r.0 - 0.5).map_or(3.5, |r| r.1);
    Length::mm(row.min(2.0 * wall.to_mm()).min(leg.to_mm() / 4.0))
}

/// Toe radius of a rolled angle: half the root radius, never more than its wall allows.
///
/// # Source
/// EN 10056-1 (r2 = r1 / 2).
pub fn toe_radius(root: Length, wall: Length) -> Length {
    (root / 2.0).min(wall * 0.8)
}

/// Second moment of a loop about its own x axis through `axis_y`, by exact
/// polygons of the flattened outline.
fn inertia_about(outline: &Loop, axis_y: f64) -> f64 {
    let p = outline.flattened(1e-4);
    let n = p.len();
    (0..n)
        .map(|i| {
            let (a, b) = (p[i], p[(i + 1) % n]);
            let (ya, yb) = (a.y - axis_y, b.y - axis_y);
            (a.x * yb - b.x * ya) * (ya * ya + ya * yb + yb * yb) / 12.0
        })
        .sum()
}

/// Values of a section given by its outline and openings.
fn values(outer: &Loop, inner: &[Loop]) -> SectionValues {
    let area = outer.area() - inner.iter().map(Loop::area).sum::<f64>();
    let first = outer.area() * outer.centroid().y - inner.iter().map(|l| l.area() * l.centroid().y).sum::<f64>();
    let middle = first / area;
    let inertia = inertia_about(outer, middle) - inner.iter().map(|l| inertia_about(l, middle)).sum::<f64>();
    let far = outer.bounds().map_or(1.0, |b| (b.high.y - middle).max(middle - b.low.y));
    SectionValues { area, mass_per_metre: area * 7850.0e-6, inertia, modulus: inertia / far }
}

/// Values of a square or rectangular tube, bending over its height.
///
/// # Formula
/// Exact area and second moment of the rounded outline less its rounded opening.
/// # Source
/// Geometry; held against the tables of EN 10219-2 and EN 10210-2 in `tests/published`.
pub fn box_tube_values(
    height: Length,
    width: Length,
    wall: Length,
    outside_radius: Length,
    inside_radius: Length,
) -> SectionValues {
    let (h, w, t) = (height.to_mm(), width.to_mm(), wall.to_mm());
    let outer = rectangle(Point::default(), w, h, outside_radius.to_mm());
    let inner = rectangle(Point::new(t, t), w - 2.0 * t, h - 2.0 * t, inside_radius.to_mm());
    values(&outer, &[inner])
}

/// Values of an equal angle with root and toe radii.
///
/// # Formula
/// Exact area and second moment of the rounded outline.
/// # Source
/// Geometry; held against the masses of EN 10056-1 in `tests/published`.
pub fn angle_values(leg: Length, wall: Length, root: Length, toe: Length) -> SectionValues {
    let (a, t) = (leg.to_mm(), wall.to_mm());
    let corner = |x: f64, y: f64, r: Length| Corner {
        at: Point::new(x, y),
        finish: if r.to_mm() > 0.0 { CornerFinish::Radius(r.to_mm()) } else { CornerFinish::Sharp },
    };
    let zero = Length::ZERO;
    let outline = polygon(&[
        corner(0.0, 0.0, zero),
        corner(a, 0.0, zero),
        corner(a, t, toe),
        corner(t, t, root),
        corner(t, a, toe),
        corner(0.0, a, zero),
    ]);
    values(&outline.unwrap_or_default(), &[])
}
