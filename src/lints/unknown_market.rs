//! Markets that are no country.

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::knowledge::Knowledge;
use crate::record::{Content, Record, market};
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "unknown-market",
    level: Level::Warning,
    title: "a market is not a country code of ISO 3166-1",
    explanation: "\
A landmark of one market limits only garments sold new there. If the market of a garment is written differently, those landmarks do not apply to it, and nobody sees why. The United Kingdom is GB in ISO 3166-1, not UK.

Write the two capital letters of ISO 3166-1; codes of former countries, such as DD and SU, are accepted too. For a code of your own, use XA to XZ, AA or ZZ.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
market = \"UK\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
market = \"GB\"
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    knowledge.catalog.records.iter().filter_map(of_record).collect()
}

fn of_record(record: &Record) -> Option<Diagnostic> {
    let named = match &record.content {
        Content::Observation(observation) => observation.market.as_ref(),
        Content::Landmark(landmark) => landmark.market.as_ref(),
        _ => None,
    };
    // A code of another shape is a mistake that the schema reports.
    let named = named.filter(|named| named.value.len() == 2 && !market::is_known(&named.value))?;
    let place = Place { file: record.file, span: named.span };
    let message = format!("{} is not a country code of ISO 3166-1", wording::quote(&named.value));
    let help = match market::meant(&named.value) {
        Some(meant) => format!("write {}", wording::quote(meant)),
        None => "look up the country's two letters, or leave the market out".to_string(),
    };
    Some(LINT.at(place, message).help(help))
}
