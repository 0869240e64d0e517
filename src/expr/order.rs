//! In which order named formulas are worked out.

use super::parse::Node;
use std::collections::BTreeMap;

/// The order, or the circle that prevents one.
#[derive(Clone, Debug, PartialEq)]
pub enum Order {
    /// Each name after all that it needs.
    Found(Vec<String>),
    /// Names that need one another, in order; the first stands again at the end.
    Circle(Vec<String>),
}

/// Most names that one value may depend on in a row.
const DEEPEST: usize = 500;

/// Depth first, in the order of the names. Names that no formula defines are
/// left to the caller.
pub fn solve_order(formulas: &BTreeMap<String, Node>) -> Order {
    let mut done: Vec<String> = vec![];
    let mut path: Vec<String> = vec![];
    for name in formulas.keys() {
        if let Some(circle) = visit(name, formulas, &mut done, &mut path) {
            return Order::Circle(circle);
        }
    }
    Order::Found(done)
}

fn visit(
    name: &str,
    all: &BTreeMap<String, Node>,
    done: &mut Vec<String>,
    path: &mut Vec<String>,
) -> Option<Vec<String>> {
    if done.iter().any(|d| d == name) {
        return None;
    }
    if let Some(at) = path.iter().position(|p| p == name) {
        let mut circle = path[at..].to_vec();
        circle.push(name.to_string());
        return Some(circle);
    }
    let node = all.get(name)?;
    if path.len() > DEEPEST {
        return Some(path.clone());
    }
    path.push(name.to_string());
    for (needed, _) in node.names() {
        if let Some(circle) = visit(needed, all, done, path) {
            return Some(circle);
        }
    }
    path.pop();
    done.push(name.to_string());
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::expr::parse;

    fn order(list: &[(&str, &str)]) -> Order {
        solve_order(&list.iter().map(|(n, t)| ((*n).to_string(), parse(t).unwrap())).collect())
    }

    #[test]
    fn each_value_comes_after_what_it_needs() {
        assert_eq!(
            order(&[("a", "b + c"), ("b", "c * 2"), ("c", "3")]),
            Order::Found(vec!["c".into(), "b".into(), "a".into()])
        );
    }

    #[test]
    fn a_circle_is_told_whole() {
        assert_eq!(
            order(&[("a", "b"), ("b", "c"), ("c", "b + 1")]),
            Order::Circle(vec!["b".into(), "c".into(), "b".into()])
        );
    }
}
