//! Findings as a document: what is not met first, strengths against their limits
//! drawn, the rest listed; sources numbered at the end.

use crate::checks::{Finding, Verdict};
use crate::drawing::{Block, Rows};
use crate::units::trimmed;

/// Findings that say the same of several parts.
struct Same<'a> {
    parts: Vec<&'a str>,
    first: &'a Finding,
}

impl Same<'_> {
    fn words(&self) -> String {
        format!("{}: {}", self.parts.join(", "), self.first.says)
    }
    fn used(&self) -> f64 {
        self.first.utilisation.unwrap_or(-1.0)
    }
    /// A force, stress or moment: what breaks when it is too much.
    fn strength(&self) -> bool {
        self.first.utilisation.is_some() && !matches!(self.first.unit, "mm" | "deg" | "")
    }
}

/// One entry for each sentence, in the order of the findings.
fn gathered(findings: &[Finding]) -> Vec<Same<'_>> {
    let mut out: Vec<Same> = vec![];
    for f in findings {
        let same = |s: &&mut Same| s.first.code == f.code && s.first.says == f.says && s.first.verdict == f.verdict;
        match out.iter_mut().find(same) {
            Some(s) if !s.parts.contains(&f.part.as_str()) => s.parts.push(&f.part),
            Some(_) => {}
            None => out.push(Same { parts: vec![&f.part], first: f }),
        }
    }
    out
}

/// Sources by number, as they come up.
#[derive(Default)]
struct Sources(Vec<String>);

impl Sources {
    fn number(&mut self, source: &str) -> String {
        let at = self.0.iter().position(|s| s == source).unwrap_or_else(|| {
            self.0.push(source.to_string());
            self.0.len() - 1
        });
        format!("[{}]", at + 1)
    }
}

/// The findings, worst first.
pub fn findings_blocks(findings: &[Finding]) -> Vec<Block> {
    let all = gathered(findings);
    let mut sources = Sources::default();
    let count = |v: Verdict| findings.iter().filter(|f| f.verdict == v).count();
    let mut out = vec![Block::Say(format!(
        "{} findings meet their rule, {} are to be looked at, {} do not meet it. The hatched bar is what is used, the \
         stroke at its end the limit. A rule that is met is a rule that is met, and no release.",
        count(Verdict::Meets),
        count(Verdict::Warn),
        count(Verdict::Fail)
    ))];
    for (verdict, head) in [(Verdict::Fail, "Does not meet its rule"), (Verdict::Warn, "To be looked at")] {
        let these: Vec<&Same> = all.iter().filter(|s| s.first.verdict == verdict).collect();
        if !these.is_empty() {
            out.push(Block::Heading(head.into()));
            these.into_iter().for_each(|s| out.extend(open(s, &mut sources)));
        }
    }
    let mut met: Vec<&Same> = all.iter().filter(|s| s.first.verdict == Verdict::Meets).collect();
    met.sort_by(|a, b| b.used().total_cmp(&a.used()));
    let (drawn, listed): (Vec<&Same>, Vec<&Same>) =
        met.into_iter().partition(|s| s.strength() && s.used() >= DRAWN_FROM);
    if !drawn.is_empty() {
        out.push(Block::Heading("Strength that is used to a good part; it meets the rule".into()));
        for s in drawn {
            let below = format!("{} % used {}", trimmed(s.used() * 100.0, 0), sources.number(&s.first.source));
            out.push(Block::Scale(s.words(), s.used(), below));
        }
    }
    table("Meets its rule", &listed, &mut sources, &mut out);
    let notes: Vec<&Same> = all.iter().filter(|s| s.first.verdict == Verdict::Note && !weight(s.first)).collect();
    table("Notes", &notes, &mut sources, &mut out);
    out.push(Block::Heading("Sources".into()));
    let rows = sources.0.iter().enumerate().map(|(i, s)| vec![format!("[{}]", i + 1), s.clone()]).collect();
    out.push(Block::Table(Rows { heads: vec!["no", "source"], rows, tick: false }));
    out
}

/// From this share of the limit on a strength is drawn and not only listed.
const DRAWN_FROM: f64 = 0.2;

/// Weights stand in the buy list.
fn weight(f: &Finding) -> bool {
    f.code == "weight"
}

/// One that asks for something, with its place and its way out.
fn open(s: &Same, sources: &mut Sources) -> Vec<Block> {
    let f = s.first;
    let mut below = String::new();
    let places: Vec<String> = f.set_by.iter().map(|s| format!("{}:{} {}", s.file, s.line, s.says)).collect();
    if !f.mend.is_empty() {
        below += &format!("Would meet it: {}. ", f.mend);
    }
    if !places.is_empty() {
        below += &format!("Set by {}. ", places.join("; "));
    }
    below += &sources.number(&f.source);
    match f.utilisation {
        Some(share) => vec![Block::Scale(s.words(), share, below)],
        None => vec![Block::Caution(s.words()), Block::Say(below)],
    }
}

fn table(head: &str, these: &[&Same], sources: &mut Sources, out: &mut Vec<Block>) {
    if these.is_empty() {
        return;
    }
    out.push(Block::Heading(head.into()));
    let mut row = |s: &&Same| {
        let used = s.first.utilisation.map_or(String::new(), |u| format!("{} %", trimmed(u * 100.0, 0)));
        vec![s.parts.join(", "), s.first.says.clone(), used, sources.number(&s.first.source)]
    };
    let rows = these.iter().map(&mut row).collect();
    out.push(Block::Table(Rows { heads: vec!["part", "what", ">used", "source"], rows, tick: false }));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_met_comes_first_with_what_would_mend_it() {
        let finding = |part: &str, verdict, utilisation, says: &str| Finding {
            part: part.into(),
            verdict,
            utilisation,
            unit: "N",
            says: says.into(),
            source: "EN 1993-1-1".into(),
            mend: "thicker".into(),
            ..Finding::default()
        };
        let all = [
            finding("A", Verdict::Meets, Some(0.1), "far"),
            finding("A", Verdict::Meets, Some(0.9), "near"),
            finding("B", Verdict::Meets, Some(0.9), "near"),
            finding("A", Verdict::Fail, Some(1.4), "torn"),
            finding("A", Verdict::Note, None, "a note"),
        ];
        let blocks = findings_blocks(&all);
        let scales: Vec<(&str, f64)> = blocks
            .iter()
            .filter_map(|b| if let Block::Scale(w, s, _) = b { Some((w.as_str(), *s)) } else { None })
            .collect();
        assert_eq!(scales, [("A: torn", 1.4), ("A, B: near", 0.9)]);
        let says = |b: &Block| matches!(b, Block::Scale(_, _, below) if below.contains("Would meet it: thicker. [1]"));
        assert!(blocks.iter().any(says));
        let tables: Vec<&Rows> =
            blocks.iter().filter_map(|b| if let Block::Table(t) = b { Some(t) } else { None }).collect();
        // Listed, notes, sources; one source for all.
        assert_eq!(tables.iter().map(|t| t.rows.len()).collect::<Vec<_>>(), [1, 1, 1]);
        assert_eq!(tables[0].rows[0], ["A", "far", "10 %", "[1]"]);
    }
}
