//! An independent checker of cut plans, written from what a plan promises and
//! sharing no arithmetic with the planner.

use droprack::cut::{BarCut, BarDemand, BarPlan, BarRules, BarStock, BarUse, CLAMPABLE, EndCut, Nm};
use std::collections::BTreeMap;

/// Depth used to place the slanted cut planes of a piece that names none, mm.
const DEPTH: f64 = 40.0;
/// Allowed float error in the geometry of cut planes, mm (1 nm).
const TOLERANCE: f64 = 1e-6;

fn require(good: bool, what: impl Fn() -> String) -> Result<(), String> {
    if good { Ok(()) } else { Err(what()) }
}

/// Everything that a plan for bars promises; the first broken promise.
pub fn check_bars(demands: &[BarDemand], stock: &[BarStock], rules: &BarRules, plan: &BarPlan) -> Result<(), String> {
    every_piece_once(demands, plan)?;
    let mut used: BTreeMap<usize, u32> = BTreeMap::new();
    for bar in &plan.bars {
        *used.entry(bar.stock).or_default() += 1;
        check_bar(demands, &stock[bar.stock], rules, bar)?;
    }
    for (index, times) in used {
        let count = stock[index].count;
        require(count.is_none_or(|n| times <= n), || format!("{} is used {times} times", stock[index].id))?;
    }
    check_stages(demands, stock, rules, plan)
}

fn every_piece_once(demands: &[BarDemand], plan: &BarPlan) -> Result<(), String> {
    let mut seen: BTreeMap<(usize, u32), u32> = BTreeMap::new();
    for cut in plan.bars.iter().flat_map(|b| &b.cuts) {
        *seen.entry((cut.demand, cut.copy)).or_default() += 1;
    }
    for uncut in &plan.uncut {
        for copy in uncut.first_copy..uncut.first_copy + uncut.count {
            *seen.entry((uncut.demand, copy)).or_default() += 1;
        }
    }
    for (d, demand) in demands.iter().enumerate() {
        for copy in 1..=demand.count {
            let times = seen.remove(&(d, copy)).unwrap_or(0);
            require(times == 1, || format!("{} copy {copy}: {times} times", demand.key))?;
        }
    }
    require(seen.is_empty(), || format!("pieces nobody wants: {seen:?}"))
}

/// Where the bar begins and ends to be used, from the marked end.
fn limits(stock: &BarStock, rules: &BarRules) -> (i64, i64) {
    let raw = |is_raw: bool| if is_raw { rules.trim.0 } else { 0 };
    let start = raw(stock.left_raw) + stock.left_lost.0;
    (start, stock.length.0 - raw(stock.right_raw) - stock.right_lost.0 - stock.doubt.0)
}

fn check_bar(demands: &[BarDemand], stock: &BarStock, rules: &BarRules, bar: &BarUse) -> Result<(), String> {
    require(!bar.cuts.is_empty(), || format!("{} opened for nothing", bar.id))?;
    require(bar.id == stock.id && bar.bought == stock.count.is_none(), || {
        format!("{}: not the stock it names", bar.id)
    })?;
    require(bar.price == stock.price, || format!("{}: wrong price", bar.id))?;
    let (start, end) = limits(stock, rules);
    for cut in &bar.cuts {
        let wanted = &demands[cut.demand];
        require(cut.to.0 - cut.from.0 == wanted.length.0, || format!("{}: wrong length", bar.id))?;
        require(cut.from.0 >= start && cut.to.0 <= end, || format!("{}: beyond the bar or into its trim", bar.id))?;
        require(lies_as_wanted(wanted, cut), || format!("{}: {cut:?} is not a turn of what is wanted", bar.id))?;
    }
    for pair in bar.cuts.windows(2) {
        let depth = |c: &BarCut| demands[c.demand].mitre.depth.to_mm();
        let depth = if depth(&pair[0]) > 0.0 { depth(&pair[0]) } else { DEPTH };
        let gap = plane_gap(&pair[0], &pair[1], depth);
        let kerf = rules.kerf.to_mm();
        require(gap >= kerf - TOLERANCE, || format!("{}: cut planes {gap} mm apart", bar.id))?;
        let same = pair[0].right.angle_deg + pair[1].left.angle_deg == 180.0;
        require(!pair[0].shared || (same && (gap - kerf).abs() < 2.0 * TOLERANCE), || {
            format!("{}: a cut that cannot be shared", bar.id)
        })?;
        require(pair[0].shared || pair[1].from.0 - pair[0].to.0 >= rules.kerf.0, || format!("{}: kerf", bar.id))?;
    }
    let last = bar.cuts.last().expect("a bar has pieces");
    let held = stock.length.0 - last.from.0;
    require(bar.short_hold == (bar.cuts.len() > 1 && held < CLAMPABLE.0), || format!("{}: the stub", bar.id))?;
    check_remainder(rules, bar, end)
}

