//! Writes `observations.csv`: a row for every observation, in a form for statistics.
//!
//! Readings are in `features`; the form that can be imported again is in `garments`.

use std::collections::{BTreeMap, BTreeSet};

use crate::analysis::Analysis;
use crate::date::DaySpan;
use crate::evidence::coded;
use crate::evidence::key::{self, GarmentCode};
use crate::evidence::reading;
use crate::knowledge::{Estimate, Knowledge, Saying};
use crate::publish::export::package::entry::{self, BASES, Entry, MADE_BY, PLACED_BY};
use crate::publish::export::package::standing::{STANDINGS, Standings};
use crate::publish::export::package::table::{Cells, Column, Rows, Table, column, days, list, optional, words, yes_no};
use crate::record::observation::{Basis, MadeBy};
use crate::resolve::RecordIndex;

/// The table of observations.
pub const TABLE: Table = Table {
    name: "observations",
    summary: "what was looked at, by whom, when it was made and whether its date and placing count",
    description: "A row for each entry about one garment, document or statement, placed under a variant or not. \
        Entries of one garment share the name in the column garment.",
    columns,
    key: &["observation"],
    references: &[],
    rows,
};

const WEARERS: &[&str] = &["men", "women", "youth", "unisex"];
const DATES: &[&str] = &["kept", "contested", "set-aside", "settled", "withheld", "fits", "does-not-fit"];

fn columns(_: &Knowledge) -> Vec<Column> {
    vec![
        column("observation", Cells::Text, "The entry's file").required(),
        column("garment", Cells::Text, "The first entry of the same garment; empty for documents and statements"),
        column("maker", Cells::Text, "The maker, if it is known"),
        column("model", Cells::Text, "The model with its maker, if it is known"),
        column("variant", Cells::Text, "The variant with maker and model; empty where nobody has placed it"),
        column("line", Cells::Text, "The label line with its maker, if it is known"),
        column("wearer", Cells::Word(WEARERS), "The wearer it was cut for"),
        column("basis", Cells::Word(BASES), "What was looked at").required(),
        column("observed", Cells::Day, "The day somebody looked"),
        column("observer", Cells::Text, "Who looked"),
        column("find", Cells::Text, "Garments found together share this word; a find counts once for each state"),
        column("factory", Cells::Text, "Where it was made"),
        column("market", Cells::Text, "The country it was sold new in, ISO 3166-1"),
        column("placed_by", Cells::Word(PLACED_BY), "Why it is of this variant; inferred if the entry does not say"),
        column("placing", Cells::Word(STANDINGS), "The standing of a garment's placing; empty if it limits nothing"),
        column("made", Cells::Text, "When it was made, as it was entered, in EDTF"),
        column(
            "made_earliest",
            Cells::Day,
            "First day the date can mean; for an offer a year is allowed on both sides",
        ),
        column("made_latest", Cells::Day, "Last day the date can mean; for an offer a year is allowed on both sides"),
        column(
            "made_by",
            Cells::Word(MADE_BY),
            "How a garment's date is known; key, with made empty or an estimate: keys read it from the code on the garment",
        ),
        column("date", Cells::Word(DATES), "The standing of the date; an estimate fits the other evidence or does not"),
        column("withheld", Cells::YesNo, "Published, but not counted").required(),
        column("readings", Cells::Integer("features"), "How many features it records").required(),
        column("photographs", Cells::Integer("photographs"), "How many photographs it names").required(),
        column(
            "code_reads",
            Cells::Text,
            "Every date that its code can mean, in EDTF, if its keys agree; | between codes",
        ),
        column(
            "code_keys",
            Cells::Text,
            "The keys that read its codes, with spaces between, whether they agree or not",
        ),
    ]
}

/// The tables that rows are looked up in.
struct Lookup<'a> {
    knowledge: &'a Knowledge,
    standings: Standings<'a>,
    garments: BTreeMap<RecordIndex, RecordIndex>,
    estimates: BTreeMap<RecordIndex, &'a Estimate>,
    codes: BTreeMap<RecordIndex, Vec<GarmentCode<'a>>>,
}

fn rows<'a>(analysis: &'a Analysis<'a>) -> Rows<'a> {
    let knowledge = analysis.knowledge;
    let garments = knowledge.catalog.garments.iter().flat_map(|garment| {
        let first = garment.observations.first();
        garment.observations.iter().filter_map(move |record| Some((*record, *first?)))
    });
    let mut codes: BTreeMap<RecordIndex, Vec<GarmentCode<'_>>> = BTreeMap::new();
    for garment in coded::all(&knowledge.catalog) {
        codes.entry(garment.code.record).or_default().push(garment.code);
    }
    let lookup = Lookup {
        codes,
        knowledge,
        standings: Standings::new(knowledge),
        garments: garments.collect(),
        estimates: knowledge.estimates.iter().map(|estimate| (estimate.record, estimate)).collect(),
    };
    Box::new(entry::all(&knowledge.catalog).map(move |entry| row(&lookup, entry)))
}

