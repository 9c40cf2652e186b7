//! Finds imported entries that look like a recorded garment, or like another of the same import.
//!
//! Garments of one variant are alike, so these are only pointed out. An entry identical to a
//! recorded one is not written again.

use std::collections::BTreeMap;

use crate::diagnostic::wording;
use crate::import::Candidate;
use crate::record::Record;
use crate::record::observation::{Basis, Observation, Placement, Reading, Value};
use crate::resolve::Catalog;
use crate::source::Sources;

/// How many readings must be the same where neither observer nor source is.
const FEWEST_READINGS: usize = 3;

/// How many like entries an entry is compared with.
const MOST_COMPARED: usize = 5;

/// The texts of what is recorded, by folder.
#[derive(Clone, Debug, Default)]
pub struct Recorded(BTreeMap<(String, String), Vec<String>>);

impl Recorded {
    /// Takes the texts of all entries.
    pub fn of(sources: &Sources) -> Recorded {
        let mut recorded = Recorded::default();
        for (_, file) in sources.iter() {
            let key = (file.path().folder().to_string(), file.text().trim_end().to_string());
            recorded.0.entry(key).or_default().push(file.path().to_string());
        }
        recorded
    }

    /// Gives the path of a recorded entry with this text; each of several like ones once.
    pub fn take(&mut self, folder: &str, text: &str) -> Option<String> {
        self.0.get_mut(&(folder.to_string(), text.trim_end().to_string()))?.pop()
    }
}

/// The signs that two entries describe one garment.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Sign {
    Observer(String, String, String),
    Source(String, String, String),
    Readings(String),
}

impl Sign {
    fn words(&self) -> &'static str {
        match self {
            Sign::Observer(..) => "the same variant, readings and observer",
            Sign::Source(..) => "the same variant, readings and source",
            Sign::Readings(_) => "all readings are the same",
        }
    }
}

/// Adds a remark to each candidate that looks like an entry before it, recorded or new.
///
/// The catalog holds the candidates as well.
pub fn point_out(catalog: &Catalog, candidates: &mut [Candidate]) {
    let new = candidates.iter().enumerate().filter(|(_, one)| one.corrects.is_none());
    let new: BTreeMap<String, usize> = new.map(|(number, one)| (one.path.clone(), number)).collect();
    let mut seen: BTreeMap<Sign, Vec<&Record>> = BTreeMap::new();
    let (mut imported, old): (Vec<&Record>, Vec<&Record>) =
        specimens(catalog).partition(|record| new.contains_key(record.path.as_str()));
    for record in old {
        remember(&mut seen, record);
    }
    imported.sort_by_key(|record| new.get(record.path.as_str()));
    for record in imported {
        let like = signs(record).into_iter().find_map(|sign| {
            let others = seen.get(&sign).into_iter().flatten();
            others.copied().find(|other| may_be_one(catalog, other, record)).map(|other| (sign, other))
        });
        if let (Some((sign, other)), Some(number)) = (like, new.get(record.path.as_str())) {
            let before = new.get(other.path.as_str()).map(|before| candidates[*before].origin.to_string());
            candidates[*number].remarks.push(remark(&sign, record, other, before));
        }
        remember(&mut seen, record);
    }
}

fn remark(sign: &Sign, record: &Record, other: &Record, before: Option<String>) -> String {
    let name = if other.path.folder() == record.path.folder() { other.path.stem() } else { other.path.address() };
    let what =
        before.map_or_else(|| wording::quote(other.path.as_str()), |origin| format!("{origin}, `{}`", other.path));
    format!(
        "this looks like the garment of {what}: {}. If it is, say so with `same-as = \"{name}\"` or leave it out; if it \
         is another garment, do nothing",
        sign.words()
    )
}

fn specimens(catalog: &Catalog) -> impl Iterator<Item = &Record> {
    let is_specimen = |record: &&Record| {
        record
            .content
            .observation()
            .is_some_and(|seen| seen.basis.value == Basis::Specimen && !seen.features.is_empty())
    };
    catalog.records.iter().filter(is_specimen)
}

fn remember<'a>(seen: &mut BTreeMap<Sign, Vec<&'a Record>>, record: &'a Record) {
    for sign in signs(record) {
        let others = seen.entry(sign).or_default();
        if others.len() < MOST_COMPARED {
            others.push(record);
        }
    }
}

