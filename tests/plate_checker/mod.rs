//! An independent checker of plate plans: the plate lies on a grid of cells,
//! the cuts are made one by one, and what hangs together is looked at
//! afterwards. It knows only what a plan means, not how it was found.

use droprack::cut::{BlankDemand, Datum, Nm, PlateCut, PlatePlan, PlateRules, PlateStock, Rect, SheetUse};
use std::collections::BTreeMap;

type Point = (i64, i64);
/// Left, lower, right and upper edge, nm.
type Sides = [i64; 4];

fn sides(r: &Rect) -> Sides {
    [r.x.0, r.y.0, r.x.0 + r.length.0, r.y.0 + r.width.0]
}

fn require(good: bool, what: impl Fn() -> String) -> Result<(), String> {
    if good { Ok(()) } else { Err(what()) }
}

/// What a cell is made of.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Steel {
    None,
    Part,
    Full,
}

/// A plate as its rings.
struct Plate {
    rings: Vec<Vec<Point>>,
}

impl Plate {
    fn new(outline: &[(Nm, Nm)], holes: &[Vec<(Nm, Nm)>]) -> Plate {
        let plain = |r: &[(Nm, Nm)]| r.iter().map(|p| (p.0.0, p.1.0)).collect::<Vec<Point>>();
        let mut rings = vec![plain(outline)];
        rings.extend(holes.iter().map(|h| plain(h)));
        Plate { rings }
    }

    fn edges(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.rings.iter().flat_map(|r| (0..r.len()).map(|i| (r[i], r[(i + 1) % r.len()])))
    }

    /// Twice the area of steel.
    fn twice_area(&self) -> i128 {
        let ring = |r: &Vec<Point>| -> i128 {
            let fan = (1..r.len() - 1).map(|i| {
                let (a, b) = ((r[i].0 - r[0].0, r[i].1 - r[0].1), (r[i + 1].0 - r[0].0, r[i + 1].1 - r[0].1));
                i128::from(a.0) * i128::from(b.1) - i128::from(a.1) * i128::from(b.0)
            });
            fan.sum::<i128>().abs()
        };
        ring(&self.rings[0]) - self.rings[1..].iter().map(ring).sum::<i128>()
    }

    /// A point lies in the steel: crossings of the ray to the right.
    fn has(&self, x: f64, y: f64) -> bool {
        let mut odd = false;
        for (a, b) in self.edges() {
            let (ax, ay, bx, by) = (a.0 as f64, a.1 as f64, b.0 as f64, b.1 as f64);
            if (ay > y) != (by > y) && x < ax + (bx - ax) * (y - ay) / (by - ay) {
                odd = !odd;
            }
        }
        odd
    }

    /// What a box is made of; no corner of the plate lies inside it, or it is
    /// counted as a part.
    fn within(&self, s: Sides) -> Steel {
        if self.edges().any(|(a, b)| passes(a, b, s)) {
            return Steel::Part;
        }
        let middle = ((s[0] as f64 + s[2] as f64) / 2.0, (s[1] as f64 + s[3] as f64) / 2.0);
        if self.has(middle.0, middle.1) { Steel::Full } else { Steel::None }
    }
}

