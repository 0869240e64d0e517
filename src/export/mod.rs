//! Bytes from pages and pieces: one file a format.

mod kerf;
pub mod pdf;
pub mod svg;
pub mod stl;
