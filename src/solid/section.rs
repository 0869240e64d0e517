//! Bodies of sections: the profile drawn on both cut planes and ruled between
//! them, then holes punched in the walls.

use super::SolidFault;
use super::contour::{self, Contour, Opening, SMALLEST_MM, Way};
use super::round;
use super::shell::{self, Ring};
use crate::geom::{self, Inside, Loop, Point};
use crate::piece::{Face, FaceHole, Hole, Profile, Section};
use std::result::Result;
use truck_modeling::{Matrix4, Point3, Shell, Vector3};

/// A plane wall of the body: a straight side of the profile, swept.
struct Wall {
    /// Its place among the faces of the shell.
    face: usize,
    from: Point,
    to: Point,
}

/// The faces of a section and how many ways lead through it.
pub(super) fn section(s: &Section) -> Result<(Shell, usize), SolidFault> {
    if s.profile.is_round() {
        check_profile(&s.profile)?;
        check_angles(s)?;
        return round::round(s);
    }
    let (outer, inner) = check_profile(&s.profile)?;
    check_ends(s, &outer)?;
    let left = end_map(|p| s.left_x_at(p));
    let right = end_map(|p| s.right_x_at(p));
    let mut contours: Vec<Contour> = vec![contour::of_loop(&outer)];
    contours.extend(inner.iter().map(|l| contour::reversed(&contour::of_loop(l))));
    let rings: Vec<Ring> = contours.iter().map(|c| Ring::new(c, &left, &right, &[])).collect();
    let (mut faces, mut walls) = (Shell::new(), vec![]);
    for (sides, ring) in contours.iter().zip(&rings) {
        for (i, side) in sides.iter().enumerate() {
            if side.way == Way::Line {
                walls.push(Wall { face: faces.len(), from: side.from, to: side.to });
            }
            faces.push(ring.wall(i)?);
        }
    }
    let mut end = shell::face(rings.iter().map(Ring::lower_wire).collect(), shell::plane(&left))?;
    end.invert();
    faces.push(end);
    faces.push(shell::face(rings.iter().map(Ring::upper_wire).collect(), shell::plane(&right))?);
    let mut ways = inner.len();
    let mut cut: Vec<Vec<Opening>> = walls.iter().map(|_| vec![]).collect();
    for hole in &s.holes {
        ways += punch(s, &mut faces, &walls, &mut cut, hole)?;
    }
    Ok((faces, ways))
}

/// The map of the (y, z) plane of the profile onto an end plane.
fn end_map(x_at: impl Fn(Point) -> f64) -> Matrix4 {
    let origin = x_at(Point::default());
    let (by_y, by_z) = (x_at(Point::new(1.0, 0.0)) - origin, x_at(Point::new(0.0, 1.0)) - origin);
    shell::map(
        Vector3::new(by_y, 1.0, 0.0),
        Vector3::new(by_z, 0.0, 1.0),
        Vector3::unit_x(),
        Point3::new(origin, 0.0, 0.0),
    )
}

/// The frame of a face: where its x and y lie in the body, and its depth.
struct FaceFrame {
    map: Matrix4,
    /// Direction of the face's y in the (y, z) plane.
    along: Point,
    /// Into the metal, in the (y, z) plane.
    inwards: Point,
    /// The face's origin in the (y, z) plane.
    origin: Point,
    /// Whether the face's own axes look into the metal (upright leg of an angle).
    looks_in: bool,
}

