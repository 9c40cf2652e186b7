//! Landmarks as tables: their bounds, and their conditions as clauses.

use crate::evidence::landmark::{not_after, not_before, of};
use crate::publish::export::rules::sql::{Rows, Table, clauses, one_or_zero, optional};
use crate::record::id::LandmarkId;
use crate::record::landmark::{Force, Landmark};
use crate::view::context::Context;

/// Landmarks with the days and years they bound.
pub const LANDMARKS: Table = Table {
    name: "landmarks",
    summary: "landmarks with the days and years they bound",
    columns: &["landmark", "hard", "market", "odds", "zone", "not_before", "not_after", "first_year", "last_year"],
    rows: landmarks,
};

/// The readings garments need, a row for each part of each clause.
pub const CONDITIONS: Table = Table {
    name: "conditions",
    summary: "what garments must show for landmarks to apply to them",
    columns: &["landmark", "clause", "parts", "feature", "state", "low", "high"],
    rows: conditions,
};

fn all<'a>(context: &'a Context<'a>) -> impl Iterator<Item = (&'a LandmarkId, &'a Landmark)> {
    let catalog = &context.knowledge.catalog;
    catalog.landmarks.iter().filter_map(|(id, index)| Some((id, of(catalog, *index)?)))
}

fn landmarks<'a>(context: &'a Context<'a>) -> Rows<'a> {
    let catalog = &context.knowledge.catalog;
    Box::new(all(context).map(|(id, landmark)| {
        let (is_hard, odds) = match landmark.force {
            Force::Hard { odds } => (true, odds),
            Force::Soft { odds } => (false, odds),
        };
        let first = landmark.when.value.features().first().and_then(|id| catalog.vocabulary.feature(id.as_str()));
        let (begin, end) = (not_before(landmark, catalog.circa()), not_after(landmark, catalog.circa()));
        vec![
            id.to_string(),
            one_or_zero(is_hard),
            optional(landmark.market()),
            odds.to_string(),
            optional(first.and_then(|feature| feature.zone.as_ref())),
            optional(begin),
            optional(end),
            optional(begin.map(|day| day.year())),
            optional(end.map(|day| day.year())),
        ]
    }))
}

fn conditions<'a>(context: &'a Context<'a>) -> Rows<'a> {
    let vocabulary = &context.knowledge.catalog.vocabulary;
    let clauses = all(context).flat_map(|(id, landmark)| {
        let clauses = clauses::of(vocabulary, &landmark.when.value).unwrap_or_default();
        clauses.into_iter().enumerate().map(move |(number, clause)| (id, number, clause))
    });
    Box::new(clauses.flat_map(|(id, number, clause)| {
        let parts = clause.len().to_string();
        clause.into_iter().map(move |part| {
            vec![
                id.to_string(),
                number.to_string(),
                parts.clone(),
                part.feature.to_string(),
                optional(part.state),
                optional(part.low),
                optional(part.high),
            ]
        })
    }))
}
