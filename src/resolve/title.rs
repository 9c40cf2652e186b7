//! The title of an observation: the kind of thing observed, and its date.
//!
//! The name of its file is its address and never its title. No two titles in a folder are equal.

use std::collections::{BTreeMap, BTreeSet};

use crate::date::spoken;
use crate::record::Content;
use crate::record::claim::SourceReference;
use crate::record::id::FeatureId;
use crate::record::observation::{Basis, MadeBy, Observation, Placement, Unplaced, Value, Wearer};
use crate::resolve::{Catalog, CitedSource, RecordIndex};
use crate::source::{FileId, Spanned};
use crate::typography::capital;

/// A code longer than this many characters is no name.
const CODE: usize = 16;

/// The titles of all observations.
#[derive(Clone, Debug, Default)]
pub struct Titles(BTreeMap<RecordIndex, String>);

/// An observation while its title is made.
struct TitleDraft<'a> {
    index: RecordIndex,
    observation: &'a Observation,
    title: String,
}

impl Titles {
    /// Makes the title of each observation of a catalog.
    pub fn of(catalog: &Catalog) -> Titles {
        let codes = coded(catalog);
        let mut groups: BTreeMap<(&str, String), Vec<TitleDraft<'_>>> = BTreeMap::new();
        for (index, record) in (0_u32..).map(RecordIndex).zip(&catalog.records) {
            let Some(observation) = record.content.observation() else { continue };
            let title = capital(&plain(catalog, &codes, record.file, observation));
            let own = TitleDraft { index, observation, title: title.clone() };
            groups.entry((record.path.folder(), title)).or_default().push(own);
        }
        let apart = groups.into_values().flat_map(apart);
        Titles(apart.map(|one| (one.index, one.title)).collect())
    }

    /// The title of an observation; nothing for any other record.
    pub fn get(&self, index: RecordIndex) -> Option<&str> {
        self.0.get(&index).map(String::as_str)
    }
}

/// The features whose codes a key reads.
fn coded(catalog: &Catalog) -> BTreeSet<&FeatureId> {
    let keys = catalog.keys.values().filter_map(|index| match &catalog.record(*index).content {
        Content::Key(key) => Some(&key.reads.value),
        _ => None,
    });
    keys.collect()
}

fn plain(catalog: &Catalog, codes: &BTreeSet<&FeatureId>, file: FileId, observation: &Observation) -> String {
    match observation.basis.value {
        Basis::Specimen => specimen(catalog, codes, observation),
        Basis::Document => document(catalog, file, observation),
        Basis::Statement => format!("statement{}", by_and_day(observation)),
    }
}

fn specimen(catalog: &Catalog, codes: &BTreeSet<&FeatureId>, observation: &Observation) -> String {
    let kind = kind(catalog, observation);
    let date = observation.made.as_ref().and_then(|made| spoken::date(&made.value));
    let is_estimate = matches!(observation.made_by.as_ref().map(|by| by.value), None | Some(MadeBy::Estimate));
    match (date, code(codes, observation)) {
        (Some(date), _) if is_estimate => format!("{kind}, estimated {date}"),
        (Some(date), _) => format!("{kind} dated {date}"),
        (None, Some(code)) => format!("{kind} with the code {code}"),
        (None, None) => format!("undated {kind}"),
    }
}

/// The first code on a garment that some key may read.
fn code<'o>(codes: &BTreeSet<&FeatureId>, observation: &'o Observation) -> Option<&'o str> {
    let own = observation.features.iter().filter(|(feature, _)| codes.contains(feature));
    let mut texts = own.filter_map(|(_, reading)| match &reading.value {
        Value::Code(code) if code.chars().count() <= CODE => Some(code.as_str()),
        _ => None,
    });
    texts.next()
}

/// The kind of garment: its model's, or else the kind that has all the examined features.
fn kind(catalog: &Catalog, observation: &Observation) -> String {
    match &observation.placement {
        Placement::Variant(variant) => of_model(catalog.model(&variant.model())),
        Placement::Unplaced(known) => unplaced(catalog, observation, known),
    }
}