fn row(lookup: &Lookup<'_>, entry: Entry<'_>) -> Vec<String> {
    let catalog = &lookup.knowledge.catalog;
    let observation = entry.observation;
    let place = entry::place(catalog, observation);
    let is_placed = !place.variant.is_empty();
    let garment = lookup.garments.get(&entry.index);
    let seen = format!("{}#seen", entry.record.path);
    let [made_earliest, made_latest] = days(span(lookup, entry));
    vec![
        entry.record.path.to_string(),
        optional(garment.map(|first| &catalog.record(*first).path)),
        place.maker,
        place.model,
        place.variant,
        place.line,
        place.wearer,
        entry::basis(observation.basis.value).to_string(),
        optional(observation.observed.as_ref().map(|day| day.value)),
        optional(observation.observer.as_ref().map(|observer| &observer.value)),
        optional(observation.find.as_ref()),
        optional(observation.factory.as_ref()),
        optional(observation.market()),
        optional(is_placed.then(|| entry::placed_by(reading::placed_by(catalog, observation)))),
        optional(garment.map(|_| lookup.standings.word(entry.index, &seen))),
        optional(observation.made.as_ref().map(|made| made.value.as_str())),
        made_earliest,
        made_latest,
        optional(if is_dated_by_code(lookup, entry) { Some(entry::made_by(MadeBy::Key)) } else { made_by(entry) }),
        date(lookup, entry),
        yes_no(catalog.withheld.contains(&entry.index)),
        observation.features.len().to_string(),
        observation.photographs.len().to_string(),
        list(codes(lookup, entry).filter_map(|code| Some(code.seen.used().first()?.reading.edtf()))),
        words(codes(lookup, entry).flat_map(|code| &code.seen.reads).map(|read| read.key.id).collect::<BTreeSet<_>>()),
    ]
}

/// The codes of a garment that the entry is the first to record.
fn codes<'l, 'a>(lookup: &'l Lookup<'a>, entry: Entry<'_>) -> impl Iterator<Item = &'l GarmentCode<'a>> {
    lookup.codes.get(&entry.index).into_iter().flatten()
}

/// Says whether what keys read from its codes is the date that counts: no entry gives one by mark, paper or key.
fn is_dated_by_code(lookup: &Lookup<'_>, entry: Entry<'_>) -> bool {
    let is_estimate = !key::has_own_date(entry.observation) && entry.observation.basis.value == Basis::Specimen;
    is_estimate && lookup.standings.voice(&format!("{}#made", entry.record.path)).is_some()
}

/// The standing of a date by code: it is kept while the code and any key that reads it are.
fn date_by_code(lookup: &Lookup<'_>, entry: Entry<'_>) -> &'static str {
    let own = lookup.standings.word(entry.index, &format!("{}#made", entry.record.path));
    let read = codes(lookup, entry).flat_map(|code| code.seen.used());
    let words: BTreeSet<&str> = read
        .map(|read| {
            let record = lookup.knowledge.catalog.record(read.key.index);
            lookup.standings.word(read.key.index, &format!("{}#key", record.path))
        })
        .collect();
    let of_keys = ["kept", "contested", "set-aside"].into_iter().find(|word| words.contains(word)).unwrap_or(own);
    match own {
        "kept" => of_keys,
        "contested" if of_keys == "set-aside" => of_keys,
        own => own,
    }
}

