//! The saw list: what the person at the saw sets, marks and ticks off.
//!
//! All marks are measured from the same end of the bar and each is rounded by
//! itself, on writing, so that no rounding adds up along a bar. What does add
//! up is the blade's true width; hence the advice to measure what is left.

use super::json::turned;
use super::plan::{BarGroup, CutPlan, Demand};
use crate::cut::{BarCut, BarUse, CLAMPABLE, Nm};
use crate::drawing::{SawAngle, SawBar, SawLine, Stop};
use crate::stock::BinEntry;
use crate::units::{Length, System, show_length, show_size};

/// What to do when the steel and the list part ways.
pub const SAW_ADVICE: &str = "Measure what is left after each cut: where it differs from \"left then\", the blade is \
                              not as wide as the bin says, or the bar was measured wrong; set the marks out anew from \
                              the fresh end.";

/// Set lengths in inches are told to the nearest 1/64.
pub const SAW_INCH: &str = "Lengths are to the nearest 1/64 in, each from the marked end, so nothing adds up.";

fn length(nm: Nm) -> Length {
    Length::mm(nm.to_mm())
}

/// Name of a piece: part, piece, hand.
pub(super) fn name(d: &Demand) -> String {
    let both =
        if d.part == d.piece || d.piece.is_empty() { d.part.clone() } else { format!("{}, {}", d.part, d.piece) };
    if d.hand.is_empty() { both } else { format!("{both} {}", d.hand) }
}

/// Which bar or plate to fetch.
pub(super) fn from_where(id: &str, entry: Option<&BinEntry>, bought: bool) -> String {
    let place =
        entry.map(|e| e.place.as_str()).filter(|p| !p.is_empty()).map(|p| format!(" ({p})")).unwrap_or_default();
    let remarks = entry.map(|e| e.remarks().iter().map(|r| format!(", {r}")).collect::<String>()).unwrap_or_default();
    if bought { format!("buy {id}") } else { format!("{id}{place}{remarks}") }
}

/// Numbers to chalk on the pieces: each demand of each group its own, counted
/// through the job; bars first.
pub fn chalk_numbers(plan: &CutPlan) -> (Vec<Vec<usize>>, Vec<Vec<usize>>) {
    let mut next = 0;
    let mut number = |count: usize| -> Vec<usize> {
        let from = next + 1;
        next += count;
        (from..from + count).collect()
    };
    let bars = plan.bars.iter().map(|g| number(g.demands.len())).collect();
    let sheets = plan.sheets.iter().map(|g| number(g.demands.len())).collect();
    (bars, sheets)
}

/// What is chalked on one copy.
pub(super) fn chalk(number: usize, copy: u32, count: u32) -> String {
    if count > 1 { format!("{number}-{copy}") } else { number.to_string() }
}

/// The bars of one group, in the order of the saw; the stop stands where
/// `stop` says, and is left where the last bar leaves it.
pub fn saw_bars(g: &BarGroup, numbers: &[usize], system: System, stop: &mut Option<Nm>) -> Vec<SawBar> {
    let stock = format!("{} {}, {}", g.stock.shape, show_size(&g.stock.size), g.stock.material);
    g.plan.bars.iter().map(|b| one_bar(g, b, &stock, numbers, system, stop)).collect()
}

/// All bars of the plan.
pub fn saw_list(plan: &CutPlan, system: System) -> Vec<SawBar> {
    let (numbers, _) = chalk_numbers(plan);
    let mut stop = None;
    plan.bars.iter().zip(&numbers).flat_map(|(g, n)| saw_bars(g, n, system, &mut stop)).collect()
}

fn one_bar(g: &BarGroup, b: &BarUse, stock: &str, numbers: &[usize], system: System, stop: &mut Option<Nm>) -> SawBar {
    let entry = g.entries.get(b.stock);
    let whole = entry.map_or(Length::ZERO, |e| e.length);
    let mut lines = vec![];
    for (i, c) in b.cuts.iter().enumerate() {
        let before = i.checked_sub(1).map(|p| &b.cuts[p]);
        let left_then = b.cuts.get(i + 1).map_or(length(b.remainder) + length(b.far_trim), |n| whole - length(n.from));
        let d = &g.demands[c.demand];
        lines.push(SawLine {
            chalk: chalk(numbers[c.demand], c.copy, d.count),
            piece: name(d),
            from: length(c.from),
            to: length(c.to),
            length: Length::mm(d.length_mm),
            stop: stop_for(Nm(c.to.0 - c.from.0), stop),
            first: before.filter(|p| needs_own_cut(p, c)).map(|_| SawAngle::of_end(c.left.angle_deg)),
            saw: SawAngle::of_end(c.right.angle_deg),
            ends_deg: (c.left.angle_deg, c.right.angle_deg),
            left_then,
            says: [lies(d, c), rip(d, system)].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(", "),
        });
    }
    let first = b.cuts.first();
    let squared = first.map(|c| (length(c.from), SawAngle::of_end(c.left.angle_deg)));
    let price = if b.price > 0 { format!(", price {}", super::text::money(b.price)) } else { String::new() };
    SawBar {
        stock: stock.to_string(),
        which: format!("{}{price}", from_where(&b.id, entry, b.bought)),
        length: whole,
        squared: squared.filter(|s| s.0 > Length::ZERO || !s.1.is_square()),
        lines,
        unusable: entry.map(|e| e.unusable.clone()).unwrap_or_default(),
        back: b.kept.then(|| length(b.remainder) + length(b.far_trim)),
        says: [says(b, system), idle_spans(b, entry, system)].concat(),
    }
}

