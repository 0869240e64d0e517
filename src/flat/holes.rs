//! Whether every hole lies in the metal and clear of the others.

use super::fault::FlatFault;
use crate::geom::{self, Bounds, CHORD_MM, Inside, Loop, Point};
use crate::piece::{Face, Hole};
use std::cell::OnceCell;
use std::collections::BTreeSet;

/// Holes nearer than this to an edge or to one another run into it, mm.
const TOUCH_MM: f64 = 1e-3;

/// Most holes that one piece may have; more is a slip of the pen, and the
/// check of each pair would take long.
const MOST_HOLES: usize = 2_000;

/// A hole with the outline of its face. Its exact outline has up to thousands
/// of corners; it is worked out only where two discs about its centre, one
/// inside the opening and one round it, leave the question open.
struct Site<'a> {
    hole: &'a Hole,
    face: Option<Face>,
    word: &'a str,
    outline: &'a Loop,
    corners: OnceCell<(Vec<Point>, Option<Bounds>)>,
}

/// Check the holes of one piece: face (none for strips and plates), its word,
/// its outline, and the hole in the face's coordinates.
///
/// # Errors
/// Too many holes, an impossible size, and every hole that leaves the metal or
/// meets another; two names are told once.
pub(super) fn check_holes<'a>(
    holes: impl ExactSizeIterator<Item = (Option<Face>, &'a str, &'a Loop, &'a Hole)>,
) -> Result<(), Vec<FlatFault>> {
    if holes.len() > MOST_HOLES {
        return Err(vec![FlatFault::new(
            "too-many-holes",
            format!("{} holes in one piece; {MOST_HOLES} at most", holes.len()),
            "check the count of the pattern",
            &[],
        )]);
    }
    let sites: Vec<Site> =
        holes.map(|(face, word, outline, hole)| Site { hole, face, word, outline, corners: OnceCell::new() }).collect();
    if let Some(bad) = sites.iter().find(|s| !s.hole.shape.is_possible() || !s.hole.at.is_finite()) {
        return Err(vec![FlatFault::new(
            "impossible-size",
            format!("hole `{}` does not come out as a possible size or place", bad.hole.name),
            "check the values that it is worked out from; a slot is at least as long as it is wide",
            &[&bad.hole.name],
        )]);
    }
    let mut faults = vec![];
    let mut told: BTreeSet<(&str, &str)> = BTreeSet::new();
    for (i, site) in sites.iter().enumerate() {
        let hole = site.hole;
        let how = site.in_metal();
        if !matches!(how, Inside::Clear(gap) if gap > TOUCH_MM) {
            let runs = if how == Inside::Outside { "lies outside" } else { "runs over the edge of" };
            let place = if site.face.is_some() { format!("the {}", site.word) } else { "the outline".to_string() };
            faults.push(FlatFault::new(
                "hole-outside",
                format!("hole `{}` {runs} {place} (centre at {:.1}, {:.1} mm)", hole.name, hole.at.x, hole.at.y),
                "move the hole inwards, make it smaller, or make the piece larger",
                &[&hole.name],
            ));
        }
        for other in &sites[..i] {
            let names = (other.hole.name.as_str(), hole.name.as_str());
            if other.face == site.face && !told.contains(&names) && site.meets(other) {
                told.insert(names);
                faults.push(FlatFault::new(
                    "holes-meet",
                    format!("holes `{}` and `{}` run into each other", names.0, names.1),
                    "move them apart or make them smaller",
                    &[names.0, names.1],
                ));
            }
        }
    }
    faults.dedup();
    if faults.is_empty() { Ok(()) } else { Err(faults) }
}

