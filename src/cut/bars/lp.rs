//! A small revised simplex for column generation, primal and dual.
//!
//! Minimise `c x` subject to `A x = b`, `x >= 0`. Rows that are inequalities
//! carry their own slack columns, so a basis always exists. The inverse of the
//! basis is kept dense: masters have some hundreds of rows at most, and the
//! answer is only ever a guess at good prices. Bounds are worked out from the
//! prices in whole numbers elsewhere, so nothing here can spoil a proof.

use std::rc::Rc;

/// Smallest element that may be pivoted on.
const PIVOT: f64 = 1e-9;
/// A basic value this far below zero is infeasible.
const FEASIBLE: f64 = 1e-9;
/// Pivots between two fresh inversions.
const REFRESH: u32 = 200;
/// Pivots without progress before the first improving column is taken.
const STALLED: u32 = 400;

/// One column: its cost and its entries by row.
#[derive(Clone, Debug)]
pub(super) struct Column {
    /// Entries (row, value).
    pub entries: Vec<(u32, f64)>,
}

/// How a run of the simplex ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ended {
    /// Optimal over the columns that are on.
    Optimal,
    /// No feasible point over the columns that are on.
    Infeasible,
    /// Too many pivots, or a singular basis.
    GaveUp,
}

/// A linear programme with its basis.
#[derive(Clone, Debug, Default)]
pub(super) struct Lp {
    rows: usize,
    rhs: Vec<f64>,
    inverse: Vec<f64>,
    /// Column in each place of the basis.
    pub basis: Vec<usize>,
    /// Place in the basis, or `usize::MAX`.
    place: Vec<usize>,
    /// Value of each place.
    pub value: Vec<f64>,
    /// Price of each row.
    pub price: Vec<f64>,
    columns: Vec<Rc<Column>>,
    cost: Vec<f64>,
    on: Vec<bool>,
    since: u32,
    /// Work done, in multiplications.
    pub work: u64,
}

impl Lp {
    /// No columns yet.
    pub fn new(rhs: Vec<f64>) -> Lp {
        let rows = rhs.len();
        Lp { rows, rhs, inverse: vec![0.0; rows * rows], price: vec![0.0; rows], ..Lp::default() }
    }

    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Number of columns.
    pub fn columns(&self) -> usize {
        self.columns.len()
    }

    /// Adds a column that is on; its index.
    pub fn add(&mut self, cost: f64, entries: Vec<(u32, f64)>) -> usize {
        self.columns.push(Rc::new(Column { entries }));
        self.cost.push(cost);
        self.on.push(true);
        self.place.push(usize::MAX);
        self.columns.len() - 1
    }

    /// Adds entries of rows that the column does not have yet; only for a
    /// column outside the basis.
    pub fn extend(&mut self, column: usize, entries: &[(u32, f64)]) {
        if !entries.is_empty() {
            Rc::make_mut(&mut self.columns[column]).entries.extend_from_slice(entries);
        }
    }

    /// A column takes part, or not; one in the basis stays there.
    pub fn switch(&mut self, column: usize, on: bool) {
        self.on[column] = on;
    }

    /// Changes a column's cost; call [`Lp::reprice`] after the last one.
    pub fn set_cost(&mut self, column: usize, cost: f64) {
        self.cost[column] = cost;
    }

    /// A column's cost.
    pub fn cost(&self, column: usize) -> f64 {
        self.cost[column]
    }

    /// Whether a column is in the basis.
    pub fn is_basic(&self, column: usize) -> bool {
        self.place[column] != usize::MAX
    }

    /// A column's value.
    pub fn at(&self, column: usize) -> f64 {
        if self.is_basic(column) { self.value[self.place[column]] } else { 0.0 }
    }

    /// Starts from these columns, one a row; false if they are dependent.
    pub fn start(&mut self, basis: Vec<usize>) -> bool {
        self.place.fill(usize::MAX);
        for (i, &j) in basis.iter().enumerate() {
            self.place[j] = i;
        }
        self.basis = basis;
        self.refresh()
    }

