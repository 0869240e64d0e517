//! From a loaded job to pieces, flat patterns and findings.

use super::findings::{part_findings, set_by, wrong_overrules};
use super::hardware::Needs;
use super::load::{Loaded, Trouble};
use crate::assembly::PartStands;
use crate::checks::{Finding, SetBy, check_piece};
use crate::diag::{Diagnostic, FileId, Severity};
use crate::expr::Value;
use crate::flat::{FlatPattern, letter, opposite_hand, unfold};
use crate::handbook;
use crate::job::{Copy, Part};
use crate::piece::{End, Face, Form, Hand, Piece, Plate, Request, Section, Stock, build_part, profile_of};
use crate::source::safe_name;
use crate::template::{Answers, NamedCall, answer, outcomes};
use std::collections::BTreeMap;

/// Most pieces in one job, copies not counted.
const MOST_PIECES: usize = 5_000;

/// What a job comes out as.
#[derive(Clone, Debug, Default)]
pub struct Worked {
    /// Pieces in the order of the job.
    pub pieces: Vec<Piece>,
    /// Their flat patterns, in the same order.
    pub flats: Vec<FlatPattern>,
    /// Drawings for things that are there already.
    pub reworks: Vec<FlatPattern>,
    /// Findings of all parts.
    pub findings: Vec<Finding>,
    /// Parts with what stands in and round them.
    pub parts: Vec<PartStands>,
    /// Named checks of the parts, with what they were told.
    pub calls: Vec<(String, NamedCall)>,
    /// What they need beside their steel.
    pub needs: Needs,
    /// Measured values, and each part's values under `part: name`.
    pub values: BTreeMap<String, Value>,
    /// Notes and warnings.
    pub notes: Vec<Diagnostic>,
}

/// Work out every part. Faults of all parts are told at once.
///
/// # Errors
/// All diagnostics; nothing is made.
pub fn work_out(loaded: &Loaded) -> Result<Worked, Trouble> {
    let mut out = loaded.errors.clone();
    let mut worked = Worked { values: loaded.job.measured.values.clone(), ..Worked::default() };
    // Counted before anything is built: five thousand pieces take seconds, a million an hour.
    let asked = loaded.job.parts.iter().map(|p| p.copies.len().max(1)).sum::<usize>();
    let asked = asked + loaded.job.cuts.len() + loaded.job.blanks.len();
    if asked <= MOST_PIECES {
        build_parts(loaded, &mut worked, &mut out);
    }
    let pieces = asked.max(worked.pieces.len());
    if pieces > MOST_PIECES {
        out.push(
            Diagnostic::bare("too-many-pieces", format!("{pieces} pieces or more; {MOST_PIECES} at most"))
                .help("split the job"),
        );
    } else {
        lay_flat(loaded, &mut worked, &mut out);
        if out.iter().all(|d| d.severity != Severity::Error) {
            same_files(loaded, &worked, &mut out);
            super::as_made::wrong_names(loaded, &worked, &mut out);
        }
    }
    let (notes, errors): (Vec<_>, Vec<_>) = out.into_iter().partition(|d| d.severity != Severity::Error);
    if !errors.is_empty() {
        return Err(Trouble { diagnostics: errors, shown: loaded.sources.shown().to_vec() });
    }
    worked.notes = notes;
    Ok(worked)
}

/// Every part and plain piece, in the order of the job, until they are too many.
fn build_parts(loaded: &Loaded, worked: &mut Worked, out: &mut Vec<Diagnostic>) {
    for part in &loaded.job.parts {
        if part.copies.is_empty() {
            one_part(loaded, part, None, &part.name, part.make, worked, out);
        }
        for (i, copy) in part.copies.iter().enumerate() {
            let name = copy_name(part, i);
            one_part(loaded, part, Some(copy), &name, 1, worked, out);
        }
        if worked.pieces.len() > MOST_PIECES {
            return;
        }
    }
    wrong_overrules(loaded, out);
    super::layouts::layouts(loaded, worked);
    plain_cuts(loaded, worked, out);
    plain_blanks(loaded, worked);
    worked.reworks = super::rework::reworks(loaded, out);
}

/// The name of a copy: its part and its own name or letter.
pub(super) fn copy_name(part: &Part, i: usize) -> String {
    let own = part.copies.get(i).and_then(|c| c.name.clone());
    format!("{} {}", part.name, own.unwrap_or_else(|| letter(i)))
}

