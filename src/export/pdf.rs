//! Pages as a PDF at exactly 1:1, the same bytes for the same pages.
//!
//! This room and the files under it are the only ones that see the PDF and font crates.

mod finish;
mod font;
mod ops;

use crate::drawing::{Bookmark, Item, Layer, Page};
use printpdf::{Layer as PdfLayer, LayerIntent, LayerInternalId, LayerSubtype, Mm, PdfDocument, PdfPage};
use rayon::prelude::*;

/// A finished file.
#[derive(Clone, Debug, PartialEq)]
pub struct PdfOutput {
    /// The file.
    pub bytes: Vec<u8>,
    /// What the reader should know, such as characters that the lettering lacks.
    pub notes: Vec<String>,
}

/// Longest side of a page, mm: 14,400 points, the limit without a user unit.
///
/// # Source
/// ISO 32000-1:2008, annex C.2 (14,400 units).
const LONGEST_SIDE_MM: f64 = 5080.0;

/// Writes the pages at 1:1 with each layer as a layer of the file, and an
/// outline of parts and their pieces.
///
/// # Errors
/// A number that is not finite, a page without size or larger than 5080 mm, no page at all.
pub fn write_pdf(title: &str, pages: &[Page], marks: &[Bookmark]) -> Result<PdfOutput, String> {
    if pages.is_empty() {
        return Err("there is no page to write: list one piece at least".to_string());
    }
    for (i, page) in pages.iter().enumerate() {
        let possible = |v: f64| v.is_finite() && v > 0.0 && v <= LONGEST_SIDE_MM;
        if !possible(page.width) || !possible(page.height) {
            return Err(format!(
                "page {} is {} by {} mm: each side must be over 0 and at most {LONGEST_SIDE_MM} mm",
                i + 1,
                page.width,
                page.height
            ));
        }
    }
    let texts: Vec<&str> = pages.iter().flat_map(|p| texts(&p.items)).collect();
    let lettering = font::embed(&texts)?;
    let mut document = PdfDocument::new(&lettering.readable(title));
    document.metadata.info.creator = "droprack".to_string();
    document.metadata.info.producer = "droprack".to_string();
    for layer in Layer::ALL {
        let entry = PdfLayer {
            name: layer.word().to_string(),
            creator: "droprack".to_string(),
            intent: LayerIntent::Design,
            usage: LayerSubtype::Artwork,
        };
        document.resources.layers.map.insert(layer_id(layer), entry);
    }
    let id = lettering.register(&mut document);
    let drawn = |(i, page): (usize, &Page)| {
        let ops = ops::page_ops(page, &lettering, &id).map_err(|fault| format!("page {}: {fault}", i + 1))?;
        Ok(PdfPage::new(Mm(page.width as f32), Mm(page.height as f32), ops))
    };
    document.pages = pages.par_iter().enumerate().map(drawn).collect::<Result<_, String>>()?;
    let sizes: Vec<(f64, f64)> = pages.iter().map(|p| (p.width, p.height)).collect();
    Ok(PdfOutput { bytes: finish::finish(&document, &sizes, marks)?, notes: lettering.notes() })
}

/// Fixed name of a layer in the file, so that it does not depend on a counter.
fn layer_id(layer: Layer) -> LayerInternalId {
    LayerInternalId(format!("L{}", layer as usize))
}

fn texts(items: &[Item]) -> Vec<&str> {
    let mut out = vec![];
    for item in items {
        match item {
            Item::Text { text, .. } => out.push(text.text.as_str()),
            Item::Window { items, .. } => out.extend(texts(items)),
            _ => {}
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::LineType;
    use crate::geom::Point;

    fn page(items: Vec<Item>) -> Page {
        Page { width: 210.0, height: 297.0, scale: (1.0, 1.0), items }
    }

    #[test]
    fn a_number_that_is_none_is_refused() {
        let line = Item::line(Layer::Cut, LineType::Wide, Point::default(), Point::new(f64::NAN, 1.0));
        let fault = write_pdf("t", &[page(vec![line])], &[]).expect_err("NaN must not reach the file");
        assert!(fault.contains("page 1") && fault.contains("finite"), "{fault}");
        assert!(write_pdf("t", &[], &[]).is_err());
        assert!(
            write_pdf("t", &[Page { width: 6000.0, height: 297.0, scale: (1.0, 1.0), items: vec![] }], &[]).is_err()
        );
    }

    #[test]
    fn a_character_that_the_lettering_lacks_is_told() {
        let text = |t: &str| page(vec![Item::text(Layer::Notes, Point::new(20.0, 20.0), 3.5, t)]);
        let lacking = write_pdf("t", &[text("bolt \u{6f22} M8")], &[]).expect("the page is sound");
        assert!(lacking.notes.len() == 1 && lacking.notes[0].contains('\u{6f22}'), "{:?}", lacking.notes);
        let all = write_pdf("t", &[text("⌀ 10,5 ± ½ 45° Träger ≈ × … –")], &[]).expect("the page is sound");
        assert_eq!(all.notes, Vec::<String>::new());
    }
}
