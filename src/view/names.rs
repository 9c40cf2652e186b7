//! Everything in the site that readers look for by name or year, each with its path and the thing
//! it belongs to.
//!
//! A thing comes after the one it belongs to. Nothing is ranked or drawn here.

use std::collections::{BTreeMap, BTreeSet};

use crate::chronology::voice;
use crate::comparison::lines::Subject;
use crate::date::{DaySpan, edtf::CircaYears};
use crate::evidence::{key, landmark};
use crate::explain::changes as words;
use crate::knowledge::Knowledge;
use crate::record::Content;
use crate::record::id::{FeatureId, MakerId, Thing, VariantId, Whole};
use crate::record::observation::{Basis, Observation, Placement};
use crate::resolve::title::Titles;
use crate::resolve::{Catalog, RecordIndex};
use crate::view::context::Context;
use crate::view::guide;
use crate::view::histories;
use crate::view::leaf::{self, Leaf, spaced};
use crate::view::line_pairs;
use crate::view::named::{Named, Sort, Years};
use crate::view::path;
use crate::vocabulary::{Feature, Kind};

/// Lists everything.
pub fn all<'a>(context: &'a Context<'a>) -> Vec<Named> {
    let (knowledge, titles) = (context.knowledge, context.titles());
    let mut list = List { knowledge, titles, named: Vec::new(), wholes: BTreeMap::new() };
    list.knowledge.catalog.makers.keys().for_each(|maker| list.maker(maker));
    list.knowledge.catalog.landmarks.values().for_each(|index| list.landmark(*index));
    list.knowledge.catalog.keys.values().for_each(|index| list.key(*index));
    let mut counted = counts(context);
    for feature in list.knowledge.catalog.vocabulary.iter() {
        list.feature(feature, counted.remove(&feature.id).unwrap_or_default());
    }
    list.sources();
    list.observations();
    list.guide(guide::entries(context.site));
    list.comparisons(context);
    list.changeovers(context);
    list.named
}

/// The years of a span that is bounded on one side at least.
fn years(span: DaySpan) -> Option<Years> {
    let years = (span.first().map(|day| day.year()), span.last().map(|day| day.year()));
    (!span.is_open()).then_some(years)
}

/// The numbers that were counted of each feature that is counted, the least first.
fn counts(context: &Context<'_>) -> BTreeMap<FeatureId, BTreeSet<u32>> {
    let catalog = &context.knowledge.catalog;
    let features: Vec<&Feature> = catalog.vocabulary.iter().filter(|feature| feature.kind == Kind::Count).collect();
    let mut counts: BTreeMap<FeatureId, BTreeSet<u32>> = BTreeMap::new();
    for variant in catalog.variants.keys() {
        let evidence = context.analysis.evidence(variant);
        for feature in &features {
            let states = evidence.items(&feature.id).iter().filter_map(|item| item.seen.state());
            counts.entry(feature.id.clone()).or_default().extend(states.filter_map(|state| state.parse::<u32>().ok()));
        }
    }
    counts
}

struct List<'a> {
    knowledge: &'a Knowledge,
    titles: &'a Titles,
    named: Vec<Named>,
    /// The places of makers, models and variants.
    wholes: BTreeMap<Whole, usize>,
}

