//! Booking a plan after the steel is cut: what was used leaves the bin, what is
//! worth keeping comes back under a new id.

use super::back::{corners_obj, length_obj};
use super::change::taken_out;
use super::parted::{Bar, Becomes, Stretch, Taken};
use super::plan_file::{Plan, PlanBar, nm, read_plan};
use super::{Change, Ids, Opened, bare, disk, has_landed, last_record, opened, write};
use crate::report::entry_json;
use crate::run::Trouble;
use crate::source::{Guard, Obj, nearest};
use crate::stock::edit::{apply, put_in};
use crate::stock::{Back, BinEntry, Booked as BookedRecord, BookedBar, Record, block};
use crate::units::{Length, System, parse_length, show_length};
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

/// Longer than the plan says by more than this is a slip of the tape, nm.
const LONGER: i64 = 5_000_000;
/// Facts of an offcut that a booking holds against the plan.
const FACTS: &[&str] = &[
    "shape",
    "size",
    "material",
    "length_mm",
    "width_mm",
    "outline",
    "holes",
    "doubt_mm",
    "unusable_mm",
    "left_end_deg",
    "right_end_deg",
    "keep",
    "held_for",
];

/// What is to be booked.
#[derive(Clone, Debug, Default)]
pub struct BookRequest {
    /// The bin.
    pub bin: PathBuf,
    /// `job.json` of the output folder.
    pub plan: PathBuf,
    /// Only these parts; all when empty.
    pub only: Vec<String>,
    /// What was really left of bars, by their id.
    pub left: Vec<(String, Length)>,
}

/// What became of one bar or a piece of it, whole nm along its marked edge.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Account {
    /// Its id; what was bought has the id of the plan.
    pub id: String,
    /// All that was there.
    pub length: i64,
    /// Pieces.
    pub pieces: i64,
    /// Back in the bin.
    pub back: i64,
    /// Too short to keep.
    pub waste: i64,
    /// Eaten by the saw.
    pub kerf: i64,
    /// Squared off.
    pub trim: i64,
}

/// What was booked.
#[derive(Clone, Debug, Default)]
pub struct Booked {
    /// The job.
    pub job: String,
    /// Number in the history.
    pub number: u64,
    /// Offcuts that left.
    pub out: Vec<String>,
    /// What came back: id, and words for a person.
    pub back: Vec<(String, String)>,
    /// What had to be bought.
    pub bought: Vec<String>,
    /// The bars one by one.
    pub accounts: Vec<Account>,
}

/// Bookings of the same plan that have not been taken back.
fn earlier(guard: &Guard, plan: &Plan) -> Result<Vec<BookedRecord>, Trouble> {
    let mut taken_back = BTreeSet::new();
    let mut out = vec![];
    for number in (1..=guard.last_record().unwrap_or(0)).rev() {
        let Ok(text) = guard.record(number) else { continue };
        let record =
            Record::read(&text).map_err(|e| bare("bin-record", format!("record {number}: {e}"), "look at the file"))?;
        taken_back.extend(record.took_back);
        if let Some(booked) = record.booked.filter(|b| b.plan == plan.mark && !taken_back.contains(&number)) {
            out.push(booked);
        }
    }
    out.reverse();
    Ok(out)
}

/// A part of a bar that is there: its id, and where it lies on the bar.
#[derive(Clone)]
struct There {
    id: String,
    from: i64,
    to: i64,
    /// Cut off already, so that its near or far end is not the bar's own.
    first: bool,
}

/// Book a plan.
///
/// # Errors
/// A plan that is not there or has been booked; an offcut that has changed since
/// it was made; a name that the plan does not know; a bin that cannot be written.
/// The bin is then as it was.
pub fn book(request: &BookRequest) -> Result<Booked, Trouble> {
    let plan = read_plan(&request.plan)?;
    knows(&plan, request)?;
    let guard = Guard::take(&request.bin, &has_landed).map_err(|e| disk(&e))?;
    let last = last_record(&guard)?;
    let before = opened(&request.bin, guard.text())?;
    let earlier = earlier(&guard, &plan)?;
    let mut work = Work {
        plan: &plan,
        request,
        before: &before,
        ids: Ids::of(before.offcuts(), last.as_ref().map(|l| &l.1)),
        out: vec![],
        new: vec![],
        booked: Booked { job: plan.job.clone(), ..Booked::default() },
        record: BookedRecord { job: plan.job.clone(), plan: plan.mark.clone(), ..BookedRecord::default() },
        changed: vec![],
        left: request.left.iter().map(|(id, l)| (id.clone(), nm(l.to_mm()))).collect(),
    };
    for (number, bar) in plan.bars.iter().enumerate() {
        work.bar(number, bar, &earlier)?;
    }
    for number in 0..plan.sheets.len() {
        work.sheet(number, &earlier)?;
    }
    work.finish(guard, last.as_ref(), &earlier)
}

