//! The difference of a feature at equal values of what could explain it.
//!
//! Unknown is not a value: an item whose covariate is unknown is in no stratum.

use std::collections::BTreeMap;

use crate::reason::comparison::ENOUGH;
use crate::reason::comparison::crude::Crude;
use crate::reason::evidence::{DECADE, Evidence, FACTORY, Item};
use crate::resolve::Catalog;
use crate::statistics::Proportion;
use crate::statistics::rank::Sample;
use crate::statistics::stratified::{self, Stratum};
use crate::vocabulary::{Feature, Kind};

/// What could explain a difference, and what is left of the difference at equal values of it.
#[derive(Clone, Debug)]
pub struct Covariate {
    /// `decade`, `factory`, or a feature's id.
    pub name: String,
    /// Whether a difference stands only where this is matched.
    pub must_match: bool,
    /// Whether at least three garments of each variant lie in strata that hold both.
    pub is_matched: bool,
    /// The pooled difference, signed in the direction of the crude one.
    pub difference: Option<f64>,
    /// The p value at equal values.
    pub p: Option<f64>,
    /// The garments of both variants in strata that hold both.
    pub matched: u64,
    /// The strata, by value: the places of the items of A and of B in their evidence.
    pub strata: BTreeMap<String, (Vec<usize>, Vec<usize>)>,
}

/// Works out every covariate of a feature.
pub fn of(
    catalog: &Catalog,
    feature: &Feature,
    (a, b): (&Evidence<'_>, &Evidence<'_>),
    crude: &Crude,
) -> Vec<Covariate> {
    let named = |name: &str| catalog.vocabulary.feature(name).filter(|feature| is_covariate(feature));
    let varies: Vec<&Feature> = feature.varies_with.iter().filter_map(|id| named(id.as_str())).collect();
    let decade =
        |evidence: &Evidence<'_>, item: &Item| evidence.decade(catalog, &feature.id, item).map(|year| year.to_string());
    let factory = |evidence: &Evidence<'_>, item: &Item| evidence.factory(item).map(str::to_string);
    let sides = Sides { feature, a, b, crude };
    let mut covariates = vec![sides.covariate(DECADE, true, decade), sides.covariate(FACTORY, false, factory)];
    covariates.extend(varies.into_iter().map(|covariate| {
        let value = |evidence: &Evidence<'_>, item: &Item| evidence.covariate(item, covariate);
        sides.covariate(covariate.id.as_str(), true, value)
    }));
    covariates
}

/// Says whether a feature can divide garments: states and counts by value, quantities by bands.
pub fn is_covariate(feature: &Feature) -> bool {
    match feature.kind {
        Kind::State { .. } | Kind::Count => true,
        Kind::Measure(_) | Kind::Number => !feature.bands.is_empty(),
        Kind::Code => false,
    }
}

struct Sides<'a> {
    feature: &'a Feature,
    a: &'a Evidence<'a>,
    b: &'a Evidence<'a>,
    crude: &'a Crude,
}

impl Sides<'_> {
    fn covariate(
        &self,
        name: &str,
        must_match: bool,
        value: impl Fn(&Evidence<'_>, &Item) -> Option<String>,
    ) -> Covariate {
        let mut strata: BTreeMap<String, (Vec<usize>, Vec<usize>)> = BTreeMap::new();
        for (place, item) in self.a.items(&self.feature.id).iter().enumerate() {
            value(self.a, item).into_iter().for_each(|value| strata.entry(value).or_default().0.push(place));
        }
        for (place, item) in self.b.items(&self.feature.id).iter().enumerate() {
            value(self.b, item).into_iter().for_each(|value| strata.entry(value).or_default().1.push(place));
        }
        let shared: Vec<&(Vec<usize>, Vec<usize>)> =
            strata.values().filter(|(a, b)| !a.is_empty() && !b.is_empty()).collect();
        let in_a = shared.iter().map(|(a, _)| a.len() as u64).sum::<u64>();
        let in_b = shared.iter().map(|(_, b)| b.len() as u64).sum::<u64>();
        let (difference, p) = match self.feature.kind {
            Kind::Measure(_) => self.measures(&shared),
            _ => self.states(&shared),
        };
        Covariate {
            name: name.to_string(),
            must_match,
            is_matched: in_a >= ENOUGH && in_b >= ENOUGH,
            difference,
            p,
            matched: in_a + in_b,
            strata,
        }
    }

    fn states(&self, shared: &[&(Vec<usize>, Vec<usize>)]) -> (Option<f64>, Option<f64>) {
        let share = |evidence: &Evidence<'_>, places: &[usize]| {
            let items = evidence.items(&self.feature.id);
            let in_group = |place: &&usize| items[**place].seen.state().is_some_and(|state| self.crude.groups(state));
            Proportion::new(places.iter().filter(in_group).count() as u64, places.len() as u64)
        };
        let stratum = |(a, b): &&(Vec<usize>, Vec<usize>)| Some(Stratum { a: share(self.a, a)?, b: share(self.b, b)? });
        let strata: Vec<Stratum> = shared.iter().filter_map(stratum).collect();
        let pooled = stratified::mantel_haenszel(&strata);
        (pooled.map(|pooled| pooled.difference), stratified::exact_p(&strata))
    }

    fn measures(&self, shared: &[&(Vec<usize>, Vec<usize>)]) -> (Option<f64>, Option<f64>) {
        let sample = |evidence: &Evidence<'_>, places: &[usize]| {
            let items = evidence.items(&self.feature.id);
            Sample::new(places.iter().filter_map(|place| items[*place].seen.measure()).collect())
        };
        let stratum = |(a, b): &&(Vec<usize>, Vec<usize>)| Some((sample(self.a, a)?, sample(self.b, b)?));
        let strata: Vec<(Sample, Sample)> = shared.iter().filter_map(stratum).collect();
        let direction = self.crude.direction.unwrap_or(crate::statistics::rank::Direction::Rising);
        (stratified::pooled_separation(&strata, direction), stratified::van_elteren(&strata))
    }
}
