//! The one list of what a job needs: hardware, sheet goods, weld, paint, steel
//! and money.

use super::json::num;
use super::text::money;
use crate::drawing::{Block, Rows};
use crate::handbook::Citation;
use crate::handbook::welds::deposit;
use crate::template::{Strip, Weld};
use crate::units::{Length, Mass, System, show_length, show_mass};
use serde_json::{Value, json};

/// Sheet goods and paint are bought this much over what the job needs.
const MORE: f64 = 1.1;
/// Where that is from.
const ALLOWANCE: Citation = Citation::practice("a tenth more for cutting and for what is spilt");

/// What a job needs.
#[derive(Clone, Debug)]
pub struct BuyList<'a> {
    /// Hardware and how many.
    pub hardware: &'a [(String, u32)],
    /// What its numbers rest on.
    pub sources: Vec<String>,
    /// Strips and pads, and how many.
    pub strips: &'a [(Strip, u32)],
    /// Welds: part, weld, how many such parts.
    pub welds: &'a [(String, Weld, u32)],
    /// Parts: name, how many, mass and surface of one.
    pub parts: Vec<(String, u32, Mass, f64)>,
    /// Steel that is cut: id, price (1/10,000), whether it is bought.
    pub stock: Vec<(String, i64, bool)>,
    /// Unit system.
    pub system: System,
}

