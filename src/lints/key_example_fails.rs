//! Examples of keys that the key reads differently.

use crate::code::calendar::{self, CodeDate};
use crate::code::{CodeReading, Unread};
use crate::date::Day;
use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::explain;
use crate::knowledge::Knowledge;
use crate::record::key::{CodeKey, KeyExample};
use crate::record::{Content, Record};
use crate::resolve::Catalog;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "key-example-fails",
    level: Level::Error,
    title: "an example of a key does not read as it says",
    explanation: "\
A key gives examples: a code, every date it can mean, and the factory it names. The key was tried on each of them, and one gave a different result. Either the key does not say what its author meant, or the example is wrong. Every garment with such a code would be dated wrongly.

Compare both with the source of the key, and correct the parts, the years of the key, or the example. A figure that stands for several years must list them all: `[1968,1978]`.",
    wrong: r#"--- entries/sources/stockroom-talk.md
+++
citation = "Talk with a Hollin stockroom keeper, 1999"
kind = "interview"
+++
--- entries/keys/waistband.md
+++
title = "Month and year inside the waistband"
reads = "date-code"
sources = ["stockroom-talk"]
not-before = "1950"
not-after = "1984"
examples = [{ code = "0478", reads = "1978-05" }]
parts = [{ digits = 2, is = "month" }, { digits = 2, is = "year-of-century" }]
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
sources = ["stockroom-talk"]
not-before = "1950"
not-after = "1984"
examples = [{ code = "0478", reads = "1978-04" }]
parts = [{ digits = 2, is = "month" }, { digits = 2, is = "year-of-century" }]
+++
"#,
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let catalog = &knowledge.catalog;
    let keys = catalog.records.iter().filter_map(|record| match &record.content {
        Content::Key(key) => Some((record, &**key)),
        _ => None,
    });
    keys.flat_map(|(record, key)| {
        key.examples.iter().filter_map(|example| of_example(catalog, record, key, example)).collect::<Vec<_>>()
    })
    .collect()
}

fn of_example(catalog: &Catalog, record: &Record, key: &CodeKey, example: &KeyExample) -> Option<Diagnostic> {
    let code = wording::quote(&example.code.value);
    let reading = match key.notation.read(&example.code.value) {
        Ok(reading) => reading,
        Err(why) => {
            let message = format!("the key reads nothing from {code}: {}", explain::key::unread(key, &why));
            let diagnostic = LINT.at(catalog.place(record, &example.code), message);
            return Some(diagnostic.help(unread_help(key, &why)));
        }
    };
    if !means(example, &reading) {
        let (reads, says) = (wording::quote(&reading.edtf()), wording::quote(example.reads.value.as_str()));
        let message = format!("the key reads {reads} from {code}, and the example says {says}");
        let diagnostic = LINT.at(catalog.place(record, &example.reads), message).saying(figures(&reading));
        return Some(
            diagnostic.help(format!("correct the parts of the key, or write `reads = \"{}\"`", reading.edtf())),
        );
    }
    let says = example.factory.as_ref().filter(|factory| reading.factory() != Some(factory.value.as_str()))?;
    let found = reading.factory().map_or("no factory".to_string(), wording::quote);
    let message = format!("the key reads {found} from {code}, and the example says {}", wording::quote(&says.value));
    let diagnostic = LINT.at(catalog.place(record, says), message).saying(figures(&reading));
    Some(diagnostic.help("correct the table of the factory, or the example"))
}

fn unread_help(key: &CodeKey, why: &Unread) -> String {
    match why {
        Unread::NoForm => format!("correct the code or the parts; {}", explain::key::forms(key)),
        Unread::OutsideYears(_) => "correct the code, or `not-before` and `not-after` of the key".to_string(),
    }
}

/// Says whether an example lists the very days that are read.
fn means(example: &KeyExample, reading: &CodeReading) -> bool {
    let edge = |day: Option<Day>, year, month, last| day.or_else(|| Day::from_ymd(year, month, last));
    let days = example.reads.value.members().into_iter().filter_map(|span| {
        Some(CodeDate { first: edge(span.first(), 1, 1, 1)?, last: edge(span.last(), 9999, 12, 31)? })
    });
    let mut days: Vec<CodeDate> = days.collect();
    days.sort();
    calendar::joined(&days) == calendar::joined(&reading.dates)
}

fn figures(reading: &CodeReading) -> String {
    let forms = reading.forms.iter().map(|form| explain::key::figures(form).join("; "));
    forms.collect::<Vec<String>>().join("; or ")
}
