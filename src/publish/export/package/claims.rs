//! Writes `claims.csv`: a row for every claim of every record, and two for `produced`.

use crate::analysis::Analysis;
use crate::date::DaySpan;
use crate::knowledge::Knowledge;
use crate::publish::export::package::standing::{STANDINGS, Standings};
use crate::publish::export::package::table::{Cells, Column, Rows, Table, column, days, list, optional};
use crate::record::claim::{Claim, Event};
use crate::record::id::VoiceName;
use crate::resolve::{Catalog, RecordIndex};

/// The table of claims.
pub const TABLE: Table = Table {
    name: "claims",
    summary: "claims of when something began, ended or was offered: who says so, in which words, and whether it counts",
    description: "A row for each claim of each record. A claim that something was produced from one date to another \
        has two rows, named with :begin and :end, because each can be doubted without the other.",
    columns,
    key: &["claim"],
    references: &[],
    rows,
};

const EVENTS: &[&str] = &["introduced", "discontinued", "produced", "attested", "not-offered", "before"];

fn columns(_: &Knowledge) -> Vec<Column> {
    vec![
        column("claim", Cells::Text, "The claim: the file, # and the claim's id or number").required(),
        column("record", Cells::Text, "The file that contains it").required(),
        column("about", Cells::Text, "What it is about, named as in eras.csv").required(),
        column("event", Cells::Word(EVENTS), "What happened").required(),
        column("when", Cells::Text, "The date as it was entered, in EDTF"),
        column("earliest", Cells::Day, "First day that the date can mean; empty where it is open"),
        column("latest", Cells::Day, "Last day that the date can mean; empty where it is open"),
        column("other", Cells::Text, "For the event before: what began only after this had ended"),
        column("as_written", Cells::Text, "The words of the source"),
        column("sources", Cells::Text, "Names as in sources.csv, each with the place in the source; | between them"),
        column("voice", Cells::Text, "The voice it belongs to, with all claims that say the same"),
        column("weight", Cells::Number("points of weight"), "The weight of that voice"),
        column(
            "standing",
            Cells::Word(STANDINGS),
            "kept: it counts; contested, set-aside: left out because of a conflict; settled: left out by a settled \
             dispute; withheld: its file is not counted; empty: it limits nothing",
        ),
    ]
}

/// A claim with its place and the part of it that a row describes.
struct Part<'a> {
    record: RecordIndex,
    claim: &'a Claim,
    name: VoiceName,
    span: Option<DaySpan>,
}

fn rows<'a>(analysis: &'a Analysis<'a>) -> Rows<'a> {
    let knowledge = analysis.knowledge;
    let standings = Standings::new(knowledge);
    let catalog = &knowledge.catalog;
    let records = (0..catalog.records.len()).map(|number| RecordIndex(number as u32));
    let claims = records.flat_map(|record| catalog.record(record).content.claims().iter().map(move |it| (record, it)));
    let parts = claims.flat_map(|(record, claim)| parts(catalog, record, claim));
    Box::new(parts.map(move |part| row(catalog, &standings, &part)))
}

fn parts<'a>(catalog: &Catalog, record: RecordIndex, claim: &'a Claim) -> Vec<Part<'a>> {
    let name = catalog.claim_name(record, claim);
    let circa = catalog.circa();
    let when = claim.event.value.when().map(|when| &when.value);
    if let (Event::Produced(_), Some((begin, end))) = (&claim.event.value, when.and_then(|when| when.ends())) {
        let part = |word: &str, span| Part { record, claim, name: VoiceName::new(format!("{name}:{word}")), span };
        return vec![part("begin", Some(begin.span(circa))), part("end", Some(end.span(circa)))];
    }
    vec![Part { record, claim, name, span: when.map(|when| when.span(circa)) }]
}

fn row(catalog: &Catalog, standings: &Standings<'_>, part: &Part<'_>) -> Vec<String> {
    let Part { record, claim, name, span } = part;
    let voice = standings.voice(name.as_str());
    let event = &claim.event.value;
    let other = match event {
        Event::Before(other) => other.value.to_string(),
        _ => String::new(),
    };
    let [earliest, latest] = days(*span);
    vec![
        name.to_string(),
        catalog.record(*record).path.to_string(),
        claim.about.value.to_string(),
        event.word().to_string(),
        optional(event.when().map(|when| when.value.as_str())),
        earliest,
        latest,
        other,
        optional(claim.as_written.as_ref()),
        sources(catalog, *record, claim),
        optional(voice.map(|voice| &voice.name)),
        optional(voice.map(|voice| voice.weight.as_f64())),
        standings.word(*record, name.as_str()).to_string(),
    ]
}

fn sources(catalog: &Catalog, record: RecordIndex, claim: &Claim) -> String {
    let file = catalog.record(record).file;
    list(claim.sources.iter().map(|reference| {
        let id = &reference.value.id;
        let name = catalog.source_named(file, id).map_or(id.as_str(), |index| catalog.cited(index).name.as_str());
        format!("{name} {}", reference.value.locator).trim_end().to_string()
    }))
}
