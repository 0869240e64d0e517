//! An independent checker of cut plans, written from what a plan promises and
//! sharing no arithmetic with the planner.

use droprack::cut::{BarDemand, BarPlan, BarRules, BarStock, BarUse, EndCut};
use std::collections::BTreeMap;

/// Depth of the section used to place the slanted cut planes, mm.
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
    check_stages(demands, rules, plan)
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

fn check_bar(demands: &[BarDemand], stock: &BarStock, rules: &BarRules, bar: &BarUse) -> Result<(), String> {
    require(!bar.cuts.is_empty(), || format!("{} opened for nothing", bar.id))?;
    require(bar.id == stock.id && bar.bought == stock.count.is_none(), || {
        format!("{}: not the stock it names", bar.id)
    })?;
    require(bar.price == stock.price, || format!("{}: wrong price", bar.id))?;
    let start = if stock.left_raw { rules.trim.0 } else { 0 };
    let end = stock.length.0 - if stock.right_raw { rules.trim.0 } else { 0 };
    for cut in &bar.cuts {
        let wanted = demands[cut.demand].length.0;
        require(cut.to.0 - cut.from.0 == wanted, || format!("{}: wrong length", bar.id))?;
        require(cut.from.0 >= start && cut.to.0 <= end, || format!("{}: beyond the bar or into its trim", bar.id))?;
    }
    for pair in bar.cuts.windows(2) {
        let (a, b) = (&pair[0], &pair[1]);
        let kerf = rules.kerf.to_mm();
        require(b.from.0 - a.to.0 >= rules.kerf.0, || format!("{}: kerf", bar.id))?;
        let ends = (&demands[a.demand].right, &demands[b.demand].left);
        let gap = plane_gap((a.to.to_mm(), ends.0), (b.from.to_mm(), ends.1));
        require(gap >= kerf - TOLERANCE, || format!("{}: cut planes {gap} mm apart", bar.id))?;
    }
    check_remainder(demands, rules, bar, end)
}

/// What lies beyond the last blade; with slanted ends only limits are known.
fn check_remainder(demands: &[BarDemand], rules: &BarRules, bar: &BarUse, end: i64) -> Result<(), String> {
    let last = bar.cuts.last().expect("a bar has pieces");
    let straight = (end - last.to.0 - rules.kerf.0).max(0);
    let square =
        bar.cuts.iter().all(|c| demands[c.demand].left == EndCut::SQUARE && demands[c.demand].right == EndCut::SQUARE);
    require(bar.remainder.0 <= straight, || format!("{}: remainder", bar.id))?;
    require(!square || bar.remainder.0 == straight, || {
        format!("{}: remainder {} is not {straight}", bar.id, bar.remainder.0)
    })?;
    let kept = bar.remainder.0 > 0 && bar.remainder >= rules.keep;
    require(bar.kept == kept, || format!("{}: kept", bar.id))?;
    let waste = if kept { 0 } else { bar.remainder.0 };
    require(bar.waste.0 == waste, || format!("{}: waste", bar.id))
}

/// The least distance between the cut plane of one end and the steel of the
/// other piece, over both ways that each slant can lean, mm.
fn plane_gap((to, right): (f64, &EndCut), (from, left): (f64, &EndCut)) -> f64 {
    let corners = |x: f64, end: &EndCut, sign: f64, lean: bool| {
        let run = DEPTH / end.angle_deg.to_radians().tan().abs();
        let short = x + sign * run;
        if lean { [(x, 0.0), (short, DEPTH)] } else { [(short, 0.0), (x, DEPTH)] }
    };
    let mut least = f64::INFINITY;
    for leans in 0..4 {
        let a = corners(to, right, -1.0, leans & 1 == 0);
        let b = corners(from, left, 1.0, leans & 2 == 0);
        for (line, points) in [(a, b), (b, a)] {
            let (dx, dy) = (line[1].0 - line[0].0, line[1].1 - line[0].1);
            for p in points {
                let cross = dx * (p.1 - line[0].1) - dy * (p.0 - line[0].0);
                least = least.min(cross.abs() / dx.hypot(dy));
            }
        }
    }
    least
}

