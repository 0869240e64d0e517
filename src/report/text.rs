//! What commands print: flat patterns, findings, the saw list, templates.

use super::json::{turned, why};
use super::plan::{BarGroup, CutPlan, Demand, SheetGroup};
use super::tables::Table;
use crate::checks::{Finding, Verdict};
use crate::cut::{BarUse, CLAMPABLE, Nm, Stage, Uncut};
use crate::flat::FlatPattern;
use crate::geom::Point;
use crate::piece::{BendTurn, Hand, HoleShape};
use crate::stock::BinEntry;
use crate::template::Template;
use crate::units::{Length, System, show_length, show_mass, show_size, trimmed};

/// The cautions that every output shows.
pub const CAUTIONS: &str = "\
These parts hold fuel, steering and brakes: a failure can kill people. Nothing here is an approval, and a check
that is met is no release. Follow the law and the inspection scheme of the place where the vehicle is used; ask a
licensed engineer in doubt. No hot work on or near a tank that has held fuel.";

fn mm(v: f64, system: System) -> String {
    show_length(Length::mm(v), system)
}

fn nm(v: Nm, system: System) -> String {
    mm(v.to_mm(), system)
}

/// A price as money is written; a finer price keeps its decimals.
fn money(price: i64) -> String {
    let places = if price % 100 == 0 { 2 } else { 4 };
    format!("{:.places$}", price as f64 / 10_000.0)
}

fn hole_size(shape: HoleShape, system: System) -> String {
    match shape {
        HoleShape::Round { diameter } => format!("round {}", mm(diameter, system)),
        HoleShape::Slot { length, width, lies } => {
            format!(
                "slot {} x {}, lies at {} deg",
                mm(length, system),
                mm(width, system),
                trimmed(lies.to_degrees(), 1)
            )
        }
        HoleShape::Ellipse { major, minor, lies } => {
            format!(
                "ellipse {} x {}, lies at {} deg",
                mm(major, system),
                mm(minor, system),
                trimmed(lies.to_degrees(), 1)
            )
        }
        HoleShape::Rectangle { length, width, .. } => {
            format!("rectangle {} x {}", mm(length, system), mm(width, system))
        }
    }
}

/// The flat patterns in words.
pub fn flat_text(flats: &[FlatPattern], system: System) -> String {
    let mut out = String::new();
    for f in flats {
        let hand = match f.hand {
            Some(Hand::Left) => ", LEFT hand",
            Some(Hand::Right) => ", RIGHT hand",
            None => "",
        };
        out += &format!("{} / {}{hand}\n", f.part, f.piece);
        out += &format!(
            "  make {} from {} {}, {}: {} long, {} each\n",
            f.copies,
            f.stock.shape,
            show_size(&f.stock.size),
            f.stock.material,
            mm(f.length.to_mm(), system),
            show_mass(f.mass, system)
        );
        if f.form == "plate" {
            out += &format!("  blank {} x {}\n", mm(f.length.to_mm(), system), mm(f.width.to_mm(), system));
        }
        if let Some((left, right)) = f.ends_deg.filter(|e| (e.0 - 90.0).abs() > 1e-3 || (e.1 - 90.0).abs() > 1e-3) {
            out +=
                &format!("  ends: left {} deg, right {} deg (90 deg is square)\n", trimmed(left, 2), trimmed(right, 2));
        }
        for b in &f.bend_lines {
            let way = if b.turn == BendTurn::Up { "up" } else { "down" };
            out += &format!(
                "  bend line at {}: {way} {} deg, inside radius {}, tangent lines {} and {}\n",
                mm(b.from.x, system),
                trimmed(b.angle.to_degrees(), 1),
                mm(b.inside_radius.to_mm(), system),
                mm(b.tangent_left, system),
                mm(b.tangent_right, system)
            );
        }
        out += &hole_table(f, system);
        for n in &f.notes {
            out += &format!("  note: {n}\n");
        }
        out.push('\n');
    }
    out
}