/// What comes back, short and rounded.
fn words(obj: &Obj) -> String {
    let word = |key: &str| obj.word(key).unwrap_or("");
    let show = |key: &str| {
        let text = word(key);
        parse_length(text, None).map_or(text.to_string(), |l| match text.ends_with("in") {
            true => text.to_string(),
            false => show_length(l, System::Metric),
        })
    };
    let size = match (obj.has("length"), obj.has("width")) {
        (true, true) => format!("{} x {}", show("length"), show("width")),
        (true, false) => show("length"),
        _ => "shaped".to_string(),
    };
    let place = if obj.has("where") { format!(", {}", word("where")) } else { String::new() };
    format!("{} {}, {size}{place}", word("shape"), word("size"))
}

/// Parts and bars that are named are in the plan.
fn knows(plan: &Plan, request: &BookRequest) -> Result<(), Trouble> {
    let parts: BTreeSet<&str> = plan
        .bars
        .iter()
        .flat_map(|b| b.cuts.iter().map(|c| c.part.as_str()))
        .chain(plan.sheets.iter().flat_map(|s| s.placements.iter().map(|p| p.part.as_str())))
        .collect();
    for part in &request.only {
        if !parts.contains(part.as_str()) {
            let near =
                nearest(part, parts.iter().copied()).map(|n| format!("did you mean \"{n}\"? ")).unwrap_or_default();
            let all = parts.iter().copied().collect::<Vec<_>>().join(", ");
            return Err(bare(
                "bin-plan",
                format!("the plan cuts no part \"{part}\""),
                &format!("{near}it cuts: {all}"),
            ));
        }
    }
    Ok(())
}

struct Work<'a> {
    plan: &'a Plan,
    request: &'a BookRequest,
    before: &'a Opened,
    ids: Ids,
    /// Ids that leave.
    out: Vec<String>,
    /// What comes back: id and keys.
    new: Vec<(String, Obj)>,
    booked: Booked,
    record: BookedRecord,
    /// What is not as the plan saw it, in words.
    changed: Vec<String>,
    left: BTreeMap<String, i64>,
}

