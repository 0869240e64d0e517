//! An offcut as it is written into the bin.

use crate::source::{Item, Obj, Text, quoted};
use std::fmt::Write;

/// The order of the keys in a block that the tool writes.
const ORDER: &[&str] = &[
    "id",
    "shape",
    "size",
    "material",
    "length",
    "width",
    "outline",
    "doubt",
    "unusable",
    "left_end",
    "right_end",
    "coating",
    "seam",
    "wall",
    "grade",
    "weldable",
    "where",
    "from",
    "note",
    "keep",
    "held_for",
];

fn list(texts: &[Text]) -> String {
    let all: Vec<String> = texts.iter().map(|t| quoted(&t.value)).collect();
    format!("[{}]", all.join(", "))
}

/// One `[[offcut]]` with its holes; plain line ends, one at the end.
pub fn block(id: &str, obj: &Obj) -> String {
    let mut out = String::from("[[offcut]]\n");
    for key in ORDER {
        let value = match (*key, obj.get(key)) {
            ("id", _) => quoted(id),
            ("keep", Some(Item::Bool(yes))) => yes.to_string(),
            (_, Some(Item::Text(t))) => quoted(&t.value),
            (_, Some(Item::Texts(all))) => list(all),
            _ => continue,
        };
        // Writing into a string cannot fail.
        let _ = writeln!(out, "{key} = {value}");
    }
    for hole in obj.list("hole") {
        out += "[[offcut.hole]]\n";
        for (field, _, item) in &hole.items {
            let _ = match item {
                Item::Text(t) => writeln!(out, "{} = {}", field.key, quoted(&t.value)),
                Item::Texts(all) => writeln!(out, "{} = {}", field.key, list(all)),
                _ => Ok(()),
            };
        }
    }
    out
}

/// The letter that ids of a shape begin with.
pub fn letter(shape: &str) -> &'static str {
    match shape {
        "flat bar" => "F",
        "plate" => "P",
        "angle" => "A",
        "square tube" => "S",
        "rectangular tube" => "R",
        "round tube" => "T",
        "round bar" => "B",
        "channel" => "C",
        _ => "X",
    }
}

/// An id of the form `F-27`: its letter and its number.
pub fn letter_and_number(id: &str) -> Option<(&str, u64)> {
    let (letter, number) = id.split_once('-')?;
    let plain = letter.len() == 1 && number.bytes().all(|b| b.is_ascii_digit()) && number.len() <= 9;
    plain.then(|| Some((letter, number.parse().ok()?)))?
}
