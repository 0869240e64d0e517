//! Ids in letters that can be read while the chalk is looked for.

/// Five rows of three dots for each sign, the top row first, left dot highest.
const SIGNS: &[(char, [u8; 5])] = &[
    ('0', [7, 5, 5, 5, 7]),
    ('1', [2, 6, 2, 2, 7]),
    ('2', [7, 1, 7, 4, 7]),
    ('3', [7, 1, 3, 1, 7]),
    ('4', [5, 5, 7, 1, 1]),
    ('5', [7, 4, 7, 1, 7]),
    ('6', [7, 4, 7, 5, 7]),
    ('7', [7, 1, 2, 2, 2]),
    ('8', [7, 5, 7, 5, 7]),
    ('9', [7, 5, 7, 1, 7]),
    ('-', [0, 0, 7, 0, 0]),
    ('A', [2, 5, 7, 5, 5]),
    ('B', [6, 5, 6, 5, 6]),
    ('C', [7, 4, 4, 4, 7]),
    ('F', [7, 4, 6, 4, 4]),
    ('P', [7, 5, 7, 4, 4]),
    ('R', [6, 5, 6, 5, 5]),
    ('S', [3, 4, 2, 1, 6]),
    ('T', [7, 2, 2, 2, 2]),
];

/// The id in large letters, or as it is where one of its signs has none.
pub(super) fn letters(id: &str) -> String {
    let rows: Option<Vec<[u8; 5]>> = id.chars().map(|c| SIGNS.iter().find(|s| s.0 == c).map(|s| s.1)).collect();
    let Some(rows) = rows.filter(|r| r.len() <= 10) else { return format!("  {id}\n") };
    let dot = |row: u8, bit: u8| if row & bit > 0 { "##" } else { "  " };
    let line = |i: usize| {
        let signs: Vec<String> =
            rows.iter().map(|r| [4, 2, 1].iter().map(|b| dot(r[i], *b)).collect::<String>()).collect();
        format!("  {}\n", signs.join("  ").trim_end())
    };
    (0..5).map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_of_the_tool_is_drawn_and_any_other_printed() {
        let drawn = letters("F-02");
        assert_eq!(drawn.lines().count(), 5);
        assert!(drawn.starts_with("  ######          ######  ######\n"), "{drawn}");
        assert_eq!(letters("Ölrest"), "  Ölrest\n");
    }
}
