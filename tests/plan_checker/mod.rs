//! An independent checker of `cut --json`, written from its contract alone.

use serde_json::Value;
use std::collections::BTreeMap;

/// Float noise allowed on a JSON length of six decimals, mm.
const NOISE: f64 = 2e-6;

/// An offcut or a bought length as the bin file gives it.
pub struct Stock {
    pub id: String,
    pub length: f64,
    pub width: f64,
    pub price: f64,
    pub bought: bool,
}

/// What the job asks for: `part/piece` to (length, width or 0, left, right, count).
pub type Wanted = BTreeMap<String, (f64, f64, f64, f64, u64)>;

fn num(v: &Value) -> f64 {
    v.as_f64().unwrap_or_else(|| panic!("{v} is no number"))
}

fn key(v: &Value) -> String {
    format!("{}/{}", v["part"].as_str().unwrap(), v["piece"].as_str().unwrap())
}

/// The largest side of a bar's section, read from its size, mm.
fn largest_side(bar: &Value) -> f64 {
    let size = bar["size"].as_str().unwrap();
    let inch = if size.contains("in") { 25.4 } else { 1.0 };
    let numbers = size.split([' ', 'x']).filter_map(|w| w.split(['-', '/']).next().unwrap().parse::<f64>().ok());
    numbers.fold(0.0, |a: f64, b| a.max(b + 1.0)) * inch
}

/// Kerf along the marked edge at an end of this angle.
fn kerf_along(kerf: f64, degrees: f64) -> f64 {
    kerf / (90.0 - degrees).to_radians().cos()
}

/// Check a whole plan; returns how many pieces it cuts.
pub fn check_plan(plan: &Value, wanted: &Wanted, stock: &[Stock], kerf: f64, trim: f64) -> u64 {
    let mut seen: BTreeMap<String, Vec<u64>> = BTreeMap::new();
    let mut used: BTreeMap<String, u64> = BTreeMap::new();
    let mut uncut: BTreeMap<String, u64> = BTreeMap::new();
    for group in plan["groups"].as_array().unwrap() {
        let mut money = 0.0;
        for bar in group["bars"].as_array().unwrap() {
            let id = bar["stock"].as_str().unwrap();
            let of = stock.iter().find(|s| s.id == id).unwrap_or_else(|| panic!("{id} is not in the bin"));
            assert!((of.length - num(&bar["length_mm"])).abs() < NOISE, "{id}: another length than the bin's");
            assert_eq!(of.bought, bar["bought"].as_bool().unwrap(), "{id}");
            if !of.bought {
                *used.entry(id.to_string()).or_default() += 1;
            }
            money += of.price;
            check_bar(bar, of.length, kerf, trim, wanted, &mut seen);
        }
        if !group["bars"].as_array().unwrap().is_empty() {
            let stage = group["stages"].as_array().unwrap().iter().find(|s| s["name"] == "money").unwrap();
            assert!((num(&stage["value"]) - money).abs() < 1e-6, "the money does not add up");
            assert!(num(&stage["bound"]) <= num(&stage["value"]) + NOISE, "a bound above its value");
        }
        for u in group["uncut"].as_array().unwrap() {
            *uncut.entry(key(u)).or_default() += u["count"].as_u64().unwrap();
        }
    }
    for sheet in plan["sheets"].as_array().unwrap() {
        let id = sheet["stock"].as_str().unwrap();
        let of = stock.iter().find(|s| s.id == id).unwrap_or_else(|| panic!("{id} is not in the bin"));
        if !of.bought {
            *used.entry(id.to_string()).or_default() += 1;
        }
        check_sheet(sheet, of, kerf, wanted, &mut seen);
    }
    assert!(used.values().all(|n| *n == 1), "an offcut is used twice: {used:?}");
    let mut cut = 0;
    for (name, want) in wanted {
        let copies = seen.remove(name).unwrap_or_default();
        let mut sorted = copies.clone();
        sorted.sort_unstable();
        sorted.dedup();
        assert_eq!(sorted.len(), copies.len(), "{name}: a copy is cut twice");
        let missing = uncut.get(name).copied().unwrap_or(0);
        assert_eq!(copies.len() as u64 + missing, want.4, "{name}: pieces are missing or too many");
        cut += copies.len() as u64;
    }
    assert!(seen.is_empty(), "nobody asked for {seen:?}");
    cut
}

