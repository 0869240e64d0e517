//! Outlines made ready for bodies: short arcs and ellipse quarters in a plane,
//! with the tests that must come before any body is built.

use super::SolidFault;
use crate::geom::{self, CHORD_MM, Inside, Loop, Point, Segment};
use crate::piece::HoleShape;

/// Shortest side, radius or gap that is built, mm: the mesher never returns
/// from a zero one, and no workshop makes anything near it.
pub(super) const SMALLEST_MM: f64 = 1e-3;
/// Largest size that is built, mm: 100 m, far beyond any workshop; a larger one
/// is a slip of the unit and would only cost time.
pub(super) const LARGEST_MM: f64 = 1e5;

/// What a side of a contour is between its two ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Way {
    /// Straight.
    Line,
    /// A circle of at most a quarter turn through this point.
    Arc(Point),
    /// A quarter of an ellipse about this centre; the two ends lie on conjugate
    /// diameters.
    Quarter(Point),
}

/// One side of a contour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ContourSide {
    pub from: Point,
    pub to: Point,
    pub way: Way,
}

/// A closed outline; the sides follow one another.
pub(super) type Contour = Vec<ContourSide>;

/// A hole to be cut: name, shape, centre.
pub(super) type Opening<'a> = (&'a str, HoleShape, Point);

/// The sides of a loop, none over a quarter turn.
pub(super) fn of_loop(outline: &Loop) -> Contour {
    outline
        .quartered()
        .segments()
        .iter()
        .map(|s| {
            let way = match s {
                Segment::Line { .. } => Way::Line,
                Segment::Arc { .. } => Way::Arc(s.point_at(0.5)),
            };
            ContourSide { from: s.from(), to: s.to(), way }
        })
        .collect()
}

/// The opening of a hole about `centre`, counter-clockwise.
///
/// # Errors
/// [`SolidFault::BadSize`] when its sizes cannot be.
pub(super) fn of_hole(shape: &HoleShape, centre: Point) -> Result<Contour, SolidFault> {
    if !shape.is_possible() || !centre.is_finite() || shape.reach() > LARGEST_MM {
        return Err(SolidFault::BadSize(format!(
            "a hole has impossible sizes ({shape:?}); give positive lengths in mm"
        )));
    }
    let contour = match *shape {
        HoleShape::Ellipse { major, minor, lies } => {
            let along = Point::at_angle(lies) * (major / 2.0);
            let across = Point::at_angle(lies + std::f64::consts::FRAC_PI_2) * (minor / 2.0);
            let ends = [centre + along, centre + across, centre - along, centre - across];
            let side = |i: usize| ContourSide { from: ends[i], to: ends[(i + 1) % 4], way: Way::Quarter(centre) };
            (0..4).map(side).collect()
        }
        _ => shape.outline(centre).map_or_else(Vec::new, |l| of_loop(&l)),
    };
    check_sides(&contour, "a hole")?;
    Ok(contour)
}

/// The same contour run the other way round.
pub(super) fn reversed(contour: &[ContourSide]) -> Contour {
    contour.iter().rev().map(|s| ContourSide { from: s.to, to: s.from, way: s.way }).collect()
}

/// That a contour has sides, each of a size that can be meshed.
///
/// # Errors
/// [`SolidFault::BadSize`] naming `what`.
pub(super) fn check_sides(contour: &[ContourSide], what: &str) -> Result<(), SolidFault> {
    if contour.len() < 3 {
        return Err(SolidFault::BadSize(format!("{what} has no closed outline; its sizes do not fit together")));
    }
    for s in contour {
        let long = s.from.distance(s.to);
        if !(SMALLEST_MM..LARGEST_MM).contains(&long) || s.from.x.abs().max(s.from.y.abs()) > LARGEST_MM {
            return Err(SolidFault::BadSize(format!(
                "{what} has a side of {long} mm that ends at x {} y {}; sides from {SMALLEST_MM} mm, within {LARGEST_MM} mm \
                 of the origin, can be built",
                s.to.x, s.to.y
            )));
        }
    }
    Ok(())
}

