//! Bodies of plates and bent strips: an upper and a lower skin with a rim, all
//! edges shared, no boolean operation.

use super::SolidFault;
use super::contour::{self, Opening};
use super::shell::{self, Joint, Ring};
use super::strip_guard;
use crate::geom::{Arc, Loop, Point, SAME_POINT_MM, Side, Turn};
use crate::piece::{Bend, BendTurn, EndShape, Plate, Step, Strip};
use std::f64::consts::FRAC_PI_2;
use std::result::Result;
use truck_modeling::{Matrix4, Point3, Shell, SquareMatrix, Vector3, builder};

/// The faces of a plate: outside face at z = 0, metal below.
pub(super) fn plate(p: &Plate) -> Result<Shell, SolidFault> {
    contour::check_length(p.thickness.to_mm(), "the thickness of the plate")?;
    contour::check_outline(&p.outline, "the outline of the plate")?;
    let holes: Vec<Opening> = p.holes.iter().map(|h| (h.name.as_str(), h.shape, h.at)).collect();
    let mut faces = Shell::new();
    let frame = Matrix4::identity();
    skins(&mut faces, &frame, p.thickness.to_mm(), &p.outline, &holes, Ends { left: None, right: None })?;
    Ok(faces)
}

/// The joints at the two ends of a flat, with the x of each.
struct Ends<'a> {
    left: Option<&'a Joint>,
    right: Option<(f64, &'a Joint)>,
}

/// Upper and lower skin of one flat with its holes and rim; no rim at joints.
fn skins(
    faces: &mut Shell,
    frame: &Matrix4,
    thickness: f64,
    outline: &Loop,
    holes: &[Opening],
    ends: Ends,
) -> Result<(), SolidFault> {
    let outer = contour::of_loop(outline);
    contour::check_sides(&outer, "the outline of a flat")?;
    for (_, shape, at) in holes {
        contour::of_hole(shape, *at)?;
    }
    contour::check_openings(outline, holes)?;
    let lower = frame * Matrix4::from_translation(Vector3::unit_z() * -thickness);
    let side_at = |x: f64| outer.iter().position(|s| (s.from.x - x).abs() + (s.to.x - x).abs() < SAME_POINT_MM);
    let mut joints = vec![];
    if let Some((i, j)) = ends.left.and_then(|j| side_at(0.0).map(|i| (i, j))) {
        joints.push((i, j, true));
    }
    if let Some((i, j)) = ends.right.and_then(|(x, j)| side_at(x).map(|i| (i, j))) {
        joints.push((i, j, false));
    }
    let mut rings = vec![Ring::new(&outer, &lower, frame, &joints)];
    for (_, shape, at) in holes {
        let hole = contour::reversed(&contour::of_hole(shape, *at)?);
        rings.push(Ring::new(&hole, &lower, frame, &[]));
    }
    for (r, ring) in rings.iter().enumerate() {
        for i in (0..ring.lower.len()).filter(|&i| r > 0 || joints.iter().all(|j| j.0 != i)) {
            faces.push(ring.wall(i)?);
        }
    }
    let mut below = shell::face(rings.iter().map(Ring::lower_wire).collect(), shell::plane(&lower))?;
    below.invert();
    faces.push(below);
    faces.push(shell::face(rings.iter().map(Ring::upper_wire).collect(), shell::plane(frame))?);
    Ok(())
}

/// The faces of a strip: first flat in the xy plane with its outside face at
/// z = 0; up bends turn towards +z.
pub(super) fn strip(s: &Strip) -> Result<Shell, SolidFault> {
    strip_guard::check_strip(s)?;
    let (width, thickness) = (s.width.to_mm(), s.thickness.to_mm());
    let mut faces = Shell::new();
    let mut frame = Matrix4::identity();
    let mut before: Option<Joint> = None;
    let last = s.steps.len() - 1;
    for (i, step) in s.steps.iter().enumerate() {
        match step {
            Step::Flat(f) if f.length.to_mm() < SAME_POINT_MM => {}
            Step::Flat(f) => {
                let length = f.length.to_mm();
                let beyond = frame * Matrix4::from_translation(Vector3::unit_x() * length);
                let next = (i != last).then(|| Joint::new(&beyond, width, thickness));
                let outline = flat_outline(s, i, length);
                let holes: Vec<Opening> = s
                    .holes
                    .iter()
                    .filter(|h| h.step == i)
                    .map(|h| (h.hole.name.as_str(), h.hole.shape, h.hole.at))
                    .collect();
                let ends = Ends { left: before.as_ref(), right: next.as_ref().map(|j| (length, j)) };
                skins(&mut faces, &frame, thickness, &outline, &holes, ends)?;
                (frame, before) = (beyond, next);
            }
            Step::Bend(b) => {
                let parts = bend_parts(b);
                for _ in 0..parts {
                    let from = before.take().expect("a strip begins with a flat, checked before");
                    let (beyond, to) = bend(&mut faces, &frame, s, b, b.angle.to_radians() / parts as f64, &from)?;
                    (frame, before) = (beyond, Some(to));
                }
            }
        }
    }
    Ok(faces)
}