impl BuyList<'_> {
    /// An area in the units that it is bought in; a small one in the smaller unit.
    fn area(&self, mm2: f64) -> String {
        let (large, small, large_name, small_name) = match self.system {
            System::Metric => (1e6, 100.0, "m2", "cm2"),
            System::Inch => {
                (Length::inches(12.0).to_mm().powi(2), Length::inches(1.0).to_mm().powi(2), "sq ft", "sq in")
            }
        };
        if mm2 >= large {
            format!("{:.2} {large_name}", mm2 / large)
        } else {
            format!("{:.0} {small_name}", mm2 / small)
        }
    }

    fn length(&self, l: Length) -> String {
        show_length(l, self.system)
    }

    /// Area of one kind of sheet goods, mm2, in the order of the job.
    fn sheets(&self) -> Vec<(String, Length, f64)> {
        let mut out: Vec<(String, Length, f64)> = vec![];
        for (s, count) in self.strips {
            let area = s.length.to_mm() * s.width.to_mm() * f64::from(*count);
            match out.iter_mut().find(|o| o.0 == s.of && o.1 == s.thick) {
                Some(o) => o.2 += area,
                None => out.push((s.of.clone(), s.thick, area)),
            }
        }
        out
    }

    /// Length of weld by throat, and the metal that fills it.
    fn runs(&self) -> Vec<(Length, Length, Mass)> {
        let mut out: Vec<(Length, Length)> = vec![];
        for (_, w, count) in self.welds {
            let length = w.length * f64::from(*count);
            match out.iter_mut().find(|o| o.0 == w.throat) {
                Some(o) => o.1 += length,
                None => out.push((w.throat, length)),
            }
        }
        out.into_iter().map(|(throat, length)| (throat, length, deposit(throat, length))).collect()
    }

    fn steel(&self) -> Mass {
        Mass::kg(self.parts.iter().map(|p| p.2.to_kg() * f64::from(p.1)).sum())
    }

    fn surface_mm2(&self) -> f64 {
        self.parts.iter().map(|p| p.3 * f64::from(p.1)).sum()
    }

    /// As a document.
    pub fn blocks(&self) -> Vec<Block> {
        let mut out = vec![];
        self.hardware_blocks(&mut out);
        self.strip_blocks(&mut out);
        self.weld_blocks(&mut out);
        self.steel_blocks(&mut out);
        self.stock_blocks(&mut out);
        out
    }

    fn hardware_blocks(&self, out: &mut Vec<Block>) {
        if self.hardware.is_empty() {
            return;
        }
        out.push(Block::Heading("Hardware".into()));
        let rows = self.hardware.iter().map(|(item, count)| vec![count.to_string(), item.clone()]).collect();
        out.push(Block::Table(Rows { heads: vec![">count", "what"], rows, tick: true }));
        if !self.sources.is_empty() {
            out.push(Block::Say(format!("Lengths and torques of the bolts rest on: {}.", self.sources.join("; "))));
        }
    }

    fn strip_blocks(&self, out: &mut Vec<Block>) {
        if self.strips.is_empty() {
            return;
        }
        out.push(Block::Heading("Rubber and other sheet goods".into()));
        let row = |(s, count): &(Strip, u32)| {
            let size = format!("{} x {}", self.length(s.length), self.length(s.width));
            vec![count.to_string(), s.of.clone(), self.length(s.thick), size]
        };
        let rows = self.strips.iter().map(row).collect();
        out.push(Block::Table(Rows { heads: vec![">count", "what", ">thick", "each"], rows, tick: true }));
        for (of, thick, area) in self.sheets() {
            let (net, more) = (self.area(area), self.area(area * MORE));
            out.push(Block::Say(format!("{of}, {}: {net} in all, buy {more} ({ALLOWANCE}).", self.length(thick))));
        }
    }

    fn weld_blocks(&self, out: &mut Vec<Block>) {
        if self.welds.is_empty() {
            return;
        }
        out.push(Block::Heading("Weld".into()));
        let row = |(part, w, count): &(String, Weld, u32)| {
            let part = if *count > 1 { format!("{part} ({count} of them)") } else { part.clone() };
            vec![part, w.name.clone(), self.length(w.throat), self.length(w.length)]
        };
        let rows = self.welds.iter().map(row).collect();
        out.push(Block::Table(Rows { heads: vec!["part", "where", ">throat", ">runs of one"], rows, tick: false }));
        for (throat, length, metal) in self.runs() {
            out.push(Block::Say(format!(
                "Throat {}: {} of fillet, {} of metal laid down; wire or rods for it come on top of spatter and stubs.",
                self.length(throat),
                self.length(length),
                show_mass(metal, self.system)
            )));
        }
    }

    fn steel_blocks(&self, out: &mut Vec<Block>) {
        if self.parts.is_empty() {
            return;
        }
        out.push(Block::Heading("Steel in the parts, and paint".into()));
        let row = |(name, count, mass, area): &(String, u32, Mass, f64)| {
            vec![count.to_string(), name.clone(), show_mass(*mass, self.system), self.area(*area)]
        };
        let rows = self.parts.iter().map(row).collect();
        out.push(Block::Table(Rows {
            heads: vec![">count", "part", ">mass of one", ">surface of one"],
            rows,
            tick: false,
        }));
        let area = self.surface_mm2();
        out.push(Block::Say(format!(
            "All parts: {} of steel without bolts, {} to paint each coat; buy for {} ({ALLOWANCE}). Leave bare what is \
             welded, bolted to earth, or reamed.",
            show_mass(self.steel(), self.system),
            self.area(area),
            self.area(area * MORE)
        )));
    }

    fn stock_blocks(&self, out: &mut Vec<Block>) {
        out.push(Block::Heading("Stock".into()));
        let bought: Vec<&(String, i64, bool)> = self.stock.iter().filter(|s| s.2).collect();
        if bought.is_empty() {
            out.push(Block::Say("Nothing to buy: everything comes out of the bin.".into()));
        } else {
            let price = |p: i64| if p > 0 { money(p) } else { "not known".to_string() };
            let rows = bought.iter().map(|s| vec!["1".into(), s.0.clone(), price(s.1)]).collect();
            out.push(Block::Table(Rows { heads: vec![">count", "what", ">price"], rows, tick: true }));
            let sum: i64 = bought.iter().map(|s| s.1).sum();
            let open = bought.iter().filter(|s| s.1 == 0).count();
            let open =
                if open > 0 { format!(", {open} without a price in the bin file not counted") } else { String::new() };
            out.push(Block::Say(format!("Stock to buy comes to {}{open}; hardware has no prices here.", money(sum))));
        }
    }

    /// For other programs: mm, kg, m2.
    pub fn json(&self) -> Value {
        let mm = |l: Length| num(l.to_mm());
        let strip = |(s, count): &(Strip, u32)| json!({ "of": s.of, "thick_mm": mm(s.thick), "length_mm": mm(s.length), "width_mm": mm(s.width), "count": count });
        let weld = |(part, w, count): &(String, Weld, u32)| json!({ "part": part, "where": w.name, "throat_mm": mm(w.throat), "length_mm": mm(w.length), "count": count });
        json!({
            "hardware": self.hardware.iter().map(|(item, count)| json!({ "item": item, "count": count })).collect::<Vec<_>>(),
            "sources": self.sources,
            "strips": self.strips.iter().map(strip).collect::<Vec<_>>(),
            "welds": self.welds.iter().map(weld).collect::<Vec<_>>(),
            "weld_metal_kg": num(self.runs().iter().map(|r| r.2.to_kg()).sum()),
            "steel_kg": num(self.steel().to_kg()),
            "paint_m2": num(self.surface_mm2() / 1e6),
            "stock": self.stock.iter().filter(|s| s.2).map(|s| json!({ "id": s.0, "price": if s.1 > 0 { json!(s.1 as f64 / 1e4) } else { Value::Null } })).collect::<Vec<_>>(),
        })
    }
}
