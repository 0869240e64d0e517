//! Which sums of sizes can be reached, kept up as sizes are added.

/// Most bits kept; above that sums are listed one by one.
const MOST_BITS: i64 = 1 << 21;
/// Most sums listed one by one.
const MOST_SUMS: usize = 20_000;

/// Sums that can be reached, up to a room.
pub(in crate::cut) struct Sums {
    unit: i64,
    room: i64,
    kept: Kept,
}

enum Kept {
    /// One bit for each multiple of the unit.
    Bits(Vec<u64>),
    /// Ascending.
    List(Vec<i64>),
    /// Too many to tell.
    Unknown,
}

impl Sums {
    /// Only nothing can be reached yet. All sizes are multiples of `unit`.
    pub fn new(room: i64, unit: i64) -> Sums {
        let room = room.max(0);
        let unit = unit.max(1);
        let bits = room / unit + 1;
        let kept = if bits <= MOST_BITS {
            let mut words = vec![0_u64; (bits as usize).div_ceil(64)];
            words[0] = 1;
            Kept::Bits(words)
        } else {
            Kept::List(vec![0])
        };
        Sums { unit, room, kept }
    }

    /// So many pieces of a size can be added.
    pub fn add(&mut self, size: i64, count: u32) {
        let most = self.room;
        match &mut self.kept {
            Kept::Bits(words) => {
                let (mut left, mut step) = (i64::from(count).min(most / size), 1);
                while left > 0 {
                    let n = step.min(left);
                    shift_in(words, (n * size / self.unit) as usize);
                    left -= n;
                    step *= 2;
                }
            }
            Kept::List(list) => {
                let mut layer = list.clone();
                for _ in 0..count {
                    layer.iter_mut().for_each(|s| *s += size);
                    layer.retain(|&s| s <= most);
                    if layer.is_empty() {
                        break;
                    }
                    list.extend_from_slice(&layer);
                    list.sort_unstable();
                    list.dedup();
                    if list.len() > MOST_SUMS {
                        self.kept = Kept::Unknown;
                        return;
                    }
                }
            }
            Kept::Unknown => {}
        }
    }

    /// The largest sum up to a room, or the room itself if that is not known.
    pub fn up_to(&self, room: i64) -> i64 {
        if room < 0 {
            return room;
        }
        match &self.kept {
            Kept::Bits(words) => {
                let top = (room.min(self.room) / self.unit) as usize;
                let mut word = top / 64;
                let mut bits = words[word] & (u64::MAX >> (63 - top % 64));
                while bits == 0 {
                    word -= 1;
                    bits = words[word];
                }
                (word as i64 * 64 + i64::from(bits.ilog2())) * self.unit
            }
            Kept::List(list) => list[list.partition_point(|&s| s <= room) - 1],
            Kept::Unknown => room,
        }
    }
}

/// Adds to every sum, once.
fn shift_in(words: &mut [u64], by: usize) {
    let (jump, bits) = (by / 64, by % 64);
    for i in (jump..words.len()).rev() {
        let mut from = words[i - jump] << bits;
        if bits > 0 && i > jump {
            from |= words[i - jump - 1] >> (64 - bits);
        }
        words[i] |= from;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bits_and_list_agree() {
        let sizes = [(70, 3), (64, 1), (1, 2), (300, 2)];
        let (mut bits, mut list) = (Sums::new(900, 1), Sums::new(900, 1));
        list.kept = Kept::List(vec![0]);
        for (size, count) in sizes {
            bits.add(size, count);
            list.add(size, count);
        }
        for room in 0..900 {
            assert_eq!(bits.up_to(room), list.up_to(room), "{room}");
        }
    }
}
