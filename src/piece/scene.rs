//! What stands round and in the pieces of a part, and their holes in space.

use super::hole::{Hole, HoleShape};
use super::section::{Face, FaceHole, Profile, Section};
use super::strip::{Bend, BendTurn, Step, Strip};
use super::{Form, Piece};
use crate::expr::Faint;
use crate::geom::Point;
use crate::space::{Frame, Point3};
use crate::units::Length;

/// A bolt with its nut, as a simple body: the head stands on z = 0 of its
/// place, the shank runs down.
#[derive(Clone, Debug, PartialEq)]
pub struct Bolt {
    /// What it holds.
    pub name: String,
    /// Diameter of the thread.
    pub diameter: Length,
    /// From under the head to the nut.
    pub grip: Length,
    /// Where it stands in the part.
    pub place: Frame,
}

/// Bolts and things that are there already.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scene {
    /// Bolts of one part.
    pub bolts: Vec<Bolt>,
    /// What is there already round one part.
    pub faint: Vec<Faint>,
}

/// A hole in space, in the body frame of its piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Drill {
    /// Its name.
    pub name: String,
    /// Middle of the opening on the face it is drilled from.
    pub at: Point3,
    /// Into the metal, unit length.
    pub into: Point3,
    /// Direction that a slot or rectangle lies in, unit length.
    pub lies: Point3,
    /// Its shape.
    pub shape: HoleShape,
    /// Where along `into` there is metal round it, mm: one wall or two.
    pub walls: Vec<(f64, f64)>,
    /// Whether a bolt pulls in it.
    pub bolt: bool,
}

/// Frames at the start of each step of a strip, and at its far end.
fn strip_frames(s: &Strip) -> Vec<Frame> {
    let mut here = Frame::default();
    let mut out = vec![here];
    for step in &s.steps {
        let by = match step {
            Step::Flat(f) => Frame::default().moved(Point3::new(f.length.to_mm(), 0.0, 0.0)),
            Step::Bend(b) => bend_frame(b, s.thickness.to_mm()),
        };
        here = here.of(&by);
        out.push(here);
    }
    out
}

/// The turn of a bend: about an axis across, above or below the outside face.
fn bend_frame(b: &Bend, thickness: f64) -> Frame {
    let (centre, sign) = match b.turn {
        BendTurn::Up => (b.inside_radius.to_mm(), 1.0),
        BendTurn::Down => (-thickness - b.inside_radius.to_mm(), -1.0),
    };
    let (sin, cos) = (sign * libm::sin(b.angle.to_radians()), libm::cos(b.angle.to_radians()));
    Frame {
        origin: Point3::new(centre * sin, 0.0, centre * (1.0 - cos)),
        x: Point3::new(cos, 0.0, sin),
        y: Point3::new(0.0, 1.0, 0.0),
    }
}

/// The frame at the far end of a piece: its origin is where x ends.
pub fn far_end(piece: &Piece) -> Frame {
    let along = |x: f64| Frame::default().moved(Point3::new(x, 0.0, 0.0));
    match &piece.form {
        Form::Strip(s) => strip_frames(s).pop().unwrap_or_default(),
        Form::Plate(p) => along(p.outline.bounds().map_or(0.0, |b| b.low.x + b.high.x)),
        Form::Section(s) => along(s.length.to_mm()),
    }
}

/// Where the mirror image of a body stands when the whole part is mirrored left
/// to right (x of the part changes its sign). The image of a piece begins at its
/// other end, so `end` is the [`far_end`] of the piece as it was.
pub fn mirrored(place: &Frame, end: &Frame) -> Frame {
    let flip = |p: Point3| Point3::new(-p.x, p.y, p.z);
    Frame { origin: flip(place.place(end.origin)), x: -flip(place.direct(end.x)), y: flip(place.direct(end.y)) }
}

