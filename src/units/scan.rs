//! Reading numbers with units as people write them: `23-1/2 in`,
//! `2 ft 3-1/4 in`, `7/16"`, `½ in`, `600 mm`.

use super::dim::{Dim, MM_TABLE, find_unit, unit_help};
use std::ops::Range;

/// What is wrong with a text, where in it, and what to do.
#[derive(Clone, Debug, PartialEq)]
pub struct TextFault {
    /// Bytes of the text concerned.
    pub span: Range<usize>,
    /// What was found and what is allowed.
    pub message: String,
    /// What to do.
    pub help: Option<String>,
}

impl TextFault {
    pub(super) fn new(span: Range<usize>, message: impl Into<String>, help: impl Into<Option<String>>) -> Self {
        TextFault { span, message: message.into(), help: help.into() }
    }
}

/// A literal in a formula or a field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Literal {
    /// A number without a unit.
    Plain(f64),
    /// A number with its unit, in base units.
    Quantity(f64, Dim),
}

/// Most digits before the point, and in all: beyond it doubles lose the last ones.
const MOST_DIGITS: usize = 12;

const VULGAR: &[(char, f64, f64)] = &[
    ('¼', 1.0, 4.0),
    ('½', 1.0, 2.0),
    ('¾', 3.0, 4.0),
    ('⅛', 1.0, 8.0),
    ('⅜', 3.0, 8.0),
    ('⅝', 5.0, 8.0),
    ('⅞', 7.0, 8.0),
    ('⅓', 1.0, 3.0),
    ('⅔', 2.0, 3.0),
];

/// Words that follow a number in a formula without being units.
const WORDS: &[&str] = &["and", "or", "then", "else", "if", "not", "is", "x", "X"];

/// A number as scanned.
#[derive(Clone, Copy)]
pub(super) struct Number {
    pub value: f64,
    pub end: usize,
    pub fraction: bool,
    /// Written with a dash between whole and fraction.
    dashed: bool,
    whole: f64,
    whole_end: usize,
}

fn digits(s: &str, p: usize) -> usize {
    s.as_bytes().get(p..).map_or(0, |b| b.iter().take_while(|b| b.is_ascii_digit()).count())
}

pub(super) fn spaces(s: &str, p: usize) -> usize {
    s.as_bytes().get(p..).map_or(0, |b| b.iter().take_while(|b| **b == b' ').count())
}

fn vulgar(s: &str, p: usize) -> Option<(f64, usize)> {
    let c = s.get(p..)?.chars().next()?;
    VULGAR.iter().find(|v| v.0 == c).map(|v| (v.1 / v.2, c.len_utf8()))
}

/// `a/b` at `p`: its value and end.
fn fraction(s: &str, p: usize) -> Result<Option<(f64, usize)>, TextFault> {
    let top = digits(s, p);
    if top == 0 || top > 4 || s.as_bytes().get(p + top) != Some(&b'/') {
        return Ok(None);
    }
    let bottom = digits(s, p + top + 1);
    if bottom == 0 || bottom > 4 {
        return Ok(None);
    }
    let end = p + top + 1 + bottom;
    let number = |r: Range<usize>| s[r].parse::<f64>().unwrap_or(0.0);
    let below = number(p + top + 1..end);
    if below == 0.0 {
        return Err(TextFault::new(
            p + top + 1..end,
            "the bottom of a fraction cannot be 0",
            Some("write it like 7/16".to_string()),
        ));
    }
    Ok(Some((number(p..p + top) / below, end)))
}

/// 23, 23.5, .5, 23-1/2, 23 1/2, 1/2, 23½, ½ at `p`.
pub(super) fn scan_number(s: &str, p: usize) -> Result<Option<Number>, TextFault> {
    if let Some((value, n)) = vulgar(s, p) {
        let end = p + n;
        return Ok(Some(Number { value, end, fraction: true, dashed: false, whole: value, whole_end: end }));
    }
    let n = digits(s, p);
    let bytes = s.as_bytes();
    let mut end = p + n;
    if bytes.get(end) == Some(&b'.') && digits(s, end + 1) > 0 {
        end += 1 + digits(s, end + 1);
        if bytes.get(end) == Some(&b'.') {
            return Err(TextFault::new(
                end..end + 1,
                "a second decimal point in one number",
                Some("write one point: 25.4".to_string()),
            ));
        }
        if n > MOST_DIGITS || end - p > 24 {
            return Err(TextFault::new(
                p..end,
                "this number has too many digits",
                Some("12 digits before the point at most".to_string()),
            ));
        }
        let value = s[p..end].parse::<f64>().map_err(|_| TextFault::new(p..end, "this is not a number", None))?;
        return Ok(Some(Number { value, end, fraction: false, dashed: false, whole: value, whole_end: end }));
    }
    if n == 0 {
        return Ok(None);
    }
    if n > MOST_DIGITS {
        return Err(TextFault::new(p..end, "this number has too many digits", Some("12 digits at most".to_string())));
    }
    let whole = s[p..end].parse::<f64>().unwrap_or(0.0);
    let plain = Number { value: whole, end, fraction: false, dashed: false, whole, whole_end: end };
    if let Some((value, k)) = vulgar(s, end) {
        return Ok(Some(Number { value: whole + value, end: end + k, fraction: true, ..plain }));
    }
    if let Some((value, end)) = fraction(s, p)? {
        return Ok(Some(Number { value, end, fraction: true, ..plain }));
    }
    for (mark, dashed) in [(b'-', true), (b' ', false)] {
        if bytes.get(end) == Some(&mark)
            && let Some((value, to)) = fraction(s, end + 1)?
        {
            if value >= 1.0 {
                let help = "the fraction after a whole number must be less than 1".to_string();
                return Err(TextFault::new(
                    end + 1..to,
                    format!("{} is not a proper fraction", &s[end + 1..to]),
                    Some(help),
                ));
            }
            return Ok(Some(Number { value: whole + value, end: to, fraction: true, dashed, ..plain }));
        }
    }
    Ok(Some(plain))
}

