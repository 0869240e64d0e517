//! One page as drawing operators: millimetres become points once, in double precision.

use super::font::Lettering;
use super::layer_id;
use crate::drawing::{Anchor, Item, Layer, LineType, Page, Shape, Text, lettering};
use crate::geom::{Bounds, Loop, Point, Segment};
use printpdf::{
    Color, FontId, Greyscale, Line, LineDashPattern, LinePoint, Op, PaintMode, PdfFontHandle, Point as PdfPoint,
    Polygon, PolygonRing, Pt, TextItem, TextMatrix, WindingOrder,
};
use std::f64::consts::{FRAC_PI_4, TAU};

/// Points in a millimetre: 72 to the inch of 25.4 mm.
const PT_PER_MM: f64 = 72.0 / 25.4;

/// The operators of a page.
///
/// # Errors
/// A number that is not finite.
pub fn page_ops(page: &Page, face: &Lettering, font: &FontId) -> Result<Vec<Op>, String> {
    let mut pen = Pen { ops: vec![], layer: None, line: None, face, font, offset: Point::default(), scale: page.scale };
    pen.ops.push(Op::SetOutlineColor { col: black() });
    pen.ops.push(Op::SetFillColor { col: black() });
    pen.items(&page.items)?;
    pen.end_layer();
    Ok(pen.ops)
}

fn black() -> Color {
    Color::Greyscale(Greyscale { percent: 0.0, icc_profile: None })
}

fn pt(mm: f64) -> Pt {
    Pt((mm * PT_PER_MM) as f32)
}

struct Pen<'a> {
    ops: Vec<Op>,
    layer: Option<Layer>,
    line: Option<LineType>,
    face: &'a Lettering,
    font: &'a FontId,
    /// Added to every coordinate in double precision, mm: no matrix in the file.
    offset: Point,
    /// The printer's correction, last of all.
    scale: (f64, f64),
}

