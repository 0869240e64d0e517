//! Rectangles out of a piece of steel of any outline: which ones lie in it, and
//! in which ways through cuts free them.
//!
//! Rectangles are looked for on a grid: the corners' coordinates, where lines
//! through them meet slanted edges, and the sizes that are wanted, measured
//! from corners. So beside slanted edges the largest rectangle may be missed;
//! what is found lies in the steel without exception.

use crate::cut::plates::pack::Blank;
use crate::cut::plates::steel::{Piece, Point, Span, coordinate, edges};

/// Most grid lines along an axis: a piece is then looked through in well below
/// a millisecond.
const LINES: usize = 48;
/// Rectangles that a carving may begin with.
const FIRST: usize = 6;
/// Ways of carving that are kept of a plate.
const WAYS: usize = 12;
/// Rectangles in one way of carving.
const PARTS: usize = 24;

/// A through cut, and a box in the piece that it divides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Step {
    /// 0: the mark runs along y and divides x; 1: the other way.
    pub axis: usize,
    /// The mark; the blade takes the kerf beyond it.
    pub at: i64,
    /// Tells which piece is meant.
    pub within: Span,
}

/// One way to free rectangles.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Carving {
    /// In steel.
    pub rects: Vec<Span>,
    pub steps: Vec<Step>,
}

/// A plate to be carved.
pub(super) struct Carver<'a> {
    pub plate: &'a Piece,
    pub trim: i64,
    pub kerf: i64,
    /// In steel with the kerf added, as the planner has them.
    pub blanks: &'a [Blank],
}

/// The largest rectangle in a piece that keeps clear of its edges by the trim.
pub(super) fn largest(piece: &Piece, trim: i64) -> Option<Span> {
    Carver { plate: piece, trim, kerf: 0, blanks: &[] }.rectangles(piece, &[]).into_iter().next()
}

/// All rectangles of a piece that cannot be made larger, largest first.
pub(super) fn rectangles(piece: &Piece) -> Vec<Span> {
    Carver { plate: piece, trim: 0, kerf: 0, blanks: &[] }.rectangles(piece, &[])
}

