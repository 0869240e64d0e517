//! Booking the bars of a plan.

use super::{Account, Work, bought, words};
use crate::run::Trouble;
use crate::run::bin::back::length_obj;
use crate::run::bin::bare;
use crate::run::bin::parted::{Bar, Becomes, Stretch, Taken};
use crate::run::bin::plan_file::{PlanBar, PlanCut, nm};
use crate::stock::{Back, BinEntry, Booked as BookedRecord, BookedBar};
use crate::units::{Length, System, show_length};
use std::collections::BTreeSet;

/// Longer than the plan says by more than this is a slip of the tape, nm.
const LONGER: i64 = 5_000_000;

/// A part of a bar that is there: its id, and where it lies on the bar.
#[derive(Clone)]
struct There {
    id: String,
    from: i64,
    to: i64,
    /// It is the whole bar, as it lay on the rack; else a part that came back.
    first: bool,
}

impl Work<'_> {
    pub(super) fn bar(&mut self, number: usize, bar: &PlanBar, earlier: &[BookedRecord]) -> Result<(), Trouble> {
        let mut there = vec![There { id: bar.stock.clone(), from: 0, to: bar.length, first: true }];
        let mut done = BTreeSet::new();
        for booked in earlier.iter().flat_map(|b| &b.bar).filter(|b| b.number == number) {
            done.extend(booked.cuts.iter().copied());
            let back = |b: &Back| There { id: b.id.clone(), from: b.from, to: b.to, first: false };
            let cut: Vec<&PlanCut> = booked.cuts.iter().filter_map(|c| bar.cuts.get(*c)).collect();
            there.retain(|t| !cut.iter().any(|c| t.from - 2 <= c.from && c.to <= t.to + 2));
            there.extend(booked.back.iter().map(back));
        }
        let to_do: Vec<usize> =
            (0..bar.cuts.len()).filter(|c| !done.contains(c) && self.wanted(&bar.cuts[*c].part)).collect();
        if to_do.is_empty() {
            return Ok(());
        }
        let mut record = BookedBar { number, ..BookedBar::default() };
        for piece in there {
            let here: Vec<usize> = to_do
                .iter()
                .copied()
                .filter(|c| piece.from - 2 <= bar.cuts[*c].from && bar.cuts[*c].to <= piece.to + 2)
                .collect();
            if here.is_empty() {
                continue;
            }
            self.piece(bar, &piece, (&here, &done), &mut record)?;
            record.cuts.extend(here);
        }
        record.cuts.sort_unstable();
        if record.cuts.len() < to_do.len() {
            let what =
                format!("what is left of {} is too short for the pieces that are still planned on it", bar.stock);
            self.changed.push(what);
        }
        self.record.bar.push(record);
        Ok(())
    }

    /// Books the cuts `here` on a piece of a bar; `done` were booked before.
    fn piece(
        &mut self,
        bar: &PlanBar,
        piece: &There,
        (here, done): (&[usize], &BTreeSet<usize>),
        record: &mut BookedBar,
    ) -> Result<(), Trouble> {
        let whole = here.len() + done.len() == bar.cuts.len();
        let new_stock = bar.bought && piece.first;
        let source = if new_stock { None } else { self.source(&piece.id, bar, piece)? };
        if !new_stock && source.is_none() {
            return Ok(());
        }
        let entry = source.map(|s| &self.before.offcuts()[s]);
        let spans: Vec<(i64, i64)> = entry
            .map(|e| e.unusable.iter().map(|s| (piece.from + nm(s.0.to_mm()), piece.from + nm(s.1.to_mm()))).collect())
            .unwrap_or_default();
        let cuts: Vec<Taken> = here.iter().map(|c| self.taken(&bar.cuts[*c])).collect();
        let not_yet = |c: &usize| !here.contains(c) && !done.contains(c);
        let still: Vec<(i64, i64)> =
            (0..bar.cuts.len()).filter(not_yet).map(|c| (bar.cuts[c].from, bar.cuts[c].to)).collect();
        let measured = self.left.remove(&piece.id);
        let end = cuts.iter().map(|c| c.to).max().unwrap_or(piece.from);
        could_be_left(&piece.id, measured, piece.to - end)?;
        let whole_bar = Bar {
            from: piece.from,
            to: piece.to,
            unusable: &spans,
            lost: self.lost(entry),
            trim: self.plan.trim,
            keep: self.plan.keep,
            still: &still,
            planned: bar.back.filter(|_| whole && spans.is_empty()),
            measured,
        };
        let stretches = whole_bar.parted(&cuts);
        for s in stretches.iter().filter(|s| s.becomes == Becomes::Back) {
            self.back(bar, piece, source, s, measured.filter(|_| s.to == piece.to), record);
        }
        self.booked.accounts.push(account(&piece.id, &stretches));
        if new_stock {
            self.booked.bought.push(bought(&bar.shape, &bar.size, &bar.material, bar.price));
        } else {
            self.out.push(piece.id.clone());
        }
        Ok(())
    }

    fn taken(&self, c: &PlanCut) -> Taken {
        let along = |deg: f64| libm::ceil(self.plan.kerf as f64 / libm::sin(deg.to_radians()).max(0.1)) as i64;
        Taken { from: c.from, to: c.to, kerfs: (along(c.left_deg), along(c.right_deg)) }
    }

    /// What the ends lose before they are square, nm.
    fn lost(&self, entry: Option<&BinEntry>) -> (i64, i64) {
        let Some(e) = entry else { return (self.plan.trim, self.plan.trim) };
        let slant = |degrees: f64| nm(e.slant(degrees).to_mm());
        (self.plan.trim + slant(e.ends_deg.0), self.plan.trim + slant(e.ends_deg.1) + nm(e.doubt.to_mm()))
    }

    /// The offcut that a bar of the plan is, if it is as the plan saw it.
    fn source(&mut self, id: &str, bar: &PlanBar, piece: &There) -> Result<Option<usize>, Trouble> {
        let Some(place) = self.before.offcuts().iter().position(|e| e.id == id) else {
            self.changed.push(format!("{id} is no longer in the bin"));
            return Ok(None);
        };
        let now = &self.before.offcuts()[place];
        if piece.first {
            return Ok(self.as_planned(id, place).then_some(place));
        }
        if now.stock.shape != bar.shape || nm(now.length.to_mm()) != piece.to - piece.from {
            self.changed.push(format!("{id} is not as it came back from the first booking of this plan"));
            return Ok(None);
        }
        Ok(Some(place))
    }

    fn back(
        &mut self,
        bar: &PlanBar,
        piece: &There,
        source: Option<usize>,
        s: &Stretch,
        measured: Option<i64>,
        record: &mut BookedBar,
    ) {
        let id = self.ids.next(&bar.shape);
        let old = source.map(|p| (&self.before.obj.list("offcut")[p], &self.before.offcuts()[p]));
        let from = match &old {
            Some(_) => format!("{}, job {}", piece.id, self.plan.job),
            None => format!("new {}, job {}", bar.size, self.plan.job),
        };
        let length = measured.unwrap_or(s.to - s.from);
        let obj = length_obj(bar, old, (s.from, s.to), (piece.from, piece.to), length, &from);
        record.back.push(Back { id: id.clone(), from: s.from, to: s.to });
        self.booked.back.push((id.clone(), words(&obj)));
        self.new.push((id, obj));
    }
}

/// All that was there and what became of it.
fn account(id: &str, stretches: &[Stretch]) -> Account {
    let sum = |what: Becomes| stretches.iter().filter(|s| s.becomes == what).map(|s| s.to - s.from).sum();
    Account {
        id: id.to_string(),
        length: stretches.iter().map(|s| s.to - s.from).sum(),
        pieces: sum(Becomes::Piece),
        back: sum(Becomes::Back),
        waste: sum(Becomes::Waste),
        kerf: sum(Becomes::Kerf),
        trim: sum(Becomes::Trim),
    }
}

/// What was measured cannot be longer than what lies behind the last cut, but for
/// a little: `most`, nm.
fn could_be_left(id: &str, measured: Option<i64>, most: i64) -> Result<(), Trouble> {
    let Some(left) = measured.filter(|l| *l > most + LONGER) else { return Ok(()) };
    let show = |nm: i64| show_length(Length::mm(nm as f64 / 1e6), System::Metric);
    let message = format!("{id} cannot have {} left: {} lie behind the last cut", show(left), show(most));
    Err(bare("bin-left", message, "measure again; the pieces were cut as planned, or the plan is made anew"))
}
