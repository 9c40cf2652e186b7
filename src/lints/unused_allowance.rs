//! Allowances that suppress nothing.

use std::collections::BTreeSet;

use crate::diagnostic::{Check, Diagnostic, Level, Lint, Raised, wording};
use crate::knowledge::Knowledge;
use crate::record::{Allowance, Record};
use crate::source::{FileId, Place};

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "unused-allowance",
    level: Level::Warning,
    title: "an allowance suppresses nothing",
    explanation: "\
`allow` in an entry names a lint that somebody checked and accepts there. Once the cause is gone, the allowance only hides the next mistake of its kind, and tells readers of a doubt that no longer exists.

Remove the allowance, or correct the name of the lint. An allowance suppresses every finding that touches its entry, whether reported there or only marking a place in it.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
allow = [{ lint = \"era-conflict\", reason = \"the label was moved\" }]
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
allow = [{ lint = \"unsourced-claim\", reason = \"nobody else will ever have seen it\" }]
[[claims]]
event = \"attested\"
when = \"1975\"
+++
",
    check: Check::Raised(check),
};

fn check(knowledge: &Knowledge, raised: &Raised<'_>) -> Vec<Diagnostic> {
    let used = used(raised.diagnostics);
    let records = &knowledge.catalog.records;
    let allowances = records.iter().flat_map(|record| record.allow.iter().map(move |allow| (record, allow)));
    // An allowance of this lint can only be judged after the lint has run; lints for reviews seldom run.
    let judged = allowances.filter(|(_, allow)| {
        let code = allow.lint.value.as_str();
        code != LINT.code && !raised.reviewing.contains(&code)
    });
    let unused = judged.filter(|(record, allow)| !used.contains(&(allow.lint.value.as_str(), record.file)));
    unused.map(|(record, allow)| word(record, allow, raised.codes)).collect()
}

/// Every lint with every file it touches.
fn used(raised: &[Diagnostic]) -> BTreeSet<(&'static str, FileId)> {
    let places = raised.iter().flat_map(|one| one.places().map(|label| (one.lint().code, label.place.file)));
    places.collect()
}

fn word(record: &Record, allow: &Allowance, codes: &[&'static str]) -> Diagnostic {
    let place = Place { file: record.file, span: allow.lint.span };
    let code = wording::quote(&allow.lint.value);
    if codes.contains(&allow.lint.value.as_str()) {
        let message = format!("nothing here raises {code}, so there is nothing to allow");
        return LINT.at(place, message).help("remove this allowance");
    }
    let help = match wording::nearest(&allow.lint.value, codes, 1).first() {
        Some(near) => format!("write {}", wording::quote(near)),
        None => "write the name of a finding as it is reported, or remove this allowance".to_string(),
    };
    LINT.at(place, format!("there is no lint {code}")).help(help)
}
