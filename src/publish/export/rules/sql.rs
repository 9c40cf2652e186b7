//! The rules as tables and one query, for a database: `rules/date.sql` and the files below `rules/sql/`.
//!
//! The query is a text of its own; tests run it. What tables say is in the files below this one; nothing is concluded
//! here.

mod clauses;
mod courses;
mod decades;
mod keys;
mod landmarks;
mod likelihoods;
mod models;
mod vocabulary;

use crate::publish::output::OutputFile;
use crate::sheet;
use crate::view::context::Context;

/// The query.
const QUERY: &str = include_str!("sql/date.sql");

/// The statements that make the tables.
const TABLES_MADE: &str = include_str!("sql/tables.sql");

/// The tables of the rules, in the order of `tables.sql`.
const TABLES: [&Table; 18] = [
    &vocabulary::FEATURES,
    &vocabulary::GARMENT_TYPES,
    &vocabulary::COLUMNS,
    &vocabulary::BANDS,
    &models::YEARS,
    &models::MODELS,
    &models::EXAMINED,
    &models::VARIANTS,
    &models::WEIGHTS,
    &likelihoods::CELLS,
    &likelihoods::MODEL_CELLS,
    &likelihoods::MEASURES,
    &likelihoods::STRATA,
    &likelihoods::CENTRES,
    &likelihoods::COURSES,
    &landmarks::LANDMARKS,
    &landmarks::CONDITIONS,
    &keys::KEYS,
];

/// A table: its rows are made one by one, since some have as many as there are variants and years.
struct Table {
    name: &'static str,
    summary: &'static str,
    columns: &'static [&'static str],
    rows: for<'a> fn(&'a Context<'a>) -> Rows<'a>,
}

/// Rows with a cell for each column.
type Rows<'a> = Box<dyn Iterator<Item = Vec<String>> + 'a>;

impl Table {
    fn path(&self) -> String {
        format!("rules/sql/{}.csv", self.name)
    }
}

/// Names the files with what each is for.
pub fn downloads() -> Vec<(String, &'static str)> {
    let texts = [
        ("rules/date.sql".to_string(), "a query that dates all garments of a table, for databases"),
        ("rules/sql/tables.sql".to_string(), "makes the tables that date.sql reads, which the files below fill"),
    ];
    texts.into_iter().chain(TABLES.iter().map(|table| (table.path(), table.summary))).collect()
}

/// Plans the query and its tables.
pub fn files<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let text = |path: &str, text: &'static str| OutputFile::new(path, || Ok::<_, String>(text.as_bytes().to_vec()));
    let tables = TABLES.iter().map(|table| OutputFile::new(table.path(), move || csv(context, table)));
    let texts = [text("rules/date.sql", QUERY), text("rules/sql/tables.sql", TABLES_MADE)];
    texts.into_iter().chain(tables).collect()
}

fn csv<'a>(context: &'a Context<'a>, table: &Table) -> Result<Vec<u8>, String> {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::Any(b'\n')).from_writer(Vec::new());
    writer.write_record(table.columns).map_err(|error| error.to_string())?;
    for row in (table.rows)(context) {
        let cells = row.iter().map(|cell| sheet::protect(cell));
        writer.write_record(cells.map(|cell| cell.into_owned().into_bytes())).map_err(|error| error.to_string())?;
    }
    writer.into_inner().map_err(|error| error.to_string())
}

/// A cell of something that may be missing.
fn optional<T: ToString>(value: Option<T>) -> String {
    value.map_or_else(String::new, |value| value.to_string())
}

/// A cell of a statement that holds or not.
fn one_or_zero(holds: bool) -> String {
    u8::from(holds).to_string()
}

#[cfg(test)]
mod tests {
    use super::{TABLES, TABLES_MADE};

    /// The columns of a table by its statement.
    fn columns(name: &str) -> Vec<&'static str> {
        let (_, rest) = TABLES_MADE.split_once(&format!("CREATE TABLE dating_{name} (")).unwrap_or_default();
        let (body, _) = rest.split_once(");").unwrap_or_default();
        let (body, _) = body.split_once("PRIMARY KEY (").unwrap_or((body, ""));
        let columns = body.split(", ").flat_map(|part| part.split(",\n"));
        columns.filter_map(|column| column.split_whitespace().next()).collect()
    }

    #[test]
    fn every_file_has_the_columns_of_its_table() {
        for table in TABLES {
            assert_eq!(columns(table.name), table.columns, "{}", table.name);
        }
        assert_eq!(TABLES_MADE.matches("CREATE TABLE dating_").count(), TABLES.len());
    }
}
