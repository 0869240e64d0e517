//! The lettering that is embedded: only the characters a file uses, as real text.

use printpdf::{FontId, ParsedFont, PdfDocument, PdfFont};
use std::collections::{BTreeMap, BTreeSet};

/// Shown for a character that the face lacks.
const SUBSTITUTE: char = '?';
/// Six letters and a plus before the name mark a subset (ISO 32000-1:2008, 9.6.4).
const NAME: &str = "DRACKA+DejaVuSans";

/// A subset of DejaVu Sans, ready to embed.
pub struct Lettering {
    face: ParsedFont,
    has: BTreeSet<char>,
    lacks: BTreeSet<char>,
}

/// Makes a subset with the characters of these texts.
///
/// # Errors
/// The built-in face cannot be read or cut down (our own fault).
pub fn embed(texts: &[&str]) -> Result<Lettering, String> {
    let bytes = dejavu::sans::regular();
    let full = ParsedFont::from_bytes(bytes, 0, &mut vec![]).ok_or("the built-in lettering cannot be read")?;
    let wanted: BTreeSet<char> = texts.iter().flat_map(|t| t.chars()).chain([SUBSTITUTE]).collect();
    let mut glyphs = subsetter::GlyphRemapper::new();
    let (mut places, mut widths) = (BTreeMap::new(), BTreeMap::new());
    widths.insert(0u16, full.get_glyph_width(0).unwrap_or(0));
    let (mut has, mut lacks) = (BTreeSet::new(), BTreeSet::new());
    for c in wanted {
        match full.lookup_glyph_index(u32::from(c)).filter(|g| *g != 0) {
            Some(glyph) => {
                let new = glyphs.remap(glyph);
                places.insert(u32::from(c), new);
                widths.insert(new, full.get_glyph_width(glyph).unwrap_or(0));
                has.insert(c);
            }
            None => {
                lacks.insert(c);
            }
        }
    }
    let subset = subsetter::subset(bytes, 0, &glyphs)
        .map_err(|fault| format!("the built-in lettering cannot be cut down: {fault}"))?;
    let mut face = ParsedFont::with_glyph_data(
        subset,
        0,
        Some(NAME.to_string()),
        places,
        widths,
        full.units_per_em,
        full.font_metrics.clone(),
    );
    face.pdf_font_metrics = full.pdf_font_metrics.clone();
    Ok(Lettering { face, has, lacks })
}

impl Lettering {
    /// Puts the face into the document under a fixed name.
    pub fn register(&self, document: &mut PdfDocument) -> FontId {
        let id = FontId("F1".to_string());
        document.resources.fonts.map.insert(id.clone(), PdfFont::new(self.face.clone()));
        id
    }

    /// The text with [`SUBSTITUTE`] for what the face lacks.
    pub fn shown(&self, text: &str) -> String {
        text.chars().map(|c| if self.has.contains(&c) { c } else { SUBSTITUTE }).collect()
    }

    /// The title, which the viewer shows in its own lettering, without control characters.
    pub fn readable(&self, title: &str) -> String {
        title.chars().filter(|c| !c.is_control()).collect()
    }

    /// What is not shown as it was written.
    pub fn notes(&self) -> Vec<String> {
        if self.lacks.is_empty() {
            return vec![];
        }
        let list: Vec<String> = self.lacks.iter().map(|c| format!("{c:?} (U+{:04X})", u32::from(*c))).collect();
        vec![format!("the paper's lettering lacks {}: printed as `{SUBSTITUTE}`; rename to avoid it", list.join(", "))]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::lettering;

    #[test]
    fn the_layout_uses_the_widths_of_the_face() {
        let full = ParsedFont::from_bytes(dejavu::sans::regular(), 0, &mut vec![]).expect("the face is sound");
        assert_eq!(full.units_per_em, 2048);
        let listed = (0x20u32..0x7f).chain(0xa0..0x100).filter_map(char::from_u32).chain("⌀–…≈≤≥−→".chars());
        let mut count = 0;
        for c in listed {
            let glyph = full.lookup_glyph_index(u32::from(c)).expect("the face has it");
            assert_eq!(full.get_glyph_width(glyph), Some(lettering::advance(c)), "{c}");
            count += 1;
        }
        assert_eq!(count, 95 + 96 + 8);
    }

    #[test]
    fn a_subset_is_small() {
        let l = embed(&["⌀ 10.5 bend up 90°"]).expect("the face is sound");
        assert!(l.face.original_bytes.len() < 30_000, "{}", l.face.original_bytes.len());
        assert_eq!(l.shown("up \u{6f22}"), "up ?");
    }
}
