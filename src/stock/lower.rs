//! From the bin file as written to the bin as meant.

use super::fields::{BIN, OFFCUT, SAW};
use super::remnant::Remnant;
use crate::diag::{Diagnostic, FileId};
use crate::expr::Scope;
use crate::geom::Point;
use crate::handbook::{self, Accept};
use crate::piece::Stock;
use crate::source::{Obj, Text, check_form, read_toml};
use crate::units::{Dim, Length, System, parse_size, show_length, show_size};
use std::collections::BTreeMap;

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
    /// Plate is cut round any shape, not along straight lines only.
    pub free: bool,
    /// Thickest plate that is cut so; `None` for any.
    pub free_up_to: Option<Length>,
    /// Least steel between two parts that are cut so, and to an edge.
    pub gap: Length,
    /// What a metre of bar that goes back is worth, 1/10,000 of the money; 0
    /// for nothing.
    pub value_of_offcuts: i64,
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
    /// Plates of any shape: the corners; empty for a rectangle. Their box
    /// begins at 0, 0 and is as long and as wide as told above.
    pub outline: Vec<Point>,
    /// Plates: holes that are in it already, each by its corners; a round one
    /// as a polygon round it.
    pub holes: Vec<Vec<Point>>,
    /// Where it lies.
    pub place: String,
    /// Bought, at this price in 1/10,000; `None` for an offcut.
    pub price: Option<i64>,
    /// Bars: how much shorter it may be than it was measured.
    pub doubt: Length,
    /// Bars: spans that cannot be used, from the left end, in order.
    pub unusable: Vec<(Length, Length)>,
    /// Bars: angles of the ends, degrees; 90 is square.
    pub ends_deg: (f64, f64),
    /// What else is known of it.
    pub facts: Facts,
}

/// What is known of an offcut beside its size; empty where it is not told.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts {
    /// `none`, `paint`, `powder`, `zinc`, `chrome`.
    pub coating: String,
    /// Face that the weld seam of a tube lies on.
    pub seam: String,
    /// The wall as measured.
    pub wall: Option<Length>,
    /// `known` or `unknown`.
    pub grade: String,
    /// `yes`, `no` or `unknown`.
    pub weldable: String,
    /// What it was cut from, and for which job.
    pub from: String,
    /// Anything to remember.
    pub note: String,
    /// It is not to be used.
    pub keep: bool,
    /// Name of the job that it is held for.
    pub held_for: String,
}

impl BinEntry {
    /// What whoever takes it off the rack has to know, in words; may be empty.
    pub fn remarks(&self) -> Vec<String> {
        let f = &self.facts;
        let mut out = vec![];
        match f.coating.as_str() {
            "" | "none" => {}
            "zinc" => out.push("zinc on it".to_string()),
            coating => out.push(format!("{coating} on it")),
        }
        if !f.seam.is_empty() {
            out.push(format!("weld seam {}", f.seam));
        }
        out.extend(f.wall.map(|w| format!("wall measured {}", show_length(w, System::Metric))));
        if f.grade == "unknown" {
            out.push("grade unknown".to_string());
        }
        match f.weldable.as_str() {
            "no" => out.push("not to be welded".to_string()),
            "unknown" => out.push("may not be weldable".to_string()),
            _ => {}
        }
        out
    }

    /// What an end at this angle loses before it is square: its longest edge
    /// begins to be missing there.
    pub fn slant(&self, degrees: f64) -> Length {
        if degrees == 90.0 {
            return Length::ZERO;
        }
        let depth = self.stock.size.iter().copied().fold(Length::ZERO, Length::max);
        Length::mm(depth.to_mm() / libm::tan(degrees.to_radians()))
    }

    /// Whether a job of this name may use it.
    pub fn is_free_for(&self, job: &str) -> bool {
        !self.facts.keep && (self.facts.held_for.is_empty() || self.facts.held_for == job)
    }
}

