//! Ids that records use for one another: which lead nowhere, and what is near them.

use std::cell::Cell;
use std::collections::BTreeSet;

use crate::fault::{Fault, FaultKind, ReferenceFault, TermFault};
use crate::record::claim::{Event, SourceReference};
use crate::record::id::{SourceId, Thing, VoiceName, Whole, whole_claim};
use crate::record::observation::{Observation, Placement};
use crate::record::{Content, Dispute, Record};
use crate::resolve::{Catalog, said};
use crate::source::{Place, Span, Spanned};
use crate::validate::Validated;

/// Addresses of records that exist but cannot be used: a reference to one is no fault.
pub struct UnusableRecords {
    unusable: BTreeSet<String>,
    /// How many more names may be compared in this run to find the nearest.
    comparisons: Cell<usize>,
}

/// How many names are compared, in one run, with ids that lead nowhere.
const MOST_COMPARED: usize = 2_000_000;

impl UnusableRecords {
    /// Takes the addresses from what validation could not use.
    pub fn new(validated: &Validated) -> UnusableRecords {
        let unusable = validated.unusable.keys().map(|path| path.address().to_string()).collect();
        UnusableRecords { unusable, comparisons: Cell::new(MOST_COMPARED) }
    }

    /// Says whether a record that exists at an address cannot be used.
    pub fn holds(&self, address: &str) -> bool {
        self.unusable.contains(address)
    }

    /// All these addresses, sorted.
    pub fn addresses(&self) -> impl Iterator<Item = &str> {
        self.unusable.iter().map(String::as_str)
    }

    /// The fault of a source's id that leads nowhere, unless its record is only unusable.
    pub fn no_source(&self, catalog: &Catalog, place: Place, id: &SourceId) -> Option<Fault> {
        if self.holds(&format!("sources/{id}")) {
            return None;
        }
        let file = place.file;
        let here = catalog.source_names.keys().filter(|(scope, _)| scope.is_none_or(|scope| scope == file));
        Some(self.dangling(place, "source", id.as_str(), here.map(|(_, name)| name.as_str())))
    }

    /// The fault of an id that leads nowhere, with the names near it for as long as the run may still compare.
    fn dangling<'a>(
        &self,
        place: Place,
        wanted: &'static str,
        found: &str,
        names: impl Iterator<Item = &'a str>,
    ) -> Fault {
        let left = self.comparisons.get();
        let names: Vec<&str> = names.take(left).collect();
        self.comparisons.set(left - names.len());
        let nearest = nearest(found, names.into_iter());
        let fault = ReferenceFault { wanted, found: found.to_string(), nearest, problem: None };
        Fault::new(place, FaultKind::Reference(fault))
    }
}

/// Looks up every id in every record.
pub fn check(catalog: &Catalog, unusable: &UnusableRecords) -> Vec<Fault> {
    catalog.records.iter().flat_map(|record| Check { catalog, unusable, record }.all()).collect()
}

struct Check<'a> {
    catalog: &'a Catalog,
    unusable: &'a UnusableRecords,
    record: &'a Record,
}

