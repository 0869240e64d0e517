//! Pieces as they came out: does it all still fit, and what is to be done.

use super::as_made_play::{largest_bolt_mm, own_play, play_mm};
use super::as_made_strap::{Strap, flat_names, with_flat};
use super::as_made_strength::{Asked, Size, asked_again, thickness, weaker};
use super::stand::{Stood, with_plain};
use super::{Loaded, Worked};
use crate::assembly::{Assembly, Clash, Kind, Misfit, clashes, mates};
use crate::checks::{
    Advice, Finding, Verdict, advise_length, advise_unmatched, as_made_finding, check_piece, keeps_length, may_be_slot,
    slot_for,
};
use crate::diag::Diagnostic;
use crate::flat::{FlatPattern, unfold};
use crate::geom::Point;
use crate::handbook::material;
use crate::job::{AsMade, Differs};
use crate::piece::{Form, Hole, HoleShape, Piece, holes, longer, thicker, with_hole};
use crate::solid::{USUAL_CHORD_MM, build_body_within};
use crate::source::{Text, nearest};
use crate::units::{Length, System, show_length};
use std::sync::Arc;

/// Most letters that a message lists.
const MOST_LISTED: usize = 12;

/// Pieces and holes that the job has not; the pieces have to be built to know.
pub(super) fn wrong_names(loaded: &Loaded, worked: &Worked, out: &mut Vec<Diagnostic>) {
    for told in &loaded.job.as_made {
        let Some((piece, flat)) = found(worked, told) else {
            let keys: Vec<String> = worked.pieces.iter().map(Piece::key).collect();
            let message = format!("there is no piece \"{}\"", told.piece.value);
            let near = nearest(&told.piece.value, keys.iter().map(String::as_str));
            let help = near.map_or_else(|| listed("pieces", &keys), |n| format!("did you mean \"{n}\"?"));
            out.push(Diagnostic::error("unknown-piece", message, told.piece.file, told.piece.span.clone()).help(help));
            continue;
        };
        if let Differs::Longer(_, Some(name)) = &told.what {
            let names = flat_names(piece);
            if !names.contains(&name.value) {
                let message = format!("{} has no flat \"{}\"", piece.key(), name.value);
                let d = Diagnostic::error("unknown-flat", message, name.file, name.span.clone());
                out.push(d.help(if names.is_empty() {
                    "only bent strips have flats".into()
                } else {
                    listed("its flats", &names)
                }));
            }
        }
        let Differs::Hole(name, ..) = &told.what else { continue };
        if hole_index(piece, flat, &name.value).is_none() {
            let letters: Vec<String> = flat.holes.iter().map(|h| format!("{} `{}`", h.letter, h.name)).collect();
            let several = flat.holes.iter().filter(|h| h.name == name.value).count() > 1;
            let message = if several {
                format!("several holes of {} are called \"{}\"", piece.key(), name.value)
            } else {
                format!("{} has no hole \"{}\"", piece.key(), name.value)
            };
            let d = Diagnostic::error("unknown-hole", message, name.file, name.span.clone());
            out.push(d.help(listed("its holes", &letters)));
        }
    }
}

fn listed(what: &str, names: &[String]) -> String {
    let more = if names.len() > MOST_LISTED { ", ..." } else { "" };
    format!("{what}: {}{more}", names.iter().take(MOST_LISTED).cloned().collect::<Vec<_>>().join(", "))
}

fn found<'a>(worked: &'a Worked, told: &AsMade) -> Option<(&'a Piece, &'a FlatPattern)> {
    let piece = worked.pieces.iter().find(|p| p.key() == told.piece.value)?;
    Some((piece, worked.flats.iter().find(|f| f.key() == piece.key())?))
}

