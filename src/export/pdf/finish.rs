//! The last step of a file: version, "do not scale" for the viewer, exact page
//! boxes, an identifier that depends on the content alone.

use crate::drawing::Bookmark;
use lopdf::{Object, StringFormat, dictionary};
use printpdf::{PdfDocument, PdfSaveOptions};
use rayon::prelude::*;
use sha2::{Digest, Sha256};

const PT_PER_MM: f64 = 72.0 / 25.4;

/// Bytes of the file; `sizes` are the pages' widths and heights, mm.
///
/// # Errors
/// The document has not the structure it should have (our own fault).
pub fn finish(document: &PdfDocument, sizes: &[(f64, f64)], marks: &[Bookmark]) -> Result<Vec<u8>, String> {
    let options = PdfSaveOptions { optimize: false, ..Default::default() };
    let mut file = document.to_lopdf_document(&options, &mut vec![]);
    file.version = "1.7".to_string();
    set_boxes(&mut file, sizes)?;
    set_catalog(&mut file, sizes.len())?;
    set_outline(&mut file, marks)?;
    drop_empty_conformance(&mut file);
    let streams: Vec<&mut lopdf::Stream> = file.objects.values_mut().filter_map(|o| o.as_stream_mut().ok()).collect();
    streams.into_par_iter().for_each(|s| {
        // A stream that does not shrink stays as it is.
        let _ = s.compress();
    });
    // The identifier is the hash of the file with a blank one in its place.
    let id = || Object::String(vec![0; ID_BYTES], StringFormat::Hexadecimal);
    file.trailer.set("ID", Object::Array(vec![id(), id()]));
    let mut bytes = saved(&mut file)?;
    let hash = Sha256::digest(&bytes);
    let word: String = hash[..ID_BYTES].iter().map(|b| format!("{b:02X}")).collect();
    let blank = "0".repeat(2 * ID_BYTES);
    // The trailer is at the very end.
    let from = bytes.len().saturating_sub(1_024);
    for _ in 0..2 {
        let at = bytes[from..].windows(blank.len()).position(|w| w == blank.as_bytes());
        let at = from + at.ok_or("the file has no place for its identifier")?;
        bytes[at..at + blank.len()].copy_from_slice(word.as_bytes());
    }
    Ok(bytes)
}

/// Bytes of an identifier.
///
/// # Source
/// ISO 32000-1:2008, 14.4: two byte strings (from memory); sixteen bytes are
/// customary.
const ID_BYTES: usize = 16;

fn saved(file: &mut lopdf::Document) -> Result<Vec<u8>, String> {
    let mut bytes = vec![];
    file.save_to(&mut bytes).map_err(fault)?;
    Ok(bytes)
}

fn fault(e: impl std::fmt::Display) -> String {
    format!("the file cannot be put together: {e}")
}

/// Page boxes from the exact sizes, and no turning of pages.
fn set_boxes(file: &mut lopdf::Document, sizes: &[(f64, f64)]) -> Result<(), String> {
    let pages: Vec<lopdf::ObjectId> = file.get_pages().into_values().collect();
    for (id, (w, h)) in pages.into_iter().zip(sizes) {
        let page = file.get_object_mut(id).and_then(Object::as_dict_mut).map_err(fault)?;
        let real = |mm: f64| Object::Real((mm * PT_PER_MM) as f32);
        let whole = || Object::Array(vec![Object::Integer(0), Object::Integer(0), real(*w), real(*h)]);
        page.set("MediaBox", whole());
        for key in ["CropBox", "TrimBox"] {
            if page.has(key.as_bytes()) {
                page.set(key, whole());
            }
        }
    }
    Ok(())
}

