//! Lower bounds on money and waste that hold for jobs of any size.
//!
//! For every threshold, only pieces of at least that size are looked at. What
//! one bar can hold of them is measured twice: by the sums of sizes that can
//! be reached in its room, and by number. The bars bought must make up for
//! what the limited bars cannot hold.

use crate::cut::bars::model::{Kind, Problem};
use crate::cut::bars::sums::Sums;

/// Most thresholds looked at, spread over the sizes.
const MAX_THRESHOLDS: usize = 24;
/// Most ways to combine bought lengths that are listed for one cover.
const MAX_COVERS: u32 = 20_000;

/// Greatest common divisor of all sizes, nm.
fn unit(kinds: &[Kind]) -> i64 {
    fn divisor(a: i64, b: i64) -> i64 {
        if b == 0 { a } else { divisor(b, a % b) }
    }
    kinds.iter().fold(0, |g, k| divisor(g, k.size)).max(1)
}

fn longest_room(problem: &Problem) -> i64 {
    problem.classes.iter().map(|c| c.room).max().unwrap_or(0)
}

/// The most that one bar can hold: a need in the same unit, and per class.
struct Need {
    /// What has to be held.
    total: i64,
    /// What one bar of each class holds at most.
    holds: Vec<i64>,
}

/// By size: the largest reachable sum of each class.
fn by_size(problem: &Problem, kinds: &[Kind], sums: &Sums) -> Need {
    Need {
        total: kinds.iter().map(|k| k.size * i64::from(k.count)).sum(),
        holds: problem.classes.iter().map(|c| sums.up_to(c.room)).collect(),
    }
}

/// By number: how many of the smallest pieces each class takes.
fn by_number(problem: &Problem, kinds: &[Kind]) -> Need {
    let holds = |room: i64| {
        let (mut left, mut number) = (room, 0);
        for kind in kinds.iter().rev() {
            let more = (left / kind.size).min(i64::from(kind.count));
            number += more;
            left -= more * kind.size;
            if more < i64::from(kind.count) {
                break;
            }
        }
        number
    };
    Need {
        total: kinds.iter().map(|k| i64::from(k.count)).sum(),
        holds: problem.classes.iter().map(|c| holds(c.room)).collect(),
    }
}

/// The least price of bars that hold the need: limited bars that cost nothing
/// are all used, the others are taken as if there were any number of them.
fn cheapest_cover(problem: &Problem, need: &Need) -> i64 {
    let mut left = need.total;
    let mut dear: Vec<(i64, i64)> = Vec::new();
    for (class, &holds) in problem.classes.iter().zip(&need.holds) {
        match class.count {
            Some(count) if class.price == 0 => left = left.saturating_sub(holds.saturating_mul(i64::from(count))),
            _ if holds > 0 => dear.push((holds, class.price)),
            _ => {}
        }
    }
    if left <= 0 || dear.is_empty() {
        return 0;
    }
    // Best value first; ties by size so that the order is fixed.
    dear.sort_by(|a, b| {
        let (x, y) = (i128::from(a.1) * i128::from(b.0), i128::from(b.1) * i128::from(a.0));
        x.cmp(&y).then(b.cmp(a))
    });
    let mut cover = Cover { dear: &dear, best: i64::MAX, listed: 0 };
    cover.list(0, left, 0);
    if cover.listed > MAX_COVERS { fraction(left, dear[0]) } else { cover.best }
}

/// Price of part of a bar, rounded up.
fn fraction(left: i64, (holds, price): (i64, i64)) -> i64 {
    let money = i128::from(left) * i128::from(price);
    let whole = (money + i128::from(holds) - 1) / i128::from(holds);
    i64::try_from(whole).unwrap_or(i64::MAX)
}

/// Lists combinations of bought bars, most of the best value first.
struct Cover<'a> {
    dear: &'a [(i64, i64)],
    best: i64,
    listed: u32,
}

impl Cover<'_> {
    fn list(&mut self, from: usize, left: i64, paid: i64) {
        self.listed += 1;
        if left <= 0 {
            self.best = self.best.min(paid);
            return;
        }
        if from == self.dear.len() || self.listed > MAX_COVERS {
            return;
        }
        let (holds, price) = self.dear[from];
        if paid.saturating_add(fraction(left, (holds, price))) >= self.best {
            return;
        }
        let most = (left + holds - 1) / holds;
        for number in (0..=most).rev() {
            let pay = paid.saturating_add(number.saturating_mul(price));
            self.list(from + 1, left - number * holds, pay);
        }
    }
}

/// A total length of pieces that every plan leaves uncut.
pub(in crate::cut) fn uncut_length(problem: &Problem) -> i64 {
    let mut sums = Sums::new(longest_room(problem), unit(&problem.kinds));
    for kind in &problem.kinds {
        sums.add(kind.size, kind.count);
    }
    let need = by_size(problem, &problem.kinds, &sums);
    let mut left = need.total;
    for (class, holds) in problem.classes.iter().zip(&need.holds) {
        match class.count {
            Some(count) => left = left.saturating_sub(holds.saturating_mul(i64::from(count))),
            None if *holds > 0 => return 0,
            None => {}
        }
    }
    // What stays uncut has at least this size; its length may be smaller by
    // the allowances, so the least length per size is taken.
    let per_size = |k: &Kind| {
        let length = i128::from(left.max(0)) * i128::from(k.length);
        ((length + i128::from(k.size) - 1) / i128::from(k.size)) as i64
    };
    problem.kinds.iter().map(per_size).min().unwrap_or(0)
}

