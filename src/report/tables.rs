//! Plain text tables.

/// A table: headings, rows, and which columns stand to the right.
#[derive(Clone, Debug, Default)]
pub struct Table {
    heads: Vec<String>,
    right: Vec<bool>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// A table with these headings; one that begins with `>` stands to the right.
    pub fn new(heads: &[&str]) -> Table {
        Table {
            heads: heads.iter().map(|h| h.trim_start_matches('>').to_string()).collect(),
            right: heads.iter().map(|h| h.starts_with('>')).collect(),
            rows: vec![],
        }
    }
    /// Add a row.
    pub fn row(&mut self, cells: Vec<String>) {
        self.rows.push(cells);
    }
    /// Whether it has no row.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }
    /// The table as lines, indented by two spaces.
    pub fn text(&self) -> String {
        let mut widths: Vec<usize> = self.heads.iter().map(|h| h.chars().count()).collect();
        for row in &self.rows {
            for (w, cell) in widths.iter_mut().zip(row) {
                *w = (*w).max(cell.chars().count());
            }
        }
        let line = |cells: &[String]| {
            let mut out = String::from(" ");
            for ((cell, w), right) in cells.iter().zip(&widths).zip(&self.right) {
                let pad = " ".repeat(w - cell.chars().count());
                out += &if *right { format!(" {pad}{cell} ") } else { format!(" {cell}{pad} ") };
            }
            format!("{}\n", out.trim_end())
        };
        let mut out = line(&self.heads);
        for row in &self.rows {
            out += &line(row);
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::Table;

    #[test]
    fn columns_line_up() {
        let mut t = Table::new(&["hole", ">x"]);
        t.row(vec!["A".into(), "12.5".into()]);
        assert_eq!(t.text(), "  hole     x\n  A     12.5\n");
    }
}