fn face_frame(profile: &Profile, face: Face) -> Option<FaceFrame> {
    let width = |f: Face| profile.face_width(f).map(|w| w.to_mm());
    let p = Point::new;
    let (origin, along, inwards) = match face {
        Face::Top => (p(0.0, 0.0), p(1.0, 0.0), p(0.0, -1.0)),
        Face::Front if matches!(profile, Profile::Angle { .. }) => (p(0.0, 0.0), p(0.0, -1.0), p(1.0, 0.0)),
        Face::Front => (p(0.0, -width(Face::Front)?), p(0.0, 1.0), p(1.0, 0.0)),
        Face::Back => (p(width(Face::Top)?, 0.0), p(0.0, -1.0), p(-1.0, 0.0)),
        Face::Bottom => (p(width(Face::Top)?, -width(Face::Front)?), p(-1.0, 0.0), p(0.0, 1.0)),
    };
    width(face)?;
    let space = |q: Point| Vector3::new(0.0, q.x, q.y);
    let map = shell::map(Vector3::unit_x(), space(along), -space(inwards), Point3::new(0.0, origin.x, origin.y));
    // x cross y of the face is out of the metal, but where it is turned over.
    let looks_in = Point::new(-along.y, along.x).dot(inwards) > 0.0;
    Some(FaceFrame { map, along, inwards, origin, looks_in })
}

/// Punch one hole; returns how many walls it went through.
fn punch<'a>(
    s: &'a Section,
    faces: &mut Shell,
    walls: &[Wall],
    cut: &mut [Vec<Opening<'a>>],
    hole: &'a FaceHole,
) -> Result<usize, SolidFault> {
    let name = hole.hole.name.as_str();
    let no = |why: &str| Err(SolidFault::NotBuildable(format!("hole `{name}` {why}")));
    let Some(frame) = face_frame(&s.profile, hole.face) else {
        return no("is on a face that this profile does not have");
    };
    let opening = contour::of_hole(&hole.hole.shape, hole.hole.at)?;
    let opening = if frame.looks_in { contour::reversed(&opening) } else { opening };
    let mut met = walls_met(walls, &frame, hole.hole.at.y);
    let wall = s.profile.wall().to_mm();
    if !hole.through {
        met.truncate(2);
    }
    let sound = met.first().is_some_and(|m| m.0.abs() < 1e-9)
        && met.len().is_multiple_of(2)
        && met.chunks(2).all(|pair| (pair[1].0 - pair[0].0 - wall).abs() < 1e-6);
    if !sound {
        return no("does not lie on a flat part of its face (a corner radius or another leg is in its way)");
    }
    for &(_, w) in &met {
        cut[w].push(on_wall(&frame, &hole.hole));
        contour::check_openings(&wall_outline(s, &walls[w]), &cut[w])?;
    }
    for pair in met.chunks(2) {
        let level = |depth: f64| frame.map * Matrix4::from_translation(Vector3::unit_z() * -depth);
        let ring = Ring::new(&opening, &level(pair[0].0), &level(pair[1].0), &[]);
        shell::punch(faces, walls[pair[0].1].face, walls[pair[1].1].face, &ring)?;
    }
    Ok(met.len() / 2)
}

/// The walls that a drill meets at `y` of a face, nearest first: depth, index.
fn walls_met(walls: &[Wall], frame: &FaceFrame, y: f64) -> Vec<(f64, usize)> {
    let mut met: Vec<(f64, usize)> = walls
        .iter()
        .enumerate()
        .filter_map(|(i, w)| {
            let (a, b) = (w.from - frame.origin, w.to - frame.origin);
            let square = ((b - a).dot(frame.inwards)).abs() < 1e-9;
            let (low, high) = (a.dot(frame.along).min(b.dot(frame.along)), a.dot(frame.along).max(b.dot(frame.along)));
            (square && low < y && y < high).then(|| (a.dot(frame.inwards), i))
        })
        .collect();
    met.sort_by(|a, b| a.0.total_cmp(&b.0));
    met
}

/// A plane wall as (body x, body y or z along the wall), mm, counter-clockwise:
/// the same whichever face a drill comes from.
fn wall_outline(s: &Section, wall: &Wall) -> Loop {
    let run = wall.to - wall.from;
    let along = |p: Point| if run.x.abs() > run.y.abs() { p.x } else { p.y };
    let (low, high) = if along(wall.from) < along(wall.to) { (wall.from, wall.to) } else { (wall.to, wall.from) };
    Loop::straight(&[
        Point::new(s.left_x_at(low), along(low)),
        Point::new(s.right_x_at(low), along(low)),
        Point::new(s.right_x_at(high), along(high)),
        Point::new(s.left_x_at(high), along(high)),
    ])
}

