//! From text to a tree, by binding powers.

use super::fault::Fault;
use super::functions;
use super::tokens::{Token, tokens};
use crate::source::nearest;
use crate::units::{Dim, Literal};
use std::cell::RefCell;
use std::collections::HashMap;
use std::ops::Range;
use std::rc::Rc;

/// Longest formula, bytes.
const LONGEST: usize = 2_000;
/// Deepest nesting of brackets: more is never needed, and the stack is finite.
const DEEPEST: u32 = 60;
/// Most terms in one chain.
const MOST_TERMS: u32 = 200;

/// A formula as a tree.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Bytes of the formula's text.
    pub span: Range<usize>,
    /// What it is.
    pub kind: Kind,
}

/// What a node is.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// A value as written, in base units.
    Number(f64, Dim),
    /// A text in quotes.
    Word(String),
    /// A name.
    Name(String),
    /// A sign turned.
    Minus(Box<Node>),
    /// A yes turned to a no.
    Not(Box<Node>),
    /// An operator with its place.
    Binary(Op, Range<usize>, Box<Node>, Box<Node>),
    /// `name is word` (or `is not`, when the flag is false), with the word's place.
    Is(Box<Node>, String, Range<usize>, bool),
    /// A function with the place of its name.
    Call(&'static str, Range<usize>, Vec<Node>),
    /// if, then, else.
    If(Box<Node>, Box<Node>, Box<Node>),
}

/// An operator between two values.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)] // the names say it
pub enum Op {
    Add,
    Subtract,
    Multiply,
    Divide,
    Power,
    Less,
    AtMost,
    More,
    AtLeast,
    Equal,
    Unequal,
    And,
    Or,
}

impl Op {
    /// Whether it compares two values.
    pub fn compares(self) -> bool {
        matches!(self, Op::Less | Op::AtMost | Op::More | Op::AtLeast | Op::Equal | Op::Unequal)
    }
}

/// Sign, operator, left and right binding power.
const OPERATORS: &[(&str, Op, u8, u8)] = &[
    ("or", Op::Or, 1, 2),
    ("and", Op::And, 3, 4),
    ("<", Op::Less, 7, 8),
    ("<=", Op::AtMost, 7, 8),
    (">", Op::More, 7, 8),
    (">=", Op::AtLeast, 7, 8),
    ("=", Op::Equal, 7, 8),
    ("!=", Op::Unequal, 7, 8),
    ("+", Op::Add, 9, 10),
    ("-", Op::Subtract, 9, 10),
    ("*", Op::Multiply, 11, 12),
    ("/", Op::Divide, 11, 12),
    ("^", Op::Power, 16, 15),
];

/// Parse a formula.
///
/// # Errors
/// The first fault, with its place and what to do.
pub fn parse(text: &str) -> Result<Node, Fault> {
    if text.len() > LONGEST {
        return Err(Fault::new(0..text.len(), format!("this formula is longer than {LONGEST} letters"))
            .help("give parts of it names of their own"));
    }
    if text.contains("...") {
        return Err(Fault::new(0..text.len(), "this is not filled in yet").help("measure it and write the value here"));
    }
    let mut p = Parser { text, tokens: tokens(text)?, at: 0, depth: 0 };
    if p.tokens.len() == 1 {
        return Err(Fault::new(0..text.len(), "nothing here").help("write a value or a formula"));
    }
    let node = p.expression(0)?;
    let (token, span) = p.peek().clone();
    match token {
        Token::End => Ok(node),
        Token::Sign(")") => {
            Err(Fault::new(span, "this bracket was never opened").help("take it out, or open one before"))
        }
        Token::Sign(",") => {
            Err(Fault::new(span, "a comma outside of a function").help("decimals are written with a point: 25.4"))
        }
        _ => {
            let word = &text[span.clone()];
            let help = match word {
                "x" | "X" => "for times write *".to_string(),
                _ => "an operator (+ - * /) is missing before it".to_string(),
            };
            Err(Fault::new(span, format!("'{word}' is not expected here")).help(help))
        }
    }
}

/// Most formulas that are remembered; a job of a thousand parts has fewer.
const MOST_REMEMBERED: usize = 20_000;

