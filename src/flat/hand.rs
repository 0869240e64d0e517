//! The opposite hand of a piece: its true mirror image.

use crate::geom::Point;
use crate::piece::{Form, Hole, Piece, Plate, Section, Step, Strip};

/// The mirror image of a piece: left and right change places.
///
/// A strip and a plate are mirrored end for end; an "up" bend stays up. A section is mirrored end
/// for end too, so its ends change places; faces keep their names.
pub fn opposite_hand(piece: &Piece) -> Piece {
    let mut out = piece.clone();
    out.form = match &piece.form {
        Form::Plate(p) => Form::Plate(mirror_plate(p)),
        Form::Strip(s) => Form::Strip(mirror_strip(s)),
        Form::Section(s) => Form::Section(mirror_section(s)),
    };
    out
}

fn mirror_hole(hole: &Hole, length_mm: f64) -> Hole {
    Hole {
        name: hole.name.clone(),
        shape: hole.shape.mirrored(),
        at: Point::new(length_mm - hole.at.x, hole.at.y),
        bolt: hole.bolt,
    }
}

fn mirror_plate(plate: &Plate) -> Plate {
    let length = plate.outline.bounds().map_or(0.0, |b| b.low.x + b.high.x);
    Plate {
        thickness: plate.thickness,
        outline: plate.outline.mirrored(length / 2.0),
        holes: plate.holes.iter().map(|h| mirror_hole(h, length)).collect(),
    }
}

fn mirror_strip(strip: &Strip) -> Strip {
    let n = strip.steps.len();
    let mut out = strip.clone();
    out.steps.reverse();
    out.left = strip.right;
    out.right = strip.left;
    for h in &mut out.holes {
        if let Some(Step::Flat(flat)) = strip.steps.get(h.step) {
            h.hole = mirror_hole(&h.hole, flat.length.to_mm());
        }
        h.step = n - 1 - h.step;
    }
    out
}

fn mirror_section(section: &Section) -> Section {
    let length = section.length.to_mm();
    let mut out = section.clone();
    out.left = section.right;
    out.right = section.left;
    for h in &mut out.holes {
        h.hole = mirror_hole(&h.hole, length);
    }
    out
}
