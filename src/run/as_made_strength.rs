//! Strength of a piece with the sizes that it came out with: the named checks
//! of its part are asked again.
//!
//! A check is told lengths, not holes: where the number that it was told is the
//! distance that a hole has on the drawing, it is told the distance as made. A
//! length or thickness is put back into the one answer that makes the piece so.

use super::mend::{part_of, trial};
use super::{Loaded, Worked};
use crate::checks::{Verdict, check_named, named};
use crate::expr::Value;
use crate::flat::FlatPattern;
use crate::piece::{Form, Piece};
use crate::units::{Dim, Length};

/// What a named check calls the distances of a hole.
const DISTANCES: [&str; 3] = ["end", "edge", "pitch"];
/// Distances that are the same, mm.
const SAME_MM: f64 = 1e-6;

/// Distances of hole `i` on a flat: to the four sides, and to each other hole.
fn distances(flat: &FlatPattern, i: usize) -> Vec<f64> {
    let (at, Some(b)) = (flat.holes[i].at, flat.outline.bounds()) else { return vec![] };
    let sides = [at.x - b.low.x, b.high.x - at.x, at.y - b.low.y, b.high.y - at.y];
    // A slot of the same middle is no other hole; each pair keeps its place in the list.
    let others = flat.holes.iter().map(|h| h.at.distance(at));
    sides.into_iter().chain(others).collect()
}

/// The least that a distance of the drawing has become; nothing where it is none of a hole, or has not shrunk.
fn as_made(drawn: &FlatPattern, made: &FlatPattern, told: f64) -> Option<f64> {
    let same = |i: &usize| made.holes.get(*i).is_some_and(|h| h.name == drawn.holes[*i].name);
    let holes = (0..drawn.holes.len()).filter(same);
    let pairs = holes.flat_map(|i| distances(drawn, i).into_iter().zip(distances(made, i)));
    let shrunk = pairs.filter(|(was, is)| (was - told).abs() < SAME_MM && *is < told - SAME_MM).map(|p| p.1);
    shrunk.reduce(f64::min)
}

/// What the checks of the piece's part no longer meet with the distances as made.
pub(super) fn weaker(
    loaded: &Loaded,
    worked: &Worked,
    piece: &Piece,
    drawn: &FlatPattern,
    made: &FlatPattern,
) -> Vec<String> {
    let (system, sizes) = (loaded.job.units, loaded.job.sizes);
    let mut out = vec![];
    for (part, call) in worked.calls.iter().filter(|c| c.0 == piece.part) {
        let mut again = call.clone();
        let mut changed = false;
        for (name, _, _, value) in &mut again.told {
            let Value::Quantity(v, Dim::LENGTH) = value else { continue };
            if let Some(is) = as_made(drawn, made, *v).filter(|_| DISTANCES.contains(&name.as_str())) {
                (*v, changed) = (is, true);
            }
        }
        if changed {
            let failed =
                |call| check_named(call, part, system, sizes).into_iter().filter(|f| f.verdict == Verdict::Fail);
            let before: Vec<String> = failed(call).map(|f| f.code).collect();
            out.extend(failed(&again).filter(|f| !before.contains(&f.code)).map(|f| f.says));
        }
    }
    out
}

/// A size of a piece that came out otherwise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Size {
    /// Its length, flat.
    Length,
    /// Its thickness; of a tube or angle: its wall.
    Thickness,
}

/// Thickness of a plate or strip, wall of a section.
pub(super) fn thickness(piece: &Piece) -> Option<Length> {
    match &piece.form {
        Form::Plate(p) => Some(p.thickness),
        Form::Strip(s) => Some(s.thickness),
        Form::Section(_) => piece.stock.size.iter().copied().reduce(|a, b| if b < a { b } else { a }),
    }
}

/// What came of asking again.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Asked {
    /// Nothing is asked: a plain piece, or a part without such checks.
    Nothing,
    /// No single answer of the part makes the piece so.
    NoAnswer,
    /// What is no longer met; empty where all is.
    Fails(Vec<String>),
}

/// The piece's part once more, with the answer changed that gives the piece this size.
pub(super) fn asked_again(loaded: &Loaded, worked: &Worked, piece: &Piece, size: Size, by: Length) -> Asked {
    let Some((part, copy)) = part_of(loaded, &piece.part) else { return Asked::Nothing };
    let Some(template) = loaded.templates.iter().find(|t| t.name == part.template.value) else { return Asked::Nothing };
    let mine = |w: &Worked| {
        let at = w.pieces.iter().position(|p| p.key() == piece.key())?;
        Some(match size {
            Size::Length => w.flats.get(at)?.length,
            Size::Thickness => thickness(&w.pieces[at])?,
        })
    };
    let Some(base) = trial(loaded, part, copy, &piece.part, None) else { return Asked::Nothing };
    let (Some(was), true) = (mine(&base), base.findings.iter().any(|f| named(&f.code).is_some())) else {
        return Asked::Nothing;
    };
    let fails = |w: &Worked| -> Vec<(String, String)> {
        let strength = w.findings.iter().filter(|f| f.verdict == Verdict::Fail && named(&f.code).is_some());
        strength.map(|f| (f.code.clone(), f.says.clone())).collect()
    };
    let before: Vec<String> = fails(&base).into_iter().map(|f| f.0).collect();
    for (name, ..) in template.obj.named("ask").iter().filter(|a| a.2.word("kind") == Some("length")) {
        let Some(Value::Quantity(now, Dim::LENGTH)) = worked.values.get(&format!("{}: {name}", piece.part)) else {
            continue;
        };
        let answer = format!("{} mm", now + by.to_mm());
        let Some(new) = trial(loaded, part, copy, &piece.part, Some((name, &answer))) else { continue };
        if mine(&new).is_some_and(|is| (is - was - by).to_mm().abs() < SAME_MM) {
            return Asked::Fails(fails(&new).into_iter().filter(|f| !before.contains(&f.0)).map(|f| f.1).collect());
        }
    }
    Asked::NoAnswer
}
