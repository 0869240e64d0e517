//! The published bar instances as their files state them; source and licence
//! stand in `tests/published/bars/README.md`. Read by a test and by a bench.

use droprack::cut::{BarDemand, BarRules, BarStock, Nm};
use std::path::Path;

/// One unit of the data files, a millimetre in the workshop sets, in nm.
pub const UNIT: i64 = 1_000_000;

/// An instance.
#[derive(Default)]
pub struct Instance {
    pub name: String,
    pub set: String,
    pub optimum: i64,
    pub least_waste: Option<i64>,
    pub rules: BarRules,
    pub stock: Vec<BarStock>,
    pub demands: Vec<BarDemand>,
}

fn number(text: &str) -> i64 {
    text.parse().unwrap()
}

fn read(text: &str) -> Vec<Instance> {
    let mut all: Vec<Instance> = Vec::new();
    for line in text.lines() {
        let words: Vec<&str> = line.split_whitespace().collect();
        if let ["instance", name] = words[..] {
            all.push(Instance { name: name.to_string(), ..Instance::default() });
            continue;
        }
        let Some(now) = all.last_mut() else { continue };
        match words[..] {
            ["set", name] => now.set = name.to_string(),
            ["opt", n] => now.optimum = number(n),
            ["optwaste", n] => now.least_waste = Some(number(n) * UNIT),
            ["kerf", n] => now.rules.kerf = Nm(number(n) * UNIT),
            ["keeper", n] => now.rules.keep = Nm(number(n) * UNIT),
            ["stock", length, count, price] => now.stock.push(BarStock {
                id: format!("S{}", now.stock.len()),
                length: Nm(number(length) * UNIT),
                price: number(price),
                count: count.parse().ok(),
                ..BarStock::default()
            }),
            ["piece", length, count] => now.demands.push(BarDemand::square(
                &format!("P{}", now.demands.len()),
                Nm(number(length) * UNIT),
                number(count) as u32,
            )),
            _ => {}
        }
    }
    all
}

/// Every instance file of the folder, in the order of the names.
pub fn instances() -> Vec<Instance> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/published/bars");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.retain(|f| f.extension().is_some_and(|e| e == "txt"));
    files.sort();
    files.iter().flat_map(|f| read(&std::fs::read_to_string(f).unwrap())).collect()
}