/// Whether the cut before leaves this piece's left end still to be cut.
fn needs_own_cut(before: &BarCut, c: &BarCut) -> bool {
    let square = |deg: f64| SawAngle::of_end(deg).is_square();
    !(before.shared || square(before.right.angle_deg) && square(c.left.angle_deg))
}

/// Where the stop goes: too short a piece is not held between stop and blade.
///
/// # Source
/// Common practice, no source; the length is [`CLAMPABLE`].
fn stop_for(piece: Nm, stands: &mut Option<Nm>) -> Stop {
    if piece < CLAMPABLE {
        return Stop::ByMark;
    }
    if *stands == Some(piece) {
        return Stop::Stays;
    }
    *stands = Some(piece);
    Stop::Set(length(piece))
}

/// How a mitred piece lies.
fn lies(d: &Demand, c: &BarCut) -> String {
    if [c.left, c.right].iter().all(|e| SawAngle::of_end(e.angle_deg).is_square()) {
        return String::new();
    }
    let mut says = format!("{} up", if d.across.is_empty() { "marked face" } else { &d.across });
    let lies = turned(c.turned);
    if !lies.is_empty() {
        says += &format!(", turned {lies}");
    }
    if c.shared {
        says += ", one cut with the next";
    }
    says
}

/// What is cut from a wider bar.
fn rip(d: &Demand, system: System) -> String {
    if d.rip_mm > 0.0 {
        format!("then rip to {} wide", show_length(Length::mm(d.rip_mm), system))
    } else {
        String::new()
    }
}

/// Sentences below a bar.
fn says(b: &BarUse, system: System) -> Vec<String> {
    let show = |nm: Nm| show_length(length(nm), system);
    let back = Nm(b.remainder.0 + b.far_trim.0);
    let mut out = vec![if b.kept {
        format!("{} goes back into the bin", show(back))
    } else {
        format!("{} is left over, too short to keep", show(b.remainder))
    }];
    if b.doubt > Nm::ZERO {
        out.push(format!("{} of it is held back, in case the bar is shorter than it was measured", show(b.doubt)));
    }
    if b.short_hold {
        out.push(format!(
            "CAREFUL: at the last cut the vice holds less than {}; clamp a block beside it or cut it by hand",
            show(CLAMPABLE)
        ));
    }
    out
}

/// Sound steel of the bar between bad spans out of which nothing is cut.
fn idle_spans(b: &BarUse, entry: Option<&BinEntry>, system: System) -> Vec<String> {
    let Some(entry) = entry.filter(|e| !e.unusable.is_empty()) else { return vec![] };
    let mut borders = vec![Length::ZERO];
    borders.extend(entry.unusable.iter().flat_map(|s| [s.0, s.1]));
    borders.push(entry.length);
    let idle = borders.chunks(2).filter(|s| {
        let used = b.cuts.iter().any(|c| length(c.from) >= s[0] && length(c.from) < s[1]);
        // Behind the last piece it is what is left over.
        let behind = b.cuts.last().is_some_and(|c| length(c.to) <= s[0]) && s[1] == entry.length;
        s[1] > s[0] && !used && !behind
    });
    let show = |l: Length| show_length(l, system);
    idle.map(|s| format!("{} between {} and {} stays sound and unused", show(s[1] - s[0]), show(s[0]), show(s[1])))
        .collect()
}

/// What the angles of the saw mean, where there are any.
pub fn saw_legend(bars: &[SawBar]) -> Option<&'static str> {
    let mitred = bars.iter().flat_map(|b| &b.lines).any(|l| !l.saw.is_square() || l.first.is_some());
    mitred.then_some(
        "Angles are what the scale of the saw shows: 0 is square. \"long below\": the long point is on the lower edge \
         of the face that is up, seen with the marked end to the left; marks and lengths are to the long points.",
    )
}
