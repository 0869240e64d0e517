//! The measured values in their boxes: each on the sketch where its tape hooks; what
//! stands on no sketch, in a list.

use super::bench::{BOX, Bench, FORMULA, Wanted, bench};
use super::live::{SketchBoxes, ValueBox};
use super::markup::{escaped, name, number};
use super::sketch::{bench_svg, tape_key};
use std::fmt::Write;

/// A formula of so many characters needs a wider box.
const LONG_FORMULA: usize = 12;

/// A box on its way to a sketch: which value, which tape.
struct Stood<'a> {
    /// Number among all values.
    at: usize,
    value: &'a ValueBox,
    tape: usize,
    reading: &'a str,
}

/// Boxes on the sketches that their tapes are on, then those that are on none.
pub(super) fn rows(boxes: &[ValueBox], sketches: &[SketchBoxes]) -> String {
    let mut out = String::new();
    let mut placed: Vec<&str> = vec![];
    let numbered = || boxes.iter().enumerate();
    for s in sketches {
        let mut stood: Vec<Stood> = vec![];
        for (reading, value) in &s.boxes {
            let found = numbered().find(|(_, b)| b.name == *value && !placed.contains(&b.name.as_str()));
            let tape = s.sketch.tapes.iter().position(|t| t.name == *reading);
            if let (Some((at, value)), Some(tape)) = (found, tape) {
                placed.push(&value.name);
                stood.push(Stood { at, value, tape, reading });
            }
        }
        if !stood.is_empty() {
            out += &figure(s, &stood);
        }
    }
    let rest: String = numbered()
        .filter(|(_, b)| !placed.contains(&b.name.as_str()))
        .map(|(i, b)| row(b, i + 1, "", "", ""))
        .collect();
    if !rest.is_empty() {
        let _ = write!(out, "<ul class=\"values\">\n{rest}</ul>\n");
    }
    out
}

fn figure(s: &SketchBoxes, stood: &[Stood]) -> String {
    let width = |b: &ValueBox| if is_formula(b) { FORMULA } else { BOX.0 };
    let wanted: Vec<Wanted> = stood.iter().map(|b| Wanted { tape: b.tape, width: width(b.value) }).collect();
    let laid = bench(&s.sketch, &wanted);
    let mut inner = String::new();
    for (i, b) in stood.iter().enumerate() {
        let tape = &s.sketch.tapes[b.tape];
        let place = laid.as_ref().map_or_else(String::new, |l| place(l, i));
        inner += &row(b.value, b.at + 1, &tape.letter, &tape_key(&s.part, b.reading), &place);
    }
    let hooks: Vec<(usize, usize)> = stood.iter().enumerate().map(|(i, b)| (b.tape, i)).collect();
    format!(
        "<figure class=\"measuring\"><figcaption>{}</figcaption><div class=\"bench\">{}<ul class=\"values\">\n{inner}</ul></div></figure>\n",
        name(&s.part),
        bench_svg(&s.sketch, &s.part, &s.boxes, laid.as_ref(), &hooks),
    )
}

/// Where a box stands from the nearer side of the bench, and from its top, for the script.
fn place(laid: &Bench, i: usize) -> String {
    let b = &laid.boxes[i];
    let (left, right) = (b.low.x - laid.view.low.x, laid.view.high.x - b.high.x);
    let (side, by) = if left <= right { ("left", left) } else { ("right", right) };
    format!(" data-side=\"{side}\" data-place=\"{} {}\"", number(by), number(laid.view.high.y - b.high.y))
}

fn is_formula(b: &ValueBox) -> bool {
    b.steps.is_none() && b.text.chars().count() > LONG_FORMULA
}

fn row(b: &ValueBox, i: usize, letter: &str, tape: &str, place: &str) -> String {
    let letter = if letter.is_empty() { String::new() } else { format!("<b class=\"letter\">{letter}</b> ") };
    let n = escaped(&b.name);
    let step = |sign: &str, words: &str, by: &str| {
        let hidden = if b.steps.is_some() { "" } else { " hidden" };
        format!(
            "<button type=\"button\" class=\"step\" data-by=\"{by}\" aria-label=\"{n}: one division {words}\"{hidden}>{sign}</button>"
        )
    };
    let says =
        if b.says.is_empty() { String::new() } else { format!(" <small id=\"says-{i}\">{}</small>", escaped(&b.says)) };
    // A formula needs the width of the whole row, from its first sight on.
    let formula = if is_formula(b) { " formula" } else { "" };
    let described = if b.says.is_empty() { format!("fault-{i}") } else { format!("says-{i} fault-{i}") };
    format!(
        "<li class=\"value{formula}\" data-name=\"{n}\" data-tape=\"{}\"{place}><label for=\"v-{i}\">{letter}<bdi>{n}</bdi></label>{says}\
         <span class=\"reading-box\">{}<input id=\"v-{i}\" type=\"text\" maxlength=\"1000\" spellcheck=\"false\" autocapitalize=\"off\" \
         value=\"{}\" aria-describedby=\"{described}\">{}</span><div id=\"fault-{i}\" class=\"at-box\"></div></li>\n",
        escaped(tape),
        step("\u{2212}", "less", "less"),
        escaped(&b.text),
        step("+", "more", "more"),
    )
}