fn check_bar(bar: &Value, length: f64, kerf: f64, trim: f64, wanted: &Wanted, seen: &mut BTreeMap<String, Vec<u64>>) {
    let id = bar["stock"].as_str().unwrap();
    let mut cuts: Vec<&Value> = bar["cuts"].as_array().unwrap().iter().collect();
    cuts.sort_by(|a, b| num(&a["from_mm"]).total_cmp(&num(&b["from_mm"])));
    assert!(!cuts.is_empty(), "{id} is opened for nothing");
    let mut before: Option<(f64, f64, bool)> = None;
    for c in &cuts {
        let (from, to) = (num(&c["from_mm"]), num(&c["to_mm"]));
        let want = wanted.get(&key(c)).unwrap_or_else(|| panic!("nobody asked for {}", key(c)));
        assert!((to - from - want.0).abs() < NOISE, "{id}: {} has the wrong length", key(c));
        let (left, right) = (num(&c["left_end_deg"]), num(&c["right_end_deg"]));
        let turned = c["turned"].as_str().unwrap();
        let ends = match turned {
            "" => (want.2, want.3),
            "end for end" => (180.0 - want.3, 180.0 - want.2),
            "end for end, upside down" => (want.3, want.2),
            _ => (180.0 - want.2, 180.0 - want.3),
        };
        assert!((left - ends.0).abs() < 1e-6 && (right - ends.1).abs() < 1e-6, "{id}: {} has wrong ends", key(c));
        match before {
            None => assert!(from >= trim - NOISE, "{id}: the first piece reaches into the raw end"),
            Some((end, angle, true)) => {
                // One cut for both: the planes lie one kerf apart, within the section's largest side.
                assert!((angle + left - 180.0).abs() < 1e-6, "{id}: {} shares a cut that is not its own", key(c));
                let depth = (kerf_along(kerf, angle) - (from - end)) * angle.to_radians().tan().abs();
                assert!(depth > 0.0 && depth <= largest_side(bar) + NOISE, "{id}: {} saves {depth}", key(c));
            }
            Some((end, angle, false)) => {
                let needed = kerf_along(kerf, angle).max(kerf_along(kerf, left));
                assert!(
                    from - end >= needed - NOISE,
                    "{id}: {} is {} from its neighbour, needs {needed}",
                    key(c),
                    from - end
                );
            }
        }
        before = Some((to, right, c["shared_cut"].as_bool().unwrap()));
        seen.entry(key(c)).or_default().push(c["copy"].as_u64().unwrap());
    }
    let end = before.unwrap().0;
    assert!(end <= length - trim + NOISE, "{id}: the last piece reaches beyond the bar or into its raw end");
    assert!(num(&bar["remainder_mm"]) <= length - end + NOISE, "{id}: more comes back than is left");
}

fn check_sheet(sheet: &Value, of: &Stock, kerf: f64, wanted: &Wanted, seen: &mut BTreeMap<String, Vec<u64>>) {
    let mut placed: Vec<[f64; 4]> = vec![];
    for p in sheet["placements"].as_array().unwrap() {
        let want = wanted.get(&key(p)).unwrap_or_else(|| panic!("nobody asked for {}", key(p)));
        let (x, y) = (num(&p["x_mm"]), num(&p["y_mm"]));
        let (w, h) = if num(&p["turn_deg"]) == 90.0 { (want.1, want.0) } else { (want.0, want.1) };
        assert!(
            x >= -NOISE && y >= -NOISE && x + w <= of.length + NOISE && y + h <= of.width + NOISE,
            "{}: beyond the plate",
            key(p)
        );
        for q in &placed {
            let clear = x >= q[2] + kerf - NOISE
                || q[0] >= x + w + kerf - NOISE
                || y >= q[3] + kerf - NOISE
                || q[1] >= y + h + kerf - NOISE;
            assert!(clear, "{}: nearer than a kerf to its neighbour", key(p));
        }
        placed.push([x, y, x + w, y + h]);
        seen.entry(key(p)).or_default().push(p["copy"].as_u64().unwrap());
    }
    // A cut may not run through a blank that is already free.
    for c in sheet["cuts"].as_array().unwrap() {
        let at = |k: &str, i: usize| num(&c[k][i]);
        let (a, b) = ((at("from", 0), at("from", 1)), (at("to", 0), at("to", 1)));
        for q in &placed {
            let x_inside = a.0.min(b.0) < q[2] - NOISE && a.0.max(b.0) > q[0] + NOISE;
            let y_inside = a.1.min(b.1) < q[3] - NOISE && a.1.max(b.1) > q[1] + NOISE;
            assert!(!(x_inside && y_inside), "a cut runs through a blank");
        }
    }
}