thread_local! {
    static REMEMBERED: RefCell<HashMap<String, Rc<Node>>> = RefCell::new(HashMap::new());
}

/// [`parse`], remembered: a template's formulas are worked out for every part.
/// It changes nothing but the time that it takes.
///
/// # Errors
/// As [`parse`].
pub fn parse_once(text: &str) -> Result<Rc<Node>, Fault> {
    if let Some(node) = REMEMBERED.with(|m| m.borrow().get(text).cloned()) {
        return Ok(node);
    }
    let node = Rc::new(parse(text)?);
    REMEMBERED.with(|m| {
        let mut m = m.borrow_mut();
        if m.len() >= MOST_REMEMBERED {
            m.clear();
        }
        m.insert(text.to_string(), Rc::clone(&node));
    });
    Ok(node)
}

struct Parser<'a> {
    text: &'a str,
    tokens: Vec<(Token, Range<usize>)>,
    at: usize,
    depth: u32,
}

impl Parser<'_> {
    fn peek(&self) -> &(Token, Range<usize>) {
        &self.tokens[self.at]
    }

    fn next(&mut self) -> (Token, Range<usize>) {
        let t = self.peek().clone();
        if self.at + 1 < self.tokens.len() {
            self.at += 1;
        }
        t
    }

    fn want(&mut self, sign: &'static str, open: Range<usize>, what: &str) -> Result<Range<usize>, Fault> {
        let (token, span) = self.peek().clone();
        if token == Token::Sign(sign) {
            self.at += 1;
            return Ok(span);
        }
        if token == Token::End && sign == ")" {
            return Err(Fault::new(open, "this bracket is never closed").help("add ) where it ends"));
        }
        let at = if span.is_empty() { open } else { span };
        Err(Fault::new(at, format!("'{sign}' is needed {what}")).help(format!("write '{sign}' here")))
    }

    fn expression(&mut self, least: u8) -> Result<Node, Fault> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(Fault::new(self.peek().1.clone(), "brackets are nested too deep")
                .help("give parts of it names of their own"));
        }
        let node = self.chain(least);
        self.depth -= 1;
        node
    }

    fn chain(&mut self, least: u8) -> Result<Node, Fault> {
        let mut left = self.prefix()?;
        let mut terms = 0;
        while let (Token::Sign(sign), span) = self.peek().clone() {
            terms += 1;
            if terms > MOST_TERMS {
                return Err(
                    Fault::new(span, "too many terms in one formula").help("give parts of it names of their own")
                );
            }
            if sign == "is" {
                if 7 < least {
                    break;
                }
                left = self.is(left)?;
                continue;
            }
            let Some(&(_, op, lower, upper)) = OPERATORS.iter().find(|o| o.0 == sign) else { break };
            if lower < least {
                break;
            }
            if op.compares() && matches!(&left.kind, Kind::Binary(o, ..) if o.compares()) {
                return Err(Fault::new(span, "two comparisons in a row").help("join them with 'and': a < b and b < c"));
            }
            self.at += 1;
            if self.peek().0 == Token::End {
                return Err(Fault::new(span, format!("something is missing after '{sign}'"))
                    .help("write a value or a name after it"));
            }
            let right = self.expression(upper)?;
            left = Node {
                span: left.span.start..right.span.end,
                kind: Kind::Binary(op, span, Box::new(left), Box::new(right)),
            };
        }
        Ok(left)
    }

    /// `is word word`, `is not word`, `is 'text'`.
    fn is(&mut self, left: Node) -> Result<Node, Fault> {
        let (_, at) = self.next();
        let positive = self.peek().0 != Token::Sign("not");
        if !positive {
            self.at += 1;
        }
        let begin = self.peek().1.start;
        let mut end = begin;
        let mut words: Vec<String> = vec![];
        loop {
            let (token, span) = self.peek().clone();
            match token {
                Token::Quoted(t) => words.push(t),
                Token::Name(w) => words.push(w),
                _ => break,
            }
            end = span.end;
            self.at += 1;
        }
        if words.is_empty() {
            return Err(Fault::new(at, "a word is missing after 'is'").help("write the choice: section is round"));
        }
        let span = left.span.start..end;
        Ok(Node { span, kind: Kind::Is(Box::new(left), words.join(" "), begin..end, positive) })
    }

    fn prefix(&mut self) -> Result<Node, Fault> {
        let (token, span) = self.next();
        let kind = match token {
            Token::Literal(Literal::Plain(v)) => Kind::Number(v, Dim::PLAIN),
            Token::Literal(Literal::Quantity(v, d)) => Kind::Number(v, d),
            Token::Quoted(t) => Kind::Word(t),
            Token::Sign("-") => {
                let inner = self.expression(13)?;
                return Ok(Node { span: span.start..inner.span.end, kind: Kind::Minus(Box::new(inner)) });
            }
            Token::Sign("+") => return self.expression(13),
            Token::Sign("not") => {
                let inner = self.expression(5)?;
                return Ok(Node { span: span.start..inner.span.end, kind: Kind::Not(Box::new(inner)) });
            }
            Token::Sign("(") => {
                let mut inner = self.expression(0)?;
                let close = self.want(")", span.clone(), "to close the bracket")?;
                inner.span = span.start..close.end;
                return Ok(inner);
            }
            Token::Sign("if") => return self.choice(span),
            Token::Name(name) if self.peek().0 == Token::Sign("(") => return self.call(&name, span),
            Token::Name(name) => Kind::Name(name),
            Token::End => {
                let end = self.text.len();
                return Err(Fault::new(end..end, "something is missing at the end").help("write a value or a name"));
            }
            Token::Sign(s) => {
                return Err(Fault::new(span, format!("'{s}' is not expected here"))
                    .help("a value or a name is missing before it"));
            }
        };
        Ok(Node { span, kind })
    }

    fn choice(&mut self, span: Range<usize>) -> Result<Node, Fault> {
        let condition = self.expression(0)?;
        self.want("then", span.clone(), "after the condition of 'if'")?;
        let yes = self.expression(0)?;
        self.want("else", span.clone(), "after the first answer of 'if'")?;
        let no = self.expression(0)?;
        Ok(Node { span: span.start..no.span.end, kind: Kind::If(Box::new(condition), Box::new(yes), Box::new(no)) })
    }

    fn call(&mut self, name: &str, span: Range<usize>) -> Result<Node, Fault> {
        let open = self.next().1;
        let Some(f) = functions::find(name) else {
            let near = nearest(name, functions::FUNCTIONS.iter().map(|f| f.0));
            let help = near.map_or_else(
                || "see the list of functions in the manual".to_string(),
                |n| format!("did you mean {n}?"),
            );
            return Err(Fault::new(span, format!("there is no function '{name}'")).help(help));
        };
        let mut arguments = vec![];
        if self.peek().0 != Token::Sign(")") {
            loop {
                arguments.push(self.expression(0)?);
                if self.peek().0 != Token::Sign(",") {
                    break;
                }
                self.at += 1;
            }
        }
        let close = self.want(")", open, &format!("to close {name}("))?;
        let all = span.start..close.end;
        if arguments.len() < f.1 || arguments.len() > f.2 {
            let takes = if f.1 == f.2 { f.1.to_string() } else { format!("{} to {}", f.1, f.2) };
            return Err(Fault::new(all, format!("{name} takes {takes} values, {} given", arguments.len()))
                .help(format!("{name}: {}", f.3)));
        }
        Ok(Node { span: all, kind: Kind::Call(f.0, span, arguments) })
    }
}

impl Node {
    /// Every name in it, with its place, in the order of the text.
    pub fn names(&self) -> Vec<(&str, Range<usize>)> {
        let mut out = vec![];
        self.collect(&mut out);
        out
    }

    fn collect<'a>(&'a self, out: &mut Vec<(&'a str, Range<usize>)>) {
        match &self.kind {
            Kind::Name(n) => out.push((n, self.span.clone())),
            Kind::Number(..) | Kind::Word(_) => {}
            Kind::Minus(a) | Kind::Not(a) | Kind::Is(a, ..) => a.collect(out),
            Kind::Binary(_, _, a, b) => {
                a.collect(out);
                b.collect(out);
            }
            Kind::Call(_, _, v) => v.iter().for_each(|a| a.collect(out)),
            Kind::If(a, b, c) => {
                a.collect(out);
                b.collect(out);
                c.collect(out);
            }
        }
    }
}
