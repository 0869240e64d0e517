//! What must hold for a strip before the kernel sees any of it: sizes, end
//! finishes, holes on flats, and that it does not run into itself.

use super::SolidFault;
use super::contour::{self, SMALLEST_MM};
use super::sheet::{bend_centre, bend_parts, turned};
use super::shell;
use crate::geom::{self, Arc, Loop, Point, SAME_POINT_MM, Side, Turn};
use crate::piece::{BendTurn, EndShape, Flat, Step, Strip};
use std::f64::consts::PI;
use std::result::Result;
use truck_modeling::{Matrix4, SquareMatrix, Vector3};

/// How far an end finish reaches in from the end, mm.
fn reach(end: EndShape, width: f64) -> f64 {
    match end {
        EndShape::Square => 0.0,
        EndShape::Rounded => width / 2.0,
        EndShape::Radius(d) | EndShape::Clipped(d) => d,
    }
}

/// Every size of a strip, before the kernel sees any.
pub(super) fn check_strip(s: &Strip) -> Result<(), SolidFault> {
    let width = s.width.to_mm();
    contour::check_length(width, "the width of the strip")?;
    contour::check_length(s.thickness.to_mm(), "the thickness of the strip")?;
    let (Some(Step::Flat(first)), Some(Step::Flat(last))) = (s.steps.first(), s.steps.last()) else {
        return Err(SolidFault::NotBuildable("a strip must begin and end with a flat".to_string()));
    };
    for (i, step) in s.steps.iter().enumerate() {
        check_step(step, i > 0 && i + 1 < s.steps.len())?;
    }
    for (end, flat) in [(s.left, first), (s.right, last)] {
        check_end(end, width, flat)?;
    }
    let both = reach(s.left, width) + reach(s.right, width);
    if s.steps.len() == 1 && both > first.length.to_mm() + SAME_POINT_MM {
        return Err(SolidFault::NotBuildable(format!(
            "the two end finishes need {both:.1} mm of a strip that is {:.1} mm long",
            first.length.to_mm()
        )));
    }
    if let Some(h) = s.holes.iter().find(|h| !matches!(s.steps.get(h.step), Some(Step::Flat(_)))) {
        return Err(SolidFault::NotBuildable(format!(
            "hole `{}` does not lie on a flat; a strip carries holes on its flats only",
            h.hole.name
        )));
    }
    check_walk(s)
}

fn check_step(step: &Step, between: bool) -> Result<(), SolidFault> {
    match step {
        // A flat of no length between two bends is no flat at all.
        Step::Flat(f) if between && f.length.to_mm() == 0.0 => Ok(()),
        Step::Flat(f) => contour::check_length(f.length.to_mm(), &format!("the flat `{}`", f.name)),
        Step::Bend(b) => {
            contour::check_length(b.inside_radius.to_mm(), "the inside radius of a bend")?;
            let angle = b.angle.to_radians();
            if !(SMALLEST_MM..2.0 * PI).contains(&angle) {
                return Err(SolidFault::BadSize(format!(
                    "a bend of {} deg; a body can be built from 0.1 deg to less than 360 deg",
                    b.angle.to_degrees()
                )));
            }
            Ok(())
        }
    }
}

fn check_end(end: EndShape, width: f64, flat: &Flat) -> Result<(), SolidFault> {
    let reach = reach(end, width);
    contour::check_radius(reach, "the finish of a strip's end")?;
    if reach > width / 2.0 + SAME_POINT_MM || reach > flat.length.to_mm() + SAME_POINT_MM {
        return Err(SolidFault::NotBuildable(format!(
            "an end finish of {reach:.1} mm does not fit a flat {width:.1} mm wide and {:.1} mm long",
            flat.length.to_mm()
        )));
    }
    Ok(())
}

/// That the strip, seen from the side, does not run into itself.
fn check_walk(s: &Strip) -> Result<(), SolidFault> {
    let thickness = s.thickness.to_mm();
    let seen = |m: &Matrix4, z: f64| {
        let p = shell::at(m, Point::default(), z);
        Point::new(p.x, p.z)
    };
    let mut frame = Matrix4::identity();
    let mut walk = vec![(seen(&frame, -thickness), seen(&frame, 0.0), None)];
    for step in &s.steps {
        let (forward, arc, parts) = match step {
            Step::Flat(f) if f.length.to_mm() == 0.0 => continue,
            Step::Flat(f) => (Matrix4::from_translation(Vector3::unit_x() * f.length.to_mm()), None, 1),
            Step::Bend(b) => {
                let turn = if b.turn == BendTurn::Up { Turn::Left } else { Turn::Right };
                let parts = bend_parts(b);
                let forward = turned(b, thickness, b.angle.to_radians() / parts as f64);
                (forward, Some(Arc { centre: seen(&frame, bend_centre(b, thickness)), turn }), parts)
            }
        };
        for _ in 0..parts {
            frame = frame * forward;
            walk.push((seen(&frame, -thickness), seen(&frame, 0.0), arc));
        }
    }
    // Out along the lower skin, back along the upper one.
    let other = |a: Arc| Arc { turn: if a.turn == Turn::Left { Turn::Right } else { Turn::Left }, ..a };
    let mut sides: Vec<Side> = walk[1..].iter().map(|w| Side { to: w.0, arc: w.2 }).collect();
    sides.push(Side { to: walk[walk.len() - 1].1, arc: None });
    sides.extend(walk.windows(2).rev().map(|w| Side { to: w[0].1, arc: w[1].2.map(other) }));
    sides.push(Side { to: walk[0].0, arc: None });
    if geom::is_simple(&Loop { sides }) {
        return Ok(());
    }
    Err(SolidFault::NotBuildable("the bent strip runs into itself; change a flat or a bend".to_string()))
}
