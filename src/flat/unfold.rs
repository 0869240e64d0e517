//! Laying a piece flat: bend allowances, tangent lines, hole positions, and the
//! faults that make it impossible to cut.

use super::fault::FlatFault;
use super::holes::check_holes;
use super::letter::letter;
use super::pattern::{BendLine, FaceView, FlatHole, FlatPattern};
use super::section_faces::{face_views, holes_by_face};
use super::wrap::Wrap;
use crate::geom::{self, Corner, CornerFinish, Loop, Point};
use crate::piece::{End, EndShape, Face, Form, Hole, HoleShape, Piece, Plate, Profile, Section, Step, Strip};
use crate::units::{Length, Mass};
use sha2::{Digest, Sha256};

/// What each form contributes to the pattern.
struct Laid {
    outline: Loop,
    size: (Length, Length, Length),
    bends: Vec<BendLine>,
    faces: Vec<FaceView>,
    /// Face (none for strips and plates), word, flat, hole in face coordinates.
    holes: Vec<(Option<Face>, String, Option<String>, Hole)>,
}

/// Lay a piece flat. `density` in kg per cubic metre.
///
/// # Errors
/// Every fault at once: impossible sizes, flats that come out negative, an
/// outline that crosses itself, holes that leave the metal or meet.
pub fn unfold(piece: &Piece, density: f64) -> Result<FlatPattern, Vec<FlatFault>> {
    let laid = match &piece.form {
        Form::Plate(p) => lay_plate(p)?,
        Form::Strip(s) => lay_strip(s)?,
        Form::Section(s) => lay_section(s)?,
    };
    check_holes(laid.holes.iter().map(|(face, word, _, hole)| {
        let own = face.and_then(|f| laid.faces.iter().find(|v| v.face == f));
        (*face, word.as_str(), own.map_or(&laid.outline, |v| &v.outline), hole)
    }))?;
    let volume_mm3 = crate::piece::volume_mm3(piece);
    let ends_deg = match &piece.form {
        Form::Section(s) => Some((s.left.saw_deg(), s.right.saw_deg())),
        _ => None,
    };
    let wrap = match &piece.form {
        Form::Section(s) => Wrap::of(s),
        _ => Wrap::None,
    };
    let (holes, cut_outs) = letter_holes(&laid);
    let used: Vec<Face> = laid.holes.iter().filter_map(|h| h.0).collect();
    // Paper that is wrapped round needs every face; else those with something on them.
    let around = match &piece.form {
        Form::Section(s) => {
            Wrap::of(s).goes_round()
                && (used.iter().any(|f| *f != used[0]) || !s.left.is_square() || !s.right.is_square())
        }
        _ => false,
    };
    let faces = laid.faces.iter().enumerate().filter(|(i, f)| *i == 0 || around || used.contains(&f.face));
    Ok(FlatPattern {
        part: piece.part.clone(),
        piece: piece.name.clone(),
        copies: piece.copies,
        hand: piece.hand,
        form: piece.form.word(),
        stock: piece.stock.clone(),
        length: laid.size.0,
        width: laid.size.1,
        thickness: laid.size.2,
        cut_outs,
        bend_lines: laid.bends.clone(),
        holes,
        faces: faces.map(|(_, f)| f.clone()).collect(),
        wrap,
        cut_lines: vec![],
        outline: laid.outline,
        ends_deg,
        mass: Mass::kg(volume_mm3 * density * 1e-9),
        volume_mm3,
        hash: content_hash(piece),
        notes: end_notes(piece).into_iter().chain(piece.notes.iter().cloned()).collect(),
        cautions: piece.cautions.clone(),
    })
}