impl Carver<'_> {
    /// Ways of carving, the one of most area first.
    pub fn carvings(&self) -> Vec<Carving> {
        if self.plate.is_rectangle() && self.trim == 0 {
            return vec![Carving { rects: vec![self.plate.span()], steps: Vec::new() }];
        }
        let mut sizes: Vec<i64> = self.blanks.iter().flat_map(|b| [b.length, b.width]).map(|s| s - self.kerf).collect();
        sizes.sort_unstable();
        sizes.dedup();
        let rects: Vec<Span> = self.rectangles(self.plate, &sizes).into_iter().filter(|r| self.of_use(r)).collect();
        let mut first: Vec<Span> = rects.iter().take(FIRST - 2).copied().collect();
        first.extend((0..2).filter_map(|axis| rects.iter().max_by_key(|r| (r.extent(axis), r.area())).copied()));
        first.dedup();
        let mut found: Vec<Carving> = Vec::new();
        for rect in first {
            for turn in 0..8 {
                let mut carving = Carving::default();
                let rest = self.free(self.plate, &rect, turn, &mut carving);
                rest.iter().for_each(|piece| self.carve_rest(piece, &mut carving));
                let mut key = carving.rects.clone();
                key.sort_unstable();
                let same = |c: &Carving| {
                    let mut other = c.rects.clone();
                    other.sort_unstable();
                    other == key
                };
                if !found.iter().any(same) {
                    found.push(carving);
                }
            }
        }
        let area = |c: &Carving| c.rects.iter().map(Span::area).sum::<i128>();
        found.sort_by(|a, b| area(b).cmp(&area(a)).then_with(|| (&a.rects, &a.steps).cmp(&(&b.rects, &b.steps))));
        found.truncate(WAYS);
        found
    }

    /// Some blank comes out of a rectangle.
    fn of_use(&self, rect: &Span) -> bool {
        let (length, width) = (rect.extent(0) + self.kerf, rect.extent(1) + self.kerf);
        let lies = |l: i64, w: i64| l <= length && w <= width;
        self.blanks.is_empty()
            || self.blanks.iter().any(|b| lies(b.length, b.width) || b.may_turn && lies(b.width, b.length))
    }

    /// Frees the largest rectangle of a piece, then those of what is left.
    fn carve_rest(&self, piece: &Piece, carving: &mut Carving) {
        if carving.rects.len() >= PARTS {
            return;
        }
        let Some(rect) = self.rectangles(piece, &[]).into_iter().find(|r| self.of_use(r)) else {
            return;
        };
        let best = (0..8).max_by_key(|&turn| {
            let rest = self.free(piece, &rect, turn, &mut Carving::default());
            let next = rest.iter().map(|p| self.rectangles(p, &[]).first().map_or(0, Span::area));
            (next.max().unwrap_or(0), 8 - turn)
        });
        let rest = self.free(piece, &rect, best.unwrap_or(0), carving);
        rest.iter().for_each(|p| self.carve_rest(p, carving));
    }

    /// Cuts a rectangle free; what falls off. The order of the cuts depends on
    /// `turn`: which side comes first, and whether its opposite is next.
    fn free(&self, piece: &Piece, rect: &Span, turn: usize, carving: &mut Carving) -> Vec<Piece> {
        // Sides: 0 left, 1 right, 2 lower, 3 upper.
        let first = turn % 4;
        let order =
            if turn < 4 { [first, first ^ 1, first ^ 2, first ^ 3] } else { [first, first ^ 2, first ^ 1, first ^ 3] };
        let (mut hand, mut rest) = (piece.clone(), Vec::new());
        for side in order {
            let axis = side / 2;
            let (span, far) = (hand.span(), side % 2 == 1);
            let needed = if far { span.high(axis) > rect.high(axis) } else { span.low(axis) < rect.low(axis) };
            if !needed {
                continue;
            }
            let at = if far { rect.high(axis) } else { rect.low(axis) - self.kerf };
            let mut parts = hand.cut(axis, at, self.kerf);
            let Some(index) = parts.iter().position(|p| p.holds(rect)) else {
                debug_assert!(false, "a cut beside a rectangle went through it");
                return Vec::new();
            };
            hand = parts.swap_remove(index);
            rest.extend(parts);
            carving.steps.push(Step { axis, at, within: *rect });
        }
        carving.rects.push(*rect);
        rest
    }

    /// All rectangles of a piece that lie in the sound part of the plate and
    /// cannot be made larger, on the grid; largest first.
    fn rectangles(&self, piece: &Piece, sizes: &[i64]) -> Vec<Span> {
        if self.trim == 0 && piece.is_rectangle() {
            return vec![piece.span()];
        }
        let [xs, ys] = self.grid(piece, sizes);
        let sound = |s: &Span| piece.holds(s) && (self.trim == 0 || self.plate.holds(&s.grown(self.trim)));
        let cell = |i: usize, j: usize| sound(&Span { low: (xs[i], ys[j]), high: (xs[i + 1], ys[j + 1]) });
        let (columns, rows) = (xs.len().saturating_sub(1), ys.len().saturating_sub(1));
        let cells: Vec<Vec<bool>> = (0..columns).map(|i| (0..rows).map(|j| cell(i, j)).collect()).collect();
        let mut found = Vec::new();
        for left in 0..columns {
            let mut open = cells[left].clone();
            for right in left..columns {
                open.iter_mut().zip(&cells[right]).for_each(|(o, c)| *o &= c);
                let mut row = 0;
                while row < rows {
                    let run = open[row..].iter().take_while(|o| **o).count();
                    if run > 0 {
                        let wider = |c: Option<&Vec<bool>>| c.is_some_and(|c| c[row..row + run].iter().all(|o| *o));
                        let before = left.checked_sub(1).and_then(|l| cells.get(l));
                        if !wider(before) && !wider(cells.get(right + 1)) {
                            found.push(Span { low: (xs[left], ys[row]), high: (xs[right + 1], ys[row + run]) });
                        }
                    }
                    row += run.max(1);
                }
            }
        }
        found.sort_by_key(|s| (-s.area(), *s));
        found
    }

    /// The lines on which rectangles are looked for.
    fn grid(&self, piece: &Piece, sizes: &[i64]) -> [Vec<i64>; 2] {
        let span = piece.span();
        let mut lines: [Vec<i64>; 2] = [Vec::new(), Vec::new()];
        let mut slanted: Vec<(Point, Point)> = Vec::new();
        for (axis, lines) in lines.iter_mut().enumerate() {
            for p in piece.rings().flatten() {
                lines.push(coordinate(*p, axis));
            }
            if self.trim > 0 {
                for p in self.plate.rings().flatten() {
                    lines.extend([coordinate(*p, axis) - self.trim, coordinate(*p, axis) + self.trim]);
                }
            }
            settle(lines, &span, axis);
        }
        let rings = piece.rings().chain(self.plate.rings().filter(|_| self.trim > 0));
        slanted.extend(rings.flat_map(|r| edges(r)).filter(|(a, b)| a.0 != b.0 && a.1 != b.1));
        if slanted.is_empty() {
            return lines;
        }
        let base = lines.clone();
        for axis in 0..2 {
            let mut more: Vec<i64> =
                slanted.iter().map(|(a, b)| (coordinate(*a, axis) + coordinate(*b, axis)) / 2).collect();
            for size in sizes.iter().rev() {
                let ends = [span.low(axis) + self.trim + size, span.high(axis) - self.trim - size];
                more.extend(ends);
            }
            settle(&mut more, &span, axis);
            let room = (LINES / 2).saturating_sub(base[axis].len());
            lines[axis].extend(thin(more, room));
            settle(&mut lines[axis], &span, axis);
        }
        let before = lines.clone();
        for axis in 0..2 {
            let mut more = Vec::new();
            for (a, b) in &slanted {
                for &at in &before[1 - axis] {
                    for shift in [-self.trim, self.trim] {
                        more.extend(meets(*a, *b, axis, at + shift, self.trim));
                    }
                }
            }
            settle(&mut more, &span, axis);
            let room = LINES.saturating_sub(before[axis].len());
            lines[axis].extend(thin(more, room));
            settle(&mut lines[axis], &span, axis);
        }
        lines
    }
}

/// Coordinates along `axis`, on both sides of where an edge meets a line.
fn meets(a: Point, b: Point, axis: usize, at: i64, trim: i64) -> Vec<i64> {
    let (u, v) = (coordinate(a, 1 - axis), coordinate(b, 1 - axis));
    if u == v || at < u.min(v) || at > u.max(v) {
        return Vec::new();
    }
    let (s, t) = (i128::from(coordinate(a, axis)), i128::from(coordinate(b, axis)));
    let top = (t - s) * i128::from(at - u);
    let low = s as i64 + top.div_euclid(i128::from(v - u)) as i64;
    if trim == 0 { vec![low, low + 1] } else { vec![low - trim, low + 1 + trim] }
}

fn settle(lines: &mut Vec<i64>, span: &Span, axis: usize) {
    lines.retain(|v| (span.low(axis)..=span.high(axis)).contains(v));
    lines.sort_unstable();
    lines.dedup();
}

/// At most so many of a list, evenly spread.
fn thin(list: Vec<i64>, most: usize) -> Vec<i64> {
    if list.len() <= most {
        return list;
    }
    (0..most).map(|i| list[i * list.len() / most]).collect()
}
