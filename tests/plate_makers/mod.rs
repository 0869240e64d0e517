//! Jobs for the plate planner: published instances from a folder of one's own,
//! and invented jobs of a home shop with a plan that is known to exist.

use droprack::cut::{BlankDemand, KnapsackItem, Nm, PlateRules, PlateStock};
use serde_json::Value;
use std::path::Path;

/// Nanometres in the unit of the published instances.
pub const UNIT: i64 = 1_000_000;

/// Numbers that look random and are the same in every run.
pub struct Dice(pub u64);

impl Dice {
    pub fn below(&mut self, n: i64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % n.max(1) as u64) as i64
    }

    pub fn between(&mut self, low: i64, high: i64) -> i64 {
        low + self.below(high - low + 1)
    }
}

/// A knapsack: plate and items.
pub struct Knapsack {
    pub name: String,
    pub length: Nm,
    pub width: Nm,
    pub items: Vec<KnapsackItem>,
    /// Best value known.
    pub best: Option<i64>,
}

/// A job for the planner.
pub struct Job {
    pub name: String,
    pub demands: Vec<BlankDemand>,
    pub stock: Vec<PlateStock>,
    pub rules: PlateRules,
    /// Money that is known to be enough.
    pub planted: Option<i64>,
}

pub const NO_KERF: PlateRules =
    PlateRules { kerf: Nm(0), trim: Nm(0), keep_short: Nm(1_000_000_000), keep_long: Nm(1_000_000_000) };

/// The instances whose file names begin with a letter, by name.
pub fn files(folder: &Path, begin: &str) -> Vec<(String, Value)> {
    let mut found: Vec<(String, Value)> = std::fs::read_dir(folder)
        .expect("the folder of instances")
        .filter_map(|e| e.ok().map(|e| e.path()))
        .filter(|p| p.file_name().is_some_and(|n| n.to_string_lossy().starts_with(begin)))
        .map(|p| {
            let text = std::fs::read_to_string(&p).expect("an instance");
            (
                p.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default(),
                serde_json::from_str(&text).expect("JSON"),
            )
        })
        .collect();
    found.sort_by(|a, b| a.0.cmp(&b.0));
    found
}

fn number(v: &Value, key: &str) -> i64 {
    v[key].as_i64().unwrap_or_else(|| panic!("{key} in {v}"))
}

fn list<'a>(v: &'a Value, key: &str) -> &'a [Value] {
    v[key].as_array().map_or(&[], |a| a.as_slice())
}

pub fn knapsacks(folder: &Path) -> Vec<Knapsack> {
    let read = |(name, v): (String, Value)| {
        let item = |i: &Value| KnapsackItem {
            length: Nm(number(i, "w") * UNIT),
            width: Nm(number(i, "h") * UNIT),
            value: number(i, "value"),
            count: number(i, "qty") as u32,
            may_turn: false,
        };
        Knapsack {
            length: Nm(number(&v, "W") * UNIT),
            width: Nm(number(&v, "H") * UNIT),
            items: list(&v, "items").iter().map(item).collect(),
            best: v["best"]["value"].as_i64(),
            name,
        }
    };
    files(folder, "k_").into_iter().map(read).collect()
}

/// Bins as stock; where bins have no cost each costs 1.
pub fn bins(folder: &Path, begin: &str) -> Vec<Job> {
    let read = |(name, v): (String, Value)| {
        let turn = v["rotate"].as_bool().unwrap_or(false);
        let demand = |(n, i): (usize, &Value)| BlankDemand {
            key: format!("{n:03}"),
            length: Nm(number(i, "w") * UNIT),
            width: Nm(number(i, "h") * UNIT),
            count: number(i, "qty") as u32,
            may_turn: turn,
        };
        let bin = |(n, b): (usize, &Value)| PlateStock {
            price: b["cost"].as_i64().unwrap_or(1),
            count: b["qty"].as_i64().map(|q| q as u32),
            ..PlateStock::rectangle(format!("{n}"), Nm(number(b, "w") * UNIT), Nm(number(b, "h") * UNIT))
        };
        Job {
            demands: list(&v, "items").iter().enumerate().map(demand).collect(),
            stock: list(&v, "bins").iter().enumerate().map(bin).collect(),
            rules: NO_KERF,
            planted: v["best"]["value"].as_i64(),
            name,
        }
    };
    files(folder, begin).into_iter().map(read).collect()
}

/// Ten unequal remnants, priced by their area, divided at random by through
/// cuts until there are forty blanks; the second half of each division loses
/// a strip of up to 15 %. All remnants are used by the plan that is known.
pub fn home(seed: u64) -> Job {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9) + 17);
    let kerf = 3;
    let mut stock = Vec::new();
    let mut pieces: Vec<(i64, i64)> = Vec::new();
    for n in 0..10 {
        let (length, width) = (dice.between(250, 900), dice.between(150, 500));
        let price = length * width;
        let plate = PlateStock { price, ..PlateStock::rectangle(format!("R{n}"), Nm(length * UNIT), Nm(width * UNIT)) };
        stock.push(plate);
        pieces.push((length, width));
    }
    let planted = stock.iter().map(|s| s.price).sum();
    while pieces.len() < 40 {
        pieces.sort_by_key(|p| p.0 * p.1);
        let (length, width) = pieces.pop().expect("ten pieces or more");
        let long = length.max(width);
        let at = long * dice.between(25, 75) / 100;
        let mut rest = long - at - kerf;
        rest -= rest * dice.between(0, 15) / 100;
        pieces.extend(if length >= width { [(at, width), (rest, width)] } else { [(length, at), (length, rest)] });
    }
    let demand = |(n, p): (usize, &(i64, i64))| BlankDemand {
        key: format!("part/{n:02}"),
        length: Nm(p.0 * UNIT),
        width: Nm(p.1 * UNIT),
        count: 1,
        may_turn: true,
    };
    let rules = PlateRules { kerf: Nm(kerf * UNIT), trim: Nm(0), keep_short: Nm(60 * UNIT), keep_long: Nm(120 * UNIT) };
    let demands = pieces.iter().enumerate().map(demand).collect();
    Job { name: format!("home {seed}"), demands, stock, rules, planted: Some(planted) }
}
