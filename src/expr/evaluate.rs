//! The value of a formula. Only the numbers themselves can still go wrong.

use super::fault::Fault;
use super::parse::{Kind, Node, Op};
use super::value::Value;
use crate::units::{Dim, STANDARD_GRAVITY};
use std::f64::consts::PI;

/// The values of names.
pub type Values<'a> = dyn Fn(&str) -> Option<Value> + 'a;

/// Two numbers this near, relative to their size, are equal: 23.5 in is 596.9 mm.
const EQUAL: f64 = 1e-9;
/// A number of steps this near a whole one is whole, so that rounding 3/16 in
/// up to 1/16 in does not take another step because of a last digit.
const WHOLE: f64 = 1e-7;

/// Work out a formula.
///
/// # Errors
/// A division by zero, a root of a negative number, a value that is missing,
/// or a result that is no finite number.
pub fn evaluate(node: &Node, names: &Values) -> Result<Value, Fault> {
    let value = match &node.kind {
        Kind::Number(v, d) => Value::Quantity(*v, *d),
        Kind::Word(w) => Value::Word(w.clone()),
        Kind::Name(n) => names(n).ok_or_else(|| {
            let mut f = Fault::new(node.span.clone(), format!("there is no value `{n}`"));
            f.unknown = Some(n.clone());
            f
        })?,
        Kind::Minus(a) => {
            let (v, d) = number(a, names)?;
            Value::Quantity(-v, d)
        }
        Kind::Not(a) => Value::YesNo(!yes(a, names)?),
        Kind::Is(a, word, _, positive) => match evaluate(a, names)? {
            Value::Word(w) => Value::YesNo((w == *word) == *positive),
            _ => return Err(Fault::new(a.span.clone(), "'is' asks for a choice")),
        },
        Kind::If(c, a, b) => evaluate(if yes(c, names)? { a } else { b }, names)?,
        Kind::Binary(Op::And, _, a, b) => Value::YesNo(yes(a, names)? && yes(b, names)?),
        Kind::Binary(Op::Or, _, a, b) => Value::YesNo(yes(a, names)? || yes(b, names)?),
        Kind::Binary(op, _, a, b) => binary(*op, number(a, names)?, number(b, names)?, b)?,
        Kind::Call(name, _, arguments) => {
            let values: Vec<(f64, Dim)> = arguments.iter().map(|a| number(a, names)).collect::<Result<_, _>>()?;
            call(name, &values, arguments)?
        }
    };
    match value {
        Value::Quantity(v, _) if !v.is_finite() => {
            Err(Fault::new(node.span.clone(), "this does not come out as a number").help("check its values"))
        }
        v => Ok(v),
    }
}

fn number(n: &Node, names: &Values) -> Result<(f64, Dim), Fault> {
    match evaluate(n, names)? {
        Value::Quantity(v, d) => Ok((v, d)),
        _ => Err(Fault::new(n.span.clone(), "a number is needed here")),
    }
}

fn yes(n: &Node, names: &Values) -> Result<bool, Fault> {
    match evaluate(n, names)? {
        Value::YesNo(b) => Ok(b),
        _ => Err(Fault::new(n.span.clone(), "a yes or no is needed here")),
    }
}

fn binary(op: Op, (x, d): (f64, Dim), (y, e): (f64, Dim), right: &Node) -> Result<Value, Fault> {
    let near = EQUAL * (1.0 + x.abs().max(y.abs()));
    Ok(match op {
        Op::Add => Value::Quantity(x + y, d),
        Op::Subtract => Value::Quantity(x - y, d),
        Op::Multiply => Value::Quantity(x * y, d.times(e).unwrap_or(d)),
        Op::Divide if y == 0.0 => {
            return Err(
                Fault::new(right.span.clone(), "division by zero").mark(right.span.clone(), "this comes out as 0")
            );
        }
        Op::Divide => Value::Quantity(x / y, d.over(e).unwrap_or(d)),
        Op::Power => Value::Quantity(libm::pow(x, y), if d == Dim::PLAIN { d } else { d.power(y as i8).unwrap_or(d) }),
        Op::Less => Value::YesNo(x < y - near),
        Op::AtMost => Value::YesNo(x <= y + near),
        Op::More => Value::YesNo(x > y + near),
        Op::AtLeast => Value::YesNo(x >= y - near),
        Op::Equal => Value::YesNo((x - y).abs() <= near),
        Op::Unequal => Value::YesNo((x - y).abs() > near),
        Op::And | Op::Or => return Err(Fault::new(right.span.clone(), "a yes or no is needed here")),
    })
}