/// A segment has a point inside a box (Liang and Barsky's clipping, in fractions).
fn passes(a: Point, b: Point, s: Sides) -> bool {
    // The open range of t, as fractions with positive lower parts.
    let (mut low, mut high) = ((0_i128, 1_i128), (1_i128, 1_i128));
    for (from, to, near, far) in [(a.0, b.0, s[0], s[2]), (a.1, b.1, s[1], s[3])] {
        let run = i128::from(to) - i128::from(from);
        if run == 0 {
            if from <= near || from >= far {
                return false;
            }
            continue;
        }
        let (first, last) = if run > 0 { (near, far) } else { (far, near) };
        let t = |edge: i64| ((i128::from(edge) - i128::from(from)) * run.signum(), run.abs());
        let (enter, leave) = (t(first), t(last));
        if enter.0 * low.1 > low.0 * enter.1 {
            low = enter;
        }
        if leave.0 * high.1 < high.0 * leave.1 {
            high = leave;
        }
    }
    low.0 * high.1 < high.0 * low.1
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
    let (mut lost, mut largest) = (0, 0);
    for sheet in &plan.sheets {
        *used.entry(sheet.stock).or_default() += 1;
        for p in &sheet.placements {
            *seen.entry((p.demand, p.copy)).or_default() += 1;
        }
        let (l, m) =
            check_sheet(demands, &stock[sheet.stock], rules, sheet).map_err(|e| format!("{}: {e}", sheet.id))?;
        lost += l;
        largest = largest.max(m);
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
    check_stages(demands, plan, (lost / 2 / 1_000_000) as i64, (largest / 1_000_000) as i64)
}

fn check_stages(demands: &[BlankDemand], plan: &PlatePlan, lost: i64, largest: i64) -> Result<(), String> {
    let area = |d: &BlankDemand| (i128::from(d.length.0) * i128::from(d.width.0) / 1_000_000) as i64;
    let uncut: i64 = plan.uncut.iter().map(|u| area(&demands[u.demand]) * i64::from(u.count)).sum();
    let money: i64 = plan.sheets.iter().map(|s| s.price).sum();
    let cuts: usize = plan.sheets.iter().map(|s| s.cuts.len()).sum();
    let rows = [
        ("uncut", uncut),
        ("money", money),
        ("waste", lost),
        ("leftover", largest),
        ("items", plan.sheets.len() as i64),
        ("cuts", cuts as i64),
    ];
    require(plan.stages.len() == rows.len(), || "six stages".into())?;
    let mut proved = true;
    for (stage, (name, value)) in plan.stages.iter().zip(rows) {
        require(stage.name == name && stage.value == value, || format!("{name} is {value}, not {stage:?}"))?;
        let right = if name == "leftover" { stage.bound >= stage.value } else { stage.bound <= stage.value };
        require(right, || format!("{stage:?}: bound on the wrong side"))?;
        proved &= stage.bound == stage.value;
        require(stage.proved == proved, || format!("{stage:?}: proof"))?;
    }
    require(plan.proved == plan.stages[2].proved, || "the plan's proof".into())
}

/// The plate on a grid: cells with the piece that they belong to, 0 for none.
struct Bench {
    x: Vec<i64>,
    y: Vec<i64>,
    steel: Vec<Steel>,
    piece: Vec<usize>,
    /// Steel is on both sides of the line to the next cell along x, along y.
    joined: Vec<[bool; 2]>,
    pieces: usize,
    slanted: bool,
}

impl Bench {
    fn new(plate: &Plate, sheet: &SheetUse, kerf: i64) -> Bench {
        let (mut x, mut y) = (Vec::new(), Vec::new());
        for p in plate.rings.iter().flatten() {
            x.push(p.0);
            y.push(p.1);
        }
        let rects = sheet.placements.iter().map(|p| p.rect).chain(sheet.leftovers.iter().filter_map(|l| l.useful));
        for s in rects.map(|r| sides(&r)) {
            x.extend([s[0], s[2]]);
            y.extend([s[1], s[3]]);
        }
        for cut in &sheet.cuts {
            let list = if along_y(cut) { &mut x } else { &mut y };
            list.extend([mark(cut), mark(cut) + kerf]);
        }
        for list in [&mut x, &mut y] {
            list.sort_unstable();
            list.dedup();
        }
        let mut bench =
            Bench { x, y, steel: vec![], piece: vec![], joined: vec![], pieces: 0, slanted: slanted(plate) };
        for at in 0..bench.columns() * bench.rows() {
            bench.steel.push(plate.within(bench.cell(at)));
        }
        bench.joined =
            (0..bench.steel.len()).map(|at| [bench.meets(plate, at, 0), bench.meets(plate, at, 1)]).collect();
        bench.piece = bench.steel.iter().map(|s| usize::from(*s != Steel::None)).collect();
        bench.pieces = 1;
        bench.part(1);
        bench
    }

    fn columns(&self) -> usize {
        self.x.len() - 1
    }

    fn rows(&self) -> usize {
        self.y.len() - 1
    }

    fn cell(&self, at: usize) -> Sides {
        let (i, j) = (at / self.rows(), at % self.rows());
        [self.x[i], self.y[j], self.x[i + 1], self.y[j + 1]]
    }

    /// The next cell along an axis.
    fn next(&self, at: usize, axis: usize) -> Option<usize> {
        let (i, j) = (at / self.rows(), at % self.rows());
        match axis {
            0 if i + 1 < self.columns() => Some(at + self.rows()),
            1 if j + 1 < self.rows() => Some(at + 1),
            _ => None,
        }
    }

    fn meets(&self, plate: &Plate, at: usize, axis: usize) -> bool {
        let Some(next) = self.next(at, axis) else { return false };
        match (self.steel[at], self.steel[next]) {
            (Steel::None, _) | (_, Steel::None) => false,
            (Steel::Full, Steel::Full) => true,
            // Steel a hair before the line and a hair beyond it.
            _ => {
                let s = self.cell(next).map(|v| v as f64);
                (0..32).any(|k| {
                    let t = (f64::from(k) + 0.5) / 32.0;
                    [-0.5, 0.5].iter().all(|hair| match axis {
                        0 => plate.has(s[0] + hair, s[1] + t * (s[3] - s[1])),
                        _ => plate.has(s[0] + t * (s[2] - s[0]), s[1] + hair),
                    })
                })
            }
        }
    }

    /// Gives each part of a piece that hangs together a number of its own.
    fn part(&mut self, piece: usize) {
        let cells: Vec<usize> = (0..self.piece.len()).filter(|&c| self.piece[c] == piece).collect();
        for &start in &cells {
            if self.piece[start] != piece {
                continue;
            }
            self.pieces += 1;
            let mut todo = vec![start];
            while let Some(at) = todo.pop() {
                if self.piece[at] != piece {
                    continue;
                }
                self.piece[at] = self.pieces;
                for axis in 0..2 {
                    if let Some(next) = self.next(at, axis).filter(|_| self.joined[at][axis]) {
                        todo.push(next);
                    }
                    let back = if axis == 0 { at.checked_sub(self.rows()) } else { at.checked_sub(1) };
                    if let Some(back) = back.filter(|b| self.joined[*b][axis] && self.next(*b, axis) == Some(at)) {
                        todo.push(back);
                    }
                }
            }
        }
    }

    fn cells(&self, piece: usize) -> impl Iterator<Item = usize> + '_ {
        (0..self.piece.len()).filter(move |&c| self.piece[c] == piece)
    }

    /// The box around the cells of a piece.
    fn around(&self, piece: usize) -> Option<Sides> {
        self.cells(piece)
            .map(|c| self.cell(c))
            .reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])])
    }

    /// A box is the box around a piece, as far as cells tell.
    fn is_around(&self, piece: usize, hand: Sides) -> bool {
        let Some(around) = self.around(piece) else { return false };
        let inner = |list: &[i64], at: i64, up: bool| {
            let k = list.partition_point(|v| *v < at);
            if up { list.get(k + 1).copied().unwrap_or(at) } else { list[k.saturating_sub(1)] }
        };
        (0..4).all(|k| {
            let list = if k % 2 == 0 { &self.x } else { &self.y };
            let (out, near) = (around[k], hand[k]);
            if k < 2 {
                out <= near && near < inner(list, out, true)
            } else {
                near <= out && near > inner(list, out, false)
            }
        })
    }

    fn make(&mut self, cut: &PlateCut, kerf: i64) -> Result<(), String> {
        let axis = usize::from(!along_y(cut));
        let (at, other) = (mark(cut), 1 - axis);
        let (from, to) = if axis == 0 { (cut.from.1.0, cut.to.1.0) } else { (cut.from.0.0, cut.to.0.0) };
        let hand = sides(&cut.hand);
        let touches = |s: Sides| s[axis] < at + kerf.max(1) && s[axis + 2] > at || s[axis + 2] == at;
        // Beside slanted edges cells do not tell how far a piece reaches: there it
        // is the one on the line with most of its cells in the box.
        let inside = |c: &Sides| (0..2).all(|k| hand[k] <= c[k] && c[k + 2] <= hand[k + 2]);
        let on_line = |c: Sides| c[other] < to && c[other + 2] > from && touches(c);
        let within = |p: usize| self.cells(p).map(|c| self.cell(c)).filter(inside).map(area).sum::<i128>();
        let meant = match self.slanted {
            false => {
                (1..=self.pieces).find(|&p| self.is_around(p, hand) && self.cells(p).any(|c| touches(self.cell(c))))
            }
            true => {
                (1..=self.pieces).filter(|&p| self.cells(p).any(|c| on_line(self.cell(c)))).max_by_key(|&p| within(p))
            }
        };
        let meant = meant.ok_or_else(|| format!("no piece for {cut:?}"))?;
        let distance = match cut.datum {
            Datum::Left | Datum::Lower => at - hand[axis],
            Datum::Right | Datum::Upper => hand[axis + 2] - at,
        };
        let fits = matches!(cut.datum, Datum::Left | Datum::Right) == (axis == 0);
        require(fits && distance == cut.distance.0, || format!("measured wrongly: {cut:?}"))?;
        let cells: Vec<usize> = self.cells(meant).collect();
        for &c in &cells {
            let s = self.cell(c);
            let on_line = s[axis] <= at && at <= s[axis + 2];
            let beside = s[other + 2] <= from || s[other] >= to;
            require(!(on_line && beside && self.steel[c] == Steel::Full && s[axis] < at && at < s[axis + 2]), || {
                format!("does not run from edge to edge: {cut:?}")
            })?;
            // Beside the line, both neighbours being steel means that the line runs in it.
            if s[axis + 2] == at && beside && self.joined[c][axis] {
                let next = self.next(c, axis);
                let full = self.steel[c] == Steel::Full && next.is_some_and(|n| self.steel[n] == Steel::Full);
                require(!full, || format!("does not run from edge to edge: {cut:?}"))?;
            }
        }
        for &c in &cells {
            let s = self.cell(c);
            if s[axis] >= at && s[axis + 2] <= at + kerf {
                self.piece[c] = 0;
            } else if s[axis + 2] == at {
                self.joined[c][axis] = false;
            }
        }
        self.part(meant);
        Ok(())
    }
}