/// The ends as they lie, from the turns that the section allows.
fn lies_as_wanted(wanted: &BarDemand, cut: &BarCut) -> bool {
    let (l, r) = (wanted.left.angle_deg, wanted.right.angle_deg);
    let turns = wanted.mitre.turns;
    let mut ways = vec![(l, r)];
    ways.extend(turns.flat.then_some((180.0 - r, 180.0 - l)));
    ways.extend(turns.over.then_some((r, l)));
    ways.extend(turns.roll.then_some((180.0 - l, 180.0 - r)));
    ways.contains(&(cut.left.angle_deg, cut.right.angle_deg))
}

/// What the blade takes along the bar beside an end.
fn blade(rules: &BarRules, end: EndCut) -> i64 {
    let slant = end.angle_deg.to_radians().sin().abs();
    if end.angle_deg == 90.0 { rules.kerf.0 } else { (rules.kerf.0 as f64 / slant).ceil() as i64 }
}

/// What lies beyond the last blade.
fn check_remainder(rules: &BarRules, bar: &BarUse, end: i64) -> Result<(), String> {
    let last = bar.cuts.last().expect("a bar has pieces");
    let beyond = (end - last.to.0 - blade(rules, last.right)).max(0);
    require(bar.remainder.0 == beyond, || format!("{}: remainder {} is not {beyond}", bar.id, bar.remainder.0))?;
    let kept = bar.remainder.0 > 0 && bar.remainder >= rules.keep;
    require(bar.kept == kept, || format!("{}: kept", bar.id))?;
    let waste = if kept { 0 } else { bar.remainder.0 };
    require(bar.waste.0 == waste, || format!("{}: waste", bar.id))
}

/// The least distance between the cut plane of one end and the steel of the
/// next piece, mm; the pieces as they lie on the mitred face.
fn plane_gap(a: &BarCut, b: &BarCut, depth: f64) -> f64 {
    // Points of a cut line at y = 0 and y = depth; the long point is given.
    let line = |long: f64, end: EndCut, inwards: f64| {
        let run = inwards * depth / end.angle_deg.to_radians().tan().abs();
        if end.angle_deg <= 90.0 { [(long, 0.0), (long + run, depth)] } else { [(long + run, 0.0), (long, depth)] }
    };
    let right = line(a.to.to_mm(), a.right, -1.0);
    let left = line(b.from.to_mm(), b.left, 1.0);
    let mut least = f64::INFINITY;
    for (line, points, side) in [(right, left, 1.0), (left, right, -1.0)] {
        let (dx, dy) = (line[1].0 - line[0].0, line[1].1 - line[0].1);
        for p in points {
            // Positive where the point lies on its own side of the plane.
            let cross = (dy * (p.0 - line[0].0) - dx * (p.1 - line[0].1)) * side;
            least = least.min(cross / dx.hypot(dy));
        }
    }
    least
}