/// That an outline is counter-clockwise and does not cross itself.
///
/// # Errors
/// [`SolidFault::BadSize`] or [`SolidFault::NotBuildable`] naming `what`.
pub(super) fn check_outline(outline: &Loop, what: &str) -> Result<Contour, SolidFault> {
    let contour = of_loop(outline);
    check_sides(&contour, what)?;
    if !geom::is_simple(&outline.quartered()) || outline.area() <= 0.0 {
        return Err(SolidFault::NotBuildable(format!(
            "{what} crosses or touches itself or runs clockwise; an outline must be one simple counter-clockwise loop"
        )));
    }
    Ok(contour)
}

/// That every opening lies in the outline with steel all round, and that no
/// two touch.
///
/// # Errors
/// [`SolidFault::NotBuildable`] saying which hole.
pub(super) fn check_openings(outer: &Loop, holes: &[Opening]) -> Result<(), SolidFault> {
    // Most holes lie farther from every edge than they reach: no outline needs a look.
    let coarse = outer.flattened(0.05);
    let well_inside =
        |shape: &HoleShape, at: Point| outer.distance(at) > shape.reach() + 0.2 && odd_inside(&coarse, at);
    let mut looked: Vec<Option<Vec<Point>>> = vec![None; holes.len()];
    for (i, (name, shape, at)) in holes.iter().enumerate() {
        let inside = well_inside(shape, *at) || {
            let corners = looked[i].get_or_insert_with(|| shape.corners(*at));
            matches!(geom::loop_inside(outer, corners), Inside::Clear(d) if d > SMALLEST_MM + 2.0 * CHORD_MM)
        };
        if !inside {
            return Err(SolidFault::NotBuildable(format!(
                "hole `{name}` does not lie wholly inside its flat face; move it inwards or make it smaller"
            )));
        }
        for j in 0..i {
            if at.distance(holes[j].2) >= shape.reach() + holes[j].1.reach() + 1.0 {
                continue;
            }
            for k in [i, j] {
                looked[k].get_or_insert_with(|| holes[k].1.corners(holes[k].2));
            }
            let gap = |a: &Option<Vec<Point>>, b: &Option<Vec<Point>>| match (a, b) {
                (Some(a), Some(b)) => geom::gap_between(a, b),
                _ => f64::INFINITY,
            };
            if gap(&looked[i], &looked[j]) < SMALLEST_MM + 2.0 * CHORD_MM {
                return Err(SolidFault::NotBuildable(format!(
                    "holes `{}` and `{name}` touch or overlap; move them apart",
                    holes[j].0
                )));
            }
        }
    }
    Ok(())
}

/// Whether a point lies inside a ring of corners (far from its sides).
fn odd_inside(ring: &[Point], p: Point) -> bool {
    let mut odd = false;
    for i in 0..ring.len() {
        let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
        if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y) {
            odd = !odd;
        }
    }
    odd
}

/// That a length is finite and can be meshed.
///
/// # Errors
/// [`SolidFault::BadSize`] naming `what`.
pub(super) fn check_length(value_mm: f64, what: &str) -> Result<(), SolidFault> {
    if (SMALLEST_MM..LARGEST_MM).contains(&value_mm) {
        return Ok(());
    }
    Err(SolidFault::BadSize(format!(
        "{what} is {value_mm} mm; a body needs it between {SMALLEST_MM} mm and {LARGEST_MM} mm"
    )))
}

/// That a radius is nought (a sharp corner) or can be meshed.
///
/// # Errors
/// [`SolidFault::BadSize`] naming `what`.
pub(super) fn check_radius(value_mm: f64, what: &str) -> Result<(), SolidFault> {
    if value_mm == 0.0 { Ok(()) } else { check_length(value_mm, what) }
}