/// A number of pieces that every plan leaves uncut: no more can be cut than
/// the smallest ones that fill all limited bars.
pub(in crate::cut) fn uncut(problem: &Problem) -> i64 {
    let pieces = problem.pieces() as i64;
    let mut left = 0_i64;
    for class in &problem.classes {
        let Some(count) = class.count else { return 0 };
        left = left.saturating_add(class.room.saturating_mul(i64::from(count)));
    }
    let mut cut = 0;
    for kind in problem.kinds.iter().rev() {
        let n = (left / kind.size).min(i64::from(kind.count));
        cut += n;
        left -= n * kind.size;
        if n < i64::from(kind.count) {
            break;
        }
    }
    pieces - cut
}

/// A sum of money that no plan without uncut pieces can go below.
pub(in crate::cut) fn money(problem: &Problem) -> i64 {
    let kinds = &problem.kinds;
    let step = kinds.len().div_ceil(MAX_THRESHOLDS).max(1);
    let mut sums = Sums::new(longest_room(problem), unit(kinds));
    let mut best = 0;
    for (last, kind) in kinds.iter().enumerate() {
        sums.add(kind.size, kind.count);
        if (kinds.len() - 1 - last).is_multiple_of(step) {
            let large = &kinds[..=last];
            best = best.max(cheapest_cover(problem, &by_size(problem, large, &sums)));
            best = best.max(cheapest_cover(problem, &by_number(problem, large)));
        }
    }
    best.max(rounding_bound(problem))
}

/// Martello and Toth's L2 for a single bought length and no other bars: pieces
/// above half stand alone, and small ones fill what these leave.
///
/// # Source
/// Martello, Toth, "Knapsack Problems", Wiley 1990, section 8.3 (memory, unconfirmed).
fn rounding_bound(problem: &Problem) -> i64 {
    let [class] = problem.classes.as_slice() else {
        return 0;
    };
    let room = class.room;
    let mut best = 0;
    for small in problem.kinds.iter().filter(|k| 2 * k.size <= room) {
        let (mut alone, mut half, mut half_sum, mut sum) = (0, 0, 0, 0);
        for kind in &problem.kinds {
            let count = i64::from(kind.count);
            if kind.size > room - small.size {
                alone += count;
            } else if 2 * kind.size > room {
                half += count;
                half_sum += count * kind.size;
            } else if kind.size >= small.size {
                sum += count * kind.size;
            }
        }
        let more = (sum - (half * room - half_sum)).max(0);
        best = best.max(alone + half + (more + room - 1) / room);
    }
    best.saturating_mul(class.price)
}

/// Waste that no plan without uncut pieces can go below: the largest piece
/// lies in some bar, and that bar's remainder is one that can be reached.
pub(in crate::cut) fn waste(problem: &Problem) -> i64 {
    let Some(largest) = problem.kinds.first() else {
        return 0;
    };
    let mut sums = Sums::new(longest_room(problem) - largest.size, unit(&problem.kinds));
    for (k, kind) in problem.kinds.iter().enumerate() {
        sums.add(kind.size, kind.count - u32::from(k == 0));
    }
    let least = |c: usize| {
        let room = problem.classes[c].room;
        if room < largest.size {
            return None;
        }
        // A keeper costs nothing; without one the fullest bar wastes least.
        let border = room - problem.allowance - problem.keep.max(0);
        if largest.size <= border || problem.keep <= 0 {
            return Some(0);
        }
        Some(problem.bar_cost(c, largest.size + sums.up_to(room - largest.size)).waste)
    };
    (0..problem.classes.len()).filter_map(least).min().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cut::bars::model::Class;

    fn problem(sizes: &[(i64, u32)], classes: &[(i64, i64, Option<u32>)]) -> Problem {
        Problem {
            kinds: sizes.iter().map(|&(size, count)| Kind { size, length: size, count, shape: 0 }).collect(),
            classes: classes.iter().map(|&(room, price, count)| Class { room, price, count, worth: 0 }).collect(),
            keep: 1000,
            allowance: 0,
            ..Problem::default()
        }
    }

    #[test]
    fn pieces_over_half_need_a_bar_each() {
        assert_eq!(money(&problem(&[(51, 7)], &[(100, 3, None)])), 21);
    }

    #[test]
    fn reachable_sums_beat_the_material_bound() {
        // Three of 35 are 105 of 100: two a bar, so four need two bars.
        assert_eq!(money(&problem(&[(34, 6)], &[(100, 1, None)])), 3);
    }

    #[test]
    fn offcuts_count_first() {
        assert_eq!(money(&problem(&[(50, 4)], &[(100, 0, Some(1)), (100, 9, None)])), 9);
        assert_eq!(money(&problem(&[(50, 4)], &[(100, 0, Some(2)), (100, 9, None)])), 0);
    }

    #[test]
    fn waste_looks_at_sums_that_can_be_reached() {
        assert_eq!(waste(&problem(&[(60, 1), (25, 1)], &[(100, 0, None)])), 15);
    }
}
