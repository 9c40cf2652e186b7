//! Knowledge to `data/`: a Frictionless Data Package of CSV tables for statistics programs and spreadsheets.
//!
//! Each table is a file below this one; what they share is in `table`. Nothing is concluded here.

mod changes;
mod claims;
mod conflicts;
mod descriptor;
mod entry;
mod eras;
mod features;
mod garments;
mod keys;
mod lines;
mod observations;
mod sources;
mod standing;
mod table;
mod tells;

use crate::publish::export::package::table::Table;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::view::context::Context;

/// Writes the data package.
pub const PUBLISHER: Publisher = Publisher {
    name: "package",
    description: "all records and conclusions as tables: a Frictionless Data Package",
    owns: &["data/datapackage.json", "data/*.csv"],
    publish,
};

/// The tables, in the order in which they are listed.
const TABLES: [&Table; 11] = [
    &eras::TABLE,
    &conflicts::TABLE,
    &tells::TABLE,
    &lines::TABLE,
    &changes::TABLE,
    &keys::TABLE,
    &claims::TABLE,
    &observations::TABLE,
    &features::TABLE,
    &garments::TABLE,
    &sources::TABLE,
];

/// Names the files with what each is for.
pub fn downloads() -> Vec<(String, &'static str)> {
    let description = "describes the tables below for programs that read Frictionless Data Packages";
    let tables = TABLES.iter().map(|table| (table.path(), table.summary));
    std::iter::once(("data/datapackage.json".to_string(), description)).chain(tables).collect()
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let tables = TABLES.iter().map(|table| OutputFile::new(table.path(), move || table.csv(context.analysis)));
    let descriptor = OutputFile::new("data/datapackage.json", move || descriptor::json(context, &TABLES));
    tables.chain([descriptor]).collect()
}

#[cfg(test)]
mod tests {
    use super::TABLES;

    #[test]
    fn tables_have_names_of_their_own_and_say_what_they_hold() {
        let mut names: Vec<_> = TABLES.iter().map(|table| table.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), TABLES.len());
        assert!(TABLES.iter().all(|table| !table.summary.is_empty() && table.description.ends_with('.')));
    }
}
