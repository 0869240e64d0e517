//! The task in one fixed order: parts with their turned forms, sheets with
//! the pockets around them, and the zones between them.

use crate::cut::shapes::form::{Form, QUARTER, forms, turned_ring, turns};
use crate::cut::shapes::grow::{gap_polygon, hull, long_edge_directions, mirrored, sum};
use crate::cut::shapes::pieces::convex_pieces;
use crate::cut::shapes::ring::{P, Ring, area2, around, read_outline};
use crate::cut::shapes::zone::Zone;
use crate::cut::shapes::{
    MAX_SHAPES, OutlineFault, ShapeDemand, ShapeFault, ShapeOwner, ShapeRules, ShapeStock, Turning,
};
use crate::cut::{Nm, Uncut, UncutReason};
use std::collections::HashMap;
use std::sync::Arc;

/// Widest gap taken, 100 mm: its square times that of an edge stays far
/// inside 128 bits.
pub(super) const WIDEST_GAP: i64 = 100_000_000;
/// Highest price taken, 1/10,000.
const MAX_PRICE: i64 = 1_000_000_000_000;

/// Parts of one kind.
#[derive(Debug)]
pub(super) struct Kind {
    /// Index into the demands as given.
    pub demand: usize,
    pub outer: Ring,
    pub holes: Vec<Ring>,
    /// Twice the area of its steel.
    pub area2: i128,
    pub forms: Vec<Form>,
    /// So many of them, the first, are quarter turns or all there are.
    pub plain: usize,
    /// Index of its first form among all forms.
    pub first_form: u32,
}

/// One entry of the stock.
#[derive(Debug)]
pub(super) struct Sheet {
    /// Index into the stock as given.
    pub stock: usize,
    pub outer: Ring,
    pub holes: Vec<Ring>,
    pub lo: P,
    pub hi: P,
    /// Twice the area of its steel.
    pub area2: i128,
    pub price: i64,
    /// `None`: bought, as many as wanted.
    pub count: Option<u32>,
    /// Convex pieces of what is not steel inside the box around it.
    pub voids: Vec<Ring>,
    directions: Vec<f64>,
}

/// One part wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Item {
    pub kind: usize,
    pub copy: u32,
}

/// The task in an order that does not depend on the caller's.
#[derive(Debug)]
pub(super) struct Task {
    pub kinds: Vec<Kind>,
    /// Largest first.
    pub items: Vec<Item>,
    pub sheets: Vec<Sheet>,
    pub gap: i64,
    pub edge: i64,
    /// Least short and long side of a leftover that goes back.
    pub keep: (i64, i64),
    pub refused: Vec<Uncut>,
    pub faults: Vec<ShapeFault>,
}

/// The part's turned outline, moved.
pub(super) fn laid(ring: &[P], minutes: u32, at: P) -> Ring {
    turned_ring(ring, minutes).into_iter().map(|p| p.plus(at)).collect()
}

impl Task {
    pub fn new(demands: &[ShapeDemand], stock: &[ShapeStock], rules: &ShapeRules) -> Task {
        let clamp = |n: Nm, most: i64| n.0.clamp(0, most);
        let mut task = Task {
            kinds: Vec::new(),
            items: Vec::new(),
            sheets: Vec::new(),
            gap: clamp(rules.gap, WIDEST_GAP),
            edge: clamp(rules.edge, WIDEST_GAP),
            keep: (clamp(rules.keep_short, i64::MAX), clamp(rules.keep_long, i64::MAX)),
            refused: Vec::new(),
            faults: Vec::new(),
        };
        task.take_stock(stock);
        task.take_demands(demands);
        task
    }

    fn take_stock(&mut self, stock: &[ShapeStock]) {
        let mut order: Vec<usize> = (0..stock.len()).collect();
        order.sort_by_key(|&s| {
            let one = &stock[s];
            (&one.id, &one.outline, &one.holes, one.price, one.count)
        });
        for s in order {
            match read_sheet(s, &stock[s], self.edge) {
                Ok(sheet) => self.sheets.push(sheet),
                Err((hole, fault)) => self.faults.push(ShapeFault { whose: ShapeOwner::Stock(s), hole, fault }),
            }
        }
        self.sheets.retain(|s| s.count != Some(0));
    }

