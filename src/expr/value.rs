//! What a formula comes out as.

use crate::units::Dim;

/// A value.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A number with its dimension, in base units (mm, N, s, degree).
    Quantity(f64, Dim),
    /// A yes or no.
    YesNo(bool),
    /// A word that was chosen: a choice or a material.
    Word(String),
}

/// The kind of a value.
#[derive(Clone, Debug, PartialEq)]
pub enum Type {
    /// A number with a dimension.
    Quantity(Dim),
    /// A yes or no.
    YesNo,
    /// One of these words; an empty list allows any.
    Word(Vec<String>),
}

impl Value {
    /// A length in mm.
    pub fn length(mm: f64) -> Value {
        Value::Quantity(mm, Dim::LENGTH)
    }
    /// A plain number.
    pub fn number(value: f64) -> Value {
        Value::Quantity(value, Dim::PLAIN)
    }
    /// Its kind; a word allows any word.
    pub fn kind(&self) -> Type {
        match self {
            Value::Quantity(_, d) => Type::Quantity(*d),
            Value::YesNo(_) => Type::YesNo,
            Value::Word(_) => Type::Word(vec![]),
        }
    }
}

impl Type {
    /// In words, with its article.
    pub fn name(&self) -> String {
        match self {
            Type::Quantity(d) => d.name(),
            Type::YesNo => "a yes or no".to_string(),
            Type::Word(_) => "a word".to_string(),
        }
    }
    /// Whether values of both kinds may stand for one another.
    pub fn fits(&self, other: &Type) -> bool {
        match (self, other) {
            (Type::Word(_), Type::Word(_)) => true,
            (a, b) => a == b,
        }
    }
}
