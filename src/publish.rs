//! The list of all publishers: each turns knowledge into the files of one page kind or one export.
//!
//! Files are planned first and made one by one when they are written, so that the whole site is never in memory.
//! No publisher calls another, and none touches the disk.

pub mod export;
pub mod inline;
pub mod moved;
pub mod output;
pub mod page;
pub mod pattern;
pub mod output_log;
mod scripts;
pub mod trial;

use std::collections::BTreeMap;

use crate::publish::export::{package, rules, since};
use crate::publish::output::{OutputFile, PublishError, Publisher};
use crate::view::context::Context;

/// Every publisher.
pub const PUBLISHERS: &[&Publisher] = &[
    &page::a_z::PUBLISHER,
    &export::assets::PUBLISHER,
    &page::calibration::PUBLISHER,
    &page::comparison::PUBLISHER,
    &page::conflicts::PUBLISHER,
    &page::contribute::PUBLISHER,
    &page::downloads::PUBLISHER,
    &export::feed::PUBLISHER,
    &page::feature::PUBLISHER,
    &page::field_sheet::PUBLISHER,
    &page::guide::PUBLISHER,
    &page::home::PUBLISHER,
    &page::in_hand::PUBLISHER,
    &page::keys::PUBLISHER,
    &page::landmarks::PUBLISHER,
    &page::line::PUBLISHER,
    &page::line_comparison::PUBLISHER,
    &page::lints::PUBLISHER,
    &page::maker::PUBLISHER,
    &page::model::PUBLISHER,
    &page::observation::PUBLISHER,
    &export::offline::PUBLISHER,
    &export::package::PUBLISHER,
    &page::questions::PUBLISHER,
    &export::rules::PUBLISHER,
    &export::search::PUBLISHER,
    &export::since::PUBLISHER,
    &page::side_by_side::PUBLISHER,
    &page::sources::PUBLISHER,
    &page::steps::PUBLISHER,
    &page::succession::PUBLISHER,
    &page::variant::PUBLISHER,
    &page::whereabouts::PUBLISHER,
];

/// Names the exports that other programs and spreadsheets read, by path in the output, each with what it is for.
pub fn downloads() -> Vec<(String, &'static str)> {
    package::downloads().into_iter().chain(since::downloads()).chain(rules::downloads()).collect()
}

/// Computes, on all threads, the answers that many files need.
///
/// Call it before files are made on all threads. A thread that waits for such an answer takes up other work, which may
/// be a file that waits for the same answer: a deadlock.
pub fn prepare<'a>(context: &'a Context<'a>) {
    context.analysis.prepare();
}

/// Plans the files of all publishers, sorted by path.
pub fn files<'a>(context: &'a Context<'a>) -> Result<Vec<OutputFile<'a>>, PublishError> {
    let mut sorted = BTreeMap::new();
    for publisher in PUBLISHERS {
        for file in (publisher.publish)(context) {
            let problem = if !publisher.owns.iter().any(|owned| pattern::matches(owned, file.path())) {
                format!("not a path that `{}` owns", publisher.name)
            } else if sorted.contains_key(file.path()) {
                "planned twice".to_string()
            } else {
                sorted.insert(file.path().to_string(), file);
                continue;
            };
            return Err(PublishError { path: file.path().to_string(), problem: problem.into() });
        }
    }
    Ok(sorted.into_values().collect())
}

#[cfg(test)]
mod tests {
    use super::{PUBLISHERS, pattern};

    #[test]
    fn no_two_publishers_claim_one_path() {
        for (number, one) in PUBLISHERS.iter().enumerate() {
            for other in &PUBLISHERS[number + 1..] {
                for (mine, theirs) in
                    one.owns.iter().flat_map(|mine| other.owns.iter().map(move |theirs| (mine, theirs)))
                {
                    assert!(!pattern::overlap(mine, theirs), "{}: {mine}, {}: {theirs}", one.name, other.name);
                }
            }
        }
    }

    #[test]
    fn publishers_have_names_of_their_own_and_a_description() {
        let mut names: Vec<_> = PUBLISHERS.iter().map(|publisher| publisher.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), PUBLISHERS.len());
        assert!(PUBLISHERS.iter().all(|publisher| !publisher.description.is_empty() && !publisher.owns.is_empty()));
    }
}
