//! Sections: the cross-section swept between its two end planes, holes
//! punched through its plane walls.

use super::bricks::{Axes, Made, closed, face, hole_wire, punch, shell_of, swept, wire};
use crate::geom::Point;
use crate::piece::{End, Face as PieceFace, FaceHole, HoleShape, Profile, Section};
use truck_modeling::{InnerSpace, Matrix4, Point3, Shell, Solid, Surface, Vector3, Vector4, builder};

/// x = at + by_y * y + by_z * z: a plane across the piece.
#[derive(Clone, Copy)]
struct Across {
    at: f64,
    by_y: f64,
    by_z: f64,
}

/// How far behind its long point an end lies, over the cross-section.
fn reach(section: &Section, end: End) -> Across {
    let size = |f: PieceFace| section.profile.face_width(f).map_or(0.0, |w| w.to_mm());
    let slope = end.slope();
    let round = matches!(section.profile, Profile::RoundBar { .. } | Profile::RoundTube { .. });
    let middle = if round { size(PieceFace::Top) / 2.0 } else { 0.0 };
    // The coordinate on the face that the cut runs across: s = at + by_y y + by_z z.
    let s = match end.across {
        PieceFace::Top => Across { at: middle, by_y: 1.0, by_z: 0.0 },
        PieceFace::Bottom => Across { at: size(PieceFace::Top), by_y: -1.0, by_z: 0.0 },
        PieceFace::Front if matches!(section.profile, Profile::Angle { .. }) => {
            Across { at: 0.0, by_y: 0.0, by_z: -1.0 }
        }
        PieceFace::Front => Across { at: size(PieceFace::Front), by_y: 0.0, by_z: 1.0 },
        PieceFace::Back => Across { at: 0.0, by_y: 0.0, by_z: -1.0 },
    };
    let from = if slope >= 0.0 { 0.0 } else { size(end.across) };
    Across { at: (s.at - from) * slope, by_y: s.by_y * slope, by_z: s.by_z * slope }
}

/// Shear along x: x grows by at + by_y y + by_z z.
fn shear(a: Across) -> Matrix4 {
    Matrix4::from_cols(
        Vector4::new(1.0, 0.0, 0.0, 0.0),
        Vector4::new(a.by_y, 1.0, 0.0, 0.0),
        Vector4::new(a.by_z, 0.0, 1.0, 0.0),
        Vector4::new(a.at, 0.0, 0.0, 1.0),
    )
}

/// The section along x from its left long point.
pub(super) fn section(section: &Section) -> Made<Solid> {
    let (outer, inner) = section.profile.loops();
    let axes = Axes { origin: Point3::new(0.0, 0.0, 0.0), x: Vector3::unit_y(), y: Vector3::unit_z() };
    let flat = face(wire(&outer, &axes), inner.iter().map(|l| wire(l, &axes)).collect(), &axes)?;
    let left = reach(section, section.left);
    let right = reach(section, section.right);
    let base: truck_modeling::Face = builder::transformed(&flat, shear(left));
    let to_right = Across {
        at: section.length.to_mm() - right.at - left.at,
        by_y: -right.by_y - left.by_y,
        by_z: -right.by_z - left.by_z,
    };
    let solid = swept(&base, shear(to_right));
    if section.holes.is_empty() {
        return Ok(solid);
    }
    let mut shell = shell_of(solid)?;
    for hole in &section.holes {
        drill(&mut shell, section, hole)?;
    }
    closed(shell)
}

/// A wall: the outside face with its axes, how the hole's place reads on it,
/// and the way through.
struct Wall {
    axes: Axes,
    mirrored: bool,
    through: Vector3,
}

