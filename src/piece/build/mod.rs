//! From a template with its values to pieces.

mod holes;
mod plates;
mod scene;
mod sections;
mod strips;
mod uses;

pub use sections::profile_of;

use super::{Form, Hand, Piece, Scene, Stock};
use crate::diag::{Diagnostic, FileId};
use crate::expr::{Scope, Value};
use crate::handbook::{self, Material, bend::KMethod};
use crate::source::{Obj, Text};
use crate::template::{Answered, Template, worded};
use crate::units::{Dim, Length, System};
use std::ops::Range;

/// What is asked for one part.
#[derive(Clone, Debug)]
pub struct Request<'a> {
    /// Name of the part.
    pub part: &'a str,
    /// How many of the part.
    pub copies: u32,
    /// Opposite hand, where the part has one.
    pub hand: Option<Hand>,
    /// Place of the part in the job.
    pub place: (FileId, Range<usize>),
    /// The job's own bend allowance; `None` for the usual one.
    pub bending: Option<KMethod>,
    /// Units that sentences print in.
    pub system: System,
    /// Sizes of stock: whose usual bend allowance is taken.
    pub sizes: System,
    /// Cautions of the part.
    pub cautions: &'a [String],
}

/// Most of one piece in one part.
const MOST: u32 = 1_000;

/// Reads the tables of one piece with its scope; faults go to `out`.
struct Builder<'a> {
    scope: &'a Scope,
    template: &'a Template,
    request: &'a Request<'a>,
    out: &'a mut Vec<Diagnostic>,
}

impl Builder<'_> {
    fn length(&mut self, obj: &Obj, key: &str) -> Option<Length> {
        self.scope.field(obj, key, self.out).map(Length::mm)
    }

    /// A length that must be there.
    fn needed(&mut self, obj: &Obj, key: &str, what: &str) -> Option<Length> {
        if obj.text(key).is_none() {
            self.missing(obj, key, what);
        }
        self.length(obj, key)
    }

    /// An angle in radians, or a usual one.
    fn angle_or(&mut self, obj: &Obj, key: &str, usual_rad: f64) -> Option<f64> {
        match obj.text(key) {
            None => Some(usual_rad),
            Some(_) => self.scope.field(obj, key, self.out).map(|d| d * std::f64::consts::PI / 180.0),
        }
    }

    fn pair(&mut self, obj: &Obj, key: &str) -> Option<(f64, f64)> {
        let texts = obj.texts(key);
        let (a, b) = (texts.first()?, texts.get(1)?);
        let x = self.scope.quantity(a, Dim::LENGTH, self.out);
        let y = self.scope.quantity(b, Dim::LENGTH, self.out);
        Some((x?, y?))
    }

    fn count_or(&mut self, obj: &Obj, key: &str, usual: u32) -> Option<u32> {
        match obj.text(key) {
            None => Some(usual),
            Some(t) => self.scope.count(t, MOST, self.out),
        }
    }

    fn applies(&mut self, obj: &Obj) -> bool {
        obj.text("when").is_none_or(|t| self.scope.yes(t, self.out).unwrap_or(false))
    }

    fn fault(&mut self, code: &'static str, message: String, span: Range<usize>, help: &str) {
        let d = Diagnostic::error(code, message, self.template.file, span).help(help);
        let (file, place) = self.request.place.clone();
        self.out.push(d.also(file, place, format!("for part `{}`", self.request.part)));
    }

    fn missing(&mut self, obj: &Obj, key: &str, what: &str) {
        self.fault(
            "missing-key",
            format!("{what} needs `{key}`"),
            obj.span.clone(),
            &format!("add a line {key} = \"...\""),
        );
    }

    /// A material by name, or by a question of kind material.
    fn material(&mut self, text: &Text) -> Option<&'static Material> {
        let name = match self.scope.values.get(&text.value) {
            Some(Value::Word(w)) => w.clone(),
            _ if self.scope.failed.contains(&text.value) => return None,
            _ => text.value.clone(),
        };
        let found = handbook::material::find(&name);
        if found.is_none() {
            let (file, place) = self.request.place.clone();
            let says = format!("for part `{}`", self.request.part);
            self.out.push(handbook::unknown_material(text, &name).also(file, place, says));
        }
        found
    }

    fn stock(&mut self, obj: &Obj) -> Option<Stock> {
        let shape = obj.text("shape")?;
        let size: Option<Vec<Length>> =
            obj.texts("size").iter().map(|t| self.scope.quantity(t, Dim::LENGTH, self.out).map(Length::mm)).collect();
        let material = self.material(obj.text("material")?)?;
        Some(Stock { shape: shape.value.clone(), size: size?, material: material.name.to_string() })
    }
}

