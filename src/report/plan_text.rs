//! The cut plan in words, and as comma-separated values.

use super::json::why;
use super::plan::{CutPlan, Demand, SheetGroup, Substitute};
use super::saw::{SAW_ADVICE, SAW_INCH, chalk, chalk_numbers, from_where, name, saw_bars, saw_legend};
use super::sheets;
use super::tables::Table;
use super::text::{mm, money};
use crate::cut::{Stage, Uncut};
use crate::diag::wrapped;
use crate::drawing::{SawBar, Stop};
use crate::geom::Point;
use crate::piece::Stock;
use crate::units::{Length, System, show_length, show_size, trimmed};

fn proof(stages: &[Stage], proved: bool, steel: impl Fn(i64) -> String) -> String {
    if proved {
        // With a value on what goes back, that is what was weighed.
        return match stages.iter().any(|s| s.name == "net") {
            true => "proved: no plan loses less, in money and steel less what goes back".to_string(),
            false => "proved: no plan needs less money, none wastes less".to_string(),
        };
    }
    match stages.iter().find(|s| !s.proved) {
        Some(s) if s.name == "net" => {
            format!("not proved: what is lost is within {} of the least possible", money(s.value - s.bound))
        }
        Some(s) if s.name == "money" => {
            format!("not proved: the money is within {} of the least possible", money(s.value - s.bound))
        }
        Some(s) if s.name == "waste" => {
            format!(
                "proved: no plan needs less money; the waste is within {} of the best possible",
                steel(s.value - s.bound)
            )
        }
        _ => "not proved: perhaps another plan cuts more pieces".to_string(),
    }
}

/// The saw list: each bar and plate with its marks.
pub fn plan_text(plan: &CutPlan, system: System) -> String {
    let mut out = String::new();
    let (bar_numbers, sheet_numbers) = chalk_numbers(plan);
    let (mut stop, mut count) = (None, 0);
    let mut all: Vec<SawBar> = vec![];
    for (g, numbers) in plan.bars.iter().zip(&bar_numbers) {
        out += &format!("{} {}, {}\n", g.stock.shape, show_size(&g.stock.size), g.stock.material);
        for bar in saw_bars(g, numbers, system, &mut stop) {
            count += 1;
            out += &bar_text(count, &bar, system);
            all.push(bar);
        }
        if !g.plan.bars.is_empty() {
            let steel = |v: i64| mm(v as f64 * 1e-6, system);
            out += &format!("  {}\n", proof(&g.plan.stages, g.plan.proved, steel));
        }
        out += &uncut_text(&g.plan.uncut, &g.demands, plan.kerf_mm, system);
        out.push('\n');
    }
    for (g, numbers) in plan.sheets.iter().zip(&sheet_numbers) {
        out += &sheet_text(g, numbers, plan.kerf_mm, system);
        out.push('\n');
    }
    if plan.sheets.iter().flat_map(|g| &g.sheets).any(|s| !s.cuts.is_empty()) {
        out += &format!("{}\n", sheets::CUT_SIDE);
    }
    for s in &plan.substitutes {
        out += &format!("{}\n", wrapped(&substitute_words(s), LINE));
    }
    for words in &plan.notes {
        out += &format!("{}\n", wrapped(&format!("note: {words}"), LINE));
    }
    if plan.money() > 0 {
        out += &format!("to buy: {} in all\n", money(plan.money()));
    }
    for words in saw_advice(&all, system) {
        out += &format!("{}\n", wrapped(&words, LINE));
    }
    out
}

/// Longest line of a sentence, letters.
const LINE: usize = 110;

/// What stands in for what, and why.
pub fn substitute_words(s: &Substitute) -> String {
    let to = if s.taken.material == s.wanted.material {
        show_size(&s.taken.size)
    } else {
        format!("{} {}", s.taken.material, show_size(&s.taken.size))
    };
    let how = if s.ripped {
        format!("ripped to {}", s.wanted.size.first().map_or_else(String::new, |w| show_length(*w, System::Metric)))
    } else {
        "flat pattern and checks are worked out with it".to_string()
    };
    format!("{}: {} {to} stands in for {}: {}; {how}", s.part, s.taken.shape, show_size(&s.wanted.size), s.why)
}

