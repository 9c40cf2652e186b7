//! The list of all lints, and how they are run over the knowledge.
//!
//! Each lint keeps its words and its check in a file of its own. No lint knows another.

use std::collections::BTreeSet;

use crate::analysis::Analysis;
use crate::date::Day;
use crate::diagnostic::{Check, Diagnostic, Lint, Raised};
use crate::fault::Fault;
use crate::fault::photograph::PhotographFault;
use crate::knowledge::Knowledge;
use crate::record::Record;
use crate::record::id::ModelId;
use crate::source::{FileId, Place};

mod broken_run;
mod claim_from_nowhere;
mod code_not_read;
mod code_reads_otherwise;
mod dangling_reference;
mod duplicate_observation;
mod era_conflict;
mod era_strain;
mod estimate_does_not_fit;
mod factories_differ;
mod filed_twice;
mod fits_another_variant;
mod future_date;
mod hard_end;
mod judged_from_nothing;
mod key_example_fails;
mod keys_disagree;
mod malformed_record;
mod misplaced_record;
mod mixed_scripts;
mod no_bands;
mod observer_at_odds;
mod observers_spelt_alike;
mod photo_problems;
mod readings_differ;
mod retired_feature;
mod schema_violation;
mod self_contradicting_source;
mod sign_of_another_line;
mod source_cycle;
mod stale_dispute;
mod undrawn_state;
mod unknown_market;
mod unknown_term;
mod unlike_its_variant;
mod unreadable_file;
mod unsourced_claim;
mod unused_allowance;

/// Every lint, sorted by code.
pub const LINTS: &[&Lint] = &[
    &broken_run::LINT,
    &claim_from_nowhere::LINT,
    &code_not_read::LINT,
    &code_reads_otherwise::LINT,
    &dangling_reference::LINT,
    &duplicate_observation::LINT,
    &era_conflict::LINT,
    &era_strain::LINT,
    &estimate_does_not_fit::LINT,
    &factories_differ::LINT,
    &filed_twice::LINT,
    &fits_another_variant::LINT,
    &future_date::LINT,
    &hard_end::LINT,
    &judged_from_nothing::LINT,
    &key_example_fails::LINT,
    &keys_disagree::LINT,
    &malformed_record::LINT,
    &misplaced_record::LINT,
    &mixed_scripts::LINT,
    &no_bands::LINT,
    &observer_at_odds::LINT,
    &observers_spelt_alike::LINT,
    &photo_problems::LINT,
    &readings_differ::LINT,
    &retired_feature::LINT,
    &schema_violation::LINT,
    &self_contradicting_source::LINT,
    &sign_of_another_line::LINT,
    &source_cycle::LINT,
    &stale_dispute::LINT,
    &undrawn_state::LINT,
    &unknown_market::LINT,
    &unknown_term::LINT,
    &unlike_its_variant::LINT,
    &unreadable_file::LINT,
    &unsourced_claim::LINT,
    &unused_allowance::LINT,
];

/// Finds a lint by its code.
pub fn find(code: &str) -> Option<&'static Lint> {
    LINTS.iter().find(|lint| lint.code == code).copied()
}

/// The input of lints besides the knowledge.
#[derive(Clone, Copy, Debug)]
pub struct LintInput<'a> {
    /// The models whose garments are compared with one another.
    pub reviewed: &'a BTreeSet<ModelId>,
    /// Today's date, if lints should use it.
    pub today: Option<Day>,
}

/// Runs every lint, those that review on the models named; leaves out what entries allow, and sorts by path, line and code.
///
/// Reports each lint when it has been run.
pub fn run(analysis: &Analysis<'_>, input: LintInput<'_>, count: &dyn Fn()) -> Vec<Diagnostic> {
    let knowledge = analysis.knowledge;
    let one = |lint: &&Lint| {
        let found = from_analysis(lint, analysis, input);
        count();
        found
    };
    let mut raised: Vec<Diagnostic> = LINTS.iter().flat_map(one).collect();
    let codes: Vec<&'static str> = LINTS.iter().map(|lint| lint.code).collect();
    let is_reviewing = |lint: &&&Lint| matches!(lint.check, Check::Reviewed(_) | Check::Dated(_) | Check::Compared(_));
    let reviewing: Vec<&'static str> = LINTS.iter().filter(is_reviewing).map(|lint| lint.code).collect();
    let so_far = Raised { diagnostics: &raised, codes: &codes, reviewing: &reviewing };
    let about_them: Vec<Diagnostic> = LINTS.iter().flat_map(|lint| from_raised(lint, knowledge, &so_far)).collect();
    raised.extend(about_them);
    raised.retain(|diagnostic| !is_allowed(knowledge, diagnostic));
    raised.sort_by_cached_key(|diagnostic| key(knowledge, diagnostic));
    raised
}

