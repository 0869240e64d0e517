//! What is accepted and lies in the bin, and what it would change.

use super::{Change, Choice};
use crate::handbook::{Accept, StandsIn};
use crate::piece::{Piece, Stock};
use crate::run::load::Loaded;
use crate::run::plan::same_stock;
use crate::run::work::Worked;
use crate::template::Template;
use crate::units::Length;

/// Everything that is accepted and lies in the bin or can be bought.
pub(super) fn choices(loaded: &Loaded, worked: &Worked) -> Vec<Choice> {
    let mut out = vec![];
    let mut slot = 0;
    let mut offered: Vec<Stock> = vec![];
    for e in &loaded.bin.entries {
        if !offered.iter().any(|s| same_stock(s, &e.stock)) {
            offered.push(e.stock.clone());
        }
    }
    let rules = |own: &[Accept]| own.iter().chain(&loaded.bin.accept).cloned().collect::<Vec<_>>();
    for (p, part) in loaded.job.parts.iter().enumerate() {
        let accept = rules(&part.accept);
        let template = loaded.templates.iter().find(|t| t.name == part.template.value);
        let (false, Some(template)) = (accept.is_empty(), template) else { continue };
        let names: Vec<String> = match part.copies.len() {
            0 => vec![part.name.clone()],
            _ => worked
                .pieces
                .iter()
                .map(|x| x.part.clone())
                .filter(|n| n.starts_with(&format!("{} ", part.name)))
                .collect(),
        };
        let own: Vec<&Piece> = worked.pieces.iter().filter(|x| names.contains(&x.part)).collect();
        let mut seen: Vec<Stock> = vec![];
        for piece in &own {
            if seen.iter().any(|s| same_stock(s, &piece.stock)) {
                continue;
            }
            seen.push(piece.stock.clone());
            let keys: Vec<String> =
                own.iter().filter(|x| same_stock(&x.stock, &piece.stock)).map(|x| x.key()).collect();
            for to in &offered {
                let put = |how| change_of_part(template, p, piece, to, &keys, how);
                add(&mut out, slot, &part.name, &piece.stock, to, &accept, put);
            }
            slot += 1;
        }
    }
    for (i, cut) in loaded.job.cuts.iter().enumerate() {
        let stock = Stock { shape: cut.shape.clone(), size: cut.size.clone(), material: cut.material.clone() };
        let accept = rules(&cut.accept);
        for to in &offered {
            let key = format!("{0}/{0}", cut.name);
            let put = |how| Some(if how == StandsIn::Ripped { Change::Rip(vec![key.clone()]) } else { Change::Cut(i) });
            add(&mut out, slot, &cut.name, &stock, to, &accept, put);
        }
        slot += 1;
    }
    for (i, blank) in loaded.job.blanks.iter().enumerate() {
        let stock = Stock { shape: "plate".into(), size: vec![blank.thickness], material: blank.material.clone() };
        let accept = rules(&blank.accept);
        for to in &offered {
            add(&mut out, slot, &blank.name, &stock, to, &accept, |_| Some(Change::Blank(i)));
        }
        slot += 1;
    }
    out
}

/// One more choice, if it is accepted; what leaves the piece as it was comes
/// before what changes it.
fn add(
    out: &mut Vec<Choice>,
    slot: usize,
    part: &str,
    wanted: &Stock,
    to: &Stock,
    accept: &[Accept],
    change: impl Fn(StandsIn) -> Option<Change>,
) {
    if wanted.shape != to.shape {
        return;
    }
    let mut hows: Vec<StandsIn> = accept
        .iter()
        .filter_map(|a| a.allows(&wanted.shape, (&wanted.size, &wanted.material), (&to.size, &to.material)))
        .collect();
    hows.sort_unstable();
    hows.dedup();
    for how in hows.into_iter().rev() {
        if let Some(change) = change(how) {
            out.push(Choice { slot, part: part.to_string(), wanted: wanted.clone(), taken: to.clone(), change });
        }
    }
}

/// The answers that make a part's piece out of other stock: each size of its
/// stock must be the plain name of a question, or be as it is.
fn change_of_part(
    template: &Template,
    part: usize,
    piece: &Piece,
    to: &Stock,
    keys: &[String],
    how: StandsIn,
) -> Option<Change> {
    if how == StandsIn::Ripped {
        return Some(Change::Rip(keys.to_vec()));
    }
    let stock = template.piece(&piece.name).obj("stock")?;
    // A piece of a used template has its sizes from the answers that it is given.
    let asked = |name: &str| template.asked_as(&piece.name, name.trim());
    let mut answers: Vec<(String, String)> = vec![];
    let mut put = |name: &str, value: String| -> Option<()> {
        match answers.iter().find(|a| a.0 == name) {
            Some(a) if a.1 != value => return None,
            Some(_) => {}
            None => answers.push((name.to_string(), value)),
        }
        Some(())
    };
    let texts = stock.texts("size");
    if texts.len() != to.size.len() {
        return None;
    }
    for ((text, was), size) in texts.iter().zip(&piece.stock.size).zip(&to.size) {
        let changed = (*was - *size).abs().to_mm() > 1e-6;
        if let Some(name) = asked(&text.value) {
            put(&name, exact(*size))?;
        } else if changed {
            return None;
        }
    }
    if to.material != piece.stock.material {
        put(&asked(&stock.text("material")?.value)?, to.material.clone())?;
    }
    Some(Change::Answers(part, answers))
}

/// A length as a formula reads it back to the bit.
fn exact(l: Length) -> String {
    format!("{} mm", l.to_mm())
}