impl Pen<'_> {
    fn items(&mut self, items: &[Item]) -> Result<(), String> {
        for item in items {
            match item {
                Item::Stroke { layer, line, shape } => {
                    self.on_layer(*layer);
                    self.with_line(*line);
                    let (points, is_closed) = self.path(shape)?;
                    self.ops.push(Op::DrawLine { line: Line { points, is_closed } });
                }
                Item::Fill { layer, outline } => {
                    self.on_layer(*layer);
                    let points = self.ring(outline)?;
                    self.fill(points, PaintMode::Fill);
                }
                Item::Text { layer, text } => {
                    self.on_layer(*layer);
                    self.text(text)?;
                }
                Item::Window { clip, offset, items } => self.window(clip, *offset, items)?,
            }
        }
        Ok(())
    }

    fn window(&mut self, clip: &Bounds, offset: Point, items: &[Item]) -> Result<(), String> {
        self.end_layer();
        self.ops.push(Op::SaveGraphicsState);
        let corners = [clip.low, Point::new(clip.high.x, clip.low.y), clip.high, Point::new(clip.low.x, clip.high.y)];
        let ring = self.ring(&Loop::straight(&corners))?;
        self.fill(ring, PaintMode::Clip);
        let before = self.offset;
        self.offset = before + offset;
        self.items(items)?;
        self.offset = before;
        self.end_layer();
        self.ops.push(Op::RestoreGraphicsState);
        // The line that was set inside is forgotten with the rest of the state.
        self.line = None;
        Ok(())
    }

    fn on_layer(&mut self, layer: Layer) {
        if self.layer != Some(layer) {
            self.end_layer();
            self.ops.push(Op::BeginLayer { layer_id: layer_id(layer) });
            self.layer = Some(layer);
        }
    }

    fn end_layer(&mut self) {
        if self.layer.take().is_some() {
            self.ops.push(Op::EndLayer);
        }
    }

    fn with_line(&mut self, line: LineType) {
        if self.line == Some(line) {
            return;
        }
        self.line = Some(line);
        let dashes: Vec<f32> = line.dashes_mm().iter().map(|mm| pt(*mm).0).collect();
        self.ops.push(Op::SetOutlineThickness { pt: pt(line.width_mm()) });
        self.ops.push(Op::SetLineDashPattern { dash: LineDashPattern::new(0.0, &dashes) });
    }

    fn fill(&mut self, points: Vec<LinePoint>, mode: PaintMode) {
        let rings = vec![PolygonRing { points }];
        self.ops.push(Op::DrawPolygon { polygon: Polygon { rings, mode, winding_order: WindingOrder::EvenOdd } });
    }

    fn point(&self, p: Point, bezier: bool) -> Result<LinePoint, String> {
        let p = p + self.offset;
        let p = Point::new(p.x * self.scale.0, p.y * self.scale.1);
        // Beyond this a point of the file would not be a number the printer can hold.
        const FARTHEST_MM: f64 = 1e9;
        if !p.is_finite() || p.x.abs() > FARTHEST_MM || p.y.abs() > FARTHEST_MM {
            return Err(format!("a point at ({}, {}) mm is not finite or beyond all paper", p.x, p.y));
        }
        Ok(LinePoint { p: PdfPoint { x: pt(p.x), y: pt(p.y) }, bezier })
    }

    fn path(&self, shape: &Shape) -> Result<(Vec<LinePoint>, bool), String> {
        match shape {
            Shape::Line { from, to } => Ok((vec![self.point(*from, false)?, self.point(*to, false)?], false)),
            Shape::Outline(l) => Ok((self.ring(l)?, true)),
            Shape::Arc { centre, radius, start_rad, sweep_rad } => {
                let mut out = vec![];
                self.arc(&mut out, *centre, (*radius, *radius, 0.0), *start_rad, *sweep_rad)?;
                Ok((out, sweep_rad.abs() >= TAU))
            }
            Shape::Ellipse { centre, major, minor, lies_rad } => {
                let mut out = vec![];
                self.arc(&mut out, *centre, (major / 2.0, minor / 2.0, *lies_rad), 0.0, TAU)?;
                Ok((out, true))
            }
        }
    }

    fn ring(&self, outline: &Loop) -> Result<Vec<LinePoint>, String> {
        let mut out = vec![];
        for s in outline.segments() {
            match s {
                Segment::Line { from, to } => {
                    if out.is_empty() {
                        out.push(self.point(from, false)?);
                    }
                    out.push(self.point(to, false)?);
                }
                Segment::Arc { centre, radius, start_angle, sweep, .. } => {
                    self.arc(&mut out, centre, (radius, radius, 0.0), start_angle, sweep)?;
                }
            }
        }
        Ok(out)
    }

    /// Part of an ellipse (half axes and direction) as cubic curves of at most
    /// 45 degrees; the start is only set when nothing is there yet.
    ///
    /// # Formula
    /// Control points `k = 4/3 tan(d/4)` along the tangents, `d` the angle of a
    /// curve; the radial error at 45 degrees is 4e-6 of the radius (measured).
    /// # Source
    /// Common practice; follows from the curve's middle lying on the arc.
    fn arc(
        &self,
        out: &mut Vec<LinePoint>,
        centre: Point,
        (rx, ry, lies): (f64, f64, f64),
        start: f64,
        sweep: f64,
    ) -> Result<(), String> {
        if !sweep.is_finite() || sweep.abs() > 2.0 * TAU {
            return Err(format!("an arc of {sweep} radians is not finite or more than two turns"));
        }
        let n = (sweep.abs() / FRAC_PI_4 - 1e-9).ceil().max(1.0);
        let d = sweep / n;
        let k = 4.0 / 3.0 * libm::tan(d / 4.0);
        let at = |u: f64, v: f64| centre + Point::new(rx * u, ry * v).turned(lies);
        if out.is_empty() {
            out.push(self.point(at(libm::cos(start), libm::sin(start)), false)?);
        }
        for i in 0..n as usize {
            let (a, b) = (Point::at_angle(start + d * i as f64), Point::at_angle(start + d * (i + 1) as f64));
            out.push(self.point(at(a.x - k * a.y, a.y + k * a.x), true)?);
            out.push(self.point(at(b.x + k * b.y, b.y - k * b.x), true)?);
            out.push(self.point(at(b.x, b.y), false)?);
        }
        Ok(())
    }

    fn text(&mut self, text: &Text) -> Result<(), String> {
        let shown = self.face.shown(&text.text);
        let back = match text.anchor {
            Anchor::Left => 0.0,
            Anchor::Middle => 0.5,
            Anchor::Right => 1.0,
        } * lettering::width_mm(&shown, text.size_mm);
        let (sin, cos) = match text.angle_deg {
            0.0 => (0.0, 1.0),
            90.0 => (1.0, 0.0),
            deg => (libm::sin(deg.to_radians()), libm::cos(deg.to_radians())),
        };
        let at = self.point(text.at - Point::new(cos, sin) * back, false)?.p;
        if !text.size_mm.is_finite() || !text.angle_deg.is_finite() {
            return Err("a size or direction of lettering is not finite".to_string());
        }
        let (s, c) = (sin as f32, cos as f32);
        let size = pt(text.size_mm / lettering::CAPITAL_HEIGHT);
        self.ops.extend([
            Op::StartTextSection,
            Op::SetFont { font: PdfFontHandle::External(self.font.clone()), size },
            Op::SetTextMatrix { matrix: TextMatrix::Raw([c, s, -s, c, at.x.0, at.y.0]) },
            Op::ShowText { items: vec![TextItem::Text(shown)] },
            Op::EndTextSection,
        ]);
        Ok(())
    }
}
