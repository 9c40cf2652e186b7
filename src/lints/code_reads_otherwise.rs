//! Codes whose reading contradicts the garment's own date or factory.

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::evidence::coded::{self, CodedGarment};
use crate::evidence::key::{GarmentCode, KeyRead};
use crate::explain;
use crate::knowledge::Knowledge;
use crate::resolve::{Catalog, RecordIndex};
use crate::source::Place;

/// How many parts of a code are explained in a finding; a form may have thousands.
const MOST_FIGURES: usize = 12;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "code-reads-otherwise",
    level: Level::Warning,
    title: "a code disagrees with its entry",
    explanation: "\
The entry gives a date by a mark, a paper or somebody's key, or names a factory, but a key of the knowledge base reads something else from the code on the same garment. Both cannot be right: one was misread, the label was moved from another garment, or the key is wrong for this code.

The entry's own date counts, and the code is not used. Look at the code and the date again, and correct one of them. If the key is wrong, correct the key or say so in a dispute that sets it aside.",
    wrong: r#"--- entries/sources/stockroom-talk.md
+++
citation = "Talk with a Hollin stockroom keeper, 1999"
kind = "interview"
+++
--- entries/keys/waistband.md
+++
title = "Month and year inside the waistband"
reads = "date-code"
makers = ["hollin"]
sources = ["stockroom-talk"]
not-before = "1950"
not-after = "1984"
parts = [{ digits = 2, is = "month" }, { digits = 2, is = "year-of-century" }]
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = "specimen"
placed-by = "mark"
made = "1974"
made-by = "mark"
[features]
date-code = "0478"
+++
"#,
    right: r#"--- entries/sources/stockroom-talk.md
+++
citation = "Talk with a Hollin stockroom keeper, 1999"
kind = "interview"
+++
--- entries/keys/waistband.md
+++
title = "Month and year inside the waistband"
reads = "date-code"
makers = ["hollin"]
sources = ["stockroom-talk"]
not-before = "1950"
not-after = "1984"
parts = [{ digits = 2, is = "month" }, { digits = 2, is = "year-of-century" }]
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = "specimen"
placed-by = "mark"
made = "1978"
made-by = "mark"
[features]
date-code = "0478"
+++
"#,
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    coded::all(&knowledge.catalog).iter().flat_map(|garment| of_code(knowledge, garment)).collect()
}

fn of_code(knowledge: &Knowledge, garment: &CodedGarment<'_>) -> Vec<Diagnostic> {
    let code = &garment.code;
    let Some(read) = code.seen.used().first() else { return Vec::new() };
    let catalog = &knowledge.catalog;
    let dated = garment.own_dates_against(catalog).into_iter();
    let dates: Vec<Diagnostic> = dated.filter_map(|index| date(catalog, code, read, index)).collect();
    if !dates.is_empty() {
        return dates;
    }
    garment.observations.iter().filter_map(|index| factory(catalog, code, *index)).collect()
}

fn date(catalog: &Catalog, code: &GarmentCode<'_>, read: &KeyRead<'_>, index: RecordIndex) -> Option<Diagnostic> {
    let record = catalog.record(index);
    let made = record.content.observation()?.made.as_ref()?;
    let reading = explain::key::dates(&read.reading.dates);
    let (shown, own) = (wording::quote(code.seen.code), wording::quote(made.value.as_str()));
    let message = format!("the code {shown} reads {reading}, and the entry says {own}");
    let diagnostic = LINT.at(catalog.place(record, made), message).saying(format!("the entry says {own}"));
    Some(with_key(catalog, diagnostic.label(code.place, format!("this code reads {reading}")), read))
}

fn factory(catalog: &Catalog, code: &GarmentCode<'_>, index: RecordIndex) -> Option<Diagnostic> {
    let record = catalog.record(index);
    let observation = record.content.observation()?;
    let stated = observation.factory.as_deref()?;
    let read = code.seen.used().iter().find(|read| read.reading.factory().is_some())?;
    let named = read.reading.factory().filter(|named| *named != stated)?;
    let (shown, named, stated) = (wording::quote(code.seen.code), wording::quote(named), wording::quote(stated));
    let message = format!("the code {shown} names the factory {named}, and the entry says {stated}");
    let place = Place { file: record.file, span: observation.basis.span };
    let diagnostic = LINT.at(place, message).saying(format!("the entry says `factory` is {stated}"));
    Some(with_key(catalog, diagnostic.label(code.place, format!("this code names {named}")), read))
}

fn with_key(catalog: &Catalog, diagnostic: Diagnostic, read: &KeyRead<'_>) -> Diagnostic {
    let place = catalog.place(catalog.record(read.key.index), &read.key.key.title);
    let mut figures: Vec<String> =
        read.reading.forms.iter().flat_map(explain::key::figures).take(MOST_FIGURES + 1).collect();
    if figures.len() > MOST_FIGURES {
        figures[MOST_FIGURES] = "…".to_string();
    }
    let diagnostic = diagnostic.label(place, format!("read through this key: {}", figures.join("; ")));
    diagnostic.help("look at the code and the garment again, and correct whichever was misread")
}
