//! The words and signs of a formula.

use super::fault::Fault;
use crate::units::{Literal, scan};
use std::ops::Range;

/// A token.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Token {
    Literal(Literal),
    Name(String),
    /// Text in single quotes.
    Quoted(String),
    Sign(&'static str),
    End,
}

/// Words that join formulas.
const WORDS: &[&str] = &["if", "then", "else", "and", "or", "not", "is"];

const SIGNS: &[(&str, &str)] = &[
    ("<=", "<="),
    (">=", ">="),
    ("!=", "!="),
    ("==", "="),
    ("+", "+"),
    ("-", "-"),
    ("*", "*"),
    ("/", "/"),
    ("^", "^"),
    ("(", "("),
    (")", ")"),
    (",", ","),
    ("<", "<"),
    (">", ">"),
    ("=", "="),
    ("×", "*"),
    ("÷", "/"),
    ("−", "-"),
    ("≤", "<="),
    ("≥", ">="),
];

/// Cut a formula into tokens.
pub(super) fn tokens(s: &str) -> Result<Vec<(Token, Range<usize>)>, Fault> {
    let mut out: Vec<(Token, Range<usize>)> = vec![];
    let mut p = 0;
    while let Some(c) = s[p..].chars().next() {
        if c.is_whitespace() {
            p += c.len_utf8();
            continue;
        }
        if c == '\'' {
            let Some(n) = s[p + 1..].find('\'') else {
                return Err(Fault::new(p..p + 1, "this quote is never closed").help("close it with '"));
            };
            out.push((Token::Quoted(s[p + 1..p + 1 + n].to_string()), p..p + n + 2));
            p += n + 2;
        } else if let Some(wrong) = ["=>", "=<", "<>"].iter().find(|w| s[p..].starts_with(**w)) {
            let right = ["=>", "=<", "<>"].iter().zip([">=", "<=", "!="]).find(|w| w.0 == wrong).map_or("", |w| w.1);
            return Err(
                Fault::new(p..p + 2, format!("'{wrong}' has no meaning in a formula")).help(format!("write {right}"))
            );
        } else if let Some((literal, end)) = scan(s, p)? {
            two_readings(s, p, end, literal, out.last().map(|t| &t.0))?;
            out.push((Token::Literal(literal), p..end));
            p = end;
        } else if c.is_alphabetic() || c == '_' {
            let (token, end) = name(s, p)?;
            out.push((token, p..end));
            p = end;
        } else if let Some((text, sign)) = SIGNS.iter().find(|t| s[p..].starts_with(t.0)) {
            out.push((Token::Sign(sign), p..p + text.len()));
            p += text.len();
        } else {
            let fault = Fault::new(p..p + c.len_utf8(), format!("'{c}' has no meaning in a formula"));
            return Err(match c {
                '%' => fault.help("write 10 percent as 0.10"),
                '[' | '{' => fault.help("use round brackets ( )"),
                _ => fault.help("formulas are made of values, names, + - * / ^ ( ) and comparisons"),
            });
        }
    }
    out.push((Token::End, s.len()..s.len()));
    Ok(out)
}

/// `a / 1/2 in` could be a over a half inch, or a half of a.
fn two_readings(s: &str, p: usize, end: usize, literal: Literal, before: Option<&Token>) -> Result<(), Fault> {
    let text = &s[p..end];
    let fraction = matches!(literal, Literal::Quantity(..)) && text.contains('/') && !text.contains('-');
    if fraction && before == Some(&Token::Sign("/")) {
        return Err(Fault::new(p..end, "a fraction straight after a division can be read in two ways")
            .help(format!("put it in brackets: / ({text})")));
    }
    Ok(())
}

fn name(s: &str, p: usize) -> Result<(Token, usize), Fault> {
    let mut end = p;
    loop {
        let n: usize = s[end..].chars().take_while(|c| c.is_alphanumeric() || *c == '_').map(char::len_utf8).sum();
        if n == 0 {
            return Err(Fault::new(end - 1..end, "a name cannot end with a dot").help("leave the dot out"));
        }
        end += n;
        if !s[end..].starts_with('.') {
            break;
        }
        end += 1;
    }
    let word = &s[p..end];
    let token = WORDS.iter().find(|w| **w == word).map_or_else(|| Token::Name(word.to_string()), |w| Token::Sign(w));
    Ok((token, end))
}