    fn take_demands(&mut self, demands: &[ShapeDemand]) {
        let mut read: Vec<(usize, Ring, Vec<Ring>)> = Vec::new();
        for (d, demand) in demands.iter().enumerate() {
            let outline = match &demand.turns {
                Turning::Minutes(list) if list.is_empty() => Err((None, OutlineFault::NoTurn)),
                _ => read_outline(&demand.outline, &demand.holes),
            };
            match outline {
                Ok((outer, holes)) => read.push((d, outer, holes)),
                Err((hole, fault)) => {
                    self.faults.push(ShapeFault { whose: ShapeOwner::Demand(d), hole, fault });
                    self.refuse(d, 1, demand.count, UncutReason::BadSize);
                }
            }
        }
        let steel = |r: &(usize, Ring, Vec<Ring>)| area2(&r.1) - r.2.iter().map(|h| area2(h)).sum::<i128>();
        read.sort_by_cached_key(|r| {
            let demand = &demands[r.0];
            let given = (demand.key.clone(), demand.outline.clone(), demand.holes.clone());
            (-steel(r), given, demand.turns.clone(), demand.count)
        });
        // Holes that hold no part and are not worth keeping stay filled.
        let mut sizes: Vec<(i128, i64, i64)> = Vec::new();
        for r in &read {
            for minutes in turns(&r.1, &demands[r.0].turns) {
                let (lo, hi) = around(&turned_ring(&r.1, minutes));
                sizes.push((steel(r), hi.x - lo.x, hi.y - lo.y));
            }
        }
        let (gap, keep) = (self.gap, self.keep);
        let usable = |hole: &Ring| {
            let (lo, hi) = around(hole);
            let (w, h, area) = (hi.x - lo.x - 2 * gap, hi.y - lo.y - 2 * gap, area2(hole));
            w.min(h) >= keep.0 && w.max(h) >= keep.1 || sizes.iter().any(|s| s.0 < area && s.1 <= w && s.2 <= h)
        };
        for (d, outer, holes) in read {
            let forms = forms(&outer, &holes, &turns(&outer, &demands[d].turns), self.gap, &usable);
            let first_form = self.kinds.last().map_or(0, |k| k.first_form + k.forms.len() as u32);
            let area2 = steel(&(d, outer.clone(), holes.clone()));
            let quarters = forms.iter().filter(|f| f.minutes % QUARTER == 0).count();
            let plain = if demands[d].turns == Turning::Free { quarters } else { forms.len() };
            self.kinds.push(Kind { demand: d, outer, holes, area2, forms, plain, first_form });
            self.take_copies(d, demands[d].count);
        }
    }

    fn take_copies(&mut self, d: usize, count: u32) {
        let kind = self.kinds.len() - 1;
        let boxed = |f: &Form| self.sheets.iter().any(|s| self.room(s, f).is_some());
        if !self.kinds[kind].forms.iter().any(boxed) {
            let reason = if self.sheets.is_empty() { UncutReason::NoStockLeft } else { UncutReason::TooLong };
            return self.refuse(d, 1, count, reason);
        }
        let taken = count.min(MAX_SHAPES - self.items.len() as u32);
        self.items.extend((1..=taken).map(|copy| Item { kind, copy }));
        self.refuse(d, taken + 1, count - taken, UncutReason::TooMany);
    }

    fn refuse(&mut self, demand: usize, first_copy: u32, count: u32, reason: UncutReason) {
        if count > 0 {
            self.refused.push(Uncut { demand, first_copy, count, reason });
        }
    }

    /// Where the origin of a form may be so that its box lies within the box
    /// of a sheet less the edge gap; both corners may be the same.
    pub fn room(&self, sheet: &Sheet, form: &Form) -> Option<(P, P)> {
        let e = P::new(self.edge, self.edge);
        let (lo, hi) = (sheet.lo.plus(e).minus(form.lo), sheet.hi.minus(e).minus(form.hi));
        (lo.x <= hi.x && lo.y <= hi.y).then_some((lo, hi))
    }

    /// A form by its number among all.
    pub fn form(&self, kind: usize, turn: usize) -> &Form {
        &self.kinds[kind].forms[turn]
    }
}

fn read_sheet(s: usize, stock: &ShapeStock, edge: i64) -> Result<Sheet, (Option<usize>, OutlineFault)> {
    let (outer, holes) = read_outline(&stock.outline, &stock.holes)?;
    let (lo, hi) = around(&outer);
    if (hi.x - lo.x).min(hi.y - lo.y) <= 2 * edge {
        return Err((None, OutlineFault::TooNarrow));
    }
    if !(0..=MAX_PRICE).contains(&stock.price) {
        return Err((None, OutlineFault::OutOfRange));
    }
    let mut voids: Vec<Ring> = pockets(&outer).iter().chain(&holes).flat_map(divided).collect();
    voids.retain(|v| area2(v) > 0);
    // What is forbidden lies outside: its outward normals point into the steel.
    let mut back = outer.clone();
    back.reverse();
    let directions = holes.iter().chain([&back]).flat_map(|r| long_edge_directions(r, edge)).collect();
    let steel = area2(&outer) - holes.iter().map(|h| area2(h)).sum::<i128>();
    Ok(Sheet {
        stock: s,
        outer,
        holes,
        lo,
        hi,
        area2: steel,
        price: stock.price,
        count: stock.count,
        voids,
        directions,
    })
}