/// The hole of this letter, or the only one of this name: its index in [`holes`].
fn hole_index(piece: &Piece, flat: &FlatPattern, name: &str) -> Option<usize> {
    let by_letter = flat.holes.iter().position(|h| h.letter == name);
    let only = flat.holes.iter().filter(|h| h.name == name).count() == 1;
    let at = by_letter.or_else(|| flat.holes.iter().position(|h| only && h.name == name))?;
    let lettered = &flat.holes[at];
    let all = holes(piece);
    let same: Vec<usize> = (0..all.len()).filter(|&i| all[i].name == lettered.name).collect();
    // Plates and sections: the very place; strips: their flats run from left to right.
    let exact = same.iter().copied().filter(|&i| all[i].at.distance(lettered.at) < 1e-6).collect::<Vec<_>>();
    if let [one] = exact[..] {
        return Some(one);
    }
    let rank = flat.holes[..at].iter().filter(|h| h.name == lettered.name).count();
    same.get(rank).copied()
}

/// What becomes of every piece that came out otherwise.
pub(super) fn as_made(loaded: &Loaded, worked: &Worked, stood: &Stood) -> Vec<Finding> {
    let bench = Bench { loaded, worked, stood };
    loaded.job.as_made.iter().filter_map(|told| bench.one(told)).collect()
}

/// Everything that one piece is held against.
struct Bench<'a> {
    loaded: &'a Loaded,
    worked: &'a Worked,
    stood: &'a Stood,
}

/// What does not fit any more.
#[derive(Default)]
struct Trouble {
    /// Farthest that a hole is from its neighbour, the play that the bolt has
    /// there, and the neighbour.
    apart: Option<(f64, f64, String)>,
    /// Rules that are no longer met, and bodies in the way.
    broken: Vec<String>,
}

