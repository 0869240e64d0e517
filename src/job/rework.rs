//! What a job says of its paper, and of things that are there already.

use super::fields::PRINTER_FILE;
use crate::diag::{Diagnostic, FileId};
use crate::expr::Scope;
use crate::source::{Obj, Text, check_form, read_toml};
use crate::units::{Angle, Dim, Length, System};

/// What is in the printer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PaperChoice {
    /// 210 by 297 mm.
    A4,
    /// 297 by 420 mm.
    A3,
    /// 8.5 by 11 in.
    Letter,
    /// A roll of this width.
    Roll(Length),
}

/// What was measured of the check bars.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Printer {
    /// Across an upright page.
    pub x: Length,
    /// Along an upright page.
    pub y: Length,
    /// What both should be.
    pub bar: Length,
}

/// Shape of a hole to drill.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ReworkShape {
    /// Of this diameter.
    Round(Length),
    /// Length overall, width, direction of the length.
    Slot(Length, Length, Angle),
}

/// A hole to drill into something that is there.
#[derive(Clone, Debug, PartialEq)]
pub struct ReworkHole {
    /// Its name.
    pub name: String,
    /// From the named edges.
    pub at: (Length, Length),
    /// Its shape.
    pub shape: ReworkShape,
}

/// A straight cut.
#[derive(Clone, Debug, PartialEq)]
pub struct ReworkCut {
    /// Its name.
    pub name: String,
    /// From the named edges.
    pub from: (Length, Length),
    /// From the named edges.
    pub to: (Length, Length),
}

/// Work on a thing that is there already: paper only, no stock, no plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Rework {
    /// Its name.
    pub name: String,
    /// The edges that x and y are measured from, in words.
    pub edges: (String, String),
    /// Of the face, along x and along y.
    pub size: (Length, Length),
    /// What it is made of, in words.
    pub material: String,
    /// Holes.
    pub holes: Vec<ReworkHole>,
    /// Cuts.
    pub cuts: Vec<ReworkCut>,
    /// Place in the job.
    pub span: std::ops::Range<usize>,
}

/// A printer that is further out than this is not corrected: something else is wrong.
const MOST_CORRECTION: f64 = 0.05;

/// Read `[printer]`. Faults go to `out`.
pub(super) fn printer(obj: &Obj, scope: &Scope, units: System, out: &mut Vec<Diagnostic>) -> Option<Printer> {
    let usual = if units == System::Inch { Length::inches(4.0) } else { Length::mm(100.0) };
    let mut length = |key: &str| scope.field(obj, key, out).map(Length::mm);
    let bar = if obj.has("bar") { length("bar")? } else { usual };
    let (x, y) = (length("x"), length("y"));
    let (x, y) = (x?, y?);
    for (key, v) in [("x", x), ("y", y)] {
        let off = v.to_mm() / bar.to_mm() - 1.0;
        if let Some(text) = obj.text(key).filter(|_| off.abs() > MOST_CORRECTION) {
            let message = format!(
                "the {} bar is {:.1} % out; a printer is corrected by 5 % at most",
                key.to_uppercase(),
                off.abs() * 100.0
            );
            let d = Diagnostic::error("outside-limits", message, text.file, text.span.clone());
            out.push(d.help("print at actual size (100 %, no fitting to the page) and measure again"));
            return None;
        }
    }
    Some(Printer { x, y, bar })
}

/// Read a `printer.toml`. Faults go to `out`.
pub fn read_printer(file: FileId, text: &str, units: System, out: &mut Vec<Diagnostic>) -> Option<Printer> {
    let obj = read_toml(file, text, &PRINTER_FILE, out);
    check_form(&obj, file, out);
    printer(obj.obj("printer")?, &Scope { bare: Some(units), ..Scope::default() }, units, out)
}

pub(super) fn paper(obj: &Obj, scope: &Scope, units: System, out: &mut Vec<Diagnostic>) -> PaperChoice {
    match obj.word("paper") {
        Some("A4") => PaperChoice::A4,
        Some("A3") => PaperChoice::A3,
        Some("Letter") => PaperChoice::Letter,
        Some("roll") => {
            if !obj.has("roll_width")
                && let Some(text) = obj.text("paper")
            {
                let d = Diagnostic::error("missing-key", "a roll needs its `roll_width`", text.file, text.span.clone());
                out.push(d.help("add a line roll_width = \"610 mm\""));
            }
            PaperChoice::Roll(scope.field(obj, "roll_width", out).map_or(Length::mm(610.0), Length::mm))
        }
        _ if units == System::Inch => PaperChoice::Letter,
        _ => PaperChoice::A4,
    }
}

fn pair(obj: &Obj, key: &str, scope: &Scope, out: &mut Vec<Diagnostic>) -> Option<(Length, Length)> {
    let mut one = |t: Option<&Text>| scope.quantity(t?, Dim::LENGTH, out).map(Length::mm);
    let (a, b) = (one(obj.texts(key).first()), one(obj.texts(key).get(1)));
    Some((a?, b?))
}

/// Read every `[[rework]]`. Faults go to `out`.
pub(super) fn reworks(obj: &Obj, scope: &Scope, out: &mut Vec<Diagnostic>) -> Vec<Rework> {
    obj.list("rework").iter().filter_map(|r| rework(r, scope, out)).collect()
}

fn rework(r: &Obj, scope: &Scope, out: &mut Vec<Diagnostic>) -> Option<Rework> {
    let length = scope.field(r, "length", out).map(Length::mm);
    let width = scope.field(r, "width", out).map(Length::mm);
    let mut holes = vec![];
    for h in r.list("hole") {
        let at = pair(h, "at", scope, out);
        let mut size = |key: &str| scope.field(h, key, out).map(Length::mm);
        let shape = if h.word("shape") == Some("slot") {
            let (l, w) = (size("length"), size("width"));
            let lies = h.text("lies").and_then(|t| scope.quantity(t, Dim::ANGLE, out)).unwrap_or(0.0);
            l.zip(w).map(|(l, w)| ReworkShape::Slot(l.max(w), w, Angle::degrees(lies)))
        } else {
            size("size").map(ReworkShape::Round)
        };
        if let (Some(name), Some(at), Some(shape)) = (h.word("name"), at, shape) {
            holes.push(ReworkHole { name: name.to_string(), at, shape });
        }
    }
    let mut cuts = vec![];
    for c in r.list("cut") {
        let (from, to) = (pair(c, "from", scope, out), pair(c, "to", scope, out));
        if let (Some(from), Some(to)) = (from, to) {
            cuts.push(ReworkCut { name: c.word("name").unwrap_or("cut").to_string(), from, to });
        }
    }
    Some(Rework {
        name: r.word("name")?.to_string(),
        edges: (r.word("x_edge")?.to_string(), r.word("y_edge")?.to_string()),
        size: (length?, width?),
        material: r.word("material").unwrap_or("unknown").to_string(),
        holes,
        cuts,
        span: r.span.clone(),
    })
}
