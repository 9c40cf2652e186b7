//! How a date is known and why an observation is of its variant: the rules between these keys.

use crate::fault::RuleBroken;
use crate::record::id::FeatureId;
use crate::record::observation::{Basis, JudgedFrom, MadeBy, PlacedBy};
use crate::source::Spanned;
use crate::source::tree::Table;
use crate::validate::reader::{Named, Reader, word};

/// Words of `made-from` that are no features.
const ESTIMATE_WORDS: [&str; 4] = ["line", "model", "variant", "wear"];
/// The word of `placed-from` for a placing without a stated reason.
pub(super) const UNSAID: &str = "unsaid";

const MADE_BY: [(MadeBy, &str); 4] =
    [(MadeBy::Mark, "mark"), (MadeBy::Paper, "paper"), (MadeBy::Key, "key"), (MadeBy::Estimate, "estimate")];
const PLACED_BY: [(PlacedBy, &str); 3] =
    [(PlacedBy::Mark, "mark"), (PlacedBy::Paper, "paper"), (PlacedBy::Judged, "judged")];

/// Why an observation is of its variant.
pub(super) struct Placing {
    pub(super) by: Option<Spanned<PlacedBy>>,
    pub(super) from: Vec<Spanned<JudgedFrom>>,
}

/// Reads `placed-by` and `placed-from`.
pub(super) fn placing(reader: &mut Reader<'_>, table: &Table) -> Placing {
    let by = word(table, "placed-by", &PLACED_BY);
    let is_judged = by.as_ref().is_some_and(|by| by.value == PlacedBy::Judged);
    let is_refused = by.is_none() && table.has("placed-by");
    let mut from = judged_from(reader, table, "placed-from", &[UNSAID]);
    if let Some(entry) = table.entry("placed-from").filter(|_| !is_judged && !is_refused) {
        reader.rule(entry.key.span, RuleBroken::FromNeedsJudgement { key: "placed-from".to_string() });
    }
    if let Some(by) = by.as_ref().filter(|_| is_judged && from.is_empty()) {
        from.push(Spanned::new(JudgedFrom::Unsaid, by.span));
    }
    Placing { by, from }
}

/// How a date is known.
pub(super) struct Dating {
    pub(super) by: Option<Spanned<MadeBy>>,
    pub(super) from: Option<Vec<Spanned<JudgedFrom>>>,
}

/// Reads `made-by` and `made-from`, and checks all keys about the date against the basis and each other.
pub(super) fn dating(reader: &mut Reader<'_>, table: &Table, basis: Option<Basis>) -> Dating {
    let by = word(table, "made-by", &MADE_BY);
    let from = table.has("made-from").then(|| judged_from(reader, table, "made-from", &ESTIMATE_WORDS));
    match basis {
        Some(Basis::Specimen) => specimen(reader, table, by.as_ref().map(|by| by.value)),
        Some(basis) => paper(reader, table, basis),
        None => {}
    }
    Dating { by, from }
}

/// A document or a statement has no date of a garment.
fn paper(reader: &mut Reader<'_>, table: &Table, basis: Basis) {
    if let Some(made) = table.entry("made").filter(|_| basis == Basis::Statement) {
        reader.rule(made.key.span, RuleBroken::StatementWithMade);
    }
    for key in ["made-by", "made-source", "made-from"] {
        if let Some(entry) = table.entry(key) {
            reader.rule(entry.key.span, RuleBroken::NotOnDocument { key: key.to_string() });
        }
    }
}

fn specimen(reader: &mut Reader<'_>, table: &Table, by: Option<MadeBy>) {
    for key in ["made-by", "made-from", "made-source"] {
        if let Some(entry) = table.entry(key).filter(|_| !table.has("made")) {
            reader.missing(entry.key.span, "made", &format!("beside `{key}`"));
            return;
        }
    }
    // The schema refused `made-by`, so its requirements are unknown.
    if by.is_none() && table.has("made-by") {
        return;
    }
    match (table.entry("made-by"), table.entry("made-source"), by) {
        (Some(entry), None, Some(MadeBy::Key)) => reader.rule(entry.value.span, RuleBroken::KeyNeedsSource),
        (_, Some(entry), by) if by != Some(MadeBy::Key) => reader.rule(entry.key.span, RuleBroken::KeyNeedsSource),
        _ => {}
    }
    let is_estimate = matches!(by, None | Some(MadeBy::Estimate));
    if let Some(entry) = table.entry("made-from").filter(|_| !is_estimate) {
        reader.rule(entry.key.span, RuleBroken::FromNeedsJudgement { key: "made-from".to_string() });
    }
}

/// Reads a list of features and of words that are none.
fn judged_from(reader: &mut Reader<'_>, table: &Table, key: &str, words: &[&str]) -> Vec<Spanned<JudgedFrom>> {
    let mut from = Vec::new();
    for item in table.texts(key) {
        let judged = if item.value == UNSAID && words.contains(&UNSAID) {
            JudgedFrom::Unsaid
        } else if words.contains(&item.value.as_str()) {
            JudgedFrom::Word(item.value)
        } else if matches!(reader.feature(&item.value, item.span), Named::Unknown) {
            continue;
        } else {
            JudgedFrom::Feature(FeatureId::new(item.value))
        };
        from.push(Spanned::new(judged, item.span));
    }
    from
}
