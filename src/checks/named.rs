//! Named checks: what each is told, whether a template tells it that, and the
//! finding that comes out. The mechanics of each stand in a file of its own.

use super::{Finding, Judged, Rule, Verdict};
use crate::diag::Diagnostic;
use crate::expr::{Type, Value, evaluate, parse};
use crate::handbook::bolts::{self, BoltClass, BoltSize};
use crate::handbook::{Material, holes, material};
use crate::source::nearest;
use crate::template::{NamedCall, Template};
use crate::units::{Dim, Force, Length, Moment, Stress, System, show_quantity};

/// What kind of value an argument is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ArgumentKind {
    /// A number of this dimension.
    Quantity(Dim),
    /// A material.
    Material,
    /// A bolt class or grade.
    BoltClass,
    /// One of these words.
    Word(&'static [&'static str]),
}

/// One thing that a named check is told.
#[derive(Clone, Copy, Debug)]
pub struct Argument {
    /// Its name under `with`.
    pub name: &'static str,
    /// Its kind.
    pub kind: ArgumentKind,
    /// Whether it must be told.
    pub must: bool,
    /// Smallest and largest value the check holds for, in base units.
    pub range: (f64, f64),
    /// In words.
    pub words: &'static str,
}

const fn argument(name: &'static str, kind: ArgumentKind, range: (f64, f64), words: &'static str) -> Argument {
    Argument { name, kind, must: true, range, words }
}

/// A length over zero, mm.
pub(super) const fn length(name: &'static str, words: &'static str) -> Argument {
    argument(name, ArgumentKind::Quantity(Dim::LENGTH), (1e-3, 1e5), words)
}
/// A length that may be nothing, mm.
pub(super) const fn length_or_none(name: &'static str, words: &'static str) -> Argument {
    argument(name, ArgumentKind::Quantity(Dim::LENGTH), (0.0, 1e5), words)
}
/// A length of either sign, mm.
pub(super) const fn place(name: &'static str, words: &'static str) -> Argument {
    argument(name, ArgumentKind::Quantity(Dim::LENGTH), (-1e5, 1e5), words)
}
/// A force that is not negative, N.
pub(super) const fn force(name: &'static str, words: &'static str) -> Argument {
    argument(name, ArgumentKind::Quantity(Dim::FORCE), (0.0, 1e8), words)
}
/// A moment that is not negative, N mm.
pub(super) const fn moment(name: &'static str, words: &'static str) -> Argument {
    argument(name, ArgumentKind::Quantity(Dim::MOMENT), (0.0, 1e10), words)
}
/// A stress over zero, MPa.
pub(super) const fn stress(name: &'static str, words: &'static str) -> Argument {
    argument(name, ArgumentKind::Quantity(Dim::STRESS), (1e-3, 1e5), words)
}
/// An angle up to 85 degrees either way.
pub(super) const fn angle(name: &'static str, words: &'static str) -> Argument {
    argument(name, ArgumentKind::Quantity(Dim::ANGLE), (-85.0, 85.0), words)
}
/// A whole number from 1 to 100.
pub(super) const fn count(name: &'static str, words: &'static str) -> Argument {
    argument(name, ArgumentKind::Quantity(Dim::PLAIN), (1.0, 100.0), words)
}
/// A material.
pub(super) const fn metal(words: &'static str) -> Argument {
    argument("material", ArgumentKind::Material, (0.0, 0.0), words)
}
/// A bolt class.
pub(super) const fn class(words: &'static str) -> Argument {
    argument("class", ArgumentKind::BoltClass, (0.0, 0.0), words)
}
/// One of some words.
pub(super) const fn word(name: &'static str, of: &'static [&'static str], words: &'static str) -> Argument {
    argument(name, ArgumentKind::Word(of), (0.0, 0.0), words)
}
/// The same, and it may be left out.
pub(super) const fn optional(a: Argument) -> Argument {
    Argument { must: false, ..a }
}

/// Why a check says nothing of strength.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Outside(pub String);

/// What one check does with what it is told.
pub(super) type Work = fn(&Told) -> Result<Vec<Judged>, Outside>;

/// A named check.
#[derive(Clone, Copy)]
pub struct Named {
    /// Its rule.
    pub rule: &'static Rule,
    /// What it is told.
    pub arguments: &'static [Argument],
    /// A worked example: what it is told there.
    pub example: &'static [(&'static str, &'static str)],
    pub(super) work: Work,
}

/// What a check was told, already of the right kinds and inside its ranges.
pub(super) struct Told<'a> {
    values: &'a [(String, Value)],
    /// Units to print in.
    pub system: System,
    /// Which bolts are usual here: a hole tells its bolt by it.
    sizes: System,
}

