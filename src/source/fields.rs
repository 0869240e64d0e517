//! Field tables: what keys a table of a file may hold, and the values found.

use super::text::Text;
use std::ops::Range;

/// What kind of value a formula must come out as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// Any kind.
    Any,
    /// A length.
    Length,
    /// An angle.
    Angle,
    /// A plain number.
    Number,
    /// A yes or no.
    YesNo,
}

/// What a key holds.
#[derive(Clone, Copy, Debug)]
pub enum Want {
    /// Text in quotes.
    Text,
    /// A list of texts.
    Texts,
    /// One of these words.
    OneOf(&'static [&'static str]),
    /// A value or a formula.
    Expr(Need),
    /// A list of values or formulas.
    Exprs(Need),
    /// Two values or formulas.
    Pair(Need),
    /// true or false.
    Bool,
    /// A number written as such.
    Number,
    /// A table.
    Table(&'static [Field]),
    /// Tables, any number of them.
    List(&'static [Field]),
    /// Tables, each under a name.
    Named(&'static [Field]),
    /// Names with values or formulas; dotted names make one name.
    Values(Need),
}

/// A key with what it holds, whether it must be there, and its words.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    /// The key.
    pub key: &'static str,
    /// What it holds.
    pub want: Want,
    /// Whether it must be there.
    pub must: bool,
    /// Its words for the manual and for messages.
    pub words: &'static str,
}

/// A field, short to write in tables.
pub const fn field(key: &'static str, want: Want, must: bool, words: &'static str) -> Field {
    Field { key, want, must, words }
}

/// A value found.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// For [`Want::Text`], [`Want::OneOf`], [`Want::Expr`], [`Want::Number`].
    Text(Text),
    /// For [`Want::Texts`], [`Want::Exprs`], [`Want::Pair`].
    Texts(Vec<Text>),
    /// For [`Want::Bool`].
    Bool(bool),
    /// For [`Want::Table`].
    Obj(Obj),
    /// For [`Want::List`].
    List(Vec<Obj>),
    /// For [`Want::Named`].
    Named(Vec<(String, Range<usize>, Obj)>),
    /// For [`Want::Values`]: name, place of the name, value.
    Values(Vec<(String, Range<usize>, Text)>),
}

/// A table found: only known keys, each of its right kind.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Obj {
    /// Bytes of the table, or of its heading.
    pub span: Range<usize>,
    /// Key, place of the key, value, in the order of the file.
    pub items: Vec<(&'static str, Range<usize>, Item)>,
}

impl Obj {
    /// The value under a key.
    pub fn get(&self, key: &str) -> Option<&Item> {
        self.items.iter().find(|i| i.0 == key).map(|i| &i.2)
    }
    /// Place of a key.
    pub fn key_span(&self, key: &str) -> Option<Range<usize>> {
        self.items.iter().find(|i| i.0 == key).map(|i| i.1.clone())
    }
    /// The text under a key.
    pub fn text(&self, key: &str) -> Option<&Text> {
        match self.get(key) {
            Some(Item::Text(t)) => Some(t),
            _ => None,
        }
    }
    /// The word under a key.
    pub fn word(&self, key: &str) -> Option<&str> {
        self.text(key).map(|t| t.value.as_str())
    }
    /// The list of texts under a key.
    pub fn texts(&self, key: &str) -> &[Text] {
        match self.get(key) {
            Some(Item::Texts(t)) => t,
            _ => &[],
        }
    }
    /// The flag under a key.
    pub fn flag(&self, key: &str) -> Option<bool> {
        match self.get(key) {
            Some(Item::Bool(b)) => Some(*b),
            _ => None,
        }
    }
    /// The table under a key.
    pub fn obj(&self, key: &str) -> Option<&Obj> {
        match self.get(key) {
            Some(Item::Obj(o)) => Some(o),
            _ => None,
        }
    }
    /// The tables under a key.
    pub fn list(&self, key: &str) -> &[Obj] {
        match self.get(key) {
            Some(Item::List(l)) => l,
            _ => &[],
        }
    }
    /// The named tables under a key.
    pub fn named(&self, key: &str) -> &[(String, Range<usize>, Obj)] {
        match self.get(key) {
            Some(Item::Named(n)) => n,
            _ => &[],
        }
    }
    /// The named values under a key.
    pub fn values(&self, key: &str) -> &[(String, Range<usize>, Text)] {
        match self.get(key) {
            Some(Item::Values(v)) => v,
            _ => &[],
        }
    }
}
