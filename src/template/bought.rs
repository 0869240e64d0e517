//! What a part needs beside its steel: hardware, sheet goods, welds.

use super::wording::worded;
use crate::diag::Diagnostic;
use crate::expr::{Scope, Type, Value};
use crate::handbook::fasteners::{Head, Nut, Washer};
use crate::source::Obj;
use crate::units::{Length, System};

/// One thing to buy.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// In the template's words.
    Words(String),
    /// A through bolt with its nut and washers; size and length follow.
    Bolt(BoltCall),
    /// A strip or pad cut out of sheet goods: rubber, liner, felt.
    Sheet(Strip),
}

/// What a template tells of a through bolt.
#[derive(Clone, Debug, PartialEq)]
pub struct BoltCall {
    /// The hole that it goes through.
    pub hole: Length,
    /// What lies between the washers; under a countersunk head: from the face that it is flush with.
    pub grip: Length,
    /// Class or grade.
    pub class: String,
    /// Head.
    pub head: Head,
    /// Nut.
    pub nut: Nut,
    /// Washer under a hexagon head and under the nut.
    pub washer: Washer,
}

/// A strip or pad of sheet goods.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// What it is, in the template's words: `nitrile rubber`.
    pub of: String,
    /// Thickness of the sheet.
    pub thick: Length,
    /// Length.
    pub length: Length,
    /// Width.
    pub width: Length,
}

/// A fillet weld.
#[derive(Clone, Debug, PartialEq)]
pub struct Weld {
    /// Where it is, in the template's words.
    pub name: String,
    /// All its runs in one part together.
    pub length: Length,
    /// Throat.
    pub throat: Length,
}

/// One thing to buy; nothing where one of its values is at fault.
pub(super) fn bought(h: &Obj, scope: &Scope, system: System, out: &mut Vec<Diagnostic>) -> Option<Item> {
    if let Some(words) = h.text("item") {
        return Some(Item::Words(worded(scope, words, system, out)));
    }
    if let Some(of) = h.text("sheet") {
        let of = worded(scope, of, system, out);
        let mut mm = |key: &str| scope.field(h, key, out).map(Length::mm);
        let (thick, length, width) = (mm("thick"), mm("length"), mm("width"));
        return Some(Item::Sheet(Strip { of, thick: thick?, length: length?, width: width? }));
    }
    bolt_call(h, scope, out).map(Item::Bolt)
}

fn bolt_call(h: &Obj, scope: &Scope, out: &mut Vec<Diagnostic>) -> Option<BoltCall> {
    let (hole, grip) = (scope.field(h, "bolt", out), scope.field(h, "grip", out));
    let class = scope.typed(h.text("class")?, &Type::Word(vec![]), out);
    let (Some(hole), Some(grip), Some(Value::Word(class))) = (hole, grip, class) else { return None };
    let (hole, grip) = (Length::mm(hole), Length::mm(grip));
    let head = if h.word("head") == Some("countersunk") { Head::Countersunk } else { Head::Hexagon };
    let nut = if h.word("nut") == Some("plain") { Nut::Plain } else { Nut::SelfLocking };
    let washer = if h.word("washer") == Some("penny") { Washer::Penny } else { Washer::Plain };
    Some(BoltCall { hole, grip, class, head, nut, washer })
}

/// A weld; nothing where one of its values is at fault.
pub(super) fn weld(w: &Obj, scope: &Scope, out: &mut Vec<Diagnostic>) -> Option<Weld> {
    let mut mm = |key: &str| scope.field(w, key, out).map(Length::mm);
    let (length, throat) = (mm("length"), mm("throat"));
    Some(Weld { name: w.word("name")?.to_string(), length: length?, throat: throat? })
}