/// A bin as meant.
#[derive(Clone, Debug, PartialEq)]
pub struct Bin {
    /// The saw.
    pub saw: Saw,
    /// Offcuts, then what can be bought, in the order of the file.
    pub entries: Vec<BinEntry>,
    /// What may stand in for other stock, in every job.
    pub accept: Vec<Accept>,
}

impl Bin {
    /// Without what is kept back or held for another job.
    pub fn for_job(mut self, job: &str) -> Bin {
        self.entries.retain(|e| e.is_free_for(job));
        self
    }
}

impl Default for Bin {
    fn default() -> Self {
        let saw = Saw {
            kerf: Length::mm(3.0),
            trim: Length::ZERO,
            keep: Length::mm(200.0),
            keep_plate: (Length::mm(60.0), Length::mm(150.0)),
            free: false,
            free_up_to: None,
            gap: Length::mm(3.0),
            value_of_offcuts: 0,
        };
        Bin { saw, entries: vec![], accept: vec![] }
    }
}

/// Read a bin. Faults go to `out`.
pub fn read_bin(file: FileId, text: &str, out: &mut Vec<Diagnostic>) -> Bin {
    read_bin_file(file, text, out).1
}

/// Read a bin: its keys as written, and what they mean. Without faults the
/// offcuts are the first entries, in the order of the file.
pub fn read_bin_file(file: FileId, text: &str, out: &mut Vec<Diagnostic>) -> (Obj, Bin) {
    let obj = read_toml(file, text, &BIN, out);
    check_form(&obj, file, out);
    let scope = Scope::default();
    let mut lower = Lower { file, scope: &scope, out };
    let mut bin = Bin::default();
    if let Some(saw) = obj.obj("saw") {
        lower.saw(saw, &mut bin.saw);
    }
    bin.entries.extend(obj.list("offcut").iter().filter_map(|o| lower.entry(o, None)));
    for o in obj.list("buy") {
        let price = lower.price(o);
        bin.entries.extend(price.and_then(|p| lower.entry(o, Some(p))));
    }
    lower.ids_differ(&obj);
    bin.accept = obj.texts("accept").iter().filter_map(|t| Accept::read(t, lower.out)).collect();
    (obj, bin)
}

/// What one offcut's keys mean, wherever they come from.
pub fn offcut_of(obj: &Obj, file: FileId, out: &mut Vec<Diagnostic>) -> Option<BinEntry> {
    let known = out.len();
    let entry = Lower { file, scope: &Scope::default(), out }.entry(obj, None);
    // A hole that lies outside is told, and the rest would stand.
    entry.filter(|_| out.len() == known)
}

pub(super) struct Lower<'a> {
    pub(super) file: FileId,
    pub(super) scope: &'a Scope,
    pub(super) out: &'a mut Vec<Diagnostic>,
}