fn of_model(model: Option<&crate::record::Model>) -> String {
    model.map_or_else(|| "garment".to_string(), |model| spaced(&model.garment.value))
}

fn unplaced(catalog: &Catalog, observation: &Observation, known: &Unplaced) -> String {
    let kind = match &known.model {
        Some(model) => of_model(catalog.model(&model.value)),
        None => by_features(catalog, observation),
    };
    match known.wearer {
        Some(Wearer::Men) => format!("men’s {kind}"),
        Some(Wearer::Women) => format!("women’s {kind}"),
        Some(Wearer::Youth) => format!("youth’s {kind}"),
        Some(Wearer::Unisex) | None => kind,
    }
}

fn by_features(catalog: &Catalog, observation: &Observation) -> String {
    let features = observation.features.keys().filter_map(|id| catalog.vocabulary.feature(id.as_str()));
    let lists = features.map(|feature| feature.garments.as_slice()).filter(|garments| !garments.is_empty());
    let shared = lists.map(|list| list.iter().collect::<BTreeSet<&String>>()).reduce(|one, other| &one & &other);
    match shared.unwrap_or_default().into_iter().collect::<Vec<_>>().as_slice() {
        [only] => spaced(only),
        [one, other] => format!("{} or {}", spaced(one), spaced(other)),
        _ => "garment".to_string(),
    }
}

fn document(catalog: &Catalog, file: FileId, observation: &Observation) -> String {
    let first = observation.sources.first();
    let source = first.and_then(|first| cited(catalog, file, first));
    let kind = source.map_or_else(|| "document".to_string(), |source| spaced(source.kind.word()));
    let made = observation.made.as_ref().map(|made| &made.value);
    let date = made.or_else(|| source?.date.as_ref()).and_then(spoken::date);
    let title = match date {
        Some(date) if date.ends_with("0s") => format!("{kind} of the {date}"),
        Some(date) => format!("{kind} of {date}"),
        None => format!("undated {kind}"),
    };
    match first.map_or("", |first| first.value.locator.as_str()) {
        "" => title,
        locator => format!("{title}, {locator}"),
    }
}

fn cited<'c>(catalog: &'c Catalog, file: FileId, reference: &Spanned<SourceReference>) -> Option<&'c CitedSource> {
    catalog.source_named(file, &reference.value.id).map(|source| catalog.cited(source))
}

/// Tells those of one title apart by the month in which somebody looked, then by who it was, then by a number.
fn apart(mut group: Vec<TitleDraft<'_>>) -> Vec<TitleDraft<'_>> {
    if group.len() < 2 {
        return group;
    }
    let are_distinct = |ends: &[String]| ends.iter().collect::<BTreeSet<_>>().len() == ends.len();
    let by = |end: fn(&Observation) -> String| group.iter().map(|one| end(one.observation)).collect::<Vec<String>>();
    let ends = [seen, seen_by].into_iter().map(by).find(|ends| are_distinct(ends));
    let ends = ends.unwrap_or_else(|| (1..=group.len()).map(|number| format!(", no. {number}")).collect());
    group.iter_mut().zip(ends).for_each(|(one, end)| one.title += &end);
    group
}

fn seen(observation: &Observation) -> String {
    observation.observed.as_ref().map_or_else(String::new, |day| format!(", seen {}", spoken::month(day.value)))
}

fn seen_by(observation: &Observation) -> String {
    let seen = by_and_day(observation);
    if seen.is_empty() { seen } else { format!(", seen{seen}") }
}

fn by_and_day(observation: &Observation) -> String {
    let observer = observation.observer.as_ref().map(|observer| format!(" by {}", observer.value));
    let day = observation.observed.as_ref().map(|day| format!(", {}", spoken::day(day.value)));
    observer.unwrap_or_default() + &day.unwrap_or_default()
}

fn spaced(word: &str) -> String {
    word.replace('-', " ")
}
