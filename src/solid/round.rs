//! Bodies of round bars and tubes: square, mitred and coped ends, ends with two
//! flats (double-D), and holes through the round walls.
//!
//! ```text
//!   four zones round the axis, looked at from the right end; holes are
//!   drilled down -z, so they lie inside the upper and the lower zone
//!
//!            z ^   zone 0
//!         s3 . | . s0        turn: 0 at the top, growing towards the back (+y)
//!    zone 3    +----> y  zone 1
//!         s2 . | . s1
//!              zone 2
//! ```
//!
//! The curve where two cylinders meet is no conic: it is drawn as cubic pieces
//! that keep to the true curve within 2e-7 mm.

mod drill;

use super::SolidFault;
use super::contour;
use super::shell;
use crate::geom::Point;
use crate::piece::{End, FaceHole, Flats, Profile, Section, long_point, saddle};
use drill::{Drilled, drilled, fitted};
use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::result::Result;
use truck_modeling::{
    Curve, Edge, InnerSpace, Invertible, Line, Plane, Point3, Processor, RevolutedCurve, Shell, Surface, Vector3,
    Vertex, Wire, builder,
};

/// Half of the upper zone where holes must find room in it.
const DRILLED_HALF: f64 = 80.0 * PI / 180.0;

/// Round stock with what its ends need to be known.
struct Bar<'a> {
    s: &'a Section,
    length: f64,
    radius: f64,
    bore: Option<f64>,
    /// Half of the upper zone, radians.
    half: f64,
    copes: [Option<Cope>; 2],
    flats: [Option<Flats>; 2],
}

/// An end that sits on a main tube.
#[derive(Clone, Copy)]
struct Cope {
    main_radius: f64,
    angle: f64,
    /// x of the long point from the crossing of the axes.
    first: f64,
}

/// One cylinder of the wall.
struct Skin {
    radius: f64,
    /// The four faces in the shell.
    faces: [usize; 4],
    /// Edges of the left and the right rim, each with the turn growing.
    rims: [Vec<Edge>; 2],
}

/// The faces of round stock and how many ways lead through it.
///
/// # Errors
/// [`SolidFault`] for sizes and ends that cannot be.
pub(super) fn round(s: &Section) -> Result<(Shell, usize), SolidFault> {
    let bar = Bar::new(s)?;
    let mut faces = Shell::new();
    let outer = bar.skin(&mut faces, bar.radius, true)?;
    let inner = match bar.bore {
        Some(r) => Some(bar.skin(&mut faces, r, false)?),
        None => None,
    };
    for right in [false, true] {
        bar.end(&mut faces, right, &outer, inner.as_ref())?;
    }
    let mut ways = usize::from(inner.is_some());
    let mut cut: Vec<(Point, f64)> = vec![];
    for hole in &s.holes {
        ways += bar.punch(&mut faces, hole, &outer, inner.as_ref(), &mut cut)?;
    }
    Ok((faces, ways))
}

fn no<T>(why: String) -> Result<T, SolidFault> {
    Err(SolidFault::NotBuildable(why))
}

