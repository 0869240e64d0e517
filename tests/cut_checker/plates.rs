//! An independent checker of plate plans: it makes the cuts, one by one, and
//! looks at what lies on the bench afterwards.

use droprack::cut::{BlankDemand, PlatePlan, PlateRules, PlateStock, Rect, SheetUse};
use std::collections::BTreeMap;

/// Left, lower, right and upper edge, nm.
type Sides = [i64; 4];

fn sides(r: &Rect) -> Sides {
    [r.x.0, r.y.0, r.x.0 + r.length.0, r.y.0 + r.width.0]
}

fn require(good: bool, what: impl Fn() -> String) -> Result<(), String> {
    if good { Ok(()) } else { Err(what()) }
}

/// Everything that a plan for plates promises; the first broken promise.
pub fn check_plates(
    demands: &[BlankDemand],
    stock: &[PlateStock],
    rules: &PlateRules,
    plan: &PlatePlan,
) -> Result<(), String> {
    let mut seen: BTreeMap<(usize, u32), u32> = BTreeMap::new();
    let mut used: BTreeMap<usize, u32> = BTreeMap::new();
    let mut lost = 0;
    for sheet in &plan.sheets {
        *used.entry(sheet.stock).or_default() += 1;
        for p in &sheet.placements {
            *seen.entry((p.demand, p.copy)).or_default() += 1;
        }
        lost += check_sheet(demands, &stock[sheet.stock], rules, sheet)?;
    }
    for u in &plan.uncut {
        for copy in u.first_copy..u.first_copy + u.count {
            *seen.entry((u.demand, copy)).or_default() += 1;
        }
    }
    for (d, demand) in demands.iter().enumerate() {
        for copy in 1..=demand.count {
            let times = seen.remove(&(d, copy)).unwrap_or(0);
            require(times == 1, || format!("{} copy {copy}: {times} times", demand.key))?;
        }
    }
    require(seen.is_empty(), || format!("blanks nobody wants: {seen:?}"))?;
    for (index, times) in used {
        let count = stock[index].count;
        require(count.is_none_or(|n| times <= n), || format!("{} used {times} times", stock[index].id))?;
    }
    check_stages(demands, plan, lost)
}

fn check_stages(demands: &[BlankDemand], plan: &PlatePlan, lost: i64) -> Result<(), String> {
    let area = |d: &BlankDemand| (i128::from(d.length.0) * i128::from(d.width.0) / 1_000_000) as i64;
    let uncut: i64 = plan.uncut.iter().map(|u| area(&demands[u.demand]) * i64::from(u.count)).sum();
    let money: i64 = plan.sheets.iter().map(|s| s.price).sum();
    let mut proved = true;
    for (stage, (name, value)) in plan.stages.iter().zip([("uncut", uncut), ("money", money), ("waste", lost)]) {
        require(stage.name == name && stage.value == value, || format!("{name} is {value}, not {stage:?}"))?;
        require(stage.bound <= stage.value, || format!("{stage:?}: bound above value"))?;
        proved &= stage.bound == stage.value;
        require(stage.proved == proved, || format!("{stage:?}: proof"))?;
    }
    require(plan.proved == proved, || "the plan's proof".into())
}

/// Makes the cuts of one plate; the area lost, square micrometres.
fn check_sheet(
    demands: &[BlankDemand],
    plate: &PlateStock,
    rules: &PlateRules,
    sheet: &SheetUse,
) -> Result<i64, String> {
    require(!sheet.placements.is_empty(), || format!("{} opened for nothing", sheet.id))?;
    require(sheet.id == plate.id && sheet.price == plate.price, || format!("{}: stock", sheet.id))?;
    require(sheet.bought == plate.count.is_none(), || format!("{}: bought", sheet.id))?;
    let mut bench: Vec<Sides> = vec![[0, 0, plate.length.0, plate.width.0]];
    for cut in &sheet.cuts {
        let (from, to) = ((cut.from.0.0, cut.from.1.0), (cut.to.0.0, cut.to.1.0));
        make_cut(&mut bench, from, to, rules.kerf.0).map_err(|e| format!("{}: {e}", sheet.id))?;
    }
    let trim = if plate.raw { rules.trim.0 } else { 0 };
    let (right, top) = (plate.length.0 - trim, plate.width.0 - trim);
    let mut lost = i128::from(right - trim) * i128::from(top - trim);
    for p in &sheet.placements {
        let wanted = &demands[p.demand];
        let lies = if p.turned { (wanted.width, wanted.length) } else { (wanted.length, wanted.width) };
        require((p.rect.length, p.rect.width) == lies, || format!("{}: size", wanted.key))?;
        require(wanted.may_turn || !p.turned, || format!("{}: turned", wanted.key))?;
        let s = sides(&p.rect);
        require(s[0] >= trim && s[1] >= trim && s[2] <= right && s[3] <= top, || {
            format!("{}: into the trim", wanted.key)
        })?;
        let place = bench.iter().position(|b| *b == s);
        let place = place.ok_or_else(|| format!("{}: not freed by the cuts", wanted.key))?;
        bench.swap_remove(place);
        lost -= i128::from(p.rect.length.0) * i128::from(p.rect.width.0);
    }
    for leftover in &sheet.leftovers {
        let r = &leftover.rect;
        let place = bench.iter().position(|b| *b == sides(r));
        let place = place.ok_or_else(|| format!("{}: leftover {r:?} is not there", sheet.id))?;
        bench.swap_remove(place);
        let kept = r.length.min(r.width) >= rules.keep_short && r.length.max(r.width) >= rules.keep_long;
        require(leftover.kept == kept, || format!("{}: kept", sheet.id))?;
        if kept {
            lost -= i128::from(r.length.0) * i128::from(r.width.0);
        }
    }
    // Only the trimmed edges may still lie there.
    for b in &bench {
        let edge = b[2] <= trim || b[3] <= trim || b[0] >= right || b[1] >= top;
        require(edge, || format!("{}: {b:?} is not accounted for", sheet.id))?;
    }
    Ok((lost / 1_000_000) as i64)
}

/// One through cut: it must run from edge to edge of one rectangle.
fn make_cut(bench: &mut Vec<Sides>, from: (i64, i64), to: (i64, i64), kerf: i64) -> Result<(), String> {
    // Axis 0: the mark runs along y and divides x.
    let axis = if from.0 == to.0 { 0 } else { 1 };
    let (at, low, high) = match axis {
        0 => (from.0, from.1, to.1),
        _ => (from.1, from.0, to.0),
    };
    let other = 1 - axis;
    let place = bench
        .iter()
        .position(|b| b[other] == low && b[other + 2] == high && b[axis] < at + kerf.max(1) && at < b[axis + 2]);
    let whole = bench.swap_remove(place.ok_or_else(|| format!("no rectangle for the cut {from:?} {to:?}"))?);
    let (mut near, mut far) = (whole, whole);
    near[axis + 2] = at;
    far[axis] = at + kerf;
    bench.extend([near, far].into_iter().filter(|b| b[0] < b[2] && b[1] < b[3]));
    Ok(())
}