impl Check<'_> {
    fn all(&self) -> Vec<Fault> {
        let mut faults: Vec<Fault> = self.claims();
        match &self.record.content {
            Content::Observation(observation) => faults.extend(self.observation(observation)),
            Content::Variant(variant) => {
                faults.extend(self.whole(variant.line.span, &Whole::Line(variant.line.value.clone())));
                let revived = variant.revives.iter();
                faults.extend(revived.flat_map(|id| self.whole(id.span, &Whole::Variant(id.value.clone()))));
            }
            Content::Landmark(landmark) => faults.extend(self.sources(&landmark.sources)),
            Content::Key(key) => {
                faults.extend(self.sources(&key.sources));
                let makers = key.makers.iter();
                faults.extend(makers.flat_map(|id| self.whole(id.span, &Whole::Maker(id.value.clone()))));
            }
            Content::Dispute(dispute) => faults.extend(self.dispute(dispute)),
            _ => {}
        }
        faults.extend(self.hidden());
        faults
    }

    fn place(&self, span: Span) -> Place {
        Place { file: self.record.file, span }
    }

    fn claims(&self) -> Vec<Fault> {
        let claims = self.record.content.claims().iter();
        claims
            .flat_map(|claim| {
                let other = match &claim.event.value {
                    Event::Before(other) => Some(other),
                    _ => None,
                };
                let things = std::iter::once(&claim.about).chain(other);
                let whole = things.flat_map(|thing| self.thing(thing));
                whole.chain(self.sources(&claim.sources)).collect::<Vec<Fault>>()
            })
            .collect()
    }

    fn thing(&self, thing: &Spanned<Thing>) -> Option<Fault> {
        self.whole(thing.span, &thing.value.whole)
    }

    fn whole(&self, span: Span, whole: &Whole) -> Option<Fault> {
        let exists = self.catalog.has_thing(&Thing::of(whole.clone()));
        if exists || self.unusable.holds(&address(whole)) {
            return None;
        }
        let place = self.place(span);
        Some(match whole {
            Whole::Maker(id) => {
                self.unusable.dangling(place, "maker", id.as_str(), self.catalog.makers.keys().map(|id| id.as_str()))
            }
            Whole::Line(id) => {
                let lines = self.catalog.lines.keys().filter(|line| line.maker() == id.maker());
                self.unusable.dangling(place, "line", id.line(), lines.map(|line| line.line()))
            }
            Whole::Model(id) => {
                self.unusable.dangling(place, "model", id.as_str(), self.catalog.models.keys().map(|id| id.as_str()))
            }
            Whole::Variant(id) => self.unusable.dangling(
                place,
                "variant",
                id.as_str(),
                self.catalog.variants.keys().map(|id| id.as_str()),
            ),
        })
    }

    fn sources(&self, references: &[Spanned<SourceReference>]) -> Vec<Fault> {
        let missing = references
            .iter()
            .filter(|reference| self.catalog.source_named(self.record.file, &reference.value.id).is_none());
        let faults = missing.filter_map(|reference| {
            self.unusable.no_source(self.catalog, self.place(reference.span), &reference.value.id)
        });
        faults.collect()
    }

    fn observation(&self, observation: &Observation) -> Vec<Fault> {
        let mut faults = self.sources(&observation.sources);
        faults.extend(self.sources(observation.made_source.as_slice()));
        match &observation.placement {
            Placement::Variant(variant) => faults.extend(self.garment(observation, variant.model())),
            Placement::Unplaced(unplaced) => {
                let maker = unplaced.maker.iter().map(|id| (id.span, Whole::Maker(id.value.clone())));
                let model = unplaced.model.iter().map(|id| (id.span, Whole::Model(id.value.clone())));
                let line = unplaced.line.iter().map(|id| (id.span, Whole::Line(id.value.clone())));
                let perhaps = unplaced.perhaps.iter().map(|id| (id.span, Whole::Variant(id.value.clone())));
                let wholes = maker.chain(model).chain(line).chain(perhaps);
                faults.extend(wholes.flat_map(|(span, whole)| self.whole(span, &whole)));
            }
        }
        faults
    }

    /// Features that the model's sort of garment does not have.
    fn garment(&self, observation: &Observation, model: crate::record::id::ModelId) -> Vec<Fault> {
        let Some(entry) = self.catalog.models.get(&model) else { return Vec::new() };
        let Content::Model(model) = &self.catalog.record(entry.record).content else { return Vec::new() };
        let readings = observation.features.iter();
        let wrong = readings.filter_map(|(id, reading)| {
            let feature = self.catalog.vocabulary.feature(id.as_str())?;
            let fits = feature.is_of(&model.garment.value);
            (!fits).then(|| {
                let fault = TermFault::WrongGarment {
                    feature: id.to_string(),
                    garment: model.garment.value.clone(),
                    allowed: feature.garments.clone(),
                };
                Fault::new(self.place(reading.span), FaultKind::Term(fault))
            })
        });
        wrong.collect()
    }

    /// Local sources under the id of a shared one.
    fn hidden(&self) -> Vec<Fault> {
        let local = self.record.content.local_sources().iter();
        let hiding = local.filter(|source| self.catalog.source_names.contains_key(&(None, source.id.value.clone())));
        let fault = |found: &Spanned<SourceId>| ReferenceFault {
            wanted: "source",
            found: found.value.to_string(),
            nearest: Vec::new(),
            problem: Some("a shared source has this id; give the local one another".into()),
        };
        hiding.map(|source| Fault::new(self.place(source.id.span), FaultKind::Reference(fault(&source.id)))).collect()
    }

    fn dispute(&self, dispute: &Dispute) -> Vec<Fault> {
        let claims = dispute.claims.iter().filter_map(|claim| self.voice(&claim.claim));
        claims.chain(dispute.set_aside.iter().filter_map(|name| self.voice(name))).collect()
    }

    /// The fault of a name that nothing has; whether what has it still says that is a lint's business.
    fn voice(&self, name: &Spanned<VoiceName>) -> Option<Fault> {
        let whole = whole_claim(name.value.as_str());
        let (path, part) = whole.split_once('#').unwrap_or((whole, ""));
        let at = self.catalog.records.binary_search_by(|record| record.path.as_str().cmp(path));
        let address = path.strip_prefix("entries/").unwrap_or(path);
        let place = self.place(name.span);
        match at.map(|at| said::parts(&self.catalog.records[at])) {
            Ok(parts) if parts.iter().any(|own| own == part) => None,
            Ok(parts) => {
                // The path is correct but long: its end alone shows which part is missing.
                let names: Vec<String> = parts.iter().map(|part| format!("#{part}")).collect();
                let found = format!("#{part}");
                Some(self.unusable.dangling(
                    place,
                    "claim, date, key, placing or reading",
                    &found,
                    names.iter().map(String::as_str),
                ))
            }
            Err(_) if self.unusable.holds(address.strip_suffix(".md").unwrap_or(address)) => None,
            Err(_) => {
                let paths = self.catalog.records.iter().map(|record| record.path.as_str());
                Some(self.unusable.dangling(place, "entry", path, paths))
            }
        }
    }
}

/// The address of the record that gives a whole its being.
pub fn address(whole: &Whole) -> String {
    match whole {
        Whole::Maker(id) => format!("makers/{id}/maker"),
        Whole::Line(id) => format!("makers/{}/maker", id.maker()),
        Whole::Model(id) => format!("makers/{id}/model"),
        Whole::Variant(id) => format!("makers/{id}/variant"),
    }
}

/// The three names nearest in spelling, the nearest first.
pub fn nearest<'a>(found: &str, names: impl Iterator<Item = &'a str>) -> Vec<String> {
    let limit = found.chars().count() / 2 + 1;
    let measured: BTreeSet<(usize, &str)> =
        names.map(|name| (strsim::damerau_levenshtein(found, name), name)).collect();
    let near = measured.into_iter().filter(|(distance, _)| *distance <= limit);
    near.take(3).map(|(_, name)| name.to_string()).collect()
}