fn check_stages(demands: &[BarDemand], stock: &[BarStock], rules: &BarRules, plan: &BarPlan) -> Result<(), String> {
    let uncut: i64 = plan.uncut.iter().map(|u| i64::from(u.count)).sum();
    let money: i64 = plan.bars.iter().map(|b| b.price).sum();
    let waste: i64 = plan.bars.iter().filter(|b| b.remainder < rules.keep).map(|b| b.remainder.0).sum();
    let kept = |b: &&BarUse| b.remainder >= rules.keep;
    let there: i64 = stock
        .iter()
        .filter(|s| limits(s, rules).1 > limits(s, rules).0 && s.length > Nm::ZERO)
        .filter_map(|s| s.count)
        .map(i64::from)
        .sum();
    let gone = plan.bars.iter().filter(|b| !b.bought).count() as i64;
    let items = there - gone + plan.bars.iter().filter(kept).count() as i64;
    let longest = plan.bars.iter().filter(kept).map(|b| b.remainder.0).max().unwrap_or(0);
    let mut settings = Vec::new();
    for cut in plan.bars.iter().flat_map(|b| &b.cuts) {
        let face = demands[cut.demand].mitre.face;
        for angle in [cut.left.angle_deg, 180.0 - cut.right.angle_deg] {
            settings.push(((angle * 1e6).round() as i64, if angle == 90.0 { 0 } else { face }));
        }
    }
    let set = settings.windows(2).filter(|w| w[0] != w[1]).count() as i64 + i64::from(!settings.is_empty());
    let mut values = vec![
        ("uncut", uncut),
        ("money", money),
        ("waste", waste),
        ("items", items),
        ("remainder", longest),
        ("settings", set),
    ];
    let valued = value_of_a_metre(stock, rules);
    if valued > 0 {
        let offcut = |b: &&BarUse| !b.bought && b.price == 0;
        let span = |b: &BarUse| limits(&stock[b.stock], rules).1 - limits(&stock[b.stock], rules).0;
        let taken: i128 = plan.bars.iter().filter(offcut).map(|b| i128::from(span(b))).sum();
        let back: i128 = plan.bars.iter().filter(kept).map(|b| i128::from(b.remainder.0)).sum();
        let net = i128::from(money) * 1_000_000_000 + (taken - back) * i128::from(valued);
        values.insert(1, ("net", net.div_euclid(1_000_000_000) as i64));
    }
    let mut proved = true;
    require(plan.stages.len() == values.len(), || "not all aims are told".into())?;
    for (stage, (name, value)) in plan.stages.iter().zip(values) {
        require(stage.name == name && stage.value == value, || format!("{name} is {value}, the plan says {stage:?}"))?;
        let wrong = if name == "remainder" { stage.bound < stage.value } else { stage.bound > stage.value };
        require(!wrong, || format!("{name}: bound beyond value"))?;
        proved &= stage.bound == stage.value;
        require(stage.proved == proved, || format!("{name}: proof"))?;
        if name == if valued > 0 { "net" } else { "waste" } {
            require(plan.proved == proved, || "the plan's proof".into())?;
        }
    }
    Ok(())
}

/// Uncut pieces, net worth (1e-9 of the money's 1/10,000), money, waste, items
/// left, the longest remainder's negative.
pub type Values = [i64; 6];

/// Value of a metre that goes back: no more than any priced steel costs.
fn value_of_a_metre(stock: &[BarStock], rules: &BarRules) -> i64 {
    let priced = stock.iter().filter(|s| s.count.is_none() || s.price > 0);
    let by_metre = priced.filter_map(|s| {
        let (start, end) = limits(s, rules);
        (end > start).then(|| (i128::from(s.price) * 1_000_000_000 / i128::from(end - start)) as i64)
    });
    by_metre.min().map_or(rules.value, |least| rules.value.min(least))
}