fn along_y(cut: &PlateCut) -> bool {
    matches!(cut.datum, Datum::Left | Datum::Right)
}

fn mark(cut: &PlateCut) -> i64 {
    if along_y(cut) { cut.from.0.0 } else { cut.from.1.0 }
}

/// Makes the cuts of one plate; twice the area lost and the largest rectangle
/// in a leftover kept, square nanometres.
fn check_sheet(
    demands: &[BlankDemand],
    stock: &PlateStock,
    rules: &PlateRules,
    sheet: &SheetUse,
) -> Result<(i128, i128), String> {
    require(!sheet.placements.is_empty(), || "opened for nothing".into())?;
    require(sheet.id == stock.id && sheet.price == stock.price, || "stock".into())?;
    require(sheet.bought == stock.count.is_none(), || "bought".into())?;
    let plate = Plate::new(&stock.outline, &stock.holes);
    let trim = if stock.raw { rules.trim.0 } else { 0 };
    let mut bench = Bench::new(&plate, sheet, rules.kerf.0);
    for cut in &sheet.cuts {
        let level = if along_y(cut) { cut.from.0 == cut.to.0 } else { cut.from.1 == cut.to.1 };
        require(level, || format!("{cut:?} is slanted"))?;
        bench.make(cut, rules.kerf.0)?;
    }
    let mut lost = plate.twice_area();
    for p in &sheet.placements {
        let wanted = &demands[p.demand];
        let lies = if p.turned { (wanted.width, wanted.length) } else { (wanted.length, wanted.width) };
        require((p.rect.length, p.rect.width) == lies, || format!("{}: size", wanted.key))?;
        require(wanted.may_turn || !p.turned, || format!("{}: turned", wanted.key))?;
        let s = sides(&p.rect);
        let sound = [s[0] - trim, s[1] - trim, s[2] + trim, s[3] + trim];
        require(plate.within(sound) == Steel::Full, || format!("{}: not in sound steel", wanted.key))?;
        let piece = whose(&bench, s).ok_or_else(|| format!("{}: cut to pieces", wanted.key))?;
        let whole = bench.around(piece) == Some(s) && bench.cells(piece).all(|c| bench.steel[c] == Steel::Full);
        require(whole, || format!("{}: not freed by the cuts", wanted.key))?;
        bench.cells(piece).collect::<Vec<_>>().into_iter().for_each(|c| bench.piece[c] = 0);
        lost -= 2 * area(s);
    }
    let mut largest = 0;
    let slanted = slanted(&plate);
    for leftover in &sheet.leftovers {
        let part = Plate::new(&leftover.outline, &leftover.holes);
        let Some(r) = leftover.useful else {
            require(!leftover.kept, || "kept without a rectangle".into())?;
            continue;
        };
        let s = sides(&r);
        require(part.within(s) == Steel::Full, || format!("{r:?} is not in its leftover"))?;
        let piece = whose(&bench, s).ok_or_else(|| format!("leftover {r:?} is not there"))?;
        let there: i128 = bench.cells(piece).map(|c| area(bench.cell(c))).sum();
        let same = 2 * there == part.twice_area();
        require(same || slanted, || format!("leftover {:?} is not what is there", leftover.outline))?;
        bench.cells(piece).collect::<Vec<_>>().into_iter().for_each(|c| bench.piece[c] = 0);
        let keeps = r.length.min(r.width) >= rules.keep_short.max(Nm(1)) && r.length.max(r.width) >= rules.keep_long;
        require(leftover.kept == keeps, || "kept".into())?;
        if leftover.kept {
            lost -= part.twice_area();
            largest = largest.max(area(s));
        }
    }
    let whole = bench.piece.iter().zip(&bench.steel).any(|(p, s)| *p > 0 && *s == Steel::Full);
    require(!whole || slanted, || "steel that is not accounted for".into())?;
    Ok((lost, largest))
}

fn area(s: Sides) -> i128 {
    i128::from(s[2] - s[0]) * i128::from(s[3] - s[1])
}

/// The one piece that a box lies in.
fn whose(bench: &Bench, s: Sides) -> Option<usize> {
    let inside = |c: Sides| s[0] <= c[0] && c[2] <= s[2] && s[1] <= c[1] && c[3] <= s[3];
    let mut pieces: Vec<usize> =
        (0..bench.piece.len()).filter(|&c| inside(bench.cell(c))).map(|c| bench.piece[c]).collect();
    pieces.dedup();
    pieces.sort_unstable();
    pieces.dedup();
    (pieces.len() == 1 && pieces[0] > 0).then(|| pieces[0])
}

fn slanted(plate: &Plate) -> bool {
    plate.edges().any(|(a, b)| a.0 != b.0 && a.1 != b.1)
}