impl Bench<'_> {
    fn one(&self, told: &AsMade) -> Option<Finding> {
        let (piece, flat) = found(self.worked, told)?;
        match &told.what {
            Differs::Longer(by, None) => Some(self.length(piece, flat, *by)),
            Differs::Longer(by, Some(name)) => Some(self.flat(piece, flat, &name.value, *by)),
            Differs::Thicker(by) => Some(self.thickness(piece, flat, *by)),
            Differs::Hole(name, x, y) => self.hole(piece, flat, name, (*x, *y)),
        }
    }

    fn length(&self, piece: &Piece, flat: &FlatPattern, by: Length) -> Finding {
        let system = self.loaded.job.units;
        let off = Length::mm(by.to_mm().abs());
        let how = if by.to_mm() < 0.0 { "short" } else { "long" };
        let what = format!("{} came out {} too {how}", piece.key(), show_length(off, system));
        let Some(made) = longer(piece, by) else {
            let because = "nothing is left of its right end, or an arc would have to change";
            return as_made_finding(&piece.part, Advice::MakeAgain, off, &what, because, system);
        };
        let mut trouble = self.trouble(piece, &made);
        if let Asked::Fails(fails) = asked_again(self.loaded, self.worked, piece, Size::Length, by) {
            trouble.broken.extend(fails);
        }
        let apart = trouble.apart.as_ref().filter(|a| a.0 > a.1);
        let meets = trouble.broken.is_empty() && apart.is_none();
        // What stands between two members is packed out; a strap or a plate is not.
        let packs = matches!(piece.form, Form::Section(_));
        let advice = advise_length(flat.length, by, meets, packs);
        let strap = Strap::of(self.loaded, self.worked, piece).filter(|_| by.to_mm() < 0.0 && meets);
        if let (Some(strap), true) = (strap, advice == Advice::MakeAgain) {
            let (advice, because) = strap.path(by, flat.length);
            return as_made_finding(&piece.part, advice, off, &what, &because, system);
        }
        let because = match (&trouble.broken[..], apart) {
            ([first, ..], _) => first.clone(),
            ([], Some((_, _, other))) => format!("its holes no longer meet {other}"),
            ([], None) if advice == Advice::MakeAgain => "that is too short for a shim to make up for".to_string(),
            ([], None) => "its holes and all rules of its shape are still met".to_string(),
        };
        as_made_finding(&piece.part, advice, off, &what, &because, system)
    }

    /// One flat of a bent strip.
    fn flat(&self, piece: &Piece, pattern: &FlatPattern, name: &str, by: Length) -> Finding {
        let system = self.loaded.job.units;
        let off = Length::mm(by.to_mm().abs());
        let how = if by.to_mm() < 0.0 { "short" } else { "long" };
        let what = format!("`{name}` of {} came out {} too {how}", piece.key(), show_length(off, system));
        let end = |advice, because: &str| as_made_finding(&piece.part, advice, off, &what, because, system);
        let Some(made) = with_flat(piece, name, by) else {
            return end(Advice::MakeAgain, "nothing is left of it");
        };
        let trouble = self.trouble(piece, &made);
        let strap = Strap::of(self.loaded, self.worked, piece).filter(|s| !s.is_ear(name));
        // Between the ears the strap is held in the middle: what is off is shared, and judged there.
        let shape = self.broken(piece, &made);
        // So far off that no pair of holes is found any more: then the play is that of the ear's own hole.
        let lost = (trouble.broken.len() > shape.len()).then(|| own_play(piece)).flatten();
        let play = trouble.apart.as_ref().map(|a| Length::mm(a.1)).or(lost);
        let broken = if strap.is_some() { shape } else { trouble.broken };
        if let Some(first) = broken.first() {
            return end(Advice::MakeAgain, first);
        }
        if let Some((advice, because)) = strap.and_then(|s| s.flat(name, by, play, |p| self.broken(piece, p))) {
            return end(advice, &because);
        }
        match trouble.apart.filter(|a| a.0 > a.1) {
            Some((_, _, other)) => end(Advice::MakeAgain, &format!("its holes no longer meet {other}")),
            None if keeps_length(pattern.length, off) => end(Advice::Keep, "all rules of its shape are still met"),
            None => end(Advice::HoldAgainst, "all rules of its shape are still met, what it goes round is not known"),
        }
    }

    /// Thicker or thinner steel than was drawn.
    fn thickness(&self, piece: &Piece, flat: &FlatPattern, by: Length) -> Finding {
        let system = self.loaded.job.units;
        let off = Length::mm(by.to_mm().abs());
        let how = if by.to_mm() < 0.0 { "thin" } else { "thick" };
        let what = format!("{} is {} too {how}", piece.key(), show_length(off, system));
        let end = |advice, because: &str| as_made_finding(&piece.part, advice, off, &what, because, system);
        let left = thickness(piece).unwrap_or(Length::ZERO) + by;
        if left.to_mm() <= 0.0 {
            return end(Advice::MakeAgain, "nothing is left of it");
        }
        // A section's body is that of its stock: only its strength is asked again.
        let made = thicker(piece, by);
        let mut broken = made.as_ref().map(|m| self.trouble(piece, m).broken).unwrap_or_default();
        let asked = asked_again(self.loaded, self.worked, piece, Size::Thickness, by);
        if let Asked::Fails(fails) = &asked {
            broken.extend(fails.iter().cloned());
        }
        if let Some(first) = broken.first() {
            return end(Advice::MakeAgain, first);
        }
        let shown = show_length(left, system);
        let strength = match asked {
            Asked::Nothing => format!("with {shown} the rules of its shape are still met; no strength is asked of it"),
            Asked::NoAnswer => {
                let because = "no single answer of its part makes it so, and its strength was not asked again";
                return end(Advice::HoldAgainst, because);
            }
            Asked::Fails(_) => format!("with {shown} its strength and all rules of its shape are still met"),
        };
        // Thicker steel takes another length round its bends.
        let density = material::find(&piece.stock.material).map_or(0.0, |m| m.density_kg_per_m3);
        let grown = made.and_then(|m| unfold(&m, density).ok()).map(|f| (f.length - flat.length).abs());
        match grown.filter(|g| !keeps_length(flat.length, *g)) {
            Some(g) => {
                let bends =
                    format!("{strength}; its flat would be {} off, so its bends sit elsewhere", show_length(g, system));
                end(Advice::HoldAgainst, &bends)
            }
            None => end(Advice::Keep, &strength),
        }
    }

    fn hole(&self, piece: &Piece, flat: &FlatPattern, name: &Text, by: (Length, Length)) -> Option<Finding> {
        let system = self.loaded.job.units;
        let index = hole_index(piece, flat, &name.value)?;
        let hole: Hole = (*holes(piece).get(index)?).clone();
        let way = Point::new(by.0.to_mm(), by.1.to_mm());
        let off = Length::mm(way.length());
        let sits = beside(way, system);
        let what = format!("hole `{}` of {} sits {sits} its mark", name.value, piece.key());
        let end = |advice, because: &str| Some(as_made_finding(&piece.part, advice, off, &what, because, system));
        let made = with_hole(piece, index, hole.at + way, hole.shape);
        let trouble = self.trouble(piece, &made);
        if let Some(first) = trouble.broken.first() {
            return end(Advice::MakeAgain, first);
        }
        let Some((apart, play, other)) = trouble.apart else {
            let wide = hole.shape.core() * 2.0;
            let play = Length::mm((wide - largest_bolt_mm(wide)) / 2.0);
            let because =
                format!("the job does not know what it has to meet; a bolt has {} of play", show_length(play, system));
            return end(advise_unmatched(off, play), &because);
        };
        let (apart, play) = (Length::mm(apart), Length::mm(play));
        let longer = slot_for(apart, play);
        let against = format!(
            "it is {} out of line with {other}, where the bolt has {} of play",
            show_length(apart, system),
            show_length(play, system)
        );
        if longer.to_mm() <= 1e-9 {
            return end(Advice::Keep, &against);
        }
        let HoleShape::Round { diameter } = hole.shape else { return end(Advice::MakeAgain, &against) };
        if !may_be_slot(Length::mm(diameter), longer) {
            return end(Advice::MakeAgain, &format!("{against}; a slot would be longer than 1.5 holes"));
        }
        let slotted = slotted(piece, index, &hole, way, longer);
        match self.broken(piece, &slotted).first() {
            Some(first) => end(Advice::MakeAgain, &format!("{against}; as a slot, {first}")),
            None => end(Advice::Slot(longer), &against),
        }
    }

    /// What the piece as it came out does not meet, and the piece as drawn does.
    fn trouble(&self, wanted: &Piece, made: &Piece) -> Trouble {
        let mut trouble = Trouble { apart: None, broken: self.broken(wanted, made) };
        let (Some(before), Some(after)) = (self.stands(wanted, wanted), self.stands(wanted, made)) else {
            return trouble;
        };
        let (known, now) = (mates(&before), mates(&after));
        // So far off that the openings do not even overlap: no pair is found any more.
        if now.pairs < known.pairs {
            trouble.broken.push("a hole is not even near what it has to meet".to_string());
        }
        for (_, misfit) in now.misfits.into_iter().filter(|m| !known.misfits.contains(m)) {
            let Misfit::OffLine { one, other, off_mm } = &misfit else { continue };
            let play = play_mm(&after, [one, other]);
            if trouble.apart.as_ref().is_none_or(|a| off_mm - play > a.0 - a.1) {
                let other = if one.starts_with(&wanted.key()) { other } else { one };
                trouble.apart = Some((*off_mm, play, format!("`{other}`")));
            }
        }
        let pair = |c: &Clash| (c.one.clone(), c.other.clone());
        let old: Vec<_> = clashes(&before).iter().map(pair).collect();
        // That a bolt meets the wall of a hole out of line is told by the line.
        let bolt = |name: &String| after.stands.iter().any(|s| s.kind == Kind::Bolt && s.name == *name);
        let new = |c: &&Clash| !old.contains(&pair(c)) && !bolt(&c.one) && !bolt(&c.other);
        for clash in clashes(&after).iter().filter(new) {
            trouble.broken.push(format!("`{}` and `{}` want the same space", clash.one, clash.other));
        }
        trouble
    }

    /// Failed checks of a piece that it does not fail as drawn.
    fn broken(&self, wanted: &Piece, made: &Piece) -> Vec<String> {
        let density = material::find(&made.stock.material).map_or(0.0, |m| m.density_kg_per_m3);
        let fails = |p: &Piece| match unfold(p, density) {
            Ok(flat) => {
                Ok(check_piece(p, &flat).into_iter().filter(|f| f.verdict == Verdict::Fail).collect::<Vec<_>>())
            }
            Err(faults) => Err(faults),
        };
        let before: Vec<String> = fails(wanted).map(|f| f.into_iter().map(|f| f.code).collect()).unwrap_or_default();
        let strength = match (unfold(wanted, density), unfold(made, density)) {
            (Ok(drawn), Ok(flat)) => weaker(self.loaded, self.worked, wanted, &drawn, &flat),
            _ => vec![],
        };
        match fails(made) {
            Ok(found) => {
                let shape = found.into_iter().filter(|f| !before.contains(&f.code)).map(|f| f.says);
                shape.chain(strength).collect()
            }
            Err(faults) => faults.into_iter().map(|f| f.message).collect(),
        }
    }

    /// The job, or the piece's part alone if it has no place on the vehicle,
    /// with the piece as it came out.
    fn stands(&self, wanted: &Piece, made: &Piece) -> Option<Assembly> {
        let at = self.worked.pieces.iter().position(|p| p.key() == wanted.key())?;
        let parts = with_plain(&self.worked.parts, &self.worked.pieces);
        let part = parts.iter().find(|p| p.pieces.contains(&at))?;
        let mut pieces = self.worked.pieces.clone();
        let mut bodies = self.stood.bodies.clone();
        if *made != *wanted {
            pieces[at] = made.clone();
            *bodies.get_mut(at)? = build_body_within(made, USUAL_CHORD_MM).ok().map(Arc::new);
        }
        Some(if part.stands.is_empty() {
            Assembly::of_part(part, &pieces, &bodies)
        } else {
            Assembly::of_job(&parts, &pieces, &bodies, &self.loaded.job.faint)
        })
    }
}