/// The unit at `p`, and where it ends. Two-word units first.
pub(super) fn unit_at(s: &str, p: usize) -> Option<(&str, usize)> {
    let rest = s.get(p..)?;
    for two in ["N m", "lbf ft", "lbf in"] {
        if let Some(after) = rest.strip_prefix(two)
            && !after.starts_with(|c: char| c.is_alphanumeric() || c == '_')
        {
            return Some((&rest[..two.len()], p + two.len()));
        }
    }
    let first = rest.chars().next()?;
    if "\"'\u{2032}\u{2033}\u{2019}\u{201d}\u{b0}".contains(first) {
        return Some((&rest[..first.len_utf8()], p + first.len_utf8()));
    }
    let n: usize = rest.chars().take_while(|c| c.is_alphabetic() || *c == '_').map(char::len_utf8).sum();
    (n > 0).then(|| (&rest[..n], p + n))
}

/// A literal at `p` with its end; `Ok(None)` when no number starts there.
///
/// # Errors
/// What cannot be one number: an unknown unit, `23-1/2` without a unit, ...
pub fn scan(s: &str, p: usize) -> Result<Option<(Literal, usize)>, TextFault> {
    let Some(n) = scan_number(s, p)? else { return Ok(None) };
    let at = n.end + spaces(s, n.end);
    let Some((word, end)) = unit_at(s, at).filter(|u| !WORDS.contains(&u.0)) else {
        return without_unit(s, p, n).map(Some);
    };
    let Some(unit) = find_unit(word) else {
        return Err(TextFault::new(at..end, format!("'{word}' is not a unit"), Some(unit_help(word))));
    };
    if n.fraction && unit.dim != Dim::LENGTH {
        return Err(TextFault::new(
            p..end,
            "fractions are only for lengths",
            Some(format!("write {} {word}", n.value)),
        ));
    }
    let mut value = n.value * unit.factor;
    let mut stop = end;
    if unit.dim == Dim::LENGTH
        && unit.factor == MM_TABLE.foot
        && let Some((inches, to)) = inches_after_feet(s, p, word, end)?
    {
        value += inches;
        stop = to;
    }
    let next = s[stop..].chars().next();
    if let Some(c) =
        next.filter(|c| (c.is_alphanumeric() || "^²³".contains(*c)) && word.chars().all(char::is_alphabetic))
    {
        let help = "put a space or an operator after the unit; areas are products: (2 mm * 3 mm)".to_string();
        return Err(TextFault::new(at..stop + c.len_utf8(), format!("'{c}' runs into the unit {word}"), Some(help)));
    }
    Ok(Some((Literal::Quantity(value, unit.dim), stop)))
}

fn without_unit(s: &str, p: usize, n: Number) -> Result<(Literal, usize), TextFault> {
    if n.dashed {
        let (all, a, b) = (&s[p..n.end], &s[p..n.whole_end], &s[n.whole_end + 1..n.end]);
        return Err(TextFault::new(
            p..n.end,
            format!("does {all} mean {a} and {b}, or {a} minus {b}?"),
            Some(format!("for a length add the unit: {all} in; to subtract, put spaces round the minus")),
        ));
    }
    if n.fraction && n.whole_end < n.end {
        // 1/2 without a unit is an ordinary division; 2 1/2 and 2½ are not.
        if s.as_bytes().get(n.whole_end) == Some(&b'/') {
            return Ok((Literal::Plain(n.whole), n.whole_end));
        }
        let text = &s[p..n.end];
        return Err(TextFault::new(p..n.end, format!("{text} needs a unit"), Some(format!("write {text} in"))));
    }
    Ok((Literal::Plain(n.value), n.end))
}

/// `3-1/4 in` after `2 ft`, in mm, with its end.
fn inches_after_feet(s: &str, p: usize, word: &str, end: usize) -> Result<Option<(f64, usize)>, TextFault> {
    let bytes = s.as_bytes();
    let tight = bytes.get(end) == Some(&b'-') && bytes.get(end + 1).is_some_and(u8::is_ascii_digit);
    let at = if tight { end + 1 } else { end + spaces(s, end) };
    let Some(n) = scan_number(s, at)? else { return Ok(None) };
    let unit = unit_at(s, n.end + spaces(s, n.end)).and_then(|(t, e)| find_unit(t).map(|u| (u, e)));
    match unit {
        Some((u, to)) if u.dim == Dim::LENGTH && u.factor == MM_TABLE.inch => {
            if tight && word != "'" && word.is_ascii() {
                let help = "write 2 ft 3 in for the one, 2 ft - 3 in for the other".to_string();
                return Err(TextFault::new(
                    p..to,
                    format!("does {} mean feet and inches, or a subtraction?", &s[p..to]),
                    Some(help),
                ));
            }
            if n.value >= 12.0 {
                let help = "carry the inches into the feet, or give inches only".to_string();
                return Err(TextFault::new(at..to, "12 inches or more after feet", Some(help)));
            }
            Ok(Some((n.value * u.factor, to)))
        }
        _ if tight => Ok(None),
        _ => Err(TextFault::new(
            at..n.end,
            format!("{} what? inches come after feet", &s[at..n.end]),
            Some(format!("write {} in", &s[at..n.end])),
        )),
    }
}