impl Lower<'_> {
    pub(super) fn say(&mut self, code: &'static str, message: String, text: &Text, help: Option<String>) {
        self.out.push(Diagnostic::error(code, message, self.file, text.span.clone()).help_if(help));
    }

    pub(super) fn length(&mut self, obj: &Obj, key: &str) -> Option<Length> {
        self.scope.field(obj, key, self.out).map(Length::mm)
    }

    fn saw(&mut self, obj: &Obj, saw: &mut Saw) {
        saw.free = obj.word("cuts") == Some("free");
        saw.free_up_to = self.length(obj, "free_up_to");
        let lengths =
            [("kerf", &mut saw.kerf), ("trim", &mut saw.trim), ("keep", &mut saw.keep), ("gap", &mut saw.gap)];
        for (key, place) in lengths {
            if let Some(mm) = self.scope.field_or_usual(SAW, obj, key, self.out) {
                *place = Length::mm(mm);
            }
        }
        if let Some(value) = obj.text("value_of_offcuts").and_then(|text| self.money(text)) {
            saw.value_of_offcuts = value;
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
        self.money(obj.text("price")?)
    }

    fn money(&mut self, text: &Text) -> Option<i64> {
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
        let length = self.length(obj, "length");
        let width = obj.text("width").is_some().then(|| self.length(obj, "width"));
        let stock = stock?;
        let plate = stock.shape == "plate";
        let Remnant { outline, holes, size } = if plate { self.remnant(obj)? } else { Remnant::default() };
        let (length, width) = match size {
            Some(size) => (size.0, Some(Some(size.1))),
            None => (length?, width),
        };
        // The rules between shape, width and outline have been told by the reader.
        if plate != width.is_some() {
            return None;
        }
        self.holes_are_inside(obj, &outline, &holes, (length, width.flatten()));
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
            outline,
            holes,
            place: obj.word("where").unwrap_or("").to_string(),
            price,
            doubt: if price.is_some() { Length::ZERO } else { self.doubt(obj) },
            unusable: self.unusable(obj, length),
            ends_deg: (self.end(obj, "left_end"), self.end(obj, "right_end")),
            facts: self.facts(obj),
        })
    }

    fn facts(&mut self, obj: &Obj) -> Facts {
        let word = |key: &str| obj.word(key).unwrap_or("").to_string();
        Facts {
            coating: word("coating"),
            seam: word("seam"),
            wall: if obj.get("wall").is_some() { self.length(obj, "wall") } else { None },
            grade: word("grade"),
            weldable: word("weldable"),
            from: word("from"),
            note: word("note"),
            keep: obj.flag("keep").unwrap_or(false),
            held_for: word("held_for"),
        }
    }

    fn doubt(&mut self, obj: &Obj) -> Length {
        Length::mm(self.scope.field_or_usual(OFFCUT, obj, "doubt", self.out).unwrap_or(0.0))
    }

    /// Angle of an end, degrees.
    fn end(&mut self, obj: &Obj, key: &str) -> f64 {
        if obj.get(key).is_none() {
            return 90.0;
        }
        self.scope.field(obj, key, self.out).unwrap_or(90.0)
    }

    /// Spans that cannot be used: pairs of places along the bar, in order.
    fn unusable(&mut self, obj: &Obj, length: Length) -> Vec<(Length, Length)> {
        let texts = obj.texts("unusable").to_vec();
        let Some(first) = texts.first() else { return vec![] };
        let mut places = vec![];
        for text in &texts {
            places.extend(self.scope.quantity(text, Dim::LENGTH, self.out));
        }
        if places.len() < texts.len() {
            return vec![];
        }
        let rising = places.windows(2).all(|w| w[0] < w[1]);
        let inside = places.iter().all(|p| (0.0..=length.to_mm()).contains(p));
        if places.len() % 2 == 1 || !rising || !inside {
            self.say(
                "bad-size",
                "the unusable spans are not pairs of places along the bar, each farther than the one before".into(),
                first,
                Some("write [\"300 mm\", \"340 mm\"]: from and to, measured from the left end".into()),
            );
            return vec![];
        }
        places.chunks(2).map(|p| (Length::mm(p[0]), Length::mm(p[1]))).collect()
    }

    fn stock(&mut self, obj: &Obj) -> Option<Stock> {
        let material = match obj.text("material") {
            Some(text) => handbook::material_of(text, self.out),
            None => handbook::material::find("mild steel"),
        };
        let (shape, material) = (obj.word("shape")?, material?);
        let size = handbook::size_of(obj.text("size")?, shape, material.name, self.out)?;
        Some(Stock { shape: shape.to_string(), size, material: material.name.to_string() })
    }

    fn ids_differ(&mut self, obj: &Obj) {
        let mut seen: BTreeMap<&str, &Text> = BTreeMap::new();
        for o in obj.list("offcut") {
            let Some(id) = o.text("id") else { continue };
            if let Some(first) = seen.get(id.value.as_str()) {
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
                seen.insert(&id.value, id);
            }
        }
    }
}