impl Told<'_> {
    fn value(&self, name: &str) -> Option<&Value> {
        self.values.iter().find(|v| v.0 == name).map(|v| &v.1)
    }
    /// Whether an argument was told.
    pub fn has(&self, name: &str) -> bool {
        self.value(name).is_some()
    }
    /// A number in base units; nothing where it was left out.
    pub fn number(&self, name: &str) -> f64 {
        match self.value(name) {
            Some(Value::Quantity(v, _)) => *v,
            _ => 0.0,
        }
    }
    /// A length.
    pub fn length(&self, name: &str) -> Length {
        Length::mm(self.number(name))
    }
    /// A force.
    pub fn force(&self, name: &str) -> Force {
        Force::newtons(self.number(name))
    }
    /// A moment.
    pub fn moment(&self, name: &str) -> Moment {
        Moment::newton_mm(self.number(name))
    }
    /// A stress.
    pub fn stress(&self, name: &str) -> Stress {
        Stress::mpa(self.number(name))
    }
    /// A whole number.
    pub fn count(&self, name: &str) -> u32 {
        libm::round(self.number(name)) as u32
    }
    /// A word; empty where it was left out.
    pub fn word(&self, name: &str) -> &str {
        match self.value(name) {
            Some(Value::Word(w)) => w,
            _ => "",
        }
    }
    /// The material.
    pub fn material(&self) -> Result<&'static Material, Outside> {
        let name = self.word("material");
        material::find(name).ok_or_else(|| Outside(format!("material \"{name}\" is not in the handbook")))
    }
    /// The bolt that goes with a hole, and its class.
    pub fn bolt(&self, hole: &str) -> Result<(&'static BoltSize, &'static BoltClass), Outside> {
        let d = self.length(hole);
        let size = bolt_for(d, self.sizes)
            .ok_or_else(|| Outside(format!("no bolt of the handbook goes with a hole of {}", self.show_length(d))))?;
        let name = self.word("class");
        let class = bolts::class(name, size.diameter)
            .ok_or_else(|| Outside(format!("there is no row for class {name} and {}", size.name)))?;
        Ok((size, class))
    }
    /// A length in the job's units.
    pub fn show_length(&self, l: Length) -> String {
        show_quantity(l.to_mm(), Dim::LENGTH, self.system)
    }
    /// A force.
    pub fn show_force(&self, f: Force) -> String {
        show_quantity(f.to_newtons(), Dim::FORCE, self.system)
    }
    /// A moment.
    pub fn show_moment(&self, m: Moment) -> String {
        show_quantity(m.to_newton_mm(), Dim::MOMENT, self.system)
    }
}

/// The largest bolt whose hole is no larger than this one: normal fit first,
/// then close. Holes within a tenth of a millimetre of a table's are meant to be it.
pub fn bolt_for(hole: Length, system: System) -> Option<&'static BoltSize> {
    let slack = Length::mm(0.1);
    // What is usual in the job's sizes first, so that 11/32 in means a 5/16 bolt.
    let own = |s: &&BoltSize| s.name.starts_with('M') == (system == System::Metric);
    let fits = |fit: holes::Fit, s: &BoltSize| {
        holes::clearance(s.name, fit).is_some_and(|(least, _)| least.to_mm() <= (hole + slack).to_mm())
    };
    let largest = |fit: holes::Fit, native: bool| {
        bolts::SIZES
            .iter()
            .filter(|s| own(s) == native && fits(fit, s))
            .max_by(|a, b| a.diameter.to_mm().total_cmp(&b.diameter.to_mm()))
    };
    // A hole that is a table's to a tenth decides; else the largest that goes through.
    let exact = bolts::SIZES
        .iter()
        .find(|s| holes::clearance(s.name, holes::Fit::Normal).is_some_and(|(d, _)| (d - hole).abs().to_mm() <= 0.02));
    exact.or_else(|| largest(holes::Fit::Close, true)).or_else(|| largest(holes::Fit::Close, false))
}

