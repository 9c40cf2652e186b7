//! Knowledge to `data/`: a Frictionless Data Package of CSV tables for statistics programs and spreadsheets.
//!
//! Each table is a file below this one; what they share is in `table`. Nothing is concluded here.

mod changes;
mod citation;
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

use std::sync::{Arc, OnceLock};

use crate::publish::export::package::descriptor::Checksum;
use crate::publish::export::package::table::Table;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::view::context::Context;

/// Writes the data package.
pub const PUBLISHER: Publisher = Publisher {
    name: "package",
    description: "all records and conclusions as tables: a Frictionless Data Package",
    owns: &["data/datapackage.json", "data/*.csv", citation::PATH],
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
    let descriptor = ("data/datapackage.json".to_string(), description);
    let citation =
        (citation::PATH.to_string(), "how to cite the data, with their version: a Citation File Format file");
    [descriptor, citation].into_iter().chain(tables).collect()
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    // A table leaves its checksum for the descriptor, which makes the table itself if it has not been made yet.
    let known: Arc<[OnceLock<Checksum>; TABLES.len()]> = Arc::default();
    let checksums = known.clone();
    let tables = TABLES.iter().enumerate().map(move |(at, table)| {
        let checksums = checksums.clone();
        OutputFile::new(table.path(), move || {
            let csv = table.csv(context.analysis)?;
            checksums[at].get_or_init(|| Checksum::of(&csv));
            Ok::<_, String>(csv)
        })
    });
    let descriptor = OutputFile::new("data/datapackage.json", move || {
        let checksum = |(table, known): (&&'static Table, &OnceLock<Checksum>)| {
            let checksum = match known.get() {
                Some(checksum) => checksum.clone(),
                None => Checksum::of(&table.csv(context.analysis)?),
            };
            Ok::<_, String>((*table, checksum))
        };
        let tables: Result<Vec<_>, String> = TABLES.iter().zip(known.iter()).map(checksum).collect();
        descriptor::json(context, &tables?)
    });
    let citation = OutputFile::new(citation::PATH, || Ok::<_, String>(citation::text(context)));
    tables.chain([descriptor, citation]).collect()
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
