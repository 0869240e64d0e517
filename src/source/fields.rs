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
    /// A mass.
    Mass,
    /// A volume.
    Volume,
    /// A force.
    Force,
    /// A yes or no.
    YesNo,
    /// A word: the answer of a choice, or one in single quotes.
    Word,
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

/// A key with what it holds, whether it must be there, its words, and what its
/// value may be. Reading, checking, the manual and the schema all come from it.
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
    /// What it is when it is left out, as a person would write it.
    pub usual: Option<&'static str>,
    /// Smallest and largest value, in base units (mm, deg, N).
    pub limits: Option<(f64, f64)>,
    /// Rules between the keys of the table that it holds.
    pub rules: &'static [Rule],
}

impl Field {
    /// With the value that it has when it is left out.
    pub const fn usual(mut self, text: &'static str) -> Field {
        self.usual = Some(text);
        self
    }
    /// With the smallest and largest value, in base units.
    pub const fn within(mut self, least: f64, most: f64) -> Field {
        self.limits = Some((least, most));
        self
    }
    /// With rules between the keys of its table.
    pub const fn rules(mut self, rules: &'static [Rule]) -> Field {
        self.rules = rules;
        self
    }
}

/// A field, short to write in tables.
pub const fn field(key: &'static str, want: Want, must: bool, words: &'static str) -> Field {
    Field { key, want, must, words, usual: None, limits: None, rules: &[] }
}

/// A rule between the keys of one table.
#[derive(Clone, Copy, Debug)]
pub enum Rule {
    /// Exactly one of these keys.
    One(&'static [&'static str]),
    /// Exactly one of these keys, or none of them beside the last one.
    OneOr(&'static [&'static str], &'static str),
    /// What else is needed and allowed hangs on the word under a key.
    ByWord {
        /// The key.
        key: &'static str,
        /// Its word when it is left out.
        usual: Option<&'static str>,
        /// For each word: what it needs and what else it may have. Keys that
        /// stand in no case are free.
        cases: &'static [Case],
    },
    /// The first key means something only beside the second.
    Beside(&'static str, &'static str),
    /// With this word under this key: exactly one of these sets of keys, and all of it.
    OneSet {
        /// The key.
        key: &'static str,
        /// The word.
        word: &'static str,
        /// The sets.
        sets: &'static [&'static [&'static str]],
    },
}

/// What one word needs and allows; words joined by `|` share a case.
#[derive(Clone, Copy, Debug)]
pub struct Case {
    /// The word, or several.
    pub word: &'static str,
    /// Keys that must be there.
    pub needs: &'static [&'static str],
    /// Keys that may be there.
    pub may: &'static [&'static str],
}

/// A case, short to write in tables.
pub const fn case(word: &'static str, needs: &'static [&'static str], may: &'static [&'static str]) -> Case {
    Case { word, needs, may }
}

/// A kind of file: its name, its keys, the rules between them.
#[derive(Clone, Copy, Debug)]
pub struct FileForm {
    /// `job`, `template` or `bin`.
    pub name: &'static str,
    /// What it is, for the manual.
    pub says: &'static str,
    /// Its keys.
    pub fields: &'static [Field],
    /// Rules between its keys.
    pub rules: &'static [Rule],
}

/// A value found.
#[derive(Clone, Debug)]
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

impl Item {
    /// Every text in it, with its field.
    pub fn each_text<'a>(&'a self, field: &'static Field, see: &mut dyn FnMut(&'static Field, &'a Text)) {
        match self {
            Item::Text(t) => see(field, t),
            Item::Texts(all) => all.iter().for_each(|t| see(field, t)),
            Item::Bool(_) => {}
            Item::Obj(o) => o.each_text(see),
            Item::List(l) => l.iter().for_each(|o| o.each_text(see)),
            Item::Named(n) => n.iter().for_each(|o| o.2.each_text(see)),
            Item::Values(v) => v.iter().for_each(|o| see(field, &o.2)),
        }
    }
}

/// A table found: only known keys, each of its right kind.
#[derive(Clone, Debug, Default)]
pub struct Obj {
    /// Bytes of the table, or of its heading.
    pub span: Range<usize>,
    /// Key, place of the key, value, in the order of the file.
    pub items: Vec<(&'static Field, Range<usize>, Item)>,
    /// Keys that are there, but whose value is at fault and has been told.
    pub faulty: Vec<&'static str>,
}

impl Obj {
    /// The value under a key.
    pub fn get(&self, key: &str) -> Option<&Item> {
        self.items.iter().find(|i| i.0.key == key).map(|i| &i.2)
    }
    /// Whether a key is there, at fault or not.
    pub fn has(&self, key: &str) -> bool {
        self.get(key).is_some() || self.faulty.contains(&key)
    }
    /// Place of a key.
    pub fn key_span(&self, key: &str) -> Option<Range<usize>> {
        self.items.iter().find(|i| i.0.key == key).map(|i| i.1.clone())
    }
    /// The text under a key.
    pub fn text(&self, key: &str) -> Option<&Text> {
        match self.get(key) {
            Some(Item::Text(t)) => Some(t),
            _ => None,
        }
    }
    /// The field and the text under a key.
    pub fn told(&self, key: &str) -> Option<(&'static Field, &Text)> {
        self.items.iter().find(|i| i.0.key == key).and_then(|i| match &i.2 {
            Item::Text(t) => Some((i.0, t)),
            _ => None,
        })
    }
    /// Every text in it and in its tables, with its field, in the order of the file.
    pub fn each_text<'a>(&'a self, see: &mut dyn FnMut(&'static Field, &'a Text)) {
        self.items.iter().for_each(|(field, _, item)| item.each_text(field, see));
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