/// Runs the lints that compare an earlier state with the present one, adds their diagnostics and sorts again.
pub fn add_compared(raised: &mut Vec<Diagnostic>, now: &Knowledge, earlier: &Knowledge) {
    let found = LINTS.iter().flat_map(|lint| match lint.check {
        Check::Compared(check) => check(now, earlier),
        _ => Vec::new(),
    });
    raised.extend(found.filter(|diagnostic| !is_allowed(now, diagnostic)));
    raised.sort_by_cached_key(|diagnostic| key(now, diagnostic));
}

/// Turns faults found while publishing photographs into diagnostics; leaves out what entries allow.
pub fn of_photographs<'a>(
    knowledge: &Knowledge,
    faults: impl Iterator<Item = (Place, &'a PhotographFault)>,
) -> Vec<Diagnostic> {
    let worded = faults.map(|(place, fault)| photo_problems::word(place, fault));
    worded.filter(|diagnostic| !is_allowed(knowledge, diagnostic)).collect()
}

/// Turns a fault of a file that the compilation did not read into a diagnostic.
pub fn of_unreadable(knowledge: &Knowledge, fault: &Fault) -> Option<Diagnostic> {
    unreadable_file::word(knowledge, fault)
}

fn from_analysis(lint: &Lint, analysis: &Analysis<'_>, input: LintInput<'_>) -> Vec<Diagnostic> {
    match lint.check {
        Check::Knowledge(check) => check(analysis.knowledge),
        Check::Dated(check) => input.today.map_or_else(Vec::new, |today| check(analysis.knowledge, today)),
        Check::Reviewed(check) => check(analysis, input.reviewed),
        Check::Raised(_) | Check::Compared(_) | Check::Retired => Vec::new(),
    }
}

fn from_raised(lint: &Lint, knowledge: &Knowledge, raised: &Raised<'_>) -> Vec<Diagnostic> {
    match lint.check {
        Check::Raised(check) => check(knowledge, raised),
        _ => Vec::new(),
    }
}

/// Says whether an entry that the diagnostic touches allows its lint.
fn is_allowed(knowledge: &Knowledge, diagnostic: &Diagnostic) -> bool {
    let code = diagnostic.lint().code;
    let files = diagnostic.places().map(|label| label.place.file);
    files
        .filter_map(|file| record_of(knowledge, file))
        .any(|record| record.allow.iter().any(|allowance| allowance.lint.value == code))
}

/// Finds the record of a file; records are sorted by path, as files are.
fn record_of(knowledge: &Knowledge, file: FileId) -> Option<&Record> {
    let records = &knowledge.catalog.records;
    records.binary_search_by_key(&file, |record| record.file).ok().map(|at| &records[at])
}

fn key(knowledge: &Knowledge, diagnostic: &Diagnostic) -> (FileId, usize, &'static str, usize, String) {
    let place = diagnostic.primary().place;
    let (line, column) = knowledge.catalog.sources.file(place.file).line_and_column(place.span.start());
    (place.file, line, diagnostic.lint().code, column, diagnostic.message().to_string())
}

#[cfg(test)]
mod tests {
    use super::{LINTS, find};

    #[test]
    fn codes_are_words_in_order_and_found_by_name() {
        assert!(LINTS.windows(2).all(|pair| pair[0].code < pair[1].code));
        for lint in LINTS {
            assert!(lint.code.chars().all(|letter| letter.is_ascii_lowercase() || letter == '-'), "{}", lint.code);
            assert_eq!(find(lint.code).map(|found| found.code), Some(lint.code));
        }
    }

    #[test]
    fn titles_are_one_short_line_without_a_full_stop() {
        for lint in LINTS {
            let length = lint.title.chars().count();
            assert!(
                (1..=72).contains(&length) && !lint.title.ends_with('.') && !lint.title.contains('\n'),
                "{}",
                lint.code
            );
        }
    }
}