fn hole_table(f: &FlatPattern, system: System) -> String {
    if f.holes.is_empty() {
        return String::new();
    }
    let mut t = Table::new(&["hole", ">x", ">y", "size", "on", "for"]);
    for h in &f.holes {
        let on = h.flat.clone().unwrap_or_else(|| h.face.clone());
        let Point { x, y } = h.at;
        t.row(vec![h.letter.clone(), mm(x, system), mm(y, system), hole_size(h.shape, system), on, h.name.clone()]);
    }
    t.text()
}

/// The findings in words, worst first.
pub fn check_text(findings: &[Finding]) -> String {
    let mut sorted: Vec<&Finding> = findings.iter().collect();
    sorted
        .sort_by(|a, b| b.verdict.cmp(&a.verdict).then_with(|| a.part.cmp(&b.part)).then_with(|| a.code.cmp(&b.code)));
    let mut out = String::new();
    for f in &sorted {
        let word = match f.verdict {
            Verdict::Fail => "FAILS",
            Verdict::Warn => "LOOK",
            Verdict::Meets => "meets",
            Verdict::Note => "note",
        };
        out += &format!("{word:>5}  {}: {}\n", f.part, f.says);
        if f.verdict >= Verdict::Warn {
            out += &format!("         rule {}; {}\n", f.code, f.source);
        }
    }
    let count = |v: Verdict| findings.iter().filter(|f| f.verdict == v).count();
    out + &format!(
        "{} met, {} to look at, {} failed\n",
        count(Verdict::Meets),
        count(Verdict::Warn),
        count(Verdict::Fail)
    )
}

fn name(d: &Demand) -> String {
    let both =
        if d.part == d.piece || d.piece.is_empty() { d.part.clone() } else { format!("{}, {}", d.part, d.piece) };
    if d.hand.is_empty() { both } else { format!("{both} {}", d.hand) }
}

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
    for g in &plan.bars {
        out += &format!("{} {}, {}\n", g.stock.shape, show_size(&g.stock.size), g.stock.material);
        for b in &g.plan.bars {
            out += &bar_text(g, b, system);
        }
        if !g.plan.bars.is_empty() {
            let steel = |v: i64| mm(v as f64 * 1e-6, system);
            out += &format!("  {}\n", proof(&g.plan.stages, g.plan.proved, steel));
        }
        out += &uncut_text(&g.plan.uncut, &g.demands, plan.kerf_mm, system);
        out.push('\n');
    }
    for g in &plan.sheets {
        out += &sheet_text(g, plan.kerf_mm, system);
        out.push('\n');
    }
    if plan.money() > 0 {
        out += &format!("to buy: {} in all\n", money(plan.money()));
    }
    out
}

fn from_where(id: &str, entry: Option<&BinEntry>, bought: bool) -> String {
    let place =
        entry.map(|e| e.place.as_str()).filter(|p| !p.is_empty()).map(|p| format!(" ({p})")).unwrap_or_default();
    if bought { format!("buy {id}") } else { format!("{id}{place}") }
}

