//! Bodies of all pieces, parts put together, the whole job where it stands.

use super::as_made::as_made;
use super::weights::part_line;
use super::{Loaded, Worked};
use crate::assembly::{Assembly, Kind, PartStands};
use crate::checks::{Finding, check_assembly, weight_note};
use crate::piece::Piece;
use crate::report::BodyLine;
use crate::solid::{Body, SolidFault, USUAL_CHORD_MM, build_body_within};
use crate::space::Point3;
use crate::units::{Length, System, show_length, show_mass};
use rayon::prelude::*;
use std::sync::Arc;

/// What stands.
#[derive(Clone, Debug, Default)]
pub struct Stood {
    /// The body of each piece, in the order of the pieces.
    pub bodies: Vec<Option<Arc<Body>>>,
    /// Why a piece has no body: `part/piece` and a sentence.
    pub without: Vec<(String, String)>,
    /// Each part in its own frame, in the order of the parts.
    pub parts: Vec<(PartStands, Assembly)>,
    /// All of it.
    pub job: Assembly,
}

/// Build the bodies of all pieces within `chord` (usual: 0.1 mm) and stand them
/// together; findings of the fit go to `worked`.
pub fn stand_up(loaded: &Loaded, worked: &mut Worked, chord: Option<Length>) -> Stood {
    let chord_mm = chord.map_or(USUAL_CHORD_MM, Length::to_mm);
    let built = worked.pieces.par_iter().map(|p| build_body_within(p, chord_mm).map(Arc::new)).collect();
    let out = stand(loaded, worked, built, Assembly::of_part);
    fit(loaded, worked, &out);
    out
}

/// Stand bodies together that are built already, one for each piece, parts as `put` does it; their fit is not
/// looked at.
pub(super) fn stand(
    loaded: &Loaded,
    worked: &mut Worked,
    built: Vec<Result<Arc<Body>, SolidFault>>,
    put: impl Fn(&PartStands, &[Piece], &[Option<Arc<Body>>]) -> Assembly + Sync,
) -> Stood {
    let mut out = Stood::default();
    for (piece, body) in worked.pieces.iter().zip(built) {
        if let Err(why) = &body {
            out.without.push((piece.key(), why.to_string()));
        }
        out.bodies.push(body.ok());
    }
    let parts = with_plain(&worked.parts, &worked.pieces);
    out.parts = parts.par_iter().map(|p| (p.clone(), put(p, &worked.pieces, &out.bodies))).collect();
    out.job = Assembly::of_parts(&out.parts, &loaded.job.faint);
    let notes: Vec<Finding> = out
        .parts
        .iter()
        .filter_map(|(p, a)| part_line(worked, &out, p, a))
        .map(|l| weighed(&l, loaded.job.units))
        .collect();
    worked.findings.extend(notes);
    out
}

/// What the fit says of all that stands, and what becomes of pieces that came out
/// otherwise; findings go to `worked`.
pub(super) fn fit(loaded: &Loaded, worked: &mut Worked, out: &Stood) {
    // A part that has no place on the vehicle is still looked at by itself.
    let alone = out.parts.par_iter().filter(|(p, _)| p.stands.is_empty());
    let found: Vec<_> = alone.map(|(p, a)| check_assembly(a, &p.name)).collect();
    worked.findings.extend(found.into_iter().flatten());
    worked.findings.extend(check_assembly(&out.job, "whole job"));
    worked.findings.extend(as_made(loaded, worked, out));
}

/// Plain cuts and blanks are parts of one piece each.
pub(super) fn with_plain(parts: &[PartStands], pieces: &[Piece]) -> Vec<PartStands> {
    let mut out = parts.to_vec();
    let known: Vec<usize> = parts.iter().flat_map(|p| p.pieces.iter().copied()).collect();
    for (i, p) in pieces.iter().enumerate() {
        if !known.contains(&i) {
            out.push(PartStands { name: p.part.clone(), pieces: vec![i], made: p.copies, ..PartStands::default() });
        }
    }
    out
}

/// Colour of a body by what it is made of; our own palette, plain and apart in
/// grey too.
pub(super) fn colour(kind: Kind, pieces: &[Piece]) -> ([u8; 3], &'static str) {
    match kind {
        Kind::Bolt => ([140, 142, 146], "bolt steel"),
        Kind::Faint => ([150, 158, 168], "there already"),
        Kind::Piece(i) => match crate::handbook::material::find(&pieces[i].stock.material) {
            Some(m) if m.name.starts_with("stainless") => ([214, 216, 210], m.name),
            Some(m) if !m.is_steel() => ([224, 228, 236], m.name),
            Some(m) if m.name != "mild steel" => ([160, 176, 188], m.name),
            Some(m) => ([182, 190, 194], m.name),
            None => ([170, 160, 150], "unknown"),
        },
    }
}

/// What a part weighs and where its weight sits, as a note.
fn weighed(l: &BodyLine, system: System) -> Finding {
    let three = |p: Point3| [p.x, p.y, p.z].map(|v| show_length(Length::mm(v), system)).join(", ");
    let says = format!(
        "weighs {} without bolts; box {}; centre of gravity at x, y, z {}",
        show_mass(l.mass, system),
        three(l.bounds.size()),
        three(l.centre)
    );
    weight_note(&l.name, l.mass, says)
}
