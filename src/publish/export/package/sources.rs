//! Writes `sources.csv`: a row for every source, shared or of one file.

use crate::analysis::Analysis;
use crate::knowledge::Knowledge;
use crate::publish::export::package::table::{Cells, Column, Rows, Table, column, days, optional, words, yes_no};
use crate::record::citation::WeightClass;
use crate::resolve::{Catalog, CitedSource, SourceIndex};

/// The table of sources.
pub const TABLE: Table = Table {
    name: "sources",
    summary: "the sources of claims and dates, and which of them repeat which",
    description: "A row for each source. A source that only one file uses is named by that file, # and its id there.",
    columns,
    key: &["source"],
    references: &[],
    rows,
};

const KINDS: &[&str] = &[
    "catalogue",
    "advertisement",
    "price-list",
    "photograph",
    "patent",
    "law",
    "standard",
    "label",
    "book",
    "article",
    "web-page",
    "interview",
    "recollection",
];
const CLASSES: &[&str] = &["contemporary", "secondary", "statement"];

fn columns(_: &Knowledge) -> Vec<Column> {
    vec![
        column("source", Cells::Text, "The source's name").required(),
        column("kind", Cells::Word(KINDS), "What it is").required(),
        column("class", Cells::Word(CLASSES), "How close it is to what it reports; this decides its weight").required(),
        column("citation", Cells::Text, "How to find it again").required(),
        column("date", Cells::Text, "When it appeared or was said, as it was entered, in EDTF"),
        column("earliest", Cells::Day, "First day that the date can mean"),
        column("latest", Cells::Day, "Last day that the date can mean"),
        column("url", Cells::Text, "Its address on the web"),
        column("archived", Cells::Text, "A lasting copy"),
        column("repeats", Cells::Text, "The sources it took its statements from, with spaces between"),
        column("roots", Cells::Text, "The sources it goes back to that repeat nothing; only they are counted"),
        column("repeats_itself", Cells::YesNo, "Whether it repeats itself through others").required(),
        column("files", Cells::Text, "The files it is described in, with spaces between").required(),
    ]
}

fn rows<'a>(analysis: &'a Analysis<'a>) -> Rows<'a> {
    let knowledge = analysis.knowledge;
    let mut rows: Vec<_> = knowledge.catalog.cited.iter().map(|source| row(&knowledge.catalog, source)).collect();
    rows.sort();
    Box::new(rows.into_iter())
}

fn row(catalog: &Catalog, source: &CitedSource) -> Vec<String> {
    let names = |indexes: &mut dyn Iterator<Item = &SourceIndex>| {
        let mut names: Vec<_> = indexes.map(|index| &catalog.cited(*index).name).collect();
        names.sort();
        words(names)
    };
    let [earliest, latest] = days(source.date.as_ref().map(|date| date.span(catalog.circa())));
    vec![
        source.name.clone(),
        source.kind.word().to_string(),
        class(source.kind.weight_class()).to_string(),
        source.citation.clone(),
        optional(source.date.as_ref().map(|date| date.as_str())),
        earliest,
        latest,
        optional(source.url.as_ref()),
        optional(source.archived.as_ref()),
        names(&mut source.repeats.iter()),
        names(&mut source.roots.iter()),
        yes_no(source.in_cycle),
        words(source.places.iter().map(|place| catalog.sources.file(place.file).path())),
    ]
}

fn class(class: WeightClass) -> &'static str {
    match class {
        WeightClass::Contemporary => "contemporary",
        WeightClass::Secondary => "secondary",
        WeightClass::Statement => "statement",
    }
}

#[cfg(test)]
mod tests {
    use super::KINDS;
    use crate::record::citation::SourceKind;

    #[test]
    fn every_kind_of_source_is_listed() {
        assert_eq!(SourceKind::ALL.map(|(_, word)| word), KINDS);
    }
}