/// Everything that decides shape and material, as 12 hexadecimal digits.
/// Numbers count to a millionth of a millimetre: 12 in and 304.8 mm are one.
fn content_hash(piece: &Piece) -> String {
    let text = format!("{:?}|{:?}|{:?}", piece.form, piece.stock, piece.hand);
    let mut plain = String::with_capacity(text.len());
    let mut rest = text.as_str();
    while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
        plain += &rest[..at];
        let end = rest[at..].find(|c: char| !(c.is_ascii_digit() || ".e-".contains(c))).map_or(rest.len(), |n| at + n);
        match rest[at..end].parse::<f64>() {
            // The sign of nothing is noise as well.
            Ok(v) if libm::fabs(v) < 5e-7 => plain = plain.trim_end_matches('-').to_string() + "0",
            Ok(v) => plain += &format!("{v:.6}"),
            Err(_) => plain += &rest[at..end],
        }
        rest = &rest[end..];
    }
    plain += rest;
    Sha256::digest(plain.as_bytes()).iter().take(6).map(|b| format!("{b:02x}")).collect()
}

fn impossible(what: &str) -> Vec<FlatFault> {
    vec![FlatFault::new(
        "impossible-size",
        format!("{what} does not come out as a possible size"),
        "check the values that it is worked out from",
        &[],
    )]
}

fn positive(what: &str, value: Length) -> Result<(), Vec<FlatFault>> {
    if value.is_finite() && value.to_mm() > 1e-3 && value.to_mm() < 1e5 {
        Ok(())
    } else {
        Err(vec![FlatFault::new(
            "impossible-size",
            format!("{what} comes out as {:.2} mm; it must be more than 0 and less than 100 m", value.to_mm()),
            "check the values that it is worked out from",
            &[],
        )])
    }
}

fn lay_plate(plate: &Plate) -> Result<Laid, Vec<FlatFault>> {
    positive("the plate's thickness", plate.thickness)?;
    let bounds = plate.outline.bounds().ok_or_else(|| impossible("the outline"))?;
    positive("the plate's length", Length::mm(bounds.width()))?;
    positive("the plate's width", Length::mm(bounds.height()))?;
    if !geom::is_simple(&plate.outline) || plate.outline.area() <= 0.0 {
        return Err(vec![FlatFault::new(
            "outline-crosses-itself",
            "the outline crosses or touches itself".to_string(),
            "give the corners in order round the plate, with room for each corner's finish",
            &[],
        )]);
    }
    let holes = plate.holes.iter().map(|h| (None, "outside".to_string(), None, h.clone())).collect();
    let size = (Length::mm(bounds.width()), Length::mm(bounds.height()), plate.thickness);
    Ok(Laid { outline: plate.outline.clone(), size, bends: vec![], faces: vec![], holes })
}

fn lay_strip(strip: &Strip) -> Result<Laid, Vec<FlatFault>> {
    positive("the strip's width", strip.width)?;
    positive("the strip's thickness", strip.thickness)?;
    check_steps(strip)?;
    let width = strip.width.to_mm();
    let (mut x, mut bends, mut starts) = (0.0, vec![], vec![]);
    for step in &strip.steps {
        let length = strip.step_length(step).to_mm();
        starts.push(x);
        if let Step::Bend(b) = step {
            let middle = x + length / 2.0;
            bends.push(BendLine {
                from: Point::new(middle, 0.0),
                to: Point::new(middle, width),
                tangent_left: x,
                tangent_right: x + length,
                angle: b.angle,
                inside_radius: b.inside_radius,
                turn: b.turn,
                k: b.k,
            });
        }
        x += length;
    }
    let outline = strip_outline(strip, x)?;
    let mut holes = vec![];
    for h in &strip.holes {
        let (Some(Step::Flat(flat)), Some(start)) = (strip.steps.get(h.step), starts.get(h.step)) else {
            return Err(impossible("the flat of a hole"));
        };
        let at = Point::new(start + h.hole.at.x, h.hole.at.y);
        holes.push((None, "outside".to_string(), Some(flat.name.clone()), Hole { at, ..h.hole.clone() }));
    }
    Ok(Laid { outline, size: (Length::mm(x), strip.width, strip.thickness), bends, faces: vec![], holes })
}