/// Convex pieces of a ring; if it cannot be divided, the hull around it, which
/// forbids more and never less.
fn divided(ring: &Ring) -> Vec<Ring> {
    convex_pieces(ring, &[]).unwrap_or_else(|| vec![hull(ring.clone())])
}

/// What lies between an outline and the box around it, as simple rings.
fn pockets(outer: &[P]) -> Vec<Ring> {
    let (lo, hi) = around(outer);
    let (w, h) = (hi.x - lo.x, hi.y - lo.y);
    // Position along the box, counter-clockwise from its lowest left corner.
    let position = |p: P| {
        if p.y == lo.y {
            Some(p.x - lo.x)
        } else if p.x == hi.x {
            Some(w + p.y - lo.y)
        } else if p.y == hi.y {
            Some(w + h + hi.x - p.x)
        } else if p.x == lo.x {
            Some(2 * w + h + hi.y - p.y)
        } else {
            None
        }
    };
    let corners = [(0, lo), (w, P::new(hi.x, lo.y)), (w + h, hi), (2 * w + h, P::new(lo.x, hi.y))];
    let n = outer.len();
    let touching: Vec<usize> = (0..n).filter(|&i| position(outer[i]).is_some()).collect();
    let mut out = Vec::new();
    for (k, &from) in touching.iter().enumerate() {
        let to = touching[(k + 1) % touching.len()];
        let chain = (to + n - from) % n;
        let mut ring: Ring = (0..=chain).rev().map(|c| outer[(from + c) % n]).collect();
        let (Some(start), Some(end)) = (position(outer[from]), position(outer[to])) else { continue };
        let around_box = 2 * (w + h);
        let length = (end - start).rem_euclid(around_box);
        let mut between: Vec<(i64, P)> = corners
            .iter()
            .map(|&(at, p)| ((at - start).rem_euclid(around_box), p))
            .filter(|c| c.0 > 0 && c.0 < length)
            .collect();
        between.sort_unstable();
        ring.extend(between.into_iter().map(|c| c.1));
        if area2(&ring) > 0 {
            out.push(ring);
        }
    }
    out
}

/// The zones worked out so far; looked up only, never listed.
#[derive(Clone, Debug, Default)]
pub(super) struct Zones {
    pairs: HashMap<(u32, u32), Arc<Zone>>,
    edges: HashMap<(u32, u32), Arc<Zone>>,
}

impl Zones {
    /// Takes over what another search has worked out.
    pub fn learn(&mut self, other: Zones) {
        self.pairs.extend(other.pairs);
        self.edges.extend(other.edges);
    }

    /// Where the origin of a form must not come, seen from the origin of
    /// another that is laid.
    pub fn beside(&mut self, task: &Task, still: (usize, usize), moved: (usize, usize)) -> Arc<Zone> {
        let id = |k: (usize, usize)| task.kinds[k.0].first_form + k.1 as u32;
        let zone = self.pairs.entry((id(still), id(moved)));
        let made = zone.or_insert_with(|| {
            let (a, b) = (task.form(still.0, still.1), task.form(moved.0, moved.1));
            let mut directions = a.directions.clone();
            directions.extend(b.directions.iter().map(|d| opposite(*d)));
            let disc = gap_polygon(task.gap, &directions);
            let rings = sums(a.pieces_beside(b.size(), task.gap), &disc, b.pieces_beside(a.size(), task.gap));
            Arc::new(Zone::new(rings))
        });
        Arc::clone(made)
    }

    /// Where the origin of a form must not come in a sheet, within its room.
    pub fn within(&mut self, task: &Task, sheet: usize, moved: (usize, usize)) -> Arc<Zone> {
        let id = task.kinds[moved.0].first_form + moved.1 as u32;
        let made = self.edges.entry((sheet as u32, id)).or_insert_with(|| {
            let (s, b) = (&task.sheets[sheet], task.form(moved.0, moved.1));
            let mut directions = s.directions.clone();
            directions.extend(b.directions.iter().map(|d| opposite(*d)));
            let disc = gap_polygon(task.edge, &directions);
            let mut rings = Vec::new();
            for void in &s.voids {
                let (lo, hi) = around(void);
                let pieces = b.pieces_beside((hi.x - lo.x, hi.y - lo.y), task.edge);
                rings.extend(sums(std::slice::from_ref(void), &disc, pieces));
            }
            Arc::new(Zone::new(rings))
        });
        Arc::clone(made)
    }
}

fn opposite(direction: f64) -> f64 {
    let turned = direction + std::f64::consts::PI;
    if turned > std::f64::consts::PI { turned - std::f64::consts::TAU } else { turned }
}

fn sums(still: &[Ring], disc: &[P], moved: &[Ring]) -> Vec<Ring> {
    let moved: Vec<Ring> = moved.iter().map(|m| mirrored(m)).collect();
    let grown: Vec<Ring> = still.iter().map(|s| sum(s, disc)).collect();
    grown.iter().flat_map(|g| moved.iter().map(|m| sum(g, m))).collect()
}
