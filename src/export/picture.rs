//! Pictures of bodies as SVG and as PNG.

use crate::drawing::picture::{Pen, Picture, Raster, Stroke};
use crate::geom::{Bounds, Point};
use std::fmt::Write;
use tiny_skia::{Color, LineCap, LineJoin, Paint, PathBuilder, Pixmap, Stroke as Brush, StrokeDash, Transform};

/// One view on a sheet of views.
#[derive(Clone, Debug)]
pub struct Shot {
    /// What it is called.
    pub name: String,
    /// Its lines, mm at full size.
    pub picture: Picture,
    /// Pixels to lie under the lines, with the box that they show.
    pub shaded: Option<(Raster, Bounds)>,
}

/// Free round each view, in parts of the sheet's longer side.
const MARGIN: f64 = 0.04;
/// Width of a thick line in parts of the sheet's longer side: 0.5 mm on 150 mm.
const THICK: f64 = 0.5 / 150.0;

/// Where the views lie: side by side, two in a row; y runs down from 0.
struct Sheet {
    width: f64,
    height: f64,
    /// For each view what is added to its x, and what its y is taken from.
    at: Vec<Point>,
    margin: f64,
}

fn lay(shots: &[Shot]) -> Sheet {
    let none = Bounds { low: Point::default(), high: Point::new(1.0, 1.0) };
    let boxes: Vec<Bounds> = shots.iter().map(|s| s.picture.bounds().unwrap_or(none)).collect();
    let rows = boxes.chunks(2);
    let widest = rows.clone().map(|r| r.iter().map(Bounds::width).sum::<f64>()).fold(1.0, f64::max);
    let tall: f64 = rows.clone().map(|r| r.iter().map(Bounds::height).fold(0.0, f64::max)).sum();
    let margin = MARGIN * widest.max(tall).max(1.0);
    let mut sheet = Sheet { width: 0.0, height: margin, at: vec![], margin };
    for row in rows {
        let high = row.iter().map(Bounds::height).fold(0.0, f64::max);
        let mut x = margin;
        for b in row {
            // Views of a row stand on one line.
            sheet.at.push(Point::new(x - b.low.x, sheet.height + high + b.low.y));
            x += b.width() + 2.0 * margin;
        }
        sheet.width = sheet.width.max(x - margin);
        sheet.height += high + 2.0 * margin;
    }
    sheet.height -= margin;
    sheet
}

/// A crowded sheet gets finer lines: the measure that line widths hang on.
fn measure(shots: &[Shot], sheet: &Sheet) -> f64 {
    let strokes = shots.iter().map(|s| s.picture.strokes.len()).max().unwrap_or(0);
    let finer = if strokes > 300 {
        0.55
    } else if strokes > 120 || shots.len() > 1 {
        0.75
    } else {
        1.0
    };
    finer * sheet.width.max(sheet.height)
}

fn width_of(pen: Pen, long: f64) -> f64 {
    THICK * long * pen.line().width_mm() / 0.5
}

/// Dashes in the sheet's own measure, thinned like the lines.
fn dashes_of(pen: Pen, long: f64) -> Vec<f64> {
    pen.line().dashes_mm().iter().map(|d| d * THICK * long / 0.5).collect()
}

/// The views as SVG at full size, mm as user units, lines only. Views stand two
/// in a row, in the order given; several are named.
pub fn write_picture_svg(title: &str, shots: &[Shot]) -> String {
    let sheet = lay(shots);
    let long = measure(shots, &sheet);
    let mut s = String::new();
    let (w, h) = (number(sheet.width), number(sheet.height));
    let _ = writeln!(
        s,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\">\n\
         <title>{}</title>\n<g fill=\"none\" stroke=\"black\" stroke-linecap=\"round\" stroke-linejoin=\"round\">",
        escaped(title)
    );
    for (shot, at) in shots.iter().zip(&sheet.at) {
        for pen in [Pen::Faint, Pen::Tangent, Pen::Edge] {
            let lines: Vec<&Stroke> = shot.picture.strokes.iter().filter(|l| l.pen == pen).collect();
            if lines.is_empty() {
                continue;
            }
            let dashes: Vec<String> = dashes_of(pen, long).into_iter().map(number).collect();
            let dashes =
                if dashes.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{}\"", dashes.join(" ")) };
            let _ = write!(s, "<path stroke-width=\"{}\"{dashes} d=\"", number(width_of(pen, long)));
            for l in lines {
                for (i, p) in l.points.iter().enumerate() {
                    let word = if i == 0 { 'M' } else { 'L' };
                    let _ = write!(s, "{word}{} {}", number(p.x + at.x), number(at.y - p.y));
                }
            }
            s.push_str("\"/>\n");
        }
    }
    s.push_str("</g>\n");
    if shots.len() > 1 {
        let size = sheet.margin * 0.45;
        let _ = writeln!(s, "<g fill=\"black\" font-family=\"sans-serif\" font-size=\"{}\">", number(size));
        for (shot, at) in shots.iter().zip(&sheet.at) {
            let low = shot.picture.bounds().map_or(Point::default(), |b| b.low);
            let (x, y) = (low.x + at.x, at.y - low.y + sheet.margin * 0.7);
            let _ = writeln!(s, "<text x=\"{}\" y=\"{}\">{}</text>", number(x), number(y), escaped(&shot.name));
        }
        s.push_str("</g>\n");
    }
    s.push_str("</svg>\n");
    s
}

