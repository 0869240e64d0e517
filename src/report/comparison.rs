//! What a changed job does to pieces that are made already, in words and JSON.

use super::json::num;
use super::tables::Table;
use super::text::{mm, money};
use crate::flat::{Made, Reuse};
use crate::units::{Mass, System, show_mass, show_size};
use serde_json::{Value, json};

/// One piece of the old job, the new one, or both.
#[derive(Clone, Debug)]
pub struct CompareRow {
    /// `part/piece`.
    pub key: String,
    /// What becomes of the old piece; none where there is no old or no new one.
    pub reuse: Option<Reuse>,
    /// Copies of the old piece that serve.
    pub kept: u32,
    /// Copies to be made.
    pub make: u32,
    /// Old copies that are left over.
    pub over: u32,
    /// The old piece.
    pub old: Option<Made>,
}

impl CompareRow {
    /// What is lost comes first, what stays last; then by name.
    pub fn order(&self) -> (u8, String) {
        let rank = match &self.reuse {
            Some(Reuse::Again(_)) => 0,
            None if self.make > 0 => 1,
            Some(Reuse::Redrill(_)) => 2,
            Some(Reuse::Trim { .. }) => 3,
            Some(Reuse::DrillMore(_)) => 4,
            None => 5,
            Some(Reuse::Unchanged) if self.make > 0 => 6,
            Some(Reuse::Unchanged) => 7,
        };
        (rank, self.key.clone())
    }

    /// The class in one or two words.
    pub fn word(&self) -> &'static str {
        match &self.reuse {
            Some(Reuse::Again(_)) => "make again",
            Some(Reuse::Redrill(_)) => "drill anew",
            Some(Reuse::Trim { .. }) => "cut down",
            Some(Reuse::DrillMore(_)) => "drill more",
            Some(Reuse::Unchanged) => "stays",
            None if self.make > 0 => "new",
            None => "not needed",
        }
    }

    /// What to do, in words; empty where the class says it.
    pub fn says(&self, system: System) -> String {
        let mut out = match &self.reuse {
            Some(Reuse::Again(why)) => why.clone(),
            Some(Reuse::Redrill(letters)) => {
                format!(
                    "the blank serves while it is not drilled; old holes {} would be in the wrong place",
                    letters.join(", ")
                )
            }
            Some(Reuse::Trim { off, ends, turned, drill }) => trim_words(off, *ends, *turned, drill, system),
            Some(Reuse::DrillMore(letters)) => format!("the old piece takes hole {} more", letters.join(", ")),
            Some(Reuse::Unchanged) | None => String::new(),
        };
        if self.kept > 0 && self.make > 0 {
            out += &format!("{}{} more to be made", if out.is_empty() { "" } else { "; " }, self.make);
        }
        out
    }
}

fn trim_words(off: &[f64; 4], ends: [bool; 2], turned: bool, drill: &[String], system: System) -> String {
    let sides = ["left", "right", "lower", "upper"];
    let cuts = off.iter().zip(sides).filter(|(o, _)| **o > 0.0);
    let cuts: Vec<String> = cuts.map(|(o, side)| format!("{} off its {side} end", mm(*o, system))).collect();
    let slants =
        ends.iter().zip(sides).filter(|(e, _)| **e).map(|(_, side)| format!("its {side} end to the new angle"));
    let cuts: Vec<String> = cuts.into_iter().chain(slants).collect();
    let turn = if turned { "turn it half round, " } else { "" };
    let drill = if drill.is_empty() { String::new() } else { format!(", then drill hole {}", drill.join(", ")) };
    format!("{turn}{}{drill}", cuts.join(", "))
}

/// A comparison.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// The pieces, what is lost first.
    pub rows: Vec<CompareRow>,
    /// Unit system.
    pub system: System,
    /// Shortest offcut that is kept, mm.
    pub keep_mm: f64,
    /// Steel in the pieces to be made.
    pub mass: Mass,
    /// Money for new stock, 1/10,000.
    pub money: i64,
    /// Pieces that today's bin and shop do not give.
    pub uncut: u32,
    /// Stock to buy.
    pub bought: Vec<String>,
    /// What is taken out of the bin.
    pub from_bin: Vec<String>,
}