/// One part by itself, with its flat patterns and findings. Faults go to `out`.
pub(super) fn work_part(
    loaded: &Loaded,
    part: &Part,
    copy: Option<&Copy>,
    name: &str,
    out: &mut Vec<Diagnostic>,
) -> Worked {
    let mut worked = Worked::default();
    one_part(loaded, part, copy, name, 1, &mut worked, out);
    lay_flat(loaded, &mut worked, out);
    worked
}

fn one_part(
    loaded: &Loaded,
    part: &Part,
    copy: Option<&Copy>,
    name: &str,
    make: u32,
    worked: &mut Worked,
    out: &mut Vec<Diagnostic>,
) {
    let Some(template) = loaded.templates.iter().find(|t| t.name == part.template.value) else { return };
    if template.faulty {
        return;
    }
    let job = &loaded.job;
    let place = (job.file, copy.map_or(part.span.clone(), |c| c.span.clone()));
    let mut given = part.given.clone();
    given.extend(copy.iter().flat_map(|c| c.given.clone()));
    let answers =
        Answers { part: name, place: place.clone(), given, sizes: job.sizes, units: job.units, loads: &job.loads };
    let answered = answer(template, &answers, &job.measured, out);
    let said = outcomes(template, &answered, job.units, out);
    let hand = copy
        .and_then(|c| c.hand.clone())
        .or_else(|| part.hand.clone())
        .map(|h| if h == "right" { Hand::Right } else { Hand::Left });
    let request = Request {
        part: name,
        copies: make,
        hand,
        place,
        bending: job.bending,
        system: job.units,
        sizes: job.sizes,
        cautions: &said.cautions,
    };
    let (pieces, scene) = build_part(template, &answered, &request, out);
    let first = worked.pieces.len();
    worked.parts.push(PartStands {
        name: name.to_string(),
        pieces: (first..first + pieces.len()).collect(),
        made: make,
        stands: copy.map_or_else(|| part.places.clone(), |c| c.places.clone()),
        bolts: scene.bolts,
        faint: scene.faint,
        mirrored: hand == Some(Hand::Right),
    });
    worked.pieces.extend(pieces.iter().map(|p| if hand == Some(Hand::Right) { opposite_hand(p) } else { p.clone() }));
    worked.findings.extend(part_findings(loaded, part, name, &answers.given, (template, &said), &pieces));
    worked.calls.extend(said.named.iter().map(|c| (name.to_string(), c.clone())));
    worked.needs.add(name, &said, make, job.units, job.sizes);
    worked.values.extend(answered.scope.values.into_iter().map(|(n, v)| (format!("{name}: {n}"), v)));
}

fn plain_cuts(loaded: &Loaded, worked: &mut Worked, out: &mut Vec<Diagnostic>) {
    for cut in &loaded.job.cuts {
        let stock = Stock { shape: cut.shape.clone(), size: cut.size.clone(), material: cut.material.clone() };
        let profile = match profile_of(&stock) {
            Ok(p) => p,
            Err(why) => {
                let d = Diagnostic::error(
                    "impossible-section",
                    format!("`{}`: {why}", cut.name),
                    loaded.job.file,
                    cut.span.clone(),
                );
                out.push(d.help("write the sizes in the trade's order: legs and wall, width and thickness"));
                continue;
            }
        };
        let section = Section {
            profile,
            length: cut.length,
            left: End { angle: cut.left_end, across: Face::Top, cope: None, flats: None },
            right: End { angle: cut.right_end, across: Face::Top, cope: None, flats: None },
            holes: vec![],
        };
        worked.pieces.extend(plain(&cut.name, cut.make, Form::Section(section), stock));
    }
}

fn plain_blanks(loaded: &Loaded, worked: &mut Worked) {
    for blank in &loaded.job.blanks {
        let outline =
            crate::geom::rectangle(crate::geom::Point::default(), blank.length.to_mm(), blank.width.to_mm(), 0.0);
        let stock = Stock { shape: "plate".to_string(), size: vec![blank.thickness], material: blank.material.clone() };
        let plate = Plate { thickness: blank.thickness, outline, holes: vec![] };
        worked.pieces.extend(plain(&blank.name, blank.make, Form::Plate(plate), stock));
    }
}