fn signs(record: &Record) -> Vec<Sign> {
    let Some(observation) = record.content.observation() else { return Vec::new() };
    let readings: Vec<String> =
        observation.features.iter().map(|(feature, reading)| format!("{feature}={}", shown(reading))).collect();
    let all = readings.join("\n");
    let place = match &observation.placement {
        Placement::Variant(variant) => variant.to_string(),
        Placement::Unplaced(known) => {
            let maker = known.maker.as_ref().map(|maker| maker.value.to_string());
            known.model.as_ref().map(|model| model.value.to_string()).or(maker).unwrap_or_default()
        }
    };
    let observer = observation.observer.iter().map(|who| Sign::Observer(place.clone(), all.clone(), who.value.clone()));
    let sources = observation.sources.iter();
    let sources = sources.map(|source| Sign::Source(place.clone(), all.clone(), source.value.id.to_string()));
    let mut signs: Vec<Sign> = observer.chain(sources).collect();
    if readings.len() >= FEWEST_READINGS {
        signs.push(Sign::Readings(all));
    }
    signs
}

fn shown(reading: &Reading) -> String {
    let value = match &reading.value {
        Value::State(state) => state.to_string(),
        Value::Count(count) => count.to_string(),
        Value::Measure(number) | Value::Number(number) => number.to_string(),
        Value::Code(text) | Value::Other(text) => format!("{text:?}"),
        Value::Absent => "absent".to_string(),
        Value::Lost => "lost".to_string(),
    };
    if reading.altered { format!("{value} altered") } else { value }
}

/// Says whether nothing in two entries speaks for two garments, and neither says already that they are one.
fn may_be_one(catalog: &Catalog, one: &Record, other: &Record) -> bool {
    let (Some(first), Some(second)) = (one.content.observation(), other.content.observation()) else { return false };
    let made = |seen: &Observation| seen.made.as_ref().map(|made| made.value.span(catalog.circa()));
    // Two people date one garment differently, but not to years that exclude each other.
    let are_apart = made(first).zip(made(second)).is_some_and(|(one, other)| !one.overlaps(other));
    let says = |seen: &Observation, whole: &Record| {
        seen.same_as.as_ref().is_some_and(|same| same.value == whole.path.stem() || same.value == whole.path.address())
    };
    let are_joined = says(first, other) || says(second, one);
    // Garments found together are several garments, as their keeper recorded.
    let are_a_find = first.find.is_some() && first.find == second.find;
    !are_joined
        && !are_a_find
        && !are_apart
        && !differ(first.factory.as_deref(), second.factory.as_deref())
        && !differ(first.market(), second.market())
}

fn differ<T: PartialEq>(one: Option<T>, other: Option<T>) -> bool {
    one.is_some() && other.is_some() && one != other
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::point_out;
    use crate::compile::example;
    use crate::import::{Candidate, Origin};

    /// The remarks on an entry that may repeat another.
    fn said(recorded: &str, added: &str) -> Vec<String> {
        let file = |name: &str, text: &str| {
            format!("--- entries/makers/a/b/c/{name}.md\n+++\nbasis = \"specimen\"\n{text}+++\n")
        };
        let compilation = example::compile(&(file("old", recorded) + &file("new", added)));
        let mut candidates = [Candidate::new(Origin::Row(2), "entries/makers/a/b/c/new.md".into(), String::new())];
        point_out(&compilation.knowledge.catalog, &mut candidates);
        candidates[0].remarks.clone()
    }

    const SEEN: &str = "[features]\nhem = \"folded\"\nzip = \"brass\"\nbelt-loops = 5\n";

    #[test]
    fn like_garments_are_pointed_out_and_others_are_not() {
        let rows = [
            ("", SEEN, SEEN, Some("all readings are the same")),
            (
                "",
                "observer = \"a\"\n[features]\nhem = \"folded\"\n",
                "observer = \"a\"\n[features]\nhem = \"folded\"\n",
                Some("readings and observer"),
            ),
            (
                "another observer",
                "observer = \"a\"\n[features]\nhem = \"folded\"\n",
                "observer = \"b\"\n[features]\nhem = \"folded\"\n",
                None,
            ),
            ("another reading", SEEN, "[features]\nhem = \"raw\"\nzip = \"brass\"\nbelt-loops = 5\n", None),
            (
                "another year",
                "made = \"1971\"\n[features]\nhem = \"folded\"\nzip = \"brass\"\npockets = 5\n",
                "made = \"1972\"\n[features]\nhem = \"folded\"\nzip = \"brass\"\npockets = 5\n",
                None,
            ),
            (
                "said already",
                SEEN,
                "same-as = \"old\"\n[features]\nhem = \"folded\"\nzip = \"brass\"\nbelt-loops = 5\n",
                None,
            ),
        ];
        for (case, recorded, added, expected) in rows {
            let remarks = said(recorded, added);
            match expected {
                Some(words) => assert!(remarks.len() == 1 && remarks[0].contains(words), "{remarks:?}"),
                None => assert!(remarks.is_empty(), "{case}: {remarks:?}"),
            }
        }
    }
}