impl Comparison {
    /// Old pieces that go into the bin: name, count, what they are.
    fn offcuts(&self) -> Vec<(String, u32, String)> {
        let one = |r: &CompareRow| {
            let old = r.old.as_ref().filter(|_| r.over > 0)?;
            let size = old.outline.bounds()?;
            (size.width() >= self.keep_mm).then(|| {
                let across =
                    if old.form == "plate" { format!(" x {}", mm(size.height(), self.system)) } else { String::new() };
                let state = match (old.bends.is_empty(), old.holes.is_empty()) {
                    (true, true) => "",
                    (true, false) => ", with its holes in it",
                    (false, _) => ", bent",
                };
                let stock = format!("{} {}, {}", old.stock.shape, show_size(&old.stock.size), old.stock.material);
                (r.key.clone(), r.over, format!("{}{across} of {stock}{state}", mm(size.width(), self.system)))
            })
        };
        self.rows.iter().filter_map(one).collect()
    }

    /// In words.
    pub fn text(&self) -> String {
        let mut t = Table::new(&["", ">old serve", ">to make", "piece", "what to do"]);
        for r in &self.rows {
            t.row(vec![
                r.word().to_string(),
                r.kept.to_string(),
                r.make.to_string(),
                r.key.clone(),
                r.says(self.system),
            ]);
        }
        let mut out = t.text();
        for line in self.sums() {
            out += &format!("\n{line}");
        }
        out.push('\n');
        let offcuts = self.offcuts();
        if !offcuts.is_empty() {
            out += "\nOld pieces that are offcuts now (add them to the bin, sound length between holes only):\n";
            for (key, count, what) in offcuts {
                out += &format!("  {count} x {key}: {what}\n");
            }
        }
        out
    }

    /// What all of it comes to: pieces to make, steel, money, stock.
    pub fn sums(&self) -> Vec<String> {
        let make: u32 = self.rows.iter().map(|r| r.make).sum();
        if make == 0 {
            return vec!["Nothing has to be made.".to_string()];
        }
        let buy = if self.bought.is_empty() {
            "nothing to buy".to_string()
        } else {
            format!("to buy: {}, {}", self.bought.join(", "), money(self.money))
        };
        let bin = if self.from_bin.is_empty() {
            String::new()
        } else {
            format!("; out of the bin: {}", self.from_bin.join(", "))
        };
        let steel = show_mass(self.mass, self.system);
        let mut out = vec![format!("{make} pieces to make, {steel} of steel in them; {buy}{bin}.")];
        if self.uncut > 0 {
            out.push(format!("{} of them cannot be cut from what is there.", self.uncut));
        }
        out
    }

    /// For other programs.
    pub fn json(&self) -> Value {
        let row = |r: &CompareRow| {
            let mut m = json!({
                "piece": r.key, "class": r.word(), "old_serve": r.kept, "to_make": r.make, "old_left_over": r.over,
                "says": r.says(self.system),
            });
            if let Some(Reuse::Trim { off, turned, drill, .. }) = &r.reuse {
                // A record holds six decimals: what two of them differ by is good to fewer.
                m["off_mm"] = json!(off.map(|o| libm::round(o * 1e3) / 1e3));
                m["turned"] = json!(turned);
                m["drill"] = json!(drill);
            }
            m
        };
        json!({
            "pieces": self.rows.iter().map(row).collect::<Vec<_>>(),
            "steel_kg": num(self.mass.to_kg()),
            "money": self.money as f64 / 1e4,
            "buy": self.bought, "from_bin": self.from_bin, "uncut": self.uncut,
            "offcuts": self.offcuts().iter().map(|(k, n, w)| json!({ "piece": k, "count": n, "what": w })).collect::<Vec<_>>(),
            "cautions": super::text::CAUTIONS.replace('\n', " "),
        })
    }
}
