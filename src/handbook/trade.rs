//! What a file says of its steel, in the words of the trade: sizes, gauges,
//! materials.

use super::{Material, gauges, material, shape_facts};
use crate::diag::Diagnostic;
use crate::source::{Text, nearest};
use crate::units::{Length, System, parse_size, show_length};

/// The material that a text names; a fault goes to `out`.
pub fn material_of(text: &Text, out: &mut Vec<Diagnostic>) -> Option<&'static Material> {
    let found = material::find(&text.value);
    if found.is_none() {
        out.push(unknown_material(text, &text.value));
    }
    found
}

/// What to say to a material that the handbook does not know.
pub fn unknown_material(text: &Text, name: &str) -> Diagnostic {
    let known = material::names();
    let near = nearest(name, known.iter().copied()).map(|n| format!("did you mean \"{n}\"?"));
    let message = format!("material \"{name}\" is not in the handbook");
    let d = Diagnostic::error("unknown-material", message, text.file, text.span.clone());
    d.help_if(near).help(format!("known materials: {}", known.join(", ")))
}

/// The nominal sizes that a text names: `40 x 40 x 3 mm`, or for sheet
/// `16 gauge sheet steel`. A fault goes to `out`.
pub fn size_of(text: &Text, shape: &str, steel: &str, out: &mut Vec<Diagnostic>) -> Option<Vec<Length>> {
    if let Some((number, table)) = gauge(&text.value) {
        return sheet_gauge(text, number, table, shape, steel, out).map(|t| vec![t]);
    }
    match parse_size(&text.value) {
        Ok(s) => match shape_facts(shape).filter(|f| f.sizes.len() != s.len()) {
            None => Some(s),
            Some(f) => {
                let needs = format!("{} needs {}: {}", f.name, f.sizes.len(), f.sizes.join(" x "));
                let message = format!("{needs}; this has {}", s.len());
                let d = Diagnostic::error("bad-size", message, text.file, text.span.clone());
                out.push(d.help("give the sizes in this order, with one unit at the end"));
                None
            }
        },
        Err(f) => {
            out.push(Diagnostic::error("bad-size", f.message, text.file, text.at(f.span)).help_if(f.help));
            None
        }
    }
}

/// `16 gauge sheet steel`: the number and the words behind it.
fn gauge(text: &str) -> Option<(u32, &str)> {
    let text = text.trim();
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let (number, rest) = text.split_at(digits);
    let rest = rest.trim_start();
    let behind = rest.strip_prefix("gauge").or_else(|| rest.strip_prefix("ga"))?;
    (behind.is_empty() || behind.starts_with([' ', '.'])).then_some(())?;
    Some((number.parse().ok()?, behind.trim_matches([' ', '.', ','])))
}

fn sheet_gauge(
    text: &Text,
    number: u32,
    table: &str,
    shape: &str,
    steel: &str,
    out: &mut Vec<Diagnostic>,
) -> Option<Length> {
    let mut say = |message: String, help: String| {
        out.push(Diagnostic::error("bad-gauge", message, text.file, text.span.clone()).help(help));
        None
    };
    let Some(thickness) = gauges::sheet_steel(number) else {
        let known: Vec<String> = gauges::known().map(|g| g.to_string()).collect();
        return say(
            format!("gauge {number} is not in the table of sheet steel"),
            format!("measure the sheet, or give one of: {}", known.join(", ")),
        );
    };
    if shape != "plate" {
        return say(
            format!("a gauge is for sheet; the wall of a {shape} goes by another table"),
            "measure the wall and write it in mm or in".to_string(),
        );
    }
    let carbon = steel.contains("steel") && !steel.contains("stainless");
    if !carbon {
        return say(
            format!("the table known here is for sheet steel, not for {steel}"),
            "measure the sheet and write its thickness in mm or in".to_string(),
        );
    }
    if table != "sheet steel" {
        let shown = show_length(thickness, System::Metric);
        return say(
            "a gauge is another thickness in each table".to_string(),
            format!("write {number} gauge sheet steel ({shown} by the manufacturers' standard gauge), or measure it"),
        );
    }
    Some(thickness)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::FileId;

    fn size(text: &str, shape: &str, steel: &str) -> Result<f64, String> {
        let mut out = vec![];
        let found = size_of(&Text::made(text, FileId(0)), shape, steel, &mut out);
        found.map(|s| s[0].to_mm()).ok_or_else(|| out[0].message.clone())
    }

    #[test]
    fn a_gauge_needs_its_table_its_shape_and_its_metal() {
        assert!((size("16 gauge sheet steel", "plate", "mild steel").unwrap() - 0.0598 * 25.4).abs() < 1e-9);
        assert!((size("16 ga. sheet steel", "plate", "mild steel").unwrap() - 0.0598 * 25.4).abs() < 1e-9);
        assert!(size("16 gauge", "plate", "mild steel").unwrap_err().contains("each table"));
        assert!(size("16 gauge sheet steel", "square tube", "mild steel").unwrap_err().contains("another table"));
        assert!(size("16 gauge sheet steel", "plate", "aluminium").unwrap_err().contains("not for aluminium"));
        assert!(size("50 x 4 mm", "angle", "mild steel").unwrap_err().contains("angle needs 3"));
        assert!(size("17 gauge sheet steel", "plate", "mild steel").unwrap_err().contains("not in the table"));
    }
}
