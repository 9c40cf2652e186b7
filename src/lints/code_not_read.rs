//! Codes that no key of their maker can read.

use crate::code::{Part, Unread};
use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::evidence::coded;
use crate::evidence::key::{CodeSeen, GarmentCode};
use crate::explain;
use crate::knowledge::Knowledge;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "code-not-read",
    level: Level::Note,
    title: "no key of the maker can read this code",
    explanation: "\
The knowledge base has a key for codes of this feature on garments of this maker, but the key cannot read this code. The garment then has no date from its code.

Look at the code again: a worn 3 looks like an 8, and a letter O like a zero. If the code is recorded correctly, the maker used a form that the key does not have yet; add it to the key with its source. Allow the note if the code is known to mean something else.",
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
[features]
date-code = "1378"
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
[features]
date-code = "0378"
+++
"#,
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let garments = coded::all(&knowledge.catalog);
    let codes = garments.iter().map(|garment| &garment.code);
    codes.filter(|code| code.seen.reads.is_empty()).map(|code| word(knowledge, code)).collect()
}

fn word(knowledge: &Knowledge, code: &GarmentCode<'_>) -> Diagnostic {
    let seen = &code.seen;
    let reasons: Vec<String> = seen
        .unread
        .iter()
        .map(|(key, why)| {
            format!("through {}: {}", wording::quote(key.id.as_str()), explain::key::unread(key.key, why))
        })
        .collect();
    let message = format!("the code {} reads nothing {}", wording::quote(seen.code), wording::join(&reasons, "and"));
    let mut diagnostic = LINT.at(code.place, message);
    for (key, _) in seen.unread.iter().filter(|(_, why)| *why == Unread::NoForm) {
        let place = knowledge.catalog.place(knowledge.catalog.record(key.index), &key.key.title);
        diagnostic = diagnostic.label(place, explain::key::forms(key.key));
    }
    diagnostic.help(help(seen))
}

/// The likeliest reason is a character that only looks like a figure or letter.
fn help(seen: &CodeSeen<'_>) -> String {
    let named =
        |found: char| format!("{} is the character U+{:04X}", wording::quote(&found.to_string()), u32::from(found));
    let texts = seen.unread.iter().flat_map(|(key, _)| &key.key.notation.forms).flat_map(|form| &form.parts);
    let mut foreign = texts.filter_map(|part| match part {
        Part::Text(text) => text.chars().find(|character| !character.is_ascii()),
        Part::Field(_) => None,
    });
    match (seen.code.chars().find(|character| !character.is_ascii()), foreign.next()) {
        (Some(found), None) => {
            format!("{}, which is neither a letter A to Z nor a figure; type the code again", named(found))
        }
        (None, Some(found)) => {
            format!(
                "{} in a text of the key, which is neither a letter A to Z nor a figure; type the text again if it should be one",
                named(found)
            )
        }
        _ => "look at the code again, or add this form to the key with its source".to_string(),
    }
}
