//! Codes that two keys of one maker read differently.

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::evidence::coded;
use crate::evidence::key::{GarmentCode, KeyRead};
use crate::explain;
use crate::knowledge::Knowledge;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "keys-disagree",
    level: Level::Warning,
    title: "two keys read one code differently",
    explanation: "\
Two keys cover codes of this feature on garments of this maker, but they read different dates or factories from the code. There is no reason to prefer either, so neither is used: the garment has no date from its code.

Give each key the years in which its codes were used (`not-before`, `not-after`), or withdraw the one that is wrong: delete it, or set it aside in a settled dispute that says why.",
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
not-before = "1900"
not-after = "1930"
parts = [{ digits = 2, is = "month" }, { digits = 2, is = "year-of-century" }]
+++
--- entries/keys/pocket.md
+++
title = "Year and month on the pocket bag"
reads = "date-code"
makers = ["hollin"]
sources = ["stockroom-talk"]
not-before = "1900"
not-after = "1930"
parts = [{ digits = 2, is = "year-of-century" }, { digits = 2, is = "month" }]
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = "specimen"
placed-by = "mark"
[features]
date-code = "0911"
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
not-before = "1912"
not-after = "1930"
parts = [{ digits = 2, is = "month" }, { digits = 2, is = "year-of-century" }]
+++
--- entries/keys/pocket.md
+++
title = "Year and month on the pocket bag"
reads = "date-code"
makers = ["hollin"]
sources = ["stockroom-talk"]
not-before = "1900"
not-after = "1911"
parts = [{ digits = 2, is = "year-of-century" }, { digits = 2, is = "month" }]
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = "specimen"
placed-by = "mark"
[features]
date-code = "0911"
+++
"#,
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let garments = coded::all(&knowledge.catalog);
    let codes = garments.iter().map(|garment| &garment.code);
    codes.filter_map(|code| Some(word(knowledge, code, code.seen.at_odds()?))).collect()
}

fn word(knowledge: &Knowledge, code: &GarmentCode<'_>, [one, other]: [&KeyRead<'_>; 2]) -> Diagnostic {
    let catalog = &knowledge.catalog;
    let says = |read: &KeyRead<'_>| explain::key::reading(&read.reading);
    let through = |read: &KeyRead<'_>| format!("{} through {}", says(read), wording::quote(read.key.id.as_str()));
    let message = format!("the code {} reads {}, and {}", wording::quote(code.seen.code), through(one), through(other));
    let place = |read: &KeyRead<'_>| catalog.place(catalog.record(read.key.index), &read.key.key.title);
    let label = |read: &KeyRead<'_>| format!("this key reads {}", says(read));
    let diagnostic = LINT.at(code.place, message).label(place(one), label(one)).label(place(other), label(other));
    diagnostic.help("give each key the years in which its codes were used, or settle which of them is wrong")
}
