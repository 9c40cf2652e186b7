//! The difference of a feature at equal values of what could explain it.
//!
//! Unknown is not a value: an item whose covariate is unknown is in no stratum.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::comparison::ENOUGH;
use crate::comparison::crude::Crude;
use crate::evidence::{DECADE, Evidence, FACTORY, Item};
use crate::resolve::Catalog;
use crate::statistics::Proportion;
use crate::statistics::rank::{Direction, Sample};
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
        _ if feature.retired.is_some() => false,
        Kind::State { .. } | Kind::Count => true,
        Kind::Measure(_) | Kind::Number => !feature.bands.is_empty(),
        Kind::Code => false,
    }
}

/// What a verdict asks of a covariate.
pub struct Held<'n> {
    /// `decade`, `factory`, or a feature's id.
    pub name: &'n str,
    /// Whether a difference stands only where this is matched.
    pub must_match: bool,
    /// Whether at least three garments of each variant lie in strata that hold both.
    pub is_matched: bool,
    /// The pooled difference, signed in the direction of the crude one.
    pub difference: Option<f64>,
    matched: u64,
    shown: Shown,
}

/// What both variants show in the strata that hold both, or what came of testing it: verdicts seldom ask for that.
enum Shown {
    States(Vec<Stratum>),
    Measures(Vec<(Sample, Sample)>),
    Tested(Option<f64>),
}

impl Held<'_> {
    /// The p value at equal values.
    pub fn p(&self) -> Option<f64> {
        match &self.shown {
            Shown::States(strata) => stratified::exact_p(strata),
            Shown::Measures(strata) => stratified::van_elteren(strata),
            Shown::Tested(p) => *p,
        }
    }
}

impl Covariate {
    fn held(&self) -> Held<'_> {
        let Covariate { must_match, is_matched, difference, matched, .. } = *self;
        Held { name: &self.name, must_match, is_matched, difference, matched, shown: Shown::Tested(self.p) }
    }
}

/// Covariates as a verdict asks for them.
pub fn held(covariates: &[Covariate]) -> Vec<Held<'_>> {
    covariates.iter().map(Covariate::held).collect()
}

/// Holds the covariates of a feature equal without one garment: its side, the first being 0, and its place there. The
/// evidence is that which the covariates were worked out from, the crude difference that without the garment.
pub fn without<'c>(
    covariates: &'c [Covariate],
    feature: &Feature,
    (a, b): (&Evidence<'_>, &Evidence<'_>),
    crude: &Crude,
    garment: (usize, usize),
) -> Vec<Held<'c>> {
    let sides = Sides { feature, a, b, crude };
    let held = |covariate: &'c Covariate| {
        sides.held((&covariate.name, covariate.must_match), &covariate.strata, Some(garment))
    };
    covariates.iter().map(held).collect()
}

/// The places of the items of A and of B in one stratum.
type Places<'p> = (Cow<'p, [usize]>, Cow<'p, [usize]>);

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
        let held = self.held((name, must_match), &strata, None);
        let (is_matched, difference, p, matched) = (held.is_matched, held.difference, held.p(), held.matched);
        Covariate { name: name.to_string(), must_match, is_matched, difference, p, matched, strata }
    }

    /// Holds a covariate equal, with all garments or all but one: its side, the first being 0, and its place.
    fn held<'n>(
        &self,
        (name, must_match): (&'n str, bool),
        strata: &BTreeMap<String, (Vec<usize>, Vec<usize>)>,
        without: Option<(usize, usize)>,
    ) -> Held<'n> {
        let places = strata.values().map(|(a, b)| (staying(a, without, 0), staying(b, without, 1)));
        let shared: Vec<Places<'_>> = places.filter(|(a, b)| !a.is_empty() && !b.is_empty()).collect();
        let in_a = shared.iter().map(|(a, _)| a.len() as u64).sum::<u64>();
        let in_b = shared.iter().map(|(_, b)| b.len() as u64).sum::<u64>();
        let (shown, difference) = match self.feature.kind {
            Kind::Measure(_) => {
                let strata = self.samples(&shared);
                let direction = self.crude.direction.unwrap_or(Direction::Rising);
                let difference = stratified::pooled_separation(&strata, direction);
                (Shown::Measures(strata), difference)
            }
            _ => {
                let strata = self.shares(&shared);
                let difference = stratified::mantel_haenszel(&strata).map(|pooled| pooled.difference);
                (Shown::States(strata), difference)
            }
        };
        let is_matched = in_a >= ENOUGH && in_b >= ENOUGH;
        Held { name, must_match, is_matched, difference, matched: in_a + in_b, shown }
    }

    fn shares(&self, shared: &[Places<'_>]) -> Vec<Stratum> {
        let share = |items: &[Item], places: &[usize]| {
            let in_group = |place: &&usize| items[**place].seen.state().is_some_and(|state| self.crude.groups(state));
            Proportion::new(places.iter().filter(in_group).count() as u64, places.len() as u64)
        };
        let (of_a, of_b) = (self.a.items(&self.feature.id), self.b.items(&self.feature.id));
        let strata = shared.iter().filter_map(|(a, b)| Some(Stratum { a: share(of_a, a)?, b: share(of_b, b)? }));
        strata.collect()
    }

    fn samples(&self, shared: &[Places<'_>]) -> Vec<(Sample, Sample)> {
        let sample = |items: &[Item], places: &[usize]| {
            Sample::new(places.iter().filter_map(|place| items[*place].seen.measure()).collect())
        };
        let (of_a, of_b) = (self.a.items(&self.feature.id), self.b.items(&self.feature.id));
        shared.iter().filter_map(|(a, b)| Some((sample(of_a, a)?, sample(of_b, b)?))).collect()
    }
}

/// The places of a side without the one that is left out.
fn staying(places: &[usize], without: Option<(usize, usize)>, side: usize) -> Cow<'_, [usize]> {
    match without {
        Some((own, place)) if own == side && places.contains(&place) => {
            Cow::Owned(places.iter().copied().filter(|other| *other != place).collect())
        }
        _ => Cow::Borrowed(places),
    }
}