impl Site<'_> {
    fn corners(&self) -> &(Vec<Point>, Option<Bounds>) {
        self.corners.get_or_init(|| {
            let corners = self.hole.shape.corners(self.hole.at);
            let bounds = Bounds::of(corners.iter().copied());
            (corners, bounds)
        })
    }

    /// How the hole lies in its face; the gap may be told too small, never too large.
    fn in_metal(&self) -> Inside {
        let (at, shape) = (self.hole.at, &self.hole.shape);
        let edge = self.outline.distance(at);
        if edge < shape.core() {
            return Inside::Crosses;
        }
        // The lines that stand for arcs lie up to a chord beside them.
        if edge > shape.reach() + TOUCH_MM + CHORD_MM {
            let inside = geom::point_inside(self.outline, at);
            return if inside { Inside::Clear(edge - shape.reach()) } else { Inside::Outside };
        }
        geom::loop_inside(self.outline, &self.corners().0)
    }

    fn meets(&self, other: &Site) -> bool {
        let apart = self.hole.at.distance(other.hole.at);
        if apart < self.hole.shape.core() + other.hole.shape.core() {
            return true;
        }
        if apart >= self.hole.shape.reach() + other.hole.shape.reach() + TOUCH_MM {
            return false;
        }
        let ((a, box_a), (b, box_b)) = (self.corners(), other.corners());
        let clear = |a: &Bounds, b: &Bounds| {
            let beside = |p: &Bounds, q: &Bounds| q.low.x - p.high.x > TOUCH_MM || q.low.y - p.high.y > TOUCH_MM;
            beside(a, b) || beside(b, a)
        };
        if let (Some(a), Some(b)) = (box_a, box_b)
            && clear(a, b)
        {
            return false;
        }
        geom::gap_between(a, b) < TOUCH_MM
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::rectangle;
    use crate::piece::HoleShape;

    fn hole(shape: HoleShape, x: f64, y: f64) -> Hole {
        Hole { name: "h".into(), shape, at: Point::new(x, y), bolt: true }
    }

    fn site<'a>(hole: &'a Hole, outline: &'a Loop) -> Site<'a> {
        Site { hole, face: None, word: "", outline, corners: OnceCell::new() }
    }

    fn codes(holes: &[Hole]) -> Vec<&'static str> {
        let plate = rectangle(Point::default(), 100.0, 50.0, 5.0);
        let all = holes.iter().map(|h| (None, "", &plate, h));
        check_holes(all).err().unwrap_or_default().iter().map(|f| f.code).collect()
    }

    #[test]
    fn discs_about_the_centres_say_the_same_as_the_outlines() {
        let plate = rectangle(Point::default(), 100.0, 50.0, 5.0);
        let shapes = [
            HoleShape::Round { diameter: 10.0 },
            HoleShape::Slot { length: 30.0, width: 8.0, lies: 0.5 },
            HoleShape::Ellipse { major: 30.0, minor: 12.0, lies: -0.7 },
            HoleShape::Rectangle { length: 26.0, width: 9.0, corner_radius: 2.0, lies: 1.1 },
        ];
        let middle = hole(shapes[2], 50.0, 25.0);
        for shape in shapes {
            for n in 0..40 {
                let own = hole(shape, 45.0 - f64::from(n) * 1.7, 25.0 + f64::from(n % 7) * 3.1);
                let exact = geom::loop_inside(&plate, &shape.corners(own.at));
                let how = site(&own, &plate).in_metal();
                let clear = |i: Inside| matches!(i, Inside::Clear(gap) if gap > TOUCH_MM);
                assert_eq!(clear(exact), clear(how), "{own:?}: {exact:?} {how:?}");
                assert_eq!(exact == Inside::Outside, how == Inside::Outside, "{own:?}: {exact:?} {how:?}");
                let gap = geom::gap_between(&shape.corners(own.at), &middle.shape.corners(middle.at));
                assert_eq!(site(&own, &plate).meets(&site(&middle, &plate)), gap < TOUCH_MM, "{own:?}: {gap}");
            }
        }
    }

    #[test]
    fn a_thousand_holes_in_one_place_are_told_once() {
        let ring = |n: i32| hole(HoleShape::Round { diameter: 9.0 }, 50.0 + f64::from(n) * 1e-4, 25.0);
        assert_eq!(codes(&(0..2_000).map(ring).collect::<Vec<_>>()), ["holes-meet"]);
        let large = vec![hole(HoleShape::Round { diameter: 1e5 }, 50.0, 25.0); 1_000];
        assert!(codes(&large).contains(&"hole-outside"));
    }
}
