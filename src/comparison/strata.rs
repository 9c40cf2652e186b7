//! The difference of a feature at equal values of what could explain it.
//!
//! Unknown is not a value: an item whose covariate is unknown is in no stratum.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::comparison::crude::Crude;
use crate::comparison::{ENOUGH, PairEvidence};
use crate::evidence::{DECADE, Evidence, FACTORY, Item};
use crate::record::id::FeatureId;
use crate::resolve::Catalog;
use crate::statistics::Proportion;
use crate::statistics::multiple::Test;
use crate::statistics::rank::{Direction, Sample};
use crate::statistics::stratified::{self, Stratum};
use crate::vocabulary::{Feature, Kind};

/// A covariate that could explain a difference, and what is left of the difference at equal values of it.
#[derive(Clone, Debug)]
pub struct Covariate {
    /// `decade`, `factory`, or a feature's id.
    pub name: String,
    /// Whether a difference counts only if this is matched.
    pub must_match: bool,
    /// Whether at least three garments of each variant lie in strata that hold both.
    pub is_matched: bool,
    /// The pooled difference, signed in the direction of the crude one.
    pub difference: Option<f64>,
    /// The p value at equal values.
    pub p: Option<f64>,
    /// The smallest p value that the margins of the strata could give.
    pub smallest_p: Option<f64>,
    /// The p value at equal values, adjusted over the features that could reach significance there; only where a tell
    /// hangs on it.
    pub p_holm: Option<f64>,
    /// The garments of both variants in strata that hold both.
    pub matched: u64,
    /// The strata, by value: the places of the items of A and of B in their evidence.
    pub strata: BTreeMap<String, (Vec<usize>, Vec<usize>)>,
}

/// Computes every covariate of a feature in full.
pub fn of(catalog: &Catalog, feature: &Feature, pair: PairEvidence<'_>, crude: &Crude) -> Vec<Covariate> {
    of_sides(catalog, &Sides::of_pair(feature, pair, crude))
}

/// Computes every covariate of a feature of two sides.
pub fn of_sides(catalog: &Catalog, sides: &Sides<'_>) -> Vec<Covariate> {
    sides.divisions(catalog).into_iter().map(|division| sides.covariate(division)).collect()
}

/// Holds every covariate of a feature equal, with only the numbers that a verdict needs.
pub fn equal(catalog: &Catalog, feature: &Feature, pair: PairEvidence<'_>, crude: &Crude) -> Vec<Held<'static>> {
    let sides = Sides::of_pair(feature, pair, crude);
    let held = |division: Division| {
        let held = sides.held(division.asked(), &division.strata, None);
        Held { name: Cow::Owned(division.name.clone()), ..held }
    };
    sides.divisions(catalog).into_iter().map(held).collect()
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

/// The numbers of a covariate that a verdict needs.
pub struct Held<'n> {
    /// `decade`, `factory`, or a feature's id.
    pub name: Cow<'n, str>,
    /// Whether the difference holds only among garments matched on this covariate.
    pub must_match: bool,
    /// Whether at least three garments of each variant lie in strata that hold both.
    pub is_matched: bool,
    /// The pooled difference, signed in the direction of the crude one.
    pub difference: Option<f64>,
    matched: u64,
    shown: Shown,
}

/// The readings of both variants in the strata with both, or the result of their test, which
/// verdicts seldom need.
enum Shown {
    States(Vec<Stratum>),
    Measures(Vec<(Sample, Sample)>),
    Tested(Option<Test>),
}

impl Held<'_> {
    /// The p value at equal values.
    pub fn p(&self) -> Option<f64> {
        match &self.shown {
            Shown::Measures(strata) => stratified::van_elteren(strata),
            _ => self.test().map(|test| test.p),
        }
    }

    /// The p value at equal values, with the smallest that there could be.
    pub fn test(&self) -> Option<Test> {
        match &self.shown {
            Shown::States(strata) => stratified::exact(strata),
            Shown::Measures(strata) => {
                Some(Test { p: stratified::van_elteren(strata)?, smallest: stratified::smallest_of_ranks(strata)? })
            }
            Shown::Tested(test) => *test,
        }
    }
}

impl Covariate {
    fn held(&self) -> Held<'_> {
        let Covariate { must_match, is_matched, difference, matched, .. } = *self;
        let test = self.p.zip(self.smallest_p).map(|(p, smallest)| Test { p, smallest });
        let name = Cow::Borrowed(self.name.as_str());
        Held { name, must_match, is_matched, difference, matched, shown: Shown::Tested(test) }
    }
}

/// Covariates as a verdict asks for them.
pub fn held(covariates: &[Covariate]) -> Vec<Held<'_>> {
    covariates.iter().map(Covariate::held).collect()
}

/// Holds the covariates of a feature equal without one garment. The evidence is that of the covariates; the crude
/// difference is without the garment.
pub fn without<'c>(
    covariates: &'c [Covariate],
    feature: &Feature,
    pair: PairEvidence<'_>,
    crude: &Crude,
    garment: OneOfSide,
) -> Vec<Held<'c>> {
    let sides = Sides::of_pair(feature, pair, crude);
    let held = |covariate: &'c Covariate| {
        let asked = Asked { name: &covariate.name, must_match: covariate.must_match };
        sides.held(asked, &covariate.strata, Some(garment))
    };
    covariates.iter().map(held).collect()
}

/// The places of the items of A and of B in one stratum.
type Places<'p> = (Cow<'p, [usize]>, Cow<'p, [usize]>);

/// The readings of one feature on two sides, item by item.
pub struct Sides<'a> {
    /// The feature.
    pub feature: &'a Feature,
    /// The items of the first.
    pub a: Vec<Placed<'a>>,
    /// The items of the second.
    pub b: Vec<Placed<'a>>,
    /// The difference whose grouping and direction are used.
    pub crude: &'a Crude,
}