fn check_stages(demands: &[BarDemand], rules: &BarRules, plan: &BarPlan) -> Result<(), String> {
    let uncut: i64 = plan.uncut.iter().map(|u| demands[u.demand].length.0 * i64::from(u.count)).sum();
    let money: i64 = plan.bars.iter().map(|b| b.price).sum();
    let waste: i64 = plan.bars.iter().filter(|b| b.remainder < rules.keep).map(|b| b.remainder.0).sum();
    let mut proved = true;
    for (stage, (name, value)) in plan.stages.iter().zip([("uncut", uncut), ("money", money), ("waste", waste)]) {
        require(stage.name == name && stage.value == value, || format!("{name} is {value}, the plan says {stage:?}"))?;
        require(stage.bound <= stage.value, || format!("{name}: bound above value"))?;
        proved &= stage.bound == stage.value;
        require(stage.proved == proved, || format!("{name}: proof"))?;
    }
    require(plan.proved == proved, || "the plan's proof".into())
}

/// The least (uncut, money, waste) by trying every assignment of pieces to
/// bars; for jobs of a few pieces only. The smallest allowance of the job is
/// what the last piece of a bar may go without.
pub fn try_everything(demands: &[BarDemand], stock: &[BarStock], rules: &BarRules) -> [i64; 3] {
    let kerf = |end: &EndCut| {
        let slant = end.angle_deg.to_radians().sin().abs();
        if end.angle_deg == 90.0 { rules.kerf.0 } else { (rules.kerf.0 as f64 / slant).ceil() as i64 }
    };
    let mut pieces = Vec::new();
    for demand in demands {
        let allowance = kerf(&demand.left).max(kerf(&demand.right));
        for _ in 0..demand.count {
            pieces.push((demand.length.0, allowance));
        }
    }
    let least = pieces.iter().map(|p| p.1).min().unwrap_or(0);
    let mut search = Everything { pieces, stock, rules, least, best: [i64::MAX; 3] };
    search.place(0, 0, &mut Vec::new());
    search.best
}

struct Everything<'a> {
    pieces: Vec<(i64, i64)>,
    stock: &'a [BarStock],
    rules: &'a BarRules,
    least: i64,
    best: [i64; 3],
}

impl Everything<'_> {
    /// Usable length of a bar that is left when it holds this much.
    fn rest(&self, stock: usize, held: i64) -> i64 {
        let bar = &self.stock[stock];
        let raw = i64::from(bar.left_raw) + i64::from(bar.right_raw);
        bar.length.0 - raw * self.rules.trim.0 - held
    }

    fn place(&mut self, next: usize, uncut: i64, open: &mut Vec<(usize, i64)>) {
        if next == self.pieces.len() {
            let money = open.iter().map(|&(s, _)| self.stock[s].price).sum();
            let rests = open.iter().map(|&(s, held)| self.rest(s, held).max(0));
            let waste = rests.filter(|&r| r < self.rules.keep.0).sum();
            self.best = self.best.min([uncut, money, waste]);
            return;
        }
        let (length, allowance) = self.pieces[next];
        for i in 0..open.len() {
            let (stock, held) = open[i];
            if self.rest(stock, held + length + allowance) + self.least >= 0 {
                open[i].1 += length + allowance;
                self.place(next + 1, uncut, open);
                open[i].1 = held;
            }
        }
        for stock in 0..self.stock.len() {
            let used = open.iter().filter(|o| o.0 == stock).count() as u32;
            let there = self.stock[stock].count.is_none_or(|n| used < n);
            if there && self.rest(stock, length + allowance) + self.least >= 0 {
                open.push((stock, length + allowance));
                self.place(next + 1, uncut, open);
                open.pop();
            }
        }
        self.place(next + 1, uncut + length, open);
    }
}
