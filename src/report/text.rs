//! What commands print: flat patterns, findings, templates.

use super::tables::Table;
use crate::checks::{Finding, Verdict};
use crate::flat::FlatPattern;
use crate::geom::Point;
use crate::piece::{BendTurn, Hand, HoleShape};
use crate::template::Template;
use crate::units::{Length, System, show_length, show_mass, show_size, trimmed};

/// The cautions that every output shows.
pub const CAUTIONS: &str = "\
These parts hold fuel, steering and brakes: a failure can kill people. Nothing here is an approval, and a check
that is met is no release. Follow the law and the inspection scheme of the place where the vehicle is used; ask a
licensed engineer in doubt. No hot work on or near a tank that has held fuel.";

pub(super) fn mm(v: f64, system: System) -> String {
    show_length(Length::mm(v), system)
}

/// A price as money is written; a finer price keeps its decimals.
pub(super) fn money(price: i64) -> String {
    let places = if price % 100 == 0 { 2 } else { 4 };
    format!("{:.places$}", price as f64 / 10_000.0)
}

pub(super) fn hole_size(shape: HoleShape, system: System) -> String {
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
        let used = f.utilisation.map_or(String::new(), |u| format!(" [{} % used]", trimmed(u * 100.0, 1)));
        out += &format!("{word:>5}  {}: {}{used}\n", f.part, f.says);
        out += &format!("         rule {}; {}\n", f.code, f.source);
        if f.verdict >= Verdict::Warn {
            let places: Vec<String> = f.set_by.iter().map(|s| format!("{}:{} {}", s.file, s.line, s.says)).collect();
            if !places.is_empty() {
                out += &format!("         set by {}\n", places.join("; "));
            }
            if !f.mend.is_empty() {
                out += &format!("         would meet it: {}\n", f.mend);
            }
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
    let uses: Vec<String> = template.uses().iter().map(|(name, of)| format!("{of} (as {name})")).collect();
    if !uses.is_empty() {
        out += &format!("\n  It uses: {}\n", uses.join(", "));
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
