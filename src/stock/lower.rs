//! From the bin file as written to the bin as meant.

use super::fields::BIN;
use crate::diag::{Diagnostic, FileId};
use crate::expr::Scope;
use crate::handbook;
use crate::piece::{SHAPES, Stock};
use crate::source::{Obj, Text, check_form, nearest, read_toml};
use crate::units::{Dim, Length, System, parse_size, show_length, show_size};

/// The saw and what is worth keeping.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saw {
    /// What one cut eats.
    pub kerf: Length,
    /// Squared off each raw end.
    pub trim: Length,
    /// Shortest bar remainder that goes back.
    pub keep: Length,
    /// Smallest plate leftover that goes back: short side, long side.
    pub keep_plate: (Length, Length),
}

/// An offcut, or something that can be bought.
#[derive(Clone, Debug, PartialEq)]
pub struct BinEntry {
    /// Its id.
    pub id: String,
    /// Shape, size, material.
    pub stock: Stock,
    /// Sound length.
    pub length: Length,
    /// Plates: sound width.
    pub width: Option<Length>,
    /// Where it lies.
    pub place: String,
    /// Bought, at this price in 1/10,000; `None` for an offcut.
    pub price: Option<i64>,
}

/// A bin as meant. Offcuts that are kept back are left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Bin {
    /// The saw.
    pub saw: Saw,
    /// Offcuts, then what can be bought, in the order of the file.
    pub entries: Vec<BinEntry>,
}

impl Default for Bin {
    fn default() -> Self {
        let saw = Saw {
            kerf: Length::mm(3.0),
            trim: Length::ZERO,
            keep: Length::mm(200.0),
            keep_plate: (Length::mm(60.0), Length::mm(150.0)),
        };
        Bin { saw, entries: vec![] }
    }
}

/// Read a bin. Faults go to `out`.
pub fn read_bin(file: FileId, text: &str, out: &mut Vec<Diagnostic>) -> Bin {
    let obj = read_toml(file, text, BIN, "a bin", out);
    check_form(&obj, file, out);
    let scope = Scope::default();
    let mut lower = Lower { file, scope: &scope, out };
    let mut bin = Bin::default();
    if let Some(saw) = obj.obj("saw") {
        lower.saw(saw, &mut bin.saw);
    }
    for o in obj.list("offcut") {
        if let Some(entry) = lower.entry(o, None)
            && !o.flag("keep").unwrap_or(false)
        {
            bin.entries.push(entry);
        }
    }
    for o in obj.list("buy") {
        let price = lower.price(o);
        bin.entries.extend(price.and_then(|p| lower.entry(o, Some(p))));
    }
    lower.ids_differ(&obj);
    bin
}

struct Lower<'a> {
    file: FileId,
    scope: &'a Scope,
    out: &'a mut Vec<Diagnostic>,
}