    /// Inverts the basis afresh; false if it is singular.
    pub fn refresh(&mut self) -> bool {
        let m = self.rows;
        self.work += (m * m * m / 4) as u64;
        let mut a = vec![0.0; m * m];
        for (k, &j) in self.basis.iter().enumerate() {
            for &(i, v) in &self.columns[j].entries {
                a[i as usize * m + k] = v;
            }
        }
        let mut inverse = vec![0.0; m * m];
        for i in 0..m {
            inverse[i * m + i] = 1.0;
        }
        for k in 0..m {
            let mut best = k;
            for i in k + 1..m {
                if a[i * m + k].abs() > a[best * m + k].abs() {
                    best = i;
                }
            }
            if a[best * m + k].abs() < 1e-11 {
                return false;
            }
            if best != k {
                for j in 0..m {
                    a.swap(best * m + j, k * m + j);
                    inverse.swap(best * m + j, k * m + j);
                }
            }
            eliminate(&mut a, &mut inverse, k, m);
        }
        self.inverse = inverse;
        self.since = 0;
        self.revalue();
        self.reprice();
        true
    }

    /// Basic values from the right-hand side.
    fn revalue(&mut self) {
        let m = self.rows;
        self.value = (0..m).map(|i| dot(&self.inverse[i * m..(i + 1) * m], &self.rhs)).collect();
    }

    /// Prices from the costs of the basis.
    pub fn reprice(&mut self) {
        let m = self.rows;
        self.price = vec![0.0; m];
        for i in 0..m {
            let c = self.cost[self.basis[i]];
            if c != 0.0 {
                let row = &self.inverse[i * m..(i + 1) * m];
                for (p, v) in self.price.iter_mut().zip(row) {
                    *p += c * v;
                }
            }
        }
    }

    /// Value of the programme.
    pub fn objective(&self) -> f64 {
        self.basis.iter().zip(&self.value).map(|(&j, x)| self.cost[j] * x).sum()
    }

    /// Reduced cost of a column.
    #[inline]
    pub fn reduced(&self, column: usize) -> f64 {
        let mut r = self.cost[column];
        for &(i, v) in &self.columns[column].entries {
            r -= self.price[i as usize] * v;
        }
        r
    }

    /// The basis' coordinates of a column.
    fn coordinates(&mut self, column: usize) -> Vec<f64> {
        let m = self.rows;
        let entries = &self.columns[column].entries;
        self.work += (m * entries.len()) as u64;
        (0..m)
            .map(|i| {
                let row = &self.inverse[i * m..(i + 1) * m];
                let s: f64 = entries.iter().map(|&(k, v)| row[k as usize] * v).sum();
                if s.abs() < 1e-12 { 0.0 } else { s }
            })
            .collect()
    }

    /// Takes `column` into the basis at place `at`; false on a singular basis.
    fn pivot(&mut self, at: usize, column: usize, along: &[f64], reduced: f64) -> bool {
        let m = self.rows;
        let step = self.value[at] / along[at];
        let scale = 1.0 / along[at];
        for v in &mut self.inverse[at * m..(at + 1) * m] {
            *v *= scale;
        }
        let row: Vec<f64> = self.inverse[at * m..(at + 1) * m].to_vec();
        for (p, v) in self.price.iter_mut().zip(&row) {
            *p += reduced * v;
        }
        // Most of the inverse is empty while slacks are in the basis.
        let filled: Vec<usize> = (0..m).filter(|&j| row[j] != 0.0).collect();
        let sparse = filled.len() * 4 < m;
        for i in (0..m).filter(|&i| i != at) {
            let f = along[i];
            if f == 0.0 {
                continue;
            }
            self.value[i] -= f * step;
            let to = &mut self.inverse[i * m..(i + 1) * m];
            if sparse {
                self.work += 2 * filled.len() as u64;
                for &j in &filled {
                    to[j] -= f * row[j];
                }
            } else {
                self.work += m as u64;
                for (b, v) in to.iter_mut().zip(&row) {
                    *b -= f * v;
                }
            }
        }
        self.value[at] = step;
        self.place[self.basis[at]] = usize::MAX;
        self.basis[at] = column;
        self.place[column] = at;
        self.since += 1;
        self.since < REFRESH || self.refresh()
    }

