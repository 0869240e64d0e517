//! What matters of a finished job, on one screen: what to buy, what to cut, what
//! to beware of, where the files are.

use super::buy::BuyList;
use super::plan::CutPlan;
use super::text::{CAUTIONS, money};
use crate::checks::{Finding, Verdict};
use crate::diag::wrapped;
use crate::units::show_size;

/// Most kinds of hardware, ids of stock and findings that are named one by one.
const MOST_NAMED: usize = 3;
/// Most ids of stock that are named one by one.
const MOST_IDS: usize = 12;
/// Most lines of one entry.
const MOST_LINES: usize = 3;

/// What the summary is made from.
#[derive(Clone, Copy, Debug)]
pub struct Summary<'a> {
    /// What the job needs.
    pub buy: &'a BuyList<'a>,
    /// The cut plan.
    pub plan: &'a CutPlan,
    /// Whether the plan is proved, in a sentence.
    pub plan_says: &'a str,
    /// Outcomes of the checks.
    pub findings: &'a [Finding],
    /// What else the person must know.
    pub told: &'a [String],
    /// The files to open first.
    pub first: &'a [&'a str],
    /// How many more files there are.
    pub more: usize,
    /// The folder they are in.
    pub folder: &'a str,
}

fn many(n: usize, one: &str) -> String {
    format!("{n} {one}{}", if n == 1 { "" } else { "s" })
}

/// The first ones by name, the rest by number.
fn named(all: &[String], most: usize, between: &str) -> String {
    let shown = all.iter().take(most).cloned().collect::<Vec<_>>().join(between);
    match all.len().saturating_sub(most) {
        0 => shown,
        more => format!("{shown}{between}and {more} more"),
    }
}

impl Summary<'_> {
    /// As text; no line is longer than `width` columns but where a word is.
    pub fn text(&self, width: usize) -> String {
        let mut out = String::new();
        for (head, entries) in [
            ("To buy", self.purchases()),
            ("To cut", self.cuts()),
            ("Beware", self.beware()),
            ("Files", vec![self.files()]),
        ] {
            for (i, entry) in entries.iter().enumerate() {
                let head = if i == 0 { head } else { "" };
                let text = wrapped(entry, width.saturating_sub(9).max(20));
                for (j, line) in text.lines().take(MOST_LINES).enumerate() {
                    let head = if j == 0 { head } else { "" };
                    let cut = if j + 1 == MOST_LINES && text.lines().count() > MOST_LINES { " ..." } else { "" };
                    out += &format!("{head:<8} {line}{cut}\n");
                }
            }
        }
        format!("{out}\n{CAUTIONS}\n")
    }

    fn purchases(&self) -> Vec<String> {
        let mut out = vec![];
        let bought: Vec<&(String, i64, bool)> = self.buy.stock.iter().filter(|s| s.2).collect();
        let mut ids: Vec<(String, usize)> = vec![];
        for s in &bought {
            match ids.iter_mut().find(|i| i.0 == s.0) {
                Some(i) => i.1 += 1,
                None => ids.push((s.0.clone(), 1)),
            }
        }
        let ids: Vec<String> = ids.into_iter().map(|(id, n)| format!("{n} x {id}")).collect();
        let open = bought.iter().filter(|s| s.1 == 0).count();
        let open = if open > 0 { format!(", {open} without a price not counted") } else { String::new() };
        out.push(match bought.len() {
            0 => "no steel: all of it comes out of the bin".to_string(),
            _ => {
                let sum = bought.iter().map(|s| s.1).sum();
                format!("steel for {}{open}: {}", money(sum), named(&ids, MOST_IDS, ", "))
            }
        });
        let pieces: u32 = self.buy.hardware.iter().map(|h| h.1).sum();
        if pieces > 0 {
            let short = |item: &str| item.split([';', '(']).next().unwrap_or(item).trim().to_string();
            let kinds: Vec<String> = self.buy.hardware.iter().map(|(i, n)| format!("{n} {}", short(i))).collect();
            out.push(format!("hardware, {}: {}", many(pieces as usize, "piece"), named(&kinds, MOST_NAMED, "; ")));
        }
        let mut beside = vec![];
        if !self.buy.strips.is_empty() {
            beside.push("rubber and sheet goods");
        }
        if !self.buy.welds.is_empty() {
            beside.push("weld");
        }
        if pieces > 0 || !beside.is_empty() {
            beside.push("paint");
            out.push(format!("{}: see buy-list.txt", beside.join(", ")));
        }
        out
    }

    fn cuts(&self) -> Vec<String> {
        let bars = self.plan.bars.iter().map(|g| (g.plan.bars.iter().map(|b| b.cuts.len()).sum(), g.plan.bars.len()));
        let sheets =
            self.plan.sheets.iter().map(|g| (g.sheets.iter().map(|s| s.placements.len()).sum(), g.sheets.len()));
        let stock = self.plan.bars.iter().map(|g| &g.stock).chain(self.plan.sheets.iter().map(|g| &g.stock));
        let whole = |all: Vec<(usize, usize)>| all.into_iter().fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
        let (of_bars, of_sheets) = (whole(bars.collect()), whole(sheets.collect()));
        let both: Vec<String> = [(of_bars, "bar"), (of_sheets, "plate")]
            .into_iter()
            .filter(|((pieces, _), _)| *pieces > 0)
            .map(|((pieces, from), what)| format!("{} from {}", many(pieces, "piece"), many(from, what)))
            .collect();
        let sizes: Vec<String> = stock.map(|s| format!("{} {}", s.shape, show_size(&s.size))).collect();
        let mut out = vec![];
        if !both.is_empty() {
            out.push(format!("{}: {}", both.join(", "), named(&sizes, MOST_IDS, "; ")));
        }
        let used: Vec<String> = self.plan.stock().filter(|s| !s.2).map(|s| s.0.to_string()).collect();
        if !used.is_empty() {
            out.push(format!("offcuts used: {}", named(&used, MOST_IDS, ", ")));
        }
        out.push(self.plan_says.to_string());
        out
    }

    fn beware(&self) -> Vec<String> {
        let mut out = vec![];
        for (verdict, word) in [(Verdict::Fail, "FAILED"), (Verdict::Warn, "to look at")] {
            let these: Vec<&Finding> = self.findings.iter().filter(|f| f.verdict == verdict).collect();
            out.extend(these.iter().take(MOST_NAMED).map(|f| format!("{word}: {}: {}", f.part, f.says)));
            if these.len() > MOST_NAMED {
                out.push(format!("{word}: {} more, see findings.txt", these.len() - MOST_NAMED));
            }
        }
        out.extend(self.told.iter().take(MOST_NAMED).cloned());
        if self.told.len() > MOST_NAMED {
            out.push(format!("{} more: see --list", self.told.len() - MOST_NAMED));
        }
        let count = |v: Verdict| self.findings.iter().filter(|f| f.verdict == v).count();
        out.push(format!(
            "{} FAILED, {} to look at, {} within their rule, {}: see findings.txt",
            many(count(Verdict::Fail), "check"),
            count(Verdict::Warn),
            count(Verdict::Meets),
            many(count(Verdict::Note), "note")
        ));
        out
    }

    fn files(&self) -> String {
        let more = if self.more > 0 { format!(" and {} more (--list names them)", self.more) } else { String::new() };
        format!("{}: {}{more}", self.folder, self.first.join(", "))
    }
}