impl Lower<'_> {
    fn say(&mut self, code: &'static str, message: String, text: &Text, help: Option<String>) {
        self.out.push(Diagnostic::error(code, message, self.file, text.span.clone()).help_if(help));
    }

    /// A length from `least` mm to 100 m.
    fn length(&mut self, obj: &Obj, key: &str, least: f64) -> Option<Length> {
        let text = obj.text(key)?;
        let mm = self.scope.quantity(text, Dim::LENGTH, self.out)?;
        if !(least..1e5).contains(&mm) {
            self.say(
                "outside-limits",
                format!("`{key}` is {mm:.1} mm; from {least} mm to 100 m is allowed"),
                text,
                Some("check the tape reading".into()),
            );
            return None;
        }
        Some(Length::mm(mm))
    }

    fn saw(&mut self, obj: &Obj, saw: &mut Saw) {
        for (key, place) in [("kerf", &mut saw.kerf), ("trim", &mut saw.trim), ("keep", &mut saw.keep)] {
            if let Some(l) = self.length(obj, key, 0.0) {
                *place = l;
            }
        }
        if saw.kerf.to_mm() > 20.0 {
            let text = obj.text("kerf").cloned();
            if let Some(t) = text {
                self.say(
                    "outside-limits",
                    format!("a kerf of {:.1} mm; 20 mm at most", saw.kerf.to_mm()),
                    &t,
                    Some("measure one test cut".into()),
                );
            }
        }
        if let Some(text) = obj.text("keep_plate") {
            match parse_size(&text.value).ok().as_deref() {
                Some(&[a, b]) => saw.keep_plate = (a.min(b), a.max(b)),
                _ => self.say(
                    "bad-size",
                    format!("\"{}\" is not two lengths", text.value),
                    text,
                    Some("write 60 mm x 150 mm".into()),
                ),
            }
        }
    }

    /// An exact price in ten-thousandths, read from the digits as written.
    fn price(&mut self, obj: &Obj) -> Option<i64> {
        let text = obj.text("price")?;
        let clean = text.value.replace('_', "");
        let (whole, decimals) = clean.split_once('.').unwrap_or((&clean, ""));
        let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
        let fine =
            digits(whole) && whole.len() <= 9 && (decimals.is_empty() || (digits(decimals) && decimals.len() <= 4));
        if !fine {
            self.say(
                "bad-price",
                format!("{} is not a price; 0 to 999999999 with 4 decimals at most", text.value),
                text,
                Some("write it like 12.60".into()),
            );
            return None;
        }
        let padded = format!("{decimals:0<4}");
        Some(whole.parse::<i64>().ok()? * 10_000 + padded.parse::<i64>().ok()?)
    }

    fn entry(&mut self, obj: &Obj, price: Option<i64>) -> Option<BinEntry> {
        let stock = self.stock(obj);
        let length = self.length(obj, "length", 1.0);
        let width = obj.text("width").is_some().then(|| self.length(obj, "width", 1.0));
        let (stock, length) = (stock?, length?);
        let plate = stock.shape == "plate";
        if plate != width.is_some() {
            let message = if plate { "a plate needs its `width`" } else { "only a plate has a `width`" };
            let d = Diagnostic::error("missing-key", message, self.file, obj.span.clone());
            self.out.push(d.help(if plate {
                "add a line width = \"...\""
            } else {
                "take the width out, or make it a plate"
            }));
            return None;
        }
        let id = match (obj.word("id"), price) {
            (Some(id), _) => id.to_string(),
            (None, _) => {
                let wide =
                    width.flatten().map(|w| format!(" x {}", show_length(w, System::Metric))).unwrap_or_default();
                format!("new {} {}, {}{wide}", stock.shape, show_size(&stock.size), show_length(length, System::Metric))
            }
        };
        Some(BinEntry {
            id,
            stock,
            length,
            width: width.flatten(),
            place: obj.word("where").unwrap_or("").to_string(),
            price,
        })
    }

    fn stock(&mut self, obj: &Obj) -> Option<Stock> {
        let shape = obj.text("shape")?;
        if !SHAPES.contains(&shape.value.as_str()) {
            let near = nearest(&shape.value, SHAPES.iter().copied()).map(|n| format!("did you mean \"{n}\"?"));
            let help = near.unwrap_or_else(|| format!("shapes are: {}", SHAPES.join(", ")));
            self.say("unknown-shape", format!("\"{}\" is not a shape of stock", shape.value), shape, Some(help));
            return None;
        }
        let size = obj.text("size")?;
        let sizes = match parse_size(&size.value) {
            Ok(s) => s,
            Err(f) => {
                self.out.push(Diagnostic::error("bad-size", f.message, self.file, size.at(f.span)).help_if(f.help));
                return None;
            }
        };
        let word = obj.text("material");
        let name = word.map_or("mild steel", |t| t.value.as_str());
        let Some(material) = handbook::material::find(name) else {
            let text = word?.clone();
            let help = format!("known materials: {}", handbook::material::names().join(", "));
            self.say("unknown-material", format!("material \"{name}\" is not in the handbook"), &text, Some(help));
            return None;
        };
        Some(Stock { shape: shape.value.clone(), size: sizes, material: material.name.to_string() })
    }

    fn ids_differ(&mut self, obj: &Obj) {
        let mut seen: Vec<&Text> = vec![];
        for o in obj.list("offcut") {
            let Some(id) = o.text("id") else { continue };
            if let Some(first) = seen.iter().find(|t| t.value == id.value) {
                let d = Diagnostic::error(
                    "same-id",
                    format!("two offcuts have the id {}", id.value),
                    self.file,
                    id.span.clone(),
                );
                self.out.push(d.help("give one of them another id").also(
                    self.file,
                    first.span.clone(),
                    "the first one",
                ));
            } else {
                seen.push(id);
            }
        }
    }
}