fn bar_text(g: &BarGroup, b: &BarUse, system: System) -> String {
    let entry = g.entries.get(b.stock);
    // What is bought is called by its length already.
    let length = entry.filter(|_| !b.id.starts_with("new ")).map(|e| format!(", {}", show_length(e.length, system)));
    let length = length.unwrap_or_default();
    let price = if b.price > 0 { format!(", price {}", money(b.price)) } else { String::new() };
    let mut out = format!("  {}{length}{price}: marks from the left end\n", from_where(&b.id, entry, b.bought));
    let mut t = Table::new(&[">from", ">to", ">length", "piece", "ends"]);
    for c in &b.cuts {
        let d = &g.demands[c.demand];
        let (left, right) = (c.left.angle_deg, c.right.angle_deg);
        let square = (left - 90.0).abs() < 1e-3 && (right - 90.0).abs() < 1e-3;
        let ends = if square {
            "square".to_string()
        } else {
            let lies = turned(c.turned);
            let lies = if lies.is_empty() { String::new() } else { format!(", turned {lies}") };
            let shared = if c.shared { ", one cut with the next" } else { "" };
            format!("{} / {} deg across the {}{lies}{shared}", trimmed(left, 1), trimmed(right, 1), d.across)
        };
        let copy = if d.count > 1 { format!(" ({} of {})", c.copy, d.count) } else { String::new() };
        t.row(vec![nm(c.from, system), nm(c.to, system), mm(d.length_mm, system), format!("{}{copy}", name(d)), ends]);
    }
    out += &t.text().lines().map(|l| format!("  {l}\n")).collect::<String>();
    let back = Nm(b.remainder.0 + b.far_trim.0);
    out += &if b.kept {
        format!("    {} goes back into the bin\n", nm(back, system))
    } else {
        format!("    {} is left over, too short to keep\n", nm(b.remainder, system))
    };
    if b.doubt > Nm::ZERO {
        out += &format!(
            "    {} of it is held back, in case the bar is shorter than it was measured\n",
            nm(b.doubt, system)
        );
    }
    if b.short_hold {
        out += &format!(
            "    CAREFUL: at the last cut the vice holds less than {}; clamp a block beside it or cut it by hand\n",
            nm(CLAMPABLE, system)
        );
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

fn sheet_text(g: &SheetGroup, kerf_mm: f64, system: System) -> String {
    let mut out = format!("plate {}, {}\n", show_size(&g.stock.size), g.stock.material);
    for s in &g.plan.sheets {
        let entry = g.entries.get(s.stock);
        let size = entry.map(|e| {
            format!("{} x {}", show_length(e.length, system), e.width.map_or(String::new(), |w| show_length(w, system)))
        });
        out += &format!(
            "  {}, {}: places from the lower left corner\n",
            from_where(&s.id, entry, s.bought),
            size.unwrap_or_default()
        );
        let mut t = Table::new(&[">along", ">up", ">length", ">width", "blank for"]);
        for p in &s.placements {
            let d = &g.demands[p.demand];
            let copy = if d.count > 1 { format!(" ({} of {})", p.copy, d.count) } else { String::new() };
            t.row(vec![
                nm(p.rect.x, system),
                nm(p.rect.y, system),
                nm(p.rect.length, system),
                nm(p.rect.width, system),
                format!("{}{copy}{}", name(d), if p.turned { ", turned" } else { "" }),
            ]);
        }
        out += &t.text().lines().map(|l| format!("  {l}\n")).collect::<String>();
        for (i, c) in s.cuts.iter().enumerate() {
            let at = |p: (Nm, Nm)| format!("{}, {}", nm(p.0, system), nm(p.1, system));
            out += &format!("    cut {}: from {} to {}\n", i + 1, at(c.from), at(c.to));
        }
        for l in s.leftovers.iter().filter(|l| l.kept) {
            out +=
                &format!("    {} x {} goes back into the bin\n", nm(l.rect.length, system), nm(l.rect.width, system));
        }
    }
    if !g.plan.sheets.is_empty() {
        out += &format!(
            "  {}\n",
            proof(&g.plan.stages, g.plan.proved, |v| format!("{} cm2", trimmed(v as f64 * 1e-8, 1)))
        );
    }
    out + &uncut_text(&g.plan.uncut, &g.demands, kerf_mm, system)
}

fn csv_cell(text: &str) -> String {
    if text.contains([',', '"', '\n']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.to_string() }
}

/// The cut plan as comma-separated values (RFC 4180), lengths in mm.
pub fn plan_csv(plan: &CutPlan) -> String {
    let mut out = String::from(
        "shape,size,material,stock,bought,part,piece,copy,from_mm,to_mm,length_mm,left_end_deg,right_end_deg,x_mm,y_mm,turn_deg\r\n",
    );
    let mut line = |cells: Vec<String>| {
        out += &cells.iter().map(|c| csv_cell(c)).collect::<Vec<_>>().join(",");
        out += "\r\n";
    };
    let n = |v: f64| trimmed(v, 3);
    for g in &plan.bars {
        for b in &g.plan.bars {
            for c in &b.cuts {
                let d = &g.demands[c.demand];
                line(vec![
                    g.stock.shape.clone(),
                    show_size(&g.stock.size),
                    g.stock.material.clone(),
                    b.id.clone(),
                    b.bought.to_string(),
                    d.part.clone(),
                    d.piece.clone(),
                    c.copy.to_string(),
                    n(c.from.to_mm()),
                    n(c.to.to_mm()),
                    n(d.length_mm),
                    n(c.left.angle_deg),
                    n(c.right.angle_deg),
                    String::new(),
                    String::new(),
                    String::new(),
                ]);
            }
        }
    }
    for g in &plan.sheets {
        for s in &g.plan.sheets {
            for p in &s.placements {
                let d = &g.demands[p.demand];
                line(vec![
                    g.stock.shape.clone(),
                    show_size(&g.stock.size),
                    g.stock.material.clone(),
                    s.id.clone(),
                    s.bought.to_string(),
                    d.part.clone(),
                    d.piece.clone(),
                    p.copy.to_string(),
                    String::new(),
                    String::new(),
                    n(d.length_mm),
                    String::new(),
                    String::new(),
                    n(p.rect.x.to_mm()),
                    n(p.rect.y.to_mm()),
                    if p.turned { "90" } else { "0" }.to_string(),
                ]);
            }
        }
    }
    out
}

/// The list of templates.
pub fn parts_text(templates: &[Template]) -> String {
    let mut t = Table::new(&["template", "makes"]);
    for template in templates {
        t.row(vec![template.name.clone(), template.says.clone()]);
    }
    t.text()
}

/// The questions of one template.
pub fn template_text(template: &Template) -> String {
    let mut out = format!("{}: {}\n\n", template.name, template.says);
    for (name, _, ask) in template.obj.named("ask") {
        let kind = match ask.word("kind") {
            Some("choice") => ask.texts("choices").iter().map(|t| t.value.as_str()).collect::<Vec<_>>().join(" | "),
            other => other.unwrap_or("").to_string(),
        };
        out += &format!("  with.{name}   ({kind})\n      {}\n", ask.word("what").unwrap_or(""));
        let mut facts = vec![];
        for (key, word) in
            [("usual", "usual"), ("usual_inch", "usual in inches"), ("at_least", "at least"), ("at_most", "at most")]
        {
            if let Some(v) = ask.word(key) {
                facts.push(format!("{word} {v}"));
            }
        }
        let facts =
            if ask.text("usual").is_none() { [vec!["has to be answered".to_string()], facts].concat() } else { facts };
        out += &format!("      {}\n", facts.join("; "));
    }
    out
}

/// Most breaks that are listed one by one.
const MOST_BREAKS: usize = 12;

/// Answers with which a template makes nothing.
#[derive(Clone, Copy, Debug)]
pub struct BreakLine<'a> {
    /// Name and answer.
    pub answers: &'a [(String, String)],
    /// Code of the first fault.
    pub code: &'a str,
    /// The first fault.
    pub message: &'a str,
}

/// What a template did without a job: name, pieces, sets of answers (tried,
/// made, with a failed check, refused by limits), and where it breaks.
pub fn template_check_text(
    name: &str,
    pieces: &[String],
    (tried, made, failed, refused): (usize, usize, usize, usize),
    breaks: &[BreakLine],
) -> String {
    let mut out = format!("template {name}: reads well; at its usual answers it makes {}\n", pieces.join(", "));
    out += &format!("{made} of {tried} sets of answers at the corners of its ranges make a part");
    out += &if failed > 0 {
        format!("; {failed} of these fail a check, which is what checks are for\n")
    } else {
        "\n".into()
    };
    if refused > 0 {
        out += &format!("{refused} sets are refused by the template's own limits, as they should be\n");
    }
    for b in breaks.iter().take(MOST_BREAKS) {
        let with: Vec<String> = b.answers.iter().map(|(n, v)| format!("{n} = {v}")).collect();
        out += &format!("  breaks with {}\n      [{}] {}\n", with.join(", "), b.code, b.message);
    }
    if breaks.len() > MOST_BREAKS {
        out += &format!("  and with {} more\n", breaks.len() - MOST_BREAKS);
    }
    if !breaks.is_empty() {
        out += "Narrow the limits (at_least, at_most may be formulas over other answers), or leave it: a job is told the same.\n";
    }
    out
}