/// An item with the evidence it was counted in and the setting it is compared within.
#[derive(Clone, Copy)]
pub struct Placed<'a> {
    /// The evidence of its variant.
    pub evidence: &'a Evidence<'a>,
    /// The item.
    pub item: &'a Item,
    /// The setting; empty where two variants are compared.
    pub setting: &'a str,
}

/// A garment of one side.
#[derive(Clone, Copy)]
pub struct OneOfSide {
    /// The side: 0 is the first.
    pub side: usize,
    /// Its place there.
    pub place: usize,
}

/// A covariate by its name.
struct Asked<'n> {
    name: &'n str,
    must_match: bool,
}

/// The items of both variants by the value of a covariate.
struct Division {
    name: String,
    must_match: bool,
    strata: BTreeMap<String, (Vec<usize>, Vec<usize>)>,
}

impl Division {
    fn asked(&self) -> Asked<'_> {
        Asked { name: &self.name, must_match: self.must_match }
    }
}

impl<'a> Sides<'a> {
    fn of_pair(feature: &'a Feature, pair: PairEvidence<'a>, crude: &'a Crude) -> Sides<'a> {
        let placed = |evidence: &'a Evidence<'a>| {
            let items = evidence.items(&feature.id).iter();
            items.map(|item| Placed { evidence, item, setting: "" }).collect()
        };
        Sides { feature, a: placed(pair.a), b: placed(pair.b), crude }
    }

    /// Divides the items by decade, factory, and each feature that this one varies with.
    fn divisions(&self, catalog: &Catalog) -> Vec<Division> {
        let decade = |evidence: &Evidence<'_>, item: &Item| {
            evidence.decade(catalog, &self.feature.id, item).map(|year| year.to_string())
        };
        let factory = |evidence: &Evidence<'_>, item: &Item| evidence.factory(item).map(str::to_string);
        let decade = Division { name: DECADE.to_string(), must_match: true, strata: self.strata(decade) };
        let factory = Division { name: FACTORY.to_string(), must_match: false, strata: self.strata(factory) };
        let named = |id: &FeatureId| catalog.vocabulary.feature(id.as_str()).filter(|feature| is_covariate(feature));
        let varies = self.feature.varies_with.iter().filter_map(named).map(|covariate| Division {
            name: covariate.id.to_string(),
            must_match: true,
            strata: self.strata(|evidence, item| evidence.covariate(item, covariate)),
        });
        [decade, factory].into_iter().chain(varies).collect()
    }

    fn strata(
        &self,
        value: impl Fn(&Evidence<'_>, &Item) -> Option<String>,
    ) -> BTreeMap<String, (Vec<usize>, Vec<usize>)> {
        let mut strata: BTreeMap<String, (Vec<usize>, Vec<usize>)> = BTreeMap::new();
        let key = |placed: &Placed<'_>| {
            let value = value(placed.evidence, placed.item)?;
            Some(if placed.setting.is_empty() { value } else { format!("{} {value}", placed.setting) })
        };
        for (place, placed) in self.a.iter().enumerate() {
            key(placed).into_iter().for_each(|key| strata.entry(key).or_default().0.push(place));
        }
        for (place, placed) in self.b.iter().enumerate() {
            key(placed).into_iter().for_each(|key| strata.entry(key).or_default().1.push(place));
        }
        strata
    }

    fn covariate(&self, division: Division) -> Covariate {
        let Division { name, must_match, strata } = division;
        let held = self.held(Asked { name: &name, must_match }, &strata, None);
        let (is_matched, difference, matched, test) = (held.is_matched, held.difference, held.matched, held.test());
        let (p, smallest_p) = (test.map(|test| test.p), test.map(|test| test.smallest));
        Covariate { name, must_match, is_matched, difference, p, smallest_p, p_holm: None, matched, strata }
    }

    /// Holds a covariate equal, with all garments or all but one.
    fn held<'n>(
        &self,
        asked: Asked<'n>,
        strata: &BTreeMap<String, (Vec<usize>, Vec<usize>)>,
        without: Option<OneOfSide>,
    ) -> Held<'n> {
        let Asked { name, must_match } = asked;
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
        Held { name: Cow::Borrowed(name), must_match, is_matched, difference, matched: in_a + in_b, shown }
    }

    fn shares(&self, shared: &[Places<'_>]) -> Vec<Stratum> {
        let share = |items: &[Placed<'_>], places: &[usize]| {
            let in_group =
                |place: &&usize| items[**place].item.seen.state().is_some_and(|state| self.crude.groups(state));
            Proportion::new(places.iter().filter(in_group).count() as u64, places.len() as u64)
        };
        let strata = shared.iter().filter_map(|(a, b)| Some(Stratum { a: share(&self.a, a)?, b: share(&self.b, b)? }));
        strata.collect()
    }

    fn samples(&self, shared: &[Places<'_>]) -> Vec<(Sample, Sample)> {
        let sample = |items: &[Placed<'_>], places: &[usize]| {
            Sample::new(places.iter().filter_map(|place| items[*place].item.seen.measure()).collect())
        };
        shared.iter().filter_map(|(a, b)| Some((sample(&self.a, a)?, sample(&self.b, b)?))).collect()
    }
}

/// The places of a side without the one that is left out.
fn staying(places: &[usize], without: Option<OneOfSide>, side: usize) -> Cow<'_, [usize]> {
    match without {
        Some(OneOfSide { side: own, place }) if own == side && places.contains(&place) => {
            Cow::Owned(places.iter().copied().filter(|other| *other != place).collect())
        }
        _ => Cow::Borrowed(places),
    }
}