/// What holds for every bar of a saw list.
pub fn saw_advice(bars: &[SawBar], system: System) -> Vec<String> {
    let mut out = vec![];
    if bars.is_empty() {
        return out;
    }
    out.push(SAW_ADVICE.to_string());
    if system == System::Inch {
        out.push(SAW_INCH.to_string());
    }
    out.extend(saw_legend(bars).map(String::from));
    out
}

fn bar_text(number: usize, bar: &SawBar, system: System) -> String {
    // What is bought is called by its length already.
    let length = if bar.which.starts_with("buy new ") {
        String::new()
    } else {
        format!(", {}", show_length(bar.length, system))
    };
    let mut out = format!("  {number}. {}{length}: marks from the left end\n", bar.which);
    if let Some((at, saw)) = bar.squared {
        let how = if saw.is_square() {
            "square off the left end".to_string()
        } else {
            format!("cut the left end, {}", saw.words())
        };
        out += &format!("    first {how}, at {}\n", show_length(at, system));
    }
    let unit = if system == System::Inch { "in" } else { "mm" };
    let show = |l: Length| show_length(l, system).trim_end_matches(unit).trim_end().to_string();
    let mut t = Table::new(&["chalk", ">from", ">to", ">length", ">stop", "saw", ">left then", "piece"]);
    for l in &bar.lines {
        let stop = match l.stop {
            Stop::Set(at) => show(at),
            Stop::Stays => "stays".to_string(),
            Stop::ByMark => "by mark".to_string(),
        };
        let piece = if l.says.is_empty() { l.piece.clone() } else { format!("{} ({})", l.piece, l.says) };
        t.row(vec![
            l.chalk.clone(),
            show(l.from),
            show(l.to),
            show(l.length),
            stop,
            l.saw_words(),
            show(l.left_then),
            piece,
        ]);
    }
    out += &t.text().lines().map(|l| format!("  {l}\n")).collect::<String>();
    for words in &bar.says {
        out += &format!("    {words}\n");
    }
    out
}

fn uncut_text(uncut: &[Uncut], demands: &[Demand], kerf_mm: f64, system: System) -> String {
    let mut out = String::new();
    let mut total = 0.0;
    for u in uncut {
        let d = &demands[u.demand];
        let wide = if d.width_mm > 0.0 { format!(" x {}", mm(d.width_mm, system)) } else { String::new() };
        out +=
            &format!("  NOT CUT: {} x {} of {}{wide}: {}\n", u.count, name(d), mm(d.length_mm, system), why(u.reason));
        total += f64::from(u.count) * (d.length_mm + kerf_mm);
    }
    if total > 0.0 && demands.iter().all(|d| d.width_mm == 0.0) {
        out += &format!("  look for or buy: {} in all with the saw cuts, longest piece first\n", mm(total, system));
    }
    out
}

