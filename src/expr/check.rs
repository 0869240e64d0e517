//! The kind that a formula comes out as, found without any value; both sides
//! of an `if` are looked at.

use super::fault::Fault;
use super::parse::{Kind, Node, Op};
use super::value::Type;
use crate::source::nearest;
use crate::units::Dim;
use std::ops::Range;

/// What is known of names.
pub type Kinds<'a> = dyn Fn(&str) -> Option<Type> + 'a;

fn marked(n: &Node, t: &Type) -> (Range<usize>, String) {
    (n.span.clone(), format!("this is {}", t.name()))
}

fn differ(at: Range<usize>, message: String, a: (&Node, &Type), b: (&Node, &Type)) -> Fault {
    let (x, y) = (marked(a.0, a.1), marked(b.0, b.1));
    Fault::new(at, message).mark(x.0, x.1).mark(y.0, y.1)
}

/// The kind of a formula's value.
///
/// # Errors
/// An unknown name, or two kinds that do not go together, both underlined.
pub fn check(node: &Node, names: &Kinds) -> Result<Type, Fault> {
    match &node.kind {
        Kind::Number(_, d) => Ok(Type::Quantity(*d)),
        Kind::Word(w) => Ok(Type::Word(vec![w.clone()])),
        Kind::Name(n) => names(n).ok_or_else(|| {
            let mut f = Fault::new(node.span.clone(), format!("there is no value `{n}`"));
            f.unknown = Some(n.clone());
            f
        }),
        Kind::Minus(a) => quantity(a, names).map(Type::Quantity),
        Kind::Not(a) => yes_no(a, names, "'not' needs a yes or no"),
        Kind::Is(a, word, at, _) => is(a, word, at, names),
        Kind::Binary(op, at, a, b) => binary(*op, at, a, b, names),
        Kind::If(c, a, b) => {
            yes_no(c, names, "'if' needs a comparison")?;
            let (x, y) = (check(a, names)?, check(b, names)?);
            if !x.fits(&y) {
                let at = node.span.start..node.span.start + 2;
                return Err(differ(at, "both answers of 'if' must be of one kind".to_string(), (a, &x), (b, &y)));
            }
            Ok(x)
        }
        Kind::Call(name, at, arguments) => call(name, at, arguments, names),
    }
}

fn quantity(n: &Node, names: &Kinds) -> Result<Dim, Fault> {
    match check(n, names)? {
        Type::Quantity(d) => Ok(d),
        t => Err(Fault::new(n.span.clone(), format!("this is {}; a number is needed", t.name()))),
    }
}

fn yes_no(n: &Node, names: &Kinds, message: &str) -> Result<Type, Fault> {
    match check(n, names)? {
        Type::YesNo => Ok(Type::YesNo),
        t => {
            let m = marked(n, &t);
            Err(Fault::new(n.span.clone(), message).mark(m.0, m.1).help("for example: a > 2 mm and b < 5 mm"))
        }
    }
}

fn is(a: &Node, word: &str, at: &Range<usize>, names: &Kinds) -> Result<Type, Fault> {
    match check(a, names)? {
        Type::Word(choices) if choices.is_empty() || choices.iter().any(|c| c == word) => Ok(Type::YesNo),
        Type::Word(choices) => {
            let near = nearest(word, choices.iter().map(String::as_str)).map(|n| format!("did you mean {n}? "));
            let help = format!("{}choices are: {}", near.unwrap_or_default(), choices.join(", "));
            Err(Fault::new(at.clone(), format!("'{word}' is not one of the choices")).help(help))
        }
        t => {
            let m = marked(a, &t);
            Err(Fault::new(a.span.clone(), "'is' asks for a choice").mark(m.0, m.1).help("compare numbers with = < >"))
        }
    }
}