/// Every fault of the named checks of a template: unknown names, arguments that
/// are missing, unknown or of another kind.
pub fn audit_named(template: &Template, out: &mut Vec<Diagnostic>) {
    let scope = template.kinds();
    for c in template.obj.list("check") {
        let Some(check) = c.text("use") else { continue };
        let Some(named) = super::named(&check.value) else {
            let all: Vec<&str> = super::NAMED.iter().map(|n| n.rule.code).collect();
            let near = nearest(&check.value, all.iter().copied()).map(|n| format!("did you mean \"{n}\"?"));
            let message = format!("there is no check \"{}\"", check.value);
            let d = Diagnostic::error("unknown-check", message, check.file, check.span.clone());
            out.push(d.help_if(near).help(format!("named checks are: {}", all.join(", "))));
            continue;
        };
        for (name, at, text) in c.values("with") {
            let Some(a) = named.arguments.iter().find(|a| a.name == name) else {
                let names: Vec<&str> = named.arguments.iter().map(|a| a.name).collect();
                let near = nearest(name, names.iter().copied()).map(|n| format!("did you mean `{n}`?"));
                let message = format!("check \"{}\" is not told `{name}`", check.value);
                let d = Diagnostic::error("check-argument", message, text.file, at.clone());
                out.push(d.help_if(near).help(format!("it is told: {}", names.join(", "))));
                continue;
            };
            let want = match a.kind {
                ArgumentKind::Quantity(d) => Type::Quantity(d),
                _ => Type::Word(vec![]),
            };
            scope.kind_of_text(text, Some(&want), out);
        }
        for a in named.arguments.iter().filter(|a| a.must) {
            if c.values("with").iter().all(|w| w.0 != a.name) {
                let message = format!("check \"{}\" needs `{}`", check.value, a.name);
                let d = Diagnostic::error("check-argument", message, check.file, check.span.clone());
                out.push(d.help(format!("add the line: with.{} = \"...\"   ({})", a.name, a.words)));
            }
        }
    }
}

/// What is out of an argument's range, in words.
fn out_of_range(a: &Argument, value: &Value, system: System) -> Option<String> {
    match (a.kind, value) {
        (ArgumentKind::Quantity(dim), Value::Quantity(v, _)) => {
            let (least, most) = a.range;
            let inside = v.is_finite() && *v >= least && *v <= most;
            let show = |x: f64| show_quantity(x, dim, system);
            (!inside).then(|| {
                format!(
                    "{} ({}) is {}; the rule holds from {} to {}",
                    a.name,
                    a.words,
                    show(*v),
                    show(least),
                    show(most)
                )
            })
        }
        (ArgumentKind::Word(of), Value::Word(w)) if !of.contains(&w.as_str()) => {
            Some(format!("{} is \"{w}\"; the rule knows: {}", a.name, of.join(", ")))
        }
        _ => None,
    }
}

/// The findings of a named check on one part; what lies outside of its range is
/// said, not computed.
pub fn check_named(call: &NamedCall, part: &str, system: System, sizes: System) -> Vec<Finding> {
    let Some(named) = super::named(&call.check.value) else { return vec![] };
    let values: Vec<(String, Value)> = call.told.iter().map(|t| (t.0.clone(), t.3.clone())).collect();
    let label = if call.label.is_empty() { String::new() } else { format!("{}: ", call.label) };
    judge(named, &values, system, sizes)
        .into_iter()
        .map(|j| {
            let mut f = j.finding(named.rule, part);
            f.says = format!("{label}{}", f.says);
            if call.only_warns && f.verdict == Verdict::Fail {
                f.verdict = Verdict::Warn;
            }
            f
        })
        .collect()
}

/// The values of a check's own worked example.
pub fn example_of(named: &Named) -> Vec<(String, Value)> {
    let value = |(name, text): &(&str, &str)| {
        let kind = named.arguments.iter().find(|a| a.name == *name)?.kind;
        let v = match kind {
            ArgumentKind::Quantity(_) => evaluate(&parse(text).ok()?, &|_| None).ok()?,
            _ => Value::Word((*text).to_string()),
        };
        Some(((*name).to_string(), v))
    };
    named.example.iter().filter_map(value).collect()
}

/// The same from plain values, for tests and other programs.
pub fn judge(named: &Named, values: &[(String, Value)], system: System, sizes: System) -> Vec<Judged> {
    let outside = |why: String| vec![Judged::untold(format!("not worked out: {why}"))];
    for a in named.arguments {
        match values.iter().find(|v| v.0 == a.name) {
            Some((_, v)) => {
                if let Some(why) = out_of_range(a, v, system) {
                    return outside(why);
                }
            }
            None if a.must => return outside(format!("`{}` is not told", a.name)),
            None => {}
        }
    }
    match (named.work)(&Told { values, system, sizes }) {
        Ok(judged) => judged
            .into_iter()
            .map(|j| match j.numbers {
                // A number that is none must never look like a check that is met.
                Some((v, l, _)) if !(v.is_finite() && l.is_finite()) => {
                    Judged::untold(format!("not worked out: {} leads outside of what can be computed", j.says))
                }
                _ => j,
            })
            .collect(),
        Err(Outside(why)) => outside(why),
    }
}