/// `2 mm to the right of and 1 mm below`.
fn beside(way: Point, system: System) -> String {
    let one = |v: f64, more: &str, less: &str| {
        let word = if v > 0.0 { more } else { less };
        (libm::fabs(v) > 1e-9).then(|| format!("{} {word}", show_length(Length::mm(libm::fabs(v)), system)))
    };
    let both: Vec<String> =
        one(way.x, "to the right of", "to the left of").into_iter().chain(one(way.y, "above", "below")).collect();
    if both.is_empty() { "on".to_string() } else { both.join(" and ") }
}

/// The hole filed longer from where it is towards its mark.
fn slotted(piece: &Piece, index: usize, hole: &Hole, way: Point, longer: Length) -> Piece {
    let (d, n) = (hole.shape.core() * 2.0, longer.to_mm());
    let unit = way * (1.0 / way.length().max(1e-9));
    let at = hole.at + way - unit * (n / 2.0);
    with_hole(piece, index, at, HoleShape::Slot { length: d + n, width: d, lies: unit.angle() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slot_reaches_from_where_the_hole_is_towards_its_mark() {
        let hole = Hole {
            name: "h".into(),
            shape: HoleShape::Round { diameter: 11.0 },
            at: Point::new(20.0, 15.0),
            bolt: true,
        };
        let outline = crate::geom::rectangle(Point::default(), 60.0, 30.0, 0.0);
        let plate = crate::piece::Plate { thickness: Length::mm(5.0), outline, holes: vec![hole.clone()] };
        let piece = Piece {
            part: "p".into(),
            name: "q".into(),
            copies: 1,
            hand: None,
            form: crate::piece::Form::Plate(plate),
            stock: crate::piece::Stock { shape: "plate".into(), size: vec![], material: "mild steel".into() },
            places: vec![],
            notes: vec![],
            cautions: vec![],
        };
        let out = slotted(&piece, 0, &hole, Point::new(3.0, 0.0), Length::mm(2.0));
        let made = holes(&out)[0];
        // The hole at 23 reaches on to 21: from 15.5 to 28.5.
        assert!((made.at.x - 22.0).abs() < 1e-12 && (made.at.y - 15.0).abs() < 1e-12);
        assert_eq!(made.shape, HoleShape::Slot { length: 13.0, width: 11.0, lies: 0.0 });
    }
}