fn check_steps(strip: &Strip) -> Result<(), Vec<FlatFault>> {
    let mut faults = vec![];
    for step in &strip.steps {
        match step {
            Step::Flat(f) if !(f.length.is_finite() && f.length.to_mm() > 1e-3) => faults.push(FlatFault::new(
                "flat-too-short",
                format!("flat `{}` comes out as {:.1} mm between its bends", f.name, f.length.to_mm()),
                "make the flat longer, or the radius of the bends beside it smaller",
                &[&f.name],
            )),
            Step::Bend(b) => {
                let degrees = b.angle.to_degrees();
                if !(degrees > 0.05 && degrees < 359.0) {
                    faults.push(FlatFault::new(
                        "impossible-bend",
                        format!("a bend comes out as {degrees:.2} deg; it must be from 0.1 to 359 deg"),
                        "leave the bend out with `when`, or check the values it is worked out from",
                        &[],
                    ));
                }
                if let Err(f) = positive("the inside radius of a bend", b.inside_radius) {
                    faults.extend(f);
                }
            }
            Step::Flat(_) => {}
        }
    }
    if !matches!(strip.steps.first(), Some(Step::Flat(_))) || !matches!(strip.steps.last(), Some(Step::Flat(_))) {
        faults.push(FlatFault::new(
            "strip-without-ends",
            "the strip does not begin and end with a flat".to_string(),
            "put a flat at each end: a bend needs metal to hold it by",
            &[],
        ));
    }
    if faults.is_empty() { Ok(()) } else { Err(faults) }
}

fn strip_outline(strip: &Strip, length_mm: f64) -> Result<Loop, Vec<FlatFault>> {
    let width = strip.width.to_mm();
    let finish = |end: EndShape| match end {
        EndShape::Square => CornerFinish::Sharp,
        EndShape::Rounded => CornerFinish::Radius(width / 2.0),
        EndShape::Radius(r) => CornerFinish::Radius(r),
        EndShape::Clipped(c) => CornerFinish::Clip(c),
    };
    let corner = |x: f64, y: f64, end: EndShape| Corner { at: Point::new(x, y), finish: finish(end) };
    geom::polygon(&[
        corner(0.0, 0.0, strip.left),
        corner(length_mm, 0.0, strip.right),
        corner(length_mm, width, strip.right),
        corner(0.0, width, strip.left),
    ])
    .map_err(|why| {
        vec![FlatFault::new(
            "impossible-end",
            format!("the end of the strip cannot be shaped: {why}"),
            "make the end's radius or clip smaller",
            &[],
        )]
    })
}

/// What a coped end sits on, and the flats of a double-D.
fn end_notes(piece: &Piece) -> Vec<String> {
    let Form::Section(s) = &piece.form else { return vec![] };
    let one = |word: &str, end: End| {
        let cope = end.cope.map(|main| {
            format!(
                "{word} end: coped to sit on a tube of {:.1} mm at {:.1}°; saw it square at its long point first",
                main.to_mm() * 2.0,
                end.angle.to_degrees()
            )
        });
        let flats = end.flats.map(|f| {
            format!(
                "{word} end: two flats {:.2} mm across, {:.1} mm long, level with the top face",
                f.across.to_mm(),
                f.length.to_mm()
            )
        });
        cope.into_iter().chain(flats)
    };
    one("Left", s.left).chain(one("Right", s.right)).collect()
}

/// Only a round bar has two flats at an end, and they must fit it.
fn flats_are_possible(section: &Section, end: End) -> Result<(), Vec<FlatFault>> {
    let Some(f) = end.flats else { return Ok(()) };
    let fits = match section.profile {
        Profile::RoundBar { diameter } => f.across < diameter && f.length < section.length && end.is_square(),
        _ => false,
    };
    if fits {
        return Ok(());
    }
    let message = format!(
        "two flats {:.2} mm across and {:.1} mm long are asked for: only the square end of a round bar that is thicker \
         and longer can have them",
        f.across.to_mm(),
        f.length.to_mm()
    );
    Err(vec![FlatFault::new("impossible-end", message, "check left_flats, right_flats and flats_length", &[])])
}

