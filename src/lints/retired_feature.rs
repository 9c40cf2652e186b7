//! Retired features that something still rests on.

use std::collections::BTreeMap;

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::evidence::landmark;
use crate::knowledge::Knowledge;
use crate::record::claim::{Claim, Event};
use crate::record::id::{FeatureId, Thing};
use crate::resolve::Catalog;
use crate::source::{Place, Span};
use crate::vocabulary::Retired;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "retired-feature",
    level: Level::Warning,
    title: "a record depends on a retired feature",
    explanation: "\
A retired feature is still shown on the pages of its garments, but it is no longer counted: it is not compared, dates no garment and explains no difference. A landmark whose condition names it never applies, a claim about one of its states moves no era, and a feature that names it in `varies-with` is compared without it.

Readings of it in entries may stay and are not reported. Name the feature that replaced it, or remove the mention. Allow it on a claim that is kept for the record.",
    wrong: "\
--- schema/vocabulary.toml
[hem]
name = \"Hem\"
kind = \"state\"
states = [\"raw\", \"chain-stitch\"]
look = \"Look at the inside of the hem.\"
varies-with = [\"lot\"]
[lot]
name = \"Lot\"
kind = \"count\"
look = \"Count the dots on the label.\"
retired = { reason = \"The dots turned out to be the presser's.\" }
",
    right: "\
--- schema/vocabulary.toml
[hem]
name = \"Hem\"
kind = \"state\"
states = [\"raw\", \"chain-stitch\"]
look = \"Look at the inside of the hem.\"
[lot]
name = \"Lot\"
kind = \"count\"
look = \"Count the dots on the label.\"
retired = { reason = \"The dots turned out to be the presser's.\" }
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let catalog = &knowledge.catalog;
    let retired: BTreeMap<&FeatureId, &Retired> =
        catalog.vocabulary.iter().filter_map(|feature| Some((&feature.id, feature.retired.as_ref()?))).collect();
    if retired.is_empty() {
        return Vec::new();
    }
    let mentions = [covariates(catalog), successors(catalog), conditions(catalog), claims(catalog)].concat();
    let found = mentions.into_iter().filter_map(|mention| {
        let retired = retired.get(&mention.feature)?;
        let id = wording::quote(mention.feature.as_str());
        let help = match &retired.instead {
            Some(instead) => format!("name {} instead, or remove it", wording::quote(instead.as_str())),
            None => "remove it, or name a feature that is not retired".to_string(),
        };
        let message = format!("{} names {id}, which is retired: {}", mention.by, retired.reason.trim_end_matches('.'));
        Some(LINT.at(mention.place, message).help(help))
    });
    found.collect()
}

/// A place that names a feature.
#[derive(Clone)]
struct Mention {
    feature: FeatureId,
    by: String,
    place: Place,
}

/// The features that other features vary with.
fn covariates(catalog: &Catalog) -> Vec<Mention> {
    let features = catalog.vocabulary.current();
    let named = features.flat_map(|feature| feature.varies_with.iter().map(move |other| (feature, other)));
    let by = |id: &FeatureId| format!("`varies-with` of {}", wording::quote(id.as_str()));
    named
        .filter_map(|(feature, other)| {
            Some(Mention { feature: other.clone(), by: by(&feature.id), place: in_vocabulary(catalog, feature.span)? })
        })
        .collect()
}

/// The features recorded in place of retired ones.
fn successors(catalog: &Catalog) -> Vec<Mention> {
    let by = |id: &FeatureId| format!("`use` of {}", wording::quote(id.as_str()));
    let named = catalog.vocabulary.iter().filter_map(|feature| {
        let other = feature.retired.as_ref()?.instead.clone()?;
        Some(Mention { feature: other, by: by(&feature.id), place: in_vocabulary(catalog, feature.span)? })
    });
    named.collect()
}

fn in_vocabulary(catalog: &Catalog, span: Span) -> Option<Place> {
    Some(Place { file: catalog.sources.find("schema/vocabulary.toml")?, span })
}

/// The features in the conditions of landmarks.
fn conditions(catalog: &Catalog) -> Vec<Mention> {
    let landmarks = catalog.landmarks.values().filter_map(|index| Some((*index, landmark::of(catalog, *index)?)));
    let named = landmarks.flat_map(|(index, landmark)| {
        let place = Place { file: catalog.record(index).file, span: landmark.when.span };
        let features = landmark.when.value.features();
        features.into_iter().map(move |feature| (feature.clone(), place))
    });
    named.map(|(feature, place)| Mention { feature, by: "this condition".to_string(), place }).collect()
}

/// The features that claims are about.
fn claims(catalog: &Catalog) -> Vec<Mention> {
    let claims = catalog.records.iter().flat_map(|record| {
        record.content.claims().iter().flat_map(|claim| things(claim)).map(|(thing, span)| (record.file, thing, span))
    });
    let named = claims.filter_map(|(file, thing, span)| {
        let (feature, _) = thing.state.as_ref()?;
        Some(Mention { feature: feature.clone(), by: "this claim".to_string(), place: Place { file, span } })
    });
    named.collect()
}

fn things(claim: &Claim) -> Vec<(&Thing, Span)> {
    let other = match &claim.event.value {
        Event::Before(other) => Some((&other.value, other.span)),
        _ => None,
    };
    [Some((&claim.about.value, claim.about.span)), other].into_iter().flatten().collect()
}