fn binary(op: Op, at: &Range<usize>, a: &Node, b: &Node, names: &Kinds) -> Result<Type, Fault> {
    if matches!(op, Op::And | Op::Or) {
        yes_no(a, names, "'and' and 'or' join comparisons")?;
        return yes_no(b, names, "'and' and 'or' join comparisons");
    }
    let (x, y) = (quantity(a, names)?, quantity(b, names)?);
    let over = || Fault::new(at.clone(), "too high a power").help("check what is multiplied");
    match op {
        Op::Multiply => x.times(y).map(Type::Quantity).ok_or_else(over),
        Op::Divide => x.over(y).map(Type::Quantity).ok_or_else(over),
        Op::Power => power(at, a, x, b, y),
        _ if x == y => Ok(if op.compares() { Type::YesNo } else { Type::Quantity(x) }),
        _ => {
            let message = match op {
                Op::Add => format!("cannot add {} to {}", y.name(), x.name()),
                Op::Subtract => format!("cannot take {} away from {}", y.name(), x.name()),
                _ => format!("cannot compare {} with {}", x.name(), y.name()),
            };
            let fault = differ(at.clone(), message, (a, &Type::Quantity(x)), (b, &Type::Quantity(y)));
            Err(if x == Dim::PLAIN || y == Dim::PLAIN {
                fault.help("give the plain number a unit: mm, in, deg, ...")
            } else {
                fault
            })
        }
    }
}

fn power(at: &Range<usize>, a: &Node, x: Dim, b: &Node, y: Dim) -> Result<Type, Fault> {
    if y != Dim::PLAIN {
        return Err(Fault::new(b.span.clone(), format!("this is {}; a power is a plain number", y.name())));
    }
    if x == Dim::PLAIN {
        return Ok(Type::Quantity(x));
    }
    let written = match &b.kind {
        Kind::Number(v, _) => Some(*v),
        Kind::Minus(m) => match m.kind {
            Kind::Number(v, _) => Some(-v),
            _ => None,
        },
        _ => None,
    };
    let whole = written.filter(|v| *v == libm::trunc(*v) && v.abs() < 9.0);
    whole.and_then(|v| x.power(v as i8)).map(Type::Quantity).ok_or_else(|| {
        let m = marked(a, &Type::Quantity(x));
        Fault::new(at.clone(), "the power of a measure must be a whole number that is written out").mark(m.0, m.1)
    })
}

fn call(name: &str, at: &Range<usize>, v: &[Node], names: &Kinds) -> Result<Type, Fault> {
    let need = |n: &Node, want: Dim, help: &str| -> Result<(), Fault> {
        let d = quantity(n, names)?;
        if d == want {
            return Ok(());
        }
        let m = marked(n, &Type::Quantity(d));
        Err(Fault::new(n.span.clone(), format!("{name} needs {}", want.name())).mark(m.0, m.1).help(help))
    };
    let dim = match name {
        "min" | "max" | "hypot" | "round" | "round_up" | "round_down" | "atan2" => {
            let x = quantity(&v[0], names)?;
            for b in &v[1..] {
                let y = quantity(b, names)?;
                if x != y {
                    let message = format!("the values in {name} must be of one kind");
                    return Err(differ(at.clone(), message, (&v[0], &Type::Quantity(x)), (b, &Type::Quantity(y))));
                }
            }
            if name == "atan2" { Dim::ANGLE } else { x }
        }
        "abs" => quantity(&v[0], names)?,
        "sqrt" => {
            let d = quantity(&v[0], names)?;
            d.root().ok_or_else(|| Fault::new(v[0].span.clone(), format!("there is no square root of {}", d.name())))?
        }
        "sin" | "cos" | "tan" => need(&v[0], Dim::ANGLE, "write the angle with deg: 30 deg").map(|()| Dim::PLAIN)?,
        "asin" | "acos" | "atan" => need(&v[0], Dim::PLAIN, "divide a length by a length").map(|()| Dim::ANGLE)?,
        "whole_up" | "whole_down" => {
            need(&v[0], Dim::PLAIN, "for a length use round_up(x, 1 mm)").map(|()| Dim::PLAIN)?
        }
        "arc" => {
            need(&v[0], Dim::LENGTH, "arc(radius, angle)")?;
            need(&v[1], Dim::ANGLE, "arc(radius, angle)").map(|()| Dim::LENGTH)?
        }
        "weight" => need(&v[0], Dim::MASS, "write the mass with kg or lb").map(|()| Dim::FORCE)?,
        _ => Dim::PLAIN,
    };
    Ok(Type::Quantity(dim))
}
