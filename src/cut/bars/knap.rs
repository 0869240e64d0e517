//! The best filling of one bar for given prices of the pieces: a bounded
//! knapsack in whole numbers, always exact.
//!
//! Two ways, with the same answers: a table over every used length where the
//! numbers are small, else lists of fillings none of which is both longer and
//! worth less than another.

/// Kinds with how many of each, ascending by kind.
pub(super) type Filling = Vec<(u16, u16)>;

/// Not reachable.
pub(super) const NEVER: i64 = i64::MIN / 4;

/// A kind that may be cut: its index, size, number and worth.
#[derive(Clone, Copy, Debug)]
pub(super) struct Item {
    /// Index of the kind.
    pub kind: u16,
    /// Size, above 0.
    pub size: i64,
    /// How many at most.
    pub most: i64,
    /// Worth of one.
    pub worth: i64,
}

/// Best worth by used length.
pub(super) struct Table {
    /// Kind, number, of each chunk of a kind.
    chunks: Vec<(u16, u16, usize)>,
    taken: Vec<u8>,
    width: usize,
    /// `best[u]`: the most that a filling of length exactly `u` is worth.
    pub best: Vec<i64>,
}

/// Cells of the table that a bar of `room` would need.
pub(super) fn cells(items: &[Item], room: i64) -> u64 {
    let chunk = |i: &Item| u64::from(64 - (i.most.min(room / i.size).max(0) as u64).leading_zeros());
    (items.iter().map(chunk).sum::<u64>() + 1).saturating_mul(room.max(0) as u64 + 1)
}

impl Table {
    /// Fills the table up to a room.
    pub fn new(items: &[Item], room: i64) -> Table {
        let width = room.max(0) as usize + 1;
        let mut table = Table { chunks: Vec::new(), taken: Vec::new(), width, best: vec![NEVER; width] };
        table.best[0] = 0;
        let mut old = table.best.clone();
        let mut top = 0;
        for item in items {
            let (mut left, mut step) = (item.most.min(room / item.size), 1);
            while left > 0 {
                let n = step.min(left);
                let (weight, worth) = ((n * item.size) as usize, n * item.worth);
                old[..width].copy_from_slice(&table.best);
                let base = table.taken.len();
                table.taken.resize(base + width, 0);
                let end = (top + weight).min(width - 1);
                let marks = &mut table.taken[base + weight..=base + end];
                let new = &mut table.best[weight..=end];
                let there = &old[weight..=end];
                let from = &old[..=end - weight];
                for (((mark, new), &there), &from) in marks.iter_mut().zip(new).zip(there).zip(from) {
                    let value = from + worth;
                    let better = value > there;
                    *mark = u8::from(better);
                    *new = if better { value } else { there };
                }
                top = end;
                table.chunks.push((item.kind, n as u16, weight));
                left -= n;
                step *= 2;
            }
        }
        table
    }

    /// The filling behind `best[used]`, kinds ascending.
    pub fn filling(&self, mut used: usize) -> Filling {
        let mut out: Filling = Vec::new();
        for (c, &(kind, n, weight)) in self.chunks.iter().enumerate().rev() {
            if self.taken[c * self.width + used] == 1 {
                used -= weight;
                match out.last_mut() {
                    Some(last) if last.0 == kind => last.1 += n,
                    _ => out.push((kind, n)),
                }
            }
        }
        out.sort_unstable();
        out
    }
}

/// A filling in a list: its length, worth, and how it came about.
#[derive(Clone, Copy)]
struct Label {
    used: i64,
    worth: i64,
    before: u32,
    kind: u16,
}

/// What a search by lists found.
pub(super) struct Found {
    /// No filling is worth more than this, nor than the floor given.
    pub bound: i64,
    /// The best filling above the floor: its true worth and its kinds.
    pub best: Option<(i64, Filling)>,
    /// Lists made.
    pub work: u64,
}

/// Most fillings listed before the search answers with a fraction's bound.
const MOST_LABELS: usize = 3_000_000;

/// The best filling of `room` that is worth more than `floor`. Beyond `full`
/// each unit of length costs `over`, 0 or more.
pub(super) fn lists(items: &[Item], room: i64, (full, over): (i64, i64), floor: i64) -> Found {
    let mut order: Vec<Item> = items.iter().copied().filter(|i| i.most > 0 && i.worth > 0 && i.size <= room).collect();
    order.sort_by(|a, b| {
        let (x, y) = (i128::from(b.worth) * i128::from(a.size), i128::from(a.worth) * i128::from(b.size));
        x.cmp(&y).then(a.kind.cmp(&b.kind))
    });
    let rates: Vec<i128> = order.iter().map(Item::rate).collect();
    let mut all = vec![Label { used: 0, worth: 0, before: u32::MAX, kind: 0 }];
    let mut front: Vec<u32> = vec![0];
    let (mut best, mut last) = (floor, None);
    for t in 0..order.len() {
        let item = order[t];
        front.retain(|&x| {
            let l = all[x as usize];
            let left = room - l.used;
            // The first and best rate alone refuses most; then in more steps.
            l.worth + part(rates[t], left) > best && l.worth + fraction(&order[t..], &rates[t..], left) > best
        });
        if front.is_empty() {
            break;
        }
        if all.len() > MOST_LABELS {
            let bound = front
                .iter()
                .map(|&x| {
                    all[x as usize].worth.saturating_add(fraction(
                        &order[t..],
                        &rates[t..],
                        room - all[x as usize].used,
                    ))
                })
                .max()
                .unwrap_or(best);
            return Found { bound: bound.max(best), best: read(&all, last, best), work: all.len() as u64 };
        }
        let mut newest = front.clone();
        for _ in 0..item.most {
            let mut next = Vec::new();
            for &x in &newest {
                let l = all[x as usize];
                let used = l.used + item.size;
                if used > room {
                    continue;
                }
                let worth = l.worth + item.worth;
                all.push(Label { used, worth, before: x, kind: item.kind });
                let id = all.len() as u32 - 1;
                let real = worth - over * (used - full).max(0);
                if real > best {
                    best = real;
                    last = Some(id);
                }
                next.push(id);
            }
            if next.is_empty() {
                break;
            }
            front = merged(&front, &next, &all);
            newest = next;
        }
    }
    Found { bound: best, best: read(&all, last, best), work: all.len() as u64 }
}

