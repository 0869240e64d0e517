//! Offcuts as rows of CSV: the first row names the columns by the keys of an offcut.

use crate::diag::{Diagnostic, FileId};
use crate::source::{Field, Item, Obj, Text, Want, check_table};
use crate::stock::{MOST_OF_ONE, OFFCUT, OFFCUT_RULES};

/// Read all rows; those at fault are told and left out.
pub(super) fn from_csv(file: FileId, text: &str, out: &mut Vec<Diagnostic>) -> Vec<(u32, Obj)> {
    let first = text.lines().find(|l| !l.trim().is_empty() && !l.trim().starts_with('#')).unwrap_or("");
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(if first.contains(';') { b';' } else { b',' })
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .flexible(true)
        .from_reader(text.as_bytes());
    let heads: Vec<String> = reader.headers().map(|h| h.iter().map(str::to_string).collect()).unwrap_or_default();
    let columns: Vec<Column> = heads.iter().map(|head| column(head, file, first.len(), out)).collect();
    let mut rows = vec![];
    for row in reader.records() {
        let Ok(row) = row else {
            out.push(Diagnostic::error("bin-line", "a row is not text", file, 0..first.len()).help("save it as UTF-8"));
            continue;
        };
        let start = row.position().map_or(0, |p| p.byte() as usize).min(text.len());
        let start = start + text[start..].len() - text[start..].trim_start().len();
        let end = text[start..].find('\n').map_or(text.len(), |e| start + e);
        let span = start..text[start..end].trim_end().len() + start;
        match one(&row, &columns, Obj { span: span.clone(), ..Obj::default() }, file) {
            Ok((count, obj)) => {
                let known = out.len();
                check_table(&obj, OFFCUT, OFFCUT_RULES, "an offcut", file, &["id"], out);
                rows.extend((out.len() == known).then_some((count, obj)));
            }
            Err((message, help)) => out.push(Diagnostic::error("bin-line", message, file, span).help(help)),
        }
    }
    rows
}

/// What a column holds.
#[derive(Clone, Copy)]
enum Column {
    Key(&'static Field),
    Count,
    /// Its head has been told.
    Unknown,
}

fn column(head: &str, file: FileId, wide: usize, out: &mut Vec<Diagnostic>) -> Column {
    let is_one_value = |f: &&Field| matches!(f.want, Want::Text | Want::OneOf(_) | Want::Expr(_));
    if head == "count" {
        return Column::Count;
    }
    if let Some(field) = OFFCUT.iter().filter(is_one_value).find(|f| f.key == head) {
        return Column::Key(field);
    }
    let all: Vec<&str> = OFFCUT.iter().filter(is_one_value).map(|f| f.key).collect();
    let d = Diagnostic::error("bin-line", format!("a column is called \"{head}\""), file, 0..wide);
    out.push(d.help(format!("columns are called count, {}", all.join(", "))));
    Column::Unknown
}

/// One row, or what is wrong with it and what to do.
fn one(
    row: &csv::StringRecord,
    columns: &[Column],
    mut obj: Obj,
    file: FileId,
) -> Result<(u32, Obj), (String, String)> {
    if row.len() > columns.len() {
        let message = format!("this row has {} values, and there are {} columns", row.len(), columns.len());
        return Err((message, "put a value with the separator in it in quotes".into()));
    }
    let mut count = 1;
    for (value, column) in row.iter().zip(columns).filter(|c| !c.0.is_empty()) {
        match column {
            Column::Key(field) => {
                if let Want::OneOf(words) = field.want
                    && !words.contains(&value)
                {
                    return Err((format!("{} is \"{value}\"", field.key), format!("one of: {}", words.join(", "))));
                }
                let span = obj.span.clone();
                obj.items.push((field, span.clone(), Item::Text(Text::standing(value, file, span))));
            }
            Column::Count => {
                let given = value.parse().ok().filter(|n| (1..=MOST_OF_ONE).contains(n));
                count = given.ok_or_else(|| {
                    (format!("count is a whole number from 1 to {MOST_OF_ONE}"), "write 1, 2, 3".to_string())
                })?;
            }
            Column::Unknown => {}
        }
    }
    Ok((count, obj))
}