impl Work<'_> {
    fn wanted(&self, part: &str) -> bool {
        self.request.only.is_empty() || self.request.only.iter().any(|o| o == part)
    }

    fn bar(&mut self, number: usize, bar: &PlanBar, earlier: &[BookedRecord]) -> Result<(), Trouble> {
        let mut there = vec![There { id: bar.stock.clone(), from: 0, to: bar.length, first: true }];
        let mut done = BTreeSet::new();
        for booked in earlier.iter().flat_map(|b| &b.bar).filter(|b| b.number == number) {
            done.extend(booked.cuts.iter().copied());
            let back = |b: &Back| There { id: b.id.clone(), from: b.from, to: b.to, first: false };
            let cut: Vec<&super::plan_file::PlanCut> = booked.cuts.iter().filter_map(|c| bar.cuts.get(*c)).collect();
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
        if let Some(left) = measured.filter(|l| *l > piece.to - end + LONGER) {
            let most = show_length(Length::mm((piece.to - end) as f64 / 1e6), System::Metric);
            let message =
                format!("{} cannot have {} mm left: {most} lie behind the last cut", piece.id, left as f64 / 1e6);
            return Err(bare(
                "bin-left",
                message,
                "measure again; the pieces were cut as planned, or the plan is made anew",
            ));
        }
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
        let mut account = Account { id: piece.id.clone(), length: piece.to - piece.from, ..Account::default() };
        for s in &stretches {
            let place = match s.becomes {
                Becomes::Piece => &mut account.pieces,
                Becomes::Kerf => &mut account.kerf,
                Becomes::Trim => &mut account.trim,
                Becomes::Back => &mut account.back,
                Becomes::Waste => &mut account.waste,
            };
            *place += s.to - s.from;
        }
        for s in stretches.iter().filter(|s| s.becomes == Becomes::Back) {
            self.back(bar, piece, source, s, measured.filter(|_| s.to == piece.to), record);
        }
        self.booked.accounts.push(account);
        if new_stock {
            let price = if bar.price > 0.0 { format!(", price {}", bar.price) } else { String::new() };
            self.booked.bought.push(format!("{} {} {}{price}", bar.shape, bar.size, bar.material));
        } else {
            self.out.push(piece.id.clone());
        }
        Ok(())
    }

    fn taken(&self, c: &super::plan_file::PlanCut) -> Taken {
        let along = |deg: f64| libm::ceil(self.plan.kerf as f64 / libm::sin(deg.to_radians()).max(0.1)) as i64;
        Taken { from: c.from, to: c.to, kerfs: (along(c.left_deg), along(c.right_deg)) }
    }

    /// What the ends lose before they are square, nm.
    fn lost(&self, entry: Option<&BinEntry>) -> (i64, i64) {
        let Some(e) = entry else { return (self.plan.trim, self.plan.trim) };
        let depth = e.stock.size.iter().map(|s| s.to_mm()).fold(0.0, f64::max);
        let slant = |deg: f64| if deg == 90.0 { 0 } else { nm(depth / libm::tan(deg.to_radians())) };
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

    /// Whether an offcut is as the plan saw it; what differs is told.
    fn as_planned(&mut self, id: &str, place: usize) -> bool {
        let now = entry_json(&self.before.offcuts()[place]);
        let Some(then) = self.plan.stock.iter().find(|s| s["id"] == *id) else {
            self.changed.push(format!("the plan does not say what {id} was"));
            return false;
        };
        let job = &self.plan.job;
        let mut same = true;
        for key in FACTS {
            let (a, b) = (&then[*key], &now[*key]);
            let held_for_this = *key == "held_for" && b.as_str() == Some(job);
            if a != b && !held_for_this {
                let told = |v: &serde_json::Value| if v.is_null() { "not told".to_string() } else { v.to_string() };
                let what = format!(
                    "{id}: {} was {} when the plan was made, and is {}",
                    key.replace('_', " "),
                    told(a),
                    told(b)
                );
                self.changed.push(what);
                same = false;
            }
        }
        same
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

    fn sheet(&mut self, number: usize, earlier: &[BookedRecord]) -> Result<(), Trouble> {
        let sheet = &self.plan.sheets[number];
        if earlier.iter().any(|b| b.plates.contains(&number)) {
            return Ok(());
        }
        let wanted = sheet.placements.iter().filter(|p| self.wanted(&p.part)).count();
        if wanted == 0 {
            return Ok(());
        }
        if wanted < sheet.placements.len() {
            let others: BTreeSet<&str> =
                sheet.placements.iter().map(|p| p.part.as_str()).filter(|p| !self.wanted(p)).collect();
            let others = others.into_iter().map(|o| format!("--only \"{o}\"")).collect::<Vec<_>>().join(" ");
            let message = format!("a plate is booked as a whole: {} also holds other parts", sheet.stock);
            return Err(bare("bin-plan", message, &format!("add {others}")));
        }
        let source = if sheet.bought { None } else { self.before.offcuts().iter().position(|e| e.id == sheet.stock) };
        match source {
            None if !sheet.bought => {
                self.changed.push(format!("{} is no longer in the bin", sheet.stock));
                return Ok(());
            }
            Some(place) if !self.as_planned(&sheet.stock, place) => return Ok(()),
            _ => {}
        }
        if sheet.bought {
            let price = if sheet.price > 0.0 { format!(", price {}", sheet.price) } else { String::new() };
            self.booked.bought.push(format!("plate {} {}{price}", sheet.size, sheet.material));
        } else {
            self.out.push(sheet.stock.clone());
        }
        let from = match source {
            Some(_) => format!("{}, job {}", sheet.stock, self.plan.job),
            None => format!("new plate {}, job {}", sheet.size, self.plan.job),
        };
        for rest in sheet.leftovers.iter().filter(|l| l.kept) {
            let old = source.map(|p| &self.before.obj.list("offcut")[p]);
            let obj = corners_obj(sheet, old, rest, &from);
            let id = self.ids.next("plate");
            self.booked.back.push((id.clone(), words(&obj)));
            self.new.push((id, obj));
        }
        self.record.plates.push(number);
        Ok(())
    }

    fn finish(
        mut self,
        guard: Guard,
        last: Option<&(u64, Record)>,
        earlier: &[BookedRecord],
    ) -> Result<Booked, Trouble> {
        if !self.changed.is_empty() {
            let message = format!("the bin is not as the plan saw it: {}", self.changed.join("; "));
            return Err(bare("bin-changed", message, "make the plan anew with droprack make JOB, or mend the bin"));
        }
        if let Some(id) = self.left.keys().next() {
            let message = format!("--left {id}: the plan cuts nothing from it now");
            return Err(bare("bin-left", message, "name a bar that the plan cuts"));
        }
        if self.record.bar.is_empty() && self.record.plates.is_empty() {
            let message = if earlier.is_empty() { "the plan cuts nothing" } else { "this plan is booked already" };
            return Err(bare("bin-booked", message, "droprack bin history shows it; droprack bin undo takes it back"));
        }
        let (text, mut edits) = taken_out(self.before, &self.out)?;
        if !self.new.is_empty() {
            let blocks: Vec<String> = self.new.iter().map(|(id, obj)| block(id, obj)).collect();
            let edit = put_in(&text, &blocks.join("\n"));
            apply(&text, std::slice::from_ref(&edit)).map_err(|e| bare("bin-write", e, "run it again"))?;
            edits.push(edit);
        }
        let ids = |all: &[String]| if all.is_empty() { "nothing".to_string() } else { all.join(", ") };
        let back: Vec<String> = self.booked.back.iter().map(|b| b.0.clone()).collect();
        let bought = if self.booked.bought.is_empty() {
            String::new()
        } else {
            format!("; bought {}", self.booked.bought.join(", "))
        };
        let says = format!("job {}: {} used, {} back{bought}", self.plan.job, ids(&self.out), ids(&back));
        let touched = self.out.iter().chain(&back).cloned().collect();
        let change = Change { what: "book", says, edits, touched, booked: Some(self.record), ..Change::default() };
        self.booked.out = self.out;
        self.booked.number = write(&self.request.bin, guard, last, self.before, self.ids, change)?;
        Ok(self.booked)
    }
}