/// The method of dating a garment; an estimate if the entry names none.
fn made_by(entry: Entry<'_>) -> Option<&'static str> {
    let is_dated_garment = entry.observation.made.is_some() && entry.observation.basis.value == Basis::Specimen;
    let said = entry.observation.made_by.as_ref().map_or(MadeBy::Estimate, |made_by| made_by.value);
    is_dated_garment.then(|| entry::made_by(said))
}

/// The days that an entry's own date can mean, as offered for a document that is an offer.
fn span(lookup: &Lookup<'_>, entry: Entry<'_>) -> Option<DaySpan> {
    let voice = lookup.standings.voice(&format!("{}#made", entry.record.path));
    let said = voice.and_then(|voice| match &voice.says {
        Saying::Made(span) | Saying::Document(span) => Some(*span),
        _ => None,
    });
    let catalog = &lookup.knowledge.catalog;
    said.or_else(|| Some(entry.observation.made.as_ref()?.value.span(catalog.circa())))
}

fn date(lookup: &Lookup<'_>, entry: Entry<'_>) -> String {
    match lookup.estimates.get(&entry.index) {
        _ if is_dated_by_code(lookup, entry) => date_by_code(lookup, entry).to_string(),
        Some(estimate) if estimate.fits => "fits".to_string(),
        Some(_) => "does-not-fit".to_string(),
        None => made(lookup, entry).to_string(),
    }
}

/// The standing of a date; one read through a key is kept while both are.
fn made(lookup: &Lookup<'_>, entry: Entry<'_>) -> &'static str {
    let catalog = &lookup.knowledge.catalog;
    let key = || {
        let observation = entry.observation;
        let source =
            observation.made_source.as_ref().filter(|_| made_by(entry) == Some(entry::made_by(MadeBy::Key)))?;
        let file = entry.record.file;
        let name = catalog.key_read_in(file, catalog.source_named(file, &source.value.id)?)?;
        Some(lookup.standings.word(entry.index, name.as_str()))
    };
    match lookup.standings.word(entry.index, &format!("{}#made", entry.record.path)) {
        "kept" => key().filter(|key| !key.is_empty()).unwrap_or("kept"),
        "" => key().filter(|key| *key == "settled").unwrap_or_default(),
        "contested" => key().filter(|key| *key == "set-aside").unwrap_or("contested"),
        word => word,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::TABLE;
    use crate::analysis::Analysis;
    use crate::compile::example;

    /// The cells of a column for a garment with a code that a key of one source reads as 1995.
    fn coded(fields: &str, end: &str, column: &str) -> String {
        let folder = "entries/makers/hollin/no-4/best";
        let sources = "[[source]]\nid = \"list\"\ncitation = \"List\"\nkind = \"catalogue\"\n";
        let text = format!(
            "--- entries/keys/waist.md\n+++\ntitle = \"Codes\"\nreads = \"date-code\"\nsources = [\"hearsay\"]\n\
             not-before = \"1950\"\nparts = [{{ digits = 2, is = \"year-of-century\" }}]\n+++\n\
             --- entries/sources/hearsay.md\n+++\ncitation = \"A word\"\nkind = \"recollection\"\n+++\n\
             --- {folder}/variant.md\n+++\nname = \"Best\"\nline = \"best\"\nwearer = \"men\"\n\
             [[claims]]\nevent = \"discontinued\"\nwhen = \"{end}\"\nsources = [\"list\"]\n{sources}+++\n\
             --- {folder}/seen.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n{fields}\n[features]\n\
             date-code = \"95\"\n+++\n"
        );
        let knowledge = example::compile(&text).knowledge;
        assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults);
        let columns = (TABLE.columns)(&knowledge);
        let at = columns.iter().position(|one| one.name == column).unwrap();
        (TABLE.rows)(&Analysis::new(&knowledge)).map(|row| row[at].clone()).collect()
    }

    #[test]
    fn a_date_that_keys_read_from_a_code_counts_while_one_of_them_does() {
        let rows = [
            ("", "1999", "kept", "key", "1995-01-01"),
            ("made = \"1994\"", "1999", "kept", "key", "1995-01-01"),
            ("", "1980", "set-aside", "key", "1995-01-01"),
            ("made = \"1994\"\nmade-by = \"paper\"", "1999", "kept", "paper", "1994-01-01"),
        ];
        for (fields, end, date, made_by, earliest) in rows {
            let found = ["date", "made_by", "made_earliest"].map(|column| coded(fields, end, column));
            assert_eq!(found, [date, made_by, earliest], "{fields}, ended {end}");
            assert_eq!([coded(fields, end, "code_reads"), coded(fields, end, "code_keys")], ["1995", "waist"]);
        }
    }

    #[test]
    fn a_date_that_was_read_through_a_key_is_set_aside_with_the_key() {
        let folder = "entries/makers/hollin/no-4/best";
        let sources = "[[source]]\nid = \"list\"\ncitation = \"List\"\nkind = \"catalogue\"\n";
        let text = format!(
            "--- entries/sources/hearsay.md\n+++\ncitation = \"A word\"\nkind = \"recollection\"\n+++\n\
             --- {folder}/variant.md\n+++\nname = \"Best\"\nline = \"best\"\nwearer = \"men\"\n\
             [[claims]]\nevent = \"discontinued\"\nwhen = \"1980\"\nsources = [\"list\"]\n{sources}+++\n\
             --- {folder}/seen.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"1995\"\nmade-by = \"key\"\n\
             made-source = \"hearsay\"\n+++\n"
        );
        let knowledge = example::compile(&text).knowledge;
        let columns = (TABLE.columns)(&knowledge);
        let at = columns.iter().position(|column| column.name == "date").unwrap();
        let dates: Vec<String> = (TABLE.rows)(&Analysis::new(&knowledge)).map(|row| row[at].clone()).collect();
        assert_eq!(dates, ["set-aside"]);
    }
}