/// Asks the viewer to print at actual size on one side of the paper that the
/// page says.
///
/// # Source
/// ISO 32000-1:2008, 12.2, table 150. A request, not a guarantee: the check bars stay.
fn set_catalog(file: &mut lopdf::Document, pages: usize) -> Result<(), String> {
    let labels = (0..pages).flat_map(|i| {
        let label = dictionary! { "P" => Object::string_literal((i + 1).to_string()) };
        [Object::Integer(i as i64), Object::Dictionary(label)]
    });
    let labels = file.add_object(dictionary! { "Nums" => Object::Array(labels.collect()) });
    let root = file.trailer.get(b"Root").and_then(Object::as_reference).map_err(fault)?;
    let catalog = file.get_object_mut(root).and_then(Object::as_dict_mut).map_err(fault)?;
    catalog.set("PageLabels", Object::Reference(labels));
    catalog.set("PageMode", Object::Name(b"UseNone".to_vec()));
    catalog.set(
        "ViewerPreferences",
        dictionary! {
            "PrintScaling" => "None", "PickTrayByPDFSize" => true, "Duplex" => "Simplex", "DisplayDocTitle" => true,
            "Enforce" => Object::Array(vec!["PrintScaling".into()]),
        },
    );
    Ok(())
}

/// Bookmarks: a line a part, below it one a piece.
///
/// # Source
/// ISO 32000-1:2008, 12.3.3, tables 152 and 153.
fn set_outline(file: &mut lopdf::Document, marks: &[Bookmark]) -> Result<(), String> {
    let pages: Vec<lopdf::ObjectId> = file.get_pages().into_values().collect();
    let mut parts: Vec<(&str, Vec<&Bookmark>)> = vec![];
    for m in marks.iter().filter(|m| m.page < pages.len()) {
        match parts.iter_mut().find(|p| p.0 == m.part) {
            Some(p) => p.1.push(m),
            None => parts.push((&m.part, vec![m])),
        }
    }
    if parts.is_empty() {
        return Ok(());
    }
    // UTF-16 with its mark, so that every name comes out.
    let title = |t: &str| {
        let bytes: Vec<u8> = [0xfe_u8, 0xff].into_iter().chain(t.encode_utf16().flat_map(u16::to_be_bytes)).collect();
        Object::String(bytes, StringFormat::Hexadecimal)
    };
    let fit = |page: usize| Object::Array(vec![Object::Reference(pages[page]), "Fit".into()]);
    let root = file.new_object_id();
    let heads: Vec<lopdf::ObjectId> = parts.iter().map(|_| file.new_object_id()).collect();
    let mut all = vec![];
    for (i, (part, pieces)) in parts.iter().enumerate() {
        let ids: Vec<lopdf::ObjectId> = pieces.iter().map(|_| file.new_object_id()).collect();
        let mut head = dictionary! {
            "Title" => title(part), "Parent" => root, "Dest" => fit(pieces[0].page),
            "First" => ids[0], "Last" => ids[ids.len() - 1], "Count" => -(ids.len() as i64),
        };
        linked(&mut head, &heads, i);
        all.push((heads[i], head));
        for (k, m) in pieces.iter().enumerate() {
            let mut leaf = dictionary! { "Title" => title(&m.piece), "Parent" => heads[i], "Dest" => fit(m.page) };
            linked(&mut leaf, &ids, k);
            all.push((ids[k], leaf));
        }
    }
    for (id, dict) in all {
        file.objects.insert(id, Object::Dictionary(dict));
    }
    let outline = dictionary! {
        "Type" => "Outlines", "First" => heads[0], "Last" => heads[heads.len() - 1], "Count" => heads.len() as i64,
    };
    file.objects.insert(root, Object::Dictionary(outline));
    let catalog = file.trailer.get(b"Root").and_then(Object::as_reference).map_err(fault)?;
    let catalog = file.get_object_mut(catalog).and_then(Object::as_dict_mut).map_err(fault)?;
    catalog.set("Outlines", root);
    catalog.set("PageMode", Object::Name(b"UseOutlines".to_vec()));
    Ok(())
}

/// Neighbours of a bookmark.
fn linked(dict: &mut lopdf::Dictionary, ids: &[lopdf::ObjectId], at: usize) {
    if at > 0 {
        dict.set("Prev", ids[at - 1]);
    }
    if let Some(next) = ids.get(at + 1) {
        dict.set("Next", *next);
    }
}

/// An empty claim of conformance is no claim: it is taken out.
fn drop_empty_conformance(file: &mut lopdf::Document) {
    let Ok(info) = file.trailer.get(b"Info").and_then(Object::as_reference) else { return };
    if let Ok(info) = file.get_object_mut(info).and_then(Object::as_dict_mut) {
        info.remove(b"GTS_PDFXVersion");
    }
}