fn wall_of(profile: &Profile, side: PieceFace) -> Made<Wall> {
    let size = |f: PieceFace| profile.face_width(f).map_or(0.0, |w| w.to_mm());
    let (w, h) = (size(PieceFace::Top), size(PieceFace::Front));
    let t = profile.wall().to_mm();
    let (x, y, z) = (Vector3::unit_x(), Vector3::unit_y(), Vector3::unit_z());
    let at = |y: f64, z: f64| Point3::new(0.0, y, z);
    if matches!(profile, Profile::RoundBar { .. } | Profile::RoundTube { .. }) {
        return Err("a hole in a round wall cannot be built exactly yet".to_string());
    }
    Ok(match side {
        PieceFace::Top => Wall { axes: Axes { origin: at(0.0, 0.0), x, y }, mirrored: false, through: z * -t },
        // The upright leg of an angle counts from the heel down.
        PieceFace::Front if matches!(profile, Profile::Angle { .. }) => {
            Wall { axes: Axes { origin: at(0.0, 0.0), x, y: z }, mirrored: true, through: y * t }
        }
        PieceFace::Front => Wall { axes: Axes { origin: at(0.0, -h), x, y: z }, mirrored: false, through: y * t },
        PieceFace::Back => Wall { axes: Axes { origin: at(w, 0.0), x, y: -z }, mirrored: false, through: y * -t },
        PieceFace::Bottom => Wall { axes: Axes { origin: at(w, -h), x, y: -y }, mirrored: false, through: z * t },
    })
}

fn drill(shell: &mut Shell, section: &Section, hole: &FaceHole) -> Made<()> {
    drill_wall(shell, &section.profile, hole.face, hole.hole.shape, hole.hole.at)?;
    if let (true, Profile::BoxTube { width, height, .. }) = (hole.through, section.profile) {
        let (other, size) = match hole.face {
            PieceFace::Top => (PieceFace::Bottom, width),
            PieceFace::Bottom => (PieceFace::Top, width),
            PieceFace::Front => (PieceFace::Back, height),
            PieceFace::Back => (PieceFace::Front, height),
        };
        let at = Point::new(hole.hole.at.x, size.to_mm() - hole.hole.at.y);
        drill_wall(shell, &section.profile, other, hole.hole.shape.mirrored(), at)?;
    }
    Ok(())
}

fn drill_wall(shell: &mut Shell, profile: &Profile, side: PieceFace, shape: HoleShape, at: Point) -> Made<()> {
    let wall = wall_of(profile, side)?;
    on_flat_wall(profile, side, shape, at)?;
    let (shape, at) = if wall.mirrored { (shape.mirrored(), Point::new(at.x, -at.y)) } else { (shape, at) };
    let normal = wall.axes.normal();
    let outside = plane_face(shell, wall.axes.origin, normal)?;
    let inside = plane_face(shell, wall.axes.origin + wall.through, normal)?;
    punch(shell, outside, inside, &hole_wire(shape, at, &wall.axes), wall.through)
}

/// The hole must lie on the plane part of the wall, clear of its rounded
/// corners and of the inside of the other walls.
fn on_flat_wall(profile: &Profile, side: PieceFace, shape: HoleShape, at: Point) -> Made<()> {
    let size = profile.face_width(side).map_or(0.0, |w| w.to_mm());
    let (low, high) = match *profile {
        Profile::BoxTube { wall, outside_radius, inside_radius, .. } => {
            let edge = outside_radius.to_mm().max(wall.to_mm() + inside_radius.to_mm());
            (edge, size - edge)
        }
        Profile::Angle { wall, root_radius, toe_radius, .. } => {
            (wall.to_mm() + root_radius.to_mm(), size - toe_radius.to_mm())
        }
        Profile::Channel { wall, root_radius, .. } => {
            let edge = wall.to_mm() + root_radius.to_mm();
            match side {
                PieceFace::Top => (edge, size - edge),
                PieceFace::Front => (0.0, size - edge),
                _ => (edge, size),
            }
        }
        _ => (0.0, size),
    };
    let ys = shape.corners(at).into_iter().map(|p| p.y);
    let (least, most) = ys.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), y| (a.min(y), b.max(y)));
    if least > low && most < high {
        Ok(())
    } else {
        Err("a hole runs into the rounded corner or the fillet of its wall, which cannot be built exactly".to_string())
    }
}

/// The one plane face of the shell through a point with a normal along `normal`.
fn plane_face(shell: &Shell, point: Point3, normal: Vector3) -> Made<usize> {
    let found = shell.iter().position(|f| match f.surface() {
        Surface::Plane(p) => {
            let n = p.normal();
            n.cross(normal).magnitude() < 1e-6 && (p.origin() - point).dot(normal).abs() < 1e-6
        }
        _ => false,
    });
    found.ok_or_else(|| "the wall of a hole was not found on the body".to_string())
}