fn step(values: &[(f64, Dim)], at: &[Node], whole: fn(f64) -> f64) -> Result<Value, Fault> {
    let (x, size) = (values[0].0, values[1].0);
    if size <= 0.0 {
        return Err(Fault::new(at[1].span.clone(), "the step must be more than 0"));
    }
    let count = x / size;
    let near = libm::round(count);
    let count = if (count - near).abs() < WHOLE { near } else { whole(count) };
    Ok(Value::Quantity(count * size, values[0].1))
}

fn call(name: &str, v: &[(f64, Dim)], at: &[Node]) -> Result<Value, Fault> {
    let radians = PI / 180.0;
    let first = v.first().map_or(0.0, |a| a.0);
    let dim = v.first().map_or(Dim::PLAIN, |a| a.1);
    let angle = |x: f64| Value::Quantity(x / radians, Dim::ANGLE);
    let plain = |x: f64| Value::Quantity(x, Dim::PLAIN);
    Ok(match name {
        "min" => Value::Quantity(v.iter().map(|a| a.0).fold(f64::INFINITY, f64::min), dim),
        "max" => Value::Quantity(v.iter().map(|a| a.0).fold(f64::NEG_INFINITY, f64::max), dim),
        "abs" => Value::Quantity(first.abs(), dim),
        "sqrt" if first < 0.0 => return Err(Fault::new(at[0].span.clone(), "square root of a negative number")),
        "sqrt" => Value::Quantity(libm::sqrt(first), dim.root().unwrap_or(dim)),
        "hypot" => Value::Quantity(libm::hypot(first, v[1].0), dim),
        "sin" => plain(sine(first)),
        "cos" => plain(sine(first + 90.0)),
        "tan" => {
            let c = sine(first + 90.0);
            if c == 0.0 {
                return Err(Fault::new(at[0].span.clone(), "the tangent of 90 deg has no value"));
            }
            plain(sine(first) / c)
        }
        "asin" | "acos" if first.abs() > 1.0 => {
            return Err(Fault::new(at[0].span.clone(), format!("{name} needs a number from -1 to 1; this is {first}")));
        }
        "asin" => angle(libm::asin(first)),
        "acos" => angle(libm::acos(first)),
        "atan" => angle(libm::atan(first)),
        "atan2" => angle(libm::atan2(first, v[1].0)),
        "round" => step(v, at, libm::round)?,
        "round_up" => step(v, at, libm::ceil)?,
        "round_down" => step(v, at, libm::floor)?,
        "whole_up" | "whole_down" => {
            let near = libm::round(first);
            let whole: fn(f64) -> f64 = if name == "whole_up" { libm::ceil } else { libm::floor };
            plain(if (near - first).abs() < WHOLE { near } else { whole(first) })
        }
        "arc" => Value::Quantity(first * v[1].0 * radians, Dim::LENGTH),
        // Mass is kept in N s2/mm, gravity in mm/s2.
        "weight" => Value::Quantity(first * STANDARD_GRAVITY * 1000.0, Dim::FORCE),
        _ => plain(PI),
    })
}

