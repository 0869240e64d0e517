//! Exact volume of a piece, from its outlines and not from a mesh.

use super::section::{End, Face, Profile, Section};
use super::strip::{EndShape, Step, Strip};
use super::{Form, Piece, Plate};
use crate::geom::Point;
use std::f64::consts::PI;

/// Volume of one piece, mm3. Exact for plates, strips and sections whose holes
/// go through flat walls; a hole in a round wall counts as area times wall.
///
/// # Formula
/// flat metal: area times thickness; bend: `angle * thickness * (r + t/2) *
/// width` (Pappus); mitred end: area times the reach at the section's centroid.
/// # Source
/// Pappus's centroid theorem (any mechanics text).
pub fn volume_mm3(piece: &Piece) -> f64 {
    match &piece.form {
        Form::Plate(p) => plate_volume(p),
        Form::Strip(s) => strip_volume(s),
        Form::Section(s) => section_volume(s),
    }
}

fn plate_volume(plate: &Plate) -> f64 {
    let holes: f64 = plate.holes.iter().map(|h| h.shape.area()).sum();
    (plate.outline.area() - holes) * plate.thickness.to_mm()
}

fn strip_volume(strip: &Strip) -> f64 {
    let (t, w) = (strip.thickness.to_mm(), strip.width.to_mm());
    let mut volume = 0.0;
    for step in &strip.steps {
        volume += match step {
            Step::Flat(f) => f.length.to_mm() * t * w,
            Step::Bend(b) => b.angle.to_radians() * t * (b.inside_radius.to_mm() + t / 2.0) * w,
        };
    }
    let holes: f64 = strip.holes.iter().map(|h| h.hole.shape.area()).sum();
    volume - (holes + end_loss(strip.left, w) + end_loss(strip.right, w)) * t
}

/// Area that the finish of an end takes off its two corners, mm2.
fn end_loss(end: EndShape, width: f64) -> f64 {
    let rounded = |r: f64| 2.0 * r * r * (1.0 - PI / 4.0);
    match end {
        EndShape::Square => 0.0,
        EndShape::Rounded => rounded(width / 2.0),
        EndShape::Radius(r) => rounded(r),
        EndShape::Clipped(c) => c * c,
    }
}

fn section_volume(section: &Section) -> f64 {
    let (outer, inner) = section.profile.loops();
    let mut area = outer.area();
    let mut moment = outer.centroid() * area;
    for hole in &inner {
        area -= hole.area();
        moment = moment - hole.centroid() * hole.area();
    }
    let centroid = if area > 0.0 { moment * (1.0 / area) } else { Point::default() };
    let reach = |end: End| section_reach(section, end, centroid);
    let length = section.length.to_mm() - reach(section.left) - reach(section.right);
    let wall = section.profile.wall().to_mm();
    let holes: f64 = section
        .holes
        .iter()
        .map(|h| {
            let walls = if h.through && matches!(section.profile, Profile::BoxTube { .. } | Profile::RoundTube { .. }) {
                2.0
            } else {
                1.0
            };
            h.hole.shape.area() * wall * walls
        })
        .sum();
    area * length - holes
}

/// How far behind its long point the cut lies on the line through the centroid, mm.
fn section_reach(section: &Section, end: End, centroid: Point) -> f64 {
    let size = |f: Face| section.profile.face_width(f).map_or(0.0, |w| w.to_mm());
    // Round sections have their axis at y = 0; their face begins at the rim.
    let round = matches!(section.profile, Profile::RoundBar { .. } | Profile::RoundTube { .. });
    let y = if round { size(Face::Top) / 2.0 } else { centroid.x };
    let along = match end.across {
        Face::Top => y,
        Face::Bottom => size(Face::Top) - y,
        Face::Front if matches!(section.profile, Profile::Angle { .. }) => -centroid.y,
        Face::Front => size(Face::Front) + centroid.y,
        Face::Back => -centroid.y,
    };
    let slope = end.slope();
    if slope >= 0.0 { along * slope } else { (along - size(end.across)) * slope }
}