/// Build every piece of a part, its bolts and what is there already round it, those of
/// the templates that it uses too. Faults go to `out`; a piece at fault is left out.
pub fn build_part(
    template: &Template,
    answered: &Answered,
    request: &Request,
    out: &mut Vec<Diagnostic>,
) -> (Vec<Piece>, Scene) {
    let mut builder = Builder { scope: &answered.scope, template, request, out };
    let (mut pieces, mut scene) = (builder.own_pieces(), builder.scene());
    for used in &answered.uses {
        let (more, round) = builder.used(used);
        pieces.extend(more);
        scene.bolts.extend(round.bolts);
        scene.faint.extend(round.faint);
    }
    (pieces, scene)
}

impl Builder<'_> {
    /// The pieces that the template has itself.
    fn own_pieces(&mut self) -> Vec<Piece> {
        let obj = &self.template.obj;
        let single = ["strip", "plate", "section"].iter().any(|k| obj.obj(k).is_some());
        let several = obj.list("piece");
        if single && several.is_empty() {
            let name = obj.word("name").unwrap_or(&self.template.name).to_string();
            return self.piece(obj, &name).into_iter().collect();
        }
        if single || (several.is_empty() && self.template.used.is_empty()) {
            let message = if single {
                "a template has one piece, or [[piece]] blocks, not both"
            } else {
                "this template makes no piece"
            };
            let help = "add [strip], [plate] or [section], or [[piece]] blocks";
            self.fault("no-piece", message.to_string(), 0..0, help);
            return vec![];
        }
        let mut pieces = vec![];
        for p in several {
            if self.applies(p) {
                let name = p.word("name").unwrap_or("").to_string();
                pieces.extend(self.piece(p, &name));
            }
        }
        pieces
    }

    fn piece(&mut self, obj: &Obj, name: &str) -> Option<Piece> {
        let Some(stock_table) = obj.obj("stock") else {
            self.missing(obj, "stock", "a piece");
            return None;
        };
        let stock = self.stock(stock_table);
        let count = self.count_or(obj, "count", 1);
        let notes: Vec<String> =
            obj.texts("notes").iter().map(|t| worded(self.scope, t, self.request.system, self.out)).collect();
        let places = self.places(obj);
        let (stock, count) = (stock?, count?);
        let form = self.form(obj, &stock)?;
        if count == 0 {
            return None;
        }
        Some(Piece {
            part: self.request.part.to_string(),
            name: name.to_string(),
            copies: count.saturating_mul(self.request.copies),
            hand: self.request.hand,
            form,
            stock,
            places,
            notes: notes.into_iter().filter(|n| !n.is_empty()).collect(),
            cautions: self.request.cautions.to_vec(),
        })
    }

    fn form(&mut self, obj: &Obj, stock: &Stock) -> Option<Form> {
        let forms: Vec<&str> = ["strip", "plate", "section"].into_iter().filter(|k| obj.obj(k).is_some()).collect();
        let [one] = forms[..] else {
            let message = format!("a piece is one of strip, plate, section; this has {}", forms.len());
            self.fault("no-form", message, obj.span.clone(), "give it one of [strip], [plate], [section]");
            return None;
        };
        let table = obj.obj(one)?.clone();
        match one {
            "strip" => self.strip(&table, obj.list("hole"), stock).map(Form::Strip),
            "plate" => self.plate(&table, obj.list("hole"), stock).map(Form::Plate),
            _ => self.section(&table, obj.list("hole"), stock).map(Form::Section),
        }
    }

    /// The stock's sizes must be those of the piece.
    fn same_stock(&mut self, stock: &Stock, shape: &str, sizes: &[Length], at: Range<usize>) -> bool {
        let same = stock.shape == shape && crate::units::same_size(&stock.size, sizes);
        if !same {
            let message = format!(
                "the piece is {shape} {}, its stock is {} {}",
                crate::units::show_size(sizes),
                stock.shape,
                crate::units::show_size(&stock.size)
            );
            self.fault("stock-differs", message, at, "use the same values for the piece and its [stock]");
        }
        same
    }
}
