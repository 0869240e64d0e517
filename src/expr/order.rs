//! In which order named formulas are worked out.

use std::collections::{BTreeMap, BTreeSet};

/// The order, or the circle that prevents one.
#[derive(Clone, Debug, PartialEq)]
pub enum Order {
    /// Each name after all that it needs.
    Found(Vec<String>),
    /// Names that need one another, in order; the first stands again at the end.
    Circle(Vec<String>),
    /// Names that hang on one another in too long a row, the first one first.
    TooDeep(Vec<String>),
}

/// Most names that one value may depend on in a row.
const DEEPEST: usize = 500;

/// Depth first, in the order of the names; each name stands with what it needs.
/// Names that nothing defines are left to the caller.
pub fn solve_order(needs: &BTreeMap<String, Vec<String>>) -> Order {
    let mut search = Search { all: needs, done: vec![], seen: BTreeSet::new(), path: vec![] };
    for name in needs.keys() {
        if let Err(order) = search.visit(name) {
            return order;
        }
    }
    Order::Found(search.done)
}

struct Search<'a> {
    all: &'a BTreeMap<String, Vec<String>>,
    done: Vec<String>,
    seen: BTreeSet<&'a str>,
    path: Vec<&'a str>,
}

impl<'a> Search<'a> {
    fn visit(&mut self, name: &'a str) -> Result<(), Order> {
        if self.seen.contains(name) {
            return Ok(());
        }
        if let Some(at) = self.path.iter().position(|p| *p == name) {
            let circle = self.path[at..].iter().chain([&name]).map(|n| (*n).to_string()).collect();
            return Err(Order::Circle(circle));
        }
        let Some((name, needs)) = self.all.get_key_value(name) else { return Ok(()) };
        if self.path.len() > DEEPEST {
            return Err(Order::TooDeep(self.path.iter().map(|n| (*n).to_string()).collect()));
        }
        self.path.push(name);
        for needed in needs {
            self.visit(needed)?;
        }
        self.path.pop();
        self.seen.insert(name);
        self.done.push(name.clone());
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::expr::parse;

    fn order(list: &[(&str, &str)]) -> Order {
        let needs = |t: &str| parse(t).unwrap().names().iter().map(|n| n.0.to_string()).collect();
        solve_order(&list.iter().map(|(n, t)| ((*n).to_string(), needs(t))).collect())
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
