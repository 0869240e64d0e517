//! The faces of a section as they are seen from outside.

use super::pattern::FaceView;
use crate::geom::{Loop, Point};
use crate::piece::{Face, FaceHole, Hole, Profile, Section};

/// Outline of one face between the two ends, mm.
fn face_outline(section: &Section, face: Face, width_mm: f64) -> Loop {
    Loop::straight(&[
        Point::new(section.left_x(face, 0.0), 0.0),
        Point::new(section.right_x(face, 0.0), 0.0),
        Point::new(section.right_x(face, width_mm), width_mm),
        Point::new(section.left_x(face, width_mm), width_mm),
    ])
}

/// Every face of the section; the first one carries the mitres where there are any.
pub(super) fn face_views(section: &Section) -> Vec<FaceView> {
    let across = if section.left.is_square() { section.right.across } else { section.left.across };
    let mut views: Vec<FaceView> = section
        .profile
        .faces()
        .into_iter()
        .map(|(face, word, width)| FaceView {
            face,
            word: word.to_string(),
            outline: face_outline(section, face, width.to_mm()),
            y_down: match section.profile {
                Profile::Angle { .. } => face == Face::Front,
                _ => face == Face::Back,
            },
        })
        .collect();
    if let Some(i) = views.iter().position(|v| v.face == across) {
        let main = views.remove(i);
        views.insert(0, main);
    }
    views
}

/// Every hole on the face it is seen on: a hole that goes through both walls
/// of a tube is seen twice.
pub(super) fn holes_by_face(section: &Section) -> Vec<(Face, Hole)> {
    let mut out = vec![];
    for h in &section.holes {
        out.push((h.face, h.hole.clone()));
        if let Some(other) = opposite(section, h) {
            out.push(other);
        }
    }
    out
}

fn opposite(section: &Section, h: &FaceHole) -> Option<(Face, Hole)> {
    let Profile::BoxTube { width, height, .. } = section.profile else { return None };
    if !h.through {
        return None;
    }
    let (face, size) = match h.face {
        Face::Top => (Face::Bottom, width),
        Face::Bottom => (Face::Top, width),
        Face::Front => (Face::Back, height),
        Face::Back => (Face::Front, height),
    };
    let at = Point::new(h.hole.at.x, size.to_mm() - h.hole.at.y);
    Some((face, Hole { name: h.hole.name.clone(), shape: h.hole.shape.mirrored(), at, bolt: h.hole.bolt }))
}