/// The best values by trying every way to fill every bar, for jobs of a few
/// pieces only: sets of pieces as bits, bar after bar.
pub fn try_everything(demands: &[BarDemand], stock: &[BarStock], rules: &BarRules) -> Values {
    let pieces: Vec<&BarDemand> = demands.iter().flat_map(|d| std::iter::repeat_n(d, d.count as usize)).collect();
    let taken = every_set(&pieces, rules);
    let narrow = pieces.iter().map(|p| blade(rules, p.left).min(blade(rules, p.right))).min().unwrap_or(0);
    let all = taken.len() - 1;
    let mut best: Vec<Option<Values>> = vec![None; taken.len()];
    let there: i64 = stock.iter().filter_map(|s| s.count).map(i64::from).sum();
    best[0] = Some([0, 0, 0, 0, there, 0]);
    let value = value_of_a_metre(stock, rules);
    for bar in stock {
        let (start, end) = limits(bar, rules);
        for _ in 0..bar.count.unwrap_or(pieces.len() as u32).min(pieces.len() as u32) {
            let before = best.clone();
            for (held, &used) in taken.iter().enumerate().skip(1) {
                if used > end - start + narrow {
                    continue;
                }
                let rest = (end - start - used).max(0);
                let kept = rest >= rules.keep.0;
                for from in (0..=all).filter(|from| from & held == 0) {
                    let Some(mut v) = before[from] else { continue };
                    if value > 0 {
                        let offcut = bar.count.is_some() && bar.price == 0;
                        v[1] += if offcut { value * (end - start) } else { bar.price * 1_000_000_000 };
                        v[1] -= if kept { value * rest } else { 0 };
                    }
                    v[2] += bar.price;
                    v[3] += if kept { 0 } else { rest };
                    v[4] += i64::from(kept) - i64::from(bar.count.is_some());
                    v[5] = v[5].min(if kept { -rest } else { 0 });
                    let to = &mut best[from | held];
                    *to = Some(to.map_or(v, |old| old.min(v)));
                }
            }
        }
    }
    let with_uncut = |(set, v): (usize, &Option<Values>)| {
        v.map(|mut v| {
            v[0] = i64::from((all & !set).count_ones());
            v
        })
    };
    best.iter().enumerate().filter_map(with_uncut).min().expect("nothing at all can be cut")
}

/// What every set of pieces takes at the least, by trying every order and
/// every turn, the last piece and its end remembered.
fn every_set(pieces: &[&BarDemand], rules: &BarRules) -> Vec<i64> {
    let mut ends: Vec<(i64, u8, i64, EndCut)> = Vec::new();
    let mut ways: Vec<Vec<(usize, usize)>> = Vec::new();
    for piece in pieces {
        let (l, r) = (piece.left.angle_deg, piece.right.angle_deg);
        let turns = piece.mitre.turns;
        let mut planes = vec![(l, 180.0 - r)];
        planes.extend(turns.flat.then_some((180.0 - r, l)));
        planes.extend(turns.over.then_some((r, 180.0 - l)));
        planes.extend(turns.roll.then_some((180.0 - l, r)));
        let mut number = |angle: f64| {
            let end = EndCut { angle_deg: angle };
            let face = if angle == 90.0 { 0 } else { piece.mitre.face };
            let run = |angle: f64| piece.mitre.depth.0 as f64 / angle.to_radians().tan().abs();
            let short = run(l) + run(r) >= piece.length.0 as f64;
            let saved = if angle == 90.0 || short { 0.0 } else { run(angle) };
            let key = ((angle * 1e6).round() as i64, face, saved.floor() as i64);
            ends.iter().position(|e| (e.0, e.1, e.2) == key).unwrap_or_else(|| {
                ends.push((key.0, key.1, key.2, end));
                ends.len() - 1
            })
        };
        ways.push(planes.into_iter().map(|(l, r)| (number(l), number(r))).collect());
    }
    let gap = |right: usize, left: usize| {
        let (a, b) = (&ends[right], &ends[left]);
        let wide = blade(rules, a.3).max(blade(rules, b.3));
        if right == left && a.2 > 0 { blade(rules, a.3) - a.2 } else { wide }
    };
    let mut chain: Vec<Vec<Option<i64>>> = vec![vec![None; ends.len()]; 1 << pieces.len()];
    for set in 1..chain.len() {
        for p in (0..pieces.len()).filter(|p| set >> p & 1 == 1) {
            let rest = set & !(1 << p);
            for &(left, right) in &ways[p] {
                let before = if rest == 0 {
                    Some(0)
                } else {
                    (0..ends.len()).filter_map(|e| chain[rest][e].map(|x| x + gap(e, left))).min()
                };
                if let Some(before) = before {
                    let now = before + pieces[p].length.0;
                    let slot = &mut chain[set][right];
                    *slot = Some(slot.map_or(now, |old| old.min(now)));
                }
            }
        }
    }
    let whole =
        |set: &Vec<Option<i64>>| (0..ends.len()).filter_map(|e| set[e].map(|x| x + blade(rules, ends[e].3))).min();
    chain.iter().map(|set| whole(set).unwrap_or(0)).collect()
}