/// Only a round tube is coped, and only on one that is at least as wide.
fn cope_is_possible(section: &Section, end: End) -> Result<(), Vec<FlatFault>> {
    let Some(main) = end.cope else { return Ok(()) };
    let (message, help) = match section.profile {
        Profile::RoundTube { outside, .. } if outside.to_mm() / 2.0 > main.to_mm() + 1e-9 => (
            format!("an end is coped on a tube of {:.1} mm, which is thinner than its own", main.to_mm() * 2.0),
            "cope the thinner tube on the thicker one",
        ),
        Profile::RoundTube { .. } => return Ok(()),
        _ => ("only a round tube has coped ends".to_string(), "leave left_cope and right_cope out"),
    };
    Err(vec![FlatFault::new("impossible-end", message, help, &[])])
}

fn lay_section(section: &Section) -> Result<Laid, Vec<FlatFault>> {
    positive("the section's length", section.length)?;
    for (_, word, width) in section.profile.faces() {
        positive(&format!("the width of the {word}"), width)?;
    }
    for end in [section.left, section.right] {
        cope_is_possible(section, end)?;
        flats_are_possible(section, end)?;
        let degrees = end.angle.to_degrees();
        if !(15.0..=165.0).contains(&degrees) {
            return Err(vec![FlatFault::new(
                "impossible-end",
                format!("an end comes out at {degrees:.1} deg; a saw cuts from 15 to 165 deg, 90 deg is square"),
                "check the angle, or cut this end by hand to a printed template",
                &[],
            )]);
        }
    }
    let faces = face_views(section);
    if let Some(short) = faces.iter().find(|f| !geom::is_simple(&f.outline) || f.outline.area() <= 0.0) {
        return Err(vec![FlatFault::new(
            "ends-meet",
            format!("the two end cuts meet on the {}: the piece is too short for its mitres", short.word),
            "make the piece longer or the ends squarer",
            &[],
        )]);
    }
    let word = |face: Face| faces.iter().find(|f| f.face == face).map(|f| f.word.clone());
    let mut holes = vec![];
    for (face, hole) in holes_by_face(section) {
        let Some(word) = word(face) else { return Err(impossible("the face of a hole")) };
        holes.push((Some(face), word, None, hole));
    }
    let first = faces.first().ok_or_else(|| impossible("the section"))?;
    let width = first.outline.bounds().map_or(0.0, |b| b.height());
    let size = (section.length, Length::mm(width), section.profile.wall());
    Ok(Laid { outline: first.outline.clone(), size, bends: vec![], faces: faces.clone(), holes })
}

/// Holes in the order of face, x, y with their letters; openings that no
/// drill makes go to the cut-outs.
fn letter_holes(laid: &Laid) -> (Vec<FlatHole>, Vec<Loop>) {
    let order = |f: &Option<Face>| laid.faces.iter().position(|v| Some(v.face) == *f);
    let mut sorted: Vec<_> = laid.holes.iter().collect();
    sorted.sort_by(|a, b| {
        order(&a.0)
            .cmp(&order(&b.0))
            .then(a.3.at.x.total_cmp(&b.3.at.x))
            .then(a.3.at.y.total_cmp(&b.3.at.y))
            .then(a.3.name.cmp(&b.3.name))
    });
    let (mut holes, mut cut_outs) = (vec![], vec![]);
    for (_, word, flat, hole) in sorted {
        if let HoleShape::Rectangle { .. } = hole.shape {
            cut_outs.extend(hole.shape.outline(hole.at));
            continue;
        }
        holes.push(FlatHole {
            letter: letter(holes.len()),
            name: hole.name.clone(),
            face: word.clone(),
            shape: hole.shape,
            at: hole.at,
            flat: flat.clone(),
        });
    }
    (holes, cut_outs)
}

#[cfg(test)]
mod tests;