fn plain(name: &str, make: u32, form: Form, stock: Stock) -> Option<Piece> {
    (make > 0).then(|| Piece {
        part: name.to_string(),
        name: name.to_string(),
        copies: make,
        hand: None,
        form,
        stock,
        places: vec![],
        notes: vec![],
        cautions: vec![],
    })
}

/// Flat patterns and the findings that follow from them.
fn lay_flat(loaded: &Loaded, worked: &mut Worked, out: &mut Vec<Diagnostic>) {
    for piece in &worked.pieces {
        let density = handbook::material::find(&piece.stock.material).map_or(0.0, |m| m.density_kg_per_m3);
        match unfold(piece, density) {
            Ok(flat) => {
                for mut f in check_piece(piece, &flat) {
                    f.set_by = flat_places(loaded, piece, &f.names);
                    worked.findings.push(f);
                }
                worked.flats.push(flat);
            }
            Err(faults) => {
                let span = place_of(loaded, &piece.part);
                for f in faults {
                    let message = format!("{}, {}: {}", piece.part, piece.name, f.message);
                    let mut d = Diagnostic::error(f.code, message, loaded.job.file, span.clone()).help(f.help);
                    for (file, at, says) in in_template(loaded, piece, &f.names) {
                        d = d.also(file, at, says);
                    }
                    out.push(d);
                }
            }
        }
    }
}

/// The places of a finding on a flat pattern: the part in the job, holes in the template.
fn flat_places(loaded: &Loaded, piece: &Piece, names: &[String]) -> Vec<SetBy> {
    let mut places = vec![(loaded.job.file, place_of(loaded, &piece.part), format!("part {}", piece.part))];
    let holes = in_template(loaded, piece, names);
    places.extend(holes.into_iter().map(|(f, s, _)| (f, s, format!("{} of the template", names.join(", ")))));
    if names.is_empty() {
        places.truncate(1);
    }
    set_by(loaded, places)
}

/// Where the holes and flats of a fault stand in the piece's template, or the
/// piece itself where the fault names none.
fn in_template(loaded: &Loaded, piece: &Piece, names: &[String]) -> Vec<(FileId, std::ops::Range<usize>, String)> {
    let Some(template) = loaded.template_of(&piece.part) else { return vec![] };
    let (template, own) = (template.home_of(&piece.name).0, template.piece(&piece.name));
    let steps = own.obj("strip").map_or(&[][..], |s| s.list("steps"));
    let mut out: Vec<(FileId, std::ops::Range<usize>, String)> = vec![];
    for o in own.list("hole").iter().chain(steps) {
        if let Some(name) = o.text("name").filter(|n| names.contains(&n.value)) {
            out.push((name.file, name.span.clone(), String::new()));
        }
    }
    if out.is_empty() {
        let at = ["strip", "plate", "section"].iter().find_map(|k| own.obj(k).map(|o| o.span.clone()));
        out.extend(at.map(|a| (template.file, a, "this piece".to_string())));
    }
    out
}

/// Where the part of a piece stands in the job.
fn place_of(loaded: &Loaded, part: &str) -> std::ops::Range<usize> {
    let job = &loaded.job;
    let parts = job.parts.iter().map(|p| (&p.name, &p.span));
    let cuts = job.cuts.iter().map(|c| (&c.name, &c.span));
    let blanks = job.blanks.iter().map(|b| (&b.name, &b.span));
    // A copy's part is called after the part and a letter.
    let found =
        parts.chain(cuts).chain(blanks).filter(|(n, _)| part.starts_with(n.as_str())).max_by_key(|(n, _)| n.len());
    found.map_or(0..0, |(_, s)| s.clone())
}

/// File name of a piece, without its ending.
pub(super) fn file_name(part: &str, piece: &str) -> String {
    format!("{}--{}", safe_name(part), safe_name(piece))
}

/// Two pieces that would be written to one file.
fn same_files(loaded: &Loaded, worked: &Worked, out: &mut Vec<Diagnostic>) {
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    for p in &worked.pieces {
        if let Some(other) = seen.insert(file_name(&p.part, &p.name), p.key()) {
            let message = format!("pieces `{other}` and `{}` would be written to one file", p.key());
            let d = Diagnostic::error("same-name", message, loaded.job.file, place_of(loaded, &p.part));
            out.push(d.help("give one of the parts another name; capitals and marks do not count"));
        }
    }
}
