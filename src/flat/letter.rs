//! Letters for holes and copies.

/// The `n`-th letter from 0: A ... Z, AA, AB, ...; I and O are left out, since
/// they are read as 1 and 0 on oily paper.
pub fn letter(n: usize) -> String {
    const LETTERS: &[u8] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";
    let base = LETTERS.len();
    let mut out = vec![];
    let mut rest = n + 1;
    while rest > 0 {
        out.push(LETTERS[(rest - 1) % base] as char);
        rest = (rest - 1) / base;
    }
    out.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::letter;

    #[test]
    fn letters_skip_i_and_o_and_go_on_after_z() {
        assert_eq!([0, 7, 8, 13, 23, 24, 25].map(letter), ["A", "H", "J", "P", "Z", "AA", "AB"]);
    }
}