    /// Primal simplex from a feasible basis.
    pub fn primal(&mut self, tolerance: f64) -> Ended {
        let (mut stalled, mut last) = (0, f64::INFINITY);
        for _ in 0..20_000 + 50 * self.rows {
            self.work += 4 * self.columns.len() as u64;
            let mut enter = usize::MAX;
            let mut best = -tolerance;
            for j in 0..self.columns.len() {
                if self.on[j] && self.place[j] == usize::MAX {
                    let r = self.reduced(j);
                    if r < best {
                        best = r;
                        enter = j;
                        if stalled > STALLED {
                            break;
                        }
                    }
                }
            }
            if enter == usize::MAX {
                return Ended::Optimal;
            }
            let along = self.coordinates(enter);
            let Some(leave) = self.ratio(&along) else {
                return Ended::GaveUp;
            };
            self.value[leave] = self.value[leave].max(0.0);
            if !self.pivot(leave, enter, &along, best) {
                return Ended::GaveUp;
            }
            let now = self.objective();
            stalled = if now < last - 1e-10 { 0 } else { stalled + 1 };
            last = last.min(now);
        }
        Ended::GaveUp
    }

    /// The place that leaves: two passes, so that a large pivot is taken among
    /// those that are nearly as tight.
    fn ratio(&self, along: &[f64]) -> Option<usize> {
        let mut limit = f64::INFINITY;
        for (&a, &x) in along.iter().zip(&self.value) {
            if a > PIVOT {
                limit = limit.min((x.max(0.0) + FEASIBLE) / a);
            }
        }
        let mut leave = None;
        let mut largest = 0.0;
        for (i, (&a, &x)) in along.iter().zip(&self.value).enumerate() {
            if a > PIVOT && x.max(0.0) / a <= limit && a > largest {
                largest = a;
                leave = Some(i);
            }
        }
        leave
    }

    /// Dual simplex from prices that are right for the columns that are on.
    pub fn dual(&mut self) -> Ended {
        let m = self.rows;
        for _ in 0..5_000 + 20 * m {
            let mut leave = usize::MAX;
            let mut worst = -FEASIBLE;
            for (i, &x) in self.value.iter().enumerate() {
                if x < worst {
                    worst = x;
                    leave = i;
                }
            }
            if leave == usize::MAX {
                return Ended::Optimal;
            }
            let Some(enter) = self.dual_ratio(leave) else {
                return Ended::Infeasible;
            };
            let along = self.coordinates(enter);
            let reduced = self.reduced(enter);
            if along[leave].abs() < PIVOT {
                if self.since == 0 || !self.refresh() {
                    return Ended::GaveUp;
                }
                continue;
            }
            if !self.pivot(leave, enter, &along, reduced) {
                return Ended::GaveUp;
            }
        }
        Ended::GaveUp
    }

    /// The column that enters when a place must leave.
    fn dual_ratio(&mut self, leave: usize) -> Option<usize> {
        let m = self.rows;
        self.work += 8 * self.columns.len() as u64;
        let row = &self.inverse[leave * m..(leave + 1) * m];
        let (mut enter, mut limit, mut largest) = (None, f64::INFINITY, 0.0);
        for j in 0..self.columns.len() {
            if !self.on[j] || self.place[j] != usize::MAX {
                continue;
            }
            let s: f64 = self.columns[j].entries.iter().map(|&(i, v)| row[i as usize] * v).sum();
            if s < -1e-8 {
                let t = self.reduced(j).max(0.0) / -s;
                if t < limit - 1e-10 || (t < limit + 1e-10 && -s > largest) {
                    limit = limit.min(t);
                    largest = -s;
                    enter = Some(j);
                }
            }
        }
        enter
    }