impl Bar<'_> {
    fn new(s: &Section) -> Result<Bar<'_>, SolidFault> {
        let (radius, bore) = match s.profile {
            Profile::RoundBar { diameter } => (diameter.to_mm() / 2.0, None),
            Profile::RoundTube { outside, wall } => (outside.to_mm() / 2.0, Some(outside.to_mm() / 2.0 - wall.to_mm())),
            _ => return no("this profile is not round".to_string()),
        };
        let flats = [s.left.flats, s.right.flats];
        let half = match (flats[0], flats[1]) {
            (Some(a), Some(b)) if (a.across - b.across).to_mm().abs() > 1e-6 => {
                return no("the two ends have flats of different sizes; make them equal".to_string());
            }
            (Some(f), _) | (_, Some(f)) => {
                let across = f.across.to_mm() / 2.0;
                if !(radius * 0.1..radius * 0.999).contains(&across) || bore.is_some() {
                    return no(format!(
                        "two flats {:.2} mm across do not fit a round bar of {:.2} mm",
                        2.0 * across,
                        2.0 * radius
                    ));
                }
                libm::acos(across / radius)
            }
            (None, None) if s.holes.is_empty() => FRAC_PI_2 / 2.0,
            (None, None) => DRILLED_HALF,
        };
        let cope = |e: End| match e.cope {
            None => Ok(None),
            Some(main) => {
                let (main_radius, angle) = (main.to_mm(), e.angle.to_radians());
                match long_point(main_radius, angle, radius) {
                    Some(first) if bore.is_some() => Ok(Some(Cope { main_radius, angle, first })),
                    _ => no("a coped end must sit on a tube at least as wide as its own".to_string()),
                }
            }
        };
        let copes = [cope(s.left)?, cope(s.right)?];
        let bar = Bar { s, length: s.length.to_mm(), radius, bore, half, copes, flats };
        bar.check_ends()?;
        Ok(bar)
    }

    /// That the ends leave steel between them.
    fn check_ends(&self) -> Result<(), SolidFault> {
        for (flat, end) in self.flats.iter().zip([self.s.left, self.s.right]) {
            if let Some(f) = flat {
                contour::check_length(f.length.to_mm(), "the length of the two flats")?;
                if end.cope.is_some() || !end.is_square() {
                    return no("an end with two flats must be square".to_string());
                }
            }
        }
        let flats: f64 = self.flats.iter().flatten().map(|f| f.length.to_mm()).sum();
        let steps = 360;
        let short = (0..steps)
            .map(|i| TAU * f64::from(i) / f64::from(steps))
            .map(|t| self.end_x(true, self.radius, t) - self.end_x(false, self.radius, t))
            .fold(f64::INFINITY, f64::min);
        if short - flats < 0.01 {
            return no(format!("the two ends meet inside the metal ({short:.2} mm are left); make the piece longer"));
        }
        Ok(())
    }

    /// x of an end at a place round the axis.
    fn end_x(&self, right: bool, radius: f64, turn: f64) -> f64 {
        let (y, z) = (radius * libm::sin(turn), radius * libm::cos(turn));
        match self.copes[usize::from(right)] {
            Some(c) => {
                let reach = saddle(c.main_radius, c.angle, y, z).unwrap_or(c.first) - c.first;
                if right { self.length - reach } else { reach }
            }
            None if right => self.s.right_x_at(Point::new(y, z)),
            None => self.s.left_x_at(Point::new(y, z)),
        }
    }

    fn point(&self, x: f64, radius: f64, turn: f64) -> Point3 {
        Point3::new(x, radius * libm::sin(turn), radius * libm::cos(turn))
    }

    /// The turns of the four seams.
    fn seams(&self) -> [f64; 5] {
        let h = self.half;
        [-h, h, PI - h, PI + h, TAU - h]
    }

    /// One cylinder with its four faces.
    fn skin(&self, faces: &mut Shell, radius: f64, outwards: bool) -> Result<Skin, SolidFault> {
        let turns = self.seams();
        let seam = |i: usize| self.seam(radius, turns[i]);
        let seams = [seam(0), seam(1), seam(2), seam(3)];
        let mut skin = Skin { radius, faces: [0; 4], rims: [vec![], vec![]] };
        for zone in 0..4 {
            let (a, b) = (&seams[zone], &seams[(zone + 1) % 4]);
            let (ta, tb) = (turns[zone], turns[zone + 1]);
            let flat = zone % 2 == 0;
            // Where flats are, the round of the upper and lower zone begins behind them.
            let from = usize::from(flat && self.flats[0].is_some());
            let upto = a.stations.len() - 1 - usize::from(flat && self.flats[1].is_some());
            let rims = [
                self.rim(false, radius, (ta, &a.stations[from]), (tb, &b.stations[from]), from > 0)?,
                self.rim(true, radius, (ta, &a.stations[upto]), (tb, &b.stations[upto]), upto + 1 < a.stations.len())?,
            ];
            let mut wire: Vec<Edge> = a.parts[from..upto].to_vec();
            wire.extend(rims[1].iter().cloned());
            wire.extend(b.parts[from..upto].iter().rev().map(Edge::inverse));
            wire.extend(rims[0].iter().rev().map(Edge::inverse));
            let surface = self.cylinder(radius, (ta + tb) / 2.0);
            skin.faces[zone] = faces.len();
            let mut face = shell::face(vec![wire.into()], surface)?;
            if !outwards {
                face.invert();
            }
            faces.push(face);
            for (k, rim) in rims.into_iter().enumerate() {
                let flattened = flat && self.flats[k].is_some();
                let outside = if flattened { self.flat(faces, k == 1, (ta + tb) / 2.0, a, b, &rim)? } else { rim };
                skin.rims[k].extend(outside);
            }
        }
        Ok(skin)
    }

    /// A line along x with its points: the left end, the steps of flats, the right end.
    fn seam(&self, radius: f64, turn: f64) -> Seam {
        let mut xs = vec![self.end_x(false, radius, turn)];
        xs.extend(self.flats[0].map(|f| f.length.to_mm()));
        xs.extend(self.flats[1].map(|f| self.length - f.length.to_mm()));
        xs.push(self.end_x(true, radius, turn));
        let stations: Vec<Vertex> = xs.iter().map(|&x| builder::vertex(self.point(x, radius, turn))).collect();
        let parts = stations.windows(2).map(|w| builder::line(&w[0], &w[1])).collect();
        Seam { stations, parts }
    }

    /// The rim of one zone, cut at the top and bottom line, where a cope may have a kink.
    fn rim(
        &self,
        right: bool,
        radius: f64,
        (ta, a): (f64, &Vertex),
        (tb, b): (f64, &Vertex),
        step: bool,
    ) -> Result<Vec<Edge>, SolidFault> {
        let x_at = |t: f64| match (step, right) {
            (true, false) => self.flats[0].map_or(0.0, |f| f.length.to_mm()),
            (true, true) => self.length - self.flats[1].map_or(0.0, |f| f.length.to_mm()),
            (false, _) => self.end_x(right, radius, t),
        };
        let middle = (ta + tb) / 2.0;
        let at = |t: f64| self.point(x_at(t), radius, t);
        let m = builder::vertex(at(middle));
        if self.copes[usize::from(right)].is_none() {
            // Ellipse or circle: the plane's map of a circle's arc.
            let arc = |p: &Vertex, q: &Vertex, from: f64, to: f64| {
                let round = builder::circle_arc(
                    &builder::vertex(self.point(0.0, radius, from)),
                    &builder::vertex(self.point(0.0, radius, to)),
                    self.point(0.0, radius, (from + to) / 2.0),
                )
                .curve();
                let origin = x_at_plane(&x_at, radius);
                let sheared = shell::map(
                    Vector3::unit_x(),
                    Vector3::new(origin.1, 1.0, 0.0),
                    Vector3::new(origin.2, 0.0, 1.0),
                    Point3::new(origin.0, 0.0, 0.0),
                );
                Edge::new(p, q, truck_modeling::Transformed::transformed(&round, sheared))
            };
            if tb - ta <= FRAC_PI_2 + 1e-9 && !step {
                return Ok(vec![arc(a, b, ta, tb)]);
            }
            return Ok(vec![arc(a, &m, ta, middle), arc(&m, b, middle, tb)]);
        }
        let part = |p: &Vertex, q: &Vertex, from: f64, to: f64| {
            // Steps crowd at both ends, where a cope of nearly equal tubes bends sharply.
            let curve = fitted(&|f: f64| at(from + (to - from) * f * f * (3.0 - 2.0 * f)))?;
            Ok(Edge::new(p, q, curve))
        };
        Ok(vec![part(a, &m, ta, middle)?, part(&m, b, middle, tb)?])
    }

    /// The flat of an end in one zone and the step behind it; returns the chord
    /// at the end, from seam `a` to seam `b`.
    fn flat(
        &self,
        faces: &mut Shell,
        right: bool,
        middle: f64,
        a: &Seam,
        b: &Seam,
        rim: &[Edge],
    ) -> Result<Vec<Edge>, SolidFault> {
        let last = a.stations.len() - 1;
        let (out, step, part) = if right { (last, last - 1, last - 1) } else { (0, 1, 0) };
        let chord = |i: usize| builder::line(&a.stations[i], &b.stations[i]);
        let (outer, inner) = (chord(out), chord(step));
        let (pa, pb) = (a.parts[part].clone(), b.parts[part].inverse());
        let wire = if right {
            vec![pa, outer.clone(), pb, inner.inverse()]
        } else {
            vec![pa, inner.clone(), pb, outer.inverse()]
        };
        let up = Vector3::new(0.0, libm::sin(middle), libm::cos(middle));
        let o = a.stations[out].point();
        let x = Vector3::unit_x();
        faces.push(shell::face(vec![wire.into()], Plane::new(o, o + x, o + up.cross(x)).into())?);
        // The step looks at the end: a segment between the chord and the round.
        let o = a.stations[step].point();
        let wire: Wire = if right {
            rim.iter().rev().map(Edge::inverse).chain([inner.clone()]).collect()
        } else {
            rim.iter().cloned().chain([inner.inverse()]).collect()
        };
        let looks = if right { 1.0 } else { -1.0 };
        let (u, v) = (Vector3::unit_y(), Vector3::unit_z() * looks);
        faces.push(shell::face(vec![wire], Plane::new(o, o + u, o + v).into())?);
        Ok(vec![outer])
    }

    /// The face of an end between the outer and the inner rim.
    fn end(&self, faces: &mut Shell, right: bool, outer: &Skin, inner: Option<&Skin>) -> Result<(), SolidFault> {
        let k = usize::from(right);
        let surface = match self.copes[k] {
            Some(c) => self.main_tube(right, c),
            None => {
                let x_at = |t: f64| self.end_x(right, self.radius, t);
                let (o, by_y, by_z) = x_at_plane(&x_at, self.radius);
                let at = |y: f64, z: f64| Point3::new(o + by_y * y + by_z * z, y, z);
                let plane = Plane::new(at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0));
                plane.into()
            }
        };
        // Growing turn runs clockwise when looked at from the right.
        let forth = |rim: &[Edge]| rim.iter().cloned().collect::<Wire>();
        let back = |rim: &[Edge]| rim.iter().rev().map(Edge::inverse).collect::<Wire>();
        // The plane looks to +x; the outside of the main tube looks at the end's metal.
        let sees_right = self.copes[k].is_none() || !right;
        let mut wires = vec![];
        for (skin, hole) in [(Some(outer), false), (inner, true)] {
            if let Some(s) = skin {
                wires.push(if sees_right != hole { back(&s.rims[k]) } else { forth(&s.rims[k]) });
            }
        }
        let mut face = shell::face(wires, surface)?;
        // A left end must look to -x, a right one to +x, whatever the surface does.
        if sees_right != right {
            face.invert();
        }
        faces.push(face);
        Ok(())
    }

    /// The wall's cylinder, looking outwards, made for a face about `middle`.
    fn cylinder(&self, radius: f64, middle: f64) -> Surface {
        let behind = middle - FRAC_PI_2;
        let arm = Vector3::new(0.0, libm::sin(behind), libm::cos(behind)) * radius;
        // The turn grows about -x.
        cylinder(Point3::new(self.length, 0.0, 0.0), -Vector3::unit_x(), arm, self.length)
    }

    /// The tube that a coped end sits on, looking outwards from its own axis.
    fn main_tube(&self, right: bool, c: Cope) -> Surface {
        let mirror = if right { -1.0 } else { 1.0 };
        let x = if right { self.length + c.first } else { -c.first };
        let axis = Vector3::new(libm::cos(c.angle) * mirror, libm::sin(c.angle), 0.0);
        let reach = 4.0 * (c.main_radius + self.radius) / libm::sin(c.angle);
        let from = Point3::new(x, 0.0, 0.0) - axis * reach;
        // The seam lies on the far side of the joint.
        let away = Vector3::new(-mirror, 0.0, 0.0);
        let away = away - axis * away.dot(axis);
        cylinder(from, axis, away.normalize() * c.main_radius, 2.0 * reach)
    }

    /// Punch one hole down -z; returns how many walls it went through.
    fn punch(
        &self,
        faces: &mut Shell,
        hole: &FaceHole,
        outer: &Skin,
        inner: Option<&Skin>,
        cut: &mut Vec<(Point, f64)>,
    ) -> Result<usize, SolidFault> {
        let name = hole.hole.name.as_str();
        let at = Point::new(hole.hole.at.x, hole.hole.at.y - self.radius);
        let opening = contour::of_hole(&hole.hole.shape, at)?;
        self.check_hole(hole, at, inner.map_or(self.radius, |s| s.radius))?;
        let reach = hole.hole.shape.reach();
        if cut.iter().any(|(p, r)| p.distance(at) < r + reach + 1e-3) {
            return no(format!("hole `{name}` comes too near to another one on this round wall; move them apart"));
        }
        cut.push((at, reach));
        // (skin, zone, is it the upper side) from the near wall to the far one.
        let mut walls = vec![];
        match inner {
            None => walls.push(((outer, 0), (outer, 2))),
            Some(bore) => {
                walls.push(((outer, 0), (bore, 0)));
                if hole.through {
                    walls.push(((bore, 2), (outer, 2)));
                }
            }
        }
        for &((near, nz), (far, fz)) in &walls {
            let height = |zone: usize| if zone == 0 { 1.0 } else { -1.0 };
            let ring = drilled(&opening, near.radius * height(nz), far.radius * height(fz))?;
            let Drilled { ring, walls } = ring;
            let fault = |e| SolidFault::Gate(format!("a hole does not fit its face: {e}"));
            faces[near.faces[nz]].try_add_boundary(ring.lower_wire().inverse()).map_err(fault)?;
            faces[far.faces[fz]].try_add_boundary(ring.upper_wire()).map_err(fault)?;
            for wall in walls {
                faces.push(wall);
            }
        }
        Ok(walls.len())
    }

    /// That a hole keeps inside the zone that is drilled and off the ends.
    fn check_hole(&self, hole: &FaceHole, at: Point, thinnest: f64) -> Result<(), SolidFault> {
        let name = hole.hole.name.as_str();
        let room = thinnest * libm::sin(self.half) - 1e-3;
        let corners = hole.hole.shape.corners(at);
        if corners.iter().any(|p| p.y.abs() > room) {
            return no(format!(
                "hole `{name}` runs past the side of the round wall ({:.1} mm from the centre line at most); \
                 make it smaller or move it to the middle",
                room
            ));
        }
        let flat = |k: usize| self.flats[k].map_or(0.0, |f| f.length.to_mm());
        for p in &corners {
            for radius in [Some(self.radius), self.bore].into_iter().flatten() {
                let turn = libm::asin((p.y / radius).clamp(-1.0, 1.0));
                for t in [turn, PI - turn] {
                    let left = self.end_x(false, radius, t) + flat(0);
                    let right = self.end_x(true, radius, t) - flat(1);
                    if p.x < left + 1e-2 || p.x > right - 1e-2 {
                        return no(format!("hole `{name}` runs into an end of the piece; move it inwards"));
                    }
                }
            }
        }
        Ok(())
    }
}

struct Seam {
    stations: Vec<Vertex>,
    parts: Vec<Edge>,
}

/// A plane end as x = o + by_y y + by_z z, from three of its points.
fn x_at_plane(x_at: &dyn Fn(f64) -> f64, radius: f64) -> (f64, f64, f64) {
    let o = (x_at(0.0) + x_at(PI)) / 2.0;
    ((o), (x_at(FRAC_PI_2) - o) / radius, (x_at(0.0) - o) / radius)
}

/// A cylinder about `axis` (unit) from `from` on, `long` mm, looking outwards;
/// its own seam lies at `arm`.
fn cylinder(from: Point3, axis: Vector3, arm: Vector3, long: f64) -> Surface {
    let line = Line(from + arm, from + arm + axis * long);
    Surface::RevolutedCurve(Processor::new(RevolutedCurve::by_revolution(Curve::Line(line), from, axis)).inverse())
}
