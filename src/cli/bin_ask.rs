//! Questions about one offcut, for who would rather answer than write a line.

use super::new::answer;
use super::note;
use crate::handbook::{SHAPES, shape_facts};

/// One line in the notation, from answers.
pub(super) fn ask() -> String {
    note("Shapes:\n");
    for (i, s) in SHAPES.iter().enumerate() {
        note(&format!("  {} {s}\n", i + 1));
    }
    let said = answer("Which shape, by number or name?");
    let by_number = said.parse::<usize>().ok().and_then(|n| SHAPES.get(n.wrapping_sub(1)).copied());
    let shape = by_number.map_or(said, str::to_string);
    let sizes = shape_facts(&shape).map_or("size".to_string(), |f| f.sizes.join(" x "));
    let gauge = if shape == "plate" { ", or \"16 gauge sheet steel\"" } else { "" };
    let size = answer(&format!("{sizes}, with the unit{gauge}:"));
    let mut parts = vec![format!("{shape} {size}")];
    if shape == "plate" {
        plate(&mut parts);
    } else {
        parts.push(answer("Sound length, with the unit:"));
    }
    let steel = answer("What is it made of? [mild steel]");
    parts.extend((!steel.is_empty()).then_some(steel));
    let place = answer("Where does it lie? [not told]");
    parts.extend((!place.is_empty()).then(|| format!("where {}", place.replace(',', " "))));
    parts.join(", ")
}

/// A plate's outline, corner by corner, and its holes.
fn plate(parts: &mut Vec<String>) {
    note("  1 rectangle\n  2 rectangle with its upper right corner missing\n  3 any outline, corner by corner\n");
    let kind = answer("What does it look like? [1]");
    if kind.starts_with('3') {
        note("Corners from the lower left one, in the order in which a finger goes round: along, up. None ends it.\n");
        let mut corners = vec![];
        while corners.len() < 200 {
            let said = answer(&format!("Corner {}:", corners.len() + 1));
            if said.is_empty() {
                break;
            }
            corners.push(format!("({said})"));
        }
        parts.push(format!("corners {}", corners.join(" ")));
    } else {
        parts.push(answer("Length x width, like 600 x 400 mm:"));
        if kind.starts_with('2') {
            parts.push(format!("corner missing {}", answer("Missing at the upper right, along x up:")));
        }
    }
    for _ in 0..50 {
        let size = answer("A hole in it? Its diameter, or length x width. [none]");
        if size.is_empty() {
            break;
        }
        parts.push(format!("hole {size} at ({})", answer("Its middle: along, up:")));
    }
}
