//! Booking a plan after the steel is cut: what was used leaves the bin, what is
//! worth keeping comes back under a new id.

mod bars;
mod plates;

use super::change::taken_out;
use super::plan_file::{Plan, nm, read_plan};
use super::{Change, Ids, Opened, bare, disk, has_landed, last_record, opened, unreadable, write};
use crate::report::entry_json;
use crate::run::Trouble;
use crate::source::{Guard, Obj, nearest};
use crate::stock::edit::put_in;
use crate::stock::{Booked as BookedRecord, Record, block};
use crate::units::{Length, System, parse_length, show_length, trimmed};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

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

impl Booked {
    /// In words, for whoever stands at the rack.
    pub fn text(&self, bin: &Path) -> String {
        let b = self;
        let mut out = format!("{}: booked in {} as change {}\n\n", b.job, bin.display(), b.number);
        if !b.out.is_empty() {
            out += &format!("out of the bin: {}\n", b.out.join(", "));
        }
        if !b.bought.is_empty() {
            out += &format!("bought:         {}\n", b.bought.join("; "));
        }
        if !b.back.is_empty() {
            out += "back into the bin, with a new id to be chalked on; measure each once more:\n";
            for (id, line) in &b.back {
                out += &format!("  {id:<8}{line}\n");
            }
        }
        let sum = |of: fn(&Account) -> i64| b.accounts.iter().map(of).sum::<i64>() as f64 / 1e6;
        if !b.accounts.is_empty() {
            let mm = |v: f64| format!("{} mm", trimmed(v, 1));
            out += &format!(
                "\nbars: {} cut up: {} in pieces, {} back, {} sawn away, {} squared off, {} too short to keep\n",
                mm(sum(|a| a.length)),
                mm(sum(|a| a.pieces)),
                mm(sum(|a| a.back)),
                mm(sum(|a| a.kerf)),
                mm(sum(|a| a.trim)),
                mm(sum(|a| a.waste)),
            );
        }
        out
    }
}

/// Bookings of the same plan that have not been taken back.
fn earlier(guard: &Guard, plan: &Plan) -> Result<Vec<BookedRecord>, Trouble> {
    let mut taken_back = BTreeSet::new();
    let mut out = vec![];
    for number in (1..=guard.last_record().unwrap_or(0)).rev() {
        let Ok(text) = guard.record(number) else { continue };
        let record = Record::read(&text).map_err(|e| unreadable(number, &e))?;
        taken_back.extend(record.took_back);
        if let Some(booked) = record.booked.filter(|b| b.plan == plan.mark && !taken_back.contains(&number)) {
            out.push(booked);
        }
    }
    out.reverse();
    Ok(out)
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

/// What had to be bought, in words.
fn bought(shape: &str, size: &str, material: &str, price: f64) -> String {
    let price = if price > 0.0 { format!(", price {price}") } else { String::new() };
    format!("{shape} {size} {material}{price}")
}

/// Parts that are named are in the plan.
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
            // A hold that ended, or that is for this very job, is in nobody's way.
            let is_free = *key == "held_for" && b.as_str().is_none_or(|b| b == job);
            if a != b && !is_free {
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
            edits.push(put_in(&text, &blocks.join("\n")));
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