/// Two lists, shortest filling first, as one, without fillings that another
/// one beats in length and worth.
fn merged(a: &[u32], b: &[u32], all: &[Label]) -> Vec<u32> {
    let mut out = Vec::with_capacity(a.len() + b.len());
    let (mut i, mut j, mut top) = (0, 0, i64::MIN);
    while i < a.len() || j < b.len() {
        let first = match (a.get(i), b.get(j)) {
            (Some(&x), Some(&y)) => {
                let (l, r) = (all[x as usize], all[y as usize]);
                (l.used, -l.worth) <= (r.used, -r.worth)
            }
            (x, _) => x.is_some(),
        };
        let x = if first {
            i += 1;
            a[i - 1]
        } else {
            j += 1;
            b[j - 1]
        };
        let worth = all[x as usize].worth;
        if worth > top {
            top = worth;
            out.push(x);
        }
    }
    out
}

fn read(all: &[Label], last: Option<u32>, worth: i64) -> Option<(i64, Filling)> {
    let mut at = last?;
    let mut out: Filling = Vec::new();
    while all[at as usize].before != u32::MAX {
        let label = all[at as usize];
        match out.iter_mut().find(|x| x.0 == label.kind) {
            Some(x) => x.1 += 1,
            None => out.push((label.kind, 1)),
        }
        at = label.before;
    }
    out.sort_unstable();
    Some((worth, out))
}

impl Item {
    /// Worth per length times 2^20, rounded up.
    fn rate(&self) -> i128 {
        ((i128::from(self.worth) << 20) + i128::from(self.size) - 1) / i128::from(self.size)
    }
}

/// Worth of `left` of room at a rate, rounded up.
fn part(rate: i128, left: i64) -> i64 {
    i64::try_from(((rate * i128::from(left)) >> 20) + 1).map_or(NEVER.abs(), |w| w.min(NEVER.abs()))
}

/// The most that `left` of room can be worth if pieces could be divided;
/// `items` come with the best worth per length first.
fn fraction(items: &[Item], rates: &[i128], mut left: i64) -> i64 {
    let mut worth = 0_i64;
    for (step, (item, &rate)) in items.iter().zip(rates).enumerate() {
        let whole = item.most.saturating_mul(item.size);
        if whole > left || step == 6 {
            return worth + part(rate, left);
        }
        worth += item.most * item.worth;
        left -= whole;
    }
    worth
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Tries every filling.
    fn every(items: &[Item], room: i64, from: usize, used: i64, worth: i64, (full, over): (i64, i64)) -> i64 {
        let mut best = worth - over * (used - full).max(0);
        for k in from..items.len() {
            for n in 1..=items[k].most {
                let more = used + n * items[k].size;
                if more <= room {
                    best = best.max(every(items, room, k + 1, more, worth + n * items[k].worth, (full, over)));
                }
            }
        }
        best
    }

    #[test]
    fn both_ways_agree_with_every_filling() {
        let mut seed = 5_u64;
        let mut dice = |n: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            ((seed >> 33) % n) as i64
        };
        for round in 0..300 {
            let near = dice(2) == 0;
            let items: Vec<Item> = (0..1 + dice(5) as u16)
                .map(|kind| {
                    let size = if near { 300 + dice(3) } else { 20 + dice(400) };
                    Item {
                        kind,
                        size,
                        most: 1 + dice(4),
                        worth: size * 1_000_000 + dice(if near { 3 } else { 1 << 28 }),
                    }
                })
                .collect();
            let full = 200 + dice(1200);
            let (room, over) = (full + dice(10), 1_000_000 * dice(2));
            let want = every(&items, room, 0, 0, 0, (full, over));
            let table = Table::new(&items, room);
            let real = |u: usize| table.best[u] - over * (u as i64 - full).max(0);
            let at = (0..table.best.len()).filter(|&u| table.best[u] >= 0).max_by_key(|&u| real(u)).unwrap_or(0);
            assert_eq!(real(at), want, "table, round {round}");
            let sum: i64 = table.filling(at).iter().map(|&(k, n)| items[k as usize].size * i64::from(n)).sum();
            assert_eq!(sum, at as i64);
            let found = lists(&items, room, (full, over), 0);
            assert_eq!(found.best.map_or(0, |b| b.0), want, "lists, round {round}");
            assert_eq!(found.bound, want);
        }
    }
}
