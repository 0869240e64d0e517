//! The functions of formulas.

/// Name, least and most arguments, and its words.
pub type Function = (&'static str, usize, usize, &'static str);

/// Every function.
pub const FUNCTIONS: &[Function] = &[
    ("min", 2, 8, "smallest of its values"),
    ("max", 2, 8, "largest of its values"),
    ("abs", 1, 1, "without its sign"),
    ("sqrt", 1, 1, "square root"),
    ("hypot", 2, 2, "long side of a right triangle from the two short ones"),
    ("sin", 1, 1, "sine of an angle"),
    ("cos", 1, 1, "cosine of an angle"),
    ("tan", 1, 1, "tangent of an angle"),
    ("asin", 1, 1, "angle with this sine"),
    ("acos", 1, 1, "angle with this cosine"),
    ("atan", 1, 1, "angle with this tangent"),
    ("atan2", 2, 2, "direction from up and along"),
    ("round", 2, 2, "to the nearest step: round(x, 1 mm)"),
    ("round_up", 2, 2, "up to a step"),
    ("round_down", 2, 2, "down to a step"),
    ("whole_up", 1, 1, "next whole number"),
    ("whole_down", 1, 1, "whole number below"),
    ("arc", 2, 2, "length of an arc: radius, angle"),
    ("weight", 1, 1, "force of a mass under standard gravity"),
    ("pi", 0, 0, "3.14159..."),
];

/// The function of this name.
pub(super) fn find(name: &str) -> Option<&'static Function> {
    FUNCTIONS.iter().find(|f| f.0 == name)
}