/// A hole in the coordinates of [`wall_outline`].
fn on_wall<'a>(frame: &FaceFrame, hole: &'a Hole) -> Opening<'a> {
    let sign = frame.along.x + frame.along.y;
    let edge = frame.origin.dot(frame.along * sign);
    let shape = if sign > 0.0 { hole.shape } else { hole.shape.mirrored() };
    (hole.name.as_str(), shape, Point::new(hole.at.x, edge + sign * hole.at.y))
}

/// Every size of a profile, then its loops.
fn check_profile(profile: &Profile) -> Result<(Loop, Vec<Loop>), SolidFault> {
    let (lengths, radii): (Vec<_>, Vec<_>) = match *profile {
        Profile::FlatBar { width, thickness } => (vec![width, thickness], vec![]),
        Profile::RoundBar { diameter } => (vec![diameter], vec![]),
        Profile::RoundTube { outside, wall } => (vec![outside, wall, outside - wall * 2.0], vec![]),
        Profile::BoxTube { width, height, wall, outside_radius, inside_radius } => {
            (vec![width, height, wall, width - wall * 2.0, height - wall * 2.0], vec![outside_radius, inside_radius])
        }
        Profile::Angle { flat_leg, upright_leg, wall, root_radius, toe_radius } => {
            (vec![flat_leg, upright_leg, wall, flat_leg - wall, upright_leg - wall], vec![root_radius, toe_radius])
        }
        Profile::Channel { height, flange, wall, root_radius } => {
            (vec![height, flange, wall, height - wall * 2.0, flange - wall], vec![root_radius])
        }
    };
    for v in lengths {
        contour::check_length(v.to_mm(), "a size of the profile (or what the walls leave of it)")?;
    }
    for v in radii {
        contour::check_radius(v.to_mm(), "a radius of the profile")?;
    }
    let (outer, inner) = profile.loops();
    contour::check_outline(&outer, "the profile")?;
    for l in &inner {
        contour::check_outline(l, "the inside of the tube")?;
        if !matches!(geom::loop_inside(&outer, &l.flattened(geom::CHORD_MM)), Inside::Clear(d) if d > SMALLEST_MM) {
            return Err(SolidFault::NotBuildable(
                "the inside of the tube breaks through its corner; make the outside radius smaller".to_string(),
            ));
        }
    }
    Ok((outer, inner))
}

/// That both cuts are possible and do not meet inside the metal.
fn check_ends(s: &Section, outer: &Loop) -> Result<(), SolidFault> {
    check_angles(s)?;
    if [s.left, s.right].iter().any(|e| e.cope.is_some() || e.flats.is_some()) {
        return Err(SolidFault::NotBuildable("copes and pairs of flats are for round stock".to_string()));
    }
    let short =
        outer.flattened(0.01).into_iter().map(|p| s.right_x_at(p) - s.left_x_at(p)).fold(f64::INFINITY, f64::min);
    if short < SMALLEST_MM * 10.0 {
        return Err(SolidFault::NotBuildable(format!(
            "the two end cuts meet inside the metal (the short side would be {short:.2} mm); make the piece longer"
        )));
    }
    Ok(())
}

/// That length and angles can be built at all.
fn check_angles(s: &Section) -> Result<(), SolidFault> {
    contour::check_length(s.length.to_mm(), "the length of the section")?;
    for end in [s.left, s.right] {
        let degrees = end.angle.to_degrees();
        if !(1.0..=179.0).contains(&degrees) {
            return Err(SolidFault::BadSize(format!("an end at {degrees} deg; a cut can be from 1 deg to 179 deg")));
        }
        if !end.is_square() && s.profile.face_width(end.across).is_none() {
            return Err(SolidFault::NotBuildable(
                "an end is cut across a face that this profile does not have".to_string(),
            ));
        }
    }
    Ok(())
}