/// Every hole of a piece in space; the bore of a round tube counts as one.
pub fn drills(piece: &Piece) -> Vec<Drill> {
    match &piece.form {
        Form::Plate(p) => {
            let t = p.thickness.to_mm();
            p.holes.iter().map(|h| from_top(h, &Frame::default(), vec![(0.0, t)])).collect()
        }
        Form::Strip(s) => {
            let frames = strip_frames(s);
            let t = s.thickness.to_mm();
            s.holes.iter().map(|h| from_top(&h.hole, &frames[h.step], vec![(0.0, t)])).collect()
        }
        Form::Section(s) => {
            let mut out: Vec<Drill> = s.holes.iter().map(|h| in_section(s, h)).collect();
            out.extend(bore(s));
            out
        }
    }
}

/// A hole drilled down from the xy plane of a frame.
fn from_top(h: &Hole, frame: &Frame, walls: Vec<(f64, f64)>) -> Drill {
    let lies = match h.shape {
        HoleShape::Round { .. } => 0.0,
        HoleShape::Slot { lies, .. } | HoleShape::Ellipse { lies, .. } | HoleShape::Rectangle { lies, .. } => lies,
    };
    let d = Point::at_angle(lies);
    Drill {
        name: h.name.clone(),
        at: frame.place(Point3::new(h.at.x, h.at.y, 0.0)),
        into: -frame.z(),
        lies: frame.direct(Point3::new(d.x, d.y, 0.0)),
        shape: h.shape,
        walls,
        bolt: h.bolt,
    }
}

fn in_section(s: &Section, h: &FaceHole) -> Drill {
    let size = |f: Face| s.profile.face_width(f).unwrap_or(Length::ZERO).to_mm();
    let (x, p) = (Point3::new(1.0, 0.0, 0.0), Point3::new);
    let angle = matches!(s.profile, Profile::Angle { .. });
    // Origin and y axis of the face as the room describes it; into the metal.
    let (origin, y, into) = match h.face {
        Face::Top if s.profile.is_round() => {
            (p(0.0, -size(Face::Top) / 2.0, size(Face::Top) / 2.0), p(0.0, 1.0, 0.0), p(0.0, 0.0, -1.0))
        }
        Face::Top => (p(0.0, 0.0, 0.0), p(0.0, 1.0, 0.0), p(0.0, 0.0, -1.0)),
        Face::Front if angle => (p(0.0, 0.0, 0.0), p(0.0, 0.0, -1.0), p(0.0, 1.0, 0.0)),
        Face::Front => (p(0.0, 0.0, -size(Face::Front)), p(0.0, 0.0, 1.0), p(0.0, 1.0, 0.0)),
        Face::Back => (p(0.0, size(Face::Top), 0.0), p(0.0, 0.0, -1.0), p(0.0, -1.0, 0.0)),
        Face::Bottom => (p(0.0, size(Face::Top), -size(Face::Front)), p(0.0, -1.0, 0.0), p(0.0, 0.0, 1.0)),
    };
    let frame = Frame { origin, x, y };
    Drill { into, ..from_top(&h.hole, &frame, walls(s, h)) }
}

/// Where a drill on a face of a section meets metal.
fn walls(s: &Section, h: &FaceHole) -> Vec<(f64, f64)> {
    let size = |f: Face| s.profile.face_width(f).unwrap_or(Length::ZERO).to_mm();
    let wall = s.profile.wall().to_mm();
    let across = match (s.profile, h.face) {
        (Profile::FlatBar { .. } | Profile::RoundBar { .. } | Profile::Angle { .. }, _) => return vec![(0.0, wall)],
        (Profile::RoundTube { outside, .. }, _) => outside.to_mm(),
        (Profile::Channel { .. }, Face::Top) => return vec![(0.0, wall)],
        (_, Face::Top | Face::Bottom) => size(Face::Front),
        _ => size(Face::Top),
    };
    if h.through { vec![(0.0, wall), (across - wall, across)] } else { vec![(0.0, wall)] }
}

/// The bore of a round tube, as a hole from its left end.
fn bore(s: &Section) -> Option<Drill> {
    let Profile::RoundTube { outside, wall } = s.profile else { return None };
    Some(Drill {
        name: "bore".to_string(),
        at: Point3::default(),
        into: Point3::new(1.0, 0.0, 0.0),
        lies: Point3::new(0.0, 1.0, 0.0),
        shape: HoleShape::Round { diameter: (outside - wall * 2.0).to_mm() },
        walls: vec![(0.0, s.length.to_mm())],
        bolt: false,
    })
}