/// Sine of degrees, exact at the multiples of 30 where it is a half or a whole.
fn sine(degrees: f64) -> f64 {
    let x = degrees.rem_euclid(360.0);
    match x {
        0.0 | 180.0 => 0.0,
        30.0 | 150.0 => 0.5,
        90.0 => 1.0,
        210.0 | 330.0 => -0.5,
        270.0 => -1.0,
        x => libm::sin(x * PI / 180.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::expr::{Type, check, parse};

    fn names(n: &str) -> Option<Value> {
        Some(match n {
            "gap" => Value::length(596.9),
            "slope" => Value::Quantity(4.0, Dim::ANGLE),
            "tank.mass" => Value::Quantity(0.042, Dim::MASS),
            "section" => Value::Word("two bolt flange".to_string()),
            _ => return None,
        })
    }

    fn value(text: &str) -> Value {
        evaluate(&parse(text).unwrap_or_else(|f| panic!("{text}: {}", f.message)), &names)
            .unwrap_or_else(|f| panic!("{text}: {}", f.message))
    }

    #[test]
    fn arithmetic_with_units() {
        assert_eq!(value("1 + 2 * 3 ^ 2"), Value::number(19.0));
        assert_eq!(value("gap = 23-1/2 in"), Value::YesNo(true));
        assert_eq!(value("(gap - 2 * 1/8 in) / 2"), Value::length((596.9 - 6.35) / 2.0));
        assert_eq!(value("if gap > 20 in then 4 else 3"), Value::number(4.0));
        assert_eq!(value("-2 ^ 2"), Value::number(-4.0));
        assert_eq!(value("hypot(3 mm, 4 mm)"), Value::length(5.0));
        match value("weight(tank.mass)") {
            Value::Quantity(n, Dim::FORCE) => assert!((n - 411.8793).abs() < 1e-3),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn choices_of_several_words() {
        assert_eq!(value("section is two bolt flange and gap > 1 mm"), Value::YesNo(true));
        assert_eq!(value("if section is not rod end then 'a' else 'b'"), Value::Word("a".to_string()));
        let kinds = |n: &str| (n == "section").then(|| Type::Word(vec!["round".into(), "obround".into()]));
        assert!(check(&parse("section is obrond").unwrap(), &kinds).unwrap_err().help.unwrap().contains("obround"));
    }

    #[test]
    fn rounding_up_to_a_sixteenth_takes_no_step_for_noise() {
        for n in 0..4000 {
            let text = format!("round_up({n} * 1/16 in, 1/16 in)");
            match value(&text) {
                Value::Quantity(v, _) => assert!((v - f64::from(n) * 25.4 / 16.0).abs() < 1e-6, "{text}"),
                other => panic!("{other:?}"),
            }
        }
    }

    #[test]
    fn dimensions_that_do_not_go_together_are_refused_with_both_sides() {
        let kinds = |n: &str| names(n).map(|v| v.kind());
        for text in [
            "gap + slope",
            "gap + 2",
            "sin(gap)",
            "gap and gap",
            "min(gap, 3)",
            "sqrt(gap)",
            "gap is round",
            "if 1 then 2 else 3",
            "gap ^ gap",
        ] {
            assert!(check(&parse(text).unwrap(), &kinds).is_err(), "{text}");
        }
        assert_eq!(check(&parse("gap + slope").unwrap(), &kinds).unwrap_err().marks.len(), 2);
    }

    #[test]
    fn broken_formulas_have_a_place_and_help() {
        for text in [
            "",
            "1 +",
            "(1",
            "1)",
            "gap gap",
            "mun(1, 2)",
            "min(1)",
            "1 < 2 < 3",
            "a / 1/2 in",
            "5 ['",
            "a.",
            "if 1 then 2",
            "1,5",
            "is",
        ] {
            let f = parse(text).unwrap_err();
            assert!(f.span.end <= text.len() + 1 && f.help.is_some(), "{text}: {f:?}");
        }
        assert!(evaluate(&parse("1 / 0").unwrap(), &names).is_err());
        assert!(parse(&"(".repeat(1900)).is_err());
    }

    #[test]
    fn random_text_never_panics() {
        let letters: Vec<char> = "0123456789.+-*/^()<>=,'\" abgpif½″′mnNd°x_é%".chars().collect();
        let mut seed = 7_u64;
        for _ in 0..40_000 {
            let mut text = String::new();
            for _ in 0..seed % 17 {
                seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                text.push(letters[(seed >> 33) as usize % letters.len()]);
            }
            seed = seed.wrapping_add(1);
            if let Ok(node) = parse(&text) {
                let kind = check(&node, &|n| names(n).map(|v| v.kind()));
                if let (Ok(k), Ok(v)) = (kind, evaluate(&node, &names)) {
                    assert!(k.fits(&v.kind()), "{text}");
                }
            }
        }
    }
}