/// Three decimals, without needless noughts.
fn number(v: f64) -> String {
    let text = format!("{v:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_string() } else { text.to_string() }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

/// The views as PNG, the longer side `pixels` long, on white.
///
/// # Errors
/// A picture that is too large or empty.
pub fn write_picture_png(shots: &[Shot], pixels: u32) -> Result<Vec<u8>, String> {
    let sheet = lay(shots);
    let long = measure(shots, &sheet);
    let scale = f64::from(pixels) / sheet.width.max(sheet.height);
    let side = |v: f64| ((v * scale).ceil() as u32).max(1);
    let fault = || "the picture is too large".to_string();
    let mut map = Pixmap::new(side(sheet.width), side(sheet.height)).ok_or_else(fault)?;
    map.fill(Color::WHITE);
    for (shot, at) in shots.iter().zip(&sheet.at) {
        if let Some((raster, view)) = &shot.shaded {
            under(&mut map, raster, (view.low.x + at.x) * scale, (at.y - view.high.y) * scale);
        }
        for pen in [Pen::Faint, Pen::Tangent, Pen::Edge] {
            let mut path = PathBuilder::new();
            for l in shot.picture.strokes.iter().filter(|l| l.pen == pen) {
                for (i, p) in l.points.iter().enumerate() {
                    let (x, y) = (((p.x + at.x) * scale) as f32, ((at.y - p.y) * scale) as f32);
                    if i == 0 { path.move_to(x, y) } else { path.line_to(x, y) }
                }
            }
            let Some(path) = path.finish() else { continue };
            let dashes: Vec<f32> = dashes_of(pen, long).into_iter().map(|d| (d * scale) as f32).collect();
            let brush = Brush {
                width: (width_of(pen, long) * scale).max(0.6) as f32,
                line_cap: LineCap::Round,
                line_join: LineJoin::Round,
                dash: StrokeDash::new(dashes, 0.0),
                ..Brush::default()
            };
            let mut paint = Paint::default();
            let grey = if pen == Pen::Edge { 0 } else { 90 };
            paint.set_color_rgba8(grey, grey, grey, 255);
            map.stroke_path(&path, &paint, &brush, Transform::identity(), None);
        }
    }
    png_bytes(&map).map_err(|e| e.to_string())
}

/// The pixels as PNG: line drawings in sixteen greys, coloured ones in full.
fn png_bytes(map: &Pixmap) -> Result<Vec<u8>, png::EncodingError> {
    let (pixels, row) = (map.data(), 4 * map.width() as usize);
    let differ = |p: &[u8]| (p[0] ^ p[1]) | (p[1] ^ p[2]);
    let grey = pixels.chunks_exact(row).all(|r| r.chunks_exact(4).fold(0, |all, p| all | differ(p)) == 0);
    let mut out = vec![];
    let mut encoder = png::Encoder::new(&mut out, map.width(), map.height());
    encoder.set_compression(png::Compression::Fast);
    let data: Vec<u8> = if grey {
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_depth(png::BitDepth::Four);
        let four: [u8; 256] = std::array::from_fn(|v| ((v * 15 + 127) / 255) as u8);
        let mut data = Vec::with_capacity(pixels.len() / 8 + map.height() as usize);
        for r in pixels.chunks_exact(row) {
            let pairs = r.chunks_exact(8);
            let odd = pairs.remainder().first().map(|v| four[usize::from(*v)] << 4);
            data.extend(pairs.map(|two| four[usize::from(two[0])] << 4 | four[usize::from(two[4])]));
            data.extend(odd);
        }
        data
    } else {
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        let mut data = Vec::with_capacity(pixels.len() / 4 * 3);
        pixels.chunks_exact(4).for_each(|p| data.extend_from_slice(&p[..3]));
        data
    };
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&data)?;
    writer.finish()?;
    Ok(out)
}

/// Copies the opaque pixels of a raster.
fn under(map: &mut Pixmap, raster: &Raster, left: f64, top: f64) {
    let (left, top) = (left.round() as i64, top.round() as i64);
    let (w, h) = (i64::from(map.width()), i64::from(map.height()));
    let data = map.data_mut();
    for y in 0..i64::from(raster.height) {
        for x in 0..i64::from(raster.width) {
            let (tx, ty) = (x + left, y + top);
            let from = 4 * (y * i64::from(raster.width) + x) as usize;
            if raster.rgba[from + 3] > 0 && (0..w).contains(&tx) && (0..h).contains(&ty) {
                let to = 4 * (ty * w + tx) as usize;
                data[to..to + 4].copy_from_slice(&raster.rgba[from..from + 4]);
            }
        }
    }
}

/// Pixels a millimetre that [`write_picture_png`] will use, for a shaded raster
/// that fits under the lines.
pub fn pixels_per_mm(shots: &[Shot], pixels: u32) -> f64 {
    let sheet = lay(shots);
    f64::from(pixels) / sheet.width.max(sheet.height)
}