fn sheet_text(g: &SheetGroup, numbers: &[usize], kerf_mm: f64, system: System) -> String {
    let mut out = format!("plate {}, {}\n", show_size(&g.stock.size), g.stock.material);
    for s in &g.sheets {
        let entry = g.entries.get(s.stock);
        let size = entry.map(|e| {
            format!("{} x {}", show_length(e.length, system), e.width.map_or(String::new(), |w| show_length(w, system)))
        });
        out += &format!(
            "  {}, {}: places from the lower left corner\n",
            from_where(&s.id, entry, s.bought),
            size.unwrap_or_default()
        );
        let mut t = Table::new(&["chalk", ">along", ">up", ">length", ">width", "piece"]);
        for p in &s.placements {
            let d = &g.demands[p.demand];
            let turn =
                if p.turn_deg == 0.0 { String::new() } else { format!(", turned {} deg", trimmed(p.turn_deg, 1)) };
            t.row(vec![
                chalk(numbers[p.demand], p.copy, d.count),
                mm(p.at.x, system),
                mm(p.at.y, system),
                mm(p.size.x, system),
                mm(p.size.y, system),
                format!("{}{turn}", name(d)),
            ]);
        }
        out += &t.text().lines().map(|l| format!("  {l}\n")).collect::<String>();
        for (i, c) in s.cuts.iter().enumerate() {
            let at = |p: Point| format!("{}, {}", mm(p.x, system), mm(p.y, system));
            let set = if c.set.is_empty() { String::new() } else { format!(" ({})", c.set) };
            out += &format!("    cut {}: from {} to {}{set}\n", i + 1, at(c.from), at(c.to));
        }
        for words in sheets::says(s, system) {
            out += &format!("    {words}\n");
        }
    }
    if !g.sheets.is_empty() {
        out += &format!("  {}\n", proof(&g.stages, g.proved, |v| format!("{} cm2", trimmed(v as f64 * 1e-8, 1))));
    }
    out + &uncut_text(&g.uncut, &g.demands, kerf_mm, system)
}

fn csv_cell(text: &str) -> String {
    if text.contains([',', '"', '\n']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.to_string() }
}

/// The cut plan as comma-separated values (RFC 4180), lengths in mm.
pub fn plan_csv(plan: &CutPlan) -> String {
    let mut out = String::from(
        "shape,size,material,stock,bought,part,piece,copy,from_mm,to_mm,length_mm,left_end_deg,right_end_deg,x_mm,y_mm,turn_deg,chalk,stop_mm,left_then_mm\r\n",
    );
    let n = |v: f64| trimmed(v, 3);
    let empty = String::new;
    let (bar_numbers, sheet_numbers) = chalk_numbers(plan);
    let mut stands = None;
    for (g, numbers) in plan.bars.iter().zip(&bar_numbers) {
        for (b, bar) in g.plan.bars.iter().zip(saw_bars(g, numbers, System::Metric, &mut stands)) {
            for (c, l) in b.cuts.iter().zip(&bar.lines) {
                let d = &g.demands[c.demand];
                let lies =
                    [n(c.from.to_mm()), n(c.to.to_mm()), n(d.length_mm), n(c.left.angle_deg), n(c.right.angle_deg)];
                let stop = if l.stop == Stop::ByMark { empty() } else { n(d.length_mm) };
                let last = [empty(), empty(), empty(), l.chalk.clone(), stop, n(l.left_then.to_mm())];
                out += &csv_line(&g.stock, (&b.id, b.bought), d, c.copy, &[&lies[..], &last].concat());
            }
        }
    }
    for (g, numbers) in plan.sheets.iter().zip(&sheet_numbers) {
        for s in &g.sheets {
            for p in &s.placements {
                let d = &g.demands[p.demand];
                let lies = [empty(), empty(), n(d.length_mm), empty(), empty()];
                let chalked = chalk(numbers[p.demand], p.copy, d.count);
                let last = [n(p.at.x), n(p.at.y), n(p.turn_deg), chalked, empty(), empty()];
                out += &csv_line(&g.stock, (&s.id, s.bought), d, p.copy, &[&lies[..], &last].concat());
            }
        }
    }
    out
}

fn csv_line(stock: &Stock, (id, bought): (&str, bool), d: &Demand, copy: u32, rest: &[String]) -> String {
    let copy = copy.to_string();
    let size = show_size(&stock.size);
    let bought = bought.to_string();
    let first = [&stock.shape, &size, &stock.material, id, &bought, &d.part, &d.piece, &copy];
    let cells = first.into_iter().chain(rest.iter().map(String::as_str)).map(csv_cell).collect::<Vec<_>>();
    format!("{}\r\n", cells.join(","))
}