/// The four faces of a bend of at most a quarter turn, from joint `from` on.
fn bend(
    faces: &mut Shell,
    frame: &Matrix4,
    s: &Strip,
    b: &Bend,
    angle_rad: f64,
    from: &Joint,
) -> Result<(Matrix4, Joint), SolidFault> {
    let (width, thickness) = (s.width.to_mm(), s.thickness.to_mm());
    let half = turned(b, thickness, angle_rad / 2.0);
    let beyond = frame * turned(b, thickness, angle_rad);
    let to = Joint::new(&beyond, width, thickness);
    let middle = frame * half;
    let places = [(0.0, -thickness), (width, -thickness), (0.0, 0.0), (width, 0.0)];
    let arc = |k: usize| {
        let (y, z) = places[k];
        builder::circle_arc(&from.corners[k], &to.corners[k], shell::at(&middle, Point::new(0.0, y), z))
    };
    let arcs = [arc(0), arc(1), arc(2), arc(3)];
    // Lower skin (looks down), upper skin.
    for k in 0..2 {
        let (a, c) = (&arcs[2 * k], &arcs[2 * k + 1]);
        let edges = vec![a.clone(), to.across[k].clone(), c.inverse(), from.across[k].inverse()];
        let mut skin = shell::face(vec![edges.into()], shell::ruled(&a.curve(), &c.curve())?)?;
        if k == 0 {
            skin.invert();
        }
        faces.push(skin);
    }
    // Edge y = 0 (looks to -y), edge y = width.
    for k in 0..2 {
        let (a, c) = (&arcs[k], &arcs[k + 2]);
        let edges = vec![a.clone(), to.rims[k].clone(), c.inverse(), from.rims[k].inverse()];
        let on = shell::map(
            Vector3::unit_x(),
            Vector3::unit_z(),
            -Vector3::unit_y(),
            Point3::new(0.0, if k == 0 { 0.0 } else { width }, 0.0),
        );
        let mut side = shell::face(vec![edges.into()], shell::plane(&(frame * on)))?;
        if k == 1 {
            side.invert();
        }
        faces.push(side);
    }
    Ok((beyond, to))
}

/// How many arcs a bend is built from: none over a quarter turn.
pub(super) fn bend_parts(b: &Bend) -> usize {
    (b.angle.to_radians() / FRAC_PI_2 - 1e-9).ceil().max(1.0) as usize
}

/// z of a bend's axis in the frame at its start, mm.
pub(super) fn bend_centre(b: &Bend, thickness: f64) -> f64 {
    match b.turn {
        BendTurn::Up => b.inside_radius.to_mm(),
        BendTurn::Down => -thickness - b.inside_radius.to_mm(),
    }
}

/// The turn of a bend about its axis, in the frame at its start.
pub(super) fn turned(b: &Bend, thickness: f64, angle_rad: f64) -> Matrix4 {
    let centre = bend_centre(b, thickness);
    let sign = if b.turn == BendTurn::Up { 1.0 } else { -1.0 };
    let (sin, cos) = (sign * libm::sin(angle_rad), libm::cos(angle_rad));
    // x goes towards +z for an up bend; the point (0, 0, centre) stays.
    shell::map(
        Vector3::new(cos, 0.0, sin),
        Vector3::unit_y(),
        Vector3::new(-sin, 0.0, cos),
        Point3::new(centre * sin, 0.0, centre * (1.0 - cos)),
    )
}

/// A flat of the strip laid in its own frame, with the finish of a free end.
fn flat_outline(s: &Strip, step: usize, length: f64) -> Loop {
    let width = s.width.to_mm();
    let left = if step == 0 { s.left } else { EndShape::Square };
    let right = if step + 1 == s.steps.len() { s.right } else { EndShape::Square };
    let mut sides = vec![];
    let mut half = |end: EndShape, place: &dyn Fn(Point) -> Point| {
        for (to, centre) in end_sides(end, width) {
            let arc = centre.map(|c| Arc { centre: place(c), turn: Turn::Left });
            sides.push(Side { to: place(to), arc });
        }
    };
    half(right, &|p| Point::new(length + p.x, p.y));
    half(left, &|p| Point::new(-p.x, width - p.y));
    // A strip as long as its two round ends has no straight edges left.
    let mut from = sides.last().map_or(Point::default(), |s: &Side| s.to);
    sides.retain(|side| {
        let keep = side.to.distance(from) > SAME_POINT_MM;
        if keep {
            from = side.to;
        }
        keep
    });
    Loop { sides }
}

/// The sides of a right end at x = 0, from the lower edge to the upper one;
/// arcs have their centre. The first entry is where the lower edge ends.
fn end_sides(end: EndShape, width: f64) -> Vec<(Point, Option<Point>)> {
    let p = Point::new;
    match end {
        EndShape::Square => vec![(p(0.0, 0.0), None), (p(0.0, width), None)],
        EndShape::Rounded => end_sides(EndShape::Radius(width / 2.0), width),
        EndShape::Radius(0.0) | EndShape::Clipped(0.0) => end_sides(EndShape::Square, width),
        EndShape::Radius(r) => vec![
            (p(-r, 0.0), None),
            (p(0.0, r), Some(p(-r, r))),
            (p(0.0, width - r), None),
            (p(-r, width), Some(p(-r, width - r))),
        ],
        EndShape::Clipped(c) => {
            vec![(p(-c, 0.0), None), (p(0.0, c), None), (p(0.0, width - c), None), (p(-c, width), None)]
        }
    }
}
