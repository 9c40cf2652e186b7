//! One table of the data package: its columns, and its rows as CSV with cells that no spreadsheet runs.
//!
//! What a table says is in the table's own file.

use std::borrow::Cow;

use crate::analysis::Analysis;
use crate::date::{Day, DaySpan};
use crate::knowledge::Knowledge;
use crate::sheet;

/// A table of the package.
pub struct Table {
    /// Its name, and that of its file without the ending.
    pub name: &'static str,
    /// Its content, in one line.
    pub summary: &'static str,
    /// The meaning of a row, in sentences.
    pub description: &'static str,
    /// Its columns; those of a sheet of garments follow the vocabulary.
    pub columns: fn(&Knowledge) -> Vec<Column>,
    /// The columns that name a row.
    pub key: &'static [&'static str],
    /// The columns that name a row of another table: column, table, its column.
    pub references: &'static [(&'static str, &'static str, &'static str)],
    /// Its rows in a fixed order, with a cell for each column.
    pub rows: for<'a> fn(&'a Analysis<'a>) -> Rows<'a>,
}

/// The rows of a table, each made when it is written: all together would take many times the memory of the file.
pub type Rows<'a> = Box<dyn Iterator<Item = Vec<String>> + 'a>;

/// A column of a table.
pub struct Column {
    /// Its header.
    pub name: Cow<'static, str>,
    /// The content of its cells.
    pub kind: Cells,
    /// Whether no cell is empty.
    pub is_required: bool,
    pub description: Cow<'static, str>,
}

/// The content of a column's cells.
#[derive(Clone, Copy)]
pub enum Cells {
    /// Any text.
    Text,
    /// One word of a list.
    Word(&'static [&'static str]),
    /// A day, ISO 8601.
    Day,
    /// A whole number, with its unit.
    Integer(&'static str),
    /// A number, with its unit.
    Number(&'static str),
    /// `yes` or `no`.
    YesNo,
}

/// A column whose cells may be empty.
pub fn column(name: impl Into<Cow<'static, str>>, kind: Cells, description: impl Into<Cow<'static, str>>) -> Column {
    Column { name: name.into(), kind, is_required: false, description: description.into() }
}

impl Column {
    /// Says that no cell is empty.
    pub fn required(self) -> Column {
        Column { is_required: true, ..self }
    }
}

impl Table {
    /// The path in the output.
    pub fn path(&self) -> String {
        format!("data/{}.csv", self.name)
    }

    /// Writes header and rows: UTF-8, LF, quoted where needed.
    pub fn csv<'a>(&self, analysis: &'a Analysis<'a>) -> Result<Vec<u8>, String> {
        let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::Any(b'\n')).from_writer(Vec::new());
        let columns = (self.columns)(analysis.knowledge);
        let header = columns.iter().map(|column| column.name.as_bytes());
        writer.write_record(header).map_err(|error| error.to_string())?;
        for row in (self.rows)(analysis) {
            let cells = row.iter().map(|cell| sheet::protect(cell));
            let cells: Vec<_> = cells.collect();
            writer.write_record(cells.iter().map(|cell| cell.as_bytes())).map_err(|error| error.to_string())?;
        }
        writer.into_inner().map_err(|error| error.to_string())
    }
}

/// A cell of something that may be missing.
pub fn optional<T: ToString>(value: Option<T>) -> String {
    value.map_or_else(String::new, |value| value.to_string())
}

/// A cell of a statement that holds or not.
pub fn yes_no(holds: bool) -> String {
    if holds { "yes" } else { "no" }.to_string()
}

/// The cells of the first and last day of a span; empty where it is open or there is none.
pub fn days(span: Option<DaySpan>) -> [String; 2] {
    let span = span.unwrap_or_default();
    [optional(span.first().map(|day: Day| day.to_string())), optional(span.last().map(|day: Day| day.to_string()))]
}

/// A cell that lists texts with ` | ` between them; in each `\` and `|` have a `\` before them.
pub fn list(texts: impl IntoIterator<Item = String>) -> String {
    let written: Vec<_> = texts.into_iter().map(|text| text.replace('\\', "\\\\").replace('|', "\\|")).collect();
    written.join(" | ")
}

/// A cell that lists ids, which have no spaces, with a space between them.
pub fn words<T: ToString>(ids: impl IntoIterator<Item = T>) -> String {
    let written: Vec<_> = ids.into_iter().map(|id| id.to_string()).collect();
    written.join(" ")
}

#[cfg(test)]
mod tests {
    use super::list;

    #[test]
    fn a_bar_in_a_text_does_not_split_a_list() {
        assert_eq!(list(["a p. 1|2".to_string(), "b\\c".to_string()]), "a p. 1\\|2 | b\\\\c");
    }
}
