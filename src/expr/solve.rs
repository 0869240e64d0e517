//! Named formulas worked out in the order in which they need one another.

use super::scope::tell;
use super::{Node, Order, Scope, Type, parse_once, solve_order};
use crate::diag::{Diagnostic, FileId};
use crate::source::Text;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::rc::Rc;

/// A named formula.
#[derive(Clone, Debug)]
pub struct Definition {
    /// Its name.
    pub name: String,
    /// Its text.
    pub text: Text,
    /// The kind it must come out as, if any.
    pub want: Option<Type>,
}

/// Several values that come together, as `name.` and what each is called: worked
/// out when all that they need is there.
#[derive(Clone, Debug)]
pub struct Group {
    /// What their names begin with.
    pub name: String,
    /// Names that they need.
    pub needs: Vec<String>,
    /// Where they are asked for.
    pub place: (FileId, Range<usize>),
}

/// Sets the values of the group with this index in the scope; `None` where they are at fault.
pub type Bring<'a> = dyn FnMut(&mut Scope, usize, &mut Vec<Diagnostic>) -> Option<()> + 'a;

/// Work out named formulas in any order and add them to the scope.
pub fn solve(scope: &mut Scope, definitions: &[Definition], out: &mut Vec<Diagnostic>) {
    solve_with(scope, definitions, &[], &mut |_, _, _| None, out);
}

/// The same, with groups of values in between.
pub fn solve_with(
    scope: &mut Scope,
    definitions: &[Definition],
    groups: &[Group],
    bring: &mut Bring,
    out: &mut Vec<Diagnostic>,
) {
    let mut one = |scope: &mut Scope, d: &Definition, node: &Node, out: &mut Vec<Diagnostic>| {
        let v = scope.value_of(node, &d.text, d.want.as_ref(), out)?;
        let kind = d.want.clone().unwrap_or_else(|| v.kind());
        scope.set(&d.name, v, kind, (d.text.file, d.text.span.clone()));
        scope.formulas.insert(d.name.clone(), d.text.clone());
        Some(())
    };
    in_order(scope, definitions, groups, (&mut one, bring), out);
}

/// The kinds of named formulas, without any value: what can be said of a
/// template before anybody answers its questions. The kinds of the values of
/// `groups` are in the scope already.
pub fn solve_kinds(scope: &mut Scope, definitions: &[Definition], groups: &[Group], out: &mut Vec<Diagnostic>) {
    let mut one = |scope: &mut Scope, d: &Definition, node: &Node, out: &mut Vec<Diagnostic>| {
        let kind = scope.kind_of(node, &d.text, d.want.as_ref(), out)?;
        scope.kinds.insert(d.name.clone(), d.want.clone().unwrap_or(kind));
        Some(())
    };
    in_order(scope, definitions, groups, (&mut one, &mut |_, _, _| Some(())), out);
}

type Visit<'a> = dyn FnMut(&mut Scope, &Definition, &Node, &mut Vec<Diagnostic>) -> Option<()> + 'a;

/// Visit formulas and groups so that each comes after those it needs; circles and
/// faults of spelling are told, and what fails is marked as failed.
fn in_order(
    scope: &mut Scope,
    definitions: &[Definition],
    groups: &[Group],
    (visit, bring): (&mut Visit, &mut Bring),
    out: &mut Vec<Diagnostic>,
) {
    let nodes = parsed(scope, definitions, out);
    let place = |name: &str| {
        let formula = definitions.iter().find(|d| d.name == name).map(|d| (d.text.file, d.text.span.clone()));
        formula.or_else(|| groups.iter().find(|g| g.name == name).map(|g| g.place.clone()))
    };
    let mut needs = needs_of(&nodes, groups);
    let order = loop {
        match solve_order(&needs) {
            Order::Found(order) => break order,
            Order::TooDeep(chain) => {
                let message = format!("`{}` needs a chain of more than {} values", chain[0], chain.len() - 1);
                out.extend(place(&chain[0]).map(|(file, span)| {
                    let d = Diagnostic::error("chain-too-long", message, file, span);
                    d.help("measure one in the middle of the chain")
                }));
                // All that hang on the chain would tell the same.
                needs.keys().for_each(|name| scope.fail(name));
                return;
            }
            Order::Circle(circle) => {
                tell_circle(&circle, &place, out);
                for name in &circle {
                    needs.remove(name);
                    scope.fail(name);
                }
            }
        }
    };
    let by_name: BTreeMap<&str, &Definition> = definitions.iter().map(|d| (d.name.as_str(), d)).collect();
    for name in order {
        let done = match (by_name.get(name.as_str()), nodes.get(&name)) {
            (Some(d), Some(node)) => visit(scope, d, node, out),
            _ => groups.iter().position(|g| g.name == name).and_then(|i| bring(scope, i, out)),
        };
        if done.is_none() {
            scope.fail(&name);
        }
    }
}

/// The formulas that can be read; the others are told.
fn parsed(scope: &mut Scope, definitions: &[Definition], out: &mut Vec<Diagnostic>) -> BTreeMap<String, Rc<Node>> {
    let mut nodes = BTreeMap::new();
    for d in definitions {
        match parse_once(&d.text.value) {
            Ok(node) => {
                nodes.insert(d.name.clone(), node);
            }
            Err(f) => {
                tell(f, &d.text, &|| scope.names(), out);
                scope.fail(&d.name);
            }
        }
    }
    nodes
}

/// What each formula and each group needs; a value of a group needs the group.
fn needs_of(nodes: &BTreeMap<String, Rc<Node>>, groups: &[Group]) -> BTreeMap<String, Vec<String>> {
    let known: BTreeSet<&str> = groups.iter().map(|g| g.name.as_str()).collect();
    let whole = |name: &str| match name.split_once('.') {
        Some((head, _)) if known.contains(head) && !nodes.contains_key(name) => head.to_string(),
        _ => name.to_string(),
    };
    let of_node = |node: &Node| node.names().iter().map(|n| whole(n.0)).collect();
    let mut needs: BTreeMap<String, Vec<String>> = nodes.iter().map(|(n, node)| (n.clone(), of_node(node))).collect();
    for g in groups {
        needs.insert(g.name.clone(), g.needs.iter().map(|n| whole(n)).collect());
    }
    needs
}

/// Where a name is written.
type PlaceOf<'a> = dyn Fn(&str) -> Option<(FileId, Range<usize>)> + 'a;

fn tell_circle(circle: &[String], place: &PlaceOf, out: &mut Vec<Diagnostic>) {
    let message = format!("these values need one another: {}", circle.join(" -> "));
    let mut d = Diagnostic::bare("circle-of-values", message).help("give one of them a value of its own");
    for name in circle.iter().take(circle.len().saturating_sub(1)) {
        if let Some((file, span)) = place(name) {
            d = d.also(file, span, format!("`{name}`"));
        }
    }
    out.push(d);
}