    /// Changes the right-hand side; the basis stays.
    pub fn set_rhs(&mut self, rhs: &[f64]) {
        self.rhs.copy_from_slice(rhs);
        self.revalue();
    }

    /// Appends a row with its own slack or surplus column of entry `sign`;
    /// gives the index of that column, which is basic.
    pub fn add_row(&mut self, rhs: f64, entries: &[(usize, f64)], sign: f64) -> usize {
        let m = self.rows;
        for &(j, v) in entries {
            Rc::make_mut(&mut self.columns[j]).entries.push((m as u32, v));
        }
        let wide = m + 1;
        let mut inverse = vec![0.0; wide * wide];
        for i in 0..m {
            inverse[i * wide..i * wide + m].copy_from_slice(&self.inverse[i * m..(i + 1) * m]);
        }
        for &(j, v) in entries {
            if self.is_basic(j) {
                let i = self.place[j];
                for t in 0..m {
                    inverse[m * wide + t] -= v / sign * self.inverse[i * m + t];
                }
            }
        }
        inverse[m * wide + m] = 1.0 / sign;
        self.inverse = inverse;
        self.rows = wide;
        self.rhs.push(rhs);
        let slack = self.add(0.0, vec![(m as u32, sign)]);
        self.basis.push(slack);
        self.place[slack] = m;
        self.work += (m * m) as u64;
        self.revalue();
        self.reprice();
        slack
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// One step of Gauss and Jordan on column `k`.
fn eliminate(a: &mut [f64], inverse: &mut [f64], k: usize, m: usize) {
    let d = 1.0 / a[k * m + k];
    for j in k..m {
        a[k * m + j] *= d;
    }
    for j in 0..m {
        inverse[k * m + j] *= d;
    }
    let left: Vec<f64> = a[k * m..(k + 1) * m].to_vec();
    let right: Vec<f64> = inverse[k * m..(k + 1) * m].to_vec();
    for i in (0..m).filter(|&i| i != k) {
        let f = a[i * m + k];
        if f != 0.0 {
            for j in k..m {
                a[i * m + j] -= f * left[j];
            }
            for (x, y) in inverse[i * m..(i + 1) * m].iter_mut().zip(&right) {
                *x -= f * y;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_programme_is_solved_and_warm_started() {
        // Two kinds, three ways to cut: two of the first, one of each, three of the second.
        let mut lp = Lp::new(vec![3.0, 5.0]);
        let (a, b) = (lp.add(10.0, vec![(0, 1.0)]), lp.add(10.0, vec![(1, 1.0)]));
        lp.add(1.0, vec![(0, 2.0)]);
        lp.add(1.0, vec![(0, 1.0), (1, 1.0)]);
        lp.add(1.0, vec![(1, 3.0)]);
        assert!(lp.start(vec![a, b]));
        assert_eq!(lp.primal(1e-9), Ended::Optimal);
        assert!((lp.objective() - (1.5 + 5.0 / 3.0)).abs() < 1e-9);
        lp.set_rhs(&[1.0, 5.0]);
        assert_eq!(lp.dual(), Ended::Optimal);
        assert!((lp.objective() - (0.5 + 5.0 / 3.0)).abs() < 1e-9);
        // At most one bar of the last kind.
        lp.add_row(1.0, &[(4, 1.0)], 1.0);
        assert_eq!(lp.dual(), Ended::Optimal);
        assert_eq!(lp.primal(1e-9), Ended::Optimal);
        assert!(lp.objective() > 2.9);
    }
}