impl<'a> List<'a> {
    fn catalog(&self) -> &'a Catalog {
        &self.knowledge.catalog
    }

    fn add(&mut self, sort: Sort, name: String, path: String) -> usize {
        self.named.push(Named { sort, name, path, parent: None, years: None, also: String::new() });
        self.named.len() - 1
    }

    fn maker(&mut self, id: &MakerId) {
        let catalog = self.catalog();
        let record = catalog.record(catalog.makers[id].record);
        let maker = self.add(Sort::Maker, leaf::name(record), path::record(record));
        self.wholes.insert(Whole::Maker(id.clone()), maker);
        if let Content::Maker(content) = &record.content {
            for line in &content.lines {
                let path = path::thing(&Thing::of(Whole::Line(line.id.value.clone())));
                let place = self.add(Sort::Line, line.name.clone(), path);
                self.named[place].parent = Some(maker);
            }
        }
        for id in &catalog.makers[id].models {
            let Some(entry) = catalog.models.get(id) else { continue };
            let record = catalog.record(entry.record);
            let model = self.add(Sort::Model, leaf::name(record), path::record(record));
            self.named[model].parent = Some(maker);
            self.wholes.insert(Whole::Model(id.clone()), model);
            if let Content::Model(content) = &record.content {
                self.named[model].also = content.garment.value.clone();
            }
            entry.variants.iter().for_each(|variant| self.variant(model, variant));
        }
    }

    fn variant(&mut self, model: usize, id: &VariantId) {
        let Some(entry) = self.catalog().variants.get(id) else { return };
        let record = self.catalog().record(entry.record);
        let place = self.add(Sort::Variant, leaf::name(record), path::record(record));
        let era = self.knowledge.eras.get(&Thing::of(Whole::Variant(id.clone())));
        let (first, last) = era.map_or((None, None), |era| era.possibly_made());
        let named = &mut self.named[place];
        named.parent = Some(model);
        named.years = DaySpan::new(first, last).and_then(years);
        if let Content::Variant(variant) = &record.content {
            named.also = format!("{} {}", spaced(variant.line.value.line()), variant.wearer.word());
        }
        self.wholes.insert(Whole::Variant(id.clone()), place);
    }

    fn landmark(&mut self, index: RecordIndex) {
        let record = self.catalog().record(index);
        let place = self.add(Sort::Landmark, leaf::name(record), path::record(record));
        let Some(found) = landmark::of(self.catalog(), index) else { return };
        let circa = self.catalog().circa();
        let day = landmark::not_before(found, circa).or_else(|| landmark::not_after(found, circa));
        self.named[place].years = DaySpan::new(day, day).and_then(years);
    }

    fn key(&mut self, index: RecordIndex) {
        let record = self.catalog().record(index);
        let Some(found) = key::of(self.catalog(), index) else { return };
        let place = self.add(Sort::Key, leaf::name(record), path::record(record));
        let window = found.notation.window;
        self.named[place].years = DaySpan::new(Some(window.first), Some(window.last)).and_then(years);
        self.named[place].also = "code stamp date".to_string();
        self.named[place].parent = match found.makers.as_slice() {
            [maker] => self.wholes.get(&Whole::Maker(maker.value.clone())).copied(),
            _ => None,
        };
    }

    fn feature(&mut self, feature: &Feature, counts: BTreeSet<u32>) {
        let place = self.add(Sort::Feature, feature.name.clone(), path::feature(&feature.id));
        let zone = feature.zone.as_deref().map(spaced);
        self.named[place].also = zone.into_iter().chain(feature.synonyms.clone()).collect::<Vec<String>>().join(" ");
        if let Kind::State { states } = &feature.kind {
            for state in states {
                let own = self.add(
                    Sort::State,
                    feature.label(state.as_str()),
                    path::feature_state(&feature.id, state.as_str()),
                );
                self.named[own].also =
                    feature.state_synonyms.get(state).map_or_else(String::new, |words| words.join(" "));
                self.named[own].parent = Some(place);
            }
        }
        for count in counts.into_iter().map(|count| count.to_string()) {
            let own = self.add(Sort::State, count.clone(), path::feature_state(&feature.id, &count));
            self.named[own].parent = Some(place);
        }
    }

    fn sources(&mut self) {
        let circa: CircaYears = self.catalog().circa();
        for source in &self.catalog().cited {
            let place = self.add(Sort::Source, source.citation.clone(), path::source(source));
            self.named[place].years = source.date.as_ref().and_then(|date| years(date.span(circa)));
        }
    }

    fn observations(&mut self) {
        for (index, record) in (0_u32..).map(RecordIndex).zip(&self.catalog().records) {
            let Some(observation) = record.content.observation() else { continue };
            let title = self.titles.get(index).map_or_else(|| leaf::name(record), str::to_string);
            let place = self.add(Sort::Observation, title, path::record(record));
            self.named[place].also = spaced(record.path.stem());
            self.named[place].years = self.dated(index, observation);
            if let Placement::Variant(variant) = &observation.placement {
                self.named[place].parent = self.wholes.get(&Whole::Variant(variant.clone())).copied();
            }
        }
    }

    /// Adds the pairs of lines and wearers that have a page.
    fn comparisons(&mut self, context: &'a Context<'a>) {
        let leaf = Leaf::new(context, "search.js");
        for comparison in line_pairs::listed(context) {
            let name = line_pairs::names(&leaf, comparison);
            let place = self.add(Sort::Comparison, name, line_pairs::path(comparison));
            self.named[place].parent = self.wholes.get(&Whole::Maker(comparison.a.maker())).copied();
            let wearer = matches!(comparison.a, Subject::Wearer(..));
            self.named[place].also = if wearer { "wearers" } else { "lines label compare" }.to_string();
        }
    }

    /// Adds what changed when, with the years that hold each change.
    fn changeovers(&mut self, context: &'a Context<'a>) {
        let catalog = self.catalog();
        for history in catalog.makers.keys().flat_map(|maker| histories::changed_of_maker(context, maker)) {
            let feature = words::heading(catalog, &history.feature);
            let page = path::thing(&Thing::of(history.thing.clone()));
            for change in history.real() {
                let name = format!("{feature}: {}", words::gives_way(catalog, &history.feature, change));
                let place = self.add(Sort::Changeover, name, format!("{page}#{}", histories::anchor(history)));
                self.named[place].parent = self.wholes.get(&history.thing).copied();
                self.named[place].years = years(change.span);
                self.named[place].also = "changed".to_string();
            }
        }
    }

    fn guide(&mut self, entries: Vec<guide::Entry>) {
        let before = self.named.len();
        for entry in entries {
            let sort = if entry.page.is_some() { Sort::Term } else { Sort::Guide };
            let place = self.add(sort, entry.name, entry.path);
            self.named[place].parent = entry.page.map(|page| before + page);
        }
    }

    fn dated(&self, index: RecordIndex, observation: &Observation) -> Option<Years> {
        let own = observation.made.as_ref().map(|made| made.value.span(self.catalog().circa()));
        let document =
            || (observation.basis.value == Basis::Document).then(|| voice::document_span(self.catalog(), index));
        own.or_else(|| document().flatten()).and_then(years)
    }
}
